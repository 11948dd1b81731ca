"""WCAG 2.2 AA on every page, by axe-core in Chromium, and what axe-core does not see."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from flask import Flask

from tests.desk.visitor import Browser
from tests.desk.walking import walk

if TYPE_CHECKING:
    from playwright.sync_api import Browser as Chromium
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

AXE = Path(__file__).parents[2] / "build" / "node_modules" / "axe-core" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
WIDTHS = [1280, 820]


def violations(page: Page, *, but: str = "") -> list[str]:
    """What axe-core finds on the page that is open, `but` one rule: the rule, and where."""
    if not AXE.is_file():
        pytest.skip("axe-core is not installed: DEVELOPERS.md tells how")
    page.evaluate(AXE.read_text(encoding="utf-8"))
    looked_at = {"exclude": [["svg *"]]}  # a picture as a whole; the lines in it are thousands
    result: dict[str, Any] = page.evaluate(
        "([context, options]) => axe.run(context, options)",
        [looked_at, {"runOnly": RULES, "rules": {but: {"enabled": False}} if but else {}}],
    )
    assert len(result["passes"]) > 10, "axe-core has not looked at anything"
    return [
        f"{rule['id']}: {node['target']} {node['failureSummary']}"
        for rule in result["violations"]
        for node in rule["nodes"]
    ]


THINNED = """() => {
    document.querySelectorAll('svg > :not(title, desc)').forEach((part) => part.remove());
    document.querySelectorAll('main *').forEach((part) => {
        const children = [...part.children], tags = new Set(children.map((child) => child.tagName));
        if (tags.size === 1 || part.matches('tr')) children.slice(8).forEach((child) => child.remove());
    });
}"""
"""Leaves of each picture its place and its words, and of parts that are all alike the first.

axe-core would go through thousands of lines, and through thirty pupils that are made as the third is.
"""


@dataclass
class Visit:
    """What was seen on a page: rules it breaks, widths it does not fit into, what the Tab key comes to."""

    broken: list[str]
    too_wide: list[int]
    reached: list[str]
    unseen: list[str]


Visits = dict[str, Visit]


@pytest.fixture(scope="module")
def visits() -> Visits:
    """By the page's address; filled by the first test that needs it, as the pages take their time."""
    return {}


@pytest.fixture
def visited(window: Page, app: Flask, client: Browser, visits: Visits) -> Visits:
    """A page of every kind, each opened once."""
    if not visits:
        for path, answer in walk(app, client, each=1, saved=False):
            if answer.mimetype == "text/html":
                window.goto(path)
                reached, unseen = focused(window)
                wide = too_wide(window)
                window.evaluate(THINNED)
                broken = violations(window) if AXE.is_file() else []
                visits[path] = Visit(broken, wide, reached, unseen)
    return visits


def test_no_page_breaks_a_rule_of_access(visited: Visits) -> None:
    if not AXE.is_file():
        pytest.skip("axe-core is not installed: DEVELOPERS.md tells how")
    assert len(visited) >= 12
    assert {path: visit.broken for path, visit in visited.items() if visit.broken} == {}


def test_the_pages_before_the_desk_break_no_rule_of_access(chromium: Chromium, address: str) -> None:
    page = chromium.new_page(base_url=address)
    for path in ("/login", "/first"):
        page.goto(path)
        assert violations(page) == []
    page.close()


def test_axe_is_able_to_find_something(window: Page) -> None:
    """The check above can fail."""
    window.goto("/settings")
    window.evaluate("document.querySelector('label').remove()")

    assert any("label" in violation for violation in violations(window))


def too_wide(window: Page) -> list[int]:
    """The widths of a window that the page which is open runs out of; at the end it is as wide as before."""
    wide = []
    for width in WIDTHS:
        window.set_viewport_size({"width": width, "height": 900})
        if window.evaluate("document.documentElement.scrollWidth > innerWidth"):
            wide.append(width)
    window.set_viewport_size({"width": WIDTHS[0], "height": 900})
    return wide


