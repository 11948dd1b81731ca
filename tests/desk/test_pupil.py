"""The pages of a pupil: they tell what the record has, and what is typed there is kept or given back."""

from __future__ import annotations

import io
import json
import zipfile
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from xml.etree.ElementTree import Element

import numpy as np
import pytest
from werkzeug.test import TestResponse

from strokes.alphabet import Alphabet
from strokes.ink import Ink
from strokes.kinds import Kind
from tests.desk.reader import fields, of_class, page, said, under
from tests.desk.visitor import TODAY, Browser
from tests.shipped import PRINT
from tests.trainer import samples
from trainer.attempt import Attempt, Outcome, Pupil, Step
from trainer.desk.access import resent_form
from trainer.desk.pictures import replay
from trainer.drawing import theme
from trainer.exchange import pupils_zip
from trainer.language.texts import text
from trainer.record.notes import NOTE_LENGTH
from trainer.record.record import Record
from trainer.record.verdicts import REASON_LENGTH
from trainer.teaching.tries import is_try

WORDS = {Outcome.FORMED: "well formed", Outcome.MENDED: "mended", Outcome.NOT_YET: "not yet"}
VERDICTS = {
    Outcome.FORMED: "Well formed at the first try",
    Outcome.MENDED: "Mended after it was shown",
    Outcome.NOT_YET: "Not yet formed as taught",
}


@pytest.fixture
def abel(record: Record) -> Pupil:
    """He runs b, h and k the other way."""
    return next(pupil for pupil in record.pupils.find() if pupil.name == "Abel")


@pytest.fixture
def fenn(record: Record) -> Pupil:
    """He writes z as its mirror image."""
    return next(pupil for pupil in record.pupils.find() if pupil.name == "Fenn")


@pytest.fixture
def wrong_b(record: Record, abel: Pupil) -> Attempt:
    """A try of Abel's at b in which the pen ran the other way."""
    return next(
        attempt
        for attempt in record.attempts.latest(abel.id, "b", n=20)
        if not attempt.formed and is_try(attempt)
    )


def address(attempt: Attempt, *more: str) -> str:
    return "/".join((f"/pupil/{attempt.pupil}/attempt/{attempt.id}", *more))


def good(answer: TestResponse) -> Element:
    assert answer.status_code == 200, answer.text
    return page(answer)


def row(shown: Element, letter: str) -> list[str]:
    rows = under(shown, "letters").iter("tr")
    return next([said(cell) for cell in row] for row in rows if said(row[0]) == letter)


def links(shown: Element) -> dict[str, str]:
    """Where the links of a page lead, by their words."""
    return {said(element): element.get("href", "") for element in shown.iter("a")}


# --- the pupil


def test_the_page_tells_who_the_pupil_is(client: Browser, abel: Pupil):
    shown = good(client.get(f"/pupil/{abel.id}"))

    head = said(of_class(shown, "pupil-head")[0])
    assert "Abel" in head
    assert "Quay" in head
    assert "hand: right" in head


def test_each_letter_has_the_counts_of_its_tries(client: Browser, record: Record, abel: Pupil):
    """Counted here once more, from the attempts themselves."""
    shown = good(client.get(f"/pupil/{abel.id}"))

    tries = [attempt for attempt in record.attempts.find(abel.id, "l") if is_try(attempt)]
    formed, looks = sum(attempt.formed for attempt in tries), sum(attempt.looks for attempt in tries)
    recalled = [attempt for attempt in tries if attempt.step is Step.RECALL]
    cells = row(shown, "l")
    mended = sum(attempt.mended for attempt in tries)
    assert cells[1] == f"{formed} of {len(tries)}" + (f" {mended} mended" if mended else "")
    assert cells[3] == f"{looks} of {len(tries)}"
    assert cells[4] == f"{sum(attempt.formed for attempt in recalled)} of {len(recalled)}"
    assert text("summary.kind.direction") in cells[7]


