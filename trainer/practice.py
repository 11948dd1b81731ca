"""The practice window: the one place where the record, the lesson, the screens and the window are joined."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from threading import Thread

from strokes.letter import Alphabet
from trainer.sitting import Keeper, Sitting
from trainer.texts import text
from trainer.voice import Voice
from trainer.window import Window


def open_window(
    record: Keeper,
    alphabet: Alphabet,
    *,
    fullscreen: bool = False,
    size: tuple[int, int] | None = None,
    motion: bool = True,
    voice: Voice | None = None,
    now: Callable[[], datetime] = lambda: datetime.now(UTC),
) -> tuple[Window, Sitting]:
    """The window with the cards in it, not running yet, and the sitting behind it: tests step through it."""
    sitting = Sitting(record, alphabet, voice=voice, motion=motion, now=now)
    window = Window(
        sitting.cards(),
        size=size,
        fullscreen=fullscreen,
        title=text("practice.window"),
        on_first_frame=lambda: Thread(target=_warm_up, args=(alphabet,), daemon=True).start(),
    )
    return window, sitting


def run(
    record: Keeper,
    alphabet: Alphabet,
    *,
    fullscreen: bool = False,
    size: tuple[int, int] | None = None,
    motion: bool = True,
    voice: Voice | None = None,
) -> None:
    """Practice until the window is closed.

    What the record could not take is offered to it once more at the end; if that fails too, its
    RecordError is raised, so that nothing is lost without a word.
    """
    window, sitting = open_window(
        record, alphabet, fullscreen=fullscreen, size=size, motion=motion, voice=voice
    )
    try:
        window.run()
    finally:
        sitting.keep_all()


def _warm_up(alphabet: Alphabet) -> None:
    """Load what judging needs while the child looks at the cards: the first letter shall not wait for it."""
    from strokes.checks import check
    from strokes.ink import Ink

    check(Ink.from_arrays([[[0.0, -1.0], [0.0, 0.0]]]), alphabet.letters[0], guide=alphabet.guide)
