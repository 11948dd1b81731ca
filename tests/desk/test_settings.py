"""The settings: words for the teacher, bounds that are told, and nothing erased without being asked back."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from tests.desk.reader import of_class, page, said, under
from tests.desk.visitor import PASSPHRASE, TODAY, Browser
from trainer.desk.access.passphrase import passphrase
from trainer.desk.desk import NAME
from trainer.language.texts import text
from trainer.language.wording import clock_words, day_words, size_words
from trainer.record.record import Record
from trainer.teaching.rules import LONGEST, SHORTEST, STAGES, USUAL, Rules

PRACTICE = {"stage": "fluent", "minutes": "8", "motion": "off", "sound": "off", "volume": "quiet"}
NEW = "seven nets on the slipway"


def test_the_page_says_what_each_setting_means_in_words(client: Browser, record: Record) -> None:
    shown = client.get("/settings").text

    for stage in STAGES:
        assert text(f"settings.stage.{stage}") in shown
        assert text(f"settings.stage.{stage}_means") in shown
    assert record.place in shown
    assert text("settings.practice.sound_hint") in shown


def test_what_counts_at_first_is_ticked(client: Browser, record: Record) -> None:
    Rules().keep(record.settings)

    shown = client.get("/settings").text

    assert 'value="growing" aria-describedby="stage-growing-means" checked' in shown
    assert f'required value="{USUAL}"' in shown
    assert 'id="motion-on" name="motion" value="on" checked' in shown
    assert 'required value="90"' in shown


def test_rules_for_practice_are_kept(client: Browser, record: Record) -> None:
    answer = client.post("/settings/practice", data=PRACTICE)

    assert answer.status_code == 303
    assert Rules.of(record.settings) == Rules(
        stage="fluent", minutes=8, motion=False, sound=False, volume="quiet"
    )
    assert 'value="fluent" aria-describedby="stage-fluent-means" checked' in client.get("/settings").text


@pytest.mark.parametrize("minutes", ["", "0", "2", "21", "ten", "-5", "1e1", "9" * 50])
def test_minutes_out_of_bounds_are_told_and_what_was_typed_stays(
    client: Browser, record: Record, minutes: str
) -> None:
    before = Rules.of(record.settings)
    assert before != Rules(stage="fluent", minutes=8, motion=False, sound=False, volume="quiet")

    answer = client.post("/settings/practice", data=PRACTICE | {"minutes": minutes})

    assert answer.status_code == 422
    assert text("settings.practice.wrong", shortest=SHORTEST, longest=LONGEST) in answer.text
    assert 'value="fluent" aria-describedby="stage-fluent-means" checked' in answer.text
    assert Rules.of(record.settings) == before


# How long ink is kept


def test_a_longer_time_is_kept_at_once(client: Browser, record: Record) -> None:
    answer = client.post("/settings/ink", data={"days": "120"})

    assert answer.status_code == 303
    assert record.ink.keep_days == 120


def test_a_shorter_time_that_erases_ink_is_asked_back_first(client: Browser, record: Record) -> None:
    oldest = TODAY - timedelta(days=30)
    going = record.ink.count_before(oldest)
    assert going > 0

    answer = client.post("/settings/ink", data={"days": "30"})

    assert answer.status_code == 422
    assert text("settings.ink.ask", count=f"{going:,}", day=day_words(oldest, year=True)) in answer.text
    assert record.ink.keep_days == 90
    assert record.ink.count_before(oldest) == going


def test_a_word_for_one_time_is_none_for_another(client: Browser, record: Record) -> None:
    """The tick that was given for 30 days does not erase what 3 days would."""
    answer = client.post("/settings/ink", data={"days": "3", "sure": "30"})

    assert answer.status_code == 422
    assert record.ink.keep_days == 90


def test_ink_past_the_new_time_is_erased_once_the_teacher_is_sure(client: Browser, record: Record) -> None:
    everybody = [pupil.id for pupil in record.pupils.find()]
    before = record.erasure.holdings(everybody)

    assert client.post("/settings/ink", data={"days": "30", "sure": "30"}).status_code == 303

    after = record.erasure.holdings(everybody)
    assert record.ink.keep_days == 30
    assert record.ink.count_before(TODAY - timedelta(days=30)) == 0
    assert 0 < after.with_ink < before.with_ink
    assert (after.attempts, after.findings) == (before.attempts, before.findings)


@pytest.mark.parametrize("days", ["", "0", "-1", "1.5", "36501", "many", "9" * 40])
def test_days_out_of_bounds_are_told(client: Browser, record: Record, days: str) -> None:
    answer = client.post("/settings/ink", data={"days": days})

    assert answer.status_code == 422
    assert text("settings.ink.wrong", longest=36500) in answer.text
    assert record.ink.keep_days == 90


# Old letters judged again


def judge(client: Browser, **sent: str) -> dict[str, Any]:
    answer = client.post("/settings/recheck", data=sent, headers={"Accept": "application/json"})
    assert answer.status_code == 200
    said: dict[str, Any] = answer.json
    return said


def test_old_letters_are_judged_again_batch_by_batch_and_the_end_is_told(
    client: Browser, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The bar moves with each answer; a browser without scripts goes on by the button."""
    monkeypatch.setattr("trainer.judging.rechecking.recheck.BATCH", 2)
    pupil = record.pupils.add("Mika", group="Jetty")
    with_ink = [attempt for attempt in record.attempts.find() if attempt.ink.traces]
    record.ink.forget_old(TODAY + timedelta(days=200))
    old = [replace(stored, pupil=pupil.id, checks="old", at=TODAY) for stored in with_ink[:5]]
    record.attempts.keep_many(old)

    assert [judge(client)["done"] for _ in range(3)] == [0, 2, 4]
    shown = page(client.get("/settings"))
    (bar,) = shown.iter("progress")
    assert (bar.get("value"), bar.get("max")) == ("4", "5")
    assert "4 / 5" in said(under(shown, "recheck"))
    answer = client.post("/settings/recheck")

    assert (answer.status_code, answer.location) == (303, "/settings#recheck")
    shown = page(client.get("/settings"))
    assert "Judged again: 5." in said(under(shown, "recheck"))
    (line,) = (line for line in of_class(shown, "progress"))
    assert "hidden" in line.attrib
    assert {stored.checks for stored in record.attempts.find(pupil.id)}.isdisjoint({"old", ""})
    assert "finished" in judge(client), "nothing is left"


