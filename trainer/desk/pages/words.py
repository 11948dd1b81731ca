"""The words that a group can write, what it was taught, and the words that a teacher adds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from string import ascii_lowercase
from typing import Any

from flask import Blueprint, abort, flash, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from trainer.desk.desk import desk
from trainer.desk.pages import history, query
from trainer.errors import WordError
from trainer.language import listed, sentence, sound_words, text
from trainer.teaching import reasons, teaching_order
from trainer.wordbank import (
    EXCEPTIONS,
    LETTERS,
    LONGEST_LINE,
    PHONEMES,
    Correspondence,
    SchoolWords,
    Taught,
    TypedLine,
    Word,
    WordBank,
    by_sound,
    markable,
    names_offered,
    notation,
    read_lines,
    school_words,
    taught,
)

page = Blueprint("words", __name__)

BY = ("set", "rime", "sound", "change", "odd", "theme")

CHAINS, SHORTEST, LONGEST = 8, 4, 6
"""How many chains are shown, and of how many words."""

SHOWN = 30
"""Words of a set that are in sight at once; the others unfold."""

MOST_LINES = 60
"""Lines that are looked at in one go."""

REMOVED = "removed_word"
"""Where the session holds the word that was taken away last, to put it back."""


@dataclass(frozen=True)
class Known:
    """A group with what it was taught: what was marked, the letters it wrote here, and both together."""

    group: str
    marked: frozenset[str]
    written: frozenset[str]
    taught: Taught


@page.get("/words")
def show() -> str:
    """The words of the group that the address asks for; without one, of the first group."""
    if not desk().record.pupils.groups(archived=False):
        return render_template("no_pupils.html", title=text("words.title"))
    return _page()


@page.post("/words/taught")
def mark() -> Response:
    """Keep what the group was taught, besides the letters that it wrote here."""
    school, group = _school(), _group()
    known = set(markable(school.bank))
    desk().record.words.set_taught(group, known.intersection(request.form.getlist("taught")))
    now = _known(school.bank, group)
    flash(
        text(
            "words.taught.saved",
            group=group,
            letters=len(_small(now)),
            spellings=len(now.taught.spellings),
        )
    )
    return redirect(url_for("words.show", group=group, by=query.one_of(BY, "by")), 303)


@page.post("/words/add")
def look() -> str | tuple[str, int]:
    """Show the boxes of the words that were typed, a guess where none were given; nothing is kept yet."""
    lines = [line for line in request.form.get("lines", "").splitlines() if line.strip()]
    if not lines:
        return _page(wrong=text("words.add.empty")), 422
    if len(lines) > MOST_LINES:
        wrong = text("words.add.many", most=MOST_LINES, count=len(lines))
        return _page(typed="\n".join(lines), wrong=wrong), 422
    return _preview(read_lines("\n".join(lines), _school().bank))


@page.post("/words/take")
def take() -> str | tuple[str, int] | Response:
    """Add the words with the boxes that stand in the form, or look again, or go back."""
    group, do = _group(), request.form.get("do", "")
    if do == "back":
        return redirect(url_for("words.show", group=group, _anchor="add"), 303)
    bank = _school().bank
    lines = _sent_lines(bank)
    good = {line.word.text: line.word for line in lines if line.word is not None}
    if do != "take" or not good or any(line.wrong for line in lines):
        return _preview(lines), (200 if do == "look" else 422)
    try:
        desk().record.words.add({word: notation(good[word], bank.graphemes) for word in good})
    except WordError as error:
        return _preview(lines, wrong=sentence(error)), 422
    flash(text("words.add.done", words=listed(list(good), every=True)))
    return redirect(url_for("words.show", group=group, _anchor="own"), 303)


@page.post("/words/remove")
def remove() -> Response:
    """Take a word of the school's own away; it can be put back."""
    group, word = _group(), request.form.get("word", "")
    try:
        session[REMOVED] = (word, desk().record.words.remove(word))
    except WordError:
        abort(404)
    flash(text("words.own.removed", word=word))
    return redirect(url_for("words.show", group=group, _anchor="own"), 303)


@page.post("/words/back")
def put_back() -> Response:
    """Put the word back that was taken away last."""
    group, (word, spelling) = _group(), session.get(REMOVED, ("", ""))
    if word != request.form.get("word"):
        abort(404)
    try:
        if word not in desk().record.words.own():
            desk().record.words.add({word: spelling})
    except WordError as error:
        flash(sentence(error))
    else:
        session.pop(REMOVED)
        flash(text("words.own.back", word=word))
    return redirect(url_for("words.show", group=group, _anchor="own"), 303)


def _school() -> SchoolWords:
    return school_words(desk().record.words.own())


def _group() -> str:
    """The group that the address asks for, else the first one; answers 404 where there is none such."""
    groups = desk().record.pupils.groups(archived=False)
    if not groups:
        abort(404)
    return query.group(groups) or groups[0]


def _known(bank: WordBank, group: str) -> Known:
    record = desk().record
    figures = record.figures.summary(group, findings=False, lately=False, other=False)
    written = frozenset(line.letter for line in figures.lines)
    marked = record.words.taught(group)
    return Known(group, marked, written, taught(bank, marked, written))


def _small(known: Known) -> frozenset[str]:
    """The small letters that the group knows, of which words are spelled."""
    return known.taught.letters & set(ascii_lowercase)


