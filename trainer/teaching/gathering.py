"""Whom to gather for what next: few small groups of pupils who did the same again and again of late."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from strokes.kinds import FORMATION, Kind
from strokes.letter import Family
from trainer.attempt import Pupil
from trainer.teaching.counts import Lately
from trainer.teaching.group_assignment import Need, Theme, assigned
from trainer.teaching.tries import ENOUGH

AGAIN = 2
"""A finding in so many of the last tries, and in half of them, is worth gathering for: one may be chance."""

SMALLEST, LARGEST = 2, 6
"""How many children one group holds."""

MOST_GROUPS = 4
"""How many groups are found: more than a teacher can gather in one lesson help nobody."""


@dataclass(frozen=True)
class Gathering:
    """Pupils of one group who did the same of late, at one letter or at letters of one movement family.

    It was found `times` in their last `tries`. `family` is empty where they share the letter. `instead`
    are the letters that were written in place of it, for the kind letter.
    """

    letters: tuple[str, ...]
    kind: Kind
    group: str
    pupils: tuple[Pupil, ...]
    times: int
    tries: int
    instead: tuple[str, ...] = ()
    family: str = ""

    @property
    def letter(self) -> str:
        """The letters as they are said: one, or several with commas."""
        return ", ".join(self.letters)


@dataclass(frozen=True)
class Gathered:
    """At most four groups, the needs that nobody shares, and how many shared ones wait for another day."""

    groups: tuple[Gathering, ...] = ()
    alone: tuple[Gathering, ...] = ()
    waiting: int = 0


def gathered(lately: Iterable[Lately], pupils: Sequence[Pupil], families: Sequence[Family] = ()) -> Gathered:
    """At most four groups of 2 to 6 that cover the most need, and the needs that nobody shares.

    A pupil is in one group, so that the groups reach as many children as they can. How the pen moves
    comes before how the letter looks, because a habit of movement does not mend itself (Mathwin and
    others 2023: formation no better in Year 2 than in Year 1); then what was seen most often. Both are
    in that order.
    """
    needs = _needs(lately, pupils)
    every = themes(needs, families)
    members_by_theme = _groups_of(every)
    groups = [_gathering(theme, members) for theme, members in members_by_theme]
    shared = {need for theme in every for own in theme.needs.values() for need in own}
    alone = [_alone(need) for need in needs if need not in shared]
    covered = sum(len(theme.needs[pupil]) for theme, members in members_by_theme for pupil in members)
    return Gathered(
        tuple(sorted(groups, key=_urgent)), tuple(sorted(alone, key=_urgent)), len(shared) - covered
    )


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
    """The kind to teach: a movement before a look, then the one seen most, then the first to teach."""
    if shown.tries < ENOUGH:
        return None
    again = [kind for kind in Kind if shown.kinds.get(kind, 0) >= max(AGAIN, shown.tries / 2)]
    moved = [kind for kind in again if kind in FORMATION]
    return max(moved or again, key=lambda kind: shown.kinds[kind], default=None)


def themes(needs: Sequence[Need], families: Sequence[Family]) -> list[Theme]:
    """What groups could share: a kind at one letter, or at several letters of one family; 2 pupils or more.

    A family's theme that only repeats one letter's is left out: it would say less.
    """
    by_theme: dict[tuple[str, Kind, str, str], list[Need]] = defaultdict(list)
    home = {letter: family.name for family in families for letter in family.letters}
    for need in needs:
        by_theme[need.pupil.group, need.kind, need.letter, ""].append(need)
        if need.letter in home and need.kind is not Kind.LETTER:
            by_theme[need.pupil.group, need.kind, "", home[need.letter]].append(need)
    shareable = []
    for (group, kind, _, family), shared in sorted(by_theme.items(), key=lambda item: item[0]):
        letters = tuple(dict.fromkeys(need.letter for need in shared))
        own: dict[Pupil, tuple[Need, ...]] = {}
        for need in shared:
            own[need.pupil] = (*own.get(need.pupil, ()), need)
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
    needs = [need for pupil in members for need in theme.needs[pupil]]
    letters = tuple(letter for letter in theme.letters if any(need.letter == letter for need in needs))
    return Gathering(
        letters,
        theme.kind,
        theme.group,
        tuple(members),
        sum(need.times for need in needs),
        sum(need.tries for need in needs),
        tuple(dict.fromkeys(letter for need in needs for letter in need.instead)),
        theme.family if len(letters) > 1 else "",
    )


def _alone(need: Need) -> Gathering:
    pupil = need.pupil
    return Gathering((need.letter,), need.kind, pupil.group, (pupil,), need.times, need.tries, need.instead)


def _urgent(gathering: Gathering) -> tuple[object, ...]:
    """The most needed first: movements, then what was seen most and in the fewest tries."""
    names = [pupil.name for pupil in gathering.pupils]
    return (
        gathering.kind not in FORMATION,
        -gathering.times,
        gathering.tries,
        gathering.letters,
        gathering.group,
        names,
    )


def most_often(counts: Iterable[Mapping[str, int]]) -> tuple[str, ...]:
    """The letters of several counts, most often first, then by alphabet."""
    total: dict[str, int] = defaultdict(int)
    for count in counts:
        for letter, times in count.items():
            total[letter] += times
    return tuple(sorted(total, key=lambda letter: (-total[letter], letter)))
