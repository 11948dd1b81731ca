"""How a lone sound is asked of espeak-ng, so that it is pure: held where it can be, no vowel after a stop.

The engine's notation makes whole words; this here was chosen by measuring what it makes of a sound alone.
"""

from __future__ import annotations

from types import MappingProxyType

import numpy as np

from trainer.speech.sound import Sound, faded, held, trimmed
from trainer.speech.worker import Worker
from trainer.wordbank import PHONEMES

HELD = 0.55
"""Seconds for which a consonant that can be held is held; common practice, no source."""
VOWEL = 0.4
"""Seconds for which a vowel that stays what it is is held: short vowels that are drawn out more turn long."""

_PITCHED = 0.1
"""Seconds of a voiced sound in which the engine's voice keeps its pitch well enough."""

NOTATION = MappingProxyType(
    {
        # Steady vowels, long enough in the engine to find an even middle in them.
        **{"AA": "A:", "AE": "a:", "AH": "V:", "AO": "O:", "EH": "E:", "ER": "3:"},
        **{"IH": "I:", "IY": "i:", "UH": "U:", "UW": "u:"},
        # Vowels that move, and those that end in r: as the engine says them.
        **{"AW": "aU", "AY": "aI", "EY": "eI", "OW": "oU", "OY": "OI"},
        **{"AA+R": "A@", "AO+R": "O@", "EH+R": "e@", "IH+R": "i@3", "Y+UW": "ju:"},
        # A pause after a voiced stop: without one only its closure is heard, and with a vowel two sounds.
        **{"B": "b_", "D": "_d_", "G": "g|", "JH": "dZ|", "K": "k", "P": "p", "T": "t", "CH": "tS"},
        **{"DH": "D:D:", "F": "f:", "S": "s:", "SH": "S:"},
        **{"TH": "T:", "V": "v:v:", "Z": "z:z:", "ZH": "Z:Z:"},
        # Alone these are a few hundredths of a second; several in a row have an even middle. An r is held as
        # the end of her is.
        **{"M": "m:m:m:", "N": "n:" * 12, "NG": "N:N:N:", "L": "l:" * 5, "R": "3:"},
        **{"HH": "h_", "W": "w_", "Y": "j_"},
    }
)
"""Each phoneme by its name in `trainer.wordbank`."""

_MOVING = frozenset({"AW", "AY", "EY", "OW", "OY", "AA+R", "AO+R", "EH+R", "IH+R", "Y+UW"})
_SHORT = frozenset({"B", "D", "G", "K", "P", "T", "CH", "JH", "HH", "W", "Y"})
_STEADY = frozenset({"AA", "AE", "AH", "AO", "EH", "ER", "IH", "IY", "UH", "UW"})


def say_alone(engine: Worker, phonemes: tuple[str, ...]) -> Sound | None:
    """The sounds one right after the other; None where one of them is not known or the engine cannot."""
    made: list[Sound] = []
    for name in phonemes:
        raw = engine.ask(f"[[{NOTATION[name]}]]") if name in NOTATION else None
        heard = trimmed(raw) if raw is not None else None
        if heard is None or not len(heard.samples):
            return None
        if name not in _MOVING | _SHORT:
            seconds = VOWEL if name in _STEADY else HELD
            heard = held(heard, seconds, within=_PITCHED if PHONEMES[name].voiced else seconds)
        made.append(faded(heard))
    return Sound(np.concatenate([sound.samples for sound in made]), made[0].rate) if made else None
