"""`trainer doctor`: what somebody who helps needs to know of this machine, and nothing about a child."""

from __future__ import annotations

import platform
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer import places
from trainer.atomic_file import replace_file
from trainer.commands.options import Location, screen_option, with_location
from trainer.commands.parsing import Command
from trainer.drawing import theme
from trainer.errors import RecordError, ScreenError, TrainerError
from trainer.language import day_words, sentence, size_words, text
from trainer.log import FOLDER, log_lines

if TYPE_CHECKING:
    from trainer.window.scenes.touch_trial import Outcome

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
@click.option("--touch", is_flag=True, help=text("record.help.touch"))
@screen_option
@with_location
def doctor(location: Location, *, touch: bool, screen: int) -> int:
    """Print it, whatever of it cannot be found out; what was tried of touches is written down as well."""
    tried = [text("record.doctor.trial"), *_touches(location, screen)] if touch else []
    about = [*_versions(), *_screens(location)]
    for line in (*about, *tried, *_record(location), *_outbox(location), *_log(location)):
        print(line)
    if touch:
        file = places.data_folder(location.data) / places.TOUCH
        replace_file(file, "\n".join([*about, *tried, ""]).encode(), what="what was tried")
        print(text("record.doctor.written", file=_without_home(str(file))))
    return 0


def _touches(location: Location, screen: int) -> Iterator[str]:
    """A line for each trial that a grown-up made on the screen."""
    from trainer.window.trials import try_touch

    for outcome in try_touch(places.screens_file(location.data), screen=screen):
        yield f"  {_outcome(outcome)}"


def _outcome(outcome: Outcome) -> str:
    trial = text(f"record.touch.{outcome.trial}")
    if outcome.skipped:
        return text("record.touch.skipped", trial=trial)
    kinds = ", ".join(f"{text(f'record.touch.counts.{kind}')}: {n}" for kind, n in outcome.kinds.items())
    words = [
        text("record.touch.strokes", trial=trial, count=outcome.strokes, kinds=kinds)
        if outcome.strokes
        else text("record.touch.nothing", trial=trial)
    ]
    if outcome.rate is not None:
        words.append(text("record.touch.rate", rate=f"{outcome.rate:.0f}", gap=f"{outcome.gap * 1000:.0f}"))
        words.append(text("record.touch.off", mm=f"{outcome.off:.1f}"))
    if outcome.pressure is not None:
        least, most = (f"{pressure:.2f}" for pressure in outcome.pressure)
        words.append(text("record.touch.pressure", least=least, most=most))
    if outcome.tilted:
        words.append(text("record.touch.tilt"))
    if outcome.tally:
        counts = (f"{text(f'record.touch.counts.{what}')} {number}" for what, number in outcome.tally.items())
        words.append(text("record.touch.tally", counts=", ".join(counts)))
    return "; ".join(words)


def _versions() -> Iterator[str]:
    from importlib.metadata import PackageNotFoundError, version

    versions = [f"Python {platform.python_version()}"]
    for name in LIBRARIES:
        try:
            versions.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            continue
    yield text("record.doctor.system", system=platform.platform(), machine=platform.machine())
    yield text("record.doctor.versions", versions=", ".join(versions))


def _screens(location: Location) -> Iterator[str]:
    from trainer.window.screens import look_at_screens

    try:
        screens = look_at_screens(places.screens_file(location.data))
    except ScreenError as error:
        yield sentence(error)
        return
    yield text("record.doctor.screens", library=screens.library, driver=screens.driver)
    for number, (display, scale) in enumerate(screens.displays, 1):
        width, height = display.size
        yield text("record.doctor.screen", number=number, name=display.name, width=width, height=height)
        if display.millimeters is not None:
            across, down = display.millimeters
            yield text("record.doctor.millimeters", number=number, width=across, height=down)
        if scale.doubt is not None:
            yield text("record.doctor.doubted", reason=text(f"record.doubt.{scale.doubt}"))
        if scale.px_per_mm is not None:
            px, source = f"{scale.px_per_mm:.2f}", text(f"record.scale.{scale.source}")
            yield text("record.doctor.scale", number=number, px=px, source=source)
    window, source = screens.window, text(f"record.scale.{screens.displays[0][1].source}")
    yield text(
        "record.doctor.window",
        width=window.width,
        height=window.height,
        px=f"{window.px_per_mm:.2f}",
        source=source,
        button=f"{window.button_mm:.0f}",
    )
    if window.button_mm < 0.99 * theme.BUTTON_MM:
        yield text("record.doctor.small", room=f"{theme.ROOM_MM:g}")
    yield text("record.doctor.touch", count=screens.touch_devices)
    count, readable = screens.contacts
    if count:
        yield text("record.doctor.contacts", count=count, readable=readable)
    if readable < count:
        yield text("record.doctor.group")


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


def _outbox(location: Location) -> Iterator[str]:
    from trainer.record import outbox

    troubles: list[RecordError] = []
    for box in outbox.waiting(places.data_folder(location.data), troubles.append):
        size = size_words(box.size)
        yield text("record.doctor.waiting", place=_without_home(box.place), count=box.items, size=size)
        if box.damaged:
            yield text("record.doctor.damaged", count=box.damaged, file=_without_home(str(box.file)))
    yield from (_without_home(sentence(error)) for error in troubles)


def _log(location: Location) -> Iterator[str]:
    data = places.data_folder(location.data)
    folder, lines = _without_home(str(data / FOLDER)), log_lines(data, LINES)
    yield text("record.doctor.log" if lines else "record.doctor.no_log", folder=folder)
    yield from (f"  {line}" for line in lines)


def _without_home(words: str) -> str:
    """The words without the name of the user's own folder, which is mostly a person's."""
    return words.replace(str(Path.home()), "~")