def test_beside_a_try_that_was_not_well_formed_stands_what_was_seen(
    client: Browser, record: Record, abel: Pupil
):
    """Seen once, or said by the teacher alone: "nothing" is for letters that were all well formed."""
    for letter, kinds in (("7", [Kind.START]), ("8", [])):
        record.attempts.keep_many(
            [
                replace(samples.attempt(abel.id, letter, *seen), at=TODAY - timedelta(minutes=minutes))
                for minutes, seen in enumerate([kinds, [], []])
            ]
        )
    latest = record.attempts.latest(abel.id, "8", n=1)[0]
    record.verdicts.overrule(latest.id, formed=False, looks=True, reason="She drew it.", at=TODAY)

    shown = good(client.get(f"/pupil/{abel.id}"))

    assert row(shown, "7")[7] == "began somewhere else than shown, 1 of 3"
    assert row(shown, "8")[7] == "not as taught, without one finding that says how"
    for cells in ([said(cell) for cell in tr] for tr in under(shown, "letters").iter("tr")):
        if len(cells) == 8 and cells[7] == "nothing":
            good_ones, tries = cells[1].split(" of ")
            assert good_ones == tries.split()[0]


def test_under_three_tries_nothing_is_concluded(client: Browser, record: Record, abel: Pupil):
    shown = good(client.get(f"/pupil/{abel.id}"))

    lines = record.figures.summary(pupil=abel.id).by_pupil[abel.id]
    few = [line for line in lines if 0 < line.tries < 3]
    assert few
    for line in few:
        cells = row(shown, line.letter)
        assert cells[1] == f"not enough yet: {line.tries} of 3 tries"
        assert cells[-1] == ""


def test_the_marks_of_the_last_tries_say_each_in_words(client: Browser, record: Record, abel: Pupil):
    shown = good(client.get(f"/pupil/{abel.id}"))

    tries = [
        attempt.outcome for attempt in reversed(record.attempts.latest(abel.id, "b", n=20)) if is_try(attempt)
    ]
    rows = under(shown, "letters").iter("tr")
    spark = next(of_class(row, "spark")[0] for row in rows if said(row[0]) == "b")
    assert len(list(spark.iter("rect"))) == len(tries)
    words = ", ".join(WORDS[outcome] for outcome in tries)
    assert said(spark.find("title")) == f"b, last tries: {len(tries)}, oldest first: {words}"


def test_all_attempts_can_be_paged_and_traced_ones_stand_apart(client: Browser, record: Record, abel: Pupil):
    """From the newest to the oldest, each once; a page that nobody links to has none, and is no fault."""
    for asked, traced in (("", False), ("&traced=1", True)):
        numbers: list[int] = []
        address = f"/pupil/{abel.id}?letter=l{asked}"
        while address:
            shown = good(client.get(address))
            opened = [link for link in under(shown, "latest").iter("a") if said(link) == "Open"]
            numbers += [int(link.get("href", "").rpartition("/")[2]) for link in opened]
            address = links(shown).get("Older attempts", "").partition("#")[0]
        every = record.attempts.latest(abel.id, "l", n=1000, ink=False)
        assert numbers == [attempt.id for attempt in every if (attempt.step is Step.TRACE) is traced]
        assert len(numbers) > (12 if not traced else 3)
    assert "No attempts to show." in said(good(client.get(f"/pupil/{abel.id}?page=999999999")))
    assert "Newer attempts" in links(good(client.get(f"/pupil/{abel.id}?page=2")))
    assert good(client.get(f"/pupil/{abel.id}?page=-3"))


def test_what_to_practice_next_stands_beside_the_attempt_that_shows_it(client: Browser, abel: Pupil):
    shown = under(good(client.get(f"/pupil/{abel.id}")), "next")

    for line in of_class(shown, "next")[0]:
        letter = said(line).partition(":")[0]
        figure = next(line.iter("figure"))
        assert said(next(figure.iter("title"))) == f"{letter} as Abel wrote it"
        (leads,) = (link for link in line.iter("a") if said(link) == f"All attempts at {letter}")
        assert leads.get("href") == f"/pupil/{abel.id}?letter={letter}#latest"


