"""InkML read and written: what a trace may say, what is refused and how, and the way there and back."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strokes.errors import InkError, InkFileError
from strokes.files.inkml import inkml_lines, read_inkml, reader
from strokes.files.inkml.channels import NAMESPACE
from strokes.files.specimen import LONGEST, MOST_IN_TRACE, WIDEST, Specimen
from strokes.ink import Ink, Trace
from strokes.polyline import SMALLEST
from tests.cases import for_each


@pytest.fixture
def ink(tmp_path):
    """Reads what stands inside the root element."""

    def reading(inside):
        path = tmp_path / "ink.inkml"
        path.write_text(f'<ink xmlns="{NAMESPACE}">{inside}</ink>', encoding="utf-8")
        return read_inkml(path)

    return reading


def format_of(*channels, intermittent=()):
    """A traceFormat with these channels, each a name with attributes."""

    def tags(described):
        return "".join(
            f'<channel name="{name}" {" ".join(f"{key}={value!r}" for key, value in more.items())}/>'
            for name, more in described
        )

    later = f"<intermittentChannels>{tags(intermittent)}</intermittentChannels>" if intermittent else ""
    return f"<traceFormat>{tags(channels)}{later}</traceFormat>"


def plain(name, **more):
    return name, more


X, Y, T = plain("X"), plain("Y"), plain("T")


def lines(specimen):
    return [trace.points.tolist() for trace in specimen.ink.traces]


def refusal(ink, inside):
    """The one sentence with which something is refused."""
    with pytest.raises(InkFileError) as refused:
        ink(inside)
    assert "\n" not in str(refused.value)
    assert "ink.inkml: " in str(refused.value)
    return refused.value.reason


# What a trace may say


def test_explicit_values_are_x_and_y_as_they_stand(ink):
    (specimen,) = ink("<trace>1 2, -3.5 4,\n .5 -.25</trace><trace>7 8</trace>")

    assert lines(specimen) == [[[1, 2], [-3.5, 4], [0.5, -0.25]], [[7, 8]]]
    assert specimen.unit == "dev"
    assert specimen.ink.traces[0].times is None


def test_a_difference_is_added_to_the_value_before_until_the_prefix_changes(ink):
    (specimen,) = ink("<trace>10 20, '1'2, 3 4, !100 5, 7 -1</trace>")

    assert lines(specimen)[0] == [[10, 20], [11, 22], [14, 26], [100, 31], [7, 30]]


def test_a_second_difference_is_added_to_the_difference_before(ink):
    (specimen,) = ink("""<trace>0 0,'10'-10,"1"-1,2-2,'5'5,"0"0</trace>""")

    assert lines(specimen)[0] == [[0, 0], [10, -10], [21, -21], [34, -34], [39, -29], [44, -24]]


def test_a_star_repeats_the_value_before_and_the_difference_is_none_then(ink):
    (specimen,) = ink("""<trace>5 6, * *, '2 '3, * 1, "1 "1</trace>""")

    assert lines(specimen)[0] == [[5, 6], [5, 6], [7, 9], [7, 10], [8, 12]]


def test_prefixes_hold_for_their_own_channel_alone(ink):
    (specimen,) = ink("<trace>1 1, '2 8, 2 9</trace>")

    assert lines(specimen)[0] == [[1, 1], [3, 8], [5, 9]]


def test_values_need_no_space_where_they_cannot_be_confused(ink):
    layout = format_of(X, Y, intermittent=[plain("B1", type="boolean"), plain("B2", type="boolean")])
    (specimen,) = ink(f"{layout}<trace>1-2TF,3-4*?,'1'-1</trace>")

    assert lines(specimen)[0] == [[1, -2], [3, -4], [4, -5]]


def test_a_comma_at_the_end_closes_the_last_point(ink):
    assert lines(ink("<trace>1 2, 3 4,</trace>")[0])[0] == [[1, 2], [3, 4]]


def test_channels_are_read_in_the_order_of_the_format(ink):
    (specimen,) = ink(format_of(plain("F"), Y, X) + "<trace>0.5 20 10, 0.7 21 11</trace>")

    assert lines(specimen)[0] == [[10, 20], [11, 21]]


def test_intermittent_values_may_be_left_out_and_regular_ones_may_not(ink):
    layout = format_of(X, Y, intermittent=[plain("F")])

    assert lines(ink(f"{layout}<trace>1 2 9, 3 4, 5 6 ?</trace>")[0])[0] == [[1, 2], [3, 4], [5, 6]]
    assert "trace 1, point 2: must have at least 2 values, not 1" in refusal(
        ink, f"{layout}<trace>1 2, 3</trace>"
    )


def test_an_axis_that_runs_the_other_way_is_turned(ink):
    layout = format_of(X, plain("Y", orientation="-ve"))

    assert lines(ink(f"{layout}<trace>1 2, 3 4</trace>")[0])[0] == [[1, -2], [3, -4]]


@pytest.mark.parametrize(
    ("unit", "millimeters"),
    [("mm", 1), ("cm", 10), ("m", 1000), ("in", 25.4), ("pt", 25.4 / 72), ("pc", 25.4 / 6)],
)
def test_lengths_come_out_in_millimeters(ink, unit, millimeters):
    (specimen,) = ink(format_of(plain("X", units=unit), plain("Y", units="mm")) + "<trace>1 1</trace>")

    assert specimen.unit == "mm"
    assert lines(specimen)[0][0] == pytest.approx([millimeters, 1])


# Pressure and tilt


@for_each(
    ("force", "values", "shares"),
    [
        ({"min": "0", "max": "200"}, "50, 1 1 300", [0.25, 1]),
        ({"min": "-1", "max": "1", "orientation": "-ve"}, "-1, 1 1 0", [1, 0.5]),
        ({"min": "0", "max": "200", "type": "integer"}, "0, 1 1 -7", [0, 0]),
        ({}, "50, 1 1 300", None),
        ({"max": "200"}, "50, 1 1 300", None),
        ({"min": "9", "max": "9"}, "50, 1 1 300", None),
        ({"min": "a", "max": "inf"}, "50, 1 1 300", None),
        ({"min": "0", "max": "200", "type": "boolean"}, "T, 1 1 F", None),
        ({"min": "0", "max": "200"}, "?, 1 1 20", None),
    ],
)
def test_pressure_is_a_share_of_the_range_that_is_said(ink, force, values, shares):
    (specimen,) = ink(format_of(X, Y, plain("F", **force)) + f"<trace>0 0 {values}</trace>")
    pressure = specimen.ink.traces[0].pressure

    assert pressure is None if shares is None else pressure.tolist() == shares


@pytest.mark.parametrize(
    ("unit", "values", "tilt"),
    [
        ("deg", "10 -20", [[10, -20]]),
        ("rad", "0 0.5", [[0, 28.6479]]),
        ("deg", "10 91", None),
        ("dev", "10 -20", None),
        ("deg", "? 5", None),
    ],
)
def test_tilt_is_in_degrees_where_its_unit_is_known(ink, unit, values, tilt):
    axes = [plain(name, units=unit) for name in ("OTx", "OTy")]
    (specimen,) = ink(format_of(X, Y, *axes) + f"<trace>0 0 {values}</trace>")
    (alone,) = ink(format_of(X, Y, axes[0]) + "<trace>0 0 5</trace>")
    read = specimen.ink.traces[0].tilt

    assert alone.ink.traces[0].tilt is None
    assert read is None if tilt is None else np.allclose(read, tilt, atol=1e-3)


# Times


def test_times_are_seconds_from_the_first_touch(ink):
    (specimen,) = ink(
        format_of(X, Y, plain("T", units="ms")) + "<trace>0 0 500, 1 1 510</trace><trace>2 2 700</trace>"
    )

    assert specimen.ink.traces[0].times == pytest.approx([0, 0.01])
    assert specimen.ink.traces[1].times == pytest.approx([0.2])


def test_an_offset_counts_where_time_begins_at_nothing_in_its_trace(ink):
    (specimen,) = ink(
        format_of(X, Y, plain("T", units="s"))
        + '<trace timeOffset="1000">0 0 0, 1 1 0.1</trace><trace timeOffset="1500">2 2 0, 3 3 0.1</trace>'
    )

    assert specimen.ink.traces[1].times == pytest.approx([0.5, 0.6])


def test_ink_of_which_some_is_without_times_has_none(ink):
    (specimen,) = ink(format_of(X, Y, T) + "<trace>0 0 1, 1 1 ?</trace><trace>0 0 5</trace>")

    assert [trace.times for trace in specimen.ink.traces] == [None, None]


# Groups and contexts


def test_each_group_is_a_specimen_and_says_what_its_groups_say_too(ink):
    specimens = ink(
        """<traceGroup><annotation type="writer"> Nella  </annotation>
             <traceGroup>
               <annotation type="letter">b</annotation><trace>0 0</trace><trace>1 1</trace>
             </traceGroup>
             <traceGroup><annotation type="letter">d</annotation><trace>2 2</trace></traceGroup>
           </traceGroup><trace>3 3</trace>"""
    )

    assert [len(specimen.ink) for specimen in specimens] == [1, 2, 1]
    assert [specimen.about for specimen in specimens[1:]] == [
        {"writer": "Nella", "letter": "b"},
        {"writer": "Nella", "letter": "d"},
    ]
    assert specimens[0].about == {}


def test_a_trace_takes_the_context_it_names_before_that_of_its_group(ink):
    (specimen,) = ink(
        f"""<definitions>
              <context xml:id="turned">{format_of(Y, X)}</context>
              <traceFormat xml:id="three">
                <channel name="X"/><channel name="Z"/><channel name="Y"/>
              </traceFormat>
              <inkSource xml:id="pad" traceFormatRef="#three"/>
              <context xml:id="deep" inkSourceRef="#pad"/>
              <context xml:id="heir" contextRef="#deep"/>
            </definitions>
            <traceGroup contextRef="#turned">
              <trace>1 2</trace><trace contextRef="#heir">1 0 2</trace>
            </traceGroup>"""
    )

    assert lines(specimen) == [[[2, 1]], [[1, 2]]]


def test_a_context_in_the_stream_holds_for_what_comes_after_it(ink):
    (specimen,) = ink(f"<trace>1 2</trace><context>{format_of(Y, X)}</context><trace>1 2</trace>")

    assert lines(specimen) == [[[1, 2]], [[2, 1]]]


def test_a_pen_that_is_up_and_a_trace_without_points_are_no_ink(ink):
    (specimen,) = ink(
        '<trace type="penUp">1 2, 3 4</trace><trace> </trace><trace type="indeterminate">5 6</trace>'
    )

    assert lines(specimen) == [[[5, 6]]]


# What is refused

REFUSED = {
    "<trace>1 2, 3</trace>": "trace 1, point 2: must have at least 2 values, not 1",
    "<trace>1 2 3</trace>": "must have at most 2 values",
    "<trace>1 2, x 3</trace>": "must be values such as 12",
    "<trace>1.2.3 4</trace>": "not '.3 4'",
    "<trace>NaN 1</trace>": "not 'NaN 1'",
    "<trace>inf 1</trace>": "not 'inf 1'",
    "<trace>1e999 1</trace>": "channel X must lie within 1e+09 of 0",
    f"<trace>{'9' * 400} 1</trace>": "channel X must lie within 1e+09 of 0",
    "<trace>900000000 1, '200000000 1</trace>": "point 2: channel X must lie within",
    "<trace>#ff 1</trace>": "not '#ff 1'",
    "<trace>'1 2</trace>": "channel X must begin with an explicit value",
    '<trace>1 2, "1 2</trace>': "channel X must have a first difference before a second one",
    "<trace>* 2</trace>": "must have a value before it can be repeated",
    "<trace>1 2, ? 2</trace>": "trace 1, point 2: X and Y must have a value, not ?",
    "<trace>T 2</trace>": "channel X must be a number, not T",
    "<trace>1 2,, 3 4</trace>": "point 2: must have at least 2 values, not 0",
    "<trace>1 2<trace>3 4</trace></trace>": "trace 1 must hold values alone",
    '<trace continuation="end">1 2</trace>': "must be whole",
    '<trace type="up">1 2</trace>': "type must be penDown",
    "<trace>1 2</trace><traceView/>": "not views of them",
    "<trace>1 2</trace><shape/>": "must hold traces, groups and contexts, not <shape>",
    format_of(X, Y, T) + '<trace timeOffset="1e308">1 2 0</trace><trace>1 2 1</trace>': "within 1e+15",
    format_of(X, Y, T) + '<trace>1 2 0</trace><trace timeOffset="86500000">1 2 0</trace>': (
        "must be written within 86400 seconds, not 86500"
    ),
    format_of(plain("X", units="ex"), plain("Y", units="ex")) + "<trace>1 2, 20000 1</trace>": (
        "places must lie within 10000 ex of 0, not 20000 away"
    ),
    f"<annotation type='a'>{'b' * 1001}</annotation>": "an annotation must have at most 1000 characters",
    "".join(f"<annotation type='{n}'/>" for n in range(101)): "a group must have at most 100 annotations",
    "".join(f"<context id='{n}'/>" for n in range(1001)): "at most 1000 contexts and formats",
    "": "must have at least one trace with a point, not none",
    "<traceGroup/>": "must have at least one trace with a point, not none",
    '<trace contextRef="http://far.example/a#b">1 2</trace>': "a reference must stay inside the file",
    '<trace contextRef="#none">1 2</trace>': "a context with the id 'none' must be in the file",
    '<context xml:id="a" contextRef="#b"/><context xml:id="b" contextRef="#a"/>': "not in a circle",
    '<context xml:id="a"/><context xml:id="a"/><trace>1 2</trace>': "an id must stand for one thing",
    "<traceFormat/><trace>1 2</trace>": "must have the channel X",
    "<traceFormat><channel name='X'/></traceFormat><trace>1 2</trace>": "must have the channel Y",
    format_of(X, Y, X): "must name a channel once, not twice 'X'",
    format_of(*(plain(f"C{n}") for n in range(50))): "at most 40 channels, not 50",
    format_of(X, plain("Y", type="word")): "the type of channel Y must be",
    format_of(X, plain("Y", type="boolean")): "channel Y must have numbers",
    format_of(X, plain("Y", units="ell")): "the unit of channel Y must be one of",
    format_of(X, plain("Y", units="mm")): "must have the same unit or be lengths both, not dev and mm",
    format_of(X, plain("Y", orientation="up")): "the orientation of channel Y must be",
    format_of(X, Y, plain("T", units="mm")): "the unit of channel T must be s or ms",
    format_of(X, Y, plain("!")): "a channel must have a name of letters and digits, not '!'",
    format_of(plain("X", type="integer"), Y) + "<trace>1.5 2</trace>": "X must be a whole number, not '1.5'",
    format_of(X, Y, plain("B1", type="boolean")) + "<trace>1 2 1</trace>": "B1 must be T or F, not '1'",
    format_of(X, Y, T) + "<trace>0 0 5, 1 1 4</trace>": "times must not run backwards",
    format_of(X, Y, T) + '<trace timeOffset="soon">0 0 0</trace>': "timeOffset must be milliseconds",
    format_of(X, Y, T) + '<trace timeOffset="nan">0 0 0</trace>': "timeOffset must be milliseconds",
    "<traceGroup>" * 60 + "<trace>1 2</trace>" + "</traceGroup>" * 60: "at most 40 deep",
    f"<trace>{'1 2,' * (MOST_IN_TRACE + 1)}</trace>": f"at most {MOST_IN_TRACE} points",
}


@for_each(("inside", "reason"), REFUSED.items(), ids=[str(n) for n in range(len(REFUSED))])
def test_what_would_need_a_guess_is_refused_in_one_sentence(ink, inside, reason):
    assert reason in refusal(ink, inside)


def test_a_group_with_two_units_is_refused(ink):
    inches = format_of(plain("X", units="in"), plain("Y", units="in"))

    assert "must have one unit, not dev and mm" in refusal(
        ink, f"<trace>1 2</trace>{inches}<trace>1 2</trace>"
    )


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        ("", "must be well-formed XML"),
        ("<svg/>", "must begin with <ink"),
        ('<ink xmlns="http://else.example"><trace>1 2</trace></ink>', "must begin with <ink"),
        ("<ink><trace>1 2, 3", "must be well-formed XML"),
        ('<!DOCTYPE ink [<!ENTITY a "1 2,">]><ink><trace>&a;&a;</trace></ink>', "must have no DOCTYPE"),
        ('<!DOCTYPE ink SYSTEM "file:///etc/passwd"><ink/>', "must have no DOCTYPE"),
        ("<ink><trace>&a;</trace></ink>", "must be well-formed XML"),
        ('<?xml-stylesheet href="a.css"?><ink/>', "must have no style sheet"),
        (" " * 16380 + '<?xml-stylesheet href="a.css"?><ink/>', "must have no style sheet"),
    ],
)
def test_a_file_that_is_cut_off_or_pulls_in_others_is_refused(tmp_path, content, reason):
    path = tmp_path / "ink.inkml"
    path.write_text(content, encoding="utf-8")

    with pytest.raises(InkFileError, match=reason):
        read_inkml(path)


@pytest.mark.parametrize(
    ("content", "mark"),
    [
        ("<a/>" * 20_001, "<"),
        ("<a " + " ".join(f"a{number}='1'" for number in range(20_001)) + "/>", "="),
    ],
)
def test_a_file_with_more_elements_or_attributes_than_there_is_room_for_is_refused(
    tmp_path, monkeypatch, content, mark
):
    monkeypatch.setattr("strokes.files.text_file.MOST_MARKS", 20_000)  # more than one piece of the file has
    path = tmp_path / "ink.inkml"
    path.write_text(f"<ink>{content}</ink>", encoding="utf-8")

    with pytest.raises(InkFileError, match=f"must have {mark} at most 20000 times"):
        read_inkml(path)


def test_a_file_that_is_not_there_or_too_large_is_refused(tmp_path):
    with pytest.raises(InkFileError, match="cannot be read: No such file"):
        read_inkml(tmp_path / "none.inkml")
    with pytest.raises(InkFileError, match="must be a file, not a folder"):
        read_inkml(tmp_path)
    huge = tmp_path / "huge.inkml"
    with huge.open("wb") as file:
        file.truncate(10**12)
    with pytest.raises(InkFileError, match="must have at most 33554432 bytes, not 1000000000000"):
        read_inkml(huge)


# There and back


def _is_kept(number):
    """Whether ink keeps a number as it is: one that is too small to count becomes 0."""
    return number == 0 or abs(number) >= SMALLEST


def specimens():
    """Ink with and without times, in a known unit, with something told of it."""

    @st.composite
    def trace(draw, *, timed, unit):
        places = st.floats(-WIDEST[unit], WIDEST[unit], allow_subnormal=False).filter(_is_kept)
        points = draw(st.lists(st.tuples(places, places), min_size=1, max_size=6))
        seconds = st.floats(0, LONGEST).filter(_is_kept)
        count = len(points)
        times = sorted(draw(st.lists(seconds, min_size=count, max_size=count)))
        pressure = draw(st.none() | st.lists(st.sampled_from([0, 0.25, 1]), min_size=count, max_size=count))
        tilt = draw(st.none() | st.just([[-90.0, 12.5]] * count))
        return Trace(np.array(points), np.array(times) if timed else None, pressure, tilt)

    @st.composite
    def specimen(draw):
        timed, unit = draw(st.booleans()), draw(st.sampled_from(["ex", "dev", "mm"]))
        traces = draw(st.lists(trace(timed=timed, unit=unit), min_size=1, max_size=4))
        if timed:
            start = min(trace.times[0] for trace in traces)
            traces = [replace(trace, times=trace.times - start) for trace in traces]
        words = st.text("abc<>&'\"ß 1", max_size=8).map(lambda text: " ".join(text.split()))
        about = draw(st.dictionaries(words.filter(bool), words, max_size=3))
        return Specimen(Ink(tuple(traces)), about, unit)

    return st.lists(specimen(), min_size=1, max_size=3)


@settings(max_examples=40)
@given(specimens())
def test_what_is_written_reads_back_as_it_was(tmp_path_factory, wanted):
    path = tmp_path_factory.mktemp("ink") / "ink.inkml"
    path.write_text("".join(inkml_lines(wanted)), encoding="utf-8")

    specimens = read_inkml(path)

    assert len(specimens) == len(wanted)
    for specimen, other in zip(specimens, wanted, strict=True):
        assert (specimen.about, specimen.unit) == (other.about, other.unit)
        for read_back, made in zip(specimen.ink.traces, other.ink.traces, strict=True):
            assert np.array_equal(read_back.points, made.points)
            for name in ("times", "pressure", "tilt"):
                values, wanted_values = getattr(read_back, name), getattr(made, name)
                assert (values is None) == (wanted_values is None)
                assert values is None or np.array_equal(values, wanted_values)


def test_what_is_written_has_explicit_values_without_exponents():
    ink = Ink.from_arrays([[[1e-7, -2.5e8]]])

    text = "".join(inkml_lines([Specimen(ink, {"letter": "a"}, "ex")]))

    assert "0.0000001 -250000000</trace>" in text
    assert text.startswith(
        '<?xml version="1.0" encoding="UTF-8"?>\n<ink xmlns="http://www.w3.org/2003/InkML">'
    )


def test_numbers_are_rounded_where_that_is_asked_for():
    text = "".join(inkml_lines([Specimen(Ink.from_arrays([[[0.30000000000000004, 1 / 3]]]))], decimals=4))

    assert ">0.3 0.3333</trace>" in text


@pytest.mark.parametrize("specimen", [Specimen(Ink(), {"letter": "\x00"}), Specimen(Ink(), unit="ell")])
def test_what_no_reader_could_take_is_not_written(specimen):
    with pytest.raises(InkError):
        list(inkml_lines([specimen]))


def test_broken_files_bring_no_error_but_ours(tmp_path):
    """A sound file with bytes changed, lost, doubled or swapped, two thousand times."""
    layout = format_of(X, Y, T, intermittent=[plain("B1", type="boolean")])
    sound = (
        f'<ink xmlns="{NAMESPACE}"><definitions><context xml:id="c">{layout}</context></definitions>'
        '<traceGroup contextRef="#c"><annotation type="letter">a</annotation>'
        """<trace timeOffset="5">1 2 0 T,'3'-4'5*,"1"2"0,* 2 ? F</trace></traceGroup></ink>"""
    ).encode()
    chance = random.Random(3)
    path = tmp_path / "ink.inkml"
    read_well, refusals = 0, []
    for _ in range(2000):
        broken = bytearray(sound)
        for _ in range(chance.randint(1, 4)):
            at, length = chance.randrange(len(broken)), chance.randint(0, 12)
            piece = chance.choice(
                [
                    b"",
                    bytes([chance.randrange(256)]),
                    bytes(broken[at : at + length]) * 2,
                    b"9" * 20,
                    b"'\"*?,",
                ]
            )
            broken[at : at + length] = piece
        path.write_bytes(bytes(broken))
        try:
            read_inkml(path)
            read_well += 1
        except InkFileError as error:
            refusals.append(str(error))

    assert not any("\n" in sentence for sentence in refusals)
    assert 0 < read_well < 2000


@pytest.mark.parametrize(
    ("plain", "long_way"), [("1 2,\n-3.5\t.25,4. -.5", "!1 2,-3.5 .25,4. -.5"), ("12-7,3 4", "!12 -7,3 4")]
)
def test_plain_numbers_are_the_same_numbers_on_the_short_way_through_the_reader(ink, plain, long_way):
    """An explicit `!` takes the long one."""
    (short,), (long,) = (ink(f"<trace>{text}</trace>") for text in (plain, long_way))

    assert short.ink.traces[0].points.tolist() == long.ink.traces[0].points.tolist()


def test_more_differences_than_can_be_read_in_time_are_refused(ink, monkeypatch):
    monkeypatch.setattr(reader, "MOST_ENCODED", 3)

    with pytest.raises(InkFileError, match="at most 3 points in traces with anything but plain numbers"):
        ink("<trace>1 1" + ",'1 1" * 3 + "</trace>")
