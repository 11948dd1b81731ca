"""The letters over which a test runs where a case costs more than some ten milliseconds."""

from string import ascii_lowercase

SAMPLE_LETTERS = (*ascii_lowercase, *"ABJNW", *"037")
"""All small letters, and some capitals and digits: of every family, of one stroke and of several."""
