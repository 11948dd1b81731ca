"""A teacher writes a letter in a browser with a pen, mends it, tries it, saves it, and a group uses it."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from math import cos, pi, sin
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from strokes.alphabet import Alphabet
from strokes.files import SHIPPED
from tests.desk.conftest import sign_in
from tests.desk.layout import runs_out
from tests.desk.test_access import FOCUSED, violations_in_all_colors
from trainer import places
from trainer.record.record import Record

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

BOWL = [(42 + 42 * sin(0.95 - turn * pi / 14), -50 - 50 * cos(0.95 - turn * pi / 14)) for turn in range(27)]
TAIL = [(84, -100), (84, 0), (84, 60), (80, 80), (66, 96), (44, 100), (20, 96), (6, 86)]
"""A g in two strokes, in hundredths of an x-height."""


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """An alphabet of the teacher's own with few letters."""
    folder = tmp_path / places.LETTERS
    folder.mkdir()
    for letter in "algo":
        shutil.copy(SHIPPED / "print" / f"{letter}.svg", folder)
    return folder


@contextmanager
def change_taken(window: Page, count: int = 1) -> Iterator[None]:
    """Waits until the desk has kept what was done meanwhile."""
    answers: list[int] = []
    window.on("response", lambda answer: answers.append(answer.status) if "/change" in answer.url else None)
    with window.expect_response(lambda answer: "/change" in answer.url and len(answers) >= count - 1):
        yield
    assert set(answers) <= {200}


def pen(window: Page, places: list[tuple[float, float]]) -> None:
    """Write a stroke on the sheet; places are hundredths of an x-height."""
    paper = window.locator("[data-paper]")
    paper.scroll_into_view_if_needed()
    unit, left, top = paper.evaluate("one => { const m = one.getScreenCTM(); return [m.a, m.e, m.f]; }")
    at = [(left + unit * x, top + unit * y) for x, y in places]
    window.mouse.move(*at[0])
    window.mouse.down()
    for place in at[1:]:
        window.mouse.move(*place, steps=4)
    window.mouse.up()


def press(window: Page, name: str) -> None:
    window.get_by_role("button", name=name, exact=True).click()


def open_sheet(window: Page, letter: str) -> None:
    window.goto("/alphabet/write?alphabet=letters")
    window.get_by_label("Letter", exact=True).fill(letter)
    press(window, "Go to the sheet")
    window.get_by_text("Write the first stroke").wait_for()


def test_a_letter_is_written_mended_tried_saved_and_used_by_a_group(
    window: Page, own: Path, record: Record
) -> None:
    open_sheet(window, "g")
    for stroke in (BOWL, TAIL):
        with change_taken(window):
            pen(window, stroke)
    with change_taken(window):
        press(window, "Write it once more")
    for stroke in (BOWL, TAIL):
        with change_taken(window):
            pen(window, [(x + 2, y - 2) for x, y in stroke])
    window.get_by_text("The curves follow all 2 tries").wait_for()

    press(window, "Move points")
    window.get_by_role("radio", name="Stroke 2").check()
    last = window.locator(".point.node").last
    box = last.bounding_box()
    assert box is not None
    window.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    window.mouse.down()
    window.mouse.move(box["x"] - 10, box["y"] - 20, steps=5)
    with change_taken(window):
        window.mouse.up()
    with change_taken(window):
        press(window, "Turn around")
    with change_taken(window):
        press(window, "Undo")
    for number, cue in ((1, "Curve left, all the way around."), (2, "Down, and hook left.")):
        with change_taken(window):
            window.get_by_label(f"Cue of stroke {number}").fill(cue)
            window.keyboard.press("Tab")
    window.get_by_role("link", name="Try the letter").click()
    window.get_by_role("heading", name="What the trial found").wait_for()
    assert violations_in_all_colors(window) == []
    window.get_by_role("button", name="Save").click()
    window.get_by_text("g is saved in letters.").wait_for()

    saved = Alphabet.load(own)["g"].taught
    assert [stroke.cue for stroke in saved.strokes] == [
        "Curve left, all the way around.",
        "Down, and hook left.",
    ]
    assert saved.strokes[1].start[1] == pytest.approx(-1.0, abs=0.06)
    window.get_by_role("link", name="Versions").click()
    window.get_by_role("button", name="Go back to this version").wait_for()
    assert violations_in_all_colors(window) == []
    window.goto("/alphabet?alphabet=letters")
    window.get_by_label("Alphabet of Quay", exact=True).select_option("letters")
    press(window, "Save the alphabet of Quay")
    window.wait_for_load_state()
    assert record.settings.get("alphabet:Quay") == "letters"


@pytest.mark.usefixtures("own")
def test_a_tap_that_is_taken_away_is_not_asked_for_once_more(window: Page) -> None:
    open_sheet(window, "g")
    again = window.get_by_role("button", name="Write it once more", exact=True)
    assert again.is_disabled()
    for stroke in (BOWL, TAIL, [(150, -50)]):
        with change_taken(window):
            pen(window, stroke)
    with change_taken(window):
        press(window, "Take it away")
    with change_taken(window):
        again.click()
    for number, stroke in enumerate((BOWL, TAIL), 1):
        window.get_by_text(f"Try 2: write stroke {number} of 2.").wait_for()
        with change_taken(window):
            pen(window, stroke)

    window.get_by_text("The curves follow all 2 tries").wait_for()
    assert window.get_by_role("radio").count() == 2


