"""Practice sheets, letter cards and the alphabet for the wall, read back from the PDF by another library."""

from __future__ import annotations

import stat
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from strokes import Alphabet, Formation, Letter, Stroke
from strokes.letter import GuideLines
from tests import pdf
from tests.pdf import Line, lines, spoken
from tests.shipped import PRINT, SLANTED
from trainer.drawing import rgb, theme
from trainer.errors import UsageError
from trainer.paper import (
    BY_AGE,
    SIZES,
    Document,
    Paper,
    Ruling,
    Sheet,
    letter_cards,
    practice_sheets,
    wall_alphabet,
)
from trainer.paper.cards import pairs
from trainer.teaching import taught_to_all

PRECISE = 0.01
"""Mm by which a length in a PDF may differ: its numbers have four digits behind the point."""

LARGEST_PAGE = 200_000
"""Bytes of a page, by the request."""


def of(document: Document) -> PdfReader:
    return pdf.read(bytes(document.output()))


def sheet(*written: str, hand: str | None = None, name: str = "", **ruling: object) -> PdfReader:
    sheets = [Sheet(each, PRINT, hand, name) for each in written]
    return of(practice_sheets(sheets, Ruling(Paper(), **ruling)))


HEIGHT = 16.0
SHEAF = (
    *(Sheet("h", PRINT), Sheet("ship", PRINT)),
    *(Sheet("t", PRINT, "left"), Sheet("t", PRINT, "right"), Sheet("t", PRINT)),
    *(Sheet("Ana-Rosa", PRINT), Sheet("a", PRINT, name="Žofia Đặng")),
)
"""One page each, in this order."""


@pytest.fixture(scope="module")
def sheaf() -> PdfReader:
    """Sheets for the tests that only read them."""
    return of(practice_sheets(SHEAF, Ruling(Paper(), HEIGHT)))


def has_color(line: Line, color: str) -> bool:
    shares = line.color if len(line.color) == 3 else line.color * 3
    return np.allclose(shares, np.array(rgb(color)) / 255, atol=0.005)


def ruled(page_lines: Sequence[Line]) -> list[Line]:
    """The guide lines in their order: four to each row."""
    return [line for line in page_lines if line.is_level and has_color(line, theme.GUIDE)]


def heights(rule: Sequence[Line]) -> list[float]:
    return [float(line.points[0, 1]) for line in rule]


def rows_of(reader: PdfReader, page: int = 0) -> list[str]:
    said = [
        element.alternative for element in spoken(reader) if element.kind == "Figure" and element.page == page
    ]
    return [words.split(":")[0] for words in said]


@pytest.mark.parametrize(("paper", "landscape"), [("a4", False), ("letter", True)])
def test_a_sheet_is_true_to_the_millimeter(paper: str, landscape: bool) -> None:
    """On both papers, upright and not: four lines a row, as far apart as asked for, within the margins."""
    asked = Paper(paper, landscape)
    (page, *_) = of(practice_sheets([Sheet("b", PRINT)], Ruling(asked, BY_AGE[6]))).pages
    width, height = asked.size
    rule = ruled([*lines(page)])
    rows = [heights(rule[at : at + 4]) for at in range(0, len(rule), 4)]

    assert np.allclose(np.array(page.mediabox[2:], dtype=float) * pdf.MM, (width, height), atol=PRECISE)
    assert len(rows) >= 4
    for row in rows[1:]:  # the first one is the large model's
        assert np.allclose(np.diff(row), [BY_AGE[6] / 2] * 3, atol=PRECISE)
    for before, after in pairwise(rows):
        assert after[0] > before[3], "a row begins below the one before"
    ends = np.vstack([line.points for line in rule])
    assert ends[:, 0].min() >= 5
    assert ends[:, 0].max() <= width - 5


def test_the_strokes_are_the_letters_own_curves(sheaf: PdfReader) -> None:
    """Each stroke of the trace rows has the handles of the letter's file, at the ruled size, and no font."""
    page = sheaf.pages[6]
    unit = HEIGHT / PRINT.guide.above
    (stroke,) = PRINT["a"].taught.strokes
    segments = stroke.curves.segments
    pale = [line for line in lines(page) if has_color(line, theme.PALE)]
    own = np.vstack(
        [
            segments[0, :1],
            *(
                s[1:] if curved else s[3:]
                for s, curved in zip(segments, ~stroke.curves.straight, strict=True)
            ),
        ]
    )

    assert len(pale) >= 4
    for drawn in pale:
        size = (drawn.points - drawn.points[0]) / unit
        assert np.allclose(size, own - own[0], atol=PRECISE / unit)
        assert drawn.curves == (~stroke.curves.straight).sum() > 0


