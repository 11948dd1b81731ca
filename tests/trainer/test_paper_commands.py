"""`trainer sheet` and `trainer report` as they are typed: for whom, and one clear sentence for a slip."""

from __future__ import annotations

import shutil
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from tests import pdf
from trainer import places
from trainer.commands.cli import main
from trainer.record.record import Record

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="module")
def pupils(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with two pupils in one group and one in another, closed; copy it."""
    file = tmp_path_factory.mktemp("paper") / places.RECORD
    with Record.open(file) as record:
        record.pupils.add("Nella", hand="left", group="Quay")
        record.pupils.add("Žofia", group="Quay")
        record.pupils.add("Gesa", group="Slipway")
        record.plans.set("Quay", ["c", "a"])
    return file


@pytest.fixture
def run(
    pupils: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Run:
    """Runs one command in a folder of its own, on a record of its own."""
    data = tmp_path / "data"
    data.mkdir()
    shutil.copy(pupils, data / places.RECORD)
    out = tmp_path / "out"
    out.mkdir()
    monkeypatch.chdir(out)

    def typed(*words: str) -> tuple[int, str, str]:
        code = main([*words, "--data", str(data)])
        said = capsys.readouterr()
        return code, said.out, said.err

    return typed


def pages(file: str) -> list[str]:
    """The words on each page."""
    return [page.extract_text() for page in pdf.read(Path(file)).pages]


def test_a_group_gets_a_sheet_for_each_pupil_and_each_planned_letter(run: Run) -> None:
    code, said, wrong = run("sheet", "--group", "Quay")
    first, *_, last = written = pages("sheets.pdf")

    assert (code, wrong) == (0, "")
    assert len(written) == 4
    assert "Nella" in first
    assert "The letter c" in first
    assert "Žofia" in last
    assert "The letter a" in last
    assert "pages: 4" in said
    assert "cannot be judged" in said, "the tool says that it cannot judge paper"
    assert stat.S_IMODE(Path("sheets.pdf").stat().st_mode) == 0o600


def test_a_pupil_without_a_plan_gets_the_letters_that_practice_would_offer(run: Run) -> None:
    """Those of the own name come first."""
    assert run("sheet", "--pupil", "Gesa", "--out", "gesa.pdf")[0] == 0
    first, second, *_ = pages("gesa.pdf")

    assert "The capital G" in first
    assert "The letter e" in second


def test_letters_words_and_names_are_practiced_as_named(run: Run) -> None:
    assert run("sheet", "oa", "--word", "pier", "--names", "--pupil", "nella", "--copies", "2")[0] == 0
    elements = pdf.spoken(pdf.read(Path("sheets.pdf")))
    models = [element.alternative for element in elements if " as it is taught" in element.alternative]

    assert [model.partition(" as ")[0] for model in models] == ["o", "a", "pier", "Nella"] * 2


def test_cards_and_a_wall_need_no_pupil(run: Run) -> None:
    assert run("sheet", "--cards", "a", "b", "c", "d", "e")[0] == 0
    assert run("sheet", "--wall", "aAb", "--paper", "letter")[0] == 0

    assert len(pages("cards.pdf")) == 2
    assert len(pages("wall.pdf")) == 2


SLIPS_SHEET = [
    ([], "must be for letters"),
    (["--names"], "--pupil or --group"),
    (["a", "--age", "6", "--height", "12"], "not both"),
    (["a", "--height", "200"], "6 to 60 millimeters"),
    (["--cards", "--wall"], "not both"),
    (["--cards", "--word", "pier"], "are for letters"),
    (["--group", "Quay", "--hand", "left"], "class list"),
    (["--word", " "], "1 to 40 characters"),
    (["a", "--out", "a.png"], "must be a PDF file"),
    (["?"], "is not a letter"),
    (["--group", "Pier"], "no group 'Pier'"),
    (["a", "--copies", "0"], "1<=x<=100"),
]


def test_a_slip_is_told_in_one_sentence_and_nothing_is_written(run: Run) -> None:
    for words, said in SLIPS_SHEET:
        code, _, wrong = run("sheet", *words)

        assert code in (1, 2)
        assert said in wrong
        assert len(wrong.splitlines()) == 1
        assert [*Path().iterdir()] == []


def test_a_place_that_cannot_be_written_leaves_the_sheet_that_was_there(run: Run) -> None:
    Path("gone").mkdir()
    code, _, wrong = run("sheet", "a", "--out", "gone/there/a.pdf")

    assert code == 1
    assert "the PDF cannot be written" in wrong


def test_a_report_is_of_the_class_or_a_child(run: Run) -> None:
    for words, title in (
        ([], "Letters: the whole class"),
        (["--pupil", "žofia"], "How Žofia writes letters"),
    ):
        code, said, wrong = run("report", *words)
        assert (code, wrong) == (0, "")
        assert title in pages("report.pdf")[0]
        assert "report.pdf" in said
        assert stat.S_IMODE(Path("report.pdf").stat().st_mode) == 0o600


def test_all_reports_are_a_file_each_in_a_folder_for_the_teacher_alone(run: Run) -> None:
    code, said, progress = run("report", "--all", "--paper", "letter", "--out", "term")
    files = sorted(Path("term").iterdir())

    assert code == 0
    assert "3/3" in progress, "a bar tells how far it is"
    assert [file.name for file in files] == ["01-nella.pdf", "02-zofia.pdf", "03-gesa.pdf"]
    assert [len(pages(str(file))) for file in files] == [2, 2, 2]
    assert stat.S_IMODE(Path("term").stat().st_mode) == 0o700
    assert {stat.S_IMODE(file.stat().st_mode) for file in files} == {0o600}
    assert "term: 3" in said


SLIPS_REPORT = [
    (["--all", "--pupil", "Nella"], "not both"),
    (["--group", "Pier"], "no group 'Pier'"),
    (["--pupil", "Zeno"], "no pupil named 'Zeno'"),
    (["--out", "report.png"], "must be a PDF file"),
    (["--all", "--out", "no/such/folder"], "the folder cannot be made"),
]


def test_a_slip_with_a_report_is_told_and_nothing_is_written(run: Run) -> None:
    for words, said in SLIPS_REPORT:
        code, _, wrong = run("report", *words)

        assert code in (1, 2)
        assert said in wrong
        assert len(wrong.splitlines()) == 1
        assert [*Path().iterdir()] == []


def test_what_the_typeface_does_not_have_is_told_in_one_sentence(run: Run) -> None:
    run("pupil", "add", "سلمى", "--group", "Slipway")
    _, _, wrong = run("sheet", "a", "--pupil", "سلمى")

    assert wrong.startswith("The typeface for print does not have")
    assert len(wrong.splitlines()) == 1
    assert "The letter a" in pages("sheets.pdf")[0]
