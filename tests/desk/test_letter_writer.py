"""Write a letter: the pages, each change that is posted, trial and saving; and what must change nothing."""

from __future__ import annotations

import json
import shutil
import tomllib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

import numpy as np
import pytest
from flask import Flask
from werkzeug.test import TestResponse

from strokes.alphabet import Alphabet
from strokes.files import SHIPPED, load_letter
from strokes.letter import Formation
from strokes.polyline import resample
from tests.desk.reader import of_class, page, said
from tests.desk.visitor import Browser
from tests.shipped import PRINT
from tests.strokes.test_editor_files import EDITORS
from tests.strokes.test_editor_files import PLAIN as PLAIN_N
from trainer.desk.desk import NAME, Desk
from trainer.teaching import letter_history, taught_to_all

DOWN = [[0.0, -2.0 + 0.1 * step] for step in range(21)]
ACROSS = [[-0.4 + 0.1 * step, -1.4] for step in range(9)]


@pytest.fixture
def desk(app: Flask) -> Desk:
    result: Desk = app.extensions[NAME]
    return result


@pytest.fixture
def own(desk: Desk) -> Path:
    """An alphabet of the teacher's own with few letters, so that it is read quickly."""
    desk.letters_folder.mkdir()
    for letter in "lt":
        shutil.copy(SHIPPED / "print" / f"{letter}.svg", desk.letters_folder)
    return desk.letters_folder


def change(client: Browser, letter: str, revision: object, **what: Any) -> TestResponse:
    sent = {"alphabet": "letters", "letter": letter, "revision": revision, **what}
    return client.post("/alphabet/write/change", json=sent)


def shown(client: Browser, letter: str) -> dict[str, Any]:
    """The draft as the page's script gets it."""
    answer = client.get("/alphabet/write/draft", query_string={"alphabet": "letters", "letter": letter})
    assert answer.status_code == 200
    result: dict[str, Any] = answer.get_json()
    return result


def written(client: Browser, letter: str) -> int:
    """Write a line down and one across; gives back the draft's revision."""
    revision = shown(client, letter)["revision"]
    for what in (
        {"do": "write", "trace": DOWN},
        {"do": "write", "trace": ACROSS},
        {"do": "cue", "stroke": 0, "cue": "Straight down."},
        {"do": "cue", "stroke": 1, "cue": "Across."},
    ):
        answer = change(client, letter, revision, **what)
        assert answer.status_code == 200, answer.text
        revision = answer.get_json()["draft"]["revision"]
    return int(revision)


def save(client: Browser, letter: str, revision: object, **more: str) -> TestResponse:
    sent = {"alphabet": "letters", "letter": letter, "revision": str(revision), **more}
    return client.post("/alphabet/write/save", data=sent)


def content(folder: Path) -> dict[str, bytes]:
    return {str(file.relative_to(folder)): file.read_bytes() for file in folder.rglob("*") if file.is_file()}


def alerts(tree: Element) -> list[str]:
    return [
        said(element)
        for element in tree.iter()
        if element.get("role") == "alert" and "hidden" not in element.attrib
    ]


# --- beginning


def test_the_first_letter_makes_a_copy_of_the_shipped_alphabet(client: Browser, desk: Desk) -> None:
    assert "as a copy of “print”" in said(page(client.get("/alphabet/write")))
    assert not desk.letters_folder.exists(), "looking makes nothing"

    answer = client.post("/alphabet/write", data={"alphabet": "print", "letter": " ß "})

    assert answer.status_code == 303
    assert len(Alphabet.load(desk.letters_folder)) == len(PRINT)
    assert client.get(answer.location).status_code == 200
    again = client.post("/alphabet/write", data={"alphabet": "print", "letter": "ø"})
    assert again.status_code == 400
    assert "never changed" in alerts(page(again))[0]


