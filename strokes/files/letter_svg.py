"""A letter from one SVG file, read as a stranger's: bounded, no DTD, nothing from outside.

What may stand in the file: `svg` with a `title`, which is the letter, then `g` (a formation, the taught one
first), and in each `path` (a stroke); titles in both. Groups around formations, as the layers of an editor,
are looked into, and a formation may have its strokes in groups of their own; `transform` counts wherever it
stands. With `data-use="recognition"` a `g` is a shape that the
letter is only recognized by. How things are painted has no meaning here, and what vector editors add in
namespaces of their own is passed over. Everything else is refused, so that no stroke gets lost unseen.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from unicodedata import normalize
from xml.etree.ElementTree import Element

import numpy as np

from strokes.curves import Curves
from strokes.errors import LetterError, LetterFileError
from strokes.files.path_data import drawn
from strokes.files.text_file import read_text, xml_root
from strokes.kinds import Kind
from strokes.letter import Formation, Hand, Letter, Stroke
from strokes.polyline import Polyline
from strokes.svg_document import LONGEST_CUE, RECOGNITION, UNITS

LONGEST_NAME = 8
"""Characters of a letter's name: one, or a few that are written as one letter."""

MOST_STROKES = 12
MOST_FORMATIONS = 40
MOST_GROUPS = 200
"""Layers and groups of one file, empty ones among them."""

MOST_NESTED = 12
"""Groups in groups: a formation in a layer, its strokes grouped, is four deep."""

REACH = 5.0
"""No point of a letter lies farther than this from the origin, in x-heights."""

SHORTEST_STROKE = 0.01
"""In x-heights: even a dot is a short line."""

MOST_PATH_DATA = 60_000
"""Characters of path data in one file; a letter has some hundreds."""

MOST_FAULTS = 20
"""Faults told of one file; whoever has more mends these first."""

SMALLEST_LETTER = 0.5
"""In x-heights: the larger side of a whole letter; a smaller one was drawn in other units."""

_CAPITAL = "capital-"
"""What the name of a capital's file begins with."""

_SVG = "{http://www.w3.org/2000/svg}"
_ROOT = {"viewBox", "width", "height", "version", "baseProfile", "preserveAspectRatio", "x", "y", "transform"}
_PAINT = re.compile(
    r"(fill|stroke|color|opacity)(-[a-z]+)*|class|style|display|visibility|overflow|clip-rule"
    r"|enable-background|paint-order|shape-rendering|vector-effect|marker(-[a-z]+)?|mix-blend-mode|isolation"
    r"|font(-[a-z]+)*|text-[a-z]+|letter-spacing|word-spacing"
)
_ANYWHERE = {"id", "data-name"}
_ATTRIBUTES = {
    "svg": _ANYWHERE | _ROOT,
    "g": _ANYWHERE | {"transform", "data-hand", "data-note", "data-use"},
    "path": _ANYWHERE | {"transform", "d"},
    "title": _ANYWHERE,
    "desc": _ANYWHERE,
    "defs": _ANYWHERE,
    "metadata": _ANYWHERE,
    "style": _ANYWHERE | {"type", "media"},
}
_INSIDE = {
    "svg": {"g", "title", "desc", "defs", "metadata", "style"},
    "defs": {"style"},
    "g": {"g", "path", "title", "desc"},
    "path": {"title", "desc"},
}
_WHY_NOT = {
    "script": "a letter runs nothing",
    "image": "nothing is fetched from outside the file",
    "use": "every stroke is drawn where it stands",
    "foreignObject": "a letter is made of paths only",
}
_STYLED_TRANSFORM = re.compile(r"(?:^|[;{\s])(transform[a-z-]*|rotate|scale|translate|offset[a-z-]*)\s*:")
_FOR_A_FORMATION = ("data-hand", "data-note", "data-use")
_SHAPES = {"line", "polyline", "polygon", "circle", "ellipse", "rect", "text"}


