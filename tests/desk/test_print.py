"""What is printed: a page or two of paper, not a pile, on A4 as on Letter."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from trainer.record.record import Record

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser


def sheets(page: Page, paper: str) -> int:
    """How many sheets the page that is open takes."""
    return len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper)))


PAPERS = ("A4", "Letter")


def test_tomorrow_is_one_sheet_and_a_pupil_two_at_most(window: Page, record: Record) -> None:
    """Of the pupils the one who has written the most, the one who has written nothing, and one between."""
    window.goto("/")
    assert [sheets(window, paper) for paper in PAPERS] == [1, 1]

    taken = {}
    pupils = sorted(record.pupils.find(), key=lambda pupil: record.figures.summary(pupil=pupil.id).tries)
    for pupil in (pupils[0], pupils[len(pupils) // 2], pupils[-1]):
        window.goto(f"/pupil/{pupil.id}")
        taken |= {(pupil.name, paper): sheets(window, paper) for paper in PAPERS}
    assert {name for name, count in taken.items() if not 1 <= count <= 2} == set()
    for paper in PAPERS:
        assert max(count for (_, printed), count in taken.items() if printed == paper) == 2
