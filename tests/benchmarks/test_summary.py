"""What the teacher's pages are measured on can still be made: the benchmark is run by hand, and seldom."""

from __future__ import annotations

from pathlib import Path

from tests.benchmarks import summary


def test_the_record_of_the_benchmark_fits_the_tables(tmp_path: Path) -> None:
    with summary.fill(tmp_path / "record.sqlite", 600) as record:
        figures = record.figures.summary()
        assert figures.tries + figures.traced == 600
        assert figures.last is not None
        assert figures.last.date() <= summary.LAST.date()
        assert len(figures.pupils) == summary.PUPILS
