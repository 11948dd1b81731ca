"""The side of its letter on which the pen comes down, of small letters, capitals and digits alike.

Common practice, no source: curves to the left begin at the right, o, 0 and Q at their top, all others at the
left.
"""

from __future__ import annotations

import pytest

from strokes.polyline import bounds
from tests.shipped import PRINT

SIDES = {
    "left": ("bhkmnpruvwxyzel" + "BDEFHKLMNPRUVWXYZ1I237", 0.0, 0.05),
    "middle": ("o" + "O0Q", 0.45, 0.75),
    "right": ("acdfgqs" + "ACGSJ689", 0.8, 1.0),
}
"""The letters of each side, and the shares of the first stroke's own width between which it begins.

4 and 5 begin beside their left ends, T in the middle of its bar; i, j and t are in no list.
"""


@pytest.mark.parametrize("side", SIDES)
def test_the_first_stroke_begins_on_its_side(side: str) -> None:
    letters, lowest, highest = SIDES[side]
    for name in letters:
        path = PRINT[name].taught.strokes[0].path
        left, _, right, _ = bounds(path)
        share = 0.0 if right == left else (path[0, 0] - left) / (right - left)
        assert lowest <= share <= highest, name
