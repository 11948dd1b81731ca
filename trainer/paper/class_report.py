"""A class or a group on one page for a colleague: which letters are secure, and whom to gather for what."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from strokes.alphabet import Alphabet
from trainer.drawing import theme
from trainer.language import day_words, listed, seen_words, teaching_words, text
from trainer.paper.document import Document, Paper
from trainer.paper.flow import SMALL, Flow
from trainer.record import Record
from trainer.teaching import (
    ENOUGH,
    LATELY,
    Alphabets,
    Gathering,
    Level,
    Need,
    Summary,
    by_pupil,
    class_letters,
    other_needs,
    teaching_order,
)

CAUTIONS = ("counts", "judge", "talk")


def class_report(
    record: Record, group: str | None, alphabets: Alphabets, paper: Paper, *, now: datetime
) -> Document:
    """The report of a group, or of the whole class, on one page; what finds no room on it is counted."""
    groups = [group] if group is not None else record.pupils.groups(archived=False)
    alphabet, order = alphabets.of(group).alphabet, teaching_order(*alphabets.used_by(groups))
    summary = record.figures.summary(group, families=alphabets.families, order=order, findings=False)
    whose = group or text("paper.class.whole")
    document = Document(text("paper.class.title", whose=whose), paper)
    flow = Flow(document)
    flow.page()
    flow.title(text("paper.class.title", whose=whose))
    flow.words(_about(summary, now), color=theme.QUIET)
    _letters(flow, summary, alphabet, order)
    flow.heading(text("summary.gather.title"))
    cautions = " ".join(text(f"summary.caution.{caution}") for caution in CAUTIONS)
    reserved = document.height_of(cautions, flow.width, size=SMALL) + 12
    _advice(flow, summary, reserved)
    flow.heading(text("summary.caution.title"))
    flow.words(cautions, size=SMALL)
    flow.foot(text("paper.class.foot", whose=whose, day=day_words(now, year=True)))
    return document


def _about(summary: Summary, now: datetime) -> str:
    said = [text("paper.class.about", pupils=len(summary.pupils), today=day_words(now, year=True))]
    if summary.first and summary.last:
        first, last = day_words(summary.first, year=True), day_words(summary.last, year=True)
        said.append(text("paper.class.span", first=first, last=last, tries=summary.tries))
    return " ".join(said)


def _letters(flow: Flow, summary: Summary, alphabet: Alphabet, order: tuple[str, ...]) -> None:
    """The letters by how many they are secure with; under each of how many who tried it enough."""
    letters = [letter for letter in class_letters(summary, order) if letter.level is not Level.NONE]
    flow.words(text("paper.class.means", lately=LATELY, enough=ENOUGH), size=SMALL, color=theme.QUIET)
    for stands in Level:
        own = {letter.letter: letter for letter in letters if letter.level is stands}
        if own:
            heading = text(f"paper.class.level.{stands}")
            flow.y += 1.5
            flow.words(heading)
            below = {
                name: text("paper.class.of", secure=letter.secure, enough=letter.enough)
                for name, letter in own.items()
            }
            flow.letters(tuple(own), alphabet, heading, below=below if stands is not Level.FEW else None)
    if not letters:
        flow.words(text("paper.report.nothing"))


def _advice(flow: Flow, summary: Summary, reserved: float) -> None:
    """Whom to gather, who needs what alone, and what waits, as far as there is room above `reserved` mm."""
    lines = [*_advised(summary)]
    for place, line in enumerate(lines):
        if not flow.room_for(line, below=reserved + (6 if place + 1 < len(lines) else 0)):
            flow.words(text("paper.class.more", count=len(lines) - place), color=theme.QUIET)
            return
        flow.words(line)
    if not lines:
        flow.words(text("summary.gather.nothing"))


def _advised(summary: Summary) -> Iterator[str]:
    for place, gathering in enumerate(summary.gather, 1):
        yield _gathered(place, gathering)
    for need in summary.alone:
        yield _alone(need)
    for pupil, needs in by_pupil(summary.waiting).items():
        letters = ", ".join(dict.fromkeys(need.letter for need in needs))
        yield text("paper.class.waits", name=pupil.name, letters=letters)
    for other in summary.other:
        yield text("summary.other.named", name=other.pupil.name, line=other_needs.titled(other))


def _gathered(place: int, gathering: Gathering) -> str:
    names = listed([pupil.name for pupil in gathering.pupils], every=True)
    what = seen_words(gathering.kind, gathering.instead, gathering.letters)
    line = text(
        "summary.gather.line", place=place, letter=gathering.letter, names=names, group=gathering.group
    )
    why = text("summary.gather.why", what=what, seen=gathering.times, tries=gathering.tries)
    return f"{line}. {why} {teaching_words(gathering.kind)}"


def _alone(need: Need) -> str:
    what = seen_words(need.kind, need.instead, [need.letter])
    words = {"letter": need.letter, "name": need.pupil.name, "what": what, "seen": need.times}
    return text("summary.gather.alone", **words, tries=need.tries) + "."
