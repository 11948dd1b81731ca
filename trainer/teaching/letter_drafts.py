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
from strokes.letter import Formation, GuideLines, Stroke
from strokes.modeling import (
    ERROR,
    average,
    fit_stroke,
    join,
    move_point,
    reverse,
    split,
    strokes_from_ink,
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
    """A stroke of a draft: its curves, its cue, empty where none is said, and what the pen wrote of it.

    `ink` has a trace of each try that it was averaged from, `begun` that of a try that is not whole yet, as
    indices of the draft's traces; ~index is that trace run backwards. Whatever is done to a stroke is done to
    its ink, or `mended` says that its curves are no longer fitted to ink.
    """

    curves: Curves
    cue: str = ""
    ink: tuple[int, ...] = ()
    begun: int | None = None
    mended: bool = False

    @property
    def follows(self) -> bool:
        """Whether its curves follow what the pen wrote."""
        return not self.mended and bool(self.ink)

    @property
    def every_trace(self) -> tuple[int, ...]:
        """Its ink, and what a try that is not whole yet has of it."""
        return self.ink if self.begun is None else (*self.ink, self.begun)


@dataclass(frozen=True)
class State:
    """A draft at one moment.

    Each stroke that is written in the first of the `tries` is one more of the letter. A later one has the
    strokes that follow the pen; it is `open` until it has all of them.
    """

    tries: int = 1
    open: bool = False
    strokes: tuple[DraftStroke, ...] = ()
    error: float = ERROR
    use: Use = "taught"
    family: str = ""
    after: str = ""

    @property
    def next_stroke(self) -> int | None:
        """The stroke that the open try lacks first; None where no try is open."""
        if not self.open:
            return None
        return next(at for at, stroke in enumerate(self.strokes) if stroke.follows and stroke.begun is None)

    @property
    def can_be_written_again(self) -> bool:
        """Whether a stroke follows the pen, so that it can follow another try as well."""
        return any(stroke.follows for stroke in self.strokes)


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

    @property
    def ink(self) -> list[Polyline]:
        """What was written of the strokes that are shown."""
        return [_trace_at(self.traces, at) for stroke in self.state.strokes for at in stroke.every_trace]

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
        DraftStroke(stroke.curves or fit_stroke(stroke.path, EXACT), stroke.cue, mended=True)
        for stroke in formation.strokes
    )
    draft.take(replace(draft.state, tries=1, open=False, strokes=strokes))


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
    written = len(draft.traces)
    try:
        change(draft, what, guide)
    except LetterError:
        del draft.traces[written:]
        raise


def _write(draft: Draft, what: Mapping[str, Any], guide: GuideLines) -> None:
    """One more stroke of the letter, or of another try of it."""
    number, state = _new_trace(draft, what, guide), draft.state
    if state.tries == 1:
        _room_for_stroke(state)
        draft.take(_fitted(draft.traces, replace(state, strokes=(*state.strokes, _as_written(draft))), guide))
        return
    state = state if state.open else _next_try(state)
    at = state.next_stroke
    assert at is not None, "a try that has all strokes is not open"
    strokes = _put(state.strokes, at, replace(state.strokes[at], begun=number))
    _averaged(draft.traces, [stroke if stroke.begun is not None else None for stroke in strokes])
    _take(draft, replace(state, strokes=strokes), guide)


def _again(draft: Draft, _: Mapping[str, Any], __: GuideLines) -> None:
    """Begin another try of the same formation; one that is not whole is begun anew."""
    state = draft.state
    if not state.can_be_written_again:
        raise LetterError(
            "a stroke must have been written once before it is written once more, and none follows the pen: "
            "write one, or write a mended one again"
        )
    if not state.open:
        draft.take(_next_try(state))
    elif all(stroke.begun is None for stroke in state.strokes):
        raise LetterError("the next try must have a stroke before another one is begun")
    else:
        draft.take(replace(state, strokes=tuple(replace(stroke, begun=None) for stroke in state.strokes)))


def _rewrite(draft: Draft, what: Mapping[str, Any], guide: GuideLines) -> None:
    """Write one stroke again; its cue stays."""
    at, stroke = _stroke(draft, what)
    _new_trace(draft, what, guide)
    strokes = _put(draft.state.strokes, at, replace(_as_written(draft), cue=stroke.cue))
    draft.take(_fitted(draft.traces, replace(draft.state, strokes=strokes), guide))


