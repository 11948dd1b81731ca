"""Class: each count is the summary's, each mark has a shape of its own, and sorting needs no script."""

from __future__ import annotations

import re
from datetime import date, timedelta
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

import pytest

from strokes.intervals import wilson
from strokes.kinds import FORMATION, Kind
from strokes.letter import SETS, set_of
from tests.desk.reader import of_class, page, said, under
from tests.desk.visitor import TODAY, Browser
from tests.trainer.samples import attempt
from trainer.attempt import Pupil
from trainer.desk.mastery import mark
from trainer.desk.pages import date_range
from trainer.desk.pages.classroom import Cell, Row, ordered
from trainer.desk.pictures import trend
from trainer.record.record import Record
from trainer.teaching import TERM, Level, class_letters, level
from trainer.teaching.summary import LetterFigures, Week

SVG = "{http://www.w3.org/2000/svg}"


def grid(shown: Element) -> dict[str, dict[str, str]]:
    """The counts by pupil and letter, as they stand in the table."""
    table = of_class(shown, "grid")[0]
    letters = [
        said(element)[-1] for element in table.iter("th") if "letter" in element.get("class", "").split()
    ]
    by_pupil = {}
    for row in [*next(table.iter("tbody")), *next(table.iter("tfoot"))]:
        cells = [
            said(element) for element in row if element.tag == "td" and "hint" not in element.get("class", "")
        ]
        by_pupil[said(row[0])] = dict(zip(letters, cells, strict=True))
    return by_pupil


def described(line: LetterFigures, by: str = "formation") -> str:
    """What a cell says of a letter's line."""
    if by == "look":
        return f"{line.looks}/{line.tries}"
    return f"{line.formed}/{line.tries}" + (f" +{line.mended}" if line.mended else "")


@pytest.mark.parametrize("by", ["formation", "look"])
def test_every_cell_has_the_counts_of_the_summary(client: Browser, record: Record, by: str) -> None:
    by_set = [grid(page(client.get(f"/class?days=all&by={by}&set={letter_set}"))) for letter_set in SETS]

    summary = record.figures.summary()
    for pupil in summary.pupils:
        counts = {line.letter: described(line, by) for line in summary.by_pupil[pupil.id] if line.tries}
        shown = {letter: count for table in by_set for letter, count in table[pupil.name].items()}
        assert {letter: count for letter, count in shown.items() if count} == counts
    every = next(line.tries for line in summary.lines if line.letter == "l")
    assert by_set[0]["All"]["l"].partition(" ")[0].endswith(f"/{every}")


def test_a_table_has_the_letters_of_one_set_and_what_follows_it_too(client: Browser) -> None:
    for asked, first in (("", "small"), ("capital", "capital"), ("digit", "digit"), ("<i>", "small")):
        shown = page(client.get("/class", query_string={"set": asked}))
        rows_of_findings = next(next(under(shown, "seen").iter("table")).iter("tbody"))
        letters = [*grid(shown)["All"], *(said(row[0]) for row in rows_of_findings)]

        assert {set_of(letter) for letter in letters} == {first}
        assert [
            said(link) for link in shown.iter("a") if said(link) in ("Small letters", "Capitals", "Digits")
        ]


def test_only_sets_that_were_tried_can_be_chosen(client: Browser, record: Record) -> None:
    mika = record.pupils.add("Mika", group="Jetty")
    for letter in "BB3":
        record.attempts.keep(attempt(mika.id, letter))

    shown = page(client.get("/class?group=Jetty"))

    links = [said(link) for link in shown.iter("a")]
    assert "Small letters" not in links
    assert links[links.index("Capitals") + 1] == "Digits"
    assert list(grid(shown)["All"]) == ["B"], "the first set that was tried"
    assert "Nobody tried these letters in these days: I, L, T" in said(shown)


