"""Drafts of letters that a teacher writes: her ink, the curves fitted to it, and every change so far.

A draft is a file in the alphabet's folder, written after each change, so that nothing is lost when the
browser closes; undo and redo walk through its states. Lengths are x-heights in letter space.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import isfinite
from pathlib import Path
from typing import Any, Literal, TypeAlias, TypeVar, get_args

import numpy as np

from strokes.curves import Curves, lines
from strokes.errors import LetterError, StrokesError
from strokes.files import LONGEST_CUE, MOST_STROKES, file_name, read_text
from strokes.ink import Ink
from strokes.letter import Formation, GuideLines, Stroke
from strokes.modeling import (
    ERROR,
    fit_stroke,
    join,
    letter_from_ink,
    move_point,
    reverse,
    split,
    stroke_from_ink,
)
from strokes.polyline import Polyline, as_polyline, length
from trainer.atomic_file import replace_file
from trainer.errors import PlaceError
from trainer.teaching.own_letters import cue

T = TypeVar("T")

Use: TypeAlias = Literal["taught", "accepted", "left", "right"]
"""Whether the formation is taught, accepted for everybody, or accepted for one hand."""

USES: tuple[Use, ...] = get_args(Use)

ERRORS = (0.02, ERROR, 0.1, 0.2)
"""How far curves may stray from the ink, in x-heights: what the page offers."""

EXACT = 0.01
"""How near curves stay to the drawing of a letter that is there."""

MOST_TRIES = 10
MOST_CURVES = 24
"""Of one stroke that is mended; the shipped letters have at most 9."""

MOST_POINTS = 5000
"""Of one trace: a pen that gives 240 points a second writes for 20 seconds."""

LONGEST_TRACE = 20.0
"""In x-heights; the longest shipped stroke has 8."""

MOST_STATES = 200
"""States that undo can reach; the oldest ones go first."""

ROOM = 0.6
"""How far ink may reach above the ascender line and below the descender line."""

WIDEST = 4.0
"""How far to the right of the sheet's left edge, x = -1, ink may lie."""

BEND = 0.25
"""How far the handles of a bent line lie beside it, as a share of its length."""

SHORTEST = 0.04
"""In x-heights: a curve that is shorter is not halved."""

MOST_TRACES = 400
"""Of one draft, those that were undone too: its file stays below some megabytes."""

FARTHEST = 100.0
"""X-heights: a draft on the disk that reaches farther is damaged; handles may lie beside the sheet."""

LARGEST_FILE = 16 * 1024 * 1024
"""Bytes of a draft's file."""

ONLY_PLANNED = "only planned"
"""Given for the letter after which one is taught that has no place in the order: it is practiced where it is
planned or stands in a name. The space in it is in no letter's name."""

APART = 0.008
"""Points nearer than this to the one before are left out: a tenth of a fine pen's line."""

FOLDER = "drafts"


@dataclass(frozen=True, eq=False)
class DraftStroke:
    """A stroke of a draft: its curves, and the cue that is said; empty where none is."""

    curves: Curves
    cue: str = ""


@dataclass(frozen=True)
class State:
    """A draft at one moment. `tries` and `rewritten` are indices of traces of the draft's ink.

    The first try is open until another one is begun; from then on each try has as many traces as the first.
    `mended` strokes are no longer those that were fitted to the tries.
    """

    tries: tuple[tuple[int, ...], ...] = ((),)
    rewritten: tuple[int, ...] = ()
    strokes: tuple[DraftStroke, ...] = ()
    mended: bool = False
    error: float = ERROR
    use: Use = "taught"
    family: str = ""
    after: str = ""


