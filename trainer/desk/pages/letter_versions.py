"""The versions of a letter: how it was before, going back to one, and which attempts each of them judged."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any, TypeAlias

from flask import Blueprint, abort, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from strokes.checks import checks_version, is_of_letter
from strokes.errors import LetterError
from strokes.letter import Hand, Letter
from strokes.tolerances import Tolerances
from trainer.desk.desk import desk
from trainer.desk.pages.alphabet import Choice, own_alphabet
from trainer.desk.pictures.svg import letter_svg
from trainer.errors import PlaceError
from trainer.judging.rechecking import Recheck
from trainer.language import clock_words, day_words, sentence, text
from trainer.teaching import Rules, letter_history

page = Blueprint("letter_versions", __name__)

Reply: TypeAlias = Response | tuple[str, int]

SIZE = 150
"""Height of a letter in px."""

MOST_AT_ONCE = 1000
"""Attempts that are judged again while the page waits: some seconds."""

HANDS: tuple[Hand | None, ...] = (None, "left", "right")


@page.get("/alphabet/versions")
def show() -> str:
    """The letter as it is and as it was, the latest version first."""
    chosen, letter, file = _asked(request.args)
    return _page(chosen, letter, file)


@page.post("/alphabet/versions")
def go_back() -> Reply:
    """Put an earlier version in the letter's place; what is there now becomes a version."""
    chosen, letter, file = _asked(request.form)
    try:
        version = letter_history.version(file, request.form.get("version", ""))
    except LetterError:
        return _page(chosen, letter, file, wrong=text("letter_versions.gone")), 404
    try:
        letter_history.replace_letter(file, version.file.read_bytes())
    except (LetterError, PlaceError) as error:
        wrong = text("letter_versions.refused", reason=sentence(error))
        return _page(chosen, letter, file, wrong=wrong), 400
    flash(text("letter_versions.returned", letter=letter, **_until(version)))
    return redirect(url_for("letter_versions.show", alphabet=chosen.name, letter=letter), 303)


@page.post("/alphabet/recheck")
def recheck() -> Response:
    """Judge old attempts again by the letters of now, where they are few enough for a page."""
    chosen, letter, _ = _asked(request.form)
    record = desk().record
    run = Recheck(record, desk().alphabets.for_judging, _tolerances())
    if len(run) > MOST_AT_ONCE:
        flash(text("letter_versions.recheck.many", count=len(run)))
    else:
        done = run.run(processes=1)
        flash(text("letter_versions.recheck.done", judged=done.judged, better=done.better, worse=done.worse))
    return redirect(url_for("letter_versions.show", alphabet=chosen.name, letter=letter), 303)


def _asked(values: Any) -> tuple[Choice, str, Path]:
    """The alphabet of the teacher's own, the letter, and its file; 404 where they are not there."""
    name, letter = values.get("alphabet", ""), values.get("letter", "")
    chosen = own_alphabet(name)
    if chosen is None or letter not in chosen.contents.files:
        abort(404)
    return chosen, letter, chosen.contents.files[letter]


def _tolerances() -> Tolerances:
    return Tolerances.of(Rules.of(desk().record.settings).stage)


def _page(chosen: Choice, letter: str, file: Path, *, wrong: str = "") -> str:
    now = chosen.alphabet.get(letter)
    judged = _judged(chosen, letter)
    versions = [
        {
            "key": version.key,
            "until": _until(version),
            **_shown(version.letter, chosen, judged, version.number),
        }
        for version in letter_history.versions(file)
    ]
    number = max((version["until"]["version"] for version in versions), default=0) + 1
    guide, tolerances = chosen.alphabet.guide, _tolerances()
    of_today = {
        checks_version(now, guide=guide, hand=hand, tolerances=tolerances)
        for hand in HANDS
        if now is not None
    }
    return render_template(
        "letter_versions/show.html",
        alphabet=chosen.name,
        letter=letter,
        now=_shown(now, chosen, judged, number) if now else None,
        faults=[str(fault.at(file.name)) for fault in chosen.contents.faults if fault.path == file],
        number=number,
        versions=versions,
        stale=sum(count for version, count in judged.items() if version not in of_today),
        wrong=wrong,
    )


def _until(version: letter_history.Version) -> dict[str, Any]:
    """Which version it is, and until when it was the letter."""
    day, time = day_words(version.until, year=True), clock_words(version.until)
    return {"version": version.number, "day": day, "time": time}


def _judged(chosen: Choice, letter: str) -> Counter[str]:
    """How many attempts at the letter each version of the checks judged, of groups with this alphabet."""
    record, alphabets = desk().record, desk().alphabets
    groups = {group for group in record.pupils.groups() if alphabets.of(group).name == chosen.name}
    pupils = {pupil.id for pupil in record.pupils.find(archived=True) if pupil.group in groups}
    return Counter(
        attempt.checks
        for attempt in record.ink.judged(None)
        if attempt.letter == letter and attempt.pupil in pupils
    )


def _shown(letter: Letter, chosen: Choice, judged: Counter[str], number: int) -> dict[str, Any]:
    """A version with its picture, and how many attempts it judged."""
    guide = chosen.alphabet.guide
    title = text("letter_versions.picture", letter=letter.name, version=number)
    return {
        "picture": letter_svg(letter.taught, guide, size=SIZE, title=title),
        "cues": [stroke.cue for stroke in letter.taught.strokes if stroke.cue],
        "ways": len(letter.formations),
        "judged": sum(
            count for version, count in judged.items() if is_of_letter(version, letter, guide=guide)
        ),
    }
