"""Tomorrow: what it says is what the record's summary says, and one click plans it."""

from __future__ import annotations

import shutil
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

import pytest
from werkzeug.test import TestResponse

from strokes.files.letter_folder import SHIPPED
from strokes.ink import Ink
from strokes.intervals import wilson
from strokes.kinds import Kind
from tests.desk.reader import fields, of_class, page, said, under
from tests.desk.visitor import TODAY, Browser
from tests.shipped import PRINT
from tests.trainer.samples import attempt
from trainer import places
from trainer.attempt import Attempt, Pupil, Step
from trainer.commands import terminal
from trainer.desk.pages.tomorrow import ALONE, away
from trainer.language import text
from trainer.record.record import Record
from trainer.teaching import OtherKind, other_needs, teaching_order
from trainer.teaching.alphabets import setting
from trainer.teaching.tries import is_try, kinds

DAY = TODAY.astimezone().date()


def written(pupil: Pupil, letter: str, *kinds: Kind, days_ago: float = 1) -> Attempt:
    return replace(attempt(pupil.id, letter, *kinds), at=TODAY - timedelta(days=days_ago))


def keep(record: Record, tries: Sequence[Attempt]) -> None:
    for try_made in tries:
        record.attempts.keep(try_made)


@pytest.fixture
def pair(record: Record) -> tuple[Pupil, Pupil]:
    """Two pupils of a new group who both ran b the other way, three times of three."""
    both = record.pupils.add("Mika", group="Jetty"), record.pupils.add("Nuri", group="Jetty")
    keep(record, [written(pupil, "b", Kind.DIRECTION) for pupil in both for _ in range(3)])
    return both


def groups(shown: Element) -> list[Element]:
    return of_class(shown, "gathering")


def standing(shown: Element) -> dict[str, str]:
    """What stands in each of the four lists of letters, by its heading's first words."""
    terms = [said(element) for element in shown.iter("dt")]
    lists = [said(element) for element in of_class(shown, "standing")[0].iter("dd")]
    named = [term for term in terms if term.startswith(("Secure", "Being", "Not"))]
    return dict(zip(named, lists, strict=True))


def test_the_groups_are_those_of_the_summary(client: Browser, record: Record) -> None:
    shown = groups(page(client.get("/")))

    gather = record.figures.summary(families=lambda _: PRINT.families).gather
    assert 0 < len(gather) <= 4
    assert [[said(name[0][0]) for name in of_class(element, "names")[0]] for element in shown] == [
        [pupil.name for pupil in gathering.pupils] for gathering in gather
    ]
    for group, gathering in zip(shown, gather, strict=True):
        assert f"Gather for {gathering.letter}" in said(group)
        assert f"in {gathering.times} of their last {gathering.tries} tries" in said(group)
        assert len(list(group.iter("svg"))) >= len(gathering.letters)


@pytest.mark.usefixtures("pair")
def test_a_group_shows_the_letter_with_its_cue(client: Browser) -> None:
    (shown,) = groups(page(client.get("/?group=Jetty")))

    titles = [said(title) for title in of_class(shown, "gathering-letters")[0].iter("title")]
    assert titles == ["b. Its strokes, with numbers at their starts: 1."]
    assert "ran the pen the other way along a stroke in 6 of their last 6 tries" in said(shown)
    assert said(of_class(shown, "cues")[0]).startswith("b ")


