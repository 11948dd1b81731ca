"""The desk's page Paper: PDFs from its forms, and what the teacher saw on paper, kept as her word."""

from __future__ import annotations

import io
import zipfile
from typing import Any

import pytest
from werkzeug.datastructures import MultiDict
from werkzeug.test import TestResponse

from strokes.kinds import Kind
from tests import pdf
from tests.desk import reader
from tests.desk.visitor import TODAY, Browser
from trainer.attempt import Observation, Pupil
from trainer.language import text
from trainer.paper import Document, child_report
from trainer.record.record import Record

SHEETS = {"height": "16", "copies": "1", "paper": "letter"}


def pages(answer: TestResponse) -> list[str]:
    """The words on each page of a PDF that was answered."""
    assert answer.status_code == 200
    assert answer.mimetype == "application/pdf"
    return [page.extract_text() for page in pdf.read(answer.data).pages]


def quay(record: Record) -> tuple[Pupil, ...]:
    return record.pupils.find("Quay")


@pytest.fixture
def pier(record: Record) -> tuple[Pupil, ...]:
    """A group of two who have not written yet, with a plan."""
    record.plans.set("Pier", ["h"])
    return tuple(record.pupils.add(name, group="Pier") for name in ("Zeno", "Ziva"))


def test_a_group_gets_the_sheets_of_its_pupils_with_their_plans(
    client: Browser, pier: tuple[Pupil, ...]
) -> None:
    first, second = pages(client.get("/paper/sheets.pdf", query_string={**SHEETS, "whom": "group Pier"}))

    assert "Zeno" in first
    assert "The letter h" in first
    assert "Ziva" in second
    assert len(pier) == 2


def test_the_first_planned_words_come_after_the_letters_unless_something_else_is_asked_for(
    client: Browser, record: Record, pier: tuple[Pupil, ...]
) -> None:
    record.plans.set_words("Pier", ["net", "pier", "boat", "fish"])
    asked = {**SHEETS, "whom": f"pupil {pier[0].id}"}
    made = pdf.read(client.get("/paper/sheets.pdf", query_string=asked).data)
    said = [spoken.alternative for spoken in pdf.spoken(made) if spoken.alternative.endswith("and arrows")]

    model = text("paper.alt.model", written="{}")
    assert said == [model.format(written) for written in ("h", "net", "pier", "boat")]
    assert len(pages(client.get("/paper/sheets.pdf", query_string={**asked, "letters": "k"}))) == 1


def test_letters_words_and_copies_are_as_the_form_says(client: Browser) -> None:
    asked = {**SHEETS, "letters": "k, n", "words": "pier", "copies": "2", "landscape": "yes", "hand": "left"}
    answer = client.get("/paper/sheets.pdf", query_string=asked)
    made = pages(answer)
    width, height = pdf.read(answer.data).pages[0].mediabox[2:]

    assert [("The letter k" in page, "The letter n" in page) for page in made[:3]] == [
        (True, False),
        (False, True),
        (False, False),
    ]
    assert len(made) == 6
    assert width > height


CANNOT_BE_MADE: list[tuple[dict[str, str], str]] = [
    ({}, "Name a letter or a word"),
    ({"letters": "?"}, "is not a letter of the alphabet print"),
    ({"letters": "a", "height": "3"}, "6 to 60 millimeters"),
    ({"letters": "a", "height": "tall"}, "a number of millimeters"),
    ({"letters": "a", "copies": "900"}, "1 to 30 copies"),
    ({"words": "a" * 60}, "1 to 40 characters"),
]


def test_what_cannot_be_made_comes_back_as_typed_with_its_reason(client: Browser) -> None:
    for asked, said in CANNOT_BE_MADE:
        sent = {**SHEETS, **asked}
        answer = client.get("/paper/sheets.pdf", query_string=sent)
        page = reader.page(answer)
        form = next(form for form in page.iter("form") if form.get("action") == "/paper/sheets.pdf")

        assert answer.status_code == 400
        assert said in reader.said(reader.under(page, "sheets"))
        assert dict(reader.fields(form))["letters"] == sent.get("letters", "")
        assert dict(reader.fields(form))["height"] == sent["height"]


