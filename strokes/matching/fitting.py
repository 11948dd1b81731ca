"""Fitting ink to a formation: box on box at first, by least squares along warping paths then."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
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

_STRETCH = WEIGHTS.stretch**0.5
"""How far each axis may be scaled from the mean of both."""


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
    scale_x, scale_y, shift_x, shift_y = plain.numbers
    x, y = drawn[:, 0] * scale_x + shift_x, drawn[:, 1] * scale_y + shift_y
    left, middle = float(np.add.reduce(x)) / len(x), float(np.add.reduce(y)) / len(y)
    rows = np.ones((5, len(drawn)))
    np.subtract(y, middle, out=rows[1])
    np.minimum(y + 1.0, 0.0, out=rows[2])
    np.maximum(y, 0.0, out=rows[3])
    np.subtract(x, left, out=rows[4])
    shift, more, above, below, tilt = _ridge(rows, model[:, 1] - y)
    tall, tilt = (
        _within(1.0 + more, WEIGHTS.rescale_least, WEIGHTS.rescale_most),
        _within(tilt, -WEIGHTS.tilt, WEIGHTS.tilt),
    )
    scale_y, shift_y = scale_y * tall, shift_y * tall + (shift + (1.0 - tall) * middle - tilt * left)
    above, below = (_within(zone / tall, -WEIGHTS.zone, WEIGHTS.zone) for zone in (above, below))
    rows = np.stack([rows[0], rows[4], _leveled(x, drawn[:, 1] * scale_y + shift_y, above, below, tilt)])
    shift, more, slant = _ridge(rows, model[:, 0] - x)
    apart = abs(scale_x / scale_y)
    narrowest = max(WEIGHTS.rescale_least, 1 / WEIGHTS.stretch / apart)
    wide = _within(1.0 + more, narrowest, min(WEIGHTS.rescale_most, WEIGHTS.stretch / apart))
    shift += (1.0 - wide) * left
    tilt /= wide
    plain = Transform(scale_x * wide, scale_y, shift_x * wide + shift, shift_y - tilt * shift)
    return Fit(plain, above, below, _within(slant, -WEIGHTS.slant, WEIGHTS.slant), tilt)


def _within(value: float, low: float, high: float) -> float:
    """np.clip of one number, which takes ten times as long."""
    return min(max(value, low), high)


def _ridge(rows: Floats, target: Floats) -> list[float]:
    """The weights of these rows (rows, n) that add up to the target (n,).

    That of the first, the constant, is free, the others are held towards 0 by `Weights.firm`.
    """
    normal = rows @ rows.T
    held = normal.ravel()[:: len(normal) + 1]  # the diagonal, in place
    held[0] += 1e-9
    held[1:] += WEIGHTS.firm * len(target)
    wanted = rows @ target
    _, solution, failed = _positive_solver()(normal, wanted)
    if failed:  # to the last digit it is none: numbers that are too far apart
        return np.linalg.solve(normal, wanted).tolist()  # type: ignore[no-any-return]
    weights: list[float] = solution.tolist()
    return weights


@lru_cache
def _positive_solver() -> Callable[[Floats, Floats], tuple[Floats, Floats, int]]:
    """LAPACK's solver for positive definite matrices: for five rows np.linalg.solve takes thrice as long."""
    from scipy.linalg.lapack import dposv

    solver: Callable[[Floats, Floats], tuple[Floats, Floats, int]] = dposv
    return solver


def box_fit(ink: Box, model: Box) -> Transform:
    """The map of one box onto another, center on center, the axes scaled apart within `stretch`."""
    (left, top, right, bottom), (model_left, model_top, model_right, model_bottom) = ink, model
    width, height = right - left, bottom - top
    model_width, model_height = model_right - model_left, model_bottom - model_top
    size = hypot(width, height)
    middle = hypot(model_width, model_height) / size if size > 0 else 1.0
    least, most = middle / _STRETCH, middle * _STRETCH
    thin = WEIGHTS.thin * max(model_width, model_height)  # a stem's width says nothing
    scale_x = middle if model_width < thin or width == 0 else _within(model_width / width, least, most)
    scale_y = middle if model_height < thin or height == 0 else _within(model_height / height, least, most)
    return Transform(
        scale_x,
        scale_y,
        (model_left + model_right) / 2 - scale_x * (left + right) / 2,
        (model_top + model_bottom) / 2 - scale_y * (top + bottom) / 2,
    )


def least_squares(drawn: Polyline, model: Polyline) -> Transform | None:
    """The map of points on points with the least squared error, the axes scaled apart within `stretch`."""
    ink_middle, model_middle = np.add.reduce(drawn) / len(drawn), np.add.reduce(model) / len(model)
    ink_off, model_off = drawn - ink_middle, model - model_middle
    spread: list[float] = np.add.reduce(ink_off * ink_off).tolist()
    whole = sum(spread)
    if whole <= 0:
        return None
    agree: list[float] = np.add.reduce(ink_off * model_off).tolist()
    both = sum(agree) / whole
    if both <= 0:
        return None
    firm = WEIGHTS.level * whole  # an axis with little spread, a stem's, follows the other one
    scale_x, scale_y = (
        _within((own + firm * both) / (its + firm), both / _STRETCH, both * _STRETCH)
        for own, its in zip(agree, spread, strict=True)
    )
    (x, y), (model_x, model_y) = ink_middle.tolist(), model_middle.tolist()
    return Transform(scale_x, scale_y, model_x - scale_x * x, model_y - scale_y * y)


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
        Guess(Fit(box_fit(ink_box, model_box)), extra, missing)
        for (ink_box, extra), (model_box, missing) in product(ink_boxes.items(), model_boxes.items())
    ]
