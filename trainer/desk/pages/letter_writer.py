"""The pages where a teacher writes a letter: the sheet, every change to the draft, its trial, and saving it.

The draft lies in the alphabet's folder and is written after each change; the page in the browser only shows
it and asks for one change after the other, each with the revision that it saw.
"""

from __future__ import annotations

import json
from typing import Any, TypeAlias
from unicodedata import normalize

from flask import Blueprint, abort, flash, jsonify, redirect, render_template, request, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response

from strokes.alphabet import Alphabet
from strokes.errors import LetterError
from strokes.files import LONGEST_CUE, wrong_name
from strokes.letter import Formation
from strokes.modeling import trial as trial_of
from strokes.transform import Transform
from trainer.desk import trial_words
from trainer.desk.desk import desk
from trainer.desk.pages.alphabet import Choice, offered, own_alphabet
from trainer.desk.pictures.svg import Sheet, letter_svg
from trainer.drawing import lettering, theme
from trainer.errors import PlaceError
from trainer.language import sentence, text
from trainer.teaching import letter_drafts, letter_saving, own_letters
from trainer.teaching.letter_drafts import Draft, Drafts, State

page = Blueprint("letter_writer", __name__)

Reply: TypeAlias = Response | tuple[str, int]

UNIT = 100
"""Units of the sheet to the x-height; the page's script knows it as well."""

PEN = 0.13
"""Width of the strokes on the sheet, in x-heights: the ink is seen upon them."""

LARGEST_CHANGE = 512 * 1024
"""Bytes of one change: a trace with as many points as a draft takes has half of that."""

LEFT, WIDE = -1.0, letter_drafts.WIDEST
"""The sheet's left edge and its width, in x-heights."""

LONGEST_TYPED = 40
"""Characters of what was typed that are shown again."""

LARGE = 260
"""Height of a letter on the page of its trial, in px."""


@page.get("/alphabet/write")
def show() -> Reply | str:
    """The sheet of one letter; without a letter, where one is begun."""
    name, letter = request.args.get("alphabet", ""), request.args.get("letter", "")
    if not letter:
        return _begin_page(name)
    chosen = own_alphabet(name)
    if chosen is None or _wrong_name(letter):
        abort(404)
    return _sheet_page(chosen, letter)


@page.post("/alphabet/write")
def begin() -> Reply:
    """Go to the sheet of a letter; where there is no alphabet of her own, a shipped one is copied first."""
    name, typed = request.form.get("alphabet", ""), request.form.get("letter", "")
    letter = normalize("NFC", typed.strip())
    if wrong := _wrong_name(letter):
        return _begin_page(name, wrong=wrong, typed=typed[:LONGEST_TYPED]), 400
    chosen = next((choice for choice in offered() if choice.name == name and not choice.fault), None)
    if chosen is None:
        wrong = text("letter_writer.begin.unknown", alphabet=name[:LONGEST_TYPED])
        return _begin_page(name, wrong=wrong, typed=typed[:LONGEST_TYPED]), 400
    if chosen.shipped:
        own = desk().alphabets.own
        if own.exists():
            wrong = text("letter_writer.begin.own_exists")
            return _begin_page(name, wrong=wrong, typed=typed[:LONGEST_TYPED]), 400
        own_letters.copy_shipped(own, name)
        name = own.name
    return redirect(url_for("letter_writer.show", alphabet=name, letter=letter), 303)


@page.get("/alphabet/write/draft")
def draft() -> Response:
    """How the letter stands, for the page's script."""
    chosen, letter = _asked(request.args)
    return jsonify(_shown(_draft(chosen, letter)))


@page.post("/alphabet/write/change")
def change() -> tuple[Response, int]:
    """Make one change to the draft and keep it; what cannot be done is said and changes nothing."""
    what = _sent()
    if what is None:
        return jsonify(said=text("letter_writer.fault.json")), 400
    chosen, letter = _asked({key: value for key, value in what.items() if isinstance(value, str)})
    draft = _draft(chosen, letter)
    if what.get("revision") != draft.revision:
        return jsonify(said=text("letter_writer.sheet.newer"), draft=_shown(draft)), 409
    try:
        letter_drafts.changed(draft, what, chosen.alphabet.guide)
        Drafts(chosen.folder).keep(draft)
    except (LetterError, PlaceError) as error:
        return jsonify(said=text("letter_writer.fault.refused", reason=sentence(error))), 400
    return jsonify(draft=_shown(draft)), 200


