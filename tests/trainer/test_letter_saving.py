"""A letter that was written is saved: its file, its family, its place; and what was there before is kept."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
from tomlkit.exceptions import ParseError

from strokes.alphabet import Alphabet, usable
from strokes.errors import LetterError, LetterFileError
from strokes.files import SHIPPED, faults, load_letter
from strokes.letter import GuideLines
from trainer.errors import PlaceError
from trainer.teaching import letter_history, letter_saving, own_letters
from trainer.teaching.letter_drafts import Draft, changed

GUIDE = GuideLines()


TABLE = """name = "school"

# Letters that are formed by a similar movement.
[[family]]
name = "lines down"
letters = ["i", "l", "t"]

[[family]]
name = "curves"
letters = ["s"]

[teaching]
order = [
    "l", "i", "t",  # first
    "s", "b",
]
"""


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """An alphabet of the teacher's own with five letters."""
    folder = tmp_path / "letters"
    folder.mkdir()
    for letter in "bilst":
        shutil.copy(SHIPPED / "print" / f"{letter}.svg", folder)
    (folder / "alphabet.toml").write_text(TABLE)
    return folder


def draft(
    letter: str, *, use: str = "taught", family: str = "", after: str = "", cue: str = "Down."
) -> Draft:
    """A letter of one line down, and a bar through it."""
    made = Draft(letter)
    changed(made, {"do": "write", "trace": [[0.7, -2 + 0.1 * step] for step in range(21)]}, GUIDE)
    changed(made, {"do": "write", "trace": [[0.3 + 0.1 * step, -1.4] for step in range(9)]}, GUIDE)
    changed(made, {"do": "cue", "stroke": 0, "cue": cue}, GUIDE)
    changed(made, {"do": "cue", "stroke": 1, "cue": "Across."}, GUIDE)
    changed(made, {"do": "role", "use": use, "family": family, "after": after}, GUIDE)
    return made


def content(folder: Path) -> dict[str, bytes]:
    return {str(file.relative_to(folder)): file.read_bytes() for file in folder.rglob("*") if file.is_file()}


def test_a_new_letter_stands_in_its_family_and_at_its_place(own: Path) -> None:
    letter_saving.save(own, draft("ß", family="lines down", after="s", cue="Down, & <stop>."))

    alphabet = Alphabet.load(own)
    assert [stroke.cue for stroke in alphabet["ß"].taught.strokes] == ["Down, & <stop>.", "Across."]
    left, top, _, bottom = alphabet["ß"].taught.bounds
    assert (left, top, bottom) == pytest.approx((0.0, -2.0, 0.0), abs=0.02)
    order = alphabet.order
    assert order[order.index("s") + 1] == "ß"
    assert [family.name for family in alphabet.families if "ß" in family.letters] == ["lines down"]
    assert faults(own) == []
    changed = TABLE.replace('["i", "l", "t"]', '["i", "l", "t", "ß"]').replace('"s", "b"', '"s","ß", "b"')
    assert (own / "alphabet.toml").read_text().replace(" ", "") == changed.replace(" ", "")


def test_the_first_place_and_no_family(own: Path) -> None:
    letter_saving.save(own, draft("l", after="", family=""))

    alphabet = Alphabet.load(own)
    assert alphabet.order[0] == "l"
    assert not [family for family in alphabet.families if "l" in family.letters]


def test_a_taught_way_takes_the_place_of_the_one_before_and_the_others_stay(own: Path) -> None:
    others = load_letter(own / "t.svg")
    before = (own / "t.svg").read_bytes()

    letter_saving.save(own, draft("t", after="i"))

    letter = Alphabet.load(own)["t"]
    assert [stroke.cue for stroke in letter.taught.strokes] == ["Down.", "Across."]
    assert [formation.name for formation in letter.formations[1:]] == [
        formation.name for formation in others.formations[1:]
    ]
    assert len(letter.recognized) == len(others.recognized)
    (version,) = letter_history.versions(own / "t.svg")
    assert version.file.read_bytes() == before


def test_the_way_that_was_taught_can_stay_accepted(own: Path) -> None:
    before = load_letter(own / "t.svg").taught

    letter_saving.save(own, draft("t", after="i"), keep_taught=True)
    letter_saving.save(own, draft("t", after="i", cue="Down once more."), keep_taught=True)

    letter = Alphabet.load(own)["t"]
    names = [formation.name for formation in letter.formations]
    assert names[:3] == ["taught", "taught-before-2", "taught-before"]
    left_as_it_was = letter.formations[2]
    assert [stroke.cue for stroke in left_as_it_was.strokes] == [stroke.cue for stroke in before.strokes]


