"""CSV tables of strangers: found by their header, quoted as RFC 4180 has it, and bounded."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.cases import for_each
from trainer.errors import RosterError
from trainer.exchange import csv_table
from trainer.exchange.csv_table import read_table


def cells(content, columns=("b",), may_lack=()):
    return [dict(line.cells) for line in read_table("t.csv", content, columns, may_lack).lines]


def test_only_the_columns_asked_for_are_kept_whatever_their_order():
    assert cells(b"a,b,c\n1,2,3\n") == cells(b"c,b\n3,2\n") == [{"b": "2"}]


def test_names_of_columns_may_differ_in_case_and_outer_spaces():
    assert cells(b"A, B \n1, 2 \n") == [{"b": "2"}]


def test_a_column_that_may_lack_is_empty():
    assert cells(b"b\n2\n", ("b", "c"), ("c",)) == [{"b": "2", "c": ""}]


def test_quotes_hold_commas_quotes_and_line_breaks_and_lines_are_counted_in_the_file():
    table = read_table("t.csv", b'a,b\r\n1,"x, ""y""\r\nz"\r\n\r\n3,w\r\n', ("b",))

    assert [(line.number, line["b"]) for line in table.lines] == [(2, 'x, "y"\r\nz'), (5, "w")]


def test_a_row_that_does_not_fit_the_header_is_left_out_and_told():
    """A comma too many would put one column's content under another's name."""
    table = read_table("t.csv", b"a,b\n1,2,3\n4\n5,6\n", ("b",))

    assert [line["b"] for line in table.lines] == ["6"]
    assert list(map(str, table.remarks)) == [
        "t.csv, line 2: must have 2 cells as the header has, not 3",
        "t.csv, line 3: must have 2 cells as the header has, not 1",
    ]


@for_each(
    ("content", "reason"),
    [
        (b"", "t.csv: the first line must name the column b, and it does not"),
        (b"a;b\n1;2\n", "cells must be parted by commas"),
        (b"a,b,B\n1,2,3\n", "must name the column b once, not twice"),
        (b"a,b\n1,\xff\n", "must be UTF-8 text, byte 7 is not"),
        ("a,b\n".encode("utf-16"), "must be UTF-8 text, byte 1 is not"),
        (b'a,b\n1,"2\n', "t.csv, line 2: must be a row of a CSV table"),
        (b'a,b\n1,"2"x\n', "t.csv, line 2: must be a row of a CSV table"),
        (b'a,b\n1,"' + b"x" * 200_000 + b'"\n', "t.csv, line 2: must be a row"),
    ],
)
def test_what_is_no_such_table_is_told_in_one_sentence(content, reason):
    with pytest.raises(RosterError, match=reason) as caught:
        read_table("t.csv", content, ("b",))
    assert len(str(caught.value)) < 200


def test_a_table_without_an_end_is_refused(monkeypatch):
    monkeypatch.setattr(csv_table, "MOST_ROWS", 3)
    assert len(cells(b"b\n" + b"1\n" * 3)) == 3

    with pytest.raises(RosterError, match="at most 3 lines"):
        cells(b"b\n" + b"1\n" * 4)


@given(st.lists(st.tuples(st.text(), st.text()), max_size=10))
def test_what_a_writer_of_csv_writes_comes_back(rows):
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\r\n").writerows([("a", "b"), *rows])
    try:
        content = text.getvalue().encode()
    except UnicodeEncodeError:  # half of a surrogate pair is no text
        return

    assert cells(content, ("a", "b")) == [{"a": a.strip(), "b": b.strip()} for a, b in rows]
