"""Drafts of letters: what a teacher writes and mends, step by step, and what the desk refuses."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest

from strokes.errors import LetterError
from strokes.letter import GuideLines
from strokes.simulation import write
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET
from trainer.errors import PlaceError
from trainer.teaching.letter_drafts import (
    APART,
    MOST_CURVES,
    MOST_POINTS,
    MOST_STATES,
    MOST_TRIES,
    Draft,
    Drafts,
    changed,
    take_taught,
)

GUIDE = GuideLines()
DOWN = [[0.0, -2.0 + 0.05 * step] for step in range(41)]
ACROSS = [[-0.3 + 0.05 * step, -1.0] for step in range(13)]


def traces(letter: str, seed: int = 1) -> list[list[list[float]]]:
    """What a steady hand writes of a shipped letter."""
    return [trace.points.tolist() for trace in write(ALPHABET[letter], seed=seed).traces]


def do(draft: Draft, name: str, **values: Any) -> None:
    changed(draft, {"do": name, **values}, GUIDE)


@pytest.fixture
def cross() -> Draft:
    """A t without a hook: a stem, and a bar."""
    draft = Draft("t")
    do(draft, "write", trace=DOWN)
    do(draft, "write", trace=ACROSS)
    return draft


def ends(draft: Draft) -> list[tuple[list[float], list[float]]]:
    """Where each stroke starts and ends."""
    shapes = [stroke.curves.points for stroke in draft.state.strokes]
    return [(points[0].round(2).tolist(), points[-1].round(2).tolist()) for points in shapes]


STEM, BAR = ([0.0, -2.0], [0.0, 0.0]), ([-0.3, -1.0], [0.3, -1.0])


# --- writing


def test_each_stroke_is_fitted_as_it_is_written(cross: Draft) -> None:
    assert ends(cross) == [STEM, BAR]
    assert [len(stroke.curves) for stroke in cross.state.strokes] == [1, 1]


def test_ends_are_put_on_the_lines_of_the_alphabet_at_each_way_to_write_a_stroke() -> None:
    """Written first, written beside mended strokes, written again, and fitted anew."""
    low = GuideLines(ascender=-1.7, descender=0.8)
    stem = [[0.3, -1.67 + 0.034 * step] for step in range(50)]
    draft = Draft("l")
    for what in (
        {"do": "write", "trace": stem},
        {"do": "line"},
        {"do": "write", "trace": [[x + 0.6, y] for x, y in stem]},
        {"do": "rewrite", "stroke": 0, "trace": [[x - 0.6, y] for x, y in stem]},
    ):
        changed(draft, what, low)
    written = [draft.state.strokes[at] for at in (0, 2)]
    changed(draft, {"do": "error", "error": 0.1}, low)

    tops = [stroke.curves.points[0, 1] for stroke in (*written, draft.state.strokes[0])]
    assert tops == pytest.approx([-1.7] * 3)
    assert [stroke.curves.points[0, 0] for stroke in written] == pytest.approx([-0.3, 0.9], abs=0.01)


def test_a_dot_first_is_no_letter_yet_and_is_taken() -> None:
    draft = Draft("i")

    do(draft, "write", trace=[[0.0, -1.5]])
    do(draft, "write", trace=DOWN)

    assert len(draft.state.strokes) == 2


@pytest.mark.parametrize("letter", ["g", "k", "x", "s"])
def test_tries_of_a_letter_are_averaged_once_each_is_whole(letter: str) -> None:
    draft = Draft(letter)
    for trace in traces(letter):
        do(draft, "write", trace=trace)
    first = [stroke.curves.points for stroke in draft.state.strokes]
    do(draft, "again")
    for trace in traces(letter, seed=2)[:-1]:
        do(draft, "write", trace=trace)
    assert all(
        points is stroke.curves.points or np.array_equal(points, stroke.curves.points)
        for points, stroke in zip(first, draft.state.strokes, strict=True)
    ), "half a try changes nothing"

    do(draft, "write", trace=traces(letter, seed=2)[-1])

    assert [stroke.ink for stroke in draft.state.strokes] == [
        (at, len(first) + at) for at in range(len(first))
    ]
    assert any(
        points.shape != stroke.curves.points.shape or not np.allclose(points, stroke.curves.points)
        for points, stroke in zip(first, draft.state.strokes, strict=True)
    )


def test_after_a_whole_try_the_next_stroke_begins_another_one(cross: Draft) -> None:
    do(cross, "again")
    for trace in (DOWN, ACROSS, DOWN):
        do(cross, "write", trace=trace)

    assert [(stroke.ink, stroke.begun) for stroke in cross.state.strokes] == [((0, 2), 4), ((1, 3), None)]
    assert (cross.state.tries, cross.state.next_stroke) == (3, 1)


def test_a_try_at_another_formation_is_told_and_changes_nothing(cross: Draft) -> None:
    do(cross, "again")
    do(cross, "write", trace=DOWN)
    before = cross.state, cross.revision

    with pytest.raises(LetterError, match="stroke 2"):
        do(cross, "write", trace=ACROSS[::-1])

    assert (cross.state, cross.revision) == before
    assert len(cross.traces) == 3


def test_nothing_is_written_once_more_before_it_is_written_once(cross: Draft) -> None:
    with pytest.raises(LetterError, match="written once"):
        do(Draft("t"), "again")
    do(cross, "again")
    with pytest.raises(LetterError, match="must have a stroke"):
        do(cross, "again")


def test_a_letter_is_written_only_so_often() -> None:
    draft = Draft("l")
    do(draft, "write", trace=DOWN)
    do(draft, "again")
    for _ in range(MOST_TRIES - 1):
        do(draft, "write", trace=DOWN)

    with pytest.raises(LetterError, match=f"at most {MOST_TRIES} times"):
        do(draft, "write", trace=DOWN)


def test_a_stroke_that_is_added_after_mending_leaves_what_was_mended(cross: Draft) -> None:
    do(cross, "turn", stroke=0)

    do(cross, "write", trace=[[0.5, -1.0 + 0.05 * step] for step in range(21)])

    assert ends(cross)[0] == STEM[::-1]
    assert len(cross.state.strokes) == 3


# --- mending


@pytest.mark.parametrize(
    ("name", "values", "expected"),
    [
        ("turn", {"stroke": 0}, [STEM[::-1], BAR]),
        ("earlier", {"stroke": 1}, [BAR, STEM]),
        ("later", {"stroke": 0}, [BAR, STEM]),
        ("remove", {"stroke": 0}, [BAR]),
        ("split", {"stroke": 0, "point": 0}, [(STEM[0], [0.0, -1.0]), ([0.0, -1.0], STEM[1]), BAR]),
        ("join", {"stroke": 0}, [(STEM[0], BAR[1])]),
        ("point", {"stroke": 1, "point": 3, "to": [0.4, -1.1]}, [STEM, (BAR[0], [0.4, -1.1])]),
        ("rewrite", {"stroke": 1, "trace": ACROSS[::-1]}, [STEM, BAR[::-1]]),
        ("add_point", {"stroke": 0, "point": 0}, [STEM, BAR]),
        ("empty", {}, []),
    ],
)
def test_what_is_mended_can_be_undone_and_done_again(
    cross: Draft, name: str, values: dict[str, Any], expected: list[Any]
) -> None:
    do(cross, name, **values)
    assert ends(cross) == expected

    do(cross, "undo")
    assert ends(cross) == [STEM, BAR]

    do(cross, "redo")
    assert ends(cross) == expected


def test_everything_can_be_undone_and_what_comes_then_takes_the_place_of_what_was_undone(
    cross: Draft,
) -> None:
    do(cross, "undo")
    do(cross, "undo")
    assert cross.state.strokes == ()
    with pytest.raises(LetterError, match="there is none"):
        do(cross, "undo")

    do(cross, "write", trace=ACROSS)

    assert ends(cross) == [BAR]
    with pytest.raises(LetterError, match="none"):
        do(cross, "redo")


def test_a_line_is_bent_and_straightened_again(cross: Draft) -> None:
    do(cross, "bend", stroke=0, point=0)
    assert not cross.state.strokes[0].curves.straight.any()
    assert ends(cross)[0] == STEM

    do(cross, "bend", stroke=0, point=0)
    assert cross.state.strokes[0].curves.straight.all()


def test_a_letter_can_be_made_without_a_pen() -> None:
    draft = Draft("l")

    do(draft, "line")
    do(draft, "point", stroke=0, point=0, to=[0.0, -2.0])

    assert ends(draft) == [STEM]


def test_cues_go_with_their_strokes(cross: Draft) -> None:
    do(cross, "cue", stroke=0, cue="  Straight   down. ")
    do(cross, "cue", stroke=1, cue="Across.")
    do(cross, "earlier", stroke=1)
    assert [stroke.cue for stroke in cross.state.strokes] == ["Across.", "Straight down."]

    do(cross, "join", stroke=0)

    assert [stroke.cue for stroke in cross.state.strokes] == ["Across. Straight down."]


def test_a_cue_with_markup_is_only_a_cue(cross: Draft) -> None:
    do(cross, "cue", stroke=0, cue="<script>alert(1)</script>")

    assert cross.state.strokes[0].cue == "<script>alert(1)</script>"


# --- what is mended stays


def cued(draft: Draft) -> list[tuple[str, tuple[list[float], list[float]]]]:
    """Each stroke's cue with where it starts and ends."""
    return list(zip((stroke.cue for stroke in draft.state.strokes), ends(draft), strict=True))


