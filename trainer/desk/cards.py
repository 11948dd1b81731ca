"""The picture cards for the pages, drawn by the code that draws them in the practice window."""

from __future__ import annotations

from functools import lru_cache

from markupsafe import Markup

from trainer.desk.drawn import Sheet
from trainer.events import Rect
from trainer.scenes import harbor


@lru_cache(maxsize=256)
def card_svg(card: int, *, size: float = 64) -> Markup:
    """The picture of a card, `size` px square; screen readers pass it over, the name beside it says who."""
    sheet = Sheet()
    harbor.draw(sheet, card, Rect(0, 0, size, size))
    return Markup(
        '<svg xmlns="http://www.w3.org/2000/svg" width="{0:g}" height="{0:g}" viewBox="0 0 {0:g} {0:g}"'
        ' aria-hidden="true">{1}</svg>'
    ).format(size, Markup("").join(sheet.elements))
