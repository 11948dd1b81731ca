"""Which version of the checks judges a letter: its day, their numbers, and what of the letter the
verdict rests on.

A verdict of another version may be another today: the checks are newer, the letter was edited, or the child's
hand is known by now. The other letters of the alphabet, which are only looked at to tell what was written
in place of this one, do not count: else one edited letter would make all old verdicts old.
"""

from __future__ import annotations

from functools import lru_cache
from hashlib import sha256
from itertools import product
from typing import get_args

from strokes.letter import GuideLines, Hand, Letter
from strokes.tolerances import STAGES, Tolerances
from strokes.weights import WEIGHTS

VERSION = "2026-11-28.3"
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


def is_of_letter(version: str, letter: Letter, *, guide: GuideLines) -> bool:
    """Whether `version`, of whatever day, hand and stage, judged by this letter between these lines.

    It is not known of a version whose tolerances were none of the stages, or whose weights were others.
    """
    _, _, digest = version.partition(":")
    return any(
        checks_version(letter, guide=guide, hand=hand, tolerances=tolerances).endswith(f":{digest}")
        for tolerances, hand in product(STAGES.values(), (None, *get_args(Hand)))
    )
