"""Shares that were counted, with the interval in which the true share lies."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

_Z = 1.959963984540054
"""Of the standard normal distribution, 95% lie within this."""


def wilson(good: int, tries: int) -> tuple[float, float]:
    """The 95% interval for a share of which `good` of `tries` were seen (Wilson 1927); 0 to 1 for no tries.

    It takes tries as independent. Those of one writer are not quite, so the interval is rather too narrow.
    """
    if tries == 0:
        return 0.0, 1.0
    share, z2 = good / tries, _Z * _Z / tries
    middle = (share + z2 / 2) / (1 + z2)
    reach = sqrt(z2 * share * (1 - share) + z2 * z2 / 4) / (1 + z2)
    return max(0.0, middle - reach), min(1.0, middle + reach)


@dataclass(frozen=True)
class Share:
    """`good` of `tries`, and the mean of the writers' own shares, since some wrote far more than others."""

    good: int
    tries: int
    writers: int
    by_writer: float

    @property
    def share(self) -> float:
        """The plain share; 0 for no tries."""
        return self.good / self.tries if self.tries else 0.0

    @property
    def interval(self) -> tuple[float, float]:
        """Wilson's interval of the plain share."""
        return wilson(self.good, self.tries)


class Tally:
    """Counts of good and of all tries for each writer, taken one after another."""

    def __init__(self) -> None:
        self._counts: dict[str, list[int]] = {}

    def add(self, writer: str, good: bool) -> None:
        """One more try."""
        counts = self._counts.setdefault(writer, [0, 0])
        counts[0] += good
        counts[1] += 1

    @property
    def share(self) -> Share:
        """What was counted so far."""
        every = self._counts.values()
        good, tries = sum(count[0] for count in every), sum(count[1] for count in every)
        mean = sum(count[0] / count[1] for count in every) / len(every) if every else 0.0
        return Share(good, tries, len(every), mean)
