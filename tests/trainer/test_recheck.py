"""Old ink judged again: what is judged, what is left, what is kept of the old, and a run that is killed."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import zlib
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from multiprocessing import active_children

import numpy as np
import pytest

from strokes.alphabet import Alphabet
from strokes.checks import version
from strokes.checks.version import checks_version
from strokes.files.letter_folder import SHIPPED, letter_files
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.simulation.hand import Fault, write
from strokes.tolerances import Tolerances
from strokes.transform import Transform
from tests.shipped import PRINT as ALPHABET
from tests.trainer.samples import MONDAY
from tests.waiting import HANG, until
from trainer.attempt import Attempt, Step, Verdict
from trainer.commands.cli import main
from trainer.errors import BrokenRecordError, TrainerError
from trainer.judging.rechecking import recheck
from trainer.judging.rechecking.recheck import Recheck
from trainer.record.record import Record
from trainer.teaching import Rules

OLD = Verdict("taught", True, True)
"""What older checks said of everything."""

INKS = {name: write(ALPHABET[name]) for name in "lc"}
BACKWARDS = write(ALPHABET["c"], fault=Fault(Kind.DIRECTION))


@pytest.fixture
def record(tmp_path):
    with Record.open(tmp_path / "record.sqlite", now=MONDAY) as opened:
        opened.ink.keep_days = 3000
        opened.settings.set("stage", "growing")
        yield opened


@pytest.fixture
def nella(record):
    return record.pupils.add("Nella")


def old(pupil, letter, ink=None, *, day=0, step=Step.COPY, verdict=OLD, **more):
    """An attempt that older checks took for well formed."""
    at = MONDAY + timedelta(days=day)
    return Attempt(None, pupil.id, letter, step, at, ink or INKS[letter], verdict, checks="older", **more)


def in_use(record):
    """The tolerances of the stage that the record's teacher chose."""
    return Tolerances.of(Rules.of(record.settings).stage)


def again(record, alphabet=ALPHABET, *, processes=1, since=None, progress=id):
    return Recheck(record, lambda _: alphabet, in_use(record), since=since).run(
        processes=processes, progress=progress
    )


def all_of(record):
    return sorted(record.attempts.find(), key=lambda attempt: attempt.id)


def today(name, alphabet=ALPHABET, hand=None):
    return checks_version(alphabet[name], guide=alphabet.guide, hand=hand)


def damage(record, number, ink=b"no ink"):
    with closing(sqlite3.connect(record._database.place)) as plain, plain:
        plain.execute("UPDATE attempt SET ink = ? WHERE id = ?", (ink, number))


def test_an_attempt_is_judged_by_the_checks_of_today_and_the_old_verdict_stays_beside(record, nella):
    record.attempts.keep_many([old(nella, "c", BACKWARDS), old(nella, "l")])

    outcome = again(record)

    turned, stem = all_of(record)
    assert (outcome.judged, outcome.better, outcome.worse) == (2, 0, 1)
    assert (turned.formed, turned.checks) == (False, today("c"))
    assert Kind.DIRECTION in {finding.kind for finding in turned.verdict.findings}
    assert (stem.formed, stem.checks) == (True, today("l"))
    (past,) = record.verdicts.past(turned.pupil)[turned.id]
    assert (past.checks, past.verdict) == ("older", OLD)
    assert np.array_equal(turned.ink.traces[0].points, all_of(record)[0].ink.traces[0].points)


def test_what_todays_checks_have_judged_is_passed_over(record, nella):
    record.attempts.keep_many([old(nella, "c"), old(nella, "l")])
    again(record)

    heard = []
    outcome = again(record, progress=heard.append)

    assert (outcome.judged, heard) == (0, [])
    assert len(record.verdicts.past(nella.id)[all_of(record)[0].id]) == 1


