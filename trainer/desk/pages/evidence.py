"""What stands beside a claim on Tomorrow: the attempt that shows it, how sure it is, and what came of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from flask import url_for
from markupsafe import Markup

from strokes.alphabet import Alphabet
from strokes.intervals import wilson
from trainer.attempt import Addition, Attempt, Pupil
from trainer.desk.desk import desk
from trainer.desk.pictures import replay
from trainer.language import day_words, letter_words, text
from trainer.record import ADDED_FOR
from trainer.teaching import LATELY, Gathering, Need, by_letter, by_pupil, is_try, tries

LOOKED_AT = 4 * LATELY
"""Attempts at a letter among which the telling one is looked for: the last tries, and traced ones between."""

TEN = 10


@dataclass(frozen=True)
class Telling:
    """A pupil of a group with the letters to teach, and the latest attempt that shows why.

    `stage` is its ink with the place of the finding, None where no ink is kept; `moments` is where the
    script finds its times.
    """

    pupil: Pupil
    letters: tuple[str, ...]
    stage: Markup | None = None
    caption: str = ""
    address: str = ""
    moments: str = ""


def telling(gathering: Gathering, alphabet: Alphabet) -> list[Telling]:
    """Each pupil of a group with the evidence for what was seen most."""
    return [telling_of(pupil, needs, alphabet) for pupil, needs in by_pupil(gathering.needs).items()]


def telling_of(pupil: Pupil, needs: Sequence[Need], alphabet: Alphabet) -> Telling:
    """The evidence for what a pupil showed most of these."""
    letters = tuple(need.letter for need in needs)
    for need in sorted(needs, key=lambda need: -need.times):
        shows = partial(_shows, need)
        if attempt := desk().record.attempts.latest_with_ink(pupil.id, need.letter, shows, n=LOOKED_AT):
            return _shown(Telling(pupil, letters), need, attempt, alphabet)
    return Telling(pupil, letters)


def _shows(need: Need, attempt: Attempt) -> bool:
    return is_try(attempt) and need.kind in tries.kinds(attempt)


def _shown(bare: Telling, need: Need, attempt: Attempt, alphabet: Alphabet) -> Telling:
    pupil = bare.pupil
    letter = alphabet.get(attempt.letter)
    kinds = [finding.kind for finding in attempt.verdict.findings] if attempt.verdict else []
    every = replay.marks(attempt, replay.formation_of(attempt, letter))
    telling = [mark for mark, kind in zip(every, kinds, strict=True) if kind is need.kind and not mark.note]
    marks = [replace(mark, number=number) for number, mark in enumerate(telling, 1)]
    title = text("pupil.attempt.ink", letter=letter_words(attempt.letter), name=pupil.name)
    return replace(
        bare,
        stage=replay.stage(attempt.ink, alphabet.guide, marks, title=title),
        caption=text("tomorrow.evidence.caption", letter=attempt.letter, day=day_words(attempt.at)),
        address=url_for("pupil.attempt", number=pupil.id, attempt=attempt.id),
        moments=url_for("pupil.ink", number=pupil.id, attempt=attempt.id),
    )


def sure(gathering: Gathering) -> str:
    """How sure what was seen is: in how many of ten more tries it would be seen, by all of them together."""
    low, high = (round(TEN * share) for share in wilson(gathering.times, gathering.tries))
    return text("tomorrow.evidence.sure", low=low, high=high, ten=TEN)


def came_of(additions: Mapping[int, Sequence[Addition]], pupils: Sequence[Pupil]) -> list[str]:
    """What was written since letters were planned from this page, a line for each day that still counts."""
    by_day: dict[date, dict[Pupil, list[Addition]]] = {}
    for pupil in pupils:
        for addition in additions.get(pupil.id, ()):
            by_day.setdefault(addition.day, {}).setdefault(pupil, []).append(addition)
    return [f"{added_words(by_day[day])} {_since(day, by_day[day])}" for day in sorted(by_day, reverse=True)]


def _since(day: date, added: Mapping[Pupil, Sequence[Addition]]) -> str:
    summary = desk().record.figures.summary(since=day, findings=False, lately=False)
    formed = tried = 0
    for pupil, own in added.items():
        lines = by_letter(summary.by_pupil[pupil.id])
        for line in (lines[addition.letter] for addition in own if addition.letter in lines):
            formed, tried = formed + line.formed, tried + line.tries
    if not tried:
        return text("tomorrow.evidence.none")
    return text("tomorrow.evidence.since", formed=formed, tries=tried)


def added_words(additions: Mapping[Pupil, Sequence[Addition]]) -> str:
    """Which letters were added for whom, and the day from which on they no longer count."""
    if not additions:
        return ""
    first = min(addition.day for own in additions.values() for addition in own)
    each = [
        text("plan.added.each", name=pupil.name, letters=", ".join(addition.letter for addition in own))
        for pupil, own in additions.items()
    ]
    day, until = day_words(first), day_words(first + ADDED_FOR)
    return text("plan.added.said", each="; ".join(each), day=day, until=until)
