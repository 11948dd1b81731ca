"""What a child hears in the practice window: the sound, the cue while the pen moves, the one thing to try."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from strokes.kinds import Kind
from strokes.letter import SETS
from strokes.simulation.hand import Fault
from strokes.simulation.hand import write as by_hand
from tests.cases import for_each
from tests.trainer.sessions import ALPHABET, NOW, Memory, finished, open_session, press, shown, wait, write
from trainer.attempt import Step
from trainer.drawing.theme import BUTTON_MM, Metrics
from trainer.language import spoken, text
from trainer.practice.navigation import Navigation
from trainer.practice.scenes.answer import Answer
from trainer.practice.scenes.screen import SAY, Screen
from trainer.practice.scenes.watching import Watching
from trainer.practice.scenes.writing import Writing
from trainer.practice.session import Session
from trainer.speech import Silence, Utterance, lone_sound, open_voice, words
from trainer.teaching import Rules
from trainer.window.scenes.layout import corner
from trainer.window.scenes.leaving import Leaving
from trainer.window.scenes.narration import LONGEST_WAIT
from trainer.window.window import Window
from trainer.wordbank import PHONEMES

SIZES = [(1280, 800), (800, 480), (480, 800)]


class Told(Silence):
    """A voice that speaks until it is told that it has ended, and writes down what it says."""

    def __init__(self, *, audible: bool = True) -> None:
        self.audible = audible
        self.said: list[tuple[str, ...]] = []
        self.prepared: list[Utterance] = []

    def say(self, *utterances: Utterance) -> None:
        self.said.append(tuple(utterance.text for utterance in utterances))
        self.speaking = True

    def prepare(self, *utterances: Utterance) -> None:
        self.prepared += utterances

    def stop(self) -> None:
        self.said.append(("stop",))
        self.speaking = False


def spoken_session(letter: str = "b", **options: object) -> tuple[Navigation, Told]:
    navigation, _ = open_session(Memory(**options), letter=letter)  # type: ignore[arg-type]
    voice = Told()
    navigation.session.voice = voice
    return navigation, voice


# Which letter, and what is said of it


@for_each("letter", [letter.name for letter in ALPHABET.letters])
def test_no_letter_is_told_by_its_name_where_its_sound_is_known(letter: str) -> None:
    aloud = spoken.letter_aloud(letter)
    sound = spoken.sound_of(letter)

    if sound is not None and set(sound.phonemes) <= PHONEMES.keys():
        assert aloud == (sound,)
    else:
        assert aloud[-1].kind == "words" or spoken.name_of(letter) is None


def test_from_memory_a_letter_is_told_by_its_sound_and_the_name_only_tells_c_from_k() -> None:
    assert spoken.recalled_aloud("b", ALPHABET) == (words(text("sounds.recall.small")), lone_sound("B"))
    assert spoken.recalled_aloud("B", ALPHABET) == (words(text("sounds.recall.capital")), lone_sound("B"))
    assert spoken.recalled_aloud("c", ALPHABET) == (lone_sound("K"), words(spoken.recalled("c")))
    assert spoken.recalled_aloud("7", ALPHABET) == (words(spoken.recalled("7")),)
    assert len(spoken.recalled_aloud("ø", ALPHABET)) == 2


def test_all_that_a_window_says_of_an_alphabet_can_be_recorded() -> None:
    """Whatever comes up in practice is on the teacher's list, at the letters where it comes up."""
    listed = {sayable.utterance: sayable for sayable in spoken.sayables([ALPHABET])}
    assert {len(names) > 0 for names in SETS} == {True}
    for letter in ("b", "i", "4", "ø"):
        navigation, voice = spoken_session(letter)
        for screen in (
            Watching(navigation),
            *(Writing(navigation, step) for step in (Step.TRACE, Step.COPY, Step.RECALL)),
        ):
            shown(screen)
            for utterance in screen.aloud:
                assert utterance in listed, utterance
        for kind in (Kind.START, Kind.DIRECTION, Kind.SIZE, None):
            ink = by_hand(ALPHABET[letter].taught, fault=Fault(kind) if kind else None, seed=2)
            answer = finished(navigation, ink)
            assert isinstance(answer, Answer)
            for utterance in answer.aloud:
                assert utterance in listed, utterance
        assert set(voice.prepared) <= listed.keys()


def test_what_comes_up_at_the_most_letters_stands_first_on_its_shelf() -> None:
    sayables = spoken.sayables([ALPHABET])

    for shelf in ("sounds", "cues", "sentences"):
        uses = [sayable.uses for sayable in sayables if sayable.shelf == shelf]
        assert uses == sorted(uses, reverse=True)
        assert uses[0] > 1
    assert next(sayable for sayable in sayables if sayable.utterance == lone_sound("K")).uses == 4


# Watching: in step with the pen


def test_the_sound_comes_first_and_each_cue_as_its_stroke_begins() -> None:
    navigation, voice = spoken_session("t")
    screen = shown(Watching(navigation))
    cues = [stroke.cue for stroke in ALPHABET["t"].taught.strokes]
    screen.on_show()
    assert voice.said == [("T",)]

    voice.speaking = False
    wait(screen, 0.75)
    assert voice.said[1:] == [(cues[0],)]
    assert screen.pen.stroke == 0

    wait(screen, 2.5)
    assert screen.pen.stroke == 0, "it waits until the first cue is said"
    voice.speaking = False
    wait(screen, 0.1)
    assert voice.said[2:] == [(cues[1],)]
    assert screen.pen.stroke == 1
    wait(screen, 4)
    assert screen.pen.done
    assert len(voice.said) == 3


