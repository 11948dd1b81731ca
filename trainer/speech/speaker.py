"""The voice of the window: one thread plays, and another renders what is not at hand."""

from __future__ import annotations

import logging
import time
from collections import deque
from collections.abc import Callable, Sequence
from threading import Condition, Thread
from typing import TYPE_CHECKING, Protocol

from trainer.speech.utterance import Utterance

if TYPE_CHECKING:  # what is not needed until something is said is not loaded before
    from trainer.speech.sound import Sound
    from trainer.speech.sources import Source

BETWEEN = 0.12
"""Seconds between two things that are said one after the other."""
PATIENCE = 8.0
"""Seconds for which something is waited for that is rendered first; later the child is somewhere else."""
MOST_PREPARED = 64
"""How many things may wait to be prepared; the oldest give way."""

_log = logging.getLogger(__name__)


class Output(Protocol):
    """What makes a sound heard."""

    def open(self) -> bool:
        """Whether there is a device; called once, before the first sound, and may take a while."""

    def play(self, sound: Sound, volume: float) -> None:
        """Begin to play, in place of whatever is playing."""

    def stop(self) -> None:
        """Nothing is heard any more."""

    def close(self) -> None:
        """The device is not needed any more."""


class Speaker:
    """Says what the first of its sources has; what none has stays a caption.

    `sources` and `output` are made in its own threads when something is said for the first time, as they
    may import and open what takes time. `volume` is from 0 to 1. No call waits for a source or the device.
    """

    def __init__(
        self, sources: Callable[[], Sequence[Source]], output: Callable[[], Output], *, volume: float = 1.0
    ) -> None:
        self._make_sources = sources
        self._make_output = output
        self.volume = volume
        self._changed = Condition()
        self._turn = 0
        self._wanted: tuple[Utterance, ...] | None = None
        self._asked: deque[tuple[Source, Utterance]] = deque()
        self._answers: dict[tuple[int, Utterance], Sound | None] = {}
        self._to_prepare: deque[Utterance] = deque(maxlen=MOST_PREPARED)
        self._sources: Sequence[Source] = ()
        self._threads: list[Thread] = []
        self._closing = False
        self.audible = True
        self.speaking = False

    # What the window calls

    def say(self, *utterances: Utterance) -> None:
        """Begin to say these, one after the other; whatever is being said stops."""
        with self._changed:
            if self._closing or not self.audible:
                return
            self._begin()
            self._turn += 1
            self._wanted = utterances
            self.speaking = bool(utterances)
            self._changed.notify_all()

    def prepare(self, *utterances: Utterance) -> None:
        """Render these while nothing is asked for."""
        with self._changed:
            if self._closing or not self.audible:
                return
            self._begin()
            self._to_prepare.extend(utterances)
            self._changed.notify_all()

    def stop(self) -> None:
        """Say nothing any more."""
        if self._threads:
            self.say()

    def close(self) -> None:
        """End the threads and whatever they opened; nothing is said any more."""
        with self._changed:
            self._closing = True
            self._turn += 1
            self.speaking = False
            self._changed.notify_all()
        for source in self._sources:
            source.close()
        for thread in self._threads:
            thread.join(timeout=PATIENCE)

    def _begin(self) -> None:
        if not self._threads:
            self._threads = [Thread(target=work, daemon=True) for work in (self._play_all, self._render_all)]
            for thread in self._threads:
                thread.start()

    # The thread that plays

    def _play_all(self) -> None:
        try:
            sources, output = self._make_sources(), self._make_output()
            audible = output.open()
        except Exception:
            _log.exception("there is no voice; captions say it all")
            sources, audible = (), False
        with self._changed:
            self._sources = sources
            self.audible = audible
            self.speaking = self.speaking and audible
            if not audible:
                self._to_prepare.clear()
            self._changed.notify_all()
        if not audible:
            return
        try:
            while (turn := self._next_turn()) is not None:
                self._play(output, *turn)
                with self._changed:
                    if self._turn == turn[0]:
                        self.speaking = False
        finally:
            output.close()

    def _next_turn(self) -> tuple[int, tuple[Utterance, ...]] | None:
        with self._changed:
            while self._wanted is None and not self._closing:
                self._changed.wait()
            if self._closing:
                return None
            assert self._wanted is not None
            wanted, self._wanted = self._wanted, None
            return self._turn, wanted

    def _play(self, output: Output, turn: int, utterances: Sequence[Utterance]) -> None:
        output.stop()
        for utterance in utterances:
            sound = self._find(utterance, turn)
            if sound is None:
                continue
            with self._changed:
                if self._turn != turn:
                    return
                output.play(sound, self.volume)
                until = time.monotonic() + sound.seconds + BETWEEN
                while self._turn == turn and (left := until - time.monotonic()) > 0:
                    self._changed.wait(left)
                if self._turn != turn:
                    output.stop()
                    return

    def _find(self, utterance: Utterance, turn: int) -> Sound | None:
        """What the first source that has it gives; None, too, once something else is to be said."""
        for source in self._sources:
            if not source.has(utterance):
                continue
            sound = source.ready(utterance) or self._rendered(source, utterance, turn)
            if sound is not None or self._turn != turn:
                return sound
        return None

    def _rendered(self, source: Source, utterance: Utterance, turn: int) -> Sound | None:
        """What the other thread makes of it, waited for as long as it is still wanted."""
        with self._changed:
            self._asked.clear()
            self._answers.clear()
            self._asked.append((source, utterance))
            self._changed.notify_all()
            until = time.monotonic() + PATIENCE
            key = (id(source), utterance)
            while key not in self._answers and self._turn == turn:
                if (left := until - time.monotonic()) <= 0:
                    return None
                self._changed.wait(left)
            return self._answers.pop(key, None)

    # The thread that renders

    def _render_all(self) -> None:
        while True:
            with self._changed:
                while not (self._closing or self._asked or (self._to_prepare and self._sources)):
                    if not self.audible:
                        return
                    self._changed.wait()
                if self._closing:
                    return
                asked = self._asked.popleft() if self._asked else None
                coming = None if asked else self._to_prepare.popleft()
            if asked is not None:
                source, utterance = asked
                sound = source.make(utterance)
                with self._changed:
                    self._answers[id(source), utterance] = sound
                    self._changed.notify_all()
            elif coming is not None:
                self._prepare(coming)

    def _prepare(self, utterance: Utterance) -> None:
        for source in self._sources:
            if source.has(utterance) and (source.ready(utterance) or source.make(utterance)):
                return
