"""Alphabets as a whole: a copy under a new name, a zip for a colleague, and one that is brought in."""

from __future__ import annotations

import io
import random
import shutil
import zipfile
from datetime import timedelta
from pathlib import Path
from xml.etree.ElementTree import Element

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from strokes.alphabet import Alphabet
from strokes.files import SHIPPED
from tests.cases import for_each
from tests.desk.reader import page, said, under
from tests.desk.visitor import PASSPHRASE, TODAY, Browser
from trainer.desk.app import create_app
from trainer.desk.desk import NAME, Desk
from trainer.exchange import alphabet_files
from trainer.record.record import Record

PRINT = SHIPPED / "print"
TABLE = b'# ours\nname = "school"\n\n[teaching]\norder = ["t", "l"]\n'


@pytest.fixture
def desk(app: Flask) -> Desk:
    desk_of_test: Desk = app.extensions[NAME]
    return desk_of_test


@pytest.fixture
def own(desk: Desk) -> Path:
    """An alphabet of the teacher's own with few letters, a draft and a history."""
    folder = desk.letters_folder
    for inside in ("marks", "drafts", "history/t"):
        (folder / inside).mkdir(parents=True)
    for letter in "lt":
        shutil.copy(PRINT / f"{letter}.svg", folder)
    shutil.copy(PRINT / "t.svg", folder / "history" / "t" / "20260101T000000000000.svg")
    (folder / "drafts" / "t.json").write_text("{}")
    (folder / "alphabet.toml").write_bytes(TABLE)
    shutil.copy(next((PRINT / "marks").glob("*.svg")), folder / "marks")
    return folder


def zipped(files: dict[str, bytes]) -> bytes:
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, written in files.items():
            archive.writestr(name, written)
    return content.getvalue()


def letters(*names: str) -> dict[str, bytes]:
    return {f"school/{name}.svg": (PRINT / f"{name}.svg").read_bytes() for name in names}


def bring(client: Browser, *files: tuple[str, bytes]) -> TestResponse:
    sent = {"files": [(io.BytesIO(content), name) for name, content in files]}
    return client.post("/alphabet/bring", data=sent, content_type="multipart/form-data")


def take(client: Browser, address: str, name: str, do: str = "take") -> TestResponse:
    return client.post(address, data={"do": do, "name": name})


def alerts(tree: Element) -> list[str]:
    return [said(element) for element in tree.iter() if element.get("role") == "alert"]


def content(folder: Path) -> dict[str, bytes]:
    return {str(file.relative_to(folder)): file.read_bytes() for file in folder.rglob("*") if file.is_file()}


# --- a copy


@pytest.mark.usefixtures("own")
def test_a_new_alphabet_is_a_copy_that_a_group_can_use(client: Browser, desk: Desk, record: Record) -> None:
    answer = client.post("/alphabet/alphabets", data={"name": "  Year  1 ", "source": "letters"})

    assert answer.status_code == 303
    made = Alphabet.load(desk.letters_folder / "Year 1")
    assert (made.name, list(made)) == ("Year 1", ["l", "t"])
    assert "# ours" in (desk.letters_folder / "Year 1" / "alphabet.toml").read_text()
    sent = {"group": "Quay", "alphabet": "Year 1", "shown": "Year 1"}
    assert client.post("/alphabet/use", data=sent).status_code == 303
    assert desk.alphabets.of("Quay").name == "Year 1"
    assert record.settings.get("alphabet:Quay") == "Year 1"


@pytest.mark.usefixtures("own")
def test_a_copy_of_a_copy_is_an_alphabet_of_its_own(client: Browser, desk: Desk) -> None:
    for source, name in (("letters", "Year 1"), ("Year 1", "Year 2")):
        sent = {"name": name, "source": source}
        assert client.post("/alphabet/alphabets", data=sent).status_code == 303
    (desk.letters_folder / "Year 1" / "t.svg").unlink()

    assert list(Alphabet.load(desk.letters_folder / "Year 2")) == ["l", "t"]
    assert Alphabet.load(desk.letters_folder / "Year 2").name == "Year 2"


