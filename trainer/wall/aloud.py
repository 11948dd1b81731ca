"""All that is said of an item, in the order in which it may be wanted."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.language import spoken
from trainer.speech import Utterance, lone_sound, words
from trainer.wall.items import Item, WallLetter, WallWord
from trainer.window.scenes.sounding import sounds_of


def aloud(item: Item) -> tuple[Utterance, ...]:
    """The sounds, words and cues of an item, each once."""
    return tuple(dict.fromkeys(_aloud(item)))


def _aloud(item: Item) -> Iterator[Utterance]:
    if isinstance(item, WallLetter):
        yield from spoken.letter_aloud(item.letter)
        yield from _cues(item, item.letter)
    elif isinstance(item, WallWord):
        yield from sounds_of(item.word)
        yield words(item.word.text)
        yield from (lone_sound(sound) for sound in item.word.sounds)
        for letter in item.word.text:
            yield from _cues(item, letter)
    else:
        yield from (words(word.text) for word in (item.rhymes.word, *item.rhymes.options, *item.rhymes.made))


def _cues(item: WallLetter | WallWord, letter: str) -> Iterator[Utterance]:
    taught = item.alphabet[letter].taught
    yield from (words(spoken.cue_of(taught, stroke)) for stroke in range(len(taught.strokes)))
