import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from sqlalchemy.sql.compiler import SQLCompiler

from strokes.ink import Ink
from strokes.kinds import Kind, WordKind
from strokes.report import Finding, WordFinding
from tests.trainer.samples import MONDAY, attempt, ink, verdict
from tests.trainer.test_ink_codec import assert_same_ink
from trainer.attempt import (
    CARDS,
    Addition,
    Attempt,
    InWord,
    Newcomer,
    Overruling,
    PastVerdict,
    Step,
    Verdict,
    WordPart,
    WordTry,
)
from trainer.errors import BusyError, PupilError, RecordError, RemarkError
from trainer.ink_codec import pack
from trainer.record import Holdings, Record, database, mappers, sqlite


@pytest.fixture
def file(tmp_path):
    return tmp_path / "record.sqlite"


# Pupils


def test_a_pupil_comes_back_as_added(record):
    nella = record.pupils.add("  Nella ", hand="left", group="Quay", card=7)

    assert (nella.name, nella.card, nella.hand, nella.group) == ("Nella", 7, "left", "Quay")
    assert record.pupils.find() == (nella,)
    assert record.pupils.find("Quay") == (nella,)
    assert record.pupils.find("Slipway") == ()
    assert record.pupils.groups() == ("Quay",)


def test_pupils_get_the_first_free_card_of_their_group(record):
    cards = [record.pupils.add(name, group="Quay").card for name in ("Abel", "Brida")]
    record.erasure.remove_pupil(record.pupils.find("Quay")[0].id)

    assert cards == [1, 2]
    assert record.pupils.add("Cosmo", group="Quay").card == 1
    assert record.pupils.add("Gesa", group="Slipway").card == 1


def test_pupils_and_groups_come_in_one_order_wherever_they_lie(record):
    """Servers sort as dictionaries do, each in its own way; SQLite goes by the characters' numbers."""
    for name in ("abel", "Zeno", "Édda", "Brida", "B-rida", "b"):
        record.pupils.add(name, group=name)
        record.pupils.add(name, group="Quay")

    assert record.pupils.groups() == ("B-rida", "Brida", "Quay", "Zeno", "abel", "b", "Édda")
    assert [pupil.name for pupil in record.pupils.find("Quay")] == [
        "B-rida",
        "Brida",
        "Zeno",
        "abel",
        "b",
        "Édda",
    ]


def test_more_pupils_than_cards_share_them(record):
    for number in range(CARDS):
        record.pupils.add(f"Pupil {number}")

    assert 1 <= record.pupils.add("One more").card <= CARDS


@pytest.mark.parametrize(
    ("name", "options", "reason"),
    [
        ("", {}, "must be 1 to 40 letters"),
        ("   ", {}, "must be 1 to 40 letters"),
        ("x" * 41, {}, "must be 1 to 40 letters"),
        ("Ne\x00lla", {}, "must be 1 to 40 letters"),
        ("ABEL", {}, "already has a pupil named"),
        ("Dalia", {"card": 1}, "belongs to Abel"),
        ("Dalia", {"card": 0}, "from 1 to"),
        ("Dalia", {"card": CARDS + 1}, "from 1 to"),
        ("Dalia", {"group": ""}, "group's name must be"),
    ],
)
def test_a_pupil_who_cannot_be_added_changes_nothing(record, name, options, reason):
    record.pupils.add("Abel", card=1)

    with pytest.raises(PupilError, match=reason):
        record.pupils.add(name, **options)
    assert [pupil.name for pupil in record.pupils.find()] == ["Abel"]


def test_a_pupil_is_renamed_and_keeps_the_rest(record):
    abel, nella = record.pupils.add("Abel", group="Quay"), record.pupils.add("Nella", group="Quay")
    record.pupils.change(replace(nella, name=" Nell "))
    record.pupils.change(replace(nella, name="NELL"))  # the own name in capitals is not taken

    assert record.pupils.get(nella.id) == replace(nella, name="NELL")
    with pytest.raises(PupilError, match="Quay already has a pupil named abel"):
        record.pupils.change(replace(nella, name="abel"))
    with pytest.raises(PupilError, match="1 to 40 letters"):
        record.pupils.change(replace(nella, name=""))
    with pytest.raises(PupilError, match="no pupil with the number 99"):
        record.pupils.change(replace(nella, id=99, name="Cosmo"))
    assert record.pupils.get(abel.id) == abel


def test_a_pupil_who_moves_keeps_the_card_or_gets_the_first_free_one(record):
    abel, gesa = record.pupils.add("Abel", group="Quay", card=3), record.pupils.add("Gesa", group="Slipway")
    record.pupils.add("Hamid", group="Slipway", card=3)
    record.pupils.change(replace(gesa, group="Quay"))
    assert (record.pupils.get(gesa.id).group, record.pupils.get(gesa.id).card) == ("Quay", gesa.card)

    record.pupils.change(replace(abel, group="Slipway"))
    assert (record.pupils.get(abel.id).group, record.pupils.get(abel.id).card) == ("Slipway", 1)


def test_nobody_moves_to_where_the_name_is_taken(record):
    abel = record.pupils.add("Abel", group="Quay")
    record.pupils.archive(record.pupils.add("ABEL", group="Slipway").id)

    with pytest.raises(PupilError, match="Slipway already has a pupil named Abel"):
        record.pupils.change(replace(abel, group="Slipway"))
    assert record.pupils.get(abel.id) == abel


def test_hand_and_card_are_set(record):
    abel, nella = record.pupils.add("Abel", card=1), record.pupils.add("Nella", card=2)
    record.pupils.set_hand(nella.id, "left")
    record.pupils.change(replace(nella, hand="left", card=9))
    assert record.pupils.get(nella.id) == replace(nella, hand="left", card=9)

    record.pupils.set_hand(nella.id, None)
    with pytest.raises(PupilError, match="card 1 belongs to Abel"):
        record.pupils.change(replace(nella, card=abel.card))
    assert record.pupils.get(nella.id) == replace(nella, card=9)


