"""Contrast and target sizes against WCAG 2.2 (W3C 2023), and the palette against Okabe & Ito.

1.4.3: text at least 4.5 to 1; 1.4.11: graphics at least 3 to 1; 2.5.5: targets at least 44 CSS px; 1 CSS
px is 1/96 inch. The contrast values were worked out from the recommendation's formula apart from this
project. The hex values of the palette (Okabe & Ito, Color Universal Design, 2002 and 2008) come from
memory.
"""

from __future__ import annotations

import pytest

from tests.cases import for_each
from trainer.drawing import theme
from trainer.drawing.theme import Metrics, contrast

MM_PER_CSS_PX = 25.4 / 96

VALUES = [
    ("#000000", "#FFFFFF", 21.00),
    ("#767676", "#FFFFFF", 4.54),
    ("#777777", "#FFFFFF", 4.48),
    ("#949494", "#FFFFFF", 3.03),
    ("#959595", "#FFFFFF", 2.995),
    ("#595959", "#FFFFFF", 7.00),
    ("#5A5A5A", "#FFFFFF", 6.90),
]

OKABE_ITO = {  # contrast on white, on black
    "#000000": (21.00, 1.00),
    "#E69F00": (2.25, 9.32),
    "#56B4E9": (2.31, 9.10),
    "#009E73": (3.42, 6.14),
    "#F0E442": (1.32, 15.88),
    "#0072B2": (5.19, 4.05),
    "#D55E00": (3.87, 5.43),
    "#CC79A7": (3.06, 6.86),
}

WORDS = [
    (theme.TEXT, theme.PAPER),
    (theme.TEXT, theme.CARD),
    (theme.QUIET, theme.PAPER),
    (theme.QUIET, theme.CARD),
]

GRAPHICS = [
    *(
        (color, theme.PAPER)
        for color in (theme.BLACK, theme.BLUE, theme.VERMILLION, theme.GREEN, theme.GUIDE)
    ),
    *((theme.EDGE, ground) for ground in (theme.PAPER, theme.CARD)),
]


@pytest.mark.parametrize(("color", "other", "expected"), VALUES)
def test_contrast_is_what_the_recommendation_gives(color: str, other: str, expected: float) -> None:
    assert contrast(color, other) == pytest.approx(expected, abs=0.005)
    assert contrast(other, color) == contrast(color, other)


@for_each("color", OKABE_ITO)
def test_contrast_of_the_palette_on_white_and_on_black(color: str) -> None:
    on_white, on_black = OKABE_ITO[color]

    assert contrast(color, "#FFFFFF") == pytest.approx(on_white, abs=0.005)
    assert contrast(color, "#000000") == pytest.approx(on_black, abs=0.005)


def test_the_colors_that_mean_something_are_of_the_palette() -> None:
    assert {theme.BLACK, theme.BLUE, theme.VERMILLION, theme.GREEN} <= set(OKABE_ITO)


@pytest.mark.parametrize(("color", "ground"), WORDS)
def test_words_stand_out_enough(color: str, ground: str) -> None:
    """1.4.3, level AA: 4.5 to 1."""
    assert contrast(color, ground) >= 4.5


@pytest.mark.parametrize(("color", "ground"), GRAPHICS)
def test_ink_marks_and_lines_stand_out_enough(color: str, ground: str) -> None:
    """1.4.11, level AA: 3 to 1."""
    assert contrast(color, ground) >= 3.0


def test_a_childs_button_is_larger_than_the_target_of_the_highest_level() -> None:
    """2.5.5, level AAA: 44 CSS px, 11.64 mm."""
    assert theme.BUTTON_MM >= 44 * MM_PER_CSS_PX


@pytest.mark.parametrize("size", [(800, 480), (1280, 800), (1920, 1080), (1080, 1920), (3840, 2160)])
def test_a_button_is_that_large_on_the_glass_at_every_size_of_window(size: tuple[int, int]) -> None:
    metrics = Metrics.of(size)

    assert metrics.button / metrics.px_per_mm >= 44 * MM_PER_CSS_PX