@pytest.fixture
def cued_cross(cross: Draft) -> Draft:
    do(cross, "cue", stroke=0, cue="Down.")
    do(cross, "cue", stroke=1, cue="Across.")
    return cross


SLANT = [[0.2 - 0.01 * step, -2.0 + 0.05 * step] for step in range(41)]
MOVED = {"stroke": 1, "point": 3, "to": [0.4, -1.1]}
AFTER = {
    "turn": ("turn", {"stroke": 0}, [("Down.", STEM[::-1]), ("Across.", BAR)]),
    "earlier": ("earlier", {"stroke": 1}, [("Across.", BAR), ("Down.", STEM)]),
    "later": ("later", {"stroke": 0}, [("Across.", BAR), ("Down.", STEM)]),
    "remove-first": ("remove", {"stroke": 0}, [("Across.", BAR)]),
    "remove-last": ("remove", {"stroke": 1}, [("Down.", STEM)]),
    "point": ("point", MOVED, [("Down.", STEM), ("Across.", (BAR[0], [0.4, -1.1]))]),
    "split": (
        "split",
        {"stroke": 0, "point": 0},
        [("Down.", (STEM[0], [0.0, -1.0])), ("", ([0.0, -1.0], STEM[1])), ("Across.", BAR)],
    ),
    "join": ("join", {"stroke": 0}, [("Down. Across.", (STEM[0], BAR[1]))]),
    "rewrite": (
        "rewrite",
        {"stroke": 0, "trace": SLANT},
        [("Down.", ([0.2, -2.0], [-0.2, 0.0])), ("Across.", BAR)],
    ),
    "bend": ("bend", {"stroke": 1, "point": 0}, [("Down.", STEM), ("Across.", BAR)]),
    "add_point": ("add_point", {"stroke": 0, "point": 0}, [("Down.", STEM), ("Across.", BAR)]),
    "line": ("line", {}, [("Down.", STEM), ("Across.", BAR), ("", ([0.6, -1.0], [0.6, 0.0]))]),
}
"""A mending of the cross, and what is there then."""

