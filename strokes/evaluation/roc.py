"""A plot for each tolerance: what it accepts and refuses on real ink, and its ROC."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from strokes.evaluation.amounts import Amounts
from strokes.polyline import Floats
from strokes.tolerances import Tolerances

if TYPE_CHECKING:
    from matplotlib.axes import Axes

GOOD, BAD = "#0072B2", "#D55E00"
DASHES = ("-", "--", ":", "-.")
MARKS = ("o", "s", "^", "D")


def draw_roc(every: Sequence[Amounts], stages: Mapping[str, Tolerances], folder: Path) -> list[Path]:
    """One PNG a tolerance, its value at each stage drawn as a line; the paths of those that have ink."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    drawn = []
    for amounts in every:
        if not len(amounts.good) or not len(amounts.bad):
            continue
        figure = Figure(figsize=(10, 4), layout="constrained")
        FigureCanvasAgg(figure)
        left, right = figure.subplots(1, 2)
        limited = amounts.limited
        limits = {name: float(getattr(tolerances, limited.name)) for name, tolerances in stages.items()}
        figure.suptitle(f"{limited.name}: {len(amounts.good)} accepted letters, {len(amounts.bad)} damaged")
        _distributions(left, amounts, limits)
        _curve(right, amounts, limits)
        path = folder / f"roc-{limited.name}.png"
        figure.savefig(path, dpi=110, facecolor="white")
        drawn.append(path)
    return drawn


def _distributions(axes: Axes, amounts: Amounts, limits: Mapping[str, float]) -> None:
    """The share of ink below each amount, and the limits of the stages."""
    most = _most(amounts, limits)
    for name, values, color, dash in (
        ("accepted ink", amounts.good, GOOD, "-"),
        (f"damaged: {amounts.limited.fault}", amounts.bad, BAD, "--"),
    ):
        rising = np.sort(np.minimum(values, most))
        axes.step(rising, np.arange(1, len(rising) + 1) / len(rising), color=color, ls=dash, label=name)
    for (name, limit), dash in zip(limits.items(), DASHES, strict=False):
        axes.axvline(limit, color="#444444", ls=dash, lw=1, label=f"{name}: {limit:g}")
    worse = "smaller is worse" if amounts.limited.least else "larger is worse"
    axes.set(
        xlim=(-0.02 * most, 1.02 * most),
        ylim=(0, 1),
        xlabel=f"{amounts.limited.unit}; {worse}",
        ylabel="share of ink below",
    )
    axes.legend(fontsize=7)


def _most(amounts: Amounts, limits: Mapping[str, float]) -> float:
    finite: Floats = np.concatenate([amounts.good, amounts.bad])
    finite = finite[np.isfinite(finite)]
    top = float(np.percentile(finite, 99)) if len(finite) else 1.0
    return max(top, 1.3 * max(limits.values()), 1e-6)


def _curve(axes: Axes, amounts: Amounts, limits: Mapping[str, float]) -> None:
    """For every limit, the good ink refused against the damaged ink told; the stages are marked."""
    every: Floats = np.unique(np.concatenate([amounts.good, amounts.bad, [0.0, np.inf]]))
    points = np.array([amounts.refused(limit) for limit in _thinned(every)])
    order = np.lexsort((points[:, 1], points[:, 0]))
    axes.plot(points[order, 0], points[order, 1], color=GOOD)
    for (name, limit), mark in zip(limits.items(), MARKS, strict=False):
        good, bad = amounts.refused(limit)
        label = f"{name}: {good:.1%} of accepted ink refused, {bad:.1%} of damaged told"
        axes.plot(good, bad, color=BAD, marker=mark, ls="none", label=label)
    axes.set(xlim=(-0.02, 1), ylim=(0, 1.02), xlabel="accepted ink refused", ylabel="damaged ink told")
    axes.legend(fontsize=7, loc="lower right")


def _thinned(limits: Floats, most: int = 400) -> Floats:
    return limits if len(limits) <= most else limits[np.linspace(0, len(limits) - 1, most).astype(int)]
