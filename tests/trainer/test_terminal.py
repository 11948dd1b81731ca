import pytest

from strokes.kinds import Kind
from strokes.letter import Family
from tests.trainer.reckoning import summarize
from tests.trainer.samples import attempt
from trainer.attempt import Pupil, Step
from trainer.commands import terminal

NELLA = Pupil(1, "Nella", 1, "left", "Quay")
ABEL = Pupil(2, "Abel", 2, None, "Quay")
LONG = Pupil(
    3, "Wilhelmina-Theodora Vanderbrugge-Oostmee", 3, "right", "The quay beside the old weighing house"
)


@pytest.fixture(autouse=True)
def terminal_of_80_columns(monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")


def shown(capsys, attempts, pupils=(NELLA, ABEL), **options):
    """What is printed, its lines joined, so that a sentence is found wherever it was broken."""
    terminal.show(summarize(attempts, pupils), **options)
    printed = capsys.readouterr().out
    assert all(len(line) <= 80 for line in printed.splitlines())
    assert "\x1b" not in printed
    return " ".join(printed.replace("\u00a0", " ").split())


def both(letter, *kinds, **options):
    """The same tries by Nella and Abel, one a kind."""
    return [
        attempt(pupil, letter, kind, day=day, **options) for pupil in (1, 2) for day, kind in enumerate(kinds)
    ]


def test_a_letter_shows_counts_interval_and_dates(capsys):
    said = shown(capsys, [attempt(1, "b", Kind.START), *[attempt(1, "b", day=day) for day in (1, 2, 3)]])

    assert "Summary of the class, pupils: 2" in said
    assert "From 7 Sep 2026 to 10 Sep 2026. Tries by copy or from memory: 4. Traced letters: 0." in said
    assert "b 3 of 4 0 30-95% 3 of 4 - 4 of 4 10 Sep" in said.replace("\u2013", "-")


def test_what_is_not_gathered_stands_by_name_for_another_day(capsys):
    """A letter that both share, while they sit together for another one."""
    attempts = both("m", *[Kind.START] * 5) + both("b", Kind.START, Kind.START, Kind.START)
    said = shown(capsys, attempts)

    assert "1. m with Abel and Nella (Quay)" in said
    assert "For another day Abel: b; Nella: b" in said


def test_mended_tries_stand_beside_the_well_formed_ones(capsys):
    said = shown(
        capsys, [attempt(1, "b", *[Kind.START] * (day < 3), day=day, mended=day < 2) for day in range(4)]
    )

    assert "b 1 of 4 2 5-70% 1 of 4 - 4 of 4 10 Sep" in said.replace("\u2013", "-")
    assert "Mended: it was not, and was then written as shown." in said


def test_the_table_of_a_whole_term_fits_the_terminal(capsys):
    """Three digits everywhere: the widest that a class writes. No cell is broken in two."""
    many = [
        attempt(pupil, "m", *[Kind.START] * (number % 2), day=number % 70, step=Step.RECALL, mended=True)
        for pupil in range(1, 41)
        for number in range(8)
    ]
    pupils = tuple(Pupil(number, f"Pupil {number}", 1, group="Quay") for number in range(1, 41))
    said = shown(capsys, many, pupils)

    assert "m 160 of 320 160 45-55% 80 of 200 160 of 320 320 of 320" in said.replace("\u2013", "-")


def test_letters_with_too_few_tries_are_named_and_get_no_interval(capsys):
    said = shown(capsys, [attempt(1, "b"), attempt(1, "q", step=Step.TRACE)])

    assert "Not enough yet, under 3 tries: b (1)." in said
    assert "Only traced so far: q." in said
    assert "%" not in said


def test_what_was_seen_is_one_plain_line_a_kind(capsys):
    said = shown(capsys, both("b", Kind.LETTER, Kind.LETTER, Kind.SIZE, instead="d"))

    assert "wrote another letter (d) 4 of 6 last on 8 Sep" in said
    assert "wrote it too tall or too small for the lines 2 of 6 last on 9 Sep" in said


@pytest.mark.parametrize("kind", list(Kind))
def test_every_kind_has_a_line_and_a_piece_of_advice(capsys, kind):
    said = shown(capsys, both("b", kind, kind, kind))

    assert "1. b with Abel and Nella (Quay)" in said
    assert "in 6 of their last 6 tries." in said


def test_notes_stand_apart_with_their_writers(capsys):
    said = shown(capsys, [attempt(1, "t", notes=(Kind.ORDER,)) for _ in range(3)])

    assert "WORTH KNOWING, NOTHING TO MEND" in said
    assert "t: made the strokes in another order, 3 of 3 tries (Nella)" in said
    assert "Nobody showed the same thing twice of late." in said


def test_a_pupil_with_nobody_to_share_is_told_one_at_a_time(capsys):
    said = shown(capsys, [attempt(1, "b", Kind.LIFT, day=day) for day in range(3)])

    assert (
        "One at a time b with Nella: lifted the pen in the middle of a stroke, 3 of the last 3 tries" in said
    )


def test_one_pupil_is_told_what_to_practice_next(capsys):
    said = shown(capsys, [attempt(1, "b", Kind.LIFT, day=day) for day in range(3)], (NELLA,), pupil=NELLA)

    assert "Summary of Nella (Quay)" in said
    assert "PRACTICE NEXT 1. b: lifted the pen in the middle of a stroke in 3 of the last 3 tries" in said
    assert "Nobody" not in said


def test_nothing_written_is_said_kindly_and_the_cautions_stay(capsys):
    said = shown(capsys, [])

    assert "Nothing has been written yet." in said
    assert "They judge no child" in said
    assert "occupational therapist" in said


def test_long_names_fit_the_terminal_too(capsys):
    attempts = [attempt(3, "b", Kind.DIRECTION, day=day, notes=(Kind.ORDER,)) for day in range(4)]
    shown(capsys, attempts, (LONG,))
    shown(capsys, attempts, (LONG,), pupil=LONG)
    terminal.show_pupils((LONG, NELLA))

    assert all(len(line) <= 80 for line in capsys.readouterr().out.splitlines())


def test_names_with_markup_are_printed_as_they_are(capsys):
    odd = Pupil(1, "[red]Nella[/red]", 1, group="[b]")
    said = shown(capsys, [attempt(1, "b", Kind.LIFT, day=day) for day in range(3)], (odd,))

    assert "b with [red]Nella[/red]: lifted" in said


def test_the_class_list_shows_every_pupil(capsys):
    terminal.show_pupils((NELLA, ABEL))
    lines = [line.split() for line in capsys.readouterr().out.splitlines()]

    assert lines[1:] == [["Nella", "Quay", "1", "left"], ["Abel", "Quay", "2", "not", "set"]]


def test_letters_of_one_movement_family_are_gathered_and_told_together(capsys):
    tries = [attempt(pupil, "nh"[pupil - 1], Kind.START, day=day) for pupil in (1, 2) for day in range(3)]
    terminal.show(summarize(tries, (NELLA, ABEL), lambda _: [Family("down, back up and over", ("h", "n"))]))
    said = " ".join(capsys.readouterr().out.replace("\u00a0", " ").split())

    assert "1. h, n with Abel and Nella (Quay)" in said
    assert "These letters share a movement: down, back up and over." in said