mendings = pytest.mark.parametrize(("name", "values", "expected"), AFTER.values(), ids=AFTER)


def write_open_try(draft: Draft) -> None:
    """Write whatever the try still lacks, each stroke as it runs now."""
    while (at := draft.state.next_stroke) is not None:
        do(draft, "write", trace=draft.state.strokes[at].curves.polyline().tolist())


def curve_counts(draft: Draft) -> list[int]:
    return [len(stroke.curves) for stroke in draft.state.strokes]


@mendings
def test_what_is_mended_stays_at_a_new_fit(
    cued_cross: Draft, name: str, values: dict[str, Any], expected: list[Any]
) -> None:
    do(cued_cross, name, **values)
    counts = curve_counts(cued_cross)

    for error in (0.1, 0.02):
        do(cued_cross, "error", error=error)
        assert cued(cued_cross) == expected
        assert curve_counts(cued_cross) == counts


@mendings
def test_what_is_mended_stays_at_one_more_try_and_at_two(
    cued_cross: Draft, name: str, values: dict[str, Any], expected: list[Any]
) -> None:
    do(cued_cross, name, **values)
    counts = curve_counts(cued_cross)
    if not cued_cross.state.can_be_written_again:
        with pytest.raises(LetterError, match="none follows the pen"):
            do(cued_cross, "again")
        return

    for tries in (2, 3):
        do(cued_cross, "again")
        write_open_try(cued_cross)
        assert (cued_cross.state.tries, cued_cross.state.open) == (tries, False)
        assert cued(cued_cross) == expected
        assert curve_counts(cued_cross) == counts


