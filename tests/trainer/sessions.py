"""A record in memory and a session on it, for tests of the screens."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from strokes.ink import Ink
from strokes.letter import Hand
from strokes.simulation.hand import write as by_hand
from tests.shipped import PRINT as ALPHABET
from trainer.attempt import Attempt, InWord, Pupil, Step, WordTry
from trainer.drawing.theme import Metrics
from trainer.errors import DiskFullError
from trainer.practice.navigation import Navigation
from trainer.practice.scenes.word_writing import WordWriting
from trainer.practice.session import Session
from trainer.window.events import PointerEvent
from trainer.window.scenes.button_scene import ButtonScene
from trainer.window.scenes.scene import Scene

NOW = datetime(2026, 9, 7, 9, 10, tzinfo=UTC)
NAMES = ["Nella", "Bo", "Ines", "Tomas", "Wim", "Ada", "Jonah", "Pia", "Rasmus", "Olu", "Mei", "Sven"]


class Memory:
    """The parts of a Record that a session uses, in lists; with `full` it takes nothing, as a full disk."""

    def __init__(
        self, pupils: int = 1, *, hand: Hand | None = None, plan: Sequence[str] = (), groups: int = 1
    ) -> None:
        self.all = [
            Pupil(n + 1, NAMES[n % len(NAMES)], n % 36 + 1, hand, f"Group {n * groups // pupils + 1}")
            for n in range(pupils)
        ]
        self.stored: list[Attempt] = []
        self.drafts: list[tuple[str, Step, int]] = []
        self.dropped = 0
        self.warmed_up = 0
        self.full = False
        self.pupils = PupilsInMemory(self)
        self.plans = PlansInMemory(tuple(plan))
        self.attempts = AttemptsInMemory(self)
        self.words = WordsInMemory()
        self.word_tries = WordTriesInMemory(self)
        self.tried: list[WordTry] = []

    def check_room(self) -> None:
        if self.full:
            raise DiskFullError("harbor.sqlite: the disk must have room, and is full")


class PupilsInMemory:
    """Those of `memory.all`."""

    def __init__(self, memory: Memory) -> None:
        self.memory = memory

    def find(self, group: str | None = None) -> Sequence[Pupil]:
        return [pupil for pupil in self.memory.all if group in (None, pupil.group)]

    def get(self, number: int) -> Pupil | None:
        return next((pupil for pupil in self.memory.all if pupil.id == number), None)

    def add(self, name: str) -> Pupil:
        self.memory.check_room()
        self.memory.all.append(Pupil(len(self.memory.all) + 1, name, 1, None, "Class"))
        return self.memory.all[-1]


class PlansInMemory:
    """One plan for everybody."""

    def __init__(self, letters: Sequence[str]) -> None:
        self.letters = letters
        self.planned_words: tuple[str, ...] = ()

    def for_pupil(self, pupil: int) -> Sequence[str]:  # noqa: ARG002
        return self.letters

    def words(self, group: str) -> Sequence[str]:  # noqa: ARG002
        return self.planned_words


class AttemptsInMemory:
    """Attempts in `memory.kept`, and a line for each draft in `memory.drafts`."""

    def __init__(self, memory: Memory) -> None:
        self.memory = memory

    def find(self, pupil: int | None = None, **_: object) -> Iterator[Attempt]:
        yield from (attempt for attempt in self.memory.stored if attempt.pupil == pupil)

    def keep(self, attempt: Attempt) -> Attempt:
        self.memory.check_room()
        self.memory.stored.append(replace(attempt, id=len(self.memory.stored) + 1))
        return self.memory.stored[-1]

    def keep_draft(
        self,
        pupil: int,  # noqa: ARG002
        letter: str,
        step: Step,
        ink: Ink,
        in_word: InWord | None = None,  # noqa: ARG002
    ) -> None:
        self.memory.check_room()
        self.memory.drafts.append((letter, step, len(ink)))

    def warm_up(self) -> None:
        self.memory.check_room()
        self.memory.warmed_up += 1

    def drop_draft(self, pupil: int) -> None:  # noqa: ARG002
        self.memory.dropped += 1

    def leave_draft(self, pupil: int) -> None:
        """Nothing here tells one draft from another."""


class WordsInMemory:
    """No words of the school's own; what is marked as taught can be set."""

    def __init__(self) -> None:
        self.marked: frozenset[str] = frozenset()

    def own(self) -> dict[str, str]:
        return {}

    def taught(self, group: str) -> frozenset[str]:  # noqa: ARG002
        return self.marked


