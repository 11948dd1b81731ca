"""Lesson: ten minutes are proposed, changed, kept for a day, printed, taken away; then, what came of it."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from strokes.kinds import Kind
from tests.desk.reader import fields, of_class, page, said, under
from tests.desk.test_access import too_wide
from tests.desk.test_screens import FAILS, OPENS
from tests.desk.test_voice import record_with_microphone
from tests.desk.visitor import PASSPHRASE, TODAY, Browser
from tests.shipped import PRINT
from tests.trainer.samples import attempt
from trainer import places
from trainer.attempt import Pupil, WordPart, WordTry
from trainer.desk.app import NAME, create_app
from trainer.desk.desk import Desk
from trainer.desk.practice_window import PracticeWindow
from trainer.language import text
from trainer.record.record import Record
from trainer.speech import recordings_in
from trainer.teaching.group_lesson import Part

if TYPE_CHECKING:
    from playwright.sync_api import Page

DAY = TODAY.astimezone().date()
MONDAY = DAY + timedelta(days=3)

Sent = dict[str, str | list[str]]


@pytest.fixture
def record(record: Record) -> Record:
    """The demo's record without its lesson."""
    for lesson in record.lessons.find():
        record.lessons.remove(lesson.id or 0)
    return record


def form(shown: Element) -> Sent:
    """What the form of a lesson would send as it stands."""
    (lesson,) = of_class(shown, "lesson")
    sent: Sent = {}
    for name, value in fields(lesson):
        if name == "part":
            sent["part"] = [*sent.get("part", []), value]
        else:
            sent[name] = value
    chosen = [option for option in lesson.iter("option") if "selected" in option.attrib]
    return sent | {"rhyme": chosen[0].get("value", "") if chosen else ""}


def press(client: Browser, shown: TestResponse, do: str, **typed: str) -> TestResponse:
    """What comes of a button of the lesson that is shown, after something was typed."""
    tree = page(shown)
    action = of_class(tree, "lesson")[0].get("action", "")
    return client.post(action, data=form(tree) | typed | {"do": do})


def kept(client: Browser, group: str = "Quay", **typed: str) -> TestResponse:
    """A lesson as it is proposed to a group, with what was typed, kept: the page that follows."""
    answer = press(client, client.get(f"/lesson?group={group}"), "keep", **typed)
    assert answer.status_code == 303
    return client.get(answer.location)


def parts(shown: TestResponse) -> list[str]:
    return [str(value) for value in form(page(shown))["part"]]


def undo(client: Browser, shown: TestResponse) -> TestResponse:
    (flash,) = [element for element in of_class(page(shown), "flash") if element.tag == "form"]
    answer = client.post(flash.get("action", ""), data=dict(fields(flash)))
    assert answer.status_code == 303
    return client.get(answer.location)


def told(answer: TestResponse) -> list[str]:
    return [said(element) for element in page(answer).iter() if element.get("role") == "alert"]


def test_a_group_is_proposed_what_tomorrow_gathers_it_for(client: Browser, record: Record) -> None:
    shown = page(client.get("/lesson?group=Slipway"))

    sent = form(shown)
    assert (sent["letters"], sent["day"]) == ("e d", MONDAY.isoformat())
    assert "Table 1: e Gesa Hamid Kaisa They ran the pen the other way" in said(under(shown, "tables"))
    assert "All others Ilka Joris Lubo Nora" in said(under(shown, "tables"))
    assert "Gather for e" in said(page(client.get("/?group=Slipway")))
    assert record.lessons.find() == ()


def test_a_lesson_is_kept_and_the_screens_follow_it(client: Browser, record: Record) -> None:
    shown = kept(client, "Slipway")

    (lesson,) = record.lessons.find()
    assert (lesson.group, lesson.day, lesson.letters) == ("Slipway", MONDAY, ("e", "d"))
    gesa = next(pupil for pupil in record.pupils.find("Slipway") if pupil.name == "Gesa")
    assert record.plans.for_pupil(gesa.id, today=MONDAY)[:2] == ("e", "d")
    assert record.plans.words("Slipway", today=MONDAY)[: len(lesson.words)] == lesson.words
    assert "The children's screens offer its letters and words first until 23 Mar" in said(page(shown))
    assert said(under(page(shown), "kept")).startswith("Kept lessons of Slipway 16 Mar 2026 e, d")
    plan = said(page(client.get("/plan?group=Slipway")))
    assert "Lesson of 16 Mar" not in plan, "it counts from its day on"
    assert 'value="bed web"' in client.get("/plan?group=Slipway").text, "what is planned beside it stays"