def test_the_latest_attempts_stand_beside_their_model(client: Browser, record: Record, abel: Pupil):
    shown = good(client.get(f"/pupil/{abel.id}?letter=b"))

    cards = of_class(shown, "attempt")
    attempts = record.attempts.latest(abel.id, "b", n=12, traced=False)
    assert len(cards) == len(attempts)
    for card, attempt in zip(cards, attempts, strict=True):
        titles = [said(title) for title in card.iter("title")]
        assert titles == ["b, as it was written", "b as it is taught"]
        assert text(f"pupil.step.{attempt.step}") in said(of_class(card, "caption")[0])
        results = [said(result)[2:] for result in of_class(card, "result")]
        assert results == [
            VERDICTS[attempt.outcome],
            "Looks right" if attempt.looks else "Does not look right yet",
        ]


@pytest.mark.parametrize("letter", ["?", "<script>", "bb", "\x00"])
def test_a_letter_that_was_not_practiced_filters_nothing(client: Browser, abel: Pupil, letter: str):
    answer = client.get(f"/pupil/{abel.id}", query_string={"letter": letter})

    assert len(of_class(good(answer), "attempt")) == 12
    assert "<script>" not in answer.text


def test_what_comes_next_is_said_with_what_to_do(client: Browser, abel: Pupil):
    shown = good(client.get(f"/pupil/{abel.id}"))

    items = [said(item) for item in under(shown, "next").iter("li")]
    assert any(item.startswith("b: ran the pen the other way") for item in items)
    assert all(text("summary.teach.direction") in item for item in items if "the other way" in item)


def test_a_pupil_who_wrote_nothing_has_a_page(client: Browser, record: Record):
    new = record.pupils.add("Nilo")

    shown = good(client.get(f"/pupil/{new.id}"))

    assert "Nothing has been written yet." in said(shown)
    assert text("summary.caution.talk") in said(shown), "the cautions stand at every foot"


@pytest.mark.parametrize(
    "path",
    [
        *("/pupil/999", "/pupil/0", "/pupil/-1", "/pupil/1/attempt/999999"),
        *(f"/pupil/{2**70}", f"/pupil/1/attempt/{2**40}"),
    ],
)
def test_who_is_not_there_has_no_page(client: Browser, path: str):
    assert client.get(path).status_code == 404


def test_another_pupils_attempt_is_not_there(client: Browser, wrong_b: Attempt, fenn: Pupil):
    other = address(replace(wrong_b, pupil=fenn.id))

    assert client.get(other).status_code == 404
    assert client.get(f"{other}/ink.json").status_code == 404
    assert client.post(f"{other}/overrule", data={"formed": "yes"}).status_code == 410
    assert client.post(f"{other}/withdraw").status_code == 410


@pytest.mark.parametrize("path", ["/pupil/1", "/pupil/1?letter=b", "/pupil/1/attempt/251"])
def test_nothing_on_the_pages_is_styled_or_run_inline(client: Browser, path: str):
    """The pages' own policy would stop it, and then something would be missing."""
    for element in good(client.get(path)).iter():
        assert "style" not in element.attrib
        assert not [name for name in element.attrib if name.startswith("on")]
        assert element.tag != "style"
        assert element.tag != "script" or element.get("src", "").startswith("/static/")


# --- the attempt


def test_the_ink_for_the_replay_is_what_was_written_with_its_own_times(client: Browser, wrong_b: Attempt):
    sent = client.get(address(wrong_b, "ink.json")).get_json()

    assert sent["timed"] is True
    assert len(sent["traces"]) == len(wrong_b.ink.traces)
    for trace, own_trace in zip(sent["traces"], wrong_b.ink.traces, strict=True):
        np.testing.assert_allclose(trace["at"], own_trace.points, atol=1e-4)
        np.testing.assert_allclose(np.diff(trace["t"]), np.diff(own_trace.times), atol=2e-4)
    assert sent["duration"] == sent["traces"][-1]["t"][-1]
    assert sent["traces"][0]["t"][0] == 0.0


