from __future__ import annotations

from typing import Any

import pygame
import pytest

from trainer.window.events import PointerEvent
from trainer.window.pointer import ECHO, REST, SILENT, Pointers

SIZE = (1000, 500)


def finger(kind: int, number: int, x: float, y: float) -> pygame.event.Event:
    """A finger at x, y px, as SDL tells it: in shares of the window."""
    return pygame.event.Event(kind, finger_id=number, touch_id=1, x=x / SIZE[0], y=y / SIZE[1], dx=0, dy=0)


def mouse(kind: int, x: int, y: int, *, button: int = 1, touch: bool = False, held: bool = True) -> Any:
    if kind == pygame.MOUSEMOTION:
        return pygame.event.Event(kind, pos=(x, y), rel=(0, 0), buttons=(int(held), 0, 0), touch=touch)
    return pygame.event.Event(kind, pos=(x, y), button=button, touch=touch)


DOWN, MOVE, UP = pygame.FINGERDOWN, pygame.FINGERMOTION, pygame.FINGERUP
PRESS, DRAG, RELEASE = pygame.MOUSEBUTTONDOWN, pygame.MOUSEMOTION, pygame.MOUSEBUTTONUP


def actions(events: list[PointerEvent]) -> list[str]:
    return [event.action for event in events]


def test_a_finger_is_told_in_px_of_the_window() -> None:
    (event,) = Pointers(SIZE).read(finger(DOWN, 7, 250, 400), 1.5)
    assert event == PointerEvent("down", pytest.approx(250), pytest.approx(400), 1.5, "touch")


def test_a_mouse_is_told_as_a_mouse_and_only_its_left_button() -> None:
    pointers = Pointers(SIZE)
    assert pointers.read(mouse(PRESS, 10, 20, button=3), 0.0) == []
    assert pointers.read(mouse(PRESS, 10, 20), 0.1) == [PointerEvent("down", 10, 20, 0.1, "mouse")]
    assert actions(pointers.read(mouse(DRAG, 30, 20), 0.2)) == ["move"]
    assert pointers.read(mouse(RELEASE, 30, 20, button=3), 0.25) == []
    assert actions(pointers.read(mouse(RELEASE, 30, 20), 0.3)) == ["up"]


def test_a_mouse_that_hovers_says_nothing() -> None:
    assert Pointers(SIZE).read(mouse(DRAG, 30, 20, held=False), 0.0) == []


def test_a_button_let_go_outside_the_window_is_a_lift_at_the_next_move() -> None:
    pointers = Pointers(SIZE)
    pointers.read(mouse(PRESS, 10, 20), 0.0)
    assert actions(pointers.read(mouse(DRAG, 50, 20, held=False), 0.5)) == ["up"]


def test_the_marked_echo_of_a_touch_is_ignored() -> None:
    pointers = Pointers(SIZE)
    assert pointers.read(mouse(PRESS, 10, 20, touch=True), 0.0) == []


def test_an_unmarked_echo_is_ignored_while_the_finger_is_down_and_just_after() -> None:
    pointers = Pointers(SIZE)
    pointers.read(finger(DOWN, 1, 100, 100), 0.0)
    assert pointers.read(mouse(PRESS, 100, 100), 0.01) == []
    assert actions(pointers.read(finger(UP, 1, 100, 100), 2.0)) == ["up"]
    assert pointers.read(mouse(PRESS, 100, 100), 2.0 + ECHO * 0.9) == []
    assert actions(pointers.read(mouse(PRESS, 100, 100), 2.0 + ECHO * 1.1)) == ["down"]


def test_a_palm_does_not_break_a_line_that_the_mouse_or_pen_is_drawing() -> None:
    pointers = Pointers(SIZE)
    pointers.read(mouse(PRESS, 100, 100), 0.0)
    assert pointers.read(finger(DOWN, 1, 600, 300), 0.1) == []
    assert actions(pointers.read(mouse(DRAG, 120, 100), 0.2)) == ["move"]


