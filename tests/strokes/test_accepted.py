"""The table of formations as geometry: the shipped formations pass, and what the table flags does not."""

from __future__ import annotations

from string import ascii_letters, digits

import numpy as np
import pytest

from strokes import Ink, Kind
from strokes.evaluation.accepted import TABLE, acceptable, refusal
from strokes.evaluation.accepted.table import read
from strokes.polyline import Polyline, cut, length
from strokes.simulation.hand import Fault, write
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET


def lines(ink: Ink) -> list[Polyline]:
    return [trace.points for trace in ink.traces]


def taught(letter: str) -> list[Polyline]:
    return lines(write(ALPHABET[letter], seed=1, tremor=0.01))


@for_each("letter", sorted(TABLE))
def test_the_table_accepts_the_formations_for_both_hands_and_no_others(letter: str) -> None:
    """Those for the left hand are not accepted of a hand that is not known; a bar first is a note."""
    for formation in ALPHABET[letter].formations:
        ink = lines(write(formation, seed=2, tremor=0.01))
        for_all = formation.hand is None and formation.note is None

        assert acceptable(letter, ink) == for_all, formation.name


def test_every_letter_has_formations_and_says_where_they_come_from() -> None:
    assert set(TABLE) == set(ascii_letters + digits)
    assert all(accepted.counts and accepted.formations and accepted.source for accepted in TABLE.values())


@pytest.mark.parametrize("limit", ["<= 0.2", "0.1 x-heights", "<= 0.2 of its width"])
def test_a_limit_without_its_unit_or_in_another_one_is_no_row_of_the_table(limit: str) -> None:
    """The lead-in is measured in x-heights."""
    formation = f'["D", "", ["1", "lead-in", "{limit}", "led in"]]'
    entry = f'taught = "", source = "", counts = [1], formations = [{formation}]'

    with pytest.raises(ValueError, match="lead-in must have a range in x-heights"):
        read(f"groups = {{}}\nl = {{ {entry} }}")


@for_each("letter", sorted(TABLE))
def test_ink_run_backwards_is_refused(letter: str) -> None:
    assert refusal(letter, [line[::-1] for line in taught(letter)])


@for_each("letter", "abcdefghjkpqsyz" + "BCDEFGJKLNPRSZ" + "2345679")
def test_a_mirror_image_is_refused(letter: str) -> None:
    assert refusal(letter, [line * (-1.0, 1.0) for line in taught(letter)])


@for_each("letter", "fijkty" + "BDKPQR" + "4")
def test_a_second_trace_first_is_refused(letter: str) -> None:
    assert refusal(letter, taught(letter)[::-1])


def test_an_x_may_begin_with_either_slant() -> None:
    assert acceptable("x", taught("x"))
    assert acceptable("x", taught("x")[::-1])


@for_each("letter", sorted(TABLE))
def test_a_trace_too_many_is_refused(letter: str) -> None:
    fault = Fault(Kind.EXTRA)

    assert refusal(letter, lines(write(ALPHABET[letter], fault=fault, tremor=0.01)))


@for_each("letter", "fijktxy" + "ABDEFGHKMNPQRTXY" + "45")
def test_a_part_that_is_missing_is_refused(letter: str) -> None:
    assert refusal(letter, taught(letter)[:1])


@for_each(
    ("asked", "written"),
    [
        ("a", "d"),
        ("a", "q"),
        ("c", "o"),
        ("o", "c"),
        ("e", "c"),
        ("h", "n"),
        ("n", "r"),
        ("r", "n"),
        ("n", "m"),
        ("u", "n"),
        ("v", "u"),
        ("w", "v"),
        ("q", "g"),
        ("b", "h"),
        ("k", "h"),
        ("b", "d"),
        ("p", "q"),
        ("s", "z"),
        ("i", "l"),
        ("f", "t"),
        *(("B", "D"), ("B", "P"), ("C", "G"), ("G", "C"), ("D", "P"), ("E", "F"), ("F", "E"), ("P", "R")),
        *(("R", "P"), ("O", "Q"), ("Q", "O"), ("U", "V"), ("M", "N"), ("W", "V"), ("N", "Z"), ("S", "Z")),
        *(("2", "5"), ("6", "9"), ("3", "8"), ("0", "6"), ("1", "7"), ("7", "1"), ("4", "9"), ("8", "0")),
    ],
)
def test_letters_that_differ_by_one_feature_are_not_taken_for_each_other(asked: str, written: str) -> None:
    """Pairs of the confusion sets: common practice, no source. A g may have a straight tail, as a q has."""
    assert refusal(asked, taught(written))