def test_a_pause_between_two_strokes_is_as_long_as_it_was():
    ink = Ink.from_arrays([[[0, 0], [0, 1]], [[1, 0], [1, 1]]], times=[[5.0, 5.5], [9.0, 9.25]])

    traces = replay.moments(ink)["traces"]

    assert [trace["t"] for trace in traces] == [[0.0, 0.5], [4.0, 4.25]]


def test_ink_without_times_gets_an_even_pace():
    ink = Ink.from_arrays([[[0, 0], [0, 1], [0, 3]], [[1, 0], [1, 1]]])

    sent = replay.moments(ink)

    first, second = (trace["t"] for trace in sent["traces"])
    assert sent["timed"] is False
    assert first[0] == 0.0
    assert first[2] - first[1] == pytest.approx(2 * (first[1] - first[0]), abs=1e-3)
    assert second[0] > first[-1], "the pen needs a while in the air"


def test_a_clock_that_ran_back_between_two_strokes_does_not_turn_their_order():
    ink = Ink.from_arrays([[[0, 0], [0, 1]], [[1, 0], [1, 1]]], times=[[0.0, 2.0], [1.0, 1.5]])

    assert [trace["t"] for trace in replay.moments(ink)["traces"]] == [[0.0, 2.0], [2.0, 2.5]]


def rings(stage: Element) -> list[tuple[float, float]]:
    """Where the open vermillion circles are, in x-heights."""
    unit = float(stage.get("data-unit", "nan"))
    return [
        (float(ring.get("cx", "nan")) / unit, float(ring.get("cy", "nan")) / unit)
        for ring in stage.iter("circle")
        if ring.get("stroke") == theme.VERMILLION and ring.get("fill") == "none"
    ]


def test_a_finding_is_ringed_where_it_happened_with_its_number_in_the_list(client: Browser, wrong_b: Attempt):
    shown = good(client.get(address(wrong_b)))

    stage = of_class(shown, "replay-stage")[0]
    assert wrong_b.verdict is not None
    places = [finding.at for finding in wrong_b.verdict.findings if finding.at]
    np.testing.assert_allclose(rings(stage), places, atol=1e-3)
    listed = [said(item) for item in of_class(shown, "marks")[0].iter("li")]
    assert len(listed) == len(wrong_b.verdict.findings)
    assert "the other way" in listed[0]
    assert "1" in [said(number) for number in stage.iter("text")]


def test_a_finding_without_a_place_is_told_and_not_drawn(client: Browser, record: Record, fenn: Pupil):
    mirrored = next(
        attempt
        for attempt in record.attempts.latest(fenn.id, "z", n=40)
        if attempt.verdict and Kind.REVERSAL in {finding.kind for finding in attempt.verdict.findings}
    )
    assert mirrored.verdict is not None
    placeless = [finding for finding in mirrored.verdict.findings if finding.at is None]

    shown = good(client.get(address(mirrored)))

    listed = [said(item) for item in of_class(shown, "marks")[0].iter("li")]
    assert sum("no one place in the ink" in item for item in listed) == len(placeless) > 0
    distinct = {finding.at for finding in mirrored.verdict.findings if finding.at}
    assert len(rings(of_class(shown, "replay-stage")[0])) <= len(distinct)


def test_two_findings_at_one_place_share_a_ring():
    two = [
        replay.NumberedFinding(1, "one", (0.0, 0.0)),
        replay.NumberedFinding(2, "two", (0.05, 0.0)),
        replay.NumberedFinding(3, "far", (1.0, 0.0)),
    ]

    assert list(replay._together(two)) == [((0.0, 0.0), "1, 2"), ((100.0, 0.0), "3")]


def test_without_a_script_the_picture_is_whole(client: Browser, wrong_b: Attempt):
    shown = good(client.get(address(wrong_b)))

    stage = of_class(shown, "replay-stage")[0]
    whole = of_class(stage, "replay-whole")[0]
    assert len(list(whole)) == len(wrong_b.ink.traces) + len(wrong_b.shown or ()), "first tries have a core"
    assert "hidden" in of_class(shown, "controls")[0].attrib, "buttons that would do nothing are not there"


