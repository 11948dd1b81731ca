from __future__ import annotations

import numpy as np
import pygame
import pygame.surfarray
import pytest

from tests.cases import for_each
from tests.recording import RecordingCanvas
from trainer.drawing import theme
from trainer.drawing.raster.canvas import Canvas, Sprites
from trainer.drawing.rect import Rect
from trainer.drawing.surface import Drawing
from trainer.drawing.typesetting import broken, fit


def canvas(width: int = 300, height: int = 200) -> Canvas:
    drawn = Canvas(pygame.Surface((width, height), depth=32))
    drawn.fill(theme.PAPER)
    return drawn


def pixels(drawn: Canvas) -> np.ndarray:
    return pygame.surfarray.array3d(drawn.surface).swapaxes(0, 1)


def inked(drawn: Canvas) -> tuple[int, int, int, int]:
    """The box of all that is not paper: left, top, right, bottom."""
    there = np.argwhere((pixels(drawn) != theme.rgb(theme.PAPER)).any(axis=2))
    (top, left), (bottom, right) = there.min(axis=0), there.max(axis=0) + 1
    return left, top, right, bottom


def test_a_line_has_the_color_in_the_middle_and_soft_edges() -> None:
    drawn = canvas()
    drawn.line([(20, 20), (280, 170)], 12, theme.BLUE)
    colors = {tuple(color) for row in pixels(drawn) for color in row}
    assert theme.rgb(theme.BLUE) in colors
    assert len(colors) > 20


def test_drawing_twice_changes_nothing_the_second_time_but_soft_edges() -> None:
    """A sprite from the cache is the one that was drawn."""
    first, second = canvas(), canvas()
    first.line([(20, 20), (80, 90), (140, 30)], 9, theme.BLUE)
    second.line([(20, 20), (80, 90), (140, 30)], 9, theme.BLUE)
    assert (pixels(first) == pixels(second)).all()


def test_a_line_at_another_place_has_the_same_pixels() -> None:
    first, second = canvas(), canvas()
    first.line([(20.25, 20.5), (80, 90)], 9, theme.BLUE)
    second.line([(120.25, 70.5), (180, 140)], 9, theme.BLUE)
    assert (pixels(first)[10:100, 10:100] == pixels(second)[60:150, 110:200]).all()


def test_no_points_are_nothing_and_one_is_a_dot() -> None:
    drawn = canvas()
    drawn.line([], 8, theme.BLUE)
    drawn.line(np.zeros((0, 2)), 8, theme.BLUE)
    assert (pixels(drawn) == theme.rgb(theme.PAPER)).all()
    drawn.line([(100, 100)], 8, theme.BLUE)
    left, top, right, bottom = inked(drawn)
    assert 8 <= right - left <= 10
    assert 8 <= bottom - top <= 10


def test_what_lies_outside_is_cut_off() -> None:
    drawn = canvas()
    drawn.line([(-500, 50), (2000, 60)], 8, theme.BLUE)
    drawn.disc((1000, 1000), 30, theme.BLUE)
    drawn.ring((-200, 0), 30, 3, theme.BLUE)
    assert inked(drawn)[::2] == (0, 300)


def test_a_panel_has_straight_sides_and_round_corners_inside_its_box() -> None:
    drawn = canvas()
    drawn.panel(Rect(50, 40, 200, 100), 20, theme.CARD, theme.EDGE, 3)
    image = pixels(drawn)
    assert inked(drawn) == (50, 40, 250, 140)
    assert tuple(image[90, 50]) == theme.rgb(theme.EDGE)
    assert tuple(image[90, 150]) == theme.rgb(theme.CARD)
    assert tuple(image[40, 50]) == theme.rgb(theme.PAPER)
    assert (image == image[::, ::-1])[40:140, 50:250].all(), "the corners mirror each other"


@pytest.mark.parametrize("rect", [Rect(10, 10, 0, 50), Rect(10, 10, 1, 1), Rect(10, 10, 5, 80)])
def test_a_panel_too_small_for_its_corners_is_still_within_its_box(rect: Rect) -> None:
    drawn = canvas()
    drawn.panel(rect, 20, theme.CARD, theme.EDGE, 3)
    if rect.width:
        left, top, right, bottom = inked(drawn)
        assert (left, top) >= (10, 10)
        assert (right, bottom) <= (rect.right, rect.bottom)


