"""A teacher without a mouse: what the keyboard comes to, and an afternoon of hers, step by step."""

from __future__ import annotations

import os
import re
from typing import TYPE_CHECKING

import pytest

from tests.desk.layout import FONTS, RUNS_OUT
from tests.desk.visitor import TODAY
from tests.shipped import PRINT
from trainer.attempt import Pupil
from trainer.language import text
from trainer.record.record import Record
from trainer.teaching.gathering import Gathering, by_pupil

if TYPE_CHECKING:
    from playwright.sync_api import Page, ViewportSize

SIZES: dict[int, ViewportSize] = {
    width: {"width": width, "height": 450 if width == 640 else 900} for width in (1280, 820, 640)
}
"""Windows of the desk by their width; the narrowest is what one of 1280 by 900 px shows at 200 %."""


def widths(usual: int) -> list[int]:
    """The widths at which a walk is walked: one of them in the tests, and by hand as many as are asked for.

    WALK_WIDTHS="1280 820 640" .venv/bin/python -m pytest -n 0 tests/desk/test_{walk,first_day}.py
    """
    return [int(width) for width in os.environ.get("WALK_WIDTHS", str(usual)).split()]


NOTE = "Holds the pen far up; shorter pencil tomorrow."
REASON = "The bell rang in the middle of it."

MOST = 250
"""Presses of a key within one page: more is no way to work."""

REPLAYED = 60_000
"""Milliseconds by which the browser's clock is put forward while ink is replayed: more than it takes."""

LOOK = """(part) => {
    const {top, bottom, left, right, width} = part.getBoundingClientRect(), style = getComputedStyle(part);
    const name = part.tagName + ' ' + (part.textContent.trim() || part.name || part.id).slice(0, 40);
    const ring = parseFloat(style.outlineWidth) >= 2 && style.outlineStyle !== 'none';
    const seen = width > 0 && bottom > 0 && top < innerHeight && right > 0 && left < innerWidth;
    return [name, part === document.body, ring, seen];
}"""
"""What has the focus; whether that is nothing, a ring is round it, it is within the window."""

NAMED = f"""async () => {{
    await {FONTS};
    const part = document.activeElement, label = part.labels?.[0]?.textContent;
    const name = part.getAttribute('aria-label') || label || part.textContent || part.id;
    const [, nothing, ring, seen] = ({LOOK})(part);
    return [name.replace(/\\s+/g, ' ').trim(), nothing || (ring && seen), !({RUNS_OUT})];
}}"""


def tab_to(window: Page, name: str, *, back: bool = False) -> None:
    """Press Tab, or Shift and Tab, until a part whose name matches has the focus; each on the way is seen."""
    for _ in range(MOST):
        window.keyboard.press("Shift+Tab" if back else "Tab")
        here, seen, fits = window.evaluate(NAMED)
        assert seen, f"{here!r} has the focus and is not seen"
        assert fits, f"the page runs out of its window at {here!r}"
        if re.fullmatch(name, here):
            return
    pytest.fail(f"the keyboard does not come to {name!r}")


def press(window: Page, name: str, *, back: bool = False) -> None:
    """Go to a link or a button and press it; what it leads to has come then."""
    tab_to(window, name, back=back)
    with window.expect_navigation():
        window.keyboard.press("Enter")


def exactly(words: str) -> str:
    """A name as it stands."""
    return re.escape(" ".join(words.split()))


# An afternoon


def afternoon(window: Page, record: Record) -> Pupil:
    """From Tomorrow to a sheet and what was seen on it; gives the pupil who was looked at."""
    window.clock.install()
    gathered = reads_tomorrow_and_plans(window, record)
    pupil = gathered.pupils[0]
    looks_at_a_pupil(window, pupil)
    overrules(window, record)
    leaves_a_note(window, pupil)
    changes_the_plan(window, record, pupil.group)
    looks_at_the_class(window, pupil)
    makes_a_sheet(window, pupil)
    ticks_what_was_seen_on_paper(window, record, pupil)
    return pupil


def reads_tomorrow_and_plans(window: Page, record: Record) -> Gathering:
    gathered: Gathering = record.figures.summary(families=lambda _: PRINT.families).gather[0]
    window.goto("/")
    window.keyboard.press("Tab")
    window.keyboard.press("Enter")
    window.locator("#main:focus").wait_for()  # the way past the navigation comes first
    names = [pupil.name for pupil in gathered.pupils]
    panel = window.locator("article").first
    assert f"Gather for {gathered.letter}" in panel.inner_text()
    assert [name.inner_text() for name in panel.locator(".names > li > span > a").all()] == names

    tab_to(window, f"Play how {exactly(names[0])} wrote .*")
    window.keyboard.press("Enter")
    panel.locator(".replay-stage[data-time]").first.wait_for()
    window.clock.run_for(REPLAYED)
    panel.locator(".replay-stage[data-time]:not(.replaying)").first.wait_for()
    press(window, "Plan this for tomorrow: .*")
    panel.get_by_role("status").wait_for()
    said = panel.get_by_role("status").inner_text()
    for pupil, needs in by_pupil(gathered.needs).items():
        letters = tuple(need.letter for need in needs)
        assert record.plans.for_pupil(pupil.id, today=TODAY.astimezone().date())[: len(letters)] == letters
        assert f"{pupil.name} {', '.join(letters)}" in said
    return gathered


