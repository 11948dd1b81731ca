"""`trainer doctor --touch` walks a grown-up through a sheet of trials and writes down what came."""

from __future__ import annotations

from collections import Counter
from itertools import combinations
from pathlib import Path
from typing import Any

import pygame
import pytest

from tests.cases import for_each
from tests.recording import RecordingCanvas
from tests.trainer.sessions import press, shown
from tests.trainer.test_scenes import SIZES, overlap, within
from tests.trainer.test_window import drag, release
from tests.trainer.test_window import press as mouse_press
from trainer.commands import doctor
from trainer.commands.cli import main
from trainer.drawing.rect import Rect
from trainer.drawing.theme import Metrics
from trainer.language.texts import text
from trainer.places import TOUCH
from trainer.window import trials
from trainer.window.events import PointerEvent
from trainer.window.scenes.touch_trial import TRIALS, Outcome, TouchTrial
from trainer.window.window import Window


class Sheet:
    """A trial, and what its window would have counted."""

    def __init__(self) -> None:
        self.tally: Counter[Any] = Counter()
        self.over = False
        self.screen: TouchTrial = shown(TouchTrial(lambda: self.tally, self.end), (800, 480))

    def end(self) -> None:
        self.over = True

    def draw(self, *events: PointerEvent) -> None:
        for event in events:
            self.screen.on_pointer(event)


@for_each("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@for_each("trial", range(len(TRIALS)))
def test_every_trial_holds_at_every_size(trial: int, size: tuple[int, int]) -> None:
    sheet = Sheet()
    for _ in range(trial):
        press(sheet.screen, "skip")
    screen, canvas, window = shown(sheet.screen, size), RecordingCanvas(size), Rect(0, 0, *size)
    screen.draw(canvas)
    targets = [*(button.rect for button in screen.buttons.all), screen.paper]

    assert not [pair for pair in combinations(targets, 2) if overlap(*pair)]
    assert all(within(target, window) for target in targets)
    assert screen.paper.height >= Metrics.of(size).mm(20)
    for call in canvas.named("text"):
        assert within(call.given["box"], call.given["where"]), call
        assert call.given["setting"].size >= Metrics.of(size).mm(1.7), call


def test_what_came_is_noted_trial_by_trial() -> None:
    sheet = Sheet()
    (left, y), _ = sheet.screen.line
    mm = sheet.screen.metrics.px_per_mm
    sheet.tally.update(touch=1, hover=2)
    sheet.draw(
        PointerEvent("move", left, y, 0.5, "touch"),  # whose beginning was refused
        PointerEvent("down", left, y, 1.0, "pen", 0.2, (1.0, 2.0)),
        PointerEvent("move", left + 50, y + 2 * mm, 1.01, "pen", 0.9, (1.0, 2.0)),
        PointerEvent("up", left + 90, y, 1.05, "pen", 0.4, (1.0, 2.0)),
    )
    assert [len(mark.points) for mark in sheet.screen.marks] == [3]
    press(sheet.screen, "next")
    sheet.tally.update(second=1)
    sheet.draw(PointerEvent("down", left, y, 2.0, "touch"), PointerEvent("up", left, y, 2.0, "touch"))
    press(sheet.screen, "next")

    first, second = sheet.screen.outcomes
    assert (first.strokes, first.kinds, first.tilted) == (1, {"pen": 1}, True)
    assert first.rate == pytest.approx(40)
    assert first.gap == pytest.approx(0.04)
    assert first.off == pytest.approx(2)
    assert first.pressure == (0.2, 0.9)
    assert first.tally == {"hover": 2}
    assert (second.strokes, second.rate, second.tally) == (1, None, {"second": 1})
    assert sheet.screen.marks == []


def test_a_trial_can_be_made_again_or_passed_over_and_the_last_one_ends_it() -> None:
    sheet = Sheet()
    (left, y), _ = sheet.screen.line
    down = PointerEvent("down", left, y, 1.0, "touch")
    sheet.draw(down, PointerEvent("cancel", left, y, 1.1, "touch"))
    sheet.tally.update(touch=1)
    press(sheet.screen, "again")
    assert (sheet.screen.outcome, sheet.screen.marks, sheet.screen.outcomes) == (Outcome("line"), [], [])
    for _ in TRIALS:
        assert not sheet.over
        press(sheet.screen, "skip")

    assert sheet.over
    assert [outcome.trial for outcome in sheet.screen.outcomes] == list(TRIALS)
    assert all(outcome.skipped and not outcome.tally for outcome in sheet.screen.outcomes)


@pytest.fixture
def windows(monkeypatch: pytest.MonkeyPatch) -> list[TouchTrial]:
    """In place of a person: a stroke by mouse, a trial passed over, then Escape."""
    opened: list[TouchTrial] = []

    def run(window: Window) -> None:
        scene = window.scene
        assert isinstance(scene, TouchTrial)
        opened.append(scene)
        window.step([], 0.02)
        (left, y), (right, _) = (tuple(map(round, end)) for end in scene.line)
        window.step([mouse_press(left, y), drag(left + 40, y)], 0.02)
        window.step([drag(right, y), release(right, y)], 0.02)
        press(scene, "next")
        press(scene, "skip")
        window.step([pygame.event.Event(pygame.KEYDOWN, key=pygame.K_ESCAPE, mod=0, unicode="")], 0.02)
        assert not window.open
        window.close()

    monkeypatch.setattr(trials.Window, "run", run)
    return opened


def test_the_command_says_what_came_and_writes_it_down(windows, tmp_path: Path, capsys) -> None:
    assert main(["doctor", "--touch", "--data", str(tmp_path)]) == 0
    said, written = capsys.readouterr().out, (tmp_path / TOUCH).read_text()

    assert len(windows) == 1
    for words in (said, written):
        assert "px to the millimeter" in words
        assert "One finger along the line: strokes 1 (mouse or unknown pen: 1); points a second" in words
        assert "A hand on the sheet: not tried" in words
        assert "Somebody else's finger" not in words
    assert TOUCH in said
    assert "record" not in written, "what is sent on says nothing of the record"


def test_everything_that_can_come_of_a_trial_has_its_words() -> None:
    outcome = Outcome("pen", strokes=2, kinds=Counter(pen=2), times=[[0.0, 0.1, 0.2]], off=1.25)
    outcome.pressure, outcome.tilted = (0.0, 1.0), True
    outcome.tally = Counter(wide=1, beside_pen=2, echo=3, elsewhere=4, second=5, hover=6)

    line = doctor._outcome(outcome)
    assert "strokes 2 (pens: 2)" in line
    assert "points a second 10, longest gap 100 ms" in line
    assert text("record.touch.pressure", least="0.00", most="1.00") in line
    assert "refused as a palm 1" in line
    assert doctor._outcome(Outcome("hover")) == text("record.touch.nothing", trial="Above the sheet")
