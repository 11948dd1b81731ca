"""Ink drawn side by side on a PNG, so that a person can look at what the figures say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from textwrap import wrap

import numpy as np

from strokes.polyline import Polyline

COLORS = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#222222")
"""Okabe and Ito's, one a trace in turn; the number at its start says the same."""

COLUMNS, SIZE, WIDEST = 10, 1.5, 26
"""Drawings in a row, the width of one in inches, and the signs in a line above it."""


@dataclass(frozen=True, eq=False)
class SheetCell:
    """Ink and what is written under it."""

    traces: Sequence[Polyline]
    caption: str


def _wrapped(caption: str) -> str:
    """No line wider than the drawing under it."""
    return "\n".join("\n".join(wrap(line, WIDEST)) for line in caption.splitlines())


def draw(drawings: Sequence[SheetCell], title: str, path: Path) -> None:
    """One sheet of ink: each trace with its number at the start and a mark where it was going next."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    rows = max(1, -(-len(drawings) // COLUMNS))
    figure = Figure(figsize=(COLUMNS * SIZE, rows * SIZE * 1.3 + 0.5), layout="constrained")
    FigureCanvasAgg(figure)
    figure.suptitle(title, fontsize=11)
    for number in range(rows * COLUMNS):
        axes = figure.add_subplot(rows, COLUMNS, number + 1)
        axes.set_axis_off()
        if number >= len(drawings):
            continue
        one = drawings[number]
        axes.set_title(_wrapped(one.caption), fontsize=6)
        axes.set_aspect("equal")
        every = np.vstack(list(one.traces))
        low, high = every.min(axis=0), every.max(axis=0)
        pad = 0.15 * max(float((high - low).max()), 1e-6)
        axes.set_xlim(low[0] - pad, high[0] + pad)
        axes.set_ylim(high[1] + pad, low[1] - pad)
        for index, trace in enumerate(one.traces):
            color = COLORS[index % len(COLORS)]
            axes.plot(*trace.T, color=color, linewidth=1.2, marker=".", markersize=1.5)
            axes.plot(*trace[0], color=color, marker="o", markersize=4)
            axes.annotate(
                str(index + 1), trace[0], fontsize=7, xytext=(-7, 2), textcoords="offset points", color=color
            )
    figure.savefig(path, dpi=110, facecolor="white")
