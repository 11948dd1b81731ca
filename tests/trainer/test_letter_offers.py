from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from strokes.kinds import Kind
from tests.trainer.samples import MONDAY, attempt, verdict
from trainer.attempt import Attempt, Overruling, Step
from trainer.teaching import letter_offers
from trainer.teaching.letter_offers import Why

ORDER = ("l", "t", "i", "c", "o", "a", "d")
TODAY = MONDAY.astimezone().date()
WELL = verdict()


def on(days: int) -> date:
    return TODAY + timedelta(days=days)


def names(offers: tuple[letter_offers.Offer, ...]) -> list[str]:
    return [offer.letter for offer in offers]


# Steps


def test_watching_leads_to_tracing():
    assert letter_offers.advice(Step.WATCH, []).step is Step.TRACE


@pytest.mark.parametrize(
    ("step", "above"), [(Step.TRACE, Step.COPY), (Step.COPY, Step.RECALL), (Step.RECALL, None)]
)
def test_two_well_formed_attempts_are_a_step_up(step, above):
    assert letter_offers.advice(step, [WELL]).step is step
    assert letter_offers.advice(step, [WELL, WELL]).step is above
    assert letter_offers.advice(step, [WELL, WELL]).is_up_from(step)


@pytest.mark.parametrize(
    ("step", "below"), [(Step.TRACE, Step.WATCH), (Step.COPY, Step.TRACE), (Step.RECALL, Step.COPY)]
)
def test_two_of_the_same_finding_are_a_step_down(step, below):
    again = verdict(Kind.START)

    assert letter_offers.advice(step, [again]).step is step
    assert letter_offers.advice(step, [again, again]).step is below


def test_two_different_findings_stay_on_the_step():
    assert letter_offers.advice(Step.COPY, [verdict(Kind.START), verdict(Kind.DIRECTION)]).step is Step.COPY


def test_one_well_formed_attempt_breaks_a_row_of_findings():
    start = verdict(Kind.START)

    assert letter_offers.advice(Step.COPY, [start, WELL, start]).step is Step.COPY


def test_size_and_place_hold_nobody_back():
    """A child who moves the pen as taught goes on, however large the letter is."""
    large = verdict(Kind.SIZE, Kind.PLACE)

    assert letter_offers.advice(Step.COPY, [large, large]).step is Step.RECALL


@pytest.mark.parametrize("kind", [Kind.REVERSAL, Kind.LETTER])
def test_another_letter_is_not_well_formed_however_the_pen_moved(kind):
    assert letter_offers.advice(Step.COPY, [verdict(kind)] * 2).step is Step.TRACE


def test_a_note_to_the_teacher_counts_for_nothing():
    noted = verdict(notes=(Kind.ORDER,))

    assert letter_offers.advice(Step.COPY, [noted, noted]).step is Step.RECALL
    assert letter_offers.one_thing(noted.findings) is None


def test_every_step_has_a_way_on():
    """Going on never ends before the letter does: a child is never blocked."""
    step: Step | None = Step.WATCH
    attempts = []
    while step is not None:
        attempts.append(step)
        step = letter_offers.above(step)

    assert tuple(attempts) == letter_offers.LADDER


def test_nobody_falls_below_watching():
    assert letter_offers.below(Step.WATCH) is Step.WATCH


# The first step of a day


def test_a_new_letter_starts_with_tracing():
    assert letter_offers.opening([]) is Step.TRACE


def test_a_letter_goes_on_where_it_stopped():
    assert letter_offers.opening([attempt(1, "l", step=Step.COPY)]) is Step.COPY


def test_a_letter_that_went_well_goes_on_a_step_higher():
    assert letter_offers.opening([attempt(1, "l", step=Step.COPY)] * 2) is Step.RECALL


def test_a_letter_that_was_recalled_well_is_recalled_again():
    assert letter_offers.opening([attempt(1, "l", step=Step.RECALL)] * 2) is Step.RECALL


