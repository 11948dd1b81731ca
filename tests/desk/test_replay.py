"""The replay in a real browser, with the browser's clock in the test's hand: nothing here waits for time."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

import pytest
from werkzeug.serving import make_server

from strokes.ink import Ink
from tests.desk.visitor import PASSPHRASE, TODAY
from trainer import places
from trainer.attempt import Attempt, Step, Verdict
from trainer.desk.app import create_app
from trainer.desk.desk import Desk
from trainer.record.record import Record

if TYPE_CHECKING:
    from playwright.sync_api import Browser as Chromium
    from playwright.sync_api import Page, StorageState

pytestmark = pytest.mark.browser

TWO = Ink.from_arrays(
    [[[0.0, -1.0], [0.0, -0.5], [0.0, 0.0]], [[0.0, -1.5], [0.02, -1.48]]],
    times=[[0.0, 0.4, 1.0], [2.0, 2.2]],
)
"""Two strokes: down in a second, slower at its end, a second in the air, and a dot."""


@pytest.fixture(scope="module")
def record(demo_record: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    copy = shutil.copy(demo_record, tmp_path_factory.mktemp("replay") / places.RECORD)
    with Record.open(Path(copy), now=TODAY) as opened:
        yield opened


@pytest.fixture(scope="module")
def address(record: Record, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Where the desk answers while the tests run: the page of an attempt of known times."""
    verdict = Verdict("taught", formed=True, looks=True)
    attempt = record.attempts.keep(Attempt(None, 1, "i", Step.COPY, TODAY, TWO, verdict))
    server = make_server("127.0.0.1", 0, lambda *request: served(*request), threaded=False)
    host = f"127.0.0.1:{server.server_port}"
    desk = Desk(record, letters_folder=tmp_path_factory.mktemp("letters"), clock=lambda: TODAY)
    served = create_app(desk, hosts=(host,), testing=True)
    thread = Thread(target=server.serve_forever)
    thread.start()
    yield f"http://{host}/pupil/1/attempt/{attempt.id}"
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.fixture(scope="module")
def teacher(chromium: Chromium, address: str) -> StorageState:
    """What a browser keeps once the passphrase was given."""
    page = chromium.new_page()
    page.goto(address)
    page.fill("[name=passphrase]", PASSPHRASE)
    page.click("main button")
    page.locator("[data-stage]").wait_for()
    state = page.context.storage_state()
    page.close()
    return state


@pytest.fixture
def room(chromium: Chromium, address: str, teacher: StorageState) -> Iterator[Room]:
    page = chromium.new_page(storage_state=teacher)
    yield Room(page, address)
    page.close()


class Room:
    """The page of the attempt in the browser, its clock stopped."""

    def __init__(self, page: Page, address: str) -> None:
        self.page = page
        self.faults: list[str] = []
        self.page.on("pageerror", lambda error: self.faults.append(str(error)))
        self.page.on(
            "console",
            lambda message: self.faults.append(message.text) if message.type == "error" else None,
        )
        self.page.clock.install(time=TODAY)
        self.page.goto(address)
        self.page.locator("[data-controls]").wait_for()
        self.page.clock.pause_at(TODAY.replace(hour=TODAY.hour + 1))

    def press(self, name: str) -> None:
        self.page.click(f"[data-do={name}]")

    def passes(self, seconds: float) -> None:
        self.page.clock.run_for(round(1000 * seconds))

    def slide(self, time: float) -> None:
        self.page.locator("[data-do=scrub]").fill(f"{time:g}")

    @property
    def time(self) -> float:
        """The moment of the ink that is shown, in seconds."""
        return float(self.page.locator("[data-stage]").get_attribute("data-time"))

    @property
    def pen(self) -> tuple[float, float]:
        """Where the pen is, in x-heights."""
        pen = self.page.locator("[data-pen]")
        return tuple(float(pen.get_attribute(axis)) / 100 for axis in ("cx", "cy"))

    @property
    def written(self) -> list[str]:
        """The strokes so far, as their points."""
        return [line.get_attribute("points") for line in self.page.locator("[data-paper] polyline").all()]

    @property
    def caption(self) -> str:
        return self.page.locator("[data-told]").inner_text()

    def shown(self, name: str) -> bool:
        return self.page.locator(f"[data-do={name}]").is_visible()


FRAME = 0.035
"""Two frames of a screen: the first one only starts the clock, the last one may come just before."""


def test_true_speed_is_the_speed_of_the_ink_and_half_and_double_are_of_it(room):
    assert room.time == pytest.approx(2.2)

    for choice, rate in (("true", 1.0), ("half", 0.5), ("double", 2.0)):
        room.page.check(f"[name=speed][value={choice}]")
        room.slide(0)
        room.press("play")
        room.passes(0.8)
        assert room.time == pytest.approx(0.8 * rate, abs=FRAME * rate)
        room.press("play")
    assert room.faults == []


