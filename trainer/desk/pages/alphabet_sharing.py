"""Alphabets as a whole: made as a copy, shared as a zip, and brought in, looked at first.

What is handed in is kept in the memory of the session alone, for a short time, until the teacher decides.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from io import BytesIO
from pathlib import PurePosixPath
from typing import Any, TypeAlias

from flask import Blueprint, abort, flash, redirect, render_template, request, send_file, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response

from strokes.alphabet import Usable
from strokes.errors import LetterError
from strokes.files import TOML
from trainer import places
from trainer.desk.access.uploads import MINUTES, Slot, Waiting
from trainer.desk.desk import desk
from trainer.desk.pages.alphabet import offered
from trainer.desk.pictures.svg import letter_svg
from trainer.errors import PlaceError, RosterError
from trainer.exchange import alphabet_files
from trainer.language import sentence, text
from trainer.teaching import own_alphabets, teaching_order

page = Blueprint("alphabet_sharing", __name__)

Reply: TypeAlias = Response | tuple[str, int]

SMALL = 90
"""Height of a letter in the preview, in px."""


@dataclass(frozen=True)
class BroughtIn:
    """The files of an alphabet that was handed in, by their names, and what of them can be used."""

    files: Mapping[str, bytes]
    contents: Usable


SLOT = Slot[BroughtIn]("alphabet")


@page.get("/alphabet/alphabets")
def show() -> str:
    """Where an alphabet is made, shared or handed in."""
    return _page()


@page.post("/alphabet/alphabets")
def make() -> Reply:
    """Make a new alphabet as a copy."""
    name, source = request.form.get("name", ""), request.form.get("source", "")
    chosen = next((choice for choice in offered() if choice.name == source and not choice.fault), None)
    if chosen is None:
        wrong = text("alphabet_sharing.new.unknown", alphabet=source[:40])
        return _page(wrong=wrong, name=name), 400
    try:
        made = own_alphabets.make(desk().alphabets.own, name, chosen.folder)
    except (LetterError, PlaceError) as error:
        return _page(wrong=_refused(error), name=name[: own_alphabets.LONGEST_NAME]), 400
    flash(text("alphabet_sharing.new.made", name=made))
    return redirect(url_for("alphabet.show", alphabet=made), 303)


@page.get("/alphabet/zip")
def share() -> Response:
    """An alphabet as a zip."""
    chosen = next((choice for choice in offered() if choice.name == request.args.get("alphabet", "")), None)
    if chosen is None:
        abort(404)
    content = BytesIO(alphabet_files.alphabet_zip(chosen.folder))
    return send_file(content, "application/zip", as_attachment=True, download_name=f"{chosen.name}.zip")


@page.post("/alphabet/folder")
def share_folder() -> Reply:
    """An alphabet as a folder beside the letters, for a stick or a shared drive."""
    name = request.form.get("alphabet", "")
    chosen = next((choice for choice in offered() if choice.name == name), None)
    if chosen is None:
        abort(404)
    try:
        place = desk().alphabets.own.absolute().parent / places.SHARED
        folder = own_alphabets.share(chosen.folder, chosen.name, place)
    except PlaceError as error:
        return _page(wrong=_refused(error)), 400
    flash(text("alphabet_sharing.share.copied", name=name, folder=folder))
    return redirect(url_for("alphabet_sharing.show"), 303)


@page.post("/alphabet/bring")
def hand_in() -> Reply:
    """Read what was handed in and keep it for a look; nothing is written yet."""
    files = [file for file in request.files.getlist("files") if file.filename]
    try:
        if not files:
            raise RosterError(text("alphabet_sharing.bring.no_file"))
        read = alphabet_files.from_uploads([(str(file.filename), file.stream) for file in files])
        usable = own_alphabets.looked_at(read)
    except (RosterError, PlaceError) as error:
        return _page(wrong=_refused(error)), 422
    token = SLOT.put(_source(files), BroughtIn(read, usable))
    return redirect(url_for("alphabet_sharing.look", token=token), 303)


@page.get("/alphabet/bring/<token>")
def look(token: str) -> str | Response:
    """The alphabet that waits: its letters, and what must be mended in it."""
    waiting = SLOT.find(token)
    if waiting is None:
        return _gone()
    return _preview(waiting, own_alphabets.free_name(desk().alphabets.own, waiting.source))


@page.post("/alphabet/bring/<token>")
def decide(token: str) -> Reply:
    """Take it in under a new name, or leave it."""
    waiting = SLOT.find(token)
    if waiting is None:
        return _gone()
    if request.form.get("do") != "take":
        SLOT.empty()
        flash(text("alphabet_sharing.bring.dropped"))
        return redirect(url_for("alphabet_sharing.show"), 303)
    name = request.form.get("name", "")
    try:
        taken = own_alphabets.take_in(desk().alphabets.own, name, waiting.content.files)
    except (LetterError, PlaceError) as error:
        return _preview(waiting, name[: own_alphabets.LONGEST_NAME], wrong=_refused(error)), 400
    SLOT.empty()
    flash(text("alphabet_sharing.bring.taken", name=taken))
    return redirect(url_for("alphabet.show", alphabet=taken), 303)


def _source(files: list[Any]) -> str:
    """What the alphabet may be called: the name of its zip, or of the folder that its files lie in."""
    first = PurePosixPath(str(files[0].filename).replace("\\", "/"))
    name = first.stem if len(files) == 1 else first.parent.name or first.stem
    return name[: own_alphabets.LONGEST_NAME]


def _gone() -> Response:
    flash(text("alphabet_sharing.bring.gone"))
    return redirect(url_for("alphabet_sharing.show"), 303)


def _refused(error: Exception) -> str:
    """What went wrong; the name of a file that comes first in it stays as it is."""
    reason = f"{str(error).rstrip('.')}." if isinstance(error, RosterError) else sentence(error)
    return text("alphabet_sharing.refused", reason=reason)


def _page(*, wrong: str = "", name: str = "") -> str:
    every = offered()
    return render_template(
        "alphabet_sharing/show.html",
        sources=[choice for choice in every if not choice.fault],
        shared=every,
        longest=own_alphabets.LONGEST_NAME,
        wrong=wrong,
        name=name,
    )


def _preview(waiting: Waiting[BroughtIn], name: str, *, wrong: str = "") -> str:
    alphabet = waiting.content.contents.alphabet
    pictures: list[tuple[str, Markup]] = []
    if alphabet is not None:
        for letter in teaching_order(alphabet):
            title = text("alphabet.letter.taught_picture", letter=letter)
            picture = letter_svg(alphabet[letter].taught, alphabet.guide, size=SMALL, title=title)
            pictures.append((letter, picture))
    return render_template(
        "alphabet_sharing/look.html",
        waiting=waiting,
        minutes=MINUTES,
        pictures=pictures,
        faults=[_plain(waiting.content.files, str(fault)) for fault in waiting.content.contents.faults],
        usable=alphabet is not None,
        longest=own_alphabets.LONGEST_NAME,
        name=name,
        wrong=wrong,
    )


def _plain(files: Mapping[str, bytes], fault: str) -> str:
    """A fault without the place where the files were looked at."""
    where, _, reason = fault.partition(": ")
    name = PurePosixPath(where.replace("\\", "/")).name
    return f"{name}: {reason}" if name == TOML or any(place.endswith(name) for place in files) else reason
