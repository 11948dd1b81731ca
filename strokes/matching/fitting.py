"""Fitting ink to a formation: box on box at first, by least squares along warping paths then."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from math import hypot
from typing import NamedTuple

import numpy as np

from strokes.letter import Formation
from strokes.polyline import Box, Floats, Polyline, around, bounds
from strokes.transform import Transform
from strokes.weights import WEIGHTS


@dataclass(frozen=True)
class Fit:
    """Ink laid on a letter: scaled and shifted; level and upright; stretched above and below the x-height.

    Writers differ in how tall their ascenders are beside their bowls, how far their letters lean and their
    lines rise. None of it says anything about how a letter was formed.
    """

    plain: Transform
    above: float = 0.0
    below: float = 0.0
    slant: float = 0.0
    tilt: float = 0.0

    @property
    def size(self) -> float:
        """How many times larger the letter is than the ink, both axes taken together."""
        return float(abs(self.plain.scale_x * self.plain.scale_y) ** 0.5)

    @property
    def widened(self) -> float:
        """How many times more the ink's width is scaled than its height."""
        return float(abs(self.plain.scale_x / self.plain.scale_y))

    @property
    def is_plain(self) -> bool:
        """Whether it only scales and shifts."""
        return not (self.above or self.below or self.slant or self.tilt)

    def apply(self, line: Polyline) -> Polyline:
        """From the ink's own space into letter space, for (..., 2)."""
        moved = self.plain.apply(line)
        if not self.is_plain:
            _bend(moved, self.above, self.below, self.slant, self.tilt)
        return moved

    def at(self, x: float, y: float) -> tuple[float, float]:
        """The same as `apply` for one place, in a tenth of its time."""
        x, y = self.plain.at(x, y)
        if not self.is_plain:
            y += self.tilt * x
            y = y + self.above * min(y + 1.0, 0.0) + self.below * max(y, 0.0)
            x += self.slant * y
        return x, y

    def back_at(self, x: float, y: float) -> tuple[float, float]:
        """The same as `back` for one place, in a tenth of its time."""
        if not self.is_plain:
            x -= self.slant * y
            if y < -1.0:
                y = (y + 1.0) / (1.0 + self.above) - 1.0
            elif y > 0.0:
                y = y / (1.0 + self.below)
            y -= self.tilt * x
        return self.plain.back_at(x, y)

    def back(self, line: Polyline) -> Polyline:
        """From letter space into the ink's own, for (..., 2)."""
        if self.is_plain:
            return self.plain.inverse().apply(line)
        x, y = line[..., 0] - self.slant * line[..., 1], line[..., 1]
        y = np.where(
            y < -1.0, (y + 1.0) / (1.0 + self.above) - 1.0, np.where(y > 0.0, y / (1.0 + self.below), y)
        )
        return self.plain.inverse().apply(np.stack([x, y - self.tilt * x], axis=-1))


def apply_each(fits_of: Sequence[Fit], counts: Sequence[int], lines: Floats) -> Floats:
    """Lines (lines, n, 2) by several fits in one go: so many by each as `counts` says, in their order."""
    each = np.array([(*fit.plain.numbers, fit.above, fit.below, fit.slant, fit.tilt) for fit in fits_of])
    of_lines = each.repeat(counts, axis=0)[:, None]
    moved: Floats = lines * of_lines[..., :2] + of_lines[..., 2:4]
    if of_lines[..., 4:].any():
        _bend(moved, *(of_lines[..., k] for k in range(4, 8)))
    return moved


def _bend(
    moved: Floats, above: float | Floats, below: float | Floats, slant: float | Floats, tilt: float | Floats
) -> None:
    """Level, stretch and set upright, in place, what is scaled and shifted: (..., 2)."""
    moved[..., 1] = _leveled(moved[..., 0], moved[..., 1], above, below, tilt)
    moved[..., 0] += slant * moved[..., 1]


def _leveled(
    x: Floats, y: Floats, above: float | Floats, below: float | Floats, tilt: float | Floats
) -> Floats:
    """The heights, level and stretched."""
    y = y + tilt * x
    leveled: Floats = y + above * np.minimum(y + 1.0, 0.0) + below * np.maximum(y, 0.0)
    return leveled


def proportioned(drawn: Polyline, model: Polyline) -> Fit | None:
    """The fit of points on points with the least squared error; None where the points tell of none.

    First the plain one; then the heights with their zones and their tilt, and the widths with their slant.
    """
    plain = least_squares(drawn, model)
    if plain is None:
        return None
    x, y = drawn[:, 0] * plain.scale_x + plain.shift_x, drawn[:, 1] * plain.scale_y + plain.shift_y
    left, middle = float(np.add.reduce(x)) / len(x), float(np.add.reduce(y)) / len(y)
    shift, more, above, below, tilt = _ridge(
        [y - middle, np.minimum(y + 1.0, 0.0), np.maximum(y, 0.0), x - left], model[:, 1] - y
    )
    tall, tilt = (
        _within(1.0 + more, WEIGHTS.rescale_least, WEIGHTS.rescale_most),
        _within(tilt, -WEIGHTS.tilt, WEIGHTS.tilt),
    )
    plain = plain.then(Transform(1.0, tall, 0.0, shift + (1.0 - tall) * middle - tilt * left))
    above, below = (_within(zone / tall, -WEIGHTS.zone, WEIGHTS.zone) for zone in (above, below))
    y = drawn[:, 1] * plain.scale_y + plain.shift_y
    y = _leveled(x, y, above, below, tilt)
    shift, more, slant = _ridge([x - left, y], model[:, 0] - x)
    apart = abs(plain.scale_x / plain.scale_y)
    narrowest = max(WEIGHTS.rescale_least, 1 / WEIGHTS.stretch / apart)
    wide = _within(1.0 + more, narrowest, min(WEIGHTS.rescale_most, WEIGHTS.stretch / apart))
    shift += (1.0 - wide) * left
    tilt /= wide
    plain = plain.then(Transform(wide, 1.0, shift, -tilt * shift))
    return Fit(plain, above, below, _within(slant, -WEIGHTS.slant, WEIGHTS.slant), tilt)


