from __future__ import annotations

from math import hypot, pi

import numpy as np
import pytest

from strokes.alphabet import Alphabet
from strokes.letter import Formation, GuideLines, Letter, Stroke
from strokes.transform import Transform
from tests.cases import for_each
from tests.recording import RecordingCanvas
from tests.shipped import PRINT, SAMPLE_LETTERS, SLANTED
from trainer.drawing import lettering, theme
from trainer.drawing.arrows import chevrons, start_rings
from trainer.drawing.rect import Rect

UNIT = 100.0
PEN = 16.0
TO_PX = Transform(UNIT, UNIT, 300.0, 400.0)


def line(*points: tuple[float, float]) -> Stroke:
    return Stroke(np.array(points, float))


def round_letter(left: float = 0.0) -> Stroke:
    turn = np.linspace(-pi / 4, -9 * pi / 4, 80)
    return Stroke(np.column_stack([left + 0.45 + 0.45 * np.cos(turn), -0.5 + 0.5 * np.sin(turn)]))


STEM = line((0, -1), (0, 0))
TALL = line((0, -2), (0, 0))
RETRACED = line((0, -1), (0, 0), (0, -1), (0.6, -1))
DOT = line((0, -1.5), (0, -1.45))

ALPHABET = Alphabet(
    "for tests",
    tuple(
        Letter(name, (Formation("taught", strokes),))
        for name, strokes in {
            "i": (STEM, DOT),
            "l": (TALL,),
            "n": (line((0, -1), (0, 0), (0, -0.7), (0.3, -1), (0.6, -0.7), (0.6, 0)),),
            "o": (round_letter(),),
        }.items()
    ),
)


def gap(letter: str, other: str) -> float:
    """Distance between the boxes of two letters in a word, in x-heights."""
    ((before, at), (after, moved)), _ = lettering.spaced(ALPHABET, letter + other)
    return moved + after.taught.bounds[0] - at - before.taught.bounds[2]


def test_two_round_sides_stand_closer_than_a_round_and_a_straight_one_and_these_than_two_straight() -> None:
    """Even spacing to the eye: common practice of type, no source."""
    assert gap("o", "o") < gap("n", "o") < gap("n", "n")
    assert gap("n", "o") == pytest.approx(gap("o", "n"), abs=0.05)


def test_no_two_letters_of_the_shipped_alphabet_touch() -> None:
    for letter in SAMPLE_LETTERS:
        for other in (*PRINT.only("small"), *"0137"):
            ((before, at), (after, moved)), _ = lettering.spaced(PRINT, letter + other)
            for a in before.taught.strokes:
                for b in after.taught.strokes:
                    apart = (a.path + (at, 0))[:, None] - (b.path + (moved, 0))[None]
                    assert np.hypot(apart[..., 0], apart[..., 1]).min() > lettering.PEN, letter + other


@for_each("word", ["l", "on", "ill oil", "noooooooooooon"])
@for_each("rect", [Rect(10, 20, 300, 200), Rect(10, 20, 90, 400)])
def test_a_word_stays_in_its_box_and_on_one_scale(word: str, rect: Rect) -> None:
    canvas = RecordingCanvas()
    transform = lettering.word(canvas, ALPHABET, word, rect)
    assert transform.scale_x == transform.scale_y
    for call in canvas.named("line"):
        for x, y in call.given["points"]:
            reach = call.given["width"] / 2 - 0.01
            assert rect.left <= x - reach
            assert x + reach <= rect.right
            assert rect.top <= y - reach
            assert y + reach <= rect.bottom


def test_a_word_is_drawn_from_the_strokes_of_its_letters() -> None:
    canvas = RecordingCanvas()
    lettering.word(canvas, ALPHABET, "nil", Rect(0, 0, 400, 300), theme.BLUE)
    assert len(canvas.named("line")) == 4
    assert canvas.texts == []
    assert {call.given["color"] for call in canvas.named("line")} == {theme.BLUE}


def test_a_letter_that_the_alphabet_lacks_is_named() -> None:
    with pytest.raises(KeyError, match="'q' is not a letter"):
        lettering.word(RecordingCanvas(), ALPHABET, "oq", Rect(0, 0, 100, 100))


def test_the_four_guide_lines_differ_in_more_than_color() -> None:
    canvas = RecordingCanvas()
    guide = GuideLines(ascender=100, x_height=200, baseline=300, descender=400)
    lettering.guide_lines(canvas, guide, 50, 650)
    drawn = {
        (call.given["width"], call.given["dashed"]): call.given["points"] for call in canvas.named("line")
    }
    assert len(drawn) == 3, "solid thin, dashed, solid heavy"
    assert {points[0][1] for points in drawn.values()} == {100, 200, 300}
    assert {call.given["center"][1] for call in canvas.named("disc")} == {400}, "and dots"
    assert max(drawn)[0] == next(width for (width, _), points in drawn.items() if points[0][1] == 300)


