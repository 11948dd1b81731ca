"""What a check found, in numbers: Finding and Report. What is said about it is decided elsewhere."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from strokes.kinds import FORMATION, NOT_FORMED, NOT_RIGHT, Kind, WordKind
from strokes.letter import Formation

_ORDER = list(Kind)


@dataclass(frozen=True)
class Finding:
    """One thing seen in the ink.

    `amount` was measured and `limit` is the tolerance it went past, both in the kind's own unit:
    x-heights for start, closure and place, a share of length for direction, a ratio for size, a distance in
    x-heights with the heading in it or a share of length for shape, a relative margin for reversal and
    letter, 1 against 0 for the kinds that are counted. `stroke` is an index into the formation's
    strokes, `trace` one into the ink's; missing without a stroke is the whole letter. `part` is the piece of
    the stroke, as a pair of shares of its length; extra with a part is the whole letter once more. `at` is
    the place in the ink's own space. `note` marks what is worth telling a teacher and is nothing to mend.
    """

    kind: Kind
    amount: float
    limit: float
    stroke: int | None = None
    trace: int | None = None
    part: tuple[float, float] | None = None
    at: tuple[float, float] | None = None
    order: tuple[int, ...] = ()
    letter: str | None = None
    note: bool = False


@dataclass(frozen=True)
class WordFinding:
    """One thing seen in a word that was written on one line.

    `amount` was measured and `limit` is the tolerance it went past, in x-heights for touching, base line and
    spacing, as a ratio for size, as a share of the room for an ascender. `place` is the letter that it is
    about, from 0; for touching and spacing the letter before the gap.
    """

    kind: WordKind
    amount: float
    limit: float
    place: int


@dataclass(frozen=True)
class Report:
    """The findings on one attempt in teaching order, and the formation it was judged against.

    `assigned` tells for each trace of the ink the strokes it stands for: none for an extra mark, two
    where strokes were run together.
    """

    letter: str
    formation: Formation
    findings: tuple[Finding, ...] = ()
    assigned: tuple[tuple[int, ...], ...] = ()

    @property
    def formed(self) -> bool:
        """The pen moved as taught or as accepted: no formation finding (notes do not count)."""
        return not any(finding.kind in FORMATION and not finding.note for finding in self.findings)

    @property
    def well_formed(self) -> bool:
        """Formed, and it is this letter the right way round: what a child is told and a teacher counts."""
        return not any(finding.kind in NOT_FORMED and not finding.note for finding in self.findings)

    @property
    def looks_right(self) -> bool:
        """The letter is legible: no finding about its look (notes do not count)."""
        return not any(finding.kind in NOT_RIGHT and not finding.note for finding in self.findings)

    @property
    def looks(self) -> bool:
        """Another name for `looks_right`, the one of version 0.1; it goes with the next."""
        return self.looks_right

    @property
    def unfinished(self) -> bool:
        """Whether a stroke is missing, or was left before its end."""
        return any(
            finding.kind is Kind.MISSING or (finding.kind is Kind.SHAPE and finding.part is not None)
            for finding in self.findings
            if not finding.note
        )

    @property
    def kinds(self) -> frozenset[Kind]:
        """The kinds of all findings, notes among them."""
        return frozenset(finding.kind for finding in self.findings)


def in_teaching_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings with the one to try next first; those of a kind by their strokes."""
    return tuple(sorted(findings, key=lambda finding: (_ORDER.index(finding.kind), finding.stroke or 0)))
