"""The command `trainer desk` as a program: where it listens, what it says, how it ends."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from http.client import HTTPConnection
from pathlib import Path

import pytest

from tests.waiting import HANG
from trainer.desk.access import guard
from trainer.desk.access.invitation import PAGE
from trainer.desk.access.passphrase import SETTING
from trainer.desk.desk import Desk
from trainer.desk.serving import HERE, Service, serve
from trainer.errors import UsageError
from trainer.language.texts import text
from trainer.record.record import Record

ROOT = Path(__file__).parents[2]


@dataclass(frozen=True)
class Program:
    """A running `trainer desk`, and the first line that it said."""

    process: subprocess.Popen[str]
    said: str

    @property
    def port(self) -> int:
        address = re.search(r"http://127\.0\.0\.1:(\d+)/", self.said)
        assert address is not None, self.said
        return int(address[1])

    def ask(self, raw: bytes) -> str:
        """Send bytes as they are, as no browser would; gives all that comes back."""
        with socket.create_connection((HERE, self.port), timeout=HANG) as line:
            line.sendall(raw)
            line.shutdown(socket.SHUT_WR)
            return b"".join(iter(lambda: line.recv(65536), b"")).decode("utf-8", "replace")


TRAINER = ("-m", "trainer")


def started(
    data: Path, *options: str, browser: bool = False, program: Sequence[str] = TRAINER, **environment: str
) -> Program:
    # What a shell runs in the background ignores Ctrl-C, and hands that on; what is heard here it does not.
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    process = subprocess.Popen(
        [sys.executable, *program, "desk", "--data", str(data), *options]
        + ([] if browser else ["--no-browser"]),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env={**os.environ, "PYTHONUTF8": "1", **environment},
    )
    assert process.stdout is not None
    return Program(process, process.stdout.readline())


def stopped(running: Program) -> tuple[str, str]:
    """Press Ctrl-C; gives what it said after its first line, and its errors."""
    with running.process as process:
        process.send_signal(signal.SIGINT)
        assert process.stdout is not None
        assert process.stderr is not None
        # `communicate` would lose what was read ahead with the first line
        return process.stdout.read(), process.stderr.read()


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Program]:
    running = started(tmp_path_factory.mktemp("desk"))
    yield running
    running.process.kill()
    running.process.communicate()


def test_the_desk_says_its_address_and_where_to_choose_a_passphrase_and_ends_cleanly(tmp_path: Path) -> None:
    running = started(tmp_path)
    rest, trouble = stopped(running)

    assert re.fullmatch(r"The desk is open at http://127\.0\.0\.1:\d+/ for .*\n", running.said)
    assert running.process.returncode == 0
    assert rest == f"{text('desk.invited', page=tmp_path / PAGE)}\nThe desk is closed.\n"
    assert trouble == ""
    assert not (tmp_path / PAGE).exists()


def test_the_desk_ends_as_cleanly_when_it_is_stopped_before_it_answers(
    record: Record, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped(_: Service) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Service, "run", stopped)

    try:
        serve(Desk(record, tmp_path), folder=tmp_path, browser=False)
    except KeyboardInterrupt:  # would end all tests
        pytest.fail("Ctrl-C was let through")

    assert capsys.readouterr().out.endswith("The desk is closed.\n")


def test_no_other_address_of_this_machine_is_answered(program: Program) -> None:
    """127.0.0.2 is this machine as well, and stands for whatever else it is called on a network."""
    others = {"127.0.0.2"}
    with suppress(socket.gaierror):  # the machine's name need not lead anywhere
        others |= {str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None)}
    for other in others - {HERE}:
        with (
            pytest.raises(OSError, match=r"."),
            socket.create_connection((other, program.port), timeout=HANG),
        ):
            pytest.fail(f"the desk answers at {other}")

    assert program.ask(b"GET /login HTTP/1.0\r\n\r\n").startswith("HTTP/1.0 400")  # it does answer here


def test_raw_ways_out_of_the_static_files_lead_nowhere(program: Program) -> None:
    """No client stands between that would tidy the path."""
    for path in ("../app.py", "..//app.py", "%2e%2e%2fapp.py", "..\\app.py", "./../app.py", "/etc/passwd"):
        request = f"GET /static/{path} HTTP/1.0\r\nHost: 127.0.0.1:{program.port}\r\n\r\n"
        answer = program.ask(request.encode())

        assert re.match(r"HTTP/1\.0 (308|400|404|303 SEE OTHER\r\n(.*\r\n)*Location: /login) ?", answer), path
        assert "create_app" not in answer
        assert "root:" not in answer


@pytest.mark.parametrize(
    "request_",
    [
        "GET /login HTTP/1.1\r\nHost: attacker.example\r\nConnection: close\r\n\r\n",
        "GET /login HTTP/1.1\r\nConnection: close\r\n\r\n",
        "GET http://attacker.example/login HTTP/1.1\r\nHost: attacker.example\r\nConnection: close\r\n\r\n",
        "POST /login HTTP/1.1\r\nHost: {here}\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n",
        "nonsense\r\n\r\n",
    ],
)
def test_a_request_that_no_page_of_ours_sends_is_refused(program: Program, request_: str) -> None:
    answer = program.ask(request_.format(here=f"127.0.0.1:{program.port}").encode())

    assert answer.startswith(("HTTP/1.1 400", "HTTP/1.0 400"))
    for name, value in guard.HEADERS.items():
        assert f"{name}: {value}\r\n" in answer, "even what reaches no page carries them"
    assert "Cache-Control: no-store\r\n" in answer


def test_the_desk_names_no_program_and_no_version(program: Program) -> None:
    connection = HTTPConnection(HERE, program.port, timeout=HANG)
    connection.request("GET", "/login")
    answer = connection.getresponse()
    connection.close()

    assert answer.status == 200
    assert "waitress" not in str(answer.headers).casefold()
    assert "python" not in str(answer.headers).casefold()


def test_a_forgotten_passphrase_is_chosen_anew_by_whoever_may_open_the_record(tmp_path: Path) -> None:
    with Record.open(tmp_path / "record.sqlite") as record:
        record.settings.set(SETTING, "a hash of words that nobody remembers")

    running = started(tmp_path, "--new-passphrase")
    rest, _ = stopped(running)

    assert str(tmp_path / PAGE) in rest
    with Record.open(tmp_path / "record.sqlite") as record:
        assert not record.settings.get(SETTING)


def test_a_passphrase_that_is_set_needs_no_invitation(tmp_path: Path) -> None:
    with Record.open(tmp_path / "record.sqlite") as record:
        record.settings.set(SETTING, "a hash")

    running = started(tmp_path)
    rest, _ = stopped(running)

    assert rest == "The desk is closed.\n"


def test_a_port_that_is_taken_is_told_in_one_sentence(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind((HERE, 0))
        taken.listen()
        port = taken.getsockname()[1]
        running = started(tmp_path, "--port", str(port))
        _, trouble = running.process.communicate(timeout=HANG)

    assert running.process.returncode == 2
    assert trouble.startswith(f"trainer: --port must be free on this machine, {port} is not: ")
    assert trouble.count("\n") == 1


@pytest.mark.parametrize("port", [-1, 65536])
def test_a_port_that_cannot_be_is_told(record: Record, tmp_path: Path, port: int) -> None:
    with pytest.raises(UsageError, match="--port must be 1 to 65535"):
        Service.open(Desk(record, tmp_path), tmp_path, port=port)


@pytest.mark.skipif(os.name != "posix", reason="SIGTERM is of POSIX")
def test_the_invented_class_is_gone_when_the_desk_is_told_to_end(tmp_path: Path) -> None:
    """A class of one child who never wrote: all of it takes seconds."""
    small = ("-c", "from trainer import __main__, demo; demo.CLASS = demo.CLASS[-1:]; __main__.main()")
    running = started(tmp_path / "data", "--demo", program=small, TMPDIR=str(tmp_path))
    assert running.process.stdout is not None
    while "The desk is open" not in running.process.stdout.readline():
        assert running.process.poll() is None
    assert [*tmp_path.glob("trainer-demo-*")]

    running.process.terminate()
    _, trouble = running.process.communicate(timeout=HANG)

    assert trouble == ""
    assert running.process.returncode == 0
    assert [*tmp_path.glob("trainer-demo-*")] == []