def test_each_claim_stands_beside_the_latest_attempt_that_shows_it(
    client: Browser, record: Record, pair: tuple[Pupil, Pupil]
) -> None:
    """A later try without it tells nothing, nor does one whose ink is gone; each name has its own letters."""
    mika, nuri = pair
    keep(record, [written(nuri, "h", Kind.DIRECTION) for _ in range(5)])
    keep(record, [written(mika, "b", Kind.DIRECTION, days_ago=0.5), written(mika, "b", days_ago=0.2)])
    record.attempts.keep(replace(written(mika, "b", Kind.DIRECTION, days_ago=0.1), ink=Ink()))
    telling = record.attempts.latest(mika.id, "b", n=3)[2]

    (shown,) = groups(page(client.get("/?group=Jetty")))
    names = list(of_class(shown, "names")[0])
    assert [said(name[0]) for name in names] == ["Mika b", "Nuri b, h"]
    figure = next(names[0].iter("figure"))
    assert figure.get("data-ink") == f"/pupil/{mika.id}/attempt/{telling.id}/ink.json"
    assert said(next(figure.iter("title"))) == "b as Mika wrote it"
    (link,) = figure.iter("a")
    assert (link.get("href"), said(link)) == (f"/pupil/{mika.id}/attempt/{telling.id}", "b, 13 Mar")
    assert client.get(figure.get("data-ink", "")).status_code == 200
    assert "h, 12 Mar" in said(next(names[1].iter("figure")))
    low, high = wilson(4 + 3 + 5, 5 + 3 + 5)
    assert f"Of 10 more tries it would show in {low * 10:.0f} to {high * 10:.0f}." in said(shown)


def test_what_came_of_a_plan_is_told_with_its_group_and_without_it_when_nobody_needs_it(
    client: Browser, record: Record, pair: tuple[Pupil, Pupil]
) -> None:
    """What was written on the same day before the plan was made is no part of it; traced letters are none."""
    made = TODAY - timedelta(hours=2)
    keep(record, [written(pair[0], "b", Kind.DIRECTION, days_ago=3 / 24)])
    record.plans.add({pair[0].id: ["b"], pair[1].id: ["b", "h"]}, today=DAY, at=made)
    shown = page(client.get("/?group=Jetty"))
    (group,) = groups(shown)
    assert "Added on 13 Mar, until 20 Mar: Mika b; Nuri b. Not written since then." in said(group)
    sentence = "Added on 13 Mar, until 20 Mar: Nuri h. Not written since then."
    assert sentence in said(under(shown, "came-of"))

    later = [written(pair[0], "b", *kinds, days_ago=0) for kinds in ((), (), (), (Kind.START,), ())]
    keep(record, [*later, written(pair[1], "l", days_ago=0)])
    keep(record, [replace(written(pair[1], "b", days_ago=0), step=Step.TRACE)])
    shown = page(client.get("/?group=Jetty"))
    sentence = "Added on 13 Mar, until 20 Mar: Mika b; Nuri b, h. Since then well formed in 4 of 5."
    assert groups(shown) == []
    assert sentence in said(under(shown, "came-of"))
    assert "Mika" not in said(page(client.get("/?group=Quay")))


def test_of_a_plan_whose_moment_was_not_kept_what_came_of_it_begins_the_day_after(
    client: Browser, record: Record, pair: tuple[Pupil, Pupil]
) -> None:
    record.plans.add({pair[0].id: ["b"]}, today=DAY - timedelta(days=1))
    (group,) = groups(page(client.get("/?group=Jetty")))
    assert "Added on 12 Mar, until 19 Mar: Mika b. Not written since then." in said(group)

    keep(record, [written(pair[0], "b", days_ago=0)])
    (group,) = groups(page(client.get("/?group=Jetty")))
    assert "Since then well formed in 1 of 1." in said(group)


def pressed(client: Browser, group: Element, **more: str) -> TestResponse:
    """What happens when the form of a group to gather is sent."""
    (form,) = group.iter("form")
    sent: dict[str, list[str]] = {name: [value] for name, value in more.items()}
    for name, value in fields(form):
        sent.setdefault(name, []).append(value)
    return client.post(form.get("action", ""), data=sent)