@dataclass
class Draft:
    """A letter that is being written: the ink, the states, and which state is shown.

    `revision` rises with each change, so that a page that shows an older one is told.
    """

    letter: str
    traces: list[Polyline] = field(default_factory=list)
    states: list[State] = field(default_factory=lambda: [State()])
    shown: int = 0
    revision: int = 0

    @property
    def state(self) -> State:
        """The state that is shown."""
        return self.states[self.shown]

    @property
    def is_empty(self) -> bool:
        """Whether nothing was written yet."""
        return not self.traces and len(self.states) == 1

    def take(self, state: State) -> None:
        """Put a new state after the one that is shown; what was undone before is gone."""
        self.states = [*self.states[: self.shown + 1], state][-MOST_STATES:]
        self.shown = len(self.states) - 1
        self.revision += 1

    def walk(self, steps: int) -> None:
        """Undo (-1) or redo (1). Raises LetterError at the first and at the last state."""
        goal = self.shown + steps
        if not 0 <= goal < len(self.states):
            raise LetterError("there must be a change to undo or redo, and there is none")
        self.shown = goal
        self.revision += 1

    def formation(self) -> Formation:
        """The same with its left edge at x = 0, as it is saved."""
        left = self.as_written().bounds[0]
        strokes = tuple(
            Stroke.of(Curves(stroke.curves.segments - (left, 0.0)), stroke.cue)
            for stroke in self.state.strokes
        )
        return Formation("taught", strokes)

    def as_written(self) -> Formation:
        """What is shown as a formation, where it stands on the sheet; it must have a stroke."""
        strokes = self.state.strokes
        return Formation("taught", tuple(Stroke.of(stroke.curves, stroke.cue) for stroke in strokes))


def take_taught(draft: Draft, formation: Formation) -> None:
    """Put an alphabet's formation on the sheet, as a state that can be undone."""
    strokes = tuple(
        DraftStroke(stroke.curves or fit_stroke(stroke.path, EXACT), stroke.cue)
        for stroke in formation.strokes
    )
    draft.take(replace(draft.state, tries=((),), rewritten=(), strokes=strokes, mended=True))


# --- what a page may ask for


def changed(draft: Draft, what: Mapping[str, Any], guide: GuideLines) -> None:
    """Make one change to a draft: `what` is a page's request, its key `do` names the change.

    Raises LetterError for whatever cannot be done; the draft is as it was then.
    """
    name = what.get("do")
    change = _CHANGES.get(name) if isinstance(name, str) else None
    if change is None:
        raise LetterError("the change must be one that this page knows")
    if len(draft.traces) >= MOST_TRACES and "trace" in what:
        raise LetterError(
            f"a draft must have at most {MOST_TRACES} written strokes; save it, or throw it away"
        )
    change(draft, what, guide)


def _write(draft: Draft, what: Mapping[str, Any], guide: GuideLines) -> None:
    """One more stroke of the letter, or of another try of it."""
    trace = _trace(what.get("trace"), guide)
    state, number = draft.state, len(draft.traces)
    traces = [*draft.traces, trace]
    if len(state.tries) == 1:
        _room_for_stroke(state)
        new = replace(state, tries=((*state.tries[0], number),))
        if state.mended:
            curves = _beside(trace, state.strokes, state.error, guide)
            new = replace(new, strokes=(*state.strokes, DraftStroke(curves)))
        else:
            new = _first_fitted(draft.letter, traces, new, guide)
    else:
        wanted = len(state.tries[0])
        begun = state.tries if len(state.tries[-1]) < wanted else (*state.tries, ())
        if len(begun) > MOST_TRIES:
            raise LetterError(f"a letter must be written at most {MOST_TRIES} times")
        tries = (*begun[:-1], (*begun[-1], number))
        new = replace(state, tries=tries)
        if len(tries[-1]) == wanted:
            new = _fitted(draft.letter, traces, new, guide)
    draft.traces.append(trace)
    draft.take(new)


def _again(draft: Draft, _: Mapping[str, Any], __: GuideLines) -> None:
    """Begin another try of the same formation."""
    if not draft.state.tries[0]:
        raise LetterError("the letter must be written once before it is written once more")
    if not draft.state.tries[-1]:
        raise LetterError("the next try must have a stroke before another one is begun")
    draft.take(replace(draft.state, tries=(*draft.state.tries, ())))


def _rewrite(draft: Draft, what: Mapping[str, Any], guide: GuideLines) -> None:
    """Write one stroke again; its cue stays."""
    at, stroke = _stroke(draft, what)
    trace = _trace(what.get("trace"), guide)
    strokes = draft.state.strokes
    new = replace(
        stroke, curves=_beside(trace, (*strokes[:at], *strokes[at + 1 :]), draft.state.error, guide)
    )
    draft.traces.append(trace)
    rewritten = (*draft.state.rewritten, len(draft.traces) - 1)
    draft.take(replace(_with(draft.state, at, new), rewritten=rewritten))


