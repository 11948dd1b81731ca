"""The teacher's own letters: copied whole or not at all, a cue changed and not one byte besides."""

from __future__ import annotations

import os
import re
from pathlib import Path
from unicodedata import normalize

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from strokes.alphabet import Alphabet
from strokes.errors import LetterError, LetterFileError
from strokes.files.letter_folder import SHIPPED, faults, letter_files, load_letter
from strokes.files.letter_svg import LONGEST_CUE
from trainer.errors import PlaceError
from trainer.teaching import own_letters

DRAWN = """<?xml version="1.0" encoding="UTF-8"?>\r
<!-- drawn at school -->\r
<svg xmlns="http://www.w3.org/2000/svg" xmlns:ed="urn:an-editor" viewBox="-50 -230 100 350">
  <title>i</title><!-- the name -->
  <metadata><ed:grid size="5"/></metadata>
  <g id="taught"><title>two strokes</title>
    <path ed:node="<>" d="M0 -100 L0 0">
      <desc>stem</desc><title id="c1"><!-- said -->Down &amp; stop.</title>
    </path>
    <path d="M0 -150 L1 -149"><title><![CDATA[Lift, dot.]]></title></path>
  </g>
  <g id="left" data-hand="left">
    <path d="M0 -150 L1 -149"><title>Dot.</title></path><path d="M0 -100 L0 0"/>
  </g>
</svg>
""".replace('"<>"', '"&lt;>"')


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A folder with one letter as an editor left it."""
    folder = tmp_path / "letters"
    folder.mkdir()
    (folder / "i.svg").write_bytes(DRAWN.encode())
    return folder


def drawn(folder: Path) -> str:
    return (folder / "i.svg").read_bytes().decode()


def content(folder: Path) -> dict[Path, bytes]:
    """Every file of an alphabet, those of its marks too."""
    return {file.relative_to(folder): file.read_bytes() for file in folder.rglob("*") if file.is_file()}


# --- a copy of the shipped alphabet


def test_the_copy_is_the_shipped_alphabet(tmp_path):
    own_letters.copy_shipped(tmp_path / "new" / "letters")

    assert content(tmp_path / "new" / "letters") == content(SHIPPED / "print")
    assert [entry.name for entry in (tmp_path / "new").iterdir()] == ["letters"], "nothing else is left there"


def test_the_slanted_alphabet_can_be_copied_too(tmp_path):
    own_letters.copy_shipped(tmp_path / "letters", "slanted")

    assert content(tmp_path / "letters") == content(SHIPPED / "slanted")


def test_a_folder_that_is_there_is_not_written_over(own):
    with pytest.raises(PlaceError, match="must be a new folder"):
        own_letters.copy_shipped(own)

    assert drawn(own) == DRAWN


def test_a_copy_that_fails_half_way_leaves_nothing(tmp_path, monkeypatch):
    def fails(_: Path, goal: Path) -> None:
        goal.mkdir()
        (goal / "a.svg").write_text("half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(own_letters.shutil, "copytree", fails)

    with pytest.raises(PlaceError, match="No space left"):
        own_letters.copy_shipped(tmp_path / "letters")

    assert list(tmp_path.iterdir()) == []


def test_the_marks_are_copied_with_the_letters(tmp_path):
    own_letters.copy_letters(SHIPPED / "print", tmp_path / "copy")

    assert content(tmp_path / "copy") == content(SHIPPED / "print")


# --- a cue changed


def test_only_the_cue_changes(own):
    own_letters.change_cue(own, "i", 0, "  Straight   down. ")

    assert drawn(own) == DRAWN.replace("<!-- said -->Down &amp; stop.", "Straight down.")
    assert load_letter(own / "i.svg").taught.strokes[0].cue == "Straight down."


def test_each_stroke_has_its_own_cue(own):
    own_letters.change_cue(own, "i", 1, "Lift, and dot.")

    assert drawn(own) == DRAWN.replace("<![CDATA[Lift, dot.]]>", "Lift, and dot.")


def test_a_mark_at_the_beginning_of_the_file_stays(own):
    (own / "i.svg").write_bytes(b"\xef\xbb\xbf" + DRAWN.encode())

    own_letters.change_cue(own, "i", 0, "Straight down.")

    changed = DRAWN.replace("<!-- said -->Down &amp; stop.", "Straight down.")
    assert (own / "i.svg").read_bytes() == b"\xef\xbb\xbf" + changed.encode()


def test_every_cue_of_the_shipped_alphabet_can_be_changed(tmp_path):
    """Taken out of the changed file by another way: the titles of the first group's paths, in their order."""
    for file in letter_files(SHIPPED / "print"):
        folder = tmp_path / file.stem  # alone, as every change reads the folder
        folder.mkdir()
        changed = folder / file.name
        changed.write_bytes(file.read_bytes())
        letter = load_letter(file)
        count = len(letter.taught.strokes)
        for stroke in range(count):
            own_letters.change_cue(folder, letter.name, stroke, f"Move {stroke + 1}.")

        before, after = file.read_text(), changed.read_text()
        taught = after.split("</g>")[0]
        assert re.findall(r"(?<=<title>)Move \d\.", taught) == [f"Move {n}." for n in range(1, count + 1)]
        outlines = [re.findall(r' d="[^"]+"', content) for content in (before, after)]
        assert outlines[0] == outlines[1]
        assert faults(folder) == []


