"""Messages that stand where they belong on the next page, with a way back where something was taken away."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from flask import flash

TOP = "message"
"""The place of a message at the top of a page; every other one is named by its section."""


@dataclass(frozen=True)
class Undoable:
    """What was done, and the form that undoes it: its address and its fields."""

    said: str
    address: str
    fields: tuple[tuple[str, str], ...]


def tell(said: str, *, place: str = TOP) -> None:
    """Show this on the next page, in the section of that name."""
    flash(said, place)


def offer_undo(said: str, address: str, fields: Iterable[tuple[str, str]], *, place: str = TOP) -> None:
    """Show this on the next page with a button that sends the fields to the address."""
    flash(Undoable(said, address, tuple(fields)), place)  # type: ignore[arg-type]  # the session keeps any object
