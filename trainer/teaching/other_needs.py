"""Needs that are not about one movement: letters never practiced, an unsettled hand, long pauses.

Here alone it is decided what counts as one and how it is said, so that pages and the terminal say the same.
Each is something to help with: none is a fault, a finding of the checks or a sign of anything, none is
counted against a child, and children come by name, never by how often.

No study was found that gives limits for children of 4 to 7 on glass (trade facts, section 3: a shaky trace is
among what others rate, without a number; section 2: no norm of time could be verified). All limits are ours,
to be tuned with teachers, and each says what it was set against.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Any

import numpy as np

from strokes.ink import Ink, Trace
from strokes.polyline import Floats, Polyline, arc_lengths, points_at
from trainer.attempt import Pupil
from trainer.language import text
from trainer.teaching.counts import Steadiness, Written
from trainer.teaching.letter_sets import place_in
from trainer.teaching.tries import AGAIN, ENOUGH

LAST_INK = 10
"""How many of a pupil's last tries are looked at, whatever the letter: a hand is no matter of one letter."""

WOBBLE = 0.012
"""From so many x-heights on, ink is called shaky: 0.7 mm where an x-height has 60 mm. Of 8,963 small letters
by 131 adults (UNIPEN 1c, those as tall as an x, scaled to it) 2 reach it, and the median has 0.002."""

SPACING, WINDOW = 0.02, 0.4
"""In x-heights: how far apart points are set, and how much of a line a smooth curve is laid through. A shiver
is shorter than that, a bowl or an arch is longer."""

DEGREE = 3
"""Of the curve: a cubic follows the tightest bend of a letter over such a length."""

PAUSE = 3.0
"""Seconds: about as long as the window's own slow pen takes for a whole small letter, 3.5 s at the median."""

STILL = 0.1
"""X-heights of way that a resting finger may make: 6 mm where an x-height has 60 mm."""

MOST_OF_GROUP = 0.5
"""Once so large a share of a group has practiced a letter, it is missed with a child who has not."""

MOST_POINTS = 5000
"""Of one trace, to be looked at; a letter has a few hundred."""


class OtherKind(StrEnum):
    """What a child may need besides a letter's movement and look, in the order in which it is said."""

    NEVER = "never"
    SHAKY = "shaky"
    PAUSE = "pause"


@dataclass(frozen=True)
class OtherNeed:
    """What one pupil needs: the letters that it is about, in teaching order, and how often it was seen.

    Of the last `tries` that could be looked at, it was seen in `times`, the latest of them `attempt`; for
    letters never practiced there are none.
    """

    pupil: Pupil
    kind: OtherKind
    letters: tuple[str, ...]
    times: int = 0
    tries: int = 0
    attempt: int | None = None


def other_needs(
    last: Iterable[Steadiness],
    written: Iterable[Written],
    pupils: Iterable[Pupil],
    order: Sequence[str] = (),
) -> tuple[OtherNeed, ...]:
    """The needs of these pupils, kind by kind and by name.

    `last` are the last tries of each, newest first; `written` says of everybody in their groups, archived
    pupils left out, which letters they ever finished. `order` is the teaching order: a letter that has no
    place in it is not taught any more. Without one, all letters are.
    """
    own: dict[int, list[Steadiness]] = defaultdict(list)
    for one_try in last:
        own[one_try.pupil].append(one_try)
    missed, place = _missed(written), place_in(order)
    needs = []
    for pupil in sorted(pupils, key=lambda pupil: (pupil.name.casefold(), pupil.group, pupil.id)):
        never = [letter for letter in missed.get(pupil.id, ()) if letter in order or not order]
        needs.append(OtherNeed(pupil, OtherKind.NEVER, tuple(sorted(never, key=place))) if never else None)
        wobbles = [(one_try, one_try.wobble) for one_try in own[pupil.id]]
        needs.append(_seen(pupil, OtherKind.SHAKY, wobbles, WOBBLE, place))
        pauses = [(one_try, one_try.pause) for one_try in own[pupil.id]]
        needs.append(_seen(pupil, OtherKind.PAUSE, pauses, PAUSE, place))
    return tuple(need for kind in OtherKind for need in needs if need and need.kind is kind)


