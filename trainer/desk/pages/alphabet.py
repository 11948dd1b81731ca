"""The pages of the alphabet: every letter with its formations and cues, and which alphabet a group uses."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

from flask import Blueprint, abort, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from strokes.alphabet import Alphabet, Usable
from strokes.errors import LetterError
from strokes.files import LONGEST_CUE
from strokes.letter import Family, Formation, set_of
from trainer.desk.desk import desk
from trainer.desk.pages import query
from trainer.desk.pictures.svg import letter_svg
from trainer.errors import PlaceError
from trainer.language import capital, letter_words, text
from trainer.teaching import Used, alphabet_in, alphabets, by_set, own_letters, teaching_order

page = Blueprint("alphabet", __name__)

Reply: TypeAlias = Response | tuple[str, int]

TAUGHT, ACCEPTED, LARGE = 130, 84, 300
"""Height of a formation in px: in the list, beside the taught one, and on the page of its letter."""


@dataclass(frozen=True)
class Choice:
    """An alphabet that can be chosen: its name, its folder, and what of it can be used."""

    name: str
    folder: Path
    contents: Usable

    @property
    def shipped(self) -> bool:
        """Whether it came with the program and is never changed."""
        return self.name in alphabets.SHIPPED_NAMES

    @property
    def fault(self) -> str:
        """The first thing that must be mended before the alphabet can be used at all."""
        return str(self.contents.faults[0]) if self.contents.alphabet is None else ""

    @property
    def to_mend(self) -> list[str]:
        """What to mend in it, in a sentence."""
        if self.fault:
            return [text("alphabet.broken.to_mend", alphabet=self.name, fault=self.fault)]
        return Used(self.name, self.name, self.folder).to_mend()

    @property
    def alphabet(self) -> Alphabet:
        """Its letters, for one that can be used."""
        assert self.contents.alphabet is not None
        return self.contents.alphabet

    @property
    def label(self) -> str:
        """What it is called on the page."""
        kind = "shipped" if self.shipped else "broken" if self.fault else "own"
        return text(f"alphabet.name.{kind}", name=self.name)


@page.get("/alphabet")
def show() -> str:
    """All letters of one alphabet, by family, and the alphabet of each group."""
    return _list_page(_chosen(offered(), request.args.get("alphabet", "")).name)


@page.get("/alphabet/letter")
def letter() -> str:
    """One letter, large, with its cues to change."""
    shown = _chosen(offered(), request.args.get("alphabet", ""))
    return _letter_page(shown, request.args.get("letter", ""))


@page.post("/alphabet/use")
def use() -> Reply:
    """Set the alphabet of a group."""
    group, name = request.form.get("group", ""), request.form.get("alphabet", "")
    shown = _chosen(offered(), request.form.get("shown", "")).name
    choice = next((other for other in offered() if other.name == name), None)
    if group not in desk().record.pupils.groups():
        return _list_page(shown, wrong=text("alphabet.use.unknown_group", group=group)), 400
    if choice is None:
        return _list_page(shown, wrong=text("alphabet.use.unknown", alphabet=name)), 400
    if choice.fault:
        wrong = text("alphabet.use.unreadable", alphabet=choice.name, fault=choice.fault)
        return _list_page(shown, wrong=wrong), 400
    if desk().named:
        return _list_page(shown, wrong=text("alphabet.use.named", alphabet=desk().alphabets.own.name)), 400
    desk().record.settings.set(alphabets.setting(group), name)
    flash(text("alphabet.use.saved", group=group, alphabet=choice.label))
    return redirect(url_for("alphabet.show", alphabet=shown), 303)


@page.post("/alphabet/cue")
def cue() -> Reply:
    """Save a cue in the teacher's own alphabet; where there is none, the shipped one is copied first."""
    name, letter = request.form.get("alphabet", ""), request.form.get("letter", "")
    stroke, typed = query.number(request.form.get("stroke", "")), request.form.get("cue", "")
    shown = next((other for other in offered() if other.name == name and not other.fault), None)
    if shown is None or stroke is None:
        abort(404)
    try:
        saved_in, message = _save(shown, letter, stroke, own_letters.cue(typed))
    except (LetterError, PlaceError) as error:
        wrong = text("alphabet.cue.refused", reason=capital(str(error)))
        return _letter_page(shown, letter, wrong=wrong, typed={stroke: typed}), 400
    flash(message)
    return redirect(url_for("alphabet.letter", alphabet=saved_in, letter=letter), 303)


def _save(shown: Choice, letter: str, stroke: int, said: str) -> tuple[str, str]:
    """Save a cue; gives back the name of the alphabet that has it now, and what to tell."""
    if not shown.shipped:
        own_letters.change_cue(shown.folder, letter, stroke, said)
        return shown.name, text("alphabet.cue.saved", said=said)
    own = desk().alphabets.own
    if own.exists():
        raise PlaceError("the shipped alphabet is never changed; change the cue in your own one")
    own_letters.copy_shipped(own, shown.name)
    own_letters.change_cue(own, letter, stroke, said)
    return own.name, text("alphabet.cue.copied", said=said)


