"""WCAG 2.2 AA on every page, by axe-core in Chromium, and what axe-core does not see."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import pytest
from flask import Flask

from tests.desk.keyboard import LOOK
from tests.desk.layout import runs_out
from tests.desk.visitor import Browser
from tests.desk.walking import walk
from trainer.language import text

if TYPE_CHECKING:
    from playwright.sync_api import Browser as Chromium
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

AXE = Path(__file__).parents[2] / "build" / "node_modules" / "axe-core" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
OF_COLOR = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
WIDTHS = [1280, 820, 640]
"""The last is a window of 1280 px at 200 %."""

SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")

SHOWN_COLORS = """() => {
    if (!matchMedia('(forced-colors: active)').matches) return;
    const read = CSSStyleDeclaration.prototype.getPropertyValue;
    CSSStyleDeclaration.prototype.getPropertyValue = function (name) {
        return read.call(this, name === '-webkit-text-fill-color' ? 'color' : name);
    };
}"""
"""In forced colors Chromium shows the system's color and still gives ours for -webkit-text-fill-color.

axe-core 4.14 reads that one, and so took blue for the color of links that are shown yellow on black. What is
shown is in `color`; with it the rule of contrast means something there.
"""


AXE_RUN = """([context, options]) => axe.run(context, options).then(
    ({passes, violations}) => [passes.length, violations]
)"""
"""How many rules the page keeps, and which it breaks: what axe-core gives besides costs much to hand over."""


def violations(page: Page, rules: object = RULES) -> list[str]:
    """What axe-core finds on the page that is open, in the colors that it has now: the rule, and where."""
    if not AXE.is_file():
        pytest.skip("axe-core is not installed: DEVELOPERS.md tells how")
    if page.evaluate("typeof axe === 'undefined'"):
        page.evaluate(AXE.read_text(encoding="utf-8"))
    page.evaluate(SHOWN_COLORS)
    looked_at = {"exclude": [["svg *"]]}  # a picture as a whole; the lines in it are thousands
    options = {"runOnly": rules, "resultTypes": ["violations"]}  # not each place that passes
    passed, broken = page.evaluate(AXE_RUN, [looked_at, options])
    assert passed, "axe-core has not looked at anything"
    return [
        f"{rule['id']}: {node['target']} {node['failureSummary']}"
        for rule in broken
        for node in rule["nodes"]
    ]


def violations_in_all_colors(page: Page) -> list[str]:
    """What axe-core finds in the page's own colors, then in forced ones; at the end it has its own again."""
    broken = violations(page)
    page.emulate_media(forced_colors="active", color_scheme="dark", reduced_motion="reduce")
    broken += violations(page, OF_COLOR)
    page.emulate_media(forced_colors="none", color_scheme="light", reduced_motion="no-preference")
    return broken


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

FORCED = """() => {
    const drawn = [...document.querySelectorAll('main svg[role=img], main svg.mark')];
    const bare = drawn.filter(svg => getComputedStyle(svg).backgroundColor !== 'rgb(255, 255, 255)');
    const alike = [...document.querySelectorAll('nav a[aria-current]')].filter((link) => {
        const other = link.closest('nav').querySelector('a:not([aria-current])');
        return other && getComputedStyle(link).backgroundColor === getComputedStyle(other).backgroundColor;
    });
    return [drawn.length, bare.length + alike.length];
}"""
"""How many pictures a page has; how many of them lost their paper, or of chosen links look like others."""


@dataclass
class Visit:
    """What was seen on a page.

    Rules it breaks, and those of color in forced colors; widths it does not fit into; what the Tab key comes
    to, and what of it is not seen then; in forced colors how many pictures it has, and what vanished of them.
    """

    broken: list[str]
    broken_in_forced_colors: list[str]
    too_wide: list[int]
    reached: list[str]
    unseen: list[str]
    drawn: int
    vanished: int


Visits = dict[str, Visit]


@pytest.fixture(scope="module")
def visits() -> Visits:
    """By the page's address; filled by the first test that needs it, as the pages take their time."""
    return {}


@pytest.fixture
def visited(request: pytest.FixtureRequest, visits: Visits) -> Visits:
    """A page of every kind, each opened once; without a window where that was done."""
    if not visits:
        window: Page = request.getfixturevalue("window")
        app: Flask = request.getfixturevalue("app")
        client: Browser = request.getfixturevalue("client")
        for path, answer in walk(app, client, each=1):
            if answer.mimetype == "text/html":
                window.goto(path)
                visits[path] = visit(window)
        visits["/words/add"] = visit(look_at_words(window))
        shared = client.get("/alphabet/zip?alphabet=print").data
        visits["/alphabet/bring"] = visit(look_at_an_alphabet(window, shared))
    return visits


