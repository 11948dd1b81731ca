"""A child's word: written in its boxes by the practice loop of letters, read back, kept with its place."""

from __future__ import annotations

from dataclasses import replace

import pytest

from strokes.kinds import Kind, WordKind
from strokes.report import WordFinding
from strokes.simulation.hand import Fault
from strokes.simulation.hand import write as by_hand
from strokes.tolerances import Tolerances
from tests.recording import RecordingCanvas
from tests.trainer.sessions import (
    ALPHABET,
    NOW,
    Memory,
    begin_word,
    open_session,
    press,
    shown,
    wait,
    write,
    write_word,
    written_so_far,
)
from tests.words_by_hand import word_by_hand
from trainer.attempt import InWord, Step, WordPart, WordTry
from trainer.errors import WordError
from trainer.judging.rechecking import Recheck
from trainer.language import phrases
from trainer.language.texts import text
from trainer.practice.navigation import Navigation
from trainer.practice.scenes.answer import Answer
from trainer.practice.scenes.letters import Letters
from trainer.practice.scenes.line_writing import LineAnswer, LineWriting
from trainer.practice.scenes.reading_back import ReadingBack
from trainer.practice.scenes.rhyming import MakingRhyme, Rhyming
from trainer.practice.scenes.word_counting import Counting
from trainer.practice.scenes.word_hearing import Hearing
from trainer.practice.scenes.word_writing import WordWriting
from trainer.practice.scenes.words import Words
from trainer.practice.scenes.writing import Writing
from trainer.practice.session import Session
from trainer.record.record import Record
from trainer.teaching import word_offers
from trainer.wordbank import guess, name_word, shipped_words


def a_word(spelled: str):
    return guess(spelled, shipped_words().graphemes)


class Voice:
    """Notes what is said; each thing takes `lasts` frames to be said."""

    def __init__(self, lasts: int = 0) -> None:
        self.audible = True
        self.said: list[str] = []
        self.lasts, self.left = lasts, 0

    @property
    def speaking(self) -> bool:
        self.left -= 1
        return self.left >= 0

    def say(self, *utterances) -> None:
        self.said += [utterance.text for utterance in utterances]
        self.left = self.lasts

    def prepare(self, *utterances) -> None:
        """Nothing is rendered here."""

    def stop(self) -> None:
        self.left = 0

    def close(self) -> None:
        """Nothing is open."""


def spoken_session() -> tuple[Navigation, Memory, Voice]:
    navigation, memory = open_session()
    navigation.session.voice = voice = Voice(lasts=5)
    return navigation, memory, voice


# Heard and counted


def test_a_word_is_heard_by_its_sounds_three_times_and_nearer_together_each_time():
    navigation, _, voice = spoken_session()
    screen = shown(begin_word(navigation, "ship"))
    screen.on_show()
    moments = []
    for frame in range(60 * 30):
        before = len(voice.said)
        screen.on_tick(1 / 60)
        moments += [frame] * (len(voice.said) - before)

    assert isinstance(screen, Hearing)
    asked, *sounds, then = voice.said
    assert sounds == ["SH", "IH", "P"] * 3
    assert (asked, then) == (text("practice.words.hear"), text("practice.words.say_it"))
    gaps = [moments[k + 1] - moments[k] for k in (0, 3, 6)]
    assert gaps == sorted(gaps, reverse=True)
    assert len(set(gaps)) == 3
    press(screen, "picture")
    assert voice.said[-1] == "ship"


def test_where_nothing_is_heard_the_boxes_show_their_letters_as_the_sounds_come():
    navigation, _ = open_session()
    screen = shown(begin_word(navigation, "ship"))
    seen = []
    for _ in range(6):  # the first round
        wait(screen, 0.5)
        drawn = RecordingCanvas()
        screen.draw(drawn)
        seen.append(len(drawn.named("line")))

    assert seen == sorted(seen)
    assert len(set(seen)) >= 3


def test_going_on_is_open_before_anything_was_heard_or_counted():
    navigation, memory = open_session()

    counting = press(shown(begin_word(navigation, "ship")), "on")
    writing = press(shown(counting), "done")

    assert isinstance(counting, Counting)
    assert isinstance(writing, WordWriting)
    assert memory.tried == [], "nothing was counted"


