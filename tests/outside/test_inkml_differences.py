"""A trace in differences as the W3C's slides on InkML show it, and the places that it stands for.

The values are from a slide of 2004; that points are parted by commas, as in the Recommendation of 2011, is
from memory. The places were worked out by hand from the rules of its section 3.2.1, apart from this project.
"""

from __future__ import annotations

from pathlib import Path

from strokes.files.inkml import read_inkml

TRACE = """1125 18432,'23'43,"7"-8,3-5,7 -3,6 2,6 8,3 6 T,2 4*T,3 6,3-6 F F"""

FORMAT = """<traceFormat>
  <channel name="X" type="integer"/><channel name="Y" type="integer"/>
  <intermittentChannels>
    <channel name="B1" type="boolean"/><channel name="B2" type="boolean"/>
  </intermittentChannels>
</traceFormat>"""

PLACES = [
    [1125, 18432],
    [1148, 18475],
    [1178, 18510],
    [1211, 18540],
    [1251, 18567],
    [1297, 18596],
    [1349, 18633],
    [1404, 18676],
    [1461, 18723],
    [1521, 18776],
    [1584, 18823],
]


def test_first_and_second_differences_add_up_to_the_places_that_are_known(tmp_path: Path) -> None:
    path = tmp_path / "ink.inkml"
    path.write_text(
        f'<ink xmlns="http://www.w3.org/2003/InkML">{FORMAT}<trace>{TRACE}</trace></ink>', encoding="utf-8"
    )

    (specimen,) = read_inkml(path)

    assert specimen.ink.traces[0].points.tolist() == PLACES