def _line(draft: Draft, _: Mapping[str, Any], guide: GuideLines) -> None:
    """A straight stroke to be moved into its place: so that a letter can be made without a pen."""
    _room_for_stroke(draft.state)
    x = 0.3 * len(draft.state.strokes)
    curves = Curves.of_polyline(np.array([(x, guide.x_height), (x, guide.baseline)]))
    strokes = (*draft.state.strokes, DraftStroke(curves, mended=True))
    draft.take(replace(draft.state, strokes=strokes))


def _point(draft: Draft, what: Mapping[str, Any], guide: GuideLines) -> None:
    """Move one point of a stroke."""
    at, stroke = _stroke(draft, what)
    point = _index(what, "point", len(stroke.curves.points))
    to = _place(what.get("to"), guide)
    _mend(draft, [_by_hand(stroke, move_point(stroke.curves, point, to))], at, guide)


def _add_point(draft: Draft, what: Mapping[str, Any], guide: GuideLines) -> None:
    """One more point on a stroke: the curve at a point is halved."""
    at, stroke = _stroke(draft, what)
    if len(stroke.curves) >= MOST_CURVES:
        raise LetterError(f"a stroke must have at most {MOST_CURVES} curves")
    segment = _segment(what, stroke.curves)
    if Curves(stroke.curves.segments[segment : segment + 1]).length < SHORTEST:
        raise LetterError("a point must be added where there is room for it, and the next one is too near")
    first, second = split(stroke.curves, segment + 0.5)
    both = Curves(np.concatenate([first.segments, second.segments]))
    _mend(draft, [_by_hand(stroke, both)], at, guide)


def _bend(draft: Draft, what: Mapping[str, Any], guide: GuideLines) -> None:
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
    _mend(draft, [_by_hand(stroke, Curves(segments))], at, guide)


def _turn(draft: Draft, what: Mapping[str, Any], _: GuideLines) -> None:
    """Let a stroke run the other way, in each try as well."""
    at, stroke = _stroke(draft, what)
    begun = None if stroke.begun is None else ~stroke.begun
    ink = tuple(~trace for trace in stroke.ink)
    turned = replace(stroke, curves=reverse(stroke.curves), ink=ink, begun=begun)
    draft.take(replace(draft.state, strokes=_put(draft.state.strokes, at, turned)))


def _moved_by(steps: int) -> Callable[[Draft, Mapping[str, Any], GuideLines], None]:
    """Write a stroke earlier (-1) or later (1)."""

    def move(draft: Draft, what: Mapping[str, Any], _: GuideLines) -> None:
        at, _stroke_there = _stroke(draft, what)
        goal = at + steps
        strokes = list(draft.state.strokes)
        if not 0 <= goal < len(strokes):
            raise LetterError(f"stroke {at + 1} must have another one to change places with")
        strokes[at], strokes[goal] = strokes[goal], strokes[at]
        draft.take(replace(draft.state, strokes=tuple(strokes)))

    return move


def _split(draft: Draft, what: Mapping[str, Any], guide: GuideLines) -> None:
    """Lift the pen at a point, or in the middle of its curve where none meet; the first keeps the cue."""
    at, stroke = _stroke(draft, what)
    _room_for_stroke(draft.state)
    point = _index(what, "point", len(stroke.curves.points))
    inner = point % 3 == 0 and 0 < point // 3 < len(stroke.curves)
    place = point / 3 if inner else _segment(what, stroke.curves) + 0.5
    first, second = split(stroke.curves, place)
    _mend(draft, [_by_hand(stroke, first), DraftStroke(second, mended=True)], at, guide)


def _join(draft: Draft, what: Mapping[str, Any], guide: GuideLines) -> None:
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
    ink = (*stroke.every_trace, *after.every_trace)
    _mend(draft, [DraftStroke(curves, words, ink, mended=True)], at, guide, count=2)


def _remove(draft: Draft, what: Mapping[str, Any], guide: GuideLines) -> None:
    """Take a stroke away, out of each try as well."""
    at, _stroke_there = _stroke(draft, what)
    _mend(draft, [], at, guide)


