"""Other accounts and programs of the machine at the desk's door: they learn nothing and keep nobody out."""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import stat
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from threading import Thread
from urllib.parse import urlsplit

import pytest

from tests.desk.knocker import Knocker
from tests.desk.test_door import started
from tests.desk.visitor import HASH, PASSPHRASE
from tests.waiting import HANG, until
from trainer import places
from trainer.desk import connections
from trainer.desk.access import accounts
from trainer.desk.access.invitation import PAGE
from trainer.desk.access.passphrase import SETTING
from trainer.desk.desk import Desk
from trainer.desk.serving import Service
from trainer.record.record import Record

SPY = """
import glob, re, sys, time, urllib.parse, urllib.request

seen, until = set(), time.monotonic() + float(sys.argv[1])
while time.monotonic() < until and "stop" not in seen:
    for path in glob.glob("/proc/[0-9]*/cmdline"):
        try:
            words = open(path, errors="replace").read()
        except OSError:
            continue
        for page in re.findall(r"file://(/[A-Za-z0-9_/.-]+open-the-desk.html)", words):
            if page not in seen and page.startswith(sys.argv[2]):
                seen.add(page)
                print("saw", page, flush=True)
                try:
                    print("read", open(page).read(), flush=True)
                except OSError as error:
                    print("refused", error.strerror, flush=True)
                    seen.add("stop")
        for address in re.findall(r"http://127[^\\s\\0]*(?:token|code)=[^\\s\\0]*", words):
            print("code", address, flush=True)
"""
"""What every account may do: read the words of all command lines, and open what it finds there."""


PYTHON = shutil.which("python3", path="/usr/bin:/usr/local/bin")
"""One that every account may run: that of the tests may lie in somebody's home."""

as_another_account = pytest.mark.skipif(
    PYTHON is None or not Path("/proc/self/cmdline").exists() or os.geteuid() != 0,
    reason="only root can act as another account, and what others see is read in /proc",
)


@contextmanager
def another_account(program: str, *words: str) -> Iterator[subprocess.Popen[str]]:
    """A program in Python that runs as an account which owns nothing, until the block ends."""
    process = subprocess.Popen(
        [str(PYTHON), "-I", "-S", "-c", program, *words],
        stdout=subprocess.PIPE,
        text=True,
        user="nobody",
        extra_groups=[],
        cwd="/",
    )
    try:
        yield process
    finally:
        process.kill()
        process.communicate(timeout=HANG)


@as_another_account
def test_another_account_that_watches_the_first_opening_gets_no_code() -> None:
    with tempfile.TemporaryDirectory() as folder, ExitStack() as stack:
        data = Path(folder)
        data.chmod(0o755)  # as open as a careless folder may be: the page itself must be closed
        browser = data / "browser"
        asleep = f"{sys.executable} -c 'import time; time.sleep({HANG})'"
        tell = f"echo $$ > {data}/pid; mv {data}/pid {data}/running"
        browser.write_text(f'#!/bin/sh\n{tell}\nexec {asleep} "$@" > {os.devnull} 2>&1\n')
        browser.chmod(0o755)
        spy = stack.enter_context(another_account(SPY, str(HANG), folder))
        running = started(data, browser=True, BROWSER=f"{browser} %s &")
        stack.callback(running.process.communicate, timeout=HANG)
        stack.callback(running.process.kill)
        spied, _ = spy.communicate(timeout=HANG)
        until((data / "running").exists, "the browser")
        os.kill(int((data / "running").read_text()), signal.SIGKILL)
        page = (data / PAGE).read_text()
        mode = stat.S_IMODE((data / PAGE).stat().st_mode)

    code = re.search(r'name="code" value="([^"]+)"', page)
    assert code is not None
    assert f"saw {data / PAGE}" in spied, "the spy sees what a browser is opened with"
    assert "refused Permission denied" in spied
    assert code[1] not in spied
    assert "code http" not in spied
    assert mode == 0o600


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Where a desk with a passphrase, and without pupils, is served for all tests here."""
    folder = tmp_path_factory.mktemp("desk")
    with Record.open(folder / places.RECORD) as record:
        record.settings.set(SETTING, HASH)
        service = Service.open(Desk(record, letters_folder=folder / places.LETTERS), folder)
        serving = Thread(target=service.run, daemon=True)
        serving.start()
        yield service.address
        service.close()
        serving.join(timeout=HANG)


@pytest.fixture
def idle(address: str) -> Iterator[None]:
    """155 connections that say nothing, and one that sends a long form byte by byte."""
    where = urlsplit(address).hostname, urlsplit(address).port
    with ExitStack() as stack:
        for _ in range(155):
            stack.enter_context(socket.create_connection(where, timeout=HANG))
        slow = stack.enter_context(socket.create_connection(where, timeout=HANG))
        slow.sendall(
            b"POST /login HTTP/1.1\r\n"
            b"Host: %b\r\nContent-Length: 400000\r\n\r\na" % urlsplit(address).netloc.encode()
        )
        yield


@pytest.mark.usefixtures("idle")
def test_idle_and_slow_connections_do_not_close_the_desk(address: str) -> None:
    """A hundred were enough: no more were taken in for two minutes."""
    teacher = Knocker(address)

    assert teacher.guess(PASSPHRASE) == 303
    assert teacher.ask("/settings")[0] == 200


GUESSER = """
import re, sys, threading
from http.client import HTTPConnection

