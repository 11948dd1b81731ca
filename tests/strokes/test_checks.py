"""The front door `check`: every kind of finding is seen, and good ink is left alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from string import ascii_letters, ascii_lowercase, digits

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strokes import (
    Alphabet,
    Formation,
    GuideLines,
    Ink,
    InkError,
    Kind,
    Letter,
    Stroke,
    Tolerances,
    check,
)
from strokes.checks import checker
from strokes.checks.live import LiveTrace, follow
from strokes.matching import Explanation, explain
from strokes.polyline import corners, cut, length, resample
from strokes.simulation.hand import Fault, write
from strokes.transform import Transform
from tests.cases import for_each
from tests.shipped import BARE, MARKED, ways
from tests.shipped import PRINT as ALPHABET

NAMES = ascii_lowercase


def kinds_with(name: str, fault: Fault, *, guide: GuideLines | None = None) -> frozenset[Kind]:
    """The kinds found when the taught letter is written with this fault."""
    return check(write(ALPHABET[name], fault=fault), ALPHABET[name], guide=guide).kinds


@pytest.mark.parametrize("letter", [*BARE, *MARKED], ids=lambda letter: letter.name)
def test_a_steady_hand_passes_in_every_formation(letter: Letter) -> None:
    """Every formation, for the hand it is for, is formed and looks right, with lines and without.

    It is taken for itself, and what is told is the note that it declares. What is taught is written twice;
    of letters with marks not every way of their bases.
    """
    for formation in ways(letter) if letter.base else letter.formations:
        for seed in (1, 2) if formation is letter.taught else (1,):
            ink = write(formation, seed=seed)
            for guide in (ALPHABET.guide, None):
                report = check(ink, letter, guide=guide, hand=formation.hand)
                assert report.formed, (formation.name, seed, report.findings)
                assert report.looks_right, (formation.name, seed, report.findings)
                assert all(finding.note for finding in report.findings), formation.name
                assert report.formation is formation
                assert report.kinds == {formation.note} - {None}, formation.name


STROKES = [
    (name, index)
    for name in NAMES
    for index, stroke in enumerate(ALPHABET[name].taught.strokes)
    if not stroke.is_dot
]


@for_each(("name", "stroke"), STROKES)
def test_a_stroke_run_backwards_is_a_direction_fault(name: str, stroke: int) -> None:
    """It is told as direction, and not as a bad start: the start follows from it."""
    kinds = kinds_with(name, Fault(Kind.DIRECTION, stroke))
    assert Kind.DIRECTION in kinds
    assert Kind.START not in kinds


@pytest.mark.parametrize("name", "bhkprn")
def test_a_stem_drawn_upward_inside_a_one_trace_letter_is_found(name: str) -> None:
    """Both ends are where they belong, or nearly; only the way in between is wrong."""
    report = check(write(ALPHABET[name], fault=Fault(Kind.DIRECTION, 0, part=0)), ALPHABET[name])
    finding = next(other for other in report.findings if other.kind is Kind.DIRECTION)
    assert finding.part is not None
    assert finding.part[0] == 0.0
    assert finding.amount > 0.5


def test_a_clockwise_bowl_is_a_direction_fault_of_the_bowl() -> None:
    report = check(write(ALPHABET["a"], fault=Fault(Kind.DIRECTION, 0, part=0)), ALPHABET["a"])
    assert Kind.DIRECTION in report.kinds
    assert not report.formed


@pytest.mark.parametrize("name", "fijkty")
def test_strokes_in_another_order_are_told_with_the_order(name: str) -> None:
    report = check(write(ALPHABET[name], fault=Fault(Kind.ORDER)), ALPHABET[name])
    assert next(finding for finding in report.findings if finding.kind is Kind.ORDER).order == (1, 0)


def test_a_crossbar_first_is_a_note_in_t_and_a_fault_in_f() -> None:
    """Trade facts, section 4: t crossbar first is a note only; f crossbar first is to be taught."""
    report = check(write(ALPHABET["t"], fault=Fault(Kind.ORDER)), ALPHABET["t"])
    assert report.formed
    assert Kind.ORDER in report.kinds
    assert not check(write(ALPHABET["f"], fault=Fault(Kind.ORDER)), ALPHABET["f"]).formed


@pytest.mark.parametrize(
    ("name", "stroke"), [("i", 1), ("j", 1), ("t", 1), ("f", 1), ("x", 0), ("y", 0), ("k", 1)]
)
def test_a_stroke_left_out_is_missing(name: str, stroke: int) -> None:
    report = check(write(ALPHABET[name], fault=Fault(Kind.MISSING, stroke)), ALPHABET[name])
    assert [finding.stroke for finding in report.findings if finding.kind is Kind.MISSING] == [stroke]


@for_each("name", NAMES)
def test_a_stray_mark_is_extra(name: str) -> None:
    assert Kind.EXTRA in kinds_with(name, Fault(Kind.EXTRA))


@pytest.mark.parametrize("name", "cosezlu")
def test_a_lift_inside_a_stroke_is_told(name: str) -> None:
    """Letters for which two pens are not accepted at that place."""
    assert Kind.LIFT in kinds_with(name, Fault(Kind.LIFT))


def test_two_strokes_run_together_are_a_join() -> None:
    """x in one touch: both slants are there and the pen was not lifted between them."""
    assert Kind.JOIN in kinds_with("x", Fault(Kind.JOIN))
    assert Kind.JOIN in kinds_with("t", Fault(Kind.JOIN))


@pytest.mark.parametrize("name", "abdgopq")
def test_a_gap_in_a_closed_shape_is_told(name: str) -> None:
    """The letters that trade facts, section 3, name for the closure gap."""
    kinds = kinds_with(name, Fault(Kind.CLOSURE))
    assert kinds & {Kind.CLOSURE, Kind.START}, (
        kinds
    )  # a bowl that lacks its first quarter begins elsewhere too
    if name != "p":
        assert Kind.CLOSURE in kinds


@for_each("name", "bcdeghjkpqsyz")
def test_a_mirror_image_is_a_reversal(name: str) -> None:
    assert Kind.REVERSAL in kinds_with(name, Fault(Kind.REVERSAL))


@pytest.mark.parametrize("name", "ilovwx")
def test_a_letter_that_is_its_own_mirror_image_is_never_reversed(name: str) -> None:
    """Trade facts, section 4: these cannot be seen as reversed from shape alone."""
    assert Kind.REVERSAL not in kinds_with(name, Fault(Kind.REVERSAL))


@pytest.mark.parametrize("name", "bhkl")
def test_a_loop_that_a_letter_is_only_recognized_by_is_not_well_formed(name: str) -> None:
    letter = ALPHABET[name]
    loops = [formation for formation in letter.recognized if formation.name.startswith("as-written-loop")]

    assert loops
    for loop in loops:
        report = check(write(loop), letter)
        assert not report.formed, loop.name
        assert report.formation in letter.formations


@for_each(("asked", "written"), ["bd", "bh", "cs", "dq", "ec", "gy", "hb", "nm", "pq", "uv", "zs"])
def test_another_letter_is_named(asked: str, written: str) -> None:
    report = check(write(ALPHABET[written]), ALPHABET[asked])
    assert [finding.letter for finding in report.findings if finding.kind is Kind.LETTER] == [written]


@pytest.mark.parametrize("formation", ["taught", "two-strokes"])
def test_a_q_is_no_g_with_a_straight_tail(formation: str) -> None:
    q, g = ALPHABET["q"], ALPHABET["g"]
    straight = next(formation for formation in g.formations if formation.name == "straight-tail")

    report = check(write(next(accepted for accepted in q.formations if accepted.name == formation)), g)
    assert [finding.letter for finding in report.findings if finding.kind is Kind.LETTER] == ["q"]
    assert not report.well_formed
    assert check(write(straight), g).well_formed


def test_an_i_without_its_dot_is_not_called_an_l() -> None:
    i = ALPHABET["i"]
    for formation in i.formations:
        stem = Ink(write(formation).traces[:1])
        assert Kind.LETTER not in check(stem, i).kinds, formation.name


def test_b_written_for_d_is_both_a_reversal_and_the_other_letter() -> None:
    report = check(write(ALPHABET["b"]), ALPHABET["d"])
    assert {Kind.REVERSAL, Kind.LETTER} <= report.kinds


@for_each("name", NAMES)
def test_size_and_place_are_judged_between_guide_lines_only(name: str) -> None:
    small, floating = Fault(Kind.SIZE), Fault(Kind.PLACE)
    assert Kind.SIZE in kinds_with(name, small, guide=ALPHABET.guide)
    assert Kind.PLACE in kinds_with(name, floating, guide=ALPHABET.guide)
    assert not kinds_with(name, small) & {Kind.SIZE, Kind.PLACE}
    assert not kinds_with(name, floating) & {Kind.SIZE, Kind.PLACE}


@pytest.mark.parametrize("name", "tfo")
def test_what_left_handed_writers_do_is_no_fault_of_theirs(name: str) -> None:
    """Trade facts, section 2: crossbars from the right, a clockwise o; they are told of right-handers."""
    ink = write(ALPHABET[name], fault=Fault(Kind.DIRECTION, 0 if name == "o" else 1))
    assert check(ink, ALPHABET[name], hand="left").formed
    assert not check(ink, ALPHABET[name], hand="right").formed
    assert not check(ink, ALPHABET[name]).formed


@pytest.mark.parametrize("name", "acdgq")
def test_bowls_stay_anticlockwise_for_both_hands(name: str) -> None:
    ink = write(ALPHABET[name], fault=Fault(Kind.DIRECTION, 0, part=0 if name != "c" else None))
    assert not check(ink, ALPHABET[name], hand="left").formed


# --- beside which letters -----------------------------------------------------------------------------

ALONE, WITH_CAPITALS = (
    Alphabet(f"{len(names)} letters", tuple(ALPHABET[name] for name in names), ALPHABET.guide)
    for names in (ascii_lowercase, ascii_letters + digits)
)


@pytest.mark.parametrize("name", NAMES)
def test_a_small_letter_is_judged_alike_beside_all_letters_and_beside_the_26(name: str) -> None:
    """With lines and without. Beside capitals and digits it is told from the same letters as without them."""
    alone = ALONE[name]
    other = write(ALPHABET[NAMES[NAMES.index(name) - 1]], seed=6)
    for ink in (other, write(alone, seed=6), write(alone, seed=6, fault=Fault(Kind.REVERSAL))):
        for guide in (ALPHABET.guide, None):
            findings = check(ink, alone, guide=guide).findings
            assert findings == check(ink, ALPHABET[name], guide=guide).findings
    assert [other.name for other in WITH_CAPITALS[name].others] == [other.name for other in alone.others]


# --- edges --------------------------------------------------------------------------------------------


def test_no_ink_is_refused_in_one_sentence() -> None:
    with pytest.raises(InkError, match="at least one trace, not none"):
        check(Ink(), ALPHABET["a"])


@for_each(
    "points",
    [
        [[3.0, 4.0]],
        [[3.0, 4.0]] * 20,
        [[0.0, 0.0], [0.0, 1.0]],
        [[9e5, 9e5], [9e5 + 1, 9e5]],
        [[0, 0], [1e-12, 0]],
    ],
    ids=["one point", "one point many times", "two points", "far away", "tiny"],
)
@for_each("name", "aiklo")
def test_scanty_ink_has_findings_and_raises_nothing(points: list[list[float]], name: str) -> None:
    for guide in (None, ALPHABET.guide):
        report = check(Ink.from_arrays([points]), ALPHABET[name], guide=guide)
        assert report.letter == name
        assert len(report.assigned) == 1


def test_ten_thousand_points_are_judged_like_sixty() -> None:
    ink = write(ALPHABET["b"])
    dense = Ink.from_arrays([resample(trace.points, 10_000) for trace in ink.traces])
    assert check(dense, ALPHABET["b"]).kinds == check(ink, ALPHABET["b"]).kinds == frozenset()


def test_a_scribble_of_forty_traces_has_findings_and_raises_nothing() -> None:
    random = np.random.default_rng(0)
    report = check(Ink.from_arrays([random.normal(size=(5, 2)) for _ in range(40)]), ALPHABET["k"])
    assert not report.formed


@settings(max_examples=30)
@given(
    st.sampled_from(NAMES),
    st.floats(0.01, 1000),
    st.floats(-1e4, 1e4),
    st.floats(-1e4, 1e4),
    st.integers(0, 99),
)
def test_scale_and_place_do_not_matter_without_guide_lines(
    name: str, scale: float, x: float, y: float, seed: int
) -> None:
    fault = Fault(Kind.DIRECTION) if seed % 2 else None
    ink = write(ALPHABET[name], seed=seed, fault=fault)
    moved = ink.transformed(Transform(scale, scale, x, y))
    assert check(moved, ALPHABET[name]).kinds == check(ink, ALPHABET[name]).kinds


def test_with_guide_lines_any_space_will_do() -> None:
    guide = GuideLines(ascender=100, x_height=200, baseline=300, descender=400)
    ink = write(ALPHABET["g"]).transformed(Transform(100, 100, 740, 300))
    report = check(ink, ALPHABET["g"], guide=guide)
    assert report.formed
    assert report.looks_right


def test_the_same_ink_gives_the_same_report() -> None:
    ink = write(ALPHABET["k"], fault=Fault(Kind.DIRECTION, 1), seed=4)
    first, second = (check(ink, ALPHABET["k"], guide=ALPHABET.guide) for _ in range(2))
    assert first.findings == second.findings
    assert first.assigned == second.assigned


def test_a_letter_made_by_hand_needs_no_alphabet() -> None:
    bar = Letter("bar", (Formation("taught", (Stroke([[0, -1], [1, -1]], "Across."),)),))
    assert check(Ink.from_arrays([[[0, 0], [50, 1]]]), bar).formed
    assert Kind.DIRECTION in check(Ink.from_arrays([[[50, 0], [0, 1]]]), bar).kinds


def test_findings_come_in_teaching_order() -> None:
    ink = write(ALPHABET["t"], fault=Fault(Kind.DIRECTION, 0)).transformed(Transform(0.5, 0.5))
    kinds = [finding.kind for finding in check(ink, ALPHABET["t"], guide=ALPHABET.guide).findings]
    assert len(kinds) > 1
    assert kinds == sorted(kinds, key=list(Kind).index)


def test_a_wider_tolerance_lets_a_start_pass() -> None:
    ink = write(ALPHABET["c"], fault=Fault(Kind.START, amount=0.9))
    assert Kind.START in check(ink, ALPHABET["c"]).kinds
    assert Kind.START not in check(ink, ALPHABET["c"], tolerances=Tolerances(start=2.0)).kinds


# --- one trace at pen-up ------------------------------------------------------------------------------


@for_each("letter", BARE, ids=lambda letter: letter.name)
def test_each_stroke_of_a_steady_hand_passes_at_pen_up(letter: Letter) -> None:
    for formation in ways(letter):
        for index, trace in enumerate(write(formation, seed=2).traces):
            assert follow(LiveTrace(formation, index), trace.points) is None, (formation.name, index)
            half = trace.points[: len(trace) // 2 + 1]
            assert follow(LiveTrace(formation, index), half) is None, (formation.name, index)


@for_each(("name", "stroke"), STROKES)
def test_a_stroke_run_backwards_is_told_at_pen_up(name: str, stroke: int) -> None:
    ink = write(ALPHABET[name], fault=Fault(Kind.DIRECTION, stroke))
    finding = follow(LiveTrace(ALPHABET[name].taught, stroke), ink.traces[stroke].points)
    assert finding is not None
    assert finding.kind is Kind.DIRECTION


def test_a_stroke_begun_too_low_is_told_at_pen_up() -> None:
    ink = write(ALPHABET["l"], fault=Fault(Kind.START, amount=0.8))
    finding = follow(LiveTrace(ALPHABET["l"].taught, 0), ink.traces[0].points)
    assert finding is not None
    assert finding.kind is Kind.START


def test_where_no_start_is_shown_the_letter_may_stand_anywhere_along_the_line() -> None:
    moved = write(ALPHABET["l"]).traces[0].points + (3.0, 0.0)
    assert follow(LiveTrace(ALPHABET["l"].taught, 0), moved) is not None
    assert follow(LiveTrace(ALPHABET["l"].taught, 0, placed=False), moved) is None


def test_a_lone_touch_is_judged_by_its_place_only() -> None:
    assert follow(LiveTrace(ALPHABET["l"].taught, 0), np.array([[0.0, -2.0]])) is None
    assert follow(LiveTrace(ALPHABET["l"].taught, 0), np.array([[0.0, 0.0]])) is not None


@for_each("name", "abcehmnowz")
def test_a_stroke_that_stops_early_is_told(name: str) -> None:
    """England, Year 1: letters are formed by starting and finishing in the right place.

    An m without its last leg may be told as an n, an a without its stem as one whose stem is missing.
    """
    paths = [stroke.path for stroke in ALPHABET[name].taught.strokes]
    paths[-1] = cut(paths[-1], 0.0, 0.75 * length(paths[-1]))
    report = check(Ink.from_arrays(paths), ALPHABET[name])

    assert not (report.formed and report.looks_right)


@pytest.mark.parametrize("name", "mhz")
def test_the_part_of_a_stroke_that_was_left_out_is_told(name: str) -> None:
    path = ALPHABET[name].taught.strokes[0].path
    report = check(Ink.from_arrays([cut(path, 0.0, 0.8 * length(path))]), ALPHABET[name])
    shape = next(finding for finding in report.findings if finding.kind is Kind.SHAPE and finding.part)

    assert shape.part is not None
    assert shape.part[0] == pytest.approx(0.8, abs=0.1)
    assert shape.part[1] == 1.0


@pytest.mark.parametrize("name", "ij")
@pytest.mark.parametrize("rise", [0.3, 1.0])
def test_a_dot_may_be_a_ring_and_float_high(name: str, rise: float) -> None:
    """Common practice, no source: any small mark above the body is a dot."""
    body, dot = (stroke.path for stroke in ALPHABET[name].taught.strokes)
    turn = np.linspace(0, 2 * np.pi, 30)
    ring = dot.mean(axis=0) + 0.2 * np.column_stack([np.cos(turn), np.sin(turn)]) - (0.0, rise)

    assert check(Ink.from_arrays([body, ring]), ALPHABET[name]).findings == ()


@for_each("name", "adgnrsuvwz")
def test_a_start_further_on_along_the_letter_is_told(name: str) -> None:
    path = ALPHABET[name].taught.strokes[0].path
    kinds = check(Ink.from_arrays([cut(path, 0.6, length(path))]), ALPHABET[name]).kinds

    assert Kind.START in kinds


@pytest.mark.parametrize("name", "mnr")
def test_between_lines_it_is_they_that_tell_how_low_a_stem_was_begun(name: str) -> None:
    """On a page turned by 8 degrees a stem begun 0.33 low lies lower still beside its arch, not by lines."""
    turn = np.radians(8)
    turned = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    path = ALPHABET[name].taught.strokes[0].path
    later, much_later = (Ink.from_arrays([cut(path, by, length(path)) @ turned]) for by in (0.33, 0.45))

    assert Kind.START in check(later, ALPHABET[name]).kinds
    assert Kind.START not in check(later, ALPHABET[name], guide=ALPHABET.guide).kinds
    assert Kind.START in check(much_later, ALPHABET[name], guide=ALPHABET.guide).kinds


@pytest.mark.parametrize("name", "bdehkl")
def test_a_leaning_letter_with_short_ascenders_is_formed(name: str) -> None:
    """How tall ascenders are, and how far a hand leans, says nothing about how the pen moved."""
    lines = []
    for stroke in ALPHABET[name].taught.strokes:
        x, y = resample(stroke.path, 60).T
        y = np.where(y < -1, -1 + 0.75 * (y + 1), y)
        lines.append(np.column_stack([x - 0.25 * y, y]))

    assert check(Ink.from_arrays(lines), ALPHABET[name]).formed


@pytest.mark.parametrize("name", "mnr")
def test_an_arch_letter_begun_at_the_base_line_lacks_no_stem(name: str) -> None:
    """The way up on the arch is the stem's ink: the pen began at the wrong end, and nothing is missing."""
    taught = ALPHABET[name].taught.strokes[0].path
    report = check(Ink.from_arrays([cut(taught, 0.95, length(taught))]), ALPHABET[name])
    assert report.kinds & {Kind.START, Kind.DIRECTION}
    assert Kind.MISSING not in report.kinds


