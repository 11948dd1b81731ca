"""Bringing in a school's class list: looked at first, then written in one go, or not at all."""

from __future__ import annotations

import re
from datetime import timedelta
from html import unescape
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from flask import Flask, request
from werkzeug.test import TestResponse

from tests.desk.test_access import violations_in_all_colors
from tests.desk.visitor import PASSPHRASE, TODAY, Browser
from tests.trainer.rosters import SECRET, enrollment, school_class, tables, user, zipped
from trainer.desk.desk import NAME, Desk
from trainer.desk.pages import roster_import
from trainer.desk.pages.roster_import import SLOT
from trainer.language.texts import text
from trainer.record.record import Record

if TYPE_CHECKING:
    from playwright.sync_api import Page

STUDENTS = [
    user("p1", "Nella", "Aldberg", grades="KG"),
    user("p2", "Nella", "Brant", grades="KG"),
    user("p3", "Abel", "Gale"),
    user("p4", "Gesa", "Kranz"),
    user("p5", "Osk", "Olm", grades="01"),
    user("t1", "Rena", "Ruf", role="teacher"),
]
CLASSES = [school_class("c1", "Quay"), school_class("c2", "Room 4")]
PLACES = [enrollment(f"p{n}", "c1") for n in (1, 2, 3, 4)] + [enrollment("p5", "c2")]


def hand_in(client: Browser, *files: tuple[str, bytes]) -> TestResponse:
    data = {"files": [(BytesIO(content), name) for name, content in files]}
    return client.post("/pupils/import", data=data, content_type="multipart/form-data")


def look(client: Browser, answer: TestResponse) -> str:
    assert answer.status_code == 303
    page = client.get(answer.location)
    assert page.status_code == 200
    return page.text


def ticked(page: str) -> dict[str, list[str]]:
    """What the form on the page would send back as it stands."""
    boxes = re.findall(r'<input type="checkbox" name="(\w+)" value="(\d+)"( checked)?>', page)
    hidden = dict(re.findall(r'<input type="hidden" name="(looked|shown)" value="(\w+)">', page))
    sent = {name: [value] for name, value in hidden.items()}
    for name, value, checked in boxes:
        if checked:
            sent.setdefault(name, []).append(value)
    return sent


@pytest.fixture
def export() -> bytes:
    """A school's export: two classes, one of which is a group already."""
    return zipped(tables(STUDENTS, CLASSES, PLACES))


@pytest.fixture
def waiting(client: Browser, export: bytes) -> str:
    """The address at which the export waits for the teacher's word."""
    answer = hand_in(client, ("export.zip", export))
    assert answer.status_code == 303
    return answer.location


def test_nothing_is_written_before_the_teacher_says_so(client: Browser, record: Record, waiting: str) -> None:
    before = record.pupils.find(archived=True)

    page = client.get(waiting).text

    assert record.pupils.find(archived=True) == before
    assert text("roster.look.new", count=2) in page
    assert "Nella A" in page
    assert "Nella B" in page
    assert text("roster.look.move", name="Gesa", old="Slipway", new="Quay") in page
    assert text("roster.look.there", count=1) in page
    assert text("roster.look.missing", count=5) in page
    assert text("roster.look.others", count=1) in page


def test_the_class_that_is_a_group_already_is_chosen_first(client: Browser, waiting: str) -> None:
    page = client.get(waiting).text

    assert ticked(page)["class"] == ["0"]
    assert text("roster.look.class_grades", title="Room 4", count=1, grades="01") in page
    assert "Osk" not in page


def test_what_was_shown_is_taken_in_and_nobody_is_removed(
    client: Browser, record: Record, waiting: str
) -> None:
    before = {pupil.id for pupil in record.pupils.find()}
    gesa = next(pupil for pupil in record.pupils.find() if pupil.name == "Gesa")

    answer = client.post(waiting, data=ticked(client.get(waiting).text) | {"do": "take"})

    assert answer.status_code == 303
    assert before < {pupil.id for pupil in record.pupils.find()}
    assert [pupil.name for pupil in record.pupils.find("Quay")] == sorted(
        ["Abel", "Brida", "Cosmo", "Dalia", "Edda", "Fenn", "Gesa", "Nella A", "Nella B"]
    )
    moved = record.pupils.get(gesa.id)
    assert moved is not None
    assert moved.group == "Quay"
    assert record.erasure.holdings([gesa.id]).attempts > 0, "what Gesa wrote went along"
    assert text("roster.taken", new=2, moved=1) in client.get("/pupils").text


def test_the_list_is_gone_once_it_is_taken_in(client: Browser, waiting: str) -> None:
    sent = ticked(client.get(waiting).text) | {"do": "take"}
    client.post(waiting, data=sent)

    again = client.post(waiting, data=sent)

    assert again.location == "/pupils/import"
    assert client.get(waiting).location == "/pupils/import"


