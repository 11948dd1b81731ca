"""`trainer sheet`: practice sheets, letter cards and an alphabet for the wall, as PDF."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from strokes.letter import Hand
from trainer.commands.options import PATH, Location, find_pupil, pupils_of, warn, with_location
from trainer.commands.parsing import Command
from trainer.commands.pdf import paper_option, pdf_file, save
from trainer.errors import UsageError
from trainer.language import text

if TYPE_CHECKING:
    from strokes.alphabet import Alphabet
    from trainer.paper import Document, Sheet

AGES = ("4", "5", "6", "7")
MOST_COPIES = 100


@dataclass(frozen=True)
class Asked:
    """What stood on the line: what is written on the sheets, whose they are, and how they are made."""

    letters: tuple[str, ...]
    words: tuple[str, ...]
    names: bool
    pupil: str | None
    group: str | None
    hand: Hand | None
    cards: bool
    wall: bool
    age: str | None
    height: float | None
    copies: int
    landscape: bool
    paper: str

    def __post_init__(self) -> None:
        for_pupils = self.pupil is not None or self.group is not None
        if self.cards or self.wall:
            if self.cards and self.wall:
                raise UsageError("give either --cards or --wall, not both")
            if self.words or self.names or self.pupil is not None or self.hand or self.age or self.height:
                raise UsageError("--cards and --wall are for letters: give letters, --group or neither")
        elif not (for_pupils or self.letters or self.words):
            raise UsageError("a sheet must be for letters, --word, --pupil or --group, not for nothing")
        if self.names and not for_pupils:
            raise UsageError("--names is for the names of pupils: give --pupil or --group with it")
        if for_pupils and self.hand:
            raise UsageError("--hand is for a sheet without a pupil; a pupil's own hand is in the class list")
        if self.age and self.height is not None:
            raise UsageError("give either --age or --height, not both")


@click.command(cls=Command, help=text("cli.help.sheet"))
@click.argument("letters", nargs=-1, help=text("cli.help.sheet_letters"))
@click.option("--word", "words", metavar="WORD", multiple=True, help=text("cli.help.sheet_word"))
@click.option("--names", is_flag=True, help=text("cli.help.sheet_names"))
@click.option("--pupil", metavar="NAME", help=text("cli.help.sheet_pupil"))
@click.option("--group", metavar="G", help=text("cli.help.sheet_group"))
@click.option("--hand", type=click.Choice(["left", "right"]), help=text("cli.help.sheet_hand"))
@click.option("--cards", is_flag=True, help=text("cli.help.sheet_cards"))
@click.option("--wall", is_flag=True, help=text("cli.help.sheet_wall"))
@click.option("--age", type=click.Choice(AGES), help=text("cli.help.sheet_age"))
@click.option("--height", metavar="MM", type=float, help=text("cli.help.sheet_height"))
@click.option("--copies", type=click.IntRange(1, MOST_COPIES), default=1, help=text("cli.help.sheet_copies"))
@click.option("--landscape", is_flag=True, help=text("cli.help.sheet_landscape"))
@paper_option
@click.option("--out", metavar="FILE", type=PATH, help=text("cli.help.pdf_out"))
@with_location
def sheet(location: Location, /, *, out: Path | None, **options: Any) -> int:
    """Write sheets for what was named, for a pupil, or for each pupil of a group."""
    asked = Asked(**options)
    kind = "wall" if asked.wall else "cards" if asked.cards else "sheets"
    file = pdf_file(out, f"{kind}.pdf")
    save(_for_letters(location, asked) if asked.cards or asked.wall else _for_practice(location, asked), file)
    if kind == "sheets":
        print(text("cli.paper.not_judged"))
    return 0


def _for_letters(location: Location, asked: Asked) -> Document:
    """The cards or the wall alphabet, of the letters that were named, else of all that are taught."""
    from trainer.paper import Paper, letter_cards, wall_alphabet
    from trainer.teaching import taught_to_all

    with location.open_record() as record:
        pupils_of(record, asked.group)
        alphabets = location.alphabets(record)
        alphabet = alphabets.of(asked.group).alphabet
        warn(alphabets, [asked.group])
    letters = _letters(asked, alphabet) or taught_to_all(alphabet)
    if asked.wall:
        return wall_alphabet(alphabet, letters, Paper(asked.paper, landscape=True))
    return letter_cards(alphabet, letters, Paper(asked.paper, asked.landscape))


def _for_practice(location: Location, asked: Asked) -> Document:
    from trainer.paper import BY_AGE, USUAL_AGE, Paper, Ruling, practice_sheets

    height = asked.height if asked.height is not None else BY_AGE[int(asked.age or USUAL_AGE)]
    ruling = Ruling(Paper(asked.paper, asked.landscape), height)
    return practice_sheets(_sheets(location, asked), ruling, copies=asked.copies)


def _sheets(location: Location, asked: Asked) -> Sequence[Sheet]:
    from trainer.paper import Sheet, sheets_of

    with location.open_record() as record:
        alphabets = location.alphabets(record)
        if asked.pupil is not None:
            pupils = [find_pupil(record, asked.pupil, asked.group)]
        elif asked.group is not None:
            pupils = [*pupils_of(record, asked.group)]
        else:
            alphabet = alphabets.of().alphabet
            warn(alphabets, [None])
            return [Sheet(each, alphabet, asked.hand) for each in (*_letters(asked, alphabet), *asked.words)]
        warn(alphabets, dict.fromkeys(pupil.group for pupil in pupils))
        sheets: list[Sheet] = []
        for pupil in pupils:
            alphabet = alphabets.of(pupil.group).alphabet
            written = [*_letters(asked, alphabet), *asked.words, *([pupil.name] if asked.names else [])]
            sheets += sheets_of(record, pupil, alphabet, written, today=date.today())
        return sheets


def _letters(asked: Asked, alphabet: Alphabet) -> Sequence[str]:
    from trainer.teaching import typed_letters

    return typed_letters(asked.letters, alphabet) if asked.letters else ()
