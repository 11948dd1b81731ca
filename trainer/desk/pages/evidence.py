"""What stands beside a claim on Tomorrow: the attempt that shows it, how sure it is, and what came of it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from functools import partial

from flask import url_for
from markupsafe import Markup

from strokes.alphabet import Alphabet
from strokes.intervals import wilson
from strokes.kinds import Kind
from trainer.attempt import Addition, Attempt, Pupil
from trainer.desk.desk import desk
from trainer.desk.pictures import replay
from trainer.errors import BrokenRecordError
from trainer.language import day_words, letter_words, text
from trainer.record import ADDED_FOR
from trainer.teaching import LATELY, Gathering, Need, OtherNeed, by_pupil, is_try, tries

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
            return _shown(Telling(pupil, letters), attempt, (need.kind,), alphabet)
    return Telling(pupil, letters)


def telling_other(need: OtherNeed, alphabet: Alphabet) -> Telling:
    """The latest attempt that shows a need which is not about one movement, unless it is damaged."""
    bare = Telling(need.pupil, need.letters)
    try:
        attempt = desk().record.attempts.get(need.attempt or 0)
    except BrokenRecordError:  # the page says which attempts cannot be read
        return bare
    return _shown(bare, attempt, (), alphabet) if attempt and attempt.ink.traces else bare


def _shows(need: Need, attempt: Attempt) -> bool:
    return is_try(attempt) and need.kind in tries.kinds(attempt)


def _shown(bare: Telling, attempt: Attempt, shows: Collection[Kind], alphabet: Alphabet) -> Telling:
    """The attempt with the places of the kinds that it shows."""
    pupil = bare.pupil
    letter = alphabet.get(attempt.letter)
    kinds = [finding.kind for finding in attempt.verdict.findings] if attempt.verdict else []
    every = replay.marks(attempt, replay.formation_of(attempt, letter))
    telling = [mark for mark, kind in zip(every, kinds, strict=True) if kind in shows and not mark.note]
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


def came_of(
    additions: Mapping[int, Sequence[Addition]], pupils: Sequence[Pupil], gather: Sequence[Gathering] = ()
) -> list[str]:
    """What was written since letters were planned from this page, a line for each day that still counts.

    What stands with a group that is still to be gathered is told there.
    """
    gathered = {(need.pupil.id, need.letter) for gathering in gather for need in gathering.needs}
    by_day: dict[date, dict[Pupil, list[Addition]]] = {}
    for pupil in pupils:
        for addition in additions.get(pupil.id, ()):
            if (pupil.id, addition.letter) not in gathered:
                by_day.setdefault(addition.day, {}).setdefault(pupil, []).append(addition)
    return [came_of_words(by_day[day]) for day in sorted(by_day, reverse=True)]


def came_of_words(added: Mapping[Pupil, Sequence[Addition]]) -> str:
    """Which letters were added for whom, until when they count, and how they were written since."""
    if not added:
        return ""
    since = [
        desk().record.figures.tries_since(pupil.id, addition.letter, _after(addition))
        for pupil, own in added.items()
        for addition in own
    ]
    formed, tries = (sum(counts) for counts in zip(*since, strict=True))
    key = "since" if tries else "none"
    return f"{_added_words(added)} {text(f'tomorrow.evidence.{key}', formed=formed, tries=tries)}"


def _after(addition: Addition) -> datetime:
    """The moment when it was added; where only the day was kept, the end of that day."""
    return addition.at or datetime.combine(addition.day, time.max).astimezone()


def _added_words(additions: Mapping[Pupil, Sequence[Addition]]) -> str:
    """Which letters were added for whom, and the day from which on they no longer count."""
    first = min(addition.day for own in additions.values() for addition in own)
    each = [
        text("plan.added.each", name=pupil.name, letters=", ".join(addition.letter for addition in own))
        for pupil, own in additions.items()
    ]
    day, until = day_words(first), day_words(first + ADDED_FOR)
    return text("plan.added.said", each="; ".join(each), day=day, until=until)
