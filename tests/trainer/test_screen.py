"""The practice window as a person uses it: a real X display, a real mouse pointer, the command as typed."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Timer

import pytest

from strokes import Ink
from strokes.alphabet import Alphabet
from strokes.files import SHIPPED
from strokes.letter import GuideLines
from strokes.simulation.hand import write
from tests.desk.visitor import HASH, PASSPHRASE, Browser
from tests.trainer.sessions import ALPHABET, Memory, shown
from tests.waiting import HANG, until
from trainer.attempt import InWord
from trainer.desk import Desk, PracticeWindow
from trainer.desk.access.passphrase import SETTING
from trainer.desk.app import create_app
from trainer.drawing.theme import Metrics
from trainer.places import own_letters, record_file
from trainer.practice.navigation import Navigation
from trainer.practice.scenes.word_counting import Counted
from trainer.practice.scenes.writing import Writing
from trainer.practice.session import Session
from trainer.record.record import Record
from trainer.speech import Silence
from trainer.teaching import Rules, letter_saving
from trainer.teaching.letter_drafts import Draft, changed
from trainer.wall import typed_items
from trainer.wall.leading import Leading
from trainer.wall.views.view import Manner
from trainer.wall.views.writing import WritingView
from trainer.window.scenes.button_scene import ButtonScene
from trainer.window.scenes.leaving import Leaving
from trainer.window.scenes.letter_box import LetterBox
from trainer.window.scenes.scene import Scene

SIZE = (1280, 800)
WHOLE = f"{SIZE[0]}x{SIZE[1]}"
TELLING = """
import sys
from trainer.commands.cli import main
from trainer.wall.views.writing import WritingView
from trainer.window.window import Window

step, names = Window.step, []


def telling(window, *words):
    step(window, *words)
    name = type(window.scene).__name__
    if name == "Leading":
        view = window.scene.view
        strokes = view.strokes if isinstance(view, WritingView) else ()
        name = f"turn {window.scene.at} with {len(strokes)} strokes at {window.size[0]}"
    if names[-1:] != [name]:
        names.append(name)
        print(name, flush=True)


