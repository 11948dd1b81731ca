"""What the devices tell besides SDL: from bytes as the kernel writes them, and what pointers make of it."""

from __future__ import annotations

import os
import struct
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pygame
import pytest

from tests.trainer.test_pad import pad
from tests.trainer.test_pointer import DOWN, DRAG, MOVE, PRESS, RELEASE, SIZE, UP, actions, finger, mouse
from trainer.window import contacts as contacts_module
from trainer.window.contacts import UNCLAIMED, AxisRange, Contacts, Device, find
from trainer.window.events import PointerEvent
from trainer.window.pointer import PALM_MM, Pointers
from trainer.window.scenes.scene import Scene
from trainer.window.window import Window

KEY, ABS = 1, 3
SLOT, WIDTH, TOOL, TRACKED, TOUCH_PRESSURE = 0x2F, 0x30, 0x37, 0x39, 0x3A
PRESSURE, TILT_X, TILT_Y = 0x18, 0x1A, 0x1B
NEAR, RUBBER, TOUCHING = 0x140, 0x141, 0x14A

AXES = {
    0x35: AxisRange(0, 3000, 10),
    TOUCH_PRESSURE: AxisRange(0, 250),
    PRESSURE: AxisRange(0, 4095),
    TILT_X: AxisRange(-64, 63),
    TILT_Y: AxisRange(-9000, 9000, 5730),
}
"""A screen of 300 mm with ten units to the millimeter, and a pen, one way in hundredths of degrees."""


class Glass:
    """A device into which a test writes; at first nothing touches it."""

    def __init__(self) -> None:
        source, self.file = os.pipe()
        os.set_blocking(source, False)
        self.contacts = Contacts([Device(source, AXES)])
        self.pointers = Pointers(SIZE, contacts=self.contacts)
        self.now = 0.0

    def tell(self, *events: tuple[int, int, int]) -> None:
        """Events and the end of a report, in two pieces that part an event, as a pipe may."""
        written = b"".join(struct.pack("llHHi", 5, 6, *event) for event in (*events, (0, 0, 0)))
        os.write(self.file, written[:-7])
        self.contacts.update(self.now)
        os.write(self.file, written[-7:])
        self.contacts.update(self.now)

    def touch(self, slot: int, *, width: int = 90, tool: int = 0) -> None:
        """Somebody touches it; `width` in tenths of a millimeter."""
        self.tell(
            *((ABS, SLOT, slot), (ABS, TRACKED, 100 + slot), (ABS, WIDTH, width)),
            *((ABS, TOOL, tool), (ABS, TOUCH_PRESSURE, 50)),
        )

    def read(self, event: pygame.event.Event, after: float = 0.02) -> list[PointerEvent]:
        self.now += after
        return self.pointers.read(event, self.now)


@pytest.fixture
def glass() -> Iterator[Glass]:
    made = Glass()
    yield made
    made.contacts.close()
    os.close(made.file)


def test_a_finger_writes_and_its_pressure_is_told(glass: Glass) -> None:
    glass.touch(0)
    (down,) = glass.read(finger(DOWN, 7, 100, 100))
    glass.tell((ABS, TOUCH_PRESSURE, 125))
    (move,) = glass.read(finger(MOVE, 7, 160, 100))

    assert (down.pressure, move.pressure, move.tilt) == (pytest.approx(0.2), pytest.approx(0.5), None)
    assert glass.contacts.of(7).width == pytest.approx(9.0)  # type: ignore[union-attr]
    assert glass.pointers.tally == {"touch": 1}


@pytest.mark.parametrize(
    "palm", [{"width": round(PALM_MM * 10)}, {"width": 90, "tool": 2}], ids=["wide", "told so"]
)
def test_a_palm_is_refused_by_its_size_also_where_it_comes_first_and_moves(glass: Glass, palm) -> None:
    glass.touch(0, **palm)
    assert glass.read(finger(DOWN, 1, 600, 400)) == []
    assert glass.read(finger(MOVE, 1, 700, 400)) == []
    glass.touch(1)
    assert actions(glass.read(finger(DOWN, 2, 100, 100))) == ["down"]
    assert actions(glass.read(finger(MOVE, 2, 160, 100))) == ["move"]
    assert glass.read(finger(UP, 1, 700, 400)) == []
    assert glass.pointers.tally["wide"] == 1