def test_a_set_keeps_the_days_and_the_group_and_drops_the_letter_it_was_sorted_by(client: Browser) -> None:
    shown = page(client.get("/class?group=Quay&days=month&by=look&sort=b&down=1"))

    (link,) = [link.get("href", "") for link in shown.iter("a") if said(link) == "Digits"]
    assert "sort=" not in link
    assert "down=" not in link
    for part in ("group=Quay", "days=month", "by=look", "set=digit"):
        assert part in link
    by_name = page(client.get("/class?sort=name&down=1"))
    (link,) = [link.get("href", "") for link in by_name.iter("a") if said(link) == "Digits"]
    assert "sort=name" in link
    assert "down=1" in link


def test_the_class_opens_on_the_last_tries_by_which_tomorrow_goes(client: Browser, record: Record) -> None:
    """What is secure there is not less than half well formed here; each page says what it counts."""
    nuri = record.pupils.add("Nuri", group="Jetty")
    seen = [Kind.START] * 6 + [None] * 5
    record.attempts.keep_many(
        [attempt(nuri.id, "l", *filter(None, [kind]), day=day) for day, kind in enumerate(seen)]
    )

    shown = page(client.get("/class?group=Jetty"))
    assert grid(shown)["Nuri"] == {"l": "5/5"}
    assert "Jetty · The last 5 tries of each child at each letter, up to 13 Mar 2026." in said(shown)
    rows_of_findings = next(under(shown, "seen").iter("tbody"))
    assert [said(cell) for cell in rows_of_findings[0]][3:] == [""] * len(rows_of_findings[0][3:])
    assert "l 1 of 1" in said(of_class(page(client.get("/?group=Jetty")), "standing")[0])

    whole = page(client.get("/class?group=Jetty&days=all"))
    assert grid(whole)["Nuri"] == {"l": "5/11"}
    assert "Jetty · Everything up to 13 Mar 2026." in said(whole)


def test_the_days_limit_what_is_counted(client: Browser, record: Record) -> None:
    since, until = TODAY.date() - timedelta(weeks=6), TODAY.date() - timedelta(weeks=3)

    shown = grid(page(client.get(f"/class?days=dates&from={since}&to={until}")))

    summary = record.figures.summary(since=since, until=until)
    small = [line for line in summary.lines if line.tries and set_of(line.letter) == "small"]
    counts = {line.letter: described(line) for line in small}
    assert shown["All"] == counts
    assert counts != {line.letter: described(line) for line in record.figures.summary().lines}


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ("from=30.9.&to=2026-03-01", "A day must be written as 2026-09-30, not 30.9."),
        ("from=2026-03-02&to=2026-03-01", "The first day must not come after the last one."),
    ],
)
def test_bad_days_are_told_in_a_sentence_and_nothing_is_lost(
    client: Browser, asked: str, sentence: str
) -> None:
    shown = page(client.get(f"/class?days=dates&{asked}&by=look&group=Quay"))

    (alert,) = [element for element in shown.iter() if element.get("role") == "alert"]
    assert said(alert).startswith(sentence)
    typed = [element.get("value") for element in shown.iter("input") if element.get("type") == "date"]
    assert typed == [part.partition("=")[2] for part in asked.split("&")]
    assert len(grid(shown)) > 1


@pytest.mark.parametrize(
    ("asked", "since", "until"),
    [
        ({}, None, None),
        ({"days": "week"}, date(2026, 3, 7), None),
        ({"days": "month"}, date(2026, 2, 14), None),
        ({"days": "all"}, None, None),
        ({"days": "ages"}, None, None),
        ({"days": "dates", "from": "2026-02-28"}, date(2026, 2, 28), None),
        ({"days": "dates", "to": "2026-02-28"}, None, date(2026, 2, 28)),
        ({"days": "dates", "from": "2026-02-28", "to": "2026-02-28"}, date(2026, 2, 28), date(2026, 2, 28)),
    ],
)
def test_days_are_read_from_the_address(
    asked: dict[str, str], since: date | None, until: date | None
) -> None:
    """The week that ends today has seven days with today in it."""
    read = date_range.asked(asked, TODAY)

    assert (read.since, read.until, read.wrong) == (since, until, "")


