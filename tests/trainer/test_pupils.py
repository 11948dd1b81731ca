"""All that a teacher may change of a pupil at once: every part of it, or none."""

from dataclasses import replace

import pytest
from sqlalchemy import event

from trainer.attempt import CARDS, Newcomer
from trainer.errors import PupilError


def test_name_card_hand_and_group_change_together(record):
    nella = record.pupils.add("Nella", group="Quay")

    after = record.pupils.change(replace(nella, name=" Nelli ", card=5, hand="left", group="Slipway"))

    assert (
        after
        == record.pupils.get(nella.id)
        == replace(nella, name="Nelli", card=5, hand="left", group="Slipway")
    )


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"name": "abel"}, "already has a pupil named"),
        ({"name": " "}, "must be 1 to 40 letters"),
        ({"group": ""}, "group's name must be"),
        ({"card": 1}, "belongs to Abel"),
        ({"card": CARDS + 1}, "from 1 to"),
        ({"id": 99}, "no pupil with the number 99"),
    ],
)
def test_one_part_that_cannot_be_keeps_all_as_it_was(record, change, reason):
    record.pupils.add("Abel", group="Quay")
    nella = record.pupils.add("Nella", group="Quay")

    with pytest.raises(PupilError, match=reason):
        record.pupils.change(replace(nella, **{"hand": "left", **change}))

    assert record.pupils.get(nella.id) == nella


def test_a_card_that_was_kept_gives_way_in_another_group(record):
    record.pupils.add("Abel", group="Slipway", card=1)
    nella = record.pupils.add("Nella", group="Quay", card=1)

    assert record.pupils.change(replace(nella, group="Slipway")).card == 2


def test_a_shared_card_may_stay(record):
    """A group with more pupils than cards shares them; that is no reason to refuse another name."""
    for number in range(CARDS):
        record.pupils.add(f"Pupil {number}")
    last = record.pupils.add("Nella")

    assert record.pupils.change(replace(last, name="Nelli")).card == last.card


def test_a_whole_school_is_taken_in_without_a_look_at_the_group_for_each(record):
    """5,000 of them took a minute: the names of a group were read anew for every newcomer."""
    asked = []
    event.listen(record._database._engine, "before_cursor_execute", lambda *said: asked.append(said[2]))

    record.pupils.admit([Newcomer(f"Child {number}", 1, "Quay") for number in range(300)])

    assert len(record.pupils.find()) == 300
    assert sum("INSERT" in statement for statement in asked) <= 3
    assert len(asked) < 20
    with pytest.raises(PupilError, match="already has a pupil named"):
        record.pupils.admit([Newcomer("Abel", 1, "Pier"), Newcomer("abel", 2, "Pier")])