@mendings
def test_what_is_mended_after_two_tries_stays_at_a_new_fit(
    cued_cross: Draft, name: str, values: dict[str, Any], expected: list[Any]
) -> None:
    do(cued_cross, "again")
    for trace in (DOWN, ACROSS):
        do(cued_cross, "write", trace=trace)

    do(cued_cross, name, **values)
    do(cued_cross, "error", error=0.1)

    assert cued(cued_cross) == expected


@mendings
def test_what_is_mended_halfway_in_a_try_leaves_a_try_that_can_be_finished(
    cued_cross: Draft, name: str, values: dict[str, Any], expected: list[Any]
) -> None:
    do(cued_cross, "again")
    do(cued_cross, "write", trace=DOWN)

    do(cued_cross, name, **values)
    write_open_try(cued_cross)

    assert cued(cued_cross) == expected
    assert all(stroke.begun is None for stroke in cued_cross.state.strokes)


@mendings
def test_a_mending_with_a_fit_and_a_try_is_undone_and_done_again_exactly(
    cued_cross: Draft, tmp_path: Any, name: str, values: dict[str, Any], expected: list[Any]
) -> None:
    do(cued_cross, "again")
    do(cued_cross, "write", trace=DOWN)
    first = len(cued_cross.states) - 1
    do(cued_cross, name, **values)
    write_open_try(cued_cross)
    do(cued_cross, "error", error=0.1)
    states, steps = list(cued_cross.states), len(cued_cross.states) - 1 - first

    for way, shown in (("undo", first), ("redo", first + steps)):
        for _ in range(steps):
            do(cued_cross, way)
        assert cued_cross.state is states[shown]
    assert cued(cued_cross) == expected

    Drafts(tmp_path).keep(cued_cross)
    (file,) = (tmp_path / "drafts").iterdir()
    content = file.read_bytes()
    back = Drafts(tmp_path).get("t")
    assert back is not None
    Drafts(tmp_path).keep(back)
    assert file.read_bytes() == content


def test_two_mendings_stay_in_either_order(cued_cross: Draft) -> None:
    do(cued_cross, "turn", stroke=0)
    do(cued_cross, "earlier", stroke=1)
    do(cued_cross, "error", error=0.1)
    assert cued(cued_cross) == [("Across.", BAR), ("Down.", STEM[::-1])]

    for _ in range(4):
        do(cued_cross, "undo")
    do(cued_cross, "redo")
    do(cued_cross, "earlier", stroke=1)
    do(cued_cross, "turn", stroke=1)
    do(cued_cross, "again")
    for trace in (ACROSS, DOWN[::-1]):
        do(cued_cross, "write", trace=trace)

    assert [end for _, end in cued(cued_cross)] == [BAR, STEM[::-1]]


def test_a_stroke_turned_twice_has_the_ink_that_it_had(cross: Draft) -> None:
    before = cross.state.strokes[0]
    do(cross, "turn", stroke=0)
    do(cross, "turn", stroke=0)

    assert cross.state.strokes[0].ink == before.ink
    assert np.array_equal(cross.state.strokes[0].curves.points, before.curves.points)


def test_a_tap_that_was_taken_away_is_neither_asked_for_nor_comes_back(cross: Draft) -> None:
    do(cross, "write", trace=[[0.8, -0.5]])
    do(cross, "remove", stroke=2)
    do(cross, "again")

    do(cross, "write", trace=DOWN)
    do(cross, "write", trace=ACROSS)

    assert cross.state.next_stroke is None
    assert [stroke.ink for stroke in cross.state.strokes] == [(0, 3), (1, 4)]
    do(cross, "write", trace=DOWN)
    assert ends(cross) == [STEM, BAR]


