"""`trainer doctor`: what somebody who helps needs to know of this machine, and nothing about a child."""

from __future__ import annotations

import platform
from collections.abc import Iterator
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import click

from trainer import places
from trainer.commands.options import Location, with_location
from trainer.commands.parsing import Command
from trainer.errors import ScreenError, TrainerError
from trainer.language import day_words, sentence, size_words, text
from trainer.log import FOLDER, log_lines

LIBRARIES = (
    "letter-formation-trainer",
    "numpy",
    "scipy",
    "shapely",
    "numba",
    "SQLAlchemy",
    "psycopg",
    "Flask",
)
"""What of the program and its libraries is told by version."""

LINES = 20
"""Lines of each log that are shown."""


@click.command(cls=Command, help=text("record.help.doctor"))
@with_location
def doctor(location: Location) -> int:
    """Print it, whatever of it cannot be found out."""
    for line in (*_versions(), *_screens(), *_record(location), *_log(location)):
        print(line)
    return 0


def _versions() -> Iterator[str]:
    versions = [f"Python {platform.python_version()}"]
    for name in LIBRARIES:
        try:
            versions.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            continue
    yield text("record.doctor.system", system=platform.platform(), machine=platform.machine())
    yield text("record.doctor.versions", versions=", ".join(versions))


def _screens() -> Iterator[str]:
    from trainer.window.screens import look_at_screens

    try:
        found = look_at_screens()
    except ScreenError as error:
        yield sentence(error)
        return
    sizes = ", ".join(f"{width} x {height}" for width, height in found.sizes)
    yield text("record.doctor.screens", library=found.library, driver=found.driver, sizes=sizes)
    width, height = found.window
    yield text("record.doctor.window", width=width, height=height, px=f"{found.px_per_mm:.1f}")
    yield text("record.doctor.touch", count=found.touch_devices)


def _record(location: Location) -> Iterator[str]:
    from trainer.record import inspection

    place = location.address() or places.record_file(location.data)
    try:
        state = inspection.state(place)
    except TrainerError as error:
        yield text("record.doctor.no_record", reason=_without_home(sentence(error)))
        return
    place, size = _without_home(state.place), size_words(state.size)
    yield text("record.doctor.record", place=place, database=state.database, size=size)
    yield text("record.doctor.room", free=size_words(state.room))
    yield text("record.doctor.steps", count=state.steps, last=state.last_step)
    for fault in state.faults:
        yield text("record.fault.file", reason=fault)
    if not state.faults:
        yield text("record.doctor.sound")
    if state.last_backup is None:
        yield text("record.doctor.no_backup")
    else:
        yield text("record.doctor.backup", day=day_words(state.last_backup.at, year=True))


def _log(location: Location) -> Iterator[str]:
    data = places.data_folder(location.data)
    folder, lines = _without_home(str(data / FOLDER)), log_lines(data, LINES)
    yield text("record.doctor.log" if lines else "record.doctor.no_log", folder=folder)
    yield from (f"  {line}" for line in lines)


def _without_home(words: str) -> str:
    """The words without the name of the user's own folder, which is mostly a person's."""
    return words.replace(str(Path.home()), "~")
