"""The cases in which the checks do worst, drawn to be looked at: one sheet for each question."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from pathlib import Path

from strokes.evaluation.damage import Other, faults
from strokes.evaluation.labelled import Labelled
from strokes.evaluation.results import OBSERVED, Results
from strokes.evaluation.sheets import Panel, draw
from strokes.evaluation.trial import Trial

MOST = 60
"""Panels on a sheet."""

EACH = 8
"""Panels of one letter on a sheet, so that one letter does not fill it."""

CONFUSED = 6
"""Panels of each of the ten worst confusions."""


def draw_worst(
    results: Results, labelled: Labelled, another: Callable[[int], Other | None], folder: Path
) -> list[Path]:
    """A PNG for each question that has cases; the paths of those that were drawn."""
    drawn = []
    for name, title, cases in _sheets(results, labelled, another):
        panels = list(islice(cases, MOST))
        if panels:
            path = folder / f"{name}.png"
            draw(panels, title, path)
            drawn.append(path)
    return drawn


def _sheets(
    results: Results, labelled: Labelled, another: Callable[[int], Other | None]
) -> Iterator[tuple[str, str, Iterator[Panel]]]:
    yield "not-formed", "The table accepts it, the check does not", _not_formed(results, labelled)
    for kind, title in OBSERVED.items():
        cases = _disagreeing(results, labelled, kind.value)
        yield f"disagrees-{kind.value}", f"Verdict and ink disagree on {title}", cases
    for fault in results.faults:
        cases = _missed(results, labelled, another, fault)
        yield (
            f"missed-{fault.replace(',', '').replace(' ', '-')}",
            f"Not told, or told before: {fault}",
            cases,
        )
    yield (
        "confusions",
        "The ten worst confusions: letter, and the name it was given",
        _confused(results, labelled),
    )


def _spread(trials: Iterable[Trial]) -> Iterator[Trial]:
    """No more than EACH of one letter."""
    counts: Counter[str] = Counter()
    for trial in trials:
        counts[trial.letter] += 1
        if counts[trial.letter] <= EACH:
            yield trial


def _not_formed(results: Results, labelled: Labelled) -> Iterator[Panel]:
    for trial in _spread(trial for trial in results.accepted if not trial.formed):
        yield Panel(labelled[trial.number].traces, _caption(trial, " ".join(trial.kinds)))


def _disagreeing(results: Results, labelled: Labelled, kind: str) -> Iterator[Panel]:
    for trial in results.trials:
        for observation in trial.observations:
            if observation.kind.value == kind and not observation.skipped and not observation.agrees:
                said = (
                    f"{'wrong' if observation.wrong else 'right'} by the ink; told: {' '.join(trial.kinds)}"
                )
                yield Panel(labelled[trial.number].traces, _caption(trial, said))


def _missed(
    results: Results, labelled: Labelled, another: Callable[[int], Other | None], fault: str
) -> Iterator[Panel]:
    def failed(trial: Trial) -> bool:
        return any(
            outcome.fault == fault
            and not outcome.skipped
            and not (outcome.reported and outcome.silent_before)
            for outcome in trial.faults
        )

    for trial in _spread(trial for trial in results.accepted if failed(trial)):
        outcome = next(outcome for outcome in trial.faults if outcome.fault == fault)
        damages = faults(trial.letter, labelled[trial.number].traces, another(trial.number))
        damaged = next(damaged for damaged in damages if damaged.fault == fault)
        before = "" if outcome.silent_before else "; also before"
        yield Panel(damaged.traces, _caption(trial, f"told: {' '.join(outcome.kinds) or 'nothing'}{before}"))


def _confused(results: Results, labelled: Labelled) -> Iterator[Panel]:
    for pair in islice(results.confusions, 10):
        letter, named = pair.split()
        same = (trial for trial in results.trials if trial.letter == letter and trial.named == named)
        for trial in islice(same, CONFUSED):
            yield Panel(labelled[trial.number].traces, f"{letter} as {named}\n{trial.number}")


def _caption(trial: Trial, said: str) -> str:
    return f"{trial.letter} {trial.number}\n{said}"