@dataclass
class LetterReader:
    """Reads one file and keeps every fault it meets, so that a teacher mends them all at once.

    Nothing is flattened here unless it must be: most recognition shapes are never needed in one lesson.
    """

    path: Path
    faults: list[LetterFileError] = field(default_factory=list)
    smallest: float = SMALLEST_LETTER
    longest_name: int = LONGEST_NAME
    name: str = field(init=False)
    """The letter: the file's title once that is read, until then and without one what its name stands for."""

    _known: dict[tuple[str, str, str], Stroke] = field(default_factory=dict, init=False)
    """Strokes by path data, transform and cue: formations have many in common."""

    def __post_init__(self) -> None:
        self.name = _named_letter(self.path)

    def read(self) -> Letter | None:
        """The letter, or None when there are faults."""
        try:
            written = read_text(self.path)
            letter = _sound(written, self.smallest, self.longest_name) or self._parsed(written)
        except LetterFileError as error:
            self.faults.append(error)
            return None
        if letter:
            self.name = letter.name
        return letter

    def _parsed(self, written: str) -> Letter | None:
        """The letter in the text of the file. Raises LetterFileError where that is no XML."""
        root = xml_root(written, self.path)
        if root.tag != f"{_SVG}svg":
            self._fault(f'must begin with <svg xmlns="{_SVG[1:-1]}">, not with <{_plain(root.tag)}>')
            return None
        title = _title(root)
        wrong = wrong_name(title, self.longest_name)
        self.name = self.name if wrong else title
        self._elements(root)
        if self.faults:
            return None
        if wrong:
            self._fault(wrong)
        groups = list(self._groups(root, root.get("transform", "")))
        size = sum(len(path.get("d", "")) for path in root.iter(f"{_SVG}path"))
        if size > MOST_PATH_DATA:
            self._fault(f"all paths together must have at most {MOST_PATH_DATA} characters, not {size}")
            return None
        if not groups or len(groups) > MOST_FORMATIONS:
            self._fault(f"must have 1 to {MOST_FORMATIONS} <g>, one a formation, not {len(groups)}")
        formations = [
            self._formation(group, number, outer)
            for number, (group, outer) in enumerate(groups[:MOST_FORMATIONS], 1)
        ]
        names = [formation.name for formation in formations if formation]
        for again in sorted({name for name in names if names.count(name) > 1}):
            self._fault(f"formations must have different ids, not twice {again!r}")
        if self.faults:
            return None
        known = [formation for formation in formations if formation]
        recognition = [_only_recognized(group) for group, _ in groups]
        return Letter(
            self.name,
            tuple(shape for shape, only in zip(known, recognition, strict=True) if not only),
            recognized=tuple(shape for shape, only in zip(known, recognition, strict=True) if only),
        )

    def _fault(self, reason: str) -> None:
        if len(self.faults) < MOST_FAULTS:
            self.faults.append(LetterFileError(self.path, reason))

    def _elements(self, root: Element) -> None:
        """Refuses what does not belong. Walks a few levels down, however deep the file is."""
        self._attributes(root, "svg")
        count = sum(1 for _ in root.iter(f"{_SVG}g"))
        if count > MOST_GROUPS:
            self._fault(f"must have at most {MOST_GROUPS} <g>, not {count}")
            return
        for child in self._children(root, "svg"):
            self._inside(child, 1)

    def _inside(self, element: Element, depth: int) -> None:
        """Refuses what does not belong in a child of the root or of a group."""
        if element.tag != f"{_SVG}g":
            self._leaf(element)
        elif depth > MOST_NESTED:
            self._fault(f"groups must be at most {MOST_NESTED} deep in one another, not deeper")
        else:
            for child in self._children(element, "g"):
                self._inside(child, depth + 1)

    def _groups(self, element: Element, outer: str) -> Iterator[tuple[Element, str]]:
        """The formations in order, each with the transforms of all that is around it.

        A group is a formation if it says so, by a title or data-hand, data-note, data-use, or if there is a
        path right in it. Another one is a layer, which may be empty.
        """
        for group in element.iterfind(f"{_SVG}g"):
            if _says_formation(group) or group.find(f"{_SVG}path") is not None:
                yield group, outer
            else:
                yield from self._groups(group, f"{outer} {group.get('transform', '')}")

    def _paths(self, group: Element, outer: str, where: str) -> Iterator[tuple[Element, str]]:
        """The paths of a formation in order, those in groups of their own too, with all their transforms."""
        transform = f"{outer} {group.get('transform', '')}"
        for child in group:
            if child.tag == f"{_SVG}path":
                yield child, f"{transform} {child.get('transform', '')}"
            elif child.tag == f"{_SVG}g":
                if _says_formation(child):
                    self._fault(f"{where}: formations must stand side by side, not in one another")
                yield from self._paths(child, transform, where)

    def _children(self, element: Element, kind: str) -> Iterator[Element]:
        """The children of ours; each unknown one is a fault, those of other namespaces are passed over."""
        for child in element:
            name = child.tag.removeprefix(_SVG)
            if name.startswith("{"):
                continue
            if name == child.tag:
                self._fault(f"<{_plain(name)}> inside <{kind}> must be in the namespace of SVG")
                continue
            if name not in _INSIDE.get(kind, set()):
                self._fault(f"<{_plain(name)}> inside <{kind}> is not allowed: {self._why_not(name, kind)}")
                continue
            self._attributes(child, name)
            yield child

    def _why_not(self, name: str, kind: str) -> str:
        if name in _SHAPES:
            return "a stroke must be a <path>, with an M where the pen comes down"
        if name == "path" and kind == "svg":
            return "a stroke must stand in the <g> of its formation"
        allowed = ", ".join(sorted(_INSIDE.get(kind, set()))) or "text"
        return _WHY_NOT.get(name, f"there may be {allowed} only")

    def _leaf(self, element: Element) -> None:
        """What may hold only text, or in defs a style; what an editor keeps in metadata is not looked at."""
        name = element.tag.removeprefix(_SVG)
        if name == "style":
            self._nothing_outside(element.text or "", "the text", name)
            self._no_transform(element.text or "", name)
        if name != "metadata":
            for child in self._children(element, name):
                self._leaf(child)

    def _attributes(self, element: Element, kind: str) -> None:
        for name, value in element.attrib.items():
            if name.endswith("href"):
                self._fault(
                    f"{_plain(name)} on <{kind}> is not allowed: every stroke is drawn where it stands"
                )
                continue
            self._nothing_outside(value, _plain(name), kind)
            if name == "style":
                self._no_transform(value, kind)
            if not (name.startswith("{") or name in _ATTRIBUTES[kind] or _PAINT.fullmatch(name)):
                known = ", ".join(sorted(_ATTRIBUTES[kind]))
                self._fault(f"{_plain(name)} on <{kind}> is not known; known are {known} and paint")

    def _nothing_outside(self, value: str, what: str, kind: str) -> None:
        for call in ("url(", "@import"):
            if call in value.lower():
                self._fault(f"{what} of <{kind}> must not fetch or refer to anything, it has {call!r}")

    def _no_transform(self, style: str, kind: str) -> None:
        """A style that moves something would be passed over as paint, and the strokes would lie elsewhere."""
        if moving := _STYLED_TRANSFORM.search(style):
            self._fault(f"{moving[1]} in the style of <{kind}> is not read: transform must be an attribute")

    def _formation(self, group: Element, number: int, outer: str) -> Formation | None:
        """The formation in a `<g>`; the first one is the taught one, and its strokes must have cues."""
        taught, name = number == 1, group.get("id", "")
        where = f"formation {name or number!r}"
        if not name or len(name) > LONGEST_CUE:
            self._fault(
                f"formation {number} must have an id of 1 to {LONGEST_CUE} characters, not {len(name)}"
            )
            where = f"formation {number}"
        hand, note, use = (group.get(f"data-{key}") for key in ("hand", "note", "use"))
        if hand and hand not in ("left", "right"):
            self._fault(f"{where}: data-hand must be left or right, not {hand[:20]!r}")
        if note and note not in list(Kind):
            self._fault(f"{where}: data-note must be one of {', '.join(Kind)}, not {note[:20]!r}")
        if use and use != RECOGNITION:
            self._fault(f"{where}: data-use must be {RECOGNITION}, not {use[:20]!r}")
        if taught and (hand or note or use):
            self._fault(
                f"{where}: the taught formation must be for everybody, "
                "without data-hand, data-note and data-use"
            )
        elif use and (hand or note):
            self._fault(
                f"{where}: must have no data-hand and no data-note beside data-use: nobody is judged by it"
            )
        paths = list(self._paths(group, outer, where))
        if not 1 <= len(paths) <= MOST_STROKES:
            self._fault(f"{where}: must have 1 to {MOST_STROKES} paths, one a stroke, not {len(paths)}")
        strokes = [
            self._stroke(path, f"{where}, stroke {at}", transform, taught)
            for at, (path, transform) in enumerate(paths[:MOST_STROKES], 1)
        ]
        if self.faults:
            return None
        read = tuple(stroke for stroke in strokes if stroke)
        self._size(where, read)
        side: Hand | None = "left" if hand == "left" else "right" if hand == "right" else None
        return Formation(name, read, side, Kind(note) if note else None)

    def _stroke(self, element: Element, where: str, transform: str, taught: bool) -> Stroke | None:
        cue = _title(element)
        if taught and not cue and element.find(f"{_SVG}title") is None:
            self._fault(f"{where}: must have a <title>, the cue that is said")
        if len(cue) > LONGEST_CUE:
            self._fault(f"{where}: the cue must have at most {LONGEST_CUE} characters, not {len(cue)}")
        data = element.get("d", "")
        if (data, transform, cue) not in self._known:
            try:
                curves = Curves(drawn(data, transform) / UNITS)
            except LetterError as error:
                self._fault(f"{where}: {error}")
                return None
            if not self._sane(where, curves):
                return None
            self._known[data, transform, cue] = Stroke.of(curves, cue)
        return self._known[data, transform, cue]

    def _sane(self, where: str, curves: Curves) -> bool:
        if np.ptp(_nodes([curves]), axis=0).max() < SHORTEST_STROKE > curves.length:
            self._fault(f"{where}: must be at least {SHORTEST_STROKE * UNITS:g} unit long, even a dot")
            return False
        far = float(np.abs(curves.segments).max())
        if far > REACH:  # handles may lie farther than the curve
            far = float(np.abs(curves.polyline()).max())
        if far > REACH:
            self._fault(
                f"{where}: must stay within {REACH * UNITS:g} units of the origin, not {far * UNITS:.0f}"
            )
        return far <= REACH

    def _size(self, where: str, strokes: tuple[Stroke, ...]) -> None:
        side = float(np.ptp(_nodes([stroke.curves for stroke in strokes if stroke.curves]), axis=0).max())
        if side < self.smallest:  # a curve may reach farther than its nodes
            side = float(np.ptp(np.vstack([stroke.path for stroke in strokes]), axis=0).max())
        if side < self.smallest:
            smallest = self.smallest * UNITS
            self._fault(f"{where}: must be at least {smallest:g} units tall or wide, not {side * UNITS:.1f}")


