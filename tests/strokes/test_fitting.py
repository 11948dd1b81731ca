"""Ink laid on a letter: proportions and slant are taken off, and the way back is exact."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from strokes.matching.fitting import Fit, apply_each, least_squares, proportioned
from strokes.polyline import Polyline, resample
from strokes.transform import Transform
from strokes.weights import WEIGHTS
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET


def samples(name: str) -> Polyline:
    return np.vstack([resample(stroke.path, 40) for stroke in ALPHABET[name].taught.strokes])


def leaning(line: Polyline, *, above: float = 1.0, slant: float = 0.0, size: float = 40.0) -> Polyline:
    """A writer's letter, in pixels: ascenders of another height, and leaning to the right."""
    y = np.where(line[:, 1] < -1, -1 + above * (line[:, 1] + 1), line[:, 1])
    return np.column_stack([line[:, 0] - slant * y, y]) * size + (300.0, 200.0)


SHARES = st.floats(-0.3, 0.3)


@given(SHARES, SHARES, SHARES, SHARES, st.floats(0.01, 100), st.floats(-50, 50))
def test_the_way_back_is_exact(
    above: float, below: float, slant: float, tilt: float, scale: float, shift: float
) -> None:
    fit = Fit(Transform(scale, scale, shift, -shift), above, below, slant, tilt)
    line = samples("f")

    np.testing.assert_allclose(fit.apply(fit.back(line)), line, atol=1e-8)


@given(SHARES, SHARES, SHARES, SHARES, st.floats(0.01, 100), st.floats(-50, 50))
def test_one_place_goes_there_and_back_as_a_line_does(
    above: float, below: float, slant: float, tilt: float, scale: float, shift: float
) -> None:
    fit = Fit(Transform(scale, -scale, shift, -shift), above, below, slant, tilt)

    for x, y in [(0.3, 2.0), (-1.5, 0.25), (70.0, -40.0)]:
        there = fit.at(x, y)
        assert there == tuple(fit.apply(np.array([x, y])).tolist())
        np.testing.assert_allclose(fit.back_at(*there), (x, y), atol=1e-8)


def test_lines_laid_out_by_several_fits_at_once_are_as_by_each_alone() -> None:
    plain, bent = (
        Fit(Transform(2.0, 3.0, 0.5, -1.0)),
        Fit(Transform(2.0, 2.0, 0.0, 1.0), 0.2, -0.1, 0.3, 0.05),
    )
    lines = np.array([samples("f"), samples("t"), samples("x")])

    laid = apply_each([plain, bent], [1, 2], lines)

    np.testing.assert_array_equal(laid, [plain.apply(lines[0]), bent.apply(lines[1]), bent.apply(lines[2])])


@for_each("name", ["d", "h", "b", "k"])
@for_each(("above", "slant"), [(1.0, 0.0), (0.8, 0.0), (1.2, 0.0), (1.0, 0.25), (0.85, 0.2)])
def test_short_ascenders_and_a_leaning_hand_are_laid_on_the_letter(
    name: str, above: float, slant: float
) -> None:
    """Within a tenth of an x-height everywhere: the fit is held a little towards the plain one."""
    model = samples(name)
    fit = proportioned(leaning(model, above=above, slant=slant), model)

    assert fit is not None
    apart = np.hypot(*(fit.apply(leaning(model, above=above, slant=slant)) - model).T)
    assert apart.max() < 0.1


@for_each("name", ["m", "w", "n", "d"])
@for_each("degrees", [-8, -4, 4, 8])
def test_a_letter_on_a_line_that_rises_or_falls_is_laid_level(name: str, degrees: float) -> None:
    """Turned ink comes nearer to the letter than by scale and place alone, and by half at least."""
    model = samples(name)
    angle = np.radians(degrees)
    turned = model @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    fit, plain = proportioned(turned, model), least_squares(turned, model)

    assert fit is not None
    assert plain is not None
    apart, before = ((transform.apply(turned) - model).std() for transform in (fit, plain))
    assert apart < before / 2


def test_what_no_hand_does_is_not_taken_off() -> None:
    model = samples("h")
    fit = proportioned(leaning(model, above=0.2, slant=2.0) + 2.0 * model[:, :1] * (0.0, 40.0), model)

    assert fit is not None
    assert abs(fit.above) <= WEIGHTS.zone
    assert abs(fit.slant) <= WEIGHTS.slant
    assert abs(fit.tilt) <= WEIGHTS.tilt / WEIGHTS.rescale_least


def test_a_place_without_extent_has_no_fit() -> None:
    assert proportioned(np.zeros((5, 2)), np.zeros((5, 2))) is None
