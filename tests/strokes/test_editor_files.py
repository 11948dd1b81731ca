"""What vector editors save: written by hand after their habits, each file the same letter in another dress.

The letter is an n with an accepted formation of two strokes. Where a browser would draw it is known.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from strokes.errors import LetterFileError
from strokes.files import load_letter
from strokes.letter import Letter
from strokes.polyline import resample
from tests.cases import for_each

SVG = 'xmlns="http://www.w3.org/2000/svg"'
CUE = "<title>Down, back up, over and down.</title>"
D = "M0 -100 L0 0 L0 -50 C0 -80 20 -100 40 -100 C60 -100 80 -80 80 -50 L80 0"
STEM, ARCH = "M0 -100 L0 0", "M0 -50 C0 -80 20 -100 40 -100 C60 -100 80 -80 80 -50 L80 0"
PLAIN = f"""<svg {SVG} viewBox="-30 -130 140 160"><title>n</title>
<g id="taught"><path d="{D}">{CUE}</path></g>
<g id="two-strokes" data-note="lift"><path d="{STEM}"/><path d="{ARCH}"/></g></svg>"""

LONG_D = "m 0,-100 v 100 l 0,-50 c 0,-30 20,-50 40,-50 20,0 40,20 40,50 v 50"
EDITORS = {
    "layers, namespaces, styles and relative commands": f"""<?xml version="1.0" encoding="UTF-8"?>
<!-- Saved by an editor -->
<svg width="140" height="160" viewBox="-30 -130 140 160" version="1.1" id="svg1" e:version="1.4 (2026)"
  xmlns:e="https://editor.example/ns" xmlns:view="https://editor.example/view" {SVG}
  xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#" xml:space="preserve">
  <title id="title1">n</title>
  <view:window id="view1" pagecolor="#ffffff" view:zoom="2.5"><e:grid units="px"/></view:window>
  <defs id="defs1"><e:effect id="e1" lpeversion="1"/></defs>
  <metadata id="m1"><rdf:RDF><rdf:Description/></rdf:RDF></metadata>
  <g e:groupmode="layer" id="layer1" e:label="Layer 1" style="display:inline">
    <g id="taught" style="fill:none;stroke:#000;marker:none;font-size:12px">
      <path style="stroke-width:9" d="{LONG_D}" view:nodetypes="cccsc" id="p1">{CUE}</path>
    </g>
    <g id="two-strokes" data-note="lift" style="display:none">
      <path d="m 0,-100 0,100" id="p2"/>
      <path d="m 0,-50 c 0,-30 20,-50 40,-50 20,0 40,20 40,50 v 50" id="p3"/>
    </g>
  </g>
  <g e:groupmode="layer" id="layer2" e:label="empty"/>
