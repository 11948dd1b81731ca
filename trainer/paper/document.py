"""A PDF of the program: its typeface, its paper, and the structure by which it can be read aloud.

All lengths are millimeters from the upper left corner. Whatever is put on a page is words, a picture with
its alternative text, or decoration, and is marked as that.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, TypeAlias
from unicodedata import normalize
from weakref import finalize

from fpdf import FPDF, ViewerPreferences
from fpdf.fonts import TTFFont

from trainer.atomic_file import replacing
from trainer.drawing import face_file, rgb, theme
from trainer.language import LANGUAGE, text

Kind: TypeAlias = Literal["H1", "H2", "P"]
"""What words are in the structure of a document: headings and paragraphs."""

SIZES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height of upright paper in mm."""

LINE_HEIGHT = 1.3
"""Distance of base lines, in font sizes."""

POINT = 25.4 / 72
"""Millimeters to a point."""

_TYPE = "words"


@dataclass(frozen=True)
class Paper:
    """A kind of paper, and whether it lies on its long side."""

    name: str = "a4"
    landscape: bool = False

    @property
    def size(self) -> tuple[float, float]:
        """Width and height in mm."""
        width, height = SIZES[self.name]
        return (height, width) if self.landscape else (width, height)


class Document(FPDF):
    """A PDF that grows page by page. Raises FileNotFoundError where the typeface is not installed.

    The tags that make it readable aloud have no public way in fpdf2 but for pictures from files; its own
    protected one is used in this class and nowhere else, and tests read them back with another library.
    """

    def __init__(self, title: str, paper: Paper) -> None:
        super().__init__(unit="mm", format=paper.size)
        self.set_title(title)
        self.set_lang(LANGUAGE)
        self.set_creator(text("desk.name"))
        self.viewer_preferences = ViewerPreferences(display_doc_title=True)
        self.set_auto_page_break(False)
        self.set_margin(0)
        self.c_margin = 0
        for weight, style in (("regular", ""), ("semibold", "B")):
            path = face_file(weight)
            if path is None:
                raise FileNotFoundError("the package font-source-sans-pro must be installed, and is not")
            self.add_font(_TYPE, style, path)
            finalize(self, _type_of(self, style).close)
        self.unprintable: dict[str, None] = {}
        self._tagged = False

    def printable(self, string: str) -> str:
        """`string` as the typeface can show it; a character that it does not have becomes a question mark.

        What it did not have is kept in `unprintable`.
        """
        has = _type_of(self).cmap
        composed = normalize("NFC", string)
        self.unprintable |= dict.fromkeys(c for c in composed if ord(c) not in has and c != "\n")
        return "".join(c if ord(c) in has or c == "\n" else "?" for c in composed)

    def can_print(self, name: str) -> bool:
        """Whether a name can be printed as it is; otherwise its place stays empty, to be written by hand."""
        return self.printable(name) == normalize("NFC", name)

    def say(
        self,
        words: str,
        left: float,
        top: float,
        width: float,
        *,
        size: float = 11,
        bold: bool = False,
        color: str = theme.TEXT,
        kind: Kind = "P",
        align: Literal["L", "C", "R"] = "L",
    ) -> float:
        """Words in `width`, wrapped; gives back the y below them."""
        self._type(size, bold, color)
        with self.tagged(kind):
            self.set_xy(left, top)
            self.multi_cell(
                width,
                size * POINT * LINE_HEIGHT,
                self.printable(words),
                align=align,
                new_x="LEFT",
                new_y="NEXT",
            )
        return float(self.get_y())

    def height_of(self, words: str, width: float, *, size: float = 11, bold: bool = False) -> float:
        """The height that `say` would take."""
        self._type(size, bold, theme.TEXT)
        line = size * POINT * LINE_HEIGHT
        height = self.multi_cell(width, line, self.printable(words), dry_run=True, output="HEIGHT")
        assert isinstance(height, float)
        return height

    def width_of(self, words: str, *, size: float = 11, bold: bool = False) -> float:
        """The width of words in one line."""
        self._type(size, bold, theme.TEXT)
        return float(self.get_string_width(self.printable(words)))

    def word(
        self, string: str, center: float, middle: float, *, size: float, bold: bool, color: str = theme.TEXT
    ) -> float:
        """A word in the middle of a place, as part of a picture; gives back its width."""
        self._type(size, bold, color)
        shown = self.printable(string)
        width = float(self.get_string_width(shown))
        # figures and capitals are two thirds of the size high
        self.text(center - width / 2, middle + 0.33 * size * POINT, shown)
        return width

    def path(self, *operators: str) -> None:
        """Operators of PDF that draw a path; the state they set ends with it."""
        self._out(" ".join(filter(None, ("q", *operators, "Q"))))

    @contextmanager
    def tagged(self, kind: Kind | Literal["Figure"], alternative: str | None = None) -> Iterator[None]:
        """What is put on the page meanwhile is one element of the document's structure."""
        with self._marking(kind, self._element(kind, alternative)):
            yield

    @contextmanager
    def decoration(self) -> Iterator[None]:
        """What is put on the page meanwhile says nothing, and is passed over by who reads it aloud."""
        with self._marking("Artifact"):
            yield

    def _element(self, kind: str, alternative: str | None) -> int:
        number = self.struct_builder.next_mcid_for_page(self.page)
        self._add_marked_content(struct_type=f"/{kind}", mcid=number, alt_text=alternative)
        return number

    @contextmanager
    def _marking(self, tag: str, number: int | None = None) -> Iterator[None]:
        assert not self._tagged, "marked content does not lie in marked content"
        self._tagged = True
        self._out(f"/{tag} BMC" if number is None else f"/{tag} <</MCID {number}>> BDC")
        yield
        self._out("EMC")
        self._tagged = False

    def _type(self, size: float, bold: bool, color: str) -> None:
        self.set_font(_TYPE, "B" if bold else "", size)
        self.set_text_color(*rgb(color))

    def content(self) -> bytes:
        """The document as a file has it; nothing can be added afterwards."""
        return bytes(self.output())

    def save(self, path: Path) -> None:
        """Write the document, for its owner alone where it is a new file. Raises PlaceError."""
        with replacing(path, what=text("paper.what"), private=True) as file:
            file.write(self.content())


def _type_of(document: Document, style: str = "") -> TTFFont:
    """The typeface as fpdf2 read it."""
    font = document.fonts[_TYPE + style]
    assert isinstance(font, TTFFont)
    return font
