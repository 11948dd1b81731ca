"""What the practice window finds on this machine: its screens and what can touch them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pygame
from pygame._sdl2 import touch

from trainer.drawing import Metrics
from trainer.window import sdl
from trainer.window.contacts import Contacts, find
from trainer.window.true_size import Display, Scale, TrueSizes
from trainer.window.window import need_screen, roomy


@dataclass(frozen=True)
class Screens:
    """The driver, each screen with its scale, the window on the first, and the number of touch devices.

    `contacts` are the devices of which Linux tells more than SDL does, and how many of them may be read.
    """

    library: str
    driver: str
    displays: tuple[tuple[Display, Scale], ...]
    window: Metrics
    touch_devices: int
    contacts: tuple[int, int]


def look_at_screens(measured: Path | None = None) -> Screens:
    """Open no window, only ask; `measured` is the file of measured screens. Raises ScreenError."""
    need_screen()
    pointers = find()
    Contacts(pointers.devices).close()
    try:
        sizes = pygame.display.get_desktop_sizes()
        true_sizes = TrueSizes(measured, sdl.display)
        displays = tuple((sdl.display(number), true_sizes.scale(number)) for number in range(len(sizes)))
        return Screens(
            f"{'pygame-ce' if getattr(pygame, 'IS_CE', False) else 'pygame'} {pygame.version.ver}, "
            f"SDL {'.'.join(map(str, pygame.get_sdl_version()))}",
            pygame.display.get_driver(),
            displays,
            displays[0][1].metrics(roomy(sizes[0])),
            touch.get_num_devices(),
            (pointers.count, len(pointers.devices)),
        )
    finally:
        pygame.display.quit()
