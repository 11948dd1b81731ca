import csv
import io
import json
import zipfile
from dataclasses import replace
from datetime import date

import pytest

from strokes.files.inkml import read_inkml
from strokes.kinds import Kind, WordKind
from strokes.report import Finding, WordFinding
from tests.shipped import PRINT as ALPHABET
from tests.trainer.samples import MONDAY, attempt, ink, verdict
from tests.trainer.test_ink_codec import assert_same_ink
from tests.trainer.whole_record import lesson
from trainer.attempt import Attempt, InWord, Step, Verdict, WordPart, WordTry
from trainer.exchange.export import pupils_zip


@pytest.fixture
def filled(record):
    """Nella with a copy that was overruled and judged again, a draft, a note; and Abel."""
    nella, abel = (
        record.pupils.add("Nélla", hand="left", group="Quay"),
        record.pupils.add("=Abel", group="Quay"),
    )
    kept_attempt = record.attempts.keep(
        attempt(nella.id, "b", Kind.START, written=ink(seed=1, traces=2), mended=True)
    )
    record.verdicts.replace([(kept_attempt.id, "next", verdict(Kind.SIZE))])
    record.verdicts.overrule(kept_attempt.id, formed=True, looks=True, reason="the pen slipped")
    record.attempts.keep_draft(nella.id, "c", Step.RECALL, ink(seed=2))
    record.notes.add(nella.id, "Sits better at the low desk.")
    record.plans.set("Quay", ["c", "o"])
    record.lessons.keep(lesson(nella, day=date(2020, 9, 7)), MONDAY)
    record.attempts.keep(attempt(abel.id, "l", day=1))
    return record


def readable(pupil):
    return f"<p>{pupil.name}</p>"


def files(record, pupils):
    with zipfile.ZipFile(io.BytesIO(pupils_zip(record, ALPHABET, pupils, readable))) as folder:
        assert folder.testzip() is None
        return {name: folder.read(name).decode("utf-8-sig") for name in folder.namelist()}


def test_each_pupil_has_a_folder_with_ink_table_and_record(filled):
    exported = files(filled, filled.pupils.find())

    names = ("READ-ME-FIRST.html", "ink.inkml", "summary.csv", "record.json")
    assert set(exported) == {
        "README.txt",
        *(f"01-abel/{name}" for name in names),
        *(f"02-nella/{name}" for name in names),
    }
    assert exported["02-nella/READ-ME-FIRST.html"] == "<p>Nélla</p>"
    assert "They judge no child" in exported["README.txt"]


def test_the_ink_comes_back_from_the_file_and_is_numbered_in_the_record(filled, tmp_path):
    nella = filled.pupils.find()[1]
    exported = files(filled, [nella])
    path = tmp_path / "ink.inkml"
    path.write_text(exported["01-nella/ink.inkml"], encoding="utf-8")
    read = read_inkml(path)

    exported_record = json.loads(exported["01-nella/record.json"])
    assert [attempt["ink"] for attempt in exported_record["attempts"]] == [1, 2]
    for row in exported_record["attempts"]:
        assert read[row["ink"] - 1].about["letter"] == row["letter"]
    assert_same_ink(read[0].ink, ink(seed=1, traces=2))


def test_the_record_tells_notes_plan_and_every_verdict_in_words_too(filled):
    nella = filled.pupils.find()[1]
    exported_record = json.loads(files(filled, [nella])["01-nella/record.json"])

    assert (exported_record["name"], exported_record["hand"], exported_record["plan"]) == (
        "Nélla",
        "left",
        ["c", "o"],
    )
    assert [note["text"] for note in exported_record["notes"]] == ["Sits better at the low desk."]
    assert exported_record["lessons"] == [
        {"day": "2020-09-07", "letter": "b", "kind": "start", "times": 3, "tries": 4}
    ]
    copied, draft = exported_record["attempts"]
    assert (draft["finished"], draft["verdict"], draft["past"]) == (False, None, [])
    assert copied["overruled"]["reason"] == "the pen slipped"
    assert copied["checks"] == "next"
    (size,) = copied["verdict"]["findings"]
    assert (size["kind"], size["words"]) == ("size", "wrote it too small for the lines")
    (past,) = copied["past"]
    assert [finding["kind"] for finding in past["verdict"]["findings"]] == ["start"]
    assert (past["verdict"]["mended"], copied["verdict"]["mended"]) == (True, False)


