"""The words that people read: kept in `assets/texts/<language>/<room>.toml`, asked for by a dotted key."""

from __future__ import annotations

import tomllib
from functools import cache
from typing import Any

from strokes.files import shipped

LANGUAGE = "en"
TEXTS = shipped("trainer", "texts")


def text(key: str, /, **values: object) -> str:
    """The text at `key`, such as `practice.done`, with `values` put into its {places}.

    The first part of the key names the file. Raises KeyError for a key that is not there, and for a
    place that got no value.
    """
    entry: Any = room(key.partition(".")[0])
    for name in key.split(".")[1:]:
        if not isinstance(entry, dict) or name not in entry:
            raise KeyError(f"no text has the key {key!r}")
        entry = entry[name]
    if not isinstance(entry, str):
        raise KeyError(f"{key!r} is a table of texts, not a text")
    return entry.format(**values)


@cache
def room(name: str) -> dict[str, Any]:
    """All texts of one file as nested tables. Raises KeyError when there is no such file."""
    path = TEXTS / LANGUAGE / f"{name}.toml"
    if not path.is_file():
        raise KeyError(f"no texts are kept for {name!r}")
    with path.open("rb") as file:
        return tomllib.load(file)
