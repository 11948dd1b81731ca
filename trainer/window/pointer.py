"""From pygame's events to PointerEvents: one pointer at a time, each touch once, palms refused.

The traps that are met here and nowhere else:

- SDL follows each touch with a made-up mouse event. Most are marked (`event.touch`); some screens send
  unmarked ones too, so the mouse is shut out while a finger is down and for a moment after.
- A finger's x and y are shares of the window.
- Events carry no time of their own: whoever reads them spreads those of one frame over it.
- A touch that comes down beside the one that writes is refused for its whole life, and so is one that
  begins where nothing can be touched: it is a resting hand.
- A hand may rest on the writing box before the pen arrives, or settle while the pen waits at its start.
  So the first touch that moves is the pen: until then a rival that moves takes over, and a newcomer
  takes over at once from a touch that has lain still for long. What is taken over from is cancelled.
"""

from __future__ import annotations

import logging
import os
from collections.abc import Callable
from typing import NamedTuple, TypeAlias

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")  # read when pygame is imported

import pygame

from trainer.window.events import Action, PointerEvent, PointerKind

_log = logging.getLogger(__name__)

ECHO = 0.5
"""Seconds after the last finger in which a mouse button counts as its echo: our choice, ample."""

REST = 0.6
"""Seconds: a touch that has not moved for so long is a resting hand, or a pen that waits."""

STILL = 0.02
"""Share of the window's shorter side within which a touch counts as unmoved: a finger rolls 1 to 2 mm."""

SILENT = 10.0
"""Seconds without a sign from a pointer after which a newcomer may have its place: its lift was lost."""

LOST = frozenset({pygame.WINDOWFOCUSLOST, pygame.WINDOWMINIMIZED, pygame.WINDOWHIDDEN})
"""Events after which the lift of a pointer may never arrive."""

_FINGER: dict[int, Action] = {
    pygame.FINGERDOWN: "down",
    pygame.FINGERMOTION: "move",
    pygame.FINGERUP: "up",
}
_MOUSE: dict[int, Action] = {
    pygame.MOUSEBUTTONDOWN: "down",
    pygame.MOUSEMOTION: "move",
    pygame.MOUSEBUTTONUP: "up",
}
_LEFT = 1

Who: TypeAlias = int | None
"""A finger's number, or None for the mouse."""


class _Place(NamedTuple):
    x: float
    y: float
    time: float


class _Active:
    """The pointer that counts now: who it is, where it came down, where it was seen last."""

    def __init__(self, who: Who, began: _Place) -> None:
        self.who = who
        self.kind: PointerKind = "mouse" if who is None else "touch"
        self.began = self.last = began
        self.moved = False


class Pointers:
    """Reads pygame events for a window of `size`; keeps which pointer counts and which are refused.

    `wants` tells whether a touch that begins at x, y (px) means something there; None: it always does.
    """

    def __init__(self, size: tuple[int, int], wants: Callable[[float, float], bool] | None = None) -> None:
        self.size = size
        self.wants = wants
        self._active: _Active | None = None
        self._other_fingers: dict[int, _Place] = {}
        self._down: set[int] = set()
        self._last_finger = float("-inf")
        self._seen: set[PointerKind] = set()

    def read(self, event: pygame.event.Event, now: float) -> list[PointerEvent]:
        """What an event that came at `now` (s) says: none or one, or more when a touch takes over."""
        if event.type in LOST:
            self._down.clear()
            return self.release(now)
        if action := _FINGER.get(event.type):
            here = _Place(event.x * self.size[0], event.y * self.size[1], now)
            return self._finger(action, int(event.finger_id), here)
        if action := _MOUSE.get(event.type):
            x, y = event.pos
            return self._mouse(action, event, _Place(float(x), float(y), now))
        return []

    def release(self, time: float) -> list[PointerEvent]:
        """Let go of the pointer, as when the window is left: a cancel, where there was one."""
        active = self._active
        self.forget()
        if active is None:
            return []
        return [PointerEvent("cancel", active.last.x, active.last.y, time, active.kind)]

    def forget(self) -> None:
        """Refuse what is down until it is lifted, without a word: it belongs to the scene before."""
        self._active = None
        self._other_fingers.clear()

    def _finger(self, action: Action, finger: int, here: _Place) -> list[PointerEvent]:
        self._last_finger = here.time
        if action == "down":
            self._down.add(finger)
            wanted = self.wants is None or self.wants(here.x, here.y)
            return self._newcomer(finger, here) if wanted else []
        if action == "up":
            self._down.discard(finger)
        if self._active is not None and finger == self._active.who:
            return self._follow(self._active, action, here)
        return self._rival(action, finger, here)

    def _newcomer(self, finger: int, here: _Place) -> list[PointerEvent]:
        active = self._active
        if active is None:
            return self._take(finger, here)
        if finger == active.who or here.time - active.last.time >= SILENT:
            return [*self.release(here.time), *self._take(finger, here)]
        if active.moved or active.who is None:
            return []
        if here.time - active.began.time < REST:
            self._other_fingers[finger] = here
            return []
        others = {**self._other_fingers, active.who: active.began}
        taken = [*self.release(here.time), *self._take(finger, here)]
        self._other_fingers = others
        return taken

    def _rival(self, action: Action, finger: int, here: _Place) -> list[PointerEvent]:
        """A touch beside the active one: nothing, unless it is the first of them to move."""
        began = self._other_fingers.get(finger)
        if began is None:
            return []
        if action == "up":
            del self._other_fingers[finger]
            return []
        if not self._far(began, here):
            return []
        taken = [*self.release(here.time), *self._take(finger, began)]
        return [*taken, *self._follow(self._active, "move", here)] if self._active else taken

    def _mouse(self, action: Action, event: pygame.event.Event, here: _Place) -> list[PointerEvent]:
        if getattr(event, "touch", False):
            return []
        if action == "down":
            echo = bool(self._down) or here.time - self._last_finger < ECHO
            if event.button != _LEFT or echo or self._active is not None:
                return []
            return self._take(None, here)
        if self._active is None or self._active.who is not None:
            return []
        if action == "up" and event.button != _LEFT:
            return []
        if action == "move" and not event.buttons[0]:
            action = "up"  # the button was let go where the window could not see it
        return self._follow(self._active, action, here)

    def _take(self, who: Who, began: _Place) -> list[PointerEvent]:
        self._active = _Active(who, began)
        if self._active.kind not in self._seen:
            self._seen.add(self._active.kind)
            _log.info(
                "the first touch came" if self._active.kind == "touch" else "the first mouse press came"
            )
        return [PointerEvent("down", began.x, began.y, began.time, self._active.kind)]

    def _follow(self, active: _Active, action: Action, here: _Place) -> list[PointerEvent]:
        active.last = here
        active.moved = active.moved or self._far(active.began, here)
        if active.moved or action == "up":
            self._other_fingers.clear()
        if action == "up":
            self._active = None
        return [PointerEvent(action, here.x, here.y, here.time, active.kind)]

    def _far(self, began: _Place, here: _Place) -> bool:
        return max(abs(began.x - here.x), abs(began.y - here.y)) > STILL * min(self.size)
