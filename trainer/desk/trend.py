"""The term as a chart: week by week, how many of ten tries were well formed and looked right.

The lines differ by dash and marker, so that the chart can be read without color. matplotlib comes only
when a chart is asked for.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from html import escape
from typing import Any

from trainer import theme
from trainer.summary import Week, wilson
from trainer.texts import text
from trainer.tries import ENOUGH
from trainer.wording import day_words

SIZE = (9.2, 3.9)  # inches, of which a page shows 72 px each at its full width

_STYLE: dict[Any, Any] = {
    "svg.fonttype": "path",  # the page's typeface is not there in a picture
    "svg.hashsalt": "trend",  # the same weeks give the same bytes
    "font.size": 11,
    "axes.facecolor": theme.PAPER,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "text.color": theme.TEXT,
    "axes.labelcolor": theme.TEXT,
    "axes.edgecolor": theme.EDGE,
    "xtick.color": theme.TEXT,
    "ytick.color": theme.TEXT,
}


def drawn(weeks: Sequence[Week]) -> str:
    """The chart of these weeks as SVG. A week under three tries has a gap: nothing is concluded from it."""
    from matplotlib import rc_context  # takes longer to import than a page takes to answer
    from matplotlib.figure import Figure

    with rc_context(_STYLE):
        figure = Figure(figsize=SIZE, layout="constrained", facecolor=theme.PAPER)
        shares, tries = figure.subplots(2, 1, sharex=True, height_ratios=(3, 1))
        _shares(shares, weeks)
        _tries(tries, weeks)
        file = io.StringIO()
        figure.savefig(file, format="svg", metadata={"Date": None})
    return _titled(file.getvalue(), weeks)


def _shares(axes: Any, weeks: Sequence[Week]) -> None:
    places = range(len(weeks))
    bounds = [wilson(week.formed, week.tries) for week in weeks]
    low = [
        10 * one[0] if week.tries >= ENOUGH else float("nan") for one, week in zip(bounds, weeks, strict=True)
    ]
    high = [
        10 * one[1] if week.tries >= ENOUGH else float("nan") for one, week in zip(bounds, weeks, strict=True)
    ]
    axes.fill_between(places, low, high, color=theme.PALE, alpha=0.55, linewidth=0)
    formed = [_of_ten(week.formed, week.tries) for week in weeks]
    looks = [_of_ten(week.looks, week.tries) for week in weeks]
    axes.plot(
        places,
        formed,
        "-o",
        color=theme.BLUE,
        linewidth=2.2,
        markersize=6,
        label=text("classroom.trend.formed"),
    )
    axes.plot(
        places,
        looks,
        "--s",
        color=theme.TEXT,
        linewidth=1.6,
        markersize=5.5,
        markerfacecolor=theme.PAPER,
        label=text("classroom.trend.looks"),
    )
    axes.set_ylim(0, 10.4)
    axes.set_yticks(range(0, 11, 2))
    axes.set_ylabel(text("classroom.trend.of_ten"))
    axes.grid(axis="y", color=theme.PALE, linewidth=0.7)
    axes.set_axisbelow(True)
    axes.legend(loc="lower right", frameon=True, facecolor=theme.PAPER, edgecolor="none", framealpha=0.85)


def _tries(axes: Any, weeks: Sequence[Week]) -> None:
    places = range(len(weeks))
    axes.bar(places, [week.tries for week in weeks], width=0.55, color=theme.GUIDE)
    axes.set_ylabel(text("classroom.trend.tries"))
    axes.set_xticks(places, [day_words(week.start) for week in weeks])
    axes.set_xlabel(text("classroom.trend.week"))
    axes.locator_params(axis="y", nbins=3, integer=True)
    axes.margins(x=0.02)


def _of_ten(good: int, tries: int) -> float:
    return 10 * good / tries if tries >= ENOUGH else float("nan")


def _titled(svg: str, weeks: Sequence[Week]) -> str:
    """The picture from its svg element on, with a title and a description for screen readers."""
    start = svg.index("<svg")
    end = svg.index(">", start) + 1
    said = text("classroom.trend.alt", weeks=len(weeks))
    head = f"<title>{escape(text('classroom.trend.heading'))}</title><desc>{escape(said)}</desc>"
    return f"{svg[start:end]}{head}{svg[end:]}"
