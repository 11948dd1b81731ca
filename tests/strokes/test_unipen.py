"""UNIPEN 1.0 read: components, segments, included files, and what is refused."""

from __future__ import annotations

import random
import tracemalloc

import pytest

from strokes.errors import InkFileError
from strokes.files import read_ink
from strokes.files.unipen import lines as unipenlines
from strokes.files.unipen import read_unipen
from strokes.files.unipen.lines import MOST_INCLUDED
from tests.cases import for_each

HEAD = ".VERSION 1.0\n.COORD X Y\n"

WORD = (
    HEAD
    + """.SEGMENT CHARACTER 0 ? "c"
.SEGMENT CHARACTER 2-4 OK "i"
.PEN_DOWN
0 10
5 0
.PEN_UP
.PEN_DOWN
.PEN_UP
7 1
.PEN_DOWN
10 10
10 0
.PEN_UP
10 3
.PEN_DOWN
10 15
"""
)
"""A c and an i with its dot; an empty .PEN_UP and an empty .PEN_DOWN lie between them."""


@pytest.fixture
def unipen(tmp_path):
    """Reads a text as a UNIPEN file."""

    def reading(text, **options):
        path = tmp_path / "ink.dat"
        path.write_text(text, encoding="latin-1")
        return read_unipen(path, **options)

    return reading


def lines(specimen):
    return [trace.points.tolist() for trace in specimen.ink.traces]


def refusal(unipen, text):
    with pytest.raises(InkFileError) as refused:
        unipen(text)
    assert "\n" not in str(refused.value)
    return refused.value.reason


# Components and segments


def test_components_are_the_blocks_that_are_not_empty_counted_from_0(unipen):
    """Component 1 is the pen-up with the point 7 1; the empty blocks before it do not count."""
    c, i = unipen(WORD)

    assert lines(c) == [[[0, -10], [5, 0]]]
    assert lines(i) == [[[10, -10], [10, 0]], [[10, -15]]]
    assert (c.about, i.about) == ({"label": "c"}, {"label": "i", "quality": "OK"})


def test_y_that_grows_upward_is_turned_down(unipen):
    (specimen,) = unipen(HEAD + ".PEN_DOWN\n1 -2\n3 4\n")

    assert lines(specimen) == [[[1, 2], [3, -4]]]


def test_coordinates_are_read_in_the_order_that_the_file_says(unipen):
    (specimen,) = unipen(".COORD P Y X\n.PEN_DOWN\n9 2 1\n9 4 3\n")

    assert lines(specimen) == [[[1, -2], [3, -4]]]


def test_a_segment_may_begin_and_end_inside_components(unipen):
    strokes = "".join(f".PEN_DOWN\n{n}0 0\n{n}1 0\n{n}2 0\n{n}3 0\n" for n in range(1, 4))
    parts = ['0:2-2:1 ? "a"', '1:1-1:2 ? "b"', '0,2 ? "c"', '2:3 ? "d"']
    specimens = unipen(HEAD + strokes + "".join(f".SEGMENT CHARACTER {part}\n" for part in parts))
    across = [[[x for x, _ in trace] for trace in lines(specimen)] for specimen in specimens]

    assert across == [
        [[12, 13], [20, 21, 22, 23], [30, 31]],
        [[21, 22]],
        [[10, 11, 12, 13], [30, 31, 32, 33]],
        [[33]],
    ]


def test_a_file_without_segments_is_one_specimen(unipen):
    (specimen,) = unipen("\n".join(line for line in WORD.splitlines() if "SEGMENT" not in line))

    assert len(specimen.ink) == 3
    assert specimen.about == {}


def test_another_level_of_the_hierarchy_can_be_asked_for(unipen):
    text = WORD + '.SEGMENT WORD 0-4 ? "say \\"ci\\""\n'

    assert [specimen.about["label"] for specimen in unipen(text)] == ["c", "i"]
    assert [specimen.about["label"] for specimen in unipen(text, level="WORD")] == ['say "ci"']


def test_points_in_millimeters_where_the_file_says_how_many_make_an_inch(unipen):
    (specimen,) = unipen(HEAD + ".X_POINTS_PER_INCH 254\n.Y_POINTS_PER_INCH 127\n.PEN_DOWN\n10 10\n")

    assert specimen.unit == "mm"
    assert lines(specimen)[0][0] == pytest.approx([1, -2])


def test_the_hand_is_told_and_the_writer_is_not(unipen):
    (specimen,) = unipen(HEAD + ".WRITER_ID N. Nobody\n.AGE 6\n.HAND L\n.PEN_DOWN\n1 2\n")

    assert specimen.about == {"hand": "left"}


# Times


def test_times_come_from_the_channel_t_in_milliseconds(unipen):
    (specimen,) = unipen(".COORD X Y T\n.PEN_DOWN\n0 0 500\n1 1 510\n.PEN_UP\n.PEN_DOWN\n2 2 700\n")

    assert [trace.times.tolist() for trace in specimen.ink.traces] == [
        pytest.approx([0, 0.01]),
        pytest.approx([0.2]),
    ]