@pytest.mark.parametrize(("use", "hand"), [("accepted", None), ("left", "left"), ("right", "right")])
def test_another_way_is_added_for_everybody_or_for_one_hand(own: Path, use: str, hand: str | None) -> None:
    ways = len(load_letter(own / "t.svg").formations)

    letter_saving.save(own, draft("t", use=use, after="i"))
    letter_saving.save(own, draft("t", use=use, after="i"))

    formations = Alphabet.load(own)["t"].formations
    assert [formation.name for formation in formations[ways:]] == [f"own-{use}", f"own-{use}-2"]
    assert [formation.hand for formation in formations[ways:]] == [hand, hand]


def test_a_capital_does_not_take_the_file_of_the_small_letter(own: Path) -> None:
    letter_saving.save(own, draft("L", after="l"))

    alphabet = Alphabet.load(own)
    assert {"l", "L"} <= set(alphabet)
    assert len({file.name.lower() for file in own.glob("*.svg")}) == len(list(own.glob("*.svg")))


def test_a_new_letter_does_not_take_the_file_of_a_letter_that_has_its_name(own: Path) -> None:
    (own / "l.svg").rename(own / "j.svg")
    before = (own / "j.svg").read_bytes()

    letter_saving.save(own, draft("j", after="i"))

    assert {"j", "l"} <= set(Alphabet.load(own))
    assert (own / "j.svg").read_bytes() == before


@pytest.mark.parametrize("use", ["taught", "left"])
def test_a_letter_with_a_mark_gets_a_file_of_its_own_and_leaves_the_others_composed(
    own: Path, use: str
) -> None:
    shutil.copytree(SHIPPED / "print" / "marks", own / "marks")
    composed = '[composed]\n"š" = { base = "s", mark = "caron" }\n"ś" = { base = "s", mark = "acute" }\n'
    (own / "alphabet.toml").write_text(TABLE + composed)
    ways = len(Alphabet.load(own)["š"].formations)

    letter_saving.save(own, draft("š", use=use, after="s"))

    alphabet = Alphabet.load(own)
    assert len(alphabet["š"].formations) == (ways if use == "taught" else ways + 1)
    assert (alphabet["š"].base, alphabet["ś"].base) == ("", "s")
    assert faults(own) == []
    assert alphabet.order == ("l", "i", "t", "s", "š", "b")