def test_a_stroke_taken_away_halfway_ends_a_try_that_has_all_others(cross: Draft) -> None:
    do(cross, "write", trace=[[0.8, -0.5]])
    do(cross, "again")
    for trace in (DOWN, ACROSS):
        do(cross, "write", trace=trace)

    do(cross, "remove", stroke=2)

    assert not cross.state.open
    assert [stroke.ink for stroke in cross.state.strokes] == [(0, 3), (1, 4)]


def test_each_stroke_of_a_try_is_told_at_once_where_it_is_another_one(cross: Draft) -> None:
    do(cross, "again")

    with pytest.raises(LetterError, match="stroke 1 must"):
        do(cross, "write", trace=ACROSS)

    do(cross, "write", trace=DOWN)
    do(cross, "write", trace=ACROSS)
    assert not cross.state.open


def test_a_try_that_is_not_whole_is_begun_anew(cross: Draft) -> None:
    do(cross, "again")
    do(cross, "write", trace=DOWN)

    do(cross, "again")

    assert (cross.state.tries, cross.state.next_stroke) == (2, 0)
    assert [stroke.ink for stroke in cross.state.strokes] == [(0,), (1,)]


def test_a_stroke_written_again_is_averaged_with_its_own_tries_alone(cross: Draft) -> None:
    do(cross, "again")
    for trace in (DOWN, ACROSS):
        do(cross, "write", trace=trace)
    do(cross, "rewrite", stroke=0, trace=SLANT)

    do(cross, "again")
    do(cross, "write", trace=SLANT)
    with pytest.raises(LetterError, match="stroke 2 must"):
        do(cross, "write", trace=ACROSS[::-1])
    do(cross, "write", trace=ACROSS)

    assert [stroke.ink for stroke in cross.state.strokes] == [(4, 5), (1, 3, 6)]
    assert ends(cross) == [([0.2, -2.0], [-0.2, 0.0]), BAR]


def test_the_strokes_of_the_alphabet_stay_when_one_is_written_beside_them() -> None:
    draft = Draft("t")
    take_taught(draft, ALPHABET["t"].taught)
    taken = draft.state.strokes
    do(draft, "write", trace=[[0.9, -1.0 + 0.05 * step] for step in range(21)])

    do(draft, "error", error=0.1)
    do(draft, "again")
    write_open_try(draft)

    assert not draft.state.open
    assert [stroke.curves for stroke in draft.state.strokes[:-1]] == [stroke.curves for stroke in taken]
    assert len(draft.state.strokes) == len(taken) + 1


def test_when_no_stroke_follows_the_pen_any_more_the_next_one_is_one_more_stroke(cross: Draft) -> None:
    do(cross, "again")
    do(cross, "write", trace=DOWN)
    for stroke in (0, 1):
        do(cross, "bend", stroke=stroke, point=0)

    do(cross, "write", trace=[[0.8, -1.0], [0.8, 0.0]])

    assert ends(cross) == [STEM, BAR, ([0.8, -1.0], [0.8, 0.0])]


def test_the_letter_of_an_alphabet_is_taken_to_be_mended() -> None:
    draft = Draft("b")

    take_taught(draft, ALPHABET["b"].taught)

    taught = ALPHABET["b"].taught
    assert [stroke.cue for stroke in draft.state.strokes] == [stroke.cue for stroke in taught.strokes]
    for stroke, model in zip(draft.formation().strokes, taught.strokes, strict=True):
        assert np.abs(stroke.path[[0, -1]] - model.path[[0, -1]]).max() < 0.05


def test_only_so_many_states_are_kept() -> None:
    draft = Draft("l")
    do(draft, "write", trace=DOWN)
    for _ in range(MOST_STATES + 5):
        do(draft, "turn", stroke=0)

    assert len(draft.states) == MOST_STATES
    assert draft.shown == MOST_STATES - 1


