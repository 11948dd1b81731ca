"""Zips and folders of strangers: the wanted files come out, and a zip made to do harm does none."""

import io
import re
import struct
import warnings
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.rosters import zipped
from trainer.errors import RosterError
from trainer.exchange import bundle

WANTED = ("users.csv", "classes.csv")
GOOD = {"users.csv": b"a,b\r\n", "classes.csv": b"c,d\r\n"}


def refused(content, reason):
    with pytest.raises(RosterError, match=reason) as caught:
        bundle.from_zip(content, WANTED)
    assert "\n" not in str(caught.value)


def test_the_wanted_files_of_a_zip_come_out():
    assert bundle.from_zip(zipped(GOOD | {"demographics.csv": b"x"}), WANTED) == GOOD


def test_they_may_lie_in_a_folder_of_the_zip_beside_one_system_s_shadows():
    assert bundle.from_zip(zipped(GOOD | {"__MACOSX/users.csv": b"shadow"}), WANTED) == GOOD
    assert bundle.from_zip(zipped(GOOD, "export/"), WANTED) == GOOD


def test_a_file_that_is_not_there_is_left_out():
    assert bundle.from_zip(zipped({"users.csv": b"a"}), WANTED) == {"users.csv": b"a"}


def test_what_nobody_asks_for_is_never_read():
    """An entry whose bytes are broken does not matter as long as it is not wanted."""
    secret = b"birth dates " * 30
    content = bytearray(zipped(GOOD | {"demographics.csv": secret}))
    at = content.index(b"demographics.csv") + len("demographics.csv")
    content[at : at + 8] = b"\xff" * 8
    with (
        zipfile.ZipFile(io.BytesIO(bytes(content))) as archive,
        pytest.raises(Exception, match=r"rror|invalid|bad"),
    ):
        archive.read("demographics.csv")

    assert bundle.from_zip(bytes(content), WANTED) == GOOD


@pytest.mark.parametrize("content", [b"", b"PK", b"PK\x03\x04", b"users.csv", b"\x00" * 100])
def test_what_is_no_zip_is_told(content):
    refused(content, "must be a whole zip")


def test_a_zip_that_was_cut_off_is_told():
    refused(zipped(GOOD)[:-30], "must be a whole zip")


@pytest.mark.parametrize(
    "name", ["../users.csv", "a/../users.csv", "/users.csv", "..\\users.csv", "C:users.csv"]
)
def test_a_name_that_leads_out_of_the_zip_is_refused(name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    refused(zipped({name: b"x"}), "must hold plain file names")
    assert list(tmp_path.iterdir()) == []


def test_a_file_given_twice_is_refused():
    refused(zipped(GOOD | {"more/users.csv": b"x"}), "must hold users.csv once")


def test_a_zip_of_too_many_files_is_refused():
    refused(zipped({f"{number}.csv": b"" for number in range(bundle.MOST_ENTRIES + 1)}), "at most 100 files")


def test_a_zip_inside_a_zip_is_named_and_not_opened():
    refused(zipped({"export.zip": zipped(GOOD)}), "holds another zip; hand in 'export.zip' itself")


def test_a_file_packed_a_thousand_to_one_is_refused():
    bomb = zipped({"users.csv": b"0" * (4 * 1024 * 1024)})
    assert len(bomb) < 10_000

    refused(bomb, "more than 200 to 1")


def test_a_file_that_is_too_large_is_refused(monkeypatch):
    monkeypatch.setattr(bundle, "LARGEST_FILE", 10)

    refused(zipped({"users.csv": b"01234567890"}), "at most")
    with pytest.raises(RosterError, match="at most"):
        bundle.from_uploads(handed({"users.csv": b"01234567890"}), WANTED)


def test_a_zip_that_lies_about_a_size_yields_no_more_than_it_says():
    """The size in the zip's list is made small: nothing is read past it, and the check sum tells."""
    content = bytearray(zipped({"users.csv": b"0" * 300_000}))
    at = content.index(b"PK\x01\x02")
    content[at + 24 : at + 28] = struct.pack("<I", 100)

    refused(bytes(content), "must be a whole zip")


def test_a_locked_file_is_told():
    content = bytearray(zipped({"users.csv": b"x"}))
    for signature, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        content[content.index(signature) + flags] |= 1

    refused(bytes(content), "must not be locked with a password")


@pytest.mark.parametrize(
    ("signature", "at", "value"),
    [
        pytest.param(b"PK\x01\x02", 6, 99, id="a later version"),
        pytest.param(b"PK\x01\x02", 8, 0x20, id="a patch"),
        pytest.param(b"PK\x01\x02", 8, 0x40, id="strong encryption"),
        pytest.param(b"PK\x05\x06", 16, 0xFF, id="a place before the beginning"),
    ],
)
def test_what_zipfile_does_not_read_is_told_as_what_is_broken(signature, at, value):
    """Offsets by the ZIP application note (APPNOTE 6.3, sections 4.3.12 and 4.3.16), from memory."""
    content = bytearray(zipped({"users.csv": b"x"}))
    content[content.index(signature) + at] = value

    refused(bytes(content), "must be a whole zip")


def test_a_name_that_is_no_utf_8_is_told():
    content = zipped({"\u00fcsers.csv": b"x"}).replace("\u00fc".encode(), b"\xff\xff")

    refused(content, "must be a whole zip")


def test_a_rare_packing_is_refused():
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_LZMA) as archive:
        archive.writestr("users.csv", b"x")

    refused(content.getvalue(), "packed in the common way")


