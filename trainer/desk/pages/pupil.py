"""The pages of one pupil: the history of each letter, the latest attempts with their replay, and notes."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import TypeAlias

from flask import Blueprint, abort, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from strokes.ink import Ink
from trainer.attempt import Attempt, Pupil
from trainer.desk.desk import desk
from trainer.desk.pages import history, query
from trainer.desk.pages.messages import offer_undo, tell
from trainer.desk.pictures import replay
from trainer.errors import BrokenRecordError, RemarkError, pass_over
from trainer.language import clock_words, day_words, letter_words, sentence, text
from trainer.record import NOTE_LENGTH, REASON_LENGTH
from trainer.teaching import by_set, teaching_order

page = Blueprint("pupil", __name__)

Reply: TypeAlias = Response | tuple[str, int]

SHOWN = 12
"""Attempts on the page of a pupil: a screen full."""

LAST_PAGE = 10_000
"""Pages of attempts that can be asked for; no child writes so much."""

ANSWERS = {"yes": True, "no": False}


@page.get("/pupil/<int:number>")
def show(number: int) -> str:
    """How this pupil writes each letter, what was written last, and what the teacher noted."""
    return _pupil_page(_pupil(number))


@page.get("/pupil/<int:number>/attempt/<int:attempt>")
def attempt(number: int, attempt: int) -> str:
    """One attempt: how it was written, with its replay, beside the model; what was found, and the verdict."""
    return _attempt_page(*_attempt(number, attempt))


@page.get("/pupil/<int:number>/attempt/<int:attempt>/large")
def large(number: int, attempt: int) -> str:
    """The ink and the model side by side, as large as the window; without a name, as a class may see it.

    There is none where the ink was erased for its age, or where the alphabet has not got the letter.
    """
    pupil, kept_attempt = _attempt(number, attempt)
    alphabet = desk().alphabet(pupil.group)
    letter = alphabet.get(kept_attempt.letter)
    if not kept_attempt.ink.traces or letter is None:
        abort(404)
    formation = replay.formation_of(kept_attempt, letter)
    model = Ink.from_arrays([stroke.path for stroke in (formation or letter.taught).strokes])
    said = letter_words(kept_attempt.letter)
    marks = replay.marks(kept_attempt, formation)
    return render_template(
        "pupil/large.html",
        pupil=pupil,
        attempt=kept_attempt,
        heading=text(
            "pupil.attempt.heading", letter=kept_attempt.letter, step=text(f"pupil.step.{kept_attempt.step}")
        ),
        stage=replay.stage(
            kept_attempt.ink,
            alphabet.guide,
            marks,
            title=text("pupil.large.written", letter=said),
            shown=kept_attempt.shown or (),
        ),
        model=replay.stage(model, alphabet.guide, (), title=text("pupil.latest.model", letter=said)),
        model_heading=history.model_heading(letter, formation),
        model_moments=replay.moments(model),
        legend=history.legend(kept_attempt, marks),
        motion=desk().record.settings.get("motion", "on"),
        timed=_is_timed(kept_attempt),
    )


@page.get("/pupil/<int:number>/attempt/<int:attempt>/ink.json")
def ink(number: int, attempt: int) -> dict[str, object]:
    """The ink of an attempt with its times, for the replay; there is none where it was erased for its age."""
    _, kept_attempt = _attempt(number, attempt)
    if not kept_attempt.ink.traces:
        abort(404)
    return replay.moments(kept_attempt.ink)


@page.post("/pupil/<int:number>/attempt/<int:attempt>/overrule")
def overrule(number: int, attempt: int) -> Reply:
    """Set the teacher's own verdict beside the checks' one; what cannot be kept comes back as typed."""
    pupil, kept_attempt = _attempt(number, attempt)
    formed, looks = (ANSWERS.get(request.form.get(asked, "")) for asked in ("formed", "looks"))
    reason = request.form.get("reason", "")
    if formed is None or looks is None:
        return _attempt_page(
            pupil, kept_attempt, wrong=text("pupil.overrule.no_answer"), typed=request.form
        ), 400
    if not reason.strip():
        return _attempt_page(
            pupil, kept_attempt, wrong=text("pupil.overrule.no_reason"), typed=request.form
        ), 400
    try:
        desk().record.verdicts.overrule(attempt, formed=formed, looks=looks, reason=reason, at=desk().now())
    except RemarkError as error:
        return _attempt_page(pupil, kept_attempt, wrong=sentence(error), typed=request.form), 400
    flash(text("pupil.overrule.saved"))
    return _to_attempt(pupil, attempt)


@page.post("/pupil/<int:number>/attempt/<int:attempt>/withdraw")
def withdraw(number: int, attempt: int) -> Reply:
    """Let the checks' verdict count again; one that was withdrawn in another window already stays so."""
    pupil, kept_attempt = _attempt(number, attempt)
    if kept_attempt.overruled:
        desk().record.verdicts.withdraw_overruling(attempt)
    flash(text("pupil.overrule.withdrawn"))
    return _to_attempt(pupil, attempt)


