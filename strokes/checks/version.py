"""Which version of the checks judges a letter: its day, their numbers, and what of the letter the
verdict rests on.

A verdict of another version may be another today: the checks are newer, the letter was edited, or the child's
hand is known by now. The other letters of the alphabet, which are only looked at to tell what was written
in place of this one, do not count: else one edited letter would make all old verdicts old.
"""

from __future__ import annotations

from functools import lru_cache
from hashlib import sha256

from strokes.letter import GuideLines, Hand, Letter
from strokes.tolerances import Tolerances
from strokes.weights import WEIGHTS

VERSION = "2026-11-27.5"
"""The day of the last change in what the checks do after which a verdict may be another one.

A changed tolerance or weight needs no other day: `checks_version` covers them.
"""


@lru_cache(maxsize=512)
def checks_version(
    letter: Letter, *, guide: GuideLines, hand: Hand | None = None, tolerances: Tolerances | None = None
) -> str:
    """The version by which `check` judges this letter now: its day, a colon and twelve hexadecimals."""
    digest = sha256(repr((guide, tolerances or Tolerances(), WEIGHTS)).encode())
    for formation in letter.accepted(hand):
        digest.update(repr((formation.name, formation.note, len(formation.strokes))).encode())
        for stroke in formation.strokes:
            digest.update(repr(stroke.path.shape).encode() + stroke.path.tobytes())
    return f"{VERSION}:{digest.hexdigest()[:12]}"
