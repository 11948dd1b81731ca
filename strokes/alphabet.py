"""Alphabets: the letters of one handwriting model, with guide lines, families and teaching order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from strokes.errors import LetterError, LetterFileError
from strokes.files import SHIPPED, Content, FolderReader
from strokes.letter import Family, GuideLines, Letter, LetterSet, is_other_case


@dataclass(frozen=True, eq=False)
class Alphabet(Mapping[str, Letter]):
    """The letters of one handwriting model in alphabetical order, its guide lines, families and order."""

    name: str
    letters: tuple[Letter, ...]
    guide: GuideLines = GuideLines()  # noqa: RUF009 (it is frozen)
    families: tuple[Family, ...] = ()
    order: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        names = [letter.name for letter in self.letters]
        if len(set(names)) != len(names):
            raise LetterError(f"alphabet {self.name!r} must have each letter once, not {names}")
        bare = [replace(letter, others=(), other_case=None, elsewhere=()) for letter in self.letters]
        table = {letter.name: among(letter, bare) for letter in bare}
        object.__setattr__(self, "letters", tuple(table[name] for name in names))
        object.__setattr__(self, "_table", table)

    @classmethod
    def load(cls, folder: Path | str | None = None) -> Alphabet:
        """The alphabet in `folder`, or the shipped one named print.

        Raises LetterFileError for the first thing in it that breaks a rule. Whether two letters are too near
        to each other is asked by `faults` only: nothing breaks by it.
        """
        reader = FolderReader(Path(folder) if folder is not None else SHIPPED / "print")
        content = reader.read()
        if content is None or reader.faults:
            raise reader.faults[0]
        return cls.of(content)

    @classmethod
    def of(cls, content: Content) -> Alphabet:
        """The alphabet with the content of a folder."""
        return cls(content.name, content.letters, content.guide, content.families, content.order)

    def only(self, letter_set: LetterSet) -> Alphabet:
        """The letters of one set, with its families and its order; without letters where there are none."""
        chosen = tuple(letter for letter in self.letters if letter.set == letter_set)
        names = {letter.name for letter in chosen}
        families = (
            Family(family.name, tuple(name for name in family.letters if name in names))
            for family in self.families
        )
        return Alphabet(
            self.name,
            chosen,
            self.guide,
            tuple(family for family in families if family.letters),
            tuple(name for name in self.order if name in names),
        )

    def __getitem__(self, name: str) -> Letter:
        table: dict[str, Letter] = self._table  # type: ignore[attr-defined]
        if name not in table:
            raise KeyError(f"{name!r} is not a letter of the alphabet {self.name!r}")
        return table[name]

    def __iter__(self) -> Iterator[str]:
        return iter(letter.name for letter in self.letters)

    def __len__(self) -> int:
        return len(self.letters)


def among(letter: Letter, letters: Iterable[Letter]) -> Letter:
    """The letter in an alphabet with these letters: it knows those that may be written in its place."""
    letters = tuple(letters)
    return replace(
        letter,
        others=tuple(other for other in letters if _is_other(letter, other)),
        other_case=next((other for other in letters if is_other_case(letter.name, other.name)), None),
        elsewhere=tuple(other for other in letters if other.set != letter.set and not other.base),
    )


def _is_other(letter: Letter, other: Letter) -> bool:
    """Whether ink for `letter` may be told to be `other`, wherever it stands.

    A mark is so small that a letter without it, or with another base, would always be taken for one with it.
    With a mark the base is no other letter: what is missing is told as that.
    """
    if other.name in (letter.name, letter.base) or other.set != letter.set:
        return False
    return not other.base or other.base == letter.base


@dataclass(frozen=True)
class Usable:
    """What of a folder can be used, and every fault in it.

    Faulty letters are `set_aside` by their names, `alphabet` is made of the others; `files` has the file of
    each. `alphabet` is None where the folder cannot be read, no letter is without fault, or `alphabet.toml`
    is: without the guide lines that it was meant to give, letters would be judged wrongly. A letter that it
    names and that has no file is only set aside.
    """

    alphabet: Alphabet | None
    set_aside: tuple[str, ...] = ()
    faults: tuple[LetterFileError, ...] = ()
    files: Mapping[str, Path] = field(default_factory=dict)


def usable(folder: Path | str) -> Usable:
    """What of the alphabet in `folder` can be used. Raises nothing."""
    reader = FolderReader(Path(folder))
    content = reader.read()
    alphabet = Alphabet.of(content) if content else None
    return Usable(alphabet, tuple(sorted(reader.set_aside)), tuple(reader.faults), reader.files)