def test_a_composed_letter_is_of_use_when_the_program_ends_before_its_line_is_taken_out(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is the letter in its file, the line is told of, and saving it once more mends that."""
    shutil.copytree(SHIPPED / "print" / "marks", own / "marks")
    (own / "alphabet.toml").write_text(TABLE + '[composed]\n"š" = { base = "s", mark = "caron" }\n')

    def ended(*_given: object, **_more: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(letter_saving, "replace_file", ended)
        with pytest.raises(KeyboardInterrupt):
            letter_saving.save(own, draft("š", after="s"))

    seen = usable(own)
    assert seen.set_aside == ()
    assert seen.alphabet is not None
    assert seen.alphabet["š"].base == ""
    (fault,) = faults(own)
    assert "must have no file" in fault
    letter_saving.save(own, draft("š", after="s"))
    assert faults(own) == []


def test_an_alphabet_without_a_table_gets_one(own: Path) -> None:
    (own / "alphabet.toml").unlink()

    letter_saving.save(own, draft("ß", after="b"))

    order = Alphabet.load(own).order
    assert order[order.index("b") + 1] == "ß"
    assert len(order) == 6


def test_a_letter_that_was_set_aside_is_written_anew_and_its_file_is_kept(own: Path) -> None:
    (own / "t.svg").write_text("<svg/>")

    letter_saving.save(own, draft("t", after="i"))

    assert "t" in Alphabet.load(own)
    assert usable(own).faults == ()
    assert [file.read_text() for file in (own / "history" / "t").iterdir()] == ["<svg/>"]


def test_a_mark_at_the_beginning_and_what_an_editor_left_stay_readable(own: Path) -> None:
    plain = (own / "t.svg").read_text()
    drawn = plain.replace("<title>t</title>", "<title>t</title><!-- é -->", 1)
    (own / "t.svg").write_bytes(b"\xef\xbb\xbf" + drawn.encode())

    letter_saving.save(own, draft("t", after="i"))

    assert "<!-- é -->" in (own / "t.svg").read_text()
    assert Alphabet.load(own)["t"].taught.strokes[0].cue == "Down."


@pytest.mark.parametrize(
    ("made", "sentence"),
    [
        (Draft("t"), "at least one stroke"),
        (draft("ß", use="accepted"), "a taught way before"),
        (draft("t", after="ø"), "must be a letter"),
        (draft("t", family="waves"), "must be a family"),
    ],
    ids=["empty", "accepted-first", "unknown-place", "unknown-family"],
)
def test_what_cannot_be_saved_changes_nothing(own: Path, made: Draft, sentence: str) -> None:
    before = content(own)

    with pytest.raises(LetterError, match=sentence):
        letter_saving.save(own, made)

    assert content(own) == before


def test_a_letter_with_too_many_ways_is_told_and_changes_nothing(own: Path) -> None:
    groups = "".join(f'<g id="way-{number}"><path d="M0 -200 L0 0"/></g>' for number in range(38))
    taught = '<g id="taught"><path d="M0 -200 L0 0"><title>Down.</title></path></g>'
    (own / "t.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg"><title>t</title>{taught}{groups}</svg>'
    )
    letter_saving.save(own, draft("t", use="left", after="i"))
    before = content(own)

    with pytest.raises(LetterError, match=r"^'t': must have 1 to 40"):
        letter_saving.save(own, draft("t", use="left", after="i"))

    assert content(own) == before


def test_a_disk_that_is_full_leaves_the_alphabet_as_it_was(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    before = content(own)
    made = draft("t", after="i")
    monkeypatch.setattr(os, "fsync", full)

    with pytest.raises(PlaceError, match="No space left"):
        letter_saving.save(own, made)

    assert content(own) == before


def test_a_table_that_cannot_be_changed_is_told_by_its_name(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody may spoil it between two looks at it."""

    def spoilt(_: str) -> None:
        raise ParseError(3, 7)

    before = content(own)
    monkeypatch.setattr("tomlkit.parse", spoilt)

    with pytest.raises(LetterFileError, match=r"alphabet\.toml: the program cannot change it; .* at line 3"):
        letter_saving.save(own, draft("t", after="i"))

    assert content(own) == before


# --- history


def test_a_letter_goes_back_to_an_earlier_version_and_forward_again(own: Path) -> None:
    first = (own / "t.svg").read_bytes()
    letter_saving.save(own, draft("t", after="i"))
    second = (own / "t.svg").read_bytes()

    (version,) = letter_history.versions(own / "t.svg")
    letter_history.replace_letter(own / "t.svg", version.file.read_bytes())
    assert (own / "t.svg").read_bytes() == first

    later = letter_history.versions(own / "t.svg")[0]
    letter_history.replace_letter(own / "t.svg", later.file.read_bytes())
    assert (own / "t.svg").read_bytes() == second


def test_a_changed_cue_is_a_version_too_and_the_same_content_is_none(own: Path) -> None:
    own_letters.change_cue(own, "t", 0, "Straight, far down.")
    letter_history.replace_letter(own / "t.svg", (own / "t.svg").read_bytes())

    assert len(letter_history.versions(own / "t.svg")) == 1


def test_an_earlier_version_that_was_damaged_is_passed_over(own: Path) -> None:
    own_letters.change_cue(own, "t", 0, "Straight, far down.")
    own_letters.change_cue(own, "t", 0, "Down.")
    latest = letter_history.versions(own / "t.svg")[0]
    latest.file.write_bytes(b"\x89PNG")
    (latest.file.parent / "holiday.svg").write_bytes(latest.file.read_bytes())

    (left,) = letter_history.versions(own / "t.svg")

    assert left.key != latest.key
    with pytest.raises(LetterError, match="not there"):
        letter_history.version(own / "t.svg", "../../a")


def test_the_history_is_no_alphabet(own: Path) -> None:
    from trainer.teaching import Alphabets

    own_letters.change_cue(own, "t", 0, "Straight, far down.")

    assert set(Alphabets(own).all()) == {*Alphabets(own.parent / "nowhere").all(), "letters"}
    assert SHIPPED.is_dir()