Window.step = telling
sys.exit(main(sys.argv[1:]))
"""
"""The command `trainer`, which also says the name of each screen once it is shown, on the wall the turn."""

MISSING = [name for name in ("Xvfb", "xdotool") if shutil.which(name) is None]

pytestmark = [
    pytest.mark.screen,
    pytest.mark.skipif(bool(MISSING), reason=f"not on this machine: {', '.join(MISSING)}"),
]


@pytest.fixture
def display() -> Iterator[str]:
    """A display of its own, on a number that the server finds free and says once it is ready."""
    said, saying = os.pipe()
    command = ["Xvfb", "-displayfd", str(saying), "-screen", "0", f"{WHOLE}x24", "-nolisten", "tcp"]
    server = subprocess.Popen(command, stderr=subprocess.DEVNULL, pass_fds=[saying])
    os.close(saying)
    try:
        with open(said, encoding="ascii") as line:
            number = line.readline().strip()
        assert number, "Xvfb ended before it was ready"
        yield f":{number}"
    finally:
        server.terminate()
        server.wait(timeout=HANG)


def shows(window: subprocess.Popen[str], name: str) -> None:
    """Wait until a window tells that it shows the screen of that name."""
    assert window.stdout is not None
    assert window.stderr is not None
    too_late = Timer(HANG, window.kill)
    too_late.start()
    try:
        while (line := window.stdout.readline()) != f"{name}\n":
            assert line, f"it ended before {name}, or {HANG:.0f} s went by: {window.stderr.read()}"
    finally:
        too_late.cancel()


class Person:
    """Moves the pointer of a display and presses its button, as a person does."""

    def __init__(self, display: str) -> None:
        self.environment = {**os.environ, "DISPLAY": display}

    def do(self, *words: object) -> None:
        command = ["xdotool", *(str(word) for word in words)]
        subprocess.run(command, env=self.environment, check=True, timeout=HANG)

    def under_the_pointer(self) -> str:
        """The number of the window there; without a window manager, windows cannot be found by name."""
        command = ["xdotool", "mousemove", str(SIZE[0] // 2), "2", "getmouselocation", "--shell"]
        run = subprocess.run(command, env=self.environment, check=True, capture_output=True, text=True)
        return next(line for line in run.stdout.splitlines() if line.startswith("WINDOW="))

    def press(self, screen: ButtonScene, name: str) -> None:
        x, y = next(button for button in screen.buttons.all if button.name == name).rect.center
        self.do("mousemove", round(x), round(y), "sleep", 0.1, "mousedown", 1, "sleep", 0.05, "mouseup", 1)

    def write(self, box: LetterBox, ink: Ink) -> None:
        words: list[object] = []
        for trace in ink.transformed(box.transform).traces:
            places = [(round(x), round(y)) for x, y in trace.points[::2]]
            words += ["mousemove", *places[0], "sleep", 0.1, "mousedown", 1]
            for x, y in places[1:]:
                words += ["mousemove", x, y, "sleep", 0.01]
            words += ["mouseup", 1]
        self.do(*words)


@contextmanager
def opened(person: Person, folder: Path, *typed: str, first: str) -> Iterator[subprocess.Popen[str]]:
    """A window as a command, once its first screen is there; killed if it does not end by itself."""
    root = person.under_the_pointer()
    command = [sys.executable, "-c", TELLING, *typed, "--data", str(folder)]
    environment = {**person.environment, "SDL_VIDEODRIVER": "x11", "SDL_VIDEO_WINDOW_POS": "0,0"}
    window = subprocess.Popen(
        command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        shows(window, first)
        until(lambda: person.under_the_pointer() != root, "the window to open")
        yield window
        assert window.wait(timeout=HANG) == 0, window.stderr.read() if window.stderr else ""
    finally:
        if window.poll() is None:
            window.kill()
            window.wait(timeout=HANG)
        for output in filter(None, (window.stdout, window.stderr)):
            output.close()


def test_the_first_day_ends_with_the_first_childs_stroke_in_the_record(display, tmp_path):
    """The desk takes names and opens the window; a child finds her card there, watches, and writes."""
    person = Person(display)
    place = {"DISPLAY": display, "SDL_VIDEODRIVER": "x11", "SDL_VIDEO_WINDOW_POS": "0,0"}
    words = ("--data", str(tmp_path), "--size", WHOLE)
    program = (sys.executable, "-c", TELLING)
    with (
        Record.open(record_file(tmp_path)) as record,
        PracticeWindow(words, variables=place, lasts=False, program=program) as window,
    ):
        client = teacher(record, tmp_path, window)
        client.post("/first-day", data={"names": "Nella\nBo\nIda", "group": "Quay"})
        root = person.under_the_pointer()
        assert client.post("/practice").status_code == 303
        screens = window.folder / "said"
        names_of_screens(screens, "Cards")
        until(lambda: person.under_the_pointer() != root, "the window to open")
        assert window.state == "open"

        # the same screens in this process tell where things stand
        navigation = Navigation(Session(ALPHABET), record)
        bo = record.pupils.find()[0]
        person.press(shown(navigation.cards(), SIZE), "card 0")
        names_of_screens(screens, "Letters")
        person.press(shown(navigation.choose(bo), SIZE), "go")
        names_of_screens(screens, "Watching")
        letter = navigation.session.offers[0].letter
        person.press(shown(navigation.begin(letter), SIZE), "go")
        names_of_screens(screens, "Writing")
        writing = shown(navigation.write(), SIZE)
        person.write(writing.box, Ink(write(ALPHABET[letter]).traces[:1]))
        until(lambda: list(record.attempts.find(bo.id)), "the stroke to be kept")
        (first,) = record.attempts.find(bo.id)
        assert (first.letter, len(first.ink.traces)) == (letter, 1)


def names_of_screens(said: Path, last: str) -> None:
    """Wait until the window that the desk opened tells that it shows the screen of that name."""
    until(lambda: last in said.read_text(encoding="utf-8").splitlines(), f"the screen {last}")


def teacher(record: Record, folder: Path, practice: PracticeWindow) -> Browser:
    """A browser at the desk over that record, with the passphrase given."""
    record.settings.set(SETTING, HASH)
    app = create_app(Desk(record, own_letters(folder), practice=practice), testing=True)
    app.test_client_class = Browser
    client = app.test_client()
    client.get("/login")
    client.post("/login", data={"passphrase": PASSPHRASE})
    return client


def test_a_letter_that_a_teacher_wrote_is_practiced(display, tmp_path):
    """Written three times, as a p, and saved in an alphabet of her own."""
    own = own_letters(tmp_path)
    own.mkdir()
    for letter in "lt":
        shutil.copy(SHIPPED / "print" / f"{letter}.svg", own)
    draft = Draft("þ")
    for number in range(3):
        for trace in write(ALPHABET["p"], seed=number).traces:
            changed(draft, {"do": "write", "trace": trace.points.tolist()}, GuideLines())
        if number == 0:
            changed(draft, {"do": "again"}, GuideLines())
    letter_saving.save(own, draft)

    writes_a_letter(Person(display), tmp_path, Alphabet.load(own), "þ")


def writes_a_letter(person: Person, folder: Path, alphabet: Alphabet, letter: str) -> None:
    """A child with a plan of one letter watches it and writes it well formed; the record has it then."""
    with Record.open(record_file(folder)) as record:
        nella = record.pupils.add("Nella")
        record.plans.set(nella.group, [letter])
    with opened(person, folder, "practice", "--size", WHOLE, first="Cards") as window:
        # the same screens in this process tell where things stand
        navigation = Navigation(Session(alphabet), Memory(plan=[letter]))
        cards = shown(navigation.cards(), SIZE)
        person.press(cards, "card 0")
        shows(window, "Letters")
        letters = shown(navigation.choose(navigation.storage.all_pupils()[0]), SIZE)
        person.press(letters, "go")
        shows(window, "Watching")
        person.press(shown(navigation.begin(letter), SIZE), "go")
        shows(window, "Writing")
        writing = shown(navigation.write(), SIZE)
        assert isinstance(writing, Writing)
        person.write(writing.box, write(alphabet[letter]))
        with Record.open(record_file(folder)) as record:
            until(
                lambda: any(attempt.finished for attempt in record.attempts.find()), "the letter to be kept"
            )
            (kept_attempt,) = record.attempts.find()
        assert (kept_attempt.pupil, kept_attempt.letter) == (nella.id, letter)
        assert kept_attempt.verdict is not None
        assert kept_attempt.verdict.formed
        person.do("key", "Escape")
        shows(window, "Leaving")
        person.press(shown(Leaving(letters, lambda: None), SIZE), "out")


WORDS = os.environ.get("WALK_WORDS", "it").split()
"""The words that a child is walked through: one in the tests, and by hand one of each kind.