def _line(draft: Draft, _: Mapping[str, Any], guide: GuideLines) -> None:
    """A straight stroke to be moved into its place: so that a letter can be made without a pen."""
    _room_for_stroke(draft.state)
    x = 0.3 * len(draft.state.strokes)
    curves = Curves.of_polyline(np.array([(x, guide.x_height), (x, guide.baseline)]))
    draft.take(replace(draft.state, mended=True, strokes=(*draft.state.strokes, DraftStroke(curves))))


def _point(draft: Draft, what: Mapping[str, Any], guide: GuideLines) -> None:
    """Move one point of a stroke."""
    at, stroke = _stroke(draft, what)
    point = _index(what, "point", len(stroke.curves.points))
    to = _place(what.get("to"), guide)
    draft.take(_with(draft.state, at, replace(stroke, curves=move_point(stroke.curves, point, to))))


def _add_point(draft: Draft, what: Mapping[str, Any], _: GuideLines) -> None:
    """One more point on a stroke: the curve at a point is halved."""
    at, stroke = _stroke(draft, what)
    if len(stroke.curves) >= MOST_CURVES:
        raise LetterError(f"a stroke must have at most {MOST_CURVES} curves")
    segment = _segment(what, stroke.curves)
    if Curves(stroke.curves.segments[segment : segment + 1]).length < SHORTEST:
        raise LetterError("a point must be added where there is room for it, and the next one is too near")
    first, second = split(stroke.curves, segment + 0.5)
    both = Curves(np.concatenate([first.segments, second.segments]))
    draft.take(_with(draft.state, at, replace(stroke, curves=both)))


def _bend(draft: Draft, what: Mapping[str, Any], _: GuideLines) -> None:
    """Make the line at a point a curve, or the curve a line."""
    at, stroke = _stroke(draft, what)
    segment = _segment(what, stroke.curves)
    segments = stroke.curves.segments.copy()
    start, end = segments[segment, 0], segments[segment, 3]
    was_line = bool(stroke.curves.straight[segment])
    segments[segment] = lines(start[None], end[None])[0]
    if was_line:
        along = end - start
        segments[segment, 1:3] += BEND * np.array([along[1], -along[0]])
    draft.take(_with(draft.state, at, replace(stroke, curves=Curves(segments))))


def _turn(draft: Draft, what: Mapping[str, Any], _: GuideLines) -> None:
    """Let a stroke run the other way."""
    at, stroke = _stroke(draft, what)
    draft.take(_with(draft.state, at, replace(stroke, curves=reverse(stroke.curves))))


def _moved_by(steps: int) -> Callable[[Draft, Mapping[str, Any], GuideLines], None]:
    """Write a stroke earlier (-1) or later (1)."""

    def move(draft: Draft, what: Mapping[str, Any], _: GuideLines) -> None:
        at, _stroke_there = _stroke(draft, what)
        goal = at + steps
        strokes = list(draft.state.strokes)
        if not 0 <= goal < len(strokes):
            raise LetterError(f"stroke {at + 1} must have another one to change places with")
        strokes[at], strokes[goal] = strokes[goal], strokes[at]
        draft.take(replace(draft.state, mended=True, strokes=tuple(strokes)))

    return move


def _split(draft: Draft, what: Mapping[str, Any], _: GuideLines) -> None:
    """Lift the pen at a point, or in the middle of its curve where none meet; the first keeps the cue."""
    at, stroke = _stroke(draft, what)
    _room_for_stroke(draft.state)
    point = _index(what, "point", len(stroke.curves.points))
    inner = point % 3 == 0 and 0 < point // 3 < len(stroke.curves)
    place = point / 3 if inner else _segment(what, stroke.curves) + 0.5
    first, second = split(stroke.curves, place)
    strokes = draft.state.strokes
    parted = (replace(stroke, curves=first), DraftStroke(second))
    draft.take(replace(draft.state, mended=True, strokes=(*strokes[:at], *parted, *strokes[at + 1 :])))


