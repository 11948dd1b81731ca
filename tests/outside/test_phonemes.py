"""The sounds and their manners against the CMU Pronouncing Dictionary (source: tests/pronounced.py)."""

from __future__ import annotations

from tests.pronounced import manners, pronunciations
from trainer.wordbank import PHONEMES


def test_every_sound_of_the_dictionary_is_there_with_its_manner() -> None:
    own = {name: phoneme.manner for name, phoneme in PHONEMES.items() if "+" not in name}

    assert own == manners()


def test_a_sound_of_two_is_a_vowel_taught_with_r_or_after_y() -> None:
    for phoneme in PHONEMES.values():
        if len(phoneme.parts) > 1:
            first, second = phoneme.parts
            assert (manners()[first], second) == ("vowel", "R") or (first, second) == ("Y", "UW")
            assert phoneme.vowel


def test_each_key_word_has_its_sound_in_the_dictionary() -> None:
    for phoneme in PHONEMES.values():
        parts = phoneme.parts
        said = pronunciations()[phoneme.example]
        assert any(parts == way[at : at + len(parts)] for way in said for at in range(len(way))), phoneme
