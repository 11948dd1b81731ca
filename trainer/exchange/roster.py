"""What a school's roster would change on the class list: worked out before anything is written, and shown.

Only names link a roster to the record: no id of a school system is kept. A pupil is taken for the same
child when the name in the group can be one person's alone. Nobody is ever removed by a roster.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256

from trainer.attempt import CARDS, NAME_LENGTH, Newcomer, Pupil
from trainer.exchange.display_names import Names
from trainer.exchange.oneroster import Person, Roster, SchoolClass

MANY = 100
"""More students than one teacher has: the list is a school's."""


@dataclass(frozen=True)
class Move:
    """A pupil of another group who may be the child whom the roster has here: as now, and as then.

    `same` is the teacher's confirmation; without it the roster's child is a newcomer and the pupil stays.
    """

    pupil: Pupil
    after: Pupil
    same: bool


@dataclass(frozen=True)
class Changes:
    """What taking the roster in would do, and whom it would leave as they are.

    `there` are in the group already; `missing` are in a chosen group and not in the roster; `leaving` are
    those whom the roster withdraws; `doubled` are in two chosen classes and go into the first.
    """

    new: tuple[Newcomer, ...] = ()
    moves: tuple[Move, ...] = ()
    there: tuple[Pupil, ...] = ()
    missing: tuple[Pupil, ...] = ()
    leaving: tuple[Pupil, ...] = ()
    doubled: tuple[str, ...] = ()

    @property
    def moved(self) -> tuple[Pupil, ...]:
        """The pupils who move, as they are afterwards."""
        return tuple(move.after for move in self.moves if move.same)

    @property
    def fingerprint(self) -> str:
        """Identifies this plan: what is confirmed must be what was shown."""
        return sha256(repr(self).encode()).hexdigest()[:16]


def group_name(school_class: SchoolClass) -> str:
    """The group that a class becomes: its title, cut to what a group's name may have."""
    return school_class.title[:NAME_LENGTH].strip()


def offered(roster: Roster) -> tuple[SchoolClass, ...]:
    """The classes that can be chosen."""
    return tuple(school_class for school_class in roster.classes if not school_class.leaving)


def first_choice(roster: Roster, pupils: Iterable[Pupil]) -> tuple[SchoolClass, ...]:
    """The classes that are chosen at first: those that are groups already, else all of a few.

    Of a whole school's list none is chosen before the teacher says which are hers.
    """
    groups = {pupil.group.casefold() for pupil in pupils}
    known = tuple(
        school_class for school_class in offered(roster) if group_name(school_class).casefold() in groups
    )
    return known or (offered(roster) if len(roster.enrolled) <= MANY else ())


def changes(
    roster: Roster,
    pupils: Sequence[Pupil],
    *,
    classes: Collection[SchoolClass],
    same: Collection[int] | None = None,
) -> Changes:
    """What taking these classes in would do to `pupils`, archived ones among them.

    `same` are the numbers of the pupils who move where they may: all of them for None.
    """
    wanted, doubled = _wanted(roster, classes, pupils)
    there: dict[str, Pupil] = {}
    for group, people in wanted.items():
        there |= Names(people).matched(_of(pupils, group))
    movable = _movable(wanted, there, pupils)
    moving = {pupil.id for pupil in movable.values() if same is None or pupil.id in same}
    new: list[Newcomer] = []
    moves: list[Move] = []
    for group, people in wanted.items():
        seats = _Seats(group, [pupil for pupil in _of(pupils, group) if pupil.id not in moving])
        names = Names(people)
        arriving = [person for person in people if person.id not in there]
        # Those who move are placed first: they have a name and a card already.
        for person in sorted(arriving, key=lambda person: _number(movable, person) not in moving):
            pupil = movable.get(person.id)
            if pupil and pupil.id in moving:
                moves.append(Move(pupil, seats.moved(pupil, names.best(person)), True))
                continue
            new.append(seats.newcomer(names.best(person)))
            if pupil:
                moves.append(Move(pupil, replace(pupil, group=group), False))
    met = {pupil.id for pupil in there.values()} | moving
    left = [
        pupil
        for group in wanted
        for pupil in _of(pupils, group)
        if pupil.id not in met and not pupil.archived
    ]
    leaving = _leaving(roster, classes, left)
    return Changes(
        tuple(new),
        tuple(moves),
        tuple(sorted(there.values(), key=lambda pupil: (pupil.group, pupil.name))),
        () if roster.delta else tuple(pupil for pupil in left if pupil not in leaving),
        leaving,
        doubled,
    )


