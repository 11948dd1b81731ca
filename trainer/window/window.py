"""The loop: read events, hand them to the scene, let time pass, show what changed."""

from __future__ import annotations

import logging
from collections.abc import Mapping, Sequence
from time import perf_counter

from trainer.drawing import Metrics
from trainer.errors import ScreenError
from trainer.pygame_start import pygame
from trainer.window import sdl
from trainer.window.contacts import Contacts
from trainer.window.events import KeyEvent, PointerEvent, Tallied
from trainer.window.long_press import LongPress
from trainer.window.page import Page
from trainer.window.pointer import Pointers
from trainer.window.scenes.layout import corner
from trainer.window.scenes.leaving import Leaving
from trainer.window.scenes.measuring import Measuring
from trainer.window.scenes.scene import Scene
from trainer.window.true_size import TrueSizes

_log = logging.getLogger(__name__)

FRAMES = 60
"""Frames a second at most."""

LONGEST = 0.1
"""Seconds: a frame that took longer, because the machine stalled, counts as this long for the scene."""

POINTER_RESTS = 3.0
"""Seconds after which the arrow of a mouse goes away on a scene that wants it so."""

SMALLEST = (480, 320)
"""Px; a window that is made smaller is painted at this size and cut off."""

_RESIZED = frozenset({pygame.VIDEORESIZE, pygame.WINDOWSIZECHANGED})
_UNCOVERED = frozenset({pygame.WINDOWEXPOSED, pygame.WINDOWRESTORED, pygame.VIDEOEXPOSE})


