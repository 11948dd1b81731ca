"""The wall: what the class sees while its teacher leads, by synthetic events and without a screen."""

from __future__ import annotations

import random
from contextlib import nullcontext
from pathlib import Path
from typing import Any

import numpy as np
import pygame
import pytest
import sqlalchemy

from strokes.simulation.hand import write as by_hand
from tests.cases import for_each
from tests.recording import RecordingCanvas
from tests.shipped import PRINT, SLANTED
from tests.trainer.samples import attempt
from tests.trainer.test_spoken_practice import Told
from trainer.commands.options import Location
from trainer.commands.show import to_show
from trainer.drawing import theme
from trainer.drawing.raster.fonts import place as placed
from trainer.drawing.theme import Metrics
from trainer.errors import UsageError
from trainer.language import spoken, text
from trainer.places import record_file
from trainer.record.record import Record
from trainer.speech import Silence, Voice
from trainer.teaching import NAME_LETTERS
from trainer.teaching.word_offers import rhyme_round
from trainer.wall import Item, WallLetter, WallRhymes, WallWord, open_wall, planned_items, typed_items
from trainer.wall.from_afar import BRIGHT, DARK, THINNEST, Light, caption_size, px
from trainer.wall.leading import BACK, BLANK, ON, Leading
from trainer.wall.turns import Act
from trainer.wall.views.rhyming import RhymesView
from trainer.wall.views.view import Manner
from trainer.wall.views.writing import WritingView
from trainer.window.events import KeyEvent, PointerEvent
from trainer.window.scenes.buttons import WHITE
from trainer.window.scenes.leaving import Leaving
from trainer.window.window import POINTER_RESTS
from trainer.wordbank import name_word, school_words

WIDE, UPRIGHT = (1920, 1080), (1080, 1920)
SIZES = [(1280, 800), WIDE, (800, 480), UPRIGHT, (1024, 768)]
BANK = school_words({}).bank


def wall(
    *typed: str | Item, size: tuple[int, int] = WIDE, voice: Voice | None = None, **options: Any
) -> Leading:
    """The wall with what a teacher typed, at its first turn."""
    items = [
        item
        for word in typed
        for item in (typed_items([word], PRINT, {}) if isinstance(word, str) else [word])
    ]
    hand = options.pop("hand", None)
    scene = Leading(items, Manner(voice or Silence(), **options), hand=hand)
    scene.on_resize(size, Metrics.of(size))
    scene.on_show()
    return scene


def press(scene: Leading, *keys: str) -> None:
    for key in keys:
        scene.on_key(KeyEvent(key))


def pass_time(scene: Leading, seconds: float) -> None:
    for _ in range(round(seconds / 0.05)):
        scene.on_tick(0.05)


def touch(scene: Leading, *points: tuple[float, float], lift: bool = True) -> None:
    """A finger comes down, moves from point to point, and is lifted."""
    for number, (x, y) in enumerate(points):
        scene.on_pointer(PointerEvent("move" if number else "down", x, y, number / 60))
    if lift:
        scene.on_pointer(PointerEvent("up", *points[-1], len(points) / 60))


def at_stroke(scene: Leading, place: int, part: int = 0) -> WritingView:
    """Step on to a stroke of a letter of the first item."""
    while (scene.turn.act, scene.turn.place, scene.turn.part) != (Act.WRITE, place, part):
        scene.on()
    assert isinstance(scene.view, WritingView)
    return scene.view


def stroke(view: WritingView, part: int) -> list[tuple[float, float]]:
    """A stroke as a steady hand would write it, in px."""
    line = view.box.transform.apply(by_hand(view.formation).traces[part].points)
    return [(float(x), float(y)) for x, y in line]


def drawn(scene: Leading, size: tuple[int, int] = WIDE) -> RecordingCanvas:
    canvas = RecordingCanvas(size)
    scene.draw(canvas)
    return canvas


# Turns


def test_a_word_is_heard_counted_written_stroke_by_stroke_and_read() -> None:
    """The digraph is one sound in one box, the silent e is written and has none."""
    acts = [turn.act for turn in wall("shake").turns]

    assert [(act, acts.count(act)) for act in dict.fromkeys(acts)] == [
        (Act.HEAR, 1),
        (Act.COUNT, 4),
        (Act.BOXES, 1),
        (Act.WRITE, sum(len(PRINT[letter].taught.strokes) for letter in "shake")),
        (Act.READ, 1),
        (Act.END, 1),
    ]


