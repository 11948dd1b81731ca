"""The running counts equal a full recount, whatever was done to the record and in whatever order."""

import re
import tempfile
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)
from sqlalchemy import event, select

from strokes.ink import Ink
from strokes.kinds import Kind
from tests.trainer import reckoning
from tests.trainer.samples import MONDAY, attempt, ink, verdict
from trainer.attempt import Step
from trainer.record import tables
from trainer.record.record import Record

LETTERS, KINDS = st.sampled_from("bd"), st.lists(st.sampled_from(list(Kind)), max_size=3)
STEPS, DAYS, WELL = st.sampled_from([Step.TRACE, Step.COPY, Step.RECALL]), st.integers(0, 9), st.booleans()


def rows(record):
    """All tables of counts, as sets of rows."""
    with record._database.reading() as connection:
        return [
            {tuple(row) for row in connection.execute(select(table))}
            for name, table in tables.metadata.tables.items()
            if name.startswith("tally")
        ]


def assert_counts_are_right(record):
    """They equal a recount by SQL, and the summaries those of plain Python over all attempts."""
    counted = rows(record)
    record.figures.recount()
    assert rows(record) == counted
    attempts, pupils = list(record.attempts.find()), record.pupils.find()
    assert record.figures.summary() == reckoning.summarize(attempts, pupils)
    for since, until in ((2, 8), (5, 5), (None, 3), (4, None)):
        first, last = (None if day is None else MONDAY.date() + timedelta(days=day) for day in (since, until))
        some = [
            attempt for attempt in attempts if (first or date.min) <= attempt.at.date() <= (last or date.max)
        ]
        actual, expected = record.figures.summary(since=first, until=last), reckoning.summarize(some, pupils)
        of_all_days = {"last_practiced": {}, "other": ()}
        assert replace(actual, **of_all_days) == replace(expected, **of_all_days)
    last_tries = reckoning.last_tries(attempts)
    expected = reckoning.summarize(last_tries, pupils)
    unsaid = {"trend": (), "trends": {}, "last_practiced": {}, "other": ()}
    assert replace(record.figures.last_tries(), **unsaid) == replace(expected, **unsaid)


class Days(RuleBasedStateMachine):
    """Days at the window and at the desk: everything that changes what is counted."""

    def __init__(self, place=None):
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.record = Record.open(place or Path(self.folder.name) / "record.sqlite", now=MONDAY)
        self.names = iter(range(10**6))

    def teardown(self):
        self.record.close()
        self.folder.cleanup()

    @initialize(kinds=KINDS)
    def two_pupils(self, kinds):
        """Each with letters of some days, one of them seen otherwise: a walk is too short for all of that."""
        for _ in range(2):
            pupil = self.record.pupils.add(f"Pupil {next(self.names)}", group="Quay")
            self.record.attempts.keep_many(
                [attempt(pupil.id, letter, *kinds, day=day) for letter in "bd" for day in (0, 3)]
            )
            self.record.attempts.keep_draft(pupil.id, "b", Step.COPY, ink(points=3))
        self.record.verdicts.overrule(1, formed=bool(kinds), looks=False, reason="seen otherwise")

    def pupil(self, data):
        return data.draw(st.sampled_from([pupil.id for pupil in self.record.pupils.find(archived=True)]))

    def finished(self, data):
        return data.draw(
            st.sampled_from(
                [attempt.id for attempt in self.record.attempts.find(ink=False) if attempt.finished] or [0]
            )
        )

    @rule(
        data=st.data(),
        letter=LETTERS,
        kinds=KINDS,
        notes=KINDS,
        step=STEPS,
        day=DAYS,
        other=LETTERS,
        mended=WELL,
    )
    def keep(self, data, letter, kinds, notes, step, day, other, mended):
        how = {"notes": tuple(notes), "step": step, "day": day, "instead": other, "mended": mended}
        self.record.attempts.keep(replace(attempt(self.pupil(data), letter, *kinds, **how), ink=Ink()))

    @rule(
        data=st.data(),
        letter=LETTERS,
        kinds=KINDS,
        days=st.lists(DAYS, max_size=6),
        step=STEPS,
        mended=WELL,
    )
    def keep_many(self, data, letter, kinds, days, step, mended):
        pupil = self.pupil(data)
        self.record.attempts.keep_many(
            [attempt(pupil, letter, *kinds, step=step, day=day, mended=mended) for day in days]
        )

    @rule(data=st.data(), letter=LETTERS, step=STEPS)
    def lift_the_pen(self, data, letter, step):
        self.record.attempts.keep_draft(self.pupil(data), letter, step, ink(points=3))

    @rule(data=st.data(), what=st.sampled_from(["leave", "drop"]))
    def go_away(self, data, what):
        getattr(self.record.attempts, f"{what}_draft")(self.pupil(data))

    @rule(data=st.data(), formed=WELL, looks=WELL)
    def overrule(self, data, formed, looks):
        number = self.finished(data)
        if number:
            self.record.verdicts.overrule(number, formed=formed, looks=looks, reason="seen otherwise")

    @rule(data=st.data())
    def withdraw(self, data):
        overruled = [attempt.id for attempt in self.record.attempts.find(ink=False) if attempt.overruled]
        if overruled:
            self.record.verdicts.withdraw_overruling(data.draw(st.sampled_from(overruled)))

    @rule(data=st.data(), kinds=KINDS, other=LETTERS, mended=WELL)
    def judge_again(self, data, kinds, other, mended):
        batch, newer = {self.finished(data) for _ in range(3)}, verdict(*kinds, letter=other, mended=mended)
        self.record.verdicts.replace([(number, "later", newer) for number in batch])

    @rule(data=st.data(), archived=WELL)
    def archive(self, data, archived):
        self.record.pupils.archive(self.pupil(data), archived)

    @rule(data=st.data(), group=st.sampled_from(["Quay", "Slipway"]))
    def move(self, data, group):
        self.record.pupils.change(replace(self.record.pupils.get(self.pupil(data)), group=group))

    @precondition(lambda self: len(self.record.pupils.find(archived=True)) > 1)
    @rule(data=st.data())
    def erase(self, data):
        self.record.erasure.remove_pupil(self.pupil(data))
        self.record.pupils.add(f"Pupil {next(self.names)}", group="Quay")

    @invariant()
    def the_counts_are_right(self):
        assert_counts_are_right(self.record)