def test_a_letter_is_made_with_the_keyboard_alone(window: Page, own: Path) -> None:
    open_sheet(window, "t")
    go = Goer(window)
    with change_taken(window):
        go.press("Add a straight stroke")
    go.to(".point")
    with change_taken(window):
        for _ in range(10):
            window.keyboard.press("Shift+ArrowUp")
    go.press("Add a straight stroke")
    window.get_by_text("Strokes: 2.").wait_for()  # the moves before have been taken, in however many changes
    go.to(".point")
    with change_taken(window):
        window.keyboard.press("Shift+ArrowLeft")
    with change_taken(window):
        go.press("Turn around")
    with change_taken(window):
        window.keyboard.press("Control+z")

    window.goto("/alphabet/write/trial?alphabet=letters&letter=t")
    go.press("Save")
    window.get_by_text("t is saved in letters.").wait_for()

    stem, other = Alphabet.load(own)["t"].taught.strokes
    assert (stem.path[0, 1], stem.path[-1, 1]) == pytest.approx((-2.0, 0.0))
    assert other.path[0, 0] - stem.path[0, 0] == pytest.approx(0.2)


LATE = "const real = fetch; window.fetch = async (...asked) => { const answer = await real(...asked); \
    await new Promise((done) => setTimeout(done, 1000)); return answer; };"
"""The desk's answers reach the page after a second."""


def test_a_point_that_is_moved_on_while_its_last_move_is_on_the_way_loses_no_step(
    window: Page, own: Path
) -> None:
    window.add_init_script(LATE)
    open_sheet(window, "t")
    go = Goer(window)
    go.press("Add a straight stroke")
    window.get_by_text("Strokes: 1.").wait_for()
    go.to(".point")
    for _ in range(2):
        with change_taken(window):
            window.keyboard.press("Shift+ArrowUp")

    window.goto("/alphabet/write/trial?alphabet=letters&letter=t")
    go.press("Save")
    window.get_by_text("t is saved in letters.").wait_for()
    assert Alphabet.load(own)["t"].taught.strokes[0].start[1] == pytest.approx(-1.2)


class Goer:
    """Somebody without a mouse: Tab until it is there, then Enter."""

    def __init__(self, window: Page) -> None:
        self.window = window

    def press(self, name: str) -> None:
        self._until(lambda said: said.startswith(f"BUTTON {name}"))
        self.window.keyboard.press("Enter")

    def to(self, selector: str) -> None:
        self._until(lambda _: bool(self.window.evaluate(f"document.activeElement.matches('{selector}')")))

    def _until(self, holds: Callable[[str], bool]) -> None:
        for _ in range(150):
            said, left, ring, _seen = self.window.evaluate(FOCUSED)
            if not left:
                assert ring, f"{said} has the focus, and it is not seen"
            if holds(said):
                return
            self.window.keyboard.press("Tab")
        raise AssertionError("it is not reached by the Tab key")


@pytest.mark.usefixtures("own")
def test_the_sheet_breaks_no_rule_of_access_while_it_is_in_use(window: Page) -> None:
    open_sheet(window, "g")
    for stroke in (BOWL, TAIL):
        with change_taken(window):
            pen(window, stroke)
    press(window, "Move points")
    window.locator(".point").first.focus()

    assert violations_in_all_colors(window) == []
    for width in (1280, 820):
        window.set_viewport_size({"width": width, "height": 900})
        assert not runs_out(window)
        small = window.locator(".tools .button").evaluate_all(
            "(all) => all.map((one) => one.getBoundingClientRect())"
            ".filter(({width, height}) => Math.min(width, height) < 15 * 96 / 25.4 - 0.5).length"
        )
        assert small == 0, "every button has 15 mm"


@pytest.mark.usefixtures("own")
def test_what_the_desk_did_not_take_stays_on_the_page_and_is_sent_again(window: Page) -> None:
    open_sheet(window, "l")
    window.route("**/change", lambda route: route.abort())
    pen(window, [(0, -200), (0, -100), (0, 0)])
    window.get_by_text("The last change is not kept yet").wait_for()
    assert window.locator("[data-live] polyline").count() == 1, "her ink is still there"

    window.unroute("**/change")
    with change_taken(window):
        press(window, "Send it again")

    window.get_by_text("Strokes: 1.").wait_for()
    assert window.get_by_text("The last change is not kept yet").is_hidden()


@pytest.mark.usefixtures("own")
def test_what_was_written_while_the_desk_had_closed_itself_is_kept_once_it_is_open(window: Page) -> None:
    open_sheet(window, "l")
    window.context.clear_cookies()
    pen(window, [(0, -200), (0, -100), (0, 0)])
    window.get_by_text("The last change is not kept yet").wait_for()
    sign_in(window.context.new_page())

    with change_taken(window):
        press(window, "Send it again")

    window.get_by_text("Strokes: 1.").wait_for()


@pytest.mark.usefixtures("own")
def test_a_touch_writes_and_a_cancelled_one_does_not(window: Page) -> None:
    open_sheet(window, "l")
    paper = window.locator("[data-paper]")
    box = paper.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 3, box["y"] + box["height"] / 4
    touch = {"pointerId": 7, "pointerType": "touch", "isPrimary": True, "button": 0, "bubbles": True}
    paper.evaluate("one => { one.setPointerCapture = () => {}; }")  # a made-up touch cannot be captured
    for last in ("pointercancel", "pointerup"):
        paper.dispatch_event("pointerdown", {**touch, "clientX": x, "clientY": y})
        for step in range(1, 20):
            paper.dispatch_event("pointermove", {**touch, "clientX": x, "clientY": y + 10 * step})
        if last == "pointercancel":
            paper.dispatch_event(last, touch)
            assert window.locator("[data-live] polyline").count() == 0
            continue
        with change_taken(window):
            paper.dispatch_event(last, touch)

    window.get_by_text("Strokes: 1.").wait_for()