def test_one_click_adds_to_each_plan_what_that_pupil_needs_and_another_takes_it_back(
    client: Browser, record: Record, pair: tuple[Pupil, Pupil]
) -> None:
    """The plan of the group stays as it is and is followed on; it was once copied to each pupil for good."""
    record.plans.set("Jetty", ["l", "i"])
    keep(record, [written(pair[1], "h", Kind.DIRECTION) for _ in range(5)])
    (before,) = groups(page(client.get("/?group=Jetty")))

    answer = pressed(client, before)

    assert (answer.status_code, answer.location) == (303, "/?group=Jetty#gather-1")
    plans = [record.plans.for_pupil(pupil.id, today=DAY) for pupil in pair]
    assert plans == [("b", "l", "i"), ("b", "h", "l", "i")]
    assert [record.plans.get("Jetty", pupil.id) for pupil in pair] == [(), ()]
    (after,) = groups(page(client.get(answer.location)))
    assert "Added on 13 Mar, until 20 Mar: Mika b; Nuri b, h." in said(after)
    record.plans.set("Jetty", ["t"])
    assert record.plans.for_pupil(pair[0].id, today=DAY) == ("b", "t")
    assert "Added on 13 Mar, until 20 Mar: Nuri h." in said(page(client.get("/plan?group=Jetty")))

    pressed(client, after, take_back="yes")

    assert [record.plans.for_pupil(pupil.id, today=DAY) for pupil in pair] == [("t",)] * 2
    (again,) = groups(page(client.get("/?group=Jetty")))
    assert "Added" not in said(again)
    assert "Plan this for tomorrow" in said(again)


def test_letters_that_are_set_aside_are_told_and_cannot_be_planned(
    client: Browser, pair: tuple[Pupil, Pupil], tmp_path: Path
) -> None:
    """The group stands there all the same: what was seen stays true."""
    own = Path(shutil.copytree(SHIPPED / "print", tmp_path / places.LETTERS))
    (own / "b.svg").write_text("<svg/>")

    shown = page(client.get(f"/?group={pair[0].group}"))

    notes = [said(element) for element in of_class(shown, "note")]
    assert notes == [
        "The letter b of your alphabet “letters” is set aside until it is mended. "
        "All its other letters are in use. The page Alphabet says what must be mended."
    ]
    assert "Gather for b" in said(shown)
    assert not any(element.get("value") == "b" for element in shown.iter("input"))


@pytest.mark.parametrize(
    "sent",
    [{}, {"need": "b"}, {"need": "1 ?"}, {"need": "999 b"}, {"need": ["1 b", "x b"]}, {"take_back": "y"}],
)
def test_what_no_button_sends_plans_nothing(client: Browser, record: Record, sent: dict[str, Any]) -> None:
    before = [record.plans.for_pupil(pupil.id) for pupil in record.pupils.find()]

    assert client.post("/gather", data=sent).status_code == 400
    assert [record.plans.for_pupil(pupil.id) for pupil in record.pupils.find()] == before


def test_every_letter_stands_in_one_of_four_lists(client: Browser, record: Record) -> None:
    pupils = [record.pupils.add(name, group="Jetty") for name in ("Mika", "Nuri", "Oda")]
    keep(record, [written(pupil, "l") for pupil in pupils for _ in range(3)])
    keep(record, [written(pupil, "c", Kind.DIRECTION) for pupil in pupils for _ in range(3)])
    keep(record, [written(pupils[0], "o") for _ in range(3)] + [written(pupils[1], "o")])

    shown = standing(page(client.get("/?group=Jetty")))

    secure, learning, few, untried = shown.values()
    assert "l 3 of 3" in secure
    assert "c 0 of 3" in learning
    assert "o 1 of 1" in few
    capitals, digits = (" ".join(PRINT.only(name).order) for name in ("capital", "digit"))
    assert untried == (
        f"Small letters i t j u y a d g q e s f r n h m b p k v w x z Capitals {capitals} Digits {digits}"
    )


def test_under_three_tries_nothing_is_called_secure(client: Browser, record: Record) -> None:
    pupils = [record.pupils.add(name, group="Jetty") for name in ("Mika", "Nuri", "Oda")]
    keep(record, [written(pupil, "l") for pupil in pupils for _ in range(2)])

    secure, _, few, _ = standing(page(client.get("/?group=Jetty"))).values()

    assert secure == "none"
    assert few == "l"


def test_who_did_not_write_for_a_week_is_named_with_the_day(client: Browser, record: Record) -> None:
    early, late, never = (record.pupils.add(name, group="Jetty") for name in ("Mika", "Nuri", "Oda"))
    keep(record, [written(early, "l", days_ago=8), written(late, "l", days_ago=6)])

    names = [said(line) for line in under(page(client.get("/?group=Jetty")), "away").iter("li")]

    assert names == ["Mika, last on 5 Mar", f"{never.name}, has not written yet"]


