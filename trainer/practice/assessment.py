"""A finished attempt assessed: what is stored of it, and what the child is answered."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from strokes.ink import Ink
from strokes.letter import Formation
from strokes.report import Finding
from trainer.attempt import Attempt
from trainer.judging import Judged
from trainer.language import Saying, phrases, text
from trainer.practice.session import Session
from trainer.teaching import tries


@dataclass(frozen=True)
class Assessment:
    """The attempt as it is stored, and what is said of it with the formation it is held against.

    All ink is stored. What could not be judged (`judged` is None) is stored as broken off, held against the
    taught formation, and neither praised nor corrected.
    """

    attempt: Attempt
    formation: Formation
    saying: Saying
    judged: Judged | None

    @classmethod
    def of(cls, session: Session, ink: Ink, began: datetime, judged: Judged | None) -> Assessment:
        """Assess ink of the letter in hand, written with the help of the session's step."""
        assert session.pupil is not None
        letter = session.letter_name
        pupil, in_word = session.pupil.id, session.in_word
        attempt = Attempt(None, pupil, letter, session.step, began, ink, finished=False, in_word=in_word)
        if judged is None:
            return cls(attempt, session.letter.taught, Saying(text("practice.answer.kept")), None)
        attempt = replace(
            attempt,
            verdict=judged.verdict,
            finished=True,
            checks=session.judge.checks_version(letter),
            shown=judged.shown,
        )
        saying = phrases.say(judged, _findings_before(session), guide=session.alphabet.guide)
        return cls(attempt, judged.report.formation, saying, judged)


def _findings_before(session: Session) -> tuple[Finding, ...] | None:
    """The findings on this child's last judged attempt at the letter in hand, if there was one."""
    verdicts = (tries.judged(a) for a in reversed(session.history) if a.letter == session.letter_name)
    last = next((verdict for verdict in verdicts if verdict is not None), None)
    return last.findings if last is not None else None
