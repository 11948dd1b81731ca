"""Letters from files: the good one, one clear line for each fault, and files that mean harm."""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Callable
from pathlib import Path
from string import ascii_lowercase, digits
from unicodedata import normalize

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from strokes.alphabet import Alphabet, usable
from strokes.checks import check
from strokes.errors import LetterError, LetterFileError
from strokes.files.letter_folder import SHIPPED, faults, load_letter
from strokes.files.letter_svg import file_name
from strokes.files.path_data import drawn
from strokes.files.text_file import LARGEST_FILE
from strokes.kinds import Kind
from strokes.polyline import arc_lengths
from strokes.simulation.hand import write
from tests.cases import for_each
from tests.shipped import PRINT, SLANTED

NAMESPACE = 'xmlns="http://www.w3.org/2000/svg"'
GOOD = f"""<svg {NAMESPACE} viewBox="-50 -230 100 350">
  <title>l</title>
  <g id="taught"><title>one stroke</title>
    <path d="M0 -200 L0 0"><title>Straight down.</title></path>
  </g>
  <g id="left" data-hand="left" data-note="direction"><title>upward</title>
    <path d="M0 0 L0 -200"/>
  </g>
</svg>"""


@pytest.fixture
def put(tmp_path: Path) -> Callable[..., Path]:
    """Writes a letter file and gives its path."""

    def write(content: str | bytes, name: str = "l") -> Path:
        path = tmp_path / f"{name}.svg"
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    return write


def reason(path: Path) -> str:
    """Why this file is refused: one line that begins with its place."""
    with pytest.raises(LetterFileError) as caught:
        load_letter(path)
    line = str(caught.value)
    assert line.startswith(f"{path}: ")
    assert "\n" not in line
    assert len(line) < len(str(path)) + 300
    return caught.value.reason


# --- good files


def test_a_letter_file_becomes_a_letter_in_x_heights(put):
    letter = load_letter(put(GOOD))

    assert letter.name == "l"
    assert letter.taught.name == "taught"
    assert letter.taught.strokes[0].cue == "Straight down."
    np.testing.assert_array_equal(letter.taught.strokes[0].path, [[0, -2], [0, 0]])


def test_hand_and_note_limit_an_accepted_formation(put):
    letter = load_letter(put(GOOD))

    left = letter.formations[1]
    assert (left.hand, left.note) == ("left", Kind.DIRECTION)
    assert letter.accepted("right") == letter.formations[:1]
    assert letter.accepted("left") == letter.formations


def recognized(**attributes: str) -> str:
    """The good file with its second formation for recognition only, or with these attributes."""
    given = " ".join(f'data-{name}="{value}"' for name, value in attributes.items())
    return GOOD.replace('data-hand="left" data-note="direction"', given or 'data-use="recognition"')


def test_a_shape_for_recognition_is_no_formation(put):
    letter = load_letter(put(recognized()))

    assert [formation.name for formation in letter.formations] == ["taught"]
    assert [formation.name for formation in letter.recognized] == ["left"]
    for hand in ("left", "right", None):
        assert letter.accepted(hand) == letter.formations


def test_the_others_of_an_alphabet_keep_the_shapes_they_are_recognized_by():
    assert PRINT["h"].recognized
    assert all(other.recognized == PRINT[other.name].recognized for other in PRINT["a"].others)


def test_a_misspelt_use_is_refused(put):
    assert reason(put(recognized(use="recognise"))) == (
        "formation 'left': data-use must be recognition, not 'recognise'"
    )


def test_a_shape_for_recognition_is_for_nobody_in_particular(put):
    for other in ({"hand": "left"}, {"note": "order"}):
        assert "must have no data-hand and no data-note" in reason(
            put(recognized(use="recognition", **other))
        )


def test_the_taught_formation_cannot_be_for_recognition_only(put):
    refusal = reason(put(GOOD.replace('id="taught"', 'id="taught" data-use="recognition"')))

    assert refusal.endswith(
        "the taught formation must be for everybody, without data-hand, data-note and data-use"
    )