def looks_at_a_pupil(window: Page, pupil: Pupil) -> None:
    """The page of a pupil, then the attempt that stands first, stroke by stroke and frame by frame."""
    press(window, exactly(pupil.name))
    assert window.get_by_role("heading", level=1).inner_text() == pupil.name
    press(window, f"Open how {exactly(pupil.name)} wrote .*")
    slider = window.get_by_label("Time", exact=True)
    slider.wait_for()  # there once the ink has come
    whole = float(slider.input_value())
    tab_to(window, "Previous stroke")
    window.keyboard.press("Enter")
    tab_to(window, "Time")
    window.keyboard.press("Home")
    window.keyboard.press("ArrowRight")
    moved = float(slider.input_value())
    assert 0 < moved < 0.05 < whole, "an arrow moves the pen by a frame"
    tab_to(window, "Play", back=True)
    window.keyboard.press("Enter")
    window.clock.run_for(REPLAYED)
    window.locator("[data-told]", has_text=text("pupil.replay.done")).wait_for()


def overrules(window: Page, record: Record) -> None:
    tab_to(window, "Yes|No")
    window.keyboard.press("ArrowRight")  # whichever is chosen, the arrows go round
    tab_to(window, "Yes|No")
    tab_to(window, "Reason")
    window.keyboard.type(REASON)
    chosen = [
        window.locator(f"input[name={asked}]:checked").get_attribute("value") == "yes"
        for asked in ("formed", "looks")
    ]
    with window.expect_navigation():
        window.keyboard.press("Enter")
    assert "Your word counts now" in announced(window)
    attempt = record.attempts.get(int(window.url.rpartition("/")[2]))
    assert attempt is not None
    assert attempt.overruled is not None
    assert [attempt.overruled.formed, attempt.overruled.looks] == chosen
    assert attempt.overruled.reason == REASON
    assert attempt.verdict is not None
    assert attempt.overruled.formed is not attempt.verdict.formed


def leaves_a_note(window: Page, pupil: Pupil) -> None:
    press(window, f"Back to {exactly(pupil.name)}")
    tab_to(window, "Note")
    window.keyboard.type(NOTE)
    press(window, "Add a note")
    assert window.locator(".notes").get_by_text(NOTE).is_visible()


def changes_the_plan(window: Page, record: Record, group: str) -> None:
    record.plans.set(group, [])
    press(window, "Plan")
    if len(record.pupils.groups(archived=False)) > 1:
        press(window, exactly(group))
    tab_to(window, "Add letters by typing")
    window.keyboard.type("b h k")
    with window.expect_navigation():
        window.keyboard.press("Enter")
    assert record.plans.get(group) == ("b", "h", "k")
    press(window, "Move k up")
    assert record.plans.get(group) == ("b", "k", "h")


def looks_at_the_class(window: Page, pupil: Pupil) -> None:
    tab_to(window, "Words", back=True)
    press(window, "Class", back=True)  # the page: a group may be called so too
    press(window, r"Sort by (.)\1")
    assert window.locator("th[aria-sort]").count() == 1
    assert window.get_by_role("link", name=pupil.name, exact=True).count() == 1


def makes_a_sheet(window: Page, pupil: Pupil) -> None:
    press(window, "Paper")
    tab_to(window, "For")
    window.keyboard.type(pupil.name)  # a list goes to the entry that is typed
    tab_to(window, "Make the PDF")
    with window.expect_download() as made:
        window.keyboard.press("Enter")
    assert made.value.suggested_filename.startswith("sheets-")


def ticks_what_was_seen_on_paper(window: Page, record: Record, pupil: Pupil) -> None:
    press(window, exactly(pupil.group))
    before = len(record.observations.find([each.id for each in record.pupils.find()]))
    tab_to(window, "Well formed")
    window.keyboard.press("Space")
    press(window, "Keep")
    assert len(record.observations.find([each.id for each in record.pupils.find()])) == before + 1
    assert "Kept as your word" in announced(window)


def announced(window: Page) -> str:
    """What the desk says of the last change; the replay's own status is another one."""
    return window.get_by_role("status").and_(window.locator("div")).first.inner_text()
