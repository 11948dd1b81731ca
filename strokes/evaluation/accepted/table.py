"""Whether ink is formed as the table of accepted formations says: one rule a letter, plain geometry only.

The table is common practice for unjoined lower-case print; each rule bears its line: what is taught, and
what else is accepted. It never looks at what the checks say, nor at the letters' files. A rule gives the
reason of its refusal, so that refused ink can be looked at sorted by reason.
"""

from __future__ import annotations

from collections.abc import Sequence

from strokes.evaluation.accepted.bowls import BOWLS
from strokes.evaluation.accepted.curves import CURVES
from strokes.evaluation.accepted.parts import Rule
from strokes.evaluation.accepted.slants import SLANTS
from strokes.evaluation.accepted.stems import STEMS
from strokes.evaluation.trace_shape import drawn
from strokes.polyline import Polyline

COUNTS: dict[str, tuple[int, ...]] = {
    **dict.fromkeys("celos", (1,)),
    **dict.fromkeys("abdfghnpruvwyz", (1, 2)),
    **dict.fromkeys("kmq", (1, 2, 3)),
    **dict.fromkeys("ijtx", (2,)),
}
"""How many times the pen may come down."""

RULES: dict[str, Rule] = dict(sorted({**BOWLS, **STEMS, **CURVES, **SLANTS}.items()))
"""The rule of each letter."""


def refusal(letter: str, traces: Sequence[Polyline]) -> str:
    """Why the table does not accept this ink, in a few words; empty where it does."""
    ink = drawn(letter, traces)
    if len(ink.ways) not in COUNTS[letter]:
        return f"{len(ink.ways)} traces"
    return RULES[letter](ink)


def acceptable(letter: str, traces: Sequence[Polyline]) -> bool:
    """Whether the ink is formed as the table accepts, for a writer of unknown hand."""
    return not refusal(letter, traces)
