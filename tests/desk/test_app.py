"""The desk as a whole: every page is there, in one frame, and every fault is one sentence."""

from __future__ import annotations

import pytest

from tests.desk.visitor import Browser
from trainer.language.texts import text

PAGES = {
    "tomorrow": "/",
    "screens": "/practice",
    "classroom": "/class",
    "plan": "/plan",
    "words": "/words",
    "alphabet": "/alphabet",
    "classlist": "/pupils",
    "settings": "/settings",
}


@pytest.mark.parametrize(("name", "path"), PAGES.items())
def test_every_page_is_there_and_leads_to_the_others(client: Browser, name: str, path: str) -> None:
    answer = client.get(path)

    assert answer.status_code == 200
    assert f'aria-current="page">{text(f"desk.page.{name}")}<' in answer.text
    for other in PAGES.values():
        assert f'href="{other}"' in answer.text
