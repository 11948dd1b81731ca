"""The summary and the class list in the terminal: they fit 80 columns and are read without color."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Literal

from rich.console import Console
from rich.table import Table
from rich.text import Text

from trainer.attempt import Pupil
from trainer.language import (
    chunks_known,
    day_words,
    kind_name,
    listed,
    observed_words,
    on_one_line,
    seen_words,
    sounds_counted,
    teaching_words,
    text,
)
from trainer.teaching import (
    AGAIN,
    ENOUGH,
    LATELY,
    FindingFigures,
    LetterFigures,
    Observed,
    OtherKind,
    Summary,
    WordFigures,
    by_pupil,
    by_set,
    other_needs,
)

WIDEST = 100
"""Longer lines are hard to read, however wide the terminal is."""

KINDS_SHOWN, ALONE_SHOWN, WORDS_SHOWN = 3, 5, 20


def show(
    summary: Summary,
    *,
    pupil: Pupil | None = None,
    group: str | None = None,
    on_paper: Sequence[Observed] = (),
    words: Sequence[WordFigures] = (),
) -> None:
    """Print the summary: the letters first and whom to gather last, where a terminal leaves off.

    What a teacher saw of a pupil `on_paper` stands apart.
    """
    console = _console()
    _heading(console, summary, pupil, group)
    if summary.first is not None:
        _letters(console, summary)
        _findings(console, summary)
        _notes(console, summary, pupil)
        _words(console, summary, words)
        if pupil is None:
            _gather(console, summary)
        else:
            _next(console, summary)
    if on_paper:
        _part(console, text("paper.report.on_paper"))
        for line in on_paper:
            _say(console, observed_words(*line))
    _part(console, text("summary.caution.title"))
    for caution in (
        text("summary.caution.counts"),
        text("summary.caution.judge"),
        text("summary.caution.talk"),
    ):
        _say(console, caution)


def show_pupils(pupils: Sequence[Pupil]) -> None:
    """Print the class list."""
    table = _table()
    for name in ("name", "group", "card", "hand"):
        table.add_column(text(f"summary.pupils.{name}"), justify="right" if name == "card" else "left")
    for pupil in pupils:
        hand = text(f"summary.hand.{pupil.hand or 'open'}")
        table.add_row(Text(pupil.name), Text(pupil.group), str(pupil.card), hand)
    _print(_console(), table)


def _heading(console: Console, summary: Summary, pupil: Pupil | None, group: str | None) -> None:
    if pupil is not None:
        title = text("summary.heading.pupil", name=pupil.name, group=pupil.group)
    elif group is not None:
        title = text("summary.heading.group", group=group, pupils=len(summary.pupils))
    else:
        title = text("summary.heading.class", pupils=len(summary.pupils))
    _say(console, title, style="bold")
    if summary.first is None or summary.last is None:
        _say(console, text("summary.heading.nothing"))
    else:
        first, last = day_words(summary.first, year=True), day_words(summary.last, year=True)
        tries, traced = summary.tries, summary.traced
        _say(console, text("summary.heading.counts", tries=tries, traced=traced, first=first, last=last))
    if summary.broken:
        _say(console, text("summary.heading.broken", broken=summary.broken))


def _letters(console: Console, summary: Summary) -> None:
    _part(console, text("summary.table.title"))
    lines = {line.letter: line for line in summary.lines if line.enough}
    sets = by_set(lines)
    for name, own in sets.items():
        if len(sets) > 1:
            _say(console, text(f"summary.set.{name}"), style="bold")
        table = _table()
        for column in ("letter", "formed", "mended", "likely", "lately", "recalled", "looks", "last"):
            table.add_column(
                text(f"summary.column.{column}"), justify="left" if column == "letter" else "right"
            )
        for letter in own:
            table.add_row(*map(Text, _cells(lines[letter])))
        _print(console, table)
    few = [line for line in summary.lines if 0 < line.tries < ENOUGH]
    if few:
        letters = ", ".join(text("summary.table.few", letter=line.letter, tries=line.tries) for line in few)
        _say(console, text("summary.table.not_enough", enough=ENOUGH, letters=letters))
    traced = [line.letter for line in summary.lines if line.tries == 0]
    if traced:
        _say(console, text("summary.table.only_traced", letters=", ".join(traced)))
    if lines:
        _say(console, text("summary.table.formed_means"))
        _say(console, text("summary.table.likely_means"))
        _say(console, text("summary.table.lately_means", lately=LATELY))


def _words(console: Console, summary: Summary, words: Sequence[WordFigures]) -> None:
    """Letters alone beside letters in words, and the words; nothing where no word was written."""
    lines = [line for line in summary.lines if line.in_words]
    if lines:
        _part(console, text("summary.words.title"))
        table = _table()
        for column in ("letter", "alone", "in_words"):
            justify: Literal["left", "right"] = "left" if column == "letter" else "right"
            table.add_column(text(f"summary.words.{column}"), justify=justify)
        for line in lines:
            table.add_row(line.letter, _of(*line.alone), _of(line.in_words_formed, line.in_words))
        _print(console, table)
        _say(console, text("summary.words.means"))
    if words:
        _part(console, text("summary.words.heard"))
        table = _table()
        for column in ("word", "counted", "chunk", "line"):
            table.add_column(text(f"summary.words.{column}"))
        for one in words[:WORDS_SHOWN]:
            table.add_row(
                Text(one.word),
                sounds_counted(one.counted, one.miscounted, one.sounds, one.tapped),
                chunks_known(one.chunks, one.chunks_missed),
                on_one_line(one.lines, one.even, one.kinds),
            )
        _print(console, table)
        _say(console, text("summary.words.heard_means"))


def _cells(line: LetterFigures) -> tuple[str, ...]:
    low, high = line.likely
    return (
        line.letter,
        _of(line.formed, line.tries),
        str(line.mended),
        text("summary.table.range", low=f"{100 * low:.0f}", high=f"{100 * high:.0f}"),
        _of(line.lately_formed, line.lately),
        _of(line.recalled_formed, line.recalled),
        _of(line.looks, line.tries),
        day_words(line.last),
    )


def _findings(console: Console, summary: Summary) -> None:
    lines = [line for line in summary.lines if line.enough]
    if not lines:
        return
    _part(console, text("summary.seen.title"))
    table = _table(headed=False)
    for justify in ("left", "left", "right", "left"):
        table.add_column(justify=justify)
    for line in lines:
        letter = Text(line.letter, style="bold")
        for figures in _often(line):
            tries, day = (
                _of(figures.tries, line.tries),
                text("summary.seen.last", day=day_words(figures.last)),
            )
            table.add_row(letter, Text(seen_words(figures.kind, figures.instead, [line.letter])), tries, day)
            letter = Text()
    _print(console, table)
    if table.row_count:
        _say(console, text("summary.seen.often", most=KINDS_SHOWN, again=AGAIN))
    clean = [line.letter for line in lines if not _often(line)]
    if clean:
        _say(console, text("summary.seen.nothing", letters=", ".join(clean)))


def _often(line: LetterFigures) -> tuple[FindingFigures, ...]:
    """The kinds seen most, without those seen once; the table for a spreadsheet has them all."""
    return tuple(figures for figures in line.findings if figures.tries >= AGAIN)[:KINDS_SHOWN]


def _notes(console: Console, summary: Summary, pupil: Pupil | None) -> None:
    noted = [(line, note) for line in summary.lines for note in line.noted]
    if not noted:
        return
    _part(console, text("summary.notes.title"))
    _say(console, text("summary.notes.means"))
    names = {member.id: member.name for member in summary.pupils}
    for line, note in noted:
        what = kind_name(note.kind)
        said = text("summary.notes.line", letter=line.letter, what=what, count=note.tries, tries=line.tries)
        if pupil is None:
            said = text("summary.notes.whose", said=said, names=listed([names[key] for key in note.pupils]))
        _say(console, said, indent=3)


def _gather(console: Console, summary: Summary) -> None:
    _part(console, text("summary.gather.title"))
    if not summary.gather and not summary.alone:
        _say(console, text("summary.gather.nothing"))
    for place, gathering in enumerate(summary.gather, 1):
        names = listed([pupil.name for pupil in gathering.pupils], every=True)
        line = text(
            "summary.gather.line", place=place, letter=gathering.letter, names=names, group=gathering.group
        )
        _say(console, line, style="bold", indent=3)
        teach = teaching_words(gathering.kind)
        why = text(
            "summary.gather.why",
            what=seen_words(gathering.kind, gathering.instead, gathering.letters),
            seen=gathering.times,
            tries=gathering.tries,
        )
        if gathering.family:
            why = f"{why} {text('summary.gather.family', family=gathering.family)}"
        _say(console, f"{why} {teach}", first=3, indent=3)
    if summary.alone:
        _say(console, text("summary.gather.alone_title"), style="bold")
    for need in summary.alone[:ALONE_SHOWN]:
        said = text(
            "summary.gather.alone",
            letter=need.letter,
            name=need.pupil.name,
            what=seen_words(need.kind, need.instead, [need.letter]),
            seen=need.times,
            tries=need.tries,
        )
        _say(console, said, first=3, indent=3)
    left = by_pupil((*summary.waiting, *summary.alone[ALONE_SHOWN:]))
    if left:
        _say(console, text("summary.gather.another_day"), style="bold")
        letters = {pupil: ", ".join(sorted({need.letter for need in needs})) for pupil, needs in left.items()}
        each = [
            text("summary.gather.waits", name=pupil.name, letters=letters[pupil])
            for pupil in sorted(left, key=lambda pupil: (pupil.name.casefold(), pupil.group))
        ]
        _say(console, "; ".join(each), first=3, indent=3)
    for kind in OtherKind:
        needs = [other for other in summary.other if other.kind is kind]
        if needs:
            _say(console, text(f"summary.other.{kind}.title"), style="bold")
            _say(console, other_needs.advice(kind), first=3, indent=3)
        for other in needs:
            line = text("summary.other.named", name=other.pupil.name, line=other_needs.words(other))
            _say(console, line, first=3, indent=6)
    _say(console, text("summary.gather.enough", enough=ENOUGH, again=AGAIN, lately=LATELY))


def _next(console: Console, summary: Summary) -> None:
    _part(console, text("summary.gather.pupil_title"))
    if not summary.alone and not summary.other:
        _say(console, text("summary.gather.nothing_alone"))
    for place, need in enumerate(summary.alone, 1):
        said = text(
            "summary.gather.pupil",
            place=place,
            letter=need.letter,
            what=seen_words(need.kind, need.instead, [need.letter]),
            seen=need.times,
            tries=need.tries,
        )
        _say(console, said, style="bold", indent=3)
        _say(console, teaching_words(need.kind), first=3, indent=3)
    for other in summary.other:
        _say(console, other_needs.titled(other), style="bold", indent=3)
        _say(console, other_needs.advice(other.kind), first=3, indent=3)


def _of(count: int, tries: int) -> str:
    return text("summary.table.of", count=count, tries=tries) if tries else text("summary.table.none")


def _console() -> Console:
    console = Console(highlight=False)
    if console.width > WIDEST:
        console.width = WIDEST
    return console


def _table(*, headed: bool = True) -> Table:
    return Table(box=None, show_header=headed, padding=(0, 2, 0, 0), header_style="bold", pad_edge=False)


def _print(console: Console, table: Table) -> None:
    if table.row_count:
        console.print(table)


def _part(console: Console, title: str) -> None:
    console.print()
    _say(console, title.upper(), style="bold")


def _say(console: Console, said: str, *, style: str = "", first: int = 0, indent: int = 0) -> None:
    """Print a sentence, its first line and the others indented; broken at spaces, never inside a date."""
    lines = textwrap.wrap(
        said,
        console.width,
        initial_indent=" " * first,
        subsequent_indent=" " * indent,
        break_on_hyphens=False,
    )
    console.print(Text("\n".join(lines), style))