@lru_cache(maxsize=256)
def _sound(written: str, smallest: float, longest_name: int) -> Letter | None:
    """The letter in a file's text, wherever that file lies; None where it has a fault.

    Kept, as a teacher who changes one letter, or copies an alphabet, leaves all others as they are.
    """
    reader = LetterReader(Path("letter.svg"), smallest=smallest, longest_name=longest_name)
    try:
        return reader._parsed(written)
    except LetterFileError:
        return None


def file_name(letter: str) -> str:
    """The name that the program gives to a letter's file, another one for every other letter.

    Only a to z, digits and hyphens stand in it, so that it is the same on file systems that ignore case,
    keep é as two characters or reserve names: A is `capital-a.svg`, ß is `u00df.svg`, ch is `c-h.svg`. What
    a file is called decides nothing: the letter is its title.
    """
    return "-".join(map(_file_part, normalize("NFC", letter))) + ".svg"


def _file_part(character: str) -> str:
    if not (character.isascii() and character.isalnum()):
        return f"u{ord(character):04x}"
    return f"{_CAPITAL}{character.lower()}" if character.isupper() else character


def _named_letter(path: Path) -> str:
    """The letter that a file without a title is for, by its name."""
    stem = normalize("NFC", path.stem)
    bare = stem.removeprefix(_CAPITAL)
    return bare.upper() if len(bare) == 1 and bare != stem else stem