def test_the_pen_is_where_it_was_at_that_moment(room):
    """In the first stroke it slowed down: after 0.4 s half of it was written, after 0.7 s three quarters."""

    for moment, place in ((0.0, -1.0), (0.2, -0.75), (0.4, -0.5), (0.7, -0.25), (1.0, 0.0)):
        room.slide(moment)
        assert room.pen == pytest.approx((0.0, place), abs=1e-6)
    room.slide(0.7)
    assert room.written == ["0,-100 0,-50 0,-25", ""]
    room.slide(1.5)
    assert room.pen == pytest.approx((0.0, -0.75)), "in the air it glides from the lift to the next start"
    assert "lifted" in room.page.locator("[data-pen]").get_attribute("class")
    assert room.written == ["0,-100 0,-50 0,0", ""]
    room.slide(2.0)
    assert room.written[1] == "0,-150 0,-150", "a touch is a dot"


def test_it_plays_to_the_end_and_from_the_beginning_again(room):

    room.press("play")
    assert room.page.locator("[data-do=play]").inner_text() == "Pause"
    room.passes(0.5)
    assert room.caption == "Stroke 1 of 2"
    room.passes(10)

    assert room.time == pytest.approx(2.2)
    assert room.caption == "All of it"
    assert room.page.locator("[data-do=play]").inner_text() == "Play"
    room.press("play")
    room.passes(0.5)
    assert room.time == pytest.approx(0.5, abs=FRAME)


def test_a_pause_holds_the_pen(room):
    room.press("play")
    room.passes(0.5)
    room.press("play")
    held = room.time

    room.passes(5)

    assert room.time == held


def test_the_next_stroke_is_written_alone_and_the_one_before_comes_back(room):

    room.press("next")
    room.passes(9)
    assert room.time == pytest.approx(1.0), "it stops where the pen was lifted"
    room.press("next")
    assert room.time == pytest.approx(2.0), "nobody waits through the air"
    room.passes(9)
    assert room.time == pytest.approx(2.2)
    room.press("previous")
    assert room.time == pytest.approx(2.0)
    room.press("previous")
    assert room.time == 0.0


def test_it_is_played_by_the_keyboard_alone(room):
    room.page.locator("[data-do=play]").focus()

    room.page.keyboard.press("Enter")
    room.passes(0.5)
    room.page.keyboard.press("Space")
    assert room.time == pytest.approx(0.5, abs=FRAME)
    for _ in range(3):
        room.page.keyboard.press("Tab")
    room.page.keyboard.press("Home")
    assert room.time == 0.0
    scrub = room.page.locator("[data-do=scrub]")
    assert scrub.get_attribute("aria-valuetext") == "0.0 seconds: Stroke 1 of 2"


def test_the_arrow_keys_go_step_by_step_wherever_the_focus_is_but_in_a_field(room):
    """Frame by frame, in both directions, and not beyond the ends; a written reason keeps its arrow keys."""
    room.page.keyboard.press("ArrowRight")
    assert room.time == pytest.approx(2.2), "all of it is there"
    room.page.keyboard.press("ArrowLeft")
    assert room.time == pytest.approx(2.2 - 1 / 60, abs=1e-3)
    room.slide(0)
    for _ in range(3):
        room.page.keyboard.press("ArrowRight")
    assert room.time == pytest.approx(3 / 60, abs=1e-3)
    assert room.pen == pytest.approx((0.0, -1.0 + 0.5 * 3 / 60 / 0.4), abs=1e-2)
    room.page.locator("[data-do=next]").focus()
    for _ in range(9):
        room.page.keyboard.press("ArrowLeft")
    assert room.time == 0.0

    room.page.locator("[name=reason]").fill("seen")
    room.page.keyboard.press("ArrowLeft")
    room.page.keyboard.type("!")
    assert room.page.locator("[name=reason]").input_value() == "see!n"
    assert room.time == 0.0


def test_nothing_moves_before_somebody_asks_for_it(room):

    room.passes(60)

    assert room.time == pytest.approx(2.2)
    assert not room.page.locator("[data-pen]").is_visible()


def test_who_asks_for_less_motion_gets_whole_strokes(chromium, address, teacher):
    page = chromium.new_page(storage_state=teacher, reduced_motion="reduce")
    room = Room(page, address)

    assert not room.shown("play")
    assert room.page.locator("[data-still]").is_visible()
    room.press("next")
    assert room.time == pytest.approx(1.0)
    room.passes(9)
    assert room.time == pytest.approx(1.0), "nothing moves by itself"
    room.press("next")
    assert room.time == pytest.approx(2.2)
    room.press("previous")
    assert room.time == pytest.approx(1.0)


def test_motion_that_was_turned_off_in_the_settings_stays_off(room, address, record: Record):
    record.settings.set("motion", "off")

    room.page.goto(address)
    room.page.locator("[data-controls]").wait_for()

    assert not room.shown("play")
    record.settings.set("motion", "on")


def test_ink_that_cannot_be_fetched_leaves_the_picture_and_says_so(chromium, address, teacher):
    page = chromium.new_page(storage_state=teacher)
    page.route("**/ink.json", lambda route: route.abort())

    page.goto(address)

    page.locator("[data-trouble]").wait_for()

    assert not page.locator("[data-controls]").is_visible()
    assert page.locator(".replay-whole").is_visible()
