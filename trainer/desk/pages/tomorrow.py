"""The first page: whom to gather for which letter, what is secure, and who has not practiced."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from flask import Blueprint, abort, redirect, render_template, request, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response

from strokes.alphabet import Alphabet
from strokes.letter import LetterSet
from trainer.attempt import Addition, Pupil
from trainer.desk.desk import desk
from trainer.desk.pages import evidence, query
from trainer.desk.pictures.svg import letter_svg
from trainer.language import day_words, letter_words, seen_words, teaching_words, text
from trainer.teaching import (
    AGAIN,
    ENOUGH,
    LATELY,
    ClassLetter,
    Gathering,
    Level,
    Need,
    OtherKind,
    Summary,
    by_pupil,
    by_set,
    class_letters,
    other_needs,
    planned_letters,
    taught_to_all,
    teaching_order,
)

page = Blueprint("tomorrow", __name__)

ALONE = 5
"""How many letters for one pupil alone the page tells in words: more is no plan for a day."""

AWAY = timedelta(days=7)
"""Who wrote nothing for so long is named, so that nobody is forgotten."""

SIZE, SMALLER = 216, 112  # px of a letter on its lines: alone, and beside others


@dataclass(frozen=True)
class Shown:
    """A letter of a group to gather: drawn as it is taught, and how its strokes are said."""

    letter: str
    picture: Markup
    cues: tuple[str, ...]


@dataclass(frozen=True)
class Panel:
    """A group to gather: its letters, what was seen, and whether each pupil's letters are planned.

    It can be planned unless the alphabet has not got a letter, or has set it aside. `added` tells who was
    added what, until when it counts, and what came of it; it can be taken back.
    """

    gathering: Gathering
    shown: tuple[Shown, ...]
    telling: Sequence[evidence.Telling]
    why: str
    sure: str
    teach: str
    planned: bool
    can_plan: bool
    added: str


@dataclass(frozen=True)
class Away:
    """A pupil who has not written of late, and the last day in words."""

    pupil: Pupil
    last: str


@page.get("/")
def show() -> str | Response:
    """Everything for tomorrow, of the class or of one group; while nobody has written, the first day."""
    record, now = desk().record, desk().now()
    here = now.astimezone().date()
    added = record.plans.added(today=here)
    groups = record.pupils.groups(archived=False)
    group = query.group(groups)
    alphabets = desk().alphabets
    used = alphabets.used_by([group] if group else groups)
    order, everybody = teaching_order(*used), taught_to_all(*used)
    summary = record.figures.summary(group, families=alphabets.families, order=order, findings=False)
    if summary.first is None and group is None:
        return redirect(url_for("first_day.show"), 303)
    letters = [
        letter
        for letter in class_letters(summary, order)
        if letter.letter in everybody or letter.level is not Level.NONE
    ]
    return render_template(
        "tomorrow/show.html",
        summary=summary,
        groups=groups,
        group=group,
        today=day_words(now, year=True),
        to_mend=alphabets.to_mend([group] if group else [None, *groups]),
        panels=[panel(gathering, added) for gathering in summary.gather],
        came_of=evidence.came_of(added, summary.pupils, summary.gather),
        motion=record.settings.get("motion", "on"),
        alone=[alone(need) for need in summary.alone[:ALONE]],
        another_day=another_day(summary),
        other=other(summary),
        letters=by_level(letters),
        away=away(summary.pupils, summary.last_practiced, now),
        enough=ENOUGH,
        again=AGAIN,
        lately=LATELY,
    )


def alone(need: Need) -> tuple[Need, str, evidence.Telling]:
    """A need that nobody shares, what was seen in words, and the attempt that shows it."""
    what = seen_words(need.kind, need.instead, [need.letter])
    return need, what, evidence.telling_of(need.pupil, [need], desk().alphabet(need.pupil.group))


def another_day(summary: Summary) -> list[tuple[Pupil, tuple[str, ...]]]:
    """The letters of each pupil that are neither taught in a group nor listed one at a time, by name."""
    left = by_pupil((*summary.waiting, *summary.alone[ALONE:]))
    letters = [(pupil, tuple(sorted({need.letter for need in needs}))) for pupil, needs in left.items()]
    return sorted(letters, key=lambda waits: (waits[0].name.casefold(), waits[0].group))


def other(summary: Summary) -> list[tuple[OtherKind, str, list[tuple[Pupil, str]]]]:
    """The needs that are not about one movement: each kind with what to do, and each pupil by name."""
    kinds = [
        (kind, [(need.pupil, other_needs.words(need)) for need in summary.other if need.kind is kind])
        for kind in OtherKind
    ]
    return [(kind, other_needs.advice(kind), pupils) for kind, pupils in kinds if pupils]


@page.post("/gather")
def plan() -> Response:
    """Add to each pupil's plan the letters that this one is gathered for, or take them back."""
    record, letters = desk().record, _sent_letters()
    if "take_back" in request.form:
        record.plans.take_back(letters)
    else:
        now = desk().now()
        record.plans.add(letters, today=now.astimezone().date(), at=now)
    group, place = request.form.get("group") or None, request.form.get("place", type=int)
    return redirect(url_for("tomorrow.show", group=group, _anchor=f"gather-{place}" if place else None), 303)