@page.post("/pupil/<int:number>/notes")
def add_note(number: int) -> Reply:
    """Keep a note about the pupil; one that cannot be kept comes back as it was typed."""
    pupil, said = _pupil(number), request.form.get("text", "")
    if not said.strip():
        return _pupil_page(pupil, wrong=text("pupil.notes.empty")), 400
    try:
        desk().record.notes.add(pupil.id, said, at=_time_of_note())
    except RemarkError as error:
        return _pupil_page(pupil, wrong=sentence(error), typed=said), 400
    tell(text("pupil.notes.added"), place="notes")
    return _to_notes(pupil)


@page.post("/pupil/<int:number>/notes/<int:note>/remove")
def remove_note(number: int, note: int) -> Reply:
    """Erase a note of this pupil; one that was removed in another window already stays so."""
    pupil = _pupil(number)
    for own_note in desk().record.notes.find(pupil.id, on_damage=pass_over):
        if own_note.id == note:
            desk().record.notes.remove(note)
            offer_undo(
                text("pupil.notes.removed"),
                url_for("pupil.add_note", number=pupil.id),
                [("text", own_note.text), ("at", own_note.at.isoformat())],
                place="notes",
            )
    return _to_notes(pupil)


def _time_of_note() -> datetime:
    """Now, or for a note that comes back the time when it was written; answers 400 for no time at all."""
    written = request.form.get("at")
    if written is None:
        return desk().now()
    try:
        return min(datetime.fromisoformat(written).astimezone(UTC), desk().now())
    except (ValueError, OverflowError):
        abort(400)


def _pupil(number: int) -> Pupil:
    return desk().record.pupils.get(number) or query.missing()


def _attempt(number: int, attempt: int) -> tuple[Pupil, Attempt]:
    """A pupil's own attempt; another one's is not there."""
    pupil, kept_attempt = _pupil(number), desk().record.attempts.get(attempt)
    if kept_attempt is None or kept_attempt.pupil != pupil.id:
        query.missing()
    return pupil, kept_attempt


def _to_attempt(pupil: Pupil, attempt: int) -> Response:
    return redirect(url_for("pupil.attempt", number=pupil.id, attempt=attempt), 303)


def _to_notes(pupil: Pupil) -> Response:
    return redirect(url_for("pupil.show", number=pupil.id, _anchor="notes"), 303)


