"""Attacks on the desk: each must come to nothing, and the teacher's own work must go on."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from html import unescape
from pathlib import Path

import pytest
from flask import Flask
from werkzeug.routing import IntegerConverter
from werkzeug.test import TestResponse

from tests.desk.visitor import PASSPHRASE, TODAY, Browser
from trainer.desk.access import guard
from trainer.desk.access.invitation import LASTS, PAGE, Invitation
from trainer.desk.access.passphrase import FREE, LONGEST_WAIT, SETTING, STRANGERS, Passphrase
from trainer.desk.access.passphrase import PASSPHRASE as KEPT
from trainer.desk.access.sessions import COOKIE, IDLE, MOST, Sessions
from trainer.desk.app import LARGEST_UPLOAD, create_app
from trainer.desk.desk import NAME, Desk
from trainer.errors import BusyError
from trainer.language.texts import text
from trainer.record.record import Record


@dataclass
class Clock:
    """A clock that the test moves."""

    at: datetime = TODAY

    def __call__(self) -> datetime:
        return self.at

    def moves(self, by: timedelta) -> None:
        self.at += by


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def app(app: Flask, clock: Clock) -> Flask:
    desk: Desk = app.extensions[NAME]
    made = create_app(replace(desk, clock=clock), testing=True)
    made.test_client_class = Browser
    return made


def browser(app: Flask) -> Browser:
    made = app.test_client()
    assert isinstance(made, Browser)
    return made


def give(client: Browser, words: str, **more: str) -> TestResponse:
    client.get("/login")
    return client.post("/login", data={"passphrase": words, **more})


def key(client: Browser) -> str:
    cookie = client.get_cookie(COOKIE)
    assert cookie is not None
    return cookie.value


def is_at_login(answer: TestResponse) -> bool:
    return answer.status_code == 303 and answer.headers["Location"].startswith("/login")


def routes(app: Flask, method: str) -> Iterator[str]:
    """An address of every rule of the app that takes the method, apart from the pages before the desk."""
    adapter = app.url_map.bind("localhost")
    for rule in app.url_map.iter_rules():
        if method in (rule.methods or ()) and rule.endpoint not in guard.OPEN:
            values = {
                name: 1 if isinstance(rule._converters[name], IntegerConverter) else "a"
                for name in rule.arguments
            }
            yield adapter.build(rule.endpoint, values, method=method)


# Without the passphrase


def test_nothing_is_shown_without_the_passphrase(app: Flask, stranger: Browser) -> None:
    addresses = list(routes(app, "GET"))

    assert len(addresses) >= 7
    for address in addresses:
        answer = stranger.get(address)
        assert is_at_login(answer), address
        assert "Abel" not in answer.text


def test_nothing_is_changed_without_the_passphrase(app: Flask, stranger: Browser, record: Record) -> None:
    before = [(pupil, record.plans.for_pupil(pupil.id)) for pupil in record.pupils.find(archived=True)]
    stranger.get("/login")
    addresses = list(routes(app, "POST"))

    assert len(addresses) >= 4
    for address in addresses:
        assert stranger.post(address, data={"name": "Zora", "letter": "c"}).status_code in (303, 403), address
    assert [
        (pupil, record.plans.for_pupil(pupil.id)) for pupil in record.pupils.find(archived=True)
    ] == before


def test_an_address_that_does_not_exist_tells_a_stranger_nothing(stranger: Browser) -> None:
    assert is_at_login(stranger.get("/no/such/page"))


def test_an_address_that_does_not_exist_is_told_to_the_teacher(client: Browser) -> None:
    answer = client.get("/no/such/page")

    assert answer.status_code == 404
    assert text("desk.fault.404") in answer.text


# The address (DNS rebinding)


ELSEWHERE = (
    "attacker.example",
    "attacker.example:8123",
    "127.0.0.1",
    "127.0.0.1:1",
    "localhost:8123.attacker.example",
    "",
)


def test_another_host_name_is_refused_even_with_a_good_visit(app: Flask) -> None:
    app = create_app(app.extensions[NAME], hosts={"127.0.0.1:8123", "localhost:8123"}, testing=True)
    app.test_client_class = Browser
    client = browser(app)
    ours = {"base_url": "http://127.0.0.1:8123"}
    client.get("/login", **ours)
    token = re.search(r'name="csrf_token" value="([^"]+)"', client.get("/login", **ours).text)
    assert token is not None
    sent = {"passphrase": PASSPHRASE, "csrf_token": token[1]}
    assert client.post("/login", data=sent, token=False, **ours).status_code == 303

    for host in ELSEWHERE:
        answer = client.get("/", environ_overrides={"HTTP_HOST": host}, **ours)
        assert answer.status_code == 400, host
        assert "Abel" not in answer.text, host
    assert client.get("/", **ours).status_code == 200


@pytest.mark.parametrize("host", ["127.0.0.1:8123", "localhost:8123"])
def test_both_names_of_this_machine_are_answered(app: Flask, host: str) -> None:
    app = create_app(app.extensions[NAME], hosts={"127.0.0.1:8123", "localhost:8123"}, testing=True)

    assert app.test_client().get("/login", base_url=f"http://{host}").status_code == 200


# Changes from elsewhere (CSRF)


FOREIGN = (
    {"Origin": "http://attacker.example"},
    {"Origin": "null"},
    {"Origin": "https://localhost"},
    {"Origin": "http://localhost:8080"},
    {"Sec-Fetch-Site": "cross-site"},
    {"Sec-Fetch-Site": "same-site"},
    {"Sec-Fetch-Site": "none"},
)


def test_a_form_of_another_page_is_refused_even_with_the_token(client: Browser) -> None:
    for headers in FOREIGN:
        assert client.post("/logout", headers=headers).status_code == 403, headers
    assert client.get("/").status_code == 200  # still logged in


def test_a_form_of_our_own_page_is_taken(client: Browser) -> None:
    ours = {"Origin": "http://localhost", "Sec-Fetch-Site": "same-origin"}

    assert client.post("/logout", headers=ours).status_code == 303


def test_every_change_needs_the_token_of_this_very_visit(app: Flask, client: Browser) -> None:
    other = browser(app)
    give(other, PASSPHRASE)
    foreign = other.token()
    for address in routes(app, "POST"):
        for sent in ({}, {"csrf_token": ""}, {"csrf_token": "a" * 43}, {"csrf_token": foreign}):
            assert client.post(address, data=sent, token=False).status_code == 403, (address, sent)
    assert client.get("/").status_code == 200


def test_the_token_in_a_forms_field_is_enough(client: Browser) -> None:
    assert client.post("/logout", data={"csrf_token": client.token()}, token=False).status_code == 303


def test_no_page_changes_anything_by_being_looked_at(app: Flask) -> None:
    """A picture's address on another page could call it; logging out and the like take a form."""
    assert app.test_client().get("/logout").status_code in (303, 405)
    both = [rule for rule in app.url_map.iter_rules() if {"GET", "POST"} <= (rule.methods or set())]

    assert both == []


