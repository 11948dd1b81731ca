"""A word on one line: its traces parted into letters; size, base line and spacing over all of it."""

from __future__ import annotations

from dataclasses import fields
from itertools import pairwise

import numpy as np
import pytest

from strokes.errors import InkError, ToleranceError
from strokes.ink import Ink
from strokes.kinds import WordKind
from strokes.tolerances import STAGES, Tolerances, stage_of
from strokes.words import WORD_STAGES, WordTolerances, check_word, split, word_checks_version
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET
from tests.words_by_hand import word_by_hand

WORDS = ("ship", "cake", "stamp", "boat", "lantern", "jig", "it", "quay")


def letters(word: str):
    return [ALPHABET[letter] for letter in word]


def checked(word: str, ink: Ink, stage: str = "growing"):
    return check_word(ink, letters(word), guide=ALPHABET.guide, tolerances=WordTolerances.of(stage))


def after(word: str, place: int, by: float) -> dict[int, tuple[float, float]]:
    """All letters from a place on, moved along the line."""
    return dict.fromkeys(range(place, len(word)), (by, 0.0))


@for_each("word", [*WORDS, "Nella"])
def test_a_word_by_a_steady_hand_has_nothing_to_mend(word):
    """By the narrowest stage, and so by the others."""
    assert checked(word, word_by_hand(ALPHABET, word, seed=3), "fluent").findings == ()


@for_each("word", WORDS)
def test_traces_belong_to_their_letters_also_where_dots_and_bars_come_last(word):
    ink = word_by_hand(ALPHABET, word)
    counts = [len(letter.taught.strokes) for letter in letters(word)]
    ends = np.cumsum([0, *counts])
    expected = [tuple(range(first, end)) for first, end in pairwise(ends)]

    assert list(split(ink, letters(word))) == expected
    late = [number for own in expected for number in own[1:]]
    order = [own[0] for own in expected] + late
    mixed = Ink(tuple(ink.traces[number] for number in order))
    assert [tuple(sorted(order[k] for k in own)) for own in split(mixed, letters(word))] == expected


@for_each(
    ("word", "fault", "kind", "place", "sign"),
    [
        ("ship", {"moved": after("ship", 2, -0.75)}, WordKind.TOUCHING, 1, None),
        ("ship", {"moved": after("ship", 2, 0.9)}, WordKind.SPACING, 1, 1),
        ("it", {"moved": after("it", 1, 1.2)}, WordKind.SPACING, 0, 1),
        ("boat", {"moved": {2: (0.0, -0.5)}}, WordKind.BASE_LINE, 2, -1),
        ("boat", {"moved": {0: (0.0, 0.5)}}, WordKind.BASE_LINE, 0, 1),
        ("jig", {"moved": {2: (0.0, 0.6)}}, WordKind.BASE_LINE, 2, 1),
        ("sum", {"scaled": {1: (1.0, 1.6)}}, WordKind.SIZE, 1, None),
        ("sum", {"scaled": {0: (1.0, 0.5)}}, WordKind.SIZE, 0, None),
        ("hum", {"scaled": {0: (1.0, 0.6)}}, WordKind.ASCENDER, 0, None),
    ],
)
def test_one_fault_is_found_where_it_is_and_first(word, fault, kind, place, sign):
    finding = checked(word, word_by_hand(ALPHABET, word, **fault)).findings[0]

    assert (finding.kind, finding.place) == (kind, place)
    assert sign is None or np.sign(finding.amount) == sign


def test_a_word_of_small_but_even_letters_is_even():
    """The lines tell the base line alone: even, not large, is what is asked for."""
    half = dict.fromkeys(range(4), (0.5, 0.5))
    closer = {place: (-0.3 * place, 0.0) for place in range(4)}
    kinds = {
        f.kind for f in checked("noun", word_by_hand(ALPHABET, "noun", scaled=half, moved=closer)).findings
    }

    assert not kinds & {WordKind.SIZE, WordKind.BASE_LINE}


def test_letters_that_were_run_together_in_one_trace_touch():
    ink = word_by_hand(ALPHABET, "cl")
    joined = Ink.from_arrays([np.vstack([trace.points for trace in ink.traces])])
    report = checked("cl", joined)

    assert [finding.kind for finding in report.findings] == [WordKind.TOUCHING]
    assert report.traces == ()


@pytest.mark.parametrize(
    "arrays",
    [
        [[[0.0, 0.0]]],
        [[[0.0, 0.0]]] * 4,
        [[[0.0, 0.0], [0.0, 0.0]]] * 7,
        [[[x, -0.1 * x], [x + 0.01, 0.0]] for x in range(30)],
    ],
)
def test_taps_and_scribbles_raise_nothing(arrays):
    for word in ("ship", "i", "it"):
        checked(word, Ink.from_arrays(arrays))


def test_no_ink_and_no_letters_are_refused():
    with pytest.raises(InkError):
        checked("it", Ink())
    with pytest.raises(InkError, match="at least one letter"):
        check_word(word_by_hand(ALPHABET, "it"), [], guide=ALPHABET.guide)


def test_what_a_narrower_stage_lets_through_a_wider_one_does_too():
    first, growing, fluent = WORD_STAGES.values()
    for field in fields(WordTolerances):
        values = [getattr(stage, field.name) for stage in (first, growing, fluent)]
        assert values == sorted(values, reverse=field.name != "ascender"), field.name
    assert list(WORD_STAGES) == list(STAGES)
    with pytest.raises(ToleranceError):
        WordTolerances.of("slow")
    with pytest.raises(ToleranceError, match="above 0"):
        WordTolerances(spacing=0.0)


def test_the_stage_of_tolerances_is_the_one_whose_set_they_are():
    assert [stage_of(Tolerances.of(stage)) for stage in STAGES] == list(STAGES)
    assert stage_of(Tolerances(start=0.123)) == "growing"


def test_the_version_changes_with_the_letters_and_the_tolerances():
    guide = ALPHABET.guide
    versions = {
        word_checks_version(letters(word), guide=guide, tolerances=WordTolerances.of(stage))
        for word in ("it", "is")
        for stage in WORD_STAGES
    }

    assert len(versions) == 6
