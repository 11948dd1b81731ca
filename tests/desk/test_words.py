"""Words: what a group can write, what it was taught, and words that a teacher adds and takes away."""

from __future__ import annotations

from xml.etree.ElementTree import Element

import pytest
from werkzeug.test import TestResponse

from tests.desk.reader import fields, of_class, page, said, under
from tests.desk.visitor import Browser
from trainer.attempt import Pupil
from trainer.language import text
from trainer.record.record import Record
from trainer.wordbank import EXCEPTIONS


@pytest.fixture
def jetty(record: Record) -> Pupil:
    """The only one of a new group, which wrote nothing here."""
    return record.pupils.add("Mika", group="Jetty")


def texts(shown: Element) -> list[str]:
    """The words in a part of a page, as they are read aloud."""
    return [said(word[0]) for word in of_class(shown, "word")]


def offered(client: Browser, group: str, by: str = "set") -> list[str]:
    return texts(under(page(client.get(f"/words?group={group}&by={by}")), "offered"))


def add(client: Browser, lines: str) -> TestResponse:
    return client.post("/words/add?group=Quay", data={"lines": lines})


def sent(answer: TestResponse, **changed: str) -> dict[str, list[str]]:
    """What the form of the preview sends, with other boxes for some words."""
    (form,) = (form for form in page(answer).iter("form") if "take" in form.get("action", ""))
    data: dict[str, list[str]] = {}
    for name, value in fields(form):
        if name == "spelling" and data["word"][-1] in changed:
            value = changed[data["word"][-1]]
        data.setdefault(name, []).append(value)
    return data


def test_the_demo_s_groups_are_offered_words_with_what_they_were_taught(client: Browser) -> None:
    quay, slipway = offered(client, "Quay"), offered(client, "Slipway")

    assert {"hen", "ship", "thank", "the", "Dalia"} <= set(quay)
    assert {"bed", "ship"} <= set(slipway)
    assert not {"thank", "the"} & set(slipway)


def test_what_is_marked_as_taught_changes_what_is_offered(
    client: Browser, record: Record, jetty: Pupil
) -> None:
    assert "can write no word yet" in said(page(client.get(f"/words?group={jetty.group}")))

    answer = client.post("/words/taught?group=Jetty", data={"taught": [*"ship", "sh:SH", "no such"]})

    assert answer.status_code == 303
    assert record.words.taught("Jetty") == {*"ship", "sh:SH"}
    assert set(offered(client, "Jetty")) >= {"ship", "hip", "sip"}
    assert not {"his", "fish"} & set(offered(client, "Jetty"))


def test_letters_that_were_written_here_are_marked_and_cannot_be_unmarked(
    client: Browser, record: Record
) -> None:
    shown = page(client.get("/words?group=Quay"))
    boxes = {box.get("value"): box for box in under(shown, "taught").iter("input")}

    assert "disabled" in boxes["h"].attrib
    assert "checked" in boxes["h"].attrib
    assert "disabled" not in boxes["sh:SH"].attrib
    assert "checked" in boxes[EXCEPTIONS].attrib
    client.post("/words/taught?group=Quay", data={})
    assert record.words.taught("Quay") == frozenset()
    assert "hen" in offered(client, "Quay")


def test_words_with_planned_letters_come_first_and_else_those_that_should_come_next(
    client: Browser, record: Record
) -> None:
    assert "the most letters that are planned (h, k, n, r)" in said(page(client.get("/words?group=Quay")))
    assert offered(client, "Quay")[0] == "hen"

    record.plans.set("Quay", ())

    assert "the most letters that should come next (" in said(page(client.get("/words?group=Quay")))


@pytest.mark.parametrize(
    ("by", "heading", "word"),
    [
        ("change", "From bed to hot", "rod"),
        ("odd", "Rhymes with bed, all but box", "red"),
        ("rime", "-ed as in bed", "shed"),
        ("sound", "First sound as in ship", "shed"),
        ("theme", "At the quay", "mast"),
    ],
)
def test_words_stand_by_rime_by_sound_in_chains_in_odd_ones_out_and_by_theme(
    client: Browser, by: str, heading: str, word: str
) -> None:
    part = under(page(client.get(f"/words?group=Slipway&by={by}")), "offered")

    assert heading in [said(title).rpartition(" ")[0] for title in part.iter("h3")]
    assert word in texts(part)


def test_a_silent_e_stands_outside_and_a_digraph_in_one_box(client: Browser) -> None:
    shown = page(add(client, "gale\nfinch"))
    gale, finch = of_class(shown, "boxes")

    assert [said(box) for box in of_class(gale, "box")] == ["g", "a", "l"]
    assert [said(box) for box in of_class(gale, "outside")] == ["e"]
    assert [said(box) for box in of_class(finch, "box")] == ["f", "i", "n", "ch"]


def test_a_word_is_added_with_the_boxes_that_were_looked_at(client: Browser, record: Record) -> None:
    looked_at = add(client, "gangplank\nlighthouse")
    assert looked_at.status_code == 200
    assert "gangplank" not in record.words.own()

    answer = client.post(
        "/words/take?group=Quay", data={**sent(looked_at, lighthouse="l igh t h ou se"), "do": "take"}
    )

    assert answer.status_code == 303
    assert record.words.own()["gangplank"] == "g a ng p l a n:NG k"
    assert record.words.own()["lighthouse"] == "l igh t h ou se"
    shown = page(client.get("/words?group=Quay"))
    assert "Added: gangplank and lighthouse." in said(shown)
    assert {"gangplank", "lighthouse"} <= set(texts(under(shown, "own")))


