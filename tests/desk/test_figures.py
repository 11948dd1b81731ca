"""The figures on every page, in both reports and in the table for a spreadsheet equal a recount from the ink.

The record is made at random, and the recount, `recount.py`, shares no line with what the desk counts with.
Many more records:

    FIGURES_RUNS=200 .venv/bin/python -m pytest -n 2 tests/desk/test_figures.py
"""

from __future__ import annotations

import csv
import io
import os
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import TypeAlias
from xml.etree.ElementTree import Element

import numpy as np
import pytest

from strokes.kinds import Kind
from tests import pdf
from tests.desk.random_class import CAPITALS, DAY, SMALL, fill
from tests.desk.reader import of_class, page, said, under
from tests.desk.recount import Letter, Recount, Try, is_secure, likely, mondays
from tests.desk.visitor import TODAY, Browser
from trainer import places
from trainer.attempt import Pupil
from trainer.commands.cli import main
from trainer.judging import Judged
from trainer.language import day_words, kind_name, letter_words, text
from trainer.record.record import Record
from trainer.teaching.other_needs import pause, wobble

RUNS = int(os.environ.get("FIGURES_RUNS", "2"))


Needs: TypeAlias = dict[tuple[str, str], tuple[Kind, int, int]]
"""What should be taught, by the name of the pupil and the letter."""

JUDGED: dict[tuple[object, ...], Judged] = {}
"""What the recount found in ink, for all records of this process: they draw from the same hands."""


@pytest.fixture(params=range(RUNS))
def record(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Record]:
    """A record made at random, another one for each run."""
    with Record.open(tmp_path / places.RECORD, now=TODAY) as opened:
        fill(opened, np.random.default_rng(request.param))
        yield opened


def plain(words: str) -> str:
    """Words with the spaces of `said`."""
    return " ".join(words.replace("\u00a0", " ").split())


def of(good: int, tries: int) -> str:
    return text("summary.table.of", count=good, tries=tries) if tries else text("summary.table.none")


def percent(good: int, tries: int) -> str:
    low, high = (f"{100 * abs(share):.0f}" for share in likely(good, tries))
    return text("classroom.likely", low=low, high=high)


