"""The wall: what the class sees while its teacher leads, by synthetic events and without a screen."""

from __future__ import annotations

from tests.shipped import PRINT
from trainer.drawing.theme import Metrics
from trainer.speech import Silence
from trainer.wall import typed_items
from trainer.wall.leading import Leading
from trainer.wall.turns import Act
from trainer.wall.views.view import Manner
from trainer.wall.views.writing import WritingView
from trainer.window.events import KeyEvent

WIDE = (1920, 1080)


def wall(*typed: str, size: tuple[int, int] = WIDE, motion: bool = True) -> Leading:
    """The wall with what a teacher typed, at its first turn."""
    scene = Leading(typed_items(typed, PRINT, {}), Manner(Silence(), motion=motion))
    scene.on_resize(size, Metrics.of(size))
    scene.on_show()
    return scene


def press(scene: Leading, *keys: str) -> None:
    for key in keys:
        scene.on_key(KeyEvent(key))


def pass_time(scene: Leading, seconds: float) -> None:
    for _ in range(round(seconds / 0.05)):
        scene.on_tick(0.05)


def at_letter(scene: Leading, place: int, part: int = 0) -> WritingView:
    """Step on to a stroke of a letter of the first word."""
    while (scene.turn.act, scene.turn.place, scene.turn.part) != (Act.WRITE, place, part):
        scene.on()
    assert isinstance(scene.view, WritingView)
    return scene.view


def test_a_word_is_heard_counted_written_stroke_by_stroke_and_read() -> None:
    """The digraph is one sound in one box, the silent e is written and has none."""
    scene = wall("shake")
    acts = [turn.act for turn in scene.turns]

    assert [(act, acts.count(act)) for act in dict.fromkeys(acts)] == [
        (Act.HEAR, 1),
        (Act.COUNT, 4),
        (Act.BOXES, 1),
        (Act.WRITE, sum(len(PRINT[letter].taught.strokes) for letter in "shake")),
        (Act.READ, 1),
        (Act.END, 1),
    ]


def test_on_beyond_the_end_and_back_before_the_beginning_nothing_happens() -> None:
    scene = wall("b", "i")
    press(scene, "page up", "left")
    assert scene.at == 0
    press(scene, *["page down"] * 20)
    assert scene.turn.act is Act.END
    press(scene, *["page up"] * 20)
    assert scene.at == 0
    assert scene.reached == 2