def test_cards_and_the_wall_are_made_of_the_alphabet_that_is_chosen(client: Browser) -> None:
    asked = {"kind": "wall", "alphabet": "slanted", "letters": "aA", "paper": "a4"}
    wall = client.get("/paper/letters.pdf", query_string=asked)

    assert len(pages(wall)) == 1
    assert pdf.read(wall.data).metadata.title == "Alphabet for the wall: slanted"
    assert len(pages(client.get("/paper/letters.pdf", query_string={"letters": "abcde"}))) == 2


def test_reports_are_of_a_group_or_a_child(client: Browser, pier: tuple[Pupil, ...]) -> None:
    """No file that the browser goes on listing is named for a child."""
    (zeno, _) = pier
    group = client.get("/paper/report.pdf?whom=group+Pier")
    child = client.get(f"/paper/report.pdf?whom=pupil+{zeno.id}")

    assert "Letters: Pier" in pages(group)[0]
    assert "How Zeno writes letters" in pages(child)[0]
    assert child.headers["Content-Disposition"].endswith("filename=report-2026-03-13.pdf")
    assert client.get("/paper/report.pdf?whom=pupil+999").status_code == 404
    assert client.get("/paper/sheets.pdf?whom=group+Nowhere").status_code == 404


def test_the_reports_of_a_group_come_as_one_zip(client: Browser, pier: tuple[Pupil, ...]) -> None:
    answer = client.get("/paper/reports.zip?whom=group+Pier&paper=letter")
    with zipfile.ZipFile(io.BytesIO(answer.data)) as folder:
        assert folder.testzip() is None
        names = [f"{pupil.id}-{pupil.name.lower()}.pdf" for pupil in pier]
        assert folder.namelist() == names
        assert "How Zeno writes letters" in pdf.read(folder.read(names[0])).pages[0].extract_text()