def test_curves_are_fine_and_corners_exact(put):
    """Points on a curve stand at most 0.02 x-heights apart, and a line has its ends only."""
    data = "M0 -100 L0 -46 C0 -20 17 0 40 0 C63 0 80 -20 80 -46 L80 -100 L80 0"
    path = load_letter(put(GOOD.replace("M0 -200 L0 0", data))).taught.strokes[0].path

    for corner in [(0, -1), (0, -0.46), (0.4, 0), (0.8, -0.46), (0.8, -1), (0.8, 0)]:
        assert (path == corner).all(axis=1).any()
    steps = np.hypot(*np.diff(path, axis=0).T)
    assert steps[1:-2].max() < 0.02
    assert steps.min() > 0.005


def test_a_circle_of_arcs_has_the_length_of_a_circle(put):
    """Source: the circumference 2πr; r = 50 user units is 0.5 x-heights. `drawn` promises a thousandth."""
    data = "M50 0 A50 50 0 0 0 -50 0 a50 50 0 10100 0"  # flags without spaces, as editors write them
    path = load_letter(put(GOOD.replace("M0 -200 L0 0", data))).taught.strokes[0].path

    assert arc_lengths(path)[-1] == pytest.approx(np.pi, rel=1e-3)
    np.testing.assert_allclose(np.hypot(*path.T), 0.5, rtol=1e-3)


@for_each(
    ("data", "points"),
    [
        ("M10 20L30 90", [(0.1, 0.2), (0.3, 0.9)]),
        ("m10,20 20,70", [(0.1, 0.2), (0.3, 0.9)]),
        ("M10-20h80V-90", [(0.1, -0.2), (0.9, -0.2), (0.9, -0.9)]),
        ("M1e1 9E+1 L.5.5", [(0.1, 0.9), (0.005, 0.005)]),
        ("M+0.-90.L.0+9.e0", [(0, -0.9), (0, 0.09)]),
        ("M0 0 L60 1e-7", [(0, 0), (0.6, 1e-9)]),
        ("M0 0 L60 0 L60 60 z", [(0, 0), (0.6, 0), (0.6, 0.6), (0, 0)]),
        ("M0 0 L0 0 L60 0 L60 0", [(0, 0), (0.6, 0)]),
        ("M0 0 A0 5 0 0 1 60 0", [(0, 0), (0.6, 0)]),
        ("M0 0 A5 5 0 0 1 0 0 L60 0", [(0, 0), (0.6, 0)]),
    ],
)
def test_every_form_of_path_data_is_understood(put, data, points):
    letter = load_letter(put(GOOD.replace("M0 -200 L0 0", data)))

    path = letter.taught.strokes[0].path
    np.testing.assert_allclose(path[[0, -1]], [points[0], points[-1]], atol=1e-12)
    if "A" not in data:
        np.testing.assert_allclose(path, points, atol=1e-12)


PLAIN_DATA = "M10 -20 L30 -90.5 C40 -100 50.25 -90 60 -80 L0 0 L0 0 C0 -.5 10 10 10 -10"


@pytest.mark.parametrize(
    "data",
    [
        PLAIN_DATA.replace(" -", "-"),
        PLAIN_DATA.replace(" ", ","),
        PLAIN_DATA.replace("L0 0 L0 0", "L0 0 0 0"),
        PLAIN_DATA.replace("10 -20", "1e1 -2e1"),
        "m10-20l20-70.5c10-9.5 20.25.5 30 10.5L0 0l0 0c0-.5 10 10 10-10",
    ],
)
def test_one_path_has_the_same_curves_however_its_data_is_put(data):
    """What the program writes itself is read on a shorter way than what editors write."""
    np.testing.assert_allclose(drawn(data), drawn(PLAIN_DATA), atol=1e-9)


@pytest.mark.parametrize(
    "data", ["M0 0 L1 2 3", "M0 0 L1 2 C1 2 3 4 5", "M0 0 L1 -", "M0 0 L1.5.5.5", "M0 L0 1"]
)
def test_plain_data_with_a_number_too_few_or_too_many_is_refused(data):
    with pytest.raises(LetterError):
        drawn(data)


