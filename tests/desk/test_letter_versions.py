"""The versions of a letter on the desk: how it was, going back, and old attempts judged again."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from flask import Flask

from strokes.files import SHIPPED, load_letter
from strokes.simulation import write
from tests.desk.reader import page, said
from tests.desk.visitor import TODAY, Browser
from trainer.attempt import Attempt, Step, Verdict
from trainer.desk.desk import NAME, Desk
from trainer.judging import Judge
from trainer.language import clock_words, day_words
from trainer.record.record import Record
from trainer.teaching import letter_history, own_letters

VERSIONS = "/alphabet/versions?alphabet=letters&letter=t"


@pytest.fixture
def own(app: Flask) -> Path:
    """An alphabet of the teacher's own with few letters."""
    desk: Desk = app.extensions[NAME]
    desk.letters_folder.mkdir()
    for letter in "lt":
        shutil.copy(SHIPPED / "print" / f"{letter}.svg", desk.letters_folder)
    return desk.letters_folder


def turn_the_bar(own: Path) -> None:
    """Another t: its bar from right to left is all that is taught or accepted."""
    stem, bar = "M0 -200 L0 0", "M40 -100 L-40 -100"
    taught = "".join(f'<path d="{way}"><title>Go.</title></path>' for way in (stem, bar))
    content = f'<svg xmlns="http://www.w3.org/2000/svg"><title>t</title><g id="taught">{taught}</g></svg>'
    letter_history.replace_letter(own / "t.svg", content.encode())


def test_a_letter_without_earlier_versions_says_so(client: Browser, own: Path) -> None:
    assert (own / "t.svg").is_file()
    assert "no earlier version" in said(page(client.get(VERSIONS)))


def test_going_back_keeps_what_was_there(client: Browser, own: Path) -> None:
    first = (own / "t.svg").read_bytes()
    own_letters.change_cue(own, "t", 0, "Straight, far down.")
    second = (own / "t.svg").read_bytes()
    shown = page(client.get(VERSIONS))
    (key,) = [element.get("value", "") for element in shown.iter("input") if element.get("name") == "version"]

    sent = {"alphabet": "letters", "letter": "t", "version": key}
    assert client.post("/alphabet/versions", data=sent).status_code == 303

    assert (own / "t.svg").read_bytes() == first
    assert letter_history.versions(own / "t.svg")[0].file.read_bytes() == second


def test_going_back_twice_is_where_one_was_and_each_version_keeps_its_number(
    client: Browser, own: Path
) -> None:
    first = (own / "t.svg").read_bytes()
    turn_the_bar(own)
    second = (own / "t.svg").read_bytes()

    for wanted in (first, second):
        latest = letter_history.versions(own / "t.svg")[0]
        sent = {"alphabet": "letters", "letter": "t", "version": latest.key}
        assert client.post("/alphabet/versions", data=sent).status_code == 303
        assert (own / "t.svg").read_bytes() == wanted

    assert [version.number for version in letter_history.versions(own / "t.svg")] == [3, 2, 1]
    headings = [said(heading) for heading in page(client.get(VERSIONS)).iter("h2")]
    assert headings[0] == "Version 4, as it is now"
    assert [heading.partition(",")[0] for heading in headings[1:4]] == [f"Version {n}" for n in (3, 2, 1)]


def test_from_a_letter_that_was_broken_by_hand_one_can_go_back(client: Browser, own: Path) -> None:
    own_letters.change_cue(own, "t", 0, "Straight, far down.")
    wanted = letter_history.versions(own / "t.svg")[0]
    first = wanted.file.read_bytes()
    (own / "t.svg").write_text("<svg>")

    alphabet = page(client.get("/alphabet?alphabet=letters"))
    assert VERSIONS in [link.get("href") for link in alphabet.iter("a")]
    shown = page(client.get(VERSIONS))
    assert "It cannot be used as it is now." in said(shown)
    assert "t.svg: must be well-formed XML" in said(shown)
    assert str(own) not in said(shown)
    (back,) = [link.get("href", "") for link in shown.iter("a") if said(link) == "Back to the alphabet"]
    assert client.get(back).status_code == 200

    sent = {"alphabet": "letters", "letter": "t", "version": wanted.key}
    assert client.post("/alphabet/versions", data=sent).status_code == 303

    assert (own / "t.svg").read_bytes() == first
    assert "It cannot be used" not in said(page(client.get(VERSIONS)))


