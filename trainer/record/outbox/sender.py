"""The thread of a window that alone talks to the server: it sends what waits, and asks what the window asks.

The window never waits for the network: a question is given up after a moment, and not even asked while the
server is known to be away.
"""

from __future__ import annotations

import logging
import platform
import queue
import shutil
import sys
from collections import deque
from collections.abc import Callable
from concurrent.futures import Future, wait
from contextlib import closing
from pathlib import Path
from threading import Thread
from time import monotonic
from typing import TypeVar

from trainer.errors import PupilError, RecordError
from trainer.record.deliveries import ScreenState
from trainer.record.outbox.file import DAMAGED, READY, Outbox, Slot, screen_code
from trainer.record.record import Record
from trainer.record.upkeep import LITTLE_ROOM

Answer = TypeVar("Answer")

_log = logging.getLogger(__name__)

BATCH = 20
"""Items in one transaction: half a second of a busy server, and little to send again."""

FIRST_PAUSE, LONGEST_PAUSE = 0.25, 8.0
"""Seconds from a failure to the next try: they double."""

HEARTBEAT = 60.0
"""Seconds after which a screen is heard from, although nothing waits."""

IDLE = 1.0
"""Seconds without anything to do after which a question is asked that could wait."""

_SHORT_TURN = 0.0005
"""Seconds for which this thread computes while another one wants to: a pen-up has a dozen of such moments."""

_FAREWELL = 3.0
"""Seconds that a window which closes gives its sender; what is not sent by then waits for the next window."""


class Sender:
    """Sends what is in the outbox of a window, oldest first, until it is closed.

    `erased` are the pupils of whom the server said that they are gone; `away` is whether it did not answer.
    """

    def __init__(
        self, record: Record, slot: Slot, data_folder: Path, *, longest_pause: float = LONGEST_PAUSE
    ) -> None:
        self.erased: set[int] = set()
        self.away = False
        self._record = record
        self._slot = slot
        self._screen = screen_code(data_folder)
        self._longest_pause = longest_pause
        self._questions: queue.SimpleQueue[Callable[[], None] | None] = queue.SimpleQueue()
        self._later: deque[Callable[[Record], object]] = deque()
        self._closing = False
        self._noted: ScreenState | None = None
        self._noted_at = 0.0
        self._pause = 0.0
        self._next = 0.0
        self._switching = sys.getswitchinterval()
        sys.setswitchinterval(_SHORT_TURN)
        self._thread = Thread(target=self._run, name="sender", daemon=True)
        self._thread.start()

    def wake(self) -> None:
        """Something waits."""
        self._questions.put(None)

    def ask(self, question: Callable[[Record], Answer], patience: float) -> Future[Answer] | None:
        """Ask the server, and wait so many seconds at most for the answer.

        Gives back what has the answer, or an error, or will have it; None while the server is away.
        """
        if self.away or self._closing:
            return None
        future: Future[Answer] = Future()

        def answer() -> None:
            try:
                future.set_result(question(self._record))
            except Exception as error:  # the window raises it, or does without
                if isinstance(error, RecordError) and not isinstance(error, PupilError):
                    self._failed(error)
                future.set_exception(error)

        self._questions.put(answer)
        if not wait([future], patience).done:
            self.away = True
            self.wake()  # it is not, if what it does now ends well
        return future

    def ask_later(self, question: Callable[[Record], object]) -> None:
        """Ask the server when nothing else is to be done; whoever asks hears nothing where it is away."""
        self._later.append(question)
        self._questions.put(_nothing)  # so that it looks at the time anew

    def close(self) -> None:
        """Send what can be sent in a moment, and say that the window is closed."""
        self._closing = True
        self.wake()
        self._thread.join(_FAREWELL)
        sys.setswitchinterval(self._switching)

    def _run(self) -> None:
        with closing(self._record), closing(Outbox(self._slot.file)) as outbox:
            while not self._closing:
                now = monotonic()
                until_next = max(0.0, min(self._next - now, IDLE if self._later and not self.away else 1e6))
                try:
                    question = self._questions.get(timeout=until_next)
                except queue.Empty:
                    self._be_idle(outbox)
                    continue
                if question is not None:
                    question()
                elif not self._pause:  # else it is away, and asked again when its pause is over
                    self._send(outbox)
            self._send(outbox)

    def _be_idle(self, outbox: Outbox) -> None:
        """Try again when the time has come, else ask one question that could wait."""
        if monotonic() >= self._next:
            self._send(outbox)
        elif self._later:
            try:
                self._later[0](self._record)
                self._later.popleft()
            except Exception as error:  # as in `_send`
                self._failed(error)

    def _send(self, outbox: Outbox) -> None:
        """Send all that is ready, batch by batch, and say how the screen is."""
        try:
            outbox.fold()
            while self._send_batch(outbox):
                pass
        except Exception as error:  # whatever it is: a thread that dies sends nothing any more
            self._failed(error)
        else:
            self.away, self._pause = False, 0.0
            self._next = monotonic() + HEARTBEAT

    def _failed(self, error: Exception) -> None:
        """The server is left alone for a while."""
        _log.info("what was written waits, as the server did not take it", exc_info=error)
        self.away = True
        self._pause = min(self._longest_pause, 2 * self._pause or FIRST_PAUSE)
        self._next = monotonic() + self._pause

    def _send_batch(self, outbox: Outbox) -> bool:
        """Send one batch; whether it was full, so that there may be more."""
        items = outbox.batch(BATCH)
        states = outbox.states()
        left = states[READY] - len(items) + states[DAMAGED] + self._slot.others_waiting()
        state = ScreenState(
            self._screen,
            platform.node() or "screen",
            waiting=left,
            open=not self._closing or self._slot.others_open(),
            little_room=shutil.disk_usage(self._slot.folder).free < LITTLE_ROOM,
        )
        # The server has one who writes at a time: none of them says again what was said a moment ago.
        now = monotonic()
        news = state != self._noted or now >= self._noted_at + HEARTBEAT or self.away
        if not (items or news):
            return False
        taken = self._record.deliveries.take(items, state if news else None)
        if news:
            self._noted, self._noted_at = state, now
        outbox.set_aside(taken.damaged)
        outbox.delivered([item.id for item in items if item.id not in taken.damaged])
        if taken.erased:
            self.erased |= taken.erased
            outbox.forget(taken.erased)
        elif not left:
            outbox.scrub()
        return len(items) == BATCH


def _nothing() -> None:
    """A question that asks nothing."""