@pytest.mark.parametrize(
    ("transform", "end"),
    [
        ("translate(10)", (0.7, 0.0)),
        ("translate(10, 20) scale(2)", (1.3, 0.2)),
        ("scale(2) translate(10 20)", (1.4, 0.4)),
        ("rotate(90)", (0.0, 0.6)),
        ("matrix(1 0 0 1 5 5)", (0.65, 0.05)),
        ("skewY(45)", (0.6, 0.6)),
    ],
)
def test_a_transform_moves_the_stroke_as_a_browser_would(put, transform, end):
    """Source: SVG 1.1, section 7, the matrices and the order of transforms (from memory)."""
    drawn = GOOD.replace('d="M0 -200 L0 0"', f'd="M0 0 L60 0" transform="{transform}"')
    on_group = GOOD.replace('id="taught"', f'id="taught" transform="{transform}"')

    np.testing.assert_allclose(load_letter(put(drawn)).taught.strokes[0].path[-1], end, atol=1e-9)
    moved = load_letter(put(on_group.replace("M0 -200 L0 0", "M0 0 L60 0")))
    np.testing.assert_allclose(moved.taught.strokes[0].path[-1], end, atol=1e-9)


def test_what_vector_editors_add_is_passed_over(put):
    """Namespaces of their own, paint, empty definitions, a style sheet inside, a byte-order mark."""
    text = GOOD.replace("<svg ", '<svg xmlns:e="https://editor.example/ns" e:version="1.2" width="100" ')
    text = text.replace(
        "<title>l</title>",
        '<title>l</title><e:view zoom="2"><e:grid/></e:view><metadata><e:about/></metadata>'
        "<defs><style>.a{fill:none}</style></defs><!-- a remark -->",
    )
    text = text.replace('<path d="M0 -200', '<path style="fill:none" class="a" e:nodes="cc" d="M0 -200')

    letter = load_letter(put(b"\xef\xbb\xbf" + text.encode()))
    assert len(letter.formations) == 2


def test_a_letter_is_its_title_whatever_the_file_is_called(put):
    """An accent may be a character of its own; some file systems make it one in names."""
    assert load_letter(put(GOOD, "a tall letter")).name == "l"
    assert load_letter(put(GOOD.replace("<title>l<", "<title>e\u0301<"))).name == "\u00e9"


def test_small_and_capital_letters_stand_side_by_side(put, tmp_path):
    put(GOOD)
    put(
        GOOD.replace("<title>l<", "<title>L<").replace("L0 0", "L0 0 L90 0").replace("L0 -200", "L90 0"),
        "capital-l",
    )

    assert list(Alphabet.load(tmp_path)) == ["L", "l"]
    assert faults(tmp_path) == []


def test_two_files_with_one_title_are_told(put, tmp_path):
    put(GOOD)
    put(GOOD, "m")

    assert faults(tmp_path) == [f"{tmp_path / 'm.svg'}: must be the only file of 'l', l.svg is one as well"]


NAMES = {
    "a": "a.svg",
    "A": "capital-a.svg",
    "7": "7.svg",
    "\u00e4": "u00e4.svg",
    "a\u0308": "u00e4.svg",
    "\u00df": "u00df.svg",
    "\u1e9e": "u1e9e.svg",
    "..": "u002e-u002e.svg",
    "/": "u002f.svg",
    "con": "c-o-n.svg",
    "CAPITAL": "capital-c-capital-a-capital-p-capital-i-capital-t-capital-a-capital-l.svg",
}


@for_each("letter", NAMES)
def test_the_program_names_a_file_for_any_letter(letter):
    assert file_name(letter) == NAMES[letter]


@given(
    st.lists(st.text(min_size=1, max_size=3), min_size=2, max_size=2, unique_by=lambda x: normalize("NFC", x))
)
def test_no_two_letters_share_a_file_name_even_where_case_does_not_count(letters):
    names = {file_name(letter) for letter in letters}

    assert len(names) == 2
    assert all(re.fullmatch(r"[a-z0-9-]+\.svg", name) for name in names)


def test_a_file_without_a_title_is_set_aside_under_what_its_name_stands_for(put, tmp_path):
    put(GOOD)
    put("<svg/>", "capital-l")
    put("<svg/>", "7")
    put("<svg/>", "capital-letters")
    put(GOOD.replace("<title>l<", "<title>m<").replace("L0 0", ""), "bent")

    contents = usable(tmp_path)

    assert contents.set_aside == ("7", "L", "capital-letters", "m")
    assert contents.files["m"] == tmp_path / "bent.svg"


# --- one line a fault

