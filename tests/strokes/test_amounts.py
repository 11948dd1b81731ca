"""What a tolerance lets through is measured on both sides of it, and drawn."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from strokes import Kind, Tolerances
from strokes.evaluation.amounts import LIMITED, Amounts, gathered, measured
from strokes.evaluation.labelled import Sample
from strokes.evaluation.roc import draw_roc
from strokes.simulation.hand import Fault, write
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET


def sample(letter: str, fault: Fault | None = None) -> Sample:
    ink = write(ALPHABET[letter], fault=fault, seed=1)
    return Sample(0, letter, "w0", tuple(trace.points for trace in ink.traces))


def rows(letter: str) -> dict[str, tuple[float, float]]:
    other = ("m", sample("m").traces)
    return {name: (good, bad) for name, good, bad in measured(sample(letter), ALPHABET, other, usual=1.0)}


@for_each(
    ("name", "letter"),
    [
        ("start", "c"),
        ("backwards", "l"),
        ("closure", "o"),
        ("dot", "i"),
        ("shape", "v"),
        ("reversal", "e"),
        ("start", "l"),
        ("stem", "h"),
        ("end", "m"),
        ("size_small", "c"),
        ("size_large", "c"),
        ("reach", "h"),
        ("reach", "g"),
        ("place", "e"),
    ],
)
def test_damage_measures_worse_than_good_ink(name: str, letter: str) -> None:
    good, bad = rows(letter)[name]
    limited = next(limited_amount for limited_amount in LIMITED if limited_amount.name == name)

    assert (bad < good) if limited.least else (bad > good)


def test_a_good_start_is_measured_below_its_limit() -> None:
    """What is within its limit is measured like what is past it."""
    good, _ = rows("c")["start"]

    assert 0 < good < Tolerances().start


@for_each("letter", "bdhklgpqy")
def test_how_far_an_ascender_or_descender_reaches_is_measured_in_x_heights(letter: str) -> None:
    """A line twice as long as the x-height passes its line by one; pressed, by a quarter."""
    good, bad = rows(letter)["reach"]

    assert good == pytest.approx(1.0, abs=0.1)
    assert bad == pytest.approx(good / 4, abs=0.02)


def test_sizes_are_measured_against_the_writer_s_usual_one() -> None:
    other = ("m", sample("m").traces)
    by_kind = {name: amounts for name, *amounts in measured(sample("o"), ALPHABET, other, usual=1.25)}

    assert by_kind["size_small"] == pytest.approx([0.8, 0.6 * 0.8], abs=0.05)
    assert by_kind["size_large"] == pytest.approx([0.8, 1.6 * 0.8], abs=0.05)


def test_what_needs_lines_is_not_measured_where_the_usual_size_is_unknown() -> None:
    names = {name for name, *_ in measured(sample("h"), ALPHABET, None)}

    assert names >= {"start", "stem", "end"}
    assert not names & {"size_small", "size_large", "reach", "place"}


def test_a_fault_that_does_not_apply_is_not_measured() -> None:
    assert "closure" not in rows("c")
    assert "dot" not in rows("t")
    assert "stem" not in rows("c")
    assert "reach" not in rows("c")


def test_ink_that_the_table_does_not_accept_is_not_measured() -> None:
    assert measured(sample("l", Fault(Kind.DIRECTION)), ALPHABET, None) == []


def test_shares_past_a_limit() -> None:
    start = next(limited_amount for limited_amount in LIMITED if limited_amount.name == "start")
    letter = next(limited_amount for limited_amount in LIMITED if limited_amount.name == "letter")
    good, bad = np.array([0.1, 0.2, 0.3, 0.5]), np.array([0.4, 0.6])

    assert Amounts(start, good, bad).refused(0.35) == (0.25, 1.0)
    assert Amounts(letter, good, np.array([np.inf, 0.2])).refused(0.25) == (0.5, 0.5)
    assert Amounts(start, good[:0], bad).refused(0.35) == (0.0, 1.0)


def test_every_tolerance_that_is_a_limit_of_an_amount_is_measured() -> None:
    assert {field.name for field in fields(Tolerances)} - {
        limited_amount.name for limited_amount in LIMITED
    } == {
        *("corridor", "tiny"),
    }


def test_each_tolerance_with_ink_is_drawn(tmp_path: Path) -> None:
    every = gathered(measured(sample("o"), ALPHABET, ("m", sample("m").traces)))
    paths = draw_roc(every, {"as shipped": Tolerances(), "wider": Tolerances(start=0.6)}, tmp_path)

    assert {path.name for path in paths} >= {"roc-start.png", "roc-closure.png", "roc-letter.png"}
    assert "roc-dot.png" not in {path.name for path in paths}
    assert all(path.read_bytes().startswith(b"\x89PNG") for path in paths)