def test_an_archived_pupil_is_hidden_and_comes_back_with_everything(record):
    nella = record.pupils.add("Nella", group="Quay")
    record.attempts.keep(attempt(nella.id, "b"))
    record.pupils.archive(nella.id)

    assert record.pupils.find() == ()
    assert record.figures.summary().tries == 0
    assert record.figures.summary(pupil=nella.id).tries == 1
    assert record.pupils.groups(archived=False) == ()
    record.pupils.archive(nella.id, False)
    assert record.pupils.find() == (nella,)
    assert record.figures.summary().tries == 1


# Plans


def test_a_plan_is_kept_in_its_order_and_each_letter_once(record):
    record.plans.set("Quay", ["n", "m", "n", "h"])
    record.plans.set("Slipway", ["e"])
    assert record.plans.get("Quay") == ("n", "m", "h")

    record.plans.set("Quay", [])
    assert record.plans.get("Quay") == ()
    assert record.plans.get("Slipway") == ("e",)


def test_a_pupils_own_plan_comes_before_the_groups(record):
    nella, abel = record.pupils.add("Nella", group="Quay"), record.pupils.add("Abel", group="Quay")
    record.plans.set("Quay", ["n", "m"])
    record.plans.set("Quay", ["b", "b", "d"], pupil=nella.id)

    assert record.plans.get("Quay", nella.id) == record.plans.for_pupil(nella.id) == ("b", "d")
    assert record.plans.get("Quay", abel.id) == ()
    assert record.plans.for_pupil(abel.id) == record.plans.get("Quay") == ("n", "m")
    record.plans.set("Quay", [], pupil=nella.id)
    assert record.plans.for_pupil(nella.id) == ("n", "m")
    with pytest.raises(PupilError, match="no pupil"):
        record.plans.for_pupil(99)
    with pytest.raises(PupilError, match="no pupil"):
        record.plans.set("Quay", ["b"], pupil=99)


def test_letters_are_added_before_a_plan_for_some_days_and_taken_back(record):
    """The plans themselves stay; the last additions come first, and after a week they no longer count."""
    nella, abel = record.pupils.add("Nella", group="Quay"), record.pupils.add("Abel", group="Quay")
    record.plans.set("Quay", ["n", "m"])
    day = date(2026, 9, 7)
    record.plans.add({nella.id: ["a", "n"], abel.id: ["m"]}, today=day)
    record.plans.add({nella.id: ["d", "a"]}, today=day + timedelta(days=2))

    def planned(pupil, days):
        return record.plans.for_pupil(pupil.id, today=day + timedelta(days=days))

    assert (planned(nella, 2), planned(abel, 2)) == (("d", "a", "n", "m"), ("m", "n"))
    assert record.plans.added(today=day)[abel.id] == (Addition("m", day),)
    assert (planned(nella, 7), planned(nella, 9)) == (("d", "a", "n", "m"), ("n", "m"))
    record.plans.set("Quay", ["o"], pupil=nella.id)
    assert planned(nella, 2) == ("d", "a", "n", "o")
    assert record.plans.get("Quay") == ("n", "m")

    record.plans.take_back({nella.id: ["a", "d", "z"], 99: ["a"]})
    assert (planned(nella, 2), planned(abel, 2)) == (("n", "o"), ("m", "n"))
    with pytest.raises(PupilError, match="no pupil"):
        record.plans.add({99: ["a"]}, today=day)
    record.erasure.remove_pupil(nella.id)
    assert nella.id not in record.plans.added(today=day)


# Notes and settings


def test_notes_come_back_newest_first_and_go_one_by_one(record, held_bytes):
    nella = record.pupils.add("Nella")
    first = record.notes.add(nella.id, "  Holds the pen well.  \n\nWith the left hand. ", at=MONDAY)
    second = record.notes.add(nella.id, "Quintessential", at=MONDAY + timedelta(days=1))
    assert record.notes.find(nella.id) == (second, first)
    assert (first.text, first.at) == ("Holds the pen well.\n\nWith the left hand.", MONDAY)

    record.notes.remove(second.id)
    assert record.notes.find(nella.id) == (first,)
    assert not held_bytes(b"Quintessential")


@pytest.mark.parametrize("said", ["", " \n ", "x" * 2001, "a\x00b"])
def test_a_note_that_cannot_be_kept_is_told(record, said):
    nella = record.pupils.add("Nella")

    with pytest.raises(RemarkError, match="1 to 2000 characters"):
        record.notes.add(nella.id, said)
    with pytest.raises(PupilError, match="no pupil"):
        record.notes.add(99, "kept nowhere")
    with pytest.raises(RemarkError, match="no note"):
        record.notes.remove(5)


def test_a_setting_is_what_it_was_set_to_last(record):
    assert record.settings.get("motion") is None
    assert record.settings.get("motion", "on") == "on"
    record.settings.set("motion", "off")
    record.settings.set("motion", "")
    assert record.settings.get("motion", "on") == ""
    record.settings.set(f"alphabet:{'x' * 40}", "print")
    with pytest.raises(RecordError, match="value of at most 200"):
        record.settings.set("motion", "x" * 201)


# Attempts


def test_an_attempt_comes_back_with_its_raw_ink_and_every_finding(record):
    nella = record.pupils.add("Nella")
    findings = (
        Finding(Kind.START, 0.5, 0.35, stroke=0, trace=1, at=(0.0, -1.5)),
        Finding(Kind.ORDER, 1.0, 0.0, order=(1, 0, 2)),
        Finding(Kind.DIRECTION, 0.9, 0.2, stroke=0, part=(0.0, 0.4)),
        Finding(Kind.LETTER, 0.3, 0.1, letter="d", note=True),
    )
    written = ink(seed=3, traces=2)
    whole = Attempt(
        None, nella.id, "b", Step.RECALL, MONDAY, written, Verdict("taught", False, True, findings)
    )

    attempt = record.attempts.keep(whole)
    (kept_attempt,) = record.attempts.find()

    assert attempt.id == kept_attempt.id is not None
    assert replace(kept_attempt, ink=written, id=None).verdict == whole.verdict
    assert (kept_attempt.letter, kept_attempt.step, kept_attempt.at, kept_attempt.finished) == (
        "b",
        Step.RECALL,
        MONDAY,
        True,
    )
    assert_same_ink(kept_attempt.ink, written)