def test_a_stroke_has_only_so_many_points(cross: Draft) -> None:
    for curves in range(1, MOST_CURVES):
        sizes = np.abs(np.diff(cross.state.strokes[0].curves.points[::3, 1]))
        assert len(sizes) == curves
        do(cross, "add_point", stroke=0, point=3 * int(np.argmax(sizes)))

    with pytest.raises(LetterError, match=f"at most {MOST_CURVES} curves"):
        do(cross, "add_point", stroke=0, point=0)


def test_no_point_is_added_where_there_is_no_room(cross: Draft) -> None:
    for _ in range(6):  # the first curve has a sixty-fourth of the stem's two x-heights
        do(cross, "add_point", stroke=0, point=0)

    with pytest.raises(LetterError, match="room for it"):
        do(cross, "add_point", stroke=0, point=0)


# --- what no page sends


TOO_FAR = [[0.0, 0.0], [0.0, 5.0]]


@for_each(
    "what",
    [
        {},
        {"do": "nothing"},
        {"do": ["write"]},
        {"do": "write"},
        {"do": "write", "trace": []},
        {"do": "write", "trace": "0,0"},
        {"do": "write", "trace": [[0]]},
        {"do": "write", "trace": [[0, 0, 0]]},
        {"do": "write", "trace": [["0", "0"]]},
        {"do": "write", "trace": [[True, False]]},
        {"do": "write", "trace": [[1e308, 0], [0, 1e308]]},
        {"do": "write", "trace": [[10**400, 0]]},
        {"do": "write", "trace": [[float("nan"), 0]]},
        {"do": "write", "trace": [[float("inf"), 0]]},
        {"do": "write", "trace": TOO_FAR},
        {"do": "write", "trace": [[0.0, -2.0], [0.0, -9.0]]},
        {"do": "write", "trace": [[0, 0]] * (MOST_POINTS + 1)},
        {"do": "write", "trace": [[side * 0.5, -1 + side] for _ in range(60) for side in (0, 1)]},
        {"do": "point", "stroke": 0, "point": 0},
        {"do": "point", "stroke": 0, "point": 99, "to": [0, 0]},
        {"do": "point", "stroke": 9, "point": 0, "to": [0, 0]},
        {"do": "point", "stroke": 0, "point": 0, "to": [0, None]},
        {"do": "point", "stroke": 0, "point": 0, "to": [1e308, 0]},
        {"do": "point", "stroke": -1, "point": 0, "to": [0, 0]},
        {"do": "turn", "stroke": True},
        {"do": "turn", "stroke": 0.0},
        {"do": "earlier", "stroke": 0},
        {"do": "later", "stroke": 1},
        {"do": "join", "stroke": 1},
        {"do": "rewrite", "stroke": 0, "trace": TOO_FAR},
        {"do": "cue", "stroke": 0, "cue": "x" * 81},
        {"do": "cue", "stroke": 0, "cue": "Down\x07"},
        {"do": "cue", "stroke": 0, "cue": 7},
        {"do": "cue", "stroke": 0, "cue": "x" * 10**6},
        {"do": "error", "error": 0},
        {"do": "error", "error": "0.05"},
        {"do": "error", "error": True},
        {"do": "error", "error": [0.05]},
        {"do": "role", "use": "praised"},
        {"do": "role", "use": ["taught"]},
        {"do": "role", "use": "taught", "family": 3},
        {"do": "role", "use": "taught", "after": "x" * 100},
        {"do": "undo", "extra": None, "trace": None},
    ],
    ids=lambda what: repr(what)[:60],
)
def test_what_cannot_be_done_is_one_sentence_and_changes_nothing(cross: Draft, what: dict[str, Any]) -> None:
    if what.get("do") == "undo":
        do(cross, "undo")
        do(cross, "undo")
    before = list(cross.states), cross.shown, cross.revision, len(cross.traces)

    with pytest.raises(LetterError) as raised:
        changed(cross, what, GUIDE)

    assert "\n" not in str(raised.value)
    assert len(str(raised.value)) < 200
    assert (list(cross.states), cross.shown, cross.revision, len(cross.traces)) == before


def test_a_scribble_is_told_as_one() -> None:
    random = np.random.default_rng(3)
    places = np.clip(np.cumsum(random.normal(0, 0.12, (150, 2)), axis=0), -0.9, 0.9)

    with pytest.raises(LetterError):
        do(Draft("s"), "write", trace=places.tolist())


