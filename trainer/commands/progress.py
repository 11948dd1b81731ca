"""A bar on the terminal for work that takes a while."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn


@contextmanager
def bar(what: str, total: int, *, stays: bool = True) -> Iterator[Callable[[int], None]]:
    """Show a bar on the error side; the function it gives is told how many more are done.

    Where nobody watches, as in a pipe, only the end is written; nothing of one that does not stay.
    """
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    console = Console(stderr=True)
    unseen = not stays and not console.is_terminal
    with Progress(*columns, console=console, transient=not stays, disable=unseen) as shown:
        task = shown.add_task(what, total=total)
        yield lambda done: shown.advance(task, done)