def _join(draft: Draft, what: Mapping[str, Any], _: GuideLines) -> None:
    """Write a stroke and the next one without lifting; their cues are put together where they fit."""
    at, stroke = _stroke(draft, what)
    strokes = draft.state.strokes
    if at + 1 >= len(strokes):
        raise LetterError(f"stroke {at + 1} must have one after it to be joined with, and it is the last")
    after = strokes[at + 1]
    curves = join(stroke.curves, after.curves)
    if len(curves) > MOST_CURVES:
        raise LetterError(f"a stroke must have at most {MOST_CURVES} curves, not {len(curves)}")
    both = " ".join(filter(None, (stroke.cue, after.cue)))
    words = both if len(both) <= LONGEST_CUE else stroke.cue
    strokes = (*strokes[:at], DraftStroke(curves, words), *strokes[at + 2 :])
    draft.take(replace(draft.state, mended=True, strokes=strokes))


def _remove(draft: Draft, what: Mapping[str, Any], _: GuideLines) -> None:
    """Take a stroke away."""
    at, _stroke_there = _stroke(draft, what)
    strokes = draft.state.strokes
    draft.take(replace(draft.state, mended=True, strokes=(*strokes[:at], *strokes[at + 1 :])))


def _cue(draft: Draft, what: Mapping[str, Any], _: GuideLines) -> None:
    """What is said while a stroke is written; an empty one may be filled in later."""
    at, stroke = _stroke(draft, what)
    typed = what.get("cue")
    if not isinstance(typed, str) or len(typed) > 10 * LONGEST_CUE:
        raise LetterError(f"a cue must be a text of at most {LONGEST_CUE} characters")
    words = cue(typed) if typed.strip() else ""
    if words != stroke.cue:
        draft.take(_with(draft.state, at, replace(stroke, cue=words)))


def _error(draft: Draft, what: Mapping[str, Any], guide: GuideLines) -> None:
    """Fit the curves more closely, or more loosely, to what was written."""
    error = what.get("error")
    if error not in ERRORS or isinstance(error, bool):
        raise LetterError(f"the distance to the ink must be one of {', '.join(map(str, ERRORS))}")
    state = replace(draft.state, error=float(error))
    draft.take(_first_fitted(draft.letter, draft.traces, state, guide) if state.tries[0] else state)


def _role(draft: Draft, what: Mapping[str, Any], _: GuideLines) -> None:
    """For whom the formation is, the letter's family, and the letter after which it is taught, if any."""
    family, after = what.get("family", ""), what.get("after", "")
    use = next((known for known in USES if known == what.get("use")), None)
    if use is None:
        raise LetterError(f"a way of writing must be one of {', '.join(USES)}")
    if not isinstance(family, str) or not isinstance(after, str) or len(family) > 60:
        raise LetterError("the family and the place must be among those of the alphabet")
    if len(after) > 8 and after != ONLY_PLANNED:
        raise LetterError("the family and the place must be among those of the alphabet")
    new = replace(draft.state, use=use, family=family, after=after)
    if new != draft.state:
        draft.take(new)


def _empty(draft: Draft, _: Mapping[str, Any], __: GuideLines) -> None:
    """Start over: no ink and no strokes; undo brings them back."""
    state = draft.state
    draft.take(State(error=state.error, use=state.use, family=state.family, after=state.after))


def _walked(steps: int) -> Callable[[Draft, Mapping[str, Any], GuideLines], None]:
    return lambda draft, _, __: draft.walk(steps)


_CHANGES: Mapping[str, Callable[[Draft, Mapping[str, Any], GuideLines], None]] = {
    "write": _write,
    "again": _again,
    "rewrite": _rewrite,
    "line": _line,
    "point": _point,
    "add_point": _add_point,
    "bend": _bend,
    "turn": _turn,
    "earlier": _moved_by(-1),
    "later": _moved_by(1),
    "split": _split,
    "join": _join,
    "remove": _remove,
    "cue": _cue,
    "error": _error,
    "role": _role,
    "empty": _empty,
    "undo": _walked(-1),
    "redo": _walked(1),
}


def _with(state: State, at: int, stroke: DraftStroke) -> State:
    strokes = (*state.strokes[:at], stroke, *state.strokes[at + 1 :])
    return replace(state, strokes=strokes, mended=True)


def _room_for_stroke(state: State) -> None:
    if len(state.strokes) >= MOST_STROKES:
        raise LetterError(f"a letter must have at most {MOST_STROKES} strokes")


