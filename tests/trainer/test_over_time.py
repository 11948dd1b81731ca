"""What became secure when: by the rule of Tomorrow, at the end of each week."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from strokes.ink import Ink
from strokes.kinds import Kind
from tests.cases import for_each
from tests.trainer.samples import MONDAY, attempt
from trainer.attempt import Attempt, Step
from trainer.record.record import Record
from trainer.teaching import (
    ENOUGH,
    LATELY,
    Level,
    Period,
    PeriodTries,
    is_try,
    letters_over_time,
    level,
    periods,
)
from trainer.teaching.over_time import LONGEST_CHART

WEEKS = periods(MONDAY.date(), MONDAY.date() + timedelta(weeks=4, days=-1))
GOOD, HALF = (5, 5), (5, 3)


def child(*ends: tuple[int, int, int]):
    """The letter b of one child: the period of each standing, its tries and the well formed ones."""
    (letter,) = letters_over_time([PeriodTries(1, "b", *end) for end in ends], WEEKS).letters
    return letter


def test_a_letter_is_secure_since_the_week_from_which_it_stayed_so():
    """The first week is told apart: it had been secure, was not, and is again."""
    letter = child((0, *GOOD), (1, *HALF), (2, *GOOD))

    assert letter.levels == (Level.MOSTLY, Level.PARTLY, Level.MOSTLY, Level.MOSTLY)
    assert (letter.secure_first, letter.secure_since, letter.now) == (0, 2, Level.MOSTLY)


def test_a_letter_that_is_not_secure_any_more_is_secure_since_no_week():
    letter = child((1, *GOOD), (3, *HALF))

    assert (letter.tried, letter.secure_first, letter.secure_since) == (1, 1, None)


def test_what_was_secure_before_the_first_week_says_so():
    letter = child((-1, *GOOD), (2, *GOOD))

    assert (letter.before, letter.tried, letter.secure_since) == (Level.MOSTLY, -1, -1)


def test_a_letter_stays_as_it_was_while_nobody_writes_it():
    assert child((0, *HALF)).levels == (Level.PARTLY,) * 4


def test_nothing_is_concluded_from_too_few_tries():
    assert child((1, ENOUGH - 1, ENOUGH - 1)).levels == (Level.NONE, *[Level.FEW] * 3)


def test_of_a_class_it_says_with_how_many_of_those_who_tried_it_enough():
    """A child who tried it twice is counted with neither; one who never did is in the class all the same."""
    period_tries = [
        *(PeriodTries(pupil, "b", pupil % 2, *GOOD) for pupil in range(1, 5)),
        PeriodTries(5, "b", 1, *HALF),
        PeriodTries(6, "b", 1, 2, 2),
    ]
    (letter,) = letters_over_time(period_tries, WEEKS, pupils=7).letters

    assert letter.shares == ((2, 2), (4, 5), (4, 5), (4, 5))
    assert letter.levels == (Level.FEW, *[Level.MOSTLY] * 3)


def test_letters_come_in_teaching_order_set_by_set():
    period_tries = [PeriodTries(1, letter, 0, *GOOD) for letter in "A4bza"]

    assert [each.letter for each in letters_over_time(period_tries, WEEKS, "bazA4").letters] == list("bazA4")


def test_weeks_begin_on_mondays_and_end_with_the_days_that_are_asked_for():
    wednesday = MONDAY.date() + timedelta(days=2)

    assert periods(wednesday, wednesday + timedelta(days=7)) == (
        Period(wednesday, wednesday + timedelta(days=4)),
        Period(wednesday + timedelta(days=5), wednesday + timedelta(days=7)),
    )


@for_each("days", [0, 1, 6, 7, 181, 182, 183, 400, 5000])
def test_the_periods_hold_every_day_once_and_are_few_enough_for_a_chart(days):
    first = MONDAY.date() + timedelta(days=3)
    every = periods(first, first + timedelta(days=days))

    held = [
        period.first + timedelta(days=k)
        for period in every
        for k in range((period.last - period.first).days + 1)
    ]
    assert held == [first + timedelta(days=k) for k in range(days + 1)]
    assert len(every) <= LONGEST_CHART


def test_days_that_end_before_they_begin_have_no_weeks():
    assert periods(date(2026, 9, 8), date(2026, 9, 7)) == ()


def test_the_figures_equal_a_recount_of_every_attempt(place: Path | str) -> None:
    """A record by lot, with traced and unfinished letters, mended ones, and what a teacher overruled."""
    random = np.random.default_rng(5)
    with Record.open(place, now=MONDAY) as record:
        pupils = [record.pupils.add(f"Pupil {k}", group=("Quay", "Slipway")[k % 2]) for k in range(4)]
        record.attempts.keep_many([_by_lot(random, pupils[random.integers(4)].id) for _ in range(300)])
        for number in random.choice(300, 12, replace=False) + 1:
            record.verdicts.overrule(int(number), formed=bool(number % 2), looks=True, reason="seen")
        attempts = list(record.attempts.find(ink=False))
        since, until = MONDAY.date() + timedelta(days=9), MONDAY.date() + timedelta(days=25)

        for pupil in pupils:
            own = [attempt for attempt in attempts if attempt.pupil == pupil.id]
            figures = record.figures.over_time(pupil=pupil.id, since=since, until=until)
            assert len(figures.periods) == 3
            assert {each.letter for each in figures.letters} == {
                attempt.letter for attempt in own if is_try(attempt) and _day(attempt) <= until
            }
            for each in figures.letters:
                ends = [since - timedelta(days=1), *(period.last for period in figures.periods)]
                recounted = [_last(own, each.letter, end) for end in ends]
                assert [each.before, *each.levels] == [level(*share) for share in recounted]
                assert list(each.shares) == recounted[1:]

        quay = [pupil.id for pupil in pupils if pupil.group == "Quay"]
        for each in record.figures.over_time("Quay", until=until).letters:
            shares = [
                _last([attempt for attempt in attempts if attempt.pupil == pupil], each.letter, until)
                for pupil in quay
            ]
            secure = sum(level(*share) is Level.MOSTLY for share in shares)
            assert each.shares[-1] == (secure, sum(tries >= ENOUGH for _, tries in shares))


def test_an_empty_record_has_no_letters(tmp_path: Path) -> None:
    with Record.open(tmp_path / "record.sqlite", now=MONDAY) as record:
        assert record.figures.over_time(until=MONDAY.date()).letters == ()
        assert record.figures.over_time(since=date(2027, 1, 1), until=MONDAY.date()).periods == ()


def _by_lot(random: np.random.Generator, pupil: int) -> Attempt:
    kinds = [Kind.START] * int(random.integers(2)) + [Kind.SIZE] * int(random.integers(2))
    made = attempt(
        pupil,
        "bd"[random.integers(2)],
        *kinds,
        step=(Step.TRACE, Step.COPY, Step.RECALL)[random.integers(3)],
        mended=bool(random.integers(2)),
        day=int(random.integers(30)),
    )
    return replace(made, ink=Ink(), at=made.at + timedelta(seconds=int(random.integers(1000))))


def _day(attempt: Attempt) -> date:
    return attempt.at.astimezone().date()


def _last(attempts: list[Attempt], letter: str, until: date) -> tuple[int, int]:
    """How many of the last tries up to a day were well formed, and how many these are."""
    tries = sorted(
        (attempt for attempt in attempts if attempt.letter == letter and is_try(attempt)),
        key=lambda attempt: (attempt.at, attempt.id),
    )
    last = [attempt for attempt in tries if _day(attempt) <= until][-LATELY:]
    return sum(attempt.formed for attempt in last), len(last)