def test_a_name_has_no_sounds_to_count() -> None:
    acts = {turn.act for turn in wall(WallWord(name_word("Nilo"), PRINT)).turns}

    assert acts == {Act.WRITE, Act.READ, Act.END}


def test_on_beyond_the_end_and_back_before_the_beginning_nothing_happens() -> None:
    scene = wall("b", "i")
    press(scene, *BACK)
    assert scene.at == 0
    press(scene, *ON, *ON, *ON)
    assert scene.turn.act is Act.END
    press(scene, *["page up"] * 20)
    assert (scene.at, scene.reached) == (0, 2)


@pytest.mark.parametrize("blank", sorted(BLANK))
def test_a_clicker_blanks_the_wall_and_the_next_press_of_it_shows_the_same_turn_again(blank: str) -> None:
    scene = wall("ship")
    press(scene, "page down", blank)
    assert not drawn(scene).texts
    assert not scene.marks
    press(scene, "page down")
    assert (scene.at, drawn(scene).texts) == (1, [text("wall.count")])
    press(scene, blank, blank)
    assert drawn(scene).texts


def test_without_items_the_wall_says_that_nothing_is_planned() -> None:
    assert text("wall.nothing") in drawn(wall()).texts


# What is heard, and what carries it without sound


def test_sounds_words_and_cues_are_said_and_never_what_the_class_is_to_do() -> None:
    voice = Told()
    scene = wall("ship", voice=voice)
    for _ in range(200):
        pass_time(scene, 0.5)
        voice.speaking = False
        if scene.turn.act is Act.END:
            break
        if not isinstance(scene.view, WritingView) or scene.view.pen is None:
            scene.on()

    cues = {stroke.cue for letter in "ship" for stroke in PRINT[letter].taught.strokes}
    said = {words for words in voice.said if words != ("stop",)}
    assert said == {(each,) for each in {"SH", "IH", "P", "ship", *cues}}
    assert {utterance.text for utterance in voice.prepared} == {"SH", "IH", "P", "ship", *cues}


def test_where_nothing_is_heard_each_box_shows_its_letters_as_its_sound_comes() -> None:
    scene = wall("ship")
    press(scene, "c")
    for boxes in range(4):
        while scene.view.sounding.heard < boxes:  # type: ignore[attr-defined]
            scene.on_tick(0.05)
        lines = len(drawn(scene).named("line"))
        assert lines == sum(len(PRINT[c].taught.strokes) for c in "".join(("sh", "i", "p")[:boxes]))


def test_a_count_is_shown_and_said_sound_by_sound() -> None:
    voice = Told()
    scene = wall("box", voice=voice)
    counts = []
    while scene.turn.act is not Act.BOXES:
        scene.on()
        counts.append((len(drawn(scene).named("disc")), voice.said[-1]))

    assert counts[:-1] == [(0, ("box",)), (1, ("B",)), (2, ("AA",)), (3, ("K",)), (4, ("S",))]


# The pen


def test_the_pen_writes_one_stroke_says_its_cue_and_waits_for_the_teacher() -> None:
    voice = Told()
    scene = wall("k", voice=voice)
    voice.speaking = False
    pass_time(scene, 20)
    view = at_stroke(scene, 0)

    assert (scene.at, len(view.strokes), view.pen) == (0, 1, None)
    assert voice.said[-1] == (PRINT["k"].taught.strokes[0].cue,)
    assert drawn(scene).texts[0] == voice.said[-1][0]


def test_she_steps_on_in_the_middle_of_a_stroke_and_back_to_what_stood_there() -> None:
    scene = wall("k", "t")
    pass_time(scene, 1)
    view = at_stroke(scene, 0)
    assert view.marks[0].points
    press(scene, "page down")
    assert [len(line.points) for line in view.strokes] == [len(PRINT["k"].taught.strokes[0].path)]
    press(scene, "page down")
    assert len(view.strokes) == len(PRINT["k"].taught.strokes)
    press(scene, "page up")
    assert (len(view.strokes), view.pen) == (2, None)
    press(scene, "page up")
    assert (len(view.strokes), view.pen) == (1, None)


