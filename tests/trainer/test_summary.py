from datetime import timedelta

import pytest

from strokes.intervals import wilson
from strokes.kinds import Kind
from tests.trainer.reckoning import summarize
from tests.trainer.samples import MONDAY, attempt
from trainer.attempt import Attempt, Pupil, Step

NELLA, ABEL = Pupil(1, "Nella", 1, group="Quay"), Pupil(2, "Abel", 2, group="Quay")


def line(attempts, letter="b", pupils=(NELLA, ABEL)):
    """The class's line of one letter."""
    (figures,) = [
        letter_line for letter_line in summarize(attempts, pupils).lines if letter_line.letter == letter
    ]
    return figures


def test_a_letter_counts_its_tries_and_the_well_formed_ones():
    figures = line([attempt(1, "b"), attempt(1, "b", Kind.START), attempt(2, "b", Kind.SIZE)])

    assert (figures.tries, figures.formed, figures.looks) == (3, 2, 2)


def test_movement_and_look_are_counted_apart():
    figures = line([attempt(1, "b", Kind.DIRECTION), attempt(1, "b", Kind.SHAPE)])

    assert (figures.formed, figures.looks) == (1, 1)


def test_traced_letters_are_no_tries():
    figures = line(
        [attempt(1, "b", step=Step.TRACE), attempt(1, "b", Kind.START, step=Step.TRACE), attempt(1, "b")]
    )

    assert (figures.tries, figures.formed, figures.traced, figures.findings) == (1, 1, 2, ())


def test_letters_from_memory_are_told_apart_from_copies():
    figures = line([attempt(1, "b"), attempt(1, "b", Kind.REVERSAL, Kind.START, step=Step.RECALL)])

    assert (figures.tries, figures.recalled, figures.recalled_formed) == (2, 1, 0)


def test_unfinished_attempts_are_counted_nowhere_else():
    torn = Attempt(None, 1, "b", Step.COPY, MONDAY, attempt(1, "b").ink, finished=False)
    summed = summarize([torn, attempt(1, "c")], (NELLA,))

    assert summed.broken == 1
    assert summed.tries == 1
    assert [line.letter for line in summed.lines] == ["c"]


def test_under_three_tries_is_not_enough():
    assert not line([attempt(1, "b")] * 2).enough
    assert line([attempt(1, "b")] * 3).enough


def test_a_finding_counts_once_a_try_and_the_most_often_seen_comes_first():
    figures = line(
        [
            attempt(1, "b", Kind.START, Kind.START, day=1),
            attempt(1, "b", Kind.SIZE, day=2),
            attempt(2, "b", Kind.SIZE, day=3),
            attempt(2, "b", Kind.SIZE, day=4),
        ]
    )

    assert [(finding.kind, finding.tries) for finding in figures.findings] == [
        (Kind.SIZE, 3),
        (Kind.START, 1),
    ]
    assert figures.findings[0].pupils == (2, 1)
    assert figures.findings[0].last == MONDAY + timedelta(days=4)


def test_notes_are_shown_apart_and_are_nothing_to_mend():
    figures = line([attempt(1, "t", notes=(Kind.ORDER,))], "t")

    assert (figures.formed, figures.findings) == (1, ())
    assert [(finding.kind, finding.tries) for finding in figures.noted] == [(Kind.ORDER, 1)]


def test_the_letters_written_instead_are_told_most_often_first():
    instead = ["d", "p", "d"]
    figures = line([attempt(1, "b", Kind.LETTER, instead=letter) for letter in instead])

    assert figures.findings[0].instead == ("d", "p")


def test_lately_is_each_childs_last_five_tries():
    old = [attempt(1, "b", Kind.START, day=day) for day in range(6)]
    new = [attempt(1, "b", day=day) for day in range(6, 10)]
    figures = line([*new, *old, attempt(2, "b", day=3)])

    assert (figures.lately, figures.lately_formed) == (6, 5)


def test_the_order_in_which_attempts_come_does_not_matter():
    attempts = [
        attempt(1 + day % 2, "bc"[day % 3 % 2], *[Kind.START] * (day % 2), day=day) for day in range(20)
    ]

    assert summarize(attempts, (NELLA, ABEL)) == summarize(attempts[::-1], (NELLA, ABEL))


def test_attempts_of_others_are_left_out():
    summed = summarize([attempt(1, "b"), attempt(2, "b"), attempt(9, "b")], (NELLA,))

    assert summed.tries == 1
    assert set(summed.by_pupil) == {1}


def test_nothing_written_gives_an_empty_summary():
    summed = summarize([], (NELLA,))

    assert (summed.first, summed.lines, summed.gather, summed.by_pupil[1]) == (None, (), (), ())


@pytest.mark.parametrize(
    ("good", "tries", "low", "high"),
    [
        (0, 0, 0.0, 1.0),
        (0, 10, 0.0, 0.2775),
        (10, 10, 0.7225, 1.0),
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_wilsons_interval_gives_published_values(good, tries, low, high):
    """Newcombe 1998, Statistics in Medicine 17:857-872, score method, from memory; the 10s by hand."""
    assert wilson(good, tries) == pytest.approx((low, high), abs=5e-5)


def test_more_tries_make_the_interval_narrower():
    widths = [high - low for low, high in (wilson(tries // 2, tries) for tries in (2, 4, 8, 16, 32, 64))]

    assert widths == sorted(widths, reverse=True)