def test_an_attempt_can_be_shown_large_beside_its_model_and_without_a_name(
    client: Browser, record: Record, wrong_b: Attempt
):
    """A class may see it; the model's times are on the page, so that both pens move together."""
    link = links(good(client.get(address(wrong_b))))["Large, beside the model, to show to a class"]
    answer = client.get(link)

    shown = good(answer)
    assert "Abel" not in answer.text
    written, model = of_class(shown, "replay-stage")
    assert [said(next(stage.iter("title"))) for stage in (written, model)] == [
        "b as it was written",
        "b as it is taught",
    ]
    (room,) = (element for element in shown.iter("section") if "data-model" in element.attrib)
    moments = json.loads(room.get("data-model", ""))
    assert len(moments["traces"]) == len(Alphabet.load()["b"].taught.strokes)
    assert moments["duration"] > 0
    record.ink.forget_old(TODAY + timedelta(days=300), certain=True)
    assert client.get(link).status_code == 404


def test_ink_that_was_erased_for_its_age_is_said_to_be_gone(
    client: Browser, record: Record, wrong_b: Attempt
):
    assert record.ink.forget_old(TODAY + timedelta(days=300), certain=True) > 0

    shown = good(client.get(address(wrong_b)))

    assert text("pupil.attempt.gone") in said(shown)
    assert of_class(shown, "replay-stage") == []
    assert "the other way" in said(of_class(shown, "marks")[0]), "what was found stays"
    assert client.get(address(wrong_b, "ink.json")).status_code == 404
    card = of_class(good(client.get(f"/pupil/{wrong_b.pupil}?letter=b")), "attempt")[0]
    assert text("pupil.latest.gone") in said(card)


def test_an_attempt_that_was_broken_off_is_shown_and_cannot_be_overruled(
    client: Browser, record: Record, abel: Pupil, wrong_b: Attempt
):
    record.attempts.keep_draft(abel.id, "b", Step.COPY, wrong_b.ink)
    draft = record.attempts.latest(abel.id, n=1)[0]

    shown = good(client.get(address(draft)))

    assert text("pupil.verdict.unfinished") in said(under(shown, "judged"))
    assert of_class(shown, "overrule") == []
    answers = {"formed": "yes", "looks": "yes", "reason": "seen"}
    assert client.post(address(draft, "overrule"), data=answers).status_code == 400


# --- the teacher's word


def test_the_teachers_word_counts_and_the_checks_stands_beside_it(
    client: Browser, record: Record, wrong_b: Attempt
):
    def formed() -> int:
        lines = record.figures.summary(pupil=wrong_b.pupil).by_pupil[wrong_b.pupil]
        return next(line.formed for line in lines if line.letter == "b")

    before = formed()
    answers = {"formed": "yes", "looks": "yes", "reason": "  I held her hand <b>here</b>. "}
    answer = client.post(address(wrong_b, "overrule"), data=answers)

    assert answer.status_code == 303
    assert formed() == before + 1
    shown = good(client.get(answer.location))
    judged = under(shown, "judged")
    assert "I held her hand <b>here</b>." in said(judged), "it is text and no markup"
    verdicts = [said(element) for element in judged.iter("dd")]
    assert VERDICTS[Outcome.FORMED] in verdicts[0]
    assert VERDICTS[wrong_b.outcome] in verdicts[1]
    attempt = record.attempts.get(wrong_b.id or 0)
    assert attempt is not None
    assert attempt.overruled is not None
    assert attempt.overruled.at == TODAY
    assert attempt.verdict == wrong_b.verdict

    answer = client.post(address(wrong_b, "withdraw"))

    assert answer.status_code == 303
    assert formed() == before
    assert "You say" not in said(good(client.get(answer.location)))
    assert client.post(address(wrong_b, "withdraw")).status_code == 303, "twice is as good as once"


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"formed": "yes", "looks": "no", "reason": " "}, text("pupil.overrule.no_reason")),
        ({"formed": "yes", "looks": "no", "reason": ""}, text("pupil.overrule.no_reason")),
        ({"looks": "no", "reason": "seen"}, text("pupil.overrule.no_answer")),
        ({"formed": "maybe", "looks": "no", "reason": "seen"}, text("pupil.overrule.no_answer")),
        ({"formed": "yes", "looks": "no", "reason": "x" * (REASON_LENGTH + 1)}, f"1 to {REASON_LENGTH}"),
        ({"formed": "yes", "looks": "no", "reason": "a\x00b"}, f"1 to {REASON_LENGTH}"),
    ],
)
def test_a_word_that_cannot_be_kept_is_given_back_as_it_was_typed(
    client: Browser, record: Record, wrong_b: Attempt, sent: dict[str, str], sentence: str
):
    answer = client.post(address(wrong_b, "overrule"), data=sent)

    assert answer.status_code == 400
    shown = page(answer)
    form = next(form for form in shown.iter("form") if form.get("action", "").endswith("/overrule"))
    assert sentence in said(under(shown, "overrule"))
    back = dict(fields(form))
    assert back["reason"].replace("\ufffd", "\x00") == sent["reason"]
    assert back.get("looks") == sent.get("looks")
    attempt = record.attempts.get(wrong_b.id or 0)
    assert attempt is not None
    assert attempt.overruled is None


