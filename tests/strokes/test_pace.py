"""Pace: the pen is where it should be, never at a stand, and never faster than it was told."""

from __future__ import annotations

import numpy as np
import pytest

from strokes import Formation, Stroke
from strokes.polyline import length
from strokes.simulation.pace import HOP, SPEED, Pace
from tests.shipped import PRINT as ALPHABET


def test_the_pen_begins_at_the_start_and_ends_at_the_end() -> None:
    for name, letter in ALPHABET.items():
        pace, strokes = Pace(letter.taught), letter.taught.strokes
        np.testing.assert_allclose(pace.at(0.0)[1], strokes[0].path[0], atol=1e-9, err_msg=name)
        np.testing.assert_allclose(pace.at(pace.duration)[1], strokes[-1].path[-1], atol=1e-9, err_msg=name)
        assert len(pace.written(pace.duration)) == len(strokes), name


def test_the_pen_slows_at_corners_and_in_curves_and_never_stands() -> None:
    for line, times in Pace(ALPHABET["h"].taught).traces():
        speed = np.hypot(*np.diff(line, axis=0).T) / np.diff(times)
        assert speed.max() <= SPEED + 1e-9
        assert speed.min() > 0.2 * SPEED
        assert speed.min() < 0.5 * SPEED


def test_between_two_strokes_the_pen_is_in_the_air() -> None:
    pace = Pace(ALPHABET["t"].taught)
    lift, down = pace.span(0)[1], pace.span(1)[0]
    assert down - lift == pytest.approx(HOP)
    index, _, touching = pace.at((lift + down) / 2)
    assert (index, touching) == (1, False)
    assert len(pace.written((lift + down) / 2)) == 1


def test_what_is_written_grows_up_to_the_pen() -> None:
    pace = Pace(ALPHABET["s"].taught)
    spans = [length(pace.written(time)[0]) for time in np.linspace(0.01, pace.duration, 20)]
    assert spans == sorted(spans)
    time = pace.duration / 3
    np.testing.assert_allclose(pace.written(time)[0][-1], pace.at(time)[1])


def test_a_dot_takes_a_moment_and_half_the_speed_takes_twice_the_time() -> None:
    assert Pace(Formation("dot", (Stroke([[0.0, -1.5]]),))).duration > 0
    letter = ALPHABET["o"].taught
    assert Pace(letter, speed=SPEED / 2).duration == pytest.approx(2 * Pace(letter).duration)


def test_times_beyond_the_ends_are_the_ends() -> None:
    pace = Pace(ALPHABET["i"].taught)
    np.testing.assert_allclose(pace.at(-5.0)[1], pace.at(0.0)[1])
    np.testing.assert_allclose(pace.at(1e9)[1], pace.at(pace.duration)[1])