def test_what_did_not_change_since_the_last_touch_is_known_of_the_next_one(glass: Glass) -> None:
    """The kernel tells a value of a slot only when it changes; the same of a pen that comes again."""
    glass.touch(0, width=300)
    glass.read(finger(DOWN, 1, 600, 400))
    glass.tell((ABS, TRACKED, -1))
    glass.read(finger(UP, 1, 600, 400))
    glass.tell((ABS, TRACKED, 9))
    assert glass.read(finger(DOWN, 1, 600, 400)) == []
    glass.tell((KEY, NEAR, 1), (ABS, TILT_X, 20), (KEY, NEAR, 0), (KEY, NEAR, 1))
    assert glass.contacts.pen is not None
    assert glass.contacts.pen.tilt == (20.0, 0.0)


def test_a_touch_that_widens_to_a_palm_is_taken_back(glass: Glass) -> None:
    glass.touch(0)
    assert actions(glass.read(finger(DOWN, 1, 600, 400))) == ["down"]
    glass.tell((ABS, WIDTH, 300))
    assert actions(glass.read(finger(MOVE, 1, 604, 400))) == ["cancel"]
    assert glass.read(finger(MOVE, 1, 700, 400)) == []


def test_a_pen_writes_although_a_hand_came_first_and_its_pressure_and_tilt_are_kept(glass: Glass) -> None:
    """SDL takes the pen for a mouse. Its tilt is told once and holds until it changes."""
    glass.touch(0)
    assert actions(glass.read(finger(DOWN, 1, 600, 400))) == ["down"]
    glass.tell((KEY, NEAR, 1), (ABS, TILT_X, 30), (ABS, TILT_Y, -1000), (ABS, PRESSURE, 0))
    assert actions(glass.read(finger(MOVE, 1, 601, 400))) == ["cancel"]
    assert glass.read(mouse(DRAG, 100, 100, held=False)) == []
    glass.tell((KEY, TOUCHING, 1), (ABS, PRESSURE, 1024))
    events = glass.read(mouse(PRESS, 100, 100))
    glass.tell((ABS, PRESSURE, 2048))
    events += glass.read(mouse(DRAG, 160, 100))
    glass.touch(1)
    assert glass.read(finger(DOWN, 2, 610, 380)) == []
    events += glass.read(mouse(RELEASE, 160, 100))
    glass.tell((KEY, TOUCHING, 0), (KEY, NEAR, 0))

    assert [(event.action, event.kind) for event in events] == [(a, "pen") for a in ("down", "move", "up")]
    target = pad()
    for event in events:
        target.take(event)
    (trace,) = target.ink.traces
    np.testing.assert_allclose(trace.pressure, [0.25, 0.5], atol=0.01)
    np.testing.assert_allclose(trace.tilt, [[30, -10], [30, -10]], atol=0.1)
    assert glass.contacts.pen is None
    assert glass.pointers.tally["beside_pen"] == 2


def test_a_finger_that_writes_goes_on_when_a_pen_comes_near(glass: Glass) -> None:
    glass.touch(0)
    glass.read(finger(DOWN, 1, 100, 100))
    glass.read(finger(MOVE, 1, 160, 100))
    glass.tell((KEY, RUBBER, 1))
    assert actions(glass.read(finger(MOVE, 1, 190, 100))) == ["move"]
    assert actions(glass.read(finger(UP, 1, 190, 100))) == ["up"]


def test_a_touch_that_another_window_got_is_not_taken_for_the_next_one(glass: Glass) -> None:
    glass.touch(0, width=300)
    glass.now += UNCLAIMED
    glass.touch(1)
    assert actions(glass.read(finger(DOWN, 1, 100, 100))) == ["down"]


def test_a_finger_of_which_the_device_says_nothing_goes_by_its_order(glass: Glass) -> None:
    (down,) = glass.read(finger(DOWN, 1, 100, 100))
    assert down.pressure is None
    assert glass.read(finger(DOWN, 2, 600, 400)) == []


