"""From pygame's events to PointerEvents: one pointer at a time, each touch once, palms refused.

The traps that are met here and nowhere else:

- SDL follows each touch with a made-up mouse event. Most are marked (`event.touch`); some screens send
  unmarked ones too, so a mouse button counts for nothing where a finger is or was a moment ago. Elsewhere it
  may be a pen, which SDL takes for a mouse, beside a hand that rests.
- A finger's x and y are shares of the window.
- Events carry no time of their own: whoever reads them spreads those of one frame over it.
- A touch that comes down beside the one that writes is refused for its whole life, and so is one that
  begins where nothing can be touched: it is a resting hand.
- A hand may rest on the writing box before the pen arrives, or settle while the pen waits at its start.
  So the first touch that moves is the pen: until then a rival that moves takes over, and a newcomer
  takes over at once from a touch that has lain still for long. What is taken over from is cancelled.
- Where the system tells how wide a touch is, one that is as wide as a palm is refused, also when it widens
  later; where it tells of a pen, every touch beside the pen is a hand.
"""

from __future__ import annotations

import logging
from collections import Counter
from collections.abc import Callable
from itertools import chain
from typing import Literal, NamedTuple, TypeAlias

from trainer.pygame_start import pygame
from trainer.window.contacts import Contact, Contacts
from trainer.window.events import Action, PointerEvent, PointerKind, Tallied

_log = logging.getLogger(__name__)

ECHO = 0.5
"""Seconds after a finger in which a mouse button counts as its echo: our choice, ample."""

NEAR = 0.06
"""Share of the window's shorter side within which a mouse button is the echo of a finger; it may lag."""

PALM_MM = 24.0
"""Width of a touch from which it is a palm: more than a grown-up's thumb; our choice, no source."""

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

_FIRST: dict[PointerKind, str] = {
    "touch": "the first touch came",
    "mouse": "the first mouse press came",
    "pen": "the first pen came",
}

Who: TypeAlias = int | None
"""A finger's number, or None for the mouse, or for a pen that SDL takes for one."""


class _Place(NamedTuple):
    x: float
    y: float
    time: float


class _Active:
    """The pointer that counts now: who it is, where it came down, where it was seen last."""

    def __init__(self, who: Who, began: _Place, kind: PointerKind) -> None:
        self.who = who
        self.kind = kind
        self.began = self.last = began
        self.moved = False