# Sessions


def test_the_cookie_is_for_the_desk_alone_and_says_nothing(client: Browser) -> None:
    client.post("/logout")
    give(client, PASSPHRASE)
    cookie = client.get_cookie(COOKIE)

    assert cookie is not None
    assert cookie.http_only
    assert cookie.same_site == "Strict"
    assert cookie.max_age is None  # it ends with the browser
    assert len(cookie.value) >= 43  # 256 bits
    assert cookie.domain == "localhost"


def test_a_key_known_from_before_the_passphrase_is_worthless(app: Flask, stranger: Browser) -> None:
    stranger.get("/login")
    planted = key(stranger)
    give(stranger, PASSPHRASE)

    attacker = browser(app)
    attacker.set_cookie(COOKIE, planted)

    assert key(stranger) != planted
    assert is_at_login(attacker.get("/"))


def test_a_key_of_the_attackers_choice_is_not_taken(stranger: Browser) -> None:
    stranger.set_cookie(COOKIE, "chosen")
    give(stranger, PASSPHRASE)

    assert key(stranger) != "chosen"
    assert stranger.get("/").status_code == 200


def test_logging_out_ends_the_visit_in_the_desk_and_not_only_in_the_browser(
    app: Flask, client: Browser
) -> None:
    stolen = key(client)
    client.post("/logout")

    attacker = browser(app)
    attacker.set_cookie(COOKIE, stolen)

    assert client.get_cookie(COOKIE) is None
    assert is_at_login(attacker.get("/"))


def test_a_desk_that_is_left_closes_itself(client: Browser, clock: Clock) -> None:
    clock.moves(IDLE - timedelta(seconds=1))
    assert client.get("/").status_code == 200
    clock.moves(IDLE - timedelta(seconds=1))
    assert client.get("/").status_code == 200  # each use counts anew
    clock.moves(IDLE + timedelta(seconds=1))

    assert is_at_login(client.get("/"))


