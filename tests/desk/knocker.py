"""A program that asks the desk over HTTP, as a browser does."""

from __future__ import annotations

import re
from http.client import HTTPConnection
from urllib.parse import urlencode, urlsplit

from tests.waiting import HANG


class Knocker:
    """A program that speaks HTTP to the desk, and keeps the cookies that it is given."""

    def __init__(self, address: str) -> None:
        self.address = urlsplit(address)
        self.cookies: dict[str, str] = {}

    def ask(self, path: str, fields: dict[str, str] | None = None) -> tuple[int, str]:
        """Get a page, or send a form to it; gives the code of the answer and its text."""
        assert self.address.hostname is not None
        line = HTTPConnection(self.address.hostname, self.address.port, timeout=HANG)
        head = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
        body = None if fields is None else urlencode(fields)
        if body is not None:
            head["Content-Type"] = "application/x-www-form-urlencoded"
        line.request("GET" if body is None else "POST", path, body, head)
        answer = line.getresponse()
        text = answer.read().decode()
        for cookie in answer.headers.get_all("Set-Cookie", []):
            name, _, value = cookie.partition(";")[0].partition("=")
            self.cookies[name] = value
        line.close()
        return answer.status, text

    def guess(self, words: str) -> int:
        """Give a passphrase; gives the code of the answer."""
        return self.ask("/login", {"passphrase": words, "csrf_token": self.token(self.ask("/login")[1])})[0]

    @staticmethod
    def token(page: str) -> str:
        """The token that a page's forms send."""
        value = re.search(r'name="csrf_token" value="([^"]+)"', page)
        assert value is not None
        return value[1]
