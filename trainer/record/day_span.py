"""A span of days in the counters, and their rows that hold all days."""

from __future__ import annotations

from datetime import date
from typing import TypeAlias

from sqlalchemy import ColumnElement

Days: TypeAlias = tuple[date, date]
"""The first and the last of some days, both among them."""


def between(day: ColumnElement[str], days: Days) -> ColumnElement[bool]:
    """That a day lies in the span."""
    return day.between(days[0].isoformat(), days[1].isoformat())
