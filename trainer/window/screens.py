"""What the practice window finds on this machine: its screens and what can touch them."""

from __future__ import annotations

from dataclasses import dataclass

import pygame
from pygame._sdl2 import touch

from trainer.drawing import Metrics
from trainer.window.window import need_screen, roomy


@dataclass(frozen=True)
class Screens:
    """The driver, the sizes of the screens and of the window in px, and how many touch devices there are.

    `px_per_mm` is what the window would take a millimeter for; it is guessed from the window's size.
    """

    library: str
    driver: str
    sizes: tuple[tuple[int, int], ...]
    window: tuple[int, int]
    px_per_mm: float
    touch_devices: int


def look_at_screens() -> Screens:
    """Open no window, only ask. Raises ScreenError where there is no screen."""
    need_screen()
    try:
        sizes = tuple(pygame.display.get_desktop_sizes())
        window = roomy(sizes[0])
        return Screens(
            f"{'pygame-ce' if getattr(pygame, 'IS_CE', False) else 'pygame'} {pygame.version.ver}, "
            f"SDL {'.'.join(map(str, pygame.get_sdl_version()))}",
            pygame.display.get_driver(),
            sizes,
            window,
            Metrics.of(window).px_per_mm,
            touch.get_num_devices(),
        )
    finally:
        pygame.display.quit()