@pytest.mark.parametrize(
    ("good", "tries", "expected"),
    [
        (0, 0, Level.NONE),
        (2, 2, Level.FEW),
        (0, 3, Level.SELDOM),
        (1, 3, Level.SELDOM),
        (2, 3, Level.PARTLY),
        (2, 4, Level.PARTLY),
        (3, 4, Level.PARTLY),
        (4, 5, Level.MOSTLY),
        (3, 3, Level.MOSTLY),
        (7, 9, Level.PARTLY),
    ],
)
def test_a_level_goes_by_the_share_and_never_by_one_or_two_tries(
    good: int, tries: int, expected: Level
) -> None:
    assert level(good, tries) is expected


def test_each_level_has_a_shape_of_its_own_without_its_color() -> None:
    """1.4.1 of WCAG 2.2: color is not the only cue."""
    shapes = {re.sub(r"#[0-9A-F]{6}", "", mark(level)) for level in Level}

    assert len(shapes) == len(Level)


def test_a_letter_is_concluded_from_three_pupils_or_from_all_of_a_smaller_group(record: Record) -> None:
    pupils = [record.pupils.add(name, group="Jetty") for name in ("Mika", "Nuri")]
    for _ in range(3):
        record.attempts.keep(attempt(pupils[0].id, "l"))
    (alone,) = class_letters(record.figures.summary("Jetty"), ["l"])
    for _ in range(3):
        record.attempts.keep(attempt(pupils[1].id, "l"))
    (both,) = class_letters(record.figures.summary("Jetty"), ["l"])

    assert (alone.secure, alone.enough, alone.level) == (1, 1, Level.FEW)
    assert (both.secure, both.enough, both.level) == (2, 2, Level.MOSTLY)


def row(name: str, group: str, **cells: tuple[int, int]) -> Row:
    return Row(Pupil(1, name, 1, group=group), {letter: Cell(*cell) for letter, cell in cells.items()})


ROWS = [
    row("Cosmo", "Quay", b=(1, 4)),
    row("abel", "Slipway", b=(4, 4)),
    row("Brida", "Quay", b=(0, 2)),
    row("Dalia", "Quay"),
]


@pytest.mark.parametrize(
    ("sort", "down", "names"),
    [
        ("", False, "abel Brida Cosmo Dalia"),
        ("name", True, "Dalia Cosmo Brida abel"),
        ("group", False, "Brida Cosmo Dalia abel"),
        ("group", True, "abel Brida Cosmo Dalia"),
        ("b", False, "Cosmo abel Brida Dalia"),
        ("b", True, "abel Cosmo Brida Dalia"),
        ("?", False, "abel Brida Cosmo Dalia"),
    ],
)
def test_rows_are_sorted_and_those_with_too_few_tries_stay_last(sort: str, down: bool, names: str) -> None:
    assert [row.pupil.name for row in ordered(ROWS, sort, down=down)] == names.split()


def test_a_heading_is_a_link_that_sorts_and_the_second_time_turns_round(client: Browser) -> None:
    first = page(client.get("/class?group=Quay&days=month&by=look"))
    (link,) = [
        element for element in of_class(first, "grid")[0].iter("a") if said(element).startswith("Sort by b")
    ]
    second = page(client.get(link.get("href", "")))
    (again,) = [
        element for element in of_class(second, "grid")[0].iter("a") if said(element).startswith("Sort by b")
    ]
    third = page(client.get(again.get("href", "")))

    def state(shown: Element) -> list[str]:
        return [
            element.get("aria-sort", "")
            for element in shown.iter("th")
            if said(element).startswith("Sort by b")
        ]

    assert [state(first), state(second), state(third)] == [[""], ["ascending"], ["descending"]]
    for part in ("group=Quay", "days=month", "by=look"):
        assert part in again.get("href", "")