TestTheRunningCounts = Days.TestCase
TestTheRunningCounts.settings = settings(
    max_examples=3,
    stateful_step_count=25,
    derandomize=True,
    phases=[Phase.generate],  # to shrink a failure takes minutes; its steps are printed whole
)


def test_each_change_of_a_record_changes_the_counts_as_a_recount_would(record):
    """One after another, each of the changes that the walks above may come to or not."""
    nella, tide = (record.pupils.add(name, group="Quay").id for name in ("Nella", "Tide"))
    attempts, verdicts = record.attempts, record.verdicts
    attempts.keep_many(
        [attempt(pupil, "b", Kind.START, day=day) for pupil in (nella, tide) for day in (0, 3)]
    )
    number = attempts.keep(attempt(nella, "d", Kind.DIRECTION, day=2)).id
    changes = [
        lambda: verdicts.overrule(number, formed=True, looks=True, reason="seen otherwise"),
        lambda: verdicts.withdraw_overruling(number),
        lambda: verdicts.replace([(number, "later", verdict(Kind.SHAPE))]),
        lambda: attempts.keep_draft(nella, "b", Step.COPY, ink(points=3)),
        lambda: attempts.drop_draft(nella),
        lambda: attempts.keep_draft(tide, "b", Step.COPY, ink(points=3)),
        lambda: attempts.leave_draft(tide),
        lambda: attempts.keep_draft(nella, "d", Step.COPY, ink(points=3)),
        lambda: attempts.keep(attempt(nella, "d", day=4)),
        lambda: record.pupils.change(replace(record.pupils.get(nella), group="Slipway")),
        lambda: record.pupils.archive(tide, True),
        lambda: record.erasure.remove_pupil(nella),
    ]
    assert_counts_are_right(record)
    for change in changes:
        change()
        assert_counts_are_right(record)


@pytest.mark.server
def test_the_running_counts_on_a_server(server):
    fewer = settings(TestTheRunningCounts.settings, max_examples=1)
    run_state_machine_as_test(lambda: Days(server.emptied()), settings=fewer)


def test_a_recount_mends_counts_that_were_changed_by_other_means(record):
    nella = record.pupils.add("Nella")
    record.attempts.keep(attempt(nella.id, "b", Kind.START))
    right = rows(record)
    with record._database.writing() as connection:
        connection.exec_driver_sql("UPDATE tally SET tries = 99")
        connection.exec_driver_sql("DELETE FROM tally_finding")
    assert rows(record) != right

    record.figures.recount()
    assert rows(record) == right


