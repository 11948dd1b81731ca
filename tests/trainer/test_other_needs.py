"""Needs that are not about one movement: what is measured on the ink, and from when on it is one."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import numpy as np
import pytest

from strokes.ink import Ink, Trace
from strokes.simulation import write
from tests.cases import for_each
from tests.shipped import PRINT
from tests.trainer import reckoning
from tests.trainer.samples import MONDAY, attempt
from trainer.attempt import Observation, Pupil, Step
from trainer.record.record import Record
from trainer.teaching import AGAIN, ENOUGH, OtherKind, Steadiness, Written
from trainer.teaching.other_needs import (
    LAST_INK,
    PAUSE,
    WOBBLE,
    advice,
    other_needs,
    pause,
    titled,
    wobble,
    words,
)

NELLA, ABEL = Pupil(1, "Nella", 1, group="Quay"), Pupil(2, "Abel", 2, group="Quay")
SHAKY, STEADY = WOBBLE, WOBBLE / 2
LETTERS = "abcdefghijklmnopqrstuvwxyzAEMRS2358"


def ink(*traces, step=1 / 60):
    """Ink of such traces, a point each sixtieth of a second, with a third of a second between them."""
    clock, made = 0.0, []
    for points in traces:
        times = clock + step * np.arange(len(points))
        made.append(Trace(np.asarray(points, float), times))
        clock = float(times[-1]) + 1 / 3
    return Ink(tuple(made))


def later(written: Ink, seconds: float, *, trace: int, point: int = 0) -> Ink:
    """The same ink with a pause before a point of a trace."""
    traces = []
    for number, each in enumerate(written.traces):
        assert each.times is not None
        at = point if number == trace else 0 if number > trace else len(each)
        traces.append(Trace(each.points, each.times + seconds * (np.arange(len(each)) >= at)))
    return Ink(tuple(traces))


@for_each("letter", LETTERS)
def test_a_hand_that_wavers_slowly_is_steady_and_one_that_shakes_is_not(letter):
    """Whatever corners and bends a letter has: 0.04 x-heights are 2.4 mm where an x-height has 60."""
    steady, shaking = (wobble(write(PRINT[letter], seed=3, tremor=0.03, shake=shake)) for shake in (0, 0.04))

    assert steady < WOBBLE / 4
    assert shaking > WOBBLE


def test_the_wobble_of_a_wave_across_a_line_is_its_median_distance():
    """A wave far shorter than the window stays whole: the median of its distance is its size times √½."""
    along = np.linspace(0, 2, 401)
    waved = np.column_stack([along, 0.03 * np.sin(2 * np.pi * along / 0.1)])

    # measured by way of the ink, which is longer than the line along which it waves
    assert wobble(ink(waved)) == pytest.approx(0.03 * np.sqrt(0.5), rel=0.15)


@pytest.mark.parametrize(
    "shape",
    [
        [[0, 0], [0, -2]],
        [[0, -1], [0.4, 0], [0.8, -1]],
        np.column_stack([0.5 * np.cos(np.linspace(0, 6, 60)), 0.5 * np.sin(np.linspace(0, 6, 60))]),
        np.column_stack([0.15 * np.cos(np.linspace(0, 6, 60)), 0.15 * np.sin(np.linspace(0, 6, 60))]),
    ],
    ids=["line", "corner", "bowl", "tightest bend"],
)
def test_lines_corners_and_bends_do_not_wobble(shape):
    assert wobble(ink(shape)) < WOBBLE / 4


@pytest.mark.parametrize(
    "traces",
    [[], [[[0, 0]]], [[[0, 0]] * 5], [[[0, 0], [0.3, 0]]]],
    ids=["no ink", "a dot", "a dot many times over", "a short line"],
)
def test_what_is_too_short_has_no_wobble(traces):
    assert wobble(ink(*traces)) is None


def test_ink_without_end_is_measured_too():
    far = np.cumsum(np.full((1000, 2), 1e3), axis=0)

    assert wobble(ink(far)) == pytest.approx(0, abs=1e-6)


def test_the_longest_rest_of_the_pen_counts_on_the_glass_and_between_traces():
    i = write(PRINT["i"], seed=1)

    assert pause(i) < 1
    assert pause(later(i, 4, trace=0, point=5)) == pytest.approx(4, abs=0.2)
    assert pause(later(i, 5, trace=1)) == pytest.approx(5, abs=1)


def test_a_finger_that_rests_and_trembles_a_little_rests():
    rest = np.column_stack([np.linspace(0, 0.05, 301), np.zeros(301)])
    before, behind = [[0, y] for y in np.linspace(-1, 0, 30)], [[0.05 + x, 0] for x in np.linspace(0, 1, 30)]

    assert 5 <= pause(ink(np.vstack([before, rest, behind]))) < 5.5


def test_whoever_watches_a_stroke_that_is_shown_does_not_pause():
    """The window writes it anew for the child; where that was not kept, lifted pens tell nothing."""
    waited = later(write(PRINT["i"], seed=1), 6, trace=1)

    assert pause(waited, shown=(1,)) > 6
    assert pause(waited, shown=(0,)) < 1
    assert pause(waited, shown=None) < 1


def test_a_slow_letter_is_no_pause():
    """Half a minute for an l, and the pen always goes on."""
    assert pause(ink([[0, y] for y in np.linspace(-2, 0, 61)], step=0.5)) <= 2


@pytest.mark.parametrize("traces", [(), (Trace(np.zeros((3, 2))),)], ids=["no ink", "no times"])
def test_without_times_there_is_no_pause_to_measure(traces):
    assert pause(Ink(traces)) is None


def tries(*measures: float | None, pupil: int = 1, pauses: bool = False) -> list[Steadiness]:
    """Tries with these measures, the newest first, at letters in turn."""
    return [
        Steadiness(pupil, 100 - k, "ba"[k % 2], *((None, amount) if pauses else (amount, None)))
        for k, amount in enumerate(measures)
    ]


def test_a_hand_is_unsettled_when_half_of_the_last_tries_are_shaky():
    (need,) = other_needs(tries(STEADY, SHAKY, STEADY, SHAKY, None), (), [NELLA])

    assert (need.pupil, need.kind, need.letters) == (NELLA, OtherKind.SHAKY, ("a",))
    assert (need.times, need.tries, need.attempt) == (2, 4, 99)


def test_pauses_are_needs_by_the_same_rule():
    (need,) = other_needs(tries(PAUSE, PAUSE + 2, 0.1, pauses=True), (), [NELLA], "ba")

    assert (need.kind, need.letters, need.times, need.tries) == (OtherKind.PAUSE, ("b", "a"), 2, 3)


@pytest.mark.parametrize(
    ("measures", "why"),
    [
        ((SHAKY, SHAKY), "two tries are not enough"),
        ((SHAKY, None, SHAKY, None), "nor are two that could be measured"),
        ((SHAKY, STEADY, STEADY), "once may be a slip"),
        ((SHAKY, SHAKY, STEADY, STEADY, STEADY), "less than half"),
        ((np.nextafter(WOBBLE, 0),) * 5, "below the limit"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_too_little_is_no_need(measures, why):
    assert (ENOUGH, AGAIN) == (3, 2)
    assert other_needs(tries(*measures), (), [NELLA]) == (), why


def written(pupil: Pupil, letters: str) -> Written:
    return Written(pupil.id, pupil.group, frozenset(letters))


def test_a_letter_that_half_of_the_group_has_practiced_is_missed_with_a_child_who_never_did():
    group = [NELLA, ABEL, replace(NELLA, id=3, name="Ida"), replace(NELLA, id=4, name="Uwe")]
    practiced = [written(pupil, own) for pupil, own in zip(group, ("abz", "abc", "a", "ac"), strict=True)]
    needs = other_needs((), practiced, group, "zyxcba")

    assert [(need.pupil.name, need.letters) for need in needs] == [
        ("Ida", ("c", "b")),
        ("Nella", ("c",)),
        ("Uwe", ("b",)),
    ]
    assert {(need.kind, need.times, need.tries, need.attempt) for need in needs} == {
        (OtherKind.NEVER, 0, 0, None)
    }


def test_other_groups_newcomers_and_letters_that_are_not_taught_any_more_are_no_measure():
    """Whoever wrote nothing is named elsewhere; one alone in a group misses nothing."""
    newcomers = [replace(ABEL, id=number, name=f"New {number}") for number in range(10, 20)]
    other = [replace(ABEL, id=number, group="Slipway") for number in (20, 21)]
    practiced = [
        written(NELLA, "a"),
        *(written(pupil, "") for pupil in newcomers),
        *(written(pupil, "bþ") for pupil in other),
    ]

    assert other_needs((), practiced, [NELLA, *newcomers, *other], "ab") == ()
    joined = written(replace(NELLA, id=22, group="Slipway"), "a")
    (need,) = other_needs((), [*practiced, joined], [replace(NELLA, id=22, group="Slipway")], "ab")
    assert need.letters == ("b",)


def test_needs_come_by_kind_and_by_name_and_never_by_how_often():
    shaky = tries(SHAKY, SHAKY, STEADY) + tries(*[SHAKY] * 9, pupil=2)
    practiced = [written(NELLA, "a"), written(ABEL, "ab"), Written(3, "Quay", frozenset("b"))]
    needs = other_needs(shaky, practiced, [NELLA, ABEL])

    assert [(need.kind, need.pupil.name) for need in needs] == [
        (OtherKind.NEVER, "Nella"),
        (OtherKind.SHAKY, "Abel"),
        (OtherKind.SHAKY, "Nella"),
    ]


def test_each_kind_has_its_words_and_its_own_advice():
    practiced = [written(NELLA, "a"), written(ABEL, "abc"), Written(3, "Quay", frozenset("bc"))]
    measured = [Steadiness(1, number, "a", SHAKY, PAUSE) for number in range(4)]
    never, shaky, paused = other_needs(measured, practiced, [NELLA])

    assert titled(never) == "Letters never practiced: b, c."
    assert words(shaky) == "shaky lines in 4 of the last 4 tries (a)"
    assert titled(paused) == "Long pauses: 3 seconds or more without a move in 4 of the last 4 tries (a)."
    assert all(first != second for first, second in pairwise(map(advice, OtherKind)))


def test_a_letter_that_the_teacher_saw_on_paper_was_practiced(tmp_path):
    with Record.open(tmp_path / "record.sqlite", now=MONDAY) as record:
        pupils = [record.pupils.add(name, group="Quay") for name in ("Nella", "Abel", "Ida")]
        for pupil, letters in zip(pupils, ("ab", "ab", "a"), strict=True):
            record.attempts.keep_many([attempt(pupil.id, letter, written=Ink()) for letter in letters])
        assert [(need.pupil, need.letters) for need in record.figures.summary().other] == [
            (pupils[2], ("b",))
        ]

        record.observations.keep([Observation(pupils[2].id, "b", MONDAY.date())])
        assert record.figures.summary().other == ()


def test_the_needs_of_a_record_equal_a_recount_from_its_ink(tmp_path):
    """By lot: steady, shaky and halting letters, some traced, unfinished, without ink or without times."""
    random = np.random.default_rng(8)
    with Record.open(tmp_path / "record.sqlite", now=MONDAY) as record:
        pupils = [record.pupils.add(f"Pupil {k}", group=("Quay", "Slipway")[k % 2]) for k in range(6)]
        record.attempts.keep_many([by_lot(random, pupils) for _ in range(160)])
        torn = Ink(write(PRINT["k"], seed=1, shake=0.05).traces[:1])
        record.attempts.keep_draft(pupils[0].id, "k", Step.COPY, torn)
        record.pupils.archive(pupils[5].id)
        attempts, present = list(record.attempts.find()), record.pupils.find()

        recounted = reckoning.summarize(attempts, present).other
        assert record.figures.summary().other == recounted
        assert {need.kind for need in recounted} == set(OtherKind)
        assert max(need.tries for need in recounted) == LAST_INK
        for pupil in present:
            alone = record.figures.summary(pupil=pupil.id).other
            assert alone == tuple(need for need in recounted if need.pupil == pupil)
        for group in ("Quay", "Slipway"):
            own = tuple(need for need in recounted if need.pupil.group == group)
            assert record.figures.summary(group).other == own


def by_lot(random: np.random.Generator, pupils: list[Pupil]):
    pupil = pupils[int(random.integers(len(pupils)))]
    letter = "bijlo"[min(int(random.integers(5)), int(random.integers(5)))]
    inked = write(PRINT[letter], seed=int(random.integers(50)), shake=0.04 * (random.random() < 0.5))
    if random.random() < 0.5:
        inked = later(inked, 4, trace=0, point=3)
    if random.random() < 0.1:
        inked = Ink(tuple(Trace(trace.points) for trace in inked.traces))
    made = attempt(
        pupil.id,
        letter,
        step=(Step.TRACE, Step.COPY, Step.RECALL)[int(random.integers(3))],
        written=Ink() if random.random() < 0.1 else inked,
    )
    return replace(made, at=made.at + timedelta(seconds=int(random.integers(10**6))))