def test_an_attempt_is_committed_when_keep_returns(record, place):
    nella = record.pupils.add("Nella")
    record.attempts.keep(attempt(nella.id, "b", Kind.START))

    with Record.open(place, now=MONDAY) as other:
        (kept_attempt,) = other.attempts.find()
    assert (kept_attempt.letter, kept_attempt.formed) == ("b", False)
    assert [finding.kind for finding in kept_attempt.verdict.findings] == [Kind.START]


def test_attempts_are_chosen_by_pupil_letter_and_day_oldest_first(record):
    abel, nella = record.pupils.add("Abel"), record.pupils.add("Nella")
    record.attempts.keep(attempt(nella.id, "b", day=3))
    record.attempts.keep(attempt(nella.id, "b", day=1))
    record.attempts.keep(attempt(nella.id, "c", day=2))
    record.attempts.keep(attempt(abel.id, "b", day=2))

    def days(**chosen):
        return [(attempt.at - MONDAY).days for attempt in record.attempts.find(**chosen)]

    assert days() == [1, 2, 2, 3]
    assert days(pupil=nella.id, letter="b") == [1, 3]
    assert days(since=MONDAY + timedelta(days=2)) == [2, 2, 3]
    assert all(len(attempt.ink) == 0 for attempt in record.attempts.find(ink=False))


def test_many_attempts_are_kept_at_once_like_one_by_one(record):
    nella = record.pupils.add("Nella")
    record.attempts.keep(attempt(nella.id, "a"))
    record.attempts.keep_many(
        [attempt(nella.id, "b", Kind.START, Kind.SIZE, day=1), attempt(nella.id, "c", day=2)]
    )
    record.attempts.keep_many([])

    attempts = list(record.attempts.find())
    assert [attempt.letter for attempt in attempts] == ["a", "b", "c"]
    assert [finding.kind for finding in attempts[1].verdict.findings] == [Kind.START, Kind.SIZE]


def test_an_attempt_of_a_pupil_who_is_not_there_is_refused(record):
    with pytest.raises(RecordError):
        record.attempts.keep(attempt(99, "b"))
    assert list(record.attempts.find()) == []


def test_the_latest_attempts_come_newest_first_with_their_ink(record):
    nella, abel = record.pupils.add("Nella"), record.pupils.add("Abel")
    for day, letter in enumerate("bcbcb"):
        record.attempts.keep(attempt(nella.id, letter, day=day, written=ink(seed=day)))
    record.attempts.keep(attempt(abel.id, "b", day=9))

    newest = record.attempts.latest(nella.id, "b", n=2)
    assert [(attempt.at - MONDAY).days for attempt in newest] == [4, 2]
    assert_same_ink(newest[0].ink, ink(seed=4))
    assert len(record.attempts.latest(nella.id)) == 5
    assert record.attempts.get(newest[0].id).at == newest[0].at
    assert record.attempts.get(999) is None


# Overruled, and judged again


def test_a_teachers_word_stands_beside_the_verdict_and_counts_in_its_place(record):
    nella = record.pupils.add("Nella")
    kept_attempt = record.attempts.keep(attempt(nella.id, "b", Kind.START, Kind.SIZE))
    record.verdicts.overrule(
        kept_attempt.id, formed=True, looks=False, reason="  she was jostled ", at=MONDAY
    )

    written_attempt = record.attempts.get(kept_attempt.id)
    assert written_attempt.overruled == Overruling(True, False, "she was jostled", MONDAY)
    assert (written_attempt.verdict, written_attempt.formed, written_attempt.looks) == (
        kept_attempt.verdict,
        True,
        False,
    )
    (line,) = record.figures.summary().lines
    assert (line.formed, line.looks, [finding.kind for finding in line.findings]) == (1, 0, [Kind.SIZE])
    assert record.figures.summary().overruled == 1

    record.verdicts.overrule(kept_attempt.id, formed=False, looks=True, reason="seen again")
    assert record.attempts.get(kept_attempt.id).overruled.reason == "seen again"
    record.verdicts.withdraw_overruling(kept_attempt.id)
    assert record.attempts.get(kept_attempt.id).overruled is None
    assert record.figures.summary().overruled == 0


def test_an_overruling_needs_a_reason_and_a_verdict(record):
    nella = record.pupils.add("Nella")
    kept_attempt = record.attempts.keep(attempt(nella.id, "b"))
    record.attempts.keep_draft(nella.id, "c", Step.COPY, ink())
    draft = record.attempts.latest(nella.id, "c")[0]

    for number, reason, said in (
        (kept_attempt.id, " ", "1 to 400 characters"),
        (kept_attempt.id, "x" * 401, "1 to 400 characters"),
        (draft.id, "why", "must be a finished one"),
        (999, "why", "must be a finished one"),
    ):
        with pytest.raises(RemarkError, match=said):
            record.verdicts.overrule(number, formed=True, looks=True, reason=reason)
    with pytest.raises(RemarkError, match="has none"):
        record.verdicts.withdraw_overruling(kept_attempt.id)


