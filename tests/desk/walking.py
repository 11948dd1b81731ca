"""Every address that a page of the desk leads to, some of each kind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from urllib.parse import urldefrag, urljoin, urlsplit

from flask import Flask
from werkzeug.exceptions import HTTPException
from werkzeug.test import TestResponse

from tests.desk import reader
from tests.desk.visitor import Browser

EACH = 3
"""How many addresses of one rule are gone to: the thirtieth pupil's page is made as the third one's."""

LEADS = (("a", "href"), ("link", "href"), ("img", "src"), ("script", "src"))


def walk(app: Flask, client: Browser, *, each: int = EACH) -> Iterator[tuple[str, TestResponse]]:
    """Go from the first page to whatever it leads to, and on; gives each address with its answer.

    What a browser would save as a file is left out: a copy of a group takes seconds, and has its own tests.
    """
    adapter = app.url_map.bind("localhost")
    waiting, met, gone = ["/"], {"/"}, Counter[str]()
    while waiting:
        address = waiting.pop(0)
        try:
            rule, values = adapter.match(urlsplit(address).path)
        except HTTPException:
            rule, values = "none", {}
        # Each style sheet and picture is an address of its own; of other rules some are enough.
        kind = f"{rule} {values.get('filename', '')}"
        gone[kind] += 1
        if gone[kind] > each:
            continue
        with client.get(address) as answer:
            yield address, answer
            if answer.mimetype != "text/html":
                continue
            leads = dict(LEADS)
            for element in reader.page(answer).iter():
                target = element.get(leads.get(element.tag, ""), "")
                lead = urldefrag(urljoin(address, target)).url
                if target and lead not in met and "download" not in element.attrib:
                    met.add(lead)
                    waiting.append(lead)