def test_a_second_touch_is_refused_for_its_whole_life() -> None:
    pointers = Pointers(SIZE)
    pointers.read(finger(DOWN, 1, 100, 100), 0.0)
    assert actions(pointers.read(finger(MOVE, 1, 150, 100), 0.1)) == ["move"]
    assert pointers.read(finger(DOWN, 2, 600, 300), 0.2) == []
    assert actions(pointers.read(finger(UP, 1, 150, 100), 0.3)) == ["up"]
    assert pointers.read(finger(MOVE, 2, 800, 300), 0.4) == []
    assert pointers.read(finger(UP, 2, 800, 300), 0.5) == []


def test_the_pen_may_come_back_while_a_refused_hand_still_rests() -> None:
    pointers = Pointers(SIZE)
    pointers.read(finger(DOWN, 1, 100, 100), 0.0)
    pointers.read(finger(MOVE, 1, 150, 100), 0.1)
    pointers.read(finger(DOWN, 2, 600, 300), 0.2)
    pointers.read(finger(UP, 1, 150, 100), 0.3)
    assert actions(pointers.read(finger(DOWN, 3, 120, 60), 0.4)) == ["down"]


def test_a_hand_that_rests_where_nothing_can_be_touched_does_not_block_the_pen() -> None:
    pointers = Pointers(SIZE, lambda x, _: x < 500)
    assert pointers.read(finger(DOWN, 1, 800, 300), 0.0) == []
    assert actions(pointers.read(finger(DOWN, 2, 100, 100), 0.05)) == ["down"]
    assert pointers.read(finger(MOVE, 1, 300, 300), 0.1) == []


def test_a_hand_that_has_long_rested_gives_way_at_once() -> None:
    pointers = Pointers(SIZE)
    pointers.read(finger(DOWN, 1, 600, 400), 0.0)
    pointers.read(finger(MOVE, 1, 603, 401), 0.3)
    events = pointers.read(finger(DOWN, 2, 100, 100), REST + 0.1)
    assert actions(events) == ["cancel", "down"]
    assert (events[1].x, events[1].y) == (pytest.approx(100), pytest.approx(100))
    assert actions(pointers.read(finger(MOVE, 2, 150, 100), 1.0)) == ["move"]
    assert pointers.read(finger(MOVE, 1, 700, 400), 1.1) == []


def test_of_two_touches_that_came_together_the_first_that_moves_is_the_pen() -> None:
    pointers = Pointers(SIZE)
    pointers.read(finger(DOWN, 1, 600, 400), 0.0)
    assert pointers.read(finger(DOWN, 2, 100, 100), 0.1) == []
    assert pointers.read(finger(MOVE, 2, 103, 100), 0.15) == []
    events = pointers.read(finger(MOVE, 2, 130, 100), 0.2)
    assert actions(events) == ["cancel", "down", "move"]
    assert (events[1].x, events[1].time) == (pytest.approx(100), 0.1)
    assert actions(pointers.read(finger(UP, 2, 140, 100), 0.4)) == ["up"]
    assert pointers.read(finger(MOVE, 1, 700, 400), 0.5) == []


def test_a_pen_that_waits_at_its_start_is_not_lost_when_the_hand_settles() -> None:
    pointers = Pointers(SIZE)
    pointers.read(finger(DOWN, 1, 100, 100), 0.0)
    assert actions(pointers.read(finger(DOWN, 2, 600, 400), REST + 0.5)) == ["cancel", "down"]
    events = pointers.read(finger(MOVE, 1, 100, 140), REST + 0.8)
    assert actions(events) == ["cancel", "down", "move"]
    assert (events[1].x, events[1].y) == (pytest.approx(100), pytest.approx(100))


def test_a_touch_whose_lift_was_lost_gives_way_after_a_while() -> None:
    pointers = Pointers(SIZE)
    pointers.read(finger(DOWN, 1, 100, 100), 0.0)
    pointers.read(finger(MOVE, 1, 300, 100), 0.1)
    assert pointers.read(finger(DOWN, 2, 100, 100), 1.0) == []
    assert actions(pointers.read(finger(DOWN, 3, 100, 100), SILENT + 1.0)) == ["cancel", "down"]


