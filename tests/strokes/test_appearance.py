"""Appearance: what is evened out before ink is laid on models, and what is kept."""

from __future__ import annotations

import numpy as np
import pytest

from strokes.letter import SETS, LetterSet
from strokes.matching.samples import SAMPLES
from strokes.polyline import Polyline, resample
from strokes.recognition.appearance import Models, ink_image
from strokes.warping.pairs import table
from strokes.weights import WEIGHTS
from tests.cases import for_each
from tests.shipped import BARE
from tests.shipped import PRINT as ALPHABET

STEM = np.array([[0.0, -1.0], [0.0, 0.0]])
RING = 0.1 * np.stack([np.cos(np.linspace(0, 6.3, 20)), np.sin(np.linspace(0, 6.3, 20))], axis=1) - (0, 1.4)


def lines(name: str) -> list[Polyline]:
    return [stroke.path for stroke in ALPHABET[name].taught.strokes]


def test_size_and_place_do_not_count() -> None:
    for name in ALPHABET:
        moved = ink_image([50 * line + (300, -700) for line in lines(name)])
        np.testing.assert_allclose(moved.samples, ink_image(lines(name)).samples, atol=1e-9, err_msg=name)


def test_a_slant_counts_less_than_it_measures() -> None:
    upright = lines("h")
    slanted = [line + np.outer(line[:, 1], (-0.4, 0)) for line in upright]
    apart = np.abs(ink_image(slanted).samples[:, :2] - ink_image(upright).samples[:, :2]).max()
    plain = np.abs(0.4 * np.vstack(upright)[:, 1]).max() / np.hypot(0.8, 2.0)
    assert apart < (1 - WEIGHTS.look_slant / 2) * plain


@pytest.mark.parametrize("traces", [[STEM, RING], [RING, STEM]], ids=["dot last", "dot first"])
def test_a_small_mark_above_the_rest_is_a_dot_whatever_its_shape_and_turn(traces: list[Polyline]) -> None:
    """The lines lie as beside a point, but that its own size is in the box that they are evened by."""
    point = np.array([[0.0, -1.4], [0.0, -1.4]])
    drawn = ink_image(traces)
    assert len(drawn.lines) == 1
    count, plain = WEIGHTS.look_dot_samples, ink_image([STEM, point])
    np.testing.assert_allclose(drawn.samples[:-count], plain.samples[:-count], atol=0.05)
    np.testing.assert_allclose(drawn.dot.mean(axis=0), plain.dot.mean(axis=0), atol=0.07)
    np.testing.assert_array_equal(drawn.samples[-count:, 2:], 0.0)


def test_a_bar_that_lies_a_little_above_a_stem_is_no_dot() -> None:
    bar = np.array([[-0.1, -1.02], [0.1, -1.02]])
    assert ink_image([np.array([[0.0, -1.0], [0.0, 0.0]]), bar]).dot is None
    assert ink_image([np.array([[0.0, -1.0], [0.0, 0.0]]), bar - (0.0, 0.2)]).dot is not None


def test_a_bar_across_a_stem_is_no_dot() -> None:
    assert ink_image(lines("t")).dot is None


def test_the_tallest_trace_is_no_dot_and_a_lone_point_is_a_line() -> None:
    assert ink_image([0.1 * STEM - (0, 2), 0.1 * STEM]).lines
    assert ink_image([np.array([[3.0, 3.0]])]).dot is None


def test_every_way_has_all_samples_and_the_written_one_comes_first() -> None:
    drawn = ink_image(lines("k"))
    assert drawn.arrangements.shape == (8, SAMPLES, 4)
    np.testing.assert_array_equal(drawn.arrangements[0], drawn.samples)


@for_each("name", "kitx")
@for_each("count", [1, 2, 3])
def test_no_way_costs_less_than_is_said_of_it(name: str, count: int) -> None:
    """And the line as it was written costs next to nothing on itself, and is said to cost no more."""
    models = np.stack([ink_image(lines(other)).samples for other in ALPHABET])
    pieces = [piece for line in lines(name) for piece in np.array_split(resample(line, 12 * count), count)]
    drawn = ink_image(pieces[:3])
    least, costs = drawn.at_least(models), table(drawn.arrangements, models)
    assert least.shape == costs.shape
    assert (least <= costs + 1e-9).all()
    assert least.mean() > 0.1 * costs.mean()  # it says something

    own = drawn.at_least(drawn.samples[None])
    assert abs(own[0, 0]) < 1e-9


def test_many_traces_are_followed_as_written_only() -> None:
    many = [STEM + (step, 0) for step in range(WEIGHTS.look_most_arranged + 1)]
    assert len(ink_image(many).arrangements) == 1


@pytest.mark.parametrize("letter_set", SETS)
def test_a_drawing_is_nearest_to_itself(letter_set: LetterSet) -> None:
    """In its set, and without letters with marks."""
    names = [letter.name for letter in BARE if letter.set == letter_set]
    models = Models(np.stack([ink_image(lines(name)).samples for name in names]))
    for at, name in enumerate(names):
        distances = models.look(ink_image(lines(name)).samples)
        assert distances.argmin() == at
        assert distances[at] == pytest.approx(0.0, abs=1e-6)


def test_a_drawing_looks_alike_run_backwards() -> None:
    models = Models(ink_image(lines("s")).samples[None])
    back = ink_image([line[::-1] for line in lines("s")])
    assert models.look(back.samples)[0] == pytest.approx(0.0, abs=1e-6)
