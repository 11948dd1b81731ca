"""Whom to gather for which letter next: pupils who did the same at it again and again of late."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from strokes.report import FORMATION, Kind
from trainer.attempt import Attempt, Pupil
from trainer.tries import ENOUGH, instead, kinds, last_tries

AGAIN = 2
"""A finding in so many of the last tries, and in half of them, is worth gathering for: one may be a slip."""

SMALLEST, LARGEST = 2, 6
"""How many children one table holds."""

Member: TypeAlias = tuple[Pupil, list[Attempt]]


@dataclass(frozen=True)
class Gathering:
    """Pupils of one group who did the same at the same letter of late: in `seen` of their last `tries`.

    `instead` are the letters that were written in place of it, for the kind letter.
    """

    letter: str
    kind: Kind
    group: str
    pupils: tuple[Pupil, ...]
    seen: int
    tries: int
    instead: tuple[str, ...] = ()


def gathered(
    tries: Sequence[Attempt], pupils: Sequence[Pupil]
) -> tuple[tuple[Gathering, ...], tuple[Gathering, ...]]:
    """Groups of 2 to 6, and the pupils with nobody to share with; the most needed first in both.

    How the pen moves comes before how the letter looks, because a habit of movement does not mend
    itself (Mathwin and others 2023: formation no better in Year 2 than in Year 1); then what was seen
    most often.
    """
    tables = [
        _gathering(letter, kind, group, table)
        for (group, letter, kind), members in _needs(tries, pupils).items()
        for table in _tables(members)
    ]
    tables.sort(key=lambda one: (one.kind not in FORMATION, -one.seen, one.tries, one.letter, one.group))
    groups = tuple(one for one in tables if len(one.pupils) >= SMALLEST)
    return groups, tuple(one for one in tables if len(one.pupils) < SMALLEST)


def _needs(tries: Sequence[Attempt], pupils: Sequence[Pupil]) -> dict[tuple[str, str, Kind], list[Member]]:
    """The pupils, with their last tries, by group, letter and the kind each of them needs."""
    named = {pupil.id: pupil for pupil in pupils}
    needs = defaultdict(list)
    for letter, written in _by_letter(tries):
        for pupil, lately in last_tries(written).items():
            kind = _need(lately)
            if kind is not None:
                needs[(named[pupil].group, letter, kind)].append((named[pupil], lately))
    return needs


def _by_letter(tries: Sequence[Attempt]) -> Iterator[tuple[str, list[Attempt]]]:
    letters = defaultdict(list)
    for kept in tries:
        letters[kept.letter].append(kept)
    yield from sorted(letters.items())


def _need(lately: Sequence[Attempt]) -> Kind | None:
    """The kind to teach: a movement before a look, then the one seen most, then the first to teach."""
    if len(lately) < ENOUGH:
        return None
    counts = Counter(kind for kept in lately for kind in kinds(kept))
    again = [kind for kind in Kind if counts[kind] >= max(AGAIN, len(lately) / 2)]
    moved = [kind for kind in again if kind in FORMATION]
    return max(moved or again, key=lambda kind: counts[kind], default=None)


def _tables(members: Sequence[Member]) -> list[list[Member]]:
    """The members in parts of even size, none larger than one table holds."""
    members = sorted(members, key=lambda member: member[0].name)
    parts = -(-len(members) // LARGEST)
    return [members[part::parts] for part in range(parts)]


def _gathering(letter: str, kind: Kind, group: str, table: Sequence[Member]) -> Gathering:
    lately = [kept for _, tries in table for kept in tries]
    shown = [kept for kept in lately if kind in kinds(kept)]
    pupils = tuple(pupil for pupil, _ in table)
    return Gathering(
        letter, kind, group, pupils, len(shown), len(lately), instead(shown) if kind is Kind.LETTER else ()
    )