def test_slower_is_slower_and_after_the_slowest_comes_the_natural_pace() -> None:
    written = []
    for times in range(4):
        scene = wall("l")
        press(scene, *["s"] * times)
        pass_time(scene, 1.5)
        written.append(len(scene.marks[0].points))

    assert written[0] == written[3] > written[1] > written[2] > 0


def test_without_motion_no_pen_moves_and_the_letter_has_arrows() -> None:
    scene = wall("l", motion=False)
    lines = len(drawn(scene).named("line"))
    for _ in range(200):
        scene.on_tick(0.05)
        assert scene.tip is None
        assert not scene.marks or not scene.marks[0].points or scene.view.strokes  # type: ignore[attr-defined]

    assert lines > len(drawn(wall("l")).named("line"))


# Her own ink


def test_she_takes_the_pen_in_the_middle_of_a_stroke_and_hers_stands_for_it() -> None:
    scene = wall("k")
    pass_time(scene, 1)
    view = at_stroke(scene, 0)
    touch(scene, *stroke(view, 0))

    assert (scene.at, [line.color for line in view.strokes]) == (0, [theme.BLUE])
    pass_time(scene, 5)
    assert len(view.strokes) == 1
    press(scene, "page down")
    pass_time(scene, 10)
    assert [line.color for line in view.strokes] == [theme.BLUE, theme.BLACK]


def test_a_stroke_that_she_writes_after_the_pens_is_the_next_one() -> None:
    scene = wall("k", "b")
    pass_time(scene, 10)
    view = at_stroke(scene, 0)
    touch(scene, *stroke(view, 1))
    assert (scene.at, scene.turn.part, len(view.strokes)) == (1, 1, 2)
    assert view.caption == PRINT["k"].taught.strokes[1].cue

    touch(scene, *stroke(view, 0))  # one more than the letter has
    assert (scene.at, len(view.strokes)) == (1, 3)
    press(scene, "page down", "page up")
    assert len(view.strokes) == 3
    press(scene, "r")
    pass_time(scene, 10)
    assert [line.color for line in view.strokes] == [theme.BLACK, theme.BLACK]


def test_what_she_wrote_stands_in_the_word_when_it_is_read() -> None:
    scene = wall("it")
    view = at_stroke(scene, 0)
    touch(scene, *stroke(view, 0))
    while scene.turn.act is not Act.READ:
        press(scene, "space")

    colors = [call.given["color"] for call in drawn(scene).named("line")]
    assert colors.count(BRIGHT.of(theme.BLUE)) == 1


