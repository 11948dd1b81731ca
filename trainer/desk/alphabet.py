"""The pages of the alphabet: every letter with its formations and cues, and which alphabet a group uses."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from flask import Blueprint, abort, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from strokes.errors import LetterError, LetterFileError
from strokes.letter import Alphabet, Family, Formation
from strokes.letterfile import faults, load_alphabet
from strokes.lettersvg import LONGEST_CUE
from trainer import ownletters
from trainer.desk.desk import desk
from trainer.desk.drawn import letter_svg
from trainer.errors import PlaceError
from trainer.texts import text

page = Blueprint("alphabet", __name__)

TAUGHT, ACCEPTED, LARGE = 130, 84, 300
"""Height of a formation in px: in the list, beside the taught one, and on the page of its letter."""


@dataclass(frozen=True)
class Choice:
    """An alphabet that can be chosen: its name, its folder, and why it cannot be read, if it cannot."""

    name: str
    folder: Path
    fault: str = ""

    @property
    def shipped(self) -> bool:
        """Whether it came with the program and is never changed."""
        return self.name == ownletters.PRINT

    @property
    def label(self) -> str:
        """What it is called on the page."""
        kind = "shipped" if self.shipped else "broken" if self.fault else "own"
        return text(f"alphabet.name.{kind}", name=self.name)


@page.get("/alphabet")
def show() -> str:
    """All letters of one alphabet, by family, and the alphabet of each group."""
    choices = _choices()
    shown = _chosen(choices, request.args.get("alphabet", ""))
    alphabet = load_alphabet(shown.folder)
    return render_template(
        "alphabet/show.html",
        choices=choices,
        shown=shown,
        alphabet=alphabet,
        families=[
            {"name": family.name, "letters": [_drawn(alphabet, name, TAUGHT) for name in family.letters]}
            for family in _families(alphabet)
        ],
        groups=[(group, _used(group)) for group in desk().record.groups(archived=False)],
        broken=[
            text("alphabet.broken.told", alphabet=one.name, fault=one.fault) for one in choices if one.fault
        ],
        faults=[fault for one in choices if one.fault for fault in faults(one.folder)],
    )


@page.get("/alphabet/letter")
def letter() -> str:
    """One letter, large, with its cues to change."""
    choices = _choices()
    shown = _chosen(choices, request.args.get("alphabet", ""))
    alphabet = load_alphabet(shown.folder)
    name = request.args.get("letter", "")
    if name not in alphabet:
        abort(404)
    order = [one for family in _families(alphabet) for one in family.letters]
    place = order.index(name)
    return render_template(
        "alphabet/letter.html",
        shown=shown,
        one=_drawn(alphabet, name, LARGE),
        cues=[stroke.cue for stroke in alphabet[name].taught.strokes],
        before=order[place - 1] if place else "",
        after=order[place + 1] if place + 1 < len(order) else "",
        own=next((one for one in choices if not one.shipped), None),
        longest=LONGEST_CUE,
    )


@page.post("/alphabet/use")
def use() -> Response:
    """Set the alphabet of a group."""
    group, name = request.form.get("group", ""), request.form.get("alphabet", "")
    choice = next((one for one in _choices() if one.name == name), None)
    if group not in desk().record.groups():
        flash(text("alphabet.use.unknown_group", group=group))
    elif choice is None:
        flash(text("alphabet.use.unknown", alphabet=name))
    elif choice.fault:
        flash(text("alphabet.use.unreadable", alphabet=choice.name, fault=choice.fault))
    else:
        desk().record.set_setting(ownletters.setting(group), name)
        flash(text("alphabet.use.saved", group=group, alphabet=choice.label))
    return redirect(url_for("alphabet.show", alphabet=request.form.get("shown", "")), 303)


@page.post("/alphabet/cue")
def cue() -> Response:
    """Save a cue in the teacher's own alphabet; where there is none, the shipped one is copied first."""
    name, letter = request.form.get("alphabet", ""), request.form.get("letter", "")
    shown = next((one for one in _choices() if one.name == name), None) or abort(404)
    try:
        stroke = int(request.form.get("stroke", ""))
        said = ownletters.cue(request.form.get("cue", ""))
    except ValueError:
        abort(400)
    except LetterError as error:
        flash(text("alphabet.cue.refused", reason=error))
        return _to(name, letter)
    try:
        kept = _save(shown, letter, stroke, said)
    except (LetterError, PlaceError) as error:
        flash(text("alphabet.cue.refused", reason=error))
        return _to(name, letter)
    return _to(kept, letter)


def _save(shown: Choice, letter: str, stroke: int, said: str) -> str:
    """Save a cue and tell where; gives back the name of the alphabet it is in."""
    if not shown.shipped:
        ownletters.change_cue(shown.folder, letter, stroke, said)
        flash(text("alphabet.cue.saved", said=said))
        return shown.name
    own = desk().letters_folder
    if own.exists():
        flash(text("alphabet.cue.shipped"))
        return shown.name
    ownletters.copy_shipped(own)
    ownletters.change_cue(own, letter, stroke, said)
    flash(text("alphabet.cue.copied", said=said))
    return own.name


def _to(name: str, letter: str) -> Response:
    return redirect(url_for("alphabet.letter", alphabet=name, letter=letter), 303)


def _choices() -> list[Choice]:
    return [
        Choice(name, folder, _fault(folder))
        for name, folder in ownletters.alphabets(desk().letters_folder).items()
    ]


def _fault(folder: Path) -> str:
    """The first thing that must be mended before the alphabet can be used."""
    try:
        load_alphabet(folder)
    except LetterFileError as error:
        return str(error)
    return ""


def _used(group: str) -> str:
    kept = desk().record.setting(ownletters.setting(group))
    return ownletters.used(desk().letters_folder, kept)


def _chosen(choices: list[Choice], name: str) -> Choice:
    """The alphabet to show: the one asked for, the teacher's own, or the shipped one; always a good one."""
    good = [one for one in choices if not one.fault]
    named = [one for one in good if one.name == name]
    own = [one for one in good if not one.shipped]
    return [*named, *own, *good][0]


def _families(alphabet: Alphabet) -> list[Family]:
    """The letters by family in teaching order; those of no family come last."""
    place = {name: at for at, name in enumerate(alphabet.order)}
    grouped = {name for family in alphabet.families for name in family.letters}
    rest = tuple(name for name in alphabet if name not in grouped)
    families = [*alphabet.families, Family(text("alphabet.family.rest"), rest)]
    return [
        Family(family.name, tuple(sorted(family.letters, key=lambda name: place.get(name, len(place)))))
        for family in families
        if family.letters
    ]


def _drawn(alphabet: Alphabet, name: str, size: float) -> dict[str, Any]:
    """A letter with its pictures, its cues, and the other ways that are accepted."""
    one = alphabet[name]
    small = size if size == LARGE else ACCEPTED
    taught, *others = one.formations
    title = text("alphabet.letter.taught_picture", letter=name)
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
    title = text("alphabet.letter.accepted_picture", letter=name, formation=way)
    return {
        "name": way,
        "labels": labels,
        "picture": letter_svg(formation, alphabet.guide, size=size, title=title),
        "cues": [stroke.cue for stroke in formation.strokes if stroke.cue],
    }
