"""Bringing in a school's class list: handed in, looked at, and only then written.

What was handed in is kept in the memory of the session alone, for a short time, and never on the disk.
"""

from __future__ import annotations

from collections import Counter
from itertools import groupby
from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from trainer.desk.access.uploads import MINUTES, Slot
from trainer.desk.desk import desk
from trainer.desk.pages import query
from trainer.desk.pages.first_day import nothing_written
from trainer.errors import PupilError, RosterError
from trainer.exchange import Changes, Roster, SchoolClass, bundle, oneroster, roster
from trainer.language import text

page = Blueprint("roster_import", __name__)

SLOT = Slot[Roster]("class list")

SHOWN = 50
"""Lines that were left out are named up to here; the rest is counted."""


@page.get("/pupils/import")
def show() -> str:
    """Where a class list is handed in."""
    return render_template("classlist/handin.html", wrong="", faults=())


@page.post("/pupils/import")
def hand_in() -> tuple[str, int] | Response:
    """Read what was handed in and keep it for a look; nothing is written yet."""
    files = [file for file in request.files.getlist("files") if file.filename]
    try:
        if not files:
            raise RosterError(text("roster.no_file"))
        uploads = [(str(file.filename), file.stream) for file in files]
        read = oneroster.parse(bundle.from_uploads(uploads, oneroster.FILES))
    except RosterError as error:
        said = str(error).rstrip(".") + "."
        return render_template("classlist/handin.html", wrong=said, faults=error.faults), 422
    source = str(files[0].filename)[:80] if len(files) == 1 else text("roster.files_together")
    token = SLOT.put(source, read)
    return redirect(url_for("classlist.roster_import.look", token=token), 303)


@page.get("/pupils/import/<token>")
def look(token: str) -> str | Response:
    """What taking the list in would do, with the classes and moves that the address chooses."""
    waiting = SLOT.find(token)
    if waiting is None:
        return _gone()
    everybody = desk().record.pupils.find(archived=True)
    classes = _classes(waiting.content) if "looked" in request.args else None
    chosen = roster.first_choice(waiting.content, everybody) if classes is None else classes
    changes = _changes(waiting.content, chosen)
    return render_template(
        "classlist/look.html",
        waiting=waiting,
        minutes=MINUTES,
        offered=[
            _offer(waiting.content, school_class, school_class in chosen)
            for school_class in roster.offered(waiting.content)
        ],
        changes=changes,
        new={
            name: list(newcomers)
            for name, newcomers in groupby(changes.new, key=lambda newcomer: newcomer.group)
        },
        there=Counter(pupil.group for pupil in changes.there),
        remarks=waiting.content.remarks[:SHOWN],
        more=max(0, len(waiting.content.remarks) - SHOWN),
    )


@page.post("/pupils/import/<token>")
def decide(token: str) -> Response:
    """Look again with other choices, drop the list, or take it in: what was shown, and nothing else."""
    waiting = SLOT.find(token)
    if waiting is None:
        return _gone()
    what = request.form.get("do")
    if what == "drop":
        return _drop()
    choice: dict[str, Any] = {name: request.form.getlist(name) for name in ("class", "same")}
    again = url_for("classlist.roster_import.look", token=token, looked=1, **choice)
    changes = _changes(waiting.content, _classes(waiting.content))
    if what != "take":
        return redirect(again, 303)
    if changes.fingerprint != request.form.get("shown"):
        flash(text("roster.look_again"))
        return redirect(again, 303)
    try:
        desk().record.pupils.admit(changes.new, changes.moved)
    except PupilError:  # another window has changed the list: the next look shows what it did
        flash(text("roster.look_again"))
        return redirect(again, 303)
    SLOT.empty()
    flash(text("roster.taken", new=len(changes.new), moved=len(changes.moved)))
    return redirect(url_for("first_day.show") if nothing_written() else url_for("classlist.show"), 303)


def _gone() -> Response:
    flash(text("roster.gone"))
    return redirect(url_for("classlist.roster_import.show"), 303)


def _drop() -> Response:
    SLOT.empty()
    flash(text("roster.dropped"))
    return redirect(url_for("classlist.show"), 303)


def _classes(read: Roster) -> tuple[SchoolClass, ...]:
    """The classes that were ticked, by their places in the list: ids of a school stay out of addresses."""
    ticked = set(request.values.getlist("class"))
    return tuple(
        school_class for place, school_class in enumerate(roster.offered(read)) if str(place) in ticked
    )


def _changes(read: Roster, classes: tuple[SchoolClass, ...]) -> Changes:
    ticked = {number for number in map(query.number, request.values.getlist("same")) if number is not None}
    same = ticked if "looked" in request.values else None
    return roster.changes(read, desk().record.pupils.find(archived=True), classes=classes, same=same)


def _offer(read: Roster, school_class: SchoolClass, chosen: bool) -> dict[str, object]:
    """A class to tick: its title, how many students it has, and their grades."""
    people = read.people_of(school_class)
    grades = sorted({grade for person in people for grade in person.grades})
    return {"title": school_class.title, "count": len(people), "grades": ", ".join(grades), "chosen": chosen}
