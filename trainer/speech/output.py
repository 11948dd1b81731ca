"""What makes a sound heard: the mixer of pygame."""

from __future__ import annotations

import logging

import pygame

from trainer.speech.sound import RATE, Sound

BUFFER = 512
"""Samples between two looks at what is to be played, 23 ms: the sound begins at most so much later."""

_log = logging.getLogger(__name__)


class Mixer:
    """One channel of pygame's mixer, which is opened for it and closed with it."""

    def __init__(self) -> None:
        self._channel: pygame.mixer.Channel | None = None

    def open(self) -> bool:
        """Whether there is a device to play on."""
        try:
            pygame.mixer.init(RATE, -16, 1, BUFFER, allowedchanges=0)
        except pygame.error as error:
            _log.info("there is no sound: %s", error)
            return False
        self._channel = pygame.mixer.Channel(0)
        return True

    def play(self, sound: Sound, volume: float) -> None:
        """Begin to play, in place of whatever is playing."""
        assert self._channel is not None
        self._channel.play(pygame.mixer.Sound(buffer=sound.pcm))
        self._channel.set_volume(volume)  # playing sets it back

    def stop(self) -> None:
        """Nothing is heard any more."""
        assert self._channel is not None
        self._channel.stop()

    def close(self) -> None:
        """Close the mixer."""
        pygame.mixer.quit()
