"""The picture cards for the pages, drawn by the same code that draws them in the practice window."""

from __future__ import annotations

from functools import lru_cache

from flask import Blueprint, Response, abort
from markupsafe import Markup

from trainer.attempt import CARDS
from trainer.desk.pictures.svg import Sheet
from trainer.drawing import Rect
from trainer.drawing.cards import draw

page = Blueprint("cards", __name__)

SIDE = 100.0


@lru_cache(maxsize=CARDS)
def card_svg(card: int) -> str:
    """The picture of a card, numbered from 1, as a file of its own; hidden words are the page's to give."""
    sheet = Sheet()
    draw(sheet, card, Rect(0.0, 0.0, SIDE, SIDE))
    return Markup('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {} {}">{}</svg>').format(
        f"{SIDE:g}", f"{SIDE:g}", Markup("").join(sheet.elements)
    )


@page.get("/pupils/card/<int:number>.svg")
def show(number: int) -> Response:
    """The picture of one card; answers 404 for a number that no card has."""
    if not 1 <= number <= CARDS:
        abort(404)
    return Response(card_svg(number), mimetype="image/svg+xml")
