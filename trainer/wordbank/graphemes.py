"""Which letters spell which sounds, and in which step of teaching that comes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from trainer.errors import WordFileError
from trainer.wordbank.phonemes import PHONEMES
from trainer.wordbank.toml_file import read_toml, strings

Sounds = tuple[str, ...]
"""What one box sounds like: the name of a phoneme, or of two (x, qu, le)."""

LETTERS = "letters"
"""The first step: each letter with its usual sound; who was taught the letter knows it. q has none alone."""

WEAK = "weak"
"""The step of the vowels that are hardly heard; only words of two syllables have them."""

GRAPHEME = re.compile(r"[a-z]{1,4}|[aeiouy]-e")


@dataclass(frozen=True)
class Correspondence:
    """A grapheme and one way it sounds, such as sh in ship; `step` names what must be known for it."""

    grapheme: str
    sounds: Sounds
    step: str

    @property
    def name(self) -> str:
        """How a record and a command name it: `ow:AW`, and the bare grapheme for a letter's usual sound."""
        return self.grapheme if self.step == LETTERS else f"{self.grapheme}:{','.join(self.sounds)}"


class Graphemes(Mapping[str, tuple[Correspondence, ...]]):
    """The correspondences by their graphemes, the most usual way of each first; in the order of teaching."""

    def __init__(self, correspondences: Iterable[Correspondence]) -> None:
        self.correspondences = tuple(correspondences)
        self._ways: dict[str, tuple[Correspondence, ...]] = {}
        for way in self.correspondences:
            self._ways[way.grapheme] = (*self._ways.get(way.grapheme, ()), way)

    def __getitem__(self, grapheme: str) -> tuple[Correspondence, ...]:
        return self._ways[grapheme]

    def __iter__(self) -> Iterator[str]:
        return iter(self._ways)

    def __len__(self) -> int:
        return len(self._ways)

    @cached_property
    def by_name(self) -> dict[str, Correspondence]:
        """Every correspondence by its name."""
        return {way.name: way for way in self.correspondences}

    @cached_property
    def steps(self) -> dict[str, tuple[Correspondence, ...]]:
        """The correspondences of each step, in the order of teaching."""
        names = dict.fromkeys(way.step for way in self.correspondences)
        return {name: tuple(way for way in self.correspondences if way.step == name) for name in names}

    def way(self, grapheme: str, sounds: Sounds) -> Correspondence | None:
        """The correspondence of a grapheme that sounds like that; None where it is not a regular one."""
        return next((way for way in self._ways.get(grapheme, ()) if way.sounds == sounds), None)


def read_graphemes(path: Path) -> Graphemes:
    """The correspondences of a file; its own head says how it is written.

    Raises WordFileError, which names the grapheme and what must stand there.
    """
    ways: dict[tuple[str, Sounds], Correspondence] = {}
    for step, entries in read_toml(path).items():
        for grapheme, said in strings(path, step, entries).items():
            where = f"{path}: {step}.{grapheme}"
            if not GRAPHEME.fullmatch(grapheme):
                raise WordFileError(f"{where}: a grapheme must be one to four letters a to z, or such as a-e")
            if not said.split():
                raise WordFileError(f"{where}: must name at least one sound, it is empty")
            for sound in said.split():
                sounds = tuple(sound.split(","))
                if wrong := [name for name in sounds if name not in PHONEMES]:
                    raise WordFileError(f"{where}: must name sounds such as SH or AA+R, not {wrong[0]!r}")
                if (grapheme, sounds) in ways:
                    other = ways[grapheme, sounds].step
                    raise WordFileError(f"{where}: {sound} must stand once for it, it stands in {other} too")
                ways[grapheme, sounds] = Correspondence(grapheme, sounds, step)
    return Graphemes(ways.values())