def guess():
    while True:
        line = HTTPConnection("127.0.0.1", int(sys.argv[1]))
        line.request("GET", "/login")
        page = line.getresponse()
        cookie = page.headers["Set-Cookie"].partition(";")[0]
        token = re.search('name="csrf_token" value="([^"]+)"', page.read().decode())[1]
        head = {"Cookie": cookie, "Content-Type": "application/x-www-form-urlencoded"}
        line.request("POST", "/login", "passphrase=a+guess&csrf_token=" + token, head)
        print(line.getresponse().status, flush=True)
        line.close()

for _ in range(4):
    threading.Thread(target=guess, daemon=True).start()
threading.Event().wait()
"""


@as_another_account
def test_while_another_account_guesses_the_right_passphrase_is_looked_at_all_along(address: str) -> None:
    """From four sides, without end, and the teacher comes with a browser that is new to the desk."""
    with another_account(GUESSER, str(urlsplit(address).port)) as guesser:
        assert guesser.stdout is not None
        while guesser.stdout.readline().strip() != "429":
            assert guesser.poll() is None

        assert [Knocker(address).guess(PASSPHRASE) for _ in range(5)] == [303] * 5
        assert guesser.poll() is None


@as_another_account
def test_the_desk_tells_its_own_account_from_another_one(address: str) -> None:
    port = int(str(urlsplit(address).port))
    ask = (
        f"import socket; line = socket.create_connection(('127.0.0.1', {port}));"
        "print(line.getsockname()[1], flush=True); line.recv(1)"
    )
    with (
        socket.create_connection((urlsplit(address).hostname, port)) as own,
        another_account(ask) as other,
    ):
        assert other.stdout is not None
        theirs = int(other.stdout.readline())

        assert accounts.is_own(own.getsockname()[1], port) is True
        assert accounts.is_own(theirs, port) is False
        assert accounts.is_own(1, port) is None


def test_what_is_handed_in_lies_in_no_file_on_the_way(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """waitress put what was longer than 512 kB into a file of the system's folder for such."""
    monkeypatch.setattr("waitress.buffers.TempfileBasedBuffer", None)  # what it makes a file with
    teacher = Knocker(address)
    teacher.guess(PASSPHRASE)
    token = re.search(r'name="csrf-token" content="([^"]+)"', teacher.ask("/pupils")[1])
    assert token is not None

    code, page = teacher.ask("/pupils", {"csrf_token": token[1], "name": "Nella" * 300_000, "group": "Quay"})

    assert code == 422
    assert "A name must be 1 to 40 letters" in page


def test_a_stranger_may_send_little(address: str) -> None:
    where = urlsplit(address)
    too_long = connections.MOST_OF_STRANGER + 1
    head = f"POST /login HTTP/1.1\r\nHost: {where.netloc}\r\nContent-Length: {too_long}\r\n\r\n"
    with socket.create_connection((where.hostname, where.port), timeout=HANG) as line:
        line.sendall(head.encode())
        answer = b"".join(iter(lambda: line.recv(65536), b"")).decode()

    assert answer.startswith("HTTP/1.1 413 ")
    assert "larger than the desk takes" in answer
    assert "Content-Security-Policy: default-src 'none'" in answer


def test_who_gave_the_passphrase_is_answered_before_all_strangers_that_wait() -> None:
    class Waits:
        def __init__(self, known: bool) -> None:
            self.known = known

    strangers, known = [Waits(False) for _ in range(3)], [Waits(True), Waits(True)]
    waiting = connections.Waiting()
    for connection in (*strangers[:2], known[0], strangers[2], known[1]):
        waiting.append(connection)

    assert waiting.somebody_known.is_set(), "the worker does not rest after a stranger"
    assert [waiting.popleft() for _ in range(2)] == known, "in the order in which they came"
    assert not waiting.somebody_known.is_set()
    assert [waiting.popleft() for _ in range(3)] == strangers
