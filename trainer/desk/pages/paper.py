"""What can be printed: practice sheets, letter cards and reports as PDF, each from a form of its own."""

from __future__ import annotations

import zipfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO, RawIOBase
from typing import TYPE_CHECKING, TypeAlias

from flask import Blueprint, Response, render_template, request, send_file, stream_with_context

from strokes.alphabet import Alphabet
from strokes.letter import Hand
from trainer.attempt import Pupil
from trainer.desk.desk import desk
from trainer.desk.pages import query
from trainer.desk.pages.alphabet import offered
from trainer.errors import UsageError
from trainer.exchange import file_name
from trainer.language import sentence, text
from trainer.teaching import taught_to_all, typed_letters

if TYPE_CHECKING:
    from _typeshed import ReadableBuffer as Buffer

    from trainer.paper import Document, Paper, Sheet

page = Blueprint("paper", __name__)

Reply: TypeAlias = str | Response | tuple[str, int]

PAPERS = ("a4", "letter")
LONGEST = 200
"""Characters of the letters or words that a form may name."""

MOST_COPIES = 30


@dataclass(frozen=True)
class Whom:
    """Whose sheets or reports are asked for: some pupils, or nobody by name."""

    pupils: tuple[Pupil, ...] = ()
    group: str | None = None


@page.get("/paper")
def show() -> str:
    """The forms; those for sheets and reports may be opened for one pupil or a group."""
    return _page(request.args)


@page.get("/paper/sheets.pdf")
def sheets() -> Reply:
    """Practice sheets; what cannot be made comes back to the form with its reason."""
    from trainer.paper import Ruling, practice_sheets

    asked = request.args
    try:
        ruling = Ruling(_paper(asked), _height(asked.get("height", "")))
        document = practice_sheets(_sheets(asked), ruling, copies=_copies(asked.get("copies", "")))
    except UsageError as error:
        return _page(asked, wrong={"sheets": sentence(error)}), 400
    return _sent(document, "sheets")


@page.get("/paper/letters.pdf")
def letters() -> Reply:
    """Letter cards, or an alphabet for the wall."""
    from trainer.paper import Paper, letter_cards, wall_alphabet

    asked = request.args
    alphabet = _alphabet(asked.get("alphabet", ""))
    try:
        chosen = _letters(asked, alphabet) or taught_to_all(alphabet)
    except UsageError as error:
        return _page(asked, wrong={"letters": sentence(error)}), 400
    if asked.get("kind") == "wall":
        return _sent(wall_alphabet(alphabet, chosen, Paper(_paper(asked).name, landscape=True)), "wall")
    return _sent(letter_cards(alphabet, chosen, _paper(asked)), "cards")


@page.get("/paper/report.pdf")
def report() -> Response:
    """The report of a pupil for the family, or of a group or the class for a colleague."""
    from trainer.paper import child_report, class_report

    record, now, asked = desk().record, desk().now(), _whom(request.args.get("whom", ""))
    paper = _paper(request.args)
    if asked.pupils and asked.group is None:
        (pupil,) = asked.pupils
        document = child_report(record, pupil, desk().alphabet(pupil.group), paper, now=now)
        return _sent(document, "report")
    return _sent(class_report(record, asked.group, desk().alphabets, paper, now=now), "class")


@page.get("/paper/reports.zip")
def reports() -> Response:
    """The report of each pupil of a group or of the class, in one zip.

    It is sent report by report, so that the browser saves from the start and shows how far it is.
    """
    pupils = _whom(request.args.get("whom", "")).pupils or desk().record.pupils.find()
    answer = Response(stream_with_context(_zipped(pupils, _paper(request.args))), mimetype="application/zip")
    name = f"{text('paper.file.reports')}-{_today()}.zip"
    answer.headers.set("Content-Disposition", "attachment", filename=name)
    return answer


def _zipped(pupils: Sequence[Pupil], paper: Paper) -> Iterator[bytes]:
    """The bytes of the zip: those of one report after the other, and its list at the end."""
    from trainer.paper import child_report

    record, now, file = desk().record, desk().now(), _Unsent()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as folder:
        for pupil in pupils:
            document = child_report(record, pupil, desk().alphabet(pupil.group), paper, now=now)
            folder.writestr(f"{file_name(pupil.id, pupil)}.pdf", document.content())
            yield file.taken()
    yield file.taken()