</svg>""",
    "millimeters: small numbers under one large scale": f"""<svg {SVG} width="14mm"><title>n</title>
  <g transform="scale(100)"><g transform="matrix(0.1 0 0 0.1 0 0)"><g id="taught">
    <path transform="scale(10)" d="M0-1L0 0 0-.5C0-.8.2-1 .4-1S.8-.8.8-.5L.8 0">{CUE}</path></g>
  </g>
  <g id="two-strokes" data-note="lift" transform="translate(.5,-.5)">
    <path d="M-.5-.5v1"/><path d="M-.5 0c0-.3.2-.5.4-.5s.4.2.4.5v.5"/></g>
  </g></svg>""",
    "the sheet turned on the root and back in the groups, strokes grouped": f"""<svg {SVG}
  transform="translate(70 30) rotate(90)"><title>n</title>
  <g transform="rotate(-90)"><g transform="translate(-70 -30)">
    <g id="taught"><title>one</title><g id="g7" transform="skewX(20)">
      <path transform="skewX(-20)" d="{D}">{CUE}</path></g></g>
    <g id="two-strokes" data-note="lift"><g><path d="{STEM}"/></g><g><path d="{ARCH}"/></g></g>
  </g></g></svg>""",
    "a style sheet, everything mirrored and upside down": f"""<svg {SVG}><title>n</title>
  <style type="text/css">.st0{{fill:none;stroke:#000000;}}</style>
  <g id="Layer_1" data-name="Layer 1" transform="scale(-1 -1)">
    <g id="taught">
      <path class="st0" d="M0 100V0V50C0 80-20 100-40 100-60 100-80 80-80 50V0">{CUE}</path></g>
    <g id="two-strokes" data-note="lift"><path class="st0" d="M0 100 0 0"/>
      <path class="st0" d="M0 50C0 80-20 100-40 100c-20 0-40-20-40-50V0"/></g>
  </g></svg>""",
}


@pytest.fixture
def read(tmp_path: Path):
    def load(text: str) -> Letter:
        path = tmp_path / "n.svg"
        path.write_text(text, encoding="utf-8")
        return load_letter(path)

    return load


@pytest.mark.parametrize("name", EDITORS)
def test_the_letter_is_the_same_whichever_editor_saved_it(name, read):
    plain, saved = read(PLAIN), read(EDITORS[name])

    assert [formation_read.name for formation_read in saved.formations] == ["taught", "two-strokes"]
    assert saved.formations[1].note == plain.formations[1].note
    assert saved.taught.strokes[0].cue == plain.taught.strokes[0].cue
    for first, second in zip(plain.formations, saved.formations, strict=True):
        for formation_read, two in zip(first.strokes, second.strokes, strict=True):
            np.testing.assert_allclose(resample(two.path, 300), resample(formation_read.path, 300), atol=2e-4)
            np.testing.assert_allclose(
                two.curves.polyline()[[0, -1]], formation_read.path[[0, -1]], atol=1e-9
            )


def test_a_curve_in_small_numbers_is_as_fine_as_any(read):
    """Flattened before it is scaled it would have been a triangle."""
    path = read(EDITORS["millimeters: small numbers under one large scale"]).taught.strokes[0].path

    assert len(path) > 60


def test_an_arc_keeps_its_place_under_a_skew(read):
    """Source: SVG 1.1, 7.6: skewX(a) takes (x, y) to (x + y tan a, y); the circle has the radius 50."""
    text = PLAIN.replace(
        f'd="{D}"', 'transform="skewX(30)" d="M50 -50 A50 50 0 0 0 -50 -50 A50 50 0 0 0 50 -50"'
    )
    stroke = read(text).taught.strokes[0]

    for line in (stroke.path, stroke.curves.polyline()):
        x, y = 100 * line.T
        x = x - y * np.tan(np.radians(30))
        np.testing.assert_allclose(np.hypot(x, y + 50), 50, atol=0.1)


def test_the_curves_of_a_file_are_those_of_its_path(read):
    curves = read(PLAIN).taught.strokes[0].curves

    assert curves.straight.tolist() == [True, True, False, False, True]
    np.testing.assert_allclose(curves.segments[2] * 100, [(0, -50), (0, -80), (20, -100), (40, -100)])


def layered(attributes: str) -> str:
    """The plain file with its taught formation in a layer with these attributes."""
    begun = PLAIN.replace('<g id="taught">', f'<g {attributes}><g id="taught">')
    return begun.replace("</path></g>", "</path></g></g>", 1)


def before_the_stroke(element: str) -> str:
    return PLAIN.replace("<path ", f"{element}<path ", 1)


WRAPPED = PLAIN.replace(f'<path d="{STEM}"/>', f'<g><path d="{STEM}"/></g>').replace(' data-note="lift"', "")
REFUSED = {
    "a turn in a style": (
        PLAIN.replace("<path ", '<path style="fill:none;transform:rotate(9deg)" ', 1),
        "transform in the style of <path> is not read: transform must be an attribute",
    ),
    "a turn in a style sheet": (
        PLAIN.replace("<g ", "<style>g { rotate: 9deg }</style><g ", 1),
        "rotate in the style of <style>",
    ),
    "a turn in words": (
        PLAIN.replace("<path ", '<path transform="turn left" ', 1),
        "the transform cannot be read",
    ),
    "a turn of a layer that cannot be read": (layered('transform="rotate()"'), "transform cannot be read"),
    "a layer that is scaled out of sight": (layered('transform="scale(999)"'), "at most 5000 units long"),
    "a wrapped stroke beside another, in a group that says nothing": (
        WRAPPED.replace(f'<path d="{ARCH}"/>', f'<g><path d="{ARCH}"/></g>'),
        "must have an id",
    ),
    "a link": (before_the_stroke('<a href="https://x.example"/>'), "<a> inside <g> is not allowed"),
    "a script in a layer": (before_the_stroke("<g><script>1</script></g>"), "<script> inside <g>"),
    "an image in a layer": (before_the_stroke('<g><image href="x.png"/></g>'), "<image> inside <g>"),
    "a clip": (PLAIN.replace("<g ", "<defs><clipPath/></defs><g ", 1), "<clipPath> inside <defs>"),
}


@for_each("case", REFUSED)
def test_what_would_be_read_wrongly_is_refused_in_one_sentence(case, read):
    text, sentence = REFUSED[case]
    with pytest.raises(LetterFileError) as caught:
        read(text)
    assert sentence in caught.value.reason
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("radii", ["1e-200 1e4", "1e-170 1e-170", "1e-300 1"])
def test_an_arc_whose_radii_have_no_digits_left_is_refused(tmp_path: Path, radii: str) -> None:
    file = tmp_path / "n.svg"
    file.write_text(PLAIN.replace(D, f"M0 -100 A{radii} 0 0 1 80 0"), encoding="utf-8")

    with pytest.raises(LetterFileError, match="the path cannot be drawn"):
        load_letter(file)
