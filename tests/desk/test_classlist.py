"""The class list: pupils as cards, every change to them, and erasing with what goes listed first."""

from __future__ import annotations

import re
import subprocess
import sys
import zipfile
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.desk.reader import said, tree
from tests.desk.visitor import Browser
from tests.waiting import HANG
from trainer.attempt import CARDS, Pupil
from trainer.desk.pictures.card_pictures import card_svg
from trainer.errors import BusyError
from trainer.language.texts import room, text
from trainer.record.record import Record


def pupil(record: Record, name: str) -> Pupil:
    (child,) = (pupil for pupil in record.pupils.find(archived=True) if pupil.name == name)
    return child


def form(pupil: Pupil, **changed: object) -> dict[str, object]:
    """What the page of a pupil sends back, with some of it changed."""
    current = {"name": pupil.name, "group": pupil.group, "hand": pupil.hand or "open", "card": pupil.card}
    return current | changed


def test_every_pupil_is_a_card_with_name_picture_and_hand(client: Browser, record: Record) -> None:
    page = client.get("/pupils").text

    for pupil in record.pupils.find():
        assert f'href="/pupil/{pupil.id}"' in page
        assert f'href="/pupils/{pupil.id}" aria-label="Change {pupil.name}"' in page
    assert page.count(text("classlist.hand.left")) == 1 + sum(
        pupil.hand == "left" for pupil in record.pupils.find()
    )
    assert page.count("/pupils/card/") == len(record.pupils.find(archived=True))


def test_a_class_without_pupils_says_how_to_begin(client: Browser, record: Record) -> None:
    for group in record.pupils.groups():
        record.erasure.remove_group(group)

    assert text("classlist.none") in client.get("/pupils").text


# Adding and changing


def test_a_pupil_is_added(client: Browser, record: Record) -> None:
    answer = client.post("/pupils", data={"name": " Nella ", "group": "Pier", "hand": "left"})

    assert answer.status_code == 303
    added = pupil(record, "Nella")
    assert (added.group, added.hand, added.card) == ("Pier", "left", 1)
    assert text("classlist.added", name="Nella", group="Pier") in client.get("/pupils").text


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"name": "ABEL", "group": "Quay"}, "Quay already has a pupil named ABEL"),
        ({"name": " ", "group": "Quay"}, "A name must be 1 to 40 letters"),
        ({"name": "N" * 50, "group": "Quay"}, "A name must be 1 to 40 letters"),
        ({"name": "Nella", "group": ""}, "A group&#39;s name must be 1 to 40 letters"),
    ],
)
def test_who_cannot_be_added_is_told_beside_the_form_and_what_was_typed_stays(
    client: Browser, record: Record, sent: dict[str, str], said: str
) -> None:
    before = record.pupils.find()

    answer = client.post("/pupils", data=sent | {"hand": "left"})

    assert answer.status_code == 422
    assert said in answer.text
    assert 'role="alert"' in answer.text
    assert f'name="name" value="{sent["name"]}"' in answer.text
    assert f'name="group" value="{sent["group"]}"' in answer.text
    assert 'value="left" checked' in answer.text
    assert record.pupils.find() == before


def test_name_group_hand_and_card_are_changed_at_once(client: Browser, record: Record) -> None:
    abel = pupil(record, "Abel")
    sent = form(abel, name="Abelo", group="Slipway", hand="left", card=20)

    assert client.post(f"/pupils/{abel.id}", data=sent).status_code == 303

    assert record.pupils.get(abel.id) == Pupil(abel.id, "Abelo", 20, "left", "Slipway")


def test_a_change_that_cannot_be_keeps_all_of_it(client: Browser, record: Record) -> None:
    abel, brida = pupil(record, "Abel"), pupil(record, "Brida")

    answer = client.post(f"/pupils/{abel.id}", data=form(abel, name="Abelo", card=brida.card))

    assert answer.status_code == 422
    assert f"Card {brida.card} belongs to Brida; choose another." in answer.text
    assert 'value="Abelo"' in answer.text
    assert record.pupils.get(abel.id) == abel