WALK_WORDS="it ship shake said sunset" .venv/bin/python -m pytest -n 0 tests/trainer/test_screen.py
"""


@pytest.mark.parametrize("text", WORDS)
def test_a_child_hears_counts_and_writes_a_word_leaves_halfway_and_comes_back_after_a_wrong_stroke(
    display, tmp_path, text
):
    person = Person(display)
    with Record.open(record_file(tmp_path)) as record:
        nella = record.pupils.add("Nella", hand="left")
        record.plans.set_words(nella.group, [text])
        Rules(sound=False).keep(record.settings)
    with opened(person, tmp_path, "practice", "--size", WHOLE, first="Cards") as window:
        # the same screens in this process tell where things stand
        memory = Memory(hand="left")
        memory.plans.planned_words = (text,)
        navigation = Navigation(Session(ALPHABET), memory)

        def presses(scene: Scene | None, name: str, after: str) -> None:
            person.press(shown(scene, SIZE), name)
            shows(window, after)

        def written_at(place: int) -> Writing:
            assert navigation.session.word is not None
            navigation.session.word.written = [write(ALPHABET[letter]) for letter in text[:place]]
            return shown(navigation.words.write(), SIZE)

        presses(navigation.cards(), "card 0", "Letters")
        presses(navigation.welcome(memory.all[0]), "words", "Words")
        presses(navigation.words.today(), "go", "Hearing")
        word = navigation.session.words[0]
        presses(navigation.words.begin(word), "on", "Counting")
        counting = shown(navigation.words.count(), SIZE)
        for _ in word.sounds:
            person.press(counting, "tap")
        presses(counting, "done", "Counted")
        presses(Counted(navigation, len(word.sounds)), "on", "WordWriting")
        *firsts, last = text
        for place, letter in enumerate(firsts):
            person.write(written_at(place).box, write(ALPHABET[letter]))
            with Record.open(record_file(tmp_path)) as record:
                until(lambda so_far=place: _finished(record) > so_far, "the letter to be kept")
        with Record.open(record_file(tmp_path)) as record:
            upward = Ink.from_arrays([write(ALPHABET[last]).traces[0].points[::-1]])
            person.write(written_at(len(firsts)).box, upward)
            until(lambda: len(list(record.attempts.find())) == len(text), "the wrong stroke to be kept")
            presses(written_at(len(firsts)), "leave", "Words")
            presses(navigation.words.today(), "go", "WordWriting")
            navigation.words.begin(word)
            person.write(written_at(len(firsts)).box, write(ALPHABET[last]))
            shows(window, "ReadingBack")
            attempts = [(a.letter, a.in_word, a.finished) for a in record.attempts.find()]
            (counted,) = record.word_tries.find()
        assert attempts == [
            *((letter, InWord(text, place), True) for place, letter in enumerate(firsts)),
            (last, InWord(text, len(firsts)), False),
            (last, InWord(text, len(firsts)), True),
        ]
        assert (counted.asked, counted.given) == (len(word.sounds), len(word.sounds))
        person.do("key", "Escape")
        shows(window, "Leaving")
        person.press(shown(Leaving(navigation.words.today(), lambda: None), SIZE), "out")


def _finished(record: Record) -> int:
    return sum(attempt.finished for attempt in record.attempts.find())


def test_a_grown_up_leaves_the_full_screen_by_a_long_press_in_the_corner(display, tmp_path):
    """Once too short, once and back again, and then away."""
    with Record.open(record_file(tmp_path)) as record:
        record.pupils.add("Nella")
    person = Person(display)
    with opened(person, tmp_path, "practice", "--fullscreen", first="Cards") as window:
        leaving = shown(Leaving(Scene(), lambda: None), SIZE)
        person.do("mousemove", 12, 12, "mousedown", 1, "sleep", 0.5, "mouseup", 1)
        person.press(leaving, "out")  # nothing stands there yet
        assert window.poll() is None
        for answer, after in (("stay", "Cards"), ("out", "")):
            person.do("mousemove", 12, 12, "mousedown", 1)
            shows(window, "Leaving")
            person.do("mouseup", 1)
            person.press(leaving, answer)
            if after:
                shows(window, after)


def test_a_teacher_leads_the_class_through_a_word_and_takes_the_pen_in_the_middle_of_a_stroke(
    display, tmp_path
):
    """A digraph and a silent e, by the keys of a clicker, beyond the first and last turn.

    The window becomes smaller meanwhile, and there is no sound device. The same wall in this process tells
    where things stand.
    """
    person = Person(display)
    typed = ("show", "shake", "--size", WHOLE, "--hand", "left")
    with opened(person, tmp_path, *typed, first="turn 0 with 0 strokes at 1280") as window:

        def press(*keys: str, then: str) -> None:
            person.do("key", "--delay", 80, *keys)
            shows(window, then)

        wall = Leading(typed_items(["shake"], ALPHABET, {}), Manner(Silence()), hand="left")
        wall.on_resize(SIZE, Metrics.of(SIZE))
        wall.on_show()
        while not isinstance(wall.view, WritingView):
            wall.on()
        begun = wall.at
        person.do("key", "Prior")
        press(*["Next"] * begun, then=f"turn {begun} with 0 strokes at 1280")
        person.write(wall.view.box, write(ALPHABET["s"]))  # the pen has just begun
        shows(window, f"turn {begun} with 1 strokes at 1280")
        press("Next", then=f"turn {begun + 1} with 0 strokes at 1280")
        press("Prior", then=f"turn {begun} with 1 strokes at 1280")
        press("b", "period", "Next", then=f"turn {begun + 1} with 0 strokes at 1280")
        number = person.under_the_pointer().removeprefix("WINDOW=")
        person.do("windowsize", number, 800, 480)
        shows(window, f"turn {begun + 1} with 0 strokes at 800")
        last = len(wall.turns) - 1
        press(*["Next"] * (last - begun), then=f"turn {last} with 0 strokes at 800")
        press("Next", "Prior", then=f"turn {last - 1} with 0 strokes at 800")
        press("Escape", then="Leaving")
        person.press(shown(Leaving(wall, lambda: None), (800, 480)), "out")
