"""A Report in a child's words: one thing to try next, or praise for what was really done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from strokes.kinds import Kind, WordKind
from strokes.letter import Formation, GuideLines, Stroke, is_other_case, set_of
from strokes.polyline import bounds
from strokes.report import Finding, WordFinding
from trainer.attempt import one_thing
from trainer.judging import Judged
from trainer.language.pieces import Part, Piece, heading, part_at, parts
from trainer.language.texts import text

_LINES = GuideLines()

NEAR_LINE = 0.12
"""A start this near a guide line, in x-heights, is called on it."""

NAMED = 12
"""The largest number of sounds that has a name in the texts; no word of the lists has so many."""


@dataclass(frozen=True)
class Saying:
    """One thing to say, and the place to look at: a stroke of the formation and a share of its length.

    `kind` is None for praise. Nothing to look at, for praise and for a whole letter: `stroke` is None.
    `trace` is the trace of the ink that it is about, where it is about one.
    """

    sentence: str
    kind: Kind | None = None
    stroke: int | None = None
    share: tuple[float, float] | None = None
    trace: int | None = None

    @property
    def is_praise(self) -> bool:
        """Whether there is nothing to try."""
        return self.kind is None


def say(judged: Judged, before: tuple[Finding, ...] | None = None, *, guide: GuideLines = _LINES) -> Saying:
    """What the child hears about an attempt: one thing to try about the ink on the page, or praise.

    `before` are the findings on the attempt just before, if any; `guide` are the alphabet's lines. What was
    written again as shown is praised in place of telling it once more.
    """
    report = judged.report
    finding = one_thing(
        finding for finding in report.findings if finding.trace is None or finding.trace in judged.current
    )
    if finding is None:
        mended = text("practice.praise.mended")
        return Saying(mended if judged.mended else praise(report.formation, before))
    stroke = _stroke_of(finding, report.formation)
    sentence = try_next(finding, report.formation, guide, asked=report.letter)
    return Saying(sentence, finding.kind, stroke, finding.part, finding.trace)


def say_word(findings: Sequence[WordFinding]) -> str:
    """The one thing to try about a word on one line, or praise for what size, line and spacing are."""
    if not findings:
        return text("practice.line.even")
    first = findings[0]
    key = first.kind.value
    if first.kind is WordKind.BASE_LINE:
        key = "floats" if first.amount < 0 else "sinks"
    elif first.kind is WordKind.SIZE:
        key = "bigger" if first.amount < 1 else "smaller"
    elif first.kind is WordKind.SPACING:
        key = "closer" if first.amount > 0 else "apart"
    return text(f"practice.line.{key}")


def praise(formation: Formation, before: tuple[Finding, ...] | None = None) -> str:
    """What went better than the last time, or else how the pen went."""
    was = one_thing(before or ())
    if was is not None:
        return text(f"practice.better.{was.kind}")
    return moves(formation)


def moves(formation: Formation) -> str:
    """How the pen went, piece by piece while that is short: "You went round, then down." """
    pieces = [part for stroke in formation.strokes for part in parts(stroke)]
    words = [text(f"practice.moves.{pieces[0].piece}")]
    for earlier, part in pairwise(pieces):
        back = earlier.piece is Piece.DOWN and part.piece in (Piece.ROUND, Piece.ARCH)
        key = "again" if part.piece is earlier.piece else f"back_{part.piece}" if back else part.piece
        words.append(text(f"practice.moves.then.{key}"))
    unlike = [word for place, word in enumerate(words) if place == 0 or word != words[place - 1]]
    if len(unlike) == 1:
        return text("practice.praise.moves", first=unlike[0])
    if len(unlike) == 2:
        return text("practice.praise.two", first=unlike[0], second=unlike[1])
    if len(unlike) == 3:
        return text("practice.praise.three", first=unlike[0], second=unlike[1], third=unlike[2])
    return text("practice.praise.many", first=unlike[0], second=unlike[1])


def try_next(finding: Finding, formation: Formation, guide: GuideLines = _LINES, *, asked: str = "") -> str:
    """One thing to try, for one finding against the formation it was judged by, of the letter `asked` for."""
    match finding.kind:
        case Kind.START:
            return _start(finding, formation, guide)
        case Kind.DIRECTION:
            return _direction(_turned(finding, formation))
        case Kind.ORDER:
            return _order(finding, formation)
        case Kind.MISSING:
            return _missing(finding, formation)
        case Kind.EXTRA:
            if finding.part is not None:
                return text("practice.try.extra.letter")
            count = {1: "one", 2: "two"}.get(len(formation.strokes), "many")
            return text(f"practice.try.extra.{count}")
        case Kind.REVERSAL:
            return _reversal(formation)
        case Kind.SIZE:
            return _size(finding, formation, guide)
        case Kind.PLACE:
            hangs = formation.bounds[3] > guide.below / 2
            return text(f"practice.try.place.{'hang' if hangs else 'stand'}")
        case Kind.CLOSURE:
            return text("practice.try.closure.any", part=_word(_round(finding, formation)))
        case Kind.SHAPE:
            part = _part(finding, formation)
            key = "dot" if part.piece is Piece.DOT else "end" if finding.part else "any"
            return text(f"practice.try.shape.{key}", part=_word(part))
        case Kind.JOIN:
            return text("practice.try.join.any", part=_word(_part(finding, formation)))
        case Kind.LETTER:
            other = finding.letter or ""
            return text(f"practice.try.letter.{set_of(other) if is_other_case(asked, other) else 'any'}")
        case Kind.LIFT:
            return text("practice.try.lift.any")


def start_place(stroke: Stroke, guide: GuideLines = _LINES) -> str:
    """Where a stroke starts, by the guide lines."""
    y = stroke.start[1]
    if y < -guide.above + 2 * NEAR_LINE:
        key = "top"
    elif y < -1 - NEAR_LINE:
        key = "above"
    elif y <= -1 + NEAR_LINE:
        key = "middle"
    elif y < -0.65:
        key = "below_middle"
    elif y < -NEAR_LINE:
        key = "between"
    else:
        key = "base" if y <= NEAR_LINE else "low"
    return text(f"practice.places.{key}")


def _start(finding: Finding, formation: Formation, guide: GuideLines) -> str:
    index = _stroke_of(finding, formation) or 0
    stroke = formation.strokes[index]
    if stroke.is_dot:
        return text("practice.try.start.dot")
    if len(formation.strokes) == 1:
        return text("practice.try.start.any", place=start_place(stroke, guide))
    return text("practice.try.start.ring", number=index + 1, place=start_place(stroke, guide))


def _direction(part: Part) -> str:
    across, _ = heading(part.path)
    match part.piece:
        case Piece.DOWN | Piece.SLANT_DOWN | Piece.LOW_CURVE:
            return text("practice.try.direction.down", part=_word(part))
        case Piece.UP:
            return text("practice.try.direction.up")
        case Piece.SLANT_UP:
            return text("practice.try.direction.slant_up")
        case Piece.BAR:
            return text(f"practice.try.direction.{'bar' if across > 0 else 'bar_left'}")
        case Piece.DOT:
            return text("practice.try.direction.any")
        case Piece.HOOK if part.path[-1, 1] > part.path[0, 1]:
            return text("practice.try.direction.down", part=_word(part))
    ends = part.path[-1] - part.path[0]
    way = across if abs(across) > 0.3 else (ends[0] if abs(ends[0]) > 0.2 else 1.0)
    return text(f"practice.try.direction.{'right' if way > 0 else 'left'}", part=_word(part))


def _order(finding: Finding, formation: Formation) -> str:
    """The strokes in their order, or the pieces of the one stroke that is meant."""
    names = [_word(part_at(stroke, None)) for stroke in formation.strokes]
    stroke = _stroke_of(finding, formation)
    if stroke is not None and (len(names) == 1 or len(parts(formation.strokes[stroke])) > 1):
        names = [_word(part) for part in parts(formation.strokes[stroke])]
    if len(names) < 2:
        return text("practice.try.order.start")
    if names[0] != names[1]:
        return text("practice.try.order.named", first=names[0], second=names[1])
    return text("practice.try.order.numbered")


def _missing(finding: Finding, formation: Formation) -> str:
    if finding.stroke is None:
        return text("practice.try.missing.again")
    part = _part(finding, formation)
    if finding.part is not None:
        return text("practice.try.shape.end", part=_word(part))
    if len(formation.strokes) == 1:
        return text("practice.try.missing.whole")
    return text(f"practice.try.missing.{'dot' if part.piece is Piece.DOT else 'any'}", part=_word(part))


def _reversal(formation: Formation) -> str:
    """On which side of the upright line the rest goes; for a letter without one, how it sets off."""
    pieces = [part for stroke in formation.strokes for part in parts(stroke)]
    upright = [part for part in pieces if part.piece in (Piece.DOWN, Piece.UP)]
    others = [part for part in pieces if part.piece not in (Piece.DOWN, Piece.UP, Piece.DOT)]
    if upright and others:
        line = float(upright[0].path[:, 0].mean())
        left, _, right, _ = bounds(others[0].path)
        side = (left + right) / 2 - line
        if abs(side) > 0.1:
            key = "right" if side > 0 else "left"
            return text(f"practice.try.reversal.{key}", other=_word(others[0]), line=_word(upright[0]))
    across, _ = heading(formation.strokes[0].path)
    if abs(across) < 0.2:
        return text("practice.try.reversal.straight")
    return text(f"practice.try.reversal.{'begin_right' if across > 0 else 'begin_left'}")


def _size(finding: Finding, formation: Formation, guide: GuideLines) -> str:
    def reach(share: float) -> float:
        """This share of the way from the x-height line up to the ascender line."""
        return 1 + share * (guide.above - 1)

    every = [stroke.path for stroke in formation.strokes if not stroke.is_dot]
    top = min(float(path[:, 1].min()) for path in every)
    bottom = max(float(path[:, 1].max()) for path in every)
    upper = "top" if top < -reach(0.75) else "above" if top < -reach(0.25) else "middle"
    lower = "lowest" if bottom > guide.below / 2 else "base"
    way = "smaller" if finding.amount > 1 else "bigger"
    return text(
        f"practice.try.size.{way}",
        upper=text(f"practice.lines.{upper}"),
        lower=text(f"practice.lines.{lower}"),
    )


def _round(finding: Finding, formation: Formation) -> Part:
    """The round part that is meant; any part where the letter has none."""
    stroke = formation.strokes[_stroke_of(finding, formation) or 0]
    rounds = [part for part in parts(stroke) if part.piece is Piece.ROUND]
    return rounds[0] if rounds else part_at(stroke, finding.part)


def _part(finding: Finding, formation: Formation) -> Part:
    return part_at(formation.strokes[_stroke_of(finding, formation) or 0], finding.part)


def _turned(finding: Finding, formation: Formation) -> Part:
    """The piece that ran backwards; where the whole stroke did, its first piece."""
    if finding.part in (None, (0.0, 1.0)):
        return parts(formation.strokes[_stroke_of(finding, formation) or 0])[0]
    return _part(finding, formation)


def _stroke_of(finding: Finding, formation: Formation) -> int | None:
    """The stroke that a finding is about, if the formation has it."""
    if finding.stroke is None or not 0 <= finding.stroke < len(formation.strokes):
        return None
    return finding.stroke


def _word(part: Part) -> str:
    return text(f"practice.pieces.{part.piece}")


def sounds(count: int) -> str:
    """So many sounds, in words; the count is at least 1."""
    return text(f"practice.numbers.{min(count, NAMED)}")
