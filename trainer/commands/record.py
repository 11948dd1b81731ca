"""`trainer record`: the whole record is looked through, backed up, put back, and moved."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer import places
from trainer.commands.options import PATH, Location, agreed, with_location
from trainer.commands.parsing import Group
from trainer.errors import UsageError
from trainer.language import day_words, size_words, text
from trainer.places import is_address

if TYPE_CHECKING:
    from trainer.record.inspection import Fault

MOST_DAYS = 3660
"""Daily backups that may be asked for: ten years of them."""

DRY_RUN = click.option("--dry-run", is_flag=True, help=text("record.help.dry_run"))


@click.group(cls=Group, help=text("record.help.record"))
def record() -> None:
    """All that is done with the whole record."""


@record.command("check", help=text("record.help.check"))
@click.option("--mend", is_flag=True, help=text("record.help.mend"))
@with_location
def check(location: Location, *, mend: bool) -> int:
    """Look the record through; one line a fault, and which of them can be mended."""
    from trainer.commands.progress import share_bar
    from trainer.record import inspection
    from trainer.record.backup import new_copy

    place = _place(location)
    with share_bar(text("record.check.bar")) as progress:
        faults = inspection.check(place, progress=progress)
    mendable = [fault for fault in faults if fault.mendable]
    for fault in faults:
        print(_fault_words(fault), text("record.check.can_be" if fault.mendable else "record.check.cannot"))
    if mend and mendable:
        copy = new_copy(places.data_folder(location.data), "record-before-mending", _now())
        inspection.mend(place, faults, copy)
        faults = inspection.check(place)
        print(text("record.check.mended", copy=copy))
    elif mendable:
        print(text("record.check.how"))
    print(text("record.check.left", count=len(faults)) if faults else text("record.check.good"))
    location.say_what_waits()
    return 1 if faults else 0


@record.command("backup", help=text("record.help.backup"))
@click.argument("file", type=PATH, help=text("record.help.file"))
@click.option("--daily", metavar="N", type=click.IntRange(1, MOST_DAYS), help=text("record.help.daily"))
@DRY_RUN
@with_location
def backup(location: Location, *, file: Path, daily: int | None, dry_run: bool) -> int:
    """Write a backup while windows go on writing, and look it through."""
    from trainer.commands.progress import share_bar
    from trainer.record import backup as backups

    place, now = _place(location), _now()
    if dry_run:
        need, free = backups.room_for(place, file)
        print(text("record.backup.would", size=size_words(need), free=size_words(free), file=file))
        return 0
    erased: tuple[Path, ...] = ()
    with share_bar(text("record.backup.bar")) as progress:
        if daily is None:
            made = backups.back_up(place, file, now=now, progress=progress)
        else:
            made, erased = backups.back_up_daily(place, file, daily, now=now, progress=progress)
    print(text("record.backup.made", file=made.file, size=size_words(made.size)))
    for old in erased:
        print(text("record.backup.erased", file=old))
    location.say_what_waits()
    return 0


@record.command("restore", help=text("record.help.restore"))
@click.argument("file", type=PATH, help=text("record.help.restored"))
@click.option("--yes", is_flag=True, help=text("record.help.yes"))
@DRY_RUN
@with_location
def restore(location: Location, *, file: Path, yes: bool, dry_run: bool) -> int:
    """Put a backup in the place of the record, after telling what it holds and asking."""
    from trainer.commands.progress import share_bar
    from trainer.record import backup as backups

    place, folder = _place(location), places.data_folder(location.data)
    with share_bar(text("record.restore.look")) as progress:
        holds = backups.look_into(file, folder, progress=progress)
    last = day_words(holds.last, year=True) if holds.last else text("record.restore.never")
    print(text("record.restore.holds", pupils=holds.pupils, attempts=holds.attempts, last=last))
    if holds.last:
        print(text("record.restore.back", day=last))
    if dry_run:
        return 0
    if not yes and not agreed(text("record.restore.ask")):
        print(text("record.restore.nothing"))
        return 1
    with share_bar(text("record.restore.bar")) as progress:
        before = backups.restore(file, place, folder, now=_now(), progress=progress)
    print(text("record.restore.done"))
    if before is not None:
        print(text("record.restore.before", file=before))
    location.say_what_waits()
    return 0


@record.command("move", help=text("record.help.move"))
@click.option("--to", "target", metavar="URL|FILE", required=True, help=text("record.help.to"))
@DRY_RUN
@with_location
def move(location: Location, *, target: str, dry_run: bool) -> int:
    """Move the record to a server or into a file, and seal the old one."""
    from trainer.commands.progress import share_bar
    from trainer.record import moving

    to = target if is_address(target) else Path(target)
    # --data names a folder: a record in a file of another name could not be opened any more
    if isinstance(to, Path) and to.name != places.RECORD:
        raise UsageError(
            f"--to must be an address, or a file that is named {places.RECORD} in a folder of its own, "
            f"not {target!r}"
        )
    with share_bar(text("record.move.bar")) as progress:
        moved = moving.move(_place(location), to, rehearse=dry_run, progress=progress)
    rows = sum(moved.rows.values())
    if dry_run:
        print(text("record.move.would", rows=rows, place=moved.place))
        return 0
    print(text("record.move.done", rows=rows, place=moved.place))
    if isinstance(to, Path):
        print(text("record.move.next_file", folder=to.absolute().parent))
    else:
        print(text("record.move.next_server"))
    location.say_what_waits()
    return 0


def _place(location: Location) -> Path | str:
    return location.address() or places.record_file(location.data)


def _now() -> datetime:
    return datetime.now(UTC)


def _fault_words(fault: Fault) -> str:
    return text(f"record.fault.{fault.trouble.value}", where=fault.where, reason=fault.reason)
