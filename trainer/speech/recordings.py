"""The teacher's own recordings: files in the data folder, as she made them and as they are played."""

from __future__ import annotations

import logging
import wave
from pathlib import Path

from trainer.errors import AudioError, PlaceError
from trainer.speech.cache import write_private
from trainer.speech.sound import Sound
from trainer.speech.utterance import Utterance

PLAYED, ORIGINALS = "recordings", "originals"

_log = logging.getLogger(__name__)


class Recordings:
    """What is recorded in `folder`: a source of a voice, and a shelf on the desk.

    A file that is damaged counts as not recorded for the voice, which then goes on to its next source.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    # For the voice

    def has(self, utterance: Utterance) -> bool:
        """Whether it was recorded."""
        return self.file(utterance).is_file()

    def ready(self, utterance: Utterance) -> Sound | None:
        """The recording."""
        try:
            return Sound.of_wav(self.file(utterance).read_bytes())
        except (OSError, EOFError, wave.Error) as error:
            _log.warning("%s: the recording cannot be read: %s", self.file(utterance).name, error)
            return None

    def make(self, utterance: Utterance) -> None:
        """Nobody but the teacher makes one."""

    def close(self) -> None:
        """Nothing is open."""

    # For the desk

    @property
    def longest(self) -> float:
        """Seconds that a recording may have."""
        from trainer.speech.audio_files import LONGEST

        return LONGEST

    def file(self, utterance: Utterance) -> Path:
        """Where the recording lies, or would."""
        return self.played(utterance.key)

    def played(self, key: str) -> Path:
        """The same by the key; one that came from outside must be among `keys`."""
        return self.folder / PLAYED / f"{key}.wav"

    def keys(self) -> set[str]:
        """The keys of all that is recorded."""
        return {file.stem for file in (self.folder / PLAYED).glob("*.wav")}

    def keep(self, utterance: Utterance, content: bytes) -> Sound:
        """Take a file as the recording of an utterance, in place of the one before; the original is kept too.

        Raises AudioError for what is no recording, PlaceError when it cannot be written.
        """
        from trainer.speech.audio_files import format_of, read_recording

        sound = read_recording(content)
        played = self.file(utterance)
        original = self.folder / ORIGINALS / f"{utterance.key}.{format_of(content)}"
        try:
            for file in (played, original):
                file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            write_private(original, content)
            write_private(played, sound.wav())
            for other in self._originals(utterance.key):
                if other != original:
                    other.unlink(missing_ok=True)
        except OSError as error:
            raise PlaceError(f"{self.folder}: the recording cannot be written: {error.strerror}") from error
        return sound

    def keep_file(self, utterance: Utterance, file: Path) -> Sound:
        """The same for a file on this machine, of which no more is read than a recording may have."""
        from trainer.speech.audio_files import LARGEST

        try:
            with file.open("rb") as reading:
                content = reading.read(LARGEST + 1)
        except OSError as error:
            raise AudioError(f"the file cannot be read: {error.strerror}") from error
        return self.keep(utterance, content)

    def remove(self, key: str) -> bool:
        """Erase a recording and its original; whether there was one."""
        for original in self._originals(key):
            original.unlink(missing_ok=True)
        if key not in self.keys():
            return False
        self.played(key).unlink(missing_ok=True)
        return True

    def _originals(self, key: str) -> list[Path]:
        return [file for file in (self.folder / ORIGINALS).glob("*.*") if file.stem == key]
