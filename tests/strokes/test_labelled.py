"""Labelled ink is read once, bounded, and a file that cannot be read is told in one sentence."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from strokes import InkError
from strokes.evaluation.labelled import load
from tests.labelled_ink import arrays, save, steady


def test_what_was_written_comes_back_sample_by_sample(tmp_path: Path) -> None:
    samples = steady("cti")
    labelled = load(save(tmp_path / "ink.npz", samples))

    assert len(labelled) == 6
    for number, (letter, ink) in enumerate(samples):
        read = labelled[number]
        assert (read.number, read.letter, read.writer) == (number, letter, f"w{number % 2}")
        assert len(read.traces) == len(ink)
        for trace, back in zip(ink.traces, read.traces, strict=True):
            assert back == pytest.approx(trace.points * 100, abs=1e-3)


def test_times_are_seconds_and_absent_where_one_is_unknown(tmp_path: Path) -> None:
    samples = steady("l")
    time = arrays(samples)["time"]
    known = load(save(tmp_path / "known.npz", samples))[0].times
    time[0] = np.nan
    unknown = load(save(tmp_path / "unknown.npz", samples, time=time))

    assert known is not None
    assert 0.1 < known[0][-1] < 10
    assert unknown[0].times is None
    assert unknown[1].times is not None


def test_the_working_set_is_clean_agreed_upon_and_not_coarse(tmp_path: Path) -> None:
    samples = steady("abcde", seeds=(1,))
    path = save(
        tmp_path / "ink.npz",
        samples,
        clean=np.array([True, False, True, True, True]),
        agree=np.array([1, 1, 0.1, 0.2, 1], dtype=np.float64),
        coarse=np.array([False, False, False, False, True]),
    )

    assert load(path).working.tolist() == [0, 3]


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"letter": None}, "must have the array 'letter'"),
        ({"points": np.zeros(5)}, "points must be of kind f with 2 axes"),
        ({"clean": np.array(["yes", "no"])}, "clean must be of kind b"),
        ({"stroke_start": np.array([0, 5, 3])}, "stroke_start must rise from 0 to"),
        ({"sample_first_stroke": np.array([0, 1])}, "sample_first_stroke must rise from 0 to 2"),
        ({"writer": np.array(["w0"])}, "writer must have 2 entries, not 1"),
    ],
)
def test_a_file_whose_arrays_do_not_fit_is_told_in_a_sentence(
    tmp_path: Path, changed: dict[str, object], said: str
) -> None:
    path = save(tmp_path / "ink.npz", steady("l"), **changed)

    with pytest.raises(InkError, match=said):
        load(path)


def test_points_that_are_not_finite_are_refused(tmp_path: Path) -> None:
    samples = steady("l")
    points = arrays(samples)["points"]
    points[3, 0] = np.inf

    with pytest.raises(InkError, match="points must be finite"):
        load(save(tmp_path / "ink.npz", samples, points=points))


def test_an_object_in_the_file_is_never_unpickled(tmp_path: Path) -> None:
    path = save(tmp_path / "ink.npz", steady("l"), letter=np.array([{"l": 1}, None], dtype=object))

    with pytest.raises(InkError, match="must be an npz file of labelled ink"):
        load(path)


@pytest.mark.parametrize("content", [b"", b"not a zip", b"PK\x03\x04 and no more"])
def test_another_file_is_no_ink(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "ink.npz"
    path.write_bytes(content)

    with pytest.raises(InkError, match="must be an npz file"):
        load(path)


def test_a_lone_array_is_no_ink(tmp_path: Path) -> None:
    np.save(tmp_path / "ink.npy", np.zeros(3))

    with pytest.raises(InkError, match="must be an npz file"):
        load(tmp_path / "ink.npy")


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(InkError, match=r"ink\.npz"):
        load(tmp_path / "ink.npz")


def test_an_array_that_is_too_large_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = save(tmp_path / "ink.npz", steady("l"))
    monkeypatch.setattr("strokes.evaluation.labelled.MOST_BYTES", 100)

    with pytest.raises(InkError, match="at most 100 bytes"):
        load(path)
