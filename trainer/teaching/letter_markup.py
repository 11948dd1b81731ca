"""A changed letter in its file: what was not changed stays as the teacher's editor left it.

A plain file is edited in its bytes, as writing the letter anew would drop its comments, notes and grids and
round each of its paths. Where there are layers, prefixes or a turned sheet, bytes put into it would count
elsewhere or not at all: there the letter that was read is written anew, and the history keeps the file as the
editor saved it. Either way what was written is read back, and must be the letter that was wanted.
"""

from __future__ import annotations

import re
import tempfile
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from xml.parsers import expat

import numpy as np

from strokes.errors import LetterError, LetterFileError
from strokes.files import load_letter
from strokes.letter import Formation, Letter
from strokes.polyline import resample
from trainer.errors import PlaceError

NEAR = 0.005
"""In x-heights: a stroke that is read back may lie so far from the wanted one, as numbers are rounded."""

_SAMPLES = 64  # points of a stroke that are compared

_SVG = "http://www.w3.org/2000/svg"
_BOM = b"\xef\xbb\xbf"
_TAG = re.compile(rb"""<(?:"[^"]*"|'[^']*'|[^"'>])*>""")
_ATTRIBUTE = re.compile(rb"""\s+([^\s=]+)\s*=\s*("[^"]*"|'[^']*')""")


@dataclass
class _Group:
    """Where a `<g>` stands, in bytes, and the first title of each path right in it; None without one."""

    name: str
    start: int
    end: int
    titles: list[tuple[int, int] | None]


@dataclass(frozen=True)
class PlainFile:
    """A letter's file with each formation as a group right in the root; `end` is where `</svg>` begins."""

    content: bytes
    groups: tuple[_Group, ...]
    end: int

    def with_cue(self, stroke: int, said: str) -> bytes:
        """The file with another cue of the taught formation's stroke, counted from 0."""
        from xml.sax.saxutils import escape  # it imports urllib.request, and that all of HTTP

        title = self.groups[0].titles[stroke]
        assert title is not None, "a plain file has a title in each taught stroke"
        start, end = title
        tag = _tag(self.content, start)
        if tag.endswith(b"/>"):
            tag, closing = tag[:-2].rstrip() + b">", b"</title>"
        else:
            closing = self.content[self.content.rindex(b"</", start, end) : end]
        return self._put(start, end, tag + escape(said).encode() + closing)

    def with_taught(self, letter: Letter, *, former_name: str = "") -> bytes:
        """The file with the letter's taught formation; its own one stays accepted where it gets a name."""
        first = self.groups[0]
        group = _written_group(letter, letter.taught)
        if former_name:
            before = self.content[first.start : first.end]
            hidden = _with_attribute(_with_attribute(before, b"id", former_name), b"display", "none")
            group += b"\n  " + hidden
        return self._put(first.start, first.end, group)

    def with_last(self, letter: Letter) -> bytes:
        """The file with the letter's last formation behind its own ones."""
        return self._put(self.end, self.end, b"  " + _written_group(letter, letter.formations[-1]) + b"\n")

    def _put(self, start: int, end: int, new: bytes) -> bytes:
        return self.content[:start] + new + self.content[end:]


def changed(file: Path, before: Letter, after: Letter, edit: Callable[[PlainFile], bytes]) -> bytes:
    """What is to stand in the file of the letter `before` once it is `after`; `edit` changes a plain file so.

    Raises LetterError where another letter would be read from it, PlaceError where `file` cannot be read.
    """
    try:
        content = file.read_bytes()
    except OSError as error:
        raise PlaceError(f"{file}: the letter cannot be read: {error.strerror}") from error
    mark = _BOM if content.startswith(_BOM) else b""
    plain = _plain(content.removeprefix(_BOM), before)
    return _read_back(mark + edit(plain), after) if plain else written(after)


def written(letter: Letter) -> bytes:
    """What is to stand in the letter's file, written anew.

    Raises LetterError for a letter that no file can have, or where another one would be read from it.
    """
    return _read_back(letter.svg().encode(), letter)


def _read_back(content: bytes, wanted: Letter) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "letter.svg"
        file.write_bytes(content)
        try:
            read = load_letter(file)
        except LetterFileError as error:
            raise LetterError(f"{wanted.name!r}: {error.reason}") from error
    if not _is_same(read, wanted):
        raise LetterError(f"{wanted.name!r} must be read back as it is to be saved, and it is another letter")
    return content


