"""Letters with marks: composed from a base and a mark, written and told apart, and what can be wrong."""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path

import numpy as np
import pytest

from strokes.alphabet import Alphabet, usable
from strokes.checks import check
from strokes.files.letter_folder import SHIPPED, faults
from strokes.files.marks import compose
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import Family, Formation, Letter, Stroke
from strokes.report import Finding
from strokes.simulation.hand import write
from tests.cases import for_each
from tests.shipped import MARKED, PRINT

COMPOSED = [letter.name for letter in PRINT.letters if letter.base]
LINE = '"á" = {{ base = "{base}", mark = "{mark}" }}\n'


@pytest.fixture
def ours(tmp_path: Path) -> Path:
    """An alphabet of a and e with the marks that are shipped, and á composed."""
    for name in ("a", "e"):
        shutil.copyfile(SHIPPED / "print" / f"{name}.svg", tmp_path / f"{name}.svg")
    shutil.copytree(SHIPPED / "print" / "marks", tmp_path / "marks")
    put(tmp_path, LINE.format(base="a", mark="acute"))
    return tmp_path


def put(folder: Path, composed: str) -> None:
    (folder / "alphabet.toml").write_text(
        f'[composed]\n{composed}\n[[family]]\nname = "round"\nletters = ["a", "e"]\n', encoding="utf-8"
    )


def findings_of(name: str, written: str, seed: int = 0) -> list[Finding]:
    """What is found in ink of one letter where another was asked for, between guide lines."""
    report = check(write(PRINT[written], seed=seed), PRINT[name], guide=PRINT.guide)
    return [finding for finding in report.findings if not finding.note]


# --- composed


def test_the_few_letters_that_tests_run_over_have_every_mark():
    table = tomllib.loads((SHIPPED / "print" / "alphabet.toml").read_text(encoding="utf-8"))["composed"]
    marks = {table[letter.name]["mark"] for letter in MARKED}

    assert marks == {file.stem for file in (SHIPPED / "print" / "marks").glob("*.svg")}


def test_one_line_makes_a_letter_of_every_formation_of_its_base(ours):
    alphabet = Alphabet.load(ours)
    letter, base = alphabet["á"], alphabet["a"]

    assert letter.base == "a"
    assert len(letter.formations) == 2 * len(base.formations), "the accent downward and upward"
    assert [stroke.cue for stroke in letter.taught.strokes] == [
        *(stroke.cue for stroke in base.taught.strokes),
        "Short slant above, down to the left.",
    ]
    for formation in letter.formations:
        assert np.vstack([stroke.path for stroke in formation.strokes[-1:]])[:, 1].max() < -1.2


def test_it_follows_its_base_in_the_family_and_has_no_place_in_the_order(ours):
    alphabet = Alphabet.load(ours)

    assert alphabet.families == (Family("round", ("a", "á", "e")),)
    assert alphabet.order == ("a", "e")
    assert faults(ours) == []


def test_the_dot_of_an_i_goes_under_an_accent():
    assert [stroke.is_dot for stroke in PRINT["í"].taught.strokes] == [False, False]


def test_formations_for_one_hand_and_notes_stay_so():
    base, composed = PRINT["o"], PRINT["ó"]
    (other_way,) = (formation for formation in base.formations if formation.hand)

    ways = [formation for formation in composed.formations if formation.hand]
    assert {(way.hand, way.note) for way in ways} == {(other_way.hand, other_way.note)}


def test_marks_for_the_other_hand_or_with_another_note_are_not_combined():
    line = (Stroke(np.array([[0.0, -1.0], [0.0, 0.0]]), "Down."),)
    dash = (Stroke(np.array([[-0.2, -0.3], [0.2, -0.3]]), "Across."),)
    base = Letter("l", (Formation("taught", line), Formation("left", line, "left", Kind.ORDER)))
    mark = Letter("bar", (Formation("taught", dash), Formation("right", dash, "right", Kind.START)))

    ways = [(way.name, way.hand, way.note) for way in compose("x", base, mark).formations]
    assert ways == [
        ("taught", None, None),
        ("taught, right", "right", Kind.START),
        ("left", "left", Kind.ORDER),
    ]


def test_a_shift_moves_the_mark_alone(ours):
    plain = Alphabet.load(ours)["á"].taught
    put(ours, '"á" = { base = "a", mark = "acute", shift = [0.1, -0.2] }')
    moved = Alphabet.load(ours)["á"].taught

    np.testing.assert_allclose(moved.strokes[0].path, plain.strokes[0].path)
    np.testing.assert_allclose(moved.strokes[-1].path, plain.strokes[-1].path + (0.1, -0.2))


def test_marks_stand_above_across_and_below():
    top, across, below = (PRINT[name].taught.strokes[-1].path[:, 1] for name in ("é", "ø", "ç"))

    assert top.max() < -1
    assert (across.min() < -1, across.max() > 0) == (True, True)
    assert below.min() >= 0


# --- written


@pytest.mark.parametrize("name", [letter.name for letter in PRINT.letters if not letter.name.isascii()])
def test_a_letter_with_a_mark_comes_back_well_formed_however_it_is_written(name):
    """A capital as taught and in the last way only: how its base may be written is tested with the base."""
    letter = PRINT[name]
    for formation in letter.formations if name.islower() else (letter.taught, letter.formations[-1]):
        report = check(write(formation, seed=1), letter, guide=PRINT.guide, hand=formation.hand)
        assert not [finding for finding in report.findings if not finding.note], formation.name


@for_each("name", COMPOSED)
def test_a_mark_left_out_is_told(name):
    bare = Formation("bare", PRINT[name].taught.strokes[: -len(_mark(name))])

    report = check(write(bare), PRINT[name], guide=PRINT.guide)

    assert Kind.MISSING in {finding.kind for finding in report.findings}


