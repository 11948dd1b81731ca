"""OneRoster tables: who is in which class, nothing else, and one clear sentence for what does not fit."""

import pickle
import random
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.cases import for_each
from tests.trainer.rosters import (
    CLASSES,
    ENROLLMENTS,
    HEADERS,
    SECRET,
    USERS,
    enrollment,
    manifest,
    school_class,
    table,
    tables,
    user,
)
from trainer.errors import RosterError
from trainer.exchange import oneroster
from trainer.exchange.oneroster import Person, SchoolClass, parse


def names(roster, title):
    (school_class,) = [school_class for school_class in roster.classes if school_class.title == title]
    return [person.given for person in roster.people_of(school_class)]


def remarks(roster):
    return [str(remark) for remark in roster.remarks]


def test_the_students_of_each_class_are_read():
    roster = parse(tables())

    assert roster.classes == (SchoolClass("c1", "Quay"), SchoolClass("c2", "Slipway"))
    assert names(roster, "Quay") == ["Nella", "Nilo"]
    assert roster.people[2] == Person("p3", "Osk, the younger", 'Gale "Long"', ("01",))
    assert roster.remarks == ()


def test_whoever_is_no_student_is_counted_and_let_go():
    roster = parse(tables())

    assert roster.passed_over == (("guardian", 1), ("parent", 1), ("teacher", 1))
    assert [person.id for person in roster.people] == ["p1", "p2", "p3"]


def test_nothing_but_the_listed_columns_is_kept():
    """Addresses, numbers, passwords and birth dates stand in the tables, and nowhere in what is read."""
    files = tables()
    assert all(SECRET.encode() in files[name] for name in files if name != "manifest.csv")

    parsed = pickle.dumps(parse(files))

    assert SECRET.encode() not in parsed
    assert b"Rena" not in parsed, "a teacher's name is let go too"
    assert b"Wanda" not in parsed


def test_the_rows_themselves_hold_only_the_listed_columns(monkeypatch):
    """Already the first step after the door sees nothing else."""
    attempts = []
    read = oneroster.read_table
    monkeypatch.setattr(oneroster, "read_table", lambda *given: attempts.append(read(*given)) or attempts[-1])

    parse(tables())

    cells = [line.cells for each in attempts for line in each.lines]
    assert len(cells) > 10
    assert set().union(*cells) == {column for taken in oneroster.TAKEN.values() for column in taken}
    assert SECRET not in {cell for row in cells for cell in row.values()}


def test_a_byte_order_mark_is_accepted():
    assert parse(tables(bom=True)) == parse(tables())


@given(st.integers(0, 2**32))
def test_the_order_of_columns_and_rows_makes_no_difference(seed):
    shuffle = random.Random(seed)

    def shuffled(name, rows):
        header = shuffle.sample(HEADERS[name], len(HEADERS[name]))
        return table(name, shuffle.sample(rows, len(rows)), header=header)

    files = {
        "manifest.csv": shuffled("manifest.csv", manifest()),
        "users.csv": shuffled("users.csv", USERS),
        "classes.csv": shuffled("classes.csv", CLASSES),
        "enrollments.csv": shuffled("enrollments.csv", ENROLLMENTS),
    }

    assert parse(files) == parse(tables())


def test_a_table_with_the_needed_columns_alone_is_enough():
    slim = {
        name: [column for column in taken if column not in ("grades", "status")]
        for name, taken in oneroster.TAKEN.items()
    }
    rows = {
        "manifest.csv": manifest(),
        "users.csv": USERS,
        "classes.csv": CLASSES,
        "enrollments.csv": ENROLLMENTS,
    }

    roster = parse({name: table(name, lines, header=slim[name]) for name, lines in rows.items()})

    assert names(roster, "Quay") == ["Nella", "Nilo"]


# What makes the whole untrustworthy


@pytest.mark.parametrize("name", ["users.csv", "classes.csv", "enrollments.csv", "manifest.csv"])
def test_a_set_without_one_of_its_tables_is_refused(name):
    files = tables()
    del files[name]

    with pytest.raises(RosterError, match=f"{name}.* not"):
        parse(files)


@for_each(
    ("name", "column"),
    [
        *(("users.csv", column) for column in ("sourcedId", "givenName", "familyName", "role")),
        *(("classes.csv", column) for column in ("sourcedId", "title")),
        *(("enrollments.csv", column) for column in ("classSourcedId", "userSourcedId", "role")),
    ],
)
def test_a_missing_column_is_told_in_one_sentence(name, column):
    header = [title for title in HEADERS[name] if title != column]

    with pytest.raises(RosterError) as caught:
        parse(tables() | {name: table(name, [], header=header)})

    assert str(caught.value) == f"{name}: the first line must name the column {column}, and it does not"


def test_another_version_is_refused_with_the_way_out():
    """From 1.2 on the roles stand in a file of their own."""
    files = tables() | {"manifest.csv": table("manifest.csv", manifest(version="1.2"))}

    with pytest.raises(RosterError, match=r"manifest.csv, line 3: the version must be 1.1, not '1.2'"):
        parse(files)


def test_an_id_given_twice_refuses_the_whole_and_names_every_line():
    doubled = [*USERS, user("p1", "Somebody"), user("p2", "Else")]

    with pytest.raises(RosterError, match="given once, and 2 came again") as caught:
        parse(tables(users=doubled))

    assert caught.value.faults == (
        "users.csv, line 8: sourcedId must be given once, 'p1' stands in line 2 too",
        "users.csv, line 9: sourcedId must be given once, 'p2' stands in line 3 too",
    )


