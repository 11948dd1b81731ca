"""The teacher's rules for practice, as the record keeps them: how strict, how long, with motion and sound."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol, Self

from strokes import tolerances

STAGES = tuple(tolerances.STAGES)
"""The names of the sets of tolerances, widest first."""

SHORTEST, LONGEST, USUAL = 3, 20, 10
"""Minutes of a session. Ten is what a study with an effect used (Berninger et al. 1997: ten minutes of
handwriting within a session of twenty); another used fifteen (Graham, Harris & Fink 2000)."""


class Told(Protocol):
    """What can be asked for the rules: a Record."""

    def setting(self, name: str, default: str | None = None) -> str | None:
        """The value of a setting."""


class Keeping(Protocol):
    """What keeps the rules: a Record."""

    def set_setting(self, name: str, value: str) -> None:
        """Set it."""


@dataclass(frozen=True, kw_only=True)
class Rules:
    """What counts until the teacher says otherwise; a value that means nothing any more counts as unsaid."""

    stage: str = "growing"
    minutes: int = USUAL
    motion: bool = True
    sound: bool = True

    @classmethod
    def of(cls, record: Told) -> Self:
        """The rules that a record keeps."""
        usual = cls()
        stage = record.setting("stage", usual.stage) or ""
        minutes = record.setting("session_minutes") or ""
        sensible = minutes.isdecimal() and SHORTEST <= int(minutes) <= LONGEST
        return cls(
            stage=stage if stage in STAGES else usual.stage,
            minutes=int(minutes) if sensible else usual.minutes,
            motion=record.setting("motion", "on") != "off",
            sound=record.setting("sound", "on") != "off",
        )

    def keep(self, record: Keeping) -> None:
        """Write them into a record, where `of` finds them."""
        record.set_setting("stage", self.stage)
        record.set_setting("session_minutes", str(self.minutes))
        record.set_setting("motion", "on" if self.motion else "off")
        record.set_setting("sound", "on" if self.sound else "off")
