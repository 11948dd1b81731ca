from dataclasses import replace
from datetime import datetime

import numpy as np
import pytest

from strokes.kinds import Kind
from strokes.letter import Formation, Stroke
from strokes.report import Finding, Report
from tests.trainer.samples import MONDAY, attempt, ink, verdict
from trainer.attempt import Attempt, Outcome, Overruling, Step, Verdict


def test_a_verdict_keeps_what_outlives_the_report():
    formation = Formation("one stroke", (Stroke(np.array([[0.0, -2.0], [0.0, 0.0]])),))
    finding = Finding(Kind.DIRECTION, 0.9, 0.2, stroke=0, trace=0)

    verdict = Verdict.of(Report("l", formation, (finding,), ((0,),)))

    assert verdict == Verdict("one stroke", formed=False, looks=True, findings=(finding,))


def test_an_attempt_without_a_time_zone_is_refused():
    with pytest.raises(ValueError, match="must have a time zone"):
        Attempt(None, 1, "b", Step.COPY, datetime(2026, 9, 7), ink(), verdict())


def test_a_finished_attempt_without_a_verdict_is_refused():
    whole = Attempt(None, 1, "b", Step.COPY, MONDAY, ink(), verdict())

    with pytest.raises(ValueError, match="must have a verdict"):
        replace(whole, verdict=None)
    assert replace(whole, verdict=None, finished=False).verdict is None


def test_an_attempt_is_well_formed_or_mended_or_not_yet():
    well, mended = attempt(1, "b"), attempt(1, "b", Kind.START, mended=True)
    not_yet = attempt(1, "b", Kind.START)

    assert (well.outcome, well.formed, well.mended) == (Outcome.FORMED, True, False)
    assert (mended.outcome, mended.formed, mended.mended) == (Outcome.MENDED, False, True)
    assert (not_yet.outcome, not_yet.formed, not_yet.mended) == (Outcome.NOT_YET, False, False)
    with pytest.raises(ValueError, match="well formed or mended, not both"):
        replace(verdict(), mended=True)


def test_an_attempt_that_was_broken_off_is_not_mended():
    broken = replace(attempt(1, "b"), verdict=None, finished=False)

    assert broken.outcome is Outcome.NOT_YET


@pytest.mark.parametrize(("formed", "outcome"), [(True, Outcome.FORMED), (False, Outcome.NOT_YET)])
def test_a_teacher_says_yes_or_no_and_nothing_is_mended_then(formed, outcome):
    word = Overruling(formed, True, "I watched her", MONDAY)

    assert replace(attempt(1, "b", Kind.START, mended=True), overruled=word).outcome is outcome


def test_steps_run_from_most_help_to_least():
    assert list(Step) == ["watch", "trace", "copy", "recall"]
