"""The pages of the alphabet: all formations are shown, a cue goes to the teacher's own letters only."""

from __future__ import annotations

import shutil
from pathlib import Path
from xml.etree.ElementTree import Element

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from strokes.alphabet import Alphabet
from strokes.files.letter_folder import SHIPPED
from strokes.files.letter_svg import LONGEST_CUE
from strokes.letter import SETS
from tests.desk.reader import fields, of_class, page, said, under
from tests.desk.visitor import PASSPHRASE, TODAY, Browser
from tests.shipped import PRINT as ALPHABET
from trainer.desk.app import create_app
from trainer.desk.desk import NAME, Desk
from trainer.language.texts import text
from trainer.record.record import Record
from trainer.teaching import teaching_order

PRINT = SHIPPED / "print"


@pytest.fixture
def desk(app: Flask) -> Desk:
    """What the pages stand on; its folder for the teacher's own letters is not there yet."""
    the_desk: Desk = app.extensions[NAME]
    return the_desk


@pytest.fixture
def own(desk: Desk) -> Path:
    """The teacher's own letters: a copy of the shipped ones."""
    return Path(shutil.copytree(PRINT, desk.letters_folder))


def good(answer: TestResponse) -> Element:
    assert answer.status_code == 200, answer.text
    return page(answer)


def content(folder: Path) -> dict[str, bytes]:
    return {file.name: file.read_bytes() for file in folder.iterdir() if file.is_file()}


def save(client: Browser, alphabet: str, letter: str, stroke: object, cue: str) -> TestResponse:
    sent = {"alphabet": alphabet, "letter": letter, "stroke": str(stroke), "cue": cue}
    return client.post("/alphabet/cue", data=sent)


def alerts(shown: Element) -> list[str]:
    return [said(element) for element in shown.iter() if element.get("role") == "alert"]


# --- what is shown


def test_every_letter_is_shown_with_all_its_formations_and_cues(client: Browser):
    pages = [good(client.get(f"/alphabet?set={letter_set}")) for letter_set in SETS]
    cards = [card for shown in pages for card in of_class(shown, "letter")]

    assert sorted(said(card.find("h3")) for card in cards) == sorted(ALPHABET)
    for card in cards:
        letter = ALPHABET[said(card.find("h3"))]
        assert len(list(card.iter("svg"))) == len(letter.formations)
        cues = [said(cue) for cue in of_class(of_class(card, "taught")[0], "cues")[0]]
        assert cues == [stroke.cue for stroke in letter.taught.strokes]


def test_a_formation_for_one_hand_and_one_worth_a_note_are_labelled(client: Browser):
    ways = of_class(good(client.get("/alphabet/letter?alphabet=print&letter=t")), "ways")[0]

    for way, formation in zip(ways, ALPHABET["t"].formations[1:], strict=True):
        labels = [said(label) for label in of_class(way, "badge")]
        assert (text("alphabet.letter.left") in labels) == (formation.hand == "left")
        assert (text("alphabet.letter.note") in labels) == (formation.note is not None)


def test_the_letters_stand_by_family_in_teaching_order(client: Browser):
    for letter_set in SETS:
        shown = good(client.get(f"/alphabet?set={letter_set}"))
        alphabet = ALPHABET.only(letter_set)
        for number, family in enumerate(alphabet.families, 1):
            letters = [said(card.find("h3")) for card in of_class(under(shown, f"family-{number}"), "letter")]
            assert letters == [letter for letter in teaching_order(alphabet) if letter in family.letters]


@pytest.mark.parametrize("letter", ["", "ab", "../a", "/etc/passwd", "a.svg", "%00", "Ж"])
def test_a_letter_that_the_alphabet_does_not_have_is_not_there(client: Browser, own: Path, letter: str):
    before = content(own)

    for alphabet in ("print", "letters", "..", "/etc"):
        query = {"alphabet": alphabet, "letter": letter}
        assert client.get("/alphabet/letter", query_string=query).status_code == 404
        assert save(client, alphabet, letter, 0, "Down.").status_code in (400, 404)
    assert content(own) == before


# --- cues


def test_the_first_cue_copies_the_shipped_alphabet_and_goes_there(client: Browser, desk: Desk):
    shipped = content(PRINT)

    answer = save(client, "print", "t", 1, "  Across, & <on>. ")

    assert answer.status_code == 303
    own = desk.letters_folder
    assert Alphabet.load(own)["t"].taught.strokes[1].cue == "Across, & <on>."
    assert content(PRINT) == shipped, "the shipped alphabet is never changed"
    changed = {name for name, written in content(own).items() if written != shipped[name]}
    assert changed == {"t.svg"}
    shown = good(client.get(answer.location))
    assert dict(fields(of_class(under(shown, "cues"), "field")[1]))["cue"] == "Across, & <on>."


