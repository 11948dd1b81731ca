"""What is written on a sheet: a letter, a word or a name, as strokes with a place each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Literal, TypeAlias
from unicodedata import normalize

from strokes.alphabet import Alphabet
from strokes.letter import Formation, Letter, set_of
from strokes.transform import Transform
from trainer.drawing import Point, Ring, arrows, lettering, theme
from trainer.language import letter_words, text
from trainer.paper.canvas import Canvas

Look: TypeAlias = Literal["model", "trace", "starts", "plain"]
"""Black with numbered starts and arrows; pale with its starts; the starts alone; black strokes alone."""

PEN = 0.14
"""Width of the strokes in x-heights: a chevron finds room inside, and a pencil line on a pale one."""


@dataclass(frozen=True)
class Piece:
    """A letter, a word or a name in the strokes of an alphabet.

    A character that the alphabet does not have leaves a gap, and is `missing`.
    """

    written: str
    alphabet: Alphabet

    @cached_property
    def missing(self) -> tuple[str, ...]:
        """The characters that cannot be drawn, each once."""
        characters = dict.fromkeys(normalize("NFC", self.written))
        return tuple(c for c in characters if c not in self.alphabet and not c.isspace())

    @cached_property
    def letters(self) -> tuple[tuple[Letter, float], ...]:
        """Each letter with the x by which it is moved, in x-heights."""
        return self._spaced[0]

    @property
    def width(self) -> float:
        """From the left side of the first letter to the right side of the last one, in x-heights."""
        return self._spaced[1]

    @property
    def is_letter(self) -> bool:
        """Whether it is one letter alone, which has numbered cues."""
        return len(self.letters) == 1

    @property
    def spoken(self) -> str:
        """What is written, as it is read aloud: a single letter says whether it is a capital."""
        return letter_words(self.letters[0][0].name) if self.is_letter else self.written

    @property
    def heading(self) -> str:
        """Over a single letter: whether it is a capital or a digit."""
        name = self.letters[0][0].name
        return text(f"paper.sheet.letter.{set_of(name)}", letter=name)

    @cached_property
    def top(self) -> float:
        """The highest y: the ascender line, or what stands above it."""
        return min((letter.taught.bounds[1] for letter, _ in self.letters), default=0.0)

    @cached_property
    def _spaced(self) -> tuple[tuple[tuple[Letter, float], ...], float]:
        shown = "".join(c if c not in self.missing else " " for c in normalize("NFC", self.written))
        return lettering.spaced(self.alphabet, " ".join(shown.split()))

    def draw(self, canvas: Canvas, left: float, base: float, unit: float, look: Look) -> None:
        """The piece with its left side at x = `left`, on the base line y = `base`; lengths in mm."""
        mm = canvas.mm
        for letter, shift in self.letters:
            place = Transform(mm(unit), mm(unit), mm(left + shift * unit), mm(base))
            _draw(canvas, letter.taught, place, look)


def _draw(canvas: Canvas, formation: Formation, place: Transform, look: Look) -> None:
    if look != "starts":
        color = theme.PALE if look == "trace" else theme.BLACK
        for stroke in formation.strokes:
            canvas.stroke(stroke, place, PEN * place.scale_x, color)
    if look == "plain":
        return
    rings, chevrons = _marks(formation, place.scale_x)
    if look == "model":
        for chevron in chevrons:
            replace(chevron, at=_moved(chevron.at, place)).draw(canvas, theme.BLACK)
    for ring in rings:
        replace(ring, center=_moved(ring.center, place), start=_moved(ring.start, place)).draw(canvas)


@lru_cache(maxsize=256)
def _marks(formation: Formation, unit: float) -> tuple[Sequence[Ring], Sequence[arrows.Chevron]]:
    """The rings and chevrons of a formation at x = 0 on the base line: a sheet has them many times."""
    place, width = Transform(unit, unit), PEN * unit
    lines = [place.apply(stroke.path) for stroke in formation.strokes]
    rings = arrows.start_rings(lines, [stroke.is_dot for stroke in formation.strokes], width, unit)
    return rings, arrows.chevrons(lines, width, unit, rings)


def _moved(point: Point, place: Transform) -> Point:
    return point[0] + place.shift_x, point[1] + place.shift_y