@pytest.mark.parametrize("by", ["formation", "look"])
def test_what_was_seen_is_counted_by_letter_and_kind(client: Browser, record: Record, by: str) -> None:
    table = next(under(page(client.get(f"/class?days=all&by={by}")), "seen").iter("table"))

    movement = {*FORMATION, Kind.LETTER, Kind.REVERSAL}
    kinds = [kind for kind in Kind if kind in (movement if by == "formation" else set(Kind) - FORMATION)]
    shown = {
        said(element[0]): [said(cell).split(" ")[0] for cell in element[3:]]
        for element in next(table.iter("tbody"))
    }
    lines = {line.letter: line for line in record.figures.summary().lines if line.enough}
    assert set(shown) == {letter for letter in lines if set_of(letter) == "small"}
    for letter, counts in shown.items():
        findings = {finding.kind: str(finding.tries) for finding in lines[letter].findings}
        assert counts == [findings.get(kind, "") for kind in kinds]


def test_the_likely_share_is_wilsons(client: Browser, record: Record) -> None:
    table = next(under(page(client.get("/class?days=all")), "seen").iter("table"))

    shown = {said(element[0]): said(element[2]) for element in next(table.iter("tbody"))}
    lines = {line.letter: line for line in record.figures.summary().lines}
    assert set(shown) < set(lines)
    for line in (lines[letter] for letter in shown):
        low, high = wilson(line.formed, line.tries)
        assert shown[line.letter] == f"{100 * low:.0f}\u2013{100 * high:.0f}%"


def test_the_chart_says_what_it_shows_and_stands_under_its_own_policy(client: Browser) -> None:
    answer = client.get("/class/trend.svg")

    chart = ElementTree.fromstring(answer.text)
    assert answer.mimetype == "image/svg+xml"
    assert answer.headers["Content-Security-Policy"] == "default-src 'none'; style-src 'unsafe-inline'"
    assert chart.findtext(f"{SVG}title") == "The term, week by week"
    assert "by weeks (12)" in (chart.findtext(f"{SVG}desc") or "")
    assert not list(chart.iter(f"{SVG}script"))


def test_the_chart_is_on_the_page_with_its_words_and_its_figures(client: Browser, record: Record) -> None:
    section = under(page(client.get("/class?group=Quay")), "trend")

    (image,) = section.iter("img")
    assert client.get(image.get("src", "")).mimetype == "image/svg+xml"
    assert "by weeks (12)" in image.get("alt", "")
    rows = [[said(cell) for cell in element] for element in next(section.iter("tbody"))]
    weeks = record.figures.summary("Quay").trend[-TERM:]
    assert [row[1:] for row in rows] == [
        [str(w.tries), str(w.formed), str(w.mended), str(w.looks)] for w in weeks
    ]


def points(chart: str, color: str) -> list[list[str]]:
    """The stretches of the line of one color that go over at least two points."""
    paths = re.findall(rf'<path d="([^"]*)"[^>]*style="[^"]*stroke: {color}', chart)
    return [re.findall(r"[ML] [\d.]+ [\d.]+", path) for path in paths if "L" in path and "C" not in path]


def test_a_week_under_three_tries_has_no_point() -> None:
    monday = date(2026, 3, 2)
    weeks = [
        Week(monday + timedelta(weeks=n), tries, tries, 0, tries) for n, tries in enumerate((6, 6, 2, 6, 6))
    ]

    (line, *_) = points(trend.drawn(weeks), "#0072b2")

    assert [step[0] for step in line] == ["M", "L", "M", "L"]


def test_the_two_lines_differ_by_dash() -> None:
    """In gray they are told apart as well."""
    weeks = [Week(date(2026, 3, 2), 9, 4, 1, 6), Week(date(2026, 3, 9), 9, 5, 0, 8)]

    chart = trend.drawn(weeks)

    assert re.search(r"stroke-dasharray: [\d., ]+; stroke-dashoffset: 0; stroke: #1f1f1f", chart)
    assert not re.search(r"stroke-dasharray: [\d., ]+; stroke-dashoffset: 0; stroke: #0072b2", chart)


