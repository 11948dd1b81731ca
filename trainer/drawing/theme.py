"""Colors, real sizes and contrast: one place decides how everything looks.

The colors are those of the Okabe-Ito palette on a paper-white page. A color never speaks alone: a
number, dash or shape always says the same thing.
"""

from __future__ import annotations

from dataclasses import dataclass

PAPER = "#FDFCF8"
"""The page."""
CARD = "#F3F0E7"
"""Panels and buttons that lie on the page."""
EDGE = "#8A867C"
"""The border of a panel that can be touched: at least 3 to 1 against paper and card."""
BLACK = "#000000"
"""Model strokes."""
TEXT = "#1F1F1F"
"""Words."""
QUIET = "#5A574F"
"""Words that come second."""
GUIDE = "#8F8B80"
"""Guide lines."""
PALE = "#CFCBC0"
"""A letter to trace over."""
BLUE = "#0072B2"
"""The child's ink."""
STEPPED_BACK = "#A9C8DC"
"""Ink that was written again since; thinner, too."""
VERMILLION = "#D55E00"
"""The place to look at; always with a ring, number or dash."""
GREEN = "#009E73"
"""Done; always with a tick."""

BUTTON_MM = 15.0
"""Side of a child's button: no study gives one minimum for 4 to 7; 15 mm is our choice."""
GAP_MM = 5.0
"""Space between two buttons."""
ROOM_MM = 6 * BUTTON_MM
"""What the shorter side of a window must have for buttons of their full size: they take a sixth of it."""

SCALES = (1.0, 32.0)
"""Px to the millimeter that a screen may have: no wall of 1920 px is wider than 1.92 m, and no telephone has
many more than 800 px to the inch."""

COARSEST_WORDS = 3.4
"""Px to the millimeter that words need: the smallest have 3.2 mm, and below 11 px they cannot be read."""


def rgb(color: str) -> tuple[int, int, int]:
    """The three bytes of "#rrggbb" or "#rgb"."""
    digits = color.removeprefix("#")
    if len(digits) == 3:
        digits = "".join(digit * 2 for digit in digits)
    if len(digits) != 6:
        raise ValueError(f"a color must be written as #rrggbb or #rgb, not {color!r}")
    value = int(digits, 16)
    return value >> 16, (value >> 8) & 255, value & 255


def luminance(color: str) -> float:
    """Relative luminance of WCAG 2.2: 0 for black, 1 for white."""
    shares = [byte / 255 for byte in rgb(color)]
    red, green, blue = (s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(color: str, other: str) -> float:
    """Contrast ratio of WCAG 2.2 between two colors, 1 to 21; which comes first does not matter."""
    dark, light = sorted((luminance(color), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


@dataclass(frozen=True)
class Metrics:
    """How large the window is, and how many of its pixels make a millimeter; whether that was measured."""

    width: int
    height: int
    px_per_mm: float
    measured: bool = False

    @classmethod
    def of(cls, size: tuple[int, int], px_per_mm: float | None = None, *, measured: bool = False) -> Metrics:
        """Metrics for a window of `size`; without `px_per_mm` it is guessed.

        The shorter side decides then: 5.2 px/mm at 480 px (a 7-inch panel of 154 x 92 mm), rising evenly
        to 10 px/mm at 2160 px. That lies above most desktop screens: a target that comes out larger than
        planned does no harm, a smaller one does.
        """
        short = min(size)
        guess = 5.2 * short / 480 if short < 480 else 5.2 + (short - 480) * 4.8 / 1680
        return cls(size[0], size[1], px_per_mm or guess, measured)

    def mm(self, millimeters: float) -> float:
        """Pixels for a target, a gap or words; more than so many millimeters where words need them."""
        return millimeters * max(self.px_per_mm, COARSEST_WORDS)

    def true_mm(self, millimeters: float) -> float:
        """Pixels for a length on the glass, as where a letter is written."""
        return millimeters * self.px_per_mm

    @property
    def button(self) -> float:
        """Side of a child's button in px; a sixth of the short side where 15 mm would be more."""
        return min(self.mm(BUTTON_MM), max(min(self.width, self.height) / 6, 24.0))

    @property
    def button_mm(self) -> float:
        """Side of a child's button on the glass."""
        return self.button / self.px_per_mm

    @property
    def gap(self) -> float:
        """Space between two buttons in px, always a third of a button."""
        return self.button * GAP_MM / BUTTON_MM

    def row(self, count: int, span: float) -> tuple[float, float]:
        """Side and gap for `count` buttons in a row of `span` px: the gaps give way first, down to half."""
        side, gap = self.button, self.gap
        if count * side + (count - 1) * gap <= span:
            return side, gap
        gap = max(gap / 2, (span - count * side) / max(1, count - 1))
        return min(side, (span - (count - 1) * gap) / count), gap
