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

    assert draft.state.tries == (
        tuple(range(len(first))),
        tuple(range(len(first), 2 * len(first))),
    )
    assert any(
        points.shape != stroke.curves.points.shape or not np.allclose(points, stroke.curves.points)
        for points, stroke in zip(first, draft.state.strokes, strict=True)
    )


def test_after_a_whole_try_the_next_stroke_begins_another_one(cross: Draft) -> None:
    do(cross, "again")
    for trace in (DOWN, ACROSS, DOWN):
        do(cross, "write", trace=trace)

    assert cross.state.tries == ((0, 1), (2, 3), (4,))


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


def test_looser_curves_keep_the_cues_and_leave_the_mending(cross: Draft) -> None:
    do(cross, "cue", stroke=0, cue="Down.")
    do(cross, "turn", stroke=0)

    do(cross, "error", error=0.1)

    assert ends(cross) == [STEM, BAR]
    assert cross.state.strokes[0].cue == "Down."


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
