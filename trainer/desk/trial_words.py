"""The outcome of a letter's trial in words, with pictures of what would be mistaken."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from markupsafe import Markup

from strokes.alphabet import Alphabet
from strokes.ink import Ink
from strokes.letter import Formation, Letter, Stroke
from strokes.modeling import Confusion, Trial
from strokes.polyline import Polyline, length, resample
from trainer.desk.pictures.svg import letter_svg
from trainer.language import kind_name, listed, text

SIZE = 150
"""Height of a picture in px."""

SHOWN = 4
"""Pictures of one sort of mistake; of the rest the words tell."""

APART = 0.15
"""In x-heights: a place of one letter that is farther than this from the other one is a difference."""

BEYOND = 0.1
"""In x-heights: how far beyond a line a place must lie to be above or below it."""


@dataclass(frozen=True)
class Mistake:
    """What went wrong, in a sentence, with its pictures side by side, each with what it shows."""

    sentence: str
    pictures: tuple[tuple[Markup, str], ...]


def sentences(trial: Trial) -> list[str]:
    """How the letter did, a sentence each."""
    lines = [text("letter_writer.trial.formed", inks=trial.written, formed=trial.formed)]
    kinds = Counter(ink.report.findings[0].kind for ink in trial.not_formed if ink.report.findings)
    lines += [
        text("letter_writer.trial.not_formed", count=count, what=kind_name(kind))
        for kind, count in kinds.most_common()
    ]
    noticed = trial.faults - len(trial.unnoticed)
    lines.append(text("letter_writer.trial.faults", faults=trial.faults, told=noticed))
    apart = [name for name in trial.neighbors if name not in _confused(trial)]
    if apart:
        lines.append(text("letter_writer.trial.apart", letters=listed(apart, every=True)))
    return lines


def mistakes(trial: Trial, letter: Letter, alphabet: Alphabet) -> list[Mistake]:
    """What would be mistaken: letters for each other first, then faults that nobody would be told of."""
    result = []
    for other in _confused(trial):
        confusions = [each for each in trial.confusions if other in (each.written, each.taken)]
        words = [_difference(letter, alphabet[other])]
        words += [
            text(f"letter_writer.trial.taken.{number}", written=written, taken=taken, count=count)
            for number, written, taken, count in _counted(confusions)
        ]
        pictures = [_model(letter, "picture", alphabet), _model(alphabet[other], "other", alphabet)]
        pictures += [_ink(confusion.ink, alphabet, confusion.taken) for confusion in confusions[:1]]
        result.append(Mistake(" ".join(words), tuple(pictures)))
    for unseen in trial.unnoticed[:SHOWN]:
        key = "one" if len(letter.taught.strokes) == 1 else "stroke"
        what, stroke = kind_name(unseen.fault.kind), unseen.fault.stroke + 1
        sentence = text(f"letter_writer.trial.unnoticed.{key}", what=what, stroke=stroke)
        result.append(Mistake(sentence, (_ink(unseen.ink, alphabet, letter.name),)))
    return result


def _confused(trial: Trial) -> list[str]:
    """The other letters that it cannot be told from, each once."""
    names = [same.other for same in trial.same]
    names += [name for confusion in trial.confusions for name in (confusion.written, confusion.taken)]
    return [name for name in dict.fromkeys(names) if name != trial.letter]


def _counted(confusions: Sequence[Confusion]) -> Iterator[tuple[str, str, str, int]]:
    """How often which letter was taken for which: `once` or `often`, both letters, the count."""
    counts = Counter((confusion.written, confusion.taken) for confusion in confusions)
    for (written, taken), count in counts.items():
        yield "once" if count == 1 else "often", written, taken, count


def _difference(letter: Letter, other: Letter) -> str:
    """Where two letters differ: only above the x-height line, only below the base line, hardly, or both."""
    points, other_points = _points(letter.taught), _points(other.taught)
    gaps = np.linalg.norm(points[:, None] - other_points[None], axis=2)
    far, other_far = gaps.min(axis=1) > APART, gaps.min(axis=0) > APART
    different = np.concatenate([points[far, 1], other_points[other_far, 1]])
    if not len(different):
        where = "hardly"
    elif (different > BEYOND).all():
        where = "below"
    elif (different < -1 - BEYOND).all():
        where = "above"
    elif ((different > -1 - BEYOND) & (different < BEYOND)).all():
        where = "between"
    else:
        where = "near"
    return text(f"letter_writer.trial.differ.{where}", letter=letter.name, other=other.name)


def _points(formation: Formation) -> Polyline:
    """Points along all strokes, a few for each tenth of an x-height, the left edge at x = 0."""
    lines = [resample(stroke.path, 2 + int(30 * length(stroke.path))) for stroke in formation.strokes]
    return np.vstack(lines) - (formation.bounds[0], 0.0)


def _model(letter: Letter, key: str, alphabet: Alphabet) -> tuple[Markup, str]:
    """A letter as it is taught; `key` tells whether it was written now or stands in the alphabet."""
    caption = text(f"letter_writer.trial.{key}", letter=letter.name)
    return letter_svg(letter.taught, alphabet.guide, size=SIZE, title=caption), caption


def _ink(ink: Ink, alphabet: Alphabet, taken: str) -> tuple[Markup, str]:
    """Ink as it was written, and as what it passes."""
    strokes = tuple(Stroke(trace.points) for trace in ink.traces)
    caption = text("letter_writer.trial.passes", letter=taken)
    drawn = Formation("ink", strokes)
    picture = letter_svg(drawn, alphabet.guide, size=SIZE, numbers=False, arrows=False, title=caption)
    return picture, caption