def test_an_alphabet_that_must_be_mended_is_named_where_a_letter_is_begun(client: Browser, own: Path) -> None:
    (own / "alphabet.toml").write_text("[[\n")
    before = content(own)

    for answer in (
        client.get("/alphabet/write"),
        client.post("/alphabet/write", data={"alphabet": "print", "letter": "m"}),
    ):
        tree = page(answer)
        (alert,) = alerts(tree)
        assert "Your alphabet “letters” cannot be used until this is mended: " in alert
        assert "alphabet.toml" in alert
        assert "/alphabet" in [link.get("href") for link in of_class(tree, "note")[0].iter("a")]
        assert "as a copy" not in said(tree), "nothing is offered that would be refused"
        assert all(form.get("action") != "/alphabet/write" for form in tree.iter("form"))
    assert answer.status_code == 400
    assert content(own) == before


def test_a_letter_is_begun_in_another_alphabet_beside_one_that_must_be_mended(
    client: Browser, own: Path
) -> None:
    shutil.copytree(own, own.parent / "copy")
    shutil.move(own.parent / "copy", own / "Year 1")
    (own / "alphabet.toml").write_text("[[\n")

    tree = page(client.get("/alphabet/write"))
    assert "“letters” cannot be used" in alerts(tree)[0]
    assert [option.get("value") for option in tree.iter("option")] == ["Year 1"]
    answer = client.post("/alphabet/write", data={"alphabet": "Year 1", "letter": "m"})

    assert answer.status_code == 303
    assert client.get(answer.location).status_code == 200


def test_an_own_folder_without_letters_is_told_where_a_letter_is_begun(client: Browser, desk: Desk) -> None:
    desk.letters_folder.mkdir()

    (alert,) = alerts(page(client.get("/alphabet/write")))

    assert f"there is none: {desk.letters_folder}." in alert


@pytest.mark.parametrize("letter", ["", "  ", "a b", "x" * 9, "a\x00", "a\u202eb"])
def test_a_letter_that_cannot_be_one_is_told(client: Browser, own: Path, letter: str) -> None:
    answer = client.post("/alphabet/write", data={"alphabet": "letters", "letter": letter})

    assert answer.status_code == 400
    assert len(alerts(page(answer))) == 1
    query = {"alphabet": "letters", "letter": letter or "\x00"}
    assert client.get("/alphabet/write", query_string=query).status_code == 404
    assert not (own / "drafts").exists()


@pytest.mark.parametrize("alphabet", ["print", "gone", "..", "/etc", ""])
def test_only_an_alphabet_of_her_own_is_written_into(client: Browser, own: Path, alphabet: str) -> None:
    before = content(own)
    sent = {"alphabet": alphabet, "letter": "t", "revision": 0, "do": "write", "trace": DOWN}

    assert client.get("/alphabet/write/draft", query_string=sent).status_code == 404
    assert client.post("/alphabet/write/change", json=sent).status_code == 404
    for action in ("take", "drop", "save"):
        assert client.post(f"/alphabet/write/{action}", data=sent).status_code == 404
    assert content(own) == before


@pytest.mark.usefixtures("own")
def test_letters_that_are_not_saved_yet_are_named_where_one_begins(client: Browser) -> None:
    written(client, "ß")
    written(client, "t")

    (listed,) = page(client.get("/alphabet/write")).iter("section")

    assert {said(element) for element in listed.iter("a")} == {
        "Go on with t in letters",
        "Go on with ß in letters",
    }


# --- changes


def test_a_draft_outlives_the_browser(client: Browser, own: Path) -> None:
    revision = written(client, "ß")

    result = shown(client, "ß")

    assert result["revision"] == revision
    assert [stroke["cue"] for stroke in result["strokes"]] == ["Straight down.", "Across."]
    assert [stroke["points"][0] for stroke in result["strokes"]] == [[0.0, -2.0], [-0.4, -1.4]]
    assert len(result["ink"]) == 2
    assert (result["undo"], result["redo"]) == (True, False)
    assert set(Alphabet.load(own)) == {"l", "t"}, "a draft is no letter yet"


@pytest.mark.usefixtures("own")
def test_a_page_that_saw_an_older_draft_is_shown_the_newer_one(client: Browser) -> None:
    revision = written(client, "ß")

    answer = change(client, "ß", revision - 1, do="turn", stroke=0)

    assert answer.status_code == 409
    assert "another window" in answer.get_json()["said"]
    assert answer.get_json()["draft"]["revision"] == revision


