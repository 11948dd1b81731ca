"""What a teacher saw on paper: ticked letter by letter for a group, kept as her word beside the attempts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TypeAlias

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response

from strokes.kinds import NOT_FORMED, Kind
from trainer.attempt import Observation, Pupil
from trainer.desk.desk import desk
from trainer.desk.pages import query
from trainer.desk.pages.messages import offer_undo
from trainer.desk.pictures.svg import letter_svg
from trainer.errors import pass_over
from trainer.language import day_words, kind_name, letter_words, paper_words, text
from trainer.teaching import planned_letters, taught_to_all, teaching_order

page = Blueprint("on_paper", __name__)

Reply: TypeAlias = str | Response | tuple[str, int]

SIZE = 160
"""Height of the letter as it is taught, in px."""

LONGEST_LETTER = 20
"""Characters of a letter's name that the record keeps."""

WELL = "formed"
"""What a form sends for a letter that is well formed; the other values are kinds of findings."""


@page.get("/paper/seen")
def show() -> str:
    """The pupils of a group and what may be ticked for a letter."""
    group = query.group(desk().record.pupils.groups(archived=False)) or _first_group()
    return _page(group, _letter(group, request.args.get("letter", "")))


@page.post("/paper/seen")
def keep() -> Reply:
    """Keep what was ticked; a pupil without a tick was not looked at. What contradicts itself comes back."""
    form = request.form
    group = form.get("group", "")
    pupils = desk().record.pupils.find(group)
    letter = form.get("letter", "")
    if not pupils or letter not in desk().alphabet(group):
        query.missing()
    day = _day(form.get("day", ""))
    if day is None:
        return _page(group, letter, form=form, wrong=text("paper.tick.no_day")), 422
    observations = []
    for pupil in pupils:
        ticked = form.getlist(_field(pupil))
        seen = _kinds(ticked)
        if WELL in ticked and not NOT_FORMED.isdisjoint(seen):
            wrong = text("paper.tick.both", name=pupil.name)
            return _page(group, letter, form=form, wrong=wrong), 422
        if seen or WELL in ticked:
            observations.append(Observation(pupil.id, letter, day, seen))
    if not observations:
        return _page(group, letter, form=form, wrong=text("paper.tick.nothing")), 422
    saved = desk().record.observations.keep(observations)
    said = text("paper.tick.kept", letter=letter_words(letter), pupils=len(saved))
    numbers = [("number", str(observation.id)) for observation in saved]
    offer_undo(said, url_for("on_paper.take_back", group=group, letter=letter), numbers)
    return redirect(url_for("on_paper.show", group=group, letter=letter), 303)


@page.post("/paper/seen/take-back")
def take_back() -> Response:
    """Erase what was kept just now."""
    numbers = [query.number(typed) for typed in request.form.getlist("number")]
    desk().record.observations.remove([number for number in numbers if number is not None])
    group, letter = request.args.get("group"), request.args.get("letter")
    return redirect(url_for("on_paper.show", group=group, letter=letter), 303)


@page.post("/pupil/<int:number>/seen/<int:observation>/remove")
def remove(number: int, observation: int) -> Response:
    """Erase one of a pupil's; one that was removed in another window already stays so."""
    pupil = desk().record.pupils.get(number) or query.missing()
    for own in desk().record.observations.find([pupil.id], on_damage=pass_over):
        if own.id == observation:
            desk().record.observations.remove([observation])
            fields = [("letter", own.letter), ("day", own.day.isoformat())]
            fields += [("seen", kind.value) for kind in own.seen]
            address = url_for("on_paper.put_back", number=pupil.id)
            offer_undo(text("paper.tick.removed"), address, fields, place="on-paper")
    return _to_pupil(pupil)


@page.post("/pupil/<int:number>/seen")
def put_back(number: int) -> Response:
    """Keep one again that was removed."""
    pupil = desk().record.pupils.get(number) or query.missing()
    day, letter = _day(request.form.get("day", "")), request.form.get("letter", "")
    if day is None or not 0 < len(letter) <= LONGEST_LETTER:
        abort(400)
    seen = _kinds(request.form.getlist("seen"))
    desk().record.observations.keep([Observation(pupil.id, letter, day, seen)])
    return _to_pupil(pupil)


def _kinds(values: Sequence[str]) -> tuple[Kind, ...]:
    return tuple(kind for kind in Kind if kind.value in values)


def _day(typed: str) -> date | None:
    """A day up to today; None for anything else."""
    try:
        day = date.fromisoformat(typed)
    except ValueError:
        return None
    return day if day <= desk().now().astimezone().date() else None


def _field(pupil: Pupil) -> str:
    return f"pupil-{pupil.id}"


def _first_group() -> str:
    """The first group; without a pupil there is none to look at."""
    return next(iter(desk().record.pupils.groups(archived=False)), "")


def _letter(group: str, asked: str) -> str:
    """The letter that is asked for, else the first of the group's plan, else the first one taught."""
    alphabet = desk().alphabet(group)
    if asked in alphabet:
        return asked
    planned = planned_letters(desk().record.plans.get(group), "", alphabet)
    return (*planned, *taught_to_all(alphabet), *teaching_order(alphabet))[0]


def _page(group: str, letter: str, *, form: MultiDict[str, str] | None = None, wrong: str = "") -> str:
    """The page; `wrong` says why what the form has was not kept."""
    record, alphabet = desk().record, desk().alphabet(group)
    pupils = record.pupils.find(group) if group else ()
    form = form if form is not None else MultiDict()
    today = desk().now().astimezone().date()
    ticked: Mapping[int, list[str]] = {pupil.id: form.getlist(_field(pupil)) for pupil in pupils}
    return render_template(
        "on_paper/show.html",
        groups=record.pupils.groups(archived=False),
        group=group,
        pupils=pupils,
        letter=letter,
        planned=planned_letters(record.plans.get(group), "", alphabet) if group else (),
        order=teaching_order(alphabet),
        picture=letter_svg(alphabet[letter].taught, alphabet.guide, size=SIZE),
        kinds=[(kind.value, kind_name(kind)) for kind in Kind],
        well=WELL,
        ticked=ticked,
        before=_before(pupils, letter),
        day=form.get("day") or today.isoformat(),
        today=today.isoformat(),
        wrong=wrong,
    )


def _before(pupils: Sequence[Pupil], letter: str) -> dict[int, str]:
    """What was seen last of each pupil at a letter, so that no sheet is ticked twice."""
    numbers = [pupil.id for pupil in pupils]
    observations = desk().record.observations.find(numbers, letter, on_damage=pass_over)
    return {
        seen.pupil: text("paper.tick.before", day=day_words(seen.day), what=paper_words(seen.seen))
        for seen in reversed(observations)
    }


def _to_pupil(pupil: Pupil) -> Response:
    return redirect(url_for("pupil.show", number=pupil.id, _anchor="on-paper"), 303)
