import csv
import io
import os
from datetime import date

import pytest

from strokes.kinds import Kind
from tests.trainer.reckoning import summarize
from tests.trainer.samples import attempt
from trainer.attempt import Observation, Pupil, Step
from trainer.errors import PlaceError
from trainer.exchange import spreadsheet


def table(summed, path):
    spreadsheet.write(summed, str(path))
    return read(path)


def read(path):
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture
def summed():
    nella, abel = Pupil(1, "Nella", 1, group="Quay"), Pupil(2, "Abel", 2, group="Quay")
    attempts = [
        attempt(1, "b", Kind.START, day=0, mended=True),
        attempt(1, "b", Kind.START, Kind.SIZE, day=1, step=Step.RECALL),
        attempt(1, "b", day=2),
        attempt(1, "b", day=3, step=Step.TRACE),
        attempt(2, "c", day=4, notes=(Kind.DIRECTION,)),
    ]
    return summarize(attempts, (nella, abel))


def test_a_row_for_each_pupil_and_letter(summed, tmp_path):
    nella, abel = table(summed, tmp_path / "summary.csv")

    assert (nella["Pupil"], nella["Letter"], nella["Tries"], nella["Well formed"]) == ("Nella", "b", "3", "1")
    assert (nella["Mended"], abel["Mended"]) == ("1", "0")
    assert (nella["Copied"], nella["From memory"], nella["From memory, well formed"]) == ("2", "1", "0")
    assert (nella["Traced"], nella["Last on"]) == ("1", "2026-09-10")
    assert (nella["Likely from %"], nella["Likely to %"]) == ("6", "79")
    assert nella["Seen: began somewhere else than shown"] == "2"
    assert (abel["Letter"], abel["Notes"], abel["Likely from %"]) == ("c", "1", "not enough yet")


def test_what_was_seen_on_paper_stands_in_columns_of_its_own(summed, tmp_path):
    """Of a letter that was written on paper alone as well; it is counted nowhere among the tries."""
    seen = [Observation(1, "b", date(2026, 9, 9)), Observation(1, "b", date(2026, 9, 8), (Kind.START,))]
    seen.append(Observation(2, "k", date(2026, 9, 9), (Kind.SIZE,)))
    without = table(summed, tmp_path / "without.csv")
    spreadsheet.write(summed, str(tmp_path / "summary.csv"), seen)
    nella, abel, paper_alone = read(tmp_path / "summary.csv")

    columns = ("On paper, looked at", "On paper, well formed", "On paper, last on")
    assert [nella[column] for column in columns] == ["2", "1", "2026-09-09"]
    assert [abel[column] for column in columns] == ["", "", ""]
    assert [paper_alone[column] for column in ("Pupil", "Letter", "Tries", *columns)] == [
        *("Abel", "k", "", "1", "1", "2026-09-09")
    ]
    for row, other in zip(without, (nella, abel), strict=True):
        assert {name: cell for name, cell in other.items() if name not in columns} == {
            name: cell for name, cell in row.items() if name not in columns
        }


def test_the_table_on_the_screen_is_the_table_in_the_file(summed, tmp_path, capsys):
    in_file = table(summed, tmp_path / "summary.csv")
    spreadsheet.write(summed, "-")

    assert list(csv.DictReader(io.StringIO(capsys.readouterr().out))) == in_file


@pytest.mark.parametrize("name", ["=1+1", "+49", "-1", "@home", "=HYPERLINK(0)"])
def test_a_name_that_looks_like_a_formula_is_made_plain_text(tmp_path, name):
    """OWASP, CSV Injection (from memory): what begins with = + - @ or a tab is taken for a formula."""
    summed = summarize([attempt(1, "b")], (Pupil(1, name, 1, group=name),))
    (row,) = table(summed, tmp_path / "summary.csv")

    assert row["Pupil"] == row["Group"] == f"'{name}"


def test_a_name_with_commas_and_quotes_stays_one_cell(tmp_path):
    summed = summarize([attempt(1, "b")], (Pupil(1, 'Ne"l, la', 1, group="Quay"),))
    (row,) = table(summed, tmp_path / "summary.csv")

    assert row["Pupil"] == 'Ne"l, la'


@pytest.mark.skipif(os.name != "posix", reason="file modes are those of POSIX")
def test_the_table_is_for_its_owner_alone(summed, tmp_path):
    spreadsheet.write(summed, str(tmp_path / "summary.csv"))

    assert (tmp_path / "summary.csv").stat().st_mode & 0o777 == 0o600


def test_a_file_that_cannot_be_written_is_told(summed, tmp_path):
    with pytest.raises(PlaceError, match="cannot be written"):
        spreadsheet.write(summed, str(tmp_path / "nowhere" / "summary.csv"))
