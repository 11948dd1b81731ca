"""Made-up sounds, as samples and as files."""

from __future__ import annotations

import io

import numpy as np
import soundfile

from trainer.speech.sound import RATE, Sound


def tone(seconds: float, *, hertz: float = 200.0, amplitude: float = 0.3, rate: int = RATE) -> Sound:
    return Sound(amplitude * np.sin(2 * np.pi * hertz * np.arange(round(seconds * rate)) / rate), rate)


def with_silence(sound: Sound, before: float, after: float, *, noise: float = 0.0) -> Sound:
    silent = [np.zeros(round(seconds * sound.rate)) for seconds in (before, after)]
    samples = np.concatenate([silent[0], sound.samples, silent[1]])
    return Sound(samples + noise * np.random.default_rng(1).standard_normal(len(samples)), sound.rate)


def written(samples: np.ndarray, *, rate: int = 48_000, kind: str = "WAV", subtype: str = "PCM_16") -> bytes:
    content = io.BytesIO()
    soundfile.write(content, samples, rate, format=kind, subtype=subtype)
    return content.getvalue()


def said(seconds: float = 0.4, *, rate: int = 48_000, amplitude: float = 0.3) -> np.ndarray:
    """A tone with silence around it, as somebody who presses a button early and late."""
    return with_silence(tone(seconds, rate=rate, amplitude=amplitude), 0.6, 0.4, noise=0.0001).samples