def test_a_voice_that_does_not_end_does_not_hold_the_pen_for_ever() -> None:
    navigation, voice = spoken_session("t")
    screen = shown(Watching(navigation))
    screen.on_show()

    wait(screen, 0.7 + 3 * LONGEST_WAIT + 6)

    assert screen.pen.done
    assert voice.speaking


def test_without_a_voice_the_pen_goes_at_its_own_pace() -> None:
    navigation, _ = open_session(letter="t")
    silent = shown(Watching(navigation))
    times = 0
    while not silent.pen.done:
        silent.on_tick(1 / 60)
        times += 1

    assert times / 60 == pytest.approx(0.7 + silent.pen._duration, abs=0.1)


def test_show_me_is_told_stroke_by_stroke_and_a_touch_on_the_paper_ends_it() -> None:
    navigation, voice = spoken_session("t")
    screen = shown(Writing(navigation, Step.TRACE))
    cues = [stroke.cue for stroke in ALPHABET["t"].taught.strokes]

    press(screen, "show")
    wait(screen, 0.1)
    assert voice.said == [("stop",), (cues[0],)]
    wait(screen, 3)
    assert screen.pen.stroke == 0
    voice.speaking = False
    wait(screen, 0.1)
    assert voice.said[-1] == (cues[1],)

    write(screen, by_hand(ALPHABET["t"].taught, seed=1), 1)
    assert voice.said[-1] == ("stop",)
    assert screen.pen is None


# The button that says it again


@pytest.fixture(params=SIZES, ids=str)
def size(request: pytest.FixtureRequest) -> tuple[int, int]:
    chosen: tuple[int, int] = request.param
    return chosen


def screens(navigation: Navigation) -> Iterator[Screen]:
    yield Watching(navigation)
    for step in (Step.TRACE, Step.COPY, Step.RECALL):
        yield Writing(navigation, step)
    wrong = by_hand(ALPHABET["b"].taught, fault=Fault(Kind.DIRECTION), seed=1)
    for ink in (by_hand(ALPHABET["b"].taught, seed=1), wrong):
        answer = finished(navigation, ink)
        assert isinstance(answer, Answer)
        yield answer


@pytest.mark.parametrize("hand", ["right", "left"])
def test_a_button_of_15_mm_says_it_again_on_every_screen(size: tuple[int, int], hand: str) -> None:
    navigation, voice = spoken_session(hand=hand)
    metrics = Metrics.of(size)
    for screen in screens(navigation):
        shown(screen, size)
        (button,) = (button for button in screen.buttons.all if button.name == SAY)
        rect, others = button.rect, [other.rect for other in screen.buttons.all if other is not button]
        assert min(rect.width, rect.height) >= min(metrics.mm(BUTTON_MM), min(size) / 6) - 0.5
        assert not button.label
        assert rect.left >= 0
        assert rect.right <= size[0]
        assert rect.top >= 0
        body, head, again = screen.layout.body, screen.layout.head, corner(metrics, screen.hand)
        for other in (*others, body, head, again):
            apart = (
                rect.right <= other.left + 0.5
                or other.right <= rect.left + 0.5
                or rect.bottom <= other.top + 0.5
                or other.bottom <= rect.top + 0.5
            )
            assert apart, (screen, other)

        if size == (1280, 800):
            assert rect.top == pytest.approx(screen.layout.rail[0].top), "level with its neighbor"
        assert press(screen, SAY) is None
        assert voice.said[-1] == tuple(utterance.text for utterance in screen.aloud)


def test_there_is_no_such_button_where_nothing_can_be_heard() -> None:
    navigation, _ = spoken_session()
    navigation.session.voice = Told(audible=False)

    for screen in screens(navigation):
        shown(screen)
        assert SAY not in [button.name for button in screen.buttons.all]


def test_a_stroke_that_is_shown_again_is_spoken_of() -> None:
    navigation, voice = spoken_session()
    screen = shown(Writing(navigation, Step.TRACE))
    wrong = by_hand(ALPHABET["b"].taught, fault=Fault(Kind.DIRECTION), seed=1)

    write(screen, wrong)

    assert voice.said[-1] == (screen.sentence,)
    press(screen, SAY)
    assert voice.said[-1] == (screen.sentence,)


# Coming and going


def test_what_is_said_stops_when_a_screen_is_left_and_is_said_again_when_it_comes_back() -> None:
    voice = Told()
    navigation = Navigation(Session(ALPHABET, voice=voice, now=lambda: NOW), Memory())
    window = Window(navigation.cards(), size=(800, 480))
    assert voice.said == [], "nobody is here yet"
    cards = window.scene
    assert isinstance(cards, Screen)
    window._follow(press(cards, "card 0"))
    assert voice.said[-1] == (text("practice.letters.title"),)
    letters = window.scene
    assert isinstance(letters, Screen)
    name = letters.names[0]  # type: ignore[attr-defined]
    window._follow(press(letters, f"letter {name}"))
    assert voice.said[-2:] == [("stop",), tuple(said.text for said in spoken.letter_aloud(name))]

    watching = window.scene
    window._ask()
    assert isinstance(window.scene, Leaving)
    assert voice.said[-1] == ("stop",)
    window._ask()
    assert window.scene is watching
    assert voice.said[-1] == tuple(said.text for said in watching.aloud)  # type: ignore[attr-defined]

    window.close()
    assert voice.said[-1] == ("stop",)


def test_a_window_says_nothing_where_sound_is_off(tmp_path: Path) -> None:
    class Off:
        @property
        def settings(self) -> Off:
            return self

        def get(self, name: str, default: str | None = None) -> str | None:
            return "off" if name == "sound" else default

    voicing = Rules.of(Off()).voicing(tmp_path)  # type: ignore[arg-type]

    assert isinstance(open_voice(voicing), Silence)