class Window:
    """A window that shows one scene after another, until its close button ends it.

    Escape and a long press in the corner ask first, over the scene that is there.
    `size` is that of the window, or None for most of the desktop. A `screen` other than the first, counted
    from 1, is filled; where there is none of that number, the window opens on the first one. Raises
    ScreenError without a screen.
    """

    def __init__(
        self,
        first_scene: Scene,
        *,
        size: tuple[int, int] | None = None,
        fullscreen: bool = False,
        screen: int = 1,
        title: str = "",
        true_sizes: TrueSizes | None = None,
        contacts: Contacts | None = None,
    ) -> None:
        need_screen()
        self.scene = first_scene
        self._title = title
        self.open = True
        desktops = pygame.display.get_desktop_sizes()
        self.display = screen - 1 if screen <= len(desktops) else 0
        self.fullscreen = fullscreen or self.display > 0
        self._windowed = size or roomy(desktops[self.display])
        self._true_sizes = true_sizes or TrueSizes(None, sdl.display)
        self._clock = pygame.time.Clock()
        self._before = perf_counter()
        self._time = 0.0
        self._moved_at = 0.0
        self._press = LongPress()
        self._contacts = contacts or Contacts()
        self._pointers = Pointers(
            (1, 1), lambda x, y: self.scene.wants(x, y) or self._is_corner(x, y), self._contacts
        )
        self._set_mode()
        self.scene.on_show()

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in px of what is painted."""
        return self._page.size

    @property
    def metrics(self) -> Metrics:
        """The size in px, and px per millimeter."""
        return self.scale.metrics(self.size)

    @property
    def tally(self) -> Mapping[Tallied, int]:
        """What came from pointers, and why something was refused, since the window opened."""
        return self._pointers.tally

    @property
    def screen(self) -> pygame.Surface:
        """What is seen."""
        return self._screen

    def run(self) -> None:
        """Show scenes until the window is closed."""
        try:
            while self.open:
                self.step()
                self._clock.tick(FRAMES)
        finally:
            self.close()

    def close(self) -> None:
        """Close the window; a pointer that is down is cancelled first, so that its ink is kept."""
        self.open = False
        if pygame.display.get_init():
            self._hand_over(self._pointers.release(self._time))
            pygame.display.quit()
        self._contacts.close()
        self.scene.on_hide()

    def step(self, events: Sequence[pygame.event.Event] | None = None, seconds: float | None = None) -> None:
        """One frame: the `events` (None: those that wait), `seconds` of time (None: as the clock says)."""
        now = perf_counter()
        elapsed = now - self._before if seconds is None else seconds
        self._before = now
        waiting = pygame.event.get() if events is None else events
        self._contacts.update(self._time + elapsed)  # after SDL has looked: never older than its events
        self._read(waiting, elapsed)
        self._time += elapsed
        if not self.open:
            return
        if self._press.advance(min(elapsed, LONGEST)):
            self._ask()
        self._follow(self.scene.on_tick(min(elapsed, LONGEST)))
        rests = self.scene.hides_pointer and self._time - self._moved_at > POINTER_RESTS
        if pygame.mouse.get_visible() == rests:
            pygame.mouse.set_visible(not rests)
        ring = [self._press.ring] if self._press.ring is not None and self._press.ring.points else []
        changed = self._page.paint(self.scene, self.metrics, elapsed, ring)
        areas = self._page.show(self._screen, changed, self.scene.tip)
        if areas:
            pygame.display.update(areas)

    def _read(self, waiting: Sequence[pygame.event.Event], elapsed: float) -> None:
        """Hand over what waits, its times spread evenly over the frame: events carry no time of their own.

        What was read after a change of scene was meant for the old one and is dropped.
        """
        first = self.scene
        for number, event in enumerate(waiting, start=1):
            if event.type == pygame.MOUSEMOTION:
                self._moved_at = self._time
            if event.type == pygame.QUIT:
                self.open = False
            elif event.type in _RESIZED:
                self._resized()
            elif event.type == pygame.WINDOWDISPLAYCHANGED:
                self._moved(event.display_index)
            elif event.type in _UNCOVERED:
                pygame.display.update()
            elif event.type == pygame.KEYDOWN:
                self._key(pygame.key.name(event.key).lower(), self.scene is first)
            else:
                read = self._pointers.read(event, self._time + elapsed * number / len(waiting))
                if self.scene is first:
                    self._hand_over(read)
                else:
                    self._pointers.forget()

    def _key(self, key: str, current: bool) -> None:
        if key == "escape":
            self._ask()
        elif key == "f11":
            self._hand_over(self._pointers.release(self._time))
            self.fullscreen = not self.fullscreen
            pygame.display.quit()  # without a window manager only a new window gets to the right place
            pygame.display.init()
            self._set_mode()
        elif current:
            self._follow(self.scene.on_key(KeyEvent(key)))

    def _hand_over(self, events: Sequence[PointerEvent]) -> None:
        """Hand events to the scene until one of them leads to another scene."""
        for event in events:
            if not self._in_corner(event) and self._follow(self.scene.on_pointer(event)):
                return

    def _is_corner(self, x: float, y: float) -> bool:
        return corner(self.metrics, self.scene.hand).contains(x, y)

    def _in_corner(self, event: PointerEvent) -> bool:
        """Whether an event is that of a finger in the corner; what the scene wants there comes first."""
        if self._press.going:
            self._press.go_on(event)
            if not self._press.going and event.action == "move":
                self._pointers.forget()  # a hand that moves there must not shut out the pen
            return True
        if self.scene.wants(event.x, event.y):
            return False
        return self._press.begin(event, corner(self.metrics, self.scene.hand), self.metrics)

    def _ask(self) -> None:
        """Ask whether to leave; ink that is under the pen is kept. Asked again, go back to what was there."""
        self._hand_over(self._pointers.release(self._time))
        if not self.scene.asks_before_leaving:
            self._leave()
            return
        if isinstance(self.scene, Leaving):
            self._follow(self.scene.behind)
        else:
            measure = self._measure if self._true_sizes.file is not None else None
            self._follow(Leaving(self.scene, self._leave, measure))

    def _leave(self) -> None:
        self.open = False

    def _measure(self, after: Scene) -> Scene:
        """The screen on which a bank card is held against the screen; it leads on to `after`."""
        return Measuring(self.keep_scale, lambda: after, hand=after.hand)

    def keep_scale(self, px_per_mm: float | None) -> None:
        """Keep what was measured for the screen that the window is on; None: as the system says.

        Raises PlaceError where it cannot be kept.
        """
        self._true_sizes.keep(self.display, px_per_mm)
        self._fit()

    def _follow(self, after: Scene | None) -> bool:
        """Go on to the next scene, if there is one; a touch that is down now is not meant for it."""
        if after is None or after is self.scene:
            return False
        self.scene.on_hide()
        self.scene = after
        self._pointers.forget()
        self._press.end()
        after.on_resize(self.size, self.metrics)
        after.stale = True
        after.on_show()
        return True

    def _set_mode(self) -> None:
        pygame.display.set_caption(self._title)
        if self.fullscreen:
            self._screen = pygame.display.set_mode((0, 0), pygame.FULLSCREEN, display=self.display)
        else:
            self._screen = pygame.display.set_mode(self._windowed, pygame.RESIZABLE, display=self.display)
        self._fit()

    def _moved(self, display: int) -> None:
        """The window is on another screen, or the screen under it was changed for another."""
        self.display = display
        self._hand_over(self._pointers.release(self._time))
        self._fit()

    def _resized(self) -> None:
        screen = pygame.display.get_surface()
        if screen is None or screen.get_size() == self._pointers.size:
            return
        self._screen = screen
        if not self.fullscreen:
            self._windowed = screen.get_size()
        self._hand_over(self._pointers.release(self._time))
        self._fit()

    def _fit(self) -> None:
        """Make the page as large as the window, ask how large a millimeter is there, and tell the scene."""
        width, height = self._screen.get_size()
        self._pointers.size = (width, height)
        self._page = Page((max(width, SMALLEST[0]), max(height, SMALLEST[1])))
        self.scale = self._true_sizes.scale(self.display)
        _log.info(
            f"the window has %d by %d px, %.2f px to the millimeter by {self.scale.source}",
            *(width, height, self.metrics.px_per_mm),
        )
        self.scene.on_resize(self.size, self.metrics)
        self.scene.stale = True


def need_screen() -> None:
    """Raise ScreenError where SDL finds no screen: it would draw into memory, unseen, until it is killed."""
    try:
        pygame.display.init()
        visible = pygame.display.get_driver() != "offscreen"
    except pygame.error:
        visible = False
    if not visible:
        pygame.display.quit()
        raise ScreenError("there is no screen to open a window on; start this where windows can be seen")


def roomy(desktop: tuple[int, int]) -> tuple[int, int]:
    """A window that leaves the desktop's bars in sight."""
    return max(SMALLEST[0], int(desktop[0] * 0.85)), max(SMALLEST[1], int(desktop[1] * 0.8))