@given(said=st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=20))
@settings(
    max_examples=60,
    suppress_health_check=[*settings().suppress_health_check, HealthCheck.function_scoped_fixture],
)
def test_whatever_can_be_seen_can_be_a_cue_and_is_read_back(own, said):
    own_letters.change_cue(own, "i", 0, said)

    letter = load_letter(own / "i.svg")
    assert letter.taught.strokes[0].cue == normalize("NFC", said)
    assert letter.taught.strokes[1].cue == "Lift, dot."


@pytest.mark.parametrize(
    ("said", "reason"),
    [
        ("", "it is empty"),
        (" \n ", "it is empty"),
        ("x" * (LONGEST_CUE + 1), f"at most {LONGEST_CUE} characters, not {LONGEST_CUE + 1}"),
        ("Down\x00.", "cannot be seen"),
        ("Down\x1b[2J", "cannot be seen"),
        ("Down\u202e.", "cannot be seen"),
        ("Down\ud800", "cannot be seen"),
    ],
)
def test_a_cue_that_cannot_be_said_is_told_and_changes_nothing(own, said, reason):
    with pytest.raises(LetterError, match=re.escape(reason)):
        own_letters.change_cue(own, "i", 0, said)

    assert drawn(own) == DRAWN


@pytest.mark.parametrize("letter", ["q", "../letters/i", "", "i.svg", "\x00", "/etc/passwd"])
def test_a_letter_that_the_alphabet_does_not_have_reaches_no_file(own, letter):
    with pytest.raises(LetterError, match="must be a letter of letters"):
        own_letters.change_cue(own, letter, 0, "Down.")


@pytest.mark.parametrize("stroke", [-1, 2, 99])
def test_a_stroke_that_the_letter_does_not_have_is_told(own, stroke):
    with pytest.raises(LetterError, match="it has 2"):
        own_letters.change_cue(own, "i", stroke, "Down.")

    assert drawn(own) == DRAWN


def test_a_composed_letter_has_the_cues_of_its_base(tmp_path):
    own_letters.copy_shipped(tmp_path / "letters")
    with pytest.raises(LetterError, match="'é' is composed: its cues are those of 'e' and of its mark"):
        own_letters.change_cue(tmp_path / "letters", "é", 0, "Around.")

    own_letters.change_cue(tmp_path / "letters", "e", 0, "Around.")

    assert Alphabet.load(tmp_path / "letters")["é"].taught.strokes[0].cue == "Around."


def test_a_letter_that_is_set_aside_takes_no_cue_and_stops_no_other(own):
    (own / "o.svg").write_text("<svg/>")

    with pytest.raises(LetterError, match="'o' must be a letter"):
        own_letters.change_cue(own, "o", 0, "Down.")
    own_letters.change_cue(own, "i", 0, "Straight down.")

    assert (own / "o.svg").read_text() == "<svg/>"
    assert load_letter(own / "i.svg").taught.strokes[0].cue == "Straight down."


def test_an_alphabet_without_a_usable_letter_is_mended_first(own):
    (own / "alphabet.toml").write_text("[guide")

    with pytest.raises(LetterFileError, match=r"alphabet\.toml"):
        own_letters.change_cue(own, "i", 0, "Down.")

    assert drawn(own) == DRAWN


def test_only_the_files_of_an_alphabet_are_copied(own, tmp_path):
    (own / "holiday.jpg").write_bytes(b"far too large")
    (own / "q.svg").symlink_to(tmp_path / "gone.svg")

    own_letters.copy_letters(own, tmp_path / "copy")

    assert [file.name for file in (tmp_path / "copy").iterdir()] == ["i.svg"]
    with pytest.raises(PlaceError, match="cannot be copied"):
        own_letters.copy_letters(tmp_path / "nowhere", tmp_path / "another")


def test_a_cue_that_cannot_be_written_leaves_the_old_one(own, monkeypatch):
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)

    with pytest.raises(PlaceError, match="No space left"):
        own_letters.change_cue(own, "i", 0, "Down.")

    assert drawn(own) == DRAWN
    assert [entry.name for entry in own.iterdir()] == ["i.svg"]


def test_who_may_read_the_file_stays(own):
    (own / "i.svg").chmod(0o640)

    own_letters.change_cue(own, "i", 0, "Down.")

    assert (own / "i.svg").stat().st_mode & 0o777 == 0o640
