"""One .SEGMENT of a UNIPEN file: which components and points it is made of, and what it is a segment of.

`.SEGMENT CHARACTER 10-12 OK "i"` is components 10 to 12. `10:3-12:7` begins at point 3 of component 10 and
ends with point 7 of component 12, both counted from 0. Ranges are parted by commas.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from strokes.errors import InkFileError
from strokes.files.unipen.lines import Statement

_SPAN = re.compile(r"(\d{1,9})(?::(\d{1,9}))?(?:-(\d{1,9})(?::(\d{1,9}))?)?", re.ASCII)

MOST_SPANS = 1000


@dataclass(frozen=True, slots=True)
class Range:
    """From a component, or a point of it, to a component, or a point of it; both ends belong to it."""

    first: int
    first_point: int | None
    last: int
    last_point: int | None


@dataclass(frozen=True, slots=True)
class Segment:
    """Which components make up one thing that was written, and what it is said to be."""

    statement: Statement
    level: str
    quality: str
    label: str
    ranges: tuple[Range, ...]

    def refuse(self, reason: str) -> InkFileError:
        """The error for a fault that shows when the segment is looked up."""
        return self.statement.refuse(f".SEGMENT: {reason}")


def segment(statement: Statement) -> Segment:
    """The segment that a statement describes. Raises InkFileError."""
    before, quoted, rest = statement.text.partition('"')
    words = before.split()
    if not words:
        raise statement.refuse(
            ".SEGMENT must name a level and components, such as CHARACTER 10-12, not nothing"
        )
    if len(words) < 2:
        raise statement.refuse(f".SEGMENT {words[0][:30]} must name its components, such as 10-12, not none")
    spans = words[1].split(",")
    if len(spans) > MOST_SPANS:
        raise statement.refuse(f".SEGMENT must have at most {MOST_SPANS} ranges, not {len(spans)}")
    label = rest.rpartition('"')[0].replace('\\"', '"') if quoted else " ".join(words[3:4])
    quality = words[2] if len(words) > 2 and words[2] != "?" else ""
    ranges = tuple(_range(span, statement) for span in spans)
    return Segment(statement, words[0].upper(), quality, label, ranges)


def _range(span: str, statement: Statement) -> Range:
    match = _SPAN.fullmatch(span)
    if match is None:
        raise statement.refuse(
            f".SEGMENT must have components such as 10, 10-12 or 10:3-12:7, counted from 0, not {span[:30]!r}"
        )
    first, first_point, last, last_point = (None if part is None else int(part) for part in match.groups())
    assert first is not None
    if last is None:
        return Range(first, first_point, first, first_point)
    if last < first:
        raise statement.refuse(f".SEGMENT must run forwards, not from component {first} to {last}")
    return Range(first, first_point, last, last_point)
