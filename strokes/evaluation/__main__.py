"""How well the checks do on labelled real ink: `python -m strokes.evaluation --ink FILE.npz`.

What the ink does is seen by plain geometry (`observed`, `accepted`) that knows nothing of the checks; this
compares the verdicts with it, damages well-formed ink in known ways, and counts.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import os
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from strokes.alphabet import Alphabet
from strokes.errors import InkError, StrokesError
from strokes.evaluation.accepted import TABLE
from strokes.evaluation.amounts import Row, gathered, measured
from strokes.evaluation.damage import Other
from strokes.evaluation.labelled import Labelled, load
from strokes.evaluation.printout import as_json, as_text
from strokes.evaluation.results import Results
from strokes.evaluation.ruled import usual_x_height
from strokes.evaluation.trial import Trial, judge
from strokes.letter import SETS, set_of
from strokes.tolerances import STAGES
from strokes.warping import use_lanes

CHUNK = 24
"""Samples a worker takes at a time: small enough for a bar that moves, large enough to cost nothing."""

DEEP = 1200
"""So many samples are also changed and written by the other hand: enough for shares of 1 in 100."""


T = TypeVar("T")


class Trials:
    """The samples of a file, in order; a worker asks it for the trials of some of them."""

    def __init__(
        self, labelled: Labelled, numbers: Sequence[int], *, deep: int = DEEP, every_fault: bool = True
    ) -> None:
        self.labelled = labelled
        self.every_fault = every_fault
        self.numbers = [int(number) for number in numbers]
        self.alphabet = Alphabet.load()
        labels = [letter for letter in self.alphabet.letters if letter.name in TABLE]
        self.among = {
            letter_set: Alphabet(self.alphabet.name, tuple(labels)).only(letter_set) for letter_set in SETS
        }
        random = np.random.default_rng(0)
        self.deep = set(random.permutation(self.numbers)[:deep].tolist())
        self._by_writer = _grouped(labelled)
        self._usual: dict[str, float | None] = {}

    @classmethod
    def drawn(
        cls,
        labelled: Labelled,
        *,
        sample: int | None = None,
        only: int | None = None,
        deep: int = DEEP,
        every_fault: bool = True,
    ) -> Trials:
        """The working set, or `sample` of it drawn at random, the same at every run, or `only` one."""
        numbers = labelled.working
        if only is not None:
            if not 0 <= only < len(labelled):
                raise InkError(f"--only must be a sample from 0 to {len(labelled) - 1}, not {only}")
            numbers = np.array([only])
        elif sample is not None:
            if sample < 1:
                raise InkError(f"--sample must be at least 1, not {sample}")
            numbers = np.sort(np.random.default_rng(1).permutation(numbers)[:sample])
        return cls(labelled, numbers.tolist(), deep=deep, every_fault=every_fault)

    def take(self, numbers: Sequence[int]) -> list[Trial]:
        """The trials of these samples."""
        return [
            judge(
                self.labelled[number],
                self.alphabet,
                self.another(number),
                among=self.among[set_of(self.labelled[number].letter)],
                deep=number in self.deep,
                every_fault=self.every_fault,
            )
            for number in numbers
        ]

    def another(self, number: int) -> Other | None:
        """Another letter's ink by the same writer, the same one at every run."""
        letters = self.labelled.arrays["letter"]
        samples = self._by_writer[str(self.labelled.arrays["writer"][number])]
        others = samples[letters[samples] != letters[number]]
        if not len(others):
            return None
        chosen = self.labelled[int(np.random.default_rng(number).choice(others))]
        return chosen.letter, chosen.traces

    def usual(self, number: int) -> float | None:
        """The usual x-height of who wrote this sample, in the file's units; None if it is not known."""
        writer = str(self.labelled.arrays["writer"][number])
        if writer not in self._usual:
            samples = (self.labelled[int(number)] for number in self._by_writer[writer])
            self._usual[writer] = usual_x_height((sample.letter, sample.traces) for sample in samples)
        return self._usual[writer]


def _grouped(labelled: Labelled) -> dict[str, np.ndarray[tuple[int], np.dtype[np.intp]]]:
    working = labelled.working
    writers = labelled.arrays["writer"][working]
    return {str(writer): working[writers == writer] for writer in np.unique(writers)}


_shared: Callable[[Sequence[int]], list[Any]] | None = None
"""What the workers do: set before they are forked, so that the ink is in memory once."""


