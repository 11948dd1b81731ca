"""The command line `trainer`: what can be typed. What is done then stands in `doors`."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn

from strokes.errors import StrokesError
from trainer.commands import commands
from trainer.commands import ink as inkdoors
from trainer.commands import settings as settingdoors
from trainer.errors import TrainerError, UsageError
from trainer.language import text

PROGRAM = "trainer"


class Parser(argparse.ArgumentParser):
    """argparse with one sentence for a fault, and without guessing at shortened options."""

    def __init__(self, **options: Any) -> None:
        super().__init__(allow_abbrev=False, **options)

    def error(self, message: str) -> NoReturn:
        """Say what is wrong and where the help is."""
        self.exit(2, f"{self.prog}: {message} (see {self.prog} --help)\n")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command. Gives back the exit code: 0 done, 1 could not, 2 typed wrongly."""
    chosen = parser().parse_args(arguments)
    for shared in ("data", "record", "alphabet"):
        # No default of the parsers': a door's would undo what stood before it.
        vars(chosen).setdefault(shared, None)
    try:
        return commands.open_door(chosen)
    except (TrainerError, StrokesError) as error:
        print(f"{PROGRAM}: {error}", file=sys.stderr)
        return 2 if isinstance(error, UsageError) else 1
    except BrokenPipeError:  # the reader, such as head, has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except KeyboardInterrupt:
        return 130


def parser() -> Parser:
    """The whole command line."""
    common = Parser(add_help=False)
    common.add_argument(
        "--data", type=Path, metavar="FOLDER", default=argparse.SUPPRESS, help=text("cli.help.data")
    )
    common.add_argument("--record", metavar="URL", default=argparse.SUPPRESS, help=text("cli.help.record"))
    common.add_argument(
        "--alphabet", type=Path, metavar="FOLDER", default=argparse.SUPPRESS, help=text("cli.help.letters_of")
    )
    top = Parser(prog=PROGRAM, description=text("cli.help.program"), parents=[common])
    top.add_argument("--version", action="version", version=_version(), help=text("cli.help.version"))
    top.set_defaults(door=commands.practice, demo=False, fullscreen=False, size=None, still=False)
    rooms = top.add_subparsers(metavar="DOOR", title=text("cli.help.doors"))
    _add_practice(rooms.add_parser("practice", parents=[common], help=text("cli.help.practice")))
    _add_desk(rooms.add_parser("desk", parents=[common], help=text("cli.help.desk")))
    _add_summary(rooms.add_parser("summary", parents=[common], help=text("cli.help.summary")))
    _add_pupil(rooms.add_parser("pupil", help=text("cli.help.pupil")), common)
    _add_plan(rooms.add_parser("plan", parents=[common], help=text("cli.help.plan")))
    _add_alphabet(rooms.add_parser("alphabet", help=text("cli.help.alphabet")), common)
    _add_settings(rooms.add_parser("settings", parents=[common], help=text("cli.help.settings")))
    _add_recheck(rooms.add_parser("recheck", parents=[common], help=text("cli.help.recheck")))
    _add_ink(rooms.add_parser("ink", help=text("cli.help.ink")), common)
    _add_demo(rooms.add_parser("demo", parents=[common], help=text("cli.help.demo")))
    return top


def _add_practice(door: argparse.ArgumentParser) -> None:
    door.add_argument("--demo", action="store_true", help=text("cli.help.practice_demo"))
    _add_window(door)
    door.set_defaults(door=commands.practice)


def _add_window(door: argparse.ArgumentParser) -> None:
    door.add_argument("--fullscreen", action="store_true", help=text("cli.help.fullscreen"))
    door.add_argument("--size", metavar="WxH", help=text("cli.help.size"))
    door.add_argument("--still", action="store_true", help=text("cli.help.still"))


def _add_desk(door: argparse.ArgumentParser) -> None:
    door.add_argument("--port", metavar="N", type=int, default=0, help=text("cli.help.port"))
    door.add_argument("--no-browser", action="store_true", help=text("cli.help.no_browser"))
    door.add_argument("--demo", action="store_true", help=text("cli.help.desk_demo"))
    door.add_argument("--new-passphrase", action="store_true", help=text("cli.help.new_passphrase"))
    door.set_defaults(door=commands.desk)


def _add_summary(door: argparse.ArgumentParser) -> None:
    door.add_argument("--pupil", metavar="NAME", help=text("cli.help.summary_pupil"))
    door.add_argument("--group", metavar="G", help=text("cli.help.summary_group"))
    door.add_argument("--csv", metavar="FILE", help=text("cli.help.csv"))
    door.set_defaults(door=commands.summary)