def test_a_sheet_goes_from_the_model_to_empty_lines(sheaf: PdfReader) -> None:
    """The model, rows to trace, rows with the starts alone, and last rows with nothing in them."""
    reader = sheaf

    for page in (0, 1):
        rows = rows_of(reader, page)
        kinds = list(dict.fromkeys(words.partition(" as it ")[2] or words for words in rows))
        assert kinds == [
            "is taught, with numbered starts and arrows",
            "A row to trace",
            "A row with the numbered starts alone",
        ]
        rule = ruled([*lines(reader.pages[page])])
        empty = len(rule) // 4 - len(rows)
        assert empty >= 2
        below = [
            line
            for line in lines(reader.pages[page])
            if line.points[:, 1].min() > heights(rule)[-4 * empty] - 1
        ]
        assert not [
            line for line in below if has_color(line, theme.VERMILLION) or has_color(line, theme.PALE)
        ]


def test_upright_a_letter_finds_room_on_one_page_at_the_usual_height() -> None:
    """On both papers; the model gives way to one row of each kind."""
    for name in SIZES:
        document = practice_sheets([Sheet(letter, PRINT) for letter in "haWg"], Ruling(Paper(name)))
        assert document.pages_count == 4


def test_where_the_lines_are_high_the_rows_go_on_on_the_next_page() -> None:
    reader = of(practice_sheets([Sheet("g", PRINT)], Ruling(Paper("letter", True), 40.0)))

    assert len(reader.pages) > 1
    assert len(rows_of(reader, 0) + rows_of(reader, 1)) >= 3
    assert all("Name" in page.extract_text() for page in reader.pages)


def test_for_a_left_hander_the_model_stands_at_the_right(sheaf: PdfReader) -> None:
    """The third sheet is for a left hand, the fourth for a right one, the fifth for any."""
    middles = [
        np.vstack([line.points for line in lines(page) if has_color(line, theme.BLACK)])[:, 0].mean()
        for page in sheaf.pages[2:5]
    ]

    assert [middle > Paper().size[0] / 2 for middle in middles] == [True, False, False]


def test_a_name_that_the_typeface_does_not_have_leaves_the_line_empty_and_is_told() -> None:
    document = practice_sheets([Sheet("o", PRINT, name="سلمى")], Ruling(Paper()))

    assert set(document.unprintable) == set("سلمى")
    assert "?" not in of(document).pages[0].extract_text()


def test_what_the_alphabet_does_not_have_leaves_a_gap_and_the_page_says_so(sheaf: PdfReader) -> None:
    said = ["Gaps are for what this alphabet does not have" in page.extract_text() for page in sheaf.pages]

    assert said == ["-" in each.written for each in SHEAF]


def test_a_name_in_another_script_gets_lines_alone() -> None:
    reader = sheet("سلمى")

    assert rows_of(reader) == []
    assert len(ruled([*lines(reader.pages[0])])) >= 4 * 3


def test_a_word_too_wide_for_the_paper_is_ruled_lower_and_the_foot_says_how_high() -> None:
    (page, *_) = sheet("lighthouse", height=40.0).pages
    rule = ruled([*lines(page)])
    high = heights(rule)[-2] - heights(rule)[-4]
    drawn = np.vstack([line.points for line in lines(page)])

    assert high < 39
    assert f"{high:.1f} mm from base line to ascender line" in page.extract_text()
    assert 0 < drawn[:, 0].min() < drawn[:, 0].max() < Paper().size[0]


def test_copies_are_whole_sheets_in_the_order_asked_for() -> None:
    sheets = [Sheet("a", PRINT), Sheet("b", PRINT)]
    reader = of(practice_sheets(sheets, Ruling(Paper(), BY_AGE[5]), copies=2))

    assert ["The letter a" in page.extract_text() for page in reader.pages] == [True, False] * 2
    with pytest.raises(UsageError, match="at most 1000 sheets"):
        practice_sheets(sheets, Ruling(Paper()), copies=501)


@pytest.mark.parametrize("height", [5.9, 61.0, float("nan"), -13.0])
def test_a_ruled_height_that_nobody_writes_on_is_refused(height: float) -> None:
    with pytest.raises(UsageError, match="6 to 60 millimeters"):
        Ruling(Paper(), height)


@pytest.mark.parametrize("written", ["", "  ", "a" * 41])
def test_nothing_and_too_much_to_write_are_refused(written: str) -> None:
    with pytest.raises(UsageError, match="1 to 40 characters"):
        Sheet(written, PRINT)


