"""Letters and ink as SVG: the alphabet's own strokes, nothing a strict page would refuse."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest

from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.report import Finding
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET
from tests.trainer.samples import attempt
from trainer.attempt import Verdict
from trainer.desk.pictures import replay
from trainer.desk.pictures.svg import Sheet, ink_svg, letter_svg
from trainer.drawing import drawable

SVG = "{http://www.w3.org/2000/svg}"


def parsed(picture: str) -> ElementTree.Element:
    return ElementTree.fromstring(picture)


@for_each("name", list(ALPHABET))
def test_every_letter_is_drawn_whole_inside_its_picture(name: str) -> None:
    picture = parsed(letter_svg(ALPHABET[name].taught, ALPHABET.guide, size=120, lines=False))
    left, top, wide, high = map(float, picture.attrib["viewBox"].split())

    for line in picture.iter(f"{SVG}polyline"):
        corners = np.array([pair.split(",") for pair in line.attrib["points"].split()], dtype=float)
        reach = float(line.attrib["stroke-width"]) / 2 - 0.1  # the picture is written to a tenth
        assert (corners - reach >= (left, top)).all()
        assert (corners + reach <= (left + wide, top + high)).all()


@for_each("name", list(ALPHABET))
def test_each_stroke_has_its_number(name: str) -> None:
    taught = ALPHABET[name].taught

    picture = parsed(letter_svg(taught, ALPHABET.guide))

    numbers = [element.text for element in picture.iter(f"{SVG}text")]
    assert numbers == [str(number + 1) for number in range(len(taught.strokes))]


def test_the_drawn_line_is_the_stroke_of_the_alphabet() -> None:
    taught, guide = ALPHABET["l"].taught, ALPHABET.guide
    picture = parsed(letter_svg(taught, guide, size=120, numbers=False, arrows=False, lines=False))

    (line,) = picture.iter(f"{SVG}polyline")
    corners = np.array([pair.split(",") for pair in line.attrib["points"].split()], dtype=float)
    scale = 120 / (guide.descender - guide.ascender + 0.4)
    assert corners[0] == pytest.approx(taught.strokes[0].path[0] * scale, abs=0.06)
    assert corners[-1] == pytest.approx(taught.strokes[0].path[-1] * scale, abs=0.06)


def test_pictures_beside_each_other_have_one_height() -> None:
    """But for marks above capitals, which stand over the highest line."""
    heights = {
        parsed(letter_svg(letter.taught, ALPHABET.guide, size=90)).attrib["height"]
        for letter in ALPHABET.letters
        if not letter.base
    }

    assert heights == {"90"}


def test_no_style_and_no_script_is_in_a_picture() -> None:
    """The pages' Content-Security-Policy would drop it without a word."""
    pictures = [letter_svg(letter.taught, ALPHABET.guide, title=letter.name) for letter in ALPHABET.letters]

    assert not [picture for picture in pictures if re.search(r"style|script|href|\bon\w+=", picture)]


def test_a_title_is_read_out_and_its_text_is_no_markup() -> None:
    picture = parsed(letter_svg(ALPHABET["o"].taught, ALPHABET.guide, title="<o> & more"))

    assert picture.attrib["role"] == "img"
    assert picture.findtext(f"{SVG}title") == "<o> & more"


def test_a_picture_without_a_title_is_hidden_from_screen_readers() -> None:
    picture = parsed(letter_svg(ALPHABET["o"].taught, ALPHABET.guide))

    assert picture.attrib["aria-hidden"] == "true"
    assert picture.find(f"{SVG}title") is None


def test_each_trace_of_the_ink_is_drawn_and_a_dot_too() -> None:
    written = Ink.from_arrays([[(0, -1), (0.02, -0.5), (0, 0)], [(0.01, -1.5)]])
    kept_attempt = attempt(1, "i", written=written)

    picture = parsed(ink_svg(kept_attempt, ALPHABET["i"], ALPHABET.guide))

    blue = [e for e in picture.iter() if "#0072B2" in (e.attrib.get("stroke"), e.attrib.get("fill"))]
    assert [element.tag for element in blue] == [f"{SVG}polyline", f"{SVG}circle"]
    assert picture.findtext(f"{SVG}title") == "i, as it was written"


def test_ink_that_runs_far_over_the_lines_is_not_cut() -> None:
    kept_attempt = attempt(1, "l", written=Ink.from_arrays([[(0, -4), (0, 3)]]))

    picture = parsed(ink_svg(kept_attempt, ALPHABET["l"], ALPHABET.guide, size=34))

    _, top, _, high = map(float, picture.attrib["viewBox"].split())
    assert top <= -40
    assert top + high >= 30


def test_erased_ink_leaves_the_lines_and_says_so() -> None:
    picture = parsed(ink_svg(replace(attempt(1, "b"), ink=Ink()), ALPHABET["b"], ALPHABET.guide))

    assert picture.findtext(f"{SVG}title") == "b: the ink is no longer kept"
    assert not [e for e in picture.iter() if e.attrib.get("stroke") == "#0072B2"]
    assert float(picture.attrib["width"]) > 10


def test_words_on_a_sheet_are_no_markup() -> None:
    sheet = Sheet()
    sheet.text("<b>&", (0, 0), 10, "#000000")

    assert "&lt;b&gt;&amp;" in sheet.elements[0]


def test_a_line_without_points_draws_nothing() -> None:
    sheet = Sheet()
    sheet.line([], 2, "#000000")

    assert sheet.elements == []


FAR = Ink.from_arrays([[[0.0, -1.0], [0.0, 0.0]], [[1e6, -1e9], [3e8, 1.0]]], times=[[0.0, 1.0], [2.0, 3.0]])


def test_far_ink_is_drawn_in_a_picture_of_bounded_size() -> None:
    written = replace(attempt(1, "i"), ink=FAR)
    picture = ink_svg(written, ALPHABET["i"], ALPHABET.guide)
    stage = replay.stage(written.ink, ALPHABET.guide, replay.marks(written, None), title="i")

    for drawing in (picture, stage):
        assert len(drawing) < 100_000
        (box,) = re.findall(r'viewBox="([^"]*)"', drawing)
        assert max(map(abs, map(float, box.split()))) < 6000
    (near, far) = replay.moments(FAR)["traces"]
    assert near["at"] == [[0.0, -1.0], [0.0, 0.0]]
    assert far == {"at": [[20.0, -20.0], [20.0, 1.0]], "t": [2.0, 3.0]}


def test_a_finding_far_away_is_drawn_at_the_edge() -> None:
    far = Finding(Kind.START, 9.0, 0.35, stroke=0, trace=0, at=(-1e9, 0.5))
    (mark,) = replay.marks(replace(attempt(1, "i"), verdict=Verdict("taught", False, True, (far,))), None)

    assert mark.at == (-20.0, 0.5)


def test_endless_ink_is_drawn_with_fewer_points_its_ends_among_them() -> None:
    walk = np.random.default_rng(0).normal(size=(70_000, 2))
    drawn = drawable(Ink.from_arrays([walk] + [[[0.0, 0.0]]] * 300))

    assert len(drawn) == 200
    assert len(drawn.traces[0]) < 20_000
    assert drawn.traces[0].points[[0, -1]].tolist() == walk[[0, -1]].tolist()
    assert len(replay.stage(drawn, ALPHABET.guide, (), title="i")) < 1_000_000
