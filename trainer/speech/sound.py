"""Sampled sound: trimmed, leveled, and drawn out; and read from and written to files of our own."""

from __future__ import annotations

import io
import wave
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

RATE = 22_050
"""Samples a second of everything that is played: what espeak-ng gives; speech has little above 11 kHz."""

LOUD = -20.0
"""Level of everything that is said, in dB below full scale, as root mean square: all sources alike."""
CEILING = -1.0
"""The peak may come up to this, in dB: a sound that has a higher one stays a little quieter."""
QUIET = 40.0
"""Decibels below the peak at which a recording counts as silence at its ends."""

BLOCK = 0.01
"""Seconds over which loudness is measured."""
EDGE = 0.01
"""Seconds over which a sound that was cut sets in and dies away: without it, it clicks."""


@dataclass(frozen=True, eq=False)
class Sound:
    """Samples of one channel, (n,) float64 from -1 to 1, `rate` of them a second."""

    samples: NDArray[np.float64]
    rate: int = RATE

    @property
    def seconds(self) -> float:
        """How long it is."""
        return len(self.samples) / self.rate

    @property
    def pcm(self) -> bytes:
        """The samples as 16-bit numbers of this machine."""
        return np.rint(np.clip(self.samples, -1.0, 1.0) * 32767).astype(np.int16).tobytes()

    @classmethod
    def of_pcm(cls, pcm: bytes, rate: int = RATE) -> Sound:
        """A sound from 16-bit numbers of this machine; half a number at the end is left away."""
        return cls(np.frombuffer(pcm[: len(pcm) // 2 * 2], np.int16) / 32768, rate)

    def wav(self) -> bytes:
        """The sound as a WAV file."""
        content = io.BytesIO()
        with wave.open(content, "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(self.rate)
            file.writeframes(np.frombuffer(self.pcm, np.int16).astype("<i2").tobytes())
        return content.getvalue()

    @classmethod
    def of_wav(cls, content: bytes) -> Sound:
        """A WAV file that `wav` wrote. Raises wave.Error or EOFError for any other content."""
        with wave.open(io.BytesIO(content), "rb") as file:
            if (file.getnchannels(), file.getsampwidth(), file.getframerate()) != (1, 2, RATE):
                raise wave.Error("written by something else")
            frames = file.readframes(file.getnframes())
            if len(frames) != 2 * file.getnframes() or not frames:
                raise wave.Error("cut off")
        return cls(np.frombuffer(frames, "<i2") / 32768)


def resampled(sound: Sound) -> Sound:
    """The sound with RATE samples a second."""
    if sound.rate == RATE or not len(sound.samples):
        return Sound(sound.samples)
    from math import gcd

    from scipy.signal import resample_poly

    common = gcd(RATE, sound.rate)
    return Sound(np.asarray(resample_poly(sound.samples, RATE // common, sound.rate // common), np.float64))


def decibels(amplitude: float) -> float:
    """An amplitude from 0 to 1 in dB below full scale; minus infinity for none."""
    return 20 * float(np.log10(amplitude)) if amplitude > 0 else float("-inf")


def loudness(sound: Sound) -> NDArray[np.float64]:
    """Root mean square of each block of BLOCK seconds; the samples after the last whole one are left away."""
    size = max(1, round(BLOCK * sound.rate))
    whole = sound.samples[: len(sound.samples) // size * size].reshape(-1, size)
    rms: NDArray[np.float64] = np.sqrt((whole**2).mean(axis=1))
    return rms


def trimmed(sound: Sound) -> Sound:
    """Without the silence at its ends: what lies QUIET below the loudest block. A silent one is empty."""
    heard = loudness(sound)
    if not len(heard) or not heard.max():
        return Sound(sound.samples[:0], sound.rate)
    (loud,) = np.nonzero(heard > heard.max() * 10 ** (-QUIET / 20))
    size = max(1, round(BLOCK * sound.rate))
    return Sound(sound.samples[int(loud[0]) * size : (int(loud[-1]) + 1) * size], sound.rate)


def leveled(sound: Sound) -> Sound:
    """As loud as everything else that is said; silence stays silent."""
    rms = float(np.sqrt((sound.samples**2).mean())) if len(sound.samples) else 0.0
    if not rms:
        return sound
    peak = float(np.abs(sound.samples).max())
    factor = min(10 ** (LOUD / 20) / rms, 10 ** (CEILING / 20) / peak)
    return Sound(sound.samples * factor, sound.rate)


def faded(sound: Sound) -> Sound:
    """With a soft beginning and end."""
    count = min(round(EDGE * sound.rate), len(sound.samples) // 2)
    samples = sound.samples.copy()
    slope = np.linspace(0.0, 1.0, count, endpoint=False)
    samples[:count] *= slope
    samples[len(samples) - count :] *= slope[::-1]
    return Sound(samples, sound.rate)


def held(sound: Sound, seconds: float, *, within: float = float("inf")) -> Sound:
    """A steady sound drawn out to this length: its even middle goes on, piece set to piece where they fit.

    `within` is how much of the middle is used at most, in seconds: a voice that falls would go up and down.

    Waveform-similarity overlap-add (Verhelst & Roelands 1993; from memory): each next piece begins where the
    signal goes on most like what is there already, so that the pitch of a voiced sound stays whole.
    """
    size = round(0.025 * sound.rate)
    middle = _even_middle(sound)
    spare = max(0, len(middle) - max(round(min(within, sound.seconds) * sound.rate), 3 * size))
    middle = middle[spare // 2 : len(middle) - (spare - spare // 2)]
    if len(middle) < 3 * size:
        middle = np.tile(np.concatenate([middle, middle[::-1]]), 1 + 3 * size // (2 * len(middle)))
    wanted = round(seconds * sound.rate)
    slope = 0.5 - 0.5 * np.cos(np.pi * (np.arange(size) + 0.5) / size)
    out = np.zeros(wanted + 3 * size)
    out[: 2 * size] = middle[: 2 * size]
    written, place, stride = 2 * size, 0, len(middle) // 3
    while written < wanted + size:
        tail = out[written - size : written]
        place = (place + stride) % (len(middle) - 3 * size + 1)
        starts = np.lib.stride_tricks.sliding_window_view(middle[place : place + 2 * size], size)
        norms = np.sqrt((starts**2).sum(axis=1)) + 1e-9
        start = place + int(np.argmax((starts @ tail) / norms))
        piece = middle[start : start + 2 * size]
        out[written - size : written] = tail * (1 - slope) + piece[:size] * slope
        rest = piece[size:]
        out[written : written + len(rest)] = rest
        written += len(rest)
    return Sound(out[:wanted], sound.rate)


def _even_middle(sound: Sound) -> NDArray[np.float64]:
    """The longest run of blocks that are nearly as loud as the loudest, all made equally loud."""
    heard = loudness(sound)
    size = max(1, round(BLOCK * sound.rate))
    loud = heard > 0.4 * heard.max()
    edges = np.flatnonzero(np.diff(np.concatenate([[False], loud, [False]]).astype(int)))
    runs = edges.reshape(-1, 2)
    first, last = runs[int(np.argmax(runs[:, 1] - runs[:, 0]))]
    samples = sound.samples[first * size : last * size]
    centers = (np.arange(first, last) - first + 0.5) * size
    envelope = np.interp(np.arange(len(samples)), centers, heard[first:last])
    return samples / envelope * float(heard[first:last].mean())