def test_the_longest_away_comes_first() -> None:
    pupils = [Pupil(1, "Abel", 1), Pupil(2, "Brida", 2), Pupil(3, "Cosmo", 3)]
    last = {1: TODAY - timedelta(days=9), 2: TODAY - timedelta(days=30), 3: TODAY}

    lapsed, never = away(pupils, last, TODAY)

    assert [away.pupil.name for away in lapsed] == ["Brida", "Abel"]
    assert never == ()


def test_no_more_than_a_few_single_needs_are_listed_each_with_its_ink(
    client: Browser, record: Record
) -> None:
    shown = under(page(client.get("/")), "alone")

    alone = record.figures.summary(families=lambda _: PRINT.families).alone
    lines = [said(line) for line in shown.iter("li")]
    assert len(lines) == min(ALONE, len(alone))
    assert lines[0].startswith(f"{alone[0].letter} {alone[0].pupil.name}: ")
    for line, need in zip(shown.iter("li"), alone, strict=False):
        (address,) = (link.get("href", "") for link in line.iterfind("figure//a"))
        shows = record.attempts.get(int(address.rpartition("/")[2]))
        assert shows is not None
        assert (shows.pupil, shows.letter) == (need.pupil.id, need.letter)
        assert need.kind in kinds(shows)


def test_every_need_of_the_class_stands_on_the_page(client: Browser, record: Record) -> None:
    """In a group, one at a time, or by name for another day: counted here from the last tries."""
    shown = page(client.get("/"))

    summary = record.figures.summary(families=lambda _: PRINT.families)
    another_day = [said(line) for line in under(shown, "another-day").iter("li")]
    assert summary.waiting
    for need in (*summary.waiting, *summary.alone[ALONE:]):
        (line,) = (line for line in another_day if line.startswith(f"{need.pupil.name} "))
        assert need.letter in line.removeprefix(need.pupil.name).replace(",", "").split()
    needs = [need for gathering in summary.gather for need in gathering.needs]
    needs += [*summary.alone, *summary.waiting]
    stood = {(need.pupil.id, need.letter) for need in needs}
    for pupil in summary.pupils:
        tries = [tried for tried in record.attempts.find(pupil.id, ink=False) if is_try(tried)]
        for letter in {tried.letter for tried in tries}:
            last = [tried for tried in tries if tried.letter == letter][-5:]
            seen = Counter(kind for tried in last for kind in kinds(tried))
            if len(last) == 5 and max(seen.values(), default=0) >= 3:
                assert (pupil.id, letter) in stood, f"{pupil.name} is forgotten at {letter}"


def test_a_group_that_is_not_there_is_not_found(client: Browser) -> None:
    assert client.get("/?group=Nowhere").status_code == 404


def test_a_group_shows_its_own_pupils_only(client: Browser, record: Record) -> None:
    shown = said(page(client.get("/?group=Quay")))

    assert not [pupil.name for pupil in record.pupils.find("Slipway") if pupil.name in shown]


def test_before_anything_is_written_the_page_says_how_to_begin(client: Browser, record: Record) -> None:
    record.pupils.add("Mika", group="Jetty")

    assert "Nothing has been written yet" in said(page(client.get("/?group=Jetty")))


def test_while_nobody_has_written_the_first_day_stands_here(client: Browser, record: Record) -> None:
    for pupil in record.pupils.find():
        record.pupils.archive(pupil.id)

    assert client.get("/").location == "/first-day"


def test_the_usual_cautions_stand_at_the_foot(client: Browser) -> None:
    assert "judge no child" in said(of_class(page(client.get("/")), "cautions")[0])


def test_names_and_groups_are_no_markup(client: Browser, record: Record) -> None:
    pupil = record.pupils.add("<b>Mika</b>", group="<i>Jetty</i>")
    keep(record, [written(pupil, "l", days_ago=9)])

    shown = page(client.get("/?group=%3Ci%3EJetty%3C/i%3E"))

    assert "<b>Mika</b>" in said(under(shown, "away"))