def test_another_choice_is_shown_before_it_counts(client: Browser, record: Record, waiting: str) -> None:
    """Ticking another class and pressing the button at once would write what was never shown."""
    before = record.pupils.find()
    sent = ticked(client.get(waiting).text) | {"class": ["0", "1"], "do": "take"}

    answer = client.post(waiting, data=sent)

    assert record.pupils.find() == before
    page = look(client, answer)
    assert text("roster.look_again") in page
    assert "Osk" in page
    client.post(waiting, data=ticked(page) | {"do": "take"})
    assert [pupil.name for pupil in record.pupils.find("Room 4")] == ["Osk"]


def test_looking_again_shows_the_other_choice(client: Browser, record: Record, waiting: str) -> None:
    before = record.pupils.find()
    sent = ticked(client.get(waiting).text) | {"class": ["1"], "do": "look"}

    page = look(client, client.post(waiting, data=sent))

    assert text("roster.look.new", count=1) in page
    assert ticked(page)["class"] == ["1"]
    assert record.pupils.find() == before


def test_a_move_that_is_unticked_makes_a_new_pupil(client: Browser, record: Record, waiting: str) -> None:
    sent = ticked(client.get(waiting).text)
    del sent["same"]

    page = look(client, client.post(waiting, data=sent | {"do": "look"}))
    assert text("roster.look.moves", count=0) in page
    client.post(waiting, data=ticked(page) | {"do": "take"})

    assert [pupil.group for pupil in record.pupils.find() if pupil.name == "Gesa"] == ["Quay", "Slipway"]


def test_a_class_list_that_changed_meanwhile_is_shown_anew(
    client: Browser, record: Record, waiting: str
) -> None:
    sent = ticked(client.get(waiting).text) | {"do": "take"}
    record.pupils.add("Nella A", group="Quay")

    page = look(client, client.post(waiting, data=sent))

    assert text("roster.look_again") in page
    assert text("roster.look.new", count=1) in page
    assert len([pupil for pupil in record.pupils.find() if pupil.name.startswith("Nella")]) == 1


def test_a_list_that_is_dropped_changes_nothing(client: Browser, record: Record, waiting: str) -> None:
    before = record.pupils.find()

    client.post(waiting, data={"do": "drop"})

    assert record.pupils.find() == before
    assert client.get(waiting).location == "/pupils/import"


# Who may see it, for how long, and where it lies


def test_a_list_waits_for_a_quarter_of_an_hour(
    app: Flask, client: Browser, record: Record, waiting: str
) -> None:
    desk = app.extensions[NAME]

    def later(minutes: int) -> TestResponse:
        app.extensions[NAME] = Desk(
            record, desk.letters_folder, clock=lambda: TODAY + timedelta(minutes=minutes)
        )
        return client.get(waiting)

    assert later(15).status_code == 200
    gone = later(16)
    assert gone.location == "/pupils/import"
    assert text("roster.gone") in client.get("/pupils/import").text


def test_another_visit_cannot_see_the_list(app: Flask, client: Browser, waiting: str) -> None:
    other = app.test_client()
    assert isinstance(other, Browser)
    other.get("/login")
    other.post("/login", data={"passphrase": PASSPHRASE})
    other.get("/login")

    assert client.get(waiting).status_code == 200
    assert other.get(waiting).location == "/pupils/import"
    assert other.post(waiting, data={"do": "take"}).location == "/pupils/import"


def test_a_wrong_token_leads_nowhere(client: Browser, waiting: str) -> None:
    assert client.get(waiting[:-1]).location == "/pupils/import"


def test_the_newer_of_two_lists_counts(client: Browser, export: bytes, waiting: str) -> None:
    newer = hand_in(client, ("export.zip", export)).location

    assert client.get(newer).status_code == 200
    assert client.get(waiting).location == "/pupils/import"


def test_the_visit_holds_nothing_but_what_is_needed(client: Browser, waiting: str) -> None:
    with client.session_transaction() as session:
        held = repr(session[SLOT.name])

    assert waiting.rpartition("/")[2] in held
    assert SECRET not in held
    assert "Rena" not in held


def test_an_upload_is_kept_in_memory_whatever_its_size(app: Flask) -> None:
    """werkzeug would put a larger one into a file on the disk."""
    head = b'--x\r\nContent-Disposition: form-data; name="files"; filename="export.zip"\r\n\r\n'
    sent = {
        "data": head + b"y" * 2_000_000 + b"\r\n--x--\r\n",
        "content_type": "multipart/form-data; boundary=x",
    }
    with app.test_request_context("/pupils/import", method="POST", **sent):
        stream = request.files["files"].stream

        assert type(stream) is BytesIO
        assert len(stream.getvalue()) == 2_000_000


# What cannot be taken


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ([], "A zip or the tables must be chosen"),
        ([("export.zip", b"PK\x03\x04 broken")], "export.zip: must be a whole zip"),
        ([("list.csv", b"a,b")], "must hold manifest.csv"),
        ([("users.csv", b"a,b")], "must hold manifest.csv"),
        ([("photo.png", b"\x89PNG")], "must hold manifest.csv"),
    ],
)
def test_what_is_no_class_list_is_told_in_one_sentence(
    client: Browser, record: Record, files: list[tuple[str, bytes]], said: str
) -> None:
    before = record.pupils.find()

    answer = hand_in(client, *files)

    assert answer.status_code == 422
    assert said in unescape(answer.text)
    assert 'role="alert"' in answer.text
    assert record.pupils.find() == before


