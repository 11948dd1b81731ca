"""What the numbers in an InkML trace stand for: channels, their order, types and units.

Units and their names are InkML's; that `ex` is the height of an x and that times are in milliseconds where
no unit is given are from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Protocol
from xml.etree.ElementTree import Element

import numpy as np

from strokes.files.specimen import DEVICE, MILLIMETERS, X_HEIGHTS
from strokes.polyline import Floats

NAMESPACE = "http://www.w3.org/2003/InkML"

MOST_CHANNELS = 40

TYPES = ("integer", "decimal", "double", "boolean")

MILLIMETERS_IN = {"m": 1000.0, "cm": 10.0, "mm": 1.0, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6}
DEGREES_IN = {"deg": 1.0, "rad": 180 / pi}
SECONDS_IN = {"s": 1.0, "ms": 0.001, "dev": 0.001}


class Refuse(Protocol):
    """Makes the error for a fault in the file that is read."""

    def __call__(self, reason: str) -> Exception:
        """The error; the caller raises it."""


@dataclass(frozen=True)
class Channel:
    """One channel: its name and type, its unit, and whether its numbers grow the other way than usual.

    `bounds` are the least and the largest value it may have, where both are said.
    """

    name: str
    type: str = "decimal"
    unit: str = DEVICE
    turned: bool = False
    bounds: tuple[float, float] | None = None


@dataclass(frozen=True)
class TraceFormat:
    """The channels in the order of their values; the first `regular` ones are there in every point.

    X and Y come in one unit: the device's, x-heights, or millimeters for any real length.
    """

    channels: tuple[Channel, ...] = (Channel("X"), Channel("Y"))
    regular: int = 2

    @property
    def x(self) -> int:
        """Where X stands among the values."""
        return self._place("X")

    @property
    def y(self) -> int:
        """Where Y stands among the values."""
        return self._place("Y")

    @property
    def time(self) -> int | None:
        """Where T stands among the values, if it does."""
        timed = self._channel("T")
        return None if timed is None else timed[0]

    def pressure(self, rows: Floats) -> Floats | None:
        """The channel F of these values as shares of its range; None where that or a value is not known."""
        force = self._channel("F")
        if force is None or force[1].bounds is None or force[1].type == "boolean":
            return None
        (place, channel), (least, most) = force, force[1].bounds
        shares = (rows[:, place] - least) / (most - least)
        return None if np.isnan(shares).any() else np.clip(1 - shares if channel.turned else shares, 0.0, 1.0)

    def tilt(self, rows: Floats) -> Floats | None:
        """The channels OTx and OTy in degrees; None where one of them or its unit is not known."""
        axes = [self._channel(name) for name in ("OTx", "OTy")]
        columns = [
            rows[:, axis[0]] * DEGREES_IN[axis[1].unit] * (-1 if axis[1].turned else 1)
            for axis in axes
            if axis is not None and axis[1].unit in DEGREES_IN
        ]
        return np.column_stack(columns) if len(columns) == 2 and (np.abs(columns) <= 90).all() else None

    @property
    def unit(self) -> str:
        """The unit of X and Y as they come out."""
        own = self.channels[self.x].unit
        return MILLIMETERS if own in MILLIMETERS_IN else own

    @property
    def scale(self) -> tuple[float, float]:
        """What X and Y are multiplied with to come out in `unit`, x to the right and y downward."""
        axes = [self.channels[self.x], self.channels[self.y]]
        x, y = (MILLIMETERS_IN.get(axis.unit, 1.0) * (-1 if axis.turned else 1) for axis in axes)
        return x, y

    @property
    def seconds(self) -> float:
        """What T is multiplied with to come out in seconds."""
        return 1.0 if self.time is None else SECONDS_IN[self.channels[self.time].unit]

    def _channel(self, name: str) -> tuple[int, Channel] | None:
        """Where a channel stands among the values, and what it is, if it is there."""
        return next(((at, channel) for at, channel in enumerate(self.channels) if channel.name == name), None)

    def _place(self, name: str) -> int:
        return [channel.name for channel in self.channels].index(name)


def read_format(element: Element, refuse: Refuse) -> TraceFormat:
    """The format that a `<traceFormat>` describes."""
    regular = [_channel(child, refuse) for child in element if plain(child) == "channel"]
    intermittent = [
        _channel(child, refuse)
        for group in element
        if plain(group) == "intermittentChannels"
        for child in group
        if plain(child) == "channel"
    ]
    channels = (*regular, *intermittent)
    names = [channel.name for channel in channels]
    if len(channels) > MOST_CHANNELS:
        raise refuse(f"a traceFormat must have at most {MOST_CHANNELS} channels, not {len(channels)}")
    if len(set(names)) < len(names):
        twice = next(name for name in names if names.count(name) > 1)
        raise refuse(f"a traceFormat must name a channel once, not twice {twice!r}")
    for axis in ("X", "Y"):
        if axis not in names[: len(regular)]:
            given = ", ".join(names[: len(regular)]) or "none"
            raise refuse(
                f"a traceFormat must have the channel {axis} in every point; its channels are: {given}"
            )
    made = TraceFormat(channels, len(regular))
    _units(made, refuse)
    return made


def _channel(element: Element, refuse: Refuse) -> Channel:
    name, kind = element.get("name", ""), element.get("type", "decimal")
    if not name.isalnum() or not name.isascii() or len(name) > 20:
        raise refuse(f"a channel must have a name of letters and digits, not {name[:30]!r}")
    if kind not in TYPES:
        raise refuse(f"the type of channel {name} must be {', '.join(TYPES)}, not {kind[:30]!r}")
    if name in ("X", "Y", "T") and kind == "boolean":
        raise refuse(f"channel {name} must have numbers, not booleans")
    if name in ("X", "Y", "T") and any(plain(child) == "mapping" for child in element):
        raise refuse(f"channel {name} must have its values as they are, not by a mapping")
    orientation = element.get("orientation", "+ve")
    if orientation not in ("+ve", "-ve"):
        raise refuse(f"the orientation of channel {name} must be +ve or -ve, not {orientation[:30]!r}")
    return Channel(name, kind, element.get("units", DEVICE), orientation == "-ve", _bounds(element))


def _bounds(element: Element) -> tuple[float, float] | None:
    """The least and the largest value of a channel; None where they are not said, or it is mapped."""
    try:
        least, most = float(element.get("min", "nan")), float(element.get("max", "nan"))
    except ValueError:
        return None
    mapped = any(plain(child) == "mapping" for child in element)
    return None if mapped or not 0 < most - least < float("inf") else (least, most)


def _units(made: TraceFormat, refuse: Refuse) -> None:
    x, y = made.channels[made.x].unit, made.channels[made.y].unit
    known = (DEVICE, X_HEIGHTS, *MILLIMETERS_IN)
    for axis, unit in (("X", x), ("Y", y)):
        if unit not in known:
            raise refuse(f"the unit of channel {axis} must be one of {', '.join(known)}, not {unit[:30]!r}")
    if x != y and not {x, y} <= set(MILLIMETERS_IN):
        raise refuse(f"X and Y must have the same unit or be lengths both, not {x} and {y}")
    if made.time is not None and (unit := made.channels[made.time].unit) not in SECONDS_IN:
        raise refuse(f"the unit of channel T must be s or ms, not {unit[:30]!r}")


def plain(element: Element) -> str:
    """The name of an element of InkML, or the full name of one that is somebody else's."""
    return element.tag.removeprefix(f"{{{NAMESPACE}}}")