def test_d_with_the_stem_first_is_refused() -> None:
    two = next(formation for formation in ALPHABET["d"].formations if formation.name == "two-strokes")
    bowl, stem = (stroke.path for stroke in two.strokes)

    assert acceptable("d", [bowl, stem])
    assert refusal("d", [stem, bowl])


def test_k_with_its_arm_from_the_ascender_line_is_refused() -> None:
    stem, rest = (stroke.path for stroke in ALPHABET["k"].taught.strokes)
    high = rest.copy()
    high[0] = (0.62, -1.9)

    assert acceptable("k", [stem, rest])
    assert refusal("k", [stem, high]) == "arm begun too high or low"


def test_a_start_half_an_x_height_away_is_refused() -> None:
    for letter in "acduvwz":
        ink = lines(write(ALPHABET[letter], fault=Fault(Kind.START, amount=0.6), tremor=0.01))
        assert refusal(letter, ink), letter


def stretched(line: Polyline, factor: float, fixed: float) -> Polyline:
    """What is below the x-height line made wider, from `fixed` on."""
    x, y = line.T
    return np.column_stack([np.where(y > -1.0, fixed + factor * (x - fixed), x), y])


@pytest.mark.parametrize(("letter", "wider"), [("2", 1.6), ("3", 1.75)])
def test_a_2_or_3_is_begun_at_the_left_of_its_first_curve_however_wide_its_foot_or_lower_bowl_is(
    letter: str, wider: float
) -> None:
    (line,) = taught(letter)
    right = float(line[:, 0].max())

    assert acceptable(letter, [stretched(line, wider, right)])
    assert refusal(letter, [cut(line, 0.8, length(line))])


@pytest.mark.parametrize("later", [0.0, 0.3, 0.6])
def test_an_8_may_be_begun_near_the_middle_of_its_upper_ring_wherever_its_highest_place_is(
    later: float,
) -> None:
    """Here its line of writing rises, so that it is highest at the right."""
    high = next(formation for formation in ALPHABET["8"].formations if formation.name == "high-start")
    path = high.strokes[0].path
    ring = np.vstack([cut(path, later, length(path)), cut(path, 0.0, later)])
    rising = stretched(ring, 1.3, path[0, 0]) @ np.array([[1.0, -0.2], [0.0, 1.0]])

    assert acceptable("8", [rising]) == (later < 0.35)


@pytest.mark.parametrize("rise", [0.0, 0.25, 0.5, 0.75])
def test_the_line_up_to_a_7_may_be_half_an_x_height_tall(rise: float) -> None:
    (line,) = (stroke.path for stroke in ALPHABET["7"].taught.strokes)
    led = np.vstack([np.linspace(line[0] + (-0.02, rise), line[0], 12)[:-1], line])

    assert acceptable("7", [led]) == (rise <= 0.5)


@for_each("letter", "acdlmnuz")
def test_size_and_place_make_no_difference(letter: str) -> None:
    assert acceptable(letter, [line * 73.5 + (400, -90) for line in taught(letter)])


@pytest.mark.parametrize(
    "traces",
    [
        [np.array([[3.0, 4.0]])],
        [np.array([[3.0, 4.0]] * 5)],
        [np.array([[0.0, 0.0], [1.0, 0.0]])],
        [np.array([[0.0, 0.0], [0.0, 1.0]])],
        [np.array([[0.0, 0.0]]), np.array([[0.0, 0.0]])],
        [np.array([[0.0, 0.0], [0.0, 1.0]])] * 2,
        [np.array([[0.0, 0.0], [0.0, 1.0], [0.5, 0.2]])] * 3,
    ],
    ids=["point", "point again", "level", "upright", "two points", "two lines", "three hooks"],
)
def test_odd_ink_is_refused_and_never_an_error(traces: list[Polyline]) -> None:
    """But a line may be an l, an I or a 1."""
    assert {letter for letter in TABLE if not refusal(letter, traces)} <= set("lI1")
