"""Files of words: tables of words with their boxes, and named sets of words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from strokes.files import shipped
from trainer.errors import WordError, WordFileError
from trainer.wordbank.graphemes import Graphemes, read_graphemes
from trainer.wordbank.toml_file import read_toml, strings
from trainer.wordbank.word import Word, spelled

FOLDER = shipped("trainer", "words")
GRAPHEMES = "graphemes.toml"

_USE = {"everyday": True, "usual": False}
_SETS = "sets"


@dataclass(frozen=True)
class WordList:
    """Words in the order of their files, and the texts of named sets among them."""

    graphemes: Graphemes
    words: tuple[Word, ...]
    sets: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def read_words(paths: Iterable[Path], graphemes: Graphemes) -> WordList:
    """The words of all these files.

    A file has the tables `[everyday]` and `[usual]`, in which `ship = "sh i p"` gives a word its boxes, and
    `[sets]` with lists of words from any of the files. Raises WordFileError: which file and word, what must
    be, what is. A word stands once in all of them.
    """
    words: dict[str, Word] = {}
    places: dict[str, Path] = {}
    sets: dict[str, tuple[str, ...]] = {}
    for path in paths:
        for table, entries in read_toml(path).items():
            if table == _SETS:
                sets |= _sets(path, entries)
                continue
            if table not in _USE:
                raise WordFileError(f"{path}: a table must be {', '.join((*_USE, _SETS))}, not {table}")
            for text, spelling in strings(path, table, entries).items():
                if text in words:
                    raise WordFileError(
                        f"{path}: {text} must stand once, it stands in {places[text].name} too"
                    )
                places[text] = path
                try:
                    words[text] = spelled(text, spelling, graphemes, everyday=_USE[table])
                except WordError as error:
                    raise WordFileError(f"{path}: {table}.{text}: {error}") from error
    for name, texts in sets.items():
        if unknown := [text for text in texts if text not in words]:
            raise WordFileError(
                f"{_SETS}.{name}: must have words that stand in a file, {unknown[0]!r} does not"
            )
    return WordList(graphemes, tuple(words.values()), sets)


@cache
def shipped_words() -> WordList:
    """The words that come with the program."""
    files = sorted(FOLDER.glob("*.toml"))
    return read_words([file for file in files if file.name != GRAPHEMES], read_graphemes(FOLDER / GRAPHEMES))


def _sets(path: Path, entries: object) -> dict[str, tuple[str, ...]]:
    if not isinstance(entries, dict):
        raise WordFileError(f"{path}: {_SETS}: must be a table, not {entries!r:.40}")
    for name, texts in entries.items():
        if not isinstance(texts, list) or not all(isinstance(text, str) for text in texts):
            raise WordFileError(f"{path}: {_SETS}.{name}: must be a list of words, not {texts!r:.40}")
    return {name: tuple(texts) for name, texts in entries.items()}