def test_what_was_typed_when_the_desk_had_closed_itself_is_kept(
    client: Browser, clock: Clock, record: Record
) -> None:
    note = 'holds the pen "high up" & <b>tight</b>'
    number = record.pupils.find()[0].id
    clock.moves(IDLE + timedelta(seconds=1))

    closed = client.post(f"/pupil/{number}/notes", data={"text": note})
    form = _field(closed.text, "form")
    back = client.post("/login", data={"passphrase": PASSPHRASE, "form": form})

    assert closed.status_code == 403
    assert text("desk.login.ended") in closed.text
    assert _field(back.text, "text") == note
    assert record.notes.find(number) == ()  # nothing goes without her
    assert client.post(f"/pupil/{number}/notes", data={"text": note}).status_code == 303
    assert [note.text for note in record.notes.find(number)] == [note]


@pytest.mark.parametrize(
    "form",
    ["", "{", "[]", '["//attacker.example", []]', '["https://attacker.example/", []]', '["/", [["a"]]]', "7"],
)
def test_a_form_that_was_sent_before_leads_nowhere_else(stranger: Browser, form: str) -> None:
    answer = give(stranger, PASSPHRASE, form=form)

    assert answer.status_code == 303
    assert answer.headers["Location"] == "/"


def test_programs_that_knock_without_end_neither_fill_memory_nor_shut_the_teacher_out(
    app: Flask, client: Browser
) -> None:
    for _ in range(MOST + 20):
        browser(app).get("/login")
    sessions = app.session_interface

    assert isinstance(sessions, Sessions)
    assert len(sessions._all) <= MOST
    assert client.get("/").status_code == 200


@pytest.mark.parametrize(
    "wanted",
    [
        "//attacker.example",
        "/\\attacker.example",
        "https://attacker.example/",
        "javascript:alert(1)",
        "/\tx",
        "pupils",
    ],
)
def test_after_the_passphrase_the_way_leads_to_the_desk_only(stranger: Browser, wanted: str) -> None:
    assert give(stranger, PASSPHRASE, next=wanted).headers["Location"] == "/"


def test_after_the_passphrase_the_page_that_was_asked_for_comes(stranger: Browser) -> None:
    asked = stranger.get("/class?group=Quay")

    shown = stranger.get(asked.headers["Location"])
    answer = give(stranger, PASSPHRASE, next=_field(shown.text, "next"))

    assert answer.headers["Location"] == "/class?group=Quay"


# The passphrase


def test_the_passphrase_is_kept_as_an_argon2_hash_only(record: Record, record_file: Path) -> None:
    Passphrase(record, Invitation(TODAY)).set("a lantern in the fog")
    stored = record.settings.get(SETTING)

    assert stored is not None
    assert stored.startswith("$argon2id$")
    for file in record_file.parent.iterdir():
        assert b"a lantern in the fog" not in file.read_bytes()


@pytest.fixture
def new_app(record: Record, app: Flask) -> Flask:
    """A desk without a passphrase yet."""
    record.settings.set(SETTING, "")
    made = create_app(app.extensions[NAME], testing=True)
    made.test_client_class = Browser
    return made


def invitation(app: Flask) -> Invitation:
    passphrase: Passphrase = app.extensions[KEPT]
    return passphrase.invitation


def come_with(client: Browser, code: str) -> TestResponse:
    """What the page in the data folder sends: a file has no origin, and no token of ours."""
    headers = {"Origin": "null", "Sec-Fetch-Site": "cross-site"}
    return client.post("/invited", data={"code": code}, headers=headers, token=False)


def choose(client: Browser, words: str, again: str | None = None) -> TestResponse:
    client.get("/first")
    return client.post("/first", data={"passphrase": words, "again": words if again is None else again})


def test_who_opened_the_desk_chooses_the_passphrase(new_app: Flask) -> None:
    client = browser(new_app)
    came = come_with(client, str(invitation(new_app).code))
    answer = choose(client, "a lantern in the fog")

    assert came.status_code == 200
    assert 'name="again"' in came.text
    assert answer.status_code == 303
    assert client.get("/").status_code == 200
    assert give(browser(new_app), "a lantern in the fog").status_code == 303


@pytest.mark.parametrize("code", ["", "guess", "é", "a" * 19])
def test_another_program_cannot_choose_the_passphrase_first(
    new_app: Flask, record: Record, code: str
) -> None:
    client = browser(new_app)
    shown = come_with(client, code)

    assert shown.status_code == 403
    assert 'type="password"' not in shown.text
    assert choose(client, "a lantern in the fog").status_code == 403
    assert not record.settings.get(SETTING)
    assert give(client, "").status_code == 403
    assert is_at_login(client.get("/"))


