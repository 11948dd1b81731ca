"""What a group or a pupil practices next: the letters in order, the reasons, and every change to it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, abort, flash, redirect, render_template, request, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response

from strokes.alphabet import Alphabet
from trainer.attempt import Pupil
from trainer.desk.desk import desk
from trainer.desk.mastery import mark
from trainer.desk.pages import query
from trainer.desk.pages.messages import offer_undo
from trainer.desk.pictures.svg import letter_svg
from trainer.errors import WordError, pass_over
from trainer.language import day_words, letter_words, listed, sentence, text
from trainer.record import ADDED_FOR
from trainer.teaching import (
    NAME_LETTERS,
    by_set,
    letter_offers,
    name_letters,
    reasons,
    teaching_order,
    word_offers,
)
from trainer.teaching.reasons import Because, Reason

page = Blueprint("plan", __name__)

BY = ("proposal", "order", "family")
SIZE = 56  # px of a letter on its lines

LONGEST_WORDS = 400
"""Characters of the words that are planned."""

LONGEST_NAME = len(NAME_LETTERS)
"""Characters of what stands in a plan: a letter, or the word for the letters of the name."""

LONGEST = 128 * 4
"""Characters that are read of typed letters: a large alphabet with blanks and commas between."""


@dataclass(frozen=True)
class Whose:
    """Whose plan it is: a group's, or a pupil's, who follows the group's until there is an own one.

    NAME_LETTERS may stand among its `letters`.
    """

    group: str
    pupil: Pupil | None
    letters: tuple[str, ...]
    follows: bool = False

    @property
    def address(self) -> dict[str, Any]:
        """What an address needs to mean this plan."""
        return {"pupil": self.pupil.id} if self.pupil else {"group": self.group}


@page.get("/plan")
def show() -> str:
    """The plan of the group or pupil that the address asks for; without one, of the first group."""
    if not desk().record.pupils.groups(archived=False):
        return render_template("no_pupils.html", title=text("plan.title"))
    return _page(_whose())


@page.post("/plan")
def change() -> str | Response | tuple[str, int]:
    """One change: a letter up, down, away or to the end, a new order, typed letters, or none at all."""
    whose = _whose()
    what, _, letter = request.form.get("do", "").partition(" ")
    if what == "take_back":
        return _taken_back(whose, letter)
    if what == "words":
        return _words(whose, request.form.get("words", "")[:LONGEST_WORDS])
    if what == "type":
        return _typed(whose, request.form.get("letters", ""))
    letters: Sequence[str]
    if what == "order":
        letters = _ordered(whose.letters, request.form.get("letters", "").split())
    else:
        letters = _changed(whose, what, letter)
    _set(whose, letters)
    if what == "remove":
        letter = neighbor(whose.letters, letter)
    did = f"{what} {letter}" if letter else None
    here = whose.address | {"by": query.one_of(BY, "by"), "set": request.args.get("set")}
    return redirect(url_for("plan.show", **here, did=did), 303)


def changed(letters: Sequence[str], what: str, letter: str) -> list[str]:
    """The letters after one is moved up or down, taken away or put at the end; what cannot move stays."""
    left = [other for other in letters if other != letter]
    if what == "remove":
        return left
    if what == "add":
        return list(letters) if letter in letters else [*left, letter]
    place = list(letters).index(letter) + {"up": -1, "down": 1}[what]
    place = min(max(place, 0), len(left))
    return [*left[:place], letter, *left[place:]]


def focused(letters: Sequence[str], offered: Sequence[str], did: str) -> str:
    """The button on which the keyboard goes on after a change: `up k` after `up k`, so that k can go on.

    At an end of the list it is the button for the other way; after adding, that of the next letter which
    can be added.
    """
    what, _, letter = did.partition(" ")
    if what in ("up", "down", "remove") and letter in letters:
        at_end = {"up": letters[0], "down": letters[-1]}.get(what) == letter
        return f"{'down' if what == 'up' else 'up'} {letter}" if at_end else did
    if what == "add" and letter in offered:
        place = list(offered).index(letter)
        left = [candidate for candidate in (*offered[place:], *offered[:place]) if candidate not in letters]
        return f"add {left[0]}" if left else ""
    return ""


def entry_words(entry: str) -> str:
    """What stands in a plan, as it is read aloud: a letter, or the letters of the name."""
    return text("plan.name.entry") if entry == NAME_LETTERS else letter_words(entry)


def neighbor(letters: Sequence[str], letter: str) -> str:
    """The letter after this one, or before it at the end; "" for the only one."""
    place = list(letters).index(letter)
    return "".join([*letters[place + 1 : place + 2], *letters[place - 1 : place]][:1])


def _changed(whose: Whose, what: str, letter: str) -> Sequence[str]:
    """A change by a button; answers 400 for one that no button makes."""
    if what == "clear":
        return ()
    if what == "put_back":
        before = [letter for letter in request.form.getlist("letter") if 0 < len(letter) <= LONGEST_NAME]
        since = () if whose.follows else whose.letters
        return list(dict.fromkeys([*before[:LONGEST], *since]))
    if what == "take":
        known = desk().alphabet(whose.group)
        added = [letter for letter in request.form.getlist("letter") if letter in known]
        return [*whose.letters, *(letter for letter in added if letter not in whose.letters)]
    can_be_added = (*desk().alphabet(whose.group), NAME_LETTERS)
    known_letter = letter in (can_be_added if what == "add" else whose.letters)
    if what not in ("add", "remove", "up", "down") or not known_letter:
        abort(400)
    return changed(whose.letters, what, letter)


def _taken_back(whose: Whose, addition: str) -> Response:
    """Take back a letter that was added for a pupil; one that is gone already stays so."""
    number, _, letter = addition.partition(" ")
    pupils = {str(pupil.id): pupil for pupil in desk().record.pupils.find(whose.group)}
    pupil = pupils.get(number) or abort(400)
    desk().record.plans.take_back({pupil.id: [letter]})
    return redirect(url_for("plan.show", **whose.address), 303)


def _ordered(letters: Sequence[str], order: Sequence[str]) -> list[str]:
    """The same letters in the order asked for; answers 400 when it is not the same letters."""
    if sorted(order) != sorted(letters):
        abort(400)
    return list(order)


def _typed(whose: Whose, typed: str) -> Response | tuple[str, int]:
    """Typed letters go to the end; where one is not in the alphabet nothing changes and nothing is lost."""
    alphabet = desk().alphabet(whose.group)
    letters, bad = read(typed[:LONGEST], alphabet)
    if bad or not letters:
        wrong = text("plan.type.empty")
        if bad:
            wrong = text("plan.type.bad", bad=listed(bad), alphabet=alphabet.name, known=" ".join(alphabet))
        return _page(whose, typed=typed[:LONGEST], wrong=wrong), 422
    _set(whose, list(dict.fromkeys([*whose.letters, *letters])))
    return redirect(url_for("plan.show", **whose.address), 303)


def _words(whose: Whose, typed: str) -> Response | tuple[str, int]:
    """The group's words are those that were typed; where one cannot be, nothing changes."""
    try:
        words = word_offers.planned(typed, [desk().alphabet(whose.group)])
    except WordError as error:
        return _page(whose, typed_words=typed, wrong_words=sentence(error)), 422
    desk().record.plans.set_words(whose.group, words)
    flash(text("plan.words.saved" if words else "plan.words.cleared", group=whose.group))
    return redirect(url_for("plan.show", **whose.address), 303)