def test_everything_can_be_changed_before_it_is_kept(client: Browser, record: Record) -> None:
    """Letters with new words for them, words, rhymes, order, what is said; the rest that is said follows."""
    shown = client.get("/lesson?group=Quay")
    shown = press(client, shown, "look", say_end="Show it to somebody.")
    shown = press(client, shown, "suggest", letters="sh")
    sent = form(page(shown))
    assert sent["letters"] == "sh"
    assert all(set(word) & set("sh") for word in str(sent["words"]).split())
    assert "For s:" in sent["say_letters"]
    assert sent["say_end"] == "Show it to somebody."

    shown = press(client, shown, "up rhyme")
    assert parts(shown) == ["sit", "letters", "rhyme", "words", "end"]
    shown = press(client, shown, "look", words="ship hats", rhyme="")
    assert parts(shown) == ["sit", "letters", "words", "end"]
    assert "ship and hats" in form(page(shown))["say_words"]
    answer = press(client, shown, "keep", day="2026-03-20")

    assert answer.status_code == 303
    (lesson,) = record.lessons.find()
    assert (lesson.letters, lesson.words, lesson.rhymes) == (("s", "h"), ("ship", "hats"), None)
    assert lesson.order == (Part.SIT, Part.LETTERS, Part.WORDS, Part.END)
    assert lesson.parts[-1].say == "Show it to somebody."
    assert sum(part.minutes for part in lesson.parts) == 10


SLIPS: list[tuple[str, str, str]] = [
    ("letters", "", "There must be at least one letter, not none."),
    ("words", "ship 2", "A planned word must have 1 to 20 letters"),
    ("rhyme", "orange", "'orange' has none"),
    ("day", "9999-12-31", "must be today or later, within a year, such as 2026-03-16, not '9999-12-31'"),
    ("say_sit", "x" * 801, "What to say must have at most 800 characters, not 801."),
]


def test_what_cannot_be_is_told_at_its_field_and_nothing_typed_is_lost(
    client: Browser, record: Record
) -> None:
    """A word that cannot be chosen is none of the choices, and so not chosen any more."""
    shown = client.get("/lesson?group=Quay")
    for field, typed, reason in SLIPS:
        answer = press(client, shown, "keep", **{"say_end": "Mine.", field: typed})

        assert answer.status_code == 422
        (alert,) = told(answer)
        assert reason in alert
        sent = form(page(answer))
        assert sent["say_end"] == "Mine."
        assert sent[field] == (typed if field != "rhyme" else "")
        (wrong,) = [part for part in page(answer).iter() if part.get("aria-invalid") == "true"]
        assert wrong.get("id") == field
        assert wrong.get("aria-describedby", "").split()[0] == f"{field}-wrong"
    for do in ("", "sort", "up nothing", "remove"):  # what no button sends
        assert press(client, shown, do).status_code == 400
    assert record.lessons.find() == ()


def test_keeping_is_undone_and_the_screens_are_as_before(client: Browser, record: Record) -> None:
    before = [record.plans.for_pupil(pupil.id, today=MONDAY) for pupil in record.pupils.find()]
    shown = kept(client)
    assert [record.plans.for_pupil(pupil.id, today=MONDAY) for pupil in record.pupils.find()] != before

    shown = undo(client, shown)

    assert record.lessons.find() == ()
    assert [record.plans.for_pupil(pupil.id, today=MONDAY) for pupil in record.pupils.find()] == before
    shown = undo(client, shown)
    (lesson,) = record.lessons.find()
    assert said(next(page(shown).iter("h1"))) == "Lesson for Quay on 16 Mar 2026"
    assert client.post("/lesson/back", data={"lesson": lesson.id}).status_code == 404, "once"


def test_a_form_that_is_sent_twice_keeps_one_lesson_and_two_of_one_day_are_two(
    client: Browser, record: Record
) -> None:
    """From two tabs that showed the same proposal."""
    first, second = client.get("/lesson?group=Quay"), client.get("/lesson?group=Quay")
    addresses = {press(client, shown, "keep").location for shown in (first, second)}
    assert len(addresses) == len(record.lessons.find()) == 1

    shown = client.get(press(client, second, "keep", letters="d").location)
    assert len(record.lessons.find(day=MONDAY)) == 2
    assert "There is another lesson for this group on 16 Mar 2026; both count." in said(page(shown))
    assert said(under(page(shown), "kept")).count("16 Mar 2026") == 2


