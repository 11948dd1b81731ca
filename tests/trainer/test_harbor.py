"""The picture cards: each its own thing, told apart by shape and not by color."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import numpy as np
import pygame
import pygame.surfarray
import pytest
from numpy.typing import NDArray

from tests.cases import for_each
from tests.recording import RecordingCanvas
from trainer.attempt import CARDS
from trainer.drawing import theme
from trainer.drawing.cards import harbor
from trainer.drawing.cards import parts as cardparts
from trainer.drawing.raster.canvas import Canvas
from trainer.drawing.rect import Rect
from trainer.drawing.theme import Metrics
from trainer.practice.scenes.rest import QUIET_CARD

NUMBERS = range(1, CARDS + 1)
CELLS = 16
"""A picture of 15 mm in so many rows and columns: what is left of it from across a table."""
TINT = np.array(theme.rgb(cardparts.TINT))
LIGHT = np.array([0.2126, 0.7152, 0.0722])


def lines(card: int) -> list[tuple[object, ...]]:
    """What is drawn of a card without its colors, in the order of places."""
    canvas = RecordingCanvas()
    harbor.draw(canvas, card, Rect(0, 0, 100, 100))
    return sorted(
        (call.name, *(repr(v) for k, v in call.given.items() if k != "color")) for call in canvas.calls
    )


@cache
def painted(card: int) -> NDArray[np.float64]:
    """The picture as it stands on the glass, in red, green and blue."""
    side = CELLS * 5  # px, 15 mm at 5.3 px a millimeter
    surface = pygame.Surface((side, side), depth=32)
    surface.fill(cardparts.TINT)
    harbor.draw(Canvas(surface, Metrics(side, side, 5.3)), card, Rect(0, 0, side, side))
    return pygame.surfarray.array3d(surface).astype(float)


def outline(card: int) -> NDArray[np.float64]:
    """How much of each cell is drawn on, in whatever color."""
    return cells(np.abs(painted(card) - TINT).max(axis=2) > 40)


def gray(card: int) -> NDArray[np.float64]:
    """How much darker or lighter than its tint each cell is, from 0 to 1."""
    return cells(np.abs((painted(card) - TINT) @ LIGHT) / 255)


def cells(picture: NDArray[np.generic]) -> NDArray[np.float64]:
    return picture.reshape(CELLS, 5, CELLS, 5).mean(axis=(1, 3))


def apart(picture: NDArray[np.float64], other: NDArray[np.float64]) -> float:
    """0 where both are the same, 1 where nothing of one lies on the other."""
    return float(np.abs(picture - other).sum() / (picture + other).sum())


def test_there_is_a_picture_for_every_card_number():
    assert len(harbor.PICTURES) == CARDS
    assert len(set(harbor.PICTURES)) == CARDS


def test_no_two_pictures_are_the_same_lines_in_other_colors():
    assert len({repr(lines(card)) for card in NUMBERS}) == CARDS


@pytest.mark.parametrize(("rendered", "least"), [(outline, 0.1), (gray, 0.2)])
def test_from_afar_and_without_color_any_two_pictures_differ(rendered, least):
    """By their outline alone, and by light and dark; half of all pairs differ by 0.45 and more."""
    gaps = {(a, b): apart(rendered(a), rendered(b)) for a, b in combinations(NUMBERS, 2)}
    closest = min(gaps, key=gaps.__getitem__)

    assert gaps[closest] >= least, (closest, gaps[closest])
    assert np.median(list(gaps.values())) >= 0.45


@for_each("card", NUMBERS)
def test_a_picture_stays_on_its_card(card):
    canvas = RecordingCanvas()
    harbor.draw(canvas, card, Rect(0, 0, 100, 100))

    for call in canvas.named("line"):
        reach = call.given["width"] / 2
        for x, y in call.given["points"]:
            assert reach <= x + 0.5 <= 101 - reach
            assert reach <= y + 0.5 <= 101 - reach


@for_each("card", NUMBERS)
def test_a_picture_is_mostly_drawn_in_what_is_seen_on_its_tint(card):
    """WCAG 1.4.11 asks for 3 to 1 of what is needed to know a picture; the rest of it may be paler."""
    drawn = {stripe.color for stripe in harbor.PICTURES[card - 1]()}

    assert any(theme.contrast(color, cardparts.TINT) >= 3 for color in drawn)


def test_the_quiet_screen_shows_the_moon():
    assert harbor.PICTURES[QUIET_CARD - 1] is harbor._moon