def test_two_entries_of_one_name_are_refused():
    content = io.BytesIO()
    with warnings.catch_warnings(), zipfile.ZipFile(content, "w") as archive:
        warnings.simplefilter("ignore", UserWarning)
        archive.writestr("users.csv", b"x")
        archive.writestr("users.csv", b"y")

    refused(content.getvalue(), "must hold users.csv once")


@given(st.integers(0, 400), st.binary(min_size=1, max_size=8))
def test_a_damaged_zip_gives_its_files_or_our_own_error(at, damage):
    content = zipped(GOOD)
    damaged = content[:at] + damage + content[at + len(damage) :]

    try:
        contents = bundle.from_zip(damaged, WANTED)
    except RosterError:
        contents = {}
    assert set(contents) <= set(WANTED)


# What is handed in


def handed(files):
    return [(name, io.BytesIO(content)) for name, content in files.items()]


def test_handed_in_is_a_zip_alone_or_the_files_of_a_folder():
    assert bundle.from_uploads(handed({"export.zip": zipped(GOOD)}), WANTED) == GOOD
    assert bundle.from_uploads(handed(GOOD), WANTED) == GOOD
    assert bundle.from_uploads(handed({"export/users.csv": b"a", "export\\classes.csv": b"b"}), WANTED) == {
        "users.csv": b"a",
        "classes.csv": b"b",
    }
    assert bundle.from_uploads(handed({"users.csv": b"a"}), WANTED) == {"users.csv": b"a"}


def test_a_file_of_the_folder_that_is_not_wanted_is_not_read():
    shut = io.BytesIO(b"birth dates")
    shut.close()

    assert bundle.from_uploads([*handed(GOOD), ("demographics.csv", shut)], WANTED) == GOOD


@pytest.mark.parametrize(
    ("files", "reason"),
    [
        (
            {"export.zip": b"", "users.csv": b""},
            "export.zip: a zip must be handed in alone, and 2 files came",
        ),
        ({"new/users.csv": b"", "old/users.csv": b""}, "old/users.csv: users.csv must be handed in once"),
    ],
)
def test_a_folder_that_is_not_clear_is_told(files, reason):
    with pytest.raises(RosterError, match=re.escape(reason)):
        bundle.from_uploads(handed(files), WANTED)
