"""Reports on paper: what they say is what the figures say, on two pages and on one, whatever was written."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from strokes.ink import Ink
from strokes.kinds import Kind
from tests import pdf
from tests.desk.test_pages import CONCLUSIONS
from tests.desk.visitor import TODAY
from tests.pdf import lines, spoken
from tests.shipped import PRINT
from tests.trainer.samples import MONDAY, attempt
from tests.trainer.test_sheets import has_color
from trainer import places
from trainer.attempt import Pupil, Step
from trainer.drawing import theme
from trainer.language import day_words, letter_words, listed
from trainer.paper import Document, Paper, child_report, class_report
from trainer.paper.child_report import NEXT, SHOWN
from trainer.paper.flow import Flow
from trainer.record.record import Record
from trainer.teaching import Alphabets, class_letters, is_try, sorted_letters, taught_to_all, teaching_order

PAPERS = (Paper("a4"), Paper("letter"))

ALPHABETS = Alphabets(Path("no letters of her own"))


@pytest.fixture(scope="module")
def town(demo_record: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    """The invented class; nothing here changes it."""
    file = tmp_path_factory.mktemp("reports") / places.RECORD
    with Record.open(shutil.copy(demo_record, file), now=TODAY) as opened:
        yield opened


def of(document: Document) -> PdfReader:
    return pdf.read(bytes(document.output()))


def named(record: Record, name: str) -> Pupil:
    return next(pupil for pupil in record.pupils.find() if pupil.name == name)


def report(record: Record, pupil: Pupil, paper: Paper = PAPERS[0]) -> PdfReader:
    return of(child_report(record, pupil, PRINT, paper, now=TODAY))


@cache
def words(reader: PdfReader) -> str:
    """All words of a document, spaces evened out."""
    return " ".join(" ".join(page.extract_text() for page in reader.pages).replace("\u00a0", " ").split())


@cache
def said(reader: PdfReader) -> list[str]:
    return [element.alternative.replace("\u00a0", " ") for element in spoken(reader) if element.alternative]


@pytest.fixture(scope="module")
def brida(town: Record) -> PdfReader:
    """The report of one child, for the tests that only read it."""
    return report(town, named(town, "Brida"))


@pytest.fixture(scope="module")
def quay(town: Record) -> PdfReader:
    """The report of a group, likewise."""
    return of(class_report(town, "Quay", ALPHABETS, PAPERS[1], now=TODAY))


def assert_within_the_paper(reader: PdfReader) -> None:
    """Nothing is drawn or typed beyond the edges, and the foot of a page stands below everything else."""
    for page in reader.pages:
        width, height = (float(side) for side in page.mediabox[2:])
        tops: list[float] = []

        def hear(string: str, _: object, at: list[float], *_rest: object, tops: list[float] = tops) -> None:
            if string.strip():
                tops.append(at[5])

        page.extract_text(visitor_text=hear)
        *others, foot = tops
        assert 15 < foot < min(others)
        drawn = np.vstack([[[40, 40], [41, 41]], *(line.points / pdf.MM for line in lines(page))])
        assert 20 < drawn[:, 0].min() < drawn[:, 0].max() < width - 20
        assert 20 < drawn[:, 1].min() < drawn[:, 1].max() < height - foot - 8


@pytest.mark.parametrize(("name", "paper"), [("Nora", PAPERS[0]), ("Lubo", PAPERS[1])])
def test_a_childs_report_says_what_the_figures_say_on_two_pages(
    town: Record, name: str, paper: Paper
) -> None:
    """Nora has not written yet."""
    pupil = named(town, name)
    reader = report(town, pupil, paper)
    summary = town.figures.summary(pupil=pupil.id, order=teaching_order(PRINT))
    lists = sorted_letters(summary.by_pupil[pupil.id])
    headings = {"Secure now": lists.secure, "Being learned": lists.learning}

    assert len(reader.pages) == 2
    assert_within_the_paper(reader)
    for heading, letters in headings.items():
        shown = [alternative for alternative in said(reader) if alternative.startswith(heading)]
        assert shown == (
            [f"{heading}: {listed([*map(letter_words, letters)], every=True)}"] if letters else []
        )
    for need in [need for need in summary.alone if need.letter in PRINT][:1]:
        assert f"Seen in {need.times} of the last {need.tries} tries" in words(reader)
    assert ("For the left hand" in words(reader)) is (pupil.hand == "left")
    assert "Nothing has been written here yet" in words(reader) or lists.secure or lists.learning


def test_the_attempts_are_pictures_of_the_ink_with_their_days(town: Record, brida: PdfReader) -> None:
    pupil, reader = named(town, "Brida"), brida
    (_, page) = reader.pages
    blue = [line for line in lines(page) if has_color(line, theme.BLUE)]
    shown = [alternative for alternative in said(reader) if alternative.endswith("as Brida wrote it")]
    letters = [alternative.removesuffix(" as Brida wrote it") for alternative in shown]
    names = {letter_words(letter): letter for letter in PRINT}
    latest = [town.attempts.latest_with_ink(pupil.id, names[letter], is_try, n=20) for letter in letters]

    assert len(shown) == SHOWN
    assert all(each is not None for each in latest)
    assert len(blue) == sum(len(each.ink.traces) for each in latest if each)
    for each in latest:
        assert each is not None
        assert day_words(each.at, year=True).replace("\u00a0", " ") in words(reader)
    ink, drawn = latest[0].ink.traces[0].points, blue[0].points
    scale = np.ptp(drawn[:, 1]) / np.ptp(ink[:, 1])
    assert np.allclose((ink - ink[0]) * scale, drawn - drawn[0], atol=0.02), "it is not stretched or turned"


def test_at_home_comes_what_came_up_again_and_again_and_then_the_plan(brida: PdfReader) -> None:
    models = [words for words in said(brida) if "as it is taught" in words]

    assert len(models) == NEXT + SHOWN
    assert "Five minutes at home" in words(brida)
    assert "For the left hand" in words(brida)


def test_no_report_ranks_or_concludes(brida: PdfReader, quay: PdfReader) -> None:
    for reader in (brida, quay):
        text = words(reader).replace("no child should be ranked by them", "")
        for word in (*CONCLUSIONS, r"\brank", "percent", "%", "average", r"\bbest\b", "worst", "score"):
            assert not re.search(word, text, flags=re.IGNORECASE), word
        assert "Please read this with care" in text


def test_only_one_child_is_named_in_a_report_for_a_family(town: Record, brida: PdfReader) -> None:
    others = {pupil.name for pupil in town.pupils.find(archived=True)} - {"Brida"}

    assert not [name for name in others if re.search(rf"\b{name}\b", words(brida))]


def test_the_reports_can_be_read_aloud(brida: PdfReader, quay: PdfReader) -> None:
    for reader, title in ((brida, "How Brida writes letters"), (quay, "Letters: Quay")):
        kinds = [element.kind for element in spoken(reader)]
        assert reader.metadata.title == title
        assert reader.trailer["/Root"]["/Lang"] == "en"
        assert kinds[0] == "H1"
        assert kinds.count("H1") == 1
        assert {"H2", "P", "Figure"} <= set(kinds)


def test_a_class_report_says_what_the_figures_say_on_one_page(town: Record, quay: PdfReader) -> None:
    reader = quay
    summary = town.figures.summary("Quay", families=ALPHABETS.families, order=teaching_order(PRINT))
    text = words(reader)

    assert len(reader.pages) == 1
    assert_within_the_paper(reader)
    for letter in class_letters(summary, teaching_order(PRINT)):
        if letter.enough >= 3:
            assert f"{letter.secure} of {letter.enough}" in text
    for gathering in summary.gather:
        names = listed([pupil.name for pupil in gathering.pupils], every=True)
        assert f"{gathering.letter} with {names} (Quay)" in text
        assert f"in {gathering.times} of their last {gathering.tries} tries" in text


@pytest.fixture
def crowded(tmp_path: Path) -> Iterator[Record]:
    """A class whose every letter was tried, most of them wrongly, and by children with the longest names."""
    with Record.open(tmp_path / places.RECORD, now=MONDAY) as record:
        letters = [*taught_to_all(PRINT), *(letter for letter in PRINT if PRINT[letter].base)]
        for number in range(8):
            pupil = record.pupils.add(f"{'Maximiliana ' * 3}{number:04}", hand="left", group="Quay")
            kinds = [*Kind]
            own = letters if not number else letters[number::7]
            record.attempts.keep_many(
                [
                    attempt(pupil.id, letter, *([] if not number else [kinds[at % len(kinds)]]), day=day)
                    for at, letter in enumerate(own, number)
                    for day in range(3)
                ]
            )
        yield record


def test_letters_of_several_sets_are_named_by_set_and_words_are_not() -> None:
    """An l, an I and a 1 look alike; a name among words begins with a capital and is none."""
    for written, aloud, sets in (
        (("1", "l", "I"), "digit 1, l and capital I", {"Small letters", "Capitals", "Digits"}),
        (("l", "t"), "l and t", set()),
        (("net", "Ida"), "net and Ida", set()),
    ):
        document = Document("Letters", PAPERS[0])
        flow = Flow(document)
        flow.page()
        flow.letters(written, PRINT, "Secure now")
        reader = of(document)
        assert said(reader) == [f"Secure now: {aloud}"]
        assert {name for name in ("Small letters", "Capitals", "Digits") if name in words(reader)} == sets


def test_the_fullest_reports_stay_within_their_pages(crowded: Record) -> None:
    """On the shorter of the two papers."""
    paper = PAPERS[1]
    secure, other, *_ = crowded.pupils.find()
    now = MONDAY + timedelta(days=4)
    for pupil in (secure, other):
        reader = of(child_report(crowded, pupil, PRINT, paper, now=now))
        assert len(reader.pages) == 2
        assert_within_the_paper(reader)
    whole = of(class_report(crowded, None, ALPHABETS, paper, now=now))
    assert len(whole.pages) == 1
    assert_within_the_paper(whole)
    assert "More on the desk" in words(whole), "what finds no room is counted"


def test_a_name_in_another_script_leaves_a_line_to_write_it_on(tmp_path: Path) -> None:
    with Record.open(tmp_path / places.RECORD, now=MONDAY) as record:
        pupil = record.pupils.add("سلمى")
        document = child_report(record, pupil, PRINT, PAPERS[0], now=MONDAY)

    assert set(document.unprintable) == set("سلمى")
    assert "How ______________ writes letters" in words(of(document))


def test_ink_far_off_its_lines_and_erased_ink_are_no_trouble(tmp_path: Path) -> None:
    far = Ink.from_arrays([[[-400.0, 0.0], [900.0, -500.0]], [[0.5, -0.5]]])
    with Record.open(tmp_path / places.RECORD, now=MONDAY) as record:
        pupil = record.pupils.add("Abel")
        record.attempts.keep_many(
            [
                attempt(pupil.id, "a", written=far),
                replace(attempt(pupil.id, "b"), ink=Ink(())),
                attempt(pupil.id, "c", step=Step.TRACE),
            ]
        )
        reader = of(child_report(record, pupil, PRINT, PAPERS[0], now=MONDAY))

    assert [alternative for alternative in said(reader) if "wrote it" in alternative] == [
        "a as Abel wrote it"
    ]
    assert_within_the_paper(reader)