def test_a_sheet_can_be_read_aloud(sheaf: PdfReader) -> None:
    """Title, language, tags, an alternative text for each picture; what is only drawn is passed over."""
    reader = sheaf
    root = reader.trailer["/Root"]
    elements = spoken(reader)

    assert "Žofia Đặng" in reader.pages[6].extract_text(), "outside of the core fonts of PDF"
    assert reader.metadata.title == "Practice sheet: h, ship, t and 2 more"
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert {element.kind for element in elements} == {"H1", "P", "Figure"}
    assert all(bool(element.alternative) is (element.kind == "Figure") for element in elements)
    for page in (reader.pages[0], reader.pages[6]):
        operations = [name for _, name in page.get_contents().operations]
        marked = operations.count(b"BDC") + operations.count(b"BMC")
        assert marked == operations.count(b"EMC")
        assert operations.count(b"BDC") == sum(element.page == page.page_number for element in elements)
        outside, depth = [], 0
        for name in operations:
            depth += (name in (b"BDC", b"BMC")) - (name == b"EMC")
            if depth == 0 and name in (b"S", b"f", b"Tj", b"TJ"):
                outside.append(name)
        assert not outside, "something is neither tagged nor decoration"


def test_a_page_is_small() -> None:
    """The heaviest sheet: many strokes in as many rows as there can be."""
    document = practice_sheets([Sheet("Millimeter", PRINT)], Ruling(Paper("a4"), 6.0))

    assert document.pages_count == 1
    assert len(document.output()) < LARGEST_PAGE


def test_each_letter_has_a_card_and_all_are_of_one_size() -> None:
    letters = ("g", "W", "ß", "7", "i")
    reader = of(letter_cards(PRINT, letters, Paper("letter")))
    said = [element.alternative for element in spoken(reader) if element.kind == "Figure"]
    unit = {
        round(high[3] - high[2], 2)
        for page in reader.pages
        for high in (np.sort(heights(ruled([*lines(page)])[:4])),)
    }

    assert len(reader.pages) == 2
    assert [words.split(" as ")[0] for words in said] == ["g", "capital W", "ß", "digit 7", "i"]
    printed = "\n".join(page.extract_text() for page in reader.pages).splitlines()
    headings = ["The letter g", "The capital W", "The letter ß", "The digit 7", "The letter i"]
    assert [line for line in printed if line.startswith("The ")] == headings
    assert len(unit) == 1
    for page in reader.pages:
        drawn = np.vstack([line.points for line in lines(page)])
        assert drawn.min() >= 5, "within what a printer can print"
        assert drawn[:, 0].max() <= SIZES["letter"][0] - 5
        assert drawn[:, 1].max() <= SIZES["letter"][1] - 5


def test_cards_are_made_of_an_alphabet_of_ones_own_whatever_its_letters_are() -> None:
    """Tall lines, a letter of points alone, one without cues."""
    zigzag = Formation("taught", (Stroke(np.array([[0, -3], [1, 0], [2, -3], [3, 1.0]])),))
    own = Alphabet("own", (Letter("ж", (zigzag,)),), GuideLines(ascender=-3, descender=1))
    (page,) = of(letter_cards(own, ["ж"], Paper())).pages
    (stroke,) = [line for line in lines(page) if has_color(line, theme.BLACK)]
    high = heights(ruled([*lines(page)]))

    assert np.ptp(stroke.points[:, 1]) == pytest.approx(high[3] - high[0], abs=PRECISE)
    assert wall_alphabet(own, ["ж"], Paper("a4", True)).pages_count == 1
    assert practice_sheets([Sheet("ж", own)], Ruling(Paper(), 20.0)).pages_count == 1


def test_the_pages_of_the_wall_join_to_one_band_of_lines() -> None:
    letters = ("a", "A", "j", "J", "7", "w", "W", "ß")
    paper = Paper("a4", landscape=True)
    reader = of(wall_alphabet(SLANTED, letters, paper))
    bands = {tuple(round(y, 2) for y in heights(ruled([*lines(page)]))) for page in reader.pages}
    first = [element.alternative.split(" as ")[0] for element in spoken(reader)]

    assert len(reader.pages) == 5
    assert first == ["capital A", "a", "capital J", "j", "capital W", "w", "ß", "digit 7"]
    assert len(bands) == 1
    for page in reader.pages:
        for line in ruled([*lines(page)]):
            assert line.points[:, 0] == pytest.approx([0, paper.size[0]], abs=0.05)


def test_the_wall_pairs_capitals_with_small_letters_and_misses_none() -> None:
    every = taught_to_all(PRINT)
    rows = [*pairs(PRINT, every)]

    assert sorted(name for row in rows for name in row) == sorted(every)
    assert rows[:2] == [("A", "a"), ("B", "b")]
    assert rows[-1] == ("9",)
    assert [*pairs(PRINT, ["b", "A"])] == [("A",), ("b",)]


def test_a_new_file_is_for_its_owner_alone_and_one_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    document = practice_sheets([Sheet("a", PRINT)], Ruling(Paper()))
    document.save(tmp_path / "a.pdf")

    assert stat.S_IMODE((tmp_path / "a.pdf").stat().st_mode) == 0o600
    assert [path.name for path in tmp_path.iterdir()] == ["a.pdf"]