def test_judging_again_keeps_the_older_verdict_and_the_teachers_word(record):
    nella = record.pupils.add("Nella")
    kept_attempt = record.attempts.keep(replace(attempt(nella.id, "b", Kind.START, instead="d"), checks="1"))
    other = record.attempts.keep(attempt(nella.id, "b", day=1))
    record.verdicts.overrule(kept_attempt.id, formed=True, looks=True, reason="fine")
    newer = verdict(Kind.LETTER, Kind.SIZE, letter="d")

    assert record.verdicts.replace([(kept_attempt.id, "2", newer), (999, "2", newer)], at=MONDAY) == 1

    written_attempt = record.attempts.get(kept_attempt.id)
    assert (written_attempt.verdict, written_attempt.checks, written_attempt.overruled.reason) == (
        newer,
        "2",
        "fine",
    )
    assert record.verdicts.past(nella.id)[kept_attempt.id] == (
        PastVerdict("1", MONDAY, kept_attempt.verdict),
    )
    assert list(record.verdicts.past(nella.id)) == [kept_attempt.id]
    assert record.attempts.get(other.id).verdict == other.verdict
    record.verdicts.replace([(kept_attempt.id, "3", verdict())])
    assert [past.checks for past in record.verdicts.past(nella.id)[kept_attempt.id]] == ["1", "2"]


def test_what_was_mended_comes_back_and_stays_with_the_verdict_that_said_so(record):
    nella = record.pupils.add("Nella")
    kept_attempt = record.attempts.keep(attempt(nella.id, "b", Kind.START, mended=True))
    assert record.attempts.get(kept_attempt.id).mended

    record.verdicts.replace([(kept_attempt.id, "2", verdict(Kind.START))])
    assert not record.attempts.get(kept_attempt.id).mended
    assert [past.verdict.mended for past in record.verdicts.past(nella.id)[kept_attempt.id]] == [True]

    record.verdicts.replace([(kept_attempt.id, "3", verdict(Kind.START, mended=True))])
    assert record.attempts.get(kept_attempt.id).mended
    assert [past.verdict.mended for past in record.verdicts.past(nella.id)[kept_attempt.id]] == [True, False]


def test_a_draft_may_become_a_mended_attempt(record):
    nella = record.pupils.add("Nella")
    record.attempts.keep_draft(nella.id, "b", Step.COPY, ink())
    assert [attempt.mended for attempt in record.attempts.find()] == [False]

    record.attempts.keep(attempt(nella.id, "b", Kind.START, mended=True))
    assert [attempt.mended for attempt in record.attempts.find()] == [True]


def test_a_batch_that_cannot_be_judged_again_changes_nothing(record):
    nella = record.pupils.add("Nella")
    first, second = record.attempts.keep(attempt(nella.id, "b")), record.attempts.keep(attempt(nella.id, "c"))
    with pytest.raises(RecordError):
        record.verdicts.replace([(first.id, "2", verdict(Kind.START)), (second.id, None, verdict())])
    assert record.attempts.get(first.id).verdict == first.verdict
    assert record.verdicts.past(nella.id) == {}


# Drafts


def test_a_draft_grows_and_becomes_the_finished_attempt(record):
    nella = record.pupils.add("Nella")
    record.attempts.keep_draft(nella.id, "k", Step.COPY, ink(traces=1))
    record.attempts.keep_draft(nella.id, "k", Step.COPY, ink(traces=2))
    (draft,) = record.attempts.find()
    assert (len(draft.ink), draft.finished, draft.verdict) == (2, False, None)

    record.attempts.keep(attempt(nella.id, "k", written=ink(traces=3)))
    (whole,) = record.attempts.find()
    assert (whole.id, len(whole.ink), whole.finished) == (draft.id, 3, True)


def test_a_draft_keeps_the_time_of_its_first_stroke(record):
    nella = record.pupils.add("Nella")
    record.attempts.keep_draft(nella.id, "k", Step.COPY, ink(traces=1))
    first = next(record.attempts.find()).at
    record.attempts.keep_draft(nella.id, "k", Step.COPY, ink(traces=2))

    assert next(record.attempts.find()).at == first


def test_a_dropped_draft_is_gone(record):
    nella = record.pupils.add("Nella")
    record.attempts.keep_draft(nella.id, "k", Step.COPY, ink())
    record.attempts.drop_draft(nella.id)
    record.attempts.drop_draft(nella.id)

    assert list(record.attempts.find()) == []


def test_a_draft_left_by_a_crash_stays_as_an_unfinished_attempt(place):
    with Record.open(place) as record:
        nella = record.pupils.add("Nella")
        record.attempts.keep_draft(nella.id, "k", Step.COPY, ink(seed=5, traces=2))
    with Record.open(place) as record:
        record.attempts.keep(attempt(nella.id, "k"))
        left, whole = sorted(record.attempts.find(), key=lambda attempt: attempt.finished)

    assert not left.finished
    assert_same_ink(left.ink, ink(seed=5, traces=2))
    assert whole.finished


def test_going_on_to_another_letter_leaves_the_draft_as_unfinished(record):
    nella = record.pupils.add("Nella")
    record.attempts.keep_draft(nella.id, "k", Step.COPY, ink())
    record.attempts.keep(attempt(nella.id, "b"))

    assert {(attempt.letter, attempt.finished) for attempt in record.attempts.find()} == {
        ("k", False),
        ("b", True),
    }


def test_a_look_at_the_model_inside_a_letter_does_not_make_two_of_it(record):
    """The help may grow while the letter is written: from memory first, then as a copy."""
    nella = record.pupils.add("Nella")
    record.attempts.keep_draft(nella.id, "k", Step.RECALL, ink(traces=1))
    record.attempts.keep_draft(nella.id, "k", Step.COPY, ink(traces=1))
    record.attempts.keep(attempt(nella.id, "k", step=Step.COPY, written=ink(traces=2)))

    assert [(attempt.step, attempt.finished) for attempt in record.attempts.find()] == [(Step.COPY, True)]