@pytest.mark.parametrize(("word", "sounds"), [("ship", 3), ("cake", 3), ("six", 4), ("neck", 3)])
def test_one_tap_a_sound_is_right_and_anything_else_is_kept_as_it_was_tapped(word, sounds):
    for taps, key in ((sounds, "as_many"), (sounds + 1, "so_many")):
        navigation, memory = open_session()
        begin_word(navigation, word)
        screen = shown(navigation.words.count())
        for _ in range(taps + 1):
            press(screen, "tap")
        press(screen, "undo")

        counted = shown(press(screen, "done"))

        (tried,) = memory.tried
        assert (tried.word, tried.part, tried.asked, tried.given) == (word, WordPart.COUNT, sounds, taps)
        assert tried.missed is (key == "so_many")
        assert counted.sentence == text(f"practice.words.{key}", count=text(f"practice.numbers.{sounds}"))
        assert isinstance(press(counted, "again"), Counting)
        assert isinstance(press(counted, "on"), WordWriting)


def test_a_name_has_no_sounds_to_count_and_is_written_at_once():
    navigation, _ = open_session()

    assert isinstance(begin_word(navigation, "Nella"), WordWriting)


def test_letters_are_not_shown_while_their_sounds_are_counted_by_ear():
    """A picture may tell the word; where there is no voice, its letters must."""
    for word, heard, shows in (("ship", True, False), ("boat", True, True), ("ship", False, True)):
        navigation, _, voice = spoken_session()
        voice.audible = heard
        begin_word(navigation, word)
        assert (shown(navigation.words.count()).picture is not None) is shows


# From the letters to a word and back


def test_the_words_are_one_button_away_from_the_letters_and_lead_back():
    navigation, _ = open_session()

    words = press(shown(navigation.letters()), "words")

    assert isinstance(words, Words)
    assert isinstance(press(shown(words), "leave"), Letters)


def test_a_word_is_written_letter_by_letter_and_each_is_kept_with_its_word_and_place():
    navigation, memory = open_session()

    after = write_word(begin_word(navigation, "ship", step=Step.COPY))

    assert isinstance(after, ReadingBack)
    assert [(attempt.letter, attempt.in_word, attempt.step) for attempt in memory.stored] == [
        (letter, InWord("ship", place), Step.COPY) for place, letter in enumerate("ship")
    ]
    assert all(attempt.formed for attempt in memory.stored)


def test_less_is_shown_each_time_and_then_comes_the_line():
    """Traced first, as no letter of it was written before; then copied, and from memory."""
    navigation, memory = open_session()
    begin_word(navigation, "it")
    scene = navigation.words.write()
    steps = []
    for _ in range(3):
        scene = write_word(scene)
        steps.append(memory.stored[-1].step)
        scene = press(shown(scene), "on")

    assert steps == [Step.TRACE, Step.COPY, Step.RECALL]
    assert isinstance(scene, LineWriting)


def test_from_memory_the_model_is_covered_and_a_look_makes_the_letter_a_copied_one():
    navigation, memory = open_session()
    screen = shown(begin_word(navigation, "it", step=Step.RECALL))
    drawn = RecordingCanvas()
    screen.draw(drawn)
    covered = len(drawn.named("line"))

    press(screen, "lid")
    screen.draw(drawn)
    write(screen, by_hand(ALPHABET["i"]))
    wait(screen, 5)

    assert len(drawn.named("line")) - covered > covered, "the word is to be seen now"
    assert memory.stored[-1].step is Step.COPY
    assert navigation.session.step is Step.RECALL, "the next letter is from memory again"


# A letter that goes wrong in the middle


def test_a_stroke_that_goes_wrong_in_a_word_is_shown_again_as_in_a_letter_alone():
    navigation, _ = open_session()
    screen = shown(written_so_far(navigation, "ship", 1, Step.COPY))
    alone, _ = open_session(letter="h")
    single = shown(Writing(alone, Step.COPY))
    ink = by_hand(ALPHABET["h"], fault=Fault(Kind.DIRECTION))

    write(screen, ink)
    write(single, ink)

    assert single.hint is not None
    assert screen.hint is not None
    assert screen.hint.kind is single.hint.kind


def test_a_letter_with_something_to_try_is_answered_and_the_child_goes_on_or_writes_it_again():
    navigation, memory = open_session()
    screen = shown(written_so_far(navigation, "ship", 2, Step.COPY))
    write(screen, by_hand(ALPHABET["l"]))

    answer = shown(press(screen, "done"))
    assert isinstance(answer, Answer)
    again = shown(press(answer, "again"))
    assert isinstance(again, WordWriting)
    assert again.word.place == 2
    write(again, by_hand(ALPHABET["l"]))
    after = press(shown(press(again, "done")), "on")

    assert isinstance(after, WordWriting)
    assert after.word.place == 3
    assert [attempt.in_word for attempt in memory.stored] == [InWord("ship", 2)] * 2
    assert 2 not in after.word.read