def words(need: OtherNeed) -> str:
    """What was seen, to stand behind the name of a child or the title of the kind."""
    letters = ", ".join(need.letters)
    return text(
        f"summary.other.{need.kind}.line", letters=letters, seen=need.times, tries=need.tries, seconds=PAUSE
    )


def titled(need: OtherNeed) -> str:
    """The same as a sentence of its own."""
    return text("summary.other.titled", title=text(f"summary.other.{need.kind}.title"), line=words(need))


def advice(kind: OtherKind) -> str:
    """What to do about it together."""
    return text(f"summary.other.{kind}.teach")


def _seen(
    pupil: Pupil,
    kind: OtherKind,
    measured: Iterable[tuple[Steadiness, float | None]],
    limit: float,
    place: Callable[[str], Any],
) -> OtherNeed | None:
    """The need for what reaches its limit again, and in half of the tries in which it could be measured."""
    amounts = [(one_try, amount) for one_try, amount in measured if amount is not None]
    seen = [one_try for one_try, amount in amounts if amount >= limit]
    if len(amounts) < ENOUGH or len(seen) < max(AGAIN, len(amounts) / 2):
        return None
    letters = sorted({one_try.letter for one_try in seen}, key=place)
    return OtherNeed(pupil, kind, tuple(letters), len(seen), len(amounts), seen[0].attempt)


def _missed(written: Iterable[Written]) -> dict[int, frozenset[str]]:
    """The letters that most of a pupil's group has practiced, and this pupil never, traced ones among them.

    Whoever wrote nothing at all is named elsewhere: that child misses no single letter, and counts for none.
    """
    groups: dict[str, list[Written]] = defaultdict(list)
    for each in written:
        if each.letters:
            groups[each.group].append(each)
    missed: dict[int, frozenset[str]] = {}
    for members in groups.values():
        times = Counter(letter for member in members for letter in member.letters)
        most = max(AGAIN, MOST_OF_GROUP * len(members))
        by_most = frozenset(letter for letter, count in times.items() if count >= most)
        missed |= {member.pupil: by_most - member.letters for member in members}
    return missed


def wobble(ink: Ink) -> float | None:
    """How far ink lies from a smooth line through it, in x-heights: the median over all of it.

    Along each trace a cubic is laid through every `WINDOW` of it (Savitzky and Golay 1964, from memory). The
    median passes over corners. Dots and short lines have nothing to measure: None where there are only such.
    """
    rests = [_rest(trace.points) for trace in ink.traces]
    every = np.concatenate([np.empty(0), *rests])
    return float(np.median(every)) if len(every) else None


def _rest(line: Polyline) -> Floats:
    along = arc_lengths(line)
    kernel = _kernel()
    count = min(int(along[-1] / SPACING) + 1, MOST_POINTS)
    if count < 2 * len(kernel):
        return np.empty(0)
    even = points_at(line, along, np.arange(count, dtype=float) * SPACING)
    rests = (np.convolve(axis, kernel, "valid") for axis in even.T)
    return np.hypot(*rests)


@cache
def _kernel() -> Floats:
    """What takes from a point the value there of the curve through its window."""
    half = round(WINDOW / SPACING / 2)
    powers = np.vander(np.arange(-half, half + 1) / half, DEGREE + 1)
    kernel: Floats = -(powers @ np.linalg.pinv(powers))[half]
    kernel[half] += 1.0
    return kernel


def pause(ink: Ink, shown: Collection[int] | None = ()) -> float | None:
    """The longest pause in seconds: the pen rests on the glass, or is lifted between two traces.

    After the traces `shown`, counted from 0, a stroke was shown again: then the child watches, and that is no
    pause. Where it is not known what was shown, only the pen on the glass counts. None for ink without
    times, and for none at all.
    """
    traces = [(trace, trace.times) for trace in ink.traces]
    longest = None
    for number, (trace, times) in enumerate(traces):
        if times is None:
            return None
        longest = max(longest or 0.0, _rested(trace, times))
        before = traces[number - 1][1] if number else None
        if before is not None and shown is not None and number - 1 not in shown:
            longest = max(longest, float(times[0] - before[-1]))
    return longest


def _rested(trace: Trace, times: Floats) -> float:
    """The longest time in which the pen made less way than `STILL`."""
    along = arc_lengths(trace.points)
    beyond = np.minimum(np.searchsorted(along, along + STILL), len(along) - 1)
    return float((times[beyond] - times).max())
