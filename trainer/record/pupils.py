"""The record's pupils: who they are, and every change to a name, a group, a hand or a card."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, Row, insert, select, update

from strokes.letter import Hand
from trainer.attempt import CARDS, NAME_LENGTH, Newcomer, Pupil, tidy_name
from trainer.errors import PupilError
from trainer.record import mappers, tables
from trainer.record.database import Database, inserted, numbered

DEFAULT_GROUP = "Class"

_MOVING = "\x01"
"""Begins the name of a pupil between two groups, inside one transaction: nobody can be called so."""


class Pupils:
    """The pupils of all groups; each name is there once in a group."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def groups(self, *, archived: bool = True) -> tuple[str, ...]:
        """The groups that have pupils, by name; those whose pupils are all archived only with `archived`."""
        query = select(tables.pupil.c.class_group).distinct()
        if not archived:
            query = query.where(tables.pupil.c.archived.is_(False))
        with self._database.reading() as connection:
            return tuple(sorted(connection.scalars(query)))  # here, as each server sorts in its own way

    def find(self, group: str | None = None, *, archived: bool = False) -> tuple[Pupil, ...]:
        """The pupils of a group, or all, by group and name; those archived only when asked for."""
        query = select(tables.pupil)
        if group is not None:
            query = query.where(tables.pupil.c.class_group == group)
        if not archived:
            query = query.where(tables.pupil.c.archived.is_(False))
        with self._database.reading() as connection:
            pupils = map(mappers.pupil_from, connection.execute(query))
            return tuple(sorted(pupils, key=lambda pupil: (pupil.group, pupil.name)))

    def get(self, number: int) -> Pupil | None:
        """The pupil with that number, archived or not; None when there is none."""
        if not 0 < number <= mappers.LARGEST_NUMBER:
            return None
        with self._database.reading() as connection:
            row = connection.execute(select(tables.pupil).where(tables.pupil.c.id == number)).first()
        return mappers.pupil_from(row) if row else None

    def add(
        self, name: str, *, hand: Hand | None = None, group: str = DEFAULT_GROUP, card: int | None = None
    ) -> Pupil:
        """Add a pupil; without a card, the first one that is free in the group.

        Raises PupilError for a name that is empty, too long or taken in the group, and for a card
        that is not there or taken.
        """
        name, group = _name(name, "name"), _name(group, "group's name")
        with self._database.writing(durable=True) as connection:
            others = _others(connection, group)
            _check_free(name, group, _names(others))
            card = _free_card(others) if card is None else _card(card, others)
            row = {"name": name, "class_group": group, "card": card, "hand": hand, "archived": False}
            number = inserted(connection, tables.pupil, row)
        return Pupil(number, name, card, hand, group)

    def admit(self, new: Sequence[Newcomer], moved: Sequence[Pupil] = ()) -> None:
        """Add many pupils and change the name, card and group of others, all of it or nothing.

        A card may be shared here: a group may have more pupils than there are cards. Raises PupilError
        as `add` does.
        """
        with self._database.writing(durable=True) as connection:
            for pupil in moved:  # all leave first, so that one may take the place of another
                pupil_row(connection, pupil.id)
                _set(connection, pupil.id, name=f"{_MOVING}{pupil.id}")
            taken: dict[str, set[str]] = defaultdict(set)
            for row in connection.execute(select(tables.pupil.c.class_group, tables.pupil.c.name)):
                taken[row.class_group].add(row.name.casefold())
            for pupil in moved:
                _set(connection, pupil.id, **_placed(pupil, taken))
            rows = [_placed(newcomer, taken) | {"hand": None, "archived": False} for newcomer in new]
            if rows:
                connection.execute(insert(tables.pupil), numbered(connection, tables.pupil, rows))

    def change(self, pupil: Pupil) -> Pupil:
        """Put name, card, hand and group of `pupil` in the place of what was, all of it or nothing.

        A card that was kept and is taken in another group gives way to the first free one. Raises
        PupilError as `add` does.
        """
        name, group = _name(pupil.name, "name"), _name(pupil.group, "group's name")
        with self._database.writing(durable=True) as connection:
            before, others = pupil_row(connection, pupil.id), _others(connection, group, pupil.id)
            _check_free(name, group, _names(others))
            card = pupil.card
            if card != before.card:
                _card(card, others)
            elif group != before.class_group and card in {other.card for other in others}:
                card = _free_card(others)
            _set(connection, pupil.id, name=name, class_group=group, card=card, hand=pupil.hand)
        return replace(pupil, name=name, group=group, card=card)

    def set_hand(self, number: int, hand: Hand | None) -> None:
        """Settle the writing hand, or leave it open again."""
        with self._database.writing(durable=True) as connection:
            pupil_row(connection, number)
            _set(connection, number, hand=hand)

    def archive(self, number: int, archived: bool = True) -> None:
        """Hide a pupil from practice and from the class's figures, or bring one back; nothing is lost."""
        with self._database.writing(durable=True) as connection:
            pupil_row(connection, number)
            _set(connection, number, archived=archived)


def pupil_row(connection: Connection, number: int) -> Row[Any]:
    """The row of a pupil. Raises PupilError when there is no such pupil."""
    row = connection.execute(select(tables.pupil).where(tables.pupil.c.id == number)).first()
    if row is None:
        raise PupilError(f"the record has no pupil with the number {number}")
    return row


def _others(connection: Connection, group: str, but: int | None = None) -> list[Row[Any]]:
    """The rows of a group's pupils, archived ones too, but for one."""
    query = select(tables.pupil).where(tables.pupil.c.class_group == group)
    return [row for row in connection.execute(query) if row.id != but]


def _placed(pupil: Pupil | Newcomer, taken: Mapping[str, set[str]]) -> dict[str, Any]:
    """The name, card and group of one who comes into a group, as they are written.

    `taken` are the names in each group, without capitals; this one is taken from now on.
    """
    name, group = _name(pupil.name, "name"), _name(pupil.group, "group's name")
    _check_free(name, group, taken[group])
    taken[group].add(name.casefold())
    return {"name": name, "class_group": group, "card": _card(pupil.card, [])}


def _set(connection: Connection, number: int, **values: Any) -> None:
    connection.execute(update(tables.pupil).where(tables.pupil.c.id == number).values(values))


def _name(name: str, what: str) -> str:
    name = tidy_name(name)
    if not name or len(name) > NAME_LENGTH or not name.isprintable():
        raise PupilError(f"a {what} must be 1 to {NAME_LENGTH} letters, not {name!r}")
    return name


def _names(others: Sequence[Row[Any]]) -> set[str]:
    return {other.name.casefold() for other in others}


def _check_free(name: str, group: str, taken: Collection[str]) -> None:
    if name.casefold() in taken:
        raise PupilError(f"{group} already has a pupil named {name}; add a letter to tell them apart")


def _free_card(others: list[Row[Any]]) -> int:
    """The first free card; a group with more pupils than cards shares them."""
    taken = {other.card for other in others}
    return next((free for free in range(1, CARDS + 1) if free not in taken), len(taken) % CARDS + 1)


def _card(card: int, others: list[Row[Any]]) -> int:
    if not 1 <= card <= CARDS:
        raise PupilError(f"a card must be a number from 1 to {CARDS}, not {card}")
    for other in others:
        if other.card == card:
            raise PupilError(f"card {card} belongs to {other.name}; choose another")
    return card