def test_no_page_is_wider_than_its_window(visited: Visits) -> None:
    """A wide table scrolls in a box of its own."""
    assert {path: visit.too_wide for path, visit in visited.items() if visit.too_wide} == {}


LOOK = """(part) => {
    const {top, bottom, left, right, width} = part.getBoundingClientRect(), style = getComputedStyle(part);
    const name = part.tagName + ' ' + (part.textContent.trim() || part.name || part.id).slice(0, 40);
    const ring = parseFloat(style.outlineWidth) >= 2 && style.outlineStyle !== 'none';
    const seen = width > 0 && bottom > 0 && top < innerHeight && right > 0 && left < innerWidth;
    return [name, part === document.body, ring, seen];
}"""
FOCUSED = f"() => ({LOOK})(document.activeElement)"
"""What has the focus; whether that is nothing, a ring is round it, it is within the window."""

PARTS = "a[href], button, input, select, textarea, summary, [tabindex]"
IN_TURN = f"""() => [...document.querySelectorAll('{PARTS}')]
    .filter((part) => part.tabIndex >= 0 && !part.disabled && part.checkVisibility())
    .map((part) => {{ part.focus(); return ({LOOK})(part); }})"""
"""The same of all that can have it, one by one, which looks as after the Tab key once that was pressed."""


def focused(window: Page) -> tuple[list[str], list[str]]:
    """What takes the focus on the page that is open, all of it; and what of it is not seen then."""
    window.keyboard.press("Tab")
    looks: list[tuple[str, bool, bool, bool]] = window.evaluate(IN_TURN)
    return [name for name, *_ in looks], [name for name, _, ring, seen in looks if not (ring and seen)]


@pytest.mark.parametrize("path", ["/", "/settings"])
def test_the_tab_key_goes_through_the_whole_page_and_out_of_it(window: Page, path: str) -> None:
    """All that takes the focus, but for the other buttons of a choice of one, which the arrow keys reach."""
    window.goto(path)
    looks: list[tuple[str, bool, bool, bool]] = []
    for _ in range(200):
        window.keyboard.press("Tab")
        looks.append(window.evaluate(FOCUSED))
        if looks[-1][1]:
            break

    assert looks.pop()[1], "the Tab key does not leave the page"
    assert [name for name, _, ring, seen in looks if not (ring and seen)] == []
    radios = window.evaluate("document.querySelectorAll('input[type=radio]').length")
    assert len(looks) >= len(focused(window)[0]) - radios


def test_everything_is_reached_by_the_keyboard_and_seen_when_it_is(visited: Visits) -> None:
    assert {path: visit.unseen for path, visit in visited.items() if visit.unseen} == {}
    for path, visit in visited.items():
        assert len(visit.reached) > 8, path


FORCED = """() => {
    const drawn = [...document.querySelectorAll('main svg[role=img], main svg.mark')];
    const bare = drawn.filter(svg => getComputedStyle(svg).backgroundColor !== 'rgb(255, 255, 255)');
    const chosen = [...document.querySelectorAll('a[aria-current]')].map(link => {
        const other = link.closest('nav').querySelector('a:not([aria-current])');
        return getComputedStyle(link).backgroundColor !== getComputedStyle(other).backgroundColor;
    });
    return [drawn.length, bare.length, chosen.length, chosen.every(Boolean)];
}"""


def test_in_forced_colors_letters_keep_their_paper_and_what_is_chosen_looks_chosen(window: Page) -> None:
    """Black strokes vanished on a dark canvas, and the circles of the table with them."""
    for scheme in ("dark", "light"):
        window.emulate_media(forced_colors="active", color_scheme=scheme)
        for path in ("/", "/class", "/plan?group=Quay", "/pupil/1", "/class/over-time"):
            window.goto(path)
            drawn, bare, chosen, looks_chosen = window.evaluate(FORCED)
            assert (drawn > 3, bare, chosen > 0, looks_chosen) == (True, 0, True, True), (scheme, path)


def test_the_way_past_the_navigation_comes_first(window: Page) -> None:
    window.goto("/class")
    window.keyboard.press("Tab")
    window.keyboard.press("Enter")

    assert window.evaluate("document.activeElement.id") == "main"