def _work(numbers: Sequence[int]) -> list[Any]:
    if _shared is None:
        raise RuntimeError("what the workers do must be set before they are forked")
    return _shared(numbers)


def run(
    work: Callable[[Sequence[int]], list[T]], numbers: Sequence[int], *, processes: int | None = None
) -> Iterator[list[T]]:
    """What `work` makes of these samples, in chunks as they are done, in no fixed order."""
    global _shared
    chunks = [numbers[at : at + CHUNK] for at in range(0, len(numbers), CHUNK)]
    count = min(processes or os.cpu_count() or 1, max(1, len(chunks)))
    if count == 1 or "fork" not in multiprocessing.get_all_start_methods():
        yield from (work(chunk) for chunk in chunks)
        return
    _shared = work
    try:
        with multiprocessing.get_context("fork").Pool(count) as pool:
            yield from pool.imap_unordered(_work, chunks)
    finally:
        _shared = None


def _with_bar(
    name: str, work: Callable[[Sequence[int]], list[T]], numbers: Sequence[int], processes: int | None
) -> list[T]:
    """All that `work` makes of these samples, with a bar on standard error."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn(name), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    done: list[T] = []
    with Progress(*columns, console=Console(stderr=True)) as progress:
        task = progress.add_task(name, total=len(numbers))
        for number, chunk in enumerate(run(work, numbers, processes=processes), start=1):
            done += chunk
            progress.update(task, completed=min(number * CHUNK, len(numbers)))
    return done


def evaluate(trials: Trials, *, processes: int | None = None) -> Results:
    """All figures over these trials."""
    begun = time.perf_counter()
    unordered = _with_bar("judging", trials.take, trials.numbers, processes)
    in_order = sorted(unordered, key=lambda trial: trial.number)
    return Results(tuple(in_order), time.perf_counter() - begun)


def plot(trials: Trials, folder: Path, *, processes: int | None = None) -> list[Path]:
    """A plot for each tolerance, on the samples that are looked at more closely."""
    from strokes.evaluation.roc import draw_roc

    def amounts(numbers: Sequence[int]) -> list[Row]:
        return [
            row
            for number in numbers
            for row in measured(
                trials.labelled[number], trials.alphabet, trials.another(number), trials.usual(number)
            )
        ]

    rows = _with_bar("measuring", amounts, sorted(trials.deep), processes)
    return draw_roc(gathered(rows), STAGES, folder)


def main(arguments: Sequence[str] | None = None) -> int:
    """The command; it returns 0, or 2 with one sentence where the file or an option cannot be used."""
    parser = argparse.ArgumentParser(prog="python -m strokes.evaluation", description=__doc__)
    parser.add_argument("--ink", type=Path, required=True, metavar="FILE.npz", help="labelled ink")
    parser.add_argument("--json", action="store_true", help="print the figures as JSON")
    some = parser.add_mutually_exclusive_group()
    some.add_argument("--only", type=int, metavar="N", help="only the sample with this number")
    some.add_argument("--sample", type=int, metavar="N", help="so many samples, drawn at random")
    parser.add_argument(
        "--all-faults", action="store_true", help="damage each sample in every way, not in one by turns"
    )
    parser.add_argument("--deep", type=int, default=DEEP, metavar="N", help="so many are changed as well")
    parser.add_argument("--processes", type=int, metavar="N", help="at once; as many as there are cores")
    parser.add_argument("--plots", type=Path, metavar="DIR", help="draw what each tolerance lets through")
    parser.add_argument("--sheet", type=Path, metavar="DIR", help="draw the worst cases into this folder")
    options = parser.parse_args(arguments)
    try:
        for folder in filter(None, [options.sheet, options.plots]):
            folder.mkdir(parents=True, exist_ok=True)
        use_lanes(True)
        trials = Trials.drawn(
            load(options.ink),
            sample=options.sample,
            only=options.only,
            deep=options.deep,
            every_fault=options.all_faults or options.only is not None,
        )
        results = evaluate(trials, processes=options.processes)
        print(json.dumps(as_json(results), indent=1) if options.json else as_text(results))
        if options.sheet:
            from strokes.evaluation.worst import draw_worst

            draw_worst(results, trials.labelled, trials.another, options.sheet)
        if options.plots:
            plot(trials, options.plots, processes=options.processes)
    except (StrokesError, OSError) as error:
        print(error, file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())
