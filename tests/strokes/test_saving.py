"""A letter as a file: what is saved is read back as the same letter, whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest

from strokes import Formation, Kind, Letter, LetterError, LetterFileError, Stroke, letter_from_ink
from strokes.files import load_letter
from strokes.polyline import resample
from strokes.simulation import write
from tests.shipped import PRINT as ALPHABET

SAME = 0.005


def assert_same(letter: Letter, other: Letter) -> None:
    assert (letter.name, len(letter.formations), len(letter.recognized)) == (
        other.name,
        len(other.formations),
        len(other.recognized),
    )
    for first, second in zip(
        (*letter.formations, *letter.recognized), (*other.formations, *other.recognized), strict=True
    ):
        assert (first.name, first.hand, first.note) == (second.name, second.hand, second.note)
        for stroke_saved, two in zip(first.strokes, second.strokes, strict=True):
            assert stroke_saved.cue == two.cue
            gaps = resample(stroke_saved.path, 200) - resample(two.path, 200)
            assert np.hypot(*gaps.T).max() < SAME


@pytest.mark.parametrize("name", ["b", "i", "k", "t", "Q", "8", "ä"])
def test_a_shipped_letter_comes_back_with_everything(name, tmp_path):
    """One with recognized shapes, dots, hands and notes, a capital, a digit, and one that is composed."""
    letter = ALPHABET[name]
    letter.save(tmp_path / "copy.svg")

    assert_same(letter, load_letter(tmp_path / "copy.svg"))
    assert os.listdir(tmp_path) == ["copy.svg"]


def test_a_letter_from_ink_is_saved_as_curves_and_comes_back(tmp_path):
    letter = letter_from_ink("g", [write(ALPHABET["g"], seed=4)], cues=["Around & down <again>."])
    letter.save(str(tmp_path / "g.svg"))

    text = (tmp_path / "g.svg").read_text(encoding="utf-8")
    assert 1 <= text.count("C") <= 6
    assert_same(letter, load_letter(tmp_path / "g.svg"))


def test_a_letter_without_cues_is_read_back_without_cues(tmp_path):
    letter = letter_from_ink("i", [write(ALPHABET["i"])])
    letter.save(tmp_path / "i.svg")

    assert [stroke.cue for stroke in load_letter(tmp_path / "i.svg").taught.strokes] == ["", ""]


def test_the_name_of_the_file_is_free_and_the_title_is_the_letter(tmp_path):
    Letter("Ä", (Formation("taught", (Stroke([(0, -2), (0, 0)], "Down."),)),)).save(tmp_path / "x1.svg")

    assert load_letter(tmp_path / "x1.svg").name == "Ä"


def test_a_lone_point_is_saved_as_a_dot(tmp_path):
    strokes = (Stroke([(0, -1), (0, 0)], "Down."), Stroke([(0, -1.4)], "Dot."))
    Letter("i", (Formation("taught", strokes),)).save(tmp_path / "i.svg")

    dot = load_letter(tmp_path / "i.svg").taught.strokes[1]
    assert dot.is_dot
    np.testing.assert_allclose(dot.path.mean(axis=0), (0, -1.4), atol=SAME)


def test_ten_thousand_points_are_saved_as_the_few_that_are_needed(tmp_path):
    turn = np.linspace(0, 2 * np.pi, 10_000)
    ring = Stroke(np.column_stack([0.5 + 0.5 * np.sin(turn), -0.5 - 0.5 * np.cos(turn)]), "Around.")
    letter = Letter("o", (Formation("taught", (ring,)),))
    letter.save(tmp_path / "o.svg")

    assert (tmp_path / "o.svg").stat().st_size < 3000
    assert_same(letter, load_letter(tmp_path / "o.svg"))


STEM = Formation("taught", (Stroke([(0, -2), (0, 0)], "Down."),))
REFUSED = {
    "a name twice": (Letter("l", (STEM, STEM)), "different names"),
    "a name that cannot be seen": (Letter("l\0", (STEM,)), "visible"),
    "no name": (Letter("", (STEM,)), "visible"),
    "a long cue": (Letter("l", (Formation("taught", (Stroke([(0, -2), (0, 0)], "x" * 81),)),)), "at most 80"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_no_file_can_have_is_refused_and_the_old_file_stays(case, tmp_path):
    letter, sentence = REFUSED[case]
    (tmp_path / "l.svg").write_text("the old one")

    with pytest.raises(LetterError, match=sentence):
        letter.save(tmp_path / "l.svg")
    assert (tmp_path / "l.svg").read_text() == "the old one"
    assert os.listdir(tmp_path) == ["l.svg"]


def test_a_disk_that_fails_half_way_leaves_the_old_file(tmp_path, monkeypatch):
    (tmp_path / "l.svg").write_text("the old one")

    def full(_descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(LetterFileError, match="cannot be written: No space left"):
        Letter("l", (STEM,)).save(tmp_path / "l.svg")
    assert (tmp_path / "l.svg").read_text() == "the old one"
    assert os.listdir(tmp_path) == ["l.svg"]


@pytest.mark.parametrize("where", ["none/l.svg", "no\0name.svg"])
def test_a_place_that_is_none_is_told(where, tmp_path):
    with pytest.raises(LetterFileError, match="cannot be written"):
        Letter("l", (STEM,)).save(tmp_path / Path(where))


def test_hand_and_note_are_saved(tmp_path):
    upward = Formation("left", (Stroke([(0, 0), (0, -2)]),), "left", Kind.DIRECTION)
    loop = Formation("seen", (Stroke([(0, -2), (0.2, -1), (0, 0)]),))
    letter = Letter("l", (STEM, upward), recognized=(loop,))
    letter.save(tmp_path / "l.svg")

    assert_same(letter, load_letter(tmp_path / "l.svg"))