@pytest.mark.parametrize("name", "cewu")
def test_a_slanting_line_behind_a_whole_letter_is_extra_and_no_lift(name: str) -> None:
    """A lift goes on where the pen was going, and the rest of the letter is not complete without it."""
    taught = ALPHABET[name].taught.strokes[0].path
    right = float(taught[:, 0].max())
    line = np.array([(right + 0.15, -0.25), (right + 0.5, -0.8)])
    report = check(Ink.from_arrays([taught, line]), ALPHABET[name])
    assert Kind.EXTRA in report.kinds
    assert Kind.LIFT not in report.kinds


@pytest.mark.parametrize("name", "lcouwm6")
def test_a_stroke_cut_in_the_middle_of_a_way_down_is_a_lift_and_nothing_is_extra(name: str) -> None:
    """No formation lifts the pen there."""
    taught = ALPHABET[name].taught.strokes[0].path
    middle = {**dict.fromkeys("uwm", 0.5), "6": 0.8}.get(name, length(taught) / 2)
    pieces = [cut(taught, 0.0, middle - 0.1), cut(taught, middle + 0.1, length(taught))]
    report = check(Ink.from_arrays(pieces), ALPHABET[name])
    assert Kind.LIFT in report.kinds
    assert Kind.EXTRA not in report.kinds