DOWN = 'd="M0 -200 L0 0"'
CUE = "<title>Straight down.</title>"
BROKEN = {
    "two pen-downs in a path": (DOWN, 'd="M0 -200 L0 -100 M0 -90 L0 0"', "one M"),
    "no pen-down": (DOWN, 'd="L0 0"', "begin with M"),
    "no path data": (DOWN, "", "begin with M"),
    "a lone point": (DOWN, 'd="M0 0"', "no line or curve"),
    "a line of no length": (DOWN, 'd="M0 0 L0 0"', "at least 1 unit long"),
    "half a pair": (DOWN, 'd="M0 -200 L0"', "L takes 2 numbers at a time, not 1"),
    "half a curve": (DOWN, 'd="M0 -200 C1 2 3 4 L5 6"', "C takes 6 numbers at a time, not 4"),
    "a word for a number": (DOWN, 'd="M0 -200 L0 north"', "cannot be read from character"),
    "numbers after z": (DOWN, 'd="M0 -200 L0 0 z 5"', "cannot be read"),
    "not a number": (DOWN, 'd="M0 NaN L0 0"', "cannot be read"),
    "infinity": (DOWN, 'd="M0 1e999 L0 0"', "at most 10000"),
    "a huge number": (DOWN, 'd="M0 123456789 L0 0"', "at most 10000"),
    "a stroke far away": (DOWN, 'd="M0 -900 L0 0"', "within 500 units of the origin, not 900"),
    "a tiny letter": (DOWN, 'd="M0 -20 L0 0"', "at least 50 units tall or wide, not 20.0"),
    "an endless curve": (DOWN, 'd="M0 0 C9000 0 9000 9 0 9"', "at most 5000 units long"),
    "no cue": (CUE, "", "stroke 1: must have a <title>"),
    "a long cue": ("Straight down.", "down and " * 12, "at most 80 characters"),
    "no name": ("<title>l</title>", "", "must have a <title>"),
    "a name of two words": ("<title>l</title>", "<title>l m</title>", "1 to 8 visible characters"),
    "no strokes": (f"<path {DOWN}>{CUE}</path>", "", "1 to 12 paths, one a stroke, not 0"),
    "no id": ('<g id="taught">', "<g>", "formation 1 must have an id"),
    "the same id twice": ('<g id="left"', '<g id="taught"', "different ids"),
    "an unknown hand": ('data-hand="left"', 'data-hand="both"', "left or right, not 'both'"),
    "an unknown note": ('data-note="direction"', 'data-note="slow"', "one of letter, reversal"),
    "a taught one for one hand": ('<g id="taught">', '<g id="taught" data-hand="left">', "for everybody"),
    "a slip in an attribute": ("data-hand=", "data-hands=", "data-hands on <g> is not known"),
    "a shape": (f"<path {DOWN}>{CUE}</path>", '<line y1="9"/>', "<line> inside <g> is not allowed: a stroke"),
    "a path outside": ("<title>l</title>", f"<title>l</title><path {DOWN}/>", "in the <g> of its formation"),
    "a formation in a formation": (
        '<g id="taught">',
        '<g id="taught"><g id="in" data-use="recognition"><path d="M0 0 L9 9"/></g>',
        "side by side",
    ),
    "an unknown element": ("<title>l</title>", "<title>l</title><filter/>", "<filter> inside <svg>"),
    "a broken transform": (DOWN, f'{DOWN} transform="shift(1)"', "transform cannot be read"),
    "a transform that flattens": (DOWN, f'{DOWN} transform="scale(0)"', "at least 1 unit long"),
    "not SVG": ("svg", "html", "must begin with <svg"),
    "no namespace": (NAMESPACE, "", "must begin with <svg xmlns="),
    "another namespace inside": ('<g id="taught">', '<g xmlns="" id="taught">', "namespace of SVG"),
    "broken XML": ("</g>", "", "well-formed XML"),
}


@for_each("case", BROKEN)
def test_each_fault_has_its_line(put, case):
    old, new, expected = BROKEN[case]
    assert old in GOOD

    assert expected in reason(put(GOOD.replace(old, new)))


def test_all_faults_of_a_file_are_told_at_once(put, tmp_path):
    put(GOOD.replace(CUE, "").replace("M0 0 L0 -200", "L5").replace("<title>l</title>", ""))

    lines = faults(tmp_path)
    assert len(lines) == 3
    assert all(line.startswith(str(tmp_path / "l.svg")) for line in lines)


