import shutil
from collections import defaultdict
from datetime import UTC, datetime

import pytest

from strokes.kinds import Kind
from tests.desk.visitor import TODAY
from tests.shipped import PRINT
from trainer import places
from trainer.attempt import Step
from trainer.demo import CLASS, DIGITS, LATE, NOTES, OWN_PLANS, PLANS, WEEKS, WORDS, fill
from trainer.errors import PlaceError
from trainer.record import ADDED_FOR, Record
from trainer.teaching import by_set


@pytest.fixture(scope="module")
def folder(demo_record, tmp_path_factory):
    """A folder with the invented class as it was filled."""
    folder = tmp_path_factory.mktemp("class")
    shutil.copy(demo_record, folder)
    return folder


@pytest.fixture(scope="module")
def record(folder):
    with Record.open(folder / places.RECORD, now=TODAY) as record:
        yield record


@pytest.fixture(scope="module")
def attempts(record):
    return list(record.attempts.find())


@pytest.fixture(scope="module")
def by_name(record, attempts):
    names = {pupil.id: pupil.name for pupil in record.pupils.find(archived=True)}
    written = defaultdict(list)
    for attempt in attempts:
        written[names[attempt.pupil]].append(attempt)
    return written


def times_found(tries, kind):
    """In how many of the tries the kind was found."""
    return sum(
        any(finding.kind is kind and not finding.note for finding in noted.verdict.findings)
        for noted in tries
    )


def test_the_class_has_two_groups_with_cards_and_two_left_handed_children(record):
    pupils = record.pupils.find()

    assert len(pupils) == len(CLASS) - 1 == 13
    assert record.pupils.groups() == ("Quay", "Slipway")
    assert len({(pupil.group, pupil.card) for pupil in pupils}) == len(pupils)
    assert sum(pupil.hand == "left" for pupil in pupils) >= 2
    assert {group: record.plans.get(group) for group in record.pupils.groups()} == PLANS


def test_a_term_of_attempts_lies_before_today(attempts):
    assert 2000 <= len(attempts) <= 6000
    assert all(attempt.at < TODAY and attempt.at.weekday() < 5 for attempt in attempts)
    assert (TODAY - attempts[0].at).days <= 7 * (WEEKS + 1)


def test_every_attempt_has_ink_and_a_verdict(attempts):
    assert all(attempt.ink.traces and attempt.verdict and attempt.finished for attempt in attempts)
    assert {attempt.step for attempt in attempts} == {Step.TRACE, Step.COPY, Step.RECALL}


def test_a_stated_fault_is_found_in_the_childs_letters(by_name):
    """Abel pulls the stem of b upward until the end; Ilka has no habit."""
    abel, ilka = (
        [attempt for attempt in by_name[name] if attempt.letter == "b"] for name in ("Abel", "Ilka")
    )

    assert times_found(abel, Kind.DIRECTION) > len(abel) / 2
    assert times_found(ilka, Kind.DIRECTION) == 0


def test_a_habit_fades_after_it_was_taught_again(by_name):
    """Abel's l, i and t are taught again in week 4."""
    written = [attempt for attempt in by_name["Abel"] if attempt.letter in "lit"]
    first = min(attempt.at for attempt in written)
    early = [attempt for attempt in written if (attempt.at - first).days < 28]
    late = [attempt for attempt in written if (attempt.at - first).days > 56]

    assert times_found(early, Kind.DIRECTION) > len(early) / 2
    assert times_found(late, Kind.DIRECTION) < len(late) / 10


def test_a_mirrored_letter_from_memory_is_copied_well(by_name):
    hamid = [attempt for attempt in by_name["Hamid"] if attempt.letter in "bd"]
    odd = {
        step: sum(
            not (attempt.verdict.formed and attempt.verdict.looks)
            for attempt in hamid
            if attempt.step is step
        )
        for step in Step
    }

    assert odd[Step.RECALL] > odd[Step.COPY]