def _within(value: float, low: float, high: float) -> float:
    """np.clip of one number, which takes ten times as long."""
    return min(max(value, low), high)


def _ridge(columns: Sequence[Floats], target: Floats) -> list[float]:
    """The free constant and the weights of these columns, the weights held towards 0 by `Weights.firm`."""
    every = np.array([np.ones(len(target)), *columns])
    normal = every @ every.T
    held = normal.ravel()[:: len(normal) + 1]  # the diagonal, in place
    held[0] += 1e-9
    held[1:] += WEIGHTS.firm * len(target)
    solution: list[float] = np.linalg.solve(normal, every @ target).tolist()
    return solution


def box_fit(ink: Box, model: Box) -> Transform:
    """The map of one box onto another, center on center, the axes scaled apart within `stretch`."""
    width, height = ink[2] - ink[0], ink[3] - ink[1]
    model_width, model_height = model[2] - model[0], model[3] - model[1]
    size = hypot(width, height)
    middle = hypot(model_width, model_height) / size if size > 0 else 1.0
    scales = []
    for span, model_span in ((width, model_width), (height, model_height)):
        thin = model_span < WEIGHTS.thin * max(model_width, model_height)  # a stem's width says nothing
        scale = middle if thin or span == 0 else model_span / span
        scales.append(_within(scale, middle / WEIGHTS.stretch**0.5, middle * WEIGHTS.stretch**0.5))
    return _centered(scales, ink, model)


def _centered(scales: Sequence[float], ink: Box, model: Box) -> Transform:
    scale_x, scale_y = scales
    return Transform(
        scale_x,
        scale_y,
        (model[0] + model[2]) / 2 - scale_x * (ink[0] + ink[2]) / 2,
        (model[1] + model[3]) / 2 - scale_y * (ink[1] + ink[3]) / 2,
    )


def least_squares(drawn: Polyline, model: Polyline) -> Transform | None:
    """The map of points on points with the least squared error, the axes scaled apart within `stretch`."""
    ink_middle, model_middle = np.add.reduce(drawn) / len(drawn), np.add.reduce(model) / len(model)
    ink_off, model_off = drawn - ink_middle, model - model_middle
    spread = np.add.reduce(ink_off * ink_off)
    whole = float(spread[0] + spread[1])
    if whole <= 0:
        return None
    agree = np.add.reduce(ink_off * model_off)
    both = float(agree[0] + agree[1]) / whole
    if both <= 0:
        return None
    firm = WEIGHTS.level * whole  # an axis with little spread, a stem's, follows the other one
    each = (agree + firm * both) / (spread + firm)
    scale = np.minimum(np.maximum(each, both / WEIGHTS.stretch**0.5), both * WEIGHTS.stretch**0.5)
    shift = model_middle - scale * ink_middle
    return Transform(float(scale[0]), float(scale[1]), float(shift[0]), float(shift[1]))


def _boxes(boxes: Mapping[int, Box], least: int) -> dict[Box, int | None]:
    """The box around all boxes and, if there may be fewer than all, around all but one; with its number."""
    numbers: dict[Box, int | None] = {around(list(boxes.values())): None}
    if least < len(boxes) <= WEIGHTS.most_runs:
        for left_out in boxes:
            numbers.setdefault(around([box for k, box in boxes.items() if k != left_out]), left_out)
    return numbers


@lru_cache(maxsize=4096)
def _lines(formation: Formation) -> Mapping[int, Box]:
    """The boxes of its strokes by number, of a dot only if there is nothing else."""
    boxes = {k: bounds(stroke.path) for k, stroke in enumerate(formation.strokes)}
    return {k: box for k, box in boxes.items() if not formation.strokes[k].is_dot} or boxes


@lru_cache(maxsize=4096)
def _model_boxes(formation: Formation, least: int) -> dict[Box, int | None]:
    """The same of its strokes."""
    return _boxes(_lines(formation), least)


class Guess(NamedTuple):
    """A fit worth trying, and the trace and the stroke, by number, that it takes to be one too many."""

    fit: Fit
    extra: int | None = None
    missing: int | None = None


def fits(boxes: Sequence[Box], formation: Formation) -> list[Guess]:
    """The fits worth trying for traces with these boxes: all on all, and where the numbers differ, less one.

    A dot may float anywhere above, so it says nothing of the fit: neither it nor as many of the smallest
    traces are fitted, while there are others.
    """
    lines = _lines(formation)
    inked = dict(enumerate(boxes))
    dots = min(len(formation.strokes) - len(lines), len(boxes) - 1)
    if dots:
        sides = [max(right - left, bottom - top) for left, top, right, bottom in boxes]
        for smallest in sorted(inked, key=lambda k: sides[k])[:dots]:
            del inked[smallest]
    least = min(len(inked), len(lines))
    ink_boxes, model_boxes = _boxes(inked, least), _model_boxes(formation, least)
    return [
        Guess(Fit(box_fit(ink_box, model_box)), ink_boxes[ink_box], model_boxes[model_box])
        for ink_box, model_box in product(ink_boxes, model_boxes)
    ]