def test_the_first_alphabet_of_her_own_may_have_a_name(client: Browser, desk: Desk) -> None:
    assert client.post("/alphabet/alphabets", data={"name": "Ours", "source": "slanted"}).status_code == 303

    assert set(desk.alphabets.all()) == {"print", "slanted", "Ours"}


@for_each(
    "name",
    [
        "",
        "x" * 41,
        "con",
        "../other",
        "a/b",
        "a\\b",
        ".hidden",
        "print",
        "Slanted",
        "marks",
        "history",
        "drafts",
    ]
    + ["letters", "a\x00b", "a:b", "ends.", "year 1"],
)
def test_a_name_that_cannot_be_or_is_taken_is_told(client: Browser, own: Path, name: str) -> None:
    client.post("/alphabet/alphabets", data={"name": "Year 1", "source": "letters"})
    before = content(own)

    answer = client.post("/alphabet/alphabets", data={"name": name, "source": "print"})

    assert answer.status_code == 400
    assert alerts(page(answer))[0].endswith("Nothing was changed.")
    assert content(own) == before


def test_only_an_alphabet_that_is_there_is_copied(client: Browser, own: Path) -> None:
    before = content(own)

    for source in ("gone", "../..", ""):
        answer = client.post("/alphabet/alphabets", data={"name": "Ours", "source": source})
        assert answer.status_code == 400
    assert content(own) == before


# --- a zip


def test_a_zip_has_the_letters_and_nothing_else_and_comes_back_the_same(client: Browser, own: Path) -> None:
    answer = client.get("/alphabet/zip?alphabet=letters")

    with zipfile.ZipFile(io.BytesIO(answer.data)) as archive:
        names = archive.namelist()
    mark = next((own / "marks").iterdir()).name
    assert set(names) == {
        "letters/l.svg",
        "letters/t.svg",
        "letters/alphabet.toml",
        f"letters/marks/{mark}",
    }

    look = bring(client, ("ours.zip", answer.data))
    shown = page(client.get(look.location))
    assert said(under(shown, "letters").find("h2")) == "Letters: 2"
    assert len(list(under(shown, "letters").iter("svg"))) == 2
    assert take(client, look.location, "From next door").status_code == 303

    taken = own / "From next door"
    assert (taken / "t.svg").read_bytes() == (own / "t.svg").read_bytes()
    assert Alphabet.load(taken).order == ("t", "l")
    assert client.get("/alphabet/zip?alphabet=nowhere").status_code == 404


# --- a folder


def test_a_folder_has_what_the_zip_has_and_comes_back_the_same(client: Browser, own: Path) -> None:
    """Handed out twice it is one folder; once the letters have changed, another one."""
    before = content(own)
    sent = {"alphabet": "letters"}

    shared = own.parent / "shared"
    for _ in range(2):
        answer = client.post("/alphabet/folder", data=sent)
        assert answer.status_code == 303
        assert str(shared / "letters") in said(page(client.get(answer.location)))
    first = content(shared)
    (own / "l.svg").unlink()
    assert client.post("/alphabet/folder", data=sent).status_code == 303

    mark = next((own / "marks").iterdir()).name
    assert set(first) == {f"letters/{name}" for name in ("l.svg", "t.svg", "alphabet.toml", f"marks/{mark}")}
    assert all(before[name.removeprefix("letters/")] == written for name, written in first.items())
    assert set(content(shared)) - set(first) == {
        f"letters 2/{name}" for name in ("t.svg", "alphabet.toml", f"marks/{mark}")
    }
    look = bring(client, *first.items())
    assert take(client, look.location, "From next door").status_code == 303
    assert (own / "From next door" / "l.svg").read_bytes() == before["l.svg"]