def test_a_draft_that_was_left_is_not_written_over_nor_dropped(record):
    nella = record.pupils.add("Nella")
    record.attempts.keep_draft(nella.id, "k", Step.COPY, ink(seed=1, traces=2))
    record.attempts.leave_draft(nella.id)
    record.attempts.drop_draft(nella.id)
    record.attempts.keep_draft(nella.id, "k", Step.COPY, ink(seed=2))
    record.attempts.keep(attempt(nella.id, "k", written=ink(seed=2)))

    left, whole = sorted(record.attempts.find(), key=lambda attempt: attempt.finished)
    assert (left.finished, whole.finished) == (False, True)
    assert_same_ink(left.ink, ink(seed=1, traces=2))


def test_two_children_have_a_draft_each(record):
    abel, nella = record.pupils.add("Abel"), record.pupils.add("Nella")
    record.attempts.keep_draft(abel.id, "k", Step.COPY, ink(traces=1))
    record.attempts.keep_draft(nella.id, "k", Step.COPY, ink(traces=2))
    record.attempts.keep(attempt(abel.id, "k", written=ink(traces=1)))

    assert {(attempt.pupil, attempt.finished) for attempt in record.attempts.find()} == {
        (abel.id, True),
        (nella.id, False),
    }


# Erasing


def test_nothing_of_a_removed_pupil_is_left_in_the_bytes_of_the_files(place, held_bytes):
    """Name, letters' verdicts and every piece of packed ink are searched for in all files of the record."""
    inks = [ink(seed=number, traces=1 + number % 3, points=60) for number in range(60)]
    packed = [pack(written, ())[8:40] for written in inks]
    with Record.open(place) as record:
        gone, stays = record.pupils.add("Quintessa", group="Quay"), record.pupils.add("Nella", group="Quay")
        for number, written in enumerate(inks):
            pupil = gone if number % 2 else stays
            record.attempts.keep_draft(pupil.id, "b", Step.COPY, written)
            named = Verdict("formation-of-" + pupil.name, False, True, verdict(Kind.START).findings)
            record.attempts.keep(Attempt(None, pupil.id, "b", Step.COPY, MONDAY, written, named))
        assert held_bytes(b"Quintessa", *packed) == {b"Quintessa", *packed}

        record.erasure.remove_pupil(gone.id)

        assert held_bytes(b"Quintessa", *packed) == set(packed[::2])
        assert {attempt.pupil for attempt in record.attempts.find()} == {stays.id}
    assert not held_bytes(b"Quintessa")


def test_what_would_be_erased_is_listed_first(record):
    nella, abel = record.pupils.add("Nella", group="Quay"), record.pupils.add("Abel", group="Quay")
    kept_attempt = record.attempts.keep(attempt(nella.id, "b", Kind.START, Kind.SIZE, day=1))
    record.attempts.keep(attempt(abel.id, "b", Kind.START, day=3))
    record.attempts.keep(replace(attempt(abel.id, "c", day=2), ink=Ink()))
    record.verdicts.overrule(kept_attempt.id, formed=True, looks=True, reason="fine")
    record.notes.add(abel.id, "a note")

    days = [MONDAY + timedelta(days=day) for day in (1, 3)]
    assert record.erasure.holdings([nella.id]) == Holdings(1, 1, 2, 0, 1, days[0], days[0])
    assert record.erasure.holdings([nella.id, abel.id]) == Holdings(3, 3, 3, 1, 1, *days)
    assert record.erasure.holdings([]) == Holdings()


def test_nothing_of_a_removed_group_is_left_in_the_bytes_of_the_files(place, held_bytes):
    """Name, note, reason, other verdicts, plan, settings and ink, also while the record is open."""
    written = [ink(seed=number, points=80) for number in range(8)]
    with Record.open(place) as record:
        stays = record.pupils.add("Nella", group="Slipway")
        for number, drawn in enumerate(written[:4]):
            record.attempts.keep(attempt(stays.id, "b", day=number, written=drawn))
        for name in ("Quintessa", "Quasimodo"):
            pupil = record.pupils.add(name, group="Quarantine")
            for drawn in written[4:]:
                kept_attempt = record.attempts.keep(attempt(pupil.id, "b", written=drawn))
            record.verdicts.overrule(kept_attempt.id, formed=True, looks=True, reason="her reasonable reason")
            record.verdicts.replace(
                [(kept_attempt.id, "checks-of-yore", Verdict("formation-anew", True, True))]
            )
            record.notes.add(pupil.id, "a noteworthy note")
            record.plans.set("Quarantine", ["bespoke-letter"], pupil=pupil.id)
            record.pupils.archive(pupil.id, name == "Quasimodo")
        record.plans.set("Quarantine", ["planned-letter"])
        record.settings.set("alphabet:Quarantine", "own-letters")
        words = (b"Quintessa", b"Quasimodo", b"Quarantine", b"reasonable", b"noteworthy", b"formation-anew")
        words += (b"checks-of-yore", b"bespoke-letter", b"planned-letter", b"own-letters")
        assert held_bytes(*words) == set(words)

        record.erasure.remove_group("Quarantine")

        inks = [pack(drawn, ())[8:40] for drawn in written]
        assert held_bytes(*words, *inks) == set(inks[:4])
        assert record.pupils.find(archived=True) == (stays,)
        with pytest.raises(PupilError, match="no group named Quarantine"):
            record.erasure.remove_group("Quarantine")


def test_what_is_written_for_an_erased_pupil_is_refused_and_never_kept_under_the_next_ones_number(file):
    """Two windows, as the desk and the practice window are; SQLite would give Nella's number to Abel."""
    with Record.open(file) as practice, Record.open(file) as desk:
        nella = practice.pupils.add("Nella")
        practice.attempts.keep_draft(nella.id, "k", Step.COPY, ink(seed=1))
        desk.erasure.remove_pupil(nella.id)
        abel = desk.pupils.add("Abel")
        desk.pupils.admit([Newcomer("Bo", 2, "Class")])
        desk.attempts.keep(attempt(abel.id, "k", written=ink(seed=2)))

        with pytest.raises(PupilError, match=f"no pupil with the number {nella.id}"):
            practice.attempts.keep_draft(nella.id, "k", Step.COPY, ink(seed=3))
        with pytest.raises(PupilError, match=f"no pupil with the number {nella.id}"):
            practice.attempts.keep(attempt(nella.id, "k", written=ink(seed=3)))

        assert nella.id not in {pupil.id for pupil in desk.pupils.find()}
        (kept_attempt,) = desk.attempts.find()
        assert_same_ink(kept_attempt.ink, ink(seed=2))


