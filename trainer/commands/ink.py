"""The commands for kept ink: out as InkML, in from InkML and UNIPEN, and judged again."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.commands import options
from trainer.errors import PlaceError, UsageError
from trainer.language import text

if TYPE_CHECKING:
    from strokes.files import Specimen
    from trainer.attempt import Pupil
    from trainer.record import Record


def export_ink(chosen: Namespace) -> int:
    """Write the kept ink of the record, of one pupil or of one letter, as InkML."""
    from strokes.files.inkml import written
    from trainer.ink_codec import DECIMALS

    since = options.day(chosen.since)
    with options.record(chosen) as record:
        pupils: tuple[Pupil, ...] = record.pupils.find(archived=True)
        if chosen.pupil is not None:
            pupils = (options.pupil(record, chosen.pupil, chosen.group),)
        counted = _Counted(_specimens(record, pupils, chosen.letter, since, names=chosen.names))
        _write(written(counted, decimals=DECIMALS), chosen.file)
    if chosen.file != "-":
        print(text("cli.ink.written", letters=counted.count, file=chosen.file))
    return 0


def import_ink(chosen: Namespace) -> int:
    """Take the letters of a file in as attempts of one pupil, judged by the checks of today."""
    from strokes.files import formats
    from strokes.tolerances import Tolerances
    from trainer.attempt import Step
    from trainer.commands.progress import bar
    from trainer.exchange import Taking
    from trainer.teaching import Rules

    now = datetime.now(UTC)
    with options.record(chosen) as record:
        pupil = options.pupil(record, chosen.pupil, chosen.group)
        alphabets = options.alphabets(chosen, record)
        alphabet = alphabets.for_judging(pupil.group)
        options.tell(alphabets, [pupil.group])
        if chosen.letter is not None and chosen.letter not in alphabet:
            raise UsageError(f"--letter must be one of {' '.join(alphabet)}, not {chosen.letter!r}")
        file, tolerances = Path(chosen.file), Tolerances.of(Rules.of(record.settings).stage)
        found = formats.read(file)
        taking = Taking(file, pupil, alphabet, chosen.letter, Step(chosen.step), tolerances)
        attempts = []
        with bar(text("cli.ink.bar"), len(found), stays=False) as told:
            for attempt in taking.attempts(found, now):
                attempts.append(attempt)
                told(1)
        record.attempts.keep_many(attempts)
        days = record.ink.keep_days
    formed = sum(one.formed for one in attempts)
    print(text("cli.ink.taken", letters=len(attempts), formed=formed, name=pupil.name))
    if left_out := len(found) - len(attempts):
        print(text("cli.ink.left_out", letters=left_out, letter=chosen.letter))
    if old := sum(one.at < now - timedelta(days=days) for one in attempts):
        print(text("cli.ink.old", letters=old, days=days))
    return 0


def recheck(chosen: Namespace) -> int:
    """Judge kept ink again by the checks and the letters of today."""
    from strokes.tolerances import Tolerances
    from trainer.commands.progress import bar
    from trainer.judging.rechecking import Recheck
    from trainer.teaching import Rules

    since = options.day(chosen.since)
    with options.record(chosen) as record:
        alphabets = options.alphabets(chosen, record)
        run = Recheck(
            record, alphabets.for_judging, Tolerances.of(Rules.of(record.settings).stage), since=since
        )
        options.tell(alphabets, record.pupils.groups())
        if len(run):
            with bar(text("cli.recheck.bar"), len(run)) as told:
                run.run(told=told)
    done = run.outcome
    print(text("cli.recheck.done", judged=done.judged, better=done.better, worse=done.worse))
    for letter, count in sorted(done.unknown.items()):
        print(text("cli.recheck.unknown", letter=letter, count=count))
    for number, fault in sorted(done.damaged.items()):
        print(text("cli.recheck.damaged", number=number, fault=fault), file=sys.stderr)
    return 1 if done.damaged else 0


class _Counted:
    """Passes specimens on and counts them."""

    def __init__(self, specimens: Iterable[Specimen]) -> None:
        self._specimens, self.count = specimens, 0

    def __iter__(self) -> Iterator[Specimen]:
        for one in self._specimens:
            self.count += 1
            yield one


def _specimens(
    record: Record, pupils: Iterable[Pupil], letter: str | None, since: datetime | None, *, names: bool
) -> Iterator[Specimen]:
    """The attempts that still have their ink, pupil by pupil; without `names` a writer is only a number."""
    from trainer.exchange import specimen

    for number, pupil in enumerate(pupils, 1):
        for attempt in record.attempts.find(pupil.id, letter, since):
            if len(attempt.ink):
                yield specimen(attempt, pupil.name if names else str(number))


def _write(pieces: Iterable[str], file: str) -> None:
    if file == "-":
        sys.stdout.writelines(pieces)
        return
    try:
        with Path(file).open("w", encoding="utf-8") as ink:
            ink.writelines(pieces)
    except OSError as error:
        raise PlaceError(f"{file}: the ink cannot be written: {error.strerror}") from error
