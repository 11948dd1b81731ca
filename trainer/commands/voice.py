"""`trainer voice`: what is recorded, recordings from files, a neural voice, and what was rendered."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from trainer import places
from trainer.commands.options import PATH, Location, with_location
from trainer.commands.parsing import Command, Group
from trainer.errors import AudioError, UsageError
from trainer.language import text

SHOWN = 10
"""How many of the missing are named on each shelf."""


@click.group(cls=Group, help=text("cli.help.voice"))
def voice() -> None:
    """What the practice window says, and in whose voice."""


@voice.command("list", cls=Command, help=text("cli.help.voice_list"))
@with_location
def list_(location: Location) -> int:
    """Show what is recorded, and what is missing, most used first."""
    from trainer.language import spoken
    from trainer.speech import recordings_in

    recordings = recordings_in(places.speech_folder(location.data))
    keys = recordings.keys()
    sayables = spoken.sayables([location.alphabets().of().alphabet])
    for shelf in ("sounds", "cues", "sentences"):
        on_it = [sayable for sayable in sayables if sayable.shelf == shelf]
        missing = [sayable for sayable in on_it if sayable.utterance.key not in keys]
        recorded = len(on_it) - len(missing)
        print(text("cli.voice.shelf", shelf=text(f"voice.shelf.{shelf}"), recorded=recorded, all=len(on_it)))
        for sayable in missing[:SHOWN]:
            print(f"  {', '.join(sayable.letters) if shelf == 'sounds' else sayable.utterance.text}")
        if len(missing) > SHOWN:
            print("  " + text("cli.voice.more", count=len(missing) - SHOWN))
    print(text("cli.voice.folder", folder=recordings.folder))
    return 0


@voice.command(cls=Command, help=text("cli.help.voice_add"))
@click.argument("files", type=PATH, nargs=-1, required=True, help=text("cli.help.voice_files"))
@with_location
def add(location: Location, *, files: tuple[Path, ...]) -> int:
    """Take files, or all in a folder, as recordings of what their names say."""
    from trainer.language import spoken
    from trainer.speech import recordings_in

    recordings = recordings_in(places.data_folder(location.data) / places.SPEECH)
    sayables = spoken.sayables([location.alphabets().of().alphabet])
    refused = 0
    for file in _files(files):
        utterance = spoken.by_file_name(file.stem, sayables)
        try:
            sound = recordings.keep_file(utterance, file)
        except AudioError as error:
            print(f"{file}: {error}")
            refused += 1
        else:
            print(text("cli.voice.taken", file=file, what=utterance.text, seconds=f"{sound.seconds:.1f}"))
    return 1 if refused else 0


@voice.command(cls=Command, help=text("cli.help.voice_use"))
@click.argument("file", type=PATH, required=False, help=text("cli.help.voice_use_file"))
@with_location
def use(location: Location, *, file: Path | None) -> int:
    """Let a neural voice say what is not recorded; without a file, espeak-ng again."""
    if file is not None and not (file.suffix == ".onnx" and file.is_file()):
        raise UsageError(f"{file} must be a voice file of piper, NAME.onnx, with NAME.onnx.json beside it")
    if file is not None and not Path(f"{file}.json").is_file():
        raise UsageError(f"{file}.json must lie beside the voice file, and is not there")
    with location.open_record() as record:
        record.settings.set("voice_file", str(file.absolute()) if file is not None else "")
    print(text("cli.voice.neural", file=file) if file is not None else text("cli.voice.built_in"))
    return 0


@voice.command(cls=Command, help=text("cli.help.voice_clear"))
@with_location
def clear(location: Location) -> int:
    """Erase what engines have rendered; recordings stay."""
    from trainer.speech import erase_rendered

    print(text("cli.voice.cleared", count=erase_rendered(places.speech_folder(location.data))))
    return 0


def _files(chosen: tuple[Path, ...]) -> Iterator[Path]:
    """Each file, and of each folder the sound files in it."""
    from trainer.speech import ENDINGS

    for path in chosen:
        if path.is_dir():
            found = sorted(file for file in path.iterdir() if file.suffix.lower() in ENDINGS)
            if not found:
                raise UsageError(f"{path} must hold WAV, Ogg or FLAC files, and has none")
            yield from found
        else:
            yield path