class _Unsent(RawIOBase):
    """A file that is sent while it is written; it has what was not taken yet."""

    def __init__(self) -> None:
        super().__init__()
        self._content = bytearray()

    def writable(self) -> bool:
        """It is for writing alone, and nothing in it is found again."""
        return True

    def write(self, content: Buffer, /) -> int:
        """Keep it until it is taken."""
        piece = bytes(content)
        self._content += piece
        return len(piece)

    def taken(self) -> bytes:
        """What was written since the last time."""
        content = bytes(self._content)
        self._content.clear()
        return content


def _sheets(asked: Mapping[str, str]) -> Sequence[Sheet]:
    """The sheets that the form asks for. Raises UsageError for what cannot be on one."""
    from trainer.paper import Sheet, sheets_of

    whom = _whom(asked.get("whom", ""))
    words = asked.get("words", "")[:LONGEST].split()
    if not whom.pupils:
        alphabet = desk().alphabet()
        hand: Hand | None = "left" if asked.get("hand") == "left" else None
        written = [*_letters(asked, alphabet), *words]
        if not written:
            raise UsageError(text("paper.page.sheets.nothing"))
        return [Sheet(each, alphabet, hand) for each in written]
    made: list[Sheet] = []
    today = desk().now().astimezone().date()
    for pupil in whom.pupils:
        alphabet = desk().alphabet(pupil.group)
        own = [pupil.name] if asked.get("names") else []
        written = [*_letters(asked, alphabet), *words, *own]
        made += sheets_of(desk().record, pupil, alphabet, written, today=today)
    return made


def _letters(asked: Mapping[str, str], alphabet: Alphabet) -> Sequence[str]:
    typed = asked.get("letters", "").strip()[:LONGEST]
    return typed_letters([typed], alphabet) if typed else ()


def _whom(value: str) -> Whom:
    """Whom a choice means: nothing, `group NAME` or `pupil NUMBER`; `missing` for who is not there."""
    if not value:
        return Whom()
    kind, _, name = value.partition(" ")
    pupils = desk().record.pupils
    if kind == "group" and (own := pupils.find(name)):
        return Whom(own, name)
    number = query.number(name)
    if kind == "pupil" and number is not None and (pupil := pupils.get(number)):
        return Whom((pupil,))
    query.missing()


def _alphabet(name: str) -> Alphabet:
    """The alphabet with that name, where it can be used; otherwise the one that is used without a choice."""
    named = next((choice for choice in offered() if choice.name == name and not choice.fault), None)
    usable = named.contents.alphabet if named else None
    return usable or desk().alphabet()


def _paper(asked: Mapping[str, str]) -> Paper:
    from trainer.paper import Paper

    name = asked.get("paper", "")
    return Paper(name if name in PAPERS else PAPERS[0], landscape=asked.get("landscape") == "yes")


def _height(typed: str) -> float:
    """A height in mm as it was typed, with a point or a comma. Raises UsageError for no number."""
    from trainer.paper import BY_AGE, USUAL_AGE

    if not typed.strip():
        return BY_AGE[USUAL_AGE]
    try:
        return float(typed.strip().replace(",", ".")[:10])
    except ValueError:
        raise UsageError(f"the ruled height must be a number of millimeters, not {typed[:20]!r}") from None


def _copies(typed: str) -> int:
    copies = query.number(typed.strip() or "1")
    if copies is None or not 1 <= copies <= MOST_COPIES:
        raise UsageError(f"there must be 1 to {MOST_COPIES} copies, not {typed[:20]!r}")
    return copies


def _sent(document: Document, what: str) -> Response:
    """A document to be saved; its file bears no name of a child, as the browser lists it."""
    name = f"{text(f'paper.file.{what}')}-{_today()}.pdf"
    content = BytesIO(document.content())
    return send_file(content, "application/pdf", as_attachment=True, download_name=name)


def _today() -> str:
    return f"{desk().now().astimezone():%Y-%m-%d}"


def _page(asked: Mapping[str, str], *, wrong: Mapping[str, str] | None = None) -> str:
    """The page with what was asked for in its forms, and what was wrong with it."""
    from trainer.paper import BY_AGE, HIGHEST, LOWEST, USUAL_AGE

    pupils = desk().record.pupils
    groups = pupils.groups(archived=False)
    return render_template(
        "paper/show.html",
        groups={group: pupils.find(group) for group in groups},
        asked=asked,
        wrong=wrong or {},
        papers=PAPERS,
        by_age=BY_AGE,
        usual=BY_AGE[USUAL_AGE],
        heights=(LOWEST, HIGHEST),
        most_copies=MOST_COPIES,
        longest=LONGEST,
        alphabets=[choice.name for choice in offered() if not choice.fault],
    )
