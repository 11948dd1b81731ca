"""Ink written as InkML, in explicit values alone, so that any reader of InkML can take it in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from xml.etree.ElementTree import Element, SubElement, indent, tostring

import numpy as np

from strokes.errors import InkError
from strokes.files.inkml.channels import MILLIMETERS_IN, NAMESPACE
from strokes.files.specimen import DEVICE, X_HEIGHTS, Specimen
from strokes.ink import Trace
from strokes.polyline import Floats

_UNITS = (X_HEIGHTS, DEVICE, *MILLIMETERS_IN)


def inkml_lines(specimens: Iterable[Specimen], *, decimals: int | None = None) -> Iterator[str]:
    """The text of an InkML file, piece by piece: a traceGroup for each specimen, an annotation for each note.

    Without `decimals` every number is written out in full and reads back as it was. y grows downward, T
    is in seconds. Raises InkError for a unit that InkML does not know and for text that XML cannot hold.
    """
    yield f'<?xml version="1.0" encoding="UTF-8"?>\n<ink xmlns="{NAMESPACE}">\n'
    defined: set[str] = set()
    for specimen in specimens:
        if specimen.unit not in _UNITS:
            raise InkError(f"the unit of ink must be one of {', '.join(_UNITS)}, not {specimen.unit!r}")
        for trace in specimen.ink.traces:
            name = _context(specimen.unit, trace)
            if name not in defined:
                yield _text(_definition(name, specimen.unit, trace))
                defined.add(name)
        yield _text(_group(specimen, decimals))
    yield "</ink>\n"


def _definition(name: str, unit: str, trace: Trace) -> Element:
    """The context to which traces in this unit refer that have the channels of this one."""
    definitions = Element("definitions")
    layout = SubElement(SubElement(definitions, "context", {"xml:id": name}), "traceFormat")
    for axis in ("X", "Y"):
        SubElement(layout, "channel", name=axis, type="decimal", units=unit)
    if trace.times is not None:
        SubElement(layout, "channel", name="T", type="decimal", units="s")
    if trace.pressure is not None:
        SubElement(layout, "channel", name="F", type="decimal", min="0", max="1")
    if trace.tilt is not None:
        for axis in ("OTx", "OTy"):
            SubElement(layout, "channel", name=axis, type="decimal", units="deg")
    return definitions


def _context(unit: str, trace: Trace) -> str:
    optional = (("timed", trace.times), ("pressed", trace.pressure), ("tilted", trace.tilt))
    return "-".join([unit, *(word for word, values in optional if values is not None)])


def _group(specimen: Specimen, decimals: int | None) -> Element:
    group = Element("traceGroup")
    for kind, words in specimen.about.items():
        SubElement(group, "annotation", type=_sound(kind)).text = _sound(words)
    for trace in specimen.ink.traces:
        context = _context(specimen.unit, trace)
        SubElement(group, "trace", contextRef=f"#{context}").text = _values(trace, decimals)
    return group


def _values(trace: Trace, decimals: int | None) -> str:
    columns: list[Floats] = [trace.points[:, 0], trace.points[:, 1]]
    if trace.times is not None:
        columns.append(trace.times)
    if trace.pressure is not None:
        columns.append(trace.pressure)
    if trace.tilt is not None:
        columns += [trace.tilt[:, 0], trace.tilt[:, 1]]
    shown = [[_number(value, decimals) for value in column.tolist()] for column in columns]
    return ", ".join(map(" ".join, zip(*shown, strict=True)))


def _number(value: float, decimals: int | None) -> str:
    """The number without an exponent, which decimals of InkML may not have."""
    rounded = value if decimals is None else round(value, decimals)
    shown = repr(rounded)
    # numpy never writes an exponent, and takes three times as long
    return np.format_float_positional(rounded, trim="-") if "e" in shown else shown.removesuffix(".0")


def _sound(words: str) -> str:
    """The text on one line, as it reads back; XML has no place for control characters."""
    line = " ".join(words.split())
    if not line.isprintable():
        raise InkError(f"an annotation must be printable, not {line[:40]!r}")
    return line


def _text(element: Element) -> str:
    indent(element, space="  ", level=1)
    return "  " + tostring(element, encoding="unicode").rstrip() + "\n"