def test_every_page_says_what_a_recount_of_the_ink_says(
    client: Browser, record: Record, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Each page is looked at with the same recount, so they are one test."""
    counted = Recount.of(record, JUDGED)
    for group in (None, "Quay"):
        tomorrow(
            page(client.get("/", query_string={"group": group} if group else {})), counted, group, record
        )
    for days, since, by, letters in (
        ("all", date.min, "formation", SMALL),
        ("week", DAY - timedelta(days=6), "look", SMALL),
        ("lately", None, "formation", SMALL),
        ("lately", None, "look", CAPITALS),
    ):
        letter_set = "small" if letters is SMALL else "capital"
        shown = page(client.get(f"/class?days={days}&by={by}&set={letter_set}"))
        classroom(shown, counted, since, by == "formation", letters)
    over_time(page(client.get("/class/over-time?set=small&days=all")), counted, counted.pupils)
    for pupil in counted.pupils:
        if pupil.name in ("Nella", "Nora"):
            pupils_page(page(client.get(f"/pupil/{pupil.id}")), counted, pupil)
            over_time(page(client.get(f"/pupil/{pupil.id}/over-time?days=all")), counted, [pupil])
            erasing(page(client.get(f"/pupils/erase?pupil={pupil.id}")), counted, pupil)
    nella = next(pupil for pupil in counted.pupils if pupil.name == "Nella")
    history(client, counted, nella)
    child_report(client.get(f"/paper/report.pdf?whom=pupil+{nella.id}").data, counted, nella)
    plan(page(client.get("/plan?group=Quay&by=order&set=small")), counted)
    class_report(client.get("/paper/report.pdf?whom=group+Quay").data, counted)
    assert main(["--data", str(tmp_path), "summary", "--csv", "-"]) == 0
    spreadsheet(csv.DictReader(io.StringIO(capsys.readouterr().out)), counted)


# Page by page


def tomorrow(shown: Element, counted: Recount, group: str | None, record: Record) -> None:
    pupils = counted.of_group(group)
    every = counted.every(pupils)
    tries = sum(len(own.tries) for own in every)
    words = {"group": group or "Whole class", "day": day_words(TODAY, year=True), "lately": 5}
    assert plain(text("tomorrow.as_of", pupils=len(pupils), tries=tries, **words)) in said(shown)
    needs = {
        (pupil.name, name): own.need
        for pupil in pupils
        for name, own in counted.of_pupil(pupil).items()
        if own.need
    }
    named = list(gathered(shown, needs)) + list(alone(shown, needs))
    for line in of_class(shown, "another-day"):
        for item in line.iter("li"):
            name, letters = said(item.find("a")), said(item.find("b"))
            named += [(name, letter) for letter in letters.split(", ")]
    assert sorted(named) == sorted(needs), "a need is left out, or stands in two places"
    standing = Counter(said(item) for lists in of_class(shown, "standing") for item in lists.iter("li"))
    for letter in SMALL + CAPITALS:
        secure, enough = counted.secure_of(pupils, letter)
        if enough:
            said_aloud = text(
                "tomorrow.letters.said", letter=letter_words(letter), secure=secure, enough=enough
            )
            assert standing[f"{said_aloud}{letter} {secure} of {enough}"] == 1
    other_needs(shown, counted, pupils, record)
    last = {
        pupil: [at for own in counted.of_pupil(pupil).values() for at in own.finished] for pupil in pupils
    }
    away = [
        plain(f"{pupil.name}, last on {day_words(max(moments))}")
        for pupil, moments in last.items()
        if moments and TODAY - max(moments) > timedelta(days=7)
    ]
    away += [f"{pupil.name}, has not written yet" for pupil, moments in last.items() if not moments]
    assert sorted(said(item) for item in under(shown, "away").iter("li")) == sorted(away)
    since_then(shown, counted, pupils, record)


def gathered(shown: Element, needs: Needs) -> Iterator[tuple[str, str]]:
    """Who is gathered for which letter; the card says how often it was seen, and how sure that is."""
    for card in of_class(shown, "gathering"):
        (heading,) = card.iter("h2")
        letters = (heading.text or "").strip().removeprefix("Gather for ")
        taught = []
        (names,) = of_class(card, "names")
        for item in names:
            own = said(item.find("span/b")) if ", " in letters else letters
            taught += [(said(item.find("span/a")), letter) for letter in own.split(", ")]
        (kind,) = {needs[each][0] for each in taught}
        seen, tries = (sum(needs[each][place] for each in taught) for place in (1, 2))
        assert kind_name(kind) in said(card)
        assert f" in {seen} of their last {tries} tries. " in said(card)
        low, high = (round(10 * abs(share)) for share in likely(seen, tries))
        assert f"Of 10 more tries it would show in {low} to {high}." in said(card)
        yield from taught


def alone(shown: Element, needs: Needs) -> Iterator[tuple[str, str]]:
    for item in (item for lists in of_class(shown, "alone") for item in lists.iter("li")):
        need = (said(item.find("p/a")), said(item.find("p/b")))
        kind, seen, tries = needs[need]
        assert kind_name(kind) in said(item)
        assert f", in {seen} of the last {tries} tries" in said(item)
        yield need


def unsettled(counted: Recount, pupil: Pupil, record: Record) -> dict[str, tuple[int, int]]:
    """Shaky lines and long pauses in the last ten tries of all letters: how often seen, of how many."""
    tries = [one_try for own in counted.letters.get(pupil.id, {}).values() for one_try in own.tries]
    last = [
        record.attempts.get(one_try.number)
        for one_try in sorted(tries, key=lambda one_try: (one_try.at, one_try.number))[-10:]
    ]
    needs = {}
    for kind, limit in (("shaky", 0.012), ("pause", 3.0)):
        amounts = [
            wobble(attempt.ink) if kind == "shaky" else pause(attempt.ink, attempt.shown)
            for attempt in last
            if attempt
        ]
        seen = sum(amount is not None and amount >= limit for amount in amounts)
        if len(amounts) >= 3 and seen >= 2 and 2 * seen >= len(amounts):
            needs[kind] = (seen, len(amounts))
    return needs


def other_needs(shown: Element, counted: Recount, pupils: Sequence[Pupil], record: Record) -> None:
    expected = Counter[str]()
    for pupil in pupils:
        if never := counted.never(pupil):
            expected[f"{pupil.name}: {' '.join(sorted(never))}"] += 1
        for seen, tries in unsettled(counted, pupil, record).values():
            expected[f"{pupil.name}: {seen} of the last {tries}"] += 1
    actual = Counter[str]()
    for item in (item for lists in of_class(shown, "other") for item in lists.iter("dd")):
        name, _, words = said(item).partition(": ")
        figures = re.search(r"in (\d+ of the last \d+) tries", words)
        actual[f"{name}: {figures[1] if figures else ' '.join(sorted(words.split(', ')))}"] += 1
    assert actual == expected


def since_then(shown: Element, counted: Recount, pupils: Sequence[Pupil], record: Record) -> None:
    """What came of letters that were planned from this page: what was written after that moment."""
    added = record.plans.added(today=DAY)
    tries = [
        one_try
        for pupil in pupils
        for addition in added.get(pupil.id, ())
        for one_try in counted.letters.get(pupil.id, {}).get(addition.letter, Letter()).tries
        if addition.at and one_try.at > addition.at
    ]
    shares = re.findall(r"Since then well formed in (\d+) of (\d+)\.", said(shown))
    assert sum(int(written) for _, written in shares) == len(tries)
    assert sum(int(formed) for formed, _ in shares) == sum(one_try.formed for one_try in tries)


def classroom(shown: Element, counted: Recount, since: date | None, formation: bool, letters: str) -> None:
    def asked(tries: Sequence[Try]) -> Sequence[Try]:
        return tries[-5:] if since is None else [one_try for one_try in tries if one_try.day >= since]

    def cell(tries: Sequence[Try]) -> str:
        good = sum(one_try.formed if formation else one_try.looks for one_try in tries)
        mended = sum(one_try.mended for one_try in tries) if formation else 0
        return f"{good}/{len(tries)}{f' +{mended}' if mended else ''}" if tries else ""

    tables = of_class(shown, "grid")
    tried = [
        letter for letter in letters if any(asked(tries) for tries in counted.tries(counted.pupils, letter))
    ]
    if not tables:
        assert not tried
        return
    grid = [[said(cell) for cell in row] for row in tables[0].iter("tr")]
    heads = [said(cell)[-1] for cell in of_class(tables[0], "letter")]
    if set(heads) != set(tried):  # the set that was asked for has none: another one_try is shown
        assert not tried
        return
    rows = {row[0]: row[-len(heads) :] for row in grid[2:]}
    every: dict[str, list[Try]] = {letter: [] for letter in heads}
    for pupil in counted.pupils:
        own = [asked(counted.letters.get(pupil.id, {}).get(letter, Letter()).tries) for letter in heads]
        assert rows[pupil.name] == [cell(tries) for tries in own]
        for letter, tries in zip(heads, own, strict=True):
            every[letter] += tries
    assert rows["All"] == [cell(every[letter]) for letter in heads]
    for table in of_class(shown, "seen"):
        kinds = {text(f"classroom.kind.{kind}"): kind for kind in Kind}
        columns = [
            kinds[said(cell)]
            for cell in list(table.iter("th"))[3 : -sum(len(own) >= 3 for own in every.values())]
        ]
        for row in list(table.iter("tr"))[1:]:
            tries = every[said(row[0])]
            good = sum(one_try.formed if formation else one_try.looks for one_try in tries)
            assert [said(row[1]), said(row[2])] == [str(len(tries)), percent(good, len(tries))]
            for kind, shown_count in zip(columns, row[3:], strict=True):
                seen = sum(kind in one_try.kinds for one_try in tries)
                assert (re.match(r"\d*", said(shown_count)) or [""])[0] == (str(seen) if seen else "")
    if since is not None and formation and letters is SMALL:
        weeks(shown, counted)


def weeks(shown: Element, counted: Recount) -> None:
    tries = [one_try for own in counted.every(counted.pupils) for one_try in own.tries]
    rows = []
    for start in mondays(min(one_try.day for one_try in tries), max(one_try.day for one_try in tries)):
        own = [one_try for one_try in tries if start <= one_try.day < start + timedelta(weeks=1)]
        good = [sum(getattr(one_try, name) for one_try in own) for name in ("formed", "mended", "looks")]
        rows.append([plain(day_words(start)), *map(str, (len(own), *good))])
    table = next(under(shown, "trend").iter("tbody"))
    assert [[said(cell) for cell in row] for row in table] == rows


def over_time(shown: Element, counted: Recount, pupils: Sequence[Pupil]) -> None:
    """First tried and secure since, by weeks, and how the letter stands now."""
    days = [one_try.day for own in counted.every(pupils) for one_try in own.tries]
    written = [at for own in counted.every(pupils) for at in own.finished + own.broken]
    if not days:
        assert "Nothing was written" in said(shown)
        return
    first = min(written).astimezone().date()
    starts = mondays(first, DAY)
    firsts = [first, *starts[1:]]
    ends = [*(start - timedelta(days=1) for start in starts[1:]), DAY]
    rows = {
        said(row[0]): [said(cell) for cell in row[1:]] for row in list(under(shown, "table").iter("tr"))[1:]
    }
    for letter in SMALL:
        own = counted.tries(pupils, letter)
        if not own:
            assert letter not in rows
            continue
        states = []
        for end in ends:
            last = [[one_try for one_try in tries if one_try.day <= end] for tries in own]
            secure = sum(is_secure(tries[-5:]) for tries in last)
            enough = sum(len(tries) >= 3 for tries in last)
            least = min(3, len(pupils))
            states.append(
                (any(last), enough >= least and 5 * secure >= 4 * enough and enough > 0, secure, enough)
            )
        tried = next(place for place, state in enumerate(states) if state[0])
        is_secure_at = [state[1] for state in states]
        now = (
            states[-1][2:]
            if len(pupils) > 1
            else (sum(one_try.formed for one_try in own[0][-5:]), len(own[0][-5:]))
        )
        if is_secure_at[-1]:
            since = len(ends)
            while since and is_secure_at[since - 1]:
                since -= 1
            secure_since = day_words(firsts[since])
        elif any(is_secure_at):
            secure_since = f"not now; at first {day_words(firsts[is_secure_at.index(True)])}"
        else:
            secure_since = "not yet"
        assert rows[letter] == [plain(day_words(firsts[tried])), plain(secure_since), of(*now)]


def pupils_page(shown: Element, counted: Recount, pupil: Pupil) -> None:
    letters, head = counted.of_pupil(pupil), said(of_class(shown, "pupil-head")[0])
    every = counted.letters.get(pupil.id, {}).values()
    if not letters:
        assert "Nothing has been written yet." in head
        return
    tries, traced, broken = (
        sum(numbers)
        for numbers in zip(*((len(own.tries), own.traced, len(own.broken)) for own in every), strict=True)
    )
    assert f"By copy or from memory: {tries}. Traced: {traced}." in head
    assert (f"Not finished: {broken}." in head) is (broken > 0)
    overruled = counted.overruled[pupil.id]
    assert (f"You overruled {overruled} of these" in head) is (overruled > 0)
    rows = {said(row[0]): row for row in under(shown, "letters").iter("tr")}
    assert {name for name in rows if len(name) == 1} == set(letters)
    for name, own in letters.items():
        line(rows[name], own)
    items = [said(item) for lists in of_class(shown, "next") for item in lists.findall("li")]
    for name, own in letters.items():
        if own.need:
            kind, seen, last = own.need
            start, end = f"{name}: {kind_name(kind)}", f" in {seen} of the last {last} tries. "
            assert sum(item.startswith(start) and end in item for item in items) == 1
    seen_on_paper(said(under(shown, "on-paper")), counted, pupil)


def line(row: Element, own: Letter) -> None:
    """One letter on a pupil's page."""
    cells, tries = [said(cell) for cell in row], own.tries
    if len(tries) < 3:
        few = text("pupil.letters.few", tries=len(tries), enough=3)
        assert cells[1] == (few if tries else text("pupil.letters.only_traced", traced=own.traced))
        return
    formed, mended = sum(one_try.formed for one_try in tries), sum(one_try.mended for one_try in tries)
    alone, in_words = (
        [one_try.formed for one_try in tries if one_try.in_word is part] for part in (False, True)
    )
    well = of(formed, len(tries)) + (f" {mended} mended" if mended else "")
    if in_words:
        apart = [of(sum(some), len(some)) for some in (alone, in_words)]
        well += f" Alone: {apart[0]}. In words: {apart[1]}."
    recalled = [one_try.formed for one_try in tries if one_try.from_memory]
    looks = sum(one_try.looks for one_try in tries)
    assert cells[1:5] == [
        *(well, percent(formed, len(tries)), of(looks, len(tries)), of(sum(recalled), len(recalled)))
    ]
    assert cells[6] == plain(day_words(max(own.finished)))
    seen = Counter(kind for one_try in tries for kind in one_try.kinds)
    often = {kind: count for kind, count in seen.items() if count >= 2}
    shares = re.findall(r", (\d+) of (\d+)", cells[7])
    expected = sorted((often or dict(seen.most_common(1))).values(), reverse=True)[:3]
    expected += Counter(kind for one_try in tries for kind in one_try.notes).values()
    assert shares == [(str(count), str(len(tries))) for count in expected]


def seen_on_paper(words: str, counted: Recount, pupil: Pupil) -> None:
    own = [each for each in counted.observations if each.pupil == pupil.id]
    for letter in {each.letter for each in own}:
        of_letter = [each for each in own if each.letter == letter]
        formed = sum(Kind.START not in each.seen for each in of_letter)
        day = plain(day_words(max(each.day for each in of_letter), year=True))
        assert f"{letter}: well formed {formed} of {len(of_letter)}, last on {day}" in words


def history(client: Browser, counted: Recount, pupil: Pupil) -> None:
    """All tries can be paged, the newest first, each with its verdict."""
    tries = [one_try for own in counted.letters.get(pupil.id, {}).values() for one_try in own.tries]
    tries.sort(key=lambda one_try: (one_try.at, one_try.number), reverse=True)
    shown, address = [], f"/pupil/{pupil.id}"
    while address:
        attempts = page(client.get(address))
        for attempt in of_class(attempts, "attempt"):
            (link,) = [a.get("href", "") for a in attempt.iter("a")]
            shown.append((int(link.rpartition("/")[2]), said(of_class(attempt, "results")[0])))
        address = "".join(a.get("href", "") for a in attempts.iter("a") if a.get("rel") == "next")
    outcomes = [
        (
            one_try.number,
            "formed" if one_try.formed else "mended" if one_try.mended else "not_yet",
            one_try.looks,
        )
        for one_try in tries
    ]
    expected = {number: (text(f"pupil.verdict.{outcome}"), looks) for number, outcome, looks in outcomes}
    finished = [(number, words) for number, words in shown if number in expected]
    assert [number for number, _ in finished] == [number for number, *_ in outcomes]
    for number, words in finished:
        outcome, looks = expected[number]
        assert outcome in words or text("pupil.latest.overruled") in words
        assert ("Looks right" in words) is looks or text("pupil.latest.overruled") in words


def erasing(shown: Element, counted: Recount, pupil: Pupil) -> None:
    """What would go is counted as well."""
    own = counted.letters.get(pupil.id, {}).values()
    attempts = sum(len(letter.finished) + len(letter.broken) for letter in own)
    words = said(under(shown, "goes"))
    assert (f": {attempts}, of them still with ink: {attempts}" in words) is (attempts > 0)
    assert f"verdicts that you changed: {counted.words[pupil.id]}" in words
    seen = sum(each.pupil == pupil.id for each in counted.observations)
    assert f"what you saw on paper: {seen}" in words


def child_report(content: bytes, counted: Recount, pupil: Pupil) -> None:
    reader = pdf.read(content)
    words = plain(" ".join(sheet.extract_text() for sheet in reader.pages))
    aloud = [plain(each.alternative) for each in pdf.spoken(reader) if each.alternative]
    lists: dict[str, set[str]] = {"Secure now": set(), "Being learned": set(), "Begun": set()}
    for name, own in counted.of_pupil(pupil).items():
        key = "Begun" if len(own.tries) < 3 else "Secure now" if own.secure else "Being learned"
        lists[key].add(name)
    for heading, letters in lists.items():
        listed_letters = [each.partition(": ")[2] for each in aloud if each.startswith(heading)]
        named = {name for each in listed_letters for name in re.split(", | and ", each)}
        assert named == {letter_words(letter) for letter in letters}
    needs = [own.need for own in counted.of_pupil(pupil).values() if own.need]
    for seen, tries in re.findall(r"Seen in (\d+) of the last (\d+) tries", words):
        assert (int(seen), int(tries)) in [need[1:] for need in needs]
    assert words.count("Seen in ") == min(2, len(needs))
    if len({each.letter for each in counted.observations if each.pupil == pupil.id}) <= 4:
        seen_on_paper(words, counted, pupil)


def class_report(content: bytes, counted: Recount) -> None:
    pupils = counted.of_group("Quay")
    words = plain(" ".join(sheet.extract_text() for sheet in pdf.read(content).pages))
    tries = sum(len(own.tries) for own in counted.every(pupils))
    assert f"Pupils: {len(pupils)}. " in words
    assert f"tries by copy or from memory: {tries}." in words
    shares = [counted.secure_of(pupils, letter) for letter in SMALL + CAPITALS]
    expected = Counter(of(*share) for share in shares if share[1] >= 3)
    listed_shares = words.partition("Gather next")[0]
    assert Counter(re.findall(r"\b\d+ of \d+\b", listed_shares)) == expected


def plan(shown: Element, counted: Recount) -> None:
    """With how many a letter is secure; where pupils share a need, in how many of their tries it was seen."""
    pupils = {pupil.name: pupil for pupil in counted.of_group("Quay")}
    for item in (item for lists in of_class(shown, "choices") for item in lists.iter("li")):
        letter, words = said(next(item.iter("title"))), said(of_class(item, "why")[0])
        for share in re.findall(r"secure with (\d+) of (\d+)", words):
            assert tuple(map(int, share)) == counted.secure_of([*pupils.values()], letter)
        for kind in Kind:
            sentence = rf"([\w, ]+?) {re.escape(kind_name(kind))}[^.]* in (\d+) of the last (\d+) tries\."
            for names, seen, tries in re.findall(sentence, words):
                named = [pupils[name] for name in re.split(", | and ", names.strip())]
                needs = [counted.of_pupil(pupil)[letter].need or (None, 0, 0) for pupil in named]
                assert {need[0] for need in needs} == {kind}
                assert int(seen) == sum(need[1] for need in needs)
                assert int(tries) == sum(need[2] for need in needs)


def spreadsheet(rows: Iterable[dict[str, str]], counted: Recount) -> None:
    table = {(row["Pupil"], row["Letter"]): row for row in rows}
    expected = {
        (pupil.name, name): own for pupil in counted.pupils for name, own in counted.of_pupil(pupil).items()
    }
    paper = {
        (pupil.name, letter): own
        for pupil in counted.pupils
        for letter in SMALL
        if (own := [each for each in counted.observations if (each.pupil, each.letter) == (pupil.id, letter)])
    }
    assert table.keys() == expected.keys() | paper.keys()
    for key, own in expected.items():
        row, tries = table[key], own.tries
        recalled, words = (
            [one_try for one_try in tries if getattr(one_try, name)] for name in ("from_memory", "in_word")
        )
        counts = {
            "Tries": len(tries),
            "Well formed": sum(one_try.formed for one_try in tries),
            "Mended": sum(one_try.mended for one_try in tries),
            "Looks right": sum(one_try.looks for one_try in tries),
            "Copied": len(tries) - len(recalled),
            "Copied, well formed": sum(one_try.formed for one_try in tries if not one_try.from_memory),
            "From memory": len(recalled),
            "From memory, well formed": sum(one_try.formed for one_try in recalled),
            "Lately": len(own.last),
            "Lately, well formed": sum(one_try.formed for one_try in own.last),
            "Traced": own.traced,
            "In words": len(words),
            "In words, well formed": sum(one_try.formed for one_try in words),
            "Notes": sum(len(one_try.notes) for one_try in tries),
        }
        counts |= {
            f"Seen: {kind_name(kind)}": sum(kind in one_try.kinds for one_try in tries) for kind in Kind
        }
        assert {name: row[name] for name in counts} == {name: str(count) for name, count in counts.items()}
        days = [at.astimezone().date().isoformat() for at in own.finished]
        assert (row["First on"], row["Last on"]) == (min(days), max(days))
        if len(tries) >= 3:
            low, high = likely(counts["Well formed"], len(tries))
            assert (row["Likely from %"], row["Likely to %"]) == (
                f"{100 * abs(low):.0f}",
                f"{100 * high:.0f}",
            )
    for key, seen in paper.items():
        formed = sum(Kind.START not in each.seen for each in seen)
        day = max(each.day for each in seen).isoformat()
        columns = ("On paper, looked at", "On paper, well formed", "On paper, last on")
        assert [table[key][column] for column in columns] == [str(len(seen)), str(formed), day]
