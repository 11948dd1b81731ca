"""Arcs as lines of points, for icons and pictures."""

from __future__ import annotations

from math import cos, pi, sin

from trainer.drawing.coverage import Point


def arc(center: Point, radius: float, start: float, end: float, squash: float = 1.0) -> list[Point]:
    """Points on a circle from `start` to `end` degrees, clockwise from the right; `squash` flattens it."""
    count = max(6, int(abs(end - start) / 12))
    angles = [(start + (end - start) * step / count) * pi / 180 for step in range(count + 1)]
    return [(center[0] + radius * cos(a), center[1] + radius * squash * sin(a)) for a in angles]