def test_no_number_of_a_pupil_is_given_twice_whoever_is_erased(record):
    given = [record.pupils.add(name, group="Quay").id for name in ("Nella", "Bo", "Ines")]
    record.erasure.remove_pupil(given[2])
    given.append(record.pupils.add("Tomas", group="Quay").id)
    record.erasure.remove_pupil(given[0])
    given.append(record.pupils.add("Wim", group="Quay").id)
    record.erasure.remove_group("Quay")
    given.append(record.pupils.add("Ada", group="Quay").id)
    record.erasure.remove_pupil(given[-1])
    record.pupils.admit([Newcomer("Mei", 1, "Quay"), Newcomer("Olu", 2, "Quay")])
    given += [pupil.id for pupil in record.pupils.find()]

    assert len(set(given)) == len(given) == 8


def test_no_number_of_a_note_an_attempt_or_a_verdict_of_the_past_is_given_twice(record):
    """A page that was opened before would remove the newer note, or overrule the newer attempt."""
    nella = record.pupils.add("Nella")
    notes = [record.notes.add(nella.id, "holds the pen high up").id for _ in range(2)]
    record.notes.remove(notes[-1])
    notes.append(record.notes.add(nella.id, "presses less").id)
    record.attempts.keep_draft(nella.id, "b", Step.COPY, ink())
    drafts = [stored.id for stored in record.attempts.find()]
    record.attempts.drop_draft(nella.id)
    attempts = [*drafts, record.attempts.keep(attempt(nella.id, "b")).id]
    record.erasure.remove_pupil(nella.id)
    abel = record.pupils.add("Abel")
    attempts += record.attempts.keep_many([attempt(abel.id, "b"), attempt(abel.id, "d")])
    notes.append(record.notes.add(abel.id, "is new").id)

    assert len(set(notes)) == len(notes) == 4
    assert len(set(attempts)) == len(attempts) == 4


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_no_index_page_keeps_the_times_of_a_removed_pupil(place, held_bytes):
    """Rows move when a page of an index is split; no copy of them stays behind."""
    random = np.random.default_rng(1)
    parts = random.integers(10**6, size=1500)
    moments = [MONDAY + timedelta(seconds=at, microseconds=int(part)) for at, part in enumerate(parts)]
    with Record.open(place) as record:
        gone, stays = record.pupils.add("Abel"), record.pupils.add("Nella")
        mixed = [
            replace(attempt((gone, stays)[at % 2].id, "abcdefgh"[at % 8], written=Ink()), at=moments[at])
            for at in random.permutation(len(moments))
        ]
        for first in range(0, len(mixed), 50):
            record.attempts.keep_many(mixed[first : first + 50])
        record.erasure.remove_pupil(gone.id)

        stamps = [mappers.stamp(moment).encode() for moment in moments]
        assert held_bytes(*stamps) == set(stamps[1::2])


def test_removing_a_pupil_who_is_not_there_is_told(record):
    with pytest.raises(PupilError, match="no pupil"):
        record.erasure.remove_pupil(5)


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_a_pupil_removed_while_another_window_reads_is_gone_and_the_delay_is_told(
    place, held_bytes, monkeypatch
):
    monkeypatch.setattr(database, "PATIENCE", 0.05)
    with Record.open(place) as record, closing(sqlite3.connect(place)) as other:
        nella = record.pupils.add("Quintessa")
        other.execute("BEGIN")
        other.execute("SELECT * FROM pupil").fetchall()

        with pytest.raises(BusyError, match="when that window is closed"):
            record.erasure.remove_pupil(nella.id)
        assert record.pupils.find() == ()
    with Record.open(place):
        pass
    assert not held_bytes(b"Quintessa")


def test_ink_past_its_time_is_erased_and_its_verdict_stays(place, held_bytes):
    old, fresh = ink(seed=1, points=50), ink(seed=2, points=50)
    with Record.open(place, now=MONDAY) as record:
        nella = record.pupils.add("Nella")
        record.attempts.keep(attempt(nella.id, "b", Kind.START, day=0, written=old))
        record.attempts.keep(attempt(nella.id, "b", day=30, written=fresh))
        for day in (99, 100):
            record.attempts.keep(attempt(nella.id, "d", day=day))
    with Record.open(place, now=MONDAY + timedelta(days=100)) as record:
        first, second, *_ = record.attempts.find()
        assert record.ink.forget_old(MONDAY + timedelta(days=100)) == 0
    assert len(first.ink) == 0
    assert [finding.kind for finding in first.verdict.findings] == [Kind.START]
    assert_same_ink(second.ink, fresh)
    assert not held_bytes(pack(old, ())[8:40])


def test_how_long_ink_is_kept_is_a_setting_of_the_record(place):
    with Record.open(place, now=MONDAY) as record:
        assert record.ink.keep_days == 90
        record.ink.keep_days = 7
        record.ink.keep_days = 14
        with pytest.raises(RecordError, match="at least 1 day"):
            record.ink.keep_days = 0
        nella = record.pupils.add("Nella")
        for day in (0, 12, 16, 17):
            record.attempts.keep(attempt(nella.id, "b", day=day))
    with Record.open(place, now=MONDAY + timedelta(days=13)) as record:
        assert len(next(record.attempts.find()).ink) == 1
    with Record.open(place, now=MONDAY + timedelta(days=17)) as record:
        assert record.ink.keep_days == 14
        assert len(next(record.attempts.find()).ink) == 0


