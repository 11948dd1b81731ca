"""What a child hears: short, plain, about one thing, and about this letter."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from strokes import check
from strokes.alphabet import Alphabet
from strokes.kinds import Kind
from strokes.letter import Formation
from strokes.report import Finding, Report
from strokes.simulation.hand import Fault, write
from tests.cases import for_each
from tests.shipped import BARE, MARKED, PRINT, SAMPLE_LETTERS, ways
from trainer.judging.judge import Judged
from trainer.language import phrases
from trainer.language.pieces import Piece, parts
from trainer.language.texts import room, text

ALPHABET: Alphabet = PRINT


def heard(report: Report) -> phrases.Saying:
    """What is said of a letter that stands on the page as it was first written."""
    page = tuple(range(20))
    return phrases.say(Judged(report, page, stands_well=report.well_formed and not report.unfinished))


LONGEST = 14
"""Words in a sentence at most: what a child of five keeps in mind; common practice, no source."""

CONDITIONS = {
    # trade facts, section 8: words that must never appear as a conclusion
    *("dyslexia", "dysgraphia", "dyspraxia", "dcd", "disorder", "diagnosis", "risk", "delayed"),
    *("abnormal", "normal", "percentile"),
}
NEVER = {
    *CONDITIONS,
    # house style: no marks, no blame
    *("wrong", "error", "mistake", "bad", "fail", "failed", "score", "points", "percent", "grade"),
    *("fast", "slow", "quick", "faster", "slower"),
    # words of the trade and of the program
    *("stroke", "strokes", "trace", "formation", "direction", "closure", "reversal", "bowl", "stem"),
    *("crossbar", "ascender", "descender", "baseline", "height", "corridor", "tolerance", "finding"),
    *("clockwise", "anticlockwise", "counterclockwise", "warping"),
}


def sayings(formation: Formation) -> Iterator[tuple[Finding, str]]:
    """What is said for every kind, stroke, piece and side of a limit."""
    for kind in Kind:
        for index, stroke in enumerate(formation.strokes):
            shares = [None, (0.0, 1.0), *(part.share for part in parts(stroke))]
            for share in shares:
                for amount in (0.4, 2.0):
                    finding = Finding(kind, amount, 0.3, stroke=index, part=share)
                    yield finding, phrases.try_next(finding, formation)
        finding = Finding(kind, 1.0, 0.3, order=(1, 0))
        yield finding, phrases.try_next(finding, formation)


def words(sentence: str) -> list[str]:
    return re.findall(r"[a-z'-]+", sentence.lower())


@for_each("letter", [*BARE, *MARKED], ids=lambda letter: letter.name)
def test_every_kind_has_a_short_plain_phrase_for_every_formation(letter):
    for formation in ways(letter):
        for sentence, finding in {sentence: finding for finding, sentence in sayings(formation)}.items():
            assert sentence.endswith("."), (finding, sentence)
            assert "{" not in sentence
            assert 2 <= len(words(sentence)) <= LONGEST, sentence
            assert not set(words(sentence)) & NEVER, sentence


@for_each("name", list(ALPHABET))
def test_praise_tells_how_the_pen_went(name):
    for formation in ALPHABET[name].formations:
        sentence = phrases.praise(formation)
        assert sentence.startswith("You ")
        assert len(words(sentence)) <= LONGEST, sentence
        assert not set(words(sentence)) & NEVER, sentence


@for_each("kind", list(Kind))
def test_what_went_better_is_praised_before_anything_else(kind):
    for name in SAMPLE_LETTERS:
        sentence = phrases.praise(ALPHABET[name].taught, (Finding(kind, 1, 0, stroke=0),))

        assert sentence.startswith(("Now ", "This time "))
        assert not set(words(sentence)) & NEVER, sentence


@pytest.mark.parametrize(
    ("name", "praise"),
    [
        ("b", "You went down, then back up and round."),
        ("a", "You went round, then down."),
        ("n", "You went down, then back up and over."),
        ("t", "You went down, then across."),
        ("i", "You went down, then made the dot."),
        ("v", "You slanted down, then slanted up."),
        ("z", "You went across, then slanted down, then across."),
    ],
)
def test_praise_is_about_this_letter(name, praise):
    assert phrases.moves(ALPHABET[name].taught) == praise


def test_no_text_of_the_window_names_a_condition():
    flat = str(room("practice")).lower()

    assert not {word for word in CONDITIONS if re.search(rf"\b{word}\b", flat)}


def test_one_thing_is_said_and_it_is_the_first():
    formation = ALPHABET["b"].taught
    report = Report("b", formation, (Finding(Kind.START, 1, 0.35, stroke=0), Finding(Kind.SIZE, 2, 1.35)))

    assert heard(report).kind is Kind.START


def test_a_note_is_for_the_teacher_alone():
    """The crossbar of t before its stem is accepted; the child hears praise."""
    formation = ALPHABET["t"].taught
    report = Report("t", formation, (Finding(Kind.ORDER, 1, 0, order=(1, 0), note=True),))

    saying = heard(report)

    assert saying.is_praise
    assert saying.sentence == phrases.moves(formation)


@for_each(
    ("name", "place"),
    # trade facts, section 4: start zones (common practice)
    [
        *((name, "on the top line") for name in "bhkl"),
        ("t", "above the middle line"),
        ("e", "halfway, on the left"),
        *((name, "on the middle line") for name in "ijmnpruvwxyz"),
    ],
)
def test_a_start_is_told_by_the_lines_on_the_paper(name, place):
    assert phrases.start_place(ALPHABET[name].taught.strokes[0]) == place


@pytest.mark.parametrize("name", "cadgqos")
def test_round_letters_start_on_or_just_under_the_middle_line(name):
    place = phrases.start_place(ALPHABET[name].taught.strokes[0])

    assert place in ("on the middle line", "just under the middle line")


@for_each(("name", "strokes"), [*((n, 1) for n in "abdgopq"), *((n, 2) for n in "abdgpq")])
def test_a_gap_is_to_be_closed_in_one_stroke_and_in_two(name, strokes):
    """Trade facts, section 3: a b d g o p q are closed (common practice)."""
    formation = next(
        formation for formation in ALPHABET[name].formations if len(formation.strokes) == strokes
    )
    for stroke in range(strokes):
        sentence = phrases.try_next(Finding(Kind.CLOSURE, 0.4, 0.25, stroke=stroke), formation)

        assert sentence.startswith("Close the ")


@pytest.mark.parametrize(("name", "side"), [("b", "right"), ("d", "left"), ("p", "right"), ("q", "left")])
def test_a_turned_letter_is_told_by_the_side_of_its_round_part(name, side):
    """Trade facts, section 4: b-d and p-q are mirror pairs."""
    sentence = phrases.try_next(Finding(Kind.REVERSAL, 0.9, 0.7), ALPHABET[name].taught)

    assert sentence == f"Turn it: the round part goes to the {side} of the down line."


@pytest.mark.parametrize(("name", "way"), [("o", "left"), ("c", "left"), ("a", "left")])
def test_a_round_part_that_ran_backwards_is_told_by_its_first_way(name, way):
    finding = Finding(Kind.DIRECTION, 1, 0.5, stroke=0, part=(0.0, 1.0))

    assert f"to the {way} first" in phrases.try_next(finding, ALPHABET[name].taught)


def test_a_line_written_upwards_is_told_from_the_top_down():
    finding = Finding(Kind.DIRECTION, 1, 0.5, stroke=0, part=(0.0, 1.0))

    assert phrases.try_next(finding, ALPHABET["l"].taught) == "Write the down line from the top down."


@pytest.mark.parametrize(("name", "hangs"), [*((n, True) for n in "gjpqy"), ("a", False), ("b", False)])
def test_where_a_letter_belongs_is_told_by_its_lower_end(name, hangs):
    """Trade facts, section 3: g j p q y go below the base line."""
    sentence = phrases.try_next(Finding(Kind.PLACE, 0.5, 0.25), ALPHABET[name].taught)

    assert ("lowest line" in sentence) is hangs


def test_a_missing_dot_is_called_by_its_name():
    finding = Finding(Kind.MISSING, 1, 0, stroke=1)

    assert phrases.try_next(finding, ALPHABET["i"].taught) == text("practice.try.missing.dot")


FAULTS = [
    (name, kind)
    for name in SAMPLE_LETTERS
    for kind in (Kind.START, Kind.DIRECTION, Kind.MISSING, Kind.SHAPE, Kind.SIZE, Kind.LIFT)
    if kind is not Kind.MISSING or len(ALPHABET[name].taught.strokes) > 1
]


@for_each(("name", "kind"), FAULTS)
def test_real_findings_on_faulty_ink_find_their_words(name, kind):
    """One of the findings that are no notes is said: the first, or a part that is missing."""
    report = check(write(ALPHABET[name], fault=Fault(kind)), ALPHABET[name], guide=ALPHABET.guide)
    kinds = [finding.kind for finding in report.findings if not finding.note]

    saying = heard(report)

    assert saying.kind in (kinds or [None])
    assert saying.kind in kinds[:1] or saying.kind in (None, Kind.MISSING)
    assert saying.stroke is None or saying.stroke < len(report.formation.strokes)
    assert 2 <= len(words(saying.sentence)) <= LONGEST


@for_each(
    ("name", "pieces"),
    [
        ("l", [Piece.DOWN]),
        ("o", [Piece.ROUND]),
        ("c", [Piece.ROUND]),
        ("s", [Piece.S_CURVE]),
        ("b", [Piece.DOWN, Piece.ROUND]),
        ("d", [Piece.ROUND, Piece.DOWN]),
        ("h", [Piece.DOWN, Piece.ARCH]),
        ("r", [Piece.DOWN, Piece.ARCH]),
        ("m", [Piece.DOWN, Piece.ARCH, Piece.ARCH]),
        ("u", [Piece.LOW_CURVE, Piece.DOWN]),
        ("w", [Piece.SLANT_DOWN, Piece.SLANT_UP, Piece.SLANT_DOWN, Piece.SLANT_UP]),
        ("z", [Piece.BAR, Piece.SLANT_DOWN, Piece.BAR]),
        ("e", [Piece.BAR, Piece.ROUND]),
    ],
)
def test_pieces_are_named_by_plain_geometry(name, pieces):
    actual = [part.piece for stroke in ALPHABET[name].taught.strokes for part in parts(stroke)]

    assert actual == pieces


@pytest.mark.parametrize(
    ("asked", "written", "said"),
    [
        ("b", "B", "That is the capital. Write the small one."),
        ("R", "r", "That is the small one. Write the capital."),
        ("a", "e", "That is another letter. Look at ours once more."),
    ],
)
def test_the_other_case_of_a_letter_is_called_that_and_another_letter_is_not(asked, written, said):
    report = check(write(ALPHABET[written], seed=2), ALPHABET[asked], guide=ALPHABET.guide)

    assert heard(report).sentence == said
