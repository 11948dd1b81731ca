"""How a command line is read: click's commands, stricter and plainer where click is lenient or brief."""

from __future__ import annotations

import re
from itertools import pairwise

import click


class Command(click.Command):
    """A command whose help is never cut short, and whose options do not take the next option for a value."""

    def get_short_help_str(self, limit: int = 0) -> str:  # noqa: ARG002  (click cuts the text there)
        """The help of the command, whole."""
        return self.help or ""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read the words of the line. `--csv --group Quay` lacks a file; it does not name one `--group`."""
        if not ctx.resilient_parsing:
            self._refuse_missing_values(ctx, args)
        return super().parse_args(ctx, args)

    def _refuse_missing_values(self, context: click.Context, words: list[str]) -> None:
        options = [option for option in self.params if isinstance(option, click.Option)]
        takes_value = {name for option in options if not option.is_flag for name in option.opts}
        before_dashes = words[: words.index("--")] if "--" in words else words
        for name, value in pairwise(before_dashes):
            if name in takes_value and re.match(r"-\D", value):  # -3 is a number, and - is the screen
                raise click.BadOptionUsage(name, f"Option {name!r} requires an argument.", context)


class Group(Command, click.Group):
    """A command that is followed by another, one of its own; the help lists them as they were added."""

    command_class = Command

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002  (click's signature)
        """The names of its commands."""
        return list(self.commands)

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read the words of the line, of which there must be some unless the group does something alone."""
        if not args and not self.invoke_without_command:
            self._refuse(ctx, "nothing")
        return super().parse_args(ctx, args)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command of that name."""
        if args[0] not in self.commands:
            self._refuse(ctx, repr(args[0]))
        return super().resolve_command(ctx, args)

    def _refuse(self, context: click.Context, typed: str) -> None:
        if not context.resilient_parsing:
            context.fail(f"must be followed by one of {', '.join(self.commands)}, not {typed}")
