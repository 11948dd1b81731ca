"""OneRoster 1.1 tables (1EdTech) into a Roster: who is in which class, and nothing else.

Columns are found by their header names. Of each row only the columns in TAKEN are looked at; whatever
else a school system puts into its tables (addresses, numbers, passwords, birth dates) is let go with
the row. The names of files and columns, and what is required, are from public samples and from memory;
the specification itself was not at hand.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from trainer.attempt import tidy_name
from trainer.errors import RosterError
from trainer.exchange.csv_table import Remark, Row, Table, read_table

MANIFEST, USERS, CLASSES, ENROLLMENTS = "manifest.csv", "users.csv", "classes.csv", "enrollments.csv"
FILES = (MANIFEST, USERS, CLASSES, ENROLLMENTS)

TAKEN = {
    MANIFEST: ("propertyName", "value"),
    USERS: ("sourcedId", "givenName", "familyName", "role", "grades", "status"),
    CLASSES: ("sourcedId", "title", "status"),
    ENROLLMENTS: ("classSourcedId", "userSourcedId", "role", "status"),
}
"""All that is ever read. `status` only says whether a line withdraws something."""

_MAY_LACK = {"grades", "status"}

STUDENT = "student"
ROLES = frozenset(("administrator", "aide", "guardian", "parent", "proctor", "relative", STUDENT, "teacher"))
"""The roles of 1.1; whoever is not a student is counted and let go."""

MOST_FAULTS = 20
"""How many lines an error names; the rest is counted."""


@dataclass(frozen=True)
class Person:
    """A student: the id only links the tables, and the family name only distinguishes two of one name."""

    id: str
    given: str
    family: str = ""
    grades: tuple[str, ...] = ()
    leaving: bool = False


@dataclass(frozen=True)
class SchoolClass:
    """A class by its title."""

    id: str
    title: str
    leaving: bool = False


@dataclass(frozen=True)
class Roster:
    """Who is in which class. The order of lines and columns in the tables leaves no trace in it.

    `enrolled` and `leaving` are pairs of a class's and a person's id; `leaving` are enrollments that the
    tables take back. `passed_over` counts those who are no students, by role. A `delta` holds only what
    changed, so nobody is missing from it. `remarks` are the lines that were left out, in their order.
    """

    people: tuple[Person, ...] = ()
    classes: tuple[SchoolClass, ...] = ()
    enrolled: frozenset[tuple[str, str]] = frozenset()
    leaving: frozenset[tuple[str, str]] = frozenset()
    passed_over: tuple[tuple[str, int], ...] = ()
    delta: bool = False
    remarks: tuple[Remark, ...] = ()

    def people_of(self, school_class: SchoolClass) -> tuple[Person, ...]:
        """The students of a class, without those who are leaving it or the school."""
        return tuple(
            person
            for person in self.people
            if (school_class.id, person.id) in self.enrolled and not person.leaving
        )


def parse(files: Mapping[str, bytes]) -> Roster:
    """The roster in the tables, given by their file names.

    A line that cannot be used (no name, an id that leads nowhere) is left out and listed in `remarks`. Raises
    RosterError for what makes the whole untrustworthy: no manifest, another version, a missing table or
    column, one id given twice.
    """
    if MANIFEST not in files:
        raise RosterError(f"an export of OneRoster 1.1 must hold {MANIFEST}, and it does not")
    present = [name for name in FILES if name in files]
    tables = {name: read_table(name, files[name], TAKEN[name], _MAY_LACK) for name in present}
    delta = _is_delta(tables[MANIFEST])
    if present == [MANIFEST]:
        return Roster(delta=delta)
    if lacking := [name for name in FILES if name not in files]:
        raise RosterError(
            f"an export of OneRoster 1.1 must hold {', '.join(FILES)}; {lacking[0]} is not in it"
        )
    return _Reading(tables, delta).roster()


def _is_delta(manifest: Table) -> bool:
    """Whether the manifest declares changes only. Raises RosterError for another version than 1.1."""
    stated = {line["propertyName"].casefold(): (line, line["value"]) for line in manifest.lines}
    line, version = stated.get("oneroster.version", (None, "1.1"))
    if version and not (version == "1.1" or version.startswith("1.1.")):
        where = f"{MANIFEST}, line {line.number}" if line else MANIFEST
        raise RosterError(
            f"{where}: the version must be 1.1, not {version[:20]!r}; export it as OneRoster 1.1 CSV"
        )
    modes = (stated.get(f"file.{name.removesuffix('.csv')}", (None, ""))[1] for name in FILES[1:])
    return any(mode.casefold() == "delta" for mode in modes)


class _Reading:
    """One pass over the three tables; what is not a student's stays in here."""

    def __init__(self, tables: Mapping[str, Table], delta: bool) -> None:
        self.tables, self.delta = tables, delta
        self.remarks: list[Remark] = []
        self.others: set[str] = set()  # ids of those who are no students: an enrollment may lead to them
        self.passed_over: Counter[str] = Counter()

    def roster(self) -> Roster:
        """The whole roster. Raises RosterError when an id is given twice."""
        self._refuse_double(USERS, CLASSES)
        people = {person.id: person for person in self._people()}
        classes = {school_class.id: school_class for school_class in self._classes()}
        enrolled, leaving = self._enrollments(people, classes)
        for table in self.tables.values():
            self.remarks.extend(table.remarks)
        order = {name: place for place, name in enumerate(FILES)}
        return Roster(
            people=tuple(sorted(people.values(), key=lambda person: person.id)),
            classes=tuple(
                sorted(classes.values(), key=lambda school_class: (school_class.title, school_class.id))
            ),
            enrolled=frozenset(enrolled),
            leaving=frozenset(leaving - enrolled),
            passed_over=tuple(sorted(self.passed_over.items())),
            delta=self.delta,
            remarks=tuple(sorted(self.remarks, key=lambda remark: (order[remark.file], remark.line))),
        )

    def _refuse_double(self, *names: str) -> None:
        faults = []
        for name in names:
            first: dict[str, int] = {}
            for line in self.tables[name].lines:
                own = line["sourcedId"]
                if own and own in first:
                    faults.append(
                        line.remark(f"sourcedId must be given once, {own!r} stands in line {first[own]} too")
                    )
                first.setdefault(own, line.number)
        if faults:
            count = "one came" if len(faults) == 1 else f"{len(faults)} came"
            raise RosterError(
                f"{faults[0].file}: a sourcedId must be given once, and {count} again; nothing was taken",
                tuple(faults[:MOST_FAULTS]),
            )

    def _people(self) -> Iterator[Person]:
        for line in self.tables[USERS].lines:
            role = line["role"].casefold()
            if role != STUDENT:
                self._pass_over(line, role)
            elif not line["sourcedId"]:
                self._leave_out(line, "sourcedId must be given, it is empty")
            elif not (given := _name(line["givenName"])):
                self._leave_out(line, f"givenName must be a name, not {line['givenName'][:40]!r}")
            else:
                yield Person(
                    line["sourcedId"],
                    given,
                    _name(line["familyName"]),
                    tuple(grade.strip() for grade in line["grades"].split(",") if grade.strip()),
                    _takes_back(line),
                )

    def _pass_over(self, line: Row, role: str) -> None:
        self.others.add(line["sourcedId"])
        if role in ROLES:
            self.passed_over[role] += 1
        else:
            self._unknown(line, role)

    def _unknown(self, line: Row, role: str) -> None:
        self._leave_out(line, f"role must be one of {', '.join(sorted(ROLES))}, not {role[:20]!r}")

    def _classes(self) -> Iterator[SchoolClass]:
        for line in self.tables[CLASSES].lines:
            if not line["sourcedId"]:
                self._leave_out(line, "sourcedId must be given, it is empty")
            elif not (title := _name(line["title"])):
                self._leave_out(line, f"title must be a name, not {line['title'][:40]!r}")
            else:
                yield SchoolClass(line["sourcedId"], title, _takes_back(line))

    def _enrollments(
        self, people: Mapping[str, Person], classes: Mapping[str, SchoolClass]
    ) -> tuple[set[tuple[str, str]], set[tuple[str, str]]]:
        enrolled: set[tuple[str, str]] = set()
        leaving: set[tuple[str, str]] = set()
        for line in self.tables[ENROLLMENTS].lines:
            user, where = line["userSourcedId"], line["classSourcedId"]
            role = line["role"].casefold()
            if role in ROLES - {STUDENT}:
                continue
            if role != STUDENT:
                self._unknown(line, role)
            elif where not in classes:
                self._dangling(line, "classSourcedId", where, CLASSES)
            elif user in self.others:
                self._leave_out(line, f"userSourcedId must be a student's, {user[:40]!r} is not")
            elif user not in people:
                self._dangling(line, "userSourcedId", user, USERS)
            else:
                (leaving if _takes_back(line) else enrolled).add((where, user))
        return enrolled, leaving

    def _dangling(self, line: Row, column: str, cell: str, table: str) -> None:
        self._leave_out(line, f"{column} must be in {table}, {cell[:40]!r} is not")

    def _leave_out(self, line: Row, reason: str) -> None:
        self.remarks.append(line.remark(reason))


def _takes_back(line: Row) -> bool:
    return line["status"].casefold() == "tobedeleted"


def _name(cell: str) -> str:
    """A name with its spaces evened out; empty when there is none that can be read."""
    name = tidy_name(cell)
    return name if name.isprintable() else ""
