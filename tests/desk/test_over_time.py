"""Over time: the chart and the table say what the record's figures say, and can be read without color."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import groupby
from xml.etree.ElementTree import Element

import pytest

from strokes.ink import Ink
from strokes.kinds import Kind
from tests.desk.reader import of_class, page, said
from tests.desk.visitor import TODAY, Browser
from tests.shipped import PRINT
from tests.trainer.samples import attempt
from trainer.attempt import Pupil
from trainer.desk.pictures.over_time import LEARNING, SECURE
from trainer.language import text
from trainer.record.record import Record
from trainer.teaching import Level, by_set, teaching_order

DAY = TODAY.astimezone().date()
TERM_BEGAN = DAY - timedelta(days=DAY.weekday()) - timedelta(weeks=14)
DRAWN = {
    Level.MOSTLY: "bar",
    Level.PARTLY: "line",
    Level.SELDOM: "line",
    Level.FEW: "dots",
    Level.NONE: "nothing",
}


def table(shown: Element) -> list[list[str]]:
    """The rows of the table in words."""
    return [
        [said(cell) for cell in row if cell.tag in ("td", "th")]
        for row in next(shown.iter("tbody")).iter("tr")
    ]


def bars(shown: Element) -> list[float]:
    """How thick each bar of the chart is."""
    (chart,) = of_class(shown, "over-time")
    return sorted(float(bar.get("height", "")) for bar in chart.iter("rect"))


@pytest.mark.parametrize("address", ["/class/over-time", "/class/over-time?group=Quay", "/pupil/3/over-time"])
def test_the_chart_and_its_table_say_what_the_figures_say(
    client: Browser, record: Record, address: str
) -> None:
    pupil = 3 if "pupil" in address else None
    group = "Quay" if "Quay" in address else None
    order = teaching_order(PRINT)
    figures = record.figures.over_time(group, pupil=pupil, since=TERM_BEGAN, until=DAY, order=order)
    small = by_set(each.letter for each in figures.letters)["small"]
    letters = [each for each in figures.letters if each.letter in small]
    shown = page(client.get(address))

    rows = table(shown)
    assert [row[0] for row in rows] == list(small)
    for row, letter in zip(rows, letters, strict=True):
        good, of = letter.shares[-1]
        assert row[3] == (f"{good} of {of}" if of else text("over_time.table.none"))
        assert ("not" in row[2]) == (letter.now is not Level.MOSTLY)
    runs = [
        kind
        for letter in letters
        for kind, some in groupby([letter.before, *letter.levels], key=lambda stands: DRAWN[stands])
        if len(list(some)) > (kind != "nothing") - 1
    ]
    assert bars(shown) == [LEARNING] * runs.count("line") + [SECURE] * runs.count("bar")


def test_the_chart_is_read_without_color_and_by_whoever_does_not_see_it(client: Browser) -> None:
    """Secure is thick and being learned thin; a title and a description say what there is to see."""
    shown = page(client.get("/class/over-time?group=Quay"))
    (chart,) = of_class(shown, "over-time")

    thick = bars(shown)
    assert (min(thick), max(thick)) == (LEARNING, SECURE)
    assert SECURE > 3 * LEARNING
    legend = [said(element) for element in of_class(shown, "legend")[0].iter("dd")]
    assert legend == [
        "secure with four of five pupils or more",
        "being learned",
        "too few pupils with enough tries",
    ]
    assert chart.get("role") == "img"
    assert [child.tag for child in chart[:2]] == ["title", "desc"]
    assert said(chart[0]) == "What became secure when: Quay"
    assert "from 1 Dec 2025 to 13 Mar 2026. Secure at the end: l, " in said(chart[1])


def test_each_set_stands_alone(client: Browser) -> None:
    shown = page(client.get("/class/over-time?set=digit"))

    assert {row[0] for row in table(shown)} <= set("0123456789")
    assert "Digits · From" in said(shown)


@pytest.fixture
def newcomer(record: Record) -> Pupil:
    """A pupil who ran b the other way three weeks ago, and wrote it well four times last week."""
    pupil = record.pupils.add("Mika", group="Jetty")
    for days_ago, kinds in ((21, [Kind.START]), *[(7, [])] * 4):
        made = attempt(pupil.id, "b", *kinds)
        record.attempts.keep(replace(made, at=TODAY - timedelta(days=days_ago), ink=Ink()))
    return pupil


def test_only_the_days_that_are_asked_for_are_shown(client: Browser, newcomer: Pupil) -> None:
    address = f"/pupil/{newcomer.id}/over-time?days=dates"

    assert table(page(client.get(f"{address}&from=2026-02-16"))) == [["b", "16 Feb", "2 Mar", "4 of 5"]]
    assert table(page(client.get(f"{address}&to=2026-03-01"))) == [["b", "20 Feb", "not yet", "0 of 1"]]
    assert table(page(client.get(f"{address}&from=2026-03-09"))) == [
        ["b", "before 9 Mar", "before 9 Mar", "4 of 5"]
    ]
    assert "not 9 March" in said(page(client.get(f"{address}&from=9+March")))
    for nothing in ("&to=2026-02-19", "&from=2026-03-14", "&from=2126-03-14"):
        assert "Nothing was written up to the end of these days." in said(page(client.get(address + nothing)))


def test_the_whole_time_has_columns_of_several_weeks_where_there_are_too_many(
    client: Browser, record: Record, newcomer: Pupil
) -> None:
    long_ago = attempt(newcomer.id, "c")
    record.attempts.keep(replace(long_ago, at=TODAY - timedelta(days=7 * 80), ink=Ink()))
    shown = page(client.get(f"/pupil/{newcomer.id}/over-time?days=all"))

    assert "Each column is 4 weeks" in said(shown)
    assert [row[0] for row in table(shown)] == ["c", "b"]


def test_a_pupil_who_is_not_there_has_no_page(client: Browser) -> None:
    assert client.get("/pupil/999/over-time").status_code == 404


def test_whoever_wrote_nothing_is_told_so(client: Browser, record: Record) -> None:
    pupil = record.pupils.add("Nuri", group="Jetty")

    assert "Nothing was written" in said(page(client.get(f"/pupil/{pupil.id}/over-time?days=all")))
    assert "Nothing was written" in said(page(client.get("/class/over-time?group=Jetty")))