def test_a_hand_can_be_left_open_again(client: Browser, record: Record) -> None:
    abel = pupil(record, "Abel")

    client.post(f"/pupils/{abel.id}", data=form(abel, hand="open"))

    assert pupil(record, "Abel").hand is None


def test_cards_of_others_are_shown_with_their_owner_and_cannot_be_chosen(
    client: Browser, record: Record
) -> None:
    abel = pupil(record, "Abel")
    page = client.get(f"/pupils/{abel.id}").text

    others = record.pupils.find("Quay", archived=True)[1:]
    assert page.count(" disabled>") == len(others)
    assert page.count('name="card"') == CARDS
    for other in others:
        assert f"card of {other.name}" in page


def test_markup_in_a_name_is_text(client: Browser, record: Record) -> None:
    named = "<b>Nella</b>"
    client.post("/pupils", data={"name": named, "group": "<i>Quay</i>", "hand": "open"})
    added = pupil(record, named)

    for path in ("/pupils", f"/pupils/{added.id}", f"/pupils/erase?pupil={added.id}"):
        assert "<b>Nella" not in client.get(path).text
        assert "<i>Quay" not in client.get(path).text


@pytest.mark.parametrize(
    "path",
    [
        *("/pupils/999", "/pupils/erase", "/pupils/erase?pupil=999", "/pupils/erase?group=X"),
        *(f"/pupils/erase?pupil={10**30}", "/pupils/erase?group=%00"),
    ],
)
def test_somebody_who_is_not_there_has_no_page(client: Browser, path: str) -> None:
    assert client.get(path).status_code == 404


# The archive


def test_a_pupil_goes_into_the_archive_and_comes_back(client: Browser, record: Record) -> None:
    abel = pupil(record, "Abel")

    client.post(f"/pupils/{abel.id}/archive", data={"do": "archive"})
    assert pupil(record, "Abel").archived
    page = client.get("/pupils").text
    assert text("classlist.archive_heading") in page
    assert text("classlist.bring_back_of", name="Abel") in page

    client.post(f"/pupils/{abel.id}/archive", data={"do": "back"})
    assert not pupil(record, "Abel").archived
    assert text("classlist.bring_back_of", name="Abel") not in client.get("/pupils").text


def test_without_anybody_in_the_archive_there_is_none(client: Browser, record: Record) -> None:
    for pupil in record.pupils.find(archived=True):
        record.pupils.archive(pupil.id, False)

    assert text("classlist.archive_heading") not in client.get("/pupils").text


# Copies


def test_a_copy_of_a_child_is_a_zip_with_all_that_is_held(client: Browser, record: Record) -> None:
    abel = pupil(record, "Abel")
    record.notes.add(abel.id, "Holds the pen far down.")

    answer = client.get(f"/pupils/copy?pupil={abel.id}")

    assert answer.mimetype == "application/zip"
    assert answer.headers["Content-Disposition"] == f"attachment; filename=pupil-{abel.id}-2026-03-13.zip"
    assert answer.headers["Cache-Control"] == "no-store"
    with zipfile.ZipFile(BytesIO(answer.data)) as copy:
        whole = b"".join(copy.read(name) for name in copy.namelist())
    assert b"Holds the pen far down." in whole
    assert b"Brida" not in whole


def test_the_copy_of_a_child_has_a_page_that_a_family_can_read(client: Browser, record: Record) -> None:
    """Plain words and pictures in one file that fetches nothing and runs nothing; no ranks, no scores."""
    abel = pupil(record, "Abel")
    record.notes.add(abel.id, "<b>Holds</b> the pen far down.")
    with zipfile.ZipFile(BytesIO(client.get(f"/pupils/copy?pupil={abel.id}").data)) as copy:
        shown = copy.read("01-abel/READ-ME-FIRST.html").decode()

    reader = tree(shown)
    words = said(reader)
    for piece in ("How Abel writes letters", "Secure now", "Being learned", "<b>Holds</b> the pen far down."):
        assert piece in words
    assert "judge no child" in words
    pictures = [said(title) for title in reader.iter("title")]
    assert {"b, as it was written", "b as it is taught"} <= set(pictures)
    assert not re.search(r"<script|<link|src=|href=|url\(|%", shown)


