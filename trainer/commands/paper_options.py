"""Options of the commands that write a PDF, and what is said when it is written."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from trainer.commands.options import PATH
from trainer.errors import UsageError
from trainer.language import text

if TYPE_CHECKING:
    from trainer.paper import Document

Function = TypeVar("Function", bound=Callable[..., Any])

PAPERS = ("a4", "letter")


def paper_options(command: Function) -> Function:
    """Let a command take --paper and --out."""
    for option in (
        click.option("--out", metavar="FILE", type=PATH, help=text("cli.help.pdf_out")),
        click.option(
            "--paper", type=click.Choice(PAPERS), default=PAPERS[0], help=text("cli.help.pdf_paper")
        ),
    ):
        command = option(command)
    return command


def pdf_file(out: Path | None, otherwise: str) -> Path:
    """The file to write. Raises UsageError for one that is no PDF."""
    if out is not None and out.suffix.lower() != ".pdf":
        raise UsageError(f"--out must be a PDF file, such as {otherwise}, not {str(out)!r}")
    return out or Path(otherwise)


def save(document: Document, file: Path) -> None:
    """Write a document, and say what of a name it could not print."""
    document.save(file)
    if document.unprintable:
        print(text("paper.unprintable", letters=" ".join(document.unprintable)), file=sys.stderr)
    print(text("cli.paper.written", file=file, pages=document.pages_count))
