"""A draft becomes a formation of the alphabet: the letter's file, its family and its place in the order.

The folder is tried out as a copy first. The letter's file is written before `alphabet.toml`, as a letter that
the table does not name yet can be used, and a name without a file cannot.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any
from unicodedata import normalize
from xml.parsers import expat

from strokes.alphabet import Alphabet, usable
from strokes.errors import LetterError, LetterFileError
from strokes.files import TOML, file_name, load_letter
from strokes.letter import Hand, Letter
from trainer.atomic_file import replace_file
from trainer.errors import PlaceError
from trainer.teaching.alphabets import alphabet_in
from trainer.teaching.letter_drafts import Draft
from trainer.teaching.letter_history import replace_letter
from trainer.teaching.own_letters import copy_letters

if TYPE_CHECKING:
    import tomlkit

_BOM = b"\xef\xbb\xbf"


def save(folder: Path, draft: Draft, *, keep_taught: bool = False) -> None:
    """Write a draft into the alphabet in `folder`; with `keep_taught` the way taught before stays accepted.

    Raises LetterError for a draft that is no letter yet, and for what the alphabet cannot have; PlaceError
    when a file cannot be written. The alphabet is as it was then.
    """
    current = alphabet_in(folder)
    if current.alphabet is None:
        raise current.faults[0]
    _ready(draft, current.alphabet)
    file = current.files.get(draft.letter, folder / file_name(draft.letter))
    letter = _with_formation(_content(file, draft, current.alphabet), draft, keep_taught=keep_taught)
    table = _table(folder, draft, current.alphabet)
    with tempfile.TemporaryDirectory(prefix=".trial-", dir=folder) as trial:
        copy = Path(trial) / folder.name
        copy_letters(folder, copy)
        _write(copy / file.name, letter)
        _write(copy / TOML, table)
        load_letter(copy / file.name)
        after = usable(copy)
        if after.alphabet is None or draft.letter not in after.alphabet:
            raise after.faults[0]
    replace_letter(file, letter)
    replace_file(folder / TOML, table, what="the alphabet's table")


def with_draft(letter: Letter | None, draft: Draft) -> Letter:
    """The letter as it would be once the draft is saved; `letter` is what the alphabet has now."""
    formation, use = draft.formation(), draft.state.use
    if letter is None:
        return Letter(draft.letter, (formation,))
    if use == "taught":
        return replace(letter, formations=(formation, *letter.formations[1:]))
    names = [formation.name for formation in letter.formations]
    added = replace(formation, name=_free(f"own-{use}", names), hand=_hand(draft))
    return replace(letter, formations=(*letter.formations, added))


def _hand(draft: Draft) -> Hand | None:
    use = draft.state.use
    return use if use == "left" or use == "right" else None


def _write(file: Path, content: bytes) -> None:
    try:
        file.write_bytes(content)
    except OSError as error:
        raise PlaceError(f"{file}: cannot be written: {error.strerror}") from error


def _ready(draft: Draft, alphabet: Alphabet) -> None:
    state = draft.state
    if not state.strokes:
        raise LetterError("the letter must have at least one stroke before it is saved")
    if state.use != "taught" and draft.letter not in alphabet:
        raise LetterError(f"{draft.letter!r} must have a taught way before it has an accepted one")
    if state.after and state.after not in alphabet:
        raise LetterError(f"{state.after!r} must be a letter of the alphabet, to be taught after it")
    if state.family and state.family not in [family.name for family in alphabet.families]:
        raise LetterError(f"{state.family!r} must be a family of the alphabet")


# --- the letter's file


def _content(file: Path, draft: Draft, alphabet: Alphabet) -> bytes:
    """The letter's file as it is, of a composed letter what would stand in it, of a new one nothing."""
    if draft.letter not in alphabet:
        return b""
    letter = alphabet[draft.letter]
    return _saved(letter) if letter.base else file.read_bytes().removeprefix(_BOM)


def _with_formation(content: bytes, draft: Draft, *, keep_taught: bool) -> bytes:
    """The letter's file with the draft's formation in it; all else in it stays as it is."""
    if not content:
        return _saved(Letter(draft.letter, (draft.formation(),)))
    groups = _Groups(content)
    names = [name for name, _, _ in groups.spans]
    use = draft.state.use
    if use != "taught":
        group = _group(draft, _free(f"own-{use}", names))
        return content[: groups.end] + b"  " + group + b"\n" + content[groups.end :]
    _, start, end = groups.spans[0]
    group = _renamed(_group(draft, "taught"), _free("taught", names[1:]))
    if keep_taught:
        before = _hidden(_renamed(content[start:end], _free("taught-before", names)))
        return content[:start] + group + b"\n  " + before + content[end:]
    return content[:start] + group + content[end:]


