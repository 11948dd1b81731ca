"""What Linux tells of touches and pens and SDL does not: how wide a touch is, pressure, tilt, a hovering pen.

It is read beside SDL, from the devices themselves, where this account may: mostly the group `input` alone.
Elsewhere there are no devices here, and pointers go by their order only. Keyboards are never opened: what a
device can do stands in its folder of /sys. Nothing was at hand to try it on but bytes written in the form of
the kernel's input events (linux/input.h and linux/input-event-codes.h, from memory).
"""

from __future__ import annotations

import logging
import os
import struct
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from math import pi
from pathlib import Path
from typing import NamedTuple

_log = logging.getLogger(__name__)

_EVENT = struct.Struct("llHHi")  # seconds, microseconds, type, code, value
_RANGE = struct.Struct(
    "6i"
)  # value, least, most, fuzz, flat, units to the millimeter (to the radian for a tilt)
_ASK_RANGE = 0x80184540
"""The request EVIOCGABS(0) of ioctl; the number of the axis is added."""

_KEYS, _AXES = 1, 3
_PRESSURE, _TILT_X, _TILT_Y = 0x18, 0x1A, 0x1B
_SLOT, _WIDTH, _PLACE, _TOOL, _TRACKED, _TOUCH_PRESSURE = 0x2F, 0x30, 0x35, 0x37, 0x39, 0x3A
_PEN_NEAR, _RUBBER_NEAR = 0x140, 0x141
_PALM_TOOL = 2
_DIRECT = 1

UNCLAIMED = 0.25
"""Seconds for which a touch waits to be met by an event of SDL; later it was meant for another window."""


class AxisRange(NamedTuple):
    """The least and the largest value of an axis, and its units to a millimeter or radian, 0 if unknown."""

    least: int
    most: int
    resolution: int = 0


@dataclass
class Contact:
    """A touch as its device sees it: mm wide, pressure 0 to 1, whether the device takes it for a palm."""

    began: float
    width: float | None = None
    pressure: float | None = None
    palm: bool = False


@dataclass
class Pen:
    """What is known of a pen: its pressure, 0 to 1, and its tilt in degrees."""

    pressure: float | None = None
    tilt: tuple[float, float] | None = None


@dataclass
class Device:
    """One device: where its events are read from, the axes it has, its pen and whether that is `near`."""

    source: int
    axes: Mapping[int, AxisRange]
    pen: Pen = field(default_factory=Pen)
    near: bool = False
    new: list[Contact] = field(default_factory=list)
    _slot: int = 0
    _contacts: dict[int, Contact] = field(default_factory=dict)
    _rest: bytes = b""

    def read(self, now: float) -> bool:
        """Take all that waits; False where the device is gone."""
        try:
            while piece := os.read(self.source, 64 * _EVENT.size):
                whole = self._rest + piece
                end = len(whole) - len(whole) % _EVENT.size
                self._rest = whole[end:]
                for _, _, kind, code, value in _EVENT.iter_unpack(whole[:end]):
                    self._take(kind, code, value, now)
        except BlockingIOError:
            return True
        except OSError:
            return False
        return False

    def _take(self, kind: int, code: int, value: int, now: float) -> None:
        if kind == _KEYS and code in (_PEN_NEAR, _RUBBER_NEAR):
            self.near = bool(value)
        elif kind == _AXES and code == _SLOT:
            self._slot = value
        elif kind == _AXES and code == _TRACKED:
            self._begin(now, lifted=value < 0)
        elif kind == _AXES:
            self._measure(code, value)

    def _begin(self, now: float, *, lifted: bool) -> None:
        """A touch comes or goes. What is as it was at the last touch in this slot is not told again."""
        if not lifted:
            last = self._contacts.get(self._slot, Contact(now))
            self._contacts[self._slot] = replace(last, began=now)
            self.new.append(self._contacts[self._slot])

    def _measure(self, code: int, value: int) -> None:
        contact, pen = self._contacts.get(self._slot), self.pen
        if contact is not None and code == _WIDTH:
            axis = self.axes.get(_WIDTH)
            units = axis.resolution if axis and axis.resolution else self._resolution(_PLACE)
            contact.width = value / units if units else None
        elif contact is not None and code == _TOOL:
            contact.palm = value == _PALM_TOOL
        elif contact is not None and code == _TOUCH_PRESSURE:
            contact.pressure = self._share(code, value)
        elif code == _PRESSURE:
            pen.pressure = self._share(code, value)
        elif code in (_TILT_X, _TILT_Y):
            x, y = pen.tilt or (0.0, 0.0)
            degrees = self._degrees(code, value)
            pen.tilt = (degrees, y) if code == _TILT_X else (x, degrees)

    def _resolution(self, code: int) -> int:
        axis = self.axes.get(code)
        return axis.resolution if axis else 0

    def _share(self, code: int, value: int) -> float | None:
        axis = self.axes.get(code)
        if axis is None or axis.most <= axis.least:
            return None
        return min(max((value - axis.least) / (axis.most - axis.least), 0.0), 1.0)

    def _degrees(self, code: int, value: int) -> float:
        """A tilt; where no units are told they are degrees."""
        units = self._resolution(code)
        return min(max(value / units * 180 / pi if units else float(value), -90.0), 90.0)


