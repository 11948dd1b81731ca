"""InkML, the W3C's markup for ink (Recommendation of 20 September 2011), read.

Reading takes what a trace may say about X, Y and T, about the pressure F where its range is said, and about
the tilt, OTx and OTy; it refuses in one sentence what would need a guess: ink that is continued, seen through
a view, or described in another file. Other channels, brushes and canvases are passed over. A file is gone
through twice, first for what traces may refer to, wherever it stands, then for the traces; no more of it than
a trace and its groups is in memory at any time.
"""

from __future__ import annotations

from collections import ChainMap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from xml.etree.ElementTree import Element

import numpy as np

from strokes.errors import InkError, InkFileError
from strokes.files.inkml.channels import NAMESPACE, TraceFormat, plain
from strokes.files.inkml.contexts import REFERRED, Contexts
from strokes.files.inkml.values import ValueFaultError, plain_points, points
from strokes.files.specimen import (
    LARGEST_INK_FILE,
    LONGEST_ABOUT,
    MOST_ABOUT,
    MOST_IN_TRACE,
    MOST_NESTED,
    MOST_POINTS,
    MOST_SPECIMENS,
    MOST_TRACES,
    Specimen,
    timed,
)
from strokes.files.text_file import Event, stream_xml
from strokes.ink import Trace
from strokes.polyline import Floats

_PASSED_OVER = {"annotation", "annotationXML", "definitions", "context", "traceFormat", "inkSource", "brush"}

MOST_ENCODED = 500_000
"""Points of traces that are not plain numbers, such as differences: these take five times as long to read."""

_WHOLE = {*REFERRED, "trace"}


def read_inkml(path: Path | str) -> tuple[Specimen, ...]:
    """The specimens of an InkML file: one for each traceGroup that holds traces, one for those in no group.

    What an annotation with a type says of a group, it says of the groups inside too. Traces of a pen
    that is up, and traces without points, are no ink. A `timeOffset` counts where T begins at 0 in its trace.
    Raises InkFileError.
    """
    reader = _Reader(Path(path))
    reader.learn()
    reader.read()
    specimens = tuple(specimen for specimen in reader.specimens if specimen is not None)
    if not specimens:
        raise reader.refuse("must have at least one trace with a point, not none")
    return specimens


@dataclass
class _Group:
    """The root or a traceGroup while it is read: what is told of it so far, and the traces right in it.

    `place` is where its specimen comes, before those of the groups inside.
    """

    about: ChainMap[str, str]
    context: str | None
    place: int
    traces: list[Trace] = field(default_factory=list)
    units: set[str] = field(default_factory=set)


