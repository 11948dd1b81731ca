"""InkML, the W3C's markup for ink (Recommendation of 20 September 2011), read.

Reading takes what a trace may say about X, Y and T, and refuses in one sentence what would need a guess:
ink that is continued, seen through a view, or described in another file. Other channels, brushes and
canvases are passed over. What is written stands in `inkmlwriter`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from xml.etree.ElementTree import Element

import numpy as np

from strokes.errors import InkError, InkFileError
from strokes.files.inkml.channels import NAMESPACE, TraceFormat, plain
from strokes.files.inkml.contexts import Contexts
from strokes.files.inkml.values import Value, ValueFaultError, points
from strokes.files.specimen import (
    LARGEST_INK_FILE,
    MOST_IN_TRACE,
    MOST_NESTED,
    MOST_POINTS,
    MOST_TRACES,
    Specimen,
    timed,
)
from strokes.files.text_file import read_xml
from strokes.ink import Trace
from strokes.polyline import Floats

_PASSED_OVER = {"annotation", "annotationXML", "definitions", "context", "traceFormat", "inkSource", "brush"}


def read_inkml(path: Path | str) -> tuple[Specimen, ...]:
    """The specimens of an InkML file: one for each traceGroup that holds traces, one for those in no group.

    What an annotation with a type says of a group, it says of the groups inside too. Traces of a pen
    that is up, and traces without points, are no ink. A `timeOffset` counts where T begins at 0 in its trace.
    Raises InkFileError.
    """
    reader = _Reader(Path(path))
    root = read_xml(reader.path, largest=LARGEST_INK_FILE, fault=InkFileError)
    if plain(root) != "ink":
        raise reader.refuse(f'must begin with <ink xmlns="{NAMESPACE}">, not with <{root.tag[:60]}>')
    reader.contexts.learn(root)
    reader.group(root, {}, None, 0)
    if not reader.specimens:
        raise reader.refuse("must have at least one trace with a point, not none")
    return tuple(reader.specimens)


@dataclass
class _Reader:
    """Reads one file and gathers its specimens in the order of the file."""

    path: Path
    specimens: list[Specimen] = field(default_factory=list)
    contexts: Contexts = field(init=False)
    traces: int = 0
    points: int = 0

    def __post_init__(self) -> None:
        self.contexts = Contexts(self.refuse)

    def refuse(self, reason: str) -> InkFileError:
        """The error for a fault in this file."""
        return InkFileError(self.path, reason)

    def group(self, element: Element, about: dict[str, str], context: str | None, depth: int) -> None:
        """Take the traces of the root or of a traceGroup as one specimen, then the groups inside it."""
        if depth > MOST_NESTED:
            raise self.refuse(f"a traceGroup must lie at most {MOST_NESTED} deep, not deeper")
        about = about | _annotations(element)
        context = element.get("contextRef", context)
        place = len(self.specimens)
        traces, units = [], set()
        for child in element:
            match plain(child):
                case "trace":
                    layout = self.contexts.format_of(child.get("contextRef", context))
                    if (trace := self._trace(child, layout)) is not None:
                        traces.append(trace)
                        units.add(layout.unit)
                case "traceGroup":
                    self.group(child, about, context, depth + 1)
                case "traceView":
                    raise self.refuse("must hold its traces themselves, not views of them (traceView)")
                case "context" | "traceFormat" if depth == 0:
                    self.contexts.now(child)  # in a stream, a context holds for what comes after it
                case name if name not in _PASSED_OVER and not name.startswith("{"):
                    raise self.refuse(f"must hold traces, groups and contexts, not <{name[:30]}>")
        if len(units) > 1:
            raise self.refuse(f"the traces of a group must have one unit, not {' and '.join(sorted(units))}")
        if traces:
            self.specimens.insert(place, Specimen(timed(traces), about, units.pop()))

    def _trace(self, element: Element, layout: TraceFormat) -> Trace | None:
        self.traces += 1
        if self.traces > MOST_TRACES:
            raise self.refuse(f"must have at most {MOST_TRACES} traces, not more")
        where = f"trace {self.traces}"
        if element.get("continuation") is not None or element.get("priorRef") is not None:
            raise self.refuse(f"{where} must be whole, not continued from another (continuation, priorRef)")
        kind = element.get("type", "penDown")
        if kind not in ("penDown", "penUp", "indeterminate"):
            raise self.refuse(f"{where}: type must be penDown, penUp or indeterminate, not {kind[:30]!r}")
        if len(element):
            raise self.refuse(f"{where} must hold values alone, not <{plain(element[0])[:30]}>")
        rows = self._rows(element.text or "", layout, where)
        if not rows or kind == "penUp":
            return None
        try:
            return Trace(self._places(rows, layout, where), self._times(rows, element, layout, where))
        except InkError as error:
            raise self.refuse(f"{where}: {error}") from error

    def _rows(self, text: str, layout: TraceFormat, where: str) -> list[list[Value]]:
        count = text.count(",") + 1
        self.points += count
        if count > MOST_IN_TRACE:
            raise self.refuse(f"{where} must have at most {MOST_IN_TRACE} points, not {count}")
        if self.points > MOST_POINTS:
            raise self.refuse(f"must have at most {MOST_POINTS} points, not more")
        try:
            return list(points(text, layout.channels, layout.regular))
        except ValueFaultError as fault:
            raise self.refuse(f"{where}, {fault}") from None

    def _places(self, rows: list[list[Value]], layout: TraceFormat, where: str) -> Floats:
        for number, row in enumerate(rows, 1):
            if row[layout.x] is None or row[layout.y] is None:
                raise self.refuse(f"{where}, point {number}: X and Y must have a value, not ?")
        pairs = [(row[layout.x], row[layout.y]) for row in rows]
        return np.array(pairs, dtype=np.float64) * layout.scale

    def _times(
        self, rows: list[list[Value]], element: Element, layout: TraceFormat, where: str
    ) -> Floats | None:
        if layout.time is None or any(row[layout.time] is None for row in rows):
            return None
        times = np.array([row[layout.time] for row in rows], dtype=np.float64) * layout.seconds
        written = element.get("timeOffset", "0")
        try:
            offset = float(written) / 1000
        except ValueError:
            offset = float("nan")
        if not np.isfinite(offset):
            raise self.refuse(f"{where}: timeOffset must be milliseconds, not {written[:30]!r}")
        return times + offset if times[0] == 0 else times


def _annotations(element: Element) -> dict[str, str]:
    """What the annotations right inside say, by their type; the first of each type counts."""
    texts: dict[str, str] = {}
    for child in element:
        if plain(child) == "annotation" and (kind := child.get("type")):
            texts.setdefault(kind, " ".join((child.text or "").split()))
    return texts