def test_judging_again_can_be_given_up_and_is_when_the_rules_change(
    client: Browser, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("trainer.judging.rechecking.recheck.BATCH", 2)
    sample = next(attempt for attempt in record.attempts.find() if attempt.ink.traces)
    record.ink.forget_old(TODAY + timedelta(days=200), certain=True)
    record.attempts.keep_many([replace(sample, checks="old", at=TODAY)] * 6)

    assert [judge(client) for _ in range(2)] == [{"done": 0, "total": 6}, {"done": 2, "total": 6}]
    assert "finished" in judge(client, stop="yes")
    assert judge(client) == {"done": 0, "total": 4}, "what was judged stays judged"
    client.post("/settings/practice", data={"stage": "fluent", "minutes": "10"})
    assert judge(client) == {"done": 0, "total": 6}, "by the new rules all of them are old"


# The passphrase


def change(client: Browser, old: str = PASSPHRASE, new: str = NEW, again: str = NEW) -> tuple[int, str]:
    answer = client.post(
        "/settings/passphrase", data={"old_passphrase": old, "new_passphrase": new, "again": again}
    )
    return answer.status_code, answer.text


def test_the_passphrase_is_changed_and_other_visits_end(app: Flask, client: Browser) -> None:
    other = app.test_client()
    assert isinstance(other, Browser)
    other.get("/login")
    other.post("/login", data={"passphrase": PASSPHRASE})
    assert other.get("/pupils").status_code == 200

    assert change(client)[0] == 303

    assert client.get("/settings").status_code == 200
    assert other.get("/pupils").location.startswith("/login")
    with app.app_context():
        assert passphrase().fits(NEW, TODAY)
        assert not passphrase().fits(PASSPHRASE, TODAY)


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"old": "wrong words"}, "This is not the passphrase."),
        ({"again": "another one"}, "The two did not match"),
        ({"new": "abcde", "again": "abcde"}, "A passphrase must have 8 to 200 characters, this one has 5."),
        ({"new": "x" * 201, "again": "x" * 201}, "this one has 201."),
        ({"new": "12345678", "again": "12345678"}, "it is a word or a passphrase that many people use"),
        ({"new": "abababab", "again": "abababab"}, "it repeats itself"),
        ({"new": "2026-09-07", "again": "2026-09-07"}, "it is a day or a year"),
        ({"new": "s" * 150, "again": "s" * 150}, "it repeats itself"),
    ],
)
def test_a_change_that_cannot_be_is_told_and_nothing_typed_comes_back(
    app: Flask, client: Browser, given: dict[str, str], sentence: str
) -> None:
    status, shown = change(client, **given)

    assert status == 422
    assert sentence in shown
    assert not any(words in shown for words in (PASSPHRASE, NEW, *given.values()))
    with app.app_context():
        assert passphrase().fits(PASSPHRASE, TODAY)