# --- files that mean harm

HARMFUL = {
    "a doctype": ("<svg", "<!DOCTYPE svg><svg", "DOCTYPE"),
    "a DTD elsewhere": ("<svg", '<!DOCTYPE svg SYSTEM "http://x.example/a.dtd"><svg', "DOCTYPE"),
    "an entity that reads a file": (
        "<svg",
        '<!DOCTYPE svg [<!ENTITY e SYSTEM "file:///etc/hostname">]><svg',
        "DOCTYPE",
    ),
    "a style sheet elsewhere": (
        "<svg",
        '<?xml-stylesheet href="http://x.example/a.css"?><svg',
        "style sheet",
    ),
    "a script": ("<title>l</title>", "<title>l</title><script>1</script>", "<script>"),
    "an image": ("<title>l</title>", '<title>l</title><image href="http://x.example"/>', "<image>"),
    "a use": ("<title>l</title>", '<title>l</title><use href="#taught"/>', "<use>"),
    "an import in a style": (
        "<title>l</title>",
        "<title>l</title><style>@import 'http://x.example'</style>",
        "must not fetch",
    ),
    "an address in a style": (DOWN, f'{DOWN} style="fill:url(http://x.example)"', "must not fetch"),
    "a link": (
        DOWN,
        f'{DOWN} xmlns:xlink="http://www.w3.org/1999/xlink" xlink:href="http://x.example"',
        "href on <path>",
    ),
    "an event handler": (DOWN, f'{DOWN} onload="alert(1)"', "onload on <path>"),
    "a long transform": (DOWN, f'{DOWN} transform="{"scale(1) " * 20_000}"', "at most 1000 characters"),
    "ten thousand groups": ("</svg>", "<g/>" * 10_000 + "</svg>", "at most 200 <g>"),
    "ten thousand odd elements": ("</svg>", "<rect/>" * 10_000 + "</svg>", "<rect>"),
    "many numbers": ("L0 0", "L0 0 " * 8_000, "at most 2000 numbers"),
    "much path data": ("L0 0", "L0 0 " * 20_000, "at most 60000 characters"),
    "one number of many digits": ("L0 0", "L0 " + "9" * 50_000, "at most 10000"),
}


@for_each("case", HARMFUL)
def test_a_harmful_file_is_refused_in_one_sentence(put, case):
    old, new, expected = HARMFUL[case]
    assert old in GOOD

    assert expected in reason(put(GOOD.replace(old, new, 1)))


def test_entities_that_multiply_are_never_expanded(put):
    """Ten levels of ten: 10 GB, if anybody did it."""
    levels = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10}">' for n in range(1, 11))
    text = f'<!DOCTYPE svg [<!ENTITY e0 "lol">{levels}]>' + GOOD.replace("Straight down.", "&e10;")

    assert "DOCTYPE" in reason(put(text))


def test_ten_thousand_levels_are_refused(put):
    deep = "<g>" * 10_000 + "</g>" * 10_000

    assert "at most 200 <g>" in reason(put(GOOD.replace("</g>", deep + "</g>", 1)))


def test_groups_are_looked_into_as_deep_as_any_editor_nests_them(put):
    shallow, deep = ("<g>" * levels + "<g/>" + "</g>" * levels for levels in (10, 13))

    assert load_letter(put(GOOD.replace("</g>", shallow + "</g>", 1))).name == "l"
    assert "at most 12 deep" in reason(put(GOOD.replace("</g>", deep + "</g>", 1)))


def test_ten_thousand_levels_in_a_foreign_namespace_are_passed_over(put):
    """They are nobody's strokes, and nothing walks down there."""
    deep = '<e:a xmlns:e="https://editor.example">' + "<e:a>" * 10_000 + "</e:a>" * 10_001

    assert load_letter(put(GOOD.replace("</svg>", deep + "</svg>"))).name == "l"


def test_a_million_points_are_refused_by_size(put):
    text = GOOD.replace("L0 0", "L0 0 " * 1_000_000)

    assert f"at most {LARGEST_FILE} bytes" in reason(put(text))