def test_a_key_in_the_middle_of_her_stroke_lifts_the_pen_for_her() -> None:
    scene = wall("k", "b")
    view = at_stroke(scene, 0)
    line = stroke(view, 0)
    half = line[: len(line) // 2]
    touch(scene, *half, lift=False)
    press(scene, "page down")
    scene.on_pointer(PointerEvent("up", *half[-1], 1.0))  # of the stroke that was left

    assert view.strokes[0].color == theme.BLUE
    assert len(view.strokes) == 1


def test_a_tap_on_the_paper_steps_on_but_a_dot_that_is_due_is_written() -> None:
    scene = wall("i", "b")
    pass_time(scene, 10)
    view = at_stroke(scene, 0)
    (dot,) = view.box.transform.apply(PRINT["i"].taught.strokes[1].path[:1])
    x, y = view.box.rect.center
    touch(scene, (x, y + view.box.unit))
    assert (scene.at, view.pen is not None) == (1, True)  # the pen writes the dot
    press(scene, "page up")
    touch(scene, (float(dot[0]) + 3, float(dot[1])))
    assert (scene.at, view.strokes[1].color, view.pen) == (1, theme.BLUE, None)


def test_a_tap_beside_the_paper_steps_on_and_at_the_left_edge_back() -> None:
    scene = wall("ship")
    touch(scene, (900, 300))
    touch(scene, (900, 300))
    assert scene.at == 2
    touch(scene, (30, 500))
    assert scene.at == 1
    touch(scene, (900, 300), (1000, 300))  # a hand that brushes the wall
    assert scene.at == 1


def test_a_change_of_size_keeps_what_stands_there_and_the_stroke_under_the_pen() -> None:
    scene = wall("k")
    view = at_stroke(scene, 0)
    line = stroke(view, 0)
    points = line[: len(line) // 2]
    touch(scene, *points, lift=False)
    scene.on_pointer(PointerEvent("cancel", *points[-1], 1.0))  # as the window does
    before = view.strokes[0].points.copy()
    scene.on_resize(UPRIGHT, Metrics.of(UPRIGHT))

    assert np.array_equal(view.strokes[0].points, before)
    assert view.box.rect.right <= UPRIGHT[0]


def test_who_was_asked_whether_to_leave_and_stays_finds_everything_as_it_was() -> None:
    window, scene = open_wall(typed_items(["k"], PRINT, {}), size=(800, 480))
    touch(scene, *stroke(at_stroke(scene, 0), 0))
    window._ask()
    assert isinstance(window.scene, Leaving)
    window._ask()
    assert window.scene is scene
    assert [line.color for line in at_stroke(scene, 0).strokes] == [theme.BLUE]
    window.close()


def test_the_arrow_of_a_mouse_does_not_lie_on_the_wall_while_it_rests() -> None:
    window, _ = open_wall(typed_items(["k"], PRINT, {}), size=(800, 480))
    motion = pygame.event.Event(pygame.MOUSEMOTION, pos=(9, 9), rel=(1, 1), buttons=(0, 0, 0), touch=False)
    seen = []
    for events, seconds in (([], 0.1), ([], POINTER_RESTS), ([], 0.1), ([motion], 0.1)):
        window.step(events, seconds)
        seen.append(pygame.mouse.get_visible())
    window.step([], 4)
    window._ask()
    window.step([], 4)
    seen.append(pygame.mouse.get_visible())
    window.close()

    assert seen == [True, False, False, True, True]


# Her controls


@for_each("size", SIZES)
@for_each("hand", ["left", None])
def test_the_controls_are_in_the_corner_of_her_hand_and_nothing_lies_on_them(
    size: tuple[int, int], hand: str | None
) -> None:
    scene = wall("ship", size=size, hand=hand)
    rects = [button.rect for button in scene.buttons.all]

    assert [button.name for button in scene.buttons.all] == ["back", "again", "slower", "on"]
    for rect in rects:
        assert rect.left >= 0
        assert rect.right <= size[0]
        assert rect.bottom <= size[1]
        assert (rect.center[0] < size[0] / 2) == (hand == "left")
        assert rect.top >= scene.body.bottom
        assert (
            rect.right <= scene.caption.left
            or rect.left >= scene.caption.right
            or (rect.top >= scene.caption.bottom)
        )


def test_a_clicker_puts_the_controls_away_and_a_touch_in_their_corner_brings_them_back() -> None:
    scene = wall("ship")
    corner = scene.buttons.all[-1].rect.center
    press(scene, "page down")
    assert scene.buttons.all == ()
    touch(scene, corner)
    assert (scene.at, len(scene.buttons.all)) == (1, 4)
    touch(scene, corner)
    assert (scene.at, len(scene.buttons.all)) == (2, 4)


# Rhymes


def rhymes() -> Leading:
    rounds = rhyme_round(BANK["ship"], [BANK[word] for word in ("slip", "zip", "trip", "cat", "dog", "hat")])
    assert rounds is not None
    return wall(WallRhymes(rounds, PRINT))


def test_rhymes_are_found_one_a_turn_and_then_words_are_made() -> None:
    scene = rhymes()
    ticks = []
    while scene.turn.act is Act.RHYMES:
        ticks.append(len(drawn(scene).named("disc")))
        scene.on()
    made = [drawn(scene).texts[0]]
    while scene.turn.act is Act.MAKE:
        made.append(drawn(scene).texts[0])
        scene.on()

    assert ticks == [0, 1, 2, 3]
    assert made[1:] == [text("practice.rhymes.make"), text("wall.made", word="zip")]


def test_a_touch_on_a_word_finds_it_and_one_that_does_not_rhyme_turns_pale() -> None:
    scene = rhymes()
    view = scene.view
    assert isinstance(view, RhymesView)
    for word in ("zip", "cat", "zip", "cat"):
        touch(scene, view.cells[word].center)
    assert (scene.turn.part, view.rhyming, view.unlike) == (1, ["zip"], ["cat"])
    scene.on()
    assert view.rhyming == ["zip", "slip"]
    scene.back()
    assert view.rhyming == ["zip"]


# Seen from the last row


@pytest.mark.parametrize("size", SIZES)
def test_every_cue_can_be_read_from_the_last_row(size: tuple[int, int]) -> None:
    """No caption is made smaller to fit: a capital has 20 minutes of arc at 8 m."""
    scene = wall("b", size=size)
    asked = caption_size(Metrics.of(size))
    captions = {
        spoken.cue_of(letter.taught, part)
        for alphabet in (PRINT, SLANTED)
        for letter in alphabet.letters
        for part in range(len(letter.taught.strokes))
    }
    captions |= {text(f"wall.{key}") for key in ("hear", "which", "count", "nothing", "end")}
    captions |= {text("wall.rhymes", word="lighthouse"), text("practice.rhymes.make")}
    sizes = {placed(caption, scene.caption, asked, "center", True, True)[0].size for caption in captions}

    assert sizes == {round(asked)}


@for_each("size", SIZES)
@for_each("word", ["ship", "shake", "splash", "lighthouse"])
def test_a_letter_that_is_written_is_larger_than_any_caption(size: tuple[int, int], word: str) -> None:
    """An x-height of two captions' capitals at least, and all of it in sight."""
    item = WallWord(BANK.get(word) or name_word(word), PRINT)
    scene = wall(item, size=size)
    for place in range(len(word)):
        view = at_stroke(scene, place)
        assert view.box.unit >= 2 * px(Metrics.of(size), 20)
        assert view.box.rect.left >= scene.body.left - 1
        assert view.box.rect.right <= scene.body.right + 1
        assert view.box.rect.bottom <= scene.body.bottom + 1


@pytest.mark.parametrize("light", [BRIGHT, DARK], ids=["bright", "dark"])
def test_black_on_paper_is_seen_in_either_room(light: Light) -> None:
    """4.5 to 1 for words and strokes, 3 to 1 for lines and marks: WCAG 2.2, with the light of the room."""
    for paper in (theme.PAPER, WHITE):
        assert all(light.contrast(ink, paper) >= 4.5 for ink in (theme.BLACK, theme.TEXT, theme.QUIET))
        marks = (theme.BLUE, theme.VERMILLION, theme.GREEN, theme.EDGE, theme.GUIDE)
        assert all(light.contrast(mark, paper) >= 3 for mark in marks)


@pytest.mark.parametrize("size", SIZES)
def test_no_line_is_too_thin_for_the_last_row(size: tuple[int, int]) -> None:
    scene = wall("ship", size=size)
    press(scene, "l")
    for _ in range(len(scene.turns)):
        press(scene, "page down")
        for call in drawn(scene, size).named("line"):
            assert call.given["width"] >= px(Metrics.of(size), THINNEST) - 1e-9


def test_the_room_can_be_changed_in_the_middle_of_a_stroke() -> None:
    scene = wall("k")
    pass_time(scene, 1)
    before = drawn(scene).named("fill")[0].given["color"]
    press(scene, "l")
    pass_time(scene, 0.1)

    assert (before, drawn(scene).named("fill")[0].given["color"]) == (
        BRIGHT.of(theme.PAPER),
        DARK.of(theme.PAPER),
    )
    assert scene.tip is not None
    assert scene.tip.color == DARK.of(theme.VERMILLION)


def test_in_a_dark_room_the_question_whether_to_leave_is_not_on_white() -> None:
    leaving = Leaving(wall("k", light=DARK), lambda: None)
    leaving.on_resize(WIDE, Metrics.of(WIDE))
    canvas = RecordingCanvas(WIDE)
    leaving.draw(canvas)

    assert [call.given["color"] for call in canvas.named("fill")] == [DARK.of(theme.PAPER)]
    assert canvas.texts


# Whatever she does


@pytest.mark.parametrize("seed", range(4))
def test_whatever_she_does_the_wall_shows_a_turn(seed: int) -> None:
    """Keys, taps, strokes, halves of strokes and changes of size, in any order."""
    chance = random.Random(seed)
    scene = wall("shake", "i", *rhymes().items)
    keys = [*sorted(ON | BACK | BLANK), "r", "s", "l", "c", "x"]
    for _ in range(120):
        size = scene.metrics.width, scene.metrics.height
        where = [(chance.uniform(0, size[0]), chance.uniform(0, size[1])) for _ in range(3)]
        do = chance.random()
        if do < 0.5:
            press(scene, chance.choice(keys))
        elif do < 0.7:
            touch(scene, *where[: chance.choice((1, 3))], lift=chance.random() < 0.8)
        elif do < 0.75:
            scene.on_pointer(PointerEvent(chance.choice(("cancel", "up", "move")), *where[0], 9.0))
        elif do < 0.8:
            other = chance.choice(SIZES)
            scene.on_resize(other, Metrics.of(other))
        else:
            pass_time(scene, chance.uniform(0, 2))
        drawn(scene, size)
        if isinstance(scene.view, WritingView):
            assert scene.view.part == scene.turn.part
            assert len(scene.view.strokes) >= scene.turn.part


# What is shown, and of whom it tells nothing


def test_what_is_no_letter_and_no_word_is_refused_in_one_sentence() -> None:
    for typed in ("shlup", "", "Nilo", "ship!", "\n"):
        with pytest.raises(UsageError, match="words of the lists"):
            typed_items(["ship", typed], PRINT, {})
    with pytest.raises(UsageError, match="must have 'h' for 'ship'"):
        typed_items(["ship"], PRINT.only("capital"), {})
    assert [type(item) for item in typed_items(["Ship", "b"], PRINT, {})] == [WallWord, WallLetter]
    assert typed_items(["quay"], PRINT, {"quay": "qu:K! ay:IY!"}) == typed_items(
        ["quay"], PRINT, {"quay": "qu:K! ay:IY!"}
    )


def test_of_a_plan_no_name_is_shown() -> None:
    planned = planned_items([NAME_LETTERS, "c", "ǿ"], ["ship", "Nilo", "bella"], PRINT, {})

    assert planned.items == (WallLetter("c", PRINT), WallWord(BANK["ship"], PRINT))
    assert planned.left_out == ("Nilo", "bella")


def test_of_the_record_nothing_is_read_but_plans_words_and_settings(tmp_path: Path) -> None:
    """Neither names nor ink nor counts of a child are read, as the statements tell: none can be shown."""
    said: list[str] = []
    with Record.open(record_file(tmp_path)) as record:
        for number, name in enumerate(("Nella", "Bo")):
            pupil = record.pupils.add(name, group=f"Quay {number}")
            record.attempts.keep(attempt(pupil.id, "b"))
            record.plans.set(pupil.group, ["q"], pupil=pupil.id)
            record.plans.set(pupil.group, [NAME_LETTERS, "c", "ad"[number]])
            record.plans.set_words(pupil.group, ["ship", name])

        def note(_connection: Any, _cursor: Any, statement: str, *_: Any) -> None:
            said.append(statement)

        sqlalchemy.event.listen(sqlalchemy.Engine, "before_cursor_execute", note)
        try:
            items, _ = to_show(nullcontext(record), Location(tmp_path), (), None)
            one_group, _ = to_show(nullcontext(record), Location(tmp_path), (), "Quay 1")
            to_show(nullcontext(record), Location(tmp_path), ("ship",), None)
        finally:
            sqlalchemy.event.remove(sqlalchemy.Engine, "before_cursor_execute", note)

    named = [item.letter if isinstance(item, WallLetter) else item.word.text for item in items]  # type: ignore[union-attr]
    assert named == ["c", "a", "d", "ship"]
    assert len(one_group) == 3
    read = {
        line.split(" FROM ")[1].split()[0].strip('"')
        for s in said
        if " FROM " in (line := " ".join(s.split()))
    }
    assert read <= {"plan", "planned_word", "lesson_entry", "own_word", "setting", "pupil"}
    assert {s for s in said if "pupil" in s and "class_group" not in s} == set()
    assert not [s for s in said if "name" in s.split("FROM")[0] and "pupil" in s]
