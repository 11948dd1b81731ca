"""Attacks that once got through, and a sample of what `python -m tests.hostile` does by the thousand."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.hostile.attack import LARGEST, attack
from tests.hostile.knocks import knocked
from tests.hostile.targets import TARGETS

ROOT = Path(__file__).parents[1]
INK = '<ink xmlns="http://www.w3.org/2003/InkML">'
PEN = ".VERSION 1.0\n.COORD X Y\n.PEN_DOWN\n1 1\n2 2\n"

FILES: dict[str, Callable[[], str]] = {
    "annotations that many groups inherit": lambda: (
        INK
        + "".join(f'<annotation type="k{number}">b</annotation>' for number in range(99))
        + "<traceGroup><trace>1 1</trace></traceGroup>" * 20_000
        + "</ink>"
    ),
    "tens of thousands of annotations": lambda: (
        INK
        + "".join(f'<annotation type="k{number}">b</annotation>' for number in range(40_000))
        + "<traceGroup><trace>1 1</trace></traceGroup>" * 8000
        + "</ink>"
    ),
    "groups in groups": lambda: INK + "<a>" * 100_000 + "</a>" * 100_000 + "</ink>",
    "segments": lambda: PEN + '.SEGMENT CHARACTER 0 OK "a"\n' * 190_000,
    "ranges": lambda: PEN + f'.SEGMENT CHARACTER {",".join("0" * 1000)} OK "a"\n' * 1000,
    "a name of many parts": lambda: "a" + ".a" * 60_000 + " = 1",
}
"""Files that took gigabytes, or nearly so."""

READ_ALL = """
import sys
from contextlib import suppress
from pathlib import Path
from strokes import StrokesError, files
for name in sys.argv[1:]:
    path = Path(name)
    with suppress(StrokesError):
        files.FolderReader(path.parent).read() if path.name == files.TOML else files.read_ink(path)
peak = next(line for line in open("/proc/self/status") if line.startswith("VmHWM:"))
print(int(peak.split()[1]) / 1024)
"""
"""Prints the most memory of the process in MB. What getrusage gives begins with that of the process that
started this one."""


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="the most memory is read from /proc")
def test_files_that_took_gigabytes_take_300_mb_at_most(tmp_path: Path) -> None:
    (tmp_path / "a.svg").write_text("<svg/>", encoding="utf-8")
    paths = []
    for number, (name, content) in enumerate(FILES.items()):
        paths.append(tmp_path / ("alphabet.toml" if "parts" in name else f"{number}.ink"))
        paths[-1].write_text(content(), encoding="utf-8")

    read = subprocess.run(
        [sys.executable, "-c", READ_ALL, *map(str, paths)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )

    assert float(read.stdout) < LARGEST


@pytest.mark.parametrize("name", TARGETS)
def test_a_sample_of_spoiled_input_is_answered_or_refused(name: str) -> None:
    outcome = attack(name, seed=27, count=25, seconds=0.6)

    assert outcome.faults == []
    assert outcome.refused.total() > 0


@pytest.mark.skipif(not hasattr(os, "fork"), reason="works are forked, and SIGKILL is of POSIX")
def test_a_sample_of_deaths_costs_nothing() -> None:
    """In a process of its own: one with threads is not forked."""
    command = [sys.executable, "-m", "tests.hostile.kills", "--count", "2", "--only"]

    done = subprocess.run([*command, "a record mended"], cwd=ROOT, capture_output=True, text=True)

    assert (done.returncode, done.stderr) == (0, "")
    assert "2 deaths" in done.stdout


def test_strangers_learn_nothing_while_a_teacher_works(demo_record: Path, tmp_path: Path) -> None:
    shutil.copy(demo_record, tmp_path)

    statuses, faults, seconds = knocked(tmp_path, 20, seed=27)

    assert faults == []
    assert statuses.total() == 20
    assert len(seconds) >= 5