def test_days_without_a_try_say_so_and_lead_to_the_whole_time(client: Browser) -> None:
    shown = page(client.get("/class?days=dates&from=2020-01-01&to=2020-01-31&by=look"))

    links = [
        element.get("href", "") for element in shown.iter("a") if said(element) == "Look at the whole time"
    ]
    assert "Nothing was written in these days." in said(shown)
    assert len(links) == 1
    assert "by=look" in links[0]
    assert grid(page(client.get(links[0])))


def test_a_group_that_is_not_there_is_not_found(client: Browser) -> None:
    assert client.get("/class?group=Nowhere").status_code == 404
    assert client.get("/class/trend.svg?group=Nowhere").status_code == 404


def test_without_pupils_the_page_leads_to_the_class_list(client: Browser, record: Record) -> None:
    for pupil in record.pupils.find():
        record.pupils.archive(pupil.id)

    assert "/pupils" in [link.get("href") for link in page(client.get("/class")).iter("a")]


def test_a_cell_tells_the_whole_of_it_where_the_pointer_rests(client: Browser, record: Record) -> None:
    shown = page(client.get("/class?group=Quay&days=all"))

    titles = [element.get("title", "") for element in of_class(shown, "grid")[0].iter("td")]
    line = next(line for line in record.figures.summary("Quay").lines if line.letter == "l")
    low, high = wilson(line.formed, line.tries)
    assert any(
        title.startswith(
            f"All, l: {line.formed} of {line.tries}, likely {100 * low:.0f}\u2013{100 * high:.0f}%"
        )
        for title in titles
    )
    assert any(re.fullmatch(r"Fenn, z: \d of [34](, likely .*)?", title) for title in titles)


def test_mended_tries_stand_beside_the_well_formed_ones_and_are_explained(
    client: Browser, record: Record
) -> None:
    """In the cell, in its words and in the weeks; what stands for the level is the first try alone."""
    nuri = record.pupils.add("Nuri", group="Jetty")
    record.attempts.keep_many(
        [attempt(nuri.id, "l", *[Kind.START] * (day < 3), mended=day < 2) for day in range(5)]
    )

    shown = page(client.get("/class?group=Jetty"))
    assert grid(shown) == {"Nuri": {"l": "2/5 +2"}, "All": {"l": "2/5 +2"}}
    (cell, _) = [
        element.get("title", "") for element in of_class(shown, "grid")[0].iter("td") if element.get("title")
    ]
    assert cell.startswith("Nuri, l: 2 of 5, likely")
    assert cell.endswith("; mended after it was shown: 2")
    assert "so many more were mended after it was shown" in said(of_class(shown, "legend")[0])
    assert [said(cell) for cell in next(under(shown, "trend").iter("tbody"))[0]][1:] == ["5", "2", "2", "5"]
    assert Cell(2, 5, 2).level is Cell(2, 5).level

    look = page(client.get("/class?group=Jetty&by=look"))
    assert grid(look)["Nuri"] == {"l": "5/5"}
    assert "mended" not in said(of_class(look, "legend")[0])


def test_another_letter_is_shown_where_well_formed_ones_are_counted(client: Browser, record: Record) -> None:
    """It is why they are so few; with how the letter looks it stands, too."""
    nuri = record.pupils.add("Nuri", group="Jetty")
    record.attempts.keep_many([attempt(nuri.id, "a", Kind.LETTER, instead="d")] * 3)

    for by in ("formation", "look"):
        table = next(under(page(client.get(f"/class?group=Jetty&by={by}")), "seen").iter("table"))
        heads = [said(element) for element in next(table.iter("tr"))]
        cells = [said(element) for element in next(table.iter("tbody"))[0]]
        assert dict(zip(heads, cells, strict=True))["another letter"].startswith("3")