def _sent_lines(bank: WordBank) -> list[TypedLine]:
    """The lines of the preview as they were sent: each word with the boxes that stand beside it."""
    words, spellings = request.form.getlist("word"), request.form.getlist("spelling")
    if len(words) != len(spellings) or len(words) > MOST_LINES:
        abort(400)
    guessed = set(request.form.getlist("guess"))
    lines = []
    for word, spelling in zip(words, spellings, strict=True):
        is_line = not word or "=" in spelling or not spelling.strip()
        typed = spelling if is_line else f"{word} = {spelling}"
        if not typed.strip():
            continue  # emptied: not to be added
        for line in read_lines(typed, bank):
            as_guessed = line.word is not None and f"{word} {spelling}" in guessed
            lines.append(replace(line, guessed=line.guessed or as_guessed))
    return lines


def _preview(lines: Sequence[TypedLine], *, wrong: str = "") -> str:
    bank = _school().bank
    return render_template(
        "words/look.html",
        group=_group(),
        lines=lines,
        count=sum(line.word is not None for line in lines),
        first_fault=next((number for number, line in enumerate(lines, 1) if line.wrong), 0),
        wrong=wrong,
        sentence=sentence,
        notation=lambda word: notation(word, bank.graphemes),
        sounds=_sounds,
        longest=LONGEST_LINE,
        phonemes=PHONEMES.values(),
    )


def _sounds(word: Word) -> str:
    return ", ".join(sound_words(box) for box in word.boxes)


def _page(*, typed: str = "", wrong: str = "") -> str:
    record, school, group = desk().record, _school(), _group()
    bank = school.bank
    known = _known(bank, group)
    planned = record.plans.get(group)
    due = [letter for letter in planned or _proposed(group) if len(letter) == 1]
    offered = bank.offered(known.taught, due)
    by = query.one_of(BY, "by")
    names = names_offered((pupil.name for pupil in record.pupils.find(group)), known.written)
    own = record.words.own()
    return render_template(
        "words/show.html",
        groups=record.pupils.groups(archived=False),
        group=group,
        by=by,
        ways=BY,
        sections=_sections(bank, offered, names, by),
        count=len(offered),
        letter_count=len(_small(known)),
        due=due,
        is_planned=bool(planned),
        known=known,
        steps=_steps(bank, known),
        exceptions=EXCEPTIONS,
        shown=SHOWN,
        sounds=_sounds,
        written=history.words_of([pupil.id for pupil in record.pupils.find(group)]),
        own=[(word, bank.get(word)) for word in own],
        set_aside=school.set_aside,
        removed=session.get(REMOVED, ("", ""))[0],
        typed=typed,
        wrong=wrong,
        longest=LONGEST_LINE * MOST_LINES,
    )


def _proposed(group: str) -> list[str]:
    """The letters that the page Plan proposes to a group for which nothing is planned."""
    order = teaching_order(desk().alphabet(group))
    today = desk().now().astimezone().date()
    families = desk().alphabets.families
    summary = desk().record.figures.summary(group, families=families, findings=False, other=False)
    of_group = reasons.of_group(summary, order, today)
    return [reason.letter for reason in reasons.proposed(of_group)]


def _sections(
    bank: WordBank, offered: Sequence[Word], names: Sequence[Word], by: str
) -> list[tuple[str, Sequence[Word]]]:
    """The words that are offered, under their headings."""
    if by == "rime":
        groups = by_sound.by_rime(offered)
        return [(_as_in(f"-{letters}", some[0]), some) for (letters, _), some in groups.items()]
    if by == "sound":
        by_first = by_sound.by_first_sound(offered)
        in_order = sorted(by_first, key=list(PHONEMES).index)
        return [
            (text("words.sound.group", example=PHONEMES[name].example), by_first[name]) for name in in_order
        ]
    if by == "change":
        chains = by_sound.chains(offered, count=CHAINS, shortest=SHORTEST, longest=LONGEST)
        return [(text("words.chain", first=some[0].text, last=some[-1].text), some) for some in chains]
    if by == "odd":
        sets = by_sound.odd_in_rime(offered)
        return [
            (text("words.odd", alike=each.alike[0].text, odd=each.odd.text), (*each.alike, each.odd))
            for each in sets
        ]
    if by == "theme":
        texts = {word.text: word for word in offered}
        themes = {name: [texts[word] for word in some if word in texts] for name, some in bank.sets.items()}
        return [(text(f"words.theme.{name}"), some) for name, some in themes.items() if some]
    by_set: Mapping[str, Sequence[Word]] = {**bank.by_set(offered), "names": names}
    return [(text(f"words.set.{name}"), some) for name, some in by_set.items() if some]


def _steps(bank: WordBank, known: Known) -> list[dict[str, Any]]:
    """The steps of teaching with what can be marked in each: name, label, whether marked or written."""
    steps = [_step(text("words.taught.letters"), {letter: letter for letter in ascii_lowercase}, known)]
    for step, ways in bank.graphemes.steps.items():
        if step != LETTERS:
            steps.append(
                _step(text(f"words.set.{step}"), {way.name: _label(bank, way) for way in ways}, known)
            )
    return steps


def _step(title: str, labels: Mapping[str, str], known: Known) -> dict[str, Any]:
    choices = [
        {"name": name, "label": label, "written": name in known.written} for name, label in labels.items()
    ]
    return {"title": title, "choices": choices}


def _label(bank: WordBank, way: Correspondence) -> str:
    example = bank.example(way)
    return _as_in(way.grapheme, example) if example else way.grapheme


def _as_in(letters: str, example: Word) -> str:
    return text("words.sound.one", letters=letters, example=example.text)
