"""Why a letter should be practiced next, or may wait: for a pupil by the attempts, for a group by figures.

The order of the reasons is the order in which letters are proposed. The words are texts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum

from strokes.alphabet import Alphabet
from strokes.kinds import Kind
from trainer.attempt import Attempt
from trainer.language import day_words, listed, seen_words, text
from trainer.teaching import letter_offers
from trainer.teaching.group_assignment import Need
from trainer.teaching.mastery import ClassLetter, Level, by_letter, class_letters, level
from trainer.teaching.summary import Summary
from trainer.teaching.tries import ENOUGH

IDLE = timedelta(days=14)
"""A letter that a group left alone for so long is due again: the middle of `letter_offers.GAPS`."""


class Because(StrEnum):
    """Reasons to practice a letter, the strongest first; `waits` is a reason against it for now."""

    NEED = "need"
    LEARNING = "learning"
    DUE = "due"
    FEW = "few"
    NAME = "name"
    NEW = "new"
    WAITS = "waits"


@dataclass(frozen=True)
class Reason:
    """Why a letter is proposed or not, as a kind and in words; `level` is its mastery.

    `since` is the day from which it is due; the longest due comes first among equals.
    """

    letter: str
    because: Because
    words: str
    level: Level
    since: date | None = None


def of_group(summary: Summary, order: Sequence[str], today: date) -> dict[str, Reason]:
    """A reason for each letter in `order`, from the figures of a group of any size.

    What pupils share is a reason, whether they are gathered for it tomorrow or on another day. What one
    pupil alone needs is for that pupil's own plan.
    """
    taught = [need for gathering in summary.gather for need in gathering.needs]
    needs = _needs((*taught, *summary.waiting))
    lines = by_letter(summary.lines)
    reasons = {}
    for class_letter in class_letters(summary, order):
        last = lines[class_letter.letter].last.astimezone().date() if class_letter.letter in lines else None
        reasons[class_letter.letter] = _of_class(
            class_letter, last, needs.get(class_letter.letter, ""), today
        )
    return reasons


def _of_class(class_letter: ClassLetter, last: date | None, need: str, today: date) -> Reason:
    counts = {"secure": class_letter.secure, "enough": class_letter.enough}
    since = last + IDLE if last and last + IDLE <= today else None
    if need:
        because, words = Because.NEED, need
    elif class_letter.level is Level.NONE:
        because, words = Because.NEW, text("plan.because.new")
    elif class_letter.level in (Level.PARTLY, Level.SELDOM):
        because, words = Because.LEARNING, text("plan.because.learning", **counts)
    elif since:
        because, words = Because.DUE, text("plan.because.idle", days=IDLE.days)
    elif class_letter.level is Level.FEW:
        because, words = Because.FEW, text("plan.because.few_pupils", enough=ENOUGH)
    else:
        because, words = Because.WAITS, text("plan.because.secure_with", **counts)
    if last and not need:
        words = text("plan.because.last", words=words, last=day_words(last))
    return Reason(class_letter.letter, because, words, class_letter.level, since)


def _needs(needs: Iterable[Need]) -> dict[str, str]:
    """The pupils who showed the same at a letter of late, in sentences for each letter."""
    alike: defaultdict[tuple[str, Kind, tuple[str, ...]], list[Need]] = defaultdict(list)
    for need in needs:
        alike[need.letter, need.kind, need.instead].append(need)
    said: defaultdict[str, list[str]] = defaultdict(list)
    for (letter, kind, instead), shared in alike.items():
        words = text(
            "plan.because.need",
            names=listed([need.pupil.name for need in shared]),
            what=seen_words(kind, instead, [letter]),
            seen=sum(need.times for need in shared),
            tries=sum(need.tries for need in shared),
        )
        said[letter].append(words)
    return {letter: " ".join(words) for letter, words in said.items()}


def of_pupil(
    attempts: Iterable[Attempt],
    summary: Summary,
    order: Sequence[str],
    today: date,
    own_name: Sequence[str] = (),
) -> dict[str, Reason]:
    """A reason for each letter in `order`, by the same rules as the offers of the practice window.

    Letters of the pupil's `own_name` come first among the new ones.
    """
    needs, lines = _needs(summary.alone), by_letter(summary.lines)
    finished: defaultdict[str, list[Attempt]] = defaultdict(list)
    for attempt in attempts:
        if attempt.finished:
            finished[attempt.letter].append(attempt)
    reasons = {}
    for letter in order:
        line = lines.get(letter)
        own = Level.NONE if line is None else level(line.lately_formed, line.lately)
        reasons[letter] = _of_attempts(letter, finished[letter], own, needs.get(letter, ""), today)
        if letter in own_name and reasons[letter].because is Because.NEW:
            reasons[letter] = replace(reasons[letter], because=Because.NAME, words=text("plan.because.name"))
    return reasons


def _of_attempts(letter: str, attempts: Sequence[Attempt], own: Level, need: str, today: date) -> Reason:
    if not attempts:
        return Reason(letter, Because.NEW, text("plan.because.new_to_pupil"), own)
    again, last = letter_offers.due(attempts), day_words(letter_offers.day(attempts[-1]))
    if need:
        because, words = Because.NEED, need
    elif again <= today:
        because, words = Because.DUE, text("plan.because.due", day=day_words(again), last=last)
    elif own in (Level.NONE, Level.FEW):
        because, words = Because.FEW, text("plan.because.few", enough=ENOUGH, last=last)
    else:
        because, words = Because.WAITS, text("plan.because.waits", day=day_words(again), last=last)
    return Reason(letter, because, words, own, again if because is Because.DUE else None)


def proposed(
    reasons: Mapping[str, Reason], own_name: Sequence[str] = (), *, count: int = letter_offers.SESSION_LETTERS
) -> list[Reason]:
    """The letters of the next session: those with the strongest reasons, the longest due first.

    Otherwise they come in the order of the `own_name`, then in teaching order. New letters only fill the
    session; what may wait is not proposed.
    """
    wanted = [reason for reason in reasons.values() if reason.because is not Because.WAITS]
    strongest = list(Because)
    places = {letter: place for place, letter in enumerate(own_name)}

    def urgency(reason: Reason) -> tuple[int, date, int]:
        place = places.get(reason.letter, 0) if reason.because is Because.NAME else 0
        return strongest.index(reason.because), reason.since or date.min, place

    return sorted(wanted, key=urgency)[:count]


def families(reasons: Mapping[str, Reason], alphabet: Alphabet) -> list[tuple[str, list[Reason]]]:
    """The reasons by family, each family in teaching order; letters without a family under ""."""
    home = {letter: family.name for family in alphabet.families for letter in family.letters}
    by_family: dict[str, list[Reason]] = {family.name: [] for family in alphabet.families}
    for letter, reason in reasons.items():
        by_family.setdefault(home.get(letter, ""), []).append(reason)
    return [(name, own) for name, own in by_family.items() if own]