def test_a_copy_of_a_group_has_everybody_of_it_and_the_name_of_its_file_says_no_group(
    client: Browser, record: Record
) -> None:
    record.pupils.archive(pupil(record, "Fenn").id)

    answer = client.get("/pupils/copy?group=Quay")

    assert answer.headers["Content-Disposition"] == "attachment; filename=group-2026-03-13.zip"
    with zipfile.ZipFile(BytesIO(answer.data)) as copy:
        folders = {name.partition("/")[0] for name in copy.namelist() if "/" in name}
    assert len(folders) == len(record.pupils.find("Quay", archived=True)) > len(record.pupils.find("Quay"))


def test_no_title_says_who_it_is(client: Browser, record: Record) -> None:
    """The browser keeps titles in its history, and an erasure here does not reach it."""
    abel = pupil(record, "Abel")
    (attempt,) = record.attempts.latest(abel.id, n=1)
    pages = (
        *(f"/pupil/{abel.id}", f"/pupil/{abel.id}/attempt/{attempt.id}", f"/pupils/{abel.id}"),
        *(f"/pupils/erase?pupil={abel.id}", f"/plan?pupil={abel.id}", "/pupils/erase?group=Quay"),
    )
    for path in pages:
        title = client.get(path).text.partition("<title>")[2].partition("</title>")[0]
        assert title
        assert "Abel" not in title

    assert text("classlist.erase.browser") in client.get(f"/pupils/erase?pupil={abel.id}").text


# Erasing


def test_what_is_erased_is_listed_first_and_nothing_happens_by_looking(
    client: Browser, record: Record
) -> None:
    abel = pupil(record, "Abel")
    record.notes.add(abel.id, "Holds the pen far down.")
    held = record.erasure.holdings([abel.id])

    page = client.get(f"/pupils/erase?pupil={abel.id}").text

    assert held.attempts > 100
    for sentence in (
        f"{held.attempts}, of them still with ink: {held.with_ink}",
        text("classlist.erase.findings", count=held.findings),
        text("classlist.erase.notes", count=1),
    ):
        assert sentence in page
    assert record.erasure.holdings([abel.id]) == held


@pytest.mark.parametrize("typed", ["", "Brida", "Abel Quay"])
def test_without_the_right_name_nobody_is_erased(client: Browser, record: Record, typed: str) -> None:
    abel = pupil(record, "Abel")

    answer = client.post(f"/pupils/erase?pupil={abel.id}", data={"name": typed})

    assert answer.status_code == 422
    assert text("classlist.erase.differs", name="Abel") in answer.text
    assert f'name="name" value="{typed}"' in answer.text
    assert record.pupils.get(abel.id) == abel


def test_an_erased_child_leaves_nothing_in_the_bytes_of_the_record(
    client: Browser, record: Record, record_file: Path
) -> None:
    client.post("/pupils", data={"name": "Quintessa", "group": "Quay", "hand": "open"})
    child = pupil(record, "Quintessa")
    record.notes.add(child.id, "Quintessa holds the pen far down.")
    files = (record_file, record_file.with_name(record_file.name + "-wal"))
    assert any(b"Quintessa" in file.read_bytes() for file in files if file.exists())

    answer = client.post(f"/pupils/erase?pupil={child.id}", data={"name": " quintessa "})

    assert answer.status_code == 303
    assert record.pupils.get(child.id) is None
    assert not any(b"Quintessa" in file.read_bytes() for file in files if file.exists())


def test_a_whole_group_is_erased_with_those_in_its_archive(client: Browser, record: Record) -> None:
    record.pupils.archive(pupil(record, "Abel").id)
    page = client.get("/pupils/erase?group=Quay").text
    assert "Abel, Brida, Cosmo" in page

    client.post("/pupils/erase?group=Quay", data={"name": "Quay"})

    assert record.pupils.groups() == ("Slipway",)
    assert record.plans.get("Quay") == ()