def test_a_window_that_loses_the_focus_cancels_the_pointer() -> None:
    pointers = Pointers(SIZE)
    pointers.read(finger(DOWN, 1, 100, 100), 0.0)
    pointers.read(finger(MOVE, 1, 300, 100), 0.1)
    (event,) = pointers.read(pygame.event.Event(pygame.WINDOWFOCUSLOST), 0.2)
    assert (event.action, event.x) == ("cancel", pytest.approx(300))
    assert pointers.read(finger(MOVE, 1, 320, 100), 0.3) == []
    assert actions(pointers.read(mouse(PRESS, 5, 5), 0.4 + ECHO)) == ["down"], "no lift is waited for"


def test_what_is_down_at_a_change_of_scene_is_refused_until_it_is_lifted() -> None:
    pointers = Pointers(SIZE)
    pointers.read(finger(DOWN, 1, 100, 100), 0.0)
    pointers.forget()
    assert pointers.read(finger(MOVE, 1, 200, 100), 0.1) == []
    assert pointers.read(finger(UP, 1, 200, 100), 0.2) == []
    assert actions(pointers.read(finger(DOWN, 1, 100, 100), 0.3)) == ["down"]


def test_other_events_say_nothing() -> None:
    assert Pointers(SIZE).read(pygame.event.Event(pygame.KEYDOWN, key=pygame.K_a), 0.0) == []


def test_a_pen_that_sdl_takes_for_a_mouse_writes_beside_a_resting_hand() -> None:
    """Away from the finger it is no echo; the hand moves on unheard."""
    pointers = Pointers(SIZE)
    pointers.read(finger(DOWN, 1, 700, 400), 0.0)
    events = pointers.read(mouse(PRESS, 100, 100), 0.1)
    assert [(event.action, event.kind) for event in events] == [("cancel", "touch"), ("down", "mouse")]
    assert actions(pointers.read(mouse(DRAG, 150, 100), 0.2)) == ["move"]
    assert pointers.read(finger(MOVE, 1, 760, 400), 0.3) == []
    assert actions(pointers.read(mouse(RELEASE, 150, 100), 0.4)) == ["up"]


def test_a_mouse_that_somebody_presses_does_not_break_the_line_of_a_finger() -> None:
    """Neither while it writes nor, for good, while it waits at its start."""
    pointers = Pointers(SIZE)
    pointers.read(finger(DOWN, 1, 100, 100), 0.0)
    assert actions(pointers.read(mouse(PRESS, 800, 400), 0.1)) == ["cancel", "down"]
    assert actions(pointers.read(finger(MOVE, 1, 150, 100), 0.2)) == ["cancel", "down", "move"]
    assert pointers.read(mouse(RELEASE, 800, 400), 0.3) == []
    assert pointers.read(mouse(PRESS, 800, 400), 0.4) == []
    assert pointers.read(mouse(DRAG, 700, 400, held=False), 0.5) == []
    assert actions(pointers.read(finger(MOVE, 1, 190, 100), 0.6)) == ["move"]
    assert (pointers.tally["second"], pointers.tally["hover"]) == (1, 1)


def test_a_late_echo_is_known_by_the_place_where_the_finger_came_down() -> None:
    pointers = Pointers(SIZE)
    pointers.read(finger(DOWN, 1, 100, 100), 0.0)
    pointers.read(finger(MOVE, 1, 400, 100), 0.1)
    assert pointers.read(mouse(PRESS, 102, 100), 0.15) == []
    pointers.read(finger(UP, 1, 400, 100), 0.2)
    assert pointers.read(mouse(PRESS, 102, 100), 0.3) == []
    assert pointers.tally["echo"] == 2


def test_of_two_childrens_fingers_the_first_that_moves_writes_and_the_other_may_write_next() -> None:
    pointers = Pointers(SIZE)
    pointers.read(finger(DOWN, 1, 100, 100), 0.0)
    pointers.read(finger(MOVE, 1, 150, 100), 0.1)
    assert pointers.read(finger(DOWN, 2, 800, 300), 0.2) == []
    assert pointers.read(finger(MOVE, 2, 700, 300), 0.3) == []
    assert actions(pointers.read(finger(UP, 1, 200, 100), 0.4)) == ["up"]
    assert pointers.read(finger(MOVE, 2, 600, 300), 0.5) == [], (
        "a touch that began beside another never writes"
    )
    assert pointers.read(finger(UP, 2, 600, 300), 0.6) == []
    assert actions(pointers.read(finger(DOWN, 2, 800, 300), 0.7)) == ["down"]
