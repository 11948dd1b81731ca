"""The term as a chart: week by week, how many of ten tries were well formed and looked right.

The lines differ by dash and marker, so that the chart can be read without color. matplotlib comes only
when a chart is asked for.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from functools import cache
from html import escape
from math import nan
from typing import Any

from strokes.intervals import wilson
from trainer.drawing import face_file, theme
from trainer.language import day_words, text
from trainer.teaching import ENOUGH, Week

SIZE = (9.2, 3.9)  # inches, of which a page shows 72 px each at its full width

_STYLE: dict[Any, Any] = {
    "svg.fonttype": "path",  # the page's typeface is not there in a picture
    "svg.hashsalt": "trend",  # the same weeks give the same bytes
    "font.size": 12,
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

    with rc_context({**_STYLE, **_typeface()}):
        figure = Figure(figsize=SIZE, layout="constrained", facecolor=theme.PAPER)
        shares, tries = figure.subplots(2, 1, sharex=True, height_ratios=(3, 1))
        _shares(shares, weeks)
        _tries(tries, weeks)
        file = io.StringIO()
        figure.savefig(file, format="svg", metadata={"Date": None})
    return _titled(file.getvalue(), weeks)


@cache
def _typeface() -> dict[Any, Any]:
    """The typeface of the pages, where its package is installed; matplotlib brings its own otherwise."""
    from matplotlib.font_manager import FontProperties, fontManager

    path = face_file("regular")
    if path is None:
        return {}
    fontManager.addfont(path)
    return {"font.family": FontProperties(fname=path).get_name()}


def _shares(axes: Any, weeks: Sequence[Week]) -> None:
    places = range(len(weeks))
    likely = [wilson(week.formed, week.tries) if week.tries >= ENOUGH else (nan, nan) for week in weeks]
    axes.fill_between(
        places, [10 * low for low, _ in likely], [10 * high for _, high in likely], color=theme.PALE, lw=0
    )
    formed = [_of_ten(week.formed, week.tries) for week in weeks]
    looks = [_of_ten(week.looks, week.tries) for week in weeks]
    axes.plot(places, formed, "-o", color=theme.BLUE, lw=2.2, ms=6, label=text("classroom.trend.formed"))
    hollow = {"ms": 5.5, "markerfacecolor": theme.PAPER}
    axes.plot(places, looks, "--s", color=theme.TEXT, lw=1.6, **hollow, label=text("classroom.trend.looks"))
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
    return 10 * good / tries if tries >= ENOUGH else nan


def _titled(svg: str, weeks: Sequence[Week]) -> str:
    """The picture from its svg element on, with a title and a description for screen readers."""
    start = svg.index("<svg")
    end = svg.index(">", start) + 1
    said = text("classroom.trend.alt", weeks=len(weeks))
    head = f"<title>{escape(text('classroom.trend.heading'))}</title><desc>{escape(said)}</desc>"
    return f"{svg[start:end]}{head}{svg[end:]}"