def _list_page(name: str, *, wrong: str = "") -> str:
    """All letters of the alphabet of that name; `wrong` says why a group's choice was not kept."""
    choices = offered()
    shown = _chosen(choices, name)
    alphabet = shown.alphabet
    sets = by_set(alphabet)
    letter_set = query.letter_set(sets)
    families = [
        {
            "name": capital(family.name),
            "letters": [_drawn(alphabet, letter, TAUGHT) for letter in family.letters],
        }
        for family in _families(alphabet.only(letter_set) if letter_set else alphabet)
    ]
    to_mend = [sentence for choice in choices for sentence in choice.to_mend]
    return render_template(
        "alphabet/show.html",
        choices=choices,
        shown=shown,
        alphabet=alphabet,
        sets=tuple(sets),
        letter_set=letter_set,
        families=families,
        groups=[
            (group, desk().alphabets.of(group).name) for group in desk().record.pupils.groups(archived=False)
        ],
        named=desk().alphabets.own.name if desk().named else "",
        broken=to_mend,
        faults=[str(fault) for choice in choices for fault in choice.contents.faults],
        wrong=wrong,
    )


def _letter_page(shown: Choice, name: str, *, wrong: str = "", typed: Mapping[int, str] | None = None) -> str:
    """One letter; `wrong` says why a cue was not kept, and `typed` is that cue at its stroke."""
    alphabet = shown.alphabet
    if name not in alphabet:
        abort(404)
    order = [letter for family in _families(alphabet) for letter in family.letters]
    place = order.index(name)
    strokes = enumerate(alphabet[name].taught.strokes)
    return render_template(
        "alphabet/letter.html",
        shown=shown,
        drawn=_drawn(alphabet, name, LARGE),
        cues=[(typed or {}).get(index, stroke.cue) for index, stroke in strokes],
        letter_set=set_of(name),
        before=order[place - 1] if place else "",
        after=order[place + 1] if place + 1 < len(order) else "",
        own=next((other for other in offered() if not other.shipped), None),
        longest=LONGEST_CUE,
        wrong=wrong,
    )


def offered() -> list[Choice]:
    """The alphabets that a group may use, those that must be mended among them."""
    return [Choice(name, folder, alphabet_in(folder)) for name, folder in desk().alphabets.all().items()]


def own_alphabet(name: str) -> Choice | None:
    """The alphabet of the teacher's own with that name, where it can be used."""
    own = (choice for choice in offered() if not choice.fault and not choice.shipped)
    return next((choice for choice in own if choice.name == name), None)


def _chosen(choices: list[Choice], name: str) -> Choice:
    """The alphabet to show: the one asked for, the teacher's own, or the shipped one; always a good one."""
    good = [choice for choice in choices if not choice.fault]
    named = [choice for choice in good if choice.name == name]
    own = [choice for choice in good if not choice.shipped]
    return [*named, *own, *good][0]


def _families(alphabet: Alphabet) -> list[Family]:
    """The letters by family in teaching order; those of no family come last."""
    order = teaching_order(alphabet)
    grouped = {name for family in alphabet.families for name in family.letters}
    rest = tuple(name for name in alphabet if name not in grouped)
    families = [*alphabet.families, Family(text("alphabet.family.rest"), rest)]
    return [
        Family(family.name, tuple(sorted(family.letters, key=order.index)))
        for family in families
        if family.letters
    ]


def _drawn(alphabet: Alphabet, name: str, size: float) -> dict[str, Any]:
    """A letter with its pictures, its cues, and the other ways that are accepted."""
    letter = alphabet[name]
    small = size if size == LARGE else ACCEPTED
    taught, *others = letter.formations
    title = text("alphabet.letter.taught_picture", letter=letter_words(name))
    return {
        "name": name,
        "picture": letter_svg(taught, alphabet.guide, size=size, title=title),
        "cues": [stroke.cue for stroke in taught.strokes],
        "others": [_other(alphabet, name, formation, small) for formation in others],
    }


def _other(alphabet: Alphabet, name: str, formation: Formation, size: float) -> dict[str, Any]:
    way = formation.name.replace("-", " ")
    labels = [text(f"alphabet.letter.{formation.hand}")] if formation.hand else []
    if formation.note:
        labels.append(text("alphabet.letter.note"))
    title = text("alphabet.letter.accepted_picture", letter=letter_words(name), formation=way)
    return {
        "name": way,
        "labels": labels,
        "picture": letter_svg(formation, alphabet.guide, size=size, title=title),
        "cues": [stroke.cue for stroke in formation.strokes if stroke.cue],
    }
