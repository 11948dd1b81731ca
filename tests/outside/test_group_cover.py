"""Groups to gather against brute force: every way to put a small class into few groups is tried.

Choosing few groups that cover the most is weighted maximum coverage, which has no quick exact answer in
general (Karp 1972, set covering; from memory). The reference here is no cleverer than counting.
"""

from __future__ import annotations

from itertools import combinations_with_replacement, product

import numpy as np

from strokes.kinds import Kind
from strokes.letter import Family
from tests.cases import for_each
from trainer.attempt import Pupil
from trainer.teaching.counts import Lately
from trainer.teaching.gathering import _needs, themes
from trainer.teaching.group_assignment import Theme, assigned, weights

FAMILIES = (Family("over", ("b", "h", "n")), Family("round", ("a", "o")))
KINDS = (Kind.START, Kind.DIRECTION, Kind.SIZE, Kind.CLOSURE)
PUPILS = tuple(
    Pupil(number, f"Pupil {number}", number, group="QS"[number % 5 == 0]) for number in range(1, 8)
)


def small_class(seed: int) -> list[Theme]:
    """The themes of a class of seven in two groups, whose needs are drawn by lot."""
    random = np.random.default_rng(seed)
    lately = [
        Lately(pupil.id, letter, 5, 0, {KINDS[random.integers(len(KINDS))]: int(random.integers(3, 6))})
        for pupil in PUPILS
        for letter in "bhnao"
        if random.random() < 0.4
    ]
    return themes(_needs(lately, PUPILS), lambda _: FAMILIES)


def best(every: list[Theme], most_groups: int, sizes: tuple[int, int]) -> tuple[int, int]:
    """The most that can be covered, and how few groups that takes, by trying every choice of every pupil."""
    gains = weights(every)
    most = (0, 0)
    for count in range(1, most_groups + 1):
        for laid in combinations_with_replacement(range(len(every)), count):
            choices = [[None, *(k for k in range(count) if pupil in gains[laid[k]])] for pupil in PUPILS]
            for seats in product(*choices):
                filled = [seats.count(table) for table in range(count)]
                if all(sizes[0] <= size <= sizes[1] for size in filled):
                    gained = sum(
                        gains[laid[table]][pupil]
                        for pupil, table in zip(PUPILS, seats, strict=True)
                        if table is not None
                    )
                    most = max(most, (gained, -count))
    return most[0], -most[1]


@for_each("seed", range(12))
@for_each(("most_groups", "sizes"), [(2, (2, 6)), (2, (2, 3)), (1, (2, 6))])
def test_no_way_to_group_a_small_class_covers_more(seed, most_groups, sizes):
    every = small_class(seed)
    gains = weights(every)
    groups = assigned(every, most_groups=most_groups, sizes=sizes)

    seats = [pupil for _, members in groups for pupil in members]
    laid = sum(-(-len(members) // sizes[1]) for _, members in groups)
    covered = sum(gains[every.index(theme)][pupil] for theme, members in groups for pupil in members)
    assert len(seats) == len(set(seats))
    assert all(pupil in theme.needs for theme, members in groups for pupil in members)
    assert (covered, laid) == best(every, most_groups, sizes)