def test_a_start_with_a_clock_that_is_years_ahead_erases_no_ink_and_asks(file):
    """A battery that ran out, or a wrong year typed in: the next start has the right day again."""
    ahead = MONDAY.replace(year=2036)
    with Record.open(file, now=MONDAY) as record:
        nella = record.pupils.add("Nella")
        for day in (0, 1, 2):
            record.attempts.keep(attempt(nella.id, "b", day=day))
    with Record.open(file, now=ahead) as record:
        assert [len(stored.ink) for stored in record.attempts.find()] == [1, 1, 1]
        assert record.ink.doubtful(MONDAY + timedelta(days=3)) == 0
        assert record.ink.doubtful(ahead) == 3
        record.attempts.keep(replace(attempt(nella.id, "d"), at=ahead))  # one day proves nothing yet
        assert record.ink.forget_old(ahead) == 0

        record.attempts.keep(replace(attempt(nella.id, "d"), at=ahead + timedelta(days=1)))
        assert record.ink.forget_old(ahead + timedelta(days=1)) == 3


def test_somebody_who_knows_the_day_may_say_so(file):
    with Record.open(file, now=MONDAY) as record:
        nella = record.pupils.add("Nella")
        record.attempts.keep(attempt(nella.id, "b"))

        assert record.ink.forget_old(MONDAY + timedelta(days=200)) == 0
        assert record.ink.forget_old(MONDAY + timedelta(days=200), certain=True) == 1


@pytest.mark.parametrize("damaged", ["today", "", "2026-99-99T00:00:00.000000Z", b"\x00"])
def test_a_damaged_date_neither_erases_ink_nor_keeps_the_record_closed(file, damaged):
    with Record.open(file, now=MONDAY) as record:
        nella = record.pupils.add("Nella")
        for day in (0, 1, 2):
            record.attempts.keep(attempt(nella.id, "b", day=day))
    with closing(sqlite3.connect(file)) as other, other:
        other.execute("UPDATE attempt SET at = ? WHERE id = 2", [damaged])

    with Record.open(file, now=MONDAY.replace(year=2036)) as record:
        assert len(record.attempts.get(1).ink) == len(record.attempts.get(3).ink) == 1


def test_how_much_ink_would_go_can_be_asked_first(record):
    nella = record.pupils.add("Nella")
    for day in (0, 5, 10):
        record.attempts.keep(attempt(nella.id, "b", day=day))

    counts = [record.ink.count_before(MONDAY + timedelta(days=days)) for days in (0, 1, 6, 11)]

    assert counts == [0, 1, 2, 3]


# Two programs at once


def test_two_programs_write_into_one_record(place):
    with Record.open(place) as record:
        nella = record.pupils.add("Nella")
        program = (
            "import sys; from trainer.record import Record; from tests.trainer.samples import attempt\n"
            "with Record.open(sys.argv[1]) as record:\n"
            "    for number in range(20):\n"
            "        record.attempts.keep(attempt(int(sys.argv[2]), 'b')); record.pupils.add(f'B{number}')"
        )
        other = subprocess.Popen([sys.executable, "-c", program, str(place), str(nella.id)])
        for number in range(20):
            record.attempts.keep(attempt(nella.id, "c"))
            record.pupils.add(f"C{number}")
        assert other.wait() == 0

        letters = [attempt.letter for attempt in record.attempts.find()]
        assert (letters.count("b"), letters.count("c")) == (20, 20)
        assert len(record.pupils.find()) == 41


