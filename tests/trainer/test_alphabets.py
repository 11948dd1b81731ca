"""Which alphabets there are, and which one a group uses."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from strokes.alphabet import Alphabet
from strokes.errors import LetterFileError
from strokes.files.letter_folder import SHIPPED, faults
from strokes.letter import Family
from tests.shipped import PRINT
from trainer.teaching import alphabets
from trainer.teaching.alphabets import Alphabets

L = """<svg xmlns="http://www.w3.org/2000/svg"><title>l</title>
  <g id="taught"><path d="M0 -200 L0 0"><title>Down.</title></path></g></svg>"""


SHIPPED_ONES = {name: SHIPPED / name for name in ("print", "slanted")}


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """The teacher's own letters: an l."""
    folder = tmp_path / "letters"
    folder.mkdir()
    (folder / "l.svg").write_text(L)
    return folder


def chosen(own: Path, stored: str | None) -> alphabets.Used:
    """What Quay uses when the record keeps `kept` for it."""
    return Alphabets(own, {"alphabet:Quay": stored}.get).of("Quay")


def test_the_shipped_alphabet_is_always_there(tmp_path):
    assert Alphabets(tmp_path / "none").all() == SHIPPED_ONES


def test_the_teachers_folder_and_those_in_it_are_alphabets(own):
    for name in ("second", "print", "empty"):
        (own / name).mkdir()
    for name in ("second", "print"):
        (own / name / "L.SVG" if name == "second" else own / name / "l.svg").write_text(L)

    folders = Alphabets(own).all()

    assert folders == {**SHIPPED_ONES, "letters": own, "second": own / "second"}


@pytest.mark.parametrize(("stored", "used"), [("print", "print"), ("letters", "letters"), (None, "letters")])
def test_without_a_choice_the_teachers_own_alphabet_is_used(own, stored, used):
    assert chosen(own, stored).name == used
    assert chosen(own, stored).to_mend("Quay") == []
    assert Alphabets(own).of().name == "letters"


@pytest.mark.parametrize("stored", [None, "print"])
def test_without_an_alphabet_of_her_own_it_is_the_shipped_one(tmp_path, stored):
    assert chosen(tmp_path / "letters", stored).name == "print"
    assert chosen(tmp_path / "letters", stored).to_mend("Quay") == []


@pytest.mark.parametrize("stored", ["gone", "../.."])
def test_a_choice_that_is_not_there_any_more_gives_way_and_is_told(own, stored):
    sentence = f"The alphabet “{stored}” that Quay should use is not there. Meanwhile Quay uses “letters”."

    assert chosen(own, stored).name == "letters"
    assert chosen(own, stored).to_mend("Quay") == [sentence]


def test_a_folder_that_was_named_is_for_every_group(own):
    alphabets_of_run = Alphabets(own, {"alphabet:Quay": "print"}.get, named=True)

    assert [alphabets_of_run.of(group).name for group in (None, "Quay", "Slipway")] == ["letters"] * 3


# --- what cannot be used


@pytest.fixture
def three(own: Path) -> Path:
    """The teacher's own letters: l, i and o, with families and an order."""
    for name in ("i", "o"):
        (own / f"{name}.svg").write_bytes((SHIPPED / "print" / f"{name}.svg").read_bytes())
    (own / "alphabet.toml").write_text(
        '[guide]\nascender = -1.8\n[[family]]\nname = "lines"\nletters = ["l", "i"]\n'
        '[teaching]\norder = ["i", "o", "l"]\n'
    )
    return own


def spoil(file: Path, way: str) -> None:
    """Let the file of a letter be of no use."""
    file.unlink()
    if way == "a link that leads nowhere":
        file.symlink_to(file.parent / "gone" / file.name)
    elif way == "a link to itself":
        file.symlink_to(file)
    elif way == "a folder":
        file.mkdir()
    elif way == "no letter":
        file.write_text("<svg/>")


WAYS = ("no letter", "a link that leads nowhere", "a link to itself", "a folder", "not there")


