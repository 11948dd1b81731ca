"""A page as a tree, so that tests ask for what stands on it and not for strings of HTML."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from xml.etree.ElementTree import Element, TreeBuilder
from xml.parsers import expat

from werkzeug.test import TestResponse

VOID = frozenset({"meta", "link", "input", "br", "img", "hr"})
PICTURE = re.compile(r'<svg(?: [\w:-]+="[^"]*")*>.*?</svg>', re.DOTALL)
"""Pictures are most of a page; where they are XML, they are read at a tenth of the cost."""


class _Reader(HTMLParser):
    """Builds the tree; a tag that is closed in the wrong place is a fault of the page."""

    def __init__(self) -> None:
        super().__init__()
        self.tree = TreeBuilder()
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tree.start(tag, {name: value or "" for name, value in attrs})
        self.open.append(tag)
        if tag in VOID:
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag, f"</{tag}> closes nothing"
        self.tree.end(tag)

    def picture(self, svg: str) -> None:
        """Names are in small letters as in the rest of the page."""
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartElementHandler = lambda tag, attrs: self.tree.start(
            tag.lower(), {name.lower(): value for name, value in attrs.items()}
        )
        parser.EndElementHandler = lambda tag: self.tree.end(tag.lower())
        parser.CharacterDataHandler = self.tree.data
        parser.Parse(svg, True)

    def handle_data(self, data: str) -> None:
        if self.open:
            self.tree.data(data)


def page(answer: TestResponse) -> Element:
    """The page that was answered, from its `html` element down."""
    return tree(answer.text)


def tree(html: str) -> Element:
    """A page from its text."""
    reader, end = _Reader(), 0
    for picture in PICTURE.finditer(html):
        reader.feed(html[end : picture.start()])
        reader.picture(picture[0])
        end = picture.end()
    reader.feed(html[end:])
    reader.close()
    return reader.tree.close()


def said(element: Element | None) -> str:
    """All words in an element, spaces evened out."""
    assert element is not None
    return " ".join("".join(element.itertext()).replace("\u00a0", " ").split())


def of_class(element: Element, name: str) -> list[Element]:
    """The elements of that class, in their order."""
    return [node for node in element.iter() if name in node.get("class", "").split()]


def under(element: Element, heading: str) -> Element:
    """The section that is named by the heading with this id."""
    return next(node for node in element.iter("section") if node.get("aria-labelledby") == heading)


def fields(form: Element) -> Iterator[tuple[str, str]]:
    """What a form would send as it stands."""
    for element in form.iter():
        if element.tag == "textarea":
            yield element.get("name", ""), element.text or ""
        elif element.tag == "input" and (element.get("type") != "radio" or "checked" in element.attrib):
            yield element.get("name", ""), element.get("value", "")