def test_words_are_exported_with_their_places_and_the_ink_of_lines(record):
    nella = record.pupils.add("Nella")
    record.attempts.keep(replace(attempt(nella.id, "i"), in_word=InWord("ship", 2)))
    findings = (WordFinding(WordKind.SPACING, 0.9, 0.5, 0),)
    line = WordTry(None, nella.id, "ship", WordPart.LINE, MONDAY, ink=ink(traces=3), findings=findings)
    record.word_tries.keep(line)
    record.word_tries.keep(WordTry(None, nella.id, "ship", WordPart.COUNT, MONDAY, asked=3, given=4))

    exported = files(record, [nella])

    content = json.loads(exported["01-nella/record.json"])
    assert content["attempts"][0]["in_word"] == {"word": "ship", "place": 2}
    on_line, counted = content["words"]
    assert (on_line["word"], on_line["part"], on_line["ink"]) == ("ship", "line", True)
    assert on_line["findings"][0]["words"] == "the room between letters differs"
    assert (counted["asked"], counted["given"], counted["ink"]) == (3, 4, False)
    assert exported["01-nella/words.inkml"].count("</trace>") == 3
    assert record.erasure.holdings([nella.id]).words == 2


def test_a_number_that_is_0_is_exported_as_any_other(record):
    """Stroke 0 is the first one: left out, its finding would belong to no stroke."""
    nella = record.pupils.add("Nella")
    finding = Finding(Kind.START, 0.0, 0.0, stroke=0, trace=0, part=(0.0, 0.5), at=(0.0, 0.0))
    judged = Verdict("taught", False, True, (finding,))
    record.attempts.keep(Attempt(None, nella.id, "l", Step.COPY, MONDAY, ink(), judged))

    exported_record = json.loads(files(record, [nella])["01-nella/record.json"])

    (finding_row,) = exported_record["attempts"][0]["verdict"]["findings"]
    words = finding_row.pop("words")
    assert words
    assert finding_row == {
        "kind": "start",
        "amount": 0.0,
        "limit": 0.0,
        "stroke": 0,
        "trace": 0,
        "part": [0.0, 0.5],
        "at": [0.0, 0.0],
    }


def test_cells_of_the_table_cannot_be_taken_for_formulas(filled):
    (row,) = csv.DictReader(io.StringIO(files(filled, filled.pupils.find()[:1])["01-abel/summary.csv"]))

    assert (row["Pupil"], row["Letter"], row["Tries"]) == ("'=Abel", "l", "1")


@pytest.mark.parametrize("name", ["../../etc", "a/b\\c", "愛", "..", "con.txt"])
def test_no_name_of_a_pupil_leads_out_of_its_folder(record, name):
    pupil = record.pupils.add(name)

    places = set(files(record, [pupil])) - {"README.txt"}
    assert all(place.count("/") == 1 and place.startswith("01-") for place in places)
    assert not any(".." in place or "\\" in place or ":" in place for place in places)


def test_a_pupil_who_wrote_nothing_has_files_too(record):
    pupil = record.pupils.add("Nella")
    exported = files(record, [pupil])

    assert json.loads(exported["01-nella/record.json"])["attempts"] == []
    assert len(exported["01-nella/summary.csv"].splitlines()) == 1


def test_what_cannot_be_read_is_told_in_the_copy_and_costs_only_itself(record):
    nella = record.pupils.add("Nella")
    written = [record.attempts.keep(attempt(nella.id, "b")) for _ in range(3)]
    with record._database.writing() as connection:
        connection.exec_driver_sql(f"UPDATE attempt SET step = 'jump' WHERE id = {written[1].id}")

    content = json.loads(files(record, [nella])["01-nella/record.json"])

    assert len(content["attempts"]) == 2
    (sentence,) = content["damaged"]
    assert f"attempt {written[1].id} is damaged" in sentence
