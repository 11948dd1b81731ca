"""What a teacher saw on paper: kept as her word, shown beside the attempts, never counted among them."""

import json
from datetime import timedelta
from itertools import product

import pytest

from strokes.kinds import FORMATION, Kind
from tests.cases import for_each
from tests.trainer.older import made_before
from tests.trainer.samples import MONDAY, attempt
from tests.trainer.test_export import files
from trainer.attempt import Observation
from trainer.commands import terminal
from trainer.errors import BrokenRecordError, PupilError
from trainer.language import observed_words
from trainer.record.erasure import Holdings
from trainer.record.migrations import OBSERVATIONS
from trainer.record.record import Record
from trainer.teaching import observed

DAY = MONDAY.date()


def seen(pupil, letter, *kinds, day=0):
    return Observation(pupil, letter, DAY + timedelta(days=day), kinds)


def test_observations_come_back_as_they_were_kept_the_latest_day_first(record):
    nella, abel = record.pupils.add("Nella"), record.pupils.add("Abel")
    first, second, other = record.observations.keep(
        [seen(nella.id, "b", day=1), seen(nella.id, "b", Kind.SIZE, Kind.START), seen(abel.id, "c")]
    )

    assert record.observations.find([nella.id]) == (
        first,
        Observation(nella.id, "b", DAY, (Kind.START, Kind.SIZE), second.id),
    ), "in teaching order"
    assert record.observations.find([nella.id, abel.id], "c") == (other,)
    assert record.observations.find([]) == ()


def test_all_are_kept_or_none(record):
    nella = record.pupils.add("Nella")

    with pytest.raises(PupilError):
        record.observations.keep([seen(nella.id, "b"), seen(99, "b")])
    assert record.observations.find([nella.id]) == ()


@for_each("kind", Kind)
def test_what_is_about_the_pens_way_is_not_well_formed(kind):
    formed = seen(1, "b", kind).formed

    assert formed is (kind not in FORMATION | {Kind.LETTER, Kind.REVERSAL})
    assert seen(1, "b").formed


def test_no_figure_counts_them(record):
    """Neither the summary nor what became secure when changes by a single number."""
    nella = record.pupils.add("Nella")
    record.attempts.keep_many([attempt(nella.id, "b", day=day) for day in range(3)])
    before = record.figures.summary(), record.figures.over_time(pupil=nella.id, until=DAY)
    record.observations.keep(
        [seen(nella.id, letter, *kinds) for letter, kinds in product("bz", ((), [Kind.START]))]
    )
    record.figures.recount()

    assert (record.figures.summary(), record.figures.over_time(pupil=nella.id, until=DAY)) == before


def test_they_are_summed_up_by_letter_with_what_was_seen_most_often_first():
    summed = observed(
        [
            seen(1, "c", Kind.SIZE, day=2),
            seen(1, "c", Kind.START, Kind.SIZE),
            seen(1, "c"),
            seen(1, "ж", day=9),
        ],
        order=("c",),
    )

    assert summed == (
        ("c", 2, 3, DAY + timedelta(days=2), (Kind.SIZE, Kind.START)),
        ("ж", 1, 1, DAY + timedelta(days=9), ()),
    )
    assert observed_words(*summed[0]).replace("\u00a0", " ") == (
        "c: well formed 2 of 3, last on 9 Sep 2026; seen: wrote it too tall or too small for the lines, "
        "began somewhere else than shown"
    )


def test_one_that_was_erased_is_gone_from_the_files_and_its_number_is_not_given_again(place, held_bytes):
    with Record.open(place, now=MONDAY) as record:
        nella = record.pupils.add("Nella")
        first, other = record.observations.keep([seen(nella.id, "rarely-seen-letter"), seen(nella.id, "b")])
        assert held_bytes(b"rarely-seen-letter")
        record.observations.remove([first.id, 77])
        assert record.observations.find([nella.id]) == (other,)
        record.observations.remove([other.id])
        (later,) = record.observations.keep([seen(nella.id, "b")])
    assert not held_bytes(b"rarely-seen-letter")
    assert later.id > other.id


def test_they_go_with_the_pupil_and_are_listed_before(record):
    nella, abel = record.pupils.add("Nella"), record.pupils.add("Abel")
    record.observations.keep([seen(nella.id, "b"), seen(nella.id, "c"), seen(abel.id, "b")])

    assert record.erasure.holdings([nella.id]) == Holdings(observations=2)
    record.erasure.remove_pupil(nella.id)
    assert record.observations.find([nella.id]) == ()
    assert len(record.observations.find([abel.id])) == 1


def test_when_ink_is_erased_for_its_age_they_stay_as_findings_do(record):
    nella = record.pupils.add("Nella")
    record.attempts.keep(attempt(nella.id, "b"))
    record.observations.keep([seen(nella.id, "b")])

    assert record.ink.forget_old(MONDAY + timedelta(days=400), certain=True) == 1
    assert len(record.observations.find([nella.id])) == 1


def test_a_damaged_one_is_named_and_costs_only_itself(record):
    nella = record.pupils.add("Nella")
    first, other = record.observations.keep([seen(nella.id, "b"), seen(nella.id, "c")])
    with record._database.writing() as connection:
        connection.exec_driver_sql("UPDATE observation SET seen = 'started nowhere' WHERE letter = 'b'")

    with pytest.raises(BrokenRecordError, match=f"observation {first.id}"):
        record.observations.find([nella.id])
    damaged = []
    assert record.observations.find([nella.id], on_damage=damaged.append) == (other,)
    assert len(damaged) == 1


def test_an_older_record_is_opened_and_takes_them(place, monkeypatch):
    made_before(OBSERVATIONS, place, monkeypatch).close()
    with Record.open(place, now=MONDAY) as record:
        nella = record.pupils.add("Nella")
        assert record.observations.keep([seen(nella.id, "b")])[0].id == 1


def test_they_stand_in_what_is_handed_out_as_the_teachers_word(record):
    nella = record.pupils.add("Nella", group="Quay")
    record.observations.keep([seen(nella.id, "b", Kind.START)])
    content = json.loads(files(record, [nella])["01-nella/record.json"])

    assert content["attempts"] == []
    assert content["observations"] == [
        {
            "letter": "b",
            "day": "2026-09-07",
            "formed": False,
            "kinds": ["start"],
            "words": "began somewhere else than shown",
        }
    ]


def test_the_terminal_shows_them_apart_from_the_tries(record, capsys):
    nella = record.pupils.add("Nella", group="Quay")
    record.observations.keep([seen(nella.id, "b", Kind.START)])
    summed = observed(record.observations.find([nella.id]))
    terminal.show(record.figures.summary(pupil=nella.id), pupil=nella, on_paper=summed)
    said = " ".join(capsys.readouterr().out.replace("\u00a0", " ").split())

    assert "SEEN BY THE TEACHER ON PAPER b: well formed 0 of 1, last on 7 Sep 2026; seen: began" in said
    assert "Nothing has been written yet" in said
