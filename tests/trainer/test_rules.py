"""The teacher's rules for practice come back as kept, and what means nothing any more counts as unsaid."""

import pytest

from trainer.teaching.rules import Rules


def test_a_new_record_has_the_usual_rules(record):
    assert Rules.of(record.settings) == Rules(stage="growing", minutes=10, motion=True, sound=True)


def test_rules_come_back_as_kept(record):
    rules = Rules(stage="fluent", minutes=15, motion=False, sound=False, volume="loud")
    rules.keep(record.settings)

    assert Rules.of(record.settings) == rules


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("stage", "severe"),
        ("session_minutes", "600"),
        ("session_minutes", "soon"),
        ("motion", "perhaps"),
        ("volume", "11"),
    ],
)
def test_a_value_that_means_nothing_counts_as_unsaid(record, name, value):
    record.settings.set(name, value)

    assert Rules.of(record.settings) == Rules()