def test_times_come_from_the_points_per_second_and_go_on_while_the_pen_is_up(unipen):
    (specimen,) = unipen(
        HEAD + ".POINTS_PER_SECOND 100\n.PEN_DOWN\n0 0\n1 1\n.PEN_UP\n2 2\n.DT 50\n.PEN_DOWN\n3 3\n"
    )

    assert specimen.ink.traces[0].times == pytest.approx([0, 0.01])
    assert specimen.ink.traces[1].times == pytest.approx([0.08])


# Included files


def test_an_included_file_stands_in_the_place_of_its_key_word(unipen, tmp_path):
    (tmp_path / "pens").mkdir()
    (tmp_path / "pens" / "one.dat").write_text(".COORD X Y\n.PEN_DOWN\n1 1\n.INCLUDE two.dat\n")
    (tmp_path / "pens" / "two.dat").write_text(".PEN_DOWN\n2 2\n")

    specimens = unipen('.INCLUDE "pens/one.dat"\n.PEN_DOWN\n3 3\n.SEGMENT CHARACTER 1-2 ? "b"\n')

    assert lines(specimens[0]) == [[[2, -2]], [[3, -3]]]


@pytest.mark.parametrize("name", ["../secret.dat", "/etc/passwd", "pens/../../secret.dat", "link.dat"])
def test_an_included_file_must_lie_in_the_folder(unipen, tmp_path, name):
    """A link that leads out of the folder is as good as a path that does."""
    (tmp_path.parent / "secret.dat").write_text(HEAD + ".PEN_DOWN\n1 1\n")
    (tmp_path / "pens").mkdir()
    (tmp_path / "link.dat").symlink_to(tmp_path.parent / "secret.dat")

    assert ".INCLUDE must stay in the folder" in refusal(unipen, f".INCLUDE {name}\n")


def test_a_folder_that_is_a_link_leads_out_too(unipen, tmp_path):
    (tmp_path / "away").symlink_to("/etc")

    assert ".INCLUDE must stay in the folder" in refusal(unipen, ".INCLUDE away/hostname\n")


def test_files_that_include_each_other_are_refused(unipen, tmp_path):
    (tmp_path / "other.dat").write_text(".INCLUDE ink.dat\n")

    assert refusal(unipen, ".INCLUDE ink.dat\n") == (
        "line 1: .INCLUDE must not lead back to a file that includes it, as 'ink.dat' does"
    )
    with pytest.raises(InkFileError, match="must not lead back"):
        read_unipen(tmp_path / "other.dat")


def test_files_that_double_at_each_level_end_soon(unipen, tmp_path):
    """Thirty levels would be a billion files."""
    for level in range(30):
        (tmp_path / f"{level}.dat").write_text(f".INCLUDE {level + 1}.dat\n.INCLUDE {level + 1}.dat\n")
    (tmp_path / "30.dat").write_text(HEAD + ".PEN_DOWN\n1 1\n")

    assert f"at most {MOST_INCLUDED} files, 40 deep, must be included" in refusal(unipen, ".INCLUDE 0.dat\n")


# What is refused