def test_the_figures_are_those_of_a_record_that_was_always_judged_so(record, nella):
    """The running counts after judging again equal those that are counted anew from the attempts."""
    attempts = [old(nella, name, ink, day=day) for day in range(3) for name, ink in INKS.items()]
    record.attempts.keep_many(
        [*attempts, old(nella, "c", BACKWARDS), old(nella, "c", BACKWARDS, step=Step.RECALL)]
    )
    before = record.figures.summary()

    again(record)

    after = record.figures.summary()
    record.figures.recount()
    assert record.figures.summary() == after
    assert before.lines != after.lines
    (line,) = [line for line in after.lines if line.letter == "c"]
    assert (line.tries, line.formed) == (5, 3)


def test_a_teachers_overruling_goes_on_counting(record, nella):
    record.attempts.keep_many([old(nella, "c", BACKWARDS)])
    record.verdicts.overrule(1, formed=True, looks=True, reason="It was turned on purpose.")

    again(record)

    (attempt,) = all_of(record)
    assert (attempt.verdict.formed, attempt.formed) == (False, True)


def test_only_what_was_written_since_a_day_is_judged(record, nella):
    record.attempts.keep_many([old(nella, "l", day=day) for day in range(4)])

    outcome = again(record, since=MONDAY + timedelta(days=2))

    assert outcome.judged == 2
    assert [attempt.checks for attempt in all_of(record)] == ["older", "older", today("l"), today("l")]


def test_an_edited_letter_is_judged_again_and_no_other(record, nella, tmp_path):
    record.attempts.keep_many([old(nella, "c"), old(nella, "l")])
    again(record)
    folder = tmp_path / "ours"
    folder.mkdir()
    for file in letter_files(SHIPPED / "print"):
        (folder / file.name).write_bytes(file.read_bytes())
    svg = (folder / "l.svg").read_text(encoding="utf-8")
    (folder / "l.svg").write_text(svg.replace("-200", "-195"), encoding="utf-8")
    ours = Alphabet.load(folder)
    assert today("l", ours) != today("l")

    assert again(record, ours).judged == 1
    assert [attempt.checks for attempt in all_of(record)] == [today("c"), today("l", ours)]


def test_newer_checks_judge_everything_again(record, nella, monkeypatch):
    record.attempts.keep_many([old(nella, "c"), old(nella, "l")])
    again(record)
    monkeypatch.setattr(version, "VERSION", "2099-01-01")
    checks_version.cache_clear()

    assert again(record).judged == 2
    assert len(record.verdicts.past(nella.id)[1]) == 2
    checks_version.cache_clear()


def test_a_hand_that_was_settled_since_counts(record, nella):
    """A crossbar from right to left is as good as any once the child is known to be left-handed."""
    way = next(formation for formation in ALPHABET["t"].formations if formation.hand == "left")
    record.attempts.keep_many([old(nella, "t", write(way))])
    assert again(record).worse == 1

    record.pupils.set_hand(nella.id, "left")

    assert again(record).better == 1


def test_each_group_is_judged_by_its_own_alphabet(record):
    quay, slipway = record.pupils.add("Nella", group="Quay"), record.pupils.add("Gesa", group="Slipway")
    record.attempts.keep_many([old(quay, "c"), old(slipway, "c"), old(quay, "l"), old(slipway, "l")])
    other = Alphabet("other", (ALPHABET["c"],), replace(ALPHABET.guide, ascender=-1.8))

    outcome = Recheck(record, lambda group: other if group == "Slipway" else ALPHABET, in_use(record)).run(
        processes=1
    )

    assert outcome.judged == 3
    assert outcome.unknown == {"l": 1}
    assert [attempt.checks for attempt in all_of(record)] == [
        today("c"),
        today("c", other),
        today("l"),
        "older",
    ]


def test_a_stroke_that_was_shown_then_takes_no_part_any_more_even_if_it_were_not_shown_today(record, nella):
    stem, dot = write(ALPHABET["i"]).traces
    record.attempts.keep_many([old(nella, "i", Ink((stem, stem, dot)), shown=(0,))])

    again(record)

    assert all_of(record)[0].formed


def test_where_it_was_not_kept_what_was_shown_it_is_decided_as_the_window_would(record, nella):
    """The stem is written upward, is shown again, and is then written well: the first try counts."""
    stem, dot = write(ALPHABET["i"]).traces
    upward = replace(stem, points=stem.points[::-1])
    record.attempts.keep_many([old(nella, "i", Ink((upward, stem, dot)), shown=None)])
    assert all_of(record)[0].shown is None

    again(record)

    kinds = {finding.kind for finding in all_of(record)[0].verdict.findings}
    assert Kind.EXTRA not in kinds
    assert Kind.DIRECTION in kinds


