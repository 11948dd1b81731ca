"""What a screen writes whose record is on a server: into a local outbox at once, from there to the server.

In goes what a practice window keeps; out come deliveries to the record, each item exactly once by its own id
(`trainer.record.deliveries`). A `ScreenRecord` takes the place of a `Record` at a window.

**The pen never waits for the network.** A stroke is committed in the outbox, a file on this machine; a thread
of the window, the `Sender`, alone talks to the server. A record that is a file needs no outbox: it is on this
machine already.

**Each item exactly once.** It leaves the outbox after the server has committed it. Where nobody knows whether
it did, it is sent again, and the server knows it by its id. A death at any moment costs the stroke under the
pen at most: the next window breaks off what was being written, and sends it.

**An outbox belongs to one record**, by the record's identity, which it keeps when it is moved: at another
address of it the outbox goes on, and another record never gets it. A pupil who was erased there is erased
here too, as soon as the server says so: numbers are never given again.

**While the server is away a window that is open goes on**, by what it read last, for the children of the
groups that practiced there. It goes by memory alone: names and plans are put on no screen's disk. So a window
that is opened then cannot begin, and says so in a sentence; what waits stays.
"""

from trainer.record.outbox.file import Waiting, waiting
from trainer.record.outbox.screen_record import ScreenRecord

__all__ = ["ScreenRecord", "Waiting", "waiting"]