@pytest.mark.parametrize("path", ["overrule", "withdraw"])
def test_a_verdict_changes_by_the_pages_own_form_only(client: Browser, wrong_b: Attempt, path: str):
    answers = {"formed": "yes", "looks": "yes", "reason": "seen"}

    assert client.get(address(wrong_b, path)).status_code == 405
    assert client.post(address(wrong_b, path), data=answers, token=False).status_code == 403


def test_what_was_mended_is_told_beside_what_was_well_formed(
    client: Browser, record: Record, abel: Pupil, wrong_b: Attempt
):
    """In the letter's figures, in its mark, on its card and its own page; until a teacher says otherwise."""
    assert wrong_b.verdict is not None
    before = row(good(client.get(f"/pupil/{abel.id}")), "b")[1]
    mended = replace(wrong_b, id=None, at=TODAY, verdict=replace(wrong_b.verdict, mended=True))
    attempt = record.attempts.keep(mended)

    shown = good(client.get(f"/pupil/{abel.id}?letter=b"))
    line = next(line for line in record.figures.summary(pupil=abel.id).lines if line.letter == "b")
    assert line.mended >= 1
    assert row(shown, "b")[1] == f"{line.formed} of {line.tries} {line.mended} mended" != before
    spark = next(
        of_class(row, "spark")[0] for row in under(shown, "letters").iter("tr") if said(row[0]) == "b"
    )
    assert said(spark.find("title")).endswith(", mended")
    marks = [(box.get("fill"), float(box.get("y", "0")) < 13) for box in spark.iter("rect")]
    assert marks[-1] == ("none", True), "up as one that is well formed, and open"
    assert said(of_class(of_class(shown, "attempt")[0], "result")[0])[2:] == VERDICTS[Outcome.MENDED]
    assert VERDICTS[Outcome.MENDED] in said(under(good(client.get(address(attempt))), "judged"))

    answers = {"formed": "no", "looks": "yes", "reason": "I held her hand"}
    client.post(address(attempt, "overrule"), data=answers)
    verdicts = [said(element) for element in under(good(client.get(address(attempt))), "judged").iter("dd")]
    assert VERDICTS[Outcome.NOT_YET] in verdicts[0]
    assert VERDICTS[Outcome.MENDED] in verdicts[1], "the checks' own verdict stays to be read"
    formed = row(good(client.get(f"/pupil/{abel.id}")), "b")[1]
    assert formed == f"{line.formed} of {line.tries}" + (
        f" {line.mended - 1} mended" if line.mended > 1 else ""
    )


# --- notes