def test_a_folder_that_cannot_be_written_is_told_and_nothing_is_left(client: Browser, own: Path) -> None:
    (own.parent / "shared").write_text("a file in its place")

    answer = client.post("/alphabet/folder", data={"alphabet": "letters"})

    assert answer.status_code == 400
    assert alerts(page(answer))[0].endswith("Nothing was changed.")
    assert client.post("/alphabet/folder", data={"alphabet": "nowhere"}).status_code == 404
    assert client.post("/alphabet/folder", data={"alphabet": "letters"}, token=False).status_code == 403


# --- brought in


def test_nothing_is_written_before_the_teacher_decides(client: Browser, own: Path) -> None:
    before = content(own)

    look = bring(client, ("ours.zip", zipped(letters("a", "b"))))
    client.get(look.location)
    assert content(own) == before
    assert take(client, look.location, "x", do="drop").status_code == 303

    assert content(own) == before
    assert take(client, look.location, "x").location.endswith("/alphabet/alphabets"), "it is gone"


def test_an_alphabet_is_never_written_over(client: Browser, own: Path) -> None:
    before = content(own)
    look = bring(client, ("letters.zip", zipped(letters("a"))))

    for name in ("letters", "LETTERS", "print"):
        answer = take(client, look.location, name)
        assert answer.status_code == 400
        assert "is taken" in alerts(page(answer))[0]

    assert content(own) == before
    assert take(client, look.location, "Another").status_code == 303


@pytest.mark.usefixtures("own")
def test_a_zip_of_a_name_that_is_taken_is_offered_under_a_free_one(client: Browser, desk: Desk) -> None:
    """As when a colleague's newer letters are brought in beside the older ones."""
    for name in ("school", "school 2", "school 3"):
        look = bring(client, ("school.zip", zipped(letters("a"))))
        offered = [field.get("value") for field in page(client.get(look.location)).iter("input")]

        assert name in offered
        assert take(client, look.location, name).status_code == 303
    assert list(desk.alphabets.all())[-3:] == ["school", "school 2", "school 3"]


def test_a_folder_is_taken_as_a_zip_is(client: Browser, own: Path) -> None:
    mark = next((own / "marks").iterdir())
    files = [
        ("school/t.svg", (own / "t.svg").read_bytes()),
        ("school/alphabet.toml", b'name = "school"'),
        (f"school/marks/{mark.name}", mark.read_bytes()),
        ("school/history/t/1.svg", b"old"),
        ("school/holiday.jpg", b"\xff"),
    ]

    look = bring(client, *files)

    assert take(client, look.location, "school").status_code == 303
    assert set(content(own / "school")) == {"t.svg", "alphabet.toml", f"marks/{mark.name}"}


@pytest.mark.usefixtures("own")
def test_faulty_letters_are_told_and_come_along_set_aside(client: Browser, desk: Desk) -> None:
    evil = b'<svg xmlns="http://www.w3.org/2000/svg"><title>x</title><script>alert(1)</script></svg>'
    files = {**letters("a"), "school/x.svg": evil}

    look = bring(client, ("school.zip", zipped(files)))
    shown = page(client.get(look.location))

    sentence = [said(element) for element in under(shown, "faults").iter("li")]
    assert any(line.startswith("x.svg: <script>") for line in sentence)
    assert not any("/tmp" in line for line in sentence), "where it was looked at is nobody's business"
    take(client, look.location, "school")
    assert list(desk.alphabets.all()) == ["print", "slanted", "letters", "school"]


@pytest.mark.usefixtures("own")
def test_an_alphabet_that_cannot_be_used_is_not_taken(client: Browser, desk: Desk) -> None:
    files = {**letters("a"), "school/alphabet.toml": b"[guide"}

    look = bring(client, ("school.zip", zipped(files)))

    assert "alphabet.toml" in said(under(page(client.get(look.location)), "faults"))
    refused = take(client, look.location, "school")
    assert refused.status_code == 400
    (alert,) = alerts(page(refused))
    assert alert.startswith("alphabet.toml: must be TOML")
    assert "school" not in desk.alphabets.all()