def _mark(name: str) -> tuple[Stroke, ...]:
    letter = PRINT[name]
    dots = sum(stroke.is_dot for stroke in PRINT[letter.base].taught.strokes)
    return letter.taught.strokes[len(PRINT[letter.base].taught.strokes) - dots :]


@pytest.mark.parametrize(
    ("name", "written"), [("é", "è"), ("è", "é"), ("ä", "a"), ("a", "ä"), ("å", "ä"), ("ö", "ø"), ("o", "ø")]
)
def test_a_letter_with_another_mark_is_never_praised_as_it(name, written):
    assert all(findings_of(name, written, seed) for seed in range(3))


@for_each("name", [name for name in COMPOSED if name != "í"])
def test_ink_with_a_mark_is_never_praised_as_the_bare_letter(name):
    """Not even where its dots are so small that one of them alone would pass for a slip of the hand."""
    assert findings_of(PRINT[name].base, name)


def test_an_accent_counts_as_the_dot_of_an_i():
    """Its dot may be any small mark (common practice, no source)."""
    assert not findings_of("i", "í")


@pytest.mark.parametrize(("dots", "expected"), [(1, False), (2, True)])
def test_one_tiny_mark_is_a_slip_and_two_are_told(dots, expected):
    ink = write(PRINT["A"])
    taps = [np.array([[0.3 + 0.4 * k, -2.3], [0.3 + 0.4 * k, -2.28]]) for k in range(dots)]
    ink = Ink.from_arrays([*(trace.points for trace in ink.traces), *taps])

    kinds = {finding.kind for finding in check(ink, PRINT["A"], guide=PRINT.guide).findings}
    assert kinds == ({Kind.EXTRA} if expected else set())


def test_a_letter_without_a_mark_is_never_told_to_be_one_with_it():
    """What a bare letter is compared with does not grow with the letters that have marks."""
    for name in PRINT:
        others = PRINT[name].others
        bases = {other.base for other in others}
        assert bases <= {"", PRINT[name].base}
        assert PRINT[name].base not in {other.name for other in others if other.name}


# --- what can be wrong

WRONG = {
    "a base that is not there": (LINE.format(base="q", mark="acute"), "'q' is the title of no file"),
    "itself for a base": (LINE.format(base="á", mark="acute"), "'á' is composed itself"),
    "a composed base": (
        LINE.format(base="ä", mark="acute") + '"ä" = { base = "a", mark = "diaeresis" }',
        "'ä' is composed itself",
    ),
    "an unknown mark": (LINE.format(base="a", mark="dot"), "one of the marks in marks (acute, caron, "),
    "a letter that has a file": ('"e" = { base = "a", mark = "ring" }', "must have no file, it has e.svg"),
    "no table": ('"á" = "a"', "must be { base = "),
    "no mark": ('"á" = { base = "a" }', "must be { base = "),
    "an unknown key": ('"á" = { base = "a", mark = "ring", size = 2 }', "must be { base = "),
    "a base that is no name": ('"á" = { base = 1, mark = "ring" }', "base and mark must be names"),
    "a shift of one number": ('"á" = { base = "a", mark = "ring", shift = [1] }', "shift must be two"),
    "a shift far away": ('"á" = { base = "a", mark = "ring", shift = [0, 1e9] }', "at most 2 x-heights"),
    "a shift that is no number": ('"á" = { base = "a", mark = "ring", shift = [nan, 0] }', "shift must be"),
    "no name for a letter": ('"á é" = { base = "a", mark = "ring" }', "1 to 8 visible characters"),
    "one letter in two spellings": (
        LINE.format(base="a", mark="acute") + '"a\u0301" = { base = "e", mark = "acute" }',
        "must stand there once",
    ),
}


@pytest.mark.parametrize("case", WRONG)
def test_each_fault_of_a_composed_letter_has_its_line_and_costs_no_other_letter(ours, case):
    line, expected = WRONG[case]
    put(ours, line)

    (fault,) = faults(ours)
    assert fault.startswith(f"{ours / 'alphabet.toml'}: composed.")
    assert expected in fault
    alphabet = usable(ours).alphabet
    assert alphabet is not None
    assert "a" in alphabet


def test_without_its_base_or_its_mark_a_letter_is_set_aside_and_the_file_is_named(ours):
    (ours / "marks" / "acute.svg").write_text("<svg/>")
    assert usable(ours).set_aside == ("á",)
    (fault,) = faults(ours)
    assert str(ours / "marks" / "acute.svg") in fault

    (ours / "a.svg").write_text("<svg/>")
    assert usable(ours).set_aside == ("a", "á")


def test_without_marks_it_is_told_of_each_letter(ours):
    shutil.rmtree(ours / "marks")

    (fault,) = faults(ours)
    assert "must have one of the marks in marks (none), not 'acute'" in fault


def test_a_mark_with_two_files_is_of_no_use(ours):
    shutil.copyfile(ours / "marks" / "acute.svg", ours / "marks" / "again.svg")

    assert any("must be the only file of the mark 'acute'" in fault for fault in faults(ours))
    assert usable(ours).set_aside == ("á",)


def test_a_family_may_name_a_composed_letter(ours):
    text = (ours / "alphabet.toml").read_text(encoding="utf-8")
    own = text + '[[family]]\nname = "marked"\nletters = ["á"]\n'
    (ours / "alphabet.toml").write_text(own, encoding="utf-8")

    assert Alphabet.load(ours).families == (Family("round", ("a", "e")), Family("marked", ("á",)))