def test_a_damaged_attempt_is_told_and_left_as_it_was(record, nella):
    record.attempts.keep_many([old(nella, "l") for _ in range(3)])
    damage(record, 2)

    outcome = again(record)

    assert outcome.judged == 2
    assert list(outcome.damaged) == [2]
    assert "packed ink cannot be read" in outcome.damaged[2]
    with closing(sqlite3.connect(record._database.place)) as plain:
        rows = plain.execute("SELECT ink, checks, formed FROM attempt WHERE id = 2").fetchall()
    assert rows == [(b"no ink", "older", 1)]


@pytest.mark.parametrize(
    "packed", ["ink", 5, zlib.compress(b'{"unit": 1, "traces": [[[1, 1], [1, 1], [9, -1]]]}')], ids=repr
)
def test_whatever_stands_in_the_place_of_ink_is_told(record, nella, packed):
    record.attempts.keep_many([old(nella, "l") for _ in range(3)])
    damage(record, 2, packed)

    outcome = again(record)

    assert outcome.judged == 2
    assert "packed ink cannot be read" in outcome.damaged[2]


def test_an_attempt_with_a_step_that_does_not_exist_is_told(record, nella):
    record.attempts.keep_many([old(nella, "l")])
    with closing(sqlite3.connect(record._database.place)) as plain, plain:
        plain.execute("UPDATE attempt SET step = 'jump'")

    with pytest.raises(BrokenRecordError, match="attempt 1 is damaged"):
        again(record)


def test_what_was_broken_off_and_what_has_no_ink_any_more_are_passed_over(record, nella):
    record.attempts.keep_many([old(nella, "l")])
    record.attempts.keep_draft(nella.id, "c", Step.COPY, INKS["c"])
    record.ink.forget_old(MONDAY + timedelta(days=4000))

    assert again(record).judged == 0


def test_what_was_erased_while_it_was_judged_is_gone(record, nella):
    gesa = record.pupils.add("Gesa")
    record.attempts.keep_many([old(nella, "l"), old(gesa, "l")])
    run = Recheck(record, lambda _: ALPHABET, in_use(record))
    record.erasure.remove_pupil(nella.id)

    assert run.run(processes=1).judged == 1
    assert [attempt.pupil for attempt in record.attempts.find()] == [gesa.id]


def test_several_processes_judge_as_one_does(record, nella, monkeypatch):
    monkeypatch.setattr(recheck, "BATCH", 3)
    names = list("lc") * 5
    record.attempts.keep_many(
        [old(nella, name, BACKWARDS if number % 3 else None) for number, name in enumerate(names)]
    )
    heard = []

    outcome = again(record, processes=2, progress=heard.append)

    assert (outcome.judged, heard) == (10, [3, 3, 3, 1])
    many = [attempt.verdict for attempt in all_of(record)]
    with closing(sqlite3.connect(record._database.place)) as plain, plain:
        plain.execute("UPDATE attempt SET checks = 'older'")
    again(record)
    assert [attempt.verdict for attempt in all_of(record)] == many


def test_a_process_that_dies_is_told_and_what_was_judged_stays(record, nella, monkeypatch):
    monkeypatch.setattr(recheck, "BATCH", 1)
    record.attempts.keep_many([old(nella, "l") for _ in range(6)])

    def kill(_):
        for process in active_children():
            process.kill()

    with pytest.raises(TrainerError, match="ended unasked; what was judged is kept, start again to go on"):
        again(record, processes=2, progress=kill)

    judged = sum(attempt.checks == today("l") for attempt in all_of(record))
    assert 1 <= judged < 6
    assert again(record).judged == 6 - judged


