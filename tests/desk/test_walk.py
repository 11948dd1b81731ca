"""A teacher's afternoon at the desk, in Chromium, from the passphrase to a child who leaves for good."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.desk.visitor import TODAY
from tests.shipped import PRINT
from tests.trainer import rosters
from trainer.attempt import Pupil
from trainer.record.record import Record
from trainer.teaching.gathering import Gathering, by_pupil

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

NOTE = "Holds the pen far up; shorter pencil tomorrow."
REASON = "The bell rang in the middle of it."


PLAY_A_MOMENT = """async (button) => {
    const frame = () => new Promise(requestAnimationFrame);
    button.click();
    for (let frames = 0; frames < 4; frames += 1) await frame();
    button.click();
}"""
"""Play and pause within the page: from outside, a letter of a second is over before the second click."""


def on_disk(folder: Path, words: str) -> list[str]:
    """The files of the record in whose bytes the words stand."""
    files = [file for file in folder.glob("record.sqlite*") if words.encode() in file.read_bytes()]
    return [file.name for file in files]


def test_a_teachers_afternoon(window: Page, record: Record, record_file: Path) -> None:
    """Each step goes on from the one before, so they are one test."""
    for group in record.pupils.groups():
        record.plans.set(group, [])
    gathered = _first_group(record)
    leaver = gathered.pupils[0]

    _reads_tomorrow_and_plans(window, record)
    _opens_a_pupil(window, leaver.name)
    _replays_the_latest_attempt(window)
    _overrules_it(window, record)
    _leaves_a_note(window, leaver.name)
    _changes_the_plan(window, record, gathered.group)
    _takes_in_a_class_list(window, record)

    # What is not there before cannot be missed afterwards.
    assert on_disk(record_file.parent, NOTE)
    assert on_disk(record_file.parent, leaver.name)
    _erases(window, record, leaver)
    assert record.pupils.get(leaver.id) is None
    for words in (leaver.name, NOTE, REASON):
        assert on_disk(record_file.parent, words) == []

    window.get_by_role("button", name="Log out").click()
    assert window.get_by_label("Passphrase").is_visible()
    window.goto("/pupils")
    assert window.get_by_label("Passphrase").is_visible()


def _first_group(record: Record) -> Gathering:
    """The first of the groups that Tomorrow proposes."""
    return record.figures.summary(families=lambda _: PRINT.families).gather[0]


def _reads_tomorrow_and_plans(window: Page, record: Record) -> None:
    gathered = _first_group(record)
    window.goto("/")
    panel = window.locator("article", has_text=f"Gather for {gathered.letter}").first

    assert [name.inner_text() for name in panel.locator(".names > li > span > a").all()] == [
        p.name for p in gathered.pupils
    ]
    panel.get_by_role("button", name="Play").first.click()
    stage = panel.locator(".replay-stage").first
    stage.and_(window.locator("[data-time]:not(.replaying)")).wait_for()
    assert stage.locator("polyline.replay-line").first.get_attribute("points")
    panel.get_by_role("button", name="Plan this").click()

    said = panel.get_by_role("status")
    said.wait_for()
    for pupil, needs in by_pupil(gathered.needs).items():
        letters = tuple(need.letter for need in needs)
        assert record.plans.for_pupil(pupil.id, today=TODAY.astimezone().date())[: len(letters)] == letters
        assert f"{pupil.name} {', '.join(letters)}" in said.inner_text()


def _opens_a_pupil(window: Page, name: str) -> None:
    window.get_by_role("link", name=name, exact=True).first.click()

    assert window.get_by_role("heading", level=1).inner_text() == name
    assert window.locator(".cautions").is_visible()


def _replays_the_latest_attempt(window: Page) -> None:
    window.get_by_role("link", name=re.compile("^Open and replay")).first.click()
    slider, moment = window.get_by_label("Time", exact=True), window.locator("[data-told]")
    window.get_by_label("Double").check()  # there once the ink has come
    whole = float(slider.input_value())
    window.get_by_role("button", name="Play").evaluate(PLAY_A_MOMENT)
    halfway = float(slider.input_value())
    drawn = _points(window)
    window.get_by_role("button", name="Play").click()
    window.get_by_role("button", name="Play").wait_for()  # it says so again when all is written

    assert 0 <= halfway < whole
    assert float(slider.input_value()) == pytest.approx(whole, abs=0.02)
    assert drawn < _points(window)
    window.get_by_role("button", name="Previous stroke").click()
    assert _points(window) < drawn or float(slider.input_value()) < whole
    assert moment.inner_text()


def _announced(window: Page) -> str:
    """What the desk says of the last change; the replay's own status is another one."""
    return window.get_by_role("status").and_(window.locator("div")).inner_text()