def _is_same(read: Letter, wanted: Letter) -> bool:
    shapes = [(*letter.formations, *letter.recognized) for letter in (read, wanted)]
    counts = [(letter.name, len(letter.formations), len(letter.recognized)) for letter in (read, wanted)]
    return counts[0] == counts[1] and all(map(_is_same_way, *shapes))


def _is_same_way(read: Formation, wanted: Formation) -> bool:
    stated = [
        (formation.name, formation.hand, formation.note, [stroke.cue for stroke in formation.strokes])
        for formation in (read, wanted)
    ]
    return stated[0] == stated[1] and all(
        np.allclose(resample(first.path, _SAMPLES), resample(second.path, _SAMPLES), rtol=0, atol=NEAR)
        for first, second in zip(read.strokes, wanted.strokes, strict=True)
    )


def _plain(content: bytes, letter: Letter) -> PlainFile | None:
    """The file of that letter, if all of its formations stand in it where bytes can be put; else None."""
    reader = _Reader(content)
    ways = Counter((each.name, len(each.strokes)) for each in (*letter.formations, *letter.recognized))
    groups = reader.groups
    if reader.turned or Counter((group.name, len(group.titles)) for group in groups) != ways:
        return None
    return None if None in groups[0].titles else PlainFile(content, tuple(groups), reader.end)


class _Reader:
    """Finds the groups right in the root and the paths right in these, all without a prefix.

    The file was read as a letter before, so there is no DTD in it.
    """

    def __init__(self, content: bytes) -> None:
        self.groups: list[_Group] = []
        self.end = 0
        self.turned = False
        """Whether the root has a transform: it would move what is put in."""
        self._content = content
        self._inside: tuple[str, ...] = ()
        self._starts: list[int] = []
        parser = expat.ParserCreate("utf-8", " ")
        parser.namespace_prefixes = True  # a prefixed name has a third part, and is none of those looked for
        parser.StartElementHandler = lambda name, given: self._open(parser.CurrentByteIndex, name, given)
        parser.EndElementHandler = lambda _: self._close(parser.CurrentByteIndex)
        parser.Parse(content, True)

    def _open(self, at: int, name: str, attributes: dict[str, str]) -> None:
        self._inside = (*self._inside, name.removeprefix(f"{_SVG} "))
        self._starts.append(at)
        if self._inside == ("svg",):
            self.turned = "transform" in attributes
        elif self._inside == ("svg", "g"):
            self.groups.append(_Group(attributes.get("id", ""), at, at, []))
        elif self._inside == ("svg", "g", "path"):
            self.groups[-1].titles.append(None)

    def _close(self, at: int) -> None:
        start = self._starts.pop()
        tag = _tag(self._content, start)
        end = start + len(tag) if tag.endswith(b"/>") else at + len(_tag(self._content, at))
        if self._inside == ("svg",):
            self.end = at
        elif self._inside == ("svg", "g"):
            self.groups[-1].end = end
        elif self._inside == ("svg", "g", "path", "title") and self.groups[-1].titles[-1] is None:
            self.groups[-1].titles[-1] = (start, end)
        self._inside = self._inside[:-1]


def _tag(content: bytes, at: int) -> bytes:
    """The tag that begins there, whole; a > may stand in its values."""
    tag = _TAG.match(content, at)
    assert tag is not None, "a parser has found a tag there"
    return tag[0]


def _written_group(letter: Letter, formation: Formation) -> bytes:
    """A formation of the letter as the `<g>` of a file."""
    ways = (letter.taught,) if formation is letter.taught else (letter.taught, formation)
    content = Letter(letter.name, ways).svg().encode()
    group = _Reader(content).groups[-1]
    return content[group.start : group.end]


def _with_attribute(group: bytes, attribute: bytes, value: str) -> bytes:
    """The bytes of a `<g>` with that attribute, in the place of the one that it has."""
    from xml.sax.saxutils import quoteattr  # it imports urllib.request, and that all of HTTP

    tag = _tag(group, 0)
    others = _ATTRIBUTE.sub(lambda given: b"" if given[1] == attribute else given[0], tag)
    new = others[:-1].rstrip() + b" " + attribute + b"=" + quoteattr(value).encode() + b">"
    return new + group[len(tag) :]
