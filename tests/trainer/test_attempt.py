from dataclasses import replace
from datetime import datetime

import numpy as np
import pytest

from strokes.letter import Formation, Stroke
from strokes.report import Finding, Kind, Report
from tests.trainer.samples import MONDAY, ink, verdict
from trainer.attempt import Attempt, Step, Verdict


def test_a_verdict_keeps_what_outlives_the_report():
    formation = Formation("one stroke", (Stroke(np.array([[0.0, -2.0], [0.0, 0.0]])),))
    finding = Finding(Kind.DIRECTION, 0.9, 0.2, stroke=0, trace=0)

    kept = Verdict.of(Report("l", formation, (finding,), ((0,),)))

    assert kept == Verdict("one stroke", formed=False, looks=True, findings=(finding,))


def test_an_attempt_without_a_time_zone_is_refused():
    with pytest.raises(ValueError, match="must have a time zone"):
        Attempt(None, 1, "b", Step.COPY, datetime(2026, 9, 7), ink(), verdict())


def test_a_finished_attempt_without_a_verdict_is_refused():
    whole = Attempt(None, 1, "b", Step.COPY, MONDAY, ink(), verdict())

    with pytest.raises(ValueError, match="must have a verdict"):
        replace(whole, verdict=None)
    assert replace(whole, verdict=None, finished=False).verdict is None


def test_steps_run_from_most_help_to_least():
    assert list(Step) == ["watch", "trace", "copy", "recall"]
