"""What came of the words that children wrote: sounds miscounted, chunks missed, words on one line; pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from strokes.kinds import WordKind
from trainer.attempt import WordPart, WordTry


@dataclass(frozen=True)
class WordFigures:
    """One word: how often its sounds were `counted` and not tapped right, chunks and rhymes met and missed.

    `sounds` is how many it has, `tapped` what was tapped most often in their place. `lines` counts it on one
    line, `even` those with nothing to mend, and `kinds` what was seen on the others, most often first.
    """

    word: str
    last: datetime
    sounds: int = 0
    counted: int = 0
    miscounted: int = 0
    tapped: int | None = None
    chunks: int = 0
    chunks_missed: int = 0
    lines: int = 0
    even: int = 0
    kinds: tuple[WordKind, ...] = ()

    @property
    def missed(self) -> int:
        """How often something was missed in hearing: the sounds, a chunk or a rhyme."""
        return self.miscounted + self.chunks_missed


def figures_of_words(tries: Iterable[WordTry]) -> tuple[WordFigures, ...]:
    """The figures of each word of these finished tries; what was missed most often comes first."""
    by_word: dict[str, list[WordTry]] = {}
    for tried in tries:
        if tried.finished:
            by_word.setdefault(tried.word, []).append(tried)
    figures = [_figures(word, own) for word, own in by_word.items()]
    return tuple(sorted(figures, key=lambda one: (-one.missed, -one.last.timestamp())))


def _figures(word: str, tries: list[WordTry]) -> WordFigures:
    counts = [tried for tried in tries if tried.part is WordPart.COUNT]
    chunks = [tried for tried in tries if tried.part in (WordPart.CHUNK, WordPart.RHYME)]
    lines = [tried for tried in tries if tried.part is WordPart.LINE]
    wrong = Counter(tried.given for tried in counts if tried.missed)
    kinds = Counter(finding.kind for tried in lines for finding in tried.findings[:1])
    return WordFigures(
        word,
        max(tried.at for tried in tries),
        sounds=counts[-1].asked if counts else 0,
        counted=len(counts),
        miscounted=wrong.total(),
        tapped=wrong.most_common(1)[0][0] if wrong else None,
        chunks=len(chunks),
        chunks_missed=sum(tried.missed for tried in chunks),
        lines=len(lines),
        even=sum(not tried.findings for tried in lines),
        kinds=tuple(kind for kind, _ in kinds.most_common()),
    )