def test_a_left_handed_crossbar_is_nothing_to_mend(by_name):
    written = [attempt for attempt in by_name["Joris"] if attempt.letter == "t"]

    assert times_found(written, Kind.DIRECTION) == 0


def test_the_summary_of_the_demo_has_everything_to_show(record):
    summed = record.figures.summary(families=lambda _: PRINT.families)

    sets = by_set(line.letter for line in summed.lines)
    assert len(sets["small"]) == 26
    assert set(sets["capital"]) == {child.name[0] for child in CLASS if child.weeks > WEEKS - LATE}
    assert sets["digit"] == tuple(DIGITS)
    assert all(line.enough for line in summed.lines)
    assert len(summed.gather) >= 3
    assert summed.alone
    assert any(line.noted for line in summed.lines)
    assert len(summed.trend) == WEEKS
    assert all(week.tries > 50 for week in summed.trend)
    assert summed.overruled == len(WORDS)
    assert [pupil.name for pupil in summed.pupils if summed.last_practiced[pupil.id] is None] == ["Nora"]


def test_teachers_words_notes_and_plans_are_there_to_be_shown(record):
    pupils = {pupil.name: pupil for pupil in record.pupils.find(archived=True)}
    said = [note.text for pupil in pupils.values() for note in record.notes.find(pupil.id)]

    assert sorted(said) == sorted(text for _, _, text in NOTES)
    seen = record.observations.find([pupils["Joris"].id], "h")
    assert [observation.formed for observation in seen] == [True, True], "a size is not about the pen's way"
    assert record.plans.for_pupil(pupils["Hamid"].id) == OWN_PLANS["Hamid"]
    assert [name for name, pupil in pupils.items() if pupil.archived] == ["Mads"]
    assert record.figures.summary(pupil=pupils["Mads"].id).tries > 20
    (lesson,) = record.lessons.find()
    assert (lesson.group, bool(lesson.letters), bool(lesson.tables)) == ("Quay", True, True)
    assert TODAY.date() - lesson.day > ADDED_FOR, "it is over, and no plan is changed by it"


@pytest.mark.parametrize("day", range(23, 30))
def test_on_any_day_of_the_week_the_class_wrote_in_the_days_before(tmp_path, day, monkeypatch):
    monkeypatch.setattr("trainer.demo.CLASS", CLASS[8:9] + CLASS[2:3])
    monkeypatch.setattr("trainer.demo.HANDS", 1)  # fewer inks to judge
    today = datetime(2026, 11, day, 6, 0, tzinfo=UTC)
    with fill(tmp_path, today=today) as record:
        last = {
            pupil.name: record.figures.summary().last_practiced[pupil.id] for pupil in record.pupils.find()
        }

    assert last["Cosmo"] < today
    assert (today - last["Cosmo"]).days < 7
    assert (today - last["Ilka"]).days > 7


def test_the_same_day_gives_the_same_class(tmp_path, monkeypatch):
    monkeypatch.setattr("trainer.demo.CLASS", CLASS[8:9] + CLASS[2:3])
    monkeypatch.setattr("trainer.demo.HANDS", 1)

    def dumped(record):
        return [
            (attempt.pupil, attempt.letter, attempt.step, attempt.at, attempt.verdict)
            for attempt in record.attempts.find(ink=False)
        ]

    for name in ("first", "two"):
        (tmp_path / name).mkdir()
    with fill(tmp_path / "first", today=TODAY) as first, fill(tmp_path / "two", today=TODAY) as two:
        assert len(dumped(first)) > 100
        assert dumped(first) == dumped(two)


def test_a_folder_with_a_record_is_left_alone(folder, record, attempts):
    with pytest.raises(PlaceError, match="has a record already"):
        fill(folder, today=TODAY)
    assert len(list(record.attempts.find(ink=False))) == len(attempts)
