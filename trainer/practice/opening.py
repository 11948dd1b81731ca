"""The practice window: the one place where the record, the session, the screens and the window are joined."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, ExitStack
from datetime import UTC, datetime
from pathlib import Path

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
from trainer.teaching import Alphabets, Rules
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
    session = _session(Rules.of(record.settings), alphabet, voice=voice, motion=motion, now=now)
    window = Window(Navigation(session, record).cards(), size=size, title=text("practice.window"))
    return window, session


def run(
    open_record: Callable[[], AbstractContextManager[PracticeRecord]],
    alphabets_of: Callable[[PracticeRecord], Alphabets],
    *,
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
    """Practice until the window is closed.

    The record is opened behind the first frame, and the letters are read behind the cards. `alphabets_of`
    gives the alphabets that groups use by the record. `speech` is the folder of recordings and of what was
    rendered; without it nothing is said. `screens` is the file in which a measured screen is kept; without it
    none can be measured. `desk_line` is what a teacher types to open the desk, for a record without pupils.
    `opened` is called once the cards are there.
    With `doors` the window begins with a choice among them; the door PRACTICE leads to the cards, any other
    one closes the window. Gives back the name of the door that was chosen, and "" where none was.
    What the record could not take is offered to it once more at the end; if that fails too, its
    RecordError is raised, so that nothing is lost without a word.
    """
    with ExitStack() as stack:

        def cards() -> Scene:
            record = stack.enter_context(open_record())
            rules = Rules.of(record.settings)
            voice = open_voice(rules.voicing(speech)) if speech else None
            session = _session(rules, None, voice=voice, motion=motion)
            stack.callback(session.voice.close)
            navigation = Navigation(
                session,
                record,
                alphabets=alphabets_of(record),
                desk_line=desk_line,
                preparation=Preparation(),
            )
            stack.callback(navigation.storage.close)
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
    rules: Rules,
    alphabet: Alphabet | None,
    *,
    voice: Voice | None,
    motion: bool,
    now: Callable[[], datetime] = lambda: datetime.now(UTC),
) -> Session:
    """A session by the teacher's rules; what was typed on the command line can only make it calmer."""
    return Session(
        alphabet,
        voice=voice,
        motion=motion and rules.motion,
        rest_after=60.0 * rules.minutes,
        tolerances=Tolerances.of(rules.stage),
        now=now,
    )
