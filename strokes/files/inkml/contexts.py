"""Which trace format holds for an InkML trace: contexts, the devices they name, and what they refer to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.etree.ElementTree import Element

from strokes.files.inkml.channels import Refuse, TraceFormat, plain, read_format

_ID = "{http://www.w3.org/XML/1998/namespace}id"

REFERRED = frozenset({"context", "traceFormat", "inkSource"})
"""The elements that can be referred to by their ids."""

MOST_NAMED = 1000
"""Of them in one file: programs write one for each device and unit."""

MOST_REFERENCES = 20
"""How many contexts may refer to one another in a row."""


@dataclass
class Contexts:
    """The contexts, devices and formats of one file, by their ids, and the one that holds now."""

    refuse: Refuse
    named: dict[str, Element] = field(default_factory=dict)
    _formats: dict[str | None, TraceFormat] = field(default_factory=dict)
    _now: TraceFormat = field(default_factory=TraceFormat)

    def learn(self, element: Element) -> None:
        """Note a thing that can be referred to, if it has an id."""
        name = element.get(_ID) or element.get("id")
        if name is None:
            return
        if name in self.named:
            raise self.refuse(f"an id must stand for one thing, not twice {name[:30]!r}")
        if len(self.named) >= MOST_NAMED:
            raise self.refuse(f"must have at most {MOST_NAMED} contexts and formats, not more")
        self.named[name] = element

    def now(self, element: Element) -> None:
        """From here on this `<context>` or `<traceFormat>` holds for traces that name none."""
        made = (
            read_format(element, self.refuse) if plain(element) == "traceFormat" else self._inside(element, 0)
        )
        self._now = made or self._now

    def format_of(self, reference: str | None) -> TraceFormat:
        """The format for a trace with this `contextRef`, or without one."""
        if reference is None:
            return self._now
        if reference == "#DefaultContext" and reference[1:] not in self.named:
            return TraceFormat()
        if reference not in self._formats:
            context = self._referred(reference, "context")
            self._formats[reference] = self._inside(context, 0) or TraceFormat()
        return self._formats[reference]

    def _inside(self, context: Element, depth: int) -> TraceFormat | None:
        """The format of a context: its own, else its device's, else that of the context it refers to."""
        if depth > MOST_REFERENCES:
            raise self.refuse(
                f"at most {MOST_REFERENCES} contexts must refer to one another, not in a circle"
            )
        for holder in (context, *self._devices(context)):
            if (element := self._own(holder)) is not None:
                return read_format(element, self.refuse)
        if (other := context.get("contextRef")) is not None:
            return self._inside(self._referred(other, "context"), depth + 1)
        return None

    def _own(self, holder: Element) -> Element | None:
        """The `<traceFormat>` inside, or the one that is referred to."""
        inside = next((child for child in holder if plain(child) == "traceFormat"), None)
        if inside is not None:
            return inside
        reference = holder.get("traceFormatRef")
        return None if reference is None else self._referred(reference, "traceFormat")

    def _devices(self, context: Element) -> Iterator[Element]:
        yield from (child for child in context if plain(child) == "inkSource")
        if (reference := context.get("inkSourceRef")) is not None:
            yield self._referred(reference, "inkSource")

    def _referred(self, reference: str, kind: str) -> Element:
        if not reference.startswith("#"):
            raise self.refuse(f"a reference must stay inside the file, as #name does, not {reference[:40]!r}")
        context = self.named.get(reference[1:])
        if context is None or plain(context) != kind:
            raise self.refuse(f"a {kind} with the id {reference[1:31]!r} must be in the file, and it is not")
        return context