def wrong_name(title: str, longest: int = LONGEST_NAME) -> str:
    """Why a title cannot be the name of a letter; empty where it can."""
    if not title:
        return "must have a <title> with the name of the letter"
    if len(title) > longest or not title.isprintable() or " " in title:
        return f"the letter's name must be 1 to {longest} visible characters, not {title[:20]!r}"
    return ""


def _says_formation(group: Element) -> bool:
    """Whether a group has what only a formation has: a title, or who or what it is for."""
    marked = any(name in group.attrib for name in _FOR_A_FORMATION)
    return marked or group.find(f"{_SVG}title") is not None


def _nodes(every: Iterable[Curves]) -> Polyline:
    """Where the segments of curves begin and end: without flattening a lower bound of their size."""
    return np.vstack([curves.segments[:, (0, 3)].reshape(-1, 2) for curves in every])


def _only_recognized(group: Element) -> bool:
    return group.get("data-use") == RECOGNITION


def _title(element: Element) -> str:
    """The text of its `<title>`, spaces evened out; empty without one."""
    return normalize("NFC", " ".join((element.findtext(f"{_SVG}title") or "").split()))


def _plain(name: str) -> str:
    """An element or attribute name for a message, without its namespace and not endless."""
    return name.rsplit("}", 1)[-1][:40]