def test_a_cue_with_markup_stays_words(client: Browser, own: Path) -> None:
    revision = written(client, "ß")
    change(client, "ß", revision, do="cue", stroke=0, cue="<script>alert(1)</script>")
    result = client.get("/alphabet/write/trial?alphabet=letters&letter=ß")
    save(client, "ß", revision + 1)

    letter = client.get("/alphabet/letter?alphabet=letters&letter=ß")

    assert "<script>alert" not in result.text
    assert "<script>alert" not in letter.text
    assert Alphabet.load(own)["ß"].taught.strokes[0].cue == "<script>alert(1)</script>"


BODIES = {
    "nothing": b"",
    "no-json": b"do=turn",
    "a-list": b"[]",
    "a-number": b"1e999",
    "nan": b'{"do": "write", "trace": [[NaN, 0]]}',
    "infinity": b'{"do": "write", "trace": [[-Infinity, 0]]}',
    "deep": b"[" * 50_000,
    "bytes": b"\xff\xfe{}",
    "a-megabyte": json.dumps({"do": "write", "trace": [[0.0, -1.0]] * 100_000}).encode(),
}


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)
def test_what_is_no_change_is_one_sentence_and_changes_nothing(
    client: Browser, own: Path, body: bytes
) -> None:
    written(client, "ß")
    before = content(own)

    answer = client.post("/alphabet/write/change", data=body, content_type="application/json")

    assert answer.status_code == 400
    assert answer.get_json()["said"].endswith("Nothing was changed.")
    assert content(own) == before


