"""`python -m tests.hostile.knocks [--count N]`: strangers at a desk in which a teacher works.

Requests as no browser sends them come from another account where root can act as one, four at a time, while
she turns pages and takes notes. No answer to them may have a child's name or be a fault of the program, the
record must be as she left it, and her pages must come.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from itertools import cycle
from pathlib import Path

import numpy as np

from tests.desk.knocker import Knocker
from tests.desk.test_door import started, stopped
from tests.desk.visitor import HASH, PASSPHRASE
from tests.hostile import stranger
from tests.trainer.whole_record import everything
from trainer import places
from trainer.demo import fill
from trainer.desk.access.passphrase import SETTING
from trainer.desk.app import create_app
from trainer.desk.desk import Desk
from trainer.record.record import Record

AT_ONCE = 4
FAULTS = ("500", "502", "504", "no HTTP")
"""What must never come back. An answer that the desk cannot give for lack of time or room is 503."""


def knocked(folder: Path, number: int, *, seed: int = 1) -> tuple[Counter[str], list[str], list[float]]:
    """Strangers at a desk on the record in a folder, which has a passphrase and pupils.

    How often each status came, what went wrong, and how many seconds each page of the teacher's took.
    """
    with Record.open(folder / places.RECORD) as record:
        hidden = record.pupils.add(stranger.HIDDEN.decode(), group="Quay")
        paths = sorted(_paths(record, folder))
    before = everything(folder / places.RECORD)
    running = started(folder)
    teacher = Knocker(f"http://127.0.0.1:{running.port}/")
    assert teacher.guess(PASSPHRASE) == 303
    strangers = [_stranger(running.port, number // AT_ONCE, seed + place, paths) for place in range(AT_ONCE)]
    seconds, faults, notes = [], [], 0
    pages = ("/", "/class", f"/pupil/{hidden.id}", "/plan", "/settings")
    for page in cycle(pages):
        if len(seconds) >= len(pages) and all(each.poll() is not None for each in strangers):
            break
        begun = time.perf_counter()
        status, answer = teacher.ask(page)
        seconds.append(time.perf_counter() - begun)
        if status != 200:
            faults.append(f"the teacher's {page}: {status}")
        if page.startswith("/pupil"):
            teacher.ask(f"/pupil/{hidden.id}/notes", {"text": "seen", "csrf_token": teacher.token(answer)})
            notes += 1
    said = [json.loads(each.communicate()[0]) for each in strangers]
    _, trouble = stopped(running)
    after = everything(folder / places.RECORD)
    taken = len(after.pop("note")) - len(before.pop("note"))
    if taken != notes:
        faults.append(f"{notes} notes were taken, {taken} are there")
    faults += [f"the table {table} is another one" for table in before if before[table] != after[table]]
    statuses = sum((Counter(each["statuses"]) for each in said), Counter[str]())
    faults += [f"a child's name came: {leak}" for each in said for leak in each["leaks"]]
    faults += [f"{status} came {times} times" for status, times in statuses.items() if status in FAULTS]
    faults += [line for line in trouble.splitlines() if "Traceback" in line]
    return statuses, faults, seconds


def _paths(record: Record, folder: Path) -> set[str]:
    """All addresses of the desk, with a value where one has a place for it."""
    app = create_app(Desk(record, letters_folder=folder / places.LETTERS))
    return {
        "/".join("1" if part.startswith("<") else part for part in rule.rule.split("/"))
        for rule in app.url_map.iter_rules()
    }


def _stranger(port: int, number: int, seed: int, paths: list[str]) -> subprocess.Popen[str]:
    python = shutil.which("python3", path="/usr/bin:/usr/local/bin")
    other = {"user": "nobody", "extra_groups": []} if python and os.geteuid() == 0 else {}
    program = Path(stranger.__file__).read_text(encoding="utf-8")
    words = [python or sys.executable, "-I", "-S", "-c", program, str(port), str(number), str(seed), *paths]
    return subprocess.Popen(words, stdout=subprocess.PIPE, text=True, cwd="/", **other)


def main() -> int:
    """Knock, and print what came of it; 1 where there are faults."""
    parser = argparse.ArgumentParser(prog="python -m tests.hostile.knocks", description=__doc__)
    parser.add_argument("--count", type=int, default=10_000, metavar="N", help="requests of the strangers")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="the first of the seeds")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        with fill(Path(name)) as record:
            record.settings.set(SETTING, HASH)
        statuses, faults, seconds = knocked(Path(name), asked.count, seed=asked.seed)
    came = ", ".join(f"{status} {times}" for status, times in statuses.most_common())
    print(f"{statuses.total()} requests: {came}")
    first, *later = seconds
    middle, late, most = 1000 * np.quantile(later, [0.5, 0.99, 1.0])
    shares = f"{middle:.0f} ms at the median, {late:.0f} at the 99th percentile, at most {most:.0f}"
    print(f"the desk's first page: {1000 * first:.0f} ms; {len(later)} of the teacher's after it: {shares}")
    print(*faults, sep="\n")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
