"""Display names for the people of a roster: as short as distinguishes them; and who a display name can be."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence

from trainer.attempt import NAME_LENGTH, Pupil
from trainer.exchange.oneroster import Person

_FAMILY = 11
"""At most so many letters of a family name distinguish two people: the rest is the given name's."""

_NUMBER = 4
"""Room for a number behind a name that two people have in full."""

LONGEST_GIVEN = NAME_LENGTH - _NUMBER
"""Characters of a given name that is kept whole where it stands alone."""


class Names:
    """All display names that the people of one group may have."""

    def __init__(self, people: Iterable[Person]) -> None:
        self._forms = _forms(people)
        self._bearers: dict[str, list[str]] = defaultdict(list)
        for own, forms in self._forms.items():
            for form in dict.fromkeys(form.casefold() for form in forms):
                self._bearers[form].append(own)

    def best(self, person: Person) -> tuple[str, ...]:
        """The names for a person, best first: the shortest that can be nobody else's.

        The last one is given even where it can be: "Nella Berg" beside a Nella Bergman.
        """
        forms = self._forms[person.id]
        clear = (form for form in forms if len(self._bearers[form.casefold()]) == 1)
        return (*clear, forms[-1])

    def matched(self, pupils: Sequence[Pupil]) -> dict[str, Pupil]:
        """Which pupil is which person, by the person's id; nobody where it could be two.

        Longer names are matched first: where there is a "Nella B", a mere "Nella" beside her is another one.
        """
        often = Counter(pupil.name.casefold() for pupil in pupils)
        pupil_of: dict[str, Pupil] = {}
        for pupil in sorted(pupils, key=lambda pupil: -len(pupil.name)):
            name = pupil.name.casefold()
            claims = [own for own in self._bearers.get(name, ()) if own not in pupil_of]
            if len(claims) == 1 and often[name] == 1:
                pupil_of[claims[0]] = pupil
        return pupil_of


def _forms(people: Iterable[Person]) -> dict[str, tuple[str, ...]]:
    """By a person's id all names that the person may have, shortest first.

    The second of two people of one and the same name can only be distinguished by a number.
    """
    forms: dict[str, tuple[str, ...]] = {}
    twins: Counter[str] = Counter()
    for person in sorted(people, key=lambda person: person.id):
        plain = _plain(person)
        twins[plain[-1].casefold()] += 1
        place = twins[plain[-1].casefold()]
        forms[person.id] = plain if place == 1 else tuple(f"{form} {place}" for form in plain)
    return forms


def _plain(person: Person) -> tuple[str, ...]:
    """The given name, then letter by letter more of the family name."""
    family = person.family[:_FAMILY].strip()
    room = LONGEST_GIVEN - (_FAMILY + 1 if family else 0)
    given = person.given[:room].strip()
    ends = [end for end in range(1, len(family) + 1) if not family[:end].endswith(" ")]
    return (given, *(f"{given} {family[:end]}" for end in ends))