def _cue(draft: Draft, what: Mapping[str, Any], _: GuideLines) -> None:
    """What is said while a stroke is written; an empty one may be filled in later."""
    at, stroke = _stroke(draft, what)
    typed = what.get("cue")
    if not isinstance(typed, str) or len(typed) > 10 * LONGEST_CUE:
        raise LetterError(f"a cue must be a text of at most {LONGEST_CUE} characters")
    words = cue(typed) if typed.strip() else ""
    if words != stroke.cue:
        strokes = _put(draft.state.strokes, at, replace(stroke, cue=words))
        draft.take(replace(draft.state, strokes=strokes))


def _error(draft: Draft, what: Mapping[str, Any], guide: GuideLines) -> None:
    """Fit the curves more closely, or more loosely, to what was written; mended ones stay."""
    error = what.get("error")
    if error not in ERRORS or isinstance(error, bool):
        raise LetterError(f"the distance to the ink must be one of {', '.join(map(str, ERRORS))}")
    draft.take(_fitted(draft.traces, replace(draft.state, error=float(error)), guide))


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


def _put(
    strokes: Sequence[DraftStroke], at: int, *new: DraftStroke, count: int = 1
) -> tuple[DraftStroke, ...]:
    """The strokes with others in the place of `count` of them."""
    return (*strokes[:at], *new, *strokes[at + count :])


def _by_hand(stroke: DraftStroke, curves: Curves) -> DraftStroke:
    """A stroke with curves that were changed by hand; its ink is still shown."""
    return DraftStroke(curves, stroke.cue, stroke.every_trace, mended=True)


def _mend(draft: Draft, new: Sequence[DraftStroke], at: int, guide: GuideLines, *, count: int = 1) -> None:
    """Take mended strokes in the place of others, none where they are taken away."""
    strokes = _put(draft.state.strokes, at, *new, count=count)
    _take(draft, replace(draft.state, strokes=strokes), guide)


def _take(draft: Draft, state: State, guide: GuideLines) -> None:
    """Take a state in which the open try may have become whole; without ink to follow, no try is left."""
    if not state.can_be_written_again:
        state = replace(state, tries=1, open=False)
    elif state.open and all(stroke.begun is not None for stroke in state.strokes if stroke.follows):
        strokes = tuple(replace(stroke, ink=stroke.every_trace, begun=None) for stroke in state.strokes)
        state = _fitted(draft.traces, replace(state, open=False, strokes=strokes), guide)
    draft.take(state)


def _next_try(state: State) -> State:
    if state.tries >= MOST_TRIES:
        raise LetterError(f"a letter must be written at most {MOST_TRIES} times")
    return replace(state, tries=state.tries + 1, open=True)


def _room_for_stroke(state: State) -> None:
    if len(state.strokes) >= MOST_STROKES:
        raise LetterError(f"a letter must have at most {MOST_STROKES} strokes")


def _new_trace(draft: Draft, what: Mapping[str, Any], guide: GuideLines) -> int:
    """The index of what the pen wrote, which is one more trace of the draft."""
    draft.traces.append(_trace(what.get("trace"), guide))
    return len(draft.traces) - 1


def _as_written(draft: Draft) -> DraftStroke:
    """The newest trace as a stroke: a line until it is fitted."""
    trace = draft.traces[-1]
    return DraftStroke(Curves(lines(trace[:1], trace[-1:])), ink=(len(draft.traces) - 1,))


def _trace_at(traces: Sequence[Polyline], at: int) -> Polyline:
    """The trace of an index; ~index is that trace run backwards."""
    return traces[at] if at >= 0 else traces[~at][::-1]


def _averaged(traces: Sequence[Polyline], strokes: Sequence[DraftStroke | None]) -> dict[int, Polyline]:
    """What was written of the strokes that follow the pen, the average of their tries, by place.

    Each try is moved sideways to the first as a whole. A stroke that was written again has fewer tries, and
    is averaged only with others that have as many: those come from the same tries.
    """
    averaged: dict[int, Polyline] = {}
    written = {
        at: [_trace_at(traces, trace) for trace in stroke.every_trace]
        for at, stroke in enumerate(strokes)
        if stroke is not None and stroke.follows
    }
    for count in sorted(set(map(len, written.values()))):
        places = [at for at, lines_of_stroke in written.items() if len(lines_of_stroke) == count]
        tries = list(zip(*(written[at] for at in places), strict=True))
        averaged |= zip(places, average(tries, [at + 1 for at in places]), strict=True)
    return averaged


