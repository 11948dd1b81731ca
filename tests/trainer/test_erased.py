"""A pupil is erased at the desk while the practice window is open: a kind word, and nothing is kept of it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from strokes.kinds import Kind
from strokes.simulation.hand import Fault
from strokes.simulation.hand import write as by_hand
from tests.recording import RecordingCanvas
from tests.trainer.samples import MONDAY
from tests.trainer.sessions import ALPHABET, NOW, finished, press, shown, wait, write
from trainer.attempt import Attempt, Pupil, Step
from trainer.errors import DiskFullError
from trainer.language.texts import text
from trainer.practice.navigation import Navigation
from trainer.practice.scenes.answer import Answer
from trainer.practice.scenes.cards import Cards
from trainer.practice.scenes.letters import Letters
from trainer.practice.scenes.trouble import Trouble
from trainer.practice.scenes.writing import Writing
from trainer.practice.session import Session
from trainer.record.record import Record
from trainer.window.events import KeyEvent, PointerEvent

GONE = text("practice.cards.gone")
T = ALPHABET["t"]


class Room:
    """Two open records on the same place: that of the practice window and that of the desk."""

    def __init__(self, practice: Record, desk: Record) -> None:
        self.practice, self.desk = practice, desk
        self.stays = desk.pupils.add("Bo")
        self.nella = desk.pupils.add("Nella")
        self.navigation = Navigation(Session(ALPHABET, now=lambda: NOW), practice)

    def begin(self) -> None:
        self.navigation.choose(self.nella)
        self.navigation.begin("t")

    def writing(self, traces: int = 1) -> Writing:
        """Nella writes: so many traces of a t."""
        self.begin()
        screen: Writing = shown(Writing(self.navigation, Step.COPY))
        write(screen, by_hand(T), traces=traces)
        return screen

    def erase(self) -> Pupil:
        """The teacher erases Nella and adds Abel, who would get her number."""
        self.desk.erasure.remove_pupil(self.nella.id)
        return self.desk.pupils.add("Abel")

    def attempts(self) -> list[Attempt]:
        return list(self.desk.attempts.find())


@pytest.fixture
def room(place) -> Iterator[Room]:
    with Record.open(place, now=MONDAY) as practice, Record.open(place, now=MONDAY) as desk:
        yield Room(practice, desk)


def texts(scene: object) -> list[str]:
    canvas = RecordingCanvas()
    shown(scene).draw(canvas)  # type: ignore[arg-type]
    return canvas.texts


def rest_of(screen: Writing):
    """The bar of the t; gives back where that led."""
    trace = by_hand(T).traces[1]
    points = screen.box.transform.apply(trace.points)
    screen.on_pointer(PointerEvent("down", *map(float, points[0]), 5.0))
    for x, y in points[1:]:
        screen.on_pointer(PointerEvent("move", float(x), float(y), 5.5))
    return screen.on_pointer(PointerEvent("up", *map(float, points[-1]), 6.0))


def test_at_pen_up_the_window_leads_back_to_the_cards_and_says_so(room):
    screen = room.writing()
    room.erase()

    cards = rest_of(screen)

    assert isinstance(cards, Cards)
    assert GONE in texts(cards)
    assert room.navigation.session.pupil is None
    assert room.attempts() == []
    assert [pupil.name for pupil in cards.pupils] == ["Abel", "Bo"]


def test_at_finishing_a_letter_likewise(room):
    screen = room.writing(traces=2)
    room.erase()

    cards = wait(screen, 6)

    assert isinstance(cards, Cards)
    assert GONE in texts(cards)
    assert room.attempts() == []
    assert not room.navigation.storage.waiting


def test_the_done_button_likewise(room):
    screen = room.writing()
    room.erase()

    assert isinstance(press(screen, "done"), Cards)
    assert room.attempts() == []


def test_a_card_that_was_erased_while_it_was_seen_leads_back_to_the_cards(room):
    cards = shown(room.navigation.cards())
    assert [pupil.name for pupil in cards.pupils] == ["Bo", "Nella"]
    room.erase()

    after = press(cards, "card 1")

    assert isinstance(after, Cards)
    assert GONE in texts(after)
    assert "Nella" not in texts(after)
    assert room.navigation.session.pupil is None


def test_a_card_that_was_put_away_while_it_was_seen_likewise(room):
    cards = shown(room.navigation.cards())
    room.desk.pupils.archive(room.nella.id)

    assert GONE in texts(press(cards, "card 1"))


def test_somebody_who_was_just_here_and_then_erased_is_asked_and_told(room):
    room.begin()
    cards = shown(room.navigation.cards())
    room.erase()

    after = press(shown(press(cards, "card 1")), "yes")

    assert isinstance(after, Cards)
    assert GONE in texts(after)


def test_the_next_child_sits_down_as_ever(room):
    """The word about the card is gone with it, and the next letter is kept under its own number."""
    screen = room.writing()
    abel = room.erase()
    cards = shown(rest_of(screen))
    letters = press(cards, "card 0")
    assert isinstance(letters, Letters)
    assert room.navigation.session.pupil == abel

    room.navigation.begin("t")
    assert isinstance(finished(room.navigation, by_hand(T)), Answer)

    assert [(attempt.pupil, attempt.letter, attempt.finished) for attempt in room.attempts()] == [
        (abel.id, "t", True)
    ]
    assert GONE not in texts(room.navigation.cards())


@pytest.mark.parametrize("name", ["undo", "clear"])
def test_what_is_taken_back_after_the_erasure_is_no_error(room, name):
    screen = room.writing(traces=2)
    room.erase()

    after = press(screen, name)

    if name == "undo":  # what is left of the letter was to be kept
        assert isinstance(after, Cards)
    else:
        assert isinstance(press(screen, "leave"), Letters)
    assert room.attempts() == []


def test_a_key_after_the_erasure_is_no_error_and_the_next_touch_leads_to_the_cards(room):
    screen = room.writing(traces=2)
    room.erase()
    screen.on_key(KeyEvent("backspace"))

    x, y = screen.box.rect.center
    assert isinstance(screen.on_pointer(PointerEvent("down", x, y, 7.0)), Cards)
    assert room.attempts() == []


def test_leaving_an_erased_pupils_letter_leads_on_until_something_is_to_be_kept(room):
    screen = room.writing()
    room.erase()
    assert isinstance(press(screen, "leave"), Letters)

    room.navigation.begin("t")
    again = shown(Writing(room.navigation, Step.COPY))
    write(again, by_hand(T), traces=1)  # its up led away already
    assert room.navigation.session.pupil is None
    assert room.attempts() == []


def test_a_new_name_and_hand_count_from_the_next_choice_on(room):
    """Not erased, only changed: what was set at the desk meanwhile is what holds."""
    cards = shown(room.navigation.cards())
    room.desk.pupils.set_hand(room.nella.id, "left")

    press(cards, "card 1")

    assert room.navigation.session.hand == "left"


def test_letters_that_wait_for_a_full_disk_go_with_their_pupil_and_all_others_stay(room, monkeypatch):
    room.begin()
    ink = by_hand(T, fault=Fault(Kind.DIRECTION))
    with monkeypatch.context() as full:

        def no_room(_: Attempt) -> Attempt:
            raise DiskFullError("harbor.sqlite: the disk must have room, and is full")

        full.setattr(room.practice.attempts, "keep", no_room)
        assert isinstance(finished(room.navigation, ink), Trouble)
        room.navigation.cards()
        room.navigation.choose(room.stays)
        room.navigation.begin("t")
        trouble = shown(finished(room.navigation, ink))
    assert len(room.navigation.storage.waiting) == 2
    room.erase()

    assert isinstance(press(trouble, "retry"), Answer), "Bo is still here"

    assert [attempt.pupil for attempt in room.attempts()] == [room.stays.id]
    assert not room.navigation.storage.waiting


def test_the_window_closes_without_a_word_about_an_erased_pupil(room):
    room.writing()
    room.erase()

    room.navigation.storage.close()

    assert room.attempts() == []
