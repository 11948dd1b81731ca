from __future__ import annotations

import pytest

from tests.cases import for_each
from trainer.drawing import theme
from trainer.drawing.theme import Metrics


@for_each("color", [theme.TEXT, theme.QUIET, theme.BLACK, theme.BLUE])
@for_each("ground", [theme.PAPER, theme.CARD])
def test_words_stand_out_from_what_they_lie_on(color: str, ground: str) -> None:
    """WCAG 2.2, 1.4.3: at least 4.5 to 1."""
    assert theme.contrast(color, ground) >= 4.5


@pytest.mark.parametrize("color", [theme.EDGE, theme.GUIDE, theme.VERMILLION, theme.GREEN])
def test_marks_and_borders_stand_out_from_the_page(color: str) -> None:
    """WCAG 2.2, 1.4.11: at least 3 to 1 for what must be seen to use a screen."""
    assert theme.contrast(color, theme.PAPER) >= 3.0


def test_the_order_of_two_colors_does_not_matter_for_their_contrast() -> None:
    assert theme.contrast("#000", "#fff") == theme.contrast("#ffffff", "#000000") == pytest.approx(21.0)


@pytest.mark.parametrize("color", ["red", "#12", "#12345"])
def test_a_color_that_is_not_written_in_hex_is_refused(color: str) -> None:
    with pytest.raises(ValueError, match=r"#rrggbb|invalid literal"):
        theme.rgb(color)


def test_a_small_classroom_screen_has_buttons_of_fifteen_millimeters() -> None:
    """7-inch panels of 800 x 480 are 154 mm wide: 5.2 px/mm (plain geometry of a 5 to 3 screen)."""
    metrics = Metrics.of((800, 480))
    assert metrics.button == pytest.approx(78, abs=1)
    assert metrics.gap == pytest.approx(26, abs=1)


@pytest.mark.parametrize(
    "size", [(480, 320), (800, 480), (480, 800), (1280, 800), (1920, 1080), (3840, 2160)]
)
def test_a_button_never_takes_more_than_a_sixth_of_the_short_side(size: tuple[int, int]) -> None:
    metrics = Metrics.of(size)
    assert metrics.button <= min(size) / 6 + 0.01
    assert metrics.gap == pytest.approx(metrics.button / 3)


def test_a_known_size_of_the_screen_is_believed() -> None:
    assert Metrics.of((1920, 1080), 3.6).mm(10) == pytest.approx(36)


@for_each("count", range(1, 12))
@for_each("span", [300.0, 480.0, 800.0, 2000.0])
def test_a_row_of_buttons_fits_its_span(count: int, span: float) -> None:
    side, gap = Metrics.of((800, 480)).row(count, span)
    assert count * side + (count - 1) * gap <= span + 0.01
    assert side > 0


def test_in_a_tight_row_the_gaps_give_way_before_the_buttons() -> None:
    metrics = Metrics.of((800, 480))
    side, gap = metrics.row(5, 5 * metrics.button + 4 * metrics.gap * 0.7)
    assert side == pytest.approx(metrics.button)
    assert gap == pytest.approx(metrics.gap * 0.7)