def test_a_class_given_twice_is_refused():
    with pytest.raises(RosterError, match="given once, and one came again") as caught:
        parse(tables(classes=[*CLASSES, school_class("c2", "Pier")]))

    assert caught.value.faults == (
        "classes.csv, line 4: sourcedId must be given once, 'c2' stands in line 3 too",
    )


# Lines that cannot stand


def test_ids_that_lead_nowhere_are_told_line_by_line_and_nobody_is_made_of_them():
    broken = [*ENROLLMENTS, enrollment("p9", "c1"), enrollment("p1", "c9"), enrollment("g1", "c1")]

    roster = parse(tables(enrollments=broken))

    assert remarks(roster) == [
        "enrollments.csv, line 6: userSourcedId must be in users.csv, 'p9' is not",
        "enrollments.csv, line 7: classSourcedId must be in classes.csv, 'c9' is not",
        "enrollments.csv, line 8: userSourcedId must be a student's, 'g1' is not",
    ]
    assert names(roster, "Quay") == ["Nella", "Nilo"]
    assert "p9" not in {person.id for person in roster.people}


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        (user("", "Abel"), "sourcedId must be given, it is empty"),
        (user("p7", " "), "givenName must be a name, not ''"),
        (user("p7", "A\x07bel"), r"givenName must be a name, not 'A\\x07bel'"),
        (
            user("p7", "Abel", role="wizard"),
            "role must be one of administrator, aide, guardian, .* not 'wizard'",
        ),
    ],
)
def test_a_person_who_cannot_stand_is_left_out_and_told(row, reason):
    roster = parse(tables(users=[*USERS, row]))

    (remark,) = roster.remarks
    assert (remark.file, remark.line) == ("users.csv", 8)
    assert re.fullmatch(reason, remark.reason)
    assert len(roster.people) == 3


def test_a_class_without_a_title_is_told_and_so_are_its_enrollments():
    roster = parse(tables(classes=[*CLASSES, school_class("c3", "")], enrollments=[enrollment("p1", "c3")]))

    assert remarks(roster) == [
        "classes.csv, line 4: title must be a name, not ''",
        "enrollments.csv, line 2: classSourcedId must be in classes.csv, 'c3' is not",
    ]


def test_an_enrollment_with_an_unknown_role_is_told():
    roster = parse(tables(enrollments=[enrollment("p1", "c1", role="visitor")]))

    assert [remark.line for remark in roster.remarks] == [2]
    assert names(roster, "Quay") == []


def test_the_same_place_twice_is_one_place():
    assert parse(tables(enrollments=[*ENROLLMENTS, enrollment("p1", "c1")])) == parse(tables())


def test_no_break_spaces_in_a_name_are_plain_spaces():
    roster = parse(tables(users=[user("p1", "Anna\u00a0 Lina")], enrollments=[]))

    assert roster.people[0].given == "Anna Lina"


# Changes


def test_a_manifest_alone_says_that_nothing_changed():
    roster = parse({"manifest.csv": table("manifest.csv", manifest())})

    assert (roster.people, roster.classes, roster.remarks) == ((), (), ())


def test_lines_that_take_something_back_are_known_as_such():
    roster = parse(
        tables(
            users=[user("p1", "Nella", status="tobedeleted"), user("p2", "Nilo", status="active")],
            classes=[school_class("c1", "Quay"), school_class("c2", "Slipway", status="tobedeleted")],
            enrollments=[
                enrollment("p1", "c1"),
                enrollment("p2", "c1", status="tobedeleted"),
                enrollment("p2", "c2", status="active"),
            ],
            mode="delta",
        )
    )

    assert roster.delta
    assert [person.leaving for person in roster.people] == [True, False]
    assert [school_class.leaving for school_class in roster.classes] == [False, True]
    assert roster.leaving == {("c1", "p2")}
    assert names(roster, "Quay") == []


def test_a_place_that_is_given_anew_outweighs_the_one_taken_back():
    twice = [enrollment("p1", "c1", status="tobedeleted"), enrollment("p1", "c1", status="active")]

    assert names(parse(tables(enrollments=twice)), "Quay") == ["Nella"]


# Anything at all


def outcome(files):
    """What is told of the files: remarks on the roster, or why there is none. No other error may come."""
    try:
        return remarks(parse(files))
    except RosterError as error:
        return [str(error), *error.faults]


@given(st.dictionaries(st.sampled_from(oneroster.FILES), st.binary(max_size=300), max_size=4))
def test_any_bytes_are_a_roster_or_our_own_error(files):
    assert "\n" not in " ".join(outcome(files))


@given(st.sampled_from(oneroster.FILES), st.integers(0, 400), st.binary(min_size=1, max_size=6))
def test_a_damaged_table_is_a_roster_or_our_own_error(name, at, damage):
    files = tables()
    files[name] = files[name][:at] + damage + files[name][at + len(damage) :]

    assert "\n" not in " ".join(outcome(files))


cell = st.text(max_size=12)


@given(
    st.lists(st.tuples(cell, cell, cell, st.sampled_from(sorted(oneroster.ROLES))), max_size=8),
    st.lists(st.tuples(cell, cell), max_size=6),
)
def test_any_names_in_quotes_come_through_or_are_told(people, places):
    """Commas, quotes and line breaks inside a cell are part of the name or told, and never a new row."""
    users = [
        user(f"p{n}{own}", given, family, role=role) for n, (own, given, family, role) in enumerate(people)
    ]
    roster = parse(tables(users=users, enrollments=[enrollment(who, where) for who, where in places]))

    counted = len(roster.people) + sum(count for _, count in roster.passed_over)
    left_out = sum(remark.file == "users.csv" for remark in roster.remarks)
    assert counted + left_out == len(users)
