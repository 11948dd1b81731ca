"""Which alphabets there are, and which one a group uses."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from strokes.errors import LetterFileError
from strokes.letterfile import SHIPPED
from trainer import alphabets

L = """<svg xmlns="http://www.w3.org/2000/svg"><title>l</title>
  <g id="taught"><path d="M0 -200 L0 0"><title>Down.</title></path></g></svg>"""


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """The teacher's own letters: an l."""
    folder = tmp_path / "letters"
    folder.mkdir()
    (folder / "l.svg").write_text(L)
    return folder


def test_the_shipped_alphabet_is_always_there(tmp_path):
    assert alphabets.alphabets(tmp_path / "none") == {"print": SHIPPED / "print"}


def test_the_teachers_folder_and_those_in_it_are_alphabets(own):
    for name in ("second", "print", "empty"):
        (own / name).mkdir()
    for name in ("second", "print"):
        (own / name / "l.svg").write_text(L)

    found = alphabets.alphabets(own)

    assert found == {"print": SHIPPED / "print", "letters": own, "second": own / "second"}


@pytest.mark.parametrize(
    ("kept", "used"), [("print", "print"), ("letters", "letters"), (None, "letters"), ("gone", "letters")]
)
def test_without_a_choice_the_teachers_own_alphabet_is_used(own, kept, used):
    assert alphabets.used(own, kept) == used


@pytest.mark.parametrize("kept", [None, "print", "letters", "../.."])
def test_without_an_alphabet_of_her_own_it_is_the_shipped_one(tmp_path, kept):
    assert alphabets.used(tmp_path / "letters", kept) == "print"


def test_an_alphabet_that_cannot_be_read_gives_way_to_the_shipped_one(own):
    assert list(alphabets.alphabet_used(own, "letters")) == ["l"]

    (own / "l.svg").write_text("<svg/>")

    assert len(alphabets.alphabet_used(own, "letters")) == 26
    assert len(alphabets.alphabet_used(own, None)) == 26
    with pytest.raises(LetterFileError, match=r"l\.svg"):
        alphabets.alphabet_in(own)


def test_a_changed_file_is_read_anew_and_an_unchanged_folder_is_not(own):
    before = alphabets.alphabet_in(own)
    assert alphabets.alphabet_in(own) is before

    (own / "l.svg").write_text(L.replace("Down.", "Up?"))
    os.utime(own / "l.svg", ns=(0, 0))

    assert alphabets.alphabet_in(own)["l"].taught.strokes[0].cue == "Up?"