def _group(draft: Draft, name: str) -> bytes:
    """The draft as the `<g>` of a letter's file, with that id."""
    formation = draft.formation()
    added = replace(formation, name=name, hand=_hand(draft))
    ways = (formation,) if draft.state.use == "taught" else (formation, added)
    written = _saved(Letter(draft.letter, ways))
    _, start, end = _Groups(written).spans[-1]
    return written[start:end]


def _saved(letter: Letter) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "letter.svg"
        letter.save(file)
        return file.read_bytes()


def _free(name: str, taken: Sequence[str]) -> str:
    """The name, or the first of name-2, name-3 and so on that is not taken."""
    number, free = 1, name
    while free in taken:
        number += 1
        free = f"{name}-{number}"
    return free


def _renamed(group: bytes, name: str) -> bytes:
    """The bytes of a `<g>` with another id."""
    return _with_attribute(group, b"id", name)


def _hidden(group: bytes) -> bytes:
    """The bytes of a `<g>` that a browser does not show."""
    return _with_attribute(group, b"display", "none")


def _with_attribute(group: bytes, attribute: bytes, value: str) -> bytes:
    from xml.sax.saxutils import quoteattr  # it imports urllib.request, and that all of HTTP

    start = re.sub(rb"""\s%s\s*=\s*("[^"]*"|'[^']*')""" % attribute, b"", group[: group.index(b">")])
    return start + b" " + attribute + b"=" + quoteattr(value).encode() + group[group.index(b">") :]


class _Groups:
    """Where the formations of a letter's file begin and end, in bytes, and where `</svg>` begins.

    The file was read as a letter before, so there is no DTD in it, and at least one group.
    """

    def __init__(self, content: bytes) -> None:
        self.spans: list[tuple[str, int, int]] = []
        self.end = 0
        self._depth, self._start, self._name = 0, 0, ""
        self._content = content
        parser = expat.ParserCreate("utf-8")
        parser.StartElementHandler = lambda name, given: self._open(parser.CurrentByteIndex, name, given)
        parser.EndElementHandler = lambda name: self._close(parser.CurrentByteIndex, name)
        parser.Parse(content, True)

    def _open(self, at: int, name: str, attributes: dict[str, Any]) -> None:
        self._depth += 1
        if self._depth == 2 and _local(name) == "g":
            self._start, self._name = at, attributes.get("id", "")

    def _close(self, at: int, name: str) -> None:
        if self._depth == 2 and _local(name) == "g":
            self.spans.append((self._name, self._start, self._content.index(b">", at) + 1))
        if self._depth == 1:
            self.end = at
        self._depth -= 1


def _local(name: str) -> str:
    return name.rpartition(":")[2]


# --- alphabet.toml


def _table(folder: Path, draft: Draft, alphabet: Alphabet) -> bytes:
    """The alphabet's table with the letter in its family and at its place; comments and all else stay."""
    import tomlkit  # only who saves a letter needs it
    from tomlkit.exceptions import TOMLKitError

    path = folder / TOML
    try:
        return tomlkit.dumps(_changed(path, draft, alphabet)).encode()
    except (
        TOMLKitError,
        ValueError,
    ) as error:  # stricter than what reads the table
        raise LetterFileError(path, f"the program cannot change it; mend it by hand: {error}") from error


def _changed(path: Path, draft: Draft, alphabet: Alphabet) -> tomlkit.TOMLDocument:
    import tomlkit

    table = tomlkit.parse(path.read_text(encoding="utf-8-sig")) if path.exists() else tomlkit.document()
    letter, state = draft.letter, draft.state
    for family in table.get("family", []):
        letters = family.get("letters", [])
        wanted = family.get("name") == state.family
        if letter in letters and not wanted:
            letters.remove(letter)
        elif letter not in letters and wanted:
            letters.append(letter)
    composed = table.get("composed", {})
    for key in [key for key in composed if normalize("NFC", key) == letter]:
        del composed[key]  # it has a file of its own now
    order = table.setdefault("teaching", tomlkit.table()).setdefault("order", tomlkit.array())
    _reorder(order, letter, _before(draft, alphabet))
    return table


def _before(draft: Draft, alphabet: Alphabet) -> list[str]:
    """The letters that are taught before the draft's, in order, without composed ones."""
    order, after = alphabet.order, draft.state.after
    before = order[: order.index(after) + 1] if after else ()
    return [name for name in before if name != draft.letter and not alphabet[name].base]


def _reorder(order: Any, letter: str, before: Sequence[str]) -> None:
    """Put a letter into an array behind those before it; the others keep their lines and comments."""
    named = list(order)
    missing = [name for name in before if name not in named]
    behind = max((named.index(name) for name in before if name in named), default=-1)
    if not missing and letter in named and named.index(letter) - 1 == behind:
        return
    if letter in named:
        order.remove(letter)
    for name in missing:
        order.append(name)
    place = max((list(order).index(name) for name in before), default=-1)
    order.insert(place + 1, letter)
