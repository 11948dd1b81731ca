"""A bar on the terminal for work that takes a while."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    ProgressColumn,
    TaskProgressColumn,
    TextColumn,
    TimeRemainingColumn,
)


@contextmanager
def bar(what: str, total: int, *, stays: bool = True) -> Iterator[Callable[[int], None]]:
    """Show a bar on the error side; the function it gives is told how many more are done.

    Where nobody watches, as in a pipe, only the end is written; nothing of one that does not stay.
    """
    with _shown(MofNCompleteColumn(), stays=stays) as shown:
        task = shown.add_task(what, total=total)
        yield lambda done: shown.advance(task, done)


@contextmanager
def share_bar(what: str) -> Iterator[Callable[[int, int], None]]:
    """Show a bar that goes again; the function it gives is told how much is done, and of how much.

    Work in several parts may begin anew with each; what is counted means nothing to who watches.
    """
    with _shown(TaskProgressColumn(), stays=False) as shown:
        task = shown.add_task(what, total=None)
        yield lambda done, total: shown.update(task, completed=done, total=total)


def _shown(column: ProgressColumn, *, stays: bool) -> Progress:
    columns = (TextColumn("{task.description}"), BarColumn(), column, TimeRemainingColumn())
    console = Console(stderr=True)
    unseen = not stays and not console.is_terminal
    return Progress(*columns, console=console, transient=not stays, disable=unseen)