def read(typed: str, alphabet: Alphabet) -> tuple[list[str], list[str]]:
    """The letters of what was typed, with or without blanks and commas, and what is none of the alphabet."""
    letters: list[str] = []
    bad: list[str] = []
    for word in typed.replace(",", " ").split():
        for letter in [word] if word in alphabet else word:
            (letters if letter in alphabet else bad).append(letter)
    return letters, list(dict.fromkeys(bad))


def _whose() -> Whose:
    """The plan that the address means; answers 404 for a group or a pupil that is not there."""
    record = desk().record
    groups = record.pupils.groups(archived=False)
    if not groups:
        abort(404)
    pupil = query.pupil(record.pupils.find())
    if pupil is None:
        group = query.group(groups) or groups[0]
        return Whose(group, None, record.plans.get(group))
    own = record.plans.get(pupil.group, pupil.id)
    return Whose(pupil.group, pupil, own or record.plans.get(pupil.group), follows=not own)


def _set(whose: Whose, letters: Sequence[str]) -> None:
    desk().record.plans.set(whose.group, letters, pupil=whose.pupil.id if whose.pupil else None)
    if whose.letters and not letters:
        said = text("plan.cleared_own" if whose.pupil else "plan.cleared")
        before = [("do", "put_back"), *(("letter", letter) for letter in whose.letters)]
        offer_undo(said, url_for("plan.change", **whose.address), before)