def test_pressure_that_never_changes_was_not_measured() -> None:
    target = pad()
    for action, x in (("down", 50), ("move", 80), ("up", 99)):
        target.take(PointerEvent(action, x, 200, x / 100, "touch", 1.0))
    target.take(PointerEvent("down", 50, 250, 2.0, "pen", 0.5, (3.0, 4.0)))
    target.take(PointerEvent("up", 80, 250, 2.1, "pen"))  # the lift came without them

    assert [(trace.pressure, trace.tilt) for trace in target.ink.traces] == [(None, None)] * 2


def test_axes_without_a_range_tell_nothing_and_degrees_stay_within_bounds() -> None:
    source, file = os.pipe()
    os.set_blocking(source, False)
    contacts = Contacts([Device(source, {})])
    events = (
        (ABS, TRACKED, 1),
        (ABS, WIDTH, 500),
        (ABS, TOUCH_PRESSURE, 9),
        (KEY, NEAR, 1),
        (ABS, TILT_X, 999),
    )
    for event in (*events, (ABS, PRESSURE, 5), (ABS, SLOT, 7), (ABS, WIDTH, 1), (2, 0, 1)):
        os.write(file, struct.pack("llHHi", 0, 0, *event))
    contacts.update(0.0)
    contact, pen = contacts.begin(1), contacts.pen
    contacts.close()
    os.close(file)

    assert contact is not None
    assert pen is not None
    assert (contact.width, contact.pressure, pen.pressure, pen.tilt) == (None, None, None, (90.0, 0.0))


def test_a_device_that_is_unplugged_is_forgotten_and_writing_goes_on(glass: Glass) -> None:
    os.close(glass.file)
    glass.contacts.update(0.1)
    assert glass.contacts.devices == []
    assert actions(glass.read(finger(DOWN, 1, 100, 100))) == ["down"]
    glass.file = os.open(os.devnull, os.O_WRONLY)


def test_a_window_reads_the_devices_in_each_frame_and_lets_them_go(glass: Glass) -> None:
    window = Window(Scene(), size=(800, 480), contacts=glass.contacts)
    os.write(glass.file, struct.pack("llHHi", 0, 0, KEY, NEAR, 1))
    window.step([], 0.02)
    assert glass.contacts.pen is not None
    window.close()
    assert glass.contacts.devices == []


def described(folder: Path, name: str, *, axes: str, keys: str, properties: str) -> None:
    """The folder of a device in /sys, with its bits in words of hexadecimal."""
    device = folder / name / "device"
    (device / "capabilities").mkdir(parents=True)
    (device / "capabilities" / "abs").write_text(axes)
    (device / "capabilities" / "key").write_text(keys)
    (device / "properties").write_text(properties)


def test_only_screens_and_pens_are_opened_among_all_devices(tmp_path: Path, monkeypatch) -> None:
    """By the bits of a touch screen, a pen, a touch pad and a keyboard; of two that count one may be read."""
    described(tmp_path, "event0", axes="260800000000003", keys="400 0 0 0 0 0", properties="2")
    described(tmp_path, "event1", axes="1000003", keys="c01 0 0 0 0 0", properties="0")
    described(tmp_path, "event2", axes="260800000000003", keys="400 0 0 0 0 0", properties="5")
    described(tmp_path, "event3", axes="0", keys="10000 7ff9f207ac14057f", properties="0")
    described(tmp_path, "event4", axes="no", keys="", properties="0")
    (tmp_path / "event5").mkdir()
    files = tmp_path / "files"
    files.mkdir()
    opened: list[Path] = []
    (files / "event1").touch()
    monkeypatch.setattr(contacts_module, "_range", lambda _, code: opened.append(code))

    touch = find(tmp_path, files)
    assert (touch.count, len(touch.devices)) == (2, 1)
    Contacts(touch.devices).close()
    assert find(tmp_path / "none", files).count == 0


def test_a_file_that_is_no_device_has_no_axes(tmp_path: Path) -> None:
    described(tmp_path, "event0", axes="260800000000003", keys="0", properties="2")
    (tmp_path / "files").mkdir()
    (tmp_path / "files" / "event0").touch()
    (device,) = find(tmp_path, tmp_path / "files").devices
    assert device.axes == {}
    Contacts([device]).close()
