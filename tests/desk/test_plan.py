"""Plan: every change by a plain form, for a group and for a pupil, with the reason for each letter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, time, timedelta
from xml.etree.ElementTree import Element

import pytest
from werkzeug.test import TestResponse

from strokes.kinds import Kind
from strokes.letter import SETS
from tests.cases import for_each
from tests.desk.reader import fields, of_class, page, said
from tests.desk.visitor import TODAY, Browser
from tests.shipped import PRINT as ALPHABET
from tests.trainer.samples import attempt
from trainer.attempt import Attempt, Pupil, Step
from trainer.desk.pages.plan import changed, read
from trainer.record.record import Record
from trainer.teaching import NAME_LETTERS, letter_offers, reasons, teaching_order
from trainer.teaching.reasons import Because

DAY = TODAY.astimezone().date()


def written(pupil: Pupil, letter: str, *kinds: Kind, days_ago: int, step: Step = Step.COPY) -> Attempt:
    at = datetime.combine(DAY - timedelta(days=days_ago), time(10)).astimezone()
    return replace(attempt(pupil.id, letter, *kinds, step=step), at=at)


def keep(record: Record, tries: Sequence[Attempt]) -> None:
    for try_made in tries:
        record.attempts.keep(try_made)


@pytest.fixture
def mika(record: Record) -> Pupil:
    """The first of a new group, for whom nothing is planned or written."""
    return record.pupils.add("Mika", group="Jetty")


def press(client: Browser, address: str, button: str) -> TestResponse:
    """What happens when the button with that accessible name, or those words, is pressed on a page."""
    shown = page(client.get(address))
    for form in shown.iter("form"):
        for element in form.iter("button"):
            if button in (element.get("aria-label"), said(element)):
                assert "disabled" not in element.attrib
                sent: dict[str, list[str]] = {}
                for name, value in [*fields(form), (element.get("name", ""), element.get("value", ""))]:
                    sent.setdefault(name, []).append(value)
                return client.post(form.get("action", ""), data=sent)
    raise AssertionError(f"no button {button!r} at {address}")


def planned(shown: Element) -> list[str]:
    return [element.get("data-letter", "") for element in of_class(shown, "planned")[0]]


def test_the_plan_of_a_group_is_shown_in_its_order(client: Browser, record: Record) -> None:
    record.plans.set("Quay", ["k", "a", "h"])

    assert planned(page(client.get("/plan?group=Quay"))) == ["k", "a", "h"]


@for_each(
    ("button", "letters"),
    [
        ("Move a up", "akh"),
        ("Move a down", "kha"),
        ("Take a away", "kh"),
        ("Take all letters away", ""),
    ],
)
def test_a_button_changes_the_plan(client: Browser, record: Record, button: str, letters: str) -> None:
    record.plans.set("Quay", ["k", "a", "h"])

    answer = press(client, "/plan?group=Quay", button)

    assert answer.status_code == 303
    assert record.plans.get("Quay") == tuple(letters)


@pytest.mark.parametrize(
    ("pressed", "focus"),
    [
        ("Move l up", "Move l up"),
        ("Move a up", "Move a down"),
        ("Move k down", "Move k down"),
        ("Move h down", "Move h up"),
        ("Take a away", "Take h away"),
        ("Take l away", "Take h away"),
        ("Add i", "Add t"),
    ],
)
def test_the_keyboard_goes_on_from_where_it_was(
    client: Browser, record: Record, pressed: str, focus: str
) -> None:
    """Pressing a button again goes on with it; without this, focus would be lost at each step."""
    record.plans.set("Quay", ["k", "a", "h", "l"])
    answer = press(client, "/plan?group=Quay&by=order", pressed)

    shown = page(client.get(answer.location))

    buttons = [element for element in shown.iter("button") if "autofocus" in element.attrib]
    assert [button.get("aria-label") for button in buttons] == [focus]


def test_when_the_last_letter_goes_there_is_nothing_to_go_on_with(client: Browser, record: Record) -> None:
    record.plans.set("Quay", ["k"])
    answer = press(client, "/plan?group=Quay", "Take k away")

    shown = page(client.get(answer.location))

    assert "Nothing is planned" in said(shown)
    assert not [element for element in shown.iter("button") if "autofocus" in element.attrib]


@for_each("button", ["Move k up", "Move h down"])
def test_the_ends_cannot_be_moved_past(client: Browser, record: Record, button: str) -> None:
    record.plans.set("Quay", ["k", "a", "h"])
    shown = page(client.get("/plan?group=Quay"))

    (element,) = [element for element in shown.iter("button") if element.get("aria-label") == button]
    assert "disabled" in element.attrib


def test_every_button_has_a_name(client: Browser) -> None:
    for by in ("proposal", "order", "family"):
        shown = page(client.get(f"/plan?group=Quay&by={by}"))
        assert all(element.get("aria-label") or said(element) for element in shown.iter("button"))


@pytest.mark.parametrize("by", ["order", "family"])
def test_a_letter_can_be_added_from_the_whole_alphabet(client: Browser, record: Record, by: str) -> None:
    record.plans.set("Quay", ["k"])

    press(client, f"/plan?group=Quay&by={by}", "Add z")

    assert record.plans.get("Quay") == ("k", "z")


def test_the_alphabet_stands_set_by_set_in_teaching_order_and_by_family(client: Browser) -> None:
    def letters(shown: Element) -> list[list[str]]:
        return [
            [said(next(choice.iter("title"))) for choice in choices] for choices in of_class(shown, "choices")
        ]

    for letter_set in SETS:
        part = ALPHABET.only(letter_set)
        (order,) = letters(page(client.get(f"/plan?by=order&set={letter_set}")))
        families = letters(page(client.get(f"/plan?by=family&set={letter_set}")))

        assert order == [letter for letter in teaching_order(ALPHABET) if letter in part]
        assert [set(family) for family in families] == [set(family.letters) for family in part.families]
        assert all(family == sorted(family, key=order.index) for family in families)


def test_a_change_stays_at_the_set_that_is_shown(client: Browser, record: Record) -> None:
    record.plans.set("Quay", ["k"])

    answer = press(client, "/plan?group=Quay&by=order&set=digit", "Add digit 3")

    assert record.plans.get("Quay") == ("k", "3")
    shown = page(client.get(answer.location))
    assert "Add digit 7" in [element.get("aria-label") for element in shown.iter("button")]
    assert "Move digit 3 up" in [element.get("aria-label") for element in shown.iter("button")]
    assert "Add a" not in [element.get("aria-label") for element in shown.iter("button")]


def test_a_set_that_is_none_shows_the_small_letters(client: Browser) -> None:
    for asked in ("", "marks", "<i>"):
        shown = page(client.get("/plan", query_string={"group": "Quay", "by": "order", "set": asked}))
        assert "Add a" in [element.get("aria-label") for element in shown.iter("button")]


def test_what_is_planned_cannot_be_added_again(client: Browser, record: Record) -> None:
    record.plans.set("Quay", ["k"])

    shown = page(client.get("/plan?group=Quay&by=order"))

    assert "Add k" not in [element.get("aria-label") for element in shown.iter("button")]


@pytest.mark.usefixtures("mika")
def test_the_proposal_is_taken_with_one_button(client: Browser, record: Record) -> None:
    press(client, "/plan?group=Jetty", "Add all that should come: l, i, t, j")

    assert record.plans.get("Jetty") == ("l", "i", "t", "j")


def test_typed_letters_are_taken_as_they_are_typed_capitals_and_digits_too(
    client: Browser, record: Record
) -> None:
    record.plans.set("Quay", ["k"])

    client.post("/plan?group=Quay", data={"do": "type", "letters": "Anna 7"})

    assert record.plans.get("Quay") == ("k", "A", "n", "a", "7")
    shown = page(client.get("/plan?group=Quay"))
    (field,) = [element for element in shown.iter("input") if element.get("id") == "letters"]
    assert (field.get("autocapitalize"), field.get("spellcheck")) == ("none", "false")


def test_a_whole_alphabet_can_be_typed(client: Browser, record: Record) -> None:
    typed = ", ".join(ALPHABET.order)

    client.post("/plan?group=Slipway", data={"do": "clear"})
    client.post("/plan?group=Slipway", data={"do": "type", "letters": typed})

    assert record.plans.get("Slipway") == ALPHABET.order
    shown = page(client.get("/plan?group=Slipway"))
    (field,) = [element for element in shown.iter("input") if element.get("id") == "letters"]
    assert int(field.get("maxlength", "0")) >= len(typed)


@pytest.mark.parametrize("whose", ["group=Jetty", "pupil={mika}"])
def test_letters_that_were_all_taken_away_come_back_with_one_press(
    client: Browser, record: Record, mika: Pupil, whose: str
) -> None:
    """Those as well that the alphabet has not got any more; what was planned since stays at the end."""
    address = f"/plan?{whose.format(mika=mika.id)}"
    pupil = mika.id if whose.startswith("pupil") else None
    record.plans.set("Jetty", ["k", "þ", NAME_LETTERS, "a"], pupil=pupil)

    answer = press(client, address, "Follow the plan of Jetty again" if pupil else "Take all letters away")
    assert record.plans.get("Jetty", pupil) == ()
    (undo,) = (form for form in page(client.get(answer.location)).iter("form") if "Undo" in said(form))
    if pupil is None:
        record.plans.set("Jetty", ["z"])
    sent: dict[str, list[str]] = {}
    for name, value in fields(undo):
        sent.setdefault(name, []).append(value)
    client.post(undo.get("action", ""), data=sent)

    since = () if pupil else ("z",)
    assert record.plans.get("Jetty", pupil) == ("k", "þ", NAME_LETTERS, "a", *since)


def test_a_letter_that_was_added_for_a_pupil_is_taken_back_from_either_page(
    client: Browser, record: Record, mika: Pupil
) -> None:
    for address in ("/plan?group=Jetty", f"/plan?pupil={mika.id}"):
        record.plans.add({mika.id: ["b"]}, today=DAY)
        press(client, address, "Take back b for Mika")
        assert record.plans.added(today=DAY).get(mika.id) is None
    assert client.post("/plan?group=Quay", data={"do": f"take_back {mika.id} b"}).status_code == 400


ADD, ADD_OWN = "Add the letters of their names", "Add the letters of the name"


def test_a_group_can_plan_the_letters_of_each_childs_own_name(client: Browser, record: Record) -> None:
    record.plans.set("Quay", ["k", "a"])

    answer = press(client, "/plan?group=Quay", ADD)

    assert answer.status_code == 303
    assert record.plans.get("Quay") == ("k", "a", NAME_LETTERS)
    shown = page(client.get(answer.location))
    assert "The letters of each child's own name." in said(shown)
    assert ADD not in [said(element) for element in shown.iter("button")]


def test_the_letters_of_the_name_move_and_go_like_a_letter(client: Browser, record: Record) -> None:
    record.plans.set("Quay", ["k", NAME_LETTERS, "a"])

    press(client, "/plan?group=Quay", "Move the letters of the name up")
    assert record.plans.get("Quay") == (NAME_LETTERS, "k", "a")

    client.post("/plan?group=Quay", data={"do": "order", "letters": f"a {NAME_LETTERS} k"})
    assert record.plans.get("Quay") == ("a", NAME_LETTERS, "k")

    answer = press(client, "/plan?group=Quay", "Take the letters of the name away")
    assert record.plans.get("Quay") == ("a", "k")
    assert ADD in [said(element) for element in page(client.get(answer.location)).iter("button")]


def test_adding_the_letters_of_the_name_twice_changes_nothing(client: Browser, record: Record) -> None:
    record.plans.set("Quay", ["k", NAME_LETTERS])

    client.post("/plan?group=Quay", data={"do": f"add {NAME_LETTERS}"})

    assert record.plans.get("Quay") == ("k", NAME_LETTERS)


def test_a_pupil_sees_which_letters_the_own_name_has(client: Browser, record: Record, mika: Pupil) -> None:
    press(client, f"/plan?pupil={mika.id}", ADD_OWN)

    assert record.plans.get("Jetty", mika.id) == (NAME_LETTERS,)
    assert "The letters of Mika: M, i, k, a." in said(page(client.get(f"/plan?pupil={mika.id}")))
    record.pupils.change(replace(mika, name="Bo"))
    assert "The letters of Bo: B, o." in said(page(client.get(f"/plan?pupil={mika.id}")))
    record.pupils.change(replace(mika, name="安娜"))
    assert "No letter of 安娜 is in the alphabet." in said(page(client.get(f"/plan?pupil={mika.id}")))


def test_the_letters_of_the_name_are_proposed_to_a_beginner_first(client: Browser, mika: Pupil) -> None:
    shown = page(client.get(f"/plan?pupil={mika.id}"))

    assert "A letter of the name, not tried yet." in said(shown)
    assert "Add all that should come: M, i, k, a" in [said(element) for element in shown.iter("button")]


@for_each("typed", ["b d k", "b,d, k", "bdk", " b  dk b"])
def test_letters_can_be_typed_in_any_plain_way(client: Browser, record: Record, typed: str) -> None:
    record.plans.set("Quay", ["k"])

    answer = client.post("/plan?group=Quay", data={"do": "type", "letters": typed})

    assert answer.status_code == 303
    assert record.plans.get("Quay") == ("k", "b", "d")


@for_each(("typed", "bad"), [("b ю %", "ю and %"), ("Щ", "Щ"), ("b <i>", "< and >")])
def test_what_is_no_letter_is_told_and_nothing_is_lost(
    client: Browser, record: Record, typed: str, bad: str
) -> None:
    record.plans.set("Quay", ["k"])

    answer = client.post("/plan?group=Quay", data={"do": "type", "letters": typed})

    shown = page(answer)
    (alert,) = [element for element in shown.iter() if element.get("role") == "alert"]
    (field,) = [element for element in shown.iter("input") if element.get("id") == "letters"]
    assert answer.status_code == 422
    assert said(alert).startswith(f"Not in the alphabet print: {bad}. Its letters are ")
    assert field.get("value") == typed
    assert field.get("aria-describedby") == alert.get("id")
    assert record.plans.get("Quay") == ("k",)


def test_nothing_typed_asks_for_letters(client: Browser, record: Record) -> None:
    before = record.plans.get("Quay")

    answer = client.post("/plan?group=Quay", data={"do": "type", "letters": " , "})

    assert answer.status_code == 422
    assert "Type one or more letters" in answer.text
    assert record.plans.get("Quay") == before


def test_typed_letters_are_read_by_the_alphabet() -> None:
    assert read("b d,kb", ALPHABET) == (["b", "d", "k", "b"], [])
    assert read("bю b% ю7", ALPHABET) == (["b", "b", "7"], ["ю", "%"])


def test_dragging_sends_the_new_order(client: Browser, record: Record) -> None:
    record.plans.set("Quay", ["k", "a", "h"])

    assert client.post("/plan?group=Quay", data={"do": "order", "letters": "h k a"}).status_code == 303
    assert record.plans.get("Quay") == ("h", "k", "a")


@for_each(
    "sent",
    [
        {"do": "order", "letters": "h k"},
        {"do": "order", "letters": "h k a z"},
        {"do": "order", "letters": "h h k a"},
        {"do": "up z"},
        {"do": "add ?"},
        {"do": "sort"},
        {"do": "set a"},
        {},
    ],
)
def test_what_no_button_sends_changes_nothing(client: Browser, record: Record, sent: dict[str, str]) -> None:
    record.plans.set("Quay", ["k", "a", "h"])

    assert client.post("/plan?group=Quay", data=sent).status_code == 400
    assert record.plans.get("Quay") == ("k", "a", "h")


@for_each("whose", ["group=Nowhere", "pupil=999", "pupil=x"])
def test_a_plan_of_nobody_is_not_found(client: Browser, whose: str) -> None:
    assert client.get(f"/plan?{whose}").status_code == 404
    assert client.post(f"/plan?{whose}", data={"do": "clear"}).status_code == 410


def test_a_change_for_a_pupil_makes_an_own_plan_of_the_groups(
    client: Browser, record: Record, mika: Pupil
) -> None:
    record.plans.set("Jetty", ["l", "i"])
    address = f"/plan?pupil={mika.id}"
    assert "follows the plan of Jetty" in said(page(client.get(address)))

    press(client, address, "Move i up")

    assert record.plans.get("Jetty", mika.id) == ("i", "l")
    assert record.plans.get("Jetty") == ("l", "i")
    assert "This plan is for Mika alone" in said(page(client.get(address)))


def test_a_pupil_can_follow_the_group_again(client: Browser, record: Record, mika: Pupil) -> None:
    record.plans.set("Jetty", ["l"])
    record.plans.set("Jetty", ["z"], pupil=mika.id)

    press(client, f"/plan?pupil={mika.id}", "Follow the plan of Jetty again")

    assert record.plans.for_pupil(mika.id) == ("l",)


@for_each(
    ("what", "letter", "letters"),
    [
        ("up", "a", "abc"),
        ("up", "b", "bac"),
        ("down", "c", "abc"),
        ("down", "a", "bac"),
        ("remove", "b", "ac"),
        ("add", "d", "abcd"),
        ("add", "b", "abc"),
    ],
)
def test_a_change_moves_one_letter_and_keeps_the_others(what: str, letter: str, letters: str) -> None:
    assert changed("abc", what, letter) == list(letters)


# --- reasons


def of_pupil(record: Record, pupil: Pupil) -> dict[str, reasons.Reason]:
    attempts = record.attempts.find(pupil.id, ink=False)
    return reasons.of_pupil(attempts, record.figures.summary(pupil=pupil.id), ALPHABET.order, DAY)


def words(reason: reasons.Reason) -> str:
    """Its words with plain spaces."""
    return reason.words.replace("\u00a0", " ")


def of_group(record: Record, group: str) -> dict[str, reasons.Reason]:
    summary = record.figures.summary(group, families=lambda _: ALPHABET.families)
    return reasons.of_group(summary, ALPHABET.order, DAY)


def test_what_tomorrow_gathers_a_group_for_is_needed_on_its_plan(client: Browser, record: Record) -> None:
    """Letters of one family too, each with those who need it, for the whole class and for one group."""
    shared = [("n", "Mika"), ("h", "Nuri"), ("m", "Oda")]
    for letter, name in shared:
        pupil = record.pupils.add(name, group="Jetty")
        keep(record, [written(pupil, letter, Kind.START, days_ago=1) for _ in range(3)])

    gathered = record.figures.summary("Jetty", families=lambda _: ALPHABET.families).gather
    assert [gathering.letters for gathering in gathered] == [("h", "m", "n")]
    for gathering in record.figures.summary(families=lambda _: ALPHABET.families).gather:
        by_letter = of_group(record, gathering.group)
        assert {by_letter[letter].because for letter in gathering.letters} == {Because.NEED}
    shown = said(page(client.get("/plan?group=Jetty")))
    for letter, name in shared:
        assert f"{name} began somewhere else than shown in 3 of the last 3 tries." in shown, letter


def test_a_pupils_reasons_tell_need_due_new_and_what_may_wait(record: Record, mika: Pupil) -> None:
    keep(record, [written(mika, "b", Kind.DIRECTION, days_ago=0) for _ in range(3)])
    keep(record, [written(mika, "l", days_ago=3) for _ in range(3)])
    keep(record, [written(mika, "i", days_ago=0) for _ in range(3)])
    keep(record, [written(mika, "t", days_ago=0)])

    by_letter = of_pupil(record, mika)

    assert [by_letter[letter].because for letter in "blitz"] == [
        Because.NEED,
        Because.DUE,
        Because.WAITS,
        Because.FEW,
        Because.NEW,
    ]
    assert words(by_letter["b"]) == "Mika ran the pen the other way along a stroke in 3 of the last 3 tries."
    assert words(by_letter["l"]) == "Due since 11 Mar. Last on 10 Mar."
    assert words(by_letter["i"]) == "May wait until 14 Mar. Last on 13 Mar."


def test_a_pupils_due_letters_are_those_that_practice_offers(record: Record) -> None:
    """What the page calls due, the practice window offers as due, in the same order."""
    for pupil in record.pupils.find():
        by_letter = of_pupil(record, pupil)
        offered = letter_offers.offers(
            record.attempts.find(pupil.id, ink=False),
            plan=(),
            order=ALPHABET.order,
            today=DAY,
            count=len(ALPHABET),
        )

        due = [reason for reason in reasons.proposed(by_letter, count=len(ALPHABET)) if reason.since]
        needed = {letter for letter, reason in by_letter.items() if reason.because is Because.NEED}
        assert [reason.letter for reason in due] == [
            offer.letter
            for offer in offered
            if offer.why is letter_offers.Why.DUE and offer.letter not in needed
        ]


def test_a_groups_reasons_go_by_how_many_pupils_are_secure(record: Record) -> None:
    pupils = [record.pupils.add(name, group="Jetty") for name in ("Mika", "Nuri", "Oda")]
    for pupil in pupils:
        keep(record, [written(pupil, "l", days_ago=1) for _ in range(3)])
        keep(record, [written(pupil, "i", days_ago=20) for _ in range(3)])
        keep(record, [written(pupil, "t", days_ago=1)])
    keep(record, [written(pupils[0], "j", days_ago=1) for _ in range(3)])
    keep(record, [written(pupil, "b", Kind.START, days_ago=1) for pupil in pupils for _ in range(3)])

    by_letter = of_group(record, "Jetty")

    assert [by_letter[letter].because for letter in "blitjz"] == [
        Because.NEED,
        Because.WAITS,
        Because.DUE,
        Because.FEW,
        Because.FEW,
        Because.NEW,
    ]
    assert words(by_letter["l"]) == "May wait: secure with 3 of 3. Last on 12 Mar."
    assert words(by_letter["i"]) == "Due: nobody wrote it for 14 days. Last on 21 Feb."
    assert words(by_letter["b"]).startswith(
        "Mika, Nuri and Oda began somewhere else than shown in 9 of the last 9"
    )


def test_the_proposal_has_the_strongest_reasons_first_and_no_letter_that_may_wait(record: Record) -> None:
    by_letter = of_group(record, "Quay")

    proposal = reasons.proposed(by_letter)

    order = list(Because)
    places = [order.index(reason.because) for reason in proposal]
    assert len(proposal) == letter_offers.SESSION_LETTERS
    assert places == sorted(places)
    assert Because.WAITS not in {
        reason.because for reason in reasons.proposed(by_letter, count=len(ALPHABET))
    }


def test_each_planned_letter_stands_with_its_reason(client: Browser, record: Record) -> None:
    record.plans.set("Quay", ["k", "a"])

    shown = of_class(page(client.get("/plan?group=Quay")), "planned")[0]

    by_letter = of_group(record, "Quay")
    assert [said(of_class(element, "why")[0]) for element in shown] == [
        words(by_letter[letter]) for letter in "ka"
    ]


def test_a_letter_that_left_the_alphabet_can_be_taken_away(client: Browser, record: Record) -> None:
    record.plans.set("Quay", ["þ", "k"])
    assert "Not in this group's alphabet" in said(page(client.get("/plan?group=Quay")))

    press(client, "/plan?group=Quay", "Take þ away")

    assert record.plans.get("Quay") == ("k",)


def test_without_pupils_the_page_leads_to_the_class_list(client: Browser, record: Record) -> None:
    for pupil in record.pupils.find():
        record.pupils.archive(pupil.id)

    assert "/pupils" in [link.get("href") for link in page(client.get("/plan")).iter("a")]
