"""The table of accepted formations, read from `table.toml`, which explains its terms."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from typing import Any, TypeAlias

import numpy as np

from strokes.evaluation.accepted.measures import MEASURES
from strokes.evaluation.accepted.parts import Traces, divided
from strokes.evaluation.trace_shape import letter_shape
from strokes.letter import GuideLines
from strokes.polyline import Polyline

Parts: TypeAlias = Mapping[str, Traces]
"""The parts of a letter by name; `all` and `each` are several traces."""

LIMIT = re.compile(
    r"((?P<sign>[<>]=?) (?P<first>\S+)|(?P<middle>\S+) (?P<link>±|to) (?P<second>\S+)) (?P<unit>.+)"
)
"""An accepted range with its unit, as it is written in the table."""

SIDEWAYS = re.compile(r"sideways over (\S+) x-heights")


@dataclass(frozen=True)
class Limit:
    """What is measured of the parts, less `center`, must lie from `least` to `most`; of several all must."""

    parts: tuple[str, ...]
    measure: str
    least: float
    most: float
    reason: str
    center: float = 0.0

    def refusal(self, parts: Parts) -> str:
        """The reason, or that a part is not there; empty where the limit holds."""
        if missing := [name for name in self.parts if name not in parts]:
            return f"no {missing[0]}"
        measure = MEASURES[self.measure].of
        shapes = [shape for name in self.parts for shape in parts[name]]
        raw = [measure(shape) for shape in shapes] if self.parts == ("each",) else measure(*shapes)
        amounts = np.asarray(raw) - self.center
        return "" if ((self.least <= amounts) & (amounts <= self.most)).all() else self.reason


@dataclass(frozen=True)
class Directions:
    """The directions of a part must match an expression: up and down, or sideways in runs over `width`."""

    part: str
    expression: str
    reason: str
    width: float = 0.0

    def refusal(self, parts: Parts) -> str:
        """The reason, with the directions in it; empty where they match."""
        (shape,) = parts[self.part]
        directions = shape.sideways(self.width) if self.width else shape.directions
        return "" if re.fullmatch(self.expression, directions) else self.reason.format(directions)


Rule: TypeAlias = Limit | Directions


@dataclass(frozen=True)
class Formation:
    """One accepted way to write a letter: the directions of its traces, its parts, what must hold of them."""

    directions: str
    parts: str
    rules: tuple[Rule, ...]

    def refusal(self, traces: Traces) -> str:
        """Why ink with these directions is not this formation; empty where it is."""
        single = {str(number): trace for number, trace in enumerate(traces, start=1)}
        single |= divided(self.parts, traces)
        several = {"all": traces, "each": traces}
        return first_refusal(self.rules, {name: (part,) for name, part in single.items()} | several)


def first_refusal(rules: Iterable[Rule], parts: Parts) -> str:
    """The reason of the first rule that does not hold; the later ones may rest on it and are not asked."""
    return next(filter(None, (rule.refusal(parts) for rule in rules)), "")


@dataclass(frozen=True)
class Accepted:
    """The formations of a letter; a last trace of which `tick` holds is a mark, held to `ticked` alone."""

    taught: str
    also: str
    source: str
    counts: tuple[int, ...]
    formations: tuple[Formation, ...]
    tick: tuple[Rule, ...] = ()
    ticked: tuple[Rule, ...] = ()

    def refusal(self, traces: Traces) -> str:
        """Why none of the formations accepts these traces; empty where one does."""
        if self.tick and len(traces) > 1 and not first_refusal(self.tick, {"bar": traces[-1:]}):
            mark = {"bar": traces[-1:], "stem": traces[-2:-1]}
            return self._body(traces[:-1]) or first_refusal(self.ticked, mark)
        return self._body(traces)

    def _body(self, traces: Traces) -> str:
        if len(traces) not in self.counts:
            return f"{len(traces)} traces"
        directions = " ".join(trace.directions for trace in traces)
        for formation in self.formations:
            if re.fullmatch(formation.directions, directions):
                return formation.refusal(traces)
        return f"goes {directions}"


def read(text: str) -> dict[str, Accepted]:
    """The table from its text; ValueError for a limit without a range in the unit of its measure."""
    table = tomllib.loads(text)
    groups = table.pop("groups")
    return {letter: _accepted(groups, **entry) for letter, entry in table.items()}


def _accepted(
    groups: Any, *, taught: str, source: str, counts: Any, formations: Any, also: str = "", **marks: Any
) -> Accepted:
    every = tuple(Formation(goes, parts, _rules(groups, rows)) for goes, parts, *rows in formations)
    rules = {name: _rules(groups, rows) for name, rows in marks.items()}
    return Accepted(taught, also, source, tuple(counts), every, **rules)


def _rules(groups: Any, rows: Any) -> tuple[Rule, ...]:
    """The rules of these rows, each group in its place with its values filled in."""
    rules: list[Rule] = []
    for part, measure, *rest in rows:
        sideways = SIDEWAYS.fullmatch(measure)
        if part == "use":
            rules += _rules(groups, [[_filled(str(field), rest) for field in row] for row in groups[measure]])
        elif measure == "directions" or sideways:
            expression, reason = rest
            width = float(sideways[1]) if sideways else 0.0
            rules.append(Directions(part, expression, reason, width))
        else:
            rules.append(_limit(part, measure, *rest))
    return tuple(rules)


def _filled(field: str, values: Sequence[Any]) -> str:
    """The field with these values for {0}, {1}, {2}; {} is for the directions of a part."""
    for index, value in enumerate(values):
        field = field.replace(f"{{{index}}}", str(value))
    return field


def _limit(parts: str, measure: str, accepted: str, reason: str) -> Limit:
    given = LIMIT.fullmatch(accepted)
    if given is None or given["unit"] != MEASURES[measure].unit:
        raise ValueError(f"{measure} must have a range in {MEASURES[measure].unit}, not {accepted}")
    first, second = float(given["first"] or given["middle"]), float(given["second"] or 0)
    least, most = {
        "<": (-np.inf, np.nextafter(first, -np.inf)),
        "<=": (-np.inf, first),
        ">": (np.nextafter(first, np.inf), np.inf),
        ">=": (first, np.inf),
        "±": (-second, second),
        "to": (first, second),
    }[given["sign"] or given["link"]]
    center = first if given["link"] == "±" else 0.0
    return Limit(tuple(parts.split()), measure, float(least), float(most), reason, center)


TABLE: Mapping[str, Accepted] = read(files(__package__).joinpath("table.toml").read_text(encoding="utf-8"))
"""What is accepted of each letter."""


def refusal(letter: str, traces: Sequence[Polyline], guide: GuideLines | None = None) -> str:
    """Why the table does not accept this ink, in a few words; empty where it does.

    Between the lines of `guide` the ink is as tall as they say, else as tall as the letter should be.
    """
    return TABLE[letter].refusal(letter_shape(letter, traces, guide).traces)


def acceptable(letter: str, traces: Sequence[Polyline], guide: GuideLines | None = None) -> bool:
    """Whether the ink is formed as the table accepts, for a writer of unknown hand."""
    return not refusal(letter, traces, guide)
