"""Walks through the practice loop: a first trace that goes wrong, and how a child then writes it again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from strokes.letter import Formation, Letter
from strokes.polyline import Polyline, corners, cut, length
from strokes.simulation.hand import write
from tests.shipped import PRINT as ALPHABET
from trainer.attempt import Step

STEPS = (Step.TRACE, Step.COPY, Step.RECALL)
BESIDE = 0.5
"""X-heights between the old ink and a letter that is written again to its right."""


@dataclass(frozen=True, eq=False)
class Walk:
    """One letter at one step: what went wrong first, how it was tried again, and all traces."""

    letter: str
    step: Step
    wrong: str
    again: str
    where: str
    traces: tuple[Polyline, ...]

    def __str__(self) -> str:
        return f"{self.letter} {self.step} {self.wrong}, {self.again}, {self.where}"


def lines(formation: Formation) -> list[Polyline]:
    """The strokes as a steady hand writes them."""
    return [trace.points for trace in write(formation, seed=3, tremor=0.02).traces]


def wrongs(letter: Letter) -> Iterator[tuple[str, Formation, int, Polyline]]:
    """The ways in which a stroke may go wrong: its name, the formation, the stroke and the wrong trace."""
    for formation in letter.formations:
        if formation.hand or formation.note or formation.name not in ("taught", "two-strokes"):
            continue
        drawn = lines(formation)
        first, total = drawn[0], length(drawn[0])
        yield "backwards", formation, 0, first[::-1]
        stops = corners(formation.strokes[0].path)
        if len(stops):
            yield (
                "first piece backwards",
                formation,
                0,
                np.vstack([cut(first, 0, stops[0])[::-1], cut(first, stops[0], total)]),
            )
        yield "begun late", formation, 0, cut(first, 0.6, total)
        yield "second half", formation, 0, cut(first, total / 2, total)
        for index, stroke in enumerate(formation.strokes):
            if stroke.is_dot:
                yield "dot too low", formation, index, drawn[index] + (0.0, 1.0)


def agains(
    letter: Letter, formation: Formation, index: int, wrong: Polyline
) -> Iterator[tuple[str, list[Polyline]]]:
    """The ways to write it again."""
    drawn = lines(formation)
    yield "that stroke and the rest", drawn[index:]
    yield "all of it in one trace", [np.vstack(drawn)]
    yield "as taught", lines(letter.taught)
    yield "wrong once more, then right", [wrong, *drawn[index:]]


def by_turns(every: Iterable[Walk]) -> Iterator[Walk]:
    """Each walk of one letter at one of the steps, the steps by turns."""
    numbers: Counter[Step] = Counter()
    for walk in every:
        if (numbers[walk.step] + STEPS.index(walk.step)) % len(STEPS) == 0:
            yield walk
        numbers[walk.step] += 1


def walks(name: str | None = None) -> Iterator[Walk]:
    """All of them, or those of one letter."""
    for letter in ALPHABET.letters if name is None else [ALPHABET[name]]:
        for step in STEPS:
            for wrong, formation, index, trace in wrongs(letter):
                before = lines(formation)[:index]
                name = f"{wrong} ({formation.name})"
                for again, retry in agains(letter, formation, index, trace):
                    for where in ("over", "beside"):
                        aside = 0.0
                        if where == "beside":
                            aside = formation.bounds[2] - formation.bounds[0] + BESIDE
                        moved = [line + (aside, 0.0) for line in retry]
                        yield Walk(letter.name, step, name, again, where, (*before, trace, *moved))
