"""Where what is to be said may be found: engines with their caches; each behind the same small protocol."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path
from typing import Protocol

from trainer.speech.cache import Cache
from trainer.speech.lone_sounds import NOTATION, say_alone
from trainer.speech.sound import Sound, leveled, resampled, trimmed
from trainer.speech.utterance import Utterance
from trainer.speech.worker import Worker

HERE = Path(__file__).parent

MADE_AS = 2
"""Raise it when the same engine's sounds are made otherwise, so that older files are not taken."""


class Source(Protocol):
    """One of the places in which a voice looks, in its order; the first that has an utterance says it."""

    def has(self, utterance: Utterance) -> bool:
        """Whether it is worth asking for; at once."""

    def ready(self, utterance: Utterance) -> Sound | None:
        """The sound, if it is at hand; within a few milliseconds."""

    def make(self, utterance: Utterance) -> Sound | None:
        """The sound, however long that takes; None where it cannot be had after all."""

    def close(self) -> None:
        """Nothing is asked of it any more."""


class Engine:
    """A speech engine in a process of its own, and what it has rendered before.

    `sounds` tells whether it can say lone sounds; one that cannot leaves them to the next source.
    """

    def __init__(self, worker: Worker, cache: Cache, *, sounds: bool) -> None:
        self.worker = worker
        self.cache = cache
        self.sounds = sounds

    def has(self, utterance: Utterance) -> bool:
        """Words, and the sounds whose phonemes are known."""
        if utterance.kind == "words":
            return bool(utterance.text.strip())
        return self.sounds and bool(utterance.phonemes) and set(utterance.phonemes) <= NOTATION.keys()

    def ready(self, utterance: Utterance) -> Sound | None:
        """From the cache."""
        return self.cache.get(utterance)

    def make(self, utterance: Utterance) -> Sound | None:
        """From the engine, and into the cache."""
        if not self.worker.usable:
            return None
        if utterance.kind == "sound":
            raw = say_alone(self.worker, utterance.phonemes)
        else:
            raw = self.worker.ask(utterance.text.replace("[[", "").replace("]]", ""))
        heard = leveled(trimmed(resampled(raw))) if raw is not None else None
        if heard is None or not len(heard.samples):
            return None
        self.cache.put(utterance, heard)
        return heard

    def close(self) -> None:
        """End its process."""
        self.worker.close()


def espeak(cache_folder: Path) -> Engine | None:
    """espeak-ng from the package `espeakng-loader`; None where that is not installed."""
    if find_spec("espeakng_loader") is None:
        return None
    cache = Cache(cache_folder, f"espeak-ng {MADE_AS}")
    return Engine(Worker(HERE / "espeak_worker.py"), cache, sounds=True)


def neural(voice_file: Path, cache_folder: Path) -> Engine | None:
    """A voice of piper-tts; None where the package or the file is not there.

    Lone sounds come out clipped from such voices, so they are left to the next source.
    """
    if find_spec("piper") is None or not voice_file.is_file():
        return None
    state = voice_file.stat()
    cache = Cache(cache_folder, f"piper {MADE_AS} {voice_file} {state.st_size} {state.st_mtime_ns}")
    return Engine(Worker(HERE / "piper_worker.py", [str(voice_file)]), cache, sounds=False)