def _beside(trace: Polyline, others: Sequence[DraftStroke], error: float, guide: GuideLines) -> Curves:
    """The curves of one stroke that is written to others."""
    return stroke_from_ink(trace, [other.curves.polyline() for other in others], guide=guide, error=error)


def _fitted(letter: str, traces: Sequence[Polyline], state: State, guide: GuideLines) -> State:
    """The strokes of all whole tries together; cues stay where the number of strokes does."""
    wanted = len(state.tries[0])
    inks = [
        Ink.from_arrays([traces[at] for at in indices]) for indices in state.tries if len(indices) == wanted
    ]
    fitted = letter_from_ink(letter, inks, error=state.error, guide=guide, in_place=True).taught.strokes
    return _with_curves(state, [stroke.curves or fit_stroke(stroke.path) for stroke in fitted])


def _first_fitted(letter: str, traces: Sequence[Polyline], state: State, guide: GuideLines) -> State:
    """The same for a letter that may be half written: what is no letter yet is fitted stroke by stroke."""
    try:
        return _fitted(letter, traces, state, guide)
    except LetterError:
        if len(state.tries) > 1:
            raise
        return _with_curves(state, [fit_stroke(traces[at], state.error) for at in state.tries[0]])


def _with_curves(state: State, fitted: Sequence[Curves]) -> State:
    cues = [stroke.cue for stroke in state.strokes][: len(fitted)]
    cues += [""] * (len(fitted) - len(cues))
    strokes = tuple(DraftStroke(curves, words) for curves, words in zip(fitted, cues, strict=True))
    return replace(state, strokes=strokes, rewritten=(), mended=False)


# --- numbers and indices of a stranger


def _stroke(draft: Draft, what: Mapping[str, Any]) -> tuple[int, DraftStroke]:
    at = _index(what, "stroke", len(draft.state.strokes))
    return at, draft.state.strokes[at]