@page.post("/alphabet/write/take")
def take() -> Reply:
    """Put the letter as the alphabet teaches it on the sheet, to mend it."""
    chosen, letter = _asked(request.form)
    if letter not in chosen.alphabet:
        abort(404)
    written = _draft(chosen, letter)
    letter_drafts.take_taught(written, chosen.alphabet[letter].taught)
    Drafts(chosen.folder).keep(written)
    return redirect(url_for("letter_writer.show", alphabet=chosen.name, letter=letter), 303)


@page.get("/alphabet/write/trial")
def trial() -> str:
    """How the letter would be judged and what it would be mistaken for, before it is saved."""
    chosen, letter = _asked(request.args)
    return _trial_page(chosen, letter)


@page.post("/alphabet/write/save")
def save() -> Reply:
    """Save the letter in the alphabet as it was tried."""
    chosen, letter = _asked(request.form)
    written = _draft(chosen, letter)
    keep = request.form.get("keep") == "yes"
    if request.form.get("revision") != str(written.revision):
        return _trial_page(chosen, letter, wrong=text("letter_writer.trial.changed"), keep=keep), 409
    try:
        letter_saving.save(chosen.folder, written, keep_taught=keep)
    except (LetterError, PlaceError) as error:
        wrong = text("letter_writer.fault.refused", reason=sentence(error))
        return _trial_page(chosen, letter, wrong=wrong, keep=keep), 400
    Drafts(chosen.folder).drop(letter)
    flash(text("letter_writer.trial.saved", letter=letter, alphabet=chosen.name))
    return redirect(url_for("alphabet.letter", alphabet=chosen.name, letter=letter), 303)


@page.post("/alphabet/write/drop")
def drop() -> Reply:
    """Throw the draft away."""
    chosen, letter = _asked(request.form)
    Drafts(chosen.folder).drop(letter)
    flash(text("letter_writer.end.dropped", letter=letter))
    return redirect(url_for("alphabet.show", alphabet=chosen.name), 303)


def _asked(values: Any) -> tuple[Choice, str]:
    """The alphabet and the letter that were asked for; 404 where they cannot be."""
    chosen, letter = own_alphabet(values.get("alphabet", "")), values.get("letter", "")
    if chosen is None or _wrong_name(letter):
        abort(404)
    return chosen, letter


def _wrong_name(letter: str) -> str:
    """Why this cannot be the name of a letter; empty where it can."""
    if not letter:
        return text("letter_writer.begin.none")
    wrong = wrong_name(letter)
    return text("letter_writer.fault.refused", reason=sentence(wrong)) if wrong else ""


def _draft(chosen: Choice, letter: str) -> Draft:
    """The draft as it was kept, or a new one with the family and the place that the letter has now."""
    earlier = Drafts(chosen.folder).get(letter)
    if earlier is not None:
        return earlier
    order = chosen.alphabet.order
    before = order[: order.index(letter)] if letter in order else order
    after = before[-1] if before else ""
    if letter in chosen.alphabet and letter not in order:
        after = letter_drafts.ONLY_PLANNED
    family = next((family.name for family in chosen.alphabet.families if letter in family.letters), "")
    return Draft(letter, states=[State(family=family, after=after)])


def _sent() -> dict[str, Any] | None:
    """The change that the page asks for; None for what is no change, or too large."""

    def refuse(name: str) -> None:
        raise ValueError(f"{name} is no number")

    if (request.content_length or 0) > LARGEST_CHANGE:
        return None
    try:
        what = json.loads(request.get_data(cache=False), parse_constant=refuse)
    except (ValueError, RecursionError):
        return None
    return what if isinstance(what, dict) else None


def _shown(draft: Draft) -> dict[str, Any]:
    """The draft for the page's script: strokes with their points, the ink, and a picture of the formation."""
    state = draft.state
    picture, marks = _pictures(draft)
    return {
        "revision": draft.revision,
        "undo": draft.shown > 0,
        "redo": draft.shown + 1 < len(draft.states),
        "again": state.can_be_written_again,
        "tries": state.tries,
        "next": state.next_stroke,
        "strokes": [
            {
                "points": stroke.curves.points.round(4).tolist(),
                "straight": stroke.curves.straight.tolist(),
                "cue": stroke.cue,
            }
            for stroke in state.strokes
        ],
        "ink": [trace.tolist() for trace in draft.ink],
        "picture": picture,
        "marks": marks,
        "error": state.error,
        "use": state.use,
        "family": state.family,
        "after": state.after,
    }


