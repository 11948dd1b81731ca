"""A teacher's afternoon at the desk, in Chromium, from the passphrase to a child who leaves for good."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.desk.keyboard import NOTE, REASON, SIZES, afternoon, announced, exactly, press, tab_to, widths
from tests.trainer import rosters
from trainer.attempt import Pupil
from trainer.record.record import Record

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser


def on_disk(folder: Path, words: str) -> list[str]:
    """The files of the record in whose bytes the words stand."""
    files = [file for file in folder.glob("record.sqlite*") if words.encode() in file.read_bytes()]
    return [file.name for file in files]


@pytest.mark.parametrize("width", widths(820))
def test_a_teachers_afternoon_by_keyboard(
    window: Page, record: Record, record_file: Path, width: int
) -> None:
    """Each step goes on from the one before, so they are one test; 640 is a window of 1280 at 200 %."""
    window.set_viewport_size(SIZES[width])
    leaver = afternoon(window, record)
    _drags_a_letter(window, record, leaver.group)
    _takes_in_a_class_list(window, record)

    # What is not there before cannot be missed afterwards.
    assert on_disk(record_file.parent, NOTE)
    assert on_disk(record_file.parent, leaver.name)
    _erases(window, record, leaver)
    assert record.pupils.get(leaver.id) is None
    for words in (leaver.name, NOTE, REASON):
        assert on_disk(record_file.parent, words) == []

    press(window, "Log out")
    assert window.get_by_label("Passphrase").is_visible()
    window.goto("/pupils")
    assert window.get_by_label("Passphrase").is_visible()


def _drags_a_letter(window: Page, record: Record, group: str) -> None:
    """A grip is for a pointer; the buttons beside it do the same by keyboard."""
    window.goto(f"/plan?group={group}")
    with window.expect_navigation():
        window.locator("li[data-letter=h] .grip").drag_to(window.locator("li[data-letter=b] .grip"))
    assert record.plans.get(group) == ("h", "b", "k")


def _takes_in_a_class_list(window: Page, record: Record) -> None:
    """The file is handed to the page as the system's own window for files would."""
    before = {pupil.name for pupil in record.pupils.find()}
    press(window, "Pupils")
    press(window, "Bring in a class list")
    zipped = rosters.zipped(rosters.tables(bom=True))
    window.get_by_label("The zip, or the four tables").set_input_files(
        {"name": "list.zip", "mimeType": "application/zip", "buffer": zipped}
    )
    press(window, "Show what will happen")
    assert window.get_by_role("heading", name="New pupils: 3").is_visible()
    assert {pupil.name for pupil in record.pupils.find()} == before  # nothing before she says so

    press(window, "Take in: 3 new.*")
    after = {pupil.name for pupil in record.pupils.find()}
    assert {"Nella", "Nilo"} < after - before
    assert len(after - before) == 3


def _erases(window: Page, record: Record, leaver: Pupil) -> None:
    name, held = exactly(leaver.name), record.erasure.holdings([leaver.id])
    press(window, "Pupils")
    press(window, f"Change {name}")
    press(window, f"Erase {name}")
    goes = window.locator("section[aria-labelledby=goes]").inner_text()
    assert held.notes >= 1
    assert f"your notes: {held.notes}" in goes
    assert held.overrulings >= 1
    assert f"verdicts that you changed: {held.overrulings}" in goes

    tab_to(window, f"Type the name to confirm: {name}")
    window.keyboard.type("somebody else")
    press(window, "Erase for good")
    assert "Nothing was erased" in window.get_by_role("alert").inner_text()
    field = window.get_by_label("Type the name to confirm")
    field.and_(window.locator(":focus")).wait_for()
    window.keyboard.press("Control+a")
    window.keyboard.type(leaver.name)
    press(window, "Erase for good")
    assert f"{leaver.name} is erased" in announced(window)
