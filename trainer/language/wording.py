"""What was seen, in a teacher's words: kinds, findings, names and days, the same on every page and table."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

from strokes.errors import LetterFileError
from strokes.kinds import Kind, WordKind
from strokes.letter import Formation, is_other_case, set_of
from strokes.report import Finding
from trainer.language.pieces import part_at, parts
from trainer.language.texts import room, text

if TYPE_CHECKING:
    from trainer.wordbank import Box

NAMES_SHOWN = 4
NO_BREAK = "\u00a0"


def capital(words: str) -> str:
    """The words with a capital at their beginning."""
    return words[:1].upper() + words[1:]


def size_words(size: int | None) -> str:
    """Bytes as a number of megabytes, or of gigabytes from a thousand on; None is unknown."""
    if size is None:
        return text("record.size.unknown")
    megabytes = size / 1e6
    if megabytes < 1000:
        return text("record.size.megabytes", count=f"{megabytes:.1f}")
    return text("record.size.gigabytes", count=f"{megabytes / 1000:.1f}")


def sentence(error: object) -> str:
    """What an error says, as a sentence: one period at its end, a capital first where that is no file."""
    said = str(error) if isinstance(error, LetterFileError) else capital(str(error))
    return said.rstrip(".") + "."


def card_words(card: int) -> str:
    """A picture card by its picture and the color behind it, such as "Anchor, on pale blue"."""
    tint, picture = divmod(card - 1, len(room("classlist")["picture"]))
    return text(
        "classlist.card",
        picture=text(f"classlist.picture.{picture + 1}"),
        tint=text(f"classlist.tint.{tint}"),
    )


def letter_words(letter: str) -> str:
    """A letter as it is said or read aloud: B is a capital B, and 3 a digit; for labels that nobody sees."""
    return text(f"summary.said.{set_of(letter)}", letter=letter)


def sound_words(box: Box) -> str:
    """How a sound box sounds, by words that everybody knows: `sh as in ship`."""
    from trainer.wordbank import PHONEMES  # needed by words alone

    examples = [PHONEMES[sound].example for sound in box.sounds]
    if len(examples) == 1:
        return text("words.sound.one", letters=box.grapheme, example=examples[0])
    return text("words.sound.two", letters=box.grapheme, first=examples[0], second=examples[1])


def word_kind_name(kind: WordKind) -> str:
    """What was seen in a word on one line: `letters touch`."""
    return text(f"summary.word_kind.{kind}")


def sounds_counted(counted: int, wrong: int, sounds: int, tapped: int | None) -> str:
    """How a word with so many sounds was counted; `tapped` is what was tapped in their place most often."""
    if not counted:
        return ""
    key = "sounds" if tapped is None else "sounds_tapped"
    return text(f"summary.words.{key}", count=counted - wrong, tries=counted, sounds=sounds, tapped=tapped)


def chunks_known(met: int, missed: int) -> str:
    """How often a chunk that was known, or a rhyme, was there; empty where none was met."""
    return text("summary.table.of", count=met - missed, tries=met) if met else ""


def on_one_line(lines: int, even: int, kinds: Iterable[WordKind]) -> str:
    """How a word stood on one line; empty where it was not written there."""
    if not lines:
        return ""
    return "; ".join([text("summary.words.even", count=even, tries=lines), *map(word_kind_name, kinds)])


def kind_name(kind: Kind) -> str:
    """What a pen or a letter did: `began somewhere else than shown`."""
    return text(f"summary.kind.{kind}")


def seen_words(kind: Kind, instead: Sequence[str] = (), asked: Iterable[str] = ()) -> str:
    """The same with the letters that were written in place of those `asked` for, the first few of them."""
    if not instead:
        return kind_name(kind)
    names, what = list(asked), kind_name(kind)
    if all(any(is_other_case(name, other) for name in names) for other in instead):
        what = text(f"summary.seen.{set_of(instead[0])}")
    return text("summary.seen.instead", what=what, letters=", ".join(instead[:NAMES_SHOWN]))


def paper_words(seen: Sequence[Kind]) -> str:
    """What a teacher saw on paper, in a row; nothing seen is a letter as taught."""
    return ", ".join(map(kind_name, seen)) or text("paper.seen.formed")


def observed_words(letter: str, formed: int, looked_at: int, last: date, kinds: Sequence[Kind]) -> str:
    """A letter on paper in one line: of how many looked at so many were well formed, and what was seen."""
    words = {"letter": letter, "formed": formed, "looked_at": looked_at, "day": day_words(last, year=True)}
    if not kinds:
        return text("paper.seen.line", **words)
    return text("paper.seen.line_seen", **words, what=", ".join(map(kind_name, kinds)))


def teaching_words(kind: Kind) -> str:
    """What to do about it together with the children."""
    return text(f"summary.teach.{kind}")


def finding_words(finding: Finding, formation: Formation | None = None, asked: str = "") -> str:
    """One finding at the letter `asked` for: what was seen, and in which stroke where it has several.

    Without the formation it was judged by (an alphabet may have changed since), the stroke is numbered
    and its part is not named.
    """
    what = _what(finding, asked)
    if finding.stroke is None:
        return what
    where = _where(finding, finding.stroke, formation)
    return text("summary.finding.where", what=what, where=where) if where else what


def listed(names: Sequence[str], *, every: bool = False) -> str:
    """Names as they are said in a sentence; a long list is cut unless `every` one must be there."""
    if len(names) > NAMES_SHOWN and not every:
        more = text("summary.names.more", count=len(names) - NAMES_SHOWN + 1)
        names = [*names[: NAMES_SHOWN - 1], more]
    if len(names) < 2:
        return "".join(names)
    return text("summary.names.last", names=", ".join(names[:-1]), last=names[-1])


def day_words(day: datetime | date, *, year: bool = False) -> str:
    """The day here, such as 3 Dec; month names are the texts', not the machine's language."""
    here = day.astimezone() if isinstance(day, datetime) else day
    words = [str(here.day), text(f"summary.month.{here.month}")]
    return NO_BREAK.join([*words, str(here.year)] if year else words)


def clock_words(moment: datetime) -> str:
    """The time of day here, such as 14:05."""
    return f"{moment.astimezone():%H:%M}"


def _what(finding: Finding, asked: str) -> str:
    """The kind, with what is known of its amount: which letter, which order, too tall or too small."""
    match finding.kind:
        case Kind.LETTER if finding.letter:
            return seen_words(Kind.LETTER, (finding.letter,), (asked,))
        case Kind.ORDER if finding.order:
            order = ", ".join(str(stroke + 1) for stroke in finding.order)
            return text("summary.finding.order", order=order)
        case Kind.SIZE:
            return text(f"summary.finding.{'tall' if finding.amount > 1 else 'small'}")
        case Kind.PLACE:
            return text(f"summary.finding.{'below' if finding.amount > 0 else 'above'}")
        case _:
            return kind_name(finding.kind)


def _where(finding: Finding, stroke: int, formation: Formation | None) -> str:
    """The stroke by its number, and the piece of it; nothing where both go without saying."""
    if formation is None:
        return text("summary.finding.stroke", stroke=stroke + 1)
    if stroke >= len(formation.strokes):
        return ""
    written = formation.strokes[stroke]
    piece = ""
    if finding.part is not None and len(parts(written)) > 1:
        piece = text(f"summary.piece.{part_at(written, finding.part).piece}")
    if len(formation.strokes) == 1:
        return piece
    number = text("summary.finding.stroke_of", stroke=stroke + 1, strokes=len(formation.strokes))
    return text("summary.finding.piece", piece=piece, stroke=number) if piece else number