def test_a_cue_is_told_to_the_pages_at_once(client: Browser, desk: Desk, own: Path):
    assert desk.alphabet()["l"].taught.strokes[0].cue != "Down, tall."

    save(client, own.name, "l", 0, "Down, tall.")

    assert desk.alphabet()["l"].taught.strokes[0].cue == "Down, tall."


@pytest.mark.parametrize("cue", ["", "  ", "x" * (LONGEST_CUE + 1), "Down\x07", "Down\u202e"])
def test_a_cue_that_cannot_be_said_is_given_back_and_changes_nothing(client: Browser, own: Path, cue: str):
    before = content(own)

    answer = save(client, own.name, "t", 1, cue)

    assert answer.status_code == 400
    shown = page(answer)
    assert alerts(shown)[0].startswith("A cue must")
    assert dict(fields(of_class(under(shown, "cues"), "field")[1]))["cue"] == cue
    assert content(own) == before


def test_a_cue_that_cannot_be_said_makes_no_copy(client: Browser, desk: Desk):
    assert save(client, "print", "t", 1, "").status_code == 400

    assert not desk.letters_folder.exists()


def test_beside_an_alphabet_of_her_own_the_shipped_one_is_only_looked_at(client: Browser, own: Path):
    before = content(own), content(PRINT)

    shown = good(client.get("/alphabet/letter?alphabet=print&letter=t"))
    assert list(under(shown, "cues").iter("form")) == []
    answer = save(client, "print", "t", 1, "Across.")

    assert answer.status_code == 400
    assert "never changed" in alerts(page(answer))[0]
    assert (content(own), content(PRINT)) == before


@pytest.mark.parametrize("stroke", ["9", "-1", "one", "", "1e3"])
def test_a_stroke_that_is_not_there_changes_nothing(client: Browser, own: Path, stroke: str):
    before = content(own)

    assert save(client, own.name, "t", stroke, "Across.").status_code in (400, 404)

    assert content(own) == before


def test_a_cue_is_changed_by_the_pages_own_form_only(client: Browser, own: Path):
    sent = {"alphabet": own.name, "letter": "t", "stroke": "0", "cue": "Down."}

    assert client.get("/alphabet/cue").status_code == 405
    assert client.post("/alphabet/cue", data=sent, token=False).status_code == 403


# --- which alphabet a group uses


def used(shown: Element) -> dict[str, str]:
    """The alphabet that is chosen for each group on the page."""
    forms = list(under(shown, "use").iter("form"))
    chosen = [
        next(element.get("value", "") for element in form.iter("option") if "selected" in element.attrib)
        for form in forms
    ]
    return {dict(fields(form))["group"]: name for form, name in zip(forms, chosen, strict=True)}


def test_a_group_uses_the_alphabet_that_is_chosen_for_it(
    client: Browser, desk: Desk, own: Path, record: Record
):
    save(client, own.name, "l", 0, "Down, tall.")
    assert used(good(client.get("/alphabet"))) == {"Quay": "letters", "Slipway": "letters"}

    answer = client.post("/alphabet/use", data={"group": "Quay", "alphabet": "print", "shown": "letters"})

    assert answer.status_code == 303
    assert used(good(client.get(answer.location))) == {"Quay": "print", "Slipway": "letters"}
    assert record.settings.get("alphabet:Quay") == "print"
    cues = {group: desk.alphabet(group)["l"].taught.strokes[0].cue for group in ("Quay", "Slipway")}
    assert cues == {"Quay": ALPHABET["l"].taught.strokes[0].cue, "Slipway": "Down, tall."}


@pytest.mark.parametrize(
    ("group", "alphabet"),
    [("Quay", "gone"), ("Quay", "../.."), ("Quay", ""), ("Nobody", "print"), ("", "print")],
)
def test_a_choice_that_is_not_there_is_told_and_changes_nothing(
    client: Browser, record: Record, group: str, alphabet: str
):
    answer = client.post("/alphabet/use", data={"group": group, "alphabet": alphabet})

    assert answer.status_code == 400
    assert "There is no" in alerts(page(answer))[0]
    assert record.settings.get(f"alphabet:{group}") is None


# --- letters that must be mended


