"""Lone sounds as espeak-ng makes them are pure: held or short, voiced or not, and no vowel is added."""

from __future__ import annotations

import platform
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from strokes.alphabet import Alphabet
from strokes.files import SHIPPED
from strokes.letter import set_of
from tests.cases import for_each
from trainer.language import spoken
from trainer.speech import lone_sound
from trainer.speech.cache import Cache
from trainer.speech.lone_sounds import HELD, NOTATION
from trainer.speech.sound import LOUD, Sound, decibels, trimmed
from trainer.speech.sources import HERE, Engine
from trainer.speech.worker import Worker
from trainer.wordbank import PHONEMES

pytestmark = pytest.mark.skipif(
    find_spec("espeakng_loader") is None, reason=f"espeak-ng has no wheel for {platform.machine()}"
)

STOPS = ("B", "D", "G", "K", "P", "T")
SHORT = (*STOPS, "CH", "JH", "HH")
VOICELESS_HELD = ("S", "F", "SH", "TH")
VOICED_HELD = ("M", "N", "L", "R", "V", "Z")
ADDED = 0.07
"""Seconds of voice that are too many for a stop alone."""
PITCH = (60.0, 250.0)
"""Hertz between which a grown-up's voice lies; common practice, no source."""


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    """An engine that has said nothing yet: what it says depends a little on what it said before."""
    worker = Worker(HERE / "espeak_worker.py")
    yield Engine(worker, Cache(tmp_path, "test"), sounds=True)
    worker.close()


def made(engine: Engine, *phonemes: str) -> Sound:
    utterance = lone_sound(*phonemes)
    heard = engine.ready(utterance) or engine.make(utterance)
    assert heard is not None
    return heard


def crossings(heard: Sound) -> float:
    """Changes of sign, as a share of the samples: high for a hiss, low for a hum."""
    return float((np.diff(np.sign(heard.samples)) != 0).mean())


def voicing(samples: np.ndarray, rate: int) -> float:
    """How much a piece of sound repeats itself at the pitch of a voice, from 0 to 1."""
    samples = samples - samples.mean()
    power = float((samples**2).sum())
    if not power:
        return 0.0
    shifts = range(round(rate / PITCH[1]), round(rate / PITCH[0]))
    best = 0.0
    for shift in shifts:
        early, late = samples[:-shift], samples[shift:]
        best = max(best, float((early * late).sum() / np.sqrt((early**2).sum() * (late**2).sum())))
    return best


def voiced_seconds(heard: Sound) -> float:
    """For how long a voice is heard, at half its loudness or more: a vowel after a stop is just that."""
    size, step = round(0.05 * heard.rate), round(0.01 * heard.rate)
    padded = np.concatenate([np.zeros(size // 2), heard.samples, np.zeros(size // 2)])
    windows = np.lib.stride_tricks.sliding_window_view(padded, size)[::step]
    loud = np.sqrt((windows**2).mean(axis=1))
    return 0.01 * sum(
        voicing(window, heard.rate) > 0.6
        for window, level in zip(windows, loud, strict=True)
        if level > loud.max() / 2
    )


def test_each_phoneme_of_the_word_bank_has_its_notation() -> None:
    assert NOTATION.keys() == PHONEMES.keys()


@pytest.mark.parametrize("name", [path.name for path in SHIPPED.iterdir() if path.is_dir()])
def test_each_plain_letter_of_a_shipped_alphabet_has_a_sound_of_known_phonemes(name: str) -> None:
    """Those of other languages have none: which sound they stand for is for the teacher to record."""
    without = set()
    for letter in Alphabet.load(SHIPPED / name).letters:
        said = spoken.sound_of(letter.name)
        if set_of(letter.name) == "digit":
            assert said is None
        else:
            assert said is not None
            if not set(said.phonemes) <= PHONEMES.keys():
                without.add(letter.name.lower())

    assert not {letter for letter in without if letter.isascii()}


@for_each("name", SHORT)
def test_a_stop_is_shorter_than_150_ms(engine: Engine, name: str) -> None:
    assert 0.02 <= made(engine, name).seconds < 0.15


@pytest.mark.parametrize("name", STOPS)
def test_no_vowel_follows_a_stop(engine: Engine, name: str) -> None:
    """The murmur in a b lasts 50 ms; with the shortest vowel that the engine has a voice is heard for 90."""
    assert voiced_seconds(made(engine, name)) < ADDED


@pytest.mark.parametrize("notation", ["b@-", "b@", "d@", "k@", "pV"])
def test_an_added_vowel_would_be_noticed(engine: Engine, notation: str) -> None:
    """What the test above measures tells a b from a buh."""
    heard = engine.worker.ask(f"[[{notation}]]")

    assert heard is not None
    assert voiced_seconds(trimmed(heard)) > ADDED


@for_each("name", [*VOICELESS_HELD, *VOICED_HELD])
def test_a_sound_that_can_be_held_is_held_and_steady(engine: Engine, name: str) -> None:
    heard = made(engine, name)
    size = round(0.03 * heard.rate)  # two periods of a low voice, so that its pulses even out
    blocks = heard.samples[: len(heard.samples) // size * size].reshape(-1, size)
    levels = [decibels(float(np.sqrt((block**2).mean()))) for block in blocks[1:-1]]

    assert heard.seconds == pytest.approx(HELD, abs=0.02)
    assert max(levels) - min(levels) < 4.0


@pytest.mark.parametrize("name", VOICELESS_HELD)
def test_a_hiss_has_no_voice_and_its_power_lies_high(engine: Engine, name: str) -> None:
    heard = made(engine, name)
    power = np.abs(np.fft.rfft(heard.samples)) ** 2
    high = np.fft.rfftfreq(len(heard.samples), 1 / heard.rate) > 1500

    assert crossings(heard) > 0.3
    assert voicing(heard.samples[4000:6000], heard.rate) < 0.5
    assert power[high].sum() > 0.8 * power.sum()


@pytest.mark.parametrize("name", ["M", "N", "L", "R"])
def test_a_hum_has_a_voice_and_its_power_lies_low(engine: Engine, name: str) -> None:
    heard = made(engine, name)
    power = np.abs(np.fft.rfft(heard.samples)) ** 2
    low = np.fft.rfftfreq(len(heard.samples), 1 / heard.rate) < 2000

    assert crossings(heard) < 0.15
    assert voicing(heard.samples[4000:6000], heard.rate) > 0.7
    assert power[low].sum() > 0.8 * power.sum()


@for_each("name", sorted(PHONEMES))
def test_every_sound_is_as_loud_as_all_that_is_said(engine: Engine, name: str) -> None:
    heard = made(engine, name)
    level = decibels(float(np.sqrt((heard.samples**2).mean())))

    assert LOUD - 3 <= level <= LOUD + 0.1
    assert np.abs(heard.samples).max() < 1.0


def test_a_sound_of_two_phonemes_is_one_after_the_other_with_nothing_between(engine: Engine) -> None:
    x, k, s = made(engine, "K", "S"), made(engine, "K"), made(engine, "S")

    assert x.seconds == pytest.approx(k.seconds + s.seconds, abs=0.02)


def test_a_sound_that_nobody_has_written_down_is_left_to_a_recording(engine: Engine) -> None:
    assert not engine.has(lone_sound("ø"))
    assert engine.make(lone_sound("ø")) is None
