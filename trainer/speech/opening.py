"""A voice for a data folder: its sources in their order, none of them loaded before something is said."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.speech.voice import Silence, Voice

if TYPE_CHECKING:
    from trainer.speech.recordings import Recordings
    from trainer.speech.sources import Source
    from trainer.speech.speaker import Output

CACHE = "cache"
"""The folder of what engines rendered, within a speech folder."""


ENDINGS = (".wav", ".ogg", ".oga", ".opus", ".flac")
"""What the names of recordings end in. What is in them is found out by reading."""


@dataclass(frozen=True, kw_only=True)
class Voicing:
    """How things are said: `folder` is that of recordings and cache, `neural` the file of a piper voice."""

    folder: Path
    sound: bool = True
    volume: float = 1.0
    neural: Path | None = None


def open_voice(voicing: Voicing) -> Voice:
    """The voice; nothing is loaded or opened yet."""
    if not voicing.sound:
        return Silence()
    from trainer.speech.speaker import Speaker

    return Speaker(lambda: _sources(voicing), _mixer, volume=voicing.volume)


def engines(voicing: Voicing) -> list[str]:
    """Which engines can speak on this machine, in the order in which they are asked: neural, espeak."""
    from trainer.speech import sources

    cache = voicing.folder / CACHE
    has_neural = voicing.neural is not None and sources.neural(voicing.neural, cache) is not None
    named = {"neural": has_neural, "espeak": sources.espeak(cache) is not None}
    return [name for name, there in named.items() if there]


def recordings_in(folder: Path) -> Recordings:
    """The teacher's recordings in a speech folder."""
    from trainer.speech.recordings import Recordings

    return Recordings(folder)


def erase_rendered(folder: Path) -> int:
    """Erase what engines rendered into a speech folder; gives the number of files."""
    from trainer.speech.cache import erase

    return erase(folder / CACHE)


def _sources(voicing: Voicing) -> list[Source]:
    from trainer.speech import sources

    cache = voicing.folder / CACHE
    engines = [sources.neural(voicing.neural, cache) if voicing.neural else None, sources.espeak(cache)]
    return [recordings_in(voicing.folder), *(engine for engine in engines if engine is not None)]


def _mixer() -> Output:
    from trainer.speech.output import Mixer

    return Mixer()