def _points(window: Page) -> int:
    """How many points of the ink are drawn."""
    count = "all => all.reduce((sum, one) => sum + one.points.numberOfItems, 0)"
    points: int = window.locator("[data-paper] polyline").evaluate_all(count)
    return points


def _overrules_it(window: Page, record: Record) -> None:
    section = window.locator("section[aria-labelledby=overrule]")
    section.get_by_role("group", name="Well formed?").get_by_label("No").check()
    section.get_by_role("group", name="Looks right?").get_by_label("No").check()
    section.get_by_label("Reason").fill(REASON)
    section.get_by_role("button", name="Overrule").click()

    assert "Your word counts now" in _announced(window)
    number = int(window.url.rpartition("/")[2])
    attempt = record.attempts.get(number)
    assert attempt is not None
    assert attempt.overruled is not None
    assert (attempt.overruled.formed, attempt.overruled.looks, attempt.overruled.reason) == (
        False,
        False,
        REASON,
    )
    assert attempt.verdict is not None


def _leaves_a_note(window: Page, name: str) -> None:
    window.get_by_role("link", name=f"Back to {name}").click()
    window.get_by_label("Note", exact=True).fill(NOTE)
    window.get_by_role("button", name="Add a note").click()

    assert window.locator(".notes").get_by_text(NOTE).is_visible()


def _changes_the_plan(window: Page, record: Record, group: str) -> None:
    window.get_by_role("link", name="Plan", exact=True).click()
    window.get_by_role("link", name=group, exact=True).click()
    window.get_by_label("Add letters by typing").fill("b h k")
    window.get_by_label("Add letters by typing").press("Enter")
    assert record.plans.get(group) == ("b", "h", "k")

    window.get_by_role("button", name="Move k up").press("Enter")  # by the keyboard
    assert record.plans.get(group) == ("b", "k", "h")
    with window.expect_navigation():
        window.locator("li[data-letter=h] .grip").drag_to(window.locator("li[data-letter=b] .grip"))
    assert record.plans.get(group) == ("h", "b", "k")


def _takes_in_a_class_list(window: Page, record: Record) -> None:
    before = {pupil.name for pupil in record.pupils.find()}
    window.get_by_role("link", name="Pupils", exact=True).click()
    window.get_by_role("link", name="Bring in a class list").click()
    zipped = rosters.zipped(rosters.tables(bom=True))
    window.get_by_label("The zip, or the four tables").set_input_files(
        {"name": "list.zip", "mimeType": "application/zip", "buffer": zipped}
    )
    window.get_by_role("button", name="Show what will happen").click()
    assert window.get_by_role("heading", name="New pupils: 3").is_visible()
    assert {pupil.name for pupil in record.pupils.find()} == before  # nothing before she says so

    window.get_by_role("button", name="Take in: 3 new").click()
    after = {pupil.name for pupil in record.pupils.find()}
    assert {"Nella", "Nilo"} < after - before
    assert len(after - before) == 3


def _erases(window: Page, record: Record, leaver: Pupil) -> None:
    name, held = leaver.name, record.erasure.holdings([leaver.id])
    window.get_by_role("link", name="Pupils", exact=True).click()
    window.get_by_role("link", name=f"Change {name}").click()
    window.get_by_role("link", name=f"Erase {name}").click()
    goes = window.locator("section[aria-labelledby=goes]").inner_text()
    assert held.notes >= 1
    assert f"your notes: {held.notes}" in goes
    assert held.overrulings >= 1
    assert f"verdicts that you changed: {held.overrulings}" in goes

    window.get_by_label("Type the name to confirm").fill("somebody else")
    window.get_by_role("button", name="Erase for good").click()
    assert "Nothing was erased" in window.get_by_role("alert").inner_text()
    window.get_by_label("Type the name to confirm").fill(name)
    window.get_by_role("button", name="Erase for good").click()
    assert f"{name} is erased" in _announced(window)
