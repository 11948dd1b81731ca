"""Look-alikes: letters that only size, place or context tells, from the facts of the trade, section 4b.

Common practice, no source. Between guide lines the height or the place tells most of them; without lines each
must be judged as the letter asked for and never as another one.
"""

from __future__ import annotations

from itertools import product
from string import ascii_uppercase

from strokes import GuideLines, Kind, check
from strokes.recognition import look
from strokes.simulation import write
from strokes.transform import Transform
from tests.cases import for_each
from tests.shipped import BARE, SLANTED
from tests.shipped import PRINT as ALPHABET

SIZE_TELLS = ["Cc", "Oo", "0o", "Ss", "Vv", "Ww", "Xx", "Zz", "Pp", "Uu", "5s", "2z"]
"""The first of each pair stands from the base line to the ascender line, the second elsewhere."""

CONTEXT_TELLS = ["Kk", "O0", "Il", "I1", "l1", "S5", "Z2", "B8", "G6", "g9", "q9"]
"""Both of a pair are as tall, or nothing but the descender tells them."""

CASE_TELLS = "abdefghmnqr"
"""Small letters that are another drawing than their capital, however large: a capital in place of a small
letter is what children of this age mix up most (common practice, no source). Of t only the place of the bar
tells, so that not every T in its place is told."""

SAME_DRAWING = 0.01
"""Look, in squares of the letter's size, up to which two drawings are one but for size and place: a tenth."""


@for_each("pair", [*SIZE_TELLS, *CONTEXT_TELLS])
def test_a_look_alike_is_never_called_another_letter_with_lines_or_without(pair: str) -> None:
    for alphabet, guide in product((ALPHABET, SLANTED), (None, GuideLines())):
        for asked, written in (pair, pair[::-1]):
            report = check(write(alphabet[written], seed=3), alphabet[asked], guide=guide)

            assert [finding.letter for finding in report.findings if finding.letter] == [], (asked, written)


@for_each("pair", SIZE_TELLS)
def test_between_lines_the_height_or_the_place_tells_which_of_two_look_alikes_was_written(pair: str) -> None:
    for asked, written in (pair, pair[::-1]):
        kinds_found = check(write(ALPHABET[written], seed=3), ALPHABET[asked], guide=GuideLines()).kinds

        assert kinds_found & {Kind.SIZE, Kind.PLACE}, (asked, written)


@for_each("small", CASE_TELLS)
def test_between_lines_a_capital_in_place_of_its_small_letter_is_told_as_that_and_the_reverse(
    small: str,
) -> None:
    for asked, written in ((small, small.upper()), (small.upper(), small)):
        ink = write(ALPHABET[written], seed=3)

        letters = [finding.letter for finding in check(ink, ALPHABET[asked], guide=GuideLines()).findings]
        assert letters[0] == written
        assert written not in [finding.letter for finding in check(ink, ALPHABET[asked]).findings]
        assert check(ink, ALPHABET[written], guide=GuideLines()).well_formed


def test_of_a_small_letter_as_tall_as_its_capital_only_the_size_is_told() -> None:
    """A round M is an M: what stands between the lines as the letter asked for is not the other one."""
    tall = write(ALPHABET["m"], seed=3).transformed(Transform(2.0, 2.0))

    assert "m" not in [finding.letter for finding in check(tall, ALPHABET["M"], guide=GuideLines()).findings]


def test_the_drawings_of_capital_and_small_letter_agree_where_the_trade_says_so_and_in_j_and_y() -> None:
    """The list has C K O P S U V W X Z; J is drawn as j without its dot, Y as y raised."""
    measured = {
        name
        for name in ascii_uppercase
        if look(write(ALPHABET[name], seed=3), ALPHABET[name.lower()]) < SAME_DRAWING
    }

    assert measured == set("CKOPSUVWXZ") | set("JY")


@for_each("name", [letter.name for letter in BARE if letter.set != "small"])
def test_a_capital_or_digit_as_tall_as_an_x_is_too_small_between_lines(name: str) -> None:
    ink = write(ALPHABET[name], seed=3)
    lines = GuideLines(ascender=-4.0, x_height=-2.0, baseline=0.0, descender=2.0)

    sizes = [
        finding for finding in check(ink, ALPHABET[name], guide=lines).findings if finding.kind is Kind.SIZE
    ]

    assert [round(finding.amount, 1) for finding in sizes] == [0.5]
    assert check(ink, ALPHABET[name]).looks_right