def test_the_browser_saves_the_first_report_while_the_others_are_made(
    client: Browser, pier: tuple[Pupil, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[str] = []

    def heard(record: Record, pupil: Pupil, *how: Any, **more: Any) -> Document:
        made.append(pupil.name)
        return child_report(record, pupil, *how, **more)

    monkeypatch.setattr("trainer.paper.child_report", heard)
    answer = client.get("/paper/reports.zip?whom=group+Pier", buffered=False)
    pieces = answer.iter_encoded()

    assert b"zeno.pdf" in next(pieces)
    assert made == [pier[0].name]
    assert b"ziva.pdf" in next(pieces)
    answer.close()


def test_pages_lead_to_what_can_be_printed_of_them(client: Browser, pier: tuple[Pupil, ...]) -> None:
    """And the form is open there for the pupil or the group."""
    (zeno, _) = pier
    for address, lead in (
        (f"/pupil/{zeno.id}", f"/paper?whom=pupil+{zeno.id}"),
        ("/plan?group=Pier", "/paper?whom=group+Pier"),
    ):
        links = [link.get("href", "") for link in reader.page(client.get(address)).iter("a")]
        assert lead in links
    chosen = [
        option.get("value")
        for option in reader.page(client.get("/paper?whom=group+Pier")).iter("option")
        if "selected" in option.attrib
    ]
    assert chosen == ["group Pier", "group Pier"]


# What the teacher saw


def tick(
    client: Browser, pupils: dict[int, list[str]], *, letter: str = "h", day: str = "2026-03-12"
) -> TestResponse:
    """What the form sends: for each pupil by number the values that are ticked."""
    ticked = {f"pupil-{number}": values for number, values in pupils.items()}
    return client.post("/paper/seen", data={"group": "Quay", "letter": letter, "day": day, **ticked})


def test_what_was_ticked_is_kept_as_her_word_and_can_be_undone(client: Browser, record: Record) -> None:
    abel, brida, *others = quay(record)
    before = record.figures.summary("Quay")
    answer = tick(client, {abel.id: ["formed"], brida.id: ["size", "closure"]})
    page = reader.page(client.get(answer.location))
    observations = record.observations.find([pupil.id for pupil in quay(record)])

    assert {(seen.pupil, seen.letter, str(seen.day), seen.seen) for seen in observations} == {
        (abel.id, "h", "2026-03-12", ()),
        (brida.id, "h", "2026-03-12", (Kind.CLOSURE, Kind.SIZE)),
    }, "whoever has no tick was not looked at"
    assert others
    assert record.figures.summary("Quay") == before, "no figure counts it"
    (undo,) = [form for form in page.iter("form") if "take-back" in form.get("action", "")]
    assert "12 Mar: well formed" in reader.said(page)
    client.post(undo.get("action", ""), data=MultiDict(reader.fields(undo)))
    assert record.observations.find([abel.id, brida.id]) == ()


NOT_KEPT: list[tuple[dict[int, list[str]], str, str]] = [
    ({}, "2026-03-12", "Nothing was ticked"),
    ({1: ["formed", "direction"]}, "2026-03-12", "For Abel both"),
    ({1: ["formed"]}, "2026-03-14", "today at the latest"),
    ({1: ["formed"]}, "yesterday", "today at the latest"),
]


def test_what_contradicts_itself_is_not_kept_and_comes_back_as_ticked(
    client: Browser, record: Record
) -> None:
    for pupils, day, said in NOT_KEPT:
        answer = tick(client, pupils, day=day)
        page = reader.page(answer)
        ticked = {
            (int(box.get("name", "").removeprefix("pupil-")), box.get("value"))
            for box in page.iter("input")
            if "checked" in box.attrib
        }

        assert answer.status_code == 422
        assert said in reader.said(page)
        assert ticked == {(number, value) for number, values in pupils.items() for value in values}
    assert record.observations.find([pupil.id for pupil in quay(record)]) == ()


def test_a_letter_or_group_that_is_gone_meanwhile_is_told(client: Browser) -> None:
    assert tick(client, {1: ["formed"]}, letter="ж").status_code == 410
    assert client.post("/paper/seen", data={"group": "Gone", "letter": "h"}).status_code == 410
    assert client.get("/paper/seen?group=Gone").status_code == 404


def test_a_pupils_page_shows_it_beside_the_attempts_and_takes_one_away_with_undo(
    client: Browser, record: Record, pier: tuple[Pupil, ...]
) -> None:
    (zeno, _) = pier
    record.observations.keep(
        [Observation(zeno.id, "h", TODAY.date(), (Kind.SIZE,)), Observation(zeno.id, "h", TODAY.date())]
    )
    section = reader.under(reader.page(client.get(f"/pupil/{zeno.id}")), "on-paper")
    assert "h: well formed 2 of 2, last on 13 Mar 2026; seen: wrote it too tall" in reader.said(section)

    first, _ = [form for form in section.iter("form") if "remove" in form.get("action", "")]
    client.post(first.get("action", ""))
    client.post(first.get("action", ""))  # in another window once more
    assert len(record.observations.find([zeno.id])) == 1
    section = reader.under(reader.page(client.get(f"/pupil/{zeno.id}")), "on-paper")
    undo = next(form for form in section.iter("form") if form.get("action") == f"/pupil/{zeno.id}/seen")
    client.post(undo.get("action", ""), data=MultiDict(reader.fields(undo)))
    assert {seen.seen for seen in record.observations.find([zeno.id])} == {(Kind.SIZE,), ()}


def test_what_comes_back_must_be_a_letter_and_a_day(client: Browser, record: Record) -> None:
    (abel, *_) = quay(record)
    for sent in ({"letter": "h"}, {"day": "2026-03-12"}, {"letter": "h" * 21, "day": "2026-03-12"}):
        assert client.post(f"/pupil/{abel.id}/seen", data=sent).status_code == 400
    assert record.observations.find([abel.id]) == ()


def test_a_desk_without_pupils_says_so(client: Browser, record: Record) -> None:
    for group in record.pupils.groups():
        record.erasure.remove_group(group)

    for address in ("/paper", "/paper/seen"):
        assert "There are no pupils yet" in reader.said(reader.page(client.get(address)))
    assert zipfile.ZipFile(io.BytesIO(client.get("/paper/reports.zip").data)).namelist() == []