def _segment(what: Mapping[str, Any], curves: Curves) -> int:
    """The curve at a point: the one that begins there, or the last one."""
    return min(_index(what, "point", len(curves.points)) // 3, len(curves) - 1)


def _index(what: Mapping[str, Any], key: str, count: int) -> int:
    index = what.get(key)
    if not isinstance(index, int) or isinstance(index, bool) or not 0 <= index < count:
        raise LetterError(f"the {key} must be one of the {count} that are there")
    return index


def _place(pair: object, guide: GuideLines) -> tuple[float, float]:
    """A point on the sheet. Raises LetterError for anything else."""
    if not isinstance(pair, list) or len(pair) != 2 or not all(map(_is_number, pair)):
        raise LetterError("a point must be two numbers")
    x, y = map(float, pair)
    if not -1 <= x <= WIDEST - 1:
        raise LetterError("the letter must stay on the sheet, and it goes beyond its side")
    for over, line in ((guide.ascender - y, "above the highest"), (y - guide.descender, "below the lowest")):
        if over > ROOM:
            raise LetterError(f"the letter must stay between the lines, it goes {over:.1f} x-heights {line}")
    return x, y


def _is_number(number: object) -> bool:
    return (
        isinstance(number, int | float)
        and not isinstance(number, bool)
        and abs(number) < 1e6
        and isfinite(number)
    )


def _trace(points: object, guide: GuideLines) -> Polyline:
    """What a pen wrote from touch to lift, thinned. Raises LetterError for what no pen writes."""
    if not isinstance(points, list) or not 1 <= len(points) <= MOST_POINTS:
        raise LetterError(f"a stroke must have 1 to {MOST_POINTS} points")
    points = np.array([_place(point, guide) for point in points])
    thinned = [points[0]]
    for point in points[1:]:
        if np.hypot(*(point - thinned[-1])) >= APART:
            thinned.append(point)
    trace: Polyline = np.round(np.array(thinned), 4)
    if length(trace) > LONGEST_TRACE:
        raise LetterError(
            f"a stroke must be at most {LONGEST_TRACE:g} x-heights long, not {length(trace):.0f}"
        )
    return trace


# --- drafts in files


class Drafts:
    """The drafts of one alphabet of the teacher's own, in a folder inside its folder."""

    def __init__(self, alphabet: Path) -> None:
        self._folder = alphabet / FOLDER

    def get(self, letter: str) -> Draft | None:
        """The draft of a letter; None where there is none. Raises PlaceError for one that is damaged."""
        file = self._file(letter)
        if not file.exists():
            return None
        content = _read(file)
        try:
            return _from_json(letter, json.loads(content))
        except _DAMAGED as error:
            raise PlaceError(f"{file}: the draft must be as it was kept, and it is damaged") from error

    def keep(self, draft: Draft) -> None:
        """Write a draft. Raises PlaceError when that cannot be done."""
        content = json.dumps(_to_json(draft), separators=(",", ":"))
        replace_file(self._file(draft.letter), content.encode(), what="the draft")

    def drop(self, letter: str) -> None:
        """Remove a draft, if there is one. Raises PlaceError when that cannot be done."""
        try:
            self._file(letter).unlink(missing_ok=True)
        except OSError as error:
            raise PlaceError(f"{self._file(letter)}: cannot be removed: {error.strerror}") from error

    def letters(self) -> list[str]:
        """The letters that have a draft; damaged ones are not among them."""
        letters = []
        for file in sorted(self._folder.glob("*.json")):
            try:
                content = json.loads(_read(file))
            except (PlaceError, ValueError, RecursionError):
                continue
            letter = content.get("letter") if isinstance(content, dict) else None
            if isinstance(letter, str) and self._file(letter) == file:
                letters.append(letter)
        return letters

    def _file(self, letter: str) -> Path:
        return (self._folder / file_name(letter)).with_suffix(".json")


def _read(file: Path) -> str:
    """The text of a draft's file. Raises PlaceError for one that cannot be read, or is too large."""

    def refuse(path: Path, reason: str) -> PlaceError:
        return PlaceError(f"{path}: the draft {reason}")

    return read_text(file, largest=LARGEST_FILE, fault=refuse)


_DAMAGED = (ValueError, TypeError, KeyError, IndexError, OverflowError, RecursionError, StrokesError)
"""What is raised for JSON that is no draft; the last for curves and lines that are none."""


def _rounded(points: Polyline) -> list[Any]:
    rounded: list[Any] = np.round(points, 8).tolist()
    return rounded


def _state_as_json(state: State) -> dict[str, Any]:
    return {
        "tries": state.tries,
        "rewritten": state.rewritten,
        "strokes": [
            {"curves": _rounded(stroke.curves.segments), "cue": stroke.cue} for stroke in state.strokes
        ],
        "mended": state.mended,
        "error": state.error,
        "use": state.use,
        "family": state.family,
        "after": state.after,
    }


def _to_json(draft: Draft) -> dict[str, Any]:
    return {
        "letter": draft.letter,
        "traces": [_rounded(trace) for trace in draft.traces],
        "states": [_state_as_json(state) for state in draft.states],
        "shown": draft.shown,
        "revision": draft.revision,
    }


def _one_of(known: Sequence[T], value: object) -> T:
    """The known value that this one is. Raises LetterError for another one."""
    for other in known:
        if value == other:
            return other
    raise LetterError(f"{value!r:.40} is not among what a draft may say")


def _from_json(letter: str, content: Mapping[str, Any]) -> Draft:
    states = [
        State(
            tuple(tuple(map(int, indices)) for indices in state["tries"]),
            tuple(map(int, state["rewritten"])),
            tuple(
                DraftStroke(Curves(np.array(stroke["curves"], dtype=np.float64)), str(stroke["cue"]))
                for stroke in state["strokes"]
            ),
            bool(state["mended"]),
            _one_of(ERRORS, state["error"]),
            _one_of(USES, state["use"]),
            str(state["family"]),
            str(state["after"]),
        )
        for state in content["states"]
    ]
    traces = [as_polyline(trace) for trace in content["traces"]]
    drawn = [stroke.curves.segments for state in states for stroke in state.strokes]
    if any(not (np.abs(points) <= FARTHEST).all() for points in (*traces, *drawn)):
        raise LetterError("the draft leaves its sheet")
    draft = Draft(letter, traces, states, int(content["shown"]), int(content["revision"]))
    known = {at for state in states for indices in (*state.tries, state.rewritten) for at in indices}
    begun = all(state.tries for state in states)  # a first try is there from the start, with no stroke yet
    if content["letter"] != letter or not begun or not known <= set(range(len(traces))):
        raise LetterError("the draft contradicts itself")
    draft.state  # noqa: B018 (raises IndexError for a state that is not there)
    return draft
