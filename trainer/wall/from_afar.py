"""What can be seen from the last row, and in which light: sizes, colors, and a Drawing that keeps to both.

Sizes are those of the visual angle. The farthest child sits 8 m away, from a picture whose shorter side
measures 93 cm, as that of a screen of 75 inches at 16:9 does (75 in · 25.4 · 9 / √(16² + 9²)); a larger
picture can only be read from farther away.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import radians, tan

from trainer.drawing import Align, Drawing, Metrics, Point, Points, Rect, theme
from trainer.window.scenes.buttons import WHITE

FARTHEST_MM = 8000.0
SHORT_SIDE_MM = 934.0

CAPITAL = 20.0
"""Minutes of arc for a capital letter of a caption: 20 to 22 are preferred and 16 the least in ISO 9241-303,
from memory. The letters that are written are several times as high."""
CAPITAL_SHARE = 0.66
"""The height of a capital as a share of the size of our typeface, measured."""
THINNEST = 2.0
"""Minutes of arc for the thinnest line: twice what the eye of an adult with full acuity tells apart."""

PROJECTED = 7.0
"""White to black on a wall in a bright room: the least of ANSI/INFOCOMM 3M-2011, for those who look on only,
from memory."""


def mm_at_farthest(minutes: float) -> float:
    """The length in mm that has this visual angle, in minutes of arc, from the last row."""
    return FARTHEST_MM * tan(radians(minutes / 60))


def px(metrics: Metrics, minutes: float) -> float:
    """The same in px of the window."""
    return mm_at_farthest(minutes) / SHORT_SIDE_MM * min(metrics.width, metrics.height)


def caption_size(metrics: Metrics) -> float:
    """The size of type of a caption, in px."""
    return px(metrics, CAPITAL) / CAPITAL_SHARE


@dataclass(frozen=True)
class Light:
    """The colors for a room: black on paper in both, and `flare` is the light of the room on the wall.

    `flare` is a share of that of white paper, and what is not in `colors` stays as it is.
    """

    name: str
    flare: float
    colors: Mapping[str, str]

    def of(self, color: str) -> str:
        """A color of the theme as it is in this light."""
        return self.colors.get(color, color)

    def contrast(self, color: str, other: str) -> float:
        """The contrast of two colors of the theme in the light of the room, as WCAG 2.2 reckons it."""
        dark, light = sorted(theme.luminance(self.of(each)) for each in (color, other))
        return (light + self.flare) / (dark + self.flare)


BRIGHT = Light(
    "bright",
    1 / (PROJECTED - 1),
    {
        theme.PAPER: "#FFFFFF",
        theme.CARD: "#F4F4F2",
        theme.EDGE: "#6B675E",
        theme.GUIDE: "#7A766C",
        theme.PALE: "#B4B0A5",
        theme.TEXT: "#000000",
        theme.QUIET: "#1F1F1F",
        theme.BLUE: "#005C94",
        theme.VERMILLION: "#C24F00",
        theme.GREEN: "#007A58",
    },
)
"""White paper: what is pale on a screen is gone where daylight falls on the wall."""

DARK = Light(
    "dark",
    0.05,
    {
        WHITE: "#C6C1B5",
        theme.PAPER: "#BAB5A9",
        theme.CARD: "#B0AB9F",
        theme.EDGE: "#55524B",
        theme.GUIDE: "#5B5850",
        theme.PALE: "#99948A",
        theme.TEXT: "#0C0C0C",
        theme.QUIET: "#262420",
        theme.BLUE: "#004A75",
        theme.VERMILLION: "#8A3A00",
        theme.GREEN: "#00573F",
    },
)
"""Gray paper, of half the light: a white wall dazzles where nothing else is lit. `flare` is that of WCAG."""


class FromAfar:
    """A Drawing in the colors of a light on which no line is too thin for the last row."""

    def __init__(self, canvas: Drawing, light: Light, thinnest: float) -> None:
        self.canvas = canvas
        self.light = light
        self.thinnest = thinnest

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in px."""
        return self.canvas.size

    def mm(self, millimeters: float) -> float:
        """Pixels for a length on the glass."""
        return self.canvas.mm(millimeters)

    def fill(self, color: str) -> None:
        """One color everywhere."""
        self.canvas.fill(self.light.of(color))

    def line(self, points: Points, width: float, color: str, dashed: bool = False) -> None:
        """A line that can be seen."""
        self.canvas.line(points, max(width, self.thinnest), self.light.of(color), dashed)

    def disc(self, center: Point, radius: float, color: str) -> None:
        """A disc that can be seen."""
        self.canvas.disc(center, max(radius, self.thinnest / 2), self.light.of(color))

    def ring(self, center: Point, radius: float, width: float, color: str) -> None:
        """A ring that can be seen."""
        self.canvas.ring(center, radius, max(width, self.thinnest), self.light.of(color))

    def panel(
        self, rect: Rect, radius: float, color: str, border: str | None = None, border_width: float = 0
    ) -> None:
        """A panel with a border that can be seen."""
        if border is not None and border_width > 0:
            border, border_width = self.light.of(border), max(border_width, self.thinnest)
        self.canvas.panel(rect, radius, self.light.of(color), border, border_width)

    def text(
        self,
        string: str,
        where: Rect | Point,
        size: float,
        color: str,
        align: Align = "center",
        bold: bool = False,
        wrap: bool = True,
    ) -> Rect:
        """Words in the color of the light."""
        return self.canvas.text(string, where, size, self.light.of(color), align, bold, wrap)
