"""The page of a pupil's copy that a family opens in any browser: plain words, pictures, nothing to fetch."""

from __future__ import annotations

from typing import Any

from flask import render_template
from markupsafe import Markup

from strokes.alphabet import Alphabet
from trainer.attempt import Attempt, Pupil
from trainer.desk.desk import desk
from trainer.desk.pictures.svg import ink_svg, letter_svg
from trainer.errors import pass_over
from trainer.language import day_words, letter_words, observed_words, text
from trainer.teaching import LetterFigures, observed, sorted_letters, teaching_order

LOOKED_AT = 12
"""Attempts at a letter among which the last one with ink is looked for."""

SIZE = 110
"""Height of a letter in px."""


def readable(pupil: Pupil) -> str:
    """The page as HTML that stands alone: its styles and its pictures are in it."""
    record, alphabet = desk().record, desk().alphabet(pupil.group)
    summary = record.figures.summary(
        pupil=pupil.id, order=teaching_order(alphabet), findings=False, other=False
    )
    lines = summary.by_pupil.get(pupil.id, ())
    notes = record.notes.find(pupil.id, on_damage=pass_over)  # record.json beside it tells of damaged ones
    seen = record.observations.find([pupil.id], on_damage=pass_over)
    return render_template(
        "classlist/family_copy.html",
        pupil=pupil,
        today=day_words(desk().now(), year=True),
        first=day_words(summary.first, year=True) if summary.first else "",
        last=day_words(summary.last, year=True) if summary.last else "",
        lists=sorted_letters(lines)._asdict(),
        rows=[_row(line, pupil, alphabet) for line in lines],
        on_paper=[observed_words(*line) for line in observed(seen, teaching_order(alphabet))],
        notes=[(day_words(note.at, year=True), note.text) for note in notes],
    )


def _row(line: LetterFigures, pupil: Pupil, alphabet: Alphabet) -> dict[str, Any]:
    """A letter as it is taught, and as it was written last; both are left out where they are gone."""
    latest = desk().record.attempts.latest_with_ink
    attempt = latest(pupil.id, line.letter, lambda attempt: attempt.finished, n=LOOKED_AT)
    letter = alphabet.get(line.letter)
    model: Markup | str = ""
    if letter is not None:
        title = text("pupil.latest.model", letter=letter_words(line.letter))
        model = letter_svg(letter.taught, alphabet.guide, size=SIZE, title=title)
    return {
        "letter": line.letter,
        "model": model,
        "ink": ink_svg(attempt, letter, alphabet.guide, size=SIZE) if attempt and letter else "",
        "written": _written(attempt) if attempt else text("export.page.no_ink"),
        "counts": text("export.page.counts", formed=line.lately_formed, tries=line.lately)
        if line.tries
        else "",
    }


def _written(attempt: Attempt) -> str:
    step, day = text(f"pupil.step.{attempt.step}"), day_words(attempt.at, year=True)
    return text("export.page.written", step=step, day=day, outcome=text(f"pupil.verdict.{attempt.outcome}"))