HALF_A_RUN = """
import signal, sys
from trainer.judging.rechecking import recheck
from trainer.commands.cli import main

run = recheck.Recheck.run


def waits(self, *, progress, **options):
    done = 0

    def heard(count):
        nonlocal done
        done += count
        progress(count)
        if done >= len(self) // 2:
            signal.pause()  # however late the kill comes, there is something left to do

    return run(self, progress=heard, **options)


recheck.BATCH = 10
recheck.Recheck.run = waits
sys.exit(main(["recheck", "--data", sys.argv[1]]))
"""


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="SIGKILL is of POSIX")
def test_a_run_that_was_killed_goes_on_where_it_ended(tmp_path):
    """Each attempt has been judged wholly or not at all, the next run does the rest, nobody stays behind."""
    file, count = tmp_path / "record.sqlite", 240
    with Record.open(file, now=MONDAY) as record:
        record.ink.keep_days = 3000
        record.settings.set("stage", "growing")
        nella = record.pupils.add("Nella")
        record.attempts.keep_many([old(nella, "c", BACKWARDS) for _ in range(count)])
    run = subprocess.Popen(
        [sys.executable, "-c", HALF_A_RUN, str(tmp_path)], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    )
    try:
        with closing(sqlite3.connect(file)) as plain:
            judged = "SELECT count(*) FROM past_verdict"
            until(lambda: plain.execute(judged).fetchone()[0] or run.poll() is not None, "the first verdict")
        assert run.poll() is None, "it ended before it could be killed"
    finally:
        run.send_signal(signal.SIGKILL)
        run.communicate(timeout=HANG)  # its output ends with the last of its processes

    with Record.open(file, now=MONDAY) as record:
        done = [attempt for attempt in record.attempts.find() if attempt.checks == today("c")]
        assert 0 < len(done) < count
        past = record.verdicts.past(nella.id)
        assert all(not attempt.formed and len(past[attempt.id]) == 1 for attempt in done)
        assert len(done) % 10 == 0
        after_the_kill = record.figures.summary()
        record.figures.recount()
        assert record.figures.summary() == after_the_kill

        assert again(record).judged == count - len(done)
        assert not any(attempt.formed for attempt in record.attempts.find())
        past = record.verdicts.past(nella.id)
        assert all(len(past[attempt.id]) == 1 for attempt in record.attempts.find())


def test_another_stage_judges_everything_again_by_its_tolerances(record, nella):
    """A letter that is small for a fluent writer looks right in the first stage."""
    small = write(ALPHABET["c"]).transformed(Transform(0.67, 0.67))
    record.attempts.keep_many([old(nella, "c", small)])
    looked = {}
    for stage in ("first", "fluent"):
        record.settings.set("stage", stage)
        assert again(record).judged == 1
        looked[stage] = all_of(record)[0].looks

    assert looked == {"first": True, "fluent": False}


# As it is typed


@pytest.fixture
def run(tmp_path, capsys):
    def typed(*words):
        code = main(["recheck", *words, "--data", str(tmp_path)])
        said = capsys.readouterr()
        return code, said.out, said.err

    return typed


def test_the_command_tells_what_it_did(run, record, nella):
    record.attempts.keep_many([old(nella, "c", BACKWARDS), old(nella, "l"), old(nella, "l")])
    damage(record, 3)

    code, said, complaint = run()

    assert code == 1
    assert said == "Judged again: 2. Well formed now and not before: 0. The other way round: 1.\n"
    assert "3/3" in complaint
    assert "Attempt 3 is damaged and was left as it was: packed ink cannot be read" in complaint


def test_the_command_takes_the_alphabet_that_the_group_uses(run, record, nella, tmp_path):
    folder = tmp_path / "letters" / "ours"
    folder.mkdir(parents=True)
    (folder / "c.svg").write_bytes((SHIPPED / "print" / "c.svg").read_bytes())
    record.attempts.keep_many([old(nella, "c"), old(nella, "l")])
    record.settings.set(f"alphabet:{nella.group}", "ours")

    code, said, _ = run()

    assert (code, said.splitlines()[1]) == (0, "Left as they were, as the alphabet has no l: 1.")


def test_a_day_that_is_none_is_refused(run):
    assert run("--since", "yesterday") == (
        2,
        "",
        "trainer: --since must be a day, such as 2026-09-07, not 'yesterday'\n",
    )
