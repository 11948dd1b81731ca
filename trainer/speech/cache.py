"""What an engine has rendered, kept in files so that it need not be rendered again; bounded, and erasable."""

from __future__ import annotations

import logging
import os
import tempfile
import wave
from collections.abc import Iterator
from contextlib import suppress
from hashlib import sha256
from pathlib import Path

from trainer.atomic_file import NEW, remove_dead
from trainer.speech.sound import Sound
from trainer.speech.utterance import Utterance

LARGEST = 48 * 2**20
"""Bytes: some 1,000 sentences, and far more than the texts of one alphabet."""

_log = logging.getLogger(__name__)


class Cache:
    """One WAV file an utterance in a folder, read by its owner alone; the one unused for longest goes first.

    `engine` names what renders, with its version and its voice: what another one rendered is not taken.
    A file that is damaged is erased and rendered anew; a folder that cannot be written keeps nothing.
    """

    def __init__(self, folder: Path, engine: str, *, largest: int = LARGEST) -> None:
        self.folder = folder
        self.engine = engine
        self.largest = largest
        self._size: int | None = None

    def get(self, utterance: Utterance) -> Sound | None:
        """The sound, if it is there and whole."""
        file = self._file(utterance)
        try:
            content = file.read_bytes()
        except OSError:
            return None
        try:
            sound = Sound.of_wav(content)
        except (wave.Error, EOFError):
            with suppress(OSError):
                file.unlink()
            return None
        with suppress(OSError):
            os.utime(file)  # it was used just now
        return sound

    def put(self, utterance: Utterance, sound: Sound) -> None:
        """Keep a sound; what must go for it goes."""
        content = sound.wav()
        try:
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            if self._size is None:
                self._size = sum(size for _, size, _ in self._files())
            self._make_room(len(content))
            write_private(self._file(utterance), content)
            self._size += len(content)
        except OSError as error:
            _log.warning("%s: what was rendered cannot be kept: %s", self.folder, error.strerror)

    def _make_room(self, coming: int) -> None:
        assert self._size is not None
        if self._size + coming <= self.largest:
            return
        self._size = 0  # counted anew: other windows write here too
        ages = sorted(self._files(), reverse=True)  # the newest first
        for _, size, file in ages:
            if self._size + size + coming > 0.8 * self.largest:
                file.unlink(missing_ok=True)
            else:
                self._size += size

    def _files(self) -> Iterator[tuple[float, int, Path]]:
        for file in self.folder.glob("*.wav"):
            with suppress(OSError):  # another window erased it meanwhile
                state = file.stat()
                yield state.st_mtime, state.st_size, file

    def _file(self, utterance: Utterance) -> Path:
        wanted = f"{self.engine}\n{utterance.kind}\n{utterance.text}"
        return self.folder / f"{sha256(wanted.encode()).hexdigest()[:32]}.wav"


def erase(folder: Path) -> int:
    """Erase all that was rendered; gives the number of files."""
    files = list(folder.glob("*.wav"))
    for file in files:
        file.unlink(missing_ok=True)
    return len(files)


def write_private(file: Path, content: bytes) -> None:
    """Write a file for its owner alone, whole or not at all. Raises OSError."""
    remove_dead(file.parent)
    number, name = tempfile.mkstemp(prefix=NEW, dir=file.parent)  # made with mode 0600
    try:
        with os.fdopen(number, "wb") as writing:
            writing.write(content)
        os.replace(name, file)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