def test_a_letter_that_went_the_same_way_twice_gets_more_help_but_is_written():
    assert letter_offers.opening([attempt(1, "l", Kind.START, step=Step.TRACE)] * 2) is Step.TRACE
    assert letter_offers.opening([attempt(1, "l", Kind.START, step=Step.RECALL)] * 2) is Step.COPY


def test_an_attempt_that_was_broken_off_tells_nothing():
    broken = Attempt(None, 1, "l", Step.RECALL, MONDAY, attempt(1, "l").ink, verdict=None, finished=False)

    assert letter_offers.opening([attempt(1, "l", step=Step.COPY), broken]) is Step.COPY
    assert letter_offers.strength([broken]) == 0


# A teacher's word


def overruled(tried: Attempt, *, formed: bool, looks: bool = True) -> Attempt:
    return replace(tried, overruled=Overruling(formed, looks, "I sat beside her", tried.at))


def test_a_letter_that_a_teacher_found_well_formed_goes_on_a_step_higher():
    attempts = [overruled(attempt(1, "l", Kind.START), formed=True)] * 2

    assert letter_offers.opening(attempts) is Step.RECALL
    assert letter_offers.opening([attempt(1, "l", Kind.START)] * 2) is Step.TRACE


@pytest.mark.parametrize("kind", [Kind.LETTER, Kind.REVERSAL])
def test_a_teacher_who_found_it_well_formed_has_read_the_letter_that_was_asked_for(kind):
    """Also where it does not look right to her: its size may be what she means."""
    read = overruled(attempt(1, "b", kind, step=Step.RECALL), formed=True, looks=False)

    assert letter_offers.strength([read]) == 1
    assert letter_offers.is_done([read] * 2, TODAY)


def test_a_letter_that_a_teacher_found_not_well_formed_does_not_count_as_recalled_well():
    missed = [overruled(attempt(1, "l", step=Step.RECALL), formed=False)] * 2

    assert letter_offers.strength(missed) == 0
    assert not letter_offers.is_done(missed, TODAY)
    assert letter_offers.due(missed) - on(0) == timedelta(days=1)
    assert names(letter_offers.offers(missed, plan=["l", "t"], order=ORDER, today=TODAY)) == ["l", "t"]


def test_a_letter_recalled_well_by_a_teachers_word_has_had_its_share():
    taken = [overruled(attempt(1, "l", Kind.START, step=Step.RECALL), formed=True)] * 2

    assert names(letter_offers.offers(taken, plan=["l", "t"], order=ORDER, today=TODAY)) == ["t"]
    assert letter_offers.due(taken) - on(0) == timedelta(days=2)


def test_a_teachers_no_where_nothing_was_found_leads_neither_up_nor_down():
    """She found it not well formed twice; that it was the same both times nobody has said."""
    missed = [overruled(attempt(1, "l", step=Step.COPY), formed=False)] * 2

    assert letter_offers.opening(missed) is Step.COPY


def test_a_teachers_no_leaves_what_was_found_to_be_helped_with():
    attempts = [overruled(attempt(1, "l", Kind.START, step=Step.COPY), formed=False)] * 2

    assert letter_offers.opening(attempts) is Step.TRACE


def test_a_letter_mended_after_it_was_shown_is_no_step_up():
    """The figures and the steps go by the first tries."""
    assert letter_offers.opening([attempt(1, "l", Kind.START, mended=True)] * 2) is Step.TRACE


# Which letters


def test_the_teachers_plan_comes_first_and_in_her_order():
    offers = letter_offers.offers([], plan=["d", "l"], order=ORDER, today=TODAY)

    assert names(offers) == ["d", "l"]
    assert {offer.why for offer in offers} == {Why.PLAN}


def test_without_a_plan_new_letters_come_in_teaching_order():
    offers = letter_offers.offers([], plan=[], order=ORDER, today=TODAY)

    assert names(offers) == list(ORDER[: letter_offers.SESSION_LETTERS])
    assert {offer.why for offer in offers} == {Why.NEW}