def _add_pupil(door: argparse.ArgumentParser, common: Parser) -> None:
    does = door.add_subparsers(metavar="DOES", required=True, title=text("cli.help.does"))
    add = does.add_parser("add", parents=[common], help=text("cli.help.add"))
    add.add_argument("name", metavar="NAME", help=text("cli.help.name"))
    add.add_argument("--hand", choices=("left", "right"), help=text("cli.help.hand"))
    add.add_argument("--group", metavar="G", help=text("cli.help.group"))
    add.add_argument("--card", metavar="N", type=int, help=text("cli.help.card"))
    add.set_defaults(door=commands.add_pupil)
    listed = does.add_parser("list", parents=[common], help=text("cli.help.list"))
    listed.add_argument("--group", metavar="G", help=text("cli.help.summary_group"))
    listed.set_defaults(door=commands.list_pupils)
    remove = does.add_parser("remove", parents=[common], help=text("cli.help.remove"))
    remove.add_argument("name", metavar="NAME", help=text("cli.help.name"))
    remove.add_argument("--group", metavar="G", help=text("cli.help.group_of"))
    remove.add_argument("--yes", action="store_true", help=text("cli.help.yes"))
    remove.set_defaults(door=commands.remove_pupil)
    hand = does.add_parser("hand", parents=[common], help=text("cli.help.set_hand"))
    hand.add_argument("name", metavar="NAME", help=text("cli.help.name"))
    hand.add_argument("hand", choices=("left", "right", settingdoors.UNSETTLED), help=text("cli.help.hand"))
    hand.add_argument("--group", metavar="G", help=text("cli.help.group_of"))
    hand.set_defaults(door=settingdoors.set_hand)


def _add_settings(door: argparse.ArgumentParser) -> None:
    door.add_argument("--ink-days", metavar="N", type=int, help=text("cli.help.ink_days"))
    door.add_argument("--yes", action="store_true", help=text("cli.help.yes"))
    door.set_defaults(door=settingdoors.settings)


def _add_plan(door: argparse.ArgumentParser) -> None:
    door.add_argument("letters", metavar="LETTERS", nargs="*", help=text("cli.help.letters"))
    door.add_argument("--group", metavar="G", help=text("cli.help.plan_group"))
    door.add_argument("--clear", action="store_true", help=text("cli.help.plan_clear"))
    door.set_defaults(door=commands.plan)


def _add_alphabet(door: argparse.ArgumentParser, common: Parser) -> None:
    does = door.add_subparsers(metavar="DOES", required=True, title=text("cli.help.does"))
    check = does.add_parser("check", parents=[common], help=text("cli.help.check"))
    check.add_argument("folder", metavar="FOLDER", nargs="?", type=Path, help=text("cli.help.folder"))
    check.set_defaults(door=commands.check_alphabet)
    picture = does.add_parser("picture", parents=[common], help=text("cli.help.picture"))
    picture.add_argument("folder", metavar="FOLDER", nargs="?", type=Path, help=text("cli.help.folder"))
    picture.add_argument(
        "--out", metavar="FILE", type=Path, default=Path("alphabet.png"), help=text("cli.help.out")
    )
    picture.set_defaults(door=commands.draw_alphabet)
    copy = does.add_parser("copy", parents=[common], help=text("cli.help.copy"))
    copy.add_argument("folder", metavar="FOLDER", nargs="?", type=Path, help=text("cli.help.copy_folder"))
    copy.set_defaults(door=commands.copy_alphabet)


def _add_recheck(door: argparse.ArgumentParser) -> None:
    door.add_argument("--since", metavar="DATE", help=text("cli.help.since"))
    door.set_defaults(door=inkdoors.recheck)


def _add_ink(door: argparse.ArgumentParser, common: Parser) -> None:
    does = door.add_subparsers(metavar="DOES", required=True, title=text("cli.help.does"))
    out = does.add_parser("export", parents=[common], help=text("cli.help.ink_export"))
    out.add_argument("file", metavar="FILE", help=text("cli.help.ink_out"))
    out.add_argument("--pupil", metavar="NAME", help=text("cli.help.summary_pupil"))
    out.add_argument("--group", metavar="G", help=text("cli.help.group_of"))
    out.add_argument("--letter", metavar="L", help=text("cli.help.ink_letter"))
    out.add_argument("--since", metavar="DATE", help=text("cli.help.since"))
    out.add_argument("--names", action="store_true", help=text("cli.help.ink_names"))
    out.set_defaults(door=inkdoors.export_ink)
    into = does.add_parser("import", parents=[common], help=text("cli.help.ink_import"))
    into.add_argument("file", metavar="FILE", help=text("cli.help.ink_in"))
    into.add_argument("--pupil", metavar="NAME", required=True, help=text("cli.help.ink_pupil"))
    into.add_argument("--group", metavar="G", help=text("cli.help.group_of"))
    into.add_argument("--letter", metavar="L", help=text("cli.help.ink_label"))
    into.add_argument(
        "--step", choices=("trace", "copy", "recall"), default="copy", help=text("cli.help.ink_step")
    )
    into.set_defaults(door=inkdoors.import_ink)


def _add_demo(door: argparse.ArgumentParser) -> None:
    door.add_argument("folder", metavar="FOLDER", nargs="?", type=Path, help=text("cli.help.demo_folder"))
    door.add_argument("--practice", action="store_true", help=text("cli.help.demo_practice"))
    _add_window(door)
    door.set_defaults(door=commands.demo)


def _version() -> str:
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("letter-formation-trainer")
    except PackageNotFoundError:  # run from a source tree that was not installed
        return text("cli.help.not_installed")
