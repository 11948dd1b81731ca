"""What the commands that write a PDF share: the paper, the file, and what is said when it is written."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from trainer.errors import UsageError
from trainer.language import text

if TYPE_CHECKING:
    from trainer.paper import Document

Function = TypeVar("Function", bound=Callable[..., Any])

PAPERS = ("a4", "letter")


def paper_option(command: Function) -> Function:
    """Let a command take --paper."""
    return click.option(
        "--paper", type=click.Choice(PAPERS), default=PAPERS[0], help=text("cli.help.pdf_paper")
    )(command)


def pdf_file(out: Path | None, otherwise: str, *, option: str = "--out") -> Path:
    """The file to write. Raises UsageError for one that is no PDF."""
    if out is not None and out.suffix.lower() != ".pdf":
        raise UsageError(f"{option} must be a PDF file, such as {otherwise}, not {str(out)!r}")
    return out or Path(otherwise)


def save(document: Document, file: Path) -> None:
    """Write a document, and say what it could not print."""
    document.save(file)
    say_unprintable(document.unprintable)
    print(text("cli.paper.written", file=file, pages=document.pages_count))


def say_unprintable(letters: Iterable[str]) -> None:
    """Say on the error side which letters of names the typeface does not have, where there are some."""
    if missing := " ".join(letters):
        print(text("paper.unprintable", letters=missing), file=sys.stderr)
