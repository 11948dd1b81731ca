"""The process in which espeak-ng runs: a line of JSON in, 16-bit samples out; it ends with its input.

It imports nothing of the trainer, so that it is there at once. Text between `[[` and `]]` is phonemes.
"""

from __future__ import annotations

import ctypes
import json
import os
import signal
import sys
from typing import Any

import espeakng_loader

VOICE = b"en-us"
PACE = 150
"""Words a minute; the engine's own 175 are fast for a child of five (no source)."""

_SYNCHRONOUS = 2  # samples come through the callback, and espeak_Synth comes back when all of them have
_CHARACTERS = 1
_RATE = 1
_UTF8_AND_PHONEMES = 0x001 | 0x100


def main() -> None:
    """Answer until nobody asks any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the window, which then closes this
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever the library prints is no answer
    library, rate = _load()
    chunks: list[bytes] = []

    def take(samples: Any, count: int, _events: object) -> int:
        if samples and count > 0:
            chunks.append(ctypes.string_at(samples, 2 * count))
        return 0

    callback = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p)
    taking = callback(take)  # it must live as long as the library calls it
    library.espeak_SetSynthCallback(taking)
    # Before it has said a sentence, a g alone is silent: this one is heard by nobody.
    _say(library, b"One boat.")
    for line in sys.stdin.buffer:
        chunks.clear()
        _say(library, json.loads(line).encode())
        pcm = b"".join(chunks)
        answers.write(b"%d %d\n" % (rate, len(pcm)) + pcm)
        answers.flush()


def _say(library: Any, text: bytes) -> None:
    library.espeak_Synth(text, len(text) + 1, 0, _CHARACTERS, 0, _UTF8_AND_PHONEMES, None, None)


def _load() -> tuple[Any, int]:
    library = ctypes.CDLL(espeakng_loader.get_library_path())
    library.espeak_Synth.argtypes = [
        *(ctypes.c_char_p, ctypes.c_size_t, ctypes.c_uint, ctypes.c_int),
        *(ctypes.c_uint, ctypes.c_uint, ctypes.c_void_p, ctypes.c_void_p),
    ]
    rate = library.espeak_Initialize(_SYNCHRONOUS, 0, os.fsencode(espeakng_loader.get_data_path()), 0)
    if rate <= 0:
        raise SystemExit(f"espeak-ng does not start: {rate}")
    library.espeak_SetVoiceByName(VOICE)
    library.espeak_SetParameter(_RATE, PACE, 0)
    return library, rate


if __name__ == "__main__":
    main()
