"""Which pupil joins which group: what covers the most need, found exactly as a small integer program."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from strokes.kinds import FORMATION, Kind
from trainer.attempt import Pupil

ONE_LETTER, ONE_FAMILY = 3, 2
"""A need weighs more where all in a group share the letter, the plainer lesson. Ours, to be tuned."""

LOOK = 2
"""The rank of kinds about how a letter looks."""


@dataclass(frozen=True)
class Need:
    """What one pupil should be taught at one letter: a kind, found `times` in the last `tries`.

    `instead` are the letters that were written in place of it, for the kind letter.
    """

    pupil: Pupil
    letter: str
    kind: Kind
    times: int
    tries: int
    instead: tuple[str, ...] = ()


@dataclass(frozen=True)
class Theme:
    """What a group could be gathered for, and the needs of everybody whom it would help."""

    group: str
    kind: Kind
    letters: tuple[str, ...]
    family: str
    needs: Mapping[Pupil, tuple[Need, ...]]


def rank(kind: Kind) -> int:
    """What is taught first: the letter itself where another one was written, movements, looks."""
    return 0 if kind is Kind.LETTER else 1 if kind in FORMATION else LOOK


def load_solver() -> None:
    """Import what solves the assignment, a third of a second of work, before the first groups are made."""
    import scipy.optimize
    import scipy.sparse  # noqa: F401 (imported to be there)


def assigned(
    themes: Sequence[Theme], *, most_groups: int, sizes: tuple[int, int]
) -> list[tuple[Theme, tuple[Pupil, ...]]]:
    """The pupils of each chosen theme, who fill whole groups of these sizes; a pupil is in one group.

    What is chosen covers the most need, and makes no more groups than that needs. The same themes give
    the same groups.
    """
    options = [(place, pupil) for place, theme in enumerate(themes) for pupil in theme.needs]
    if not options:
        return []
    gains = weights(themes)
    chosen = _solved(
        [gains[place][pupil] for place, pupil in options],
        np.array([place for place, _ in options]),
        _numbered([pupil for _, pupil in options]),
        most_groups=most_groups,
        sizes=sizes,
    )
    chosen_options = [option for option, is_chosen in zip(options, chosen, strict=True) if is_chosen]
    return [
        (themes[place], tuple(pupil for _, pupil in in_group))
        for place, in_group in groupby(chosen_options, key=lambda option: option[0])
    ]


def weights(themes: Sequence[Theme]) -> list[dict[Pupil, int]]:
    """What it is worth to put a pupil into a theme's group.

    All needs of look together are worth less than one of movement; another letter is worth as much as that.
    """
    plain = [
        {
            pupil: (ONE_FAMILY if theme.family else ONE_LETTER) * sum(need.times for need in own)
            for pupil, own in theme.needs.items()
        }
        for theme in themes
    ]
    of_look = [gains for theme, gains in zip(themes, plain, strict=True) if rank(theme.kind) == LOOK]
    movement = 1 + sum(sum(gains.values()) for gains in of_look)
    return [
        {pupil: gain * (1 if rank(theme.kind) == LOOK else movement) for pupil, gain in gains.items()}
        for theme, gains in zip(themes, plain, strict=True)
    ]


def _numbered(pupils: Sequence[Pupil]) -> np.ndarray:
    numbers = {pupil: number for number, pupil in enumerate(dict.fromkeys(pupils))}
    return np.array([numbers[pupil] for pupil in pupils])


def _solved(
    gains: Sequence[int], theme: np.ndarray, pupil: np.ndarray, *, most_groups: int, sizes: tuple[int, int]
) -> np.ndarray:
    """Which options are chosen: the columns are the options (0 or 1), then the groups of each theme."""
    from scipy.optimize import (  # takes long to import: only where groups are made
        Bounds,
        LinearConstraint,
        milp,
    )
    from scipy.sparse import csr_array

    count, kinds = len(gains), int(theme.max()) + 1
    option, every = np.arange(count), np.arange(kinds)
    width = count + kinds

    def rows(numbers: np.ndarray, per_group: float) -> csr_array:
        """One row a theme: its options, less `per_group` for each of its groups."""
        values = np.concatenate([np.ones(count), np.full(kinds, -per_group)])
        where = (np.concatenate([numbers, every]), np.concatenate([option, count + every]))
        return csr_array((values, where), shape=(kinds, width))

    once = csr_array((np.ones(count), (pupil, option)), shape=(int(pupil.max()) + 1, width))
    in_all = csr_array((np.ones(kinds), (np.zeros(kinds, int), count + every)), shape=(1, width))
    smallest, largest = sizes
    # a group costs less than any need is worth: gains are whole numbers
    cost = np.concatenate([-np.array(gains, float), np.full(kinds, 1 / (most_groups + 1))])
    solution = milp(
        cost,
        integrality=np.ones(width, int),
        bounds=Bounds(0, np.concatenate([np.ones(count), np.full(kinds, float(most_groups))])),
        constraints=[
            LinearConstraint(once, ub=1),
            LinearConstraint(in_all, ub=most_groups),
            LinearConstraint(rows(theme, smallest), lb=0),
            LinearConstraint(rows(theme, largest), ub=0),
        ],
        options={"mip_rel_gap": 0.0},
    )
    if solution.x is None:  # no group at all is always a solution
        raise RuntimeError(f"the groups could not be found: {solution.message}")
    return np.asarray(solution.x[:count] > 0.5)