def test_last_bytes_that_wait_for_another_window_are_told(
    client: Browser, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The child is gone from the record then, so the page must not offer to try again."""
    child = pupil(record, "Abel")

    def busy(*_: object) -> None:
        raise BusyError("the last traces leave the disk when the other window is closed")

    monkeypatch.setattr(record._database, "scrub", busy)
    answer = client.post(f"/pupils/erase?pupil={child.id}", data={"name": "Abel"})

    assert answer.status_code == 303
    assert record.pupils.get(child.id) is None
    assert "the last traces leave the disk" in client.get("/pupils").text


# Pictures


@pytest.mark.parametrize("card", range(1, CARDS + 1))
def test_every_card_has_a_picture_without_styles_or_scripts(card: int) -> None:
    drawn = ElementTree.fromstring(card_svg(card))

    assert len(list(drawn)) > 2
    for element in drawn.iter():
        assert element.tag.rpartition("}")[2] in {"svg", "rect", "circle", "polyline"}
        assert not {name for name in element.attrib if name == "style" or name.startswith("on")}


def test_no_two_cards_look_alike() -> None:
    assert len({card_svg(card) for card in range(1, CARDS + 1)}) == CARDS


def test_every_picture_has_a_name() -> None:
    names = room("classlist")["picture"]

    assert len(names) * len(room("classlist")["tint"]) == CARDS
    assert len(set(names.values())) == len(names)


def test_pictures_are_served_as_files_of_their_own(client: Browser) -> None:
    answer = client.get("/pupils/card/7.svg")

    assert answer.mimetype == "image/svg+xml"
    assert answer.text == card_svg(7)
    assert client.get("/pupils/card/0.svg").status_code == 404
    assert client.get(f"/pupils/card/{CARDS + 1}.svg").status_code == 404


def test_a_stranger_sees_no_pupil(stranger: Browser) -> None:
    for path in ("/pupils", "/pupils/1", "/pupils/erase?pupil=1", "/pupils/copy?pupil=1", "/pupils/import"):
        answer = stranger.get(path)
        assert answer.status_code == 303
        assert answer.location.startswith("/login")


def test_the_desk_needs_no_window() -> None:
    """Pictures come from the drawings of the practice window, without pygame behind them."""
    code = "import sys, trainer.desk.pages.classlist; sys.exit('pygame' in sys.modules)"

    assert subprocess.run([sys.executable, "-c", code], timeout=HANG).returncode == 0


def test_a_page_of_a_child_who_was_erased_meanwhile_reaches_nobody_else(
    client: Browser, record: Record
) -> None:
    """Another window erases the newest child and adds another one, and this page goes on."""
    gone = record.pupils.add("Zora", group="Pier")
    note = record.notes.add(gone.id, "holds the pen high up")
    record.erasure.remove_pupil(gone.id)
    new = record.pupils.add("Wim", group="Pier")
    newer = record.notes.add(new.id, "is new")
    sent = {
        f"/pupil/{gone.id}/notes": {"text": "presses hard"},
        f"/pupil/{new.id}/notes/{note.id}/remove": {},
        f"/pupils/{gone.id}": {"name": "Zorah", "group": "Pier", "hand": "left", "card": "3"},
        f"/pupils/{gone.id}/archive": {"do": "archive"},
        f"/pupils/erase?pupil={gone.id}": {"name": "Zora"},
        f"/plan?pupil={gone.id}": {"do": "add c"},
    }

    answers = {path: client.post(path, data=form) for path, form in sent.items()}

    refused = {path for path, answer in answers.items() if answer.status_code == 410}
    assert refused == set(sent) - {f"/pupil/{new.id}/notes/{note.id}/remove"}
    assert all(text("desk.fault.410") in answers[path].text for path in refused)
    assert record.pupils.get(new.id) == new
    assert record.notes.find(new.id) == (newer,)
    assert record.plans.for_pupil(new.id) == ()