def test_lines_with_a_fault_are_kept_as_they_were_typed_with_the_reason(
    client: Browser, record: Record
) -> None:
    before = record.words.own()

    shown = page(add(client, "gangplank\nbuoy = b oy\nship\n<b>"))

    for reason in (
        "Letters and boxes do not add up: the word is 'buoy', and the boxes spell 'boy'.",
        "'ship' is in the bank already.",
        "A word must be 1 to 12 small letters a to z, not '<b>'.",
    ):
        assert reason in said(shown)
    assert [said(button) for button in shown.iter("button")][-2:] == ["Look again", "Back, add nothing"]
    values = [box.get("value") for box in shown.iter("input") if box.get("name") == "spelling"]
    assert values == ["g a ng p l a n:NG k", "buoy = b oy", "ship", "<b>"]
    assert record.words.own() == before


def test_a_line_is_mended_in_place_and_an_emptied_one_is_left_out(client: Browser, record: Record) -> None:
    looked_at = add(client, "buoy = b oy\nship\ntarn")
    data = sent(looked_at)
    data["spelling"] = ["buoy = b u:UW oy:IY!", "", "t ar n"]

    again = client.post("/words/take?group=Quay", data={**data, "do": "look"})
    answer = client.post("/words/take?group=Quay", data={**sent(again), "do": "take"})

    assert answer.status_code == 303
    assert {"buoy", "tarn"} <= record.words.own().keys()
    assert record.words.own()["buoy"] == "b u:UW oy:IY!"


def test_boxes_that_do_not_add_up_are_not_added_whatever_is_pressed(client: Browser, record: Record) -> None:
    looked_at = add(client, "tarn")

    answer = client.post("/words/take?group=Quay", data={**sent(looked_at, tarn="t ar"), "do": "take"})

    assert answer.status_code == 422
    assert "the word is 'tarn', and the boxes spell 'tar'" in said(page(answer))
    assert "tarn" not in record.words.own()


def test_a_word_that_somebody_added_meanwhile_is_not_added_twice(client: Browser, record: Record) -> None:
    looked_at = add(client, "tarn")
    record.words.add({"tarn": "t ar n"})

    answer = client.post("/words/take?group=Quay", data={**sent(looked_at), "do": "take"})

    assert answer.status_code == 422
    assert "'tarn' is in the bank already." in said(page(answer))


def test_going_back_adds_nothing(client: Browser, record: Record) -> None:
    looked_at, before = add(client, "tarn"), record.words.own()

    assert client.post("/words/take?group=Quay", data={**sent(looked_at), "do": "back"}).status_code == 303
    assert record.words.own() == before


def test_nothing_typed_and_too_many_lines_are_answered_on_the_page(client: Browser) -> None:
    empty, many = add(client, " \n "), add(client, "\n".join(f"line{number}" for number in range(61)))

    assert (empty.status_code, many.status_code) == (422, 422)
    assert "Type one or more words, one a line." in said(page(empty))
    assert "At most 60 lines are looked at in one go, not 61." in said(page(many))
    assert "line60" in said(next(page(many).iter("textarea")))


def test_a_word_is_taken_away_and_put_back(client: Browser, record: Record) -> None:
    before = record.words.own()

    client.post("/words/remove?group=Quay", data={"word": "jetty"})
    taken = page(client.get("/words?group=Quay"))
    client.post("/words/back?group=Quay", data={"word": "jetty"})

    assert "jetty is taken away." in said(taken)
    assert "Put jetty back" in said(under(taken, "own"))
    assert record.words.own() == before
    assert "Put jetty back" not in said(page(client.get("/words?group=Quay")))


@pytest.mark.parametrize(
    ("path", "data", "answer"),
    [
        ("/words/remove", {"word": "ship"}, 404),
        ("/words/back", {"word": "ship"}, 404),
        ("/words/remove?group=Attic", {"word": "jetty"}, 410),
        ("/words/taught?group=Attic", {"taught": "a"}, 410),
    ],
)
def test_what_no_button_sends_is_refused(
    client: Browser, record: Record, path: str, data: dict[str, str], answer: int
) -> None:
    before = record.words.own()

    assert client.post(path, data=data).status_code == answer
    assert record.words.own() == before


def test_a_word_that_cannot_be_put_back_is_told_and_not_forgotten(
    client: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    client.post("/words/remove?group=Quay", data={"word": "jetty"})
    monkeypatch.setattr("trainer.record.words.MOST_WORDS", 1)

    client.post("/words/back?group=Quay", data={"word": "jetty"})

    shown = page(client.get("/words?group=Quay"))
    assert "A school has at most 1 words of its own, these would make 2." in said(shown)
    assert "Put jetty back" in said(under(shown, "own"))


def test_words_and_boxes_that_do_not_belong_together_are_refused(client: Browser) -> None:
    data = {"word": ["a", "b"], "spelling": ["a"], "do": "take"}

    assert client.post("/words/take?group=Quay", data=data).status_code == 400


def test_without_pupils_the_page_leads_to_the_class_list(client: Browser, record: Record) -> None:
    for group in record.pupils.groups():
        record.erasure.remove_group(group)

    assert text("tomorrow.add_pupils") in said(page(client.get("/words")))
