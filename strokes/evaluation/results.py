"""The figures of an evaluation: counted shares with their intervals."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from strokes.evaluation.trial import FaultOutcome, Trial
from strokes.intervals import Share, Tally
from strokes.kinds import Kind

OBSERVED = {
    Kind.DIRECTION: "direction: sense of the main loop",
    Kind.START: "start: which end of the stem",
    Kind.ORDER: "order: stem and bar, body and dot",
}


@dataclass(frozen=True)
class Results:
    """All trials of a run, and how long it took in seconds."""

    trials: tuple[Trial, ...]
    seconds: float

    @cached_property
    def accepted(self) -> tuple[Trial, ...]:
        """Those the table accepts."""
        return tuple(trial for trial in self.trials if not trial.refused)

    @cached_property
    def agreement(self) -> Mapping[str, Share]:
        """For each kind, how often the verdict says what the ink does."""
        return {
            kind.value: counted(
                (trial.writer, observation.agrees)
                for trial in self.trials
                for observation in trial.observations
                if observation.kind is kind and not observation.skipped
            )
            for kind in OBSERVED
        }

    @cached_property
    def agreement_by(self) -> Mapping[str, Share]:
        """The same for each letter, and for ink that does it right and wrong apart."""
        return grouped(
            (
                f"{observation.kind.value} {trial.letter} {'wrong' if observation.wrong else 'right'}",
                trial.writer,
                observation.agrees,
            )
            for trial in self.trials
            for observation in trial.observations
            if not observation.skipped
        )

    @cached_property
    def unobserved(self) -> Mapping[str, int]:
        """How many samples an observation was not plain in, and why."""
        return _counts(
            f"{observation.kind.value}: {observation.skipped}"
            for trial in self.trials
            for observation in trial.observations
            if observation.skipped
        )

    @cached_property
    def acceptance(self) -> Share:
        """How much of the accepted ink comes back formed."""
        return counted((trial.writer, trial.formed) for trial in self.accepted)

    @cached_property
    def acceptance_by(self) -> Mapping[str, Share]:
        """The same for each letter."""
        return grouped((trial.letter, trial.writer, trial.formed) for trial in self.accepted)

    @cached_property
    def refused(self) -> Mapping[str, int]:
        """How much ink of each letter the table does not accept, by reason."""
        return _counts(f"{trial.letter}: {trial.refused}" for trial in self.trials if trial.refused)

    @cached_property
    def faults(self) -> Mapping[str, Share]:
        """For each fault, how often a right kind reports it that the undamaged ink has no finding of."""
        return grouped(
            (outcome.fault, trial.writer, outcome.reported and outcome.silent_before)
            for trial, outcome in self._outcomes()
        )

    @cached_property
    def faults_by(self) -> Mapping[str, Share]:
        """The same for each letter."""
        return grouped(
            (f"{outcome.fault} {trial.letter}", trial.writer, outcome.reported and outcome.silent_before)
            for trial, outcome in self._outcomes()
        )

    @cached_property
    def faults_told(self) -> Mapping[str, Share]:
        """For each fault, how often a right kind reports it, whatever the undamaged ink has."""
        return grouped((outcome.fault, trial.writer, outcome.reported) for trial, outcome in self._outcomes())

    @cached_property
    def faults_noticed(self) -> Mapping[str, Share]:
        """For each fault, how often anything at all is found."""
        return grouped(
            (outcome.fault, trial.writer, outcome.anything_found) for trial, outcome in self._outcomes()
        )

    @cached_property
    def faults_missed(self) -> Mapping[str, int]:
        """What is found instead, where no right kind reports the fault."""
        return _counts(
            f"{outcome.fault}: {' '.join(outcome.kinds) or 'nothing'}"
            for _, outcome in self._outcomes()
            if not outcome.reported
        )

    @cached_property
    def fault(self) -> Share:
        """All faults together that count."""
        return counted(
            (trial.writer, outcome.reported and outcome.silent_before)
            for trial, outcome in self._outcomes()
            if outcome.counted
        )

    @cached_property
    def undamaged(self) -> Mapping[str, int]:
        """Where a fault was not applied, and why."""
        return _counts(
            f"{outcome.fault}: {outcome.skipped}"
            for trial in self.accepted
            for outcome in trial.faults
            if outcome.skipped
        )

    def _outcomes(self) -> Iterable[tuple[Trial, FaultOutcome]]:
        """Those of faults that were applied."""
        return (
            (trial, outcome) for trial in self.accepted for outcome in trial.faults if not outcome.skipped
        )

    @cached_property
    def identity(self) -> Share:
        """How often the letter is named."""
        return counted((trial.writer, trial.named == trial.letter) for trial in self.trials)

    @cached_property
    def identity_by(self) -> Mapping[str, Share]:
        """The same for each letter."""
        return grouped((trial.letter, trial.writer, trial.named == trial.letter) for trial in self.trials)

    @cached_property
    def confusions(self) -> Mapping[str, int]:
        """Letter and name it was given, the most frequent first."""
        return _counts(
            f"{trial.letter} {trial.named}" for trial in self.trials if trial.named != trial.letter
        )

    @cached_property
    def hands(self) -> Mapping[str, Mapping[str, Share]]:
        """What left-handers often do: shares without findings for each hand, and with any for the right."""
        every = [(trial.writer, hand) for trial in self.accepted for hand in trial.hands]
        return {
            "left: no finding": grouped((hand.habit, writer, hand.left_accepted) for writer, hand in every),
            "right: no finding": grouped((hand.habit, writer, hand.right_accepted) for writer, hand in every),
            "right: told, a note too": grouped(
                (hand.habit, writer, hand.right_reported) for writer, hand in every
            ),
        }

    @cached_property
    def flips(self) -> Mapping[str, Share]:
        """How often a change turns formed ink into ink that is not."""
        return grouped(
            (flip.change, trial.writer, flip.flipped) for trial in self.accepted for flip in trial.flips
        )

    @cached_property
    def flips_of_accepted(self) -> Mapping[str, Share]:
        """The same for changed ink that the table still accepts: the change did not alter what is seen."""
        return grouped(
            (flip.change, trial.writer, flip.flipped)
            for trial in self.accepted
            for flip in trial.flips
            if flip.accepted
        )


def counted(tries: Iterable[tuple[str, bool]]) -> Share:
    """The share of good tries, each a writer and whether it was good."""
    tally = Tally()
    for writer, good in tries:
        tally.add(writer, good)
    return tally.share


def grouped(tries: Iterable[tuple[str, str, bool]]) -> dict[str, Share]:
    """A share for each name, in the order in which the names come up."""
    tallies: dict[str, Tally] = {}
    for name, writer, good in tries:
        tallies.setdefault(name, Tally()).add(writer, good)
    return {name: tally.share for name, tally in tallies.items()}


def _counts(names: Iterable[str]) -> dict[str, int]:
    return dict(Counter(names).most_common())