@pytest.fixture
def ticking(record: Record, tmp_path: Path) -> Browser:
    """A browser at a desk where a second goes by with each look at the clock; its passphrase is given."""
    passing = iter(range(10**6))
    desk = Desk(record, tmp_path / places.LETTERS, clock=lambda: TODAY + timedelta(seconds=next(passing)))
    app = create_app(desk, testing=True)
    app.test_client_class = Browser
    visitor = app.test_client()
    assert isinstance(visitor, Browser)
    visitor.get("/login")
    assert visitor.post("/login", data={"passphrase": PASSPHRASE}).status_code == 303
    return visitor


def test_a_kept_lesson_is_changed_and_who_sits_together_stays(ticking: Browser, record: Record) -> None:
    shown = kept(ticking, "Slipway")
    (before,) = record.lessons.find()

    answer = press(ticking, shown, "keep", letters="s", day="2026-03-17")

    assert answer.status_code == 303
    assert "is saved. The children's screens follow it until 24 Mar" in said(
        page(ticking.get(answer.location))
    )
    (after,) = record.lessons.find()
    assert (after.id, after.letters, after.day) == (before.id, ("s",), before.day + timedelta(days=1))
    assert after.tables == before.tables
    assert "Today we write s." in after.parts[0].say


def test_a_lesson_that_was_saved_from_another_tab_is_written_over_by_choice_alone(
    ticking: Browser, record: Record
) -> None:
    shown = kept(ticking)
    assert press(ticking, shown, "keep", letters="s").status_code == 303

    answer = press(ticking, shown, "keep", letters="d")

    assert answer.status_code == 422
    (alert,) = told(answer)
    assert alert.startswith(
        "The lesson was changed in another window meanwhile. What you typed is still here."
    )
    assert record.lessons.find()[0].letters == ("s",)
    assert press(ticking, answer, "keep").status_code == 303
    assert record.lessons.find()[0].letters == ("d",)


def test_a_lesson_that_is_gone_is_gone_on_every_page(client: Browser, record: Record) -> None:
    shown = kept(client)
    (lesson,) = record.lessons.find()
    record.lessons.remove(lesson.id or 0)

    assert press(client, shown, "keep").status_code == 410
    assert client.get(f"/lesson/{lesson.id}").status_code == 404
    assert client.get(f"/lesson/{lesson.id}/page.pdf").status_code == 404
    assert client.get("/lesson?group=Nowhere").status_code == 404
    assert client.post("/lesson?group=Nowhere").status_code == 410
    for pupil in record.pupils.find():
        record.pupils.archive(pupil.id)
    assert "There are no pupils yet." in said(page(client.get("/lesson")))
    assert client.post("/lesson").status_code == 410


def test_an_erased_child_is_on_no_page_of_a_lesson(client: Browser, record: Record) -> None:
    shown = kept(client, "Slipway", say_sit="Gesa sits in front.")
    address = of_class(page(shown), "lesson")[0].get("action", "")
    gesa = next(pupil for pupil in record.pupils.find("Slipway") if pupil.name == "Gesa")

    record.erasure.remove_pupil(gesa.id)

    shown = client.get(address)
    assert shown.status_code == 200
    assert "Gesa" not in shown.text
    assert "Hamid" in shown.text


def test_one_child_to_whom_nothing_is_due_gets_a_page_that_says_so(client: Browser, record: Record) -> None:
    """Nothing was marked as taught either, so that there are no words."""
    mika = record.pupils.add("Mika", group="Jetty")
    yesterday = TODAY - timedelta(days=1)
    record.attempts.keep_many(
        [replace(attempt(mika.id, letter), at=yesterday) for letter in PRINT for _ in range(3)]
    )

    answer = client.get("/lesson?group=Jetty")

    assert text("lesson.nothing_due") in said(page(answer))
    assert "Nobody shares a need: sit as always Mika" in said(under(page(answer), "tables"))
    assert told(press(client, answer, "keep")) == ["There must be at least one letter, not none."]
    assert kept(client, "Jetty", letters="b").status_code == 200


def test_a_page_of_paper_bears_no_name_in_its_file(client: Browser) -> None:
    shown = page(kept(client, "Slipway"))
    sections = [section.get("aria-labelledby") for section in shown.iter("section")]
    assert "came-of" not in sections, "its day is to come"
    link, letter = under(shown, "use").iter("a")

    with client.get(link.get("href", "")) as answer:
        assert answer.mimetype == "application/pdf"
        assert answer.headers["Content-Disposition"] == "attachment; filename=lesson-2026-03-16.pdf"
        assert answer.data.startswith(b"%PDF")
    assert "Letter" in said(letter)


# --- on the wall


