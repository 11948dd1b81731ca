"""The practice window: the one place where the record, the session, the screens and the window are joined."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from contextlib import AbstractContextManager, ExitStack
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from threading import Thread

from strokes.alphabet import Alphabet
from strokes.tolerances import Tolerances
from trainer.language import text
from trainer.practice.navigation import Navigation
from trainer.practice.preparation import Preparation
from trainer.practice.record import PracticeRecord
from trainer.practice.scenes.cards import DESK
from trainer.practice.scenes.doors import PRACTICE, Door, Doors
from trainer.practice.scenes.opening import Opening
from trainer.practice.session import Session
from trainer.speech import Voice, open_voice
from trainer.teaching import Rules
from trainer.window import sdl
from trainer.window.contacts import Contacts, find
from trainer.window.scenes.scene import Scene
from trainer.window.true_size import TrueSizes
from trainer.window.window import Window


def open_window(
    record: PracticeRecord,
    alphabet: Alphabet,
    *,
    size: tuple[int, int] | None = None,
    motion: bool = True,
    voice: Voice | None = None,
    now: Callable[[], datetime] = lambda: datetime.now(UTC),
) -> tuple[Window, Session]:
    """The window with the cards in it, not running yet, and the session behind it: tests step through it."""
    session = _session(record, alphabet, voice=voice, motion=motion, now=now)
    window = Window(Navigation(session, record).cards(), size=size, title=text("practice.window"))
    return window, session


def run(
    open_record: Callable[[], AbstractContextManager[PracticeRecord]],
    load_alphabet: Callable[[], Alphabet],
    *,
    alphabet_of: Callable[[PracticeRecord, str], Alphabet] | None = None,
    to_mend: Callable[[PracticeRecord, Iterable[str | None]], Sequence[str]] | None = None,
    fullscreen: bool = False,
    size: tuple[int, int] | None = None,
    screen: int = 1,
    motion: bool = True,
    speech: Path | None = None,
    screens: Path | None = None,
    desk_line: str = DESK,
    opened: Callable[[], None] = lambda: None,
    doors: Sequence[Door] = (),
) -> str:
    """Practice until the window is closed. Record and letters are opened behind the first frame.

    `alphabet_of` gives the alphabet that a group uses by the record; without it all use the loaded one.
    `to_mend` tells what a grown-up must mend in the alphabets of some groups. `speech` is the folder of
    recordings and of what was rendered; without it nothing is said. `screens` is the file in which a measured
    screen is kept; without it none can be measured. `desk_line` is what a teacher types to
    open the desk, for a record without pupils. `opened` is called once the cards are there.
    With `doors` the window begins with a choice among them; the door PRACTICE leads to the cards, any other
    one closes the window. Gives back the name of the door that was chosen, and "" where none was.
    What the record could not take is offered to it once more at the end; if that fails too, its
    RecordError is raised, so that nothing is lost without a word.
    """
    with ExitStack() as stack:

        def cards() -> Scene:
            alphabet = load_alphabet()
            record = stack.enter_context(open_record())
            own = partial(alphabet_of, record) if alphabet_of else None
            mend = partial(to_mend, record) if to_mend else None
            voice = open_voice(Rules.of(record.settings).voicing(speech)) if speech else None
            session = _session(record, alphabet, voice=voice, motion=motion)
            stack.callback(session.voice.close)
            navigation = Navigation(
                session,
                record,
                alphabet_of=own,
                to_mend=mend,
                desk_line=desk_line,
                preparation=Preparation(),
            )
            stack.callback(navigation.storage.close)
            Thread(target=_warm_up, args=(alphabet,), daemon=True).start()
            first = navigation.cards()
            opened()
            return first

        def enter(door: str) -> Scene | None:
            choice.append(door)
            if door == PRACTICE:
                return Opening(cards)
            window.open = False
            return None

        choice: list[str] = []
        window = Window(
            Doors(doors, enter) if doors else Opening(cards),
            size=size,
            fullscreen=fullscreen,
            screen=screen,
            title=text("practice.window"),
            true_sizes=TrueSizes(screens, sdl.display) if screens else None,
            contacts=Contacts(find().devices),
        )
        window.run()
        return "".join(choice)


def _session(
    record: PracticeRecord,
    alphabet: Alphabet,
    *,
    voice: Voice | None,
    motion: bool,
    now: Callable[[], datetime] = lambda: datetime.now(UTC),
) -> Session:
    """A session by the teacher's rules; what was typed on the command line can only make it calmer."""
    rules = Rules.of(record.settings)
    return Session(
        alphabet,
        voice=voice,
        motion=motion and rules.motion,
        rest_after=60.0 * rules.minutes,
        tolerances=Tolerances.of(rules.stage),
        now=now,
    )


def _warm_up(alphabet: Alphabet) -> None:
    """Load what judging needs while the child looks at the cards: the first letter shall not wait for it."""
    from strokes.checks import check
    from strokes.ink import Ink

    check(Ink.from_arrays([[[0.0, -1.0], [0.0, 0.0]]]), alphabet.letters[0], guide=alphabet.guide)