@pytest.mark.parametrize("in_zip", [True, False], ids=["a-zip", "files"])
def test_a_name_with_its_accent_apart_as_some_systems_have_it_is_brought_in(
    client: Browser, desk: Desk, in_zip: bool
) -> None:
    accented = (PRINT / "e.svg").read_bytes()
    files = {**letters("l", "t"), "school/e\u0301.svg": accented}
    sent = [("school.zip", zipped(files))] if in_zip else list(files.items())

    look = bring(client, *sent)
    assert look.status_code == 303, alerts(page(look))
    assert take(client, look.location, "school").status_code == 303

    assert (desk.letters_folder / "school" / "\u00e9.svg").read_bytes() == accented
    assert set(Alphabet.load(desk.letters_folder / "school")) == {"e", "l", "t"}


BOMB = zipped({"a.svg": b" " * 10_000_000})
REFUSED = {
    "empty": (b"", "must hold SVG files"),
    "no-zip": (b"PK\x03\x04 and no more", "must be a whole zip"),
    "no-letters": (zipped({"readme.txt": b"hello"}), "must hold SVG files"),
    "a-way-out": (zipped({"../a.svg": b"<svg/>"}), "plain file names"),
    "a-root": (zipped({"/a.svg": b"<svg/>"}), "plain file names"),
    "an-odd-name": (zipped({"a\u202eb.svg": b"<svg/>"}), "plain name"),
    "a-device-of-windows": (zipped({"con.svg": b"<svg/>"}), "plain name"),
    "twice": (zipped({"x/a.svg": b"<svg/>", "y/A.svg": b"<svg/>"}), "twice"),
    "twice-with-an-accent": (zipped({"x/\u00e9.svg": b"<svg/>", "y/e\u0301.svg": b"<svg/>"}), "twice"),
    "a-bomb": (BOMB, "packed more than"),
    "a-large-letter": (zipped({"a.svg": random.Random(1).randbytes(300_000)}), "at most 256 kB"),
    "many-files": (zipped({f"{number}.txt": b"" for number in range(1001)}), "at most 1000 files"),
    "many-letters": (zipped({f"{number}.svg": b"<svg/>" for number in range(300)}), "at most 260"),
}


@for_each(("sent", "sentence"), REFUSED.values(), ids=list(REFUSED))
def test_what_is_no_alphabet_is_told_in_a_sentence(
    client: Browser, own: Path, sent: bytes, sentence: str
) -> None:
    before = content(own)

    answer = bring(client, ("school.zip", sent))

    assert answer.status_code == 422
    (alert,) = alerts(page(answer))
    assert sentence in alert
    assert alert.endswith("Nothing was changed.")
    assert content(own) == before


def test_without_a_file_nothing_is_looked_at(client: Browser) -> None:
    assert bring(client).status_code == 422
    assert client.post("/alphabet/bring", data={}, token=False).status_code == 403


def test_what_was_handed_in_is_not_kept_for_long(record: Record, tmp_path: Path) -> None:
    moment = [TODAY]
    desk = Desk(record, letters_folder=tmp_path / "letters", clock=lambda: moment[0])
    app = create_app(desk, testing=True)
    app.test_client_class = Browser
    client = app.test_client()
    assert isinstance(client, Browser)
    client.get("/login")
    client.post("/login", data={"passphrase": PASSPHRASE})
    look = bring(client, ("school.zip", zipped(letters("a"))))
    moment[0] = TODAY + timedelta(minutes=16)

    assert take(client, look.location, "school").location.endswith("/alphabet/alphabets")
    assert not (tmp_path / "letters").exists()


def test_the_same_alphabet_is_the_same_zip(own: Path) -> None:
    assert alphabet_files.alphabet_zip(own) == alphabet_files.alphabet_zip(own)