@for_each("words", ["Net", "Down to the base line, back up, over and around to close."])
@for_each("box", [Rect(20, 20, 260, 160), Rect(20, 20, 120, 160), Rect(20, 20, 250, 30)])
@for_each("align", ["left", "center"])
def test_words_stay_in_their_box(words: str, box: Rect, align: str) -> None:
    drawn = canvas()
    used = drawn.text(words, box, 40, theme.TEXT, align=align)  # type: ignore[arg-type]
    left, top, right, bottom = inked(drawn)
    assert box.left - 1 <= left
    assert right <= box.right + 1
    assert box.top - 1 <= top
    assert bottom <= box.bottom + 1
    assert used.left - 1 <= left
    assert right <= used.right + 1


def test_short_words_are_not_shrunk_or_moved_from_their_point() -> None:
    drawn = canvas()
    used = drawn.text("net", (150, 100), 30, theme.TEXT)
    assert used.center == (pytest.approx(150), pytest.approx(100))
    assert used.height == pytest.approx(30 * 1.25)
    assert drawn.text("net", (150, 100), 30, theme.TEXT, align="left").left == 150


def test_the_recording_twin_tells_the_same_boxes() -> None:
    box = Rect(20, 20, 120, 60)
    twin = RecordingCanvas((300, 200))
    words = "Start at the top."
    assert twin.text(words, box, 40, theme.TEXT) == canvas().text(words, box, 40, theme.TEXT)
    assert twin.texts == [words]
    assert twin.mm(10) == canvas().mm(10)


@pytest.mark.parametrize("drawn", [canvas(), RecordingCanvas((300, 200))], ids=["canvas", "recording"])
def test_both_canvases_take_every_call(drawn: Drawing) -> None:
    drawn.fill(theme.PAPER)
    drawn.line([(1, 1), (90, 40)], 3, theme.BLACK, dashed=True)
    drawn.disc((50, 50), 4, theme.GREEN)
    drawn.ring((50, 50), 9, 2, theme.VERMILLION)
    drawn.panel(Rect(1, 1, 50, 50), 5, theme.CARD)
    assert drawn.text("1", (50, 50), 12, theme.BLACK, bold=True).width > 0
    assert drawn.size == (300, 200)


def test_old_sprites_are_let_go_when_memory_is_full() -> None:
    sprites = Sprites(limit=4 * 100 * 100 * 4)
    for number in range(10):
        sprites.keep(number, pygame.Surface((100, 100)))
        sprites.get(0)
    assert sprites.taken <= sprites.limit
    assert sprites.get(0) is not None, "what is in use stays"


def test_sprites_take_no_more_memory_than_the_page_they_are_for() -> None:
    sprites = Sprites(limit=1)
    sprites.fit((2000, 1000))
    for number in range(100):
        sprites.keep(number, pygame.Surface((500, 500)))
    assert sprites.taken == 2000 * 1000 * 4, "a large page may hold as much as it has itself"

    sprites.fit((1000, 1500))
    assert sprites.taken == 1000 * 1500 * 4, "a smaller one lets the oldest go at once"
    assert sprites.get(99) is not None
    assert sprites.get(93) is None


def test_long_lines_that_are_thin_are_let_go_by_what_their_points_take() -> None:
    sprites = Sprites(limit=1_000_000)
    for number in range(100):
        line = tuple((number, point) for point in range(1000))
        sprites.keep(("line", line, 1.0, "#000"), pygame.Surface((10, 10)))

    assert 0 < len(sprites._images) < 10
    assert 0 < sprites.taken <= sprites.limit
    assert sprites.get(1) is None
    sprites.keep("large", pygame.Surface((300, 300)))
    assert sprites.get("large") is None


def wide(string: str, size: int) -> float:
    return len(string) * size * 0.5


def test_lines_are_broken_at_spaces_and_never_in_a_word() -> None:
    setting = broken("over and around to close", 10, wide, 50)
    assert setting.lines == ("over and", "around to", "close")
    assert broken("over\nand", 10, wide, 500).lines == ("over", "and")


def test_a_long_word_is_set_smaller_and_not_cut() -> None:
    setting = fit("breakwater", 40, wide, width=100, height=100)
    assert setting.lines == ("breakwater",)
    assert setting.size == 20


def test_the_largest_size_that_fits_is_chosen() -> None:
    setting = fit("one two three four", 60, wide, width=100, height=70)
    larger = broken("one two three four", setting.size + 1, wide, 100)
    assert setting.width <= 100.5
    assert setting.height <= 70.5
    assert larger.width > 100.5 or larger.height > 70.5