def test_guessing_at_the_old_passphrase_is_slowed_down(client: Browser) -> None:
    answers = [change(client, old=f"guess number {number}")[0] for number in range(5)]

    assert answers[:3] == [422, 422, 422]
    assert 429 in answers[3:]


def test_before_a_clock_alone_erases_ink_the_desk_asks_for_the_day(
    app: Flask, record: Record, stranger: Browser
) -> None:
    """Nobody has written for months: a holiday, or a clock that is ahead."""
    later = TODAY + timedelta(days=200)
    app.extensions[NAME] = replace(app.extensions[NAME], clock=lambda: later)
    inked = record.ink.count_before(later)
    stranger.get("/login")
    stranger.post("/login", data={"passphrase": PASSPHRASE})

    page = stranger.get("/settings").text
    day = re.search(r'name="day" value="([^"]*)"', page)
    assert day is not None
    stranger.post("/settings/ink/today", data={"day": "2026-03-13"})  # a page of another day
    left = record.ink.count_before(later)
    stranger.post("/settings/ink/today", data={"day": day[1]})

    assert unescape(text("settings.ink.look")) in unescape(page)
    assert f"{inked:,}" in page
    assert left == inked > 0
    assert record.ink.count_before(later) == 0
    assert 'name="day"' not in stranger.get("/settings").text


# Where the record lies


def test_the_size_of_the_record_and_its_last_backup_are_shown(client: Browser, record: Record) -> None:
    shown = client.get("/settings").text
    assert size_words(record.upkeep.size) in shown
    assert text("record.backup.none") in shown

    assert client.post("/settings/backup").status_code == 303

    made = record.upkeep.last_backup
    assert made is not None
    assert Path(made.file).parent.name == "backups"
    assert Path(made.file).stat().st_size == made.size
    shown = unescape(client.get("/settings").text)
    assert text("settings.place.backed_up", file=made.file) in shown
    assert f"{day_words(made.at, year=True)}, {clock_words(made.at)}, {size_words(made.size)}" in shown


def test_a_disk_that_is_nearly_full_is_told_on_every_page(
    client: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    warning = text("record.room", free="0.4 GB").partition(";")[0]
    assert warning not in client.get("/settings").text
    monkeypatch.setattr("trainer.record.upkeep.LITTLE_ROOM", 2**60)

    for page_address in ("/settings", "/words"):
        assert warning in client.get(page_address).text