class Pointers:
    """Reads pygame events for a window of `size`; keeps which pointer counts and which are refused.

    `wants` tells whether a touch that begins at x, y (px) means something there; None: it always does.
    `contacts` are what the system tells besides. `tally` counts what came and why something was refused.
    """

    def __init__(
        self,
        size: tuple[int, int],
        wants: Callable[[float, float], bool] | None = None,
        contacts: Contacts | None = None,
    ) -> None:
        self.size = size
        self.wants = wants
        self.contacts = contacts or Contacts()
        self.tally: Counter[Tallied] = Counter()
        self._active: _Active | None = None
        self._other_fingers: dict[int, _Place] = {}
        self._down: dict[int, tuple[_Place, _Place]] = {}
        self._lifted: list[_Place] = []
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
        contact = self.contacts.begin(finger) if action == "down" else self.contacts.of(finger)
        began = here if action == "down" else self._down.get(finger, (here, here))[0]
        if action == "up":
            self._down.pop(finger, None)
            self.contacts.end(finger)
            recent = [place for place in self._lifted if here.time - place.time < ECHO]
            self._lifted = [*recent, began._replace(time=here.time), here]
        else:
            self._down[finger] = (began, here)
        if (reason := self._is_hand(contact, finger)) is not None:
            self._other_fingers.pop(finger, None)
            is_active = self._active is not None and self._active.who == finger
            if action == "down" or is_active:
                self.tally[reason] += 1
            return self.release(here.time) if is_active else []
        if action == "down":
            if self.wants is None or self.wants(here.x, here.y):
                return self._newcomer(finger, here)
            self.tally["elsewhere"] += 1
            return []
        if self._active is not None and finger == self._active.who:
            return self._follow(self._active, action, here)
        return self._rival(action, finger, here)

    def _is_hand(self, contact: Contact | None, finger: int) -> Literal["wide", "beside_pen"] | None:
        """Why a touch is a hand that rests, if it is one; a finger that writes goes on when a pen comes."""
        if contact is not None and (contact.palm or (contact.width or 0.0) >= PALM_MM):
            return "wide"
        writes = self._active is not None and self._active.who == finger and self._active.moved
        return "beside_pen" if self.contacts.pen is not None and not writes else None

    def _newcomer(self, finger: int, here: _Place) -> list[PointerEvent]:
        active = self._active
        if active is None:
            return self._take(finger, here)
        if finger == active.who or here.time - active.last.time >= SILENT:
            return [*self.release(here.time), *self._take(finger, here)]
        if active.moved or active.who is None:
            self.tally["second"] += 1
            return []
        if here.time - active.began.time < REST:
            self._other_fingers[finger] = here
            return []
        return self._take_over(active.who, active.began, finger, here)

    def _take_over(self, resting: int, began: _Place, who: Who, here: _Place) -> list[PointerEvent]:
        """A newcomer gets the place of a touch that rests, which may still be the first to move."""
        others = {**self._other_fingers, resting: began}
        taken = [*self.release(here.time), *self._take(who, here)]
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
            return self._pressed(here) if event.button == _LEFT else []
        if action == "move" and not any(event.buttons):
            self.tally["hover"] += 1
        if self._active is None or self._active.who is not None:
            return []
        if action == "up" and event.button != _LEFT:
            return []
        if action == "move" and not event.buttons[0]:
            action = "up"  # the button was let go where the window could not see it
        return self._follow(self._active, action, here)

    def _pressed(self, here: _Place) -> list[PointerEvent]:
        """A mouse button or a pen that SDL takes for one came down."""
        active, pen = self._active, self.contacts.pen
        if pen is None and self._is_echo(here):
            self.tally["echo"] += 1
            return []
        if active is None:
            return self._take(None, here)
        if active.who is None or (active.moved and pen is None):
            self.tally["second"] += 1
            return []
        return self._take_over(active.who, active.began, None, here)

    def _is_echo(self, here: _Place) -> bool:
        """Whether a finger is there, came down there, or was there a moment ago."""
        lifted = [place for place in self._lifted if here.time - place.time < ECHO]
        places = [*chain.from_iterable(self._down.values()), *lifted]
        return not all(self._far(place, here, NEAR) for place in places)

    def _take(self, who: Who, began: _Place) -> list[PointerEvent]:
        kind: PointerKind = "touch" if who is not None else "mouse" if self.contacts.pen is None else "pen"
        self._active = _Active(who, began, kind)
        self.tally[kind] += 1
        if kind not in self._seen:
            self._seen.add(kind)
            _log.info(_FIRST[kind])  # the log keeps no words but those of its messages
        return [self._event("down", began)]

    def _event(self, action: Action, here: _Place) -> PointerEvent:
        """What the active pointer does, with what the system tells of it."""
        assert self._active is not None
        who, pen = self._active.who, self.contacts.pen
        contact = None if who is None else self.contacts.of(who)
        pressure = contact.pressure if contact else pen.pressure if pen and who is None else None
        tilt = pen.tilt if pen and who is None else None
        return PointerEvent(action, here.x, here.y, here.time, self._active.kind, pressure, tilt)

    def _follow(self, active: _Active, action: Action, here: _Place) -> list[PointerEvent]:
        active.last = here
        active.moved = active.moved or self._far(active.began, here)
        if active.moved or action == "up":
            self._other_fingers.clear()
        event = self._event(action, here)
        if action == "up":
            self._active = None
        return [event]

    def _far(self, began: _Place, here: _Place, share: float = STILL) -> bool:
        return max(abs(began.x - here.x), abs(began.y - here.y)) > share * min(self.size)