def test_ids_given_twice_are_told_line_by_line(client: Browser) -> None:
    doubled = zipped(tables([*STUDENTS, user("p1", "Somebody")], CLASSES, PLACES))

    answer = hand_in(client, ("export.zip", doubled))

    assert answer.status_code == 422
    assert "users.csv, line 8: sourcedId must be given once, 'p1' stands in line 2 too" in unescape(
        answer.text
    )


def test_ids_that_lead_nowhere_are_told_and_the_rest_can_be_taken(client: Browser) -> None:
    dangling = zipped(tables(STUDENTS, CLASSES, [*PLACES, enrollment("p9", "c1")]))

    page = look(client, hand_in(client, ("export.zip", dangling)))

    said = "enrollments.csv, line 7: userSourcedId must be in users.csv, 'p9' is not"
    assert said in unescape(page)
    assert text("roster.look.new", count=2) in page


def test_many_faulty_lines_are_counted(client: Browser) -> None:
    dangling = [enrollment(f"q{number}", "c1") for number in range(roster_import.SHOWN + 5)]

    page = look(client, hand_in(client, ("export.zip", zipped(tables(STUDENTS, CLASSES, dangling)))))

    assert text("roster.look.left_out", count=roster_import.SHOWN + 5) in page
    assert text("roster.look.more", count=5) in page


def test_the_tables_can_be_handed_in_without_a_zip(client: Browser) -> None:
    page = look(client, hand_in(client, *tables(STUDENTS, CLASSES, PLACES).items()))

    assert "Nella A" in page


def test_lines_that_take_something_back_are_shown_as_such(client: Browser, record: Record) -> None:
    leaving = [user("p3", "Abel", "Gale", status="tobedeleted"), user("p1", "Nella", status="active")]
    places = [enrollment("p3", "c1"), enrollment("p1", "c1")]

    page = look(client, hand_in(client, ("e.zip", zipped(tables(leaving, CLASSES, places, mode="delta")))))

    assert text("roster.look.leaving", count=1) in page
    assert text("roster.look.delta") in page
    client.post("/pupils/import", data={})
    assert any(pupil.name == "Abel" for pupil in record.pupils.find())


def test_a_list_without_classes_says_so(client: Browser) -> None:
    files = tables(STUDENTS, [], [])

    page = look(client, hand_in(client, ("e.zip", zipped(files))))

    assert text("roster.look.empty") in page
    assert 'value="take"' not in page


def test_of_a_whole_school_the_teacher_first_says_which_classes_are_hers(client: Browser) -> None:
    users = [user(f"p{number}", f"Child{number}") for number in range(120)]
    places = [enrollment(row["sourcedId"], "c1" if n < 100 else "c2") for n, row in enumerate(users)]
    classes = [school_class("c1", "Rooms 1 to 4"), school_class("c2", "Room 5")]

    page = look(client, hand_in(client, ("e.zip", zipped(tables(users, classes, places)))))

    assert "class" not in ticked(page)
    assert text("roster.look.none_chosen") in page
    assert text("roster.look.class", title="Room 5", count=20) in page


def test_markup_in_a_list_is_text(client: Browser) -> None:
    users = [user("p1", "<script>x</script>", "B")]
    page = look(
        client, hand_in(client, ("<b>.zip", zipped(tables(users, [school_class("c1", "<i>Q")], PLACES[:1]))))
    )

    assert "<script>x" not in page
    assert "<i>Q" not in page
    assert "<b>.zip" not in page


# In a browser


@pytest.mark.browser
def test_bringing_a_list_in_breaks_no_rule_of_access_and_needs_no_mouse(
    window: Page, record: Record, tmp_path: Path
) -> None:
    """The pages that only come after a file was handed in: what is wrong with it, and the look."""
    doubled = zipped(tables([*STUDENTS, user("p1", "Somebody")], CLASSES, PLACES))
    dangling = zipped(tables(STUDENTS, CLASSES, [*PLACES, enrollment("p9", "c1")]))
    faulty = window.context.new_page()  # a browser calls the answer 422 a trouble; the first page bears none
    left_out = text("roster.look.left_out", count=1)
    for page, content, said in ((faulty, doubled, text("roster.lines")), (window, dangling, left_out)):
        (tmp_path / "export.zip").write_bytes(content)
        page.goto("/pupils/import")
        page.set_input_files("#files", tmp_path / "export.zip")
        page.get_by_role("button", name=text("roster.hand_in")).press("Enter")
        page.get_by_text(said).wait_for()
        assert violations_in_all_colors(page) == []

    window.get_by_label("Room 4").press("Space")
    window.get_by_role("button", name=text("roster.look.again")).press("Enter")
    window.get_by_role("button", name=text("roster.look.take", new=3, moved=1)).press("Enter")

    assert window.get_by_role("status").inner_text() == text("roster.taken", new=3, moved=1)
    assert [pupil.name for pupil in record.pupils.find("Room 4")] == ["Osk"]
