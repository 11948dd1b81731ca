"""`trainer alphabet`: the letter files are checked, drawn and copied."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from trainer import places
from trainer.commands.options import PATH, Location, warn, with_location
from trainer.commands.parsing import Group
from trainer.errors import UsageError
from trainer.language import text


@click.group(cls=Group, help=text("cli.help.alphabet"))
def alphabet() -> None:
    """All that is done with an alphabet."""


@alphabet.command("check", help=text("cli.help.check"))
@click.argument("folder", type=PATH, required=False, help=text("cli.help.folder"))
@with_location
def check(location: Location, *, folder: Path | None) -> int:
    """Print the faults of an alphabet's files, a line each: of the one named, or of all the teacher's own."""
    from strokes.alphabet import Alphabet
    from strokes.files import faults
    from trainer.teaching import SHIPPED_NAMES, Alphabets

    folders = [named] if (named := folder or location.alphabet) else []
    if not folders:
        every = Alphabets(places.own_letters(location.data)).all()
        folders = [folder for name, folder in every.items() if name not in SHIPPED_NAMES] or [*every.values()]
    any_found = False
    for folder in folders:
        found = faults(folder)
        any_found = any_found or bool(found)
        for fault in found:
            print(fault)
        if not found:
            print(text("cli.alphabet.good", letters=len(Alphabet.load(folder)), folder=folder))
    return 1 if any_found else 0


@alphabet.command("picture", help=text("cli.help.picture"))
@click.argument("folder", type=PATH, required=False, help=text("cli.help.folder"))
@click.option("--out", metavar="FILE", type=PATH, default=Path("alphabet.png"), help=text("cli.help.out"))
@with_location
def draw(location: Location, *, folder: Path | None, out: Path) -> int:
    """Draw an alphabet into a picture."""
    from trainer.drawing.raster import picture

    if out.suffix.lower() != ".png":
        raise UsageError(f"--out must be a PNG file, such as alphabet.png, not {str(out)!r}")
    alphabets = replace(location, alphabet=folder or location.alphabet).alphabets()
    picture.draw(alphabets.of().alphabet, out)
    warn(alphabets, [None])
    print(text("cli.alphabet.drawn", file=out))
    return 0


@alphabet.command("copy", help=text("cli.help.copy"))
@click.argument("folder", type=PATH, required=False, help=text("cli.help.copy_folder"))
@click.option("--style", metavar="NAME", default="print", help=text("cli.help.style"))
@with_location
def copy(location: Location, *, folder: Path | None, style: str) -> int:
    """Copy a shipped alphabet to where a teacher may change it."""
    from trainer.teaching import SHIPPED_NAMES, copy_shipped

    if style not in SHIPPED_NAMES:
        raise UsageError(f"--style must be {' or '.join(SHIPPED_NAMES)}, not {style!r}")

    folder = folder or places.own_letters(location.data)
    copy_shipped(folder, style)
    print(text("cli.alphabet.copied", folder=folder))
    return 0
