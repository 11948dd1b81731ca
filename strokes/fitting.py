"""Fitting ink to a formation: box on box at first, by least squares along warping paths then."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, product

import numpy as np

from strokes.letter import Formation
from strokes.polyline import Polyline, bounds
from strokes.transform import Transform

STRETCH = 1.35
"""How far the two axes may be scaled apart when ink is fitted: a letter may be narrow or wide."""

LEVEL = 0.1
"""How firmly the two axes are held to one scale, as a share of the ink's spread."""

THIN = 0.2
"""A model whose one side is less than this share of the other is fitted by the long side alone."""

FEW = 2
"""With more lines than this at most one of them is taken to be too many when ink is fitted."""

MOST_RUNS = 4
"""With more strokes or traces than this only one to one is tried: a scribble must not cost seconds."""


def box_fit(ink: tuple[float, float, float, float], model: tuple[float, float, float, float]) -> Transform:
    """The map of one box onto another, center on center, the axes scaled apart by at most STRETCH."""
    width, height = ink[2] - ink[0], ink[3] - ink[1]
    model_width, model_height = model[2] - model[0], model[3] - model[1]
    size = float(np.hypot(width, height))
    middle = float(np.hypot(model_width, model_height)) / size if size > 0 else 1.0
    scales = []
    for span, model_span in ((width, model_width), (height, model_height)):
        thin = model_span < THIN * max(model_width, model_height)  # a stem's width says nothing
        scale = middle if thin or span == 0 else model_span / span
        scales.append(float(np.clip(scale, middle / STRETCH**0.5, middle * STRETCH**0.5)))
    return _centered(scales, ink, model)


def _centered(
    scales: Sequence[float], ink: tuple[float, float, float, float], model: tuple[float, float, float, float]
) -> Transform:
    scale_x, scale_y = scales
    return Transform(
        scale_x,
        scale_y,
        (model[0] + model[2]) / 2 - scale_x * (ink[0] + ink[2]) / 2,
        (model[1] + model[3]) / 2 - scale_y * (ink[1] + ink[3]) / 2,
    )


def least_squares(drawn: Polyline, model: Polyline) -> Transform | None:
    """The map of points on points with the least squared error, the axes scaled apart by at most STRETCH."""
    ink_middle, model_middle = drawn.mean(axis=0), model.mean(axis=0)
    ink_off, model_off = drawn - ink_middle, model - model_middle
    spread = (ink_off**2).sum(axis=0)
    if spread.sum() <= 0:
        return None
    agree = (ink_off * model_off).sum(axis=0)
    both = float(agree.sum() / spread.sum())
    if both <= 0:
        return None
    firm = LEVEL * spread.sum()  # an axis with little spread, a stem's, follows the other one
    each = (agree + firm * both) / (spread + firm)
    scale = np.clip(each, both / STRETCH**0.5, both * STRETCH**0.5)
    shift = model_middle - scale * ink_middle
    return Transform(float(scale[0]), float(scale[1]), float(shift[0]), float(shift[1]))


def _boxes(lines: Sequence[Polyline], least: int) -> list[tuple[float, float, float, float]]:
    """The box around all lines, and around each choice of at least `least` of them, few being left out."""
    count = len(lines)
    most = count - max(1, least) if count <= FEW else 1 if count <= MOST_RUNS else 0
    choices = [chosen for left_out in range(most + 1) for chosen in combinations(lines, count - left_out)]
    return list(dict.fromkeys(bounds(np.vstack(chosen)) for chosen in choices))


def fits(traces: Sequence[Polyline], formation: Formation) -> list[Transform]:
    """The fits worth trying: all on all, and where the numbers differ, less those that may be too many.

    Nothing is fitted to dots alone: anything fits a dot.
    """
    strokes = [stroke.path for stroke in formation.strokes]
    drawn, model = len(traces), len(strokes)
    ink_boxes = _boxes(traces, model if drawn > model else drawn)
    lines = [stroke.path for stroke in formation.strokes if not stroke.is_dot] or strokes
    model_boxes = list(dict.fromkeys([bounds(np.vstack(strokes)), *_boxes(lines, min(drawn, len(lines)))]))
    if model <= drawn:
        model_boxes = model_boxes[:1]
    return [box_fit(ink_box, model_box) for ink_box, model_box in product(ink_boxes, model_boxes)]