def test_a_writer_who_waits_too_long_is_told(file, monkeypatch):
    monkeypatch.setattr(database, "PATIENCE", 0.05)
    with Record.open(file) as record, closing(sqlite3.connect(file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")

        with pytest.raises(BusyError, match="another window is using the record"):
            record.pupils.add("Nella")


def test_who_waits_for_another_window_asks_again_every_moment(file, monkeypatch):
    """And not in steps of up to 100 ms, as SQLite does by itself: other windows come and go meanwhile."""
    pauses = []
    with Record.open(file) as record, closing(sqlite3.connect(file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")

        def pause(seconds):
            pauses.append(seconds)
            if len(pauses) == 3:
                other.execute("COMMIT")

        monkeypatch.setattr(sqlite, "sleep", pause)
        record.pupils.add("Nella")

    assert len(pauses) == 3
    assert min(pauses) >= sqlite._NEXT_TRY


def test_a_pen_up_after_the_record_was_warmed_up_makes_no_statements_and_leaves_nothing(place, monkeypatch):
    """They take longer to make than to do, and all others who write wait meanwhile."""
    with Record.open(place) as record:
        record.attempts.warm_up()  # nobody is there whose letter it could be
        nella = record.pupils.add("Nella")
        record.attempts.warm_up()
        assert list(record.attempts.find()) == []
        made = []
        make = SQLCompiler.__init__
        monkeypatch.setattr(
            SQLCompiler, "__init__", lambda *given, **named: made.append(given) or make(*given, **named)
        )
        for seed in (1, 2):
            record.attempts.keep_draft(nella.id, "b", Step.COPY, ink(seed=seed))
        stored = record.attempts.keep(attempt(nella.id, "b"))

        assert made == []
        assert [each.id for each in record.attempts.find()] == [stored.id]


def test_reading_before_writing_in_one_transaction_keeps_others_out(place, monkeypatch):
    """Adding a pupil reads the names first; a writer who came between would make it fail."""
    monkeypatch.setattr(database, "PATIENCE", 0.05)
    with Record.open(place) as record, Record.open(place) as other:
        with record._database.writing() as connection:
            connection.exec_driver_sql("SELECT * FROM pupil").all()
            with pytest.raises(BusyError):
                other.pupils.add("Nella")
            connection.exec_driver_sql("INSERT INTO setting VALUES ('here', 'first')")
        assert other.pupils.add("Nella").name == "Nella"


# Settings of SQLite


def test_a_pen_up_waits_for_another_window_less_long_than_a_finished_letter(file):
    """The window stands still while it waits; a stroke is offered again with the next one."""
    waits = []
    for durable in (False, True):
        with Record.open(file) as record, record._database.writing(durable=durable) as connection:
            waits.append(connection.exec_driver_sql("PRAGMA busy_timeout").scalar())

    assert waits == [1000 * database.BRIEFLY, 1000 * database.PATIENCE]
    assert waits[0] < waits[1]


def test_sqlite_runs_as_the_record_needs_it(file):
    with Record.open(file) as record:
        with record._database.writing() as connection:
            pragma = {
                name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
                for name in ("journal_mode", "foreign_keys", "secure_delete", "synchronous")
            }
        with record._database.writing(durable=True) as connection:
            durable = connection.exec_driver_sql("PRAGMA synchronous").scalar()

    assert pragma == {"journal_mode": "wal", "foreign_keys": 1, "secure_delete": 1, "synchronous": 1}
    assert durable == 2


def test_the_write_ahead_file_is_small_again_once_a_long_reader_has_gone(file, monkeypatch):
    monkeypatch.setattr("trainer.record.sqlite._SIDE_FILE", 50_000)
    side_file = file.with_name(f"{file.name}-wal")
    with Record.open(file) as record, closing(sqlite3.connect(file)) as reader:
        nella = record.pupils.add("Nella")
        record.attempts.keep_draft(nella.id, "b", Step.COPY, ink())
        reader.execute("BEGIN")
        reader.execute("SELECT * FROM pupil").fetchall()
        for _ in range(8):
            with record._database.writing() as connection:
                connection.exec_driver_sql("UPDATE attempt SET ink = randomblob(600000)")
        grown = side_file.stat().st_size
        reader.rollback()
        for _ in range(2):
            record.attempts.keep_draft(nella.id, "b", Step.COPY, ink())

        assert grown > 4_000_000
        assert side_file.stat().st_size < 200_000


def test_a_pipe_in_the_place_of_the_record_is_refused(file):
    if not hasattr(os, "mkfifo"):
        pytest.skip("pipes with a name are of POSIX")
    os.mkfifo(file)

    with pytest.raises(RecordError, match="must be a file"):
        Record.open(file)


@pytest.mark.skipif(os.name != "posix", reason="file modes are those of POSIX")
def test_the_record_is_for_its_owner_alone(file):
    Record.open(file).close()
    assert file.stat().st_mode & 0o077 == 0


def test_moments_are_kept_in_utc_to_the_microsecond(record):
    nella = record.pupils.add("Nella")
    moment = datetime(2026, 10, 25, 2, 30, 0, 123456, tzinfo=UTC)
    record.attempts.keep(replace(attempt(nella.id, "b"), at=moment))

    assert next(record.attempts.find()).at == moment


# Words


def test_a_letter_in_a_word_is_kept_with_its_word_and_place_and_counted_apart(record):
    nella = record.pupils.add("Nella")
    alone = attempt(nella.id, "i")
    for number, written in enumerate((alone, replace(alone, in_word=InWord("ship", 2)))):
        record.attempts.keep(replace(written, at=MONDAY + timedelta(minutes=number)))

    (line,) = record.figures.summary().lines
    assert [stored.in_word for stored in record.attempts.find()] == [None, InWord("ship", 2)]
    assert (line.tries, line.formed, line.in_words, line.in_words_formed) == (2, 2, 1, 1)


def test_a_draft_goes_on_in_its_place_of_a_word_alone(record):
    """The two l of bell are two letters."""
    nella = record.pupils.add("Nella")
    for place in (2, 2, 3):
        record.attempts.keep_draft(nella.id, "l", Step.COPY, ink(), InWord("bell", place))

    assert [attempt.in_word.place for attempt in record.attempts.find()] == [2, 3]


def test_a_word_on_one_line_is_a_draft_until_it_is_finished(record):
    nella = record.pupils.add("Nella")
    line = WordTry(None, nella.id, "ship", WordPart.LINE, MONDAY, ink=ink(traces=1), finished=False)

    record.word_tries.keep_draft(line)
    record.word_tries.keep_draft(replace(line, ink=ink(traces=2)))
    findings = (WordFinding(WordKind.SPACING, 0.9, 0.6, 2),)
    whole = record.word_tries.keep(replace(line, ink=ink(traces=3), finished=True, findings=findings))
    count = WordTry(None, nella.id, "ship", WordPart.COUNT, MONDAY, asked=3, given=4)
    record.word_tries.keep(count)

    stored, counted = record.word_tries.find([nella.id])
    assert (stored.id, len(stored.ink), stored.findings, stored.finished) == (whole.id, 3, findings, True)
    assert (counted.part, counted.asked, counted.given, counted.missed) == (WordPart.COUNT, 3, 4, True)
    record.word_tries.keep_draft(line)
    record.word_tries.drop_draft(nella.id)
    assert len(list(record.word_tries.find())) == 2


def test_the_ink_of_words_is_forgotten_with_that_of_letters(record):
    nella = record.pupils.add("Nella")
    for day in (0, 1):
        record.attempts.keep(attempt(nella.id, "i", day=day))
    record.word_tries.keep(WordTry(None, nella.id, "it", WordPart.LINE, MONDAY, ink=ink()))

    assert record.ink.forget_old(MONDAY + timedelta(days=200), certain=True) == 3
    assert [len(tried.ink) for tried in record.word_tries.find()] == [0]


def test_the_words_of_a_plan_are_kept_in_their_order_and_each_once(record):
    record.plans.set_words("Quay", ["ship", "net", "ship"])

    assert record.plans.words("Quay") == ("ship", "net")
    assert record.plans.words("Jetty") == ()
    record.plans.set_words("Quay", [])
    assert record.plans.words("Quay") == ()
