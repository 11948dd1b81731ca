"""A letter tried before it is used: by the simulated hand, with its faults, and beside its nearest letters.

The result is data: what went wrong, with its ink, so that a picture can be drawn of it. Nothing is forbidden
by it. A fault that an accepted formation makes right, as the other order of an x, is none; nor is a mirror
image that is the letter itself. It is held against the letters that a check may name in its place: nothing
tells an O from a 0. Letters that are one drawing, and a letter that is composed from another one with a mark,
are not held against each other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from strokes.alphabet import Alphabet, among
from strokes.checks import check, has_mirror_image, named_case, touches
from strokes.errors import LetterError
from strokes.files import SameDrawing, same_drawings
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.letter import Formation, Hand, Letter
from strokes.polyline import corners, length
from strokes.recognition import rank
from strokes.report import Report
from strokes.simulation import Fault, write

INKS = 50
"""Inks of the taught formation: with 50 a letter that fails one time in twenty is seen nearly always."""

ACCEPTED_INKS = 2
"""Inks of each accepted formation."""

NEIGHBORS = 4
"""Letters of the alphabet that are tried against it, the nearest ones."""

NEIGHBOR_INKS = 8
"""Inks of each of them."""

TREMOR = (0.02, 0.05)
"""In x-heights: how far the hand wavers, from a steady one to a child's."""

LONG = 1.0
"""In x-heights: a stroke of this length can be begun 0.6 too late, or lifted in the middle."""

BEND = 1.0
"""In x-heights, of a stroke that is bent: by less than that a U or a P is only written carelessly."""

CLOSING = 1.5
"""In x-heights: a quarter is left out of the piece that should close a counter, and of a shorter one that is
within what the checks let pass."""

PART = 0.5
"""In x-heights: a part between two corners that is shorter can hardly be seen to run backwards."""


@dataclass(frozen=True, eq=False)
class NotFormed:
    """Ink of a formation of the letter itself that was not taken for well formed, and what was found."""

    formation: str
    ink: Ink
    report: Report


@dataclass(frozen=True, eq=False)
class Unnoticed:
    """A fault, and ink with it, in which nothing was found."""

    fault: Fault
    ink: Ink
    report: Report


@dataclass(frozen=True, eq=False)
class Confusion:
    """Ink of the letter `written` that was taken for the letter `taken`; one of them is the letter tried.

    `formation` is the formation of the letter tried by which the ink was judged.
    """

    written: str
    taken: str
    formation: str
    ink: Ink


@dataclass(frozen=True, eq=False)
class Trial:
    """How a letter did in its alphabet.

    `formed` of `written` inks of the taught formation were well formed and looked right. `faults` faults were
    tried. `neighbors` are the letters it was tried against, the nearest first. `same` are letters of the
    alphabet that are the same drawing.
    """

    letter: str
    written: int
    formed: int
    faults: int
    neighbors: tuple[str, ...]
    not_formed: tuple[NotFormed, ...] = ()
    unnoticed: tuple[Unnoticed, ...] = ()
    confusions: tuple[Confusion, ...] = ()
    same: tuple[SameDrawing, ...] = ()

    @property
    def share(self) -> float:
        """The share of inks of the taught formation that were well formed."""
        return self.formed / self.written

    @property
    def passed(self) -> bool:
        """Nothing is to be told."""
        return not (self.not_formed or self.unnoticed or self.confusions or self.same)