@dataclass
class _Reader:
    """Reads one file and gathers its specimens in the order of the file."""

    path: Path
    specimens: list[Specimen | None] = field(default_factory=list)
    contexts: Contexts = field(init=False)
    traces: int = 0
    points: int = 0
    encoded: int = 0

    def __post_init__(self) -> None:
        self.contexts = Contexts(self.refuse)

    def refuse(self, reason: str) -> InkFileError:
        """The error for a fault in this file."""
        return InkFileError(self.path, reason)

    def learn(self) -> None:
        """Note everything that can be referred to."""
        for event, element, _ in self._elements():
            if event == "end" and plain(element) in REFERRED:
                self.contexts.learn(element)

    def read(self) -> None:
        """Take every trace."""
        groups: list[_Group] = []
        for event, element, depth in self._elements():
            if event == "start" and depth == len(groups):
                if not groups or plain(element) == "traceGroup":
                    groups.append(self._begun(element, groups))
            elif event == "end" and depth == len(groups):
                self._child(element, groups)
            elif event == "end" and depth < len(groups):
                self._ended(groups.pop())

    def _elements(self) -> Iterator[tuple[Event, Element, int]]:
        """Where elements begin and end, and how many are around them; what has ended is forgotten.

        What can be referred to, and a trace, stays whole until it has ended itself.
        """
        around: list[Element] = []
        whole = 0
        for event, element in stream_xml(self.path, largest=LARGEST_INK_FILE, fault=InkFileError):
            if event == "start":
                if not around and plain(element) != "ink":
                    tag = element.tag[:60]
                    raise self.refuse(f'must begin with <ink xmlns="{NAMESPACE}">, not with <{tag}>')
                yield event, element, len(around)
                around.append(element)
                whole += plain(element) in _WHOLE
                continue
            around.pop()
            whole -= plain(element) in _WHOLE
            yield event, element, len(around)
            if around and not whole:
                around[-1].remove(element)

    def _begun(self, element: Element, groups: Sequence[_Group]) -> _Group:
        """A group, or the root, in which nothing was read yet."""
        if len(groups) > MOST_NESTED:
            raise self.refuse(f"a traceGroup must lie at most {MOST_NESTED} deep, not deeper")
        if len(self.specimens) >= MOST_SPECIMENS:
            raise self.refuse(f"must have at most {MOST_SPECIMENS} traceGroups, not more")
        self.specimens.append(None)
        place = len(self.specimens) - 1
        if not groups:
            return _Group(ChainMap(), element.get("contextRef"), place)
        outer = groups[-1]
        return _Group(outer.about.new_child(), element.get("contextRef", outer.context), place)

    def _child(self, element: Element, groups: Sequence[_Group]) -> None:
        """Take what stands right in a group."""
        group = groups[-1]
        match plain(element):
            case "trace":
                layout = self.contexts.format_of(element.get("contextRef", group.context))
                if (trace := self._trace(element, layout)) is not None:
                    group.traces.append(trace)
                    group.units.add(layout.unit)
            case "annotation":
                self._annotation(element, group.about)
            case "traceView":
                raise self.refuse("must hold its traces themselves, not views of them (traceView)")
            case "context" | "traceFormat" if len(groups) == 1:
                self.contexts.now(element)  # in a stream, a context holds for what comes after it
            case name if name not in _PASSED_OVER and not name.startswith("{"):
                raise self.refuse(f"must hold traces, groups and contexts, not <{name[:30]}>")

    def _annotation(self, element: Element, about: ChainMap[str, str]) -> None:
        """What an annotation says of its group; the first of each type counts."""
        kind, said = element.get("type", ""), " ".join((element.text or "").split())
        if not kind or kind in about.maps[0]:
            return
        if len(kind) > LONGEST_ABOUT or len(said) > LONGEST_ABOUT:
            raise self.refuse(f"an annotation must have at most {LONGEST_ABOUT} characters, not more")
        if len(about.maps[0]) >= MOST_ABOUT:
            raise self.refuse(f"a group must have at most {MOST_ABOUT} annotations, not more")
        about[kind] = said

    def _ended(self, group: _Group) -> None:
        """Make a specimen of the traces of a group."""
        if len(group.units) > 1:
            units = " and ".join(sorted(group.units))
            raise self.refuse(f"the traces of a group must have one unit, not {units}")
        if group.traces:
            (unit,) = group.units
            try:
                self.specimens[group.place] = Specimen(timed(group.traces, unit), group.about, unit)
            except InkError as error:
                raise self.refuse(f"the traces of a group: {error}") from error

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
        if not len(rows) or kind == "penUp":
            return None
        try:
            places, times = self._places(rows, layout, where), self._times(rows, element, layout, where)
            return Trace(places, times, layout.pressure(rows), layout.tilt(rows))
        except InkError as error:
            raise self.refuse(f"{where}: {error}") from error

    def _rows(self, text: str, layout: TraceFormat, where: str) -> Floats:
        count = text.count(",") + 1
        self.points += count
        if count > MOST_IN_TRACE:
            raise self.refuse(f"{where} must have at most {MOST_IN_TRACE} points, not {count}")
        if self.points > MOST_POINTS:
            raise self.refuse(f"must have at most {MOST_POINTS} points, not more")
        rows = plain_points(text, layout.channels)
        if rows is not None:
            return rows
        self.encoded += count
        if self.encoded > MOST_ENCODED:
            raise self.refuse(
                f"must have at most {MOST_ENCODED} points in traces with anything but plain numbers, not more"
            )
        try:
            return points(text, layout.channels, layout.regular)
        except ValueFaultError as fault:
            raise self.refuse(f"{where}, {fault}") from None

    def _places(self, rows: Floats, layout: TraceFormat, where: str) -> Floats:
        places = rows[:, [layout.x, layout.y]]
        if (absent := np.isnan(places).any(axis=1)).any():
            number = int(absent.argmax()) + 1
            raise self.refuse(f"{where}, point {number}: X and Y must have a value, not ?")
        return places * layout.scale

    def _times(self, rows: Floats, element: Element, layout: TraceFormat, where: str) -> Floats | None:
        if layout.time is None or np.isnan(rows[:, layout.time]).any():
            return None
        times = rows[:, layout.time] * layout.seconds
        written = element.get("timeOffset", "0")
        try:
            offset = float(written) / 1000
        except ValueError:
            offset = float("nan")
        if not np.isfinite(offset):
            raise self.refuse(f"{where}: timeOffset must be milliseconds, not {written[:30]!r}")
        return times + offset if times[0] == 0 else times