def test_a_gigabyte_is_refused_before_it_is_read(tmp_path, monkeypatch):
    """The size is asked of the file system; the file is never opened."""
    path = tmp_path / "l.svg"
    with path.open("wb") as file:
        file.truncate(1024**3)
    monkeypatch.setattr(Path, "open", None)

    assert "not 1073741824" in reason(path)


def test_a_file_that_grows_while_it_is_read_is_cut_off(put, monkeypatch):
    """Its size when asked was small; no more than the bound is read all the same."""
    path = put(GOOD + " " * LARGEST_FILE)
    honest = path.stat()
    small = os.stat_result([*honest[:6], 100, *honest[7:]])
    monkeypatch.setattr(Path, "stat", lambda _self, **_options: small)

    assert "not more" in reason(path)


@pytest.mark.parametrize("raw", [b"\xff\xfe<\x00s\x00v\x00g\x00", b"<svg>\xe9</svg>", b"\x00\x01\x02\xff"])
def test_what_is_not_utf_8_is_refused(put, raw):
    assert "UTF-8" in reason(put(raw))


def test_a_declared_odd_encoding_does_not_harm(put):
    for encoding in ("utf-16", "nonsense", "cp037", "utf-7"):
        path = put(f'<?xml version="1.0" encoding="{encoding}"?>' + GOOD)
        assert load_letter(path).name == "l"  # it is UTF-8, whatever it says


def test_a_folder_in_place_of_a_file_is_refused(tmp_path):
    (tmp_path / "l.svg").mkdir()

    assert "must be a file, not a folder" in reason(tmp_path / "l.svg")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_in_place_of_a_file_is_refused_without_waiting(tmp_path):
    os.mkfifo(tmp_path / "l.svg")

    assert "pipe" in reason(tmp_path / "l.svg")


def test_links_in_a_circle_are_refused(tmp_path):
    try:
        (tmp_path / "l.svg").symlink_to(tmp_path / "m.svg")
        (tmp_path / "m.svg").symlink_to(tmp_path / "l.svg")
    except OSError as error:  # Windows without the right to make links
        pytest.skip(f"links cannot be made here: {error}")

    assert "cannot be read" in reason(tmp_path / "l.svg")
    assert len(faults(tmp_path)) == 2


def test_a_missing_file_is_told(tmp_path):
    assert "cannot be read: No such file" in reason(tmp_path / "l.svg")


def _reads_or_refuses(path: Path, raw: bytes) -> None:
    path.write_bytes(raw)
    with contextlib.suppress(LetterFileError):
        letter = load_letter(path)
        assert all(np.isfinite(stroke.path).all() for stroke in letter.taught.strokes)


FUZZ = settings(
    max_examples=150,
    suppress_health_check=[*settings().suppress_health_check, HealthCheck.function_scoped_fixture],
)


