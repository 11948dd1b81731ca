"""The first day: from an empty record to a class with pictures and an open window, at one page."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import timedelta
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.desk.conftest import served, watched
from tests.desk.keyboard import SIZES, afternoon, exactly, tab_to, widths
from tests.desk.layout import lines, runs_out
from tests.desk.random_class import FAULTS, written
from tests.desk.reader import of_class, page, said
from tests.desk.test_access import AXE, violations_in_all_colors
from tests.desk.test_roster import hand_in, ticked
from tests.desk.test_screens import OPENS
from tests.desk.visitor import HASH, PASSPHRASE, TODAY, Browser
from tests.trainer import rosters
from tests.trainer.samples import attempt
from trainer import places
from trainer.attempt import Attempt, Step
from trainer.desk.access.passphrase import SETTING
from trainer.desk.desk import Desk
from trainer.desk.practice_window import PracticeWindow
from trainer.language import text
from trainer.record.record import Record

if TYPE_CHECKING:
    from playwright.sync_api import Browser as Chromium
    from playwright.sync_api import Page

THIRTY = [
    *("Anneli", "Bjarne", "Zoë", "Dagny", "Edvin", "Frida", "Gustav", "Hedda", "Ivar", "Jonna"),
    *("Kaj", "Lovisa", "Malte", "Nora", "Olle", "Petra", "Runa", "Signe", "Tore", "Ulla"),
    *("Viggo", "Wanja", "Ylva", "Åke", "Ärla", "Öla", "Elsa-Marie", "Ib", "Nell", "Nella"),
]


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    """A record as it is made by the first opening: nothing is in it, no passphrase either."""
    with Record.open(tmp_path / places.RECORD, now=TODAY) as opened:
        yield opened


@pytest.fixture
def client(stranger: Browser, record: Record) -> Browser:
    """A browser whose passphrase was given, on a record without pupils."""
    record.settings.set(SETTING, HASH)
    stranger.get("/login")
    stranger.post("/login", data={"passphrase": PASSPHRASE})
    return stranger


def add(client: Browser, names: str = "", group: str = "Class", file: tuple[str, bytes] | None = None) -> str:
    """Send the form; gives the page that comes then."""
    data: dict[str, object] = {"names": names, "group": group}
    if file:
        data["file"] = (BytesIO(file[1]), file[0])
    answer = client.post("/first-day", data=data, content_type="multipart/form-data")
    return client.get(answer.location).text if answer.status_code == 303 else answer.text


def named(record: Record) -> dict[str, str]:
    return {pupil.name: pupil.group for pupil in record.pupils.find()}


def test_an_empty_desk_leads_to_the_first_day_and_a_group_that_has_not_written_to_its_page(
    client: Browser,
) -> None:
    assert client.get("/").location == "/first-day"
    add(client, "Bo")
    assert client.get("/").location == "/first-day", "until somebody has written"
    assert client.get("/?group=Class").status_code == 200


def test_pasted_names_come_with_a_picture_each_and_the_next_group_is_typed_at_once(
    client: Browser, record: Record
) -> None:
    answer = add(client, "\r\n".join(THIRTY), "Quay")

    assert named(record) == dict.fromkeys(THIRTY, "Quay")
    assert len({pupil.card for pupil in record.pupils.find()}) == 30
    assert text("first_day.added.all", new=30) in answer
    assert text("first_day.cards.count", group="Quay", count=30) in answer
    assert 'value="Quay" list="groups"' in answer
    assert "autofocus" in answer.partition('id="pasted"')[2].partition(">")[0]
    add(client, "Bo", "Slipway")
    assert named(record)["Bo"] == "Slipway"


def test_the_same_list_twice_changes_nothing(client: Browser, record: Record) -> None:
    add(client, "Nella\nBo")
    before = record.pupils.find()

    assert text("first_day.added.none") in add(client, "bo\nNella")
    assert record.pupils.find() == before
    assert text("first_day.added.some", new=1, there=2) in add(client, "Bo\nIda\nNella")


def test_a_saved_table_is_taken_as_well(client: Browser, record: Record) -> None:
    add(client, file=("class.csv", "Name;Group\r\nZoë;Quay\r\nBo;Slipway\r\n".encode("cp1252")))

    assert named(record) == {"Zoë": "Quay", "Bo": "Slipway"}


@pytest.mark.parametrize(
    ("names", "file", "trouble"),
    [
        ("", None, "first_day.names.none"),
        ("Bo", ("class.txt", b"Ida"), "first_day.names.both"),
        ("Bo\nBerg, Nella", None, "line 2: must be one name, not"),
        ("", ("class.xlsx", b"PK\x03\x04"), "class.xlsx: must be text"),
    ],
)
def test_a_list_at_fault_adds_nobody_and_stays_as_it_was_typed(
    client: Browser, record: Record, names: str, file: tuple[str, bytes] | None, trouble: str
) -> None:
    answer = add(client, names, "Quay", file)

    assert (text(trouble) if trouble.startswith("first_day") else trouble) in answer.replace("&#39;", "'")
    assert 'role="alert"' in answer
    assert f">{names}</textarea>" in answer.replace("\r\n", "\n")
    assert 'value="Quay" list="groups"' in answer
    assert record.pupils.find() == ()


def test_a_schools_export_leads_back_to_the_pictures_and_the_window(client: Browser, record: Record) -> None:
    waiting = hand_in(client, ("export.zip", rosters.zipped(rosters.tables()))).location

    after = client.post(waiting, data=ticked(client.get(waiting).text) | {"do": "take"})

    assert record.pupils.find()
    assert after.location == "/first-day"
    assert text("roster.taken", new=len(record.pupils.find()), moved=0) in client.get("/first-day").text


def test_those_who_were_just_added_can_be_taken_back_unless_they_have_written(
    client: Browser, record: Record
) -> None:
    add(client, "Anneli\nBo\nIda")
    anneli, bo, ida = record.pupils.find()
    record.attempts.keep_many([attempt(bo.id, "b")])

    sent = {"pupil": [str(anneli.id), str(bo.id), str(ida.id), "99", "no number"]}
    answer = client.get(client.post("/first-day/take-back", data=sent).location).text

    assert named(record) == {"Bo": "Class"}
    assert text("first_day.added.back", count=2) in answer
    assert text("first_day.added.wrote", count=1) in answer


def test_the_names_of_a_page_are_no_markup(client: Browser) -> None:
    shown = add(client, "<b>Bo</b>")

    assert "<b>Bo" not in shown
    assert "<b>Bo" not in add(client, "<b>Bo</b>, Ida")


def test_the_pupils_page_keeps_the_focus_where_the_next_name_is_typed(client: Browser) -> None:
    answer = client.post("/pupils", data={"name": "Bo", "group": "Quay", "hand": "open"})
    after = client.get(answer.location)

    assert "autofocus" in after.text
    assert "autofocus" not in client.get("/pupils").text
    assert of_class(page(client.get("/first-day")), "cautions")
    assert "Bo" in said(page(client.get("/first-day")))


# The same by the keyboard alone


def stands_at(window: Page, field: str) -> None:
    """Wait until what is typed goes into that field."""
    window.locator(f"#{field}:focus").wait_for()


def write_some(record: Record) -> None:
    """What the children wrote that morning: three of thirty run the h the other way, six write the c off."""
    for number, pupil in enumerate(record.pupils.find()):
        faults = [FAULTS["h"][number < 3], None, FAULTS["c"][number % 5 == 4]]
        for letter, fault in zip("hlc", faults, strict=True):
            ink, verdict, shown = written(letter, fault, 0)
            record.attempts.keep_many(
                [
                    Attempt(None, pupil.id, letter, Step.COPY, at, ink, verdict, shown=shown)
                    for at in (TODAY - timedelta(hours=hours) for hours in (3, 4, 5))
                ]
            )


@pytest.mark.browser
@pytest.mark.parametrize("width", widths(640))
def test_the_first_day_by_keyboard_from_the_passphrase_to_the_open_window_and_the_afternoon_after_it(
    chromium: Chromium, record: Record, tmp_path: Path, width: int
) -> None:
    """Thirty names are pasted; the page is looked at in normal and in forced colors, at 200 % as well.

    And then, at 200 % too, the afternoon after they wrote for the first time.
    """
    practice = PracticeWindow(program=(sys.executable, "-c", OPENS), lasts=False)
    desk = Desk(record, tmp_path / places.LETTERS, clock=lambda: TODAY, practice=practice)
    with practice, served(desk, tmp_path) as service, watched(chromium, service.address) as window:
        window.goto(service.shown)
        stands_at(window, "passphrase")
        window.keyboard.type(PASSPHRASE)
        window.keyboard.press("Tab")
        window.keyboard.type(PASSPHRASE)
        window.keyboard.press("Enter")
        stands_at(window, "pasted")
        window.keyboard.insert_text("\n".join(THIRTY))
        tab_to(window, exactly(text("first_day.names.do")))
        window.keyboard.press("Enter")
        window.get_by_text(text("first_day.added.all", new=30)).wait_for()
        assert named(record).keys() == set(THIRTY)
        stands_at(window, "pasted")
        window.set_viewport_size(SIZES[width])
        tab_to(window, exactly(text("screens.do")))
        window.keyboard.press("Enter")
        window.get_by_text("The children can begin.").wait_for()
        assert practice.state == "open"

        for size in SIZES.values():
            window.set_viewport_size(size)
            assert not runs_out(window), size
            assert lines(window.locator("nav.pages a")) == 1, "the pages stand in one line"
        if AXE.is_file():
            assert violations_in_all_colors(window) == []
        write_some(record)
        window.set_viewport_size(SIZES[width])
        afternoon(window, record)
    assert practice.state == "closed", "the desk is closed, and its window with it"
