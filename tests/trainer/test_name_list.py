"""A class as it was pasted or saved: from any machine and word processor, taken whole or not at all."""

from __future__ import annotations

import pytest

from tests.cases import for_each
from trainer.attempt import Pupil, tidy_name
from trainer.errors import RosterError
from trainer.exchange import Roster, name_list, roster

NAMES = ["Anneli", "Bjarne", "Zoë"]


def names(listed: Roster) -> list[str]:
    return [person.given for person in listed.people]


def seated(listed: Roster, pupils: tuple[Pupil, ...] = ()) -> dict[str, str]:
    """The group of each child who would be new, by the display name."""
    changes = roster.changes(listed, pupils, classes=listed.classes, same=())
    return {newcomer.name: newcomer.group for newcomer in changes.new}


@for_each(
    "end", ["\n", "\r\n", "\r", "\v", "\u2028"], ids=["unix", "windows", "old mac", "word", "separator"]
)
@for_each(
    "encoding",
    ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"],
)
def test_a_file_from_any_machine_gives_the_same_names(end: str, encoding: str) -> None:
    content = end.join(NAMES).encode(encoding)

    assert names(name_list.parse(name_list.decoded(content, "names.txt"), "Class")) == NAMES


@pytest.mark.parametrize(("end", "encoding"), [("\r\n", "cp1252"), ("\r", "mac_roman")])
def test_letters_of_old_files_are_read_by_the_ends_of_their_lines(end: str, encoding: str) -> None:
    content = end.join(NAMES).encode(encoding)

    assert names(name_list.parse(name_list.decoded(content, "names.txt"), "Class")) == NAMES


def test_a_pasted_list_comes_without_its_numbers_marks_and_empty_cells() -> None:
    typed = '\ufeff 1. Anneli \n\n\u2022 Bjarne\n"Zoe\u0308"\n- Ida\u200b,,\n12) Kaj\t\n\n'

    assert names(name_list.parse(typed, "Class")) == [*NAMES, "Ida", "Kaj"]


def test_a_hyphen_and_a_number_in_a_name_stay() -> None:
    assert names(name_list.parse("Anna-Lena\nNella 2\nO'Brien", "Class")) == [
        "Anna-Lena",
        "Nella 2",
        "O'Brien",
    ]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_a_table_is_read_by_the_names_of_its_columns(separator: str) -> None:
    """What else it says of a child is let go."""
    rows = [["Birthday", "Class", "First name", "Last name"], ["2021-02-03", "Quay", "Nella", "Berg"]]
    rows += [["2021-04-05", "Quay", "Nella", "Olm"], ["", "", "Bo", ""], ["", "", "", ""]]
    typed = "\r\n".join(separator.join(row) for row in rows)

    listed = name_list.parse(typed, "Class")

    assert seated(listed) == {"Nella B": "Quay", "Nella O": "Quay", "Bo": "Class"}
    assert "2021" not in repr(listed)


def test_a_group_is_the_same_in_any_case_and_a_name_is_one_however_it_is_composed() -> None:
    listed = name_list.parse("name,group\nZoe\u0308,quay\nIda,Quay", "Class")

    assert set(seated(listed).values()) == {"quay"}
    assert seated(listed, (Pupil(1, tidy_name("Zoë"), 1, None, "Quay"),)) == {"Ida": "Quay"}


def test_the_same_list_again_brings_nobody_twice() -> None:
    listed = name_list.parse("Nella\nNella\nBo", "Class")
    first = roster.changes(listed, (), classes=listed.classes, same=())
    pupils = tuple(Pupil(n, new.name, new.card, None, new.group) for n, new in enumerate(first.new, start=1))

    assert {new.name for new in first.new} == {"Nella", "Nella 2", "Bo"}
    assert len({new.card for new in first.new}) == 3
    again = roster.changes(listed, pupils, classes=listed.classes, same=())
    assert (again.new, len(again.there)) == ((), 3)


@for_each(
    ("typed", "said"),
    [
        ("Nella\nBerg, Nella", "line 2: must be one name, not 'Berg, Nella'"),
        (f"Nella\n{'N' * 37}", "line 2: a name must have at most 36 letters, not 37"),
        ("Nella\nZo\ufffd", "line 2: a name must be letters that can be read"),
        ("Nella\nBo\x07", "line 2: a name must be letters that can be read"),
        ("name,group\n,Quay", "line 2: a name must stand there, and it is empty"),
        (f"name,group\nBo,{'Q' * 41}", "line 2: a group's name must have at most 40 letters, not 41"),
        ('name,group\n"Bo,Quay', "must be a row of a CSV table"),
        (" \r\n ", "must have a name on each line, and it has none"),
        ("name,group\n", "must have a name on each line, and it has none"),
        ("\n".join(f"Bo {n}" for n in range(401)), "must have at most 400 names, not 401"),
        ("N" * 100_001, "must have at most 100000 characters, not 100001"),
    ],
)
def test_what_cannot_be_taken_whole_is_told_by_its_line(typed: str, said: str) -> None:
    with pytest.raises(RosterError) as refused:
        name_list.parse(typed, "Class")

    assert said in str(refused.value)


def test_of_many_lines_at_fault_each_is_named() -> None:
    with pytest.raises(RosterError) as refused:
        name_list.parse("Berg, Nella\nBo\nOlm, Ida", "Class")

    assert [fault.partition(":")[0] for fault in refused.value.faults] == ["line 1", "line 3"]


@pytest.mark.parametrize("group", ["", " ", "Q" * 41])
def test_a_group_must_have_a_name(group: str) -> None:
    with pytest.raises(RosterError, match="the group's name must be 1 to 40 letters"):
        name_list.parse("Nella", group)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"PK\x03\x04", "it is a zip or a workbook; save the table as CSV"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "must be text"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "must be text"),
        (b"N" * 100_001, "must have at most 100 kB"),
    ],
)
def test_a_file_that_is_no_list_is_told(content: bytes, said: str) -> None:
    with pytest.raises(RosterError, match=said):
        name_list.decoded(content, "class.xls")