def test_without_a_plan_new_letters_of_the_own_name_come_first():
    own_name = ["L", "t", "l"]
    order = (*ORDER, "L")

    offers = letter_offers.offers([], plan=[], order=order, today=TODAY, own_name=own_name, count=4)

    assert names(offers) == [*own_name, *[letter for letter in ORDER if letter not in own_name][:1]]
    assert {offer.why for offer in offers} == {Why.NEW}


def test_a_letter_of_the_name_that_was_written_before_comes_when_it_is_due():
    past = [attempt(1, "t", step=Step.RECALL, day=0)]

    offers = letter_offers.offers(past, plan=[], order=ORDER, today=on(0), own_name=["t"])

    assert names(offers) == ["l", "i", "c", "o"]


def test_with_a_plan_the_name_brings_no_letters():
    assert names(letter_offers.offers([], plan=["d"], order=ORDER, today=TODAY, own_name=["l"])) == ["d"]


def test_a_letter_of_the_name_that_has_no_place_in_the_order_is_not_offered():
    assert names(letter_offers.offers([], plan=[], order=("l",), today=TODAY, own_name=["é"])) == ["l"]


def test_a_long_plan_is_not_cut():
    assert names(letter_offers.offers([], plan=ORDER, order=ORDER, today=TODAY)) == list(ORDER)


def test_a_planned_letter_that_the_alphabet_lacks_is_passed_over():
    assert names(letter_offers.offers([], plan=["é", "l"], order=ORDER, today=TODAY)) == ["l"]


def test_what_is_due_follows_the_plan():
    past = [attempt(1, "c", day=0), attempt(1, "o", day=2)]
    offers = letter_offers.offers(past, plan=["l"], order=ORDER, today=on(1))

    assert [(offer.letter, offer.why) for offer in offers] == [("l", Why.PLAN), ("c", Why.DUE)]


def test_what_waited_longest_comes_first():
    past = [attempt(1, "o", day=0), attempt(1, "c", day=1)]
    offers = letter_offers.offers(past, plan=["l"], order=ORDER, today=on(9))

    assert names(offers) == ["l", "o", "c"]


def test_a_letter_recalled_well_on_more_days_waits_longer():
    once = [attempt(1, "c", step=Step.RECALL, day=0)]
    thrice = [attempt(1, "c", step=Step.RECALL, day=day) for day in (0, 2, 6)]

    assert letter_offers.due(once) - on(0) == timedelta(days=2)
    assert letter_offers.due(thrice) - on(6) == timedelta(days=7)


def test_a_recall_that_did_not_go_well_brings_the_letter_back_sooner():
    days = [attempt(1, "c", step=Step.RECALL, day=day) for day in (0, 2)]
    slipped = [*days, attempt(1, "c", Kind.DIRECTION, step=Step.RECALL, day=6)]

    assert letter_offers.strength(days) == 2
    assert letter_offers.strength(slipped) == 1


def test_many_attempts_on_one_day_count_as_one():
    """Spacing is about days: writing it ten times in a row earns no longer wait."""
    once = attempt(1, "c", step=Step.RECALL)
    often = [replace(once, at=once.at + timedelta(minutes=minutes)) for minutes in range(10)]

    assert letter_offers.strength(often) == 1


def test_a_letter_recalled_twice_today_has_had_its_share():
    past = [attempt(1, "l", step=Step.RECALL)] * 2

    assert names(letter_offers.offers(past, plan=["l", "t"], order=ORDER, today=TODAY)) == ["t"]
    assert names(letter_offers.offers(past, plan=["l", "t"], order=ORDER, today=on(1))) == ["l", "t"]


def test_there_is_always_a_letter_to_practice():
    """Even with all done today, the plan can be practiced again."""
    past = [attempt(1, letter, step=Step.RECALL) for letter in ORDER for _ in range(2)]

    for plan in ([], ["l"]):
        offers = letter_offers.offers(past, plan=plan, order=ORDER, today=TODAY)
        assert offers
        assert {offer.why for offer in offers} == {Why.AGAIN}
