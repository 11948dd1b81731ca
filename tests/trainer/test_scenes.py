from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import timedelta
from itertools import chain, combinations, cycle, pairwise
from string import ascii_letters, ascii_lowercase, digits
from types import SimpleNamespace

import numpy as np
import pytest

from strokes.alphabet import Alphabet
from strokes.ink import Ink
from strokes.kinds import Kind, WordKind
from strokes.letter import SETS, set_of
from strokes.report import WordFinding
from strokes.simulation.hand import Fault
from strokes.simulation.hand import write as by_hand
from strokes.words import WordReport
from tests.cases import for_each
from tests.recording import RecordingCanvas
from tests.shipped import SAMPLE_LETTERS
from tests.trainer.sessions import (
    ALPHABET,
    NOW,
    Memory,
    begin_word,
    finished,
    open_session,
    press,
    shown,
    wait,
    write,
    written_so_far,
)
from trainer.attempt import Attempt, Step, Verdict
from trainer.drawing import theme
from trainer.drawing.cards import parts as cardparts
from trainer.drawing.rect import Rect
from trainer.drawing.theme import Metrics
from trainer.errors import BusyError, DiskFullError
from trainer.language.texts import text
from trainer.practice.navigation import Navigation
from trainer.practice.scenes.answer import Answer
from trainer.practice.scenes.asking import Asking
from trainer.practice.scenes.cards import LOOK_AGAIN, Cards
from trainer.practice.scenes.inking import STILL_MM
from trainer.practice.scenes.letters import Letters
from trainer.practice.scenes.line_writing import LineAnswer
from trainer.practice.scenes.rest import Rest
from trainer.practice.scenes.rhyming import Rhyming
from trainer.practice.scenes.screen import Screen
from trainer.practice.scenes.trouble import Trouble
from trainer.practice.scenes.watching import Watching
from trainer.practice.scenes.word_counting import Counted
from trainer.practice.scenes.writing import Writing
from trainer.practice.session import A_MOMENT, Session
from trainer.speech import Silence, Utterance
from trainer.teaching import NAME_LETTERS
from trainer.teaching.letter_offers import REST_AFTER
from trainer.window.events import KeyEvent, PointerEvent
from trainer.window.scenes.buttons import SHAPES
from trainer.window.scenes.layout import corner
from trainer.window.scenes.leaving import Leaving
from trainer.window.scenes.scene import Scene

SIZES = [
    (800, 480),
    (1024, 600),
    (1280, 800),
    (1920, 1080),
    (3840, 2160),
    (480, 800),
    (1080, 1920),
    (2160, 3840),
]
B = ALPHABET["b"]

# Layout


def answered(navigation: Navigation, kind: Kind | None) -> Scene:
    return finished(navigation, by_hand(B, fault=Fault(kind) if kind else None), Step.COPY)


def hinted(navigation: Navigation) -> Scene:
    screen = shown(Writing(navigation, Step.COPY))
    write(screen, by_hand(B, fault=Fault(Kind.DIRECTION)))
    return screen


def revealed(navigation: Navigation, word: str) -> Scene:
    screen = shown(begin_word(navigation, word))
    press(screen, "picture")
    return screen


def counting(navigation: Navigation, word: str, taps: int) -> Screen:
    begin_word(navigation, word)
    screen = shown(navigation.words.count())
    for _ in range(taps):
        press(screen, "tap")
    return screen


def line_answered(navigation: Navigation) -> Scene:
    """A word on one line with something to try, which is about a gap."""
    begin_word(navigation, "captain")
    traces = tuple((number,) for number in range(7))
    report = WordReport((WordFinding(WordKind.TOUCHING, 0.0, 0.05, 3),), traces)
    return LineAnswer(navigation, Ink.from_arrays([[[k, -1.0], [k, 0.0]] for k in range(7)]), report)


def on_a_line(navigation: Navigation, word: str) -> Scene:
    begin_word(navigation, word)
    return navigation.words.write_line()


def rhyming(navigation: Navigation, word: str) -> Rhyming:
    """Words of which one that rhymes and one that does not were touched."""
    begin_word(navigation, word)
    screen = shown(navigation.words.next())
    assert isinstance(screen, Rhyming)
    rhyming = [option.text for option in screen.rhymes.options if option.text in screen.rhymes.rhyming]
    others = [option.text for option in screen.rhymes.options if option.text not in screen.rhymes.rhyming]
    for option in (rhyming[0], others[0]):
        press(screen, f"word {option}")
    return screen


SCREENS: dict[str, Callable[[Navigation], Scene]] = {
    "cards": lambda navigation: navigation.cards(),
    "letters": lambda navigation: navigation.letters(),
    "all letters": lambda navigation: Letters(navigation, every=True),
    "watch": lambda navigation: navigation.watch(),
    "trace": lambda navigation: Writing(navigation, Step.TRACE),
    "copy": lambda navigation: Writing(navigation, Step.COPY),
    "recall": lambda navigation: Writing(navigation, Step.RECALL),
    "hint": hinted,
    "praise": lambda navigation: answered(navigation, None),
    "one thing to try": lambda navigation: answered(navigation, Kind.DIRECTION),
    "words": lambda navigation: navigation.words.today(),
    "hear and reveal": lambda navigation: revealed(navigation, "boat"),
    "count": lambda navigation: counting(navigation, "stamp", 7),
    "counted": lambda navigation: Counted(counting(navigation, "cake", 0).routes, 4),
    "word, later letter": lambda navigation: written_so_far(navigation, "lantern", 5, Step.COPY),
    "word from memory": lambda navigation: written_so_far(navigation, "cake", 3, Step.RECALL),
    "read back": lambda navigation: written_so_far(navigation, "ship", 4, Step.COPY),
    "line": lambda navigation: on_a_line(navigation, "lantern"),
    "line, one thing to try": line_answered,
    "rhymes": lambda navigation: rhyming(navigation, "cat"),
    "rhyme to make": lambda navigation: navigation.words.make_rhyme(rhyming(navigation, "cat").rhymes),
    "rest": lambda navigation: Rest(navigation, navigation.write),
    "is this you": lambda navigation: Asking(navigation, navigation.storage.all_pupils()[0]),
    "leave": lambda navigation: Leaving(navigation.letters(), lambda: None),
    "trouble": lambda navigation: Trouble(
        navigation, "harbor.sqlite: " + "a long reason " * 9, navigation.write
    ),
}


@for_each("hand", ["right", "left"])
@for_each("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", list(SCREENS))
def test_every_screen_holds_at_every_size(name, size, hand):
    """Nothing to press overlaps, lies outside or is too small; no words leave their place."""
    navigation, _ = open_session(Memory(12, hand=hand, plan=["b", "t", "i", "k"]))
    screen = shown(SCREENS[name](navigation), size)
    canvas = RecordingCanvas(size)
    screen.draw(canvas)
    window, metrics = Rect(0, 0, *size), Metrics.of(size)
    targets = [button.rect for button in screen.buttons.all]
    if isinstance(screen, Writing):
        targets.append(screen.box.rect)

    for rect, other in combinations(targets, 2):
        assert not overlap(rect, other), (rect, other)
    for target in targets:
        assert not overlap(target, corner(metrics, screen.hand)), "a long press there asks to leave"
        assert within(target, window)
        assert min(target.width, target.height) >= 0.95 * min(metrics.button, min(size) / 8)
    for call in canvas.named("text"):
        box, where = call.given["box"], call.given["where"]
        assert within(box, window), call
        assert not isinstance(where, Rect) or within(box, where), call
        assert call.given["setting"].size >= metrics.mm(1.7), call