class Contacts:
    """The touches and the pen of some devices, and which finger of SDL is which touch.

    SDL numbers fingers in its own way, but it meets touches in the order in which they come down.
    """

    def __init__(self, devices: Iterable[Device] = ()) -> None:
        self.devices = list(devices)
        self._fingers: dict[int, Contact] = {}
        self._new: list[Contact] = []

    @property
    def pen(self) -> Pen | None:
        """The pen that is near the screen, if there is one."""
        return next((device.pen for device in self.devices if device.near), None)

    def update(self, now: float) -> None:
        """Read what waits at `now` (s); a device that is gone is forgotten."""
        for device in [device for device in self.devices if not device.read(now)]:
            self._forget(device)
        for device in self.devices:
            self._new += device.new
            device.new = []
        self._new = [contact for contact in self._new if now - contact.began < UNCLAIMED]

    def begin(self, finger: int) -> Contact | None:
        """The touch that a finger of SDL is which came down just now."""
        self._fingers.pop(finger, None)
        if self._new:
            self._fingers[finger] = self._new.pop(0)
        return self._fingers.get(finger)

    def of(self, finger: int) -> Contact | None:
        """The touch of a finger that is down."""
        return self._fingers.get(finger)

    def end(self, finger: int) -> None:
        """The finger was lifted."""
        self._fingers.pop(finger, None)

    def close(self) -> None:
        """Read no more."""
        for device in list(self.devices):
            self._forget(device)

    def _forget(self, device: Device) -> None:
        self.devices.remove(device)
        os.close(device.source)


@dataclass(frozen=True)
class TouchDevices:
    """Devices that touch a screen: how many there are, and those that can be read."""

    count: int
    devices: tuple[Device, ...]


def find(folder: Path = Path("/sys/class/input"), files: Path = Path("/dev/input")) -> TouchDevices:
    """The touch screens and pens of this machine; none on another system than Linux."""
    names = [path.name for path in sorted(folder.glob("event*")) if _touches(path / "device")]
    opened = [device for name in names if (device := _open(files / name)) is not None]
    if names:
        _log.info("of %d touch devices %d can be read", len(names), len(opened))
    return TouchDevices(len(names), tuple(opened))


def _touches(device: Path) -> bool:
    """Whether it is a screen that takes touches, which a touch pad is not, or takes a pen with pressure."""
    axes, keys = _bits(device / "capabilities" / "abs"), _bits(device / "capabilities" / "key")
    on_screen = bool(_bits(device / "properties") >> _DIRECT & 1)
    return bool(on_screen and axes >> _PLACE & 1) or bool(keys >> _PEN_NEAR & axes >> _PRESSURE & 1)


def _bits(file: Path) -> int:
    """The bits of a file such as `1 0 3`: words of the machine's size in hexadecimal, the highest first."""
    try:
        words = file.read_text(encoding="ascii").split()
        return sum(
            int(word, 16) << struct.calcsize("l") * 8 * place for place, word in enumerate(words[::-1])
        )
    except (OSError, ValueError):
        return 0


def _open(file: Path) -> Device | None:
    try:
        source = os.open(file, os.O_RDONLY | os.O_NONBLOCK)
    except OSError:
        return None
    codes = (_PRESSURE, _TILT_X, _TILT_Y, _WIDTH, _PLACE, _TOUCH_PRESSURE)
    ranges = {code: axis for code in codes if (axis := _range(source, code)) is not None}
    return Device(source, ranges)


def _range(source: int, code: int) -> AxisRange | None:
    from fcntl import ioctl  # of POSIX; there is no device to open elsewhere

    try:
        answer = ioctl(source, _ASK_RANGE + code, bytes(_RANGE.size))
    except OSError:
        return None
    _, least, most, _, _, resolution = _RANGE.unpack(answer)
    return AxisRange(least, most, resolution)