def test_needs_that_are_not_about_one_movement_stand_by_kind_each_with_its_own_advice(
    client: Browser, record: Record, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """On the page and in the terminal, in the same words; in the invented class there is one of each kind."""
    monkeypatch.setenv("COLUMNS", "80")
    whole = page(client.get("/"))
    summary = record.figures.summary(order=teaching_order(PRINT))
    terminal.show(summary)
    printed = " ".join(capsys.readouterr().out.split())

    assert {need.kind for need in summary.other} == set(OtherKind)
    shown = under(whole, "other")
    lines = [f"{need.pupil.name}: {other_needs.words(need)}" for need in summary.other]
    assert [said(line) for line in shown.iter("dd")] == lines
    assert [line for line in lines if line not in printed] == []
    titles = [text(f"summary.other.{kind}.title") for kind in OtherKind]
    advice = [other_needs.advice(kind) for kind in OtherKind]
    assert [said(term) for term in shown.iter("dt")] == list(map(" ".join, zip(titles, advice, strict=True)))
    assert [some for some in advice if some not in printed] == []

    need = next(need for need in summary.other if need.kind is OtherKind.SHAKY)
    terminal.show(record.figures.summary(pupil=need.pupil.id, order=teaching_order(PRINT)), pupil=need.pupil)
    alone = f"{other_needs.titled(need)} {other_needs.advice(need.kind)}"
    assert alone in " ".join(capsys.readouterr().out.split())
    following = under(page(client.get(f"/pupil/{need.pupil.id}")), "next")
    assert alone in said(following)
    assert f"/pupil/{need.pupil.id}/attempt/{need.attempt}/ink.json" in [
        figure.get("data-ink") for figure in following.iter("figure")
    ]


def test_letters_with_marks_are_not_missed_where_nobody_is_to_practice_them_without_a_plan(
    client: Browser,
) -> None:
    """They stand in some names, and nowhere among the letters that nobody tried."""
    shown = said(page(client.get("/class?set=capital")))

    assert "Nobody tried these letters in these days: T, U, P," in shown
    assert not set(shown) & set("ÄÉÑŁ")


def test_a_class_of_two_alphabets_has_the_letters_and_the_families_of_both(
    client: Browser, record: Record, tmp_path: Path
) -> None:
    """In the Jetty's alphabet b and o share a movement and þ is taught; in that of the others neither."""
    folder = tmp_path / places.LETTERS / "own"
    shutil.copytree(SHIPPED / "print", folder)
    (folder / "thorn.svg").write_text(THORN, encoding="utf-8")
    table = (folder / "alphabet.toml").read_text(encoding="utf-8")
    families = table[table.index("[[family]]") : table.index("[teaching]")]
    both = """[[family]]\nname = "round and straight"\nletters = ["b", "o"]\n\n"""
    (folder / "alphabet.toml").write_text(table.replace(families, both), encoding="utf-8")
    record.settings.set(setting("Jetty"), "own")
    for name, letter in (("Mika", "b"), ("Nuri", "o")):
        pupil = record.pupils.add(name, group="Jetty")
        keep(record, [written(pupil, letter, Kind.DIRECTION) for _ in range(3)])

    shown = page(client.get("/"))
    assert "Gather for b, o Jetty" in " ".join(said(group) for group in groups(shown))
    assert "þ" in standing(shown)["Not tried yet by nobody, or only traced"].split()
    assert "þ" not in said(page(client.get("/?group=Quay")))
    assert "Gather for m, n, r" in said(shown), "the families of the others are as they were"


THORN = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="-40 -230 170 360"><title>þ</title><g id="taught">
<path d="M0 -200 L0 100"><title>Down.</title></path>
<path d="M0 -82 C40 -118 84 -90 84 -50 C84 -10 40 18 0 -18"><title>Over and around.</title></path>
</g></svg>"""


def test_a_lesson_for_the_group_that_is_shown_is_one_step_away(client: Browser) -> None:
    for address, leads in (("/?group=Quay", "/lesson?group=Quay"), ("/", "/lesson")):
        links = page(client.get(address)).iter("a")
        assert leads in [link.get("href") for link in links if said(link) == text("tomorrow.lesson")]
