"""OneRoster sets for tests: an invented school's tables, with all that a school system puts into them."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterable, Mapping, Sequence

# Column names as in three public samples of OneRoster 1.1 that agree, and in part from memory.
HEADERS = {
    "manifest.csv": ("propertyName", "value"),
    "users.csv": (
        *("sourcedId", "status", "dateLastModified", "enabledUser", "orgSourcedIds", "role", "username"),
        *("userIds", "givenName", "familyName", "middleName", "identifier", "email", "sms", "phone"),
        *("agentSourcedIds", "grades", "password"),
    ),
    "classes.csv": (
        *("sourcedId", "status", "dateLastModified", "title", "grades", "courseSourcedId", "classCode"),
        *("classType", "location", "schoolSourcedId", "termSourcedIds", "subjects", "subjectCodes"),
        "periods",
    ),
    "enrollments.csv": (
        *("sourcedId", "status", "dateLastModified", "classSourcedId", "schoolSourcedId"),
        *("userSourcedId", "role", "primary", "beginDate", "endDate"),
    ),
    "orgs.csv": ("sourcedId", "status", "dateLastModified", "name", "type", "identifier", "parentSourcedId"),
}

SECRET = "not-for-us"
"""Stands in every cell that the reader has no business with."""

Row = dict[str, str]


def user(number: str, given: str, family: str = "", *, role: str = "student", **more: str) -> Row:
    return {"sourcedId": number, "givenName": given, "familyName": family, "role": role, **more}


def school_class(number: str, title: str, **more: str) -> Row:
    return {"sourcedId": number, "title": title, **more}


def enrollment(user: str, where: str, *, role: str = "student", **more: str) -> Row:
    return {"userSourcedId": user, "classSourcedId": where, "role": role, **more}


def manifest(mode: str = "bulk", version: str = "1.1") -> list[Row]:
    rows = {"manifest.version": "1.0", "oneroster.version": version}
    rows |= {f"file.{name}": mode for name in ("users", "classes", "enrollments")}
    return [{"propertyName": name, "value": value} for name, value in rows.items()]


def table(name: str, rows: Iterable[Row], *, header: Sequence[str] | None = None, bom: bool = False) -> bytes:
    """One table as bytes; cells that a row does not give hold SECRET, dates and status nothing."""
    columns = header or HEADERS[name]
    empty = {"status": "", "dateLastModified": "", "grades": "", "beginDate": "", "endDate": ""}
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, columns, restval=SECRET, lineterminator="\r\n")
    writer.writeheader()
    writer.writerows({column: ({**empty, **row}).get(column, SECRET) for column in columns} for row in rows)
    return text.getvalue().encode("utf-8-sig" if bom else "utf-8")


USERS = [
    user("p1", "Nella", "Aldberg", grades="KG"),
    user("p2", "Nilo", "Brant", grades="KG"),
    user("p3", "Osk, the younger", 'Gale "Long"', grades="01"),
    user("t1", "Rena", "Kranz", role="teacher"),
    user("g1", "Vito", "Aldberg", role="parent"),
    user("g2", "Wanda", "Brant", role="guardian"),
]
CLASSES = [school_class("c1", "Quay"), school_class("c2", "Slipway")]
ENROLLMENTS = [
    enrollment("p1", "c1"),
    enrollment("p2", "c1"),
    enrollment("p3", "c2"),
    enrollment("t1", "c1", role="teacher"),
]


def tables(
    users: Iterable[Row] = USERS,
    classes: Iterable[Row] = CLASSES,
    enrollments: Iterable[Row] = ENROLLMENTS,
    *,
    mode: str = "bulk",
    bom: bool = False,
) -> dict[str, bytes]:
    """A whole set; other files of a set stand beside it and hold what nobody here may read."""
    rows = {"users.csv": users, "classes.csv": classes, "enrollments.csv": enrollments}
    files = {name: table(name, lines, bom=bom) for name, lines in rows.items()}
    files["manifest.csv"] = table("manifest.csv", manifest(mode), bom=bom)
    files["demographics.csv"] = f"sourcedId,birthDate,sex\r\np1,{SECRET},{SECRET}\r\n".encode()
    return files


def zipped(files: Mapping[str, bytes], folder: str = "") -> bytes:
    """The files as a zip, in a folder of it when one is named."""
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, lines in files.items():
            archive.writestr(f"{folder}{name}", lines)
    return content.getvalue()
