"""The shape of each level of mastery, as it stands in tables and legends beside its counts."""

from __future__ import annotations

from functools import cache

from markupsafe import Markup

from trainer.drawing import theme
from trainer.teaching import Level

_RING = f'<circle cx="8" cy="8" r="6" fill="none" stroke="{theme.TEXT}" stroke-width="1.8"/>'
_SHAPES = {
    Level.MOSTLY: f'<circle cx="8" cy="8" r="6.9" fill="{theme.BLUE}"/>',
    Level.PARTLY: f'{_RING}<path d="M8 2a6 6 0 0 0 0 12z" fill="{theme.BLUE}"/>',
    Level.SELDOM: _RING,
    Level.FEW: f'<path d="M4 8h8" stroke="{theme.QUIET}" stroke-width="2" stroke-linecap="round"/>',
    Level.NONE: "",
}


@cache
def mark(level: Level) -> Markup:
    """The shape of a level: full, half and open circle, a dash, nothing; words or counts go beside it."""
    return Markup(
        '<svg class="mark" aria-hidden="true" width="16" height="16" viewBox="0 0 16 16">'
        f"{_SHAPES[level]}</svg>"
    )
