"""Whom to gather for what next: few small groups of pupils who did the same again and again of late."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from strokes.kinds import Kind
from strokes.letter import Family
from trainer.attempt import Pupil
from trainer.teaching.counts import Lately
from trainer.teaching.group_assignment import Need, Theme, assigned, rank
from trainer.teaching.tries import AGAIN, ENOUGH

FamiliesOf: TypeAlias = Callable[[str], Sequence[Family]]
"""The movement families of the letters that a group writes: groups may have alphabets of their own."""


def no_families(group: str) -> Sequence[Family]:  # noqa: ARG001 (any group has none)
    """Letters share no movement."""
    return ()


SMALLEST, LARGEST = 2, 6
"""How many children one group holds."""

MOST_GROUPS = 4
"""How many groups are found: more than a teacher can gather in one lesson help nobody."""


@dataclass(frozen=True)
class Gathering:
    """Pupils of one group who did the same of late, at one letter or at letters of one movement family.

    `needs` are what is taught to them together, pupil by pupil; `family` is empty where the letter is shared.
    """

    kind: Kind
    group: str
    needs: tuple[Need, ...]
    family: str = ""

    @property
    def letters(self) -> tuple[str, ...]:
        """The letters, each once, by name."""
        return tuple(sorted({need.letter for need in self.needs}))

    @property
    def letter(self) -> str:
        """The letters as they are said: one, or several with commas."""
        return ", ".join(self.letters)

    @property
    def pupils(self) -> tuple[Pupil, ...]:
        """Who is gathered."""
        return tuple(by_pupil(self.needs))

    @property
    def times(self) -> int:
        """In how many of their last tries it was found."""
        return sum(need.times for need in self.needs)

    @property
    def tries(self) -> int:
        """How many tries these are."""
        return sum(need.tries for need in self.needs)

    @property
    def instead(self) -> tuple[str, ...]:
        """The letters that were written in place of these, for the kind letter."""
        return tuple(dict.fromkeys(letter for need in self.needs for letter in need.instead))


@dataclass(frozen=True)
class Gathered:
    """Every need once: in one of at most four groups, alone as nobody shares it, or for another day."""

    groups: tuple[Gathering, ...] = ()
    alone: tuple[Need, ...] = ()
    waiting: tuple[Need, ...] = ()


def gathered(
    lately: Iterable[Lately], pupils: Sequence[Pupil], families: FamiliesOf = no_families
) -> Gathered:
    """At most four groups of 2 to 6 that cover the most need, the needs that nobody shares, and all others.

    A pupil is in one group, so that the groups reach as many children as they can. What a pupil of a group
    needs besides, and could share with others, waits. Another letter in place of the one asked for comes
    first. Then how the pen moves comes before how the letter looks, because a habit of movement does not
    mend itself (Mathwin and others 2023: formation no better in Year 2 than in Year 1); then what was seen
    most often. All three are in that order.
    """
    needs = _needs(lately, pupils)
    every = themes(needs, families)
    groups = [_gathering(theme, members) for theme, members in _groups_of(every)]
    taught = {need for gathering in groups for need in gathering.needs}
    shared = {need for theme in every for own in theme.needs.values() for need in own}
    left = sorted((need for need in needs if need not in taught), key=_need_urgency)
    return Gathered(
        tuple(sorted(groups, key=_urgency)),
        tuple(need for need in left if need not in shared),
        tuple(need for need in left if need in shared),
    )


def by_pupil(needs: Iterable[Need]) -> dict[Pupil, tuple[Need, ...]]:
    """The needs of each pupil, in the order in which they are given."""
    own: dict[Pupil, tuple[Need, ...]] = {}
    for need in needs:
        own[need.pupil] = (*own.get(need.pupil, ()), need)
    return own


def _needs(lately: Iterable[Lately], pupils: Sequence[Pupil]) -> list[Need]:
    """What each pupil should be taught at each letter, in the order of letters and names."""
    needs = []
    named = {pupil.id: pupil for pupil in pupils}
    for shown in lately:
        kind = _kind(shown)
        if kind is not None and shown.pupil in named:
            instead = most_often([shown.instead]) if kind is Kind.LETTER else ()
            times = shown.kinds[kind]
            needs.append(Need(named[shown.pupil], shown.letter, kind, times, shown.tries, instead))
    return sorted(needs, key=lambda need: (need.letter, need.pupil.name, need.pupil.id))


def _kind(shown: Lately) -> Kind | None:
    """The kind to teach: another letter, a movement, a look; then the one seen most, then the first to teach.

    Whoever wrote a u when an a was asked for began it as a u begins: what else was found follows from that.
    """
    if shown.tries < ENOUGH:
        return None
    again = [kind for kind in Kind if shown.kinds.get(kind, 0) >= max(AGAIN, shown.tries / 2)]
    return min(again, key=lambda kind: (rank(kind), -shown.kinds[kind]), default=None)


def themes(needs: Sequence[Need], families: FamiliesOf) -> list[Theme]:
    """What groups could share: a kind at one letter, or at several letters of one family; 2 pupils or more.

    A family's theme that only repeats one letter's is left out: it would say less.
    """
    by_theme: dict[tuple[str, Kind, str, str], list[Need]] = defaultdict(list)
    groups = {need.pupil.group for need in needs}
    home = {
        (group, letter): family.name
        for group in groups
        for family in families(group)
        for letter in family.letters
    }
    for need in needs:
        group = need.pupil.group
        by_theme[group, need.kind, need.letter, ""].append(need)
        if (group, need.letter) in home and need.kind is not Kind.LETTER:
            by_theme[group, need.kind, "", home[group, need.letter]].append(need)
    shareable = []
    for (group, kind, _, family), shared in sorted(by_theme.items(), key=lambda item: item[0]):
        letters = tuple(dict.fromkeys(need.letter for need in shared))
        own = by_pupil(shared)
        if len(own) >= SMALLEST and (not family or len(letters) > 1):
            shareable.append(Theme(group, kind, letters, family, own))
    return shareable


def _groups_of(every: Sequence[Theme]) -> list[tuple[Theme, tuple[Pupil, ...]]]:
    """The groups and their themes: the pupils of a theme, in parts of even size where they are many."""
    if not every:
        return []
    groups = []
    for theme, members in assigned(every, most_groups=MOST_GROUPS, sizes=(SMALLEST, LARGEST)):
        parts = -(-len(members) // LARGEST)
        groups += [(theme, members[part::parts]) for part in range(parts)]
    return groups


def _gathering(theme: Theme, members: Sequence[Pupil]) -> Gathering:
    needs = tuple(need for pupil in members for need in theme.needs[pupil])
    several = len({need.letter for need in needs}) > 1
    return Gathering(theme.kind, theme.group, needs, theme.family if several else "")


def _urgency(gathering: Gathering) -> tuple[object, ...]:
    """The most needed first: by the kind's rank, then what was seen most and in the fewest tries."""
    names = [pupil.name for pupil in gathering.pupils]
    seen = (-gathering.times, gathering.tries)
    return (rank(gathering.kind), *seen, gathering.letters, gathering.group, names)


def _need_urgency(need: Need) -> tuple[object, ...]:
    pupil = need.pupil
    return (rank(need.kind), -need.times, need.tries, need.letter, pupil.group, pupil.name, pupil.id)


def most_often(counts: Iterable[Mapping[str, int]]) -> tuple[str, ...]:
    """The letters of several counts, most often first, then by alphabet."""
    total: dict[str, int] = defaultdict(int)
    for count in counts:
        for letter, times in count.items():
            total[letter] += times
    return tuple(sorted(total, key=lambda letter: (-total[letter], letter)))
