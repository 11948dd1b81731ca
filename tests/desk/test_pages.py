"""Every page that can be reached: each link leads somewhere, and nothing stands there that must not."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree.ElementTree import Element

import pytest
from flask import Flask

from tests.cases import for_each
from tests.desk import reader
from tests.desk.visitor import Browser
from tests.desk.walking import walk
from trainer import desk

DESK = Path(desk.__file__).parent
TEMPLATES = sorted((DESK / "templates").rglob("*.html"))
SCRIPTS = sorted((DESK / "static").glob("*.js"))
STYLES = sorted((DESK / "static").glob("*.css"))

CONCLUSIONS = (
    *("dyslexi", "dysgraphi", "dyspraxi", "disorder", "diagnos", "abnormal", "delayed", "percentile"),
    *(r"\bDCD\b", "at risk", "below normal"),
)
"""Words that a report of this tool must never conclude with: it screens nothing and diagnoses nothing."""


@pytest.fixture(scope="module")
def pages() -> dict[str, tuple[str, Element | None, str]]:
    """Filled once by the first test that needs it: kind of answer, tree and text by address."""
    return {}


@pytest.fixture
def walked(
    app: Flask, client: Browser, pages: dict[str, tuple[str, Element | None, str]]
) -> dict[str, tuple[str, Element | None, str]]:
    if not pages:
        for address, answer in walk(app, client):
            assert answer.status_code == 200, f"{address} answers {answer.status}"
            is_page = answer.mimetype == "text/html"
            text = answer.text if answer.mimetype.startswith(("text/", "image/svg")) else ""
            pages[address] = (answer.mimetype, reader.page(answer) if is_page else None, text)
    return pages


Walked = dict[str, tuple[str, Element | None, str]]


def test_every_address_leads_somewhere_on_this_machine(walked: Walked) -> None:
    trees = {address: tree for address, (_, tree, _) in walked.items() if tree is not None}

    assert len(trees) >= 12
    assert {
        "/",
        "/practice",
        "/first-day",
        "/class",
        "/plan",
        "/alphabet",
        "/pupils",
        "/settings",
    } <= trees.keys()
    for address in walked:
        assert address.startswith("/"), f"{address} lies outside of the desk"


def test_no_page_or_picture_says_what_this_tool_cannot_know(walked: Walked) -> None:
    for address, (_, _, text) in walked.items():
        for word in CONCLUSIONS:
            assert not re.search(word, text, flags=re.IGNORECASE if word.islower() else 0), (address, word)


@for_each("path", [*TEMPLATES, *SCRIPTS], ids=lambda path: path.name)
def test_no_template_or_script_says_what_this_tool_cannot_know(path: Path) -> None:
    text = path.read_text(encoding="utf-8")

    for word in CONCLUSIONS:
        assert not re.search(word, text, flags=re.IGNORECASE if word.islower() else 0), word


def test_no_page_has_anything_inline_that_the_policy_would_refuse(walked: Walked) -> None:
    for address, (_, tree, _) in walked.items():
        for element in tree.iter() if tree is not None else ():
            assert element.tag != "style", address
            assert element.tag != "script" or element.get("src"), address
            assert not [name for name in element.attrib if name == "style" or name.startswith("on")], address
            for name in ("href", "src", "srcset", "action", "formaction", "poster"):
                lead = element.get(name, "").strip().lower()
                assert not lead.startswith(("data:", "javascript:", "http:", "https:", "//")), address


@for_each("path", TEMPLATES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_every_value_of_a_template_is_escaped(path: Path) -> None:
    """Pictures come as Markup from our own drawing; no template lets a string through as it is."""
    text = path.read_text(encoding="utf-8")

    assert "|safe" not in text.replace(" ", "")
    assert "autoescape" not in text


@for_each("path", [*SCRIPTS, *STYLES], ids=lambda path: path.name)
def test_no_script_or_style_reaches_out(path: Path) -> None:
    text = path.read_text(encoding="utf-8")

    fetched = r"https?://(?!www\.w3\.org/2000/svg\b)"  # that one only names a format

    assert not re.search(rf"{fetched}|\beval\(|innerHTML|document\.write|@import", text)


def test_every_page_has_one_heading_a_title_and_a_way_past_the_navigation(walked: Walked) -> None:
    for address, (_, tree, _) in walked.items():
        if tree is None:
            continue
        assert tree.get("lang") == "en"
        assert len(list(tree.iter("h1"))) == 1, address
        title = tree.find("head/title")
        assert title is not None, address
        assert reader.said(title).partition("·")[0].strip(), address
        (main,) = tree.iter("main")
        assert main.get("id") == "main"
        skip = tree.find("body/a")
        assert skip is not None
        assert skip.get("href") == "#main"
        ids = [element.get("id") for element in tree.iter() if element.get("id")]
        assert sorted(ids) == sorted(set(ids)), f"{address}: an id stands twice"


def test_every_form_that_changes_something_carries_the_token(walked: Walked) -> None:
    forms = 0
    for address, (_, tree, _) in walked.items():
        for form in tree.iter("form") if tree is not None else ():
            if form.get("method") == "post":
                forms += 1
                assert dict(reader.fields(form)).get("csrf_token"), address
            else:
                assert "csrf_token" not in dict(reader.fields(form)), f"{address}: a token in an address"
    assert forms >= 10


REPORTS = (r"/", r"/class", r"/pupil/\d+", r"/pupil/\d+/attempt/\d+")


@for_each("report", REPORTS)
def test_the_usual_cautions_stand_on_the_first_page_and_under_every_report(
    walked: Walked, report: str
) -> None:
    reports = [tree for address, (_, tree, _) in walked.items() if re.fullmatch(report, address)]

    assert reports
    for tree in reports:
        assert tree is not None
        assert len(reader.of_class(tree, "cautions")) == 1
