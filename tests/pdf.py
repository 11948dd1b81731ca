"""A PDF as another library reads it: lines in millimeters on the paper, and what is read aloud."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from pypdf import PageObject, PdfReader
from pypdf.generic import ContentStream

MM = 25.4 / 72


@dataclass(frozen=True)
class Line:
    """A path that is stroked: its points, handles among them, in mm from the upper left corner; its width in
    mm, its color in shares, and how many of its pieces are Béziers."""

    points: np.ndarray
    width: float
    color: tuple[float, ...]
    curves: int
    dashed: bool

    @property
    def is_level(self) -> bool:
        """Whether it is one straight line from side to side."""
        return len(self.points) == 2 and abs(self.points[0, 1] - self.points[1, 1]) < 1e-3


@dataclass(frozen=True)
class Spoken:
    """An element of the structure: what it is, on which page, and its alternative text."""

    kind: str
    page: int
    alternative: str


def read(pdf: bytes | Path) -> PdfReader:
    """The PDF; whatever breaks the format is an error."""
    return PdfReader(BytesIO(pdf) if isinstance(pdf, bytes) else pdf, strict=True)


def lines(page: PageObject) -> Iterator[Line]:
    """All that is stroked on a page, in its order."""
    height = float(page.mediabox.height)
    state: dict[str, Any] = {"at": np.eye(3), "w": 1.0, "RG": (0.0,), "d": False}
    stack: list[dict[str, Any]] = []
    points: list[np.ndarray] = []
    curves = 0
    contents = page.get_contents()
    assert isinstance(contents, ContentStream)
    for given, name in contents.operations:
        operator = name.decode()
        values = [float(value) for value in given if isinstance(value, int | float)]
        match operator:
            case "q":
                stack.append(dict(state))
            case "Q":
                state = stack.pop()
            case "cm":
                state["at"] = np.column_stack([np.reshape(values, (3, 2)), [0, 0, 1]]) @ state["at"]
            case "w":
                state["w"] = values[0]
            case "RG" | "G":
                state["RG"] = tuple(values)
            case "d":
                state["d"] = bool(given[0])
            case "gs":
                resources = page["/Resources"]["/ExtGState"][given[0]].get_object()  # type: ignore[index]
                state["w"] = float(resources.get("/LW", state["w"]))
            case "m" | "l" | "c":
                points = points if operator != "m" else []
                curves = curves + (operator == "c") if operator != "m" else 0
                points += [np.array([*pair, 1.0]) for pair in np.reshape(values, (-1, 2))]
            case "S" | "s":
                placed = np.array(points) @ state["at"]
                on_paper = np.column_stack([placed[:, 0], height - placed[:, 1]]) * MM
                scale = abs(state["at"][0, 0])
                yield Line(on_paper, state["w"] * scale * MM, state["RG"], curves, state["d"])


def spoken(reader: PdfReader) -> list[Spoken]:
    """The elements of the structure in their order."""
    pages = {page.indirect_reference: number for number, page in enumerate(reader.pages)}
    root = reader.trailer["/Root"]["/StructTreeRoot"]  # type: ignore[index]
    (whole,) = root["/K"]
    return [
        Spoken(element["/S"].removeprefix("/"), pages[element.raw_get("/Pg")], str(element.get("/Alt", "")))
        for element in (child.get_object() for child in whole.get_object()["/K"])
    ]
