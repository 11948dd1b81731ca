"""Attempts as specimens for a file of ink, and the specimens of a file as attempts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from strokes.alphabet import Alphabet
from strokes.errors import InkError, InkFileError
from strokes.files import X_HEIGHTS, Specimen
from strokes.ink import Ink
from strokes.letter import Hand, Letter
from strokes.matching import explain
from strokes.polyline import Floats
from strokes.tolerances import Tolerances
from strokes.transform import Transform
from trainer.attempt import Attempt, Pupil, Step, WordTry
from trainer.ink_codec import UNIT, pack, unpack
from trainer.judging import Judge

SPACE = "x-heights from the base line"
"""What the annotation `space` says of ink in letter space: other ink in x-heights may be anywhere."""

FARTHEST = 100.0
"""X-heights from 0 that an attempt may reach: a letter is a few, and the widest screen is no wider."""

MOST_IN_LETTER = 40
"""Traces of one letter; a whole page that was not taken apart has more, and is no letter."""


def specimen(attempt: Attempt, writer: str) -> Specimen:
    """An attempt for a file: its ink, when and how it was written, and what the checks said."""
    about = {
        "writer": writer,
        "letter": attempt.letter,
        "step": attempt.step.value,
        "date": attempt.at.astimezone(UTC).isoformat(timespec="milliseconds"),
        "space": SPACE,
    }
    if attempt.in_word is not None:
        about |= {"word": attempt.in_word.word, "place": str(attempt.in_word.place + 1)}
    if attempt.verdict is not None:
        about |= {name: _yes(getattr(attempt, name)) for name in ("formed", "mended", "looks")}
    if attempt.shown:
        about["shown"] = " ".join(str(number + 1) for number in attempt.shown)
    return Specimen(attempt.ink, about, X_HEIGHTS)


def line_specimen(tried: WordTry) -> Specimen:
    """A word on one line for a file."""
    date = tried.at.astimezone(UTC).isoformat(timespec="milliseconds")
    return Specimen(tried.ink, {"word": tried.word, "date": date, "space": SPACE}, X_HEIGHTS)


@dataclass(frozen=True)
class Taking:
    """How specimens become attempts of one pupil, judged by `tolerances`.

    `letter` and `step` are used for specimens that do not name their own.
    """

    path: Path
    pupil: Pupil
    alphabet: Alphabet
    letter: str | None = None
    step: Step = Step.COPY
    tolerances: Tolerances = field(default_factory=Tolerances)

    def attempts(self, specimens: Sequence[Specimen], now: datetime) -> Iterator[Attempt]:
        """The specimens as judged attempts; if a letter is asked for, those labeled otherwise are left out.

        Raises InkFileError for one that cannot be an attempt at a letter of the alphabet.
        """
        for number, specimen in enumerate(specimens, 1):
            label = specimen.about.get("letter") or specimen.about.get("label")
            if self.letter is not None and label not in (None, self.letter):
                continue
            yield self._attempt(specimen, label or self.letter, now, f"letter {number}")

    def _attempt(self, specimen: Specimen, name: str | None, now: datetime, where: str) -> Attempt:
        if name is None:
            raise InkFileError(self.path, f"{where} must say which letter it is; say so with --letter")
        if name not in self.alphabet:
            reason = f"{where} must be a letter of the alphabet {self.alphabet.name}, not {name[:20]!r}"
            raise InkFileError(self.path, reason)
        if len(specimen.ink) > MOST_IN_LETTER:
            reason = (
                f"{where} must have at most {MOST_IN_LETTER} traces, not {len(specimen.ink)}: it is no letter"
            )
            raise InkFileError(self.path, reason)
        letter, hand = self.alphabet[name], self.pupil.hand
        placed = specimen.unit == X_HEIGHTS and specimen.about.get("space") == SPACE
        step, shown = self._step(specimen, where), self._shown(specimen, where)
        judge = Judge(self.alphabet, hand, self.tolerances)
        try:
            ink = _kept(specimen.ink if placed else fitted(specimen.ink, letter, hand))
            verdict = judge.judge(name, ink, step, shown).verdict
        except (InkError, ValueError) as error:
            raise InkFileError(self.path, f"{where}: {error}") from error
        return Attempt(
            None,
            self.pupil.id,
            name,
            step,
            self._date(specimen, where) or now,
            ink,
            verdict,
            checks=judge.checks_version(name),
            shown=shown,
        )

    def _step(self, specimen: Specimen, where: str) -> Step:
        step = specimen.about.get("step", self.step.value)
        if step not in (Step.TRACE, Step.COPY, Step.RECALL):
            reason = f"{where}: step must be trace, copy or recall, not {step[:20]!r}"
            raise InkFileError(self.path, reason)
        return Step(step)

    def _date(self, specimen: Specimen, where: str) -> datetime | None:
        written = specimen.about.get("date")
        if written is None:
            return None
        try:
            date = datetime.fromisoformat(written)
            if 1980 <= date.year < 2200:  # within what every clock and database can hold
                return date.astimezone(UTC)
        except ValueError:
            pass
        reason = f"{where}: date must be a time such as 2026-09-07T11:30:00+00:00, not {written[:30]!r}"
        raise InkFileError(self.path, reason)

    def _shown(self, specimen: Specimen, where: str) -> tuple[int, ...] | None:
        """After which traces a stroke was shown; None in a file of a version that wrote `again` instead."""
        if "again" in specimen.about and "shown" not in specimen.about:
            return None
        words = specimen.about.get("shown", "").split()
        shown = tuple(
            int(word) - 1 for word in words if word.isascii() and word.isdecimal() and len(word) < 4
        )
        if len(shown) < len(words) or not set(shown) <= set(range(len(specimen.ink))):
            last, typed = len(specimen.ink), " ".join(words)[:20]
            reason = f"{where}: shown must number some of its traces, from 1 to {last}, not {typed!r}"
            raise InkFileError(self.path, reason)
        return shown


def who_has(attempt: Attempt, among: Iterable[Attempt]) -> set[int]:
    """The pupils, by number, of whose attempts among these one has the same ink at the same letter.

    An attempt whose ink was erased for its age is known by its time, which no two letters share.
    """
    return {
        other.pupil
        for other in among
        if other.letter == attempt.letter
        and (
            same_ink(other.ink, attempt.ink)
            if other.ink.traces
            else _millisecond(other) == _millisecond(attempt)
        )
    }


def same_ink(ink: Ink, other: Ink) -> bool:
    """Whether two inks are one as far as a file tells: points and times within a unit of its last digit."""
    if [len(trace.points) for trace in ink.traces] != [len(trace.points) for trace in other.traces]:
        return False
    return all(
        np.allclose(trace.points, second.points, rtol=0, atol=2 * UNIT)
        and (trace.times is None) == (second.times is None)
        and (trace.times is None or second.times is None or _alike(trace.times, second.times))
        for trace, second in zip(ink.traces, other.traces, strict=True)
    )


def _alike(times: Floats, others: Floats) -> bool:
    return bool(np.allclose(times, others, rtol=0, atol=2 * UNIT))


def _millisecond(attempt: Attempt) -> str:
    return attempt.at.astimezone(UTC).isoformat(timespec="milliseconds")


def _kept(ink: Ink) -> Ink:
    """Ink as the record gives it back. Raises InkError or ValueError for ink that it cannot keep."""
    reach = float(np.abs(ink.bounds).max())
    if reach > FARTHEST:
        raise InkError(f"ink must lie within {FARTHEST:g} x-heights of its letter, not {reach:.3g} away")
    return unpack(pack(ink))[0]


def fitted(ink: Ink, letter: Letter, hand: Hand | None) -> Ink:
    """Ink of unknown size and place laid on the letter as it explains it best, both axes by one scale.

    So its size and its place on the line are right by themselves, and nothing is found about them.
    """
    left, top, right, bottom = ink.bounds
    middle = np.array([[(left + right) / 2, (top + bottom) / 2]])
    if max(right - left, bottom - top) <= 0:
        box = letter.taught.bounds
        (x, y) = middle[0]
        return ink.transformed(Transform(1.0, 1.0, (box[0] + box[2]) / 2 - x, (box[1] + box[3]) / 2 - y))
    unit = max(right - left, bottom - top)
    near = ink.transformed(Transform(1 / unit, 1 / unit, -middle[0, 0] / unit, -middle[0, 1] / unit))
    fit = min(explain(near, letter.accepted(hand)), key=lambda explanation: explanation.cost).fit.plain
    # `near` lies around 0, so that its middle goes to the shift of the fit whatever the scale
    return near.transformed(Transform(fit.scale_y, fit.scale_y, fit.shift_x, fit.shift_y))


def _yes(value: bool) -> str:
    return "yes" if value else "no"
