"""The first page while nothing has been written: names, pictures, and the window in which children write.

Names are added at once, because taking them back is one button, too.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from trainer.attempt import NAME_LENGTH
from trainer.desk.desk import desk
from trainer.desk.pages import query
from trainer.desk.pages.messages import offer_undo, tell
from trainer.desk.pages.screens import window_words
from trainer.errors import BusyError, PupilError, RosterError
from trainer.exchange import Roster, name_list, roster
from trainer.language import sentence, text
from trainer.record import DEFAULT_GROUP

page = Blueprint("first_day", __name__)

NAMES = "names"
"""The section of the names."""


@page.get("/first-day")
def show() -> str:
    """The three steps, as far as they are done."""
    return _steps({"names": "", "group": request.args.get("group", DEFAULT_GROUP)[:NAME_LENGTH]})


@page.post("/first-day")
def add() -> tuple[str, int] | Response:
    """Add everybody on the list, or nobody: then all stands there as it was typed, and why."""
    typed = {
        "names": request.form.get("names", "")[: name_list.LARGEST + 1],
        "group": request.form.get("group", "")[: 4 * NAME_LENGTH],
    }
    pupils = desk().record.pupils
    try:
        listed = _listed(typed)
        before = pupils.find(archived=True)
        changes = roster.changes(listed, before, classes=listed.classes, same=())
        pupils.admit(changes.new)
    except (RosterError, PupilError) as error:
        faults = error.faults if isinstance(error, RosterError) else ()
        wrong = sentence(error)
        if (named := _file_name()) and str(error).startswith(named):  # a file keeps its name as it is
            wrong = named + wrong[len(named) :]
        return _steps(typed, wrong=wrong, faults=faults), 422
    there = {pupil.id for pupil in before}
    added = [pupil.id for pupil in pupils.find() if pupil.id not in there]
    if added:
        said = text(
            f"first_day.added.{'some' if changes.there else 'all'}", new=len(added), there=len(changes.there)
        )
        fields = [("pupil", str(number)) for number in added]
        offer_undo(said, url_for("first_day.take_back"), fields, place=NAMES)
    else:
        tell(text("first_day.added.none"), place=NAMES)
    return redirect(url_for("first_day.show", group=typed["group"].strip()), 303)


@page.post("/first-day/take-back")
def take_back() -> Response:
    """Those who were just added go again, unless they have written meanwhile."""
    record = desk().record
    sent = {number for number in map(query.number, request.form.getlist("pupil")) if number is not None}
    here = [pupil.id for pupil in record.pupils.find(archived=True) if pupil.id in sent]
    wrote = [number for number in here if record.erasure.holdings([number]).attempts]
    gone = [number for number in here if number not in wrote]
    if gone:
        try:
            record.erasure.remove_pupils(gone)
        except BusyError as error:  # they are gone; the last bytes go when another window closes
            tell(sentence(error), place=NAMES)
        else:
            tell(text("first_day.added.back", count=len(gone)), place=NAMES)
    if wrote:
        tell(text("first_day.added.wrote", count=len(wrote)), place=NAMES)
    return redirect(url_for("first_day.show"), 303)


def nothing_written() -> bool:
    """Whether this is the first page: it is until somebody has written."""
    return desk().record.figures.summary(findings=False, lately=False).first is None


def _listed(typed: Mapping[str, str]) -> Roster:
    """The names that were typed, or those of the file. Raises RosterError."""
    file, named = request.files.get("file"), _file_name()
    pasted = bool(typed["names"].strip())
    if pasted == bool(named):
        raise RosterError(text(f"first_day.names.{'both' if pasted else 'none'}"))
    if pasted or file is None:
        return name_list.parse(typed["names"], typed["group"], name=text("first_day.names.the_names"))
    content = name_list.decoded(file.stream.read(), named)
    return name_list.parse(content, typed["group"], name=named)


def _file_name() -> str:
    """What the file that came is called; empty where none was chosen."""
    file = request.files.get("file")
    return str(file.filename) if file and file.filename else ""


def _steps(typed: Mapping[str, str], *, wrong: str = "", faults: tuple[str, ...] = ()) -> str:
    pupils = desk().record.pupils.find()
    return render_template(
        "first_day/show.html",
        groups={name: list(members) for name, members in groupby(pupils, key=lambda pupil: pupil.group)},
        typed=typed,
        wrong=wrong,
        faults=faults,
        longest=NAME_LENGTH,
        leads=nothing_written(),
        from_page="first_day",
        **window_words(),
    )
