"""The difference between ink and model as it is drawn: what ran the other way, and where a stroke begins."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.polyline import length
from strokes.simulation import Fault, write
from tests.shipped import PRINT
from tests.trainer.samples import MONDAY
from trainer.attempt import Attempt, Step, Verdict
from trainer.desk.pictures.difference import begins, other_way
from trainer.desk.pictures.replay import marks, stage
from trainer.judging import Judge

JUDGE = Judge(PRINT)


def written(letter: str, fault: Fault, *, seed: int = 1) -> Attempt:
    """An attempt with a fault as the window keeps it."""
    ink = write(PRINT[letter], fault=fault, seed=seed)
    judged = JUDGE.judge(letter, ink, Step.COPY)
    return Attempt(None, 1, letter, Step.COPY, MONDAY, ink, judged.verdict, shown=judged.shown)


def found(attempt: Attempt, kind: Kind):
    assert attempt.verdict is not None
    return next(finding for finding in attempt.verdict.findings if finding.kind is kind)


@pytest.mark.parametrize(
    ("letter", "stroke"),
    [("l", 0), ("c", 0), ("o", 0), ("s", 0), ("t", 0), ("t", 1), ("x", 0), ("x", 1), ("7", 0)],
)
def test_a_stroke_that_ran_the_other_way_is_drawn_whole(letter, stroke):
    attempt = written(letter, Fault(Kind.DIRECTION, stroke=stroke))
    finding = found(attempt, Kind.DIRECTION)
    piece = other_way(attempt, finding, PRINT[letter].taught)

    assert piece is not None
    assert finding.part == (0.0, 1.0)
    assert length(piece) > 0.9 * length(attempt.ink.traces[finding.trace].points)


@pytest.mark.parametrize("seed", range(4))
def test_of_a_stroke_of_which_a_part_ran_the_other_way_that_part_is_drawn_as_the_pen_ran(seed):
    """The v is one stroke, down and up again: here its second line was written from the top down."""
    attempt = written("v", Fault(Kind.DIRECTION, part=1), seed=seed)
    finding = found(attempt, Kind.DIRECTION)
    piece = other_way(attempt, finding, PRINT["v"].taught)
    assert piece is not None
    assert finding.part is not None

    model = PRINT["v"].taught.strokes[0].path
    assert length(piece) == pytest.approx((finding.part[1] - finding.part[0]) * length(model), abs=0.3)
    assert piece[-1, 1] > piece[0, 1] + 0.5, "downwards, as it was written"


def test_a_stroke_that_began_somewhere_else_is_led_to_where_it_begins():
    attempt = written("l", Fault(Kind.START))
    finding = found(attempt, Kind.START)

    assert begins(attempt, finding, PRINT["l"].taught) == (0.0, -2.0)
    assert other_way(attempt, finding, PRINT["l"].taught) is None


def test_what_is_not_known_is_not_drawn():
    """Of other findings, of ink that is gone, of a letter that the alphabet has no more or has otherwise."""
    attempt = written("l", Fault(Kind.DIRECTION))
    finding = found(attempt, Kind.DIRECTION)

    assert begins(attempt, finding, PRINT["l"].taught) is None
    for other, formation in (
        (attempt, None),
        (replace(attempt, ink=Ink()), PRINT["l"].taught),
        (replace(attempt, ink=Ink.from_arrays([[[3.0, 0.0], [3.2, 0.1]]])), PRINT["l"].taught),
        (replace(attempt, ink=Ink.from_arrays([[[0.0, 0.0]]])), PRINT["l"].taught),
    ):
        assert other_way(other, finding, formation) is None
    for stroke in (None, 5):
        assert other_way(attempt, replace(finding, stroke=stroke), PRINT["l"].taught) is None
        assert begins(attempt, replace(finding, kind=Kind.START, stroke=stroke), PRINT["l"].taught) is None


def test_first_tries_are_hollow_and_so_told_apart_from_what_was_written_after_they_were_shown():
    ink = Ink.from_arrays([[[0.0, 0.0], [0.0, -1.0]], [[0.1, -1.0], [0.1, 0.0]]])
    mended = Attempt(None, 1, "l", Step.COPY, MONDAY, ink, Verdict("taught", False, True, mended=True))
    drawn = stage(ink, PRINT.guide, marks(mended, None), title="l", shown=(0,))

    assert 'data-hollow="0"' in drawn
    whole = drawn[drawn.index('class="replay-whole"') : drawn.index("data-paper")]
    assert whole.count("<polyline") == 3
    assert np.char.count(whole, "#FDFCF8") == 1