def test_a_word_that_was_left_halfway_goes_on_where_it_was():
    navigation, memory = open_session()
    screen = shown(written_so_far(navigation, "ship", 2, Step.COPY))
    write(screen, by_hand(ALPHABET["i"]), traces=1)

    words = press(screen, "leave")
    assert isinstance(words, Words)
    letters = press(shown(words), "leave")
    assert isinstance(letters, Letters)
    navigation.begin("b")
    back = press(shown(navigation.words.today()), "word ship")

    assert isinstance(back, WordWriting)
    assert back.word.place == 2
    assert memory.drafts[-1][0] == "i"
    navigation.cards()
    assert navigation.session.word is None
    navigation.welcome(memory.all[0])
    assert isinstance(begin_word(navigation, "ship"), Hearing), "another child may have sat here"


def test_letters_in_words_do_not_change_with_which_help_a_letter_alone_begins():
    navigation, _ = open_session()
    write_word(begin_word(navigation, "it", step=Step.TRACE))
    navigation.begin("i")

    assert navigation.session.step is Step.TRACE
    assert navigation.session.in_word is None


# What a child sees


def test_a_digraph_shares_a_box_and_the_silent_e_stands_outside():
    for word, framed in (("ship", ((0, 1), (2,), (3,))), ("cake", ((0,), (1,), (2,))), ("Nella", ())):
        navigation, _ = open_session()
        screen = shown(begin_word(navigation, word, step=Step.COPY))
        assert screen.row.framed == framed, word
        assert len(screen.row.cells) == len(word)


@pytest.mark.parametrize("size", [(800, 480), (480, 800), (1280, 800)])
def test_the_letter_in_hand_is_in_sight_and_large_enough_however_long_the_word(size):
    for place in range(len("captain")):
        navigation, _ = open_session()
        screen = shown(written_so_far(navigation, "captain", place, Step.COPY), size)
        assert place in screen.row.shown
        assert screen.box.unit >= screen.metrics.mm(10)
        assert len({cell.transform.shift_y for cell in screen.row.cells}) == 1, "on one base line"


def test_her_own_ink_is_read_back_in_order_with_the_word_at_the_end():
    navigation, _ = open_session()
    screen = shown(written_so_far(navigation, "it", 2, Step.COPY))

    for _ in range(40):
        wait(screen, 0.5)

    assert screen.ended
    assert len(screen.marks) == sum(len(ink) for ink in screen.word.written)
    drawn = RecordingCanvas()
    screen.draw(drawn)
    assert any("it" in words for words in drawn.texts)


def test_where_nothing_may_move_a_word_is_read_back_letter_by_letter():
    navigation, _ = open_session(motion=False)
    screen = shown(written_so_far(navigation, "it", 2, Step.COPY))
    counts = []
    for _ in range(20):
        wait(screen, 0.25)
        counts.append(len(screen.marks))

    assert screen.ended
    assert sorted(set(counts)) == [0, 2, 4]
    assert screen.tip is None


# On one line


def on_a_line(word: str, **fault):
    """A word begun and written on one line; not done yet."""
    navigation, memory = open_session()
    begin_word(navigation, word)
    screen = shown(navigation.words.write_line())
    write(screen, word_by_hand(ALPHABET, word, **fault))
    return navigation, memory, screen


def test_after_the_word_from_memory_it_is_written_once_on_one_line_and_then_comes_the_next():
    navigation, _ = open_session()
    back = shown(written_so_far(navigation, "ship", 4, Step.RECALL))

    line = press(back, "on")
    after = press(shown(line), "done")

    assert isinstance(line, LineWriting)
    assert isinstance(after, Rhyming), "nothing was written, and nobody is held"
    press(shown(press(shown(after), "on")), "on")
    assert navigation.session.word is None or navigation.session.word.text != "ship"


def test_a_word_on_a_line_is_kept_with_its_findings_and_one_thing_is_said_of_it():
    _, memory, screen = on_a_line("boat", moved={2: (0.0, -0.5)})

    answer = shown(press(screen, "done"))

    (tried,) = memory.tried
    assert (tried.word, tried.part, tried.finished) == ("boat", WordPart.LINE, True)
    assert [finding.kind for finding in tried.findings] == [WordKind.BASE_LINE]
    assert tried.checks
    assert len(tried.ink) == 5
    assert isinstance(answer, LineAnswer)
    assert answer.sentence == text("practice.line.floats")
    assert isinstance(press(answer, "again"), LineWriting)


