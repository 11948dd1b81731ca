"""A draft becomes a formation of the alphabet: the letter's file, its family and its place in the order.

The folder is tried out as a copy first. The letter's file is written before `alphabet.toml`, as a letter that
the table does not name yet can be used, and a name without a file cannot.
"""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any
from unicodedata import normalize

from strokes.alphabet import Alphabet, usable
from strokes.errors import LetterError, LetterFileError
from strokes.files import TOML, file_name, letter_files
from strokes.letter import Hand, Letter
from trainer.atomic_file import replace_file
from trainer.errors import PlaceError
from trainer.teaching import letter_markup
from trainer.teaching.alphabets import alphabet_in
from trainer.teaching.letter_drafts import ONLY_PLANNED, Draft
from trainer.teaching.letter_history import replace_letter
from trainer.teaching.letter_markup import PlainFile
from trainer.teaching.own_letters import copy_letters, first_fault

if TYPE_CHECKING:
    import tomlkit


def save(folder: Path, draft: Draft, *, keep_taught: bool = False) -> None:
    """Write a draft into the alphabet in `folder`; with `keep_taught` the way taught before stays accepted.

    Raises LetterError for a draft that is no letter yet, and for what the alphabet cannot have; PlaceError
    when a file cannot be written. The alphabet is as it was then.
    """
    new = _tried_out(folder, draft, keep_taught=keep_taught)
    replace_letter(new.file, new.letter, before=new.composed)
    replace_file(folder / TOML, new.table, what="the alphabet's table")


def try_out(folder: Path, draft: Draft) -> None:
    """Raise what `save` would raise for this draft, and write nothing into the alphabet."""
    _tried_out(folder, draft, keep_taught=False)


@dataclass(frozen=True)
class _Saved:
    """What is to stand in a letter's file and in the table; `composed` is what it was without a file."""

    file: Path
    letter: bytes
    composed: bytes | None
    table: bytes


def _tried_out(folder: Path, draft: Draft, *, keep_taught: bool) -> _Saved:
    current = alphabet_in(folder)
    if current.alphabet is None:
        raise current.faults[0]
    _ready(draft, current.alphabet)
    file = current.files.get(draft.letter) or _new_file(folder, draft.letter)
    before = current.alphabet.get(draft.letter)
    after = with_draft(before, draft, keep_taught=keep_taught)
    letter = _content(file, before, after, keep_taught=keep_taught)
    composed = letter_markup.written(before) if before and before.base else None
    table = _table(folder, draft, current.alphabet)
    with tempfile.TemporaryDirectory(prefix=".trial-", dir=folder) as trial:
        copy = Path(trial) / folder.name
        copy_letters(folder, copy)
        _write(copy / file.name, letter)
        _write(copy / TOML, table)
        tried = usable(copy)
        if tried.alphabet is None or draft.letter not in tried.alphabet:
            raise first_fault(tried, copy)
    return _Saved(file, letter, composed, table)


def with_draft(letter: Letter | None, draft: Draft, *, keep_taught: bool = False) -> Letter:
    """The letter as it is once the draft is saved; `letter` is what the alphabet has now."""
    formation, use = draft.formation(), draft.state.use
    if letter is None:
        return Letter(draft.letter, (formation,))
    taught, *others = letter.formations
    taken = [shape.name for shape in (*others, *letter.recognized)]
    if use != "taught":
        name = _free(f"own-{use}", [taught.name, *taken])
        added = replace(formation, name=name, hand=_hand(draft))
        return replace(letter, formations=(*letter.formations, added))
    formation = replace(formation, name=_free("taught", taken))
    if keep_taught:
        name = _free("taught-before", [taught.name, formation.name, *taken])
        others = [replace(taught, name=name), *others]
    return replace(letter, formations=(formation, *others))


def _hand(draft: Draft) -> Hand | None:
    use = draft.state.use
    return use if use == "left" or use == "right" else None


def _write(file: Path, content: bytes) -> None:
    try:
        file.write_bytes(content)
    except OSError as error:
        raise PlaceError(f"{file.name}: cannot be written: {error.strerror}") from error


def _ready(draft: Draft, alphabet: Alphabet) -> None:
    state = draft.state
    if not state.strokes:
        raise LetterError("the letter must have at least one stroke before it is saved")
    if state.use != "taught" and draft.letter not in alphabet:
        raise LetterError(f"{draft.letter!r} must have a taught way before it has an accepted one")
    if state.after not in ("", ONLY_PLANNED, *alphabet.order):
        raise LetterError(
            f"{state.after!r} must be a letter with a place in the order, for {draft.letter!r} to be taught "
            "after it, and it has none; choose another place on the sheet"
        )
    if state.family and state.family not in [family.name for family in alphabet.families]:
        raise LetterError(f"{state.family!r} must be a family of the alphabet")


def _content(file: Path, before: Letter | None, after: Letter, *, keep_taught: bool) -> bytes:
    """What the letter's file is to hold; a new letter and a composed one have no file to be changed."""
    if before is None or before.base:
        return letter_markup.written(after)
    is_added = after.taught is before.taught
    former_name = after.formations[1].name if keep_taught and not is_added else ""

    def edit(plain: PlainFile) -> bytes:
        return plain.with_last(after) if is_added else plain.with_taught(after, former_name=former_name)

    return letter_markup.changed(file, before, after, edit)


def _new_file(folder: Path, letter: str) -> Path:
    """A file for a letter that has none, beside one of another letter that is called so by chance."""
    taken = [file.stem.casefold() for file in letter_files(folder)]
    return folder / f"{_free(Path(file_name(letter)).stem, taken)}.svg"


def _free(name: str, taken: Sequence[str]) -> str:
    """The name, or the first of name-2, name-3 and so on that is not taken."""
    number, free = 1, name
    while free in taken:
        number += 1
        free = f"{name}-{number}"
    return free


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
    teaching = table.setdefault("teaching", tomlkit.table())
    is_planned_only = state.after == ONLY_PLANNED
    left = "order" if is_planned_only else "planned_only"
    if letter in teaching.get(left, []):
        teaching[left].remove(letter)
    if not is_planned_only:
        _reorder(teaching.setdefault("order", tomlkit.array()), letter, _before(draft, alphabet))
    elif letter not in (letters := teaching.setdefault("planned_only", tomlkit.array())):
        letters.append(letter)
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
