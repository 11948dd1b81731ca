"""Four practice windows and the desk on one record: no lock error, and nothing is lost."""

from __future__ import annotations

import shutil
import subprocess
import sys
from datetime import datetime
from itertools import cycle
from pathlib import Path

import pytest

from tests.desk.visitor import Browser
from tests.server import Server
from tests.trainer.test_counters import assert_counts_are_right
from tests.waiting import HANG
from trainer import places
from trainer.record.record import Record

ROOT = Path(__file__).parents[2]
WINDOWS = 4


@pytest.fixture
def record_file(request: pytest.FixtureRequest, demo_record: Path, tmp_path: Path) -> Path | str:
    """A copy of the demo's record, in a file or on a server."""
    if request.param == "sqlite":
        return Path(shutil.copy(demo_record, tmp_path / places.RECORD))
    server: Server = request.getfixturevalue("server")
    return server.copied(demo_record)


@pytest.mark.parametrize(
    ("record_file", "letters"),
    [
        ("sqlite", 2),
        pytest.param("postgresql", 2, marks=pytest.mark.server),
    ],
    indirect=["record_file"],
)
def test_children_write_while_the_teacher_reads_and_notes(
    client: Browser, record: Record, record_file: Path | str, letters: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("trainer.record.database.PATIENCE", HANG)  # a slow disk is no fault
    pupils = record.pupils.find()
    before = {attempt.id for attempt in record.attempts.find(ink=False)}
    writing = [pupil.id for pupil in pupils[:WINDOWS]]
    windows = subprocess.Popen(
        [sys.executable, "-m", "tests.desk.windows", str(record_file), str(letters), *map(str, writing)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    assert windows.stdout is not None
    assert windows.stdout.readline() == "open\n", "nothing is read beside windows that are not there yet"
    pages, answers, notes = cycle(("/", "/class", f"/pupil/{pupils[0].id}", "/plan")), [], 0
    while windows.poll() is None:
        answers += [client.get(next(pages)).status_code for _ in range(8)]
        answers.append(client.post(f"/pupil/{pupils[0].id}/notes", data={"text": "seen"}).status_code)
        notes += 1
    output, trouble = windows.communicate()
    lines = [line.split() for line in output.splitlines()]
    print(len(answers), "answers;", *(f"{waited} waited" for _, *kind, waited in lines if kind == ["waited"]))

    assert (windows.returncode, trouble) == (0, "")
    assert set(answers) == {200, 303}
    assert len(record.notes.find(pupils[0].id)) == notes
    for pupil in writing:
        recorded = {
            (attempt.id, attempt.letter, attempt.at)
            for attempt in record.attempts.find(pupil)
            if attempt.id not in before and len(attempt.ink.traces)
        }
        written = {
            (int(line[1]), line[2], datetime.fromisoformat(line[3]))
            for line in lines
            if int(line[0]) == pupil and line[1] != "waited"
        }
        assert len(written) == letters
        assert recorded == written
    assert_counts_are_right(record)
