"""A guess of the boxes of a word that a teacher typed, for her to confirm or mend."""

from __future__ import annotations

import re
from dataclasses import dataclass

from trainer.wordbank.graphemes import Graphemes
from trainer.wordbank.word import Word, plain_word, spelled

_C, _V = "[bcdfghjklmnpqrstvwxyz]", "[aeiouy]"


@dataclass(frozen=True)
class _Rule:
    """A grapheme that is meant, as a spelling writes it, where its letters stand between two contexts."""

    box: str
    before: str = ""
    after: str = ""

    def fits(self, text: str, place: int) -> bool:
        """Whether the letters at this place of the text are to be read so."""
        letters = self.letters
        if not text.startswith(letters, place):
            return False
        before = re.search(f"(?:{self.before})$", text[:place])
        return before is not None and re.match(self.after, text[place + len(letters) :]) is not None

    @property
    def letters(self) -> str:
        """The letters that the box takes from here."""
        return re.split("[-:]", self.box)[0]

    @property
    def length(self) -> int:
        """How many letters belong to it, with a silent e that stands further on."""
        return len(self.box.partition(":")[0].replace("-", ""))


_RULES = tuple(
    _Rule(box, before, after)
    for box, before, after in (
        # one letter that sounds otherwise than usual, by what stands beside it
        *((f"{vowel}-e", "", "(?:th|ch|[bcdfgjklmnpstvz])e$") for vowel in "aeiou"),
        *((f"{vowel}-e", "", "re$") for vowel in "eiu"),
        ("c:S", "", "[eiy]"),
        ("n:NG", "", "[kx]|g[aioulr]|ger"),
        ("a:AO", "", "ll|lk|lt"),
        ("a:AA", "w|qu", "[lnpst]"),
        ("i:AY", "", "(?:nd|ld)$"),
        ("o:OW", "", "l[dt]|$"),
        ("e:IY", f"^{_C}+", "$"),
        ("a:AH", f"{_V}{_C}+", "$"),
        ("y:AY", f"^{_C}+", "$"),
        ("y:IY", f"{_V}.+", "$"),
        *((f"{vowel}:AH", f"{_V}.*{_C}", "[nlt]$") for vowel in "eo"),
        ("i:AH", f"{_V}.*{_C}", "[nl]$"),
        ("a:AH", f"{_V}.*{_C}", "l$"),
        ("oo:UH", "", "k"),
        ("ow:AW", "", "[dln]$"),
        ("y:IH!", f"{_C}", f"{_C}"),
        ("s:Z", "[bdglmnvw]|[ai]|[aeiou]{2}", "$"),
        # letters that stand together at the beginning or at the end alone
        ("kn", "^", ""),
        ("wr", "^", ""),
        ("mb", _V, "$"),
        ("le", f"{_V}.*{_C}", "$"),
        ("se:Z", "oi|ee|ea", "$"),
        *(
            (box, "", "$")
            for box in ("ce", "ge", "se", "ve", "ze", "are", "ore", "oor", "ey", "ue", "ie", "oe")
        ),
        *((box, f"{_V}.*", "$") for box in ("ar:ER", "or:ER")),
        *((box, "", "(?!r)") for box in ("ar", "or", "er", "ir", "ur")),
        *((box, _V, "") for box in ("bb", "dd", "gg", "mm", "nn", "pp", "rr", "tt", "tch", "dge", "ck")),
        ("ng", _V, "(?![aeioulr])"),
    )
)
_BEFORE_E = {"c": "c:S", "g": "g:JH", "s": "s:Z"}
"""How letters sound before the silent e of a split digraph, where that is not their usual sound."""

_BOUND = {rule.letters for rule in _RULES if len(rule.letters) > 1}
"""Graphemes of more than one letter that stand for a sound only where a rule says so."""


def guess(text: str, graphemes: Graphemes) -> Word:
    """The word with the boxes that its letters most likely stand for.

    From left to right the longest grapheme that fits is taken, and a single letter by what stands beside it.
    English does not allow more than a guess. Raises WordError for what is no word, or has no vowel.
    """
    plain_word(text)
    parts: list[str] = []
    place = 0
    while place < len(text):
        part, letters = _next(text, place, graphemes)
        parts.append(part)
        place += len(letters)
        if part.endswith("-e"):
            closing = text[place:-1]
            parts.append(_BEFORE_E.get(closing, closing))
            break
    return spelled(text, " ".join(parts), graphemes)


def _next(text: str, place: int, graphemes: Graphemes) -> tuple[str, str]:
    """The next box as a spelling writes it, and its letters."""
    fitting = [rule for rule in _RULES if rule.fits(text, place)]
    fitting.sort(key=lambda rule: -rule.length)
    taken = (text[place : place + length] for length in (4, 3, 2))
    free = next((letters for letters in taken if letters in graphemes and letters not in _BOUND), text[place])
    if fitting and fitting[0].length >= len(free):
        return fitting[0].box, fitting[0].letters
    return free, free