def test_an_even_word_is_praised_for_what_it_is_and_on_is_the_main_way():
    _, _, screen = on_a_line("boat")
    answer = shown(press(screen, "done"))

    assert answer.sentence == text("practice.line.even")
    assert next(button.name for button in answer.buttons.all if button.main) == "on"


def test_what_was_taken_back_on_the_line_is_no_part_of_it():
    _, memory, screen = on_a_line("it")
    for _ in range(2):
        press(screen, "undo")
    press(screen, "clear")
    write(screen, word_by_hand(ALPHABET, "it"))

    press(screen, "done")

    assert len(memory.tried[0].ink) == len(word_by_hand(ALPHABET, "it"))


def test_every_finding_on_a_line_has_a_sentence_of_its_own():
    amounts = [(kind, amount) for kind in WordKind for amount in (-0.5, 1.5)]
    said = {phrases.say_word([WordFinding(kind, amount, 0.3, 0)]) for kind, amount in amounts}

    assert len(said) == 8
    assert text("practice.line.even") not in said


def test_a_word_that_cannot_be_judged_is_kept_as_broken_off_and_nothing_is_said_of_it(monkeypatch):
    def fails(*_: object, **__: object) -> None:
        raise RuntimeError("a fault of the program")

    _, memory, screen = on_a_line("it")
    monkeypatch.setattr("strokes.words.check_word", fails)
    answer = shown(press(screen, "done"))

    assert memory.tried[0].finished is False
    assert len(memory.tried[0].ink) == 4
    assert answer.sentence == text("practice.answer.kept")


# Rhymes


def test_words_that_rhyme_are_found_and_one_is_made_by_another_first_sound_and_written():
    navigation, memory = open_session()
    begin_word(navigation, "cat")
    screen = shown(navigation.words.next())
    assert isinstance(screen, Rhyming)
    rhymes = screen.rhymes

    for option in rhymes.options:
        assert (option.rime == rhymes.word.rime) is (option.text in rhymes.rhyming)
        if option.text in rhymes.rhyming:
            press(screen, f"word {option.text}")
    assert screen.done
    making = shown(press(screen, "on"))

    (tried,) = memory.tried
    assert (tried.word, tried.part, tried.asked, tried.given, tried.wrong) == ("cat", WordPart.RHYME, 3, 3, 0)
    assert not tried.missed
    assert isinstance(making, MakingRhyme)
    made = rhymes.made[0].text
    assert made.endswith("at")
    assert made != "cat"
    press(making, f"word {made}")
    assert navigation.session.word is not None
    assert navigation.session.word.text == made
    assert navigation.session.word.chunk == (len(made) - 2, len(made) - 1), "the rime is known"


def test_a_word_that_does_not_rhyme_is_kept_as_missed_and_stops_nobody():
    navigation, memory = open_session()
    begin_word(navigation, "cat")
    screen = shown(navigation.words.next())
    other = next(option.text for option in screen.rhymes.options if option.text not in screen.rhymes.rhyming)
    for _ in range(2):
        press(screen, f"word {other}")

    press(screen, "on")

    (tried,) = memory.tried
    assert (tried.given, tried.wrong, tried.missed) == (0, 1, True)


def test_a_rhyme_round_that_nobody_touched_is_not_kept_and_words_without_rhymes_have_none():
    navigation, memory = open_session()
    begin_word(navigation, "cat")
    assert isinstance(press(shown(navigation.words.next()), "on"), MakingRhyme)
    assert memory.tried == []
    begin_word(navigation, "lantern")
    assert not isinstance(navigation.words.next(), Rhyming)
    assert word_offers.rhyme_round(name_word("Bo"), navigation.session.able) is None


def test_the_letters_of_a_known_chunk_are_kept_as_written_or_missed():
    for letters, given in (("wet", 2), ("wat", 1)):
        navigation, memory = open_session()
        navigation.session.last_word = a_word("net")
        screen = begin_word(navigation, "wet", step=Step.COPY)
        for letter in letters:
            shown(screen)
            write(screen, by_hand(ALPHABET[letter]))
            screen = press(screen, "done")
            if isinstance(screen, Answer):
                screen = press(shown(screen), "on")

        assert isinstance(screen, ReadingBack)
        (tried,) = memory.tried
        assert (tried.word, tried.part, tried.asked, tried.given) == ("wet", WordPart.CHUNK, 2, given)


