"""The teacher's rules for practice, as the record keeps them: how strict, how long, with motion and sound."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Protocol, Self

from strokes import tolerances
from trainer.speech import Voicing

STAGES = tuple(tolerances.STAGES)
"""The names of the sets of tolerances, widest first."""

SHORTEST, LONGEST, USUAL = 3, 20, 10
"""Minutes of a session. Ten is what a study with an effect used (Berninger et al. 1997: ten minutes of
handwriting within a session of twenty); another used fifteen (Graham, Harris & Fink 2000)."""


VOLUMES = {"quiet": 0.35, "medium": 0.7, "loud": 1.0}
"""How loud the voice is: a share of what the sound card gives, whose own control the teacher has as well."""


class ReadableSettings(Protocol):
    """What a teacher set, by name: the settings of a Record."""

    def get(self, name: str, default: str | None = None) -> str | None:
        """The value of a setting, or `default` when it was never set."""


class WritableSettings(Protocol):
    """Where settings are kept: those of a Record."""

    def set(self, name: str, value: str) -> None:
        """Set it."""


@dataclass(frozen=True, kw_only=True)
class Rules:
    """What counts until the teacher sets it; a value that means nothing any more counts as never set."""

    stage: str = "growing"
    minutes: int = USUAL
    motion: bool = True
    sound: bool = True
    volume: str = "medium"
    voice_file: str = ""

    @property
    def gain(self) -> float:
        """The volume as a number from 0 to 1."""
        return VOLUMES[self.volume]

    def voicing(self, folder: Path) -> Voicing:
        """How things are said, with the recordings in `folder`."""
        neural = Path(self.voice_file) if self.voice_file else None
        return Voicing(folder=folder, sound=self.sound, volume=self.gain, neural=neural)

    @classmethod
    def of(cls, settings: ReadableSettings) -> Self:
        """The rules among the settings of a record."""
        usual = cls()
        stage = settings.get("stage", usual.stage) or ""
        minutes = settings.get("session_minutes") or ""
        sensible = minutes.isdecimal() and len(minutes) < 4 and SHORTEST <= int(minutes) <= LONGEST
        return cls(
            stage=stage if stage in STAGES else usual.stage,
            minutes=int(minutes) if sensible else usual.minutes,
            motion=settings.get("motion", "on") != "off",
            sound=settings.get("sound", "on") != "off",
            volume=volume if (volume := settings.get("volume") or "") in VOLUMES else usual.volume,
            voice_file=settings.get("voice_file") or "",
        )

    def keep(self, settings: WritableSettings) -> None:
        """Write them into the settings of a record, where `of` finds them."""
        settings.set("stage", self.stage)
        settings.set("session_minutes", str(self.minutes))
        settings.set("motion", "on" if self.motion else "off")
        settings.set("sound", "on" if self.sound else "off")
        settings.set("volume", self.volume)
        settings.set("voice_file", self.voice_file)