def _pictures(draft: Draft) -> tuple[Markup, Markup]:
    """The strokes, and their numbered starts and arrows, in the units of the sheet: the ink lies between."""
    strokes, whole = Sheet(), Sheet()
    if draft.state.strokes:
        formation, place = draft.as_written(), Transform(UNIT, UNIT, 0.0, 0.0)
        for sheet, marked in ((strokes, False), (whole, True)):
            lettering.formation(
                sheet, formation, place, PEN * UNIT, theme.GUIDE, numbers=marked, arrows=marked
            )
    marks = whole.elements[len(strokes.elements) :]  # strokes are drawn first
    return Markup("").join(strokes.elements), Markup("").join(marks)


def _begin_page(name: str, *, wrong: str = "", typed: str = "") -> str:
    there = offered()
    every = [choice for choice in there if not choice.fault]
    own = [choice for choice in every if not choice.shipped]
    to_mend = [sentence for choice in there if choice.fault for sentence in choice.to_mend]
    # the first letter goes into a copy of a shipped alphabet, for which the folder must not be there yet
    can_begin = bool(own) or not desk().alphabets.own.exists()
    if not can_begin and not to_mend:
        to_mend = [text("letter_writer.begin.empty", folder=desk().alphabets.own)]
    usable = own or every
    chosen = next((choice for choice in usable if choice.name == name), usable[0])
    return render_template(
        "letter_writer/begin.html",
        choices=usable,
        chosen=chosen.name,
        copied="" if own else chosen.name,
        can_begin=can_begin,
        to_mend=to_mend,
        drafts=[(choice.name, letter) for choice in own for letter in Drafts(choice.folder).letters()],
        wrong=wrong,
        typed=typed,
    )


def _sheet_page(chosen: Choice, letter: str) -> Reply:
    alphabet = chosen.alphabet
    wrong = ""
    try:
        _draft(chosen, letter)
    except PlaceError as error:
        wrong = text("letter_writer.end.damaged", reason=sentence(error))
    top, bottom = alphabet.guide.ascender - letter_drafts.ROOM, alphabet.guide.descender + letter_drafts.ROOM
    ruled = Sheet()
    place = Transform(UNIT, UNIT, 0.0, 0.0)
    lettering.guide_lines(ruled, lettering.placed(alphabet.guide, place), LEFT * UNIT, (LEFT + WIDE) * UNIT)
    page = render_template(
        "letter_writer/sheet.html",
        alphabet=chosen.name,
        letter=letter,
        known=letter in alphabet,
        box=f"{LEFT * UNIT:g} {top * UNIT:g} {WIDE * UNIT:g} {(bottom - top) * UNIT:g}",
        lines=Markup("").join(ruled.elements),
        longest=LONGEST_CUE,
        errors=list(zip(letter_drafts.ERRORS, ("close", "usual", "loose", "looser"), strict=True)),
        uses=letter_drafts.USES if letter in alphabet else letter_drafts.USES[:1],
        families=[family.name for family in alphabet.families],
        order=[name for name in alphabet.order if name != letter],
        only_planned=letter_drafts.ONLY_PLANNED,
        wrong=wrong,
    )
    return page, 500 if wrong else 200


def _trial_page(chosen: Choice, letter: str, *, wrong: str = "", keep: bool = False) -> str:
    written, alphabet = _draft(chosen, letter), chosen.alphabet
    is_there, values = letter in alphabet, {}
    if written.state.strokes and (is_there or written.state.use == "taught"):
        tried = letter_saving.with_draft(alphabet.get(letter), written)
        outcome = trial_of(tried, alphabet)
        key = "good" if outcome.passed else "bad"
        values = {
            "picture": _drawn(written.formation(), alphabet, "picture", letter),
            "before": _drawn(alphabet[letter].taught, alphabet, "other", letter) if is_there else "",
            "replaces": is_there and written.state.use == "taught",
            "good": outcome.passed,
            "verdict": text(f"letter_writer.trial.{key}"),
            "said": trial_words.sentences(outcome),
            "mistakes": trial_words.mistakes(outcome, tried, alphabet),
            "unsavable": "" if wrong else _why_unsavable(chosen, written),
        }
    return render_template(
        "letter_writer/trial.html",
        alphabet=chosen.name,
        letter=letter,
        revision=written.revision,
        wrong=wrong,
        keep=keep,
        **values,
    )


def _why_unsavable(chosen: Choice, written: Draft) -> str:
    """Why the alphabet would not take the letter as it is; empty where it would."""
    try:
        letter_saving.try_out(chosen.folder, written)
    except (LetterError, PlaceError) as error:
        return text("letter_writer.trial.unsavable", reason=sentence(error))
    return ""


def _drawn(formation: Formation, alphabet: Alphabet, key: str, letter: str) -> Markup:
    title = text(f"letter_writer.trial.{key}", letter=letter)
    return letter_svg(formation, alphabet.guide, size=LARGE, title=title)