def _reasons(whose: Whose, alphabet: Alphabet, own_name: Sequence[str]) -> dict[str, Reason]:
    record, today = desk().record, desk().now().astimezone().date()
    order = teaching_order(alphabet)
    if whose.pupil is None:
        summary = record.figures.summary(
            whose.group, families=desk().alphabets.families, findings=False, other=False
        )
        return reasons.of_group(summary, order, today)
    attempts = record.attempts.find(whose.pupil.id, ink=False, on_damage=pass_over)
    summary = record.figures.summary(pupil=whose.pupil.id, findings=False, other=False)
    return reasons.of_pupil(attempts, summary, order, today, own_name)


def _page(
    whose: Whose,
    *,
    typed: str = "",
    wrong: str = "",
    typed_words: str | None = None,
    wrong_words: str = "",
) -> str:
    record, alphabet = desk().record, desk().alphabet(whose.group)
    own_name = name_letters(whose.pupil.name, alphabet) if whose.pupil else ()
    because = _reasons(whose, alphabet, own_name)
    by = query.one_of(BY, "by")
    sets = by_set(because)
    letter_set = query.letter_set(sets)
    of_set = {letter: because[letter] for letter in (sets[letter_set] if letter_set else ())}
    lists = {
        "proposal": [("", reasons.proposed(because, own_name))],
        "order": [("", list(of_set.values()))],
        "family": reasons.families(of_set, alphabet),
    }[by]
    offered = [reason.letter for _, some in lists for reason in some]
    did = request.args.get("did", "")
    pupils = record.pupils.find(whose.group)
    today = desk().now().astimezone().date()
    added = record.plans.added(today=today)
    return render_template(
        "plan/show.html",
        groups=record.pupils.groups(archived=False),
        pupils=pupils,
        own={pupil.id for pupil in pupils if record.plans.get(whose.group, pupil.id)},
        added=[
            (pupil, addition, day_words(addition.day), day_words(addition.day + ADDED_FOR))
            for pupil in ([whose.pupil] if whose.pupil else pupils)
            for addition in added.get(pupil.id, ())
        ],
        lessons=[
            (lesson, day_words(lesson.day), day_words(lesson.day + ADDED_FOR))
            for lesson in record.lessons.find(whose.group, counting=today, on_damage=pass_over)
        ],
        whose=whose,
        because=because,
        by=by,
        sets=tuple(sets),
        letter_set=letter_set,
        own_name=own_name,
        name_letters=NAME_LETTERS,
        said=entry_words,
        longest=LONGEST,
        gaps=", ".join(str(gap.days) for gap in letter_offers.GAPS),
        ways=BY,
        lists=lists,
        waits=Because.WAITS,
        mark=mark,
        pictures={letter: _picture(alphabet, letter) for letter in (*offered, *whose.letters)},
        moved=did.partition(" ")[2] if did.startswith(("up ", "down ", "add ")) else "",
        focus=focused(whose.letters, offered, did),
        typed=typed,
        wrong=wrong,
        planned_words=" ".join(record.plans.named_words(whose.group)) if typed_words is None else typed_words,
        wrong_words=wrong_words,
        longest_words=LONGEST_WORDS,
    )


def _picture(alphabet: Alphabet, letter: str) -> Markup:
    if letter == NAME_LETTERS:
        return Markup('<b aria-hidden="true">{}</b>').format(text("plan.name.short"))
    if letter not in alphabet:
        return Markup("<b>{}</b>").format(letter)
    return letter_svg(
        alphabet[letter].taught, alphabet.guide, size=SIZE, numbers=False, arrows=False, title=letter
    )