def test_the_code_may_be_typed_and_works_once(new_app: Flask, record: Record) -> None:
    code = str(invitation(new_app).code)
    client = browser(new_app)
    client.get("/first")
    typed = client.post("/invited", data={"code": f" {code.upper()} "})

    late = browser(new_app)

    assert 'name="again"' in typed.text
    assert 'name="again"' in come_with(client, code).text  # the same page, loaded again
    assert come_with(late, code).status_code == 403
    assert choose(late, "a lantern in the fog").status_code == 403
    assert not record.settings.get(SETTING)


def test_the_code_is_worthless_after_some_minutes(app: Flask, record: Record, clock: Clock) -> None:
    record.settings.set(SETTING, "")
    code = str(invitation(app).code)
    clock.moves(LASTS + timedelta(seconds=1))

    assert come_with(browser(app), code).status_code == 403


def test_a_passphrase_that_is_set_is_not_set_again_from_outside(app: Flask) -> None:
    other = browser(app)

    assert is_at_login(come_with(other, str(invitation(app).code)))
    assert choose(other, "a lantern in the fog").status_code == 403
    assert give(browser(app), PASSPHRASE).status_code == 303


def test_the_page_with_the_code_is_for_its_owner_alone_and_goes_when_it_was_used(
    new_app: Flask, tmp_path: Path
) -> None:
    victim = tmp_path / "victim"
    victim.write_text("hers")
    (tmp_path / PAGE).symlink_to(victim)

    page = invitation(new_app).write(tmp_path, "the code")

    assert victim.read_text() == "hers"
    assert page.stat().st_mode & 0o777 == 0o600
    come_with(browser(new_app), str(invitation(new_app).code))
    assert not page.exists()


@pytest.mark.parametrize(
    ("words", "again"), [("seven77", None), ("", None), ("x" * 201, None), ("long enough", "long enogh")]
)
def test_a_passphrase_that_will_not_do_is_told_in_one_sentence(
    new_app: Flask, record: Record, words: str, again: str | None
) -> None:
    client = browser(new_app)
    come_with(client, str(invitation(new_app).code))

    answer = choose(client, words, again)

    assert answer.status_code == 400
    assert 'role="alert"' in answer.text
    assert not record.settings.get(SETTING)


def test_a_damaged_hash_lets_nobody_in(app: Flask, record: Record) -> None:
    record.settings.set(SETTING, "not a hash")

    for words in ("not a hash", "", PASSPHRASE):
        assert give(browser(app), words).status_code in (403, 429)


def test_guesses_wait_longer_and_longer_and_never_for_ever(app: Flask, clock: Clock) -> None:
    client, waits = browser(app), []
    for _ in range(FREE + 12):
        assert give(client, "a guess").status_code == 403
        passphrase: Passphrase = app.extensions[KEPT]
        waits.append(passphrase.wait(clock(), STRANGERS))
        clock.moves(waits[-1])

    assert waits[: FREE - 1] == [timedelta(0)] * (FREE - 1)
    assert waits == sorted(waits)
    assert waits[FREE - 1] > timedelta(0)
    assert waits[-1] == LONGEST_WAIT
    assert give(client, PASSPHRASE).status_code == 303
    assert passphrase.wait(clock(), STRANGERS) == timedelta(0)


def test_while_a_strangers_guess_waits_not_even_the_passphrase_is_tried(app: Flask, clock: Clock) -> None:
    """Else the answer would tell; and a new browser waits like the old one."""
    for _ in range(FREE):
        give(browser(app), "a guess")

    early = give(browser(app), PASSPHRASE)
    clock.moves(timedelta(seconds=1))

    assert early.status_code == 429
    assert "seconds left: 1." in early.text
    assert give(browser(app), PASSPHRASE).status_code == 303


def test_guesses_of_strangers_keep_the_teacher_from_nothing(app: Flask, stranger: Browser) -> None:
    """She left the desk in her own browser and comes back, while somebody guesses without end."""
    assert give(stranger, PASSPHRASE).status_code == 303
    stranger.post("/logout")
    for _ in range(FREE + 5):
        give(browser(app), "a guess")

    assert give(browser(app), PASSPHRASE).status_code == 429
    assert give(stranger, PASSPHRASE).status_code == 303
    assert give(browser(app), PASSPHRASE).status_code == 429  # and nobody guesses faster because she came


def test_programs_that_ask_for_the_page_without_end_do_not_make_hers_stale(
    app: Flask, stranger: Browser
) -> None:
    stranger.get("/login")
    for _ in range(MOST + 20):
        browser(app).get("/login")

    assert stranger.post("/login", data={"passphrase": PASSPHRASE}).status_code == 303