def test_a_note_is_kept_as_it_was_written_and_can_be_removed(client: Browser, record: Record, abel: Pupil):
    answer = client.post(f"/pupil/{abel.id}/notes", data={"text": "Sits better.\n<script>alert(1)</script>"})

    assert answer.status_code == 303
    answer = client.get(answer.location)
    assert "<script>alert" not in answer.text
    note = of_class(page(answer), "written")[0]
    assert note.text == "Sits better.\n<script>alert(1)</script>"
    (kept_note,) = record.notes.find(abel.id)
    assert kept_note.at == TODAY

    removed = client.post(f"/pupil/{abel.id}/notes/{kept_note.id}/remove")
    assert removed.status_code == 303
    assert record.notes.find(abel.id) == ()
    section = under(page(client.get(removed.location)), "notes")
    assert "The note is removed." in said(section), "it is said where the page opens"
    undo = next(section.iter("form"))
    client.post(undo.get("action", ""), data=dict(fields(undo)))
    (kept_note,) = record.notes.find(abel.id)
    assert (kept_note.at, kept_note.text) == (TODAY, "Sits better.\n<script>alert(1)</script>")

    client.post(f"/pupil/{abel.id}/notes/{kept_note.id}/remove")
    assert client.post(f"/pupil/{abel.id}/notes/{kept_note.id}/remove").status_code == 303, "gone stays gone"


@pytest.mark.parametrize("typed", ["", "   \n ", "x" * (NOTE_LENGTH + 1), "bell \x07"])
def test_a_note_that_cannot_be_kept_is_given_back(client: Browser, record: Record, abel: Pupil, typed: str):
    answer = client.post(f"/pupil/{abel.id}/notes", data={"text": typed})

    assert answer.status_code == 400
    section = under(page(answer), "notes")
    assert [element for element in section.iter("p") if element.get("role") == "alert"]
    back = dict(fields(next(form for form in section.iter("form"))))["text"]
    assert back.strip() == typed.strip()
    assert record.notes.find(abel.id) == ()


def test_a_note_about_another_pupil_is_not_removed_from_here(
    client: Browser, record: Record, abel: Pupil, fenn: Pupil
):
    note = record.notes.add(fenn.id, "Likes the slipway.")

    client.post(f"/pupil/{abel.id}/notes/{note.id}/remove")

    assert note.id in [note.id for note in record.notes.find(fenn.id)]


def test_a_letter_that_left_the_alphabet_keeps_its_history(
    client: Browser, record: Record, abel: Pupil, tmp_path: Path
):
    """The teacher's own letters may have no b: there is no model then, and everything else stays."""
    before = row(good(client.get(f"/pupil/{abel.id}")), "b")[1]
    own = tmp_path / "letters"
    own.mkdir()
    drawn = '<svg xmlns="http://www.w3.org/2000/svg"><title>l</title><g id="taught">'
    (own / "l.svg").write_text(f'{drawn}<path d="M0 -200 L0 0"><title>Down.</title></path></g></svg>')
    b = record.attempts.latest(abel.id, "b", n=1)[0]

    assert row(good(client.get(f"/pupil/{abel.id}")), "b")[1] == before
    assert text("pupil.latest.unknown_letter") in said(good(client.get(f"/pupil/{abel.id}?letter=b")))
    shown = good(client.get(address(b)))
    assert text("pupil.latest.unknown_letter") in said(under(shown, "taught"))
    assert of_class(shown, "replay-stage")


def test_from_each_attempt_one_comes_to_the_one_before_and_after(
    client: Browser, record: Record, abel: Pupil
) -> None:
    """Those of the same letter, newest to oldest and back; at the ends there is nowhere to go."""
    attempts = record.attempts.latest(abel.id, "b", n=1000, ink=False)
    older, newer = (text(f"pupil.attempt.{name}", letter="b") for name in ("older", "newer"))
    way = [address(attempts[0])]
    while older in (addresses := links(good(client.get(way[-1])))):
        way.append(addresses[older])

    assert way == [address(attempt) for attempt in attempts]
    assert len(way) > 3
    assert newer not in links(good(client.get(way[0])))
    assert links(good(client.get(way[2])))[newer] == way[1]