def test_a_pen_that_rests_leaves_few_points(cross: Draft) -> None:
    trembling = [[0.5 + 0.0001 * (step % 2), -1.0 + 0.001 * step] for step in range(1000)]

    do(cross, "write", trace=trembling)

    assert len(cross.traces[-1]) <= 1 / APART + 2


# --- in files


def test_a_draft_comes_back_as_it_was_kept(cross: Draft, tmp_path: Any) -> None:
    do(cross, "cue", stroke=0, cue="Down, & stop.")
    do(cross, "bend", stroke=1, point=0)
    do(cross, "undo")

    Drafts(tmp_path).keep(cross)
    back = Drafts(tmp_path).get("t")

    assert back is not None
    assert (back.shown, back.revision, len(back.states)) == (cross.shown, cross.revision, len(cross.states))
    assert ends(back) == ends(cross)
    assert back.state.strokes[0].curves.straight.all()
    do(back, "redo")
    assert not back.state.strokes[1].curves.straight.all()


OLD_STROKES = [
    {"curves": [[[0, -2], [0, -1.3], [0, -0.7], [0, 0]]], "cue": "Down."},
    {"curves": [[[-0.3, -1], [-0.1, -1], [0.1, -1], [0.3, -1]]], "cue": "Across."},
]


def as_once_kept(tmp_path: Any, tries: list[list[int]], rewritten: list[int], *, mended: bool) -> Draft:
    """A cross as drafts were kept when tries stood by themselves in a state."""
    role = {"error": 0.05, "use": "taught", "family": "", "after": ""}
    empty = {"tries": [[]], "rewritten": [], "strokes": [], "mended": False, **role}
    state = {"tries": tries, "rewritten": rewritten, "strokes": OLD_STROKES, "mended": mended, **role}
    content = {
        "letter": "t",
        "traces": [DOWN, ACROSS, DOWN, ACROSS, DOWN],
        "states": [empty, state],
        "shown": 1,
        "revision": 9,
    }
    Drafts(tmp_path).keep(Draft("t"))
    (file,) = (tmp_path / "drafts").iterdir()
    file.write_text(json.dumps(content))
    draft = Drafts(tmp_path).get("t")
    assert draft is not None
    assert cued(draft) == [("Down.", STEM), ("Across.", BAR)]
    return draft


@pytest.mark.parametrize(
    ("tries", "inks", "begun"),
    [
        ([[0, 1]], [(0,), (1,)], None),
        ([[0, 1], []], [(0,), (1,)], 0),
        ([[0, 1], [2]], [(0,), (1,)], 1),
        ([[0, 1], [2, 3]], [(0, 2), (1, 3)], None),
        ([[0, 1], [2, 3], [4]], [(0, 2), (1, 3)], 1),
        ([[0, 1], [4], [2, 3]], [(0, 2), (1, 3)], None),
    ],
)
def test_an_older_draft_is_read_and_goes_on(
    tmp_path: Any, tries: list[list[int]], inks: list[tuple[int, ...]], begun: int | None
) -> None:
    draft = as_once_kept(tmp_path, tries, [], mended=False)

    assert [stroke.ink for stroke in draft.state.strokes] == inks
    assert (draft.state.tries, draft.state.next_stroke) == (len(tries), begun)
    do(draft, "earlier", stroke=1)
    do(draft, "error", error=0.1)
    assert cued(draft) == [("Across.", BAR), ("Down.", STEM)]


def test_an_older_draft_that_was_mended_stays_as_it_was_mended(tmp_path: Any) -> None:
    draft = as_once_kept(tmp_path, [[0, 1], [2]], [4], mended=True)

    assert len(draft.ink) == 4, "her ink is still shown"
    before = [stroke.curves for stroke in draft.state.strokes]
    do(draft, "error", error=0.1)
    assert [stroke.curves for stroke in draft.state.strokes] == before
    with pytest.raises(LetterError, match="none follows the pen"):
        do(draft, "again")
    do(draft, "rewrite", stroke=0, trace=DOWN)
    do(draft, "again")
    assert draft.state.next_stroke == 0


