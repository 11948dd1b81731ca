"""The sounds of General American that words are spelled with: what each is, how an engine is asked for it.

The 39 phonemes have the names and the manners of the CMU Pronouncing Dictionary, without stress. Five more
are two of its phonemes in a row that are taught as one sound (a vowel with r, and the long u of cube): their
names are those of the two, joined by a plus. The examples are our own.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

Manner = Literal["vowel", "stop", "affricate", "fricative", "aspirate", "nasal", "liquid", "semivowel"]
"""How a sound is made; a sound that begins with a vowel or ends with one counts as a vowel."""

_HELD: frozenset[Manner] = frozenset({"vowel", "fricative", "nasal", "liquid"})
"""Manners that can be drawn out and stay what they are; w and y held turn into oo and ee, h is breath."""


@dataclass(frozen=True)
class Phoneme:
    """One sound as it is taught.

    `name` is the ARPABET name without stress (`SH`), or two joined (`AA+R`). `example` is a word with that
    sound. `espeak` is the sound in the notation of espeak-ng's English voices, as it goes between `[[` and
    `]]`.
    """

    name: str
    example: str
    manner: Manner
    voiced: bool
    espeak: str

    @property
    def held(self) -> bool:
        """Whether it can be drawn out when a word is said slowly; the others are said short."""
        return self.manner in _HELD

    @property
    def vowel(self) -> bool:
        """Whether it is a vowel, alone or with an r or y that is taught with it."""
        return self.manner == "vowel"

    @property
    def parts(self) -> tuple[str, ...]:
        """The dictionary's phonemes in it: one, or the two that are taught as one."""
        return tuple(self.name.split("+"))


_TABLE: tuple[tuple[str, str, Manner, bool, str], ...] = (
    # vowels
    ("AA", "hot", "vowel", True, "A:"),
    ("AE", "cat", "vowel", True, "a"),
    ("AH", "sun", "vowel", True, "V"),
    ("AO", "saw", "vowel", True, "O:"),
    ("AW", "cow", "vowel", True, "aU"),
    ("AY", "bike", "vowel", True, "aI"),
    ("EH", "bed", "vowel", True, "E"),
    ("ER", "bird", "vowel", True, "3:"),
    ("EY", "rain", "vowel", True, "eI"),
    ("IH", "fish", "vowel", True, "I"),
    ("IY", "tree", "vowel", True, "i:"),
    ("OW", "boat", "vowel", True, "oU"),
    ("OY", "coin", "vowel", True, "OI"),
    ("UH", "book", "vowel", True, "U"),
    ("UW", "moon", "vowel", True, "u:"),
    # a vowel with r, and y with a vowel, taught as one sound
    ("AA+R", "car", "vowel", True, "A@"),
    ("AO+R", "fork", "vowel", True, "O@"),
    ("EH+R", "chair", "vowel", True, "e@"),
    ("IH+R", "ear", "vowel", True, "i@3"),
    ("Y+UW", "cube", "vowel", True, "ju:"),
    # stops and affricates
    ("B", "bat", "stop", True, "b"),
    ("D", "dog", "stop", True, "d"),
    ("G", "goat", "stop", True, "g"),
    ("K", "kite", "stop", False, "k"),
    ("P", "pin", "stop", False, "p"),
    ("T", "tent", "stop", False, "t"),
    ("CH", "chin", "affricate", False, "tS"),
    ("JH", "jam", "affricate", True, "dZ"),
    # fricatives and breath
    ("DH", "then", "fricative", True, "D"),
    ("F", "fan", "fricative", False, "f"),
    ("S", "sand", "fricative", False, "s"),
    ("SH", "ship", "fricative", False, "S"),
    ("TH", "thin", "fricative", False, "T"),
    ("V", "van", "fricative", True, "v"),
    ("Z", "zip", "fricative", True, "z"),
    ("ZH", "treasure", "fricative", True, "Z"),
    ("HH", "hat", "aspirate", False, "h"),
    # nasals, liquids, semivowels
    ("M", "map", "nasal", True, "m"),
    ("N", "net", "nasal", True, "n"),
    ("NG", "ring", "nasal", True, "N"),
    ("L", "leg", "liquid", True, "l"),
    ("R", "red", "liquid", True, "r"),
    ("W", "web", "semivowel", True, "w"),
    ("Y", "yes", "semivowel", True, "j"),
)

PHONEMES = MappingProxyType({row[0]: Phoneme(*row) for row in _TABLE})
"""Every sound by its name. The notation of espeak-ng is from memory of its English phoneme tables."""
