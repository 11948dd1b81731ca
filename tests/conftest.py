"""Every test runs without a display, except those that are marked `screen` and bring their own."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest

from strokes import warping

os.environ["SDL_VIDEODRIVER"] = "dummy"
os.environ["SDL_AUDIODRIVER"] = "dummy"
os.environ["PYGAME_HIDE_SUPPORT_PROMPT"] = "1"


@pytest.fixture(autouse=True)
def _lanes_as_nobody_told() -> Iterator[None]:
    """Whether lanes warp holds for the whole program, and their last digit may differ from numpy's."""
    yield
    warping.use_lanes(None)
