"""What came of words: letters alone and in words, sounds miscounted, chunks missed; words named in a plan."""

from __future__ import annotations

from dataclasses import replace

from strokes.kinds import WordKind
from strokes.report import WordFinding
from tests.desk.reader import fields, page, said, under
from tests.desk.visitor import TODAY, Browser
from tests.trainer.samples import attempt
from trainer.attempt import InWord, WordPart, WordTry
from trainer.record.record import Record
from trainer.teaching import word_figures


def wrote_words(record: Record) -> int:
    """A child of a new group with a letter alone and in a word, and tries at words of each kind."""
    mika = record.pupils.add("Mika", group="Jetty").id
    alone = replace(attempt(mika, "i"), at=TODAY)
    for written in (*[alone] * 2, *[replace(alone, in_word=InWord("ship", 2))] * 2):
        record.attempts.keep(written)
    uneven = (WordFinding(WordKind.SPACING, 0.8, 0.5, 1),)
    for tried in (
        WordTry(None, mika, "ship", WordPart.COUNT, TODAY, asked=3, given=4),
        WordTry(None, mika, "ship", WordPart.COUNT, TODAY, asked=3, given=3),
        WordTry(None, mika, "dip", WordPart.CHUNK, TODAY, asked=2, given=1),
        WordTry(None, mika, "ship", WordPart.LINE, TODAY, findings=uneven),
        WordTry(None, mika, "ship", WordPart.LINE, TODAY),
        WordTry(None, mika, "net", WordPart.LINE, TODAY, finished=False),
    ):
        record.word_tries.keep(tried)
    return mika


def test_a_pupil_s_page_tells_letters_alone_from_letters_in_words(client: Browser, record: Record) -> None:
    mika = wrote_words(record)

    shown = page(client.get(f"/pupil/{mika}"))

    assert "Alone: 2 of 2. In words: 2 of 2." in said(under(shown, "letters"))
    assert "i in ship" in said(under(shown, "latest"))
    last = next(attempt for attempt in record.attempts.latest(mika) if attempt.in_word)
    assert "in the word ship" in said(page(client.get(f"/pupil/{mika}/attempt/{last.id}")))


def test_miscounted_sounds_missed_chunks_and_lines_stand_word_by_word_on_both_pages(
    client: Browser, record: Record
) -> None:
    mika = wrote_words(record)

    for address in (f"/pupil/{mika}", "/words?group=Jetty"):
        table = said(under(page(client.get(address)), "written-words"))
        assert "1 of 2 right (3 sounds, tapped 4)" in table, address
        assert "0 of 1" in table
        assert "1 of 2 even; the room between letters differs" in table
        assert "net" not in table, "what was broken off says nothing"


def test_what_was_missed_comes_first_among_the_words(record: Record) -> None:
    mika = wrote_words(record)

    ship, dip = word_figures.of_words(record.word_tries.find([mika]))

    assert (ship.word, ship.missed, ship.tapped, ship.kinds) == ("ship", 1, 4, (WordKind.SPACING,))
    assert (dip.word, dip.chunks, dip.chunks_missed) == ("dip", 1, 1)


def test_a_teacher_names_words_in_the_plan_of_a_group(client: Browser, record: Record) -> None:
    answer = client.post("/plan?group=Quay", data={"do": "words", "words": "ship, net  ship"})

    assert answer.status_code == 303
    assert record.plans.words("Quay") == ("ship", "net")
    assert ("words", "ship net") in list(fields(page(client.get("/plan?group=Quay"))))
    refused = client.post("/plan?group=Quay", data={"do": "words", "words": "ship 7up"})
    assert refused.status_code == 422
    assert "7up" in said(page(refused))
    assert ("words", "ship 7up") in list(fields(page(refused)))
    assert record.plans.words("Quay") == ("ship", "net")
    client.post("/plan?group=Quay", data={"do": "words", "words": ""})
    assert record.plans.words("Quay") == ()