def test_a_new_passphrase_ends_every_visit_in_every_desk_on_the_record(app: Flask, client: Browser) -> None:
    other_desk = create_app(app.extensions[NAME], testing=True)
    other_desk.test_client_class = Browser
    there = browser(other_desk)
    give(there, PASSPHRASE)
    new = {"new_passphrase": "a lantern in the fog", "again": "a lantern in the fog"}

    changed = there.post("/settings/passphrase", data={"old_passphrase": PASSPHRASE, **new})

    assert changed.status_code == 303
    assert there.get("/").status_code == 200
    assert is_at_login(client.get("/"))
    assert give(client, "a lantern in the fog").status_code == 303


def test_a_clock_that_is_set_back_shuts_nobody_out(app: Flask, clock: Clock) -> None:
    for _ in range(FREE):
        give(browser(app), "a guess")
    clock.moves(timedelta(days=-400))

    passphrase: Passphrase = app.extensions[KEPT]

    assert passphrase.wait(clock(), STRANGERS) <= LONGEST_WAIT


# What the answers carry


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/class",
        "/pupils",
        "/settings",
        "/login",
        "/no/such/page",
        "/static/desk.css",
        "/font/regular.ttf",
    ],
)
def test_every_answer_carries_the_headers(client: Browser, path: str) -> None:
    with client.get(path) as answer:
        headers = answer.headers

    assert headers["Content-Security-Policy"] == guard.POLICY
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Referrer-Policy"] == "same-origin"
    assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
    lasting = path.startswith(("/static", "/font"))
    assert headers["Cache-Control"] == ("no-cache" if lasting else "no-store")


def test_the_policy_allows_nothing_from_elsewhere() -> None:
    sources = {source for rule in guard.POLICY.split("; ") for source in rule.split()[1:]}

    assert sources == {"'self'", "'none'"}


# Files


WAYS_OUT = (
    "../app.py",
    "../../desk/app.py",
    "..%2fapp.py",
    "%2e%2e/app.py",
    "..%5capp.py",
    "....//app.py",
    "/etc/passwd",
    "../templates/base.html",
    "desk.css%00.py",
)


@pytest.mark.parametrize("base", ["/static/", "/font/", "/static/tomorrow/", "/"])
def test_no_way_leads_out_of_the_static_files(client: Browser, base: str) -> None:
    for way in WAYS_OUT:
        answer = client.get(base + way, follow_redirects=True)  # two slashes are led to one
        assert answer.status_code in (400, 404), (way, answer.text[:200])
        for secret in ("create_app", "{%", "root:"):
            assert secret not in answer.text, way


def test_an_upload_without_end_is_refused_with_a_sentence(client: Browser) -> None:
    file = b'--cut\r\nContent-Disposition: form-data; name="file"; filename="list.csv"\r\n\r\n'
    body = file + b"a" * LARGEST_UPLOAD + b"\r\n--cut--\r\n"

    answer = client.post("/logout", data=body, content_type="multipart/form-data; boundary=cut", token=False)

    assert answer.status_code == 413
    assert text("desk.fault.413") in answer.text
    assert client.get("/settings").status_code == 200


# Names


def test_a_name_with_markup_is_only_a_name(client: Browser, record: Record) -> None:
    sly = record.pupils.add('<b onclick="x">{{77777*77777}}', group="<i>Pier</i>")
    for path in ("/", "/class", "/pupils", "/plan", f"/pupil/{sly.id}", "/settings"):
        answer = client.get(path)
        assert answer.status_code == 200
        assert "<b onclick" not in answer.text
        assert "<i>Pier" not in answer.text
        assert str(77777 * 77777) not in answer.text


# When the record cannot


def test_a_busy_record_is_told_and_what_was_typed_is_kept(
    client: Browser, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    def busy(*_: object, **__: object) -> None:
        raise BusyError("record.sqlite: another window is using the record; close it and try again")

    number = record.pupils.find()[0].id
    monkeypatch.setattr(record.notes, "add", busy)

    answer = client.post(f"/pupil/{number}/notes", data={"text": "holds the pen high up"})

    assert answer.status_code == 503
    assert "another window is using the record" in answer.text
    assert _field(answer.text, "text") == "holds the pen high up"


def test_a_fault_of_the_program_shows_no_insides(
    client: Browser, app: Flask, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("the insides")

    app.config["PROPAGATE_EXCEPTIONS"] = False
    monkeypatch.setattr(record.figures, "summary", broken)

    answer = client.get("/")

    assert answer.status_code == 500
    assert text("desk.fault.500") in answer.text
    assert "insides" not in answer.text


def _field(page: str, name: str) -> str:
    field = re.search(rf'name="{name}" value="([^"]*)"', page)
    assert field is not None
    return unescape(field[1])
