"""The slanted alphabet has what the upright one has, drawn once more: the same ways to write, leaning."""

from __future__ import annotations

import numpy as np

from strokes.checks import check
from strokes.simulation.hand import write
from tests.cases import for_each
from tests.shipped import PRINT, SLANTED, ways

UPRIGHT = PRINT
DRAWN = [letter.name for letter in UPRIGHT.letters if not letter.base]
LEAN = 0.16
"""How far a stem leans to the right on its way up by one x-height: 9 degrees, the design of the alphabet."""

TAUGHT_WITH_EXIT = "adhilmnu"
EXCEPTIONS = {
    **{(name, "exit"): "taught" for name in TAUGHT_WITH_EXIT},
    **{(name, "two-strokes-exit"): "two-strokes" for name in "adhnu"},
    ("e", "rising-bar"): "taught",
    ("q", "flick"): "taught",
    ("q", "two-strokes-flick"): "two-strokes",
    ("t", "curved-foot"): "taught",
    ("t", "curved-foot-left-bar"): "left-bar",
    ("t", "curved-foot-bar-first"): "bar-first",
    ("t", "curved-foot-left-bar-first"): "left-bar-first",
    ("y", "curved"): "taught",
    ("y", "curved-two-strokes"): "two-strokes",
}
"""Upright formations that have another name in the slanted alphabet: it is taught so."""


@for_each("name", DRAWN)
def test_whatever_is_accepted_of_upright_letters_is_accepted_of_slanted_ones(name):
    """For the same hand and with the same note."""
    there = {(way.name, way.hand, way.note) for way in SLANTED[name].formations}
    for way in UPRIGHT[name].formations:
        assert (EXCEPTIONS.get((name, way.name), way.name), way.hand, way.note) in there


def test_each_exception_is_one():
    for name, way in EXCEPTIONS:
        assert way in {formation.name for formation in UPRIGHT[name].formations}
        assert way not in {formation.name for formation in SLANTED[name].formations}


@for_each("name", TAUGHT_WITH_EXIT + "qtvwz")
def test_a_letter_that_is_taught_with_an_exit_may_be_written_without_one(name):
    assert "without-exit" in {way.name for way in SLANTED[name].formations}


@for_each("name", DRAWN)
def test_slanted_letters_are_recognized_by_the_shapes_of_upright_ones_that_lean(name):
    upright, slanted = UPRIGHT[name].recognized, SLANTED[name].recognized

    assert [way.name for way in slanted] == [way.name for way in upright]
    for upright_shape, slanted_shape in zip(upright, slanted, strict=True):
        _assert_leans(upright_shape, slanted_shape)


@for_each("name", [name for name in DRAWN if UPRIGHT[name].set != "small" and name.isascii()])
def test_slanted_capitals_and_digits_are_upright_ones_that_lean(name):
    for upright_shape, slanted_shape in zip(UPRIGHT[name].formations, SLANTED[name].formations, strict=True):
        _assert_leans(upright_shape, slanted_shape)


def _assert_leans(upright_shape, slanted_shape):
    """Within a rounded tenth of a user unit."""
    assert (upright_shape.name, upright_shape.hand, upright_shape.note) == (
        slanted_shape.name,
        slanted_shape.hand,
        slanted_shape.note,
    )
    for upright, slanted in zip(upright_shape.strokes, slanted_shape.strokes, strict=True):
        points = upright.curves.points
        leaning = np.column_stack([points[:, 0] - LEAN * points[:, 1], points[:, 1]])
        np.testing.assert_allclose(slanted.curves.points, leaning, atol=0.0011, err_msg=slanted_shape.name)


@for_each("name", [name for name in DRAWN if UPRIGHT[name].set != "small"])
def test_a_slanted_capital_or_digit_comes_back_well_formed_however_it_is_written(name):
    for formation in ways(SLANTED[name]):
        report = check(write(formation, seed=1), SLANTED[name], guide=SLANTED.guide, hand=formation.hand)
        assert not [finding for finding in report.findings if not finding.note], formation.name