def trial(letter: Letter, alphabet: Alphabet, *, inks: int = INKS, seed: int = 0) -> Trial:
    """Try a letter among the letters of an alphabet, which may have another one of that name: it is left out.

    The same arguments give the same result. Raises LetterError for fewer than one ink.
    """
    if inks < 1:
        raise LetterError(f"a trial must have at least one ink, not {inks}")
    others = tuple(other for other in alphabet.letters if other.name != letter.name)
    letter = among(letter, others)
    guide = alphabet.guide
    hands = np.random.default_rng(seed)

    def judged(ink: Ink, asked: Letter = letter, hand: Hand | None = None) -> Report:
        return check(ink, asked, guide=guide, hand=hand)

    def by_hand(formation: Formation) -> Ink:
        return write(formation, seed=int(hands.integers(2**31)), tremor=float(hands.uniform(*TREMOR)))

    not_formed, confusions, formed = [], [], 0
    for number, formation in enumerate(letter.formations):
        for _ in range(inks if number == 0 else ACCEPTED_INKS):
            ink = by_hand(formation)
            report = judged(ink, hand=formation.hand)
            good = report.well_formed and report.looks_right
            formed += good and number == 0
            taken = next((finding.letter for finding in report.findings if finding.kind is Kind.LETTER), None)
            if taken:
                confusions.append(Confusion(letter.name, taken, report.formation.name, ink))
            elif not good:
                not_formed.append(NotFormed(formation.name, ink, report))
    faults = list(_faults(letter))
    unnoticed = []
    for fault in faults:
        ink = write(letter, fault=fault, seed=int(hands.integers(2**31)))
        report = judged(ink)
        if report.formation is letter.taught and not report.findings:
            unnoticed.append(Unnoticed(fault, ink, report))
    same = list(same_drawings(letter, others))
    alike = {drawing.other for drawing in same if not drawing.one_set}
    case = named_case(letter)
    confusable = letter.others if case is None else (*letter.others, case)
    near = _nearest(
        letter, [other for other in confusable if other.name not in alike and not _composed(letter, other)]
    )
    for other in near:
        asked = among(other, (letter, *others))
        for _ in range(NEIGHBOR_INKS):
            ink = by_hand(other.taught)
            report = judged(ink)
            own = judged(ink, asked)
            if (report.well_formed and report.looks_right) or any(
                finding.letter == letter.name for finding in own.findings
            ):
                confusions.append(Confusion(other.name, letter.name, report.formation.name, ink))
    return Trial(
        letter.name,
        inks,
        formed,
        len(faults),
        tuple(other.name for other in near),
        tuple(not_formed),
        tuple(unnoticed),
        tuple(confusions),
        tuple(drawing for drawing in same if drawing.one_set),
    )


def _nearest(letter: Letter, others: Sequence[Letter]) -> list[Letter]:
    """The other letters that a steady writing of the letter is nearest to."""
    ranked = rank(write(letter, tremor=0.0), others) if others else []
    return [match.letter for match in ranked[:NEIGHBORS]]


def _composed(letter: Letter, other: Letter) -> bool:
    """Whether one of them is the other with a mark."""
    return letter.base == other.name or other.base == letter.name


def _faults(letter: Letter) -> Iterator[Fault]:
    """Every fault that the simulated hand can put into the taught formation and that somebody would see."""
    strokes = letter.taught.strokes
    several = len(strokes) > 1
    closing = {stroke for stroke, _ in touches(letter.taught)}
    for index, stroke in enumerate(strokes):
        size = length(stroke.path)
        if several:
            yield Fault(Kind.MISSING, index)
        if index + 1 < len(strokes):
            yield Fault(Kind.ORDER, index)
            yield Fault(Kind.JOIN, index)
        if stroke.is_dot:
            continue
        if size >= PART:
            yield Fault(Kind.DIRECTION, index)
        stops = [0.0, *corners(stroke.path), size]
        parts = np.diff(stops)
        if len(parts) > 1:
            long = np.flatnonzero(parts >= PART).tolist()
            yield from (Fault(Kind.DIRECTION, index, part) for part in long)
        if size >= LONG:
            yield from (Fault(kind, index) for kind in (Kind.START, Kind.LIFT))
            if not stroke.is_loop:  # which bent is only a larger loop
                yield Fault(Kind.SHAPE, index, amount=BEND)
        if index in closing and min(parts[0], parts[-1]) >= CLOSING:
            yield Fault(Kind.CLOSURE, index)
    yield from (Fault(kind) for kind in (Kind.EXTRA, Kind.SIZE, Kind.PLACE))
    if has_mirror_image(letter):
        yield Fault(Kind.REVERSAL)
