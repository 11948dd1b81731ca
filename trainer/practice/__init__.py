"""Practice: what a child sees, touches and writes on.

In come a record, as a protocol, and an alphabet; out go attempts into the record. `run` opens the window;
`rehearse` sends a letter's traces through the same judging without one and gives back what a child would
have been shown and said. A `Session` is the state; `Storage` reads and writes the record for it; an
`Assessment` says what is stored and answered; `Navigation` alone makes screens, which reach it through the
protocol `Routes`.

- Raw ink is stored, and everything else is worked out from it: a better check, or an edited letter, can
  judge last month's writing again. An attempt is in the record before the child sees the answer, what is
  written of an unfinished letter at each pen-up. What the record cannot take waits and is offered again.
- The cards wait for no letter: the alphabets that groups use are read in a thread while the cards are shown,
  and what judging a letter needs for the first time is worked out in one while the letter is shown
  (`preparation`), so that on an old machine the first lift of the pen does not wait for it.
- Nothing a child does raises an error. One of the program while judging is logged, and the ink stays.
"""

from trainer.practice.opening import open_window, run
from trainer.practice.record import PracticeRecord
from trainer.practice.rehearsal import Rehearsed, rehearse
from trainer.practice.scenes.doors import PRACTICE, Door

__all__ = [
    "PRACTICE",
    "Door",
    "PracticeRecord",
    "Rehearsed",
    "open_window",
    "rehearse",
    "run",
]
