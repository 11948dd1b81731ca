"""Contrast of the desk's colors by the formula of WCAG 2.2 (W3C Recommendation, relative luminance).

Source: https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio, success criteria 1.4.3 (text, 4.5 to 1) and 1.4.11
(what can be used, and graphics, 3 to 1).
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cases import for_each
from trainer.desk import app

CSS = (Path(app.__file__).parent / "static" / "desk.css").read_text(encoding="utf-8")
COLORS = dict(re.findall(r"--([a-z]+): (#[0-9a-f]{6});", CSS)) | {"white": "#ffffff"}


def luminance(color: str) -> float:
    channels = [int(color[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(color: str, other: str) -> float:
    dark, light = sorted((luminance(color), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_values_that_are_known() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")
    assert contrast("#0072b2", "#ffffff") == pytest.approx(5.19, abs=0.005)  # Okabe-Ito blue


@for_each("page", ["paper", "card", "white"])
@for_each("words", ["text", "quiet", "blue", "deep"])
def test_words_stand_out_from_every_ground_they_stand_on(words: str, page: str) -> None:
    assert contrast(COLORS[words], COLORS[page]) >= 4.5


@pytest.mark.parametrize("button", ["blue", "deep", "text"])
def test_the_words_on_a_button_stand_out(button: str) -> None:
    assert contrast(COLORS["paper"], COLORS[button]) >= 4.5


@for_each("page", ["paper", "card", "white"])
@for_each("mark", ["edge", "blue", "look", "done"])
def test_borders_of_what_can_be_used_and_graphics_stand_out(mark: str, page: str) -> None:
    assert contrast(COLORS[mark], COLORS[page]) >= 3