def rings_of(*strokes: Stroke) -> list:
    lines = [TO_PX.apply(stroke.path) for stroke in strokes]
    return start_rings(lines, [stroke.is_dot for stroke in strokes], PEN, UNIT)


def test_a_ring_lies_on_the_start_of_its_stroke_and_bears_its_number() -> None:
    first, second = rings_of(STEM, line((0.8, -1), (0.8, 0)))
    assert (first.number, first.center) == (1, (300.0, 300.0))
    assert (second.number, second.center) == (2, (380.0, 300.0))


def test_a_dot_is_not_hidden_by_its_number() -> None:
    _, ring = rings_of(STEM, DOT)
    for point in TO_PX.apply(DOT.path):
        assert hypot(ring.center[0] - point[0], ring.center[1] - point[1]) >= ring.radius + PEN / 2 - 0.01


@pytest.mark.parametrize("strokes", [2, 3, 4])
def test_strokes_that_start_at_one_point_have_numbers_side_by_side(strokes: int) -> None:
    ends = [(0, 0), (0.8, -1), (0.8, 0), (-0.8, -0.5)]
    rings = rings_of(*(line((0, -1), end) for end in ends[:strokes]))
    for number, ring in enumerate(rings):
        for other in rings[:number]:
            apart = hypot(ring.center[0] - other.center[0], ring.center[1] - other.center[1])
            assert apart >= ring.radius + other.radius


def test_chevrons_point_the_way_the_pen_runs() -> None:
    for chevron in chevrons([TO_PX.apply(TALL.path)], PEN, UNIT, []):
        assert chevron.heading == pytest.approx((0, 1))
        assert not chevron.beside
        assert chevron.at[0] == pytest.approx(300)


def test_where_the_pen_comes_back_chevrons_lie_on_both_sides() -> None:
    """Each is on the right of its own way: left of the stem going down, right of it going up."""
    beside = [c for c in chevrons([TO_PX.apply(RETRACED.path)], PEN, UNIT, []) if c.beside]
    down = [c for c in beside if c.heading[1] > 0.9]
    up = [c for c in beside if c.heading[1] < -0.9]
    assert down
    assert up
    assert all(c.at[0] < 300 - PEN / 2 for c in down)
    assert all(c.at[0] > 300 + PEN / 2 for c in up)


@for_each("letter", sorted(PRINT))
def test_no_chevron_of_a_shipped_letter_lies_on_a_ring_or_another_chevron(letter: str) -> None:
    strokes = PRINT[letter].taught.strokes
    lines = [TO_PX.apply(stroke.path) for stroke in strokes]
    rings = start_rings(lines, [stroke.is_dot for stroke in strokes], PEN, UNIT)
    drawn = chevrons(lines, PEN, UNIT, rings)
    assert drawn
    for number, chevron in enumerate(drawn):
        for ring in rings:
            assert hypot(*np.subtract(chevron.at, ring.center)) > ring.radius + chevron.size
        for other in drawn[:number]:
            assert hypot(*np.subtract(chevron.at, other.at)) > 2 * chevron.size


def test_a_dot_has_a_number_and_no_chevron() -> None:
    assert chevrons([TO_PX.apply(DOT.path)], PEN, UNIT, []) == []


@pytest.mark.parametrize(("numbers", "arrows"), [(True, True), (True, False), (False, True), (False, False)])
def test_numbers_and_arrows_can_be_left_out(numbers: bool, arrows: bool) -> None:
    canvas = RecordingCanvas()
    lettering.formation(canvas, ALPHABET["i"].taught, TO_PX, PEN, theme.BLACK, numbers=numbers, arrows=arrows)
    assert canvas.texts == (["1", "2"] if numbers else [])
    assert len(canvas.named("line")) == 2 + (1 if arrows else 0)


def test_chevrons_can_be_seen_in_any_stroke() -> None:
    """Against the stroke they lie in: at least 3 to 1 (WCAG 2.2, 1.4.11)."""
    for color in (theme.BLACK, theme.PALE, theme.BLUE, theme.GREEN, theme.VERMILLION):
        canvas = RecordingCanvas()
        lettering.formation(canvas, ALPHABET["l"].taught, TO_PX, PEN, color)
        stroke, *marks = canvas.named("line")
        assert stroke.given["color"] == color
        assert all(theme.contrast(mark.given["color"], color) >= 3 for mark in marks)


@pytest.mark.parametrize("alphabet", [PRINT, SLANTED], ids=["print", "slanted"])
def test_every_shipped_letter_stands_inside_the_box_of_its_word(alphabet: Alphabet) -> None:
    """The mark of an Ä too, which stands above the highest line."""
    rect = Rect(20, 10, 150, 170)
    outside = set()
    for name in alphabet:
        canvas = RecordingCanvas()
        lettering.word(canvas, alphabet, name, rect)
        for call in canvas.named("line"):
            inner = rect.inset(call.given["width"] / 2 - 0.01)
            if not all(inner.contains(x, y) for x, y in call.given["points"]):
                outside.add(name)
    assert outside == set()