@FUZZ
@given(raw=st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(tmp_path, raw):
    _reads_or_refuses(tmp_path / "l.svg", raw)


@FUZZ
@given(data=st.text(alphabet="MmLlCcSsQqTtAaHhVvZz0123456789.-+eE, \n", max_size=60))
def test_any_path_data_is_read_or_refused(tmp_path, data):
    _reads_or_refuses(tmp_path / "l.svg", GOOD.replace("M0 -200 L0 0", "M0 -200 L0 0 " + data).encode())


@FUZZ
@given(at=st.integers(0, len(GOOD) - 1), size=st.integers(0, 20), put_in=st.text(max_size=10))
def test_a_damaged_file_is_read_or_refused(tmp_path, at, size, put_in):
    damaged = GOOD[:at] + put_in + GOOD[at + size :]
    _reads_or_refuses(tmp_path / "l.svg", damaged.encode(errors="replace"))


# --- a folder of letters


def test_one_file_dropped_into_an_empty_folder_is_an_alphabet(put, tmp_path):
    put(GOOD)

    alphabet = Alphabet.load(tmp_path)
    assert list(alphabet) == ["l"]
    assert alphabet.order == ("l",)
    assert alphabet.guide.ascender == -2
    assert faults(tmp_path) == []


def test_a_letter_that_the_table_does_not_name_comes_last(put, tmp_path):
    put(GOOD)
    put(GOOD.replace("<title>l<", "<title>a<").replace("-200", "-90"), "a")
    (tmp_path / "alphabet.toml").write_text(
        'name = "ours"\n[guide]\nascender = -1.8\n[[family]]\nname = "lines"\nletters = ["l"]\n'
        '[teaching]\norder = ["l"]\n'
    )

    alphabet = Alphabet.load(tmp_path)
    assert alphabet.name == "ours"
    assert alphabet.order == ("l", "a")
    assert alphabet.families[0].letters == ("l",)
    assert alphabet.guide.ascender == -1.8


TABLES = {
    "not TOML": ("name = ", "must be TOML"),
    "an unknown key": ('naem = "ours"', "'naem' is not known"),
    "an unknown guide line": ("[guide]\ntop = -2", "guide.'top' is not known"),
    "a name that is none": ("name = 5", "name must be a short text, not 5"),
    "guide lines in words": ('[guide]\nascender = "high"', "must be numbers in x-heights"),
    "guide lines upside down": ("[guide]\nascender = 1", "must run downward"),
    "guide lines that are none": ("[guide]\nascender = nan", "must run downward"),
    "another x-height": ("[guide]\nx_height = -0.5", "x_height must be -1"),
    "guide lines far away": ("[guide]\nascender = -50", "within 5 x-heights"),
    "no table": ("guide = 5", "guide must be a table, not 5"),
    "a letter without a file": ('[teaching]\norder = ["l", "b"]', "names 'b', which is the title of no file"),
    "a family letter without a file": (
        '[[family]]\nname = "x"\nletters = ["b"]',
        "family 1: letters names 'b', which is the title",
    ),
    "a family without a name": ('[[family]]\nletters = ["l"]', "family 1: name must be a short text"),
    "a letter in two families": (
        '[[family]]\nname = "x"\nletters = ["l"]\n[[family]]\nname = "y"\nletters = ["l"]',
        "'l' must stand in one family only, not in 2",
    ),
    "a letter twice in the order": ('[teaching]\norder = ["l", "l"]', "must name 'l' once, not 2 times"),
    "an order that is none": ('[teaching]\norder = "l"', "must be a list of letters, not 'l'"),
    "a family that is none": ("family = 5", "must be a [[family]] table"),
    "a number of thousands of digits": (f"name = {'9' * 5000}", "must be TOML"),
    "the same as a hexadecimal": (
        f"name = 0x{'f' * 5000}",
        "name must be a short text, not a value too large",
    ),
    "lines at such a number": (f"[guide]\nascender = 0x{'f' * 5000}", "int too large"),
    "a name that cannot be seen": ('name = "\\u0000"', "name must be a short text"),
    "a name of many parts": ("a" + ".a" * 60_000 + " = 1", "a line must have at most 300 dots"),
    "an order without end": (
        f"teaching.order = [{','.join(repr(str(n)) for n in range(9000))}]",
        "teaching.order must name at most 400 letters, not 9000",
    ),
    "families without end": ("[[family]]\n" * 9000, "at most 200 families, not 9000"),
    "a nest of lists": ("name = " + "[" * 5000, "must be TOML"),
}


@pytest.mark.parametrize("case", TABLES)
def test_each_fault_of_the_table_has_its_line(put, tmp_path, case):
    content, expected = TABLES[case]
    put(GOOD)
    (tmp_path / "alphabet.toml").write_text(content)

    lines = faults(tmp_path)
    assert len(lines) == 1
    assert lines[0].startswith(f"{tmp_path / 'alphabet.toml'}: ")
    assert expected in lines[0]
    with pytest.raises(LetterFileError, match=re.escape(expected)):
        Alphabet.load(tmp_path)


def test_a_table_that_is_a_folder_or_not_text_is_told(put, tmp_path):
    put(GOOD)
    (tmp_path / "alphabet.toml").mkdir()

    assert "must be a file" in faults(tmp_path)[0]


def test_two_letters_of_nearly_the_same_drawing_are_told(put, tmp_path):
    """Both letters and both formations are named; the place of the drawing does not count."""
    put(GOOD)
    twin = GOOD.replace("<title>l<", "<title>i<").replace("M0 -200 L0 0", "M60 -198 L60 0")
    put(twin.replace("M0 0 L0 -200", "M0 -50 L99 -50"), "i")

    (line,) = faults(tmp_path)
    assert "formation 'taught' must differ from 'i', formation 'taught', by at least 0.05 x-heights" in line
    assert Alphabet.load(tmp_path).keys() == {"i", "l"}


def test_letters_of_different_sets_may_have_one_drawing(put, tmp_path):
    """Common practice, no source: l, I and 1 are one line in plain print."""
    for name, file in (("l", "l"), ("I", "capital-i"), ("1", "1")):
        put(GOOD.replace("<title>l<", f"<title>{name}<"), file)

    assert faults(tmp_path) == []


def test_a_folder_without_letters_and_no_folder_are_told(tmp_path):
    assert "must hold 1 to 200 SVG files" in faults(tmp_path)[0]
    assert "must be a folder" in faults(tmp_path / "none")[0]
    (tmp_path / "file").write_text("x")
    assert "must be a folder" in faults(tmp_path / "file")[0]
    with pytest.raises(LetterFileError, match="must be a folder"):
        Alphabet.load("no\0folder")


# --- the shipped alphabets

SHIPPED_ONES = {alphabet.name: alphabet for alphabet in (PRINT, SLANTED)}
SMALL = {*ascii_lowercase, *"äöüßåøæéèêëáíóúñçčšžł"}


@pytest.mark.parametrize("name", SHIPPED_ONES)
def test_the_shipped_alphabets_are_faultless(name):
    assert faults(SHIPPED / name) == []


@pytest.mark.parametrize("name", SHIPPED_ONES)
def test_the_shipped_alphabets_have_the_letters_that_names_need(name):
    alphabet = SHIPPED_ONES[name]

    assert alphabet.name == name
    assert set(alphabet) == {*SMALL, *(letter.upper() for letter in SMALL - {"ß"}), "ẞ", *digits}
    assert sorted(alphabet.order) == sorted(name for name in alphabet if name.isascii())
    assert sorted(letter for family in alphabet.families for letter in family.letters) == list(alphabet)


def test_without_a_folder_the_alphabet_named_print_is_loaded():
    assert Alphabet.load().name == "print"


@pytest.mark.parametrize("name", SHIPPED_ONES)
def test_no_two_shipped_files_have_one_name_where_case_does_not_count(name):
    """Each is the name that the program itself would give."""
    for letter, file in usable(SHIPPED / name).files.items():
        assert file.name == file_name(letter)


TAUGHT = [
    (alphabet.name, letter.name, stroke)
    for alphabet in SHIPPED_ONES.values()
    for letter in alphabet.letters
    for stroke in letter.taught.strokes
]


def test_taught_curves_run_smoothly():
    """Where one curve goes over into another there is no kink: the pen turns little from point to point."""
    for alphabet, name, stroke in TAUGHT:
        steps = np.diff(stroke.path, axis=0)
        sizes = np.hypot(*steps.T)
        heading = np.degrees(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0])))
        in_curve = (sizes[1:] < 0.02) & (sizes[:-1] < 0.02)
        assert np.abs(np.diff(heading))[in_curve].max(initial=0) < 10, (alphabet, name)


def test_cues_can_be_said_while_the_pen_moves():
    """At most 12 words a cue, each a sentence."""
    for alphabet, name, stroke in TAUGHT:
        assert len(stroke.cue.split()) <= 12, (alphabet, name)
        assert stroke.cue[0].isupper(), (alphabet, name)
        assert stroke.cue.endswith("."), (alphabet, name)


@pytest.mark.parametrize("letter", sorted(SMALL))
def test_a_slanted_letter_comes_back_well_formed_however_it_is_written(letter):
    alphabet = SHIPPED_ONES["slanted"]
    for formation in alphabet[letter].formations:
        ink = write(formation, seed=1)
        report = check(ink, alphabet[letter], guide=alphabet.guide, hand=formation.hand)
        assert not [finding for finding in report.findings if not finding.note], formation.name


@for_each("letter", "bhklmnprBDEFHKL")
def test_slanted_stems_lean_to_the_right_by_one_angle(letter):
    """The first line down of a letter that begins with its stem: 9 degrees off the upright."""
    path = SHIPPED_ONES["slanted"][letter].taught.strokes[0].path
    right, up = path[0] - path[1]

    assert np.degrees(np.arctan2(right, -up)) == pytest.approx(9.1, abs=0.1)
