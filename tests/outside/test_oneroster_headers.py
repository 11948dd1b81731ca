"""The columns of OneRoster 1.1 CSV (1EdTech; 1.1 of 17 April 2017) against what the reader looks for.

The header lists are those of three public sample sets that agree in their names; which of them are
required, the roles and the words of `status` are from memory. The specification itself was not at hand.
"""

from __future__ import annotations

import pytest

from tests.trainer import rosters
from tests.trainer.rosters import CLASSES, ENROLLMENTS, USERS, manifest, table
from trainer.exchange.oneroster import ROLES, TAKEN, parse

PUBLISHED = {
    "users.csv": "sourcedId,status,dateLastModified,enabledUser,orgSourcedIds,role,username,userIds,"
    "givenName,familyName,middleName,identifier,email,sms,phone,agentSourcedIds,grades,password",
    "classes.csv": "sourcedId,status,dateLastModified,title,grades,courseSourcedId,classCode,classType,"
    "location,schoolSourcedId,termSourcedIds,subjects,subjectCodes,periods",
    "enrollments.csv": "sourcedId,status,dateLastModified,classSourcedId,schoolSourcedId,userSourcedId,role,"
    "primary,beginDate,endDate",
}

SAMPLES_DIFFER = "sms,phone", "phone,sms"
"""The samples have these two the other way round: a reader that counts columns would go wrong."""

REQUIRED_USERS = {"sourcedId", "enabledUser", "orgSourcedIds", "role", "username", "givenName", "familyName"}
"""From memory."""

NEVER = {
    "email",
    "sms",
    "phone",
    "identifier",
    "password",
    "agentSourcedIds",
    "username",
    "userIds",
    "middleName",
} | {"birthDate", "sex"}
"""What a trainer of letters has no need of (GDPR article 5(1)(c): limited to what is necessary)."""

ROLES_OF_1_1 = "administrator aide guardian parent proctor relative student teacher"
"""From memory."""


@pytest.mark.parametrize("name", sorted(PUBLISHED))
def test_every_column_that_is_looked_for_is_a_published_one(name: str) -> None:
    assert set(TAKEN[name]) <= set(PUBLISHED[name].split(","))


@pytest.mark.parametrize("name", sorted(PUBLISHED))
def test_the_sets_of_our_tests_have_the_published_headers(name: str) -> None:
    assert ",".join(rosters.HEADERS[name]) == PUBLISHED[name]


def test_a_name_needs_no_column_that_a_set_may_leave_out() -> None:
    assert {"sourcedId", "givenName", "familyName", "role"} <= REQUIRED_USERS


def test_nothing_that_is_not_needed_is_looked_for() -> None:
    assert not NEVER & {column for taken in TAKEN.values() for column in taken}


def test_the_roles_are_those_of_the_version() -> None:
    assert sorted(ROLES) == ROLES_OF_1_1.split()


@pytest.mark.parametrize("order", SAMPLES_DIFFER)
def test_the_published_headers_give_the_roster_in_either_order_of_the_samples(order: str) -> None:
    published = {
        name: header.replace(SAMPLES_DIFFER[0], order).split(",") for name, header in PUBLISHED.items()
    }
    rows = {"users.csv": USERS, "classes.csv": CLASSES, "enrollments.csv": ENROLLMENTS}
    files = {name: table(name, rows[name], header=published[name]) for name in rows}

    roster = parse({"manifest.csv": table("manifest.csv", manifest()), **files})

    places = {
        school_class.title: [person.given for person in roster.people_of(school_class)]
        for school_class in roster.classes
    }
    assert places == {"Quay": ["Nella", "Nilo"], "Slipway": ["Osk, the younger"]}
