"""Sampled sound: trimmed, leveled, drawn out, written and read."""

from __future__ import annotations

import wave

import numpy as np
import pytest

from tests.sounds import tone, with_silence
from trainer.speech.sound import LOUD, RATE, Sound, decibels, faded, held, leveled, resampled, trimmed


def test_silence_at_the_ends_is_trimmed_at_40_db_below_the_peak() -> None:
    heard = trimmed(with_silence(tone(0.3), 0.5, 0.7, noise=0.001))

    assert heard.seconds == pytest.approx(0.3, abs=0.021)


def test_a_pause_in_the_middle_stays() -> None:
    word = tone(0.2)
    both = Sound(np.concatenate([word.samples, np.zeros(RATE // 2), word.samples]))

    assert trimmed(both).seconds == pytest.approx(both.seconds, abs=0.02)


@pytest.mark.parametrize("samples", [np.zeros(0), np.zeros(1), np.zeros(RATE)])
def test_silence_trims_to_nothing_and_is_not_leveled(samples: np.ndarray) -> None:
    assert len(trimmed(Sound(samples)).samples) == 0
    assert not leveled(Sound(samples)).samples.any()


@pytest.mark.parametrize("amplitude", [0.001, 0.3, 1.0])
def test_every_sound_comes_to_one_level(amplitude: float) -> None:
    heard = leveled(tone(0.5, amplitude=amplitude))

    assert decibels(float(np.sqrt((heard.samples**2).mean()))) == pytest.approx(LOUD, abs=0.01)


def test_a_sound_with_a_sharp_peak_stays_below_full_scale() -> None:
    click = Sound(np.concatenate([np.zeros(RATE), [0.9], np.zeros(RATE)]))

    assert np.abs(leveled(click).samples).max() < 1.0


def test_a_steady_sound_is_drawn_out_without_a_break_or_another_pitch() -> None:
    long = held(tone(0.15), 1.0)
    step = np.abs(np.diff(long.samples)).max()

    assert long.seconds == pytest.approx(1.0, abs=0.001)
    assert step < 2 * np.abs(np.diff(tone(0.15).samples)).max(), "no click"
    spectrum = np.abs(np.fft.rfft(long.samples))
    assert np.argmax(spectrum) == pytest.approx(200, abs=3)


@pytest.mark.parametrize("seconds", [0.011, 0.03, 0.08])
def test_a_very_short_sound_can_be_held_too(seconds: float) -> None:
    long = held(tone(seconds), 0.5)

    assert long.seconds == pytest.approx(0.5, abs=0.001)
    assert np.isfinite(long.samples).all()


def test_a_soft_beginning_and_end() -> None:
    heard = faded(Sound(np.ones(RATE)))

    assert heard.samples[0] == 0.0
    assert heard.samples[-1] < 0.01
    assert heard.samples[RATE // 2] == 1.0


@pytest.mark.parametrize("rate", [8000, 16000, 44100, 48000])
def test_another_rate_becomes_ours_and_the_pitch_stays(rate: int) -> None:
    heard = resampled(tone(0.5, rate=rate))

    assert heard.rate == RATE
    assert heard.seconds == pytest.approx(0.5, abs=0.001)
    assert np.argmax(np.abs(np.fft.rfft(heard.samples))) * 2 == pytest.approx(200, abs=3)


def test_what_is_written_is_read() -> None:
    heard = tone(0.1)

    again = Sound.of_wav(heard.wav())

    assert np.abs(again.samples - heard.samples).max() < 1e-4


@pytest.mark.parametrize("keep", [0, 10, 43, 44, 200])
def test_a_file_that_is_cut_off_is_no_sound(keep: int) -> None:
    with pytest.raises((wave.Error, EOFError)):
        Sound.of_wav(tone(0.1).wav()[:keep])
