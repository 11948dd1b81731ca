"""Display names for the people of a roster: as short as tells them apart; and who a display name can be."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from trainer.attempt import NAME_LENGTH, Pupil
from trainer.oneroster import Person

_FAMILY = 11
"""So many letters of a family name tell two apart at most: the rest of a display name is the given name's."""

_NUMBER = 4
"""Room for a number behind a name that two people have in full."""


def names(person: Person, people: Iterable[Person]) -> tuple[str, ...]:
    """The display names for `person`, one of `people`, best first: the shortest that can be nobody else's.

    The last one is given even where it can be: "Nella Berg" beside a Nella Bergman.
    """
    everybody = list(people)
    own = _forms(person, everybody)
    others = {
        form.casefold() for other in everybody if other.id != person.id for form in _forms(other, everybody)
    }
    return (*(form for form in own if form.casefold() not in others), own[-1])


def matched(people: Sequence[Person], pupils: Sequence[Pupil]) -> dict[str, Pupil]:
    """Which pupil is which person, by the person's id; nobody where it could be two.

    Longer names speak first: where there is a "Nella B", a mere "Nella" beside her is another one.
    """
    forms = {person.id: {form.casefold() for form in _forms(person, people)} for person in people}
    taken = [pupil.name.casefold() for pupil in pupils]
    found: dict[str, Pupil] = {}
    for pupil in sorted(pupils, key=lambda pupil: -len(pupil.name)):
        name = pupil.name.casefold()
        claims = [own for own, theirs in forms.items() if name in theirs and own not in found]
        if len(claims) == 1 and taken.count(name) == 1:
            found[claims[0]] = pupil
    return found


def _forms(person: Person, people: Iterable[Person]) -> tuple[str, ...]:
    """All display names that a person may have: the given name, then letter by letter more of the other.

    The second of two people of one and the same name can only be told by a number.
    """
    forms = _plain(person)
    whole = forms[-1].casefold()
    twins = sorted(other.id for other in people if _plain(other)[-1].casefold() == whole)
    place = twins.index(person.id)
    return forms if place == 0 else tuple(f"{form} {place + 1}" for form in forms)


def _plain(person: Person) -> tuple[str, ...]:
    family = person.family[:_FAMILY].strip()
    room = NAME_LENGTH - _NUMBER - (_FAMILY + 1 if family else 0)
    given = person.given[:room].strip()
    ends = [end for end in range(1, len(family) + 1) if not family[:end].endswith(" ")]
    return (given, *(f"{given} {family[:end]}" for end in ends))
