"""A PostgreSQL server of the tests' own, in a folder that goes again; a socket there is the only way in."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg
from sqlalchemy import insert, select

from tests.waiting import HANG
from trainer.record.database import Database
from trainer.record.tables import metadata

OLDEST = 15
"""The first one that sorts by ICU everywhere in a database: unlike SQLite and Python."""


@dataclass(frozen=True)
class Server:
    """A server that runs; `folder` has its socket and its data, `programs` are its own."""

    folder: Path
    programs: Path

    def program(self, name: str, *words: str) -> None:
        """Run one of its programs on its data, as somebody whom it lets."""
        who = _unprivileged()
        subprocess.run(
            [self.programs / name, "-D", self.folder / "data", *words],
            check=True,
            cwd=self.folder,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            **({**who, "extra_groups": []} if who else {}),
        )

    def start(self) -> None:
        """Start it; also after it was killed."""
        options = f"-k {self.folder} -c listen_addresses= -c fsync=off -c shared_buffers=16MB"
        log = str(self.folder / "log")
        self.program("pg_ctl", "-s", "-w", "-t", f"{HANG:.0f}", "-l", log, "-o", options, "start")

    def stop(self) -> None:
        """Stop it without a word to those who are connected."""
        self.program("pg_ctl", "-s", "-m", "immediate", "stop")

    def kill(self) -> None:
        """Kill every process of it, and take away what says that it runs: nobody may reap the dead here."""
        self.signal(signal.SIGKILL)
        for left in (self.folder / "data" / "postmaster.pid", *self.folder.glob(".s.PGSQL.*")):
            left.unlink(missing_ok=True)

    def signal(self, number: int) -> None:
        """Send a signal to every process of the server."""
        master = int((self.folder / "data" / "postmaster.pid").read_text().split()[0])
        listed = subprocess.run(["ps", "-o", "pid=", "--ppid", str(master)], capture_output=True, text=True)
        for process in (master, *map(int, listed.stdout.split())):
            with suppress(ProcessLookupError):  # one of them has just ended by itself
                os.kill(process, number)

    def address(self, database: str, user: str = "postgres") -> str:
        """A database of it, whether it is there or not."""
        return f"postgresql://{user}@/{database}?host={self.folder}"

    def run(self, *statements: str, database: str = "postgres") -> list[tuple[Any, ...]]:
        """What the last statement answers; each is a transaction of its own."""
        address = self.address(database)
        with psycopg.connect(address, autocommit=True, options=f"-c lock_timeout={HANG:.0f}s") as connection:
            for statement in statements:
                answer = connection.execute(statement.encode())
            return answer.fetchall() if answer.description else []

    def new(self, name: str, options: str = "") -> str:
        """The address of a new database without tables."""
        self.run(f"DROP DATABASE IF EXISTS {name}", f"CREATE DATABASE {name} {options}")
        return self.address(name)

    def emptied(self) -> str:
        """The address of a database whose tables are empty; it is one and the same, as that is quicker."""
        if not self.run("SELECT 1 FROM pg_database WHERE datname = 'harbor'"):
            Database(self.new("harbor")).close()
        names = ", ".join(metadata.tables)
        self.run(f"TRUNCATE {names} RESTART IDENTITY CASCADE", database="harbor")
        return self.address("harbor")

    def copied(self, file: Path) -> str:
        """The address of a database with all that a record in a file has, row by row."""
        address = self.emptied()
        with (
            closing(Database(file)) as source,
            closing(Database(address)) as copy,
            source.reading() as reading,
            copy.writing() as writing,
        ):
            for table in metadata.sorted_tables:
                if rows := reading.execute(select(table)).mappings().all():
                    writing.execute(insert(table), [dict(row) for row in rows])
                if "id" in table.c:
                    last = max((row["id"] for row in rows), default=0)
                    writing.exec_driver_sql(f"ALTER TABLE {table} ALTER id RESTART WITH {last + 1}")
        return address

    def held(self, *wanted: bytes) -> set[bytes]:
        """Those of these pieces that are in any file of a table, an index or a catalog of that database."""
        ((number,),) = self.run("CHECKPOINT", "SELECT oid FROM pg_database WHERE datname = 'harbor'")
        files = list((self.folder / "data" / "base" / str(number)).iterdir())
        assert len(files) > 100
        return pieces_in(files, wanted)


def pieces_in(files: Iterable[Path], wanted: Iterable[bytes]) -> set[bytes]:
    """Those of these pieces of bytes that any of the files has."""
    pieces, present = set(wanted), set[bytes]()
    for path in files:
        content = _there(path)
        present |= {piece for piece in pieces - present if piece in content}
    return present


def _there(path: Path) -> bytes:
    """The bytes of a file; none of one that the server has removed meanwhile, as it does with its caches."""
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return b""


def programs() -> Path | None:
    """The folder of the newest server's programs; None where there is none that is new enough."""
    if os.name != "posix":
        return None
    folders = [*Path("/usr/lib/postgresql").glob("*/bin")]
    if program := shutil.which("initdb"):
        folders.append(Path(program).resolve().parent)
    versions = {_version(folder): folder for folder in folders if (folder / "initdb").exists()}
    newest = max(versions, default=0)
    return versions[newest] if newest >= OLDEST else None


@contextmanager
def serving(programs: Path) -> Iterator[Server]:
    """A server while the block runs."""
    folder = Path(tempfile.mkdtemp(prefix="pg-"))  # a socket's path must be short
    server = Server(folder, programs)
    if who := _unprivileged():
        shutil.chown(folder, **who)
    try:
        sorting = ("--locale-provider=icu", "--icu-locale=en-US", "--no-locale")
        server.program("initdb", "-U", "postgres", "-A", "trust", "-E", "UTF8", "--no-sync", *sorting)
        rules = folder / "data" / "pg_hba.conf"
        rules.write_text("local all nella scram-sha-256\n" + rules.read_text())
        server.start()
        try:
            yield server
        finally:
            server.stop()
    finally:
        shutil.rmtree(folder)


def _version(folder: Path) -> int:
    said = subprocess.run([folder / "initdb", "--version"], capture_output=True, text=True, check=True).stdout
    version = re.search(r"(\d+)(\.\d+)*\s*(\(|$)", said)
    return int(version[1]) if version else 0


def _unprivileged() -> dict[str, str]:
    """Whom the server runs as where root runs the tests, as whom it refuses to."""
    import pwd  # POSIX alone has it

    if os.geteuid() != 0:
        return {}
    names = {entry.pw_name for entry in pwd.getpwall()}
    return {"user": "postgres" if "postgres" in names else "nobody"}