@pytest.mark.parametrize("way", WAYS)
def test_a_faulty_letter_is_set_aside_alone_and_told(three, way):
    spoil(three / "i.svg", way)

    used = Alphabets(three).of("Quay")

    assert (list(used.alphabet), used.alphabet.order) == (["l", "o"], ("o", "l"))
    assert used.alphabet.families == (Family("lines", ("l",)),)
    assert used.alphabet.guide.ascender == -1.8
    assert not used.stands_in
    (sentence,) = used.to_mend("Quay")
    assert sentence.startswith("The letter i of your alphabet “letters” is set aside until it is mended.")
    assert faults(three), "trainer alphabet check names it"
    with pytest.raises(LetterFileError):
        Alphabet.load(three)


def test_several_faulty_letters_are_told_in_one_sentence(three):
    spoil(three / "i.svg", "no letter")
    spoil(three / "l.svg", "a folder")
    for number in range(7):
        (three / f"a copy of a letter {number}.svg").write_text("<svg/>")

    (sentence,) = Alphabets(three).of().to_mend()

    assert list(Alphabets(three).of().alphabet) == ["o"]
    assert sentence.startswith("The letters a copy of a ")
    assert "and 4 more of your alphabet “letters” are set aside" in sentence


def test_a_letter_with_two_files_is_set_aside(three):
    (three / "l.SVG").write_text(L)

    used = Alphabets(three).of()

    assert list(used.alphabet) == ["i", "o"]
    assert any("must be the only file of 'l'" in fault for fault in faults(three))


@pytest.mark.parametrize(
    "table", ["[guide", "[guide]\nascender = 5", "[guides]\nascender = -1.8", '[teaching]\norder = "ilo"']
)
def test_without_its_table_nothing_is_judged_and_the_shipped_alphabet_stands_in(three, table):
    """By other guide lines than the teacher's every letter would be told wrongly."""
    (three / "alphabet.toml").write_text(table)

    assert_shipped_stands_in(three)


@pytest.mark.parametrize("way", WAYS[:-1])
def test_where_no_letter_is_left_the_shipped_alphabet_stands_in(own, way):
    spoil(own / "l.svg", way)

    assert_shipped_stands_in(own)


@pytest.mark.parametrize("kind", ["a file", "a link that leads nowhere"])
def test_what_stands_in_the_place_of_her_folder_is_told(tmp_path, kind):
    own = tmp_path / "letters"
    own.write_text("") if kind == "a file" else own.symlink_to(tmp_path / "not plugged in")

    assert_shipped_stands_in(own)


def assert_shipped_stands_in(own: Path) -> None:
    used = Alphabets(own).of("Quay")
    assert (used.stands_in, len(used.alphabet)) == (True, len(PRINT))
    assert used.to_mend("Quay") == [
        "Your alphabet “letters” cannot be used until it is mended. Meanwhile the shipped alphabet is used."
    ]
    with pytest.raises(LetterFileError):
        Alphabets(own).for_judging("Quay")


def test_the_folder_of_marks_is_no_alphabet_and_a_changed_mark_is_read_anew(three):
    shutil.copytree(SHIPPED / "print" / "marks", three / "marks")
    table = three / "alphabet.toml"
    composed = '[composed]\n"ö" = { base = "o", mark = "diaeresis" }\n'
    table.write_text(composed + table.read_text(encoding="utf-8"), encoding="utf-8")
    alphabets = Alphabets(three)
    assert list(alphabets.all()) == [*SHIPPED_ONES, "letters"]
    assert "ö" in alphabets.of().alphabet

    spoil(three / "marks" / "diaeresis.svg", "no letter")

    assert "ö" not in alphabets.of().alphabet


def test_a_link_that_leads_somewhere_again_is_read_anew(three):
    spoil(three / "i.svg", "a link that leads nowhere")
    assert "i" not in Alphabets(three).of().alphabet

    (three / "gone").mkdir()
    (three / "gone" / "i.svg").write_bytes((SHIPPED / "print" / "i.svg").read_bytes())

    assert "i" in Alphabets(three).of().alphabet
    assert Alphabets(three).to_mend([None, "Quay"]) == []


def test_a_changed_file_is_read_anew_and_an_unchanged_folder_is_not(own):
    before = Alphabets(own).of().alphabet
    assert Alphabets(own).of().alphabet is before

    (own / "l.svg").write_text(L.replace("Down.", "Up?"))
    os.utime(own / "l.svg", ns=(0, 0))

    assert Alphabets(own).of().alphabet["l"].taught.strokes[0].cue == "Up?"