@pytest.mark.parametrize(("asked", "written"), [("e", "t"), ("w", "b"), ("n", "e"), ("c", "h")])
def test_a_letter_is_named_by_its_look_even_where_it_was_written_badly(asked: str, written: str) -> None:
    """Every stroke from its end, in the other order: no formation explains it, and the eye still sees it."""
    strokes = [stroke.path[::-1] for stroke in ALPHABET[written].taught.strokes[::-1]]
    report = check(Ink.from_arrays(strokes), ALPHABET[asked])
    assert [finding.letter for finding in report.findings if finding.kind is Kind.LETTER] == [written]


def test_a_loop_begun_early_is_let_be_where_one_begun_as_late_is_told() -> None:
    """Who begins before the start still writes it all; both close the loop."""
    taught = ALPHABET["o"].taught.strokes[0].path
    whole = length(taught)
    late = np.vstack([cut(taught, 0.4, whole), cut(taught, 0.0, 0.4)])
    early = np.vstack([cut(taught, whole - 0.4, whole), cut(taught, 0.0, whole - 0.4)])
    assert Kind.START in check(Ink.from_arrays([late]), ALPHABET["o"]).kinds
    assert Kind.START not in check(Ink.from_arrays([early]), ALPHABET["o"]).kinds


def test_a_dot_beside_its_stem_is_a_dot() -> None:
    stem, dot = (stroke.path for stroke in ALPHABET["i"].taught.strokes)
    report = check(Ink.from_arrays([stem, dot + (0.5, 0.0)]), ALPHABET["i"])
    assert report.formed, report.findings


