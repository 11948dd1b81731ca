"""The figures of an evaluation: counted shares with their intervals."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from strokes.evaluation.trial import Told, Trial
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
        return tuple(one for one in self.trials if not one.refused)

    @cached_property
    def agreement(self) -> Mapping[str, Share]:
        """For each kind, how often the verdict says what the ink does."""
        return {
            kind.value: counted(
                (trial.writer, seen.agrees)
                for trial in self.trials
                for seen in trial.seen
                if seen.kind is kind and not seen.skipped
            )
            for kind in OBSERVED
        }

    @cached_property
    def agreement_by(self) -> Mapping[str, Share]:
        """The same for each letter, and for ink that does it right and wrong apart."""
        return grouped(
            (
                f"{seen.kind.value} {trial.letter} {'wrong' if seen.wrong else 'right'}",
                trial.writer,
                seen.agrees,
            )
            for trial in self.trials
            for seen in trial.seen
            if not seen.skipped
        )

    @cached_property
    def unobserved(self) -> Mapping[str, int]:
        """How many samples an observation was not plain in, and why."""
        return _counts(
            f"{seen.kind.value}: {seen.skipped}" for one in self.trials for seen in one.seen if seen.skipped
        )

    @cached_property
    def acceptance(self) -> Share:
        """How much of the accepted ink comes back formed."""
        return counted((one.writer, one.formed) for one in self.accepted)

    @cached_property
    def acceptance_by(self) -> Mapping[str, Share]:
        """The same for each letter."""
        return grouped((one.letter, one.writer, one.formed) for one in self.accepted)

    @cached_property
    def refused(self) -> Mapping[str, int]:
        """How much ink of each letter the table does not accept, by reason."""
        return _counts(f"{one.letter}: {one.refused}" for one in self.trials if one.refused)

    @cached_property
    def faults(self) -> Mapping[str, Share]:
        """For each fault, how often it is told by the right kind, the untouched ink being silent about it."""
        return grouped((told.fault, one.writer, told.told and told.silent) for one, told in self._told())

    @cached_property
    def faults_by(self) -> Mapping[str, Share]:
        """The same for each letter."""
        return grouped(
            (f"{told.fault} {one.letter}", one.writer, told.told and told.silent)
            for one, told in self._told()
        )

    @cached_property
    def faults_told(self) -> Mapping[str, Share]:
        """For each fault, how often it is told by the right kind, whatever was said before."""
        return grouped((told.fault, one.writer, told.told) for one, told in self._told())

    @cached_property
    def faults_noticed(self) -> Mapping[str, Share]:
        """For each fault, how often anything at all is found."""
        return grouped((told.fault, one.writer, told.noticed) for one, told in self._told())

    @cached_property
    def faults_missed(self) -> Mapping[str, int]:
        """What is said instead, where a fault is not told by the right kind."""
        return _counts(
            f"{told.fault}: {' '.join(told.kinds) or 'nothing'}" for _, told in self._told() if not told.told
        )

    @cached_property
    def fault(self) -> Share:
        """All faults together that count."""
        every = ((one.writer, told) for one, told in self._told() if told.counted)
        return counted((writer, told.told and told.silent) for writer, told in every)

    @cached_property
    def undamaged(self) -> Mapping[str, int]:
        """Where a fault was not applied, and why."""
        return _counts(
            f"{told.fault}: {told.skipped}" for one in self.accepted for told in one.told if told.skipped
        )

    def _told(self) -> Iterable[tuple[Trial, Told]]:
        return ((one, told) for one in self.accepted for told in one.told if not told.skipped)

    @cached_property
    def identity(self) -> Share:
        """How often the letter is named."""
        return counted((one.writer, one.named == one.letter) for one in self.trials)

    @cached_property
    def identity_by(self) -> Mapping[str, Share]:
        """The same for each letter."""
        return grouped((one.letter, one.writer, one.named == one.letter) for one in self.trials)

    @cached_property
    def confusions(self) -> Mapping[str, int]:
        """Letter and name it was given, the most frequent first."""
        return _counts(f"{one.letter} {one.named}" for one in self.trials if one.named != one.letter)

    @cached_property
    def hands(self) -> Mapping[str, Mapping[str, Share]]:
        """What left-handers often do: let be with the left hand, let be and told with the right."""
        every = [(one.writer, hand) for one in self.accepted for hand in one.hands]
        return {
            "left: no finding": grouped((hand.way, writer, hand.left_free) for writer, hand in every),
            "right: no finding": grouped((hand.way, writer, hand.right_free) for writer, hand in every),
            "right: told, a note too": grouped((hand.way, writer, hand.right_told) for writer, hand in every),
        }

    @cached_property
    def flips(self) -> Mapping[str, Share]:
        """How often a change turns formed ink into ink that is not."""
        return grouped((each.change, one.writer, each.flipped) for one in self.accepted for each in one.flips)

    @cached_property
    def flips_of_accepted(self) -> Mapping[str, Share]:
        """The same for changed ink that the table still accepts: the change did not alter what is seen."""
        return grouped(
            (each.change, one.writer, each.flipped)
            for one in self.accepted
            for each in one.flips
            if each.accepted
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