# Kept, on a real record


def test_a_window_that_dies_in_a_word_loses_no_stroke_that_was_lifted(tmp_path):
    """Nothing is closed here: what another program reads then is what a kill would leave."""
    file = tmp_path / "harbor.sqlite"
    with Record.open(file) as record, Record.open(file) as other:
        nella = record.pupils.add("Nella")
        record.plans.set_words(nella.group, ["ship"])
        navigation = Navigation(Session(ALPHABET, now=lambda: NOW), record)
        navigation.welcome(nella)
        navigation.words.today()
        navigation.words.begin(navigation.session.words[0])
        screen = shown(navigation.words.write())
        write(screen, by_hand(ALPHABET["s"]))
        screen = shown(wait(screen, 5))
        write(screen, by_hand(ALPHABET["h"]))
        screen = shown(wait(screen, 5))
        write(screen, by_hand(ALPHABET["i"]), traces=1)

        read = [(a.letter, a.in_word, a.finished, len(a.ink)) for a in other.attempts.find()]
        assert read == [
            ("s", InWord("ship", 0), True, 1),
            ("h", InWord("ship", 1), True, 1),
            ("i", InWord("ship", 2), False, 1),
        ]
        line = shown(navigation.words.write_line())
        write(line, word_by_hand(ALPHABET, "ship"), traces=3)
        (draft,) = other.word_tries.find()
        assert (draft.word, draft.finished, len(draft.ink)) == ("ship", False, 3)


def test_old_words_on_a_line_are_judged_again_and_the_findings_before_are_kept(tmp_path):
    with Record.open(tmp_path / "harbor.sqlite") as record:
        nella = record.pupils.add("Nella")
        ink = word_by_hand(ALPHABET, "boat", moved={2: (0.0, -0.5)})
        line = WordTry(None, nella.id, "boat", WordPart.LINE, NOW, ink=ink, checks="old")
        record.word_tries.keep(line)
        record.word_tries.keep(replace(line, finished=False))
        record.word_tries.keep(WordTry(None, nella.id, "boat", WordPart.COUNT, NOW, asked=3, given=3))

        run = Recheck(record, lambda _: ALPHABET, Tolerances())
        assert len(run) == 1
        assert run.run(processes=1).judged == 1

        first, *_ = record.word_tries.find()
        assert [finding.kind for finding in first.findings] == [WordKind.BASE_LINE]
        assert len(Recheck(record, lambda _: ALPHABET, Tolerances())) == 0


# Which words


def test_planned_words_come_first_and_the_own_name_last():
    own, marked = {}, frozenset("abcdefghijklmnopqrstuvwxyz")
    words = word_offers.offered(
        [], alphabet=ALPHABET, own=own, marked=marked, planned=["net", "Zoë"], due="m", name="nilo 2"
    )

    texts = [word.text for word in words]
    assert texts[:2] == ["net", "Zoë"]
    assert texts[-1] == "Nilo"
    assert len(texts) == word_offers.MOST
    assert "m" in texts[2]


def test_without_anything_taught_a_child_still_has_its_own_name():
    words = word_offers.offered(
        [], alphabet=ALPHABET, own={}, marked=frozenset(), planned=[], due="", name="Bo"
    )

    assert [word.text for word in words] == ["Bo"]


def test_the_rime_of_the_word_before_is_a_known_chunk():
    assert word_offers.chunk(a_word("cake"), a_word("lake")) == (1, 2, 3)
    assert word_offers.chunk(a_word("ship"), a_word("dip")) == (2, 3)
    assert word_offers.chunk(a_word("ship"), a_word("ship")) == ()
    assert word_offers.chunk(a_word("ship"), None) == ()
    words = [a_word(each) for each in ("net", "ship", "wet", "dip")]
    assert [word.text for word in word_offers.in_rimes(words)] == ["net", "wet", "ship", "dip"]


def test_a_word_for_a_plan_must_have_letters_of_the_alphabet():
    assert word_offers.planned("ship, net  ship", [ALPHABET]) == ("ship", "net")
    with pytest.raises(WordError, match="must have 1 to 20 letters"):
        word_offers.planned("fish & chips", [ALPHABET])
    with pytest.raises(WordError, match="has 'þ'"):
        word_offers.planned("þing", [ALPHABET])