def _fitted(traces: Sequence[Polyline], state: State, guide: GuideLines) -> State:
    """The strokes that follow the pen fitted anew to their whole tries; mended ones stay."""
    ink = _averaged(traces, [replace(stroke, begun=None) for stroke in state.strokes])
    shapes = [ink.get(at, stroke.curves) for at, stroke in enumerate(state.strokes)]
    curves = strokes_from_ink(shapes, guide=guide, error=state.error)
    strokes = (replace(stroke, curves=fit) for stroke, fit in zip(state.strokes, curves, strict=True))
    return replace(state, strokes=tuple(strokes))


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
        "open": state.open,
        "strokes": [
            {
                "curves": _rounded(stroke.curves.segments),
                "cue": stroke.cue,
                "ink": stroke.ink,
                "begun": stroke.begun,
                "mended": stroke.mended,
            }
            for stroke in state.strokes
        ],
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


def _state_from_json(state: Mapping[str, Any]) -> State:
    if "mended" in state:
        state = _with_ink_of_strokes(state)
    return State(
        int(state["tries"]),
        bool(state["open"]),
        tuple(
            DraftStroke(
                Curves(np.array(stroke["curves"], dtype=np.float64)),
                str(stroke["cue"]),
                tuple(map(int, stroke["ink"])),
                None if stroke["begun"] is None else int(stroke["begun"]),
                bool(stroke["mended"]),
            )
            for stroke in state["strokes"]
        ),
        _one_of(ERRORS, state["error"]),
        _one_of(USES, state["use"]),
        str(state["family"]),
        str(state["after"]),
    )


def _is_sound(state: State) -> bool:
    """Whether a later try than the first has a stroke to be written next, as `next_stroke` relies on."""
    lacking = any(stroke.follows and stroke.begun is None for stroke in state.strokes)
    return lacking if state.tries > 1 else state.tries == 1 and not state.open


def _with_ink_of_strokes(state: Mapping[str, Any]) -> Mapping[str, Any]:
    """The state of an older draft, which had its tries by themselves, a trace a stroke, until it was mended.

    Which ink a mended stroke had cannot be told any more: all of it is shown with the first.
    """
    strokes, tries = state["strokes"], state["tries"]
    if state["mended"]:
        every = [trace for traces in (*tries, state["rewritten"]) for trace in traces]
        old = [
            {**stroke, "ink": () if at else every, "begun": None, "mended": True}
            for at, stroke in enumerate(strokes)
        ]
        return {**state, "tries": 1, "open": False, "strokes": old}
    *whole, last = tries
    wanted = len(tries[0])
    is_open = len(last) < wanted
    inks = zip(*(traces for traces in (whole if is_open else tries) if len(traces) == wanted), strict=True)
    begun = [*last, *[None] * (wanted - len(last))] if is_open else [None] * wanted
    old = [
        {**stroke, "ink": ink, "begun": trace, "mended": False}
        for stroke, ink, trace in zip(strokes, inks, begun, strict=True)
    ]
    return {**state, "tries": len(tries), "open": is_open, "strokes": old}


def _from_json(letter: str, content: Mapping[str, Any]) -> Draft:
    states = [_state_from_json(state) for state in content["states"]]
    traces = [as_polyline(trace) for trace in content["traces"]]
    drawn = [stroke.curves.segments for state in states for stroke in state.strokes]
    if any(not (np.abs(points) <= FARTHEST).all() for points in (*traces, *drawn)):
        raise LetterError("the draft leaves its sheet")
    draft = Draft(letter, traces, states, int(content["shown"]), int(content["revision"]))
    strokes = [stroke for state in states for stroke in state.strokes]
    known = {at if at >= 0 else ~at for stroke in strokes for at in stroke.every_trace}
    if content["letter"] != letter or not all(map(_is_sound, states)) or not known <= set(range(len(traces))):
        raise LetterError("the draft contradicts itself")
    draft.state  # noqa: B018 (raises IndexError for a state that is not there)
    return draft
