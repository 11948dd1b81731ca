"""Words on one line composed of a writer's own letters, as they are and with one fault, for `check_word`.

python -m strokes.evaluation.composed FILE.npz

The real letters were written apart, with no lines known. A letter is scaled by its writer's usual x-height
and set on the line by its feet, with even spaces: so its base line and its spaces are right by construction,
and its size is the writer's own.
"""

from __future__ import annotations

import sys
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from strokes.alphabet import Alphabet
from strokes.errors import InkError
from strokes.evaluation.labelled import Labelled, Sample, load
from strokes.ink import Ink
from strokes.kinds import WordKind
from strokes.polyline import Polyline
from strokes.spacing import nearest, sides, space
from strokes.words import check_word

WORDS = (
    *("am", "at", "cat", "bed", "dog", "fish", "ship", "chin", "neck", "rope", "cake", "home"),
    *("sand", "lamp", "frog", "stamp", "swim", "train", "boat", "shore"),
)
LOW, HANGING = frozenset("acemnorsuvwxz"), frozenset("gjpqy")
ASCENDING = frozenset("bdhkl")
LEAST_LOW = 5
"""Low letters of a writer from which the usual x-height is known."""
SPACE, NEAREST, SPREAD = 0.5, 0.36, 0.1
"""X-heights between two letters, the least anywhere, and how far the space wanders."""

Traces = list[Polyline]
Change = Callable[[int, int, Polyline], Polyline]


@dataclass(frozen=True)
class Fault:
    """A change of traces by the place of their letter and of the fault, where it may be, what it brings."""

    kind: WordKind
    change: Change
    letters: frozenset[str] = frozenset()
    first: int = 0

    def places(self, word: str) -> list[int]:
        """Where in a word it can be made."""
        every = range(self.first, len(word))
        return [k for k in every if not self.letters or word[k] in self.letters]


def _aside(by: float) -> Change:
    return lambda k, at, line: line + (by if k >= at else 0.0, 0.0)


def _short(k: int, at: int, line: Polyline) -> Polyline:
    if k != at:
        return line
    x, y = line.T
    return np.column_stack([x, np.where(y < -1, -1 + 0.15 * (y + 1), y)])


FAULTS = {
    "off the line by 0.5": Fault(WordKind.BASE_LINE, lambda k, at, p: p - (0.0, 0.5 if k == at else 0.0)),
    "nearer by 0.7": Fault(WordKind.TOUCHING, _aside(-0.7), first=1),
    "farther by 0.9": Fault(WordKind.SPACING, _aside(0.9), first=1),
    "a low letter 1.6 as high": Fault(
        WordKind.SIZE, lambda k, at, p: p * (1.0, 1.6 if k == at else 1.0), LOW
    ),
    "an ascender cut to 0.15": Fault(WordKind.ASCENDER, _short, ASCENDING),
}


def composed(
    labelled: Labelled, alphabet: Alphabet, count: int, *, seed: int = 3
) -> Iterator[tuple[str, list[Traces]]]:
    """`count` words, each with the traces of its letters in letter space, by writers who have the letters."""
    by_writer: dict[str, dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
    for number in labelled.working:
        sample = labelled[int(number)]
        by_writer[sample.writer][sample.letter].append(int(number))
    units = {writer: unit for writer, own in by_writer.items() if (unit := _x_height(labelled, own))}
    able = [(w, word) for w in units for word in WORDS if set(word) <= by_writer[w].keys()]
    if not able:
        raise InkError("there must be a writer with all letters of a word, and there is none")
    random = np.random.default_rng(seed)
    for place in random.integers(len(able), size=count):
        writer, word = able[int(place)]
        own = by_writer[writer]
        samples = [labelled[int(random.choice(own[letter]))] for letter in word]
        yield word, _side_by_side([_standing(s, units[writer]) for s in samples], alphabet, random)


def _x_height(labelled: Labelled, own: dict[str, list[int]]) -> float:
    """The usual height of a writer's low letters; 0 where too few are there."""
    low = [number for letter in LOW for number in own.get(letter, ())]
    if len(low) < LEAST_LOW:
        return 0.0
    return float(np.median([np.ptp(np.vstack(labelled[number].traces)[:, 1]) for number in low]))


def _standing(sample: Sample, unit: float) -> Traces:
    """A letter with its feet on the line; one that hangs below it by its top; dots do not count."""
    ink = np.vstack(sample.traces)
    body = [
        t for t in sample.traces if sample.letter not in "ij" or np.ptp(t[:, 1]) > unit / 2
    ] or sample.traces
    heights = np.vstack(body)[:, 1]
    foot = heights.min() + unit if sample.letter in HANGING else heights.max()
    return [(trace - (ink[:, 0].min(), foot)) / unit for trace in sample.traces]


def _side_by_side(letters: Sequence[Traces], alphabet: Alphabet, random: np.random.Generator) -> list[Traces]:
    row: list[Traces] = []
    for letter in letters:
        own = sides(letter, alphabet.guide)
        by = 0.0
        if row:
            before = sides(row[-1], alphabet.guide)
            by = max(SPACE - space(before, own), NEAREST - nearest(before, own)) + random.normal(0, SPREAD)
        row.append([trace + (by, 0.0) for trace in letter])
    return row


def shares(
    words: Sequence[tuple[str, list[Traces]]], alphabet: Alphabet, fault: Fault | None
) -> dict[str, float]:
    """In which share of words each kind was found, or nothing, and the letters were told apart."""
    counts: Counter[str] = Counter()
    tried = 0
    for number, (word, letters) in enumerate(words):
        places = fault.places(word) if fault else [0]
        if not places:
            continue
        at = places[number % len(places)]
        change: Change = fault.change if fault else lambda _k, _at, line: line
        changed = [[change(k, at, line) for line in own] for k, own in enumerate(letters)]
        ink = Ink.from_arrays([line for own in changed for line in own])
        report = check_word(ink, [alphabet[letter] for letter in word], guide=alphabet.guide)
        ends = np.cumsum([0, *map(len, changed)])
        right = tuple(tuple(range(int(a), int(b))) for a, b in pairwise(ends))
        tried += 1
        counts.update({finding.kind.value for finding in report.findings})
        counts["nothing"] += not report.findings
        counts["letters apart"] += report.traces == right
    return {name: counts[name] / max(tried, 1) for name in (*WordKind, "nothing", "letters apart")}


def main(path: str, count: int = 600) -> None:
    """Print a line for the words as composed and one for each fault, in percent."""
    alphabet = Alphabet.load()
    words = list(composed(load(path), alphabet, count))
    for name, fault in {"as composed": None, **FAULTS}.items():
        by_kind = shares(words, alphabet, fault)
        print(f"{name:26}", *(f"{kind} {100 * share:.0f}" for kind, share in by_kind.items()), sep="  ")


if __name__ == "__main__":
    main(sys.argv[1])