@pytest.mark.parametrize("version", ["", "x", "../../l", "20260101T000000000000"])
def test_a_version_that_is_not_there_changes_nothing(client: Browser, own: Path, version: str) -> None:
    own_letters.change_cue(own, "t", 0, "Straight, far down.")
    before = (own / "t.svg").read_bytes()

    sent = {"alphabet": "letters", "letter": "t", "version": version}
    assert client.post("/alphabet/versions", data=sent).status_code == 404

    assert (own / "t.svg").read_bytes() == before


@pytest.mark.parametrize(
    "query", ["", "?alphabet=print&letter=t", "?alphabet=letters&letter=q", "?alphabet=..&letter=t"]
)
@pytest.mark.usefixtures("own")
def test_only_letters_of_her_own_have_versions(client: Browser, query: str) -> None:
    assert client.get(f"/alphabet/versions{query}").status_code == 404


def test_an_attempt_names_the_version_of_the_letter_and_of_the_checks_that_judged_it(
    client: Browser, own: Path, app: Flask, record: Record
) -> None:
    """As it is now, as it was until a moment, as it is again after going back, and not known."""
    desk: Desk = app.extensions[NAME]
    pupil = record.pupils.add("Mika", group="Jetty")
    judged_by = Judge(desk.alphabet("Jetty"), pupil.hand).checks_version("t")

    def kept(checks: str) -> str:
        """The address of an attempt that this version judged."""
        verdict, ink = Verdict("taught", True, True), write(load_letter(own / "t.svg"), seed=1)
        attempt = Attempt(None, pupil.id, "t", Step.COPY, TODAY, ink, verdict, checks=checks)
        return f"/pupil/{pupil.id}/attempt/{record.attempts.keep(attempt).id}"

    address = kept(judged_by)
    day = judged_by.partition(":")[0]
    judged = f"Judged by the letter t of the alphabet letters as it is now. Version of the checks: {day}."
    assert judged in said(page(client.get(address)))
    assert "Which version judged it is not known." in said(page(client.get(kept(""))))

    turn_the_bar(own)
    (before,) = letter_history.versions(own / "t.svg")
    shown = page(client.get(address))
    assert "Judged by version 1 of the letter t of the alphabet letters" in said(shown)
    until = f"{day_words(before.until, year=True)}, {clock_words(before.until)}"
    assert f"as it was until {until}.".replace("\xa0", " ") in said(shown)
    assert any(link.get("href") == VERSIONS for link in shown.iter("a"))
    letter_history.replace_letter(own / "t.svg", before.file.read_bytes())
    assert "as it is now" in said(page(client.get(address)))

    (own / "t.svg").unlink()
    assert "Which version judged it is not known." in said(page(client.get(address)))


def test_each_version_tells_how_many_attempts_it_judged_and_they_are_judged_again(
    client: Browser, own: Path, app: Flask, record: Record
) -> None:
    desk: Desk = app.extensions[NAME]
    for group in record.pupils.groups():
        record.settings.set(f"alphabet:{group}", "print")
    pupil = record.pupils.add("Mika", group="Jetty")
    alphabet = desk.alphabet("Jetty")
    judge = Judge(alphabet, pupil.hand)
    ink = write(load_letter(own / "t.svg"), seed=1)
    for _ in range(2):
        record.attempts.keep(
            Attempt(
                None,
                pupil.id,
                "t",
                Step.COPY,
                TODAY,
                ink,
                Verdict("taught", True, True),
                checks=judge.checks_version("t"),
            )
        )
    before = said(page(client.get(VERSIONS)))

    turn_the_bar(own)
    after = said(page(client.get(VERSIONS)))

    assert "Attempts judged by it: 2" in before
    assert "Attempts judged by it: 0" in after
    assert "Attempts judged by it: 2" in after
    sent = {"alphabet": "letters", "letter": "t"}
    assert client.post("/alphabet/recheck", data=sent).status_code == 303
    assert "Every attempt at t" in said(page(client.get(VERSIONS)))
    (first, _) = record.attempts.find(pupil.id)
    assert first.checks == Judge(desk.alphabet("Jetty"), pupil.hand).checks_version("t")
