"""`trainer desk`: the teacher's pages in her browser."""

from __future__ import annotations

from contextlib import ExitStack
from typing import TYPE_CHECKING

import click

from trainer import places
from trainer.commands.ending import ended_by_signals
from trainer.commands.invented import invented_for_now
from trainer.commands.options import Location, warn, with_location
from trainer.commands.parsing import Command
from trainer.language import text
from trainer.log import keeping_log

if TYPE_CHECKING:
    from trainer.desk import PracticeWindow


@click.command(cls=Command, help=text("cli.help.desk"))
@click.option("--port", metavar="N", type=int, default=0, help=text("cli.help.port"))
@click.option("--no-browser", is_flag=True, help=text("cli.help.no_browser"))
@click.option("--demo", is_flag=True, help=text("cli.help.desk_demo"))
@click.option("--new-passphrase", is_flag=True, help=text("cli.help.new_passphrase"))
@with_location
def desk(location: Location, *, port: int, no_browser: bool, demo: bool, new_passphrase: bool) -> int:
    """Serve the teacher's pages, from the record or from an invented class, until Ctrl-C."""
    with ExitStack() as stack:
        stack.enter_context(ended_by_signals())
        if demo:
            record, location = stack.enter_context(invented_for_now(location))
        else:
            record = stack.enter_context(location.open_record())
        stack.enter_context(keeping_log(places.data_folder(location.data), "desk"))
        from trainer.desk import Desk, serving

        alphabets = location.alphabets(record)
        warn(alphabets, [None, *record.pupils.groups()])
        serving.serve(
            Desk(
                record,
                alphabets.own,
                named=alphabets.named,
                speech_folder=places.speech_folder(location.data),
                practice=stack.enter_context(_window("practice", location, lasts=not demo)),
                wall=stack.enter_context(_window("lesson", location, lasts=not demo)),
            ),
            folder=places.data_folder(location.data),
            port=port,
            browser=not no_browser,
            forget=new_passphrase,
        )
    return 0


def _window(command: str, location: Location, *, lasts: bool) -> PracticeWindow:
    """What opens the window of a command at the same place; a password goes as PostgreSQL's own variable."""
    from trainer.desk import PracticeWindow

    password = places.password_of(location.url) if location.url else None
    return PracticeWindow(
        location.words(),
        command=command,
        typed=location.typed(command),
        variables={"PGPASSWORD": password} if password else {},
        lasts=lasts,
    )
