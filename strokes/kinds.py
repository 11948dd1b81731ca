"""The kinds of findings; on letters, which speak of how the pen moved and which of how the letter looks."""

from __future__ import annotations

from enum import StrEnum


class Kind(StrEnum):
    """What a finding is about, in teaching order: the first one is the one to try next."""

    LETTER = "letter"
    REVERSAL = "reversal"
    MISSING = "missing"
    START = "start"
    DIRECTION = "direction"
    ORDER = "order"
    JOIN = "join"
    LIFT = "lift"
    EXTRA = "extra"
    CLOSURE = "closure"
    SHAPE = "shape"
    SIZE = "size"
    PLACE = "place"


FORMATION = frozenset(
    {Kind.START, Kind.DIRECTION, Kind.ORDER, Kind.MISSING, Kind.EXTRA, Kind.LIFT, Kind.JOIN}
)
"""The kinds about how the pen moved; the others are about how the letter looks."""

NOT_FORMED = FORMATION | {Kind.LETTER, Kind.REVERSAL}
"""The kinds of which a well formed letter has none: another letter is not this one well formed."""

NOT_RIGHT = frozenset(Kind) - FORMATION
"""The kinds of which a letter that looks right has none."""


class WordKind(StrEnum):
    """What a finding on a word on one line is about, in teaching order."""

    TOUCHING = "touching"
    BASE_LINE = "base_line"
    SIZE = "size"
    ASCENDER = "ascender"
    SPACING = "spacing"