def drafts_after(client: Browser, changes: Sequence[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """The draft of a ß in two strokes after each of these changes."""
    revision = written(client, "ß")
    for what in changes:
        answer = change(client, "ß", revision, **what)
        assert answer.status_code == 200, answer.text
        draft = answer.get_json()["draft"]
        revision = draft["revision"]
        yield draft


@pytest.mark.usefixtures("own")
def test_what_was_mended_stays_with_its_cue_at_a_new_fit_and_at_one_more_try(client: Browser) -> None:
    changes: list[dict[str, Any]] = [
        {"do": "earlier", "stroke": 1},
        {"do": "error", "error": 0.1},
        {"do": "again"},
        {"do": "write", "trace": ACROSS},
        {"do": "write", "trace": DOWN},
    ]
    drafts = list(drafts_after(client, changes))

    assert len(drafts) == len(changes)
    for draft in drafts:
        assert [(stroke["cue"], stroke["points"][0]) for stroke in draft["strokes"]] == [
            ("Across.", [-0.4, -1.4]),
            ("Straight down.", [0.0, -2.0]),
        ]


@pytest.mark.usefixtures("own")
def test_the_next_try_does_not_ask_for_a_stroke_that_was_taken_away(client: Browser) -> None:
    changes: list[dict[str, Any]] = [
        {"do": "write", "trace": [[0.8, -0.5]]},
        {"do": "remove", "stroke": 2},
        {"do": "again"},
        {"do": "write", "trace": DOWN},
        {"do": "write", "trace": ACROSS},
    ]
    asked = [
        (draft["tries"], draft["next"], len(draft["strokes"]), len(draft["ink"]))
        for draft in drafts_after(client, changes)
    ]

    assert asked == [(1, None, 3, 3), (1, None, 2, 2), (2, 0, 2, 2), (2, 1, 2, 3), (2, None, 2, 4)]


@pytest.mark.usefixtures("own")
def test_the_letter_of_the_alphabet_stays_when_a_stroke_beside_it_is_fitted_anew(client: Browser) -> None:
    client.post("/alphabet/write/take", data={"alphabet": "letters", "letter": "t"})
    taken = shown(client, "t")
    assert not taken["again"], "nothing was written that could be written once more"
    answer = change(client, "t", taken["revision"], do="write", trace=[[0.9, -1.0], [0.9, -0.5], [0.9, 0.0]])
    answer = change(client, "t", answer.get_json()["draft"]["revision"], do="error", error=0.2)

    strokes = answer.get_json()["draft"]["strokes"]
    assert strokes[:-1] == taken["strokes"]
    assert strokes[-1]["points"][0] == [0.9, -1.0]


CHANGES: dict[str, dict[str, Any]] = {
    "huge": {"do": "write", "trace": [[1e308, 0], [0, 1e308]]},
    "texts": {"do": "write", "trace": [["0", "0"]]},
    "off-the-page": {"do": "write", "trace": [[0, 0], [0, 4.0]]},
    "many-points": {"do": "write", "trace": [[0, 0]] * 6000},
    "a-long-cue": {"do": "cue", "stroke": 0, "cue": "x" * 100_000},
    "no-stroke": {"do": "turn", "stroke": 7},
    "no-change": {"do": "__class__"},
    "a-table": {"do": {"do": "turn"}},
}


@pytest.mark.parametrize("what", CHANGES.values(), ids=CHANGES)
def test_a_change_that_cannot_be_made_is_one_sentence_and_changes_nothing(
    client: Browser, own: Path, what: dict[str, Any]
) -> None:
    revision = written(client, "ß")
    before = content(own)

    answer = change(client, "ß", revision, **what)

    assert answer.status_code == 400
    sentence = answer.get_json()["said"]
    assert sentence.endswith("Nothing was changed.")
    assert len(sentence) < 250
    assert content(own) == before


@pytest.mark.usefixtures("own")
def test_a_change_to_no_letter_is_not_there(client: Browser) -> None:
    wrong = {"alphabet": 3, "letter": ["t"], "revision": "0", "do": "write"}

    assert client.post("/alphabet/write/change", json=wrong).status_code == 404


def test_changes_come_from_the_pages_of_this_visit_only(client: Browser, own: Path) -> None:
    sent = {"alphabet": "letters", "letter": "t", "revision": 0, "do": "write", "trace": DOWN}

    assert client.post("/alphabet/write/change", json=sent, token=False).status_code == 403
    assert client.get("/alphabet/write/change").status_code == 405
    assert not (own / "drafts").exists()


def test_a_damaged_draft_is_told_and_can_be_thrown_away(client: Browser, own: Path) -> None:
    written(client, "ß")
    (draft,) = (own / "drafts").iterdir()
    draft.write_text("{")

    answer = client.get("/alphabet/write?alphabet=letters&letter=ß")

    assert answer.status_code == 500
    assert "damaged" in alerts(page(answer))[0]
    assert client.post("/alphabet/write/drop", data={"alphabet": "letters", "letter": "ß"}).status_code == 303
    assert client.get("/alphabet/write?alphabet=letters&letter=ß").status_code == 200


def test_the_letter_of_the_alphabet_is_put_on_the_sheet(client: Browser, own: Path) -> None:
    sent = {"alphabet": "letters", "letter": "t"}

    assert client.post("/alphabet/write/take", data=sent).status_code == 303

    cues = [stroke.cue for stroke in Alphabet.load(own)["t"].taught.strokes]
    assert [stroke["cue"] for stroke in shown(client, "t")["strokes"]] == cues
    assert client.post("/alphabet/write/take", data={**sent, "letter": "ß"}).status_code == 404


# --- trial and saving


@pytest.mark.usefixtures("own")
def test_a_letter_is_tried_saved_and_in_use(client: Browser, desk: Desk) -> None:
    revision = written(client, "ß")

    tried = page(client.get("/alphabet/write/trial?alphabet=letters&letter=ß"))
    assert said(of_class(tried, "verdict")[0])
    answer = save(client, "ß", revision)

    assert answer.status_code == 303
    assert "Straight down." in client.get(answer.location).text
    assert list(desk.alphabet("Quay")) == ["l", "t", "ß"]
    assert shown(client, "ß")["strokes"] == [], "the draft is done with"


def test_a_letter_may_be_saved_in_spite_of_its_trial_and_then_there_is_nothing_to_undo(
    client: Browser, own: Path
) -> None:
    """A t without its bar is the l of this alphabet; its earlier version is there to go back to."""
    before = (own / "t.svg").read_bytes()
    answer = change(client, "t", 0, do="write", trace=DOWN)
    revision = answer.get_json()["draft"]["revision"]

    tried = page(client.get("/alphabet/write/trial?alphabet=letters&letter=t"))
    assert "Some of it would be judged wrongly" in said(of_class(tried, "verdict")[0])
    assert "l was taken for t" in said(of_class(tried, "pairs")[0])
    assert save(client, "t", revision).status_code == 303

    assert len(Alphabet.load(own)["t"].taught.strokes) == 1
    assert (shown(client, "t")["undo"], shown(client, "t")["strokes"]) == (False, [])
    assert [version.file.read_bytes() for version in letter_history.versions(own / "t.svg")] == [before]


def add_composed(folder: Path) -> None:
    """Letters with a mark, and one that is practiced only where it is planned."""
    shutil.copytree(SHIPPED / "print" / "marks", folder / "marks")
    for letter in "as":
        shutil.copy(SHIPPED / "print" / f"{letter}.svg", folder)
    (folder / "alphabet.toml").write_text(
        '[teaching]\norder = ["l", "a"]\nplanned_only = ["s"]  # for later\n'
        '[composed]\n"ä" = { base = "a", mark = "diaeresis" }\n"á" = { base = "a", mark = "acute" }\n'
    )


def taken(client: Browser, letter: str) -> int:
    """Put the letter of the alphabet on the sheet; gives back the draft's revision."""
    sent = {"alphabet": "letters", "letter": letter}
    assert client.post("/alphabet/write/take", data=sent).status_code == 303
    return int(shown(client, letter)["revision"])


def test_a_letter_with_a_mark_goes_back_to_the_version_that_was_composed(client: Browser, own: Path) -> None:
    add_composed(own)
    composed = Alphabet.load(own)["ä"]
    revision = taken(client, "ä")
    revision = change(client, "ä", revision, do="remove", stroke=2).get_json()["draft"]["revision"]
    assert save(client, "ä", revision).status_code == 303
    assert len(Alphabet.load(own)["ä"].taught.strokes) == 2

    versions = page(client.get("/alphabet/versions?alphabet=letters&letter=ä"))
    (key,) = [field.get("value", "") for field in versions.iter("input") if field.get("name") == "version"]
    sent = {"alphabet": "letters", "letter": "ä", "version": key}
    assert client.post("/alphabet/versions", data=sent).status_code == 303

    letter = Alphabet.load(own)["ä"]
    assert len(letter.formations) == len(composed.formations)
    for formation, other in zip(letter.formations, composed.formations, strict=True):
        assert_same_way(formation, other)
    assert len(letter_history.versions(own / "u00e4.svg")) == 2


@pytest.mark.parametrize("use", ["taught", "left"])
@pytest.mark.parametrize("letter", ["s", "ä"])
def test_a_letter_outside_the_order_stays_outside_when_it_is_mended(
    client: Browser, own: Path, letter: str, use: str
) -> None:
    add_composed(own)
    before = taught_to_all(Alphabet.load(own))
    revision = taken(client, letter)
    after = shown(client, letter)["after"]
    sheet = page(client.get(f"/alphabet/write?alphabet=letters&letter={letter}"))
    labels = [said(option) for option in sheet.iter("option") if option.get("value") == after]
    assert labels == ["no letter: only where it is planned or in a name"]
    answer = change(client, letter, revision, do="role", use=use, after=after)
    revision = answer.get_json()["draft"]["revision"]

    assert save(client, letter, revision).status_code == 303

    alphabet = Alphabet.load(own)
    assert taught_to_all(alphabet) == before
    assert letter in alphabet
    table = tomllib.loads((own / "alphabet.toml").read_text())["teaching"]
    assert set(table["planned_only"]) == {"s", letter}
    assert "# for later" in (own / "alphabet.toml").read_text()
    assert shown(client, letter)["after"] == after


def test_a_letter_gets_a_place_in_the_order_and_loses_it(client: Browser, own: Path) -> None:
    add_composed(own)
    for place, order in (("l", ["l", "s", "a", "t"]), ("only planned", ["l", "a", "t"])):
        revision = change(client, "s", written(client, "s"), do="role", use="taught", after=place)
        assert save(client, "s", revision.get_json()["draft"]["revision"]).status_code == 303
        assert list(Alphabet.load(own).order) == order


def test_a_letter_without_a_place_in_the_order_has_none_behind_it(client: Browser, own: Path) -> None:
    add_composed(own)
    answer = change(client, "þ", written(client, "þ"), do="role", use="taught", after="a")
    table = own / "alphabet.toml"
    table.write_text(table.read_text().replace(', "a"]', "]").replace('["s"]', '["s", "a"]'))
    before = content(own)

    refused = save(client, "þ", answer.get_json()["draft"]["revision"])

    assert refused.status_code == 400
    assert alerts(page(refused)) == [
        "'a' must be a letter with a place in the order, for 'þ' to be taught after it, and it has none; "
        "choose another place on the sheet. Nothing was changed."
    ]
    assert content(own) == before


def test_a_tap_alone_is_tried_and_saved_as_no_letter(client: Browser, own: Path) -> None:
    before = content(own)
    revision = change(client, "ß", 0, do="write", trace=[[0.5, -0.5]]).get_json()["draft"]["revision"]

    tried = page(client.get("/alphabet/write/trial?alphabet=letters&letter=ß"))
    verdict = said(of_class(tried, "verdict")[0])
    reason = "'ß': formation 'taught': must be at least 50 units tall or wide, not 4.0."
    assert verdict == f"This letter cannot be saved. {reason}"
    assert "all the same" not in said(tried)
    answer = save(client, "ß", revision)

    assert answer.status_code == 400
    assert alerts(page(answer)) == [f"{reason} Nothing was changed."]
    assert {name for name in content(own) if not name.startswith("drafts")} == set(before)


def test_a_letter_that_was_changed_after_its_trial_is_tried_again(client: Browser, own: Path) -> None:
    revision = written(client, "ß")
    change(client, "ß", revision, do="turn", stroke=0)

    answer = save(client, "ß", revision)

    assert answer.status_code == 409
    assert "Try it again" in alerts(page(answer))[0]
    assert "ß" not in Alphabet.load(own)


def test_an_empty_sheet_is_not_tried_and_not_saved(client: Browser, own: Path) -> None:
    before = content(own)

    assert "no stroke" in said(page(client.get("/alphabet/write/trial?alphabet=letters&letter=ß")))
    answer = save(client, "ß", 0)

    assert answer.status_code == 400
    assert "at least one stroke" in alerts(page(answer))[0]
    assert content(own) == before


def test_a_draft_that_is_thrown_away_leaves_the_alphabet_as_it_was(client: Browser, own: Path) -> None:
    before = content(own)
    written(client, "t")

    client.post("/alphabet/write/drop", data={"alphabet": "letters", "letter": "t"})

    assert content(own) == before


# --- a letter that a vector editor saved


PREFIXED = (
    PLAIN_N.replace('xmlns="', 'xmlns:svg="')
    .replace("</", "</svg:")
    .replace("<g ", "<svg:g ")
    .replace("<path ", "<svg:path ")
    .replace("<title>", "<svg:title>")
    .replace("<svg xmlns", "<svg:svg xmlns")
)
DRESSES = {
    **EDITORS,
    "prefixes": PREFIXED,
    "an empty layer first": PLAIN_N.replace("<g ", '<g id="layer0"/><g ', 1),
    "a turned sheet": PLAIN_N.replace("<svg ", '<svg transform="rotate(90)" ').replace(
        "<g ", '<g transform="rotate(-90)" '
    ),
    "plain": PLAIN_N.replace("</title>", "</title><!-- drawn at school -->", 1),
}


@pytest.fixture(params=DRESSES.values(), ids=DRESSES)
def dressed(own: Path, request: pytest.FixtureRequest) -> Path:
    """The file of an n with an accepted way of two strokes, as an editor saved it."""
    file = own / "n.svg"
    file.write_text(request.param, encoding="utf-8")
    return file


def assert_same_way(formation: Formation, other: Formation) -> None:
    assert (formation.hand, formation.note) == (other.hand, other.note)
    assert [stroke.cue for stroke in formation.strokes] == [stroke.cue for stroke in other.strokes]
    for stroke, other_stroke in zip(formation.strokes, other.strokes, strict=True):
        np.testing.assert_allclose(resample(stroke.path, 99), resample(other_stroke.path, 99), atol=2e-3)


@pytest.mark.parametrize("keep", ["", "yes"])
def test_a_taught_way_that_is_saved_leaves_the_other_ways_of_an_editors_file(
    client: Browser, dressed: Path, keep: str
) -> None:
    before, saved_by_editor = load_letter(dressed), dressed.read_bytes()

    assert save(client, "n", written(client, "n"), keep=keep).status_code == 303

    after = load_letter(dressed)
    former = ["taught-before"] if keep else []
    assert [formation.name for formation in after.formations] == ["taught", *former, "two-strokes"]
    assert [stroke.cue for stroke in after.taught.strokes] == ["Straight down.", "Across."]
    np.testing.assert_allclose(after.taught.strokes[0].path[[0, -1]], [(0.4, -2), (0.4, 0)], atol=0.02)
    if keep:
        assert_same_way(after.formations[1], before.taught)
    assert_same_way(after.formations[-1], before.formations[-1])
    (version,) = letter_history.versions(dressed)
    assert version.file.read_bytes() == saved_by_editor


def test_a_way_for_one_hand_is_added_to_an_editors_file_where_it_was_written(
    client: Browser, dressed: Path
) -> None:
    before = load_letter(dressed)
    revision = change(client, "n", written(client, "n"), do="role", use="left").get_json()["draft"][
        "revision"
    ]

    assert save(client, "n", revision).status_code == 303

    after = load_letter(dressed)
    assert [formation.name for formation in after.formations] == ["taught", "two-strokes", "own-left"]
    assert after.formations[2].hand == "left"
    np.testing.assert_allclose(after.formations[2].strokes[0].path[[0, -1]], [(0.4, -2), (0.4, 0)], atol=0.02)
    for formation, other in zip(before.formations, after.formations, strict=False):
        assert_same_way(formation, other)


def cue_sent(client: Browser, letter: str, said: str, stroke: int = 0) -> TestResponse:
    sent = {"alphabet": "letters", "letter": letter, "stroke": str(stroke), "cue": said}
    return client.post("/alphabet/cue", data=sent)


def test_a_cue_of_an_editors_file_is_changed_and_nothing_else(client: Browser, dressed: Path) -> None:
    before = load_letter(dressed)

    assert cue_sent(client, "n", "Down, up & over.").status_code == 303

    after = load_letter(dressed)
    assert [stroke.cue for stroke in after.taught.strokes] == ["Down, up & over."]
    np.testing.assert_allclose(
        resample(after.taught.strokes[0].path, 99), resample(before.taught.strokes[0].path, 99), atol=2e-3
    )
    assert_same_way(after.formations[1], before.formations[1])


def test_the_cue_of_a_stroke_in_a_group_of_its_own_is_that_of_this_stroke(client: Browser, own: Path) -> None:
    first, second = "M0 -200 L0 0", "M-40 -140 L40 -140"
    (own / "t.svg").write_text(
        f'''<svg xmlns="http://www.w3.org/2000/svg"><title>t</title><g id="taught">
        <g><path d="{first}"><title>One.</title></path></g><path d="{second}"><title>Two.</title></path></g>
        </svg>'''
    )

    assert cue_sent(client, "t", "Down.").status_code == 303
    assert cue_sent(client, "t", "Across.", stroke=1).status_code == 303

    assert [stroke.cue for stroke in load_letter(own / "t.svg").taught.strokes] == ["Down.", "Across."]


def test_a_cue_that_was_left_empty_is_filled_in_and_changed_again(client: Browser, own: Path) -> None:
    revision = change(client, "þ", 0, do="write", trace=DOWN).get_json()["draft"]["revision"]
    assert save(client, "þ", revision).status_code == 303
    (file,) = (file for file in own.glob("*.svg") if load_letter(file).name == "þ")
    assert load_letter(file).taught.strokes[0].cue == ""

    for said_now in ("Straight down.", "Down & stop."):
        answer = cue_sent(client, "þ", said_now)
        shown_now = page(client.get(answer.location))
        fields = [field.get("value") for field in shown_now.iter("input") if field.get("name") == "cue"]
        assert fields == [said_now]
    assert load_letter(file).taught.strokes[0].cue == "Down & stop."