def overlap(rect: Rect, other: Rect) -> bool:
    """Whether two boxes share more than an edge."""
    across = rect.left < other.right and other.left < rect.right
    return across and rect.top < other.bottom and other.top < rect.bottom


def within(inner: Rect, outer: Rect) -> bool:
    return (
        inner.left >= outer.left - 1
        and inner.top >= outer.top - 1
        and inner.right <= outer.right + 1
        and inner.bottom <= outer.bottom + 1
    )


@for_each("hand", ["right", "left"])
@for_each("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@for_each("step", [Step.TRACE, Step.COPY, Step.RECALL])
def test_the_writing_box_has_an_x_height_of_20_mm(step, size, hand):
    navigation, _ = open_session(Memory(hand=hand))
    screen = shown(Writing(navigation, step), size)

    assert isinstance(screen, Writing)
    assert screen.box.unit >= Metrics.of(size).mm(19.5)


@for_each("name", list(ALPHABET))
def test_every_letter_stands_inside_its_box(name):
    navigation, _ = open_session(letter=name)
    screen = shown(Writing(navigation, Step.COPY), (800, 480))

    assert isinstance(screen, Writing)
    assert screen.model is not None
    for box in (screen.box, screen.model):
        for stroke in screen.formation.strokes:
            for x, y in box.transform.apply(stroke.path):
                assert box.rect.inset(box.pen / 2).contains(x, y)


@pytest.mark.parametrize("size", [(1280, 800), (800, 480)])
def test_a_left_handed_child_has_the_model_on_the_right_and_the_buttons_on_the_left(size):
    """Trade facts, section 2: the hand must cover neither."""
    for hand, model_left in (("right", True), ("left", False)):
        navigation, _ = open_session(Memory(hand=hand))
        screen = shown(Writing(navigation, Step.COPY), size)
        assert isinstance(screen, Writing)
        assert screen.model is not None
        assert (screen.model.rect.left < screen.box.rect.left) is model_left
        rail = next(button for button in screen.buttons.all if button.main).rect
        assert (rail.left > screen.box.rect.left) is model_left


def test_in_portrait_the_model_is_above_for_both_hands():
    for hand in ("right", "left"):
        navigation, _ = open_session(Memory(hand=hand))
        screen = shown(Writing(navigation, Step.COPY), (480, 800))
        assert isinstance(screen, Writing)
        assert screen.model is not None
        assert screen.model.rect.bottom <= screen.box.rect.top


def test_only_one_button_is_the_obvious_one():
    for name, build in SCREENS.items():
        navigation, _ = open_session()
        screen = shown(build(navigation))
        assert sum(button.main for button in screen.buttons.all) == (0 if name == "cards" else 1), name


# Buttons

DOES = {
    "on": "on",
    "go": "on",
    "done": "tick",
    "yes": "tick",
    "no": "back",
    "stay": "back",
    "leave": "letters",
    "today": "letters",
    "all": "every",
    "cards": "cards",
    "more": "page on",
    "back": "page back",
    "show": "watch",
    "lid": "look",
    "again": "again",
    "undo": "undo",
    "clear": "clear",
    "retry": "keep",
    "out": "out",
    "easier": "easier",
    "words": "words",
    "tap": "tap",
    "picture": "look",
}
"""The icon of each thing that a button does: on, done, back to what was there, to today's letters, ..."""


def answered_twice(navigation: Navigation) -> Scene:
    """The same thing went wrong twice: a step down is offered."""
    answered(navigation, Kind.DIRECTION)
    return answered(navigation, Kind.DIRECTION)


def test_an_icon_means_one_thing_and_two_things_have_two_icons():
    icons: dict[str, set[str]] = {}
    for build in (*SCREENS.values(), answered_twice):
        navigation, _ = open_session(Memory(34, plan=["b", "t"]))
        for button in shown(build(navigation)).buttons.all:
            if not button.name.startswith(("card ", "letter ", "set ", "word ")):  # these show what they are
                icons.setdefault(button.name, set()).add(button.icon)

    assert icons == {name: {icon} for name, icon in DOES.items()}


def test_no_two_icons_are_the_same_lines():
    assert len({repr(lines) for lines in SHAPES.values()}) == len(SHAPES)


def test_a_press_counts_when_the_finger_lifts_on_the_button():
    navigation, _ = open_session()
    screen = shown(navigation.letters())
    x, y = next(b for b in screen.buttons.all if b.name == "go").rect.center

    assert screen.on_pointer(PointerEvent("down", x, y, 0.0)) is None
    assert isinstance(screen.on_pointer(PointerEvent("up", x + 3, y, 0.1)), Watching)


@pytest.mark.parametrize("last", [("up", 0, 0), ("cancel", None, None)])
def test_a_finger_that_slides_away_or_is_lost_presses_nothing(last):
    navigation, _ = open_session()
    screen = shown(navigation.letters())
    x, y = next(b for b in screen.buttons.all if b.name == "go").rect.center
    action, left, top = last

    screen.on_pointer(PointerEvent("down", x, y, 0.0))

    assert (
        screen.on_pointer(PointerEvent(action, x if left is None else left, y if top is None else top, 0.1))
        is None
    )
    assert screen.buttons.pressed is None


def test_return_presses_the_main_button():
    navigation, _ = open_session()

    assert isinstance(shown(navigation.letters()).on_key(KeyEvent("return")), Watching)


# Cards


class Groups:
    """The alphabets of groups, and what must be mended in them; it knows what it was asked for."""

    def __init__(self, used: dict[str | None, Alphabet], to_mend: Sequence[str] = ()) -> None:
        self.used = used
        self.sentences = to_mend
        self.asked: list[list[str | None]] = []

    def of(self, group: str | None = None) -> SimpleNamespace:
        return SimpleNamespace(alphabet=self.used[group], folder=group)

    def to_mend(self, groups: Iterable[str | None]) -> Sequence[str]:
        self.asked.append(list(groups))
        return self.sentences


def test_a_child_practices_the_alphabet_of_its_group():
    """Plans and offers keep to it too."""
    few = Alphabet("few", tuple(letter for letter in ALPHABET.letters if letter.name in "lit"))
    memory = Memory(2, groups=2, plan=["b", "t"])
    alphabets = Groups({"Group 1": ALPHABET, "Group 2": few})
    navigation = Navigation(Session(None, now=lambda: NOW), memory, alphabets=alphabets)

    navigation.choose(memory.all[1])
    assert navigation.session.alphabet is few
    assert {offer.letter for offer in navigation.session.offers} <= {"l", "i", "t"}
    navigation.choose(memory.all[0])
    assert navigation.session.alphabet is ALPHABET


def test_without_a_class_a_guest_can_write_at_once_and_is_kept():
    memory = Memory(0)
    navigation = Navigation(Session(ALPHABET, now=lambda: NOW), memory)
    cards = shown(navigation.cards())

    letters = press(cards, "card 0")

    assert isinstance(letters, Letters)
    assert [pupil.name for pupil in memory.all] == [text("practice.cards.guest")]


MEND = "The letter q of your alphabet “letters” is set aside until it is mended."


@for_each("pupils", [0, 1, 30])
@for_each("size", [(1280, 800), (800, 480), (480, 800)])
def test_letters_to_mend_are_told_to_the_grown_up_under_the_cards(pupils, size):
    alphabets = Groups({None: ALPHABET, "Group 1": ALPHABET, "Group 2": ALPHABET}, to_mend=[MEND])
    memory = Memory(pupils, groups=2 if pupils > 1 else 1)
    navigation = Navigation(Session(None, now=lambda: NOW), memory, alphabets=alphabets)
    cards = shown(navigation.cards(), size)
    canvas = RecordingCanvas(size, Metrics.of(size))
    cards.draw(canvas)

    assert alphabets.asked == [{0: [None], 1: ["Group 1"], 30: ["Group 1", "Group 2"]}[pupils]]
    (line,) = [call for call in canvas.named("text") if MEND in call.given["string"]]
    assert line.given["string"].startswith("For the teacher: ")
    box = line.given["box"]
    for rect in (button.rect for button in cards.buttons.all):
        beside = rect.right <= box.left or rect.left >= box.right
        assert beside or rect.bottom <= box.top or rect.top >= box.bottom


def test_letters_that_are_set_aside_are_passed_over_where_they_are_planned():
    """Also all of them: the child then goes on with new letters, as where nothing is planned."""
    without = Alphabet(
        "own", tuple(letter for letter in ALPHABET.letters if letter.name not in "bz"), ALPHABET.guide
    )

    for plan in (("b", "l"), ("b", "z")):
        memory = Memory(plan=plan)
        alphabets = Groups({pupil.group: without for pupil in memory.all})
        navigation = Navigation(Session(None, now=lambda: NOW), memory, alphabets=alphabets)
        letters = shown(navigation.choose(memory.all[0]))
        assert isinstance(letters, Letters)
        assert navigation.session.plan == tuple(letter for letter in plan if letter == "l")
        assert not set(letters.names) & set("bz")
        assert isinstance(press(letters, "go"), Watching)


def pages(cards: Cards) -> Iterator[list[str]]:
    for _ in cards.pages:
        yield [pupil.name for pupil in cards.pages[cards.at][1]]
        press(cards, "more")


@for_each("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@for_each("groups", [1, 3])
def test_every_pupil_of_a_large_class_has_a_card_on_some_page(size, groups):
    memory = Memory(34, groups=groups)
    cards = shown(Navigation(Session(ALPHABET), memory).cards(), size)
    assert isinstance(cards, Cards)
    if len(cards.pages) == 1:
        names = [pupil.name for pupil in cards.pages[0][1]]
    else:
        names = [name for page in pages(cards) for name in page]

    assert sorted(names) == sorted(pupil.name for pupil in memory.all)
    assert cards.at == 0


def test_groups_do_not_share_a_page():
    cards = shown(Navigation(Session(ALPHABET), Memory(9, groups=3)).cards())
    assert isinstance(cards, Cards)

    assert all(len({pupil.group for pupil in pupils}) == 1 for _, pupils in cards.pages)


def page_dots(cards: Cards) -> tuple[int, int, float]:
    """How many dots stand under the cards, how many of them are full, and where the full one is (px)."""
    canvas = RecordingCanvas(cards.metrics and (cards.metrics.width, cards.metrics.height))
    cards.draw(canvas)
    full = [d.given["center"] for d in canvas.named("disc") if d.given["center"][1] >= cards.body.bottom]
    rings = [r.given["center"] for r in canvas.named("ring") if r.given["center"][1] >= cards.body.bottom]
    places = sorted([*full, *rings])
    return len(places), len(full), places.index(full[0]) if full else -1


@for_each("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_dots_tell_which_of_the_pages_of_cards_is_seen(size):
    cards = shown(Navigation(Session(ALPHABET), Memory(34, groups=3)).cards(), size)
    count = len(cards.pages)
    assert count > 1

    dots = []
    for _ in range(count + 1):
        dots.append(page_dots(cards))
        press(cards, "more")

    assert dots == [(count, 1, place % count) for place in range(count + 1)]


def test_a_class_that_fits_on_one_page_has_no_dots():
    assert page_dots(shown(Navigation(Session(ALPHABET), Memory(4)).cards())) == (0, 0, -1)


# Letters


@for_each("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@for_each("hand", ["right", "left"])
@for_each("every", [False, True])
def test_the_name_and_the_picture_of_who_writes_stand_away_from_the_buttons(size, hand, every):
    navigation, _ = open_session(Memory(hand=hand, plan=["t", "k"]))
    navigation.letters()
    screen = shown(Letters(navigation, every=every), size)
    canvas = RecordingCanvas(size)
    screen.draw(canvas)
    names = [call.given["box"] for call in canvas.named("text") if call.given["string"] == "Nella"]
    if every:
        title = next(button.rect for button in screen.buttons.all if button.name.startswith("set "))
    else:
        title = next(call.given["box"] for call in canvas.named("text") if "etters" in call.given["string"])
    picture = next(c.given["rect"] for c in canvas.named("panel") if c.given["color"] == cardparts.TINT)

    assert len(names) == 1 or (every and size == (480, 800)), "the sets need the room of the name there"
    for name in names:
        assert not overlap(name, picture)
        assert not overlap(name, title)
        assert (picture.center[0] < name.center[0] < title.center[0]) is (hand == "right")
    assert not overlap(picture, title)
    assert (picture.center[0] < title.center[0]) is (hand == "right")
    assert picture.width >= Metrics.of(size).mm(9)


def test_a_long_name_stays_beside_its_picture():
    navigation, memory = open_session(Memory(plan=["t"]))
    navigation.session.pupil = replace(memory.all[0], name="Anneliese-Wilhelmina Oosterhuis-Brandsma")
    for size in SIZES:
        screen = shown(navigation.letters(), size)
        canvas = RecordingCanvas(size)
        screen.draw(canvas)
        (words,) = (c.given for c in canvas.named("text") if c.given["string"].startswith("Anneliese"))
        assert within(words["box"], words["where"])
        assert words["setting"].size >= Metrics.of(size).mm(1.7)


def test_go_on_takes_the_first_letter_of_the_plan_and_a_cell_takes_its_own():
    navigation, _ = open_session(Memory(plan=["t", "k"]))
    screen = shown(navigation.letters())

    assert isinstance(press(screen, "letter k"), Watching)
    assert navigation.session.letter_name == "k"
    assert isinstance(press(screen, "go"), Watching)
    assert navigation.session.letter_name == "t"


def test_any_letter_can_be_chosen():
    navigation, _ = open_session(Memory(plan=["t"]))
    every = shown(press(shown(navigation.letters()), "all"))  # type: ignore[arg-type]

    press(every, "letter q")

    assert navigation.session.letter_name == "q"


@for_each("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@for_each("hand", ["right", "left"])
def test_every_letter_can_be_chosen_set_by_set_with_a_childs_finger(size, hand):
    """Buttons of 15 mm; of two panels one is lower than that has room for beside the sentence's line."""
    navigation, _ = open_session(Memory(hand=hand, plan=list(ALPHABET)))
    navigation.letters()
    screen = shown(Letters(navigation, every=True), size)
    least = Metrics.of(size).button * 0.98
    shown_letters: list[str] = []

    for letter_set in SETS:
        press(screen, f"set {letter_set}")
        for _ in range(5):
            cells = [button for button in screen.buttons.all if button.name.startswith("letter ")]
            sets = [button for button in screen.buttons.all if button.name.startswith("set ")]
            assert all(min(button.rect.width, button.rect.height) >= least for button in (*cells, *sets))
            for left_button, other in pairwise(sorted(sets, key=lambda button: button.rect.left)):
                assert left_button.rect.right < other.rect.left
            shown_letters += [button.name.removeprefix("letter ") for button in cells]
            if not any(button.name == "more" for button in screen.buttons.all):
                break
            press(screen, "more")

    assert list(dict.fromkeys(shown_letters)) == [
        letter for letter_set in SETS for letter in ALPHABET.only(letter_set)
    ]


@for_each("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_a_set_of_the_letters_that_a_child_knows_is_one_page_and_has_no_others(size):
    """The letters that all are taught, those of the name, of the plan, and what was written before."""
    memory = Memory(plan=["é", NAME_LETTERS])
    memory.all[0] = replace(memory.all[0], name="Åse")
    navigation, _ = open_session(memory)
    navigation.session.history = [
        Attempt(1, 1, "ñ", Step.COPY, NOW, Ink(), Verdict("taught", formed=True, looks=True))
    ]
    screen = shown(Letters(navigation, every=True), size)

    known = {*ascii_letters, *digits, *"Åéñ"}
    assert set(navigation.session.letters) == known
    for letter_set in SETS:
        press(screen, f"set {letter_set}")
        assert set(screen.names) == {letter for letter in known if set_of(letter) == letter_set}
        cells = [button.rect for button in screen.buttons.all if button.name.startswith("letter ")]
        tabs = [button.rect for button in screen.buttons.all if button.name.startswith("set ")]
        gap = min(rect.top for rect in cells) - max(rect.bottom for rect in tabs)
        assert gap >= Metrics.of(size).mm(1.5), "a finger on a letter meets no set"


def test_after_the_last_page_of_a_set_comes_its_first_and_another_set_starts_at_its_own():
    navigation, _ = open_session(Memory(plan=list(ALPHABET)))
    navigation.letters()
    screen = shown(Letters(navigation, every=True), (800, 480))
    first = screen.names

    press(screen, "more")
    assert set(screen.names).isdisjoint(first)
    press(screen, "set capital")
    assert screen.names[0] == "A"
    press(screen, "set small")
    paged = []
    while screen.names != first or not paged:
        paged += screen.names
        press(screen, "more")
    assert sorted(paged) == sorted(ALPHABET.only("small"))


def test_a_resize_keeps_the_set_and_the_letters_in_sight():
    navigation, _ = open_session(Memory(plan=list(ALPHABET)))
    navigation.letters()
    screen = shown(Letters(navigation, every=True), (800, 480))
    press(screen, "set capital")
    press(screen, "more")
    last = screen.names[-1]

    shown(screen, (1280, 800))

    assert last in screen.names


def test_an_alphabet_of_one_set_has_no_sets_to_choose_from():
    session = Session(ALPHABET.only("small"), now=lambda: NOW)
    navigation = Navigation(session, Memory())
    navigation.choose(navigation.storage.record.all[0])

    screen = shown(Letters(navigation, every=True))

    assert not [button for button in screen.buttons.all if button.name.startswith("set ")]
    assert sorted(screen.names) == list(ascii_lowercase)


def test_a_beginner_without_a_plan_meets_the_letters_of_the_own_name_first():
    navigation, _ = open_session(Memory())

    navigation.letters()

    assert [offer.letter for offer in navigation.session.offers] == ["N", "e", "l", "a"]


def test_a_plan_with_the_letters_of_the_name_offers_each_child_its_own():
    memory = Memory(2, plan=["b", NAME_LETTERS])
    navigation = Navigation(Session(ALPHABET, now=lambda: NOW), memory)

    for pupil, letters in zip(memory.all, ("bNela", "bBo"), strict=True):
        navigation.welcome(pupil)
        assert [offer.letter for offer in navigation.session.offers] == list(letters)


def test_a_guest_meets_the_letters_in_teaching_order():
    navigation = Navigation(Session(ALPHABET, now=lambda: NOW), Memory(0))

    navigation.choose(None)

    assert [offer.letter for offer in navigation.session.offers] == list(ALPHABET.order[:4])


# Is this you?


def test_names_that_are_typed_while_the_cards_are_open_come_by_themselves():
    """The window was opened first and the class was pasted then: nobody has to close it."""
    memory = Memory(0)
    cards = shown(Navigation(Session(ALPHABET), memory).cards())
    assert cards.teacher

    assert wait(cards, 2 * LOOK_AGAIN) is None
    memory.all += Memory(30).all
    after = shown(wait(cards, 2 * LOOK_AGAIN))

    assert (len(after.pupils), after.teacher) == (30, "")
    assert wait(after, 2 * LOOK_AGAIN) is None


def test_cards_do_not_change_under_a_finger_and_stay_on_their_page():
    memory = Memory(36, groups=2)
    cards = shown(Navigation(Session(ALPHABET), memory).cards())
    press(cards, "more")
    memory.all.pop(0)
    x, y = cards.buttons.all[0].rect.center
    cards.on_pointer(PointerEvent("down", x, y, 0.0))
    assert wait(cards, 2 * LOOK_AGAIN) is None

    cards.on_pointer(PointerEvent("cancel", x, y, 9.0))
    after = shown(wait(cards, 2 * LOOK_AGAIN))

    assert len(after.pupils) == 35
    assert after.at > 0


def test_a_record_that_cannot_be_read_changes_no_cards(monkeypatch):
    navigation = Navigation(Session(ALPHABET), Memory(3))
    cards, asked = shown(navigation.cards()), []

    def busy():
        asked.append(1)
        raise BusyError("harbor.sqlite: another window is using the record; try again")

    monkeypatch.setattr(navigation.storage, "all_pupils", busy)

    assert wait(cards, 4 * LOOK_AGAIN) is None
    assert asked == [1], "a server that is away would hold the window up each time"


def test_the_card_that_was_in_use_a_moment_ago_is_asked_about():
    navigation, memory = open_session(Memory(3))
    cards = shown(press(shown(navigation.letters()), "cards"))

    asking = shown(press(cards, "card 0"))

    assert isinstance(asking, Asking)
    assert navigation.session.pupil is None
    canvas = RecordingCanvas()
    asking.draw(canvas)
    assert {"Is this you?", "Nella"} <= set(canvas.texts)
    assert isinstance(press(asking, "no"), Cards)
    assert isinstance(press(shown(press(cards, "card 0")), "yes"), Letters)
    assert navigation.session.pupil == memory.all[0]


def test_another_childs_card_is_taken_at_once():
    navigation, memory = open_session(Memory(3))

    assert isinstance(press(shown(navigation.cards()), "card 1"), Letters)
    assert navigation.session.pupil == memory.all[1]


def test_after_no_and_again_the_card_is_still_asked_about():
    """The next child touches the same wrong card twice, and then the right one."""
    navigation, memory = open_session(Memory(3))
    cards = shown(navigation.cards())
    for _ in range(2):
        cards = shown(press(shown(press(cards, "card 0")), "no"))

    assert isinstance(press(cards, "card 2"), Letters)
    assert navigation.session.pupil == memory.all[2]
    assert isinstance(press(shown(navigation.cards()), "card 0"), Letters), "she was not the last one here"


@pytest.mark.parametrize(("passed", "asked"), [(timedelta(0), True), (A_MOMENT, False)])
def test_a_card_is_asked_about_for_a_moment_only(passed, asked):
    navigation, _ = open_session(Memory(3))
    cards = shown(navigation.cards())
    navigation.session.now = lambda: NOW + passed

    assert isinstance(press(cards, "card 0"), Asking if asked else Letters)


def test_the_question_is_laid_out_for_the_hand_of_the_card():
    for hand, left in (("left", True), ("right", False)):
        navigation, memory = open_session(Memory(2, hand=hand))
        asking = shown(Asking(navigation, memory.all[0]))
        yes = next(button for button in asking.buttons.all if button.name == "yes")
        assert (yes.rect.center[0] < 640) is left


# Watch


def test_the_pen_writes_the_letter_and_then_waits():
    navigation, _ = open_session(letter="t")
    screen = shown(navigation.watch())
    assert screen.tip is not None

    assert wait(screen, 12) is None

    assert len(screen.marks) == 2
    assert screen.tip is None
    assert len(screen.marks[0].points) > 20


def test_the_cue_goes_with_the_stroke():
    navigation, _ = open_session(letter="t")
    screen = shown(navigation.watch())
    assert isinstance(screen, Watching)
    first = screen.cue

    wait(screen, 12)

    cues = [stroke.cue for stroke in ALPHABET["t"].taught.strokes]
    assert [first, screen.cue] == cues


def test_marks_only_ever_grow_while_the_pen_moves():
    """The window paints new points alone; a mark that shrank would leave old paint behind."""
    navigation, _ = open_session()
    screen = shown(navigation.watch())
    before: list[tuple[float, float]] = []
    for _ in range(400):
        screen.on_tick(1 / 60)
        points = list(screen.marks[0].points) if screen.marks else []
        assert points[: len(before)] == before
        before = points


def test_without_motion_no_pen_ever_moves():
    navigation, _ = open_session(letter="t", motion=False)
    screen = shown(navigation.watch())
    lengths = set()
    for _ in range(900):
        screen.on_tick(1 / 60)
        assert screen.tip is None
        lengths.add(tuple(len(mark.points) for mark in screen.marks))

    assert len(lengths) <= 3  # nothing, the stem, the stem and the bar


def test_the_way_on_is_open_before_the_pen_is_done():
    navigation, _ = open_session()

    assert isinstance(press(shown(navigation.watch()), "go"), Writing)


# Write


def test_a_well_written_letter_is_finished_after_a_rest_and_praised():
    navigation, memory = open_session()
    screen = shown(Writing(navigation, Step.TRACE))

    write(screen, by_hand(B))
    assert wait(screen, 1.3) is None
    answer = wait(screen, 0.4)

    assert isinstance(answer, Answer)
    assert answer.saying.is_praise
    assert [(attempt.letter, attempt.step, attempt.verdict.formed) for attempt in memory.stored] == [
        ("b", Step.TRACE, True)
    ]


def test_a_letter_with_a_part_missing_waits_for_it():
    """No clock runs: the dot may come whenever it comes."""
    i = ALPHABET["i"]
    navigation, _ = open_session(letter="i")
    screen = shown(Writing(navigation, Step.COPY))
    ink = by_hand(i)

    write(screen, ink, traces=1)
    assert wait(screen, 60) is None
    write(screen, type(ink)(ink.traces[1:]))

    assert isinstance(wait(screen, 2), Answer)


def test_the_done_button_finishes_whatever_is_there():
    navigation, memory = open_session(letter="i")
    screen = shown(Writing(navigation, Step.COPY))
    write(screen, by_hand(ALPHABET["i"]), traces=1)

    answer = press(screen, "done")

    assert isinstance(answer, Answer)
    assert answer.saying.kind is Kind.MISSING
    assert len(memory.stored) == 1


def test_done_on_an_empty_paper_stays_there():
    navigation, memory = open_session()

    assert press(shown(Writing(navigation, Step.COPY)), "done") is None
    assert not memory.stored


@pytest.mark.parametrize(("kind", "key"), [(Kind.DIRECTION, "direction"), (Kind.START, "start")])
@pytest.mark.parametrize("step", [Step.TRACE, Step.COPY])
def test_a_stroke_that_went_another_way_is_shown_again_and_stays_as_it_was(kind, key, step):
    navigation, _ = open_session(letter="l")
    screen = shown(Writing(navigation, step))
    assert isinstance(screen, Writing)

    write(screen, by_hand(ALPHABET["l"], fault=Fault(kind)))

    assert screen.sentence == text(f"practice.write.{key}")
    assert screen.tip is not None
    assert len(screen.pad.ink) == 1
    assert screen.ink[0] in screen.marks


def test_the_stroke_that_is_shown_again_is_written_by_a_moving_pen():
    navigation, _ = open_session(letter="l")
    screen = shown(Writing(navigation, Step.COPY))
    write(screen, by_hand(ALPHABET["l"], fault=Fault(Kind.DIRECTION)))
    lengths = []
    for _ in range(2):
        wait(screen, 0.25)
        lengths.append([len(mark.points) for mark in screen.marks if mark.color == theme.BLACK])

    assert len(lengths[0]) == len(lengths[1]) == 1
    assert lengths[0] < lengths[1]


@pytest.mark.parametrize("step", [Step.TRACE, Step.COPY, Step.RECALL])
def test_what_is_shown_again_is_also_told_at_once(step):
    """In recall too: the page is painted again with the sentence and the ring of the hint."""
    navigation, _ = open_session(letter="l")
    screen = shown(Writing(navigation, step))
    screen.stale = False

    write(screen, by_hand(ALPHABET["l"], fault=Fault(Kind.DIRECTION)))

    canvas = RecordingCanvas()
    screen.draw(canvas)
    assert screen.stale
    assert text("practice.write.direction") in canvas.texts


def test_a_touch_goes_on_while_a_stroke_is_shown():
    navigation, _ = open_session(letter="t")
    screen = shown(Writing(navigation, Step.COPY))
    assert isinstance(screen, Writing)
    t = by_hand(ALPHABET["t"], fault=Fault(Kind.DIRECTION))
    write(screen, t, traces=1)
    assert screen.hint is not None

    write(screen, type(t)(t.traces[1:]))

    assert screen.hint is None
    assert screen.tip is None
    assert len(screen.pad.ink) == 2


def test_a_stroke_written_over_after_it_was_shown_is_not_taken_for_the_next():
    navigation, _ = open_session(letter="t")
    screen = shown(Writing(navigation, Step.COPY))
    assert isinstance(screen, Writing)
    turned, well = by_hand(ALPHABET["t"], fault=Fault(Kind.DIRECTION)), by_hand(ALPHABET["t"])

    write(screen, turned, traces=1)
    write(screen, well, traces=1)

    assert screen.hint is None
    assert screen.written.following.next == 1


@pytest.mark.parametrize("name", ["l", "h", "b", "c", "s", "m"])
@for_each("step", [Step.TRACE, Step.COPY, Step.RECALL])
def test_a_stroke_that_was_mended_at_once_is_praised_and_the_first_try_is_kept(name, step):
    """To write over as shown is what the child was asked for: it is never one line too many."""
    navigation, memory = open_session(letter=name)
    screen = shown(Writing(navigation, step))
    write(screen, backwards(name))
    write(screen, by_hand(ALPHABET[name]))

    answer = press(screen, "done")

    assert isinstance(answer, Answer)
    assert answer.saying.sentence == text("practice.praise.mended")
    (attempt,) = memory.stored
    assert attempt.verdict is not None
    assert not attempt.verdict.formed
    assert Kind.EXTRA not in {finding.kind for finding in attempt.verdict.findings}
    assert len(attempt.ink) == 2


def backwards(name: str) -> Ink:
    """The first stroke of a letter, from its end to its start."""
    first = by_hand(ALPHABET[name]).traces[0]
    return Ink.from_arrays([first.points[::-1]], times=[first.times])


@pytest.mark.parametrize("name", ["t", "f", "x", "k", "i", "j", "y"])
@for_each("step", [Step.COPY, Step.RECALL])
def test_a_second_wrong_try_at_a_stroke_is_not_taken_for_the_next_stroke(name, step):
    """The same stroke is shown once more; when it comes well, the letter goes on."""
    navigation, memory = open_session(letter=name)
    screen = shown(Writing(navigation, step))
    assert isinstance(screen, Writing)
    for _ in range(2):
        write(screen, backwards(name))
        assert screen.hint is not None
        assert (screen.hint.stroke, screen.hint.kind) == (0, Kind.DIRECTION)
    for trace in by_hand(ALPHABET[name]).traces:
        write(screen, Ink((trace,)))
        assert screen.hint is None

    answer = press(screen, "done")

    assert isinstance(answer, Answer)
    assert answer.saying.sentence == text("practice.praise.mended")
    (attempt,) = memory.stored
    assert attempt.verdict is not None
    assert {finding.kind for finding in attempt.verdict.findings} == {Kind.DIRECTION}


def test_a_mark_beside_a_stroke_that_was_shown_again_is_still_one_too_many():
    navigation, memory = open_session(letter="l")
    screen = shown(Writing(navigation, Step.COPY))
    write(screen, backwards("l"))
    write(screen, Ink.from_arrays([[[0.9, -0.6], [1.2, -0.6]]], times=[[0.0, 0.2]]))

    press(screen, "done")

    (attempt,) = memory.stored
    assert attempt.verdict is not None
    assert {Kind.DIRECTION, Kind.EXTRA} <= {finding.kind for finding in attempt.verdict.findings}


def test_a_stroke_that_was_shown_and_not_mended_is_told():
    navigation, _ = open_session(letter="l")
    screen = shown(Writing(navigation, Step.COPY))
    for seed in (0, 1):
        write(screen, by_hand(ALPHABET["l"], fault=Fault(Kind.DIRECTION), seed=seed))

    answer = press(screen, "done")

    assert isinstance(answer, Answer)
    assert answer.saying.kind is Kind.DIRECTION


STEPS = (Step.TRACE, Step.COPY, Step.RECALL)


@pytest.mark.parametrize("name", SAMPLE_LETTERS)
def test_every_accepted_way_of_writing_is_left_alone(name):
    """Nothing accepted is shown again, nor its start ringed: left-handed bars, two-stroke bowls.

    What is taught is written in each step, what else is accepted in the steps, and by the hands, by turns.
    """
    taught, *others = ALPHABET[name].formations
    every = zip(chain([taught] * 3, others), cycle(STEPS), cycle(("left", "right")), strict=False)
    for formation, step, hand in every:
        navigation, _ = open_session(Memory(hand=formation.hand or hand), letter=name)
        screen = shown(Writing(navigation, step))
        assert isinstance(screen, Writing)
        for number, trace in enumerate(by_hand(formation).traces):
            assert set(down(screen, trace.points)) == {0}, (formation.name, number, step)
            lift(screen)
            assert screen.hint is None, (formation.name, number, step)
        assert screen.there == "well", (formation.name, step)


def test_in_recall_a_letter_may_stand_anywhere_along_the_line():
    navigation, _ = open_session()
    screen = shown(Writing(navigation, Step.RECALL))
    assert isinstance(screen, Writing)
    aside = by_hand(B)
    moved = type(aside).from_arrays(
        [trace.points + (0.7, 0.0) for trace in aside.traces], times=[trace.times for trace in aside.traces]
    )

    write(screen, moved)

    assert screen.hint is None
    assert screen.there == "well"


def test_each_stroke_is_kept_as_a_draft_when_the_pen_lifts():
    navigation, memory = open_session(letter="t")
    screen = shown(Writing(navigation, Step.COPY))

    write(screen, by_hand(ALPHABET["t"]))

    assert memory.drafts == [("t", Step.COPY, 1), ("t", Step.COPY, 2)]


def test_take_back_takes_one_stroke_and_new_start_all():
    navigation, memory = open_session(letter="t")
    screen = shown(Writing(navigation, Step.COPY))
    assert isinstance(screen, Writing)
    write(screen, by_hand(ALPHABET["t"]))

    press(screen, "undo")
    assert (len(screen.pad.ink), len(screen.marks), screen.written.following.next) == (1, 1, 1)
    assert memory.drafts[-1] == ("t", Step.COPY, 1)
    press(screen, "clear")
    assert (len(screen.pad.ink), len(screen.marks), screen.written.following.next) == (0, 0, 0)
    assert memory.dropped == 1


def test_backspace_under_the_pen_takes_only_what_is_being_written():
    navigation, _ = open_session(letter="t")
    screen = shown(Writing(navigation, Step.COPY))
    assert isinstance(screen, Writing)
    write(screen, by_hand(ALPHABET["t"]), traces=1)
    x, y = screen.box.rect.center
    screen.on_pointer(PointerEvent("down", x, y, 5.0))

    screen.on_key(KeyEvent("backspace"))

    assert (len(screen.pad.ink), len(screen.marks), screen.written.following.next) == (1, 1, 1)


def test_a_look_in_recall_counts_as_a_copy():
    navigation, memory = open_session()
    screen = shown(Writing(navigation, Step.RECALL))
    assert isinstance(screen, Writing)
    assert screen.model is None

    press(screen, "lid")
    assert screen.model is not None
    write(screen, by_hand(B))
    wait(screen, 2)

    assert [attempt.step for attempt in memory.stored] == [Step.COPY]
    assert navigation.session.step is Step.COPY


def test_recall_shows_nothing_of_the_letter():
    navigation, _ = open_session()
    screen = shown(Writing(navigation, Step.RECALL))
    canvas = RecordingCanvas()
    screen.draw(canvas)

    assert not any(line.given["color"] in (theme.BLACK, theme.PALE) for line in canvas.named("line"))
    assert "1" not in canvas.texts
    assert "b" not in canvas.texts


def test_ink_moves_along_when_the_window_changes_its_size():
    navigation, _ = open_session()
    screen = shown(Writing(navigation, Step.COPY))
    assert isinstance(screen, Writing)
    write(screen, by_hand(B))
    before = screen.pad.ink

    shown(screen, (480, 800))

    assert screen.pad.ink is before
    expected = screen.box.transform.apply(before.traces[0].points)
    assert np.allclose(screen.marks[0].points, expected)


def test_show_me_writes_the_letter_without_touching_the_ink():
    navigation, _ = open_session()
    screen = shown(Writing(navigation, Step.COPY))
    assert isinstance(screen, Writing)

    press(screen, "show")
    wait(screen, 0.5)
    assert screen.tip is not None
    wait(screen, 10)

    assert screen.tip is None
    assert not screen.marks
    assert not len(screen.pad.ink)


# Answer, and what comes next


def test_the_answer_is_made_after_the_record_has_kept():
    """Nothing is shown or said before the attempt is on the disk."""
    said: list[tuple[str, int]] = []
    navigation, memory = open_session()

    class Heard(Silence):
        def say(self, *utterances: Utterance) -> None:
            said.extend((utterance.text, len(memory.stored)) for utterance in utterances)

    navigation.session.voice = Heard()
    answer = finished(navigation, by_hand(B), Step.TRACE)

    assert isinstance(answer, Answer)
    answer.on_show()
    assert said == [(answer.saying.sentence, 1)]


def test_a_full_disk_is_told_calmly_and_loses_nothing():
    navigation, memory = open_session()
    memory.full = True
    screen = shown(Writing(navigation, Step.TRACE))
    write(screen, by_hand(B))

    trouble = shown(wait(screen, 2))  # type: ignore[arg-type]

    assert isinstance(trouble, Trouble)
    assert "full" in trouble.reason
    assert len(navigation.storage.waiting) == 1
    assert isinstance(press(trouble, "retry"), Trouble)
    memory.full = False
    assert isinstance(press(trouble, "retry"), Answer)
    assert len(memory.stored) == 1
    assert not navigation.storage.waiting


def test_what_could_not_be_kept_is_kept_with_the_next_letter():
    navigation, memory = open_session()
    memory.full = True
    trouble = shown(finished(navigation, by_hand(B), Step.TRACE))
    assert isinstance(press(trouble, "on"), Answer)
    memory.full = False

    finished(navigation, by_hand(B, seed=1), Step.TRACE)

    assert len(memory.stored) == 2


def test_leaving_a_letter_whose_draft_was_not_kept_loses_nothing():
    navigation, memory = open_session(letter="t")
    screen = shown(Writing(navigation, Step.COPY))
    memory.full = True
    write(screen, by_hand(ALPHABET["t"]), traces=1)
    memory.full = False

    assert isinstance(press(screen, "leave"), Letters)

    assert [(attempt.letter, attempt.finished, len(attempt.ink)) for attempt in memory.stored] == [
        ("t", False, 1)
    ]


def test_a_letter_in_hand_that_was_not_kept_is_offered_again_when_the_window_closes():
    navigation, memory = open_session(letter="t")
    screen = shown(Writing(navigation, Step.COPY))
    memory.full = True
    write(screen, by_hand(ALPHABET["t"]), traces=1)
    with pytest.raises(DiskFullError):
        navigation.storage.close()
    memory.full = False

    navigation.storage.close()

    assert [(attempt.letter, attempt.finished, len(attempt.ink)) for attempt in memory.stored] == [
        ("t", False, 1)
    ]


@pytest.mark.parametrize("name", ["undo", "clear"])
def test_a_draft_that_was_not_kept_and_then_taken_back_is_forgotten(name):
    navigation, memory = open_session(letter="t")
    screen = shown(Writing(navigation, Step.COPY))
    memory.full = True
    write(screen, by_hand(ALPHABET["t"]), traces=1)
    press(screen, name)
    memory.full = False

    navigation.storage.close()

    assert not memory.stored


def test_a_finished_letter_is_kept_once_though_its_draft_was_not():
    navigation, memory = open_session(letter="t")
    screen = shown(Writing(navigation, Step.COPY))
    memory.full = True
    write(screen, by_hand(ALPHABET["t"]))
    memory.full = False
    press(screen, "done")

    navigation.storage.close()

    assert [attempt.finished for attempt in memory.stored] == [True]


def test_a_record_that_cannot_be_read_between_two_children_is_told_and_tried_again(monkeypatch):
    """The window stays open: it says so in its own words, for no letter was lost."""
    navigation, memory = open_session()

    def unread() -> None:
        raise BusyError("harbor.sqlite: another window is using the record")

    with monkeypatch.context() as broken:
        broken.setattr(memory.pupils, "find", unread)
        trouble = shown(navigation.cards())
        canvas = RecordingCanvas()
        trouble.draw(canvas)
        assert isinstance(trouble, Trouble)
        assert text("practice.trouble.unread") in canvas.texts
        assert text("practice.trouble.waiting") not in canvas.texts
        assert isinstance(press(trouble, "retry"), Trouble)

    assert isinstance(press(trouble, "retry"), Cards)


def test_a_record_that_cannot_take_a_guest_is_told_to_the_teacher():
    memory = Memory(0)
    memory.full = True
    cards = shown(Navigation(Session(ALPHABET), memory).cards())

    assert isinstance(press(cards, "card 0"), Trouble)


def main_of(scene: Scene | None) -> tuple[Screen, str]:
    assert scene is not None
    screen = shown(scene)
    return screen, next(button.name for button in screen.buttons.all if button.main)


def test_a_well_formed_letter_leads_a_step_up():
    navigation, _ = open_session()
    _, first = main_of(finished(navigation, by_hand(B), Step.TRACE))
    answer, second = main_of(finished(navigation, by_hand(B, seed=1), Step.TRACE))

    assert (first, second) == ("on", "on")
    after = press(answer, "on")
    assert isinstance(after, Writing)
    assert after.step is Step.COPY


def test_two_of_the_same_finding_offer_to_watch_again():
    navigation, _ = open_session(letter="l")
    turned = [by_hand(ALPHABET["l"], fault=Fault(Kind.DIRECTION), seed=seed) for seed in (0, 1)]
    finished(navigation, turned[0], Step.TRACE)
    answer, main = main_of(finished(navigation, turned[1], Step.TRACE))

    assert main == "easier"
    assert isinstance(press(answer, "easier"), Watching)


def test_on_is_open_whatever_was_written():
    """Never blocked: after a letter with something to try the child may go on, up to the next letter."""
    navigation, _ = open_session(Memory(plan=["l", "t"]), letter="l")
    navigation.letters()
    navigation.begin("l")
    turned = by_hand(ALPHABET["l"], fault=Fault(Kind.DIRECTION))
    for step, after in ((Step.TRACE, Step.COPY), (Step.COPY, Step.RECALL)):
        answer = shown(finished(navigation, turned, step))
        written = press(answer, "on")
        assert isinstance(written, Writing)
        assert written.step is after

    following = press(shown(finished(navigation, turned, Step.RECALL)), "on")

    assert isinstance(following, Watching)
    assert navigation.session.letter_name == "t"


def test_after_the_last_letter_todays_letters_are_shown():
    navigation, _ = open_session(Memory(plan=["l"]), letter="l")
    navigation.session.step = Step.RECALL
    ink = by_hand(ALPHABET["l"])
    finished(navigation, ink, Step.RECALL)

    assert isinstance(press(shown(finished(navigation, ink, Step.RECALL)), "on"), Letters)


def test_what_went_better_since_the_last_attempt_is_praised():
    navigation, _ = open_session(letter="l")
    finished(navigation, by_hand(ALPHABET["l"], fault=Fault(Kind.DIRECTION)), Step.TRACE)

    answer = finished(navigation, by_hand(ALPHABET["l"]), Step.TRACE)

    assert isinstance(answer, Answer)
    assert answer.saying.sentence == text("practice.better.direction")


def test_the_thing_to_try_is_shown_with_its_start_ring():
    navigation, _ = open_session(letter="l")
    answer = shown(finished(navigation, by_hand(ALPHABET["l"], fault=Fault(Kind.DIRECTION)), Step.COPY))
    canvas = RecordingCanvas()
    answer.draw(canvas)

    assert [(ring.number, ring.color) for ring in answer.badges] == [(1, theme.BLUE), (1, theme.VERMILLION)]


def test_after_ten_minutes_a_rest_comes_between_two_attempts():
    navigation, _ = open_session()
    screen = shown(Writing(navigation, Step.TRACE))
    navigation.session.practiced = REST_AFTER - 1.0
    write(screen, by_hand(B))
    answer = shown(wait(screen, 2))  # type: ignore[arg-type]
    assert isinstance(answer, Answer)

    rest = press(answer, "again")

    assert isinstance(rest, Rest)
    assert isinstance(press(shown(rest), "on"), Writing)
    assert navigation.session.practiced == 0.0


def test_a_rest_comes_when_the_teacher_wants_it():
    navigation, _ = open_session()
    navigation.session.rest_after = 240.0
    answers = []
    for practiced in (239.0, 241.0):
        screen = shown(Writing(navigation, Step.TRACE))
        navigation.session.practiced = practiced - 2.0
        write(screen, by_hand(B))
        answers.append(press(shown(wait(screen, 2)), "again"))  # type: ignore[arg-type]

    assert [isinstance(answer, Rest) for answer in answers] == [False, True]


def test_a_rest_can_end_the_session():
    navigation, _ = open_session()

    assert isinstance(press(shown(Rest(navigation, navigation.write)), "done"), Cards)
    assert navigation.session.pupil is None


def test_time_at_the_cards_is_no_practice():
    navigation, _ = open_session()
    wait(shown(navigation.letters()), 5)

    assert navigation.session.practiced == 0.0


# While the pen is down


def down(screen: Screen, line: np.ndarray) -> list[int]:
    """The pen runs along a line of letter space and stays down; how many rings are there at each point."""
    rings = []
    for number, (x, y) in enumerate(screen.box.transform.apply(line)):  # type: ignore[attr-defined]
        screen.on_pointer(PointerEvent("move" if number else "down", float(x), float(y), number / 60))
        rings.append(sum(mark.color == theme.VERMILLION for mark in screen.marks))
    return rings


def lift(screen: Screen) -> None:
    x, y = screen.pad.live[-1]  # type: ignore[attr-defined]
    screen.on_pointer(PointerEvent("up", x, y, 9.0))


@pytest.mark.parametrize("name", ["b", "l", "o", "s"])
@for_each("step", [Step.TRACE, Step.COPY])
def test_a_stroke_that_runs_backwards_rings_its_start_while_the_pen_is_down(name, step):
    navigation, _ = open_session(letter=name)
    screen = shown(Writing(navigation, step))
    assert isinstance(screen, Writing)
    line = backwards(name).traces[0].points

    rings = down(screen, line)

    assert rings == sorted(rings)  # it comes once and stays: nothing flashes
    assert rings[0] == 0
    assert rings[-1] == 1
    (cue,) = (mark for mark in screen.marks if mark.color == theme.VERMILLION)
    start = screen.box.transform.apply(ALPHABET[name].taught.strokes[0].path[:1])[0]
    assert np.mean(cue.points[:-1], axis=0) == pytest.approx(start, abs=0.5)
    drawn = np.array(screen.ink[-1].points)
    for place in screen.box.transform.apply(line):  # the ink is all there
        assert np.hypot(*(drawn - place).T).min() < screen.metrics.mm(STILL_MM)
    lift(screen)
    assert screen.cue is None
    assert screen.hint is not None  # and now the stroke is shown again


def test_a_stroke_begun_elsewhere_rings_its_start_while_the_pen_is_down():
    navigation, _ = open_session(letter="l")
    screen = shown(Writing(navigation, Step.COPY))
    path = ALPHABET["l"].taught.strokes[0].path
    late = np.linspace(path[0] + (0.0, 0.9), path[-1], 20)

    assert down(screen, late)[-1] == 1


def test_the_start_of_a_stroke_is_ringed_once_more_at_most_once():
    navigation, _ = open_session(letter="l")
    screen = shown(Writing(navigation, Step.COPY))
    line = backwards("l").traces[0].points
    first = down(screen, line)
    lift(screen)
    press(screen, "undo")

    assert first[-1] == 1
    assert down(screen, line)[-1] == 0
    lift(screen)
    press(screen, "clear")
    assert down(screen, line)[-1] == 1  # a new start is a new letter


def test_from_memory_nothing_is_ringed():
    """Where a letter starts is what the child is to remember; the stroke is shown at pen-up."""
    navigation, _ = open_session(letter="b")
    screen = shown(Writing(navigation, Step.RECALL))

    assert set(down(screen, backwards("b").traces[0].points)) == {0}


def test_a_touch_that_was_a_resting_hand_leaves_no_ring():
    navigation, _ = open_session(letter="l")
    screen = shown(Writing(navigation, Step.COPY))
    assert isinstance(screen, Writing)
    down(screen, np.array([[0.0, -0.2]]))
    x, y = screen.pad.live[-1]
    screen.on_pointer(PointerEvent("cancel", x, y, 0.2))

    assert screen.marks == []


def test_the_pale_letter_has_an_edge_that_is_seen_on_paper():
    """WCAG 1.4.11: graphics that are needed have 3:1; the pale color alone has not, its edge has."""
    navigation, _ = open_session()
    screen = shown(Writing(navigation, Step.TRACE))
    canvas = RecordingCanvas()
    screen.draw(canvas)
    lines = canvas.named("line")
    pale = [line.given for line in lines if line.given["color"] == theme.PALE]
    edge = [line.given for line in lines if line.given["color"] == theme.EDGE]

    widest = max(line["width"] for line in pale)
    assert any(line["width"] > widest for line in edge)
    assert theme.contrast(theme.EDGE, "#FFFFFF") >= 3