def _pupil_page(pupil: Pupil, *, wrong: str = "", typed: str = "") -> str:
    """The page of a pupil; `wrong` says why a note was not kept, and `typed` is that note."""
    record, alphabet = desk().record, desk().alphabet(pupil.group)
    summary = record.figures.summary(pupil=pupil.id, order=teaching_order(alphabet))
    rows = [history.row(line, pupil) for line in summary.by_pupil.get(pupil.id, ())]
    asked = request.args.get("letter", "")
    row_of = {row["letter"]: row for row in rows}
    letter = asked if asked in row_of else ""
    damaged: list[BrokenRecordError] = []
    traced = request.args.get("traced") == "1"
    number = min(max(request.args.get("page", 1, type=int), 1), LAST_PAGE)
    attempts = record.attempts.latest(
        pupil.id,
        letter or None,
        n=SHOWN + 1,
        skip=SHOWN * (number - 1),
        traced=traced,
        on_damage=damaged.append,
    )
    notes = record.notes.find(pupil.id, on_damage=damaged.append)
    return render_template(
        "pupil/show.html",
        pupil=pupil,
        hand=text(f"summary.hand.{pupil.hand or 'open'}"),
        summary=summary,
        first=day_words(summary.first, year=True) if summary.first else "",
        last=day_words(summary.last, year=True) if summary.last else "",
        next=history.practice_next(summary, alphabet),
        rows=rows,
        sets={name: [row_of[letter] for letter in letters] for name, letters in by_set(row_of).items()},
        words=history.words_of([pupil.id]),
        letter=letter,
        latest=[history.card(attempt, alphabet) for attempt in attempts[:SHOWN]],
        traced=traced,
        newer=number - 1,
        older=number + 1 if len(attempts) > SHOWN else 0,
        motion=record.settings.get("motion", "on"),
        on_paper=history.on_paper(pupil, alphabet, damaged.append),
        damaged=[sentence(error) for error in damaged],
        notes=[{"id": note.id, "day": day_words(note.at, year=True), "text": note.text} for note in notes],
        longest_note=NOTE_LENGTH,
        wrong=wrong,
        typed=typed,
    )


def _attempt_page(
    pupil: Pupil, attempt: Attempt, *, wrong: str = "", typed: Mapping[str, str] | None = None
) -> str:
    """The page of an attempt; `wrong` says why a verdict was not kept, and `typed` is what was sent."""
    used = desk().alphabets.of(pupil.group)
    alphabet = used.alphabet
    letter = alphabet.get(attempt.letter)
    formation = replay.formation_of(attempt, letter)
    way = formation or (letter.taught if letter else None)
    marks = replay.marks(attempt, formation)
    step, day = text(f"pupil.step.{attempt.step}"), day_words(attempt.at, year=True)
    when = {"name": pupil.name, "group": pupil.group, "day": day, "time": clock_words(attempt.at)}
    said = attempt.overruled
    older, newer = desk().record.attempts.neighbors(attempt)
    return render_template(
        "pupil/attempt.html",
        pupil=pupil,
        attempt=attempt,
        title=text(
            "pupil.attempt.title", letter=letter_words(attempt.letter), step=step, day=day, number=pupil.id
        ),
        step=step,
        older=older,
        newer=newer,
        when=text("pupil.attempt.when", **when),
        stage=history.stage(attempt, alphabet, marks, pupil),
        timed=_is_timed(attempt),
        legend=history.legend(attempt, marks),
        no_ink=text(f"pupil.attempt.{missing}") if (missing := history.no_ink(attempt)) else "",
        motion=desk().record.settings.get("motion", "on"),
        model=history.model(attempt, alphabet, formation),
        model_heading=history.model_heading(letter, formation),
        cues=[stroke.cue for stroke in way.strokes if stroke.cue] if way else [],
        marks=marks,
        judged_by=history.judged_by(attempt, used),
        versions_of=history.versions_of(attempt, used),
        since=text("pupil.overrule.since", day=day_words(said.at), reason=said.reason) if said else "",
        longest_reason=REASON_LENGTH,
        wrong=wrong,
        typed=typed or _as_it_is(attempt),
    )


def _is_timed(attempt: Attempt) -> bool:
    return all(trace.times is not None for trace in attempt.ink.traces)


def _as_it_is(attempt: Attempt) -> dict[str, str]:
    """The form to overrule, filled with what counts now."""
    answer = {True: "yes", False: "no"}
    reason = attempt.overruled.reason if attempt.overruled else ""
    return {"formed": answer[attempt.formed], "looks": answer[attempt.looks], "reason": reason}