def test_a_mended_try_is_counted_apart_and_what_was_seen_in_it_still_counts(record):
    """The figures go by the first tries: it was begun somewhere else, whatever came after."""
    nella = record.pupils.add("Nella", group="Quay")
    record.attempts.keep(attempt(nella.id, "b", mended=True))
    record.attempts.keep(attempt(nella.id, "b", Kind.START))
    record.attempts.keep(attempt(nella.id, "b", Kind.START, step=Step.TRACE, mended=True))
    attempts = [
        record.attempts.keep(attempt(nella.id, "b", Kind.START, mended=True, day=7)) for _ in range(2)
    ]

    (line,) = record.figures.summary().lines
    assert (line.tries, line.formed, line.mended, line.lately_formed) == (4, 1, 2, 1)
    assert [(finding.kind, finding.tries) for finding in line.findings] == [(Kind.START, 3)]
    assert record.figures.summary().alone[0].times == 3
    assert [(week.formed, week.mended) for week in record.figures.trend()] == [(1, 0), (0, 2)]
    assert [line.mended for line in record.figures.summary(until=MONDAY).lines] == [0]

    record.verdicts.overrule(attempts[0].id, formed=True, looks=True, reason="she lifted for me")
    record.verdicts.overrule(attempts[1].id, formed=False, looks=True, reason="I held her hand")
    (line,) = record.figures.summary().lines
    assert (line.formed, line.mended) == (2, 0)
    assert [(finding.kind, finding.tries) for finding in line.findings] == [(Kind.START, 2)]

    record.verdicts.withdraw_overruling(attempts[1].id)
    assert record.figures.summary().lines[0].mended == 1


def test_a_teacher_who_says_well_formed_takes_back_that_it_was_another_letter(record):
    """Another letter is neither well formed nor does it look right: either of her words is against it."""
    nella = record.pupils.add("Nella")
    answers = [(True, False), (False, True), (True, True), (False, False)]
    for formed, looks in answers:
        kept_attempt = record.attempts.keep(
            attempt(nella.id, "a", Kind.LETTER, Kind.LIFT, Kind.SIZE, instead="d")
        )
        record.verdicts.overrule(kept_attempt.id, formed=formed, looks=looks, reason="seen otherwise")

    (line,) = record.figures.summary().lines
    assert {finding.kind: finding.tries for finding in line.findings} == {
        Kind.LETTER: 1,
        Kind.LIFT: 2,
        Kind.SIZE: 2,
    }
    assert_counts_are_right(record)


def test_a_summary_without_a_part_has_the_others_as_they_are(record):
    nella, abel = (record.pupils.add(name, group="Quay") for name in ("Nella", "Abel"))
    for pupil in (nella, abel):
        record.attempts.keep_many([attempt(pupil.id, "b", Kind.START, day=day) for day in range(4)])
    whole = record.figures.summary()
    (line,) = whole.lines

    assert record.figures.summary(findings=False).gather == whole.gather != ()
    assert record.figures.summary(findings=False).lines == (replace(line, sights=()),)
    assert record.figures.summary(lately=False).lines == (replace(line, lately=0, lately_formed=0),)
    assert record.figures.summary(lately=False).gather == ()
    assert record.figures.trend() == whole.trend != ()
    assert record.figures.trend("Slipway") == ()


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_nothing_is_scanned_that_grows_with_every_attempt(record):
    """The last tries are found by an index, and so are the counts of all days and those up to a day."""
    record.pupils.add("Nella")
    asked = []

    def listen(_connection, _cursor, said, values, *_):
        asked.append((said, values))

    event.listen(record._database._engine, "before_cursor_execute", listen)
    record.figures.summary()
    record.figures.summary(since=MONDAY)
    record.attempts.latest(1)
    event.remove(record._database._engine, "before_cursor_execute", listen)
    with record._database.reading() as connection:
        steps = [
            row[3]
            for said, values in asked
            if said.startswith("SELECT")
            for row in connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {said}", values)
        ]
    assert sum("attempt_try" in step for step in steps) == 2
    assert sum("attempt_newest" in step for step in steps) == 4
    assert sum("tally_of_all" in step for step in steps) >= 2
    assert sum("tally_finding_of_all" in step for step in steps) >= 2
    assert [step for step in steps if re.match("SCAN (attempt|finding|tally)", step)] == []
