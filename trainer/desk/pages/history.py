"""What the pages of a pupil show: each letter's history in words, and attempts beside their model."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any

from markupsafe import Markup

from strokes.alphabet import Alphabet
from strokes.checks import is_of_letter
from strokes.letter import Formation, Letter
from trainer.attempt import Attempt, Outcome, Pupil
from trainer.desk.desk import desk
from trainer.desk.pages import evidence
from trainer.desk.pictures import replay
from trainer.desk.pictures.svg import ink_svg, letter_svg
from trainer.errors import OnDamage, pass_over
from trainer.language import (
    chunks_known,
    clock_words,
    day_words,
    finding_words,
    letter_words,
    observed_words,
    on_one_line,
    paper_words,
    seen_words,
    sounds_counted,
    teaching_words,
    text,
)
from trainer.teaching import (
    AGAIN,
    ENOUGH,
    SHIPPED_NAMES,
    FindingFigures,
    LetterFigures,
    Summary,
    Used,
    is_try,
    letter_history,
    observed,
    other_needs,
    teaching_order,
    word_figures,
)

LAST_TRIES = 20
"""Attempts at a letter of which the tries are drawn as marks."""

KINDS_SHOWN, FINDINGS_SHOWN = 3, 2

SIZE, MODEL = 150, 308
"""Height of a letter beside its attempt, in px: on the pupil's page, and on the attempt's own, where the
ink is as large (see `replay.SCALE`)."""


# What the letters show


def row(line: LetterFigures, pupil: Pupil) -> dict[str, Any]:
    """A letter's history in words; under the least number of tries nothing is concluded."""
    latest = desk().record.attempts.latest(
        pupil.id, line.letter, n=LAST_TRIES, ink=False, on_damage=pass_over
    )
    tries = [attempt.outcome for attempt in reversed(latest) if is_try(attempt)]
    low, high = line.likely
    few = ""
    if line.tries == 0:
        few = text("pupil.letters.only_traced", traced=line.traced)
    elif not line.enough:
        few = text("pupil.letters.few", tries=line.tries, enough=ENOUGH)
    return {
        "letter": line.letter,
        "few": few,
        "formed": _of(line.formed, line.tries),
        "mended": text("pupil.letters.mended", mended=line.mended) if line.mended else "",
        "likely": text("pupil.letters.range", low=f"{100 * low:.0f}", high=f"{100 * high:.0f}"),
        "looks": _of(line.looks, line.tries),
        "recalled": _of(line.recalled_formed, line.recalled),
        "tries": tries,
        "spark": _spark_title(line.letter, tries),
        "last": day_words(line.last),
        "in_words": _in_words(line),
        "findings": _finding_lines(line) if line.enough else [],
        "seen": "unnamed" if line.formed < line.tries else "nothing_seen",
    }


def _in_words(line: LetterFigures) -> str:
    """The tries at the letter alone beside those in words; empty where it was written in none."""
    if not line.in_words:
        return ""
    in_words = _of(line.in_words_formed, line.in_words)
    return text("pupil.letters.in_words", alone=_of(*line.alone), in_words=in_words)


def words_of(
    pupils: Sequence[int], words: Collection[str] | None = None, since: datetime | None = None
) -> list[dict[str, Any]]:
    """What came of the words that these pupils wrote, word by word; of some `words` or `since` then alone."""
    tries = [
        tried
        for tried in desk().record.word_tries.find(pupils=pupils, ink=False, on_damage=pass_over)
        if (words is None or tried.word in words) and (since is None or tried.at > since)
    ]
    return [
        {
            "word": figures.word,
            "sounds": sounds_counted(figures.counted, figures.miscounted, figures.sounds, figures.tapped),
            "chunks": chunks_known(figures.chunks, figures.chunks_missed),
            "line": on_one_line(figures.lines, figures.even, figures.kinds),
            "last": day_words(figures.last),
        }
        for figures in word_figures.of_words(tries)
    ]


def _of(count: int, tries: int) -> str:
    return text("pupil.letters.of", count=count, tries=tries) if tries else text("pupil.letters.none")


def _finding_lines(line: LetterFigures) -> list[str]:
    """What came up more than once, else what was seen once; and accepted ways that are worth knowing."""

    def words(key: str, figures: FindingFigures) -> str:
        what = seen_words(figures.kind, figures.instead, [line.letter])
        return text(f"pupil.letters.{key}", what=what, count=figures.tries, tries=line.tries)

    often = [figures for figures in line.findings if figures.tries >= AGAIN]
    return [words("one_seen", figures) for figures in often[:KINDS_SHOWN] or line.findings[:1]] + [
        words("noted", figures) for figures in line.noted
    ]


def _spark_title(letter: str, tries: Sequence[Outcome]) -> str:
    """What the marks of the tries say, for whoever does not see them."""
    words = ", ".join(text(f"pupil.spark.{outcome}") for outcome in tries)
    return text("pupil.spark.title", letter=letter_words(letter), tries=len(tries), tries_in_words=words)


def practice_next(summary: Summary, alphabet: Alphabet) -> list[dict[str, Any]]:
    """What this pupil may practice next, with what to do about it and the attempt that shows it.

    Where it is about one letter, all attempts at that `letter` may be looked at.
    """
    return [
        {
            "letter": need.letter,
            "telling": evidence.telling_of(need.pupil, [need], alphabet),
            "line": text(
                "pupil.next.line",
                letter=need.letter,
                what=seen_words(need.kind, need.instead, [need.letter]),
                seen=need.times,
                tries=need.tries,
            ),
            "teach": teaching_words(need.kind),
        }
        for need in summary.alone
    ] + [
        {
            "letter": "",
            "telling": evidence.telling_other(need, alphabet),
            "line": other_needs.titled(need),
            "teach": other_needs.advice(need.kind),
        }
        for need in summary.other
    ]


