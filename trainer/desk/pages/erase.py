"""Erasing a child or a whole group: first what goes is listed, then the name must be typed."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from trainer.attempt import Pupil, tidy_name
from trainer.desk.desk import desk
from trainer.desk.pages import query
from trainer.errors import BusyError
from trainer.language import day_words, text

page = Blueprint("erase", __name__)


@dataclass(frozen=True)
class Whom:
    """One pupil, or all pupils of a group, with those in the archive."""

    name: str
    pupils: tuple[Pupil, ...]
    is_group: bool

    @property
    def address(self) -> dict[str, str | int]:
        """What an address needs to mean them."""
        return {"group": self.name} if self.is_group else {"pupil": self.pupils[0].id}


@page.get("/pupils/erase")
def show() -> str:
    """What would be erased of the pupil or group that the address asks for."""
    return _page(whom())


@page.post("/pupils/erase")
def confirm() -> tuple[str, int] | Response:
    """Erase them, when their name was typed."""
    asked, typed = whom(), request.form.get("name", "")[:200]
    if _evened(typed) != _evened(asked.name):
        return _page(asked, typed=typed, wrong=text("classlist.erase.differs", name=asked.name)), 422
    record = desk().record
    try:
        if asked.is_group:
            record.erasure.remove_group(asked.name)
        else:
            record.erasure.remove_pupil(asked.pupils[0].id)
    except BusyError as error:  # erased from the record; the last bytes go when another window closes
        flash(str(error))
    else:
        flash(text("classlist.erase.done", name=asked.name))
    return redirect(url_for("classlist.show"), 303)


def whom() -> Whom:
    """Whom `?pupil=` or `?group=` means; `missing` for somebody who is not there."""
    record = desk().record
    if group := request.args.get("group"):
        if group in record.pupils.groups():
            return Whom(group, record.pupils.find(group, archived=True), True)
    elif (number := request.args.get("pupil", type=int)) and (pupil := record.pupils.get(number)):
        return Whom(pupil.name, (pupil,), False)
    query.missing()


def _page(asked: Whom, *, typed: str = "", wrong: str = "") -> str:
    held = desk().record.erasure.holdings([pupil.id for pupil in asked.pupils])
    return render_template(
        "classlist/erase.html",
        whom=asked,
        held=held,
        first=day_words(held.first, year=True) if held.first else "",
        last=day_words(held.last, year=True) if held.last else "",
        typed=typed,
        wrong=wrong,
    )


def _evened(name: str) -> str:
    return tidy_name(name).casefold()
