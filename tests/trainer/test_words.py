"""Words and their boxes: how they are written down, read, refused and guessed."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.cases import for_each
from trainer.errors import WordError, WordFileError
from trainer.wordbank import (
    PHONEMES,
    Box,
    guess,
    name_word,
    notation,
    read_words,
    shipped_words,
    spelled,
)
from trainer.wordbank.graphemes import read_graphemes

SHIPPED = shipped_words()
GRAPHEMES = SHIPPED.graphemes
WORDS = {word.text: word for word in SHIPPED.words}


def boxes(text: str, spelling: str) -> list[tuple[str, tuple[str, ...]]]:
    return [(box.grapheme, box.sounds) for box in spelled(text, spelling, GRAPHEMES).boxes]


# Boxes


def test_a_digraph_shares_a_box() -> None:
    assert boxes("ship", "sh i p") == [("sh", ("SH",)), ("i", ("IH",)), ("p", ("P",))]
    assert spelled("ship", "sh i p", GRAPHEMES).places == (0, 0, 1, 2)


def test_a_silent_e_stands_outside() -> None:
    assert spelled("cake", "c a-e k", GRAPHEMES).places == (0, 1, 2, None)
    assert spelled("bathe", "b a-e th:DH", GRAPHEMES).places == (0, 1, 2, 2, None)


def test_the_e_of_a_split_digraph_belongs_to_its_vowel() -> None:
    vowel = spelled("cake", "c a-e k", GRAPHEMES).boxes[1]

    assert (vowel.letters, vowel.silent, vowel.sounds) == ("a", "e", ("EY",))


def test_x_and_qu_are_one_box_with_two_sounds() -> None:
    fox, quiz = spelled("fox", "f o x", GRAPHEMES), spelled("quiz", "qu i z", GRAPHEMES)

    assert len(fox.boxes) == len(quiz.boxes) == 3
    assert fox.sounds == ("F", "AA", "K", "S")
    assert quiz.sounds == ("K", "W", "IH", "Z")


def test_a_vowel_with_r_is_one_sound() -> None:
    assert spelled("car", "c ar", GRAPHEMES).sounds == ("K", "AA+R")


def test_onset_and_rime_part_a_word_before_its_vowel() -> None:
    stop = WORDS["stop"]

    assert (stop.onset, stop.rime, stop.rime_letters) == (("S", "T"), ("AA", "P"), "op")
    assert WORDS["cake"].rime_letters == "ake"
    assert WORDS["quiz"].rime_letters == "iz"
    assert WORDS["at"].onset == ()


def test_an_odd_box_makes_an_exception_word() -> None:
    said = spelled("said", "s ai:EH! d", GRAPHEMES)

    assert said.irregular
    assert said.boxes[1] == Box("ai", ("EH",), irregular=True)
    assert not WORDS["rain"].irregular


def test_a_name_is_a_word_of_letters_without_boxes() -> None:
    name = name_word("Nora")

    assert name.letters == {"N", "o", "r", "a"}
    assert name.places == (None,) * 4
    assert (name.boxes, name.sounds, name.syllables, name.rime) == ((), (), 0, ())


def test_syllables_are_counted_by_their_vowels() -> None:
    assert {text: WORDS[text].syllables for text in ("cat", "apple", "harbor", "music", "a")} == {
        "cat": 1,
        "apple": 2,
        "harbor": 2,
        "music": 2,
        "a": 1,
    }


# Refused in one sentence


@for_each(
    ("text", "spelling", "sentence"),
    [
        ("cake", "c a k", "letters and boxes do not add up: the word is 'cake', and the boxes spell 'cak'"),
        (
            "ship",
            "sh i p p",
            "letters and boxes do not add up: the word is 'ship', and the boxes spell 'shipp'",
        ),
        ("cake", "c a k-e", "a box must be letters, such as sh, a-e, ow:AW or ai:EH!, not 'k-e'"),
        ("ship", "", "'ship' must have a box for each sound, it has none"),
        ("Ship", "sh i p", "a word must be 1 to 12 small letters a to z, not 'Ship'"),
        ("", "", "a word must be 1 to 12 small letters a to z, not ''"),
        ("über", "u", "a word must be 1 to 12 small letters a to z, not 'über'"),
        ("ae", "a-e", "a split digraph must have a box after it, 'a-e' is the last of 'ae'"),
        ("said", "s ai:EH d", "the box ai:EH must be marked with !, as no rule says that ai sounds so"),
        ("rain", "r ai:EY! n", "the box ai:EY must stand without !, as it is regular"),
        ("eye", "eye", "'eye' must have its sounds after it, such as ai:EH!, as no rule gives them"),
        (
            "was",
            "w a:AH s:Z",
            "the box a:AH must be marked with !, as 'was' has no syllable that is hardly heard",
        ),
        ("psst", "p s s t", "'psst' must have a vowel among its sounds, it has P S S T"),
    ],
)
def test_what_does_not_add_up_is_refused_in_one_sentence(text: str, spelling: str, sentence: str) -> None:
    with pytest.raises(WordError) as raised:
        spelled(text, spelling, GRAPHEMES)

    assert str(raised.value) == sentence


def test_an_unknown_sound_is_answered_with_those_there_are() -> None:
    with pytest.raises(WordError, match=r"a sound must be one of AA AE .* ZH .*, not 'XX'"):
        spelled("cat", "c a:XX t", GRAPHEMES)


FAULTS = [
    ("[everyday]\nship = 'sh i'\n", "everyday.ship: letters and boxes do not add up"),
    ("[common]\nship = 'sh i p'\n", "a table must be everyday, usual, sets, not common"),
    ("[everyday]\nship = 3\n", "everyday.ship: must be a string, not 3"),
    ("everyday = 3\n", "everyday: must be a table, not 3"),
    ("[everyday\n", "must be TOML: "),
    ("[sets]\nquay = 'ship'\n", "sets.quay: must be a list of words, not 'ship'"),
    ("sets = 1\n", "sets: must be a table, not 1"),
]


@pytest.mark.parametrize(("content", "sentence"), FAULTS)
def test_a_file_with_a_fault_is_refused_by_name(tmp_path: Path, content: str, sentence: str) -> None:
    path = tmp_path / "own.toml"
    path.write_text(content)

    with pytest.raises(WordFileError) as raised:
        read_words([path], GRAPHEMES)

    assert str(raised.value).startswith(f"{path}: {sentence}")


def test_a_file_that_is_no_text_or_is_not_there_is_refused_by_name(tmp_path: Path) -> None:
    binary, huge = tmp_path / "binary.toml", tmp_path / "huge.toml"
    binary.write_bytes(b"\xff\xfe\x00")
    huge.write_bytes(b"#" * (2**20 + 1))

    for path, sentence in (
        (binary, "must be TOML"),
        (huge, "must have at most 1048576 bytes, it has more"),
        (tmp_path / "none.toml", "must be a file that can be read"),
    ):
        with pytest.raises(WordFileError, match=sentence):
            read_words([path], GRAPHEMES)


def test_a_word_that_stands_twice_is_refused(tmp_path: Path) -> None:
    for name in ("a", "b"):
        (tmp_path / f"{name}.toml").write_text("[usual]\nship = 'sh i p'\n")

    with pytest.raises(WordFileError, match=r"b\.toml: ship must stand once, it stands in a\.toml too"):
        read_words([tmp_path / "a.toml", tmp_path / "b.toml"], GRAPHEMES)


def test_a_set_with_a_word_that_is_nowhere_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("[sets]\nquay = ['ship']\n")

    with pytest.raises(
        WordFileError, match=r"sets\.quay: must have words that stand in a file, 'ship' does not"
    ):
        read_words([tmp_path / "a.toml"], GRAPHEMES)


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        ("[letters]\na = 'QQ'\n", "letters.a: must name sounds such as SH or AA+R, not 'QQ'"),
        ("[letters]\na = ''\n", "letters.a: must name at least one sound, it is empty"),
        ("[letters]\n1 = 'AE'\n", "letters.1: a grapheme must be one to four letters a to z, or such as a-e"),
        ("[letters]\na = 'AE AE'\n", "letters.a: AE must stand once for it, it stands in letters too"),
    ],
)
def test_a_file_of_graphemes_with_a_fault_is_refused_by_name(
    tmp_path: Path, content: str, sentence: str
) -> None:
    path = tmp_path / "graphemes.toml"
    path.write_text(content)

    with pytest.raises(WordFileError) as raised:
        read_graphemes(path)

    assert str(raised.value) == f"{path}: {sentence}"


# The shipped words


def test_every_shipped_word_is_written_down_and_read_the_same() -> None:
    for word in SHIPPED.words:
        assert spelled(word.text, notation(word, GRAPHEMES), GRAPHEMES, everyday=word.everyday) == word


def test_the_letters_of_the_boxes_and_the_silent_ones_are_the_word() -> None:
    for word in SHIPPED.words:
        inside = [place for place in word.places if place is not None]
        assert len(word.places) == len(word.text)
        assert inside == sorted(inside)
        assert set(inside) == set(range(len(word.boxes)))
        assert all(word.text[n] == "e" for n, place in enumerate(word.places) if place is None)


def test_every_correspondence_has_a_word_and_every_sound_but_one_is_in_some_word() -> None:
    ways = {(box.grapheme, box.sounds) for word in SHIPPED.words for box in word.boxes if not box.irregular}
    heard = {sound for word in SHIPPED.words for sound in word.sounds}

    assert ways == {(way.grapheme, way.sounds) for way in GRAPHEMES.correspondences}
    assert PHONEMES.keys() - heard == {"ZH"}  # treasure is no word for children of this age to spell


@pytest.mark.parametrize("name", ["quay", "water", "market"])
def test_the_harbor_town_has_sets_of_its_own(name: str) -> None:
    assert len(SHIPPED.sets[name]) >= 12


# A guess


@for_each(
    ("text", "spelling"),
    [
        ("ship", "sh i p"),
        ("cake", "c a-e k"),
        ("page", "p a-e g:JH"),
        ("nose", "n o-e s:Z"),
        ("quay", "qu ay"),
        ("bank", "b a n:NG k"),
        ("bridge", "b r i dge"),
        ("puddle", "p u dd le"),
        ("sunny", "s u nn y:IY"),
        ("fly", "f l y:AY"),
        ("harbor", "h ar b or:ER"),
        ("legs", "l e g s:Z"),
        ("ball", "b a:AO ll"),
        ("knee", "kn ee"),
    ],
)
def test_a_word_that_is_typed_gets_the_boxes_that_are_most_likely(text: str, spelling: str) -> None:
    assert notation(guess(text, GRAPHEMES), GRAPHEMES) == spelling


def test_most_of_the_shipped_words_are_guessed_right() -> None:
    """Our own figure: 9 in 10 when the rules were written. What is guessed wrong is mended by hand."""
    regular = [word for word in SHIPPED.words if not word.irregular]
    right = sum(guess(word.text, GRAPHEMES).boxes == word.boxes for word in regular)

    assert right > 0.85 * len(regular)


@given(st.text("abcdefghijklmnopqrstuvwxyz", max_size=14))
def test_a_guess_has_all_the_letters_or_is_refused(text: str) -> None:
    try:
        word = guess(text, GRAPHEMES)
    except WordError:
        return
    assert word.text == text
    assert spelled(text, notation(word, GRAPHEMES), GRAPHEMES) == word


@given(st.text(max_size=20))
def test_whatever_is_typed_is_read_or_refused_in_one_sentence(typed: str) -> None:
    for read in (lambda: guess(typed, GRAPHEMES), lambda: spelled("ship", typed, GRAPHEMES)):
        try:
            answer = read().text
        except WordError as error:
            answer = str(error)
        assert answer.isprintable()
