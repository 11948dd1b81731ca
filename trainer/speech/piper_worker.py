"""The process in which a neural voice runs: a line of JSON in, 16-bit samples out; it ends with its input.

Its one argument is the voice's file, `NAME.onnx`; `NAME.onnx.json` must lie beside it.
"""

from __future__ import annotations

import json
import os
import signal
import sys


def main(voice_file: str) -> None:
    """Answer until nobody asks any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the window, which then closes this
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever the library prints is no answer
    from piper import PiperVoice

    voice = PiperVoice.load(voice_file)
    rate = voice.config.sample_rate
    for line in sys.stdin.buffer:
        pcm = b"".join(chunk.audio_int16_bytes for chunk in voice.synthesize(json.loads(line)))
        answers.write(b"%d %d\n" % (rate, len(pcm)) + pcm)
        answers.flush()


if __name__ == "__main__":
    main(sys.argv[1])
