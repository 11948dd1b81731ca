"""Tests wait for what happens and never for the clock: a busy machine is slow, and nothing is wrong then."""

from __future__ import annotations

import time
from collections.abc import Callable

HANG = 600.0
"""Seconds after which a test that waits is ended, as what it waits for will not come."""


def until(holds: Callable[[], object], what: str) -> None:
    """Wait until something holds."""
    end = time.monotonic() + HANG
    while not holds():
        assert time.monotonic() < end, f"waited {HANG:.0f} s for {what}"
        time.sleep(0.05)
