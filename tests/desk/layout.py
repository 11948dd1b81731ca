"""Where a page puts things once its fonts are there: until then words are as wide as in another font."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

FONTS = "(document.body.offsetWidth, document.fonts.ready)"
"""For a script that waits for the fonts; they are asked for when the page is laid out first."""

RUNS_OUT = "document.documentElement.scrollWidth > innerWidth"
"""Whether the page is wider than its window."""


def runs_out(window: Page) -> bool:
    return bool(window.evaluate(f"async () => {{ await {FONTS}; return {RUNS_OUT}; }}"))


def lines(parts: Locator) -> int:
    """In how many lines these parts stand."""
    tops = "new Set(parts.map((part) => part.getBoundingClientRect().top)).size"
    return int(parts.evaluate_all(f"async (parts) => {{ await {FONTS}; return {tops}; }}"))
