"""Recordings from strangers: WAV, Ogg and FLAC files, bounded; one channel at the rate that is played."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from trainer.errors import AudioError
from trainer.speech.sound import RATE, Sound, decibels, faded, leveled, resampled, trimmed

if TYPE_CHECKING:
    import soundfile

LARGEST = 8 * 2**20
"""Bytes of one file: LONGEST seconds as the best microphones of schools write them."""
LONGEST = 20.0
"""Seconds of one recording, with the silence at its ends."""
SHORTEST = 0.02
"""Seconds that must be left between the ends: less is a click."""
FAINTEST = -55.0
"""Peak, in dB below full scale, under which nothing was said: a quiet room's noise lies lower."""
RATES = (8_000, 192_000)
MOST_CHANNELS = 8

_FORMATS = {b"RIFF": "WAV", b"OggS": "OGG", b"fLaC": "FLAC"}
_FULL = 4.0
"""Amplitude that no recording reaches: floating-point files may hold any number."""


def read_recording(content: bytes) -> Sound:
    """What is said in a file: trimmed and leveled. Raises AudioError, one sentence without the name."""
    return leveled(faded(_spoken(_samples(content))))


def format_of(content: bytes) -> str:
    """The format, as the ending of a file's name; empty for any other than the three."""
    return _FORMATS.get(content[:4], "").lower()


def _samples(content: bytes) -> Sound:
    import soundfile  # with the library that it loads

    if len(content) > LARGEST:
        size = f"{len(content) / 2**20:.1f}"
        raise AudioError(f"a recording must have at most {LARGEST // 2**20} MB, and this has {size}")
    if not format_of(content):
        raise AudioError("a recording must be a WAV, Ogg or FLAC file, and this is none")
    try:
        with soundfile.SoundFile(io.BytesIO(content)) as file:
            if not RATES[0] <= file.samplerate <= RATES[1] or not 1 <= file.channels <= MOST_CHANNELS:
                raise AudioError(
                    f"a recording must have {RATES[0]} to {RATES[1]} samples a second and at most "
                    f"{MOST_CHANNELS} channels, not {file.samplerate} and {file.channels}"
                )
            most = int(LONGEST * file.samplerate)
            # Not by the header: it may say anything. One sample more tells that there is too much.
            blocks = list(_blocks(file, most + 1))
            rate = file.samplerate
    except soundfile.SoundFileError as error:
        raise AudioError("a recording must be a whole WAV, Ogg or FLAC file, and this is damaged") from error
    samples = np.concatenate(blocks) if blocks else np.zeros((0, 1))
    if len(samples) > most:
        raise AudioError(f"a recording must be at most {LONGEST:.0f} seconds long, and this is longer")
    if not np.isfinite(samples).all() or np.abs(samples).max(initial=0.0) > _FULL:
        raise AudioError("a recording must be a whole WAV, Ogg or FLAC file, and this is damaged")
    return Sound(samples.mean(axis=1), rate)


def _blocks(file: soundfile.SoundFile, most: int) -> Iterator[NDArray[np.float64]]:
    got = 0
    while got < most:
        block = file.read(min(65_536, most - got), dtype="float64", always_2d=True)
        if not len(block):
            return
        got += len(block)
        yield block


def _spoken(sound: Sound) -> Sound:
    """From the first thing heard to the last; what is no sound is refused."""
    if decibels(float(np.abs(sound.samples).max(initial=0.0))) < FAINTEST:
        raise AudioError("something must be heard in a recording, and this is silent")
    level = sound.samples - sound.samples.mean()  # a cheap microphone's offset is no sound
    spoken = trimmed(resampled(Sound(level, sound.rate)))
    if spoken.seconds < SHORTEST:
        raise AudioError(f"a recording must be at least {SHORTEST:g} seconds long, and this is shorter")
    assert spoken.rate == RATE
    return spoken
