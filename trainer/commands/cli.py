"""The command line `trainer`: all its commands, and what becomes of what goes wrong in them."""

from __future__ import annotations

import sys
from collections.abc import Sequence

import click

from strokes.errors import StrokesError
from trainer.commands.alphabet import alphabet
from trainer.commands.demo import demo
from trainer.commands.desk import desk
from trainer.commands.doctor import doctor
from trainer.commands.ink import ink
from trainer.commands.lesson import lesson
from trainer.commands.measure import measure
from trainer.commands.options import location_options
from trainer.commands.output import OutputError, printing
from trainer.commands.parsing import Group
from trainer.commands.plan import plan
from trainer.commands.practice import practice
from trainer.commands.pupil import pupil
from trainer.commands.recheck import recheck
from trainer.commands.record import record
from trainer.commands.report import report
from trainer.commands.settings import settings
from trainer.commands.sheet import sheet
from trainer.commands.show import show
from trainer.commands.start import start
from trainer.commands.summary import summary
from trainer.commands.voice import voice
from trainer.commands.words import words
from trainer.errors import TrainerError, UsageError
from trainer.language import text

PROGRAM = "trainer"


def _show_version(context: click.Context, _option: click.Parameter, asked: bool) -> None:
    if not asked or context.resilient_parsing:
        return
    from importlib.metadata import PackageNotFoundError, version

    try:
        print(version("letter-formation-trainer"))
    except PackageNotFoundError:  # run from a source tree that was not installed
        print(text("cli.help.not_installed"))
    context.exit()


@click.group(
    cls=Group,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
    help=text("cli.help.program"),
    epilog=text("cli.help.each"),
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_show_version,
    help=text("cli.help.version"),
)
@location_options
@click.pass_context
def trainer(context: click.Context) -> int | None:
    """Ask what to open where no command is named."""
    return context.invoke(start) if context.invoked_subcommand is None else None


COMMANDS = (
    *(practice, show, desk, summary, pupil, plan, lesson, words, sheet, report),
    *(alphabet, voice, settings, recheck, ink, record, measure, doctor, demo),
)

for command in COMMANDS:
    trainer.add_command(command)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command. Gives back the exit code: 0 done, 1 could not, 2 typed wrongly."""
    words = sys.argv[1:] if arguments is None else list(arguments)
    try:
        with printing():
            return int(trainer.main(words, PROGRAM, standalone_mode=False))
    except OutputError as error:
        if str(error):
            print(f"{PROGRAM}: {text('cli.output', reason=error)}", file=sys.stderr)
        return 1
    except click.UsageError as error:
        print(_sentence(error), file=sys.stderr)
        return 2
    except (TrainerError, StrokesError) as error:
        print(f"{PROGRAM}: {error}", file=sys.stderr)
        return 2 if isinstance(error, UsageError) else 1
    except click.Abort:  # Ctrl-C
        return 130


def _sentence(error: click.UsageError) -> str:
    """What was typed wrongly, in one sentence, and where the help is."""
    typed = error.ctx.command_path if error.ctx else PROGRAM
    reason = " ".join(error.format_message().split()).rstrip(".")
    return f"{typed}: {reason[:1].lower()}{reason[1:]} (see {typed} --help)"