class WordTriesInMemory:
    """Tries at words in `memory.tried`."""

    def __init__(self, memory: Memory) -> None:
        self.memory = memory

    def keep(self, tried: WordTry) -> WordTry:
        self.memory.check_room()
        self.memory.tried.append(tried)
        return tried

    def keep_draft(self, draft: WordTry) -> None:  # noqa: ARG002
        self.memory.check_room()

    def drop_draft(self, pupil: int) -> None:
        """Nothing here tells one draft from another."""

    def leave_draft(self, pupil: int) -> None:
        """Nothing here tells one draft from another."""


def open_session(
    memory: Memory | None = None, *, letter: str = "b", motion: bool = True
) -> tuple[Navigation, Memory]:
    """The first pupil of `memory` is at the window and has begun `letter`."""
    memory = memory or Memory()
    navigation = Navigation(Session(ALPHABET, motion=motion, now=lambda: NOW), memory)
    navigation.choose(memory.all[0])
    navigation.begin(letter)
    return navigation, memory


def begin_word(navigation: Navigation, text: str, *, step: Step | None = None) -> Scene:
    """The child has begun a word that a teacher planned."""
    record = navigation.storage.record
    assert isinstance(record, Memory)
    record.plans.planned_words = (text,)
    record.words.marked = frozenset("abcdefghijklmnopqrstuvwxyz")
    navigation.words.today()
    word = next(word for word in navigation.session.words if word.text == text)
    scene = navigation.words.begin(word)
    if step is not None:
        assert navigation.session.word is not None
        navigation.session.word.step = step
        scene = navigation.words.write()
    return scene


def written_so_far(navigation: Navigation, text: str, place: int, step: Step) -> Scene:
    """So many letters of a word are written."""
    begin_word(navigation, text, step=step)
    assert navigation.session.word is not None
    for letter in text[:place]:
        navigation.session.word.take(by_hand(ALPHABET[letter]), is_letter=True)
    return navigation.words.write()


def write_word(screen: Scene) -> Scene:
    """Write all letters that are due in a word, well formed, each in its box; gives what comes then."""
    while isinstance(screen, WordWriting):
        shown(screen)
        write(screen, by_hand(ALPHABET[screen.session.letter_name]))
        after = wait(screen, 5)
        assert after is not None, screen.session.letter_name
        screen = after
    return screen


def finished(navigation: Navigation, ink: Ink, step: Step = Step.COPY) -> Scene:
    """The letter in hand was written like this: judged, kept and answered."""
    session = navigation.session
    return navigation.finish(ink, NOW, step, session.judge.judge(session.letter_name, ink, step))


def shown(scene: Scene | None, size: tuple[int, int] = (1280, 800)) -> Any:
    """The scene as the window would first show it."""
    assert isinstance(scene, ButtonScene)
    scene.on_resize(size, Metrics.of(size))
    return scene


def press(screen: ButtonScene, name: str) -> Scene | None:
    """A finger on a button, and off."""
    button = next(button for button in screen.buttons.all if button.name == name)
    x, y = button.rect.center
    screen.on_pointer(PointerEvent("down", x, y, 0.0))
    return screen.on_pointer(PointerEvent("up", x, y, 0.1))


def write(screen: ButtonScene, ink: Ink, traces: int | None = None) -> None:
    """Write ink in letter space onto the paper of a writing screen."""
    for trace in ink.traces[:traces]:
        assert trace.times is not None
        points = screen.box.transform.apply(trace.points)  # type: ignore[attr-defined]
        stamps = list(zip(points, trace.times, strict=True))
        for number, ((x, y), time) in enumerate(stamps):
            screen.on_pointer(PointerEvent("move" if number else "down", float(x), float(y), float(time)))
        (x, y), time = stamps[-1]
        screen.on_pointer(PointerEvent("up", float(x), float(y), float(time)))


def wait(screen: ButtonScene, seconds: float) -> Scene | None:
    """Let time pass frame by frame until the screen leads on."""
    for _ in range(round(seconds * 60)):
        after = screen.on_tick(1 / 60)
        if after is not None:
            return after
    return None