REFUSED = {
    HEAD + ".X_POINTS_PER_INCH 1e-323\n": "line 3: .X_POINTS_PER_INCH must be above 0, by a millionth",
    HEAD + ".PEN_DOWN\n1 1\n.X_POINTS_PER_MM 9\n.Y_POINTS_PER_MM 9\n.PEN_DOWN\n1 1\n": (
        "points must all come before what tells their scale, or all after it"
    ),
    HEAD + ".X_POINTS_PER_MM 0.001\n.Y_POINTS_PER_MM 1\n.PEN_DOWN\n1000 1\n": (
        "places must lie within 100000 mm of 0"
    ),
    ".COORD X Y T\n.PEN_DOWN\n1 1 0\n.PEN_DOWN\n1 1 90000000\n": "must be written within 86400 seconds",
    HEAD + ".PEN_DOWN\n1 1\n" + f".SEGMENT CHARACTER {','.join('0' * 1000)} OK\n" * 101: (
        "all segments together must have at most 50000 ranges"
    ),
    HEAD: "must have at least one .PEN_DOWN or .PEN_UP with points, not none",
    ".PEN_DOWN\n1 2\n": "line 1: .COORD must come before the first points",
    ".COORD X\n": "line 1: .COORD must name X, Y",
    ".COORD X Y Y\n": "each once, not 'X Y Y'",
    HEAD + ".PEN_DOWN\n1 2\n3\n": "line 5: a point must have 2 numbers, as .COORD says, not 1",
    HEAD + ".PEN_DOWN\n1 2 3\n": "line 4: a point must have 2 numbers, as .COORD says, not 3",
    HEAD + ".PEN_DOWN\n1 nan\n": "line 4: a point must have numbers, not 'nan'",
    HEAD + ".PEN_DOWN\n1 1e5\n": "line 4: a point must have numbers, not '1e5'",
    HEAD + ".PEN_DOWN\n1 inf\n": "not 'inf'",
    HEAD + f".PEN_DOWN\n1 {'9' * 500}\n": "a point must have numbers, not '9999",
    HEAD + ".PEN_DOWN\n1 9999999999\n": "line 3: numbers must lie within 1e+09 of 0",
    ".COORD X Y T\n.PEN_DOWN\n1 1 5\n1 1 4\n": "line 2: times must not run backwards",
    HEAD + ".POINTS_PER_SECOND 0\n": "line 3: .POINTS_PER_SECOND must be above 0",
    HEAD + ".POINTS_PER_SECOND fast\n": "must have a number that is not negative, not ' fast",
    HEAD + ".X_POINTS_PER_INCH -3\n": ".X_POINTS_PER_INCH must have a number",
    HEAD + ".X_POINTS_PER_INCH nan\n": ".X_POINTS_PER_INCH must have a number",
    ".INCLUDE\n": ".INCLUDE must name one file, not none",
    ".INCLUDE none.dat\n": "none.dat: cannot be read",
    WORD + '.SEGMENT CHARACTER 0-99 ? "x"\n': "line 19: .SEGMENT: components must be from 0 to 4, not 99",
    WORD + '.SEGMENT CHARACTER -1 ? "x"\n': "must have components such as 10, 10-12 or 10:3-12:7",
    WORD + '.SEGMENT CHARACTER 3-1 ? "x"\n': "must run forwards, not from component 3 to 1",
    WORD + '.SEGMENT CHARACTER 0:5-0:9 ? "x"\n': "points of component 0 must be from 0 to 1, in order",
    WORD + '.SEGMENT CHARACTER 0:1-0:0 ? "x"\n': "points of component 0 must be from 0 to 1, in order",
    WORD + ".SEGMENT CHARACTER\n": ".SEGMENT CHARACTER must name its components",
    WORD + ".SEGMENT\n": ".SEGMENT must name a level and components",
    HEAD + '.PEN_DOWN\n1 1\n.SEGMENT WORD 0 ? "ci"\n': "must have segments of the level CHARACTER",
    HEAD + '.PEN_UP\n1 1\n.SEGMENT CHARACTER 0 ? "c"\n': "at least one segment in which the pen is down",
}


@for_each(("text", "reason"), REFUSED.items(), ids=[str(n) for n in range(len(REFUSED))])
def test_what_would_need_a_guess_is_refused_in_one_sentence(unipen, text, reason):
    with pytest.raises(InkFileError) as refused:
        unipen(text)

    assert reason in str(refused.value)
    assert "\n" not in str(refused.value)


def test_segments_that_repeat_everything_without_end_are_refused(unipen):
    points = "1 1\n" * 50_000
    again = '.SEGMENT CHARACTER 0 ? "x"\n' * 100

    assert "all segments together must have at most" in refusal(unipen, f"{HEAD}.PEN_DOWN\n{points}{again}")


def test_key_words_without_end_are_refused(unipen, tmp_path, monkeypatch):
    """Those of included files count, and so does each .INCLUDE."""
    monkeypatch.setattr(unipenlines, "MOST_STATEMENTS", 100)
    (tmp_path / "other.dat").write_text(".B\n.B\n.B\n")

    assert refusal(unipen, ".INCLUDE other.dat\n" + ".A\n" * 200) == (
        "line 98: a file must have at most 100 key words, not more"
    )


def test_a_line_is_taken_only_when_those_before_it_were_good(unipen):
    """Millions of points in one component are refused without room for all of them."""
    text = f"{HEAD}.PEN_DOWN\n" + "1 2\n" * 2_000_000
    tracemalloc.start()
    try:
        assert "a component must have at most 100000 points" in refusal(unipen, text)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()

    assert peak < 10 * len(text)


def test_broken_files_bring_no_error_but_ours(unipen):
    chance = random.Random(4)
    read_well, refusals = 0, []
    sound = WORD.replace(".COORD X Y\n", ".COORD X Y\n.POINTS_PER_SECOND 100\n.DT 5\n")
    for _ in range(1000):
        broken = sound
        for _ in range(chance.randint(1, 4)):
            at, length = chance.randrange(len(broken)), chance.randint(0, 12)
            piece = chance.choice(
                ["", chr(chance.randrange(256)), broken[at : at + length] * 2, "9" * 20, "\n.", "-"]
            )
            broken = broken[:at] + piece + broken[at + length :]
        try:
            unipen(broken)
            read_well += 1
        except InkFileError as error:
            refusals.append(str(error))

    assert not any("\n" in sentence for sentence in refusals)
    assert 0 < read_well < 1000


# Either format


def test_the_format_is_told_by_the_content(tmp_path):
    (tmp_path / "a.txt").write_text("\ufeff <ink><trace>1 2</trace></ink>", encoding="utf-8")
    (tmp_path / "b.txt").write_text("A remark.\n" + WORD)
    (tmp_path / "c.txt").write_text("1 2\n3 4\n")

    assert len(read_ink(tmp_path / "a.txt")) == 1
    assert len(read_ink(tmp_path / "b.txt")) == 2
    with pytest.raises(InkFileError, match="must be InkML, which begins with <, or UNIPEN"):
        read_ink(tmp_path / "c.txt")
