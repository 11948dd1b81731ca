"""pygame for whoever draws with it: imported without a word, quickly, and in true pixels."""

from __future__ import annotations

import os
import sys

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
os.environ.setdefault("SDL_WINDOWS_DPI_AWARENESS", "permonitorv2")  # true pixels on scaled screens

_SETUPTOOLS = "pkg_resources"

if _SETUPTOOLS not in sys.modules:
    # pygame would ask it for its own icon and font, and finds them beside itself as well: where setuptools is
    # installed, reading it in takes as long as half of pygame does, and longer with every package beside it
    sys.modules[_SETUPTOOLS] = None  # type: ignore[assignment]  # an import of it raises ImportError
try:
    import pygame
    import pygame.display
    import pygame.font
    import pygame.surfarray
finally:
    if sys.modules[_SETUPTOOLS] is None:
        del sys.modules[_SETUPTOOLS]

__all__ = ["pygame"]
