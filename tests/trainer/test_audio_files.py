"""Recordings from strangers: each format and rate is taken, what is none is refused in one sentence."""

from __future__ import annotations

import os
import stat
import struct
from pathlib import Path

import numpy as np
import pytest

from tests.cases import for_each
from tests.sounds import said, written
from trainer.errors import AudioError
from trainer.speech import lone_sound, words
from trainer.speech.audio_files import LARGEST, LONGEST, read_recording
from trainer.speech.recordings import ORIGINALS, Recordings
from trainer.speech.sound import LOUD, RATE, Sound, decibels


@for_each(
    ("kind", "subtype"),
    [
        *(("WAV", "PCM_16"), ("WAV", "PCM_24"), ("WAV", "FLOAT")),
        *(("FLAC", "PCM_16"), ("OGG", "VORBIS"), ("OGG", "OPUS")),
    ],
)
@for_each("channels", [1, 2])
def test_each_format_is_trimmed_and_leveled(kind: str, subtype: str, channels: int) -> None:
    samples = np.column_stack([said()] * channels)

    heard = read_recording(written(samples, kind=kind, subtype=subtype))

    assert heard.rate == RATE
    assert heard.seconds == pytest.approx(0.4, abs=0.05)
    assert decibels(float(np.sqrt((heard.samples**2).mean()))) == pytest.approx(LOUD, abs=0.1)


@pytest.mark.parametrize("amplitude", [0.01, 1.0])
def test_a_quiet_and_a_loud_recording_come_to_one_level(amplitude: float) -> None:
    heard = read_recording(written(said(amplitude=amplitude), subtype="FLOAT"))

    assert decibels(float(np.sqrt((heard.samples**2).mean()))) == pytest.approx(LOUD, abs=0.1)


def lying(content: bytes, *, at: int, value: int) -> bytes:
    return content[:at] + struct.pack("<I", value) + content[at + 4 :]


GOOD = written(said())
FLOAT = np.full(4800, np.nan)


@for_each(
    ("content", "reason"),
    [
        (b"", "must be a WAV, Ogg or FLAC file"),
        (b"MZ" + b"\0" * 100, "must be a WAV, Ogg or FLAC file"),
        (b"RIFF" + b"\0" * 100, "damaged"),
        (b"OggS" + b"\xff" * 5000, "damaged"),
        (b"fLaC" + b"\xff" * 5000, "damaged"),
        (GOOD[:30], "damaged"),
        (written(np.zeros(48_000)), "silent"),
        (written(np.random.default_rng(0).normal(0, 0.0002, 48_000)), "silent"),
        (written(np.full(48_000, 0.5)), "shorter"),
        (written(np.zeros(0)), "silent"),
        (written(said(LONGEST + 1)), "longer"),
        (written(FLOAT, subtype="FLOAT"), "damaged"),
        (written(np.full(4800, 1e30), subtype="DOUBLE"), "damaged"),
        (lying(GOOD, at=24, value=4_000_000_000), "damaged"),
        (written(said(), rate=4_000), "samples a second"),
        (written(np.zeros((4800, 30))), "channels"),
        (GOOD + b"\0" * LARGEST, "MB"),
    ],
    ids=lambda value: value if isinstance(value, str) else f"{len(value)} bytes",
)
def test_what_is_no_recording_is_refused_in_one_sentence(content: bytes, reason: str) -> None:
    with pytest.raises(AudioError, match=reason) as refused:
        read_recording(content)

    assert str(refused.value).startswith("a recording must") or "must be heard" in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_header_that_promises_more_than_there_is_gets_what_there_is() -> None:
    content = lying(lying(GOOD, at=4, value=2**31 - 1), at=40, value=2**31 - 1)

    assert read_recording(content).seconds == pytest.approx(0.4, abs=0.05)


def test_any_bytes_behind_a_good_beginning_are_taken_or_refused() -> None:
    random = np.random.default_rng(7)
    for number, good in enumerate((GOOD, written(said(), kind="FLAC"))):
        for _ in range(60):
            damaged = bytearray(good)
            for place in random.integers(4, min(len(good), 300), 6):
                damaged[place] = int(random.integers(256))
            try:
                heard = read_recording(bytes(damaged))
            except AudioError:
                continue
            assert heard.seconds <= LONGEST, number
            assert np.isfinite(heard.samples).all()


# On the shelf


def test_the_original_is_kept_beside_what_is_played_for_its_owner_alone(tmp_path: Path) -> None:
    recordings = Recordings(tmp_path / "speech")

    recordings.keep(lone_sound("M"), GOOD)

    (original,) = (tmp_path / "speech" / ORIGINALS).iterdir()
    assert original.read_bytes() == GOOD
    assert recordings.keys() == {lone_sound("M").key}
    if os.name == "posix":
        for file in (original, recordings.file(lone_sound("M"))):
            assert stat.S_IMODE(file.stat().st_mode) == 0o600


def test_a_recording_made_again_takes_the_place_of_the_one_before(tmp_path: Path) -> None:
    recordings = Recordings(tmp_path)
    recordings.keep(lone_sound("M"), GOOD)

    recordings.keep(lone_sound("M"), written(said(0.8), kind="FLAC"))

    heard = recordings.ready(lone_sound("M"))
    assert isinstance(heard, Sound)
    assert heard.seconds == pytest.approx(0.8, abs=0.05)
    assert [file.suffix for file in (tmp_path / ORIGINALS).iterdir()] == [".flac"]


def test_what_cannot_be_taken_leaves_the_one_before(tmp_path: Path) -> None:
    recordings = Recordings(tmp_path)
    recordings.keep(lone_sound("M"), GOOD)

    with pytest.raises(AudioError):
        recordings.keep(lone_sound("M"), b"RIFF")

    assert recordings.ready(lone_sound("M")) is not None


def test_a_recording_is_removed_with_its_original(tmp_path: Path) -> None:
    recordings = Recordings(tmp_path)
    recordings.keep(lone_sound("M"), GOOD)
    recordings.keep(words("M"), GOOD)

    assert recordings.remove(lone_sound("M").key)
    assert not recordings.remove(lone_sound("M").key)
    assert not recordings.remove("../../record")

    assert recordings.keys() == {words("M").key}
    assert len(list((tmp_path / ORIGINALS).iterdir())) == 1