def test_attempts_of_one_moment_are_passed_one_by_one(record: Record, abel: Pupil) -> None:
    """A family's old ink may have come in without times of its own."""
    template = record.attempts.latest(abel.id, "b", n=1)[0]
    numbers = record.attempts.keep_many([replace(template, id=None, at=template.at) for _ in range(3)])

    middle = record.attempts.get(numbers[1])
    assert middle is not None
    assert record.attempts.neighbors(middle) == (numbers[0], numbers[2])


def test_an_attempt_that_cannot_be_read_is_told_on_the_page_and_hides_no_other(
    client: Browser, record: Record
) -> None:
    abel = next(pupil for pupil in record.pupils.find() if pupil.name == "Abel")
    damaged, fine = record.attempts.latest(abel.id, n=2)
    with record._database.writing() as connection:
        connection.exec_driver_sql(f"UPDATE attempt SET step = 'jump' WHERE id = {damaged.id}")

    page = client.get(f"/pupil/{abel.id}")

    assert page.status_code == 200
    assert text("pupil.latest.left_out") in page.text
    assert f"attempt {damaged.id} is damaged" in page.text
    assert f'href="/pupil/{abel.id}/attempt/{fine.id}"' in page.text
    for path in (f"/plan?pupil={abel.id}", f"/pupils/copy?pupil={abel.id}"):
        assert client.get(path).status_code == 200


def test_a_damaged_date_of_a_note_costs_only_that_note(client: Browser, record: Record) -> None:
    abel = next(pupil for pupil in record.pupils.find() if pupil.name == "Abel")
    spoilt, fine = (record.notes.add(abel.id, said) for said in ("holds the pen high up", "presses hard"))
    with record._database.writing() as connection:
        connection.exec_driver_sql(f"UPDATE note SET at = 'today' WHERE id = {spoilt.id}")

    page = client.get(f"/pupil/{abel.id}").text

    assert f"note {spoilt.id} is damaged" in page
    assert "presses hard" in page
    assert "holds the pen high up" not in page
    assert client.get(f"/pupils/copy?pupil={abel.id}").status_code == 200
    assert client.post(f"/pupil/{abel.id}/notes/{fine.id}/remove").status_code == 303
    copy = pupils_zip(record, PRINT, [abel], lambda pupil: pupil.name)
    with zipfile.ZipFile(io.BytesIO(copy)) as folder:
        content = json.loads(folder.read(next(name for name in folder.namelist() if "record.json" in name)))
    assert [f"note {spoilt.id} is damaged" in said for said in content["damaged"]] == [True]


def test_damaged_ink_costs_no_page_and_no_copy_more_than_itself(
    client: Browser, record: Record, wrong_b: Attempt
) -> None:
    with record._database.writing() as connection:
        connection.exec_driver_sql(f"UPDATE attempt SET ink = x'00ff' WHERE id = {wrong_b.id}")

    pupil = good(client.get(f"/pupil/{wrong_b.pupil}?letter=b"))
    assert text("pupil.latest.damaged") in said(pupil)
    assert text("pupil.attempt.damaged") in said(good(client.get(address(wrong_b))))
    assert client.get(address(wrong_b, "ink.json")).status_code == 404
    whose = [pupil for pupil in record.pupils.find() if pupil.id == wrong_b.pupil]
    copy = pupils_zip(record, PRINT, whose, lambda pupil: pupil.name)
    with zipfile.ZipFile(io.BytesIO(copy)) as folder:
        content = json.loads(folder.read(next(name for name in folder.namelist() if "record.json" in name)))
    damaged = [row for row in content["attempts"] if row["unreadable"]]
    assert [(row["letter"], row["ink"]) for row in damaged] == [("b", None)]


@pytest.mark.parametrize("path", ["/pupil/{}", "/pupil/1/attempt/{}", "/pupils/card/{}.svg"])
def test_a_number_of_thousands_of_digits_leads_nowhere(client: Browser, path: str) -> None:
    assert client.get(path.format("9" * 5000)).status_code == 404


def test_a_form_of_nested_brackets_that_comes_back_is_none() -> None:
    assert resent_form.unpacked("[" * 90_000) is None