@pytest.fixture
def two_broken(own: Path) -> Path:
    """Her own letters, with a stroke of b that has no way and a z that is no letter."""
    (own / "b.svg").write_text((own / "b.svg").read_text().replace("M0 -200", "M"))
    (own / "z.svg").write_bytes(b"\x89PNG")
    return own


def test_broken_letters_are_set_aside_alone_and_every_fault_is_told(
    client: Browser, desk: Desk, record: Record, two_broken: Path
):
    record.plans.set("Quay", ["b", "l"])
    record.plans.set("Quay", ["z", "b"], pupil=record.pupils.find("Quay")[0].id)

    shown = good(client.get("/alphabet?alphabet=letters"))

    assert [said(paragraph) for paragraph in under(shown, "broken").iter("p")] == [
        "The letters b, z, ž of your alphabet “letters” are set aside until they are mended. "
        "All its other letters are in use."
    ]
    every = [said(item) for item in under(shown, "broken").iter("li")]
    assert any(str(two_broken / "b.svg") in line for line in every)
    assert any(str(two_broken / "z.svg") in line for line in every)
    assert len(of_class(shown, "letter")) == len(ALPHABET.only("small")) - 3
    assert set(ALPHABET) - set(desk.alphabet("Quay")) == {"b", "z", "ž"}
    for path in ("/", "/?group=Quay", "/class", "/pupil/1", "/plan?group=Quay", "/plan?pupil=1", "/settings"):
        assert client.get(path).status_code == 200, path
    assert client.get("/alphabet/letter?alphabet=letters&letter=b").status_code == 404
    assert save(client, "letters", "b", 0, "Down.").status_code == 404
    assert save(client, "letters", "t", 0, "Down, and stop.").status_code == 303


def test_a_link_that_leads_nowhere_stops_no_page(client: Browser, own: Path):
    (own / "q.svg").unlink()
    (own / "q.svg").symlink_to(own / "gone" / "q.svg")

    for path in ("/", "/alphabet", "/class", "/plan"):
        assert client.get(path).status_code == 200, path


@pytest.fixture
def broken(own: Path) -> Path:
    """Her own letters, with a table that cannot be read and a z that is no letter."""
    (own / "alphabet.toml").write_text("[guide")
    (own / "z.svg").write_bytes(b"\x89PNG")
    return own


def test_a_broken_alphabet_is_told_in_one_sentence_and_the_shipped_one_is_used(
    client: Browser, desk: Desk, broken: Path
):
    shown = good(client.get("/alphabet?alphabet=letters"))

    alert = next(said(paragraph) for paragraph in under(shown, "broken").iter("p"))
    assert alert.startswith("Your alphabet “letters” cannot be used until this is mended: ")
    assert alert.endswith("Meanwhile the shipped alphabet is used.")
    every = [said(item) for item in under(shown, "broken").iter("li")]
    assert any(str(broken / "z.svg") in line for line in every)
    assert any(str(broken / "alphabet.toml") in line for line in every)
    assert len(of_class(shown, "letter")) == len(ALPHABET.only("small"))
    assert list(desk.alphabet("Quay")) == list(ALPHABET)
    for path in ("/", "/class", "/pupil/1", "/plan"):
        assert client.get(path).status_code == 200


def test_a_broken_alphabet_takes_no_cue_and_no_group(client: Browser, record: Record, broken: Path):
    before = content(broken)

    assert save(client, "letters", "t", 0, "Down.").status_code == 404
    assert save(client, "print", "t", 0, "Down.").status_code == 400
    answer = client.post("/alphabet/use", data={"group": "Quay", "alphabet": "letters"})

    assert answer.status_code == 400
    assert "must be mended before a group can use it" in " ".join(alerts(page(answer)))
    assert record.settings.get("alphabet:Quay") is None
    assert content(broken) == before


def test_a_folder_that_was_named_for_this_desk_is_for_every_group(record: Record, own: Path):
    (own / "z.svg").unlink()
    (own / "alphabet.toml").unlink()
    record.settings.set("alphabet:Quay", "print")
    app = create_app(Desk(record, own, clock=lambda: TODAY, named=True), testing=True)
    app.test_client_class = Browser
    client = app.test_client()
    client.get("/login")
    client.post("/login", data={"passphrase": PASSPHRASE})

    shown = good(client.get("/alphabet"))
    answer = client.post("/alphabet/use", data={"group": "Slipway", "alphabet": "print"})

    assert len(app.extensions[NAME].alphabet("Quay")) == len(list(own.glob("*.svg")))
    assert "every group uses letters" in said(under(shown, "use"))
    assert answer.status_code == 400
    assert record.settings.get("alphabet:Slipway") is None
