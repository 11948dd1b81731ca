"""How many pixels make a millimeter on a screen: by a bank card, else as the system says, else guessed.

A screen is known again by its name, its pixels and the millimeters that the system says of it, so that
another screen in its place, or another mode, is not taken for it; two of one model count as one. What was
measured is kept on this machine, never in the record: that may be on a server, for many screens.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, TypeAlias

from trainer.atomic_file import replace_file
from trainer.drawing import Metrics, theme

_log = logging.getLogger(__name__)

MM_PER_INCH = 25.4

NOT_SQUARE = 1.1
"""How much wider than high a pixel may come out: sizes of small screens are rounded to centimeters."""

_RATIOS = frozenset({(16, 9), (16, 10), (160, 90), (160, 100)})
"""Not a size but a shape, as some televisions and projectors give it (from memory)."""

_STANDARD_DPI = 96
"""Dots per inch of which X makes a size where it knows none (the option -dpi of its server, from memory)."""

Doubt: TypeAlias = Literal["ratio", "standard", "shape", "density"]
"""Why the millimeters that the system says are not believed; each is a text of `record.doubt`."""
Source: TypeAlias = Literal["card", "system", "guess"]


@dataclass(frozen=True)
class Display:
    """A screen: its name as far as it has one, its size in px, and in mm as the system says, if it does."""

    name: str
    size: tuple[int, int]
    millimeters: tuple[int, int] | None = None

    @property
    def key(self) -> str:
        """What it is known again by, however it is turned."""
        width, height = sorted(self.size, reverse=True)
        across, down = sorted(self.millimeters or (0, 0), reverse=True)
        return f"{self.name or '?'}, {width} x {height} px, {across} x {down} mm"


@dataclass(frozen=True)
class Scale:
    """Px to the millimeter, and who says so; None for a guess, which is the window's size alone.

    `doubt` is why the system is not believed, where it said something.
    """

    px_per_mm: float | None = None
    source: Source = "guess"
    doubt: Doubt | None = None

    def metrics(self, size: tuple[int, int]) -> Metrics:
        """Those of a window of this size in px."""
        return Metrics.of(size, self.px_per_mm, measured=self.source == "card")


class TrueSizes:
    """The scales of this machine's screens; `look` asks the system, `file` keeps what was measured.

    Without `file` nothing is kept.
    """

    def __init__(self, file: Path | None, look: Callable[[int], Display]) -> None:
        self.file = file
        self._look = look

    def scale(self, number: int) -> Scale:
        """That of the screen of this number, counted from 0. A file that cannot be read counts as empty."""
        screen = self._look(number)
        measured = self._measured().get(screen.key)
        return Scale(measured, "card") if measured is not None else told_by_system(screen)

    def keep(self, number: int, px_per_mm: float | None) -> None:
        """Keep what was measured; None forgets it. Raises PlaceError where the file cannot be written."""
        assert self.file is not None
        measured = self._measured()
        measured.pop(key := self._look(number).key, None)
        if px_per_mm is not None:
            measured[key] = round(px_per_mm, 3)
        content = json.dumps(measured, indent=1, ensure_ascii=False) + "\n"
        replace_file(self.file, content.encode(), what="the size of the screen")

    def _measured(self) -> dict[str, float]:
        if self.file is None:
            return {}
        try:
            content = json.loads(self.file.read_bytes())
            measured = {str(key): float(value) for key, value in content.items()}
        except FileNotFoundError:
            return {}
        except (OSError, ValueError, TypeError, AttributeError, RecursionError) as error:
            _log.warning("what was measured of the screens cannot be read: %s", error)
            return {}
        return {key: value for key, value in measured.items() if theme.SCALES[0] <= value <= theme.SCALES[1]}


def told_by_system(screen: Display) -> Scale:
    """The scale as the system says, in so far as it can be believed."""
    if screen.millimeters is None or 0 in screen.millimeters:
        return Scale()
    if tuple(sorted(screen.millimeters, reverse=True)) in _RATIOS:
        return Scale(doubt="ratio")
    if screen.millimeters == tuple(round(side / _STANDARD_DPI * MM_PER_INCH) for side in screen.size):
        return Scale(doubt="standard")
    # a screen that was turned may say its millimeters as if it were not
    scales = [_scale(screen.size, screen.millimeters), _scale(screen.size, screen.millimeters[::-1])]
    square = [scale for scale in scales if scale is not None]
    if not square:
        return Scale(doubt="shape")
    if not theme.SCALES[0] <= square[0] <= theme.SCALES[1]:
        return Scale(doubt="density")
    return Scale(square[0], "system")


def _scale(size: tuple[int, int], millimeters: tuple[int, int]) -> float | None:
    """Px to the millimeter; None where the pixels would not be square."""
    across, down = (px / mm for px, mm in zip(size, millimeters, strict=True))
    return (across + down) / 2 if max(across, down) <= NOT_SQUARE * min(across, down) else None