def _sent_letters() -> Mapping[int, Sequence[str]]:
    """The letters of each pupil by number, as the form names them; answers 400 for what no button sends."""
    groups = {pupil.id: pupil.group for pupil in desk().record.pupils.find()}
    letters: dict[int, list[str]] = {}
    for need in request.form.getlist("need"):
        number, _, letter = need.partition(" ")
        pupil = int(number) if number.isdecimal() and len(number) < 12 else 0
        if pupil not in groups or letter not in desk().alphabet(groups[pupil]):
            abort(400)
        letters.setdefault(pupil, []).append(letter)
    return letters or abort(400)


def panel(gathering: Gathering, added: Mapping[int, Sequence[Addition]]) -> Panel:
    """What the page shows of a group to gather."""
    alphabet = desk().alphabet(gathering.group)
    own = by_pupil(gathering.needs)
    additions = {
        pupil: [
            addition
            for addition in added.get(pupil.id, ())
            if addition.letter in {need.letter for need in needs}
        ]
        for pupil, needs in own.items()
    }
    what = seen_words(gathering.kind, gathering.instead, gathering.letters)
    why = text("tomorrow.why", what=what, seen=gathering.times, tries=gathering.tries)
    letters = set(gathering.letters)
    size = SIZE if len(letters) == 1 else SMALLER
    return Panel(
        gathering,
        tuple(shown(alphabet, letter, size) for letter in gathering.letters),
        evidence.telling(gathering, alphabet),
        text("tomorrow.family", why=why, family=gathering.family) if gathering.family else why,
        evidence.sure(gathering),
        teaching_words(gathering.kind),
        all({need.letter for need in needs} <= _planned(pupil, alphabet) for pupil, needs in own.items()),
        letters <= set(alphabet),
        evidence.came_of_words({pupil: some for pupil, some in additions.items() if some}),
    )


def _planned(pupil: Pupil, alphabet: Alphabet) -> set[str]:
    planned = desk().record.plans.for_pupil(pupil.id, today=desk().now().astimezone().date())
    return set(planned_letters(planned, pupil.name, alphabet))


def shown(alphabet: Alphabet, letter: str, size: float) -> Shown:
    """The letter as it is taught; the bare letter where this alphabet does not have it (any more)."""
    if letter not in alphabet:
        return Shown(letter, Markup("<b>{}</b>").format(letter), ())
    strokes = alphabet[letter].taught.strokes
    title = text("tomorrow.letter", letter=letter_words(letter), strokes=len(strokes))
    picture = letter_svg(alphabet[letter].taught, alphabet.guide, size=size, title=title)
    return Shown(letter, picture, tuple(stroke.cue for stroke in strokes if stroke.cue))


def by_level(letters: Sequence[ClassLetter]) -> Mapping[str, Mapping[LetterSet, Sequence[ClassLetter]]]:
    """The letters in four lists: secure, being learned, not enough yet, and not tried by anybody.

    Each list has its letters by set.
    """
    lists = {
        "secure": (Level.MOSTLY,),
        "learning": (Level.PARTLY, Level.SELDOM),
        "few": (Level.FEW,),
        "untried": (Level.NONE,),
    }
    table = {letter.letter: letter for letter in letters}
    return {
        name: {
            letter_set: [table[letter] for letter in own]
            for letter_set, own in by_set(
                letter.letter for letter in letters if letter.level in levels
            ).items()
        }
        for name, levels in lists.items()
    }


def away(
    pupils: Sequence[Pupil], last: Mapping[int, datetime | None], now: datetime
) -> tuple[tuple[Away, ...], tuple[Away, ...]]:
    """Those who wrote nothing for a week, the longest away first, and those who never wrote."""
    dated = [(at, pupil) for pupil in pupils if (at := last.get(pupil.id)) is not None]
    dated.sort(key=lambda last_written: (last_written[0], last_written[1].name))
    lapsed = tuple(Away(pupil, day_words(at)) for at, pupil in dated if now - at > AWAY)
    return lapsed, tuple(Away(pupil, "") for pupil in pupils if last.get(pupil.id) is None)
