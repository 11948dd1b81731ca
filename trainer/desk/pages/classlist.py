"""The class list: who is in which group, and every change to a pupil."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import groupby
from typing import cast

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from strokes.letter import Hand
from trainer.attempt import CARDS, NAME_LENGTH, Pupil
from trainer.desk.desk import desk
from trainer.desk.pages import download, erase, query, roster_import
from trainer.desk.pictures import card_pictures
from trainer.errors import PupilError
from trainer.language import sentence, text
from trainer.record import DEFAULT_GROUP

page = Blueprint("classlist", __name__)
for part in (card_pictures, erase, roster_import, download):
    page.register_blueprint(part.page)

HANDS = ("left", "right", "open")
"""What can be chosen; `open` while it is not settled."""


@page.get("/pupils")
def show() -> str:
    """All groups with their pupils, those in the archive apart."""
    return _list()


@page.post("/pupils")
def add() -> tuple[str, int] | Response:
    """Add one pupil; a name or group that cannot be keeps what was typed and says why."""
    form = _form()
    try:
        pupil = desk().record.pupils.add(form["name"], hand=_hand(form["hand"]), group=form["group"])
    except PupilError as error:
        return _list(typed=form, wrong=sentence(error)), 422
    flash(text("classlist.added", name=pupil.name, group=pupil.group))
    return redirect(url_for("classlist.show", group=pupil.group), 303)


@page.get("/pupils/<int:number>")
def pupil(number: int) -> str:
    """One pupil, with everything that can be changed."""
    return _pupil_page(pupil_of(number))


@page.post("/pupils/<int:number>")
def change(number: int) -> tuple[str, int] | Response:
    """Keep what was changed of a pupil, all of it or nothing."""
    before, form = pupil_of(number), _form()
    try:
        after = replace(
            before, name=form["name"], group=form["group"], hand=_hand(form["hand"]), card=_card(before)
        )
        after = desk().record.pupils.change(after)
    except PupilError as error:
        return _pupil_page(before, typed=form, wrong=sentence(error)), 422
    flash(text("classlist.changed", name=after.name))
    return redirect(url_for("classlist.show"), 303)


@page.post("/pupils/<int:number>/archive")
def archive(number: int) -> Response:
    """Put a pupil into the archive, or bring one back."""
    changed, archived = pupil_of(number), request.form.get("do") == "archive"
    desk().record.pupils.archive(number, archived)
    flash(text("classlist.archived" if archived else "classlist.back", name=changed.name))
    return redirect(url_for("classlist.show"), 303)


def pupil_of(number: int) -> Pupil:
    """The pupil with that number; `missing` when there is none."""
    return desk().record.pupils.get(number) or query.missing()


def _list(*, typed: Mapping[str, str] | None = None, wrong: str = "") -> str:
    everybody = desk().record.pupils.find(archived=True)
    here = [pupil for pupil in everybody if not pupil.archived]
    groups = {name: list(members) for name, members in groupby(here, key=lambda pupil: pupil.group)}
    return render_template(
        "classlist/show.html",
        groups=groups,
        archived=[pupil for pupil in everybody if pupil.archived],
        names=sorted({pupil.group for pupil in everybody}),
        hands=HANDS,
        typed=typed or {"name": "", "group": _likely_group(groups), "hand": "open"},
        wrong=wrong,
        longest=NAME_LENGTH,
        next="group" in request.args,  # somebody was just added: the next name is typed
    )


def _likely_group(groups: Mapping[str, object]) -> str:
    """The group that somebody new most likely comes into: the one just added to, else the first."""
    asked = request.args.get("group", "")
    return asked if asked in groups else next(iter(groups), DEFAULT_GROUP)


def _pupil_page(pupil: Pupil, *, typed: Mapping[str, str] | None = None, wrong: str = "") -> str:
    record = desk().record
    recorded = {
        "name": pupil.name,
        "group": pupil.group,
        "hand": pupil.hand or "open",
        "card": str(pupil.card),
    }
    others = [other for other in record.pupils.find(pupil.group, archived=True) if other.id != pupil.id]
    return render_template(
        "classlist/pupil.html",
        pupil=pupil,
        groups=record.pupils.groups(),
        hands=HANDS,
        cards=range(1, CARDS + 1),
        taken={other.card: other.name for other in others},
        typed=typed or recorded,
        wrong=wrong,
        longest=NAME_LENGTH,
    )


def _form() -> dict[str, str]:
    """What was typed, no longer than it can be shown again."""
    names = ("name", "group", "hand", "card")
    return {name: request.form.get(name, "")[: 4 * NAME_LENGTH] for name in names}


def _hand(chosen: str) -> Hand | None:
    return cast(Hand, chosen) if chosen in ("left", "right") else None


def _card(before: Pupil) -> int:
    return request.form.get("card", before.card, type=int)