def on_paper(pupil: Pupil, alphabet: Alphabet, on_damage: OnDamage) -> dict[str, Any] | None:
    """What the teacher saw on paper: a line for each letter, and each observation with its number."""
    observations = desk().record.observations.find([pupil.id], on_damage=on_damage)
    if not observations:
        return None
    return {
        "lines": [observed_words(*line) for line in observed(observations, teaching_order(alphabet))],
        "each": [
            (
                text(
                    "paper.tick.day_line",
                    letter=observation.letter,
                    day=day_words(observation.day, year=True),
                    what=paper_words(observation.seen),
                ),
                observation.id,
            )
            for observation in observations
        ],
    }


# What an attempt shows


def card(attempt: Attempt, alphabet: Alphabet) -> dict[str, Any]:
    """An attempt beside its model, with its verdict and the first findings in words."""
    letter = alphabet.get(attempt.letter)
    formation = replay.formation_of(attempt, letter)
    step, day = text(f"pupil.step.{attempt.step}"), day_words(attempt.at)
    findings = attempt.verdict.findings if attempt.verdict else ()
    return {
        "id": attempt.id,
        "ink": ink_svg(attempt, letter, alphabet.guide, size=SIZE) if letter else "",
        "model": letter_svg(
            formation or letter.taught,
            alphabet.guide,
            size=SIZE,
            title=text("pupil.latest.model", letter=letter_words(attempt.letter)),
        )
        if letter
        else "",
        "caption": _caption(attempt, step, day),
        "open": text("pupil.latest.open_long", letter=letter_words(attempt.letter), day=day),
        "no_ink": text(f"pupil.latest.{no_ink(attempt)}") if no_ink(attempt) in ("gone", "damaged") else "",
        "judged": attempt if attempt.verdict else None,
        "overruled": attempt.overruled is not None,
        "findings": [
            finding_words(finding, formation, attempt.letter) for finding in findings[:FINDINGS_SHOWN]
        ],
    }


def _caption(attempt: Attempt, step: str, day: str) -> str:
    if attempt.in_word is None:
        return text("pupil.latest.caption", letter=attempt.letter, step=step, day=day)
    word = attempt.in_word.word
    return text("pupil.latest.caption_word", letter=attempt.letter, word=word, step=step, day=day)


def no_ink(attempt: Attempt) -> str:
    """Why an attempt has no ink to be shown, as the end of a text's name; empty where it has some."""
    if attempt.ink.traces:
        return ""
    if attempt.unreadable:
        return "damaged"
    return "gone" if attempt.finished else "blank"


def stage(
    attempt: Attempt, alphabet: Alphabet, marks: Sequence[replay.NumberedFinding], pupil: Pupil
) -> Markup | None:
    """The ink as it was written, with its marks, for the replay; None where it is no longer kept."""
    if not attempt.ink.traces:
        return None
    title = text("pupil.attempt.ink", letter=letter_words(attempt.letter), name=pupil.name)
    return replay.stage(attempt.ink, alphabet.guide, marks, title=title, shown=attempt.shown or ())


def legend(attempt: Attempt, marks: Sequence[replay.NumberedFinding]) -> str:
    """What is drawn over the ink, in words: only what there is."""
    drawn = {
        "starts": True,
        "places": any(mark.at for mark in marks),
        "other_way": any(mark.other_way is not None for mark in marks),
        "begins": any(mark.at and mark.begins for mark in marks),
        "shown": bool(attempt.shown),
    }
    return " ".join(text(f"pupil.legend.{name}") for name, there in drawn.items() if there)


def model(attempt: Attempt, alphabet: Alphabet, formation: Formation | None) -> Markup | None:
    """The formation that an attempt was judged by, else the taught one; None for a letter that is gone."""
    letter = alphabet.get(attempt.letter)
    if letter is None:
        return None
    title = text("pupil.latest.model", letter=letter_words(attempt.letter))
    return letter_svg(formation or letter.taught, alphabet.guide, size=MODEL, title=title)


def model_heading(letter: Letter | None, formation: Formation | None) -> str:
    """Over the model: whether it is the taught way, or another one that is accepted."""
    if letter is None or formation in (None, letter.taught):
        return text("pupil.attempt.as_taught")
    return text("pupil.attempt.as_accepted", formation=formation.name.replace("-", " "))


def judged_by(attempt: Attempt, used: Used) -> str:
    """Which version of the letter, and of the checks, the verdict comes from."""
    letter, guide = used.alphabet.get(attempt.letter), used.alphabet.guide
    if not attempt.checks or letter is None:
        return text("pupil.attempt.version.unknown")
    said = {
        "letter": attempt.letter,
        "alphabet": used.alphabet.name,
        "checks": attempt.checks.partition(":")[0],
    }
    if is_of_letter(attempt.checks, letter, guide=guide):
        return text("pupil.attempt.version.now", **said)
    file = used.contents.files.get(attempt.letter)
    for was in letter_history.versions(file) if file else ():
        if is_of_letter(attempt.checks, was.letter, guide=guide):
            day, time = day_words(was.until, year=True), clock_words(was.until)
            return text("pupil.attempt.version.before", version=was.number, day=day, time=time, **said)
    return text("pupil.attempt.version.other", **said)


def versions_of(attempt: Attempt, used: Used) -> str:
    """The alphabet that has a page of the letter's versions; empty where there is none."""
    own = used.name not in SHIPPED_NAMES and not used.stands_in
    return used.name if own and attempt.letter in used.contents.files else ""