def test_the_button_opens_the_kept_lesson_on_the_wall_by_its_number_alone(
    app: Flask, client: Browser, record: Record, tmp_path: Path
) -> None:
    """No shell, no word of a form, and no name stands in the line. A desk without it has no button."""
    shown = kept(client)
    (lesson,) = record.lessons.find()
    address = f"/lesson/{lesson.id}/wall"
    assert address not in shown.text
    assert client.post(address).status_code == 404

    def press_it() -> str:
        answer = client.post(address, data={"do": "rm -rf", "number": "7"})
        assert answer.status_code == 303
        return said(under(page(client.get(answer.location)), "use"))

    for script, told_then in (
        (FAILS, "There is no screen here. Nothing was changed."),
        (OPENS, " on the wall. "),
    ):
        program = (sys.executable, "-S", "-E", "-c", script)
        with PracticeWindow(command="lesson", lasts=False, program=program) as wall:
            app.extensions[NAME] = Desk(record, tmp_path, clock=lambda: TODAY, wall=wall)
            assert told_then in press_it()
            assert wall.process is not None
            line: Sequence[str] = wall.process.args  # type: ignore[assignment]  # the window gives no other
            assert line[-5:] == ("lesson", "--screen", "2", "--number", str(lesson.id))
            if script == OPENS:
                assert "A lesson is on the wall already; leave it first." in press_it()
    record.lessons.remove(lesson.id or 0)
    assert client.post(address).status_code == 410


# --- what came of it


def at(hours_later: float) -> datetime:
    return TODAY + timedelta(hours=hours_later)


@pytest.fixture
def two(record: Record) -> tuple[Pupil, Pupil]:
    return record.pupils.add("Mika", group="Jetty"), record.pupils.add("Nuri", group="Jetty")


def test_the_page_says_what_came_of_it_from_tries_since_then_alone(
    client: Browser, record: Record, two: tuple[Pupil, Pupil]
) -> None:
    """Kept today: what was written earlier today is not of it, nor are other letters and words."""
    mika, nuri = two
    record.attempts.keep(replace(attempt(mika.id, "b"), at=at(-1)))
    shown = kept(client, "Jetty", letters="b", words="bed", day=DAY.isoformat())
    address = of_class(page(shown), "lesson")[0].get("action", "")
    assert said(under(page(shown), "came-of")).endswith("b Not written since then.")

    record.attempts.keep(replace(attempt(mika.id, "b"), at=at(1)))
    record.attempts.keep(replace(attempt(mika.id, "b", Kind.START), at=at(2)))
    record.attempts.keep(replace(attempt(mika.id, "d"), at=at(2)))
    for when, word in ((-1, "bed"), (2, "bed"), (2, "net")):
        record.word_tries.keep(WordTry(None, nuri.id, word, WordPart.COUNT, at(when), asked=3, given=3))

    said_now = said(under(page(client.get(address)), "came-of"))
    assert "b Since then well formed in 1 of 2. Not yet written by Nuri." in said_now
    assert "bed1 of 1 right (3 sounds)" in said_now
    assert "net" not in said_now


# --- in a browser


def plan_by_keyboard(window: Page, record: Record) -> None:
    """Letters, order and words are changed, and the lesson is kept and taken away again."""
    window.goto("/lesson?group=Quay")
    window.get_by_label("Letters", exact=True).fill("s h")
    window.keyboard.press("Tab")
    window.keyboard.press("Enter")
    window.get_by_text("For s:").wait_for()
    window.get_by_role("button", name="Move up: Rhymes").focus()
    for place in (3, 2):
        window.keyboard.press("Enter")
        window.locator(f".parts > li:nth-child({place}) h3", has_text="Rhymes").wait_for()
        # a browser gives the focus once the page was drawn
        window.locator("[aria-label='Move up: Rhymes']:focus").wait_for()
    window.get_by_label("Words", exact=True).fill("ship hats")
    window.keyboard.press("Enter")
    window.locator("textarea", has_text="ship and hats").wait_for()
    assert record.lessons.find() == (), "Enter in a field keeps nothing"
    window.get_by_role("button", name="Keep this lesson").focus()
    window.keyboard.press("Enter")
    window.get_by_text("is kept. The children's screens").wait_for()
    assert record.lessons.find()[0].words == ("ship", "hats")
    assert too_wide(window) == []
    window.get_by_role("button", name="Undo").click()
    window.get_by_text("is taken away").wait_for()
    assert record.lessons.find() == ()


@pytest.mark.browser
def test_in_one_sitting_a_teacher_records_a_sound_and_plans_a_lesson_by_keyboard(
    window: Page, record: Record, tmp_path: Path
) -> None:
    record_with_microphone(window, recordings_in(tmp_path / places.SPEECH))
    plan_by_keyboard(window, record)
