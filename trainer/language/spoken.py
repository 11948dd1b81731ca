"""What is said aloud: a letter by its sound, and all that may be said while letters are learned.

A sound is never said as a letter's name. Where a sound does not tell which letter is meant, as for c and k,
the name comes after it in a sentence of its own.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Literal

from strokes.alphabet import Alphabet
from strokes.kinds import Kind
from strokes.letter import Formation, GuideLines, Letter, set_of
from strokes.report import Finding
from trainer.language import phrases
from trainer.language.pieces import parts
from trainer.language.texts import text
from trainer.speech import Utterance, lone_sound, plain_text, words

Shelf = Literal["sounds", "cues", "sentences"]

_ONCE = (
    *("asking.title", "letters.title", "rest.title", "rest.body", "cards.title", "cards.gone"),
    *("write.peeped", "write.recall_unnamed"),
    *(f"words.{key}" for key in ("title", "none", "hear", "say_it", "count", "trace", "copy", "recall")),
    *(f"line.{key}" for key in ("title", "even", "touching", "floats", "sinks", "bigger", "smaller")),
    *("line.ascender", "line.closer", "line.apart", "rhymes.make"),
)
_EVERY_LETTER = (
    *("watch.title", "write.trace", "write.copy", "write.start", "write.direction"),
    *("praise.mended", "answer.kept"),
)


@dataclass(frozen=True)
class Sayable:
    """Something that may be said, on which shelf a teacher looks for it, and at which letters it comes up."""

    utterance: Utterance
    shelf: Shelf
    letters: tuple[str, ...]

    @property
    def uses(self) -> int:
        """At how many letters it comes up."""
        return len(self.letters)


def sound_of(letter: str) -> Utterance | None:
    """The sound that a letter is taught with; None for a digit.

    Where the texts have no phonemes for it, the utterance is the letter: a recording can say it, no engine.
    """
    if set_of(letter) == "digit":
        return None
    small = letter.lower()
    try:
        return lone_sound(*text(f"sounds.letter.{small}").split())
    except KeyError:
        return lone_sound(small)


def name_of(letter: str) -> str | None:
    """The name of a letter or digit, for a sentence; None where the texts have none."""
    try:
        return text(f"practice.names.{letter.lower()}")
    except KeyError:
        return None


def letter_aloud(letter: str) -> tuple[Utterance, ...]:
    """Which letter it is: its sound; a digit, and a letter whose sound is not written down, by its name."""
    sound, name = sound_of(letter), name_of(letter)
    if sound is not None and (name is None or _has_phonemes(letter)):
        return (sound,)
    return tuple(said for said in (sound, words(name) if name else None) if said is not None)


def recalled(letter: str) -> str:
    """Which letter is to be written from memory, by its name; its form is not shown.

    A letter of one's own alphabet may have no name in the texts: it was shown a moment ago.
    """
    name = name_of(letter)
    if name is None:
        return text("practice.write.recall_unnamed")
    return text(f"practice.write.recall_{set_of(letter)}", name=name)


def recalled_aloud(letter: str, alphabet: Alphabet) -> tuple[Utterance, ...]:
    """The same as it is said: by its sound, and by its name where the sound is not that letter's alone."""
    sound = sound_of(letter)
    if sound is None:
        return (words(recalled(letter)),)
    like_it = [
        other.name
        for other in alphabet.letters
        if other.name != letter and set_of(other.name) == set_of(letter) and sound_of(other.name) == sound
    ]
    if like_it or not _has_phonemes(letter):
        return (sound, words(recalled(letter)))
    return (words(text(f"sounds.recall.{set_of(letter)}")), sound)


def cue_of(formation: Formation, stroke: int) -> str:
    """What is told while a stroke is shown."""
    return formation.strokes[stroke].cue or text("practice.watch.title")


def sayables(alphabets: Iterable[Alphabet]) -> list[Sayable]:
    """All that may be said of these alphabets: sounds first, and what comes up at the most letters.

    Sentences about findings are those that a finding on any stroke or part of a letter would bring.
    """
    counted: dict[Shelf, dict[Utterance, Counter[str]]] = {"sounds": {}, "cues": {}, "sentences": {}}

    def count(shelf: Shelf, utterance: Utterance, letter: str) -> None:
        counted[shelf].setdefault(utterance, Counter())[letter] += 1

    for alphabet in alphabets:
        for letter in alphabet.letters:
            for said in (*letter_aloud(letter.name), *recalled_aloud(letter.name, alphabet)):
                count("sounds" if said.kind == "sound" else "sentences", said, letter.name)
            for stroke in range(len(letter.taught.strokes)):
                count("cues", words(cue_of(letter.taught, stroke)), letter.name)
            for sentence in _sentences(letter, alphabet.guide):
                count("sentences", words(sentence), letter.name)
    for grapheme, sound in _sounds_in_words(counted["sounds"]):
        count("sounds", sound, grapheme)
    for key in _ONCE:
        counted["sentences"].setdefault(words(text(f"practice.{key}")), Counter({"": 1}))
    return [
        Sayable(utterance, shelf, tuple(letter for letter in letters if letter))
        for shelf, every in counted.items()
        for utterance, letters in sorted(every.items(), key=lambda item: -len(item[1]))
    ]


def _sounds_in_words(known: Collection[Utterance]) -> Iterable[tuple[str, Utterance]]:
    """The sounds that no letter alone has, as that of sh, each with the first letters taught for it."""
    from trainer.wordbank import shipped_words  # read for the list of what can be recorded alone

    met = set(known)
    for way in shipped_words().graphemes.correspondences:
        sound = lone_sound(*way.sounds)
        if sound not in met:
            met.add(sound)
            yield way.grapheme, sound


def _has_phonemes(letter: str) -> bool:
    sound = sound_of(letter)
    return sound is not None and sound.text != letter.lower()


def _sentences(letter: Letter, guide: GuideLines) -> Iterable[str]:
    """What may be said at one letter, each sentence once, what comes up every time before what is rare."""
    formation = letter.taught
    sentences = [
        *(text(f"practice.{key}") for key in _EVERY_LETTER),
        phrases.moves(formation),
        *(phrases.try_next(finding, formation, guide) for finding in _findings(formation)),
        *(text(f"practice.better.{kind}") for kind in Kind),
    ]
    yield from dict.fromkeys(sentences)


def _findings(formation: Formation) -> Iterable[Finding]:
    """A finding of each kind on each stroke and part of it, and on the letter as a whole."""
    yield Finding(Kind.SIZE, 0.5, 1.0)  # too small; that of all kinds below is too large
    for kind in Kind:
        yield Finding(kind, 2.0, 1.0)
        for index, stroke in enumerate(formation.strokes):
            for share in (None, *(part.share for part in parts(stroke))):
                yield Finding(kind, 2.0, 1.0, index, part=share)


def by_file_name(name: str, every: Iterable[Sayable]) -> Utterance:
    """What a file without its ending is a recording of: a letter's sound, something that is said, or words.

    Hyphens and underscores stand for spaces; capitals and marks do not count.
    """
    said = plain_text(name.replace("_", " ").replace("-", " "))
    if len(said) == 1 and (sound := sound_of(said)) is not None:
        return sound
    known = (sayable.utterance for sayable in every if sayable.utterance.kind == "words")
    return next((each for each in known if _bare(each.text) == _bare(said)), words(said))


def _bare(text: str) -> str:
    """The words of a text, with no marks in it: file names have none."""
    return " ".join("".join(sign if sign.isalnum() else " " for sign in text.casefold()).split())
