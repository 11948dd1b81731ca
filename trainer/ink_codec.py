"""How ink is kept in the record: small, exact to a ten-thousandth, and readable without this program.

Packed ink is zlib-compressed JSON, `{"unit": 0.0001, "traces": [[x, y, t], …], "shown": [2]}`. The lists
x, y and t hold whole units: the first value, then the difference from point to point. x and y are in
letter space (x-heights, y downward), t in seconds from the first touch, or null where no times are
known. Where a pen told them, `pressure` has for each trace such a list, or null, in thousandths of the
device's range, and `tilt` its two lists in whole degrees. `shown` are the traces, counted from 0, after
which a stroke was shown again; it is not there where that is unknown, as in ink of a time when `later` was
kept: which traces try a stroke again.

Why not floats: neighboring points differ little, so differences pack to about a third of 32-bit
floats, and any language reads JSON. A unit is far below a pixel (a letter with 60 mm to the x-height
has 6 µm to the unit) and far below the time between two samples of a 1000 Hz pen.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from strokes.errors import InkError
from strokes.ink import Ink, Trace
from strokes.polyline import Floats

UNIT = 1e-4
PRESSURE_UNIT, TILT_UNIT = 1e-3, 1.0
DECIMALS = 4
"""What a number of this ink has, written out."""

FARTHEST = 2**52
"""Units from 0: far beyond all ink. Sums and differences up to here are exact as floats."""

LARGEST = 8 * 1024 * 1024
"""Bytes of ink before it is compressed: an hour of a pen that gives 240 points a second."""


def pack(ink: Ink, shown: Sequence[int] | None = None) -> bytes:
    """The ink as bytes, and after which traces a stroke was shown; ink without traces packs too.

    What is packed reads back. Raises InkError for ink that cannot be, as it is too far, too late or too much.
    """
    traces = []
    for trace in ink.traces:
        times = None if trace.times is None else _differences(trace.times)
        traces.append([_differences(trace.points[:, 0]), _differences(trace.points[:, 1]), times])
    content: dict[str, object] = {"unit": UNIT, "traces": traces}
    if shown is not None:
        content["shown"] = list(shown)
    if any(trace.pressure is not None for trace in ink.traces):
        content["pressure"] = [
            None if trace.pressure is None else _differences(trace.pressure, PRESSURE_UNIT)
            for trace in ink.traces
        ]
    if any(trace.tilt is not None for trace in ink.traces):
        content["tilt"] = [
            None if trace.tilt is None else [_differences(axis, TILT_UNIT) for axis in trace.tilt.T]
            for trace in ink.traces
        ]
    written = json.dumps(content, separators=(",", ":")).encode()
    if len(written) > LARGEST:
        raise InkError(f"ink of one attempt must have at most {LARGEST} bytes, not {len(written)}")
    return zlib.compress(written)


def unpack(packed: bytes) -> tuple[Ink, tuple[int, ...] | None]:
    """The ink that `pack` put away, and after which traces a stroke was shown, None where that is unknown.

    Raises ValueError for bytes that are something else, whatever they are.
    """
    try:
        content = json.loads(_decompressed(packed))
        if not isinstance(content, dict):
            raise TypeError("it must be a JSON object")
        unit, shown = _unit(content["unit"]), content.get("shown")
        traces = [_list(axes) for axes in _list(content["traces"])]
        pressures, tilts = (_list(content.get(name, [None] * len(traces))) for name in ("pressure", "tilt"))
        ink = Ink(
            tuple(
                _trace(unit, *axes, pressure=pressure, tilt=tilt)
                for axes, pressure, tilt in zip(traces, pressures, tilts, strict=True)
            )
        )
        return ink, None if shown is None else _numbers(shown, len(ink))
    except (zlib.error, KeyError, TypeError, ValueError, RecursionError, InkError) as error:
        raise ValueError(f"packed ink cannot be read: {error}") from error


def _decompressed(packed: bytes) -> bytes:
    """The bytes inside, no more than any ink has: a few may stand for endlessly many."""
    stream = zlib.decompressobj()
    content = stream.decompress(packed, LARGEST + 1)
    if len(content) > LARGEST or not stream.eof:
        raise ValueError(f"it must be whole and have at most {LARGEST} bytes")
    return content


def _unit(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value <= 1:
        raise ValueError("unit must be a number above 0 and at most 1")
    return float(value)


def _trace(unit: float, x: object, y: object, times: object, *, pressure: object, tilt: object) -> Trace:
    return Trace(
        np.column_stack([_sums(x) * unit, _sums(y) * unit]),
        None if times is None else _sums(times) * unit,
        None if pressure is None else _sums(pressure) * PRESSURE_UNIT,
        None if tilt is None else np.column_stack([_sums(axis) * TILT_UNIT for axis in _list(tilt)]),
    )


def _sums(values: object) -> Floats:
    """What the differences add up to. Whole numbers of this size are exact as floats and never run over."""
    whole = _list(values)
    if set(map(type, whole)) != {int} or max(map(abs, whole)) > FARTHEST:
        raise ValueError("a trace must have whole numbers, not too large")
    sums: Floats = np.cumsum(np.array(whole, np.float64))
    if np.abs(sums).max() > FARTHEST:
        raise ValueError("a trace must not lead endlessly far")
    return sums


def _numbers(values: object, traces: int) -> tuple[int, ...]:
    numbers = tuple(_list(values))
    if not set(map(type, numbers)) <= {int} or not set(numbers) <= set(range(traces)):
        raise ValueError("shown must be numbers of traces")
    return numbers


def _list(value: object) -> list[Any]:
    if not isinstance(value, list):
        raise TypeError("there must be a list")
    return value


def _differences(values: Floats, unit: float = UNIT) -> list[int]:
    units = np.rint(values / unit)
    if np.abs(units).max() > FARTHEST / 2:  # no step is then farther than FARTHEST
        raise InkError(f"ink must lie within {FARTHEST / 2 * UNIT:.3g} x-heights and seconds of 0")
    whole: NDArray[np.int64] = units.astype(np.int64)
    return [int(step) for step in np.diff(whole, prepend=0)]