def _of(pupils: Iterable[Pupil], group: str) -> list[Pupil]:
    return [pupil for pupil in pupils if pupil.group == group]


def _number(movable: Mapping[str, Pupil], person: Person) -> int | None:
    return movable[person.id].id if person.id in movable else None


def _wanted(
    roster: Roster, classes: Collection[SchoolClass], pupils: Iterable[Pupil]
) -> tuple[dict[str, list[Person]], tuple[str, ...]]:
    """Who shall be in which group, and the names of those whom two chosen classes have.

    A group that is there already keeps its spelling.
    """
    spelled = {pupil.group.casefold(): pupil.group for pupil in pupils}
    wanted: dict[str, list[Person]] = {}
    placed: dict[str, str] = {}
    doubled: dict[str, str] = {}
    for school_class in sorted(classes, key=lambda other: (other.title, other.id)):
        group = spelled.setdefault(group_name(school_class).casefold(), group_name(school_class))
        people = wanted.setdefault(group, [])
        for person in roster.people_of(school_class):
            if person.id not in placed:
                placed[person.id] = group
                people.append(person)
            elif placed[person.id] != group:
                doubled[person.id] = person.given
    for people in wanted.values():
        people.sort(key=lambda person: (person.given, person.family, person.id))
    return wanted, tuple(sorted(doubled.values()))


def _movable(
    wanted: Mapping[str, Sequence[Person]], there: Mapping[str, Pupil], pupils: Iterable[Pupil]
) -> dict[str, Pupil]:
    """Which person may be which pupil of another group."""
    met = {pupil.id for pupil in there.values()}
    elsewhere = [pupil for pupil in pupils if pupil.id not in met and not pupil.archived]
    groups = {person.id: group for group, people in wanted.items() for person in people}
    strangers = [person for people in wanted.values() for person in people if person.id not in there]
    matched = Names(strangers).matched(elsewhere)
    return {own: pupil for own, pupil in matched.items() if pupil.group != groups[own]}


def _leaving(roster: Roster, classes: Collection[SchoolClass], left: Sequence[Pupil]) -> tuple[Pupil, ...]:
    """Those left in the groups whom the roster withdraws, from the class or from the school."""
    going: list[Pupil] = []
    for school_class in classes:
        people = [
            person
            for person in roster.people
            if (school_class.id, person.id) in roster.leaving
            or (person.leaving and (school_class.id, person.id) in roster.enrolled)
        ]
        name = group_name(school_class).casefold()
        here = [pupil for pupil in left if pupil.group.casefold() == name and pupil not in going]
        going.extend(Names(people).matched(here).values())
    return tuple(going)


class _Seats:
    """The names and cards that are taken in a group while it is being filled."""

    def __init__(self, group: str, pupils: Iterable[Pupil]) -> None:
        self.group = group
        self.names: set[str] = set()
        self.cards: set[int] = set()
        for pupil in pupils:
            self.names.add(pupil.name.casefold())
            self.cards.add(pupil.card)

    def newcomer(self, names: Sequence[str]) -> Newcomer:
        """Somebody new, by the first name that is free and with the first card that is."""
        return Newcomer(self._name(names), self._card(), self.group)

    def moved(self, pupil: Pupil, names: Sequence[str]) -> Pupil:
        """A pupil from another group, with the own name and card where they are free here."""
        name, card = self._name((pupil.name, *names)), self._card(pupil.card)
        return replace(pupil, name=name, card=card, group=self.group)

    def _name(self, names: Sequence[str]) -> str:
        numbered = (f"{names[-1]} {number}" for number in range(2, len(self.names) + 3))
        name = next(name for name in (*names, *numbered) if name.casefold() not in self.names)
        self.names.add(name.casefold())
        return name

    def _card(self, own: int | None = None) -> int:
        free = next((card for card in range(1, CARDS + 1) if card not in self.cards), None)
        card = own if own and own not in self.cards else free or len(self.cards) % CARDS + 1
        self.cards.add(card)
        return card