@pytest.mark.parametrize("name", "mnpr")
def test_a_stem_that_was_only_written_upwards_is_no_matter_of_order(name: str) -> None:
    """What the pen did not write, it did not write last: such a letter was begun at its foot."""
    path = ALPHABET[name].taught.strokes[0].path
    foot = int(np.argmax(path[: len(path) // 2, 1]))

    kinds = check(Ink.from_arrays([path[foot:]]), ALPHABET[name]).kinds

    assert kinds & {Kind.START, Kind.DIRECTION}
    assert Kind.ORDER not in kinds


@pytest.mark.parametrize("name", "cesz")
def test_a_plain_mirror_image_is_not_called_another_letter_as_well(name: str) -> None:
    """A mirrored z has something of an s, a mirrored e of a g: she would look for the wrong thing."""
    written = write(ALPHABET[name], seed=2, tremor=0.02).transformed(Transform(scale_x=-1.0))

    kinds = check(written, ALPHABET[name]).kinds

    assert Kind.REVERSAL in kinds
    assert Kind.LETTER not in kinds


@pytest.mark.parametrize("name", "mnrwy")
def test_a_short_beginning_that_goes_on_into_the_letter_is_a_lift_and_nothing_is_extra(name: str) -> None:
    """It begins with a hook, so that the rest alone fits better than both together."""
    taught, *others = (stroke.path for stroke in ALPHABET[name].taught.strokes)
    hook = taught[0] + [[-0.2, 0.15], [-0.12, -0.1], [-0.05, -0.1]]
    begun = np.vstack([hook, cut(taught, 0.0, 0.25)])
    rest = cut(taught, 0.45, length(taught))

    kinds = check(Ink.from_arrays([begun, rest, *others]), ALPHABET[name]).kinds

    assert Kind.LIFT in kinds
    assert Kind.EXTRA not in kinds


@pytest.mark.parametrize(
    ("name", "formation"), [("A", "two-strokes"), ("M", "one-stroke"), ("8", "high-start")]
)
def test_a_letter_begun_late_is_not_told_as_another_formation_run_backwards(
    name: str, formation: str
) -> None:
    """An A in two strokes that is begun low is not the one that rises first, run the other way."""
    (written,) = (each for each in ALPHABET[name].formations if each.name == formation)
    first, *rest = (trace.points for trace in write(written, seed=1).traces)
    ink = Ink.from_arrays([cut(first, 0.7, length(first)), *rest])

    kinds = check(ink, ALPHABET[name], guide=ALPHABET.guide).kinds
    assert Kind.START in kinds
    assert Kind.DIRECTION not in kinds


def test_a_7_without_the_half_of_its_bar_is_no_7_that_is_led_in_to() -> None:
    """The short line down before a 7 that was not written does not make its start wider."""
    (line,) = (trace.points for trace in write(ALPHABET["7"], seed=1).traces)
    ink = Ink.from_arrays([cut(line, 0.6, length(line))])

    for guide in (ALPHABET.guide, None):
        assert Kind.START in check(ink, ALPHABET["7"], guide=guide).kinds


def test_a_5_without_its_bar_lacks_it_and_was_not_begun_late() -> None:
    bowl, _ = write(ALPHABET["5"], seed=1).traces

    report = check(Ink.from_arrays([bowl.points]), ALPHABET["5"], guide=ALPHABET.guide)

    assert [(finding.kind, finding.stroke) for finding in report.findings] == [(Kind.MISSING, 1)]


@pytest.mark.parametrize(("left", "kind"), [(0.2, Kind.MISSING), (0.4, Kind.START)])
def test_a_5_of_whose_bar_a_stub_is_left_lacks_it_and_one_with_half_of_it_was_begun_late(
    left: float, kind: Kind
) -> None:
    (one,) = (formation for formation in ALPHABET["5"].accepted(None) if len(formation.strokes) == 1)
    path = one.strokes[0].path
    bar = float(corners(path)[0])
    ink = Ink.from_arrays([cut(path, bar - left, length(path))])

    for guide in (ALPHABET.guide, None):
        assert [finding.kind for finding in check(ink, ALPHABET["5"], guide=guide).findings] == [kind]


def test_a_wide_bar_before_the_stem_of_a_j_is_its_bar() -> None:
    bar = np.linspace((-0.1, -2.0), (1.5, -2.0), 20)

    report = check(Ink.from_arrays([bar, write(ALPHABET["J"], seed=1).traces[0].points]), ALPHABET["J"])

    assert report.formed
    assert [(finding.kind, finding.note) for finding in report.findings][:1] == [(Kind.ORDER, True)]


def test_a_clumsy_bar_before_the_stem_of_a_j_is_its_bar_and_no_stray_mark() -> None:
    """Begun within the bar, out to its left end and back over it."""
    bar = np.vstack([np.linspace((0.5, -2.0), (0.1, -2.0), 10), np.linspace((0.1, -2.0), (1.26, -2.0), 20)])

    report = check(Ink.from_arrays([bar, ALPHABET["J"].taught.strokes[0].path]), ALPHABET["J"])

    assert (Kind.ORDER, True) in [(finding.kind, finding.note) for finding in report.findings]
    assert Kind.EXTRA not in report.kinds


@pytest.mark.parametrize("width", [0.7, 1.3])
def test_a_gap_in_a_ring_is_as_wide_as_it_is_on_paper(width: float) -> None:
    """A narrow ring is fitted wider than it was written, and a wide one narrower."""
    ring = resample(ALPHABET["O"].taught.strokes[0].path, 400) * (width, 1.0)
    apart = np.hypot(*(ring - ring[0]).T)

    def opened(gap: float) -> Ink:
        return Ink.from_arrays([ring[: np.flatnonzero(apart >= gap)[-1] + 1]])

    assert Kind.CLOSURE not in check(opened(0.26), ALPHABET["O"]).kinds
    (gap,) = (
        finding.amount
        for finding in check(opened(0.4), ALPHABET["O"]).findings
        if finding.kind is Kind.CLOSURE
    )
    assert gap == pytest.approx(0.4, abs=0.05)


def test_a_wide_l_with_a_short_stem_was_begun_low_and_does_not_lack_its_stem() -> None:
    """Two thirds of the letter would be missing; the base alone still lacks its stem."""
    short = np.vstack([np.linspace((0.0, -1.0), (0.0, 0.0), 20), np.linspace((0.0, 0.0), (2.4, 0.0), 20)])

    assert Kind.START in check(Ink.from_arrays([short]), ALPHABET["L"], guide=ALPHABET.guide).kinds
    assert Kind.MISSING in check(Ink.from_arrays([short[20:]]), ALPHABET["L"], guide=ALPHABET.guide).kinds


@for_each("name", "áÁíÍóÓúÚ")
def test_of_formations_that_cost_the_same_the_first_is_told(name: str) -> None:
    """An accent may be written up or down: where it is missing, only the last digits of a sum could tell."""
    letter = ALPHABET[name]
    ink = Ink.from_arrays([stroke.path for stroke in letter.taught.strokes[:-1]])

    def added_up_otherwise(ink: Ink, formations: Sequence[Formation]) -> list[Explanation]:
        first, *others = explain(ink, formations)
        return [replace(first, cost=first.cost + 1e-13), *others]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(checker, "explain", added_up_otherwise)
        assert check(ink, letter).formation is letter.taught