def test_an_older_draft_with_other_strokes_than_its_tries_is_damaged(tmp_path: Any) -> None:
    with pytest.raises(PlaceError, match="damaged"):
        as_once_kept(tmp_path, [[0]], [], mended=False)


@pytest.mark.parametrize("values", [{"tries": 2}, {"tries": 0}, {"open": True}], ids=repr)
def test_a_draft_with_a_try_that_cannot_go_on_is_damaged(tmp_path: Any, values: dict[str, Any]) -> None:
    drafts = Drafts(tmp_path)
    drafts.keep(Draft("t"))
    (file,) = (tmp_path / "drafts").iterdir()
    content = json.loads(file.read_text())
    content["states"][0] |= values
    file.write_text(json.dumps(content))

    with pytest.raises(PlaceError, match="damaged"):
        drafts.get("t")


def test_a_capital_and_its_small_letter_have_drafts_of_their_own(tmp_path: Any) -> None:
    drafts = Drafts(tmp_path)
    for letter in ("a", "A", "ß", "../x"):
        drafts.keep(Draft(letter))

    assert sorted(drafts.letters()) == sorted(["a", "A", "ß", "../x"])
    assert len({file.name.lower() for file in (tmp_path / "drafts").iterdir()}) == 4
    drafts.drop("A")
    drafts.drop("A")
    assert drafts.get("A") is None
    assert drafts.get("a") is not None


@pytest.mark.parametrize(
    "damage",
    [
        b"",
        b"{}",
        b"[1]",
        b"\xff\xfe",
        b"[" * 100_000,
        b'{"letter": "t", "traces": [], "states": [], "shown": 0, "revision": 0}',
    ],
    ids=["empty", "nothing-in-it", "a-list", "bytes", "deep", "no-states"],
)
def test_a_damaged_draft_is_told_and_can_be_dropped(cross: Draft, tmp_path: Any, damage: bytes) -> None:
    drafts = Drafts(tmp_path)
    drafts.keep(cross)
    (file,) = (tmp_path / "drafts").iterdir()
    file.write_bytes(damage[:2000])

    with pytest.raises(PlaceError, match="the draft"):
        drafts.get("t")
    assert drafts.letters() in ([], ["t"])
    drafts.drop("t")
    assert drafts.get("t") is None


def test_a_draft_names_no_trace_that_is_not_there(cross: Draft, tmp_path: Any) -> None:
    drafts = Drafts(tmp_path)
    drafts.keep(cross)
    (file,) = (tmp_path / "drafts").iterdir()
    stored = json.loads(file.read_text())
    stored["traces"] = stored["traces"][:1]
    file.write_text(json.dumps(stored))

    with pytest.raises(PlaceError, match="damaged"):
        drafts.get("t")


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("shown", float("inf")),
        ("revision", "one"),
        ("traces", [[[0, float("nan")]], [[0, 0]]]),
        ("traces", [[[0, 1e9]], [[0, 0]]]),
        ("traces", [[["a", "b"]], [[0, 0]]]),
        ("states", [{}]),
    ],
    ids=lambda value: repr(value)[:20],
)
def test_a_draft_with_values_that_it_cannot_have_is_damaged(
    cross: Draft, tmp_path: Any, key: str, value: object
) -> None:
    drafts = Drafts(tmp_path)
    drafts.keep(cross)
    (file,) = (tmp_path / "drafts").iterdir()
    content = json.loads(file.read_text()) | {key: value}
    file.write_text(json.dumps(content))

    with pytest.raises(PlaceError, match="damaged"):
        drafts.get("t")


@pytest.mark.parametrize(
    ("key", "value"), [("error", 7), ("error", "0.1"), ("use", "shown"), ("use", None), ("tries", [])]
)
def test_a_draft_with_a_choice_that_no_page_offers_is_damaged(
    cross: Draft, tmp_path: Any, key: str, value: object
) -> None:
    drafts = Drafts(tmp_path)
    drafts.keep(cross)
    (file,) = (tmp_path / "drafts").iterdir()
    content = json.loads(file.read_text())
    content["states"][-1][key] = value
    file.write_text(json.dumps(content))

    with pytest.raises(PlaceError, match="damaged"):
        drafts.get("t")