def look_at_words(window: Page) -> Page:
    """The page on which words of her own are looked at before they are kept."""
    window.goto("/words")
    window.locator("#lines").fill("gangplank")
    with window.expect_navigation():
        window.get_by_role("button", name=text("words.add.look")).click()
    return window


def look_at_an_alphabet(window: Page, shared: bytes) -> Page:
    """The page on which an alphabet that was brought in is looked at before it is taken."""
    window.goto("/alphabet/alphabets")
    window.set_input_files("#zip", {"name": "a.zip", "mimeType": "application/zip", "buffer": shared})
    with window.expect_navigation():
        window.get_by_role("button", name=text("alphabet_sharing.bring.hand_in")).click()
    return window


def visit(window: Page) -> Visit:
    """Look at the page that is open, which is no longer whole then."""
    # What a script fetches is there, its controls too: in a thinned page it would not find its places.
    window.wait_for_load_state("networkidle")
    # A link changes its color in a tenth of a second else.
    window.emulate_media(reduced_motion="reduce")
    reached, unseen = focused(window)
    wide, seen = too_wide(window), []
    for scheme in SCHEMES:
        window.emulate_media(forced_colors="active", color_scheme=scheme)
        seen.append(window.evaluate(FORCED))
    window.evaluate(THINNED)
    forced = violations(window, OF_COLOR) if AXE.is_file() else []
    window.emulate_media(forced_colors="none", color_scheme="light")
    broken = violations(window) if AXE.is_file() else []
    (drawn, _), vanished = seen[0], sum(gone for _, gone in seen)
    return Visit(broken, forced, wide, reached, unseen, drawn, vanished)


def test_no_page_breaks_a_rule_of_access(visited: Visits) -> None:
    if not AXE.is_file():
        pytest.skip("axe-core is not installed: DEVELOPERS.md tells how")
    assert len(visited) >= 24
    assert {path: visit.broken for path, visit in visited.items() if visit.broken} == {}


def test_no_page_breaks_a_rule_of_color_in_forced_colors(visited: Visits) -> None:
    """The other rules read what forced colors leave as it is; all were run so on 2026-11-27: none broke."""
    if not AXE.is_file():
        pytest.skip("axe-core is not installed: DEVELOPERS.md tells how")
    broken = {path: visit.broken_in_forced_colors for path, visit in visited.items()}
    assert {path: rules for path, rules in broken.items() if rules} == {}


def test_the_pages_before_the_desk_break_no_rule_of_access_and_axe_is_able_to_find_some(
    chromium: Chromium, address: str
) -> None:
    """The checks above can fail, that of forced colors too."""
    page = chromium.new_page(base_url=address)
    for path in ("/login", "/first"):
        page.goto(path)
        assert violations_in_all_colors(page) == []
    page.evaluate("document.querySelector('label').remove()")
    assert any("label" in violation for violation in violations(page))
    page.emulate_media(forced_colors="active", color_scheme="dark")
    page.evaluate("document.body.style.cssText = 'forced-color-adjust: none; color: #555'")
    assert any("color-contrast" in violation for violation in violations(page, OF_COLOR))
    page.close()


def too_wide(window: Page) -> list[int]:
    """The widths of a window that the page which is open runs out of; at the end it is as wide as before."""
    wide = []
    for width in WIDTHS:
        window.set_viewport_size({"width": width, "height": 900})
        if runs_out(window):
            wide.append(width)
    window.set_viewport_size({"width": WIDTHS[0], "height": 900})
    return wide


def test_no_page_is_wider_than_its_window(visited: Visits) -> None:
    """A wide table scrolls in a box of its own."""
    assert {path: visit.too_wide for path, visit in visited.items() if visit.too_wide} == {}


FOCUSED = f"() => ({LOOK})(document.activeElement)"

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


def test_the_tab_key_goes_through_the_whole_page_and_out_of_it(window: Page) -> None:
    """All that takes the focus, but for the other buttons of a choice of one, which the arrow keys reach."""
    window.goto("/settings")
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


def test_in_forced_colors_letters_keep_their_paper_and_what_is_chosen_looks_chosen(visited: Visits) -> None:
    """Black strokes vanished on a dark canvas, and the circles of the table with them."""
    assert {path: visit.vanished for path, visit in visited.items() if visit.vanished} == {}
    for path in ("/", "/class", "/plan", "/class/over-time", "/alphabet"):
        assert visited[path].drawn > 3, path
