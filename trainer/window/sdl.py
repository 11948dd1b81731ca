"""What SDL knows and pygame does not tell: the name and the size in millimeters of a screen.

pygame's own module is linked to the SDL that it uses, so that what is looked up in it is found in that very
SDL. Where this does not work, nothing is known, and nobody is hindered by it.
"""

from __future__ import annotations

import ctypes
from functools import cache

from trainer.pygame_start import pygame
from trainer.window.true_size import MM_PER_INCH, Display

_TELLS_MILLIMETERS = ("x11", "kmsdrm")
"""Drivers whose dots per inch come from the screen's own description (EDID), in the pixels of the window. On
Windows they are the scaling that was set, on Wayland and macOS they may count other pixels (from memory)."""


def display(number: int) -> Display:
    """The screen of that number, counted from 0, or the first where it is gone; SDL's video must be on."""
    sizes = pygame.display.get_desktop_sizes()
    number = number if number < len(sizes) else 0
    width, height = sizes[number]
    millimeters = (
        _millimeters(number, width, height) if pygame.display.get_driver() in _TELLS_MILLIMETERS else None
    )
    return Display(_name(number), (width, height), millimeters)


@cache
def _library() -> ctypes.CDLL | None:
    try:
        library = ctypes.CDLL(pygame.display.__file__)
        library.SDL_GetDisplayName.restype = ctypes.c_char_p
        library.SDL_GetDisplayName.argtypes = [ctypes.c_int]
        numbers = [ctypes.POINTER(ctypes.c_float)] * 3
        library.SDL_GetDisplayDPI.argtypes = [ctypes.c_int, *numbers]
    except (OSError, AttributeError):
        return None
    return library


def _name(number: int) -> str:
    library = _library()
    name = library.SDL_GetDisplayName(number) if library else None
    return name.decode("utf-8", "replace").strip() if name else ""


def _millimeters(number: int, width: int, height: int) -> tuple[int, int] | None:
    """What the system says of the size; None where it says nothing, or not in both directions."""
    library = _library()
    diagonal, across, down = (ctypes.c_float() for _ in range(3))
    if library is None or library.SDL_GetDisplayDPI(number, *map(ctypes.byref, (diagonal, across, down))):
        return None
    if not (across.value > 0 and down.value > 0):
        return None
    return round(width / across.value * MM_PER_INCH), round(height / down.value * MM_PER_INCH)
