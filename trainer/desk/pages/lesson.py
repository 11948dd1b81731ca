"""Ten minutes for a group: a lesson is proposed, changed, kept for a day, printed; then, what came of it.

A form has the whole lesson, so that a change can be looked at before it is kept, and a kept lesson stays as
it is until it is saved.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time
from io import BytesIO
from typing import TypeVar

from flask import Blueprint, Response, abort, redirect, render_template, request, send_file, session, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response as Answer

from trainer.attempt import Pupil
from trainer.desk.desk import desk
from trainer.desk.pages import history, query
from trainer.desk.pages.messages import offer_undo, tell
from trainer.desk.pictures.svg import letter_svg
from trainer.errors import LessonError, UsageError, WordError, pass_over
from trainer.language import day_words, letter_words, listed, sentence, text
from trainer.record import ADDED_FOR
from trainer.record.group_state import group_state
from trainer.teaching import by_pupil, lesson_planning
from trainer.teaching.group_lesson import MINUTES, MOST_WORDS, SAY_LENGTH, Lesson, Part, Rhymes
from trainer.teaching.lesson_planning import GroupState, read_day, read_letters, read_rhyme, read_words

page = Blueprint("lesson", __name__)

Reading = TypeVar("Reading")

REMOVED = "removed_lesson"
"""Where the session holds the rows of the lesson that was taken away last, to put it back."""

WALL = "wall"
"""The section of a kept lesson in which its window for the class is opened."""

LONGEST = 200
"""Characters of the letters or words that a form may name."""

SHOWN = 12
"""Kept lessons of a group that are listed; older ones are in the record."""

SIZE = 112  # px of a letter on its lines

PAPERS = ("a4", "letter")


@dataclass(frozen=True)
class Form:
    """A lesson as it stands in the form, what was typed for it, and what is wrong in which field."""

    lesson: Lesson
    letters: str
    words: str
    day: str
    wrong: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, lesson: Lesson) -> Form:
        """The form of a lesson as it is."""
        return cls(lesson, " ".join(lesson.letters), " ".join(lesson.words), lesson.day.isoformat())


@dataclass(frozen=True)
class CameOf:
    """A letter of a lesson: how it was written since, and by whom not yet."""

    letter: str
    said: str


@page.get("/lesson")
def show() -> str:
    """The lesson that is proposed to the group that the address asks for; without one, to the first group."""
    group = _group()
    if group is None:
        return render_template("no_pupils.html", title=text("lesson.title"))
    state = _state(group)
    return _page(state, Form.of(lesson_planning.suggested(state, lesson_planning.next_day(_today()))))


@page.post("/lesson")
def change() -> str | tuple[str, int] | Answer:
    """Look at a change of the proposed lesson, or keep it."""
    state = _state(_group() or query.missing())
    form = _typed(state)
    if request.form.get("do") != "keep" or form.wrong:
        return _page(state, form), 422 if form.wrong else 200
    saved = desk().record.lessons.keep(form.lesson, desk().now())
    assert saved.id is not None
    offer_undo(_kept_words("kept", saved), url_for("lesson.save", number=saved.id), [("do", "remove")])
    return redirect(url_for("lesson.show_kept", number=saved.id), 303)


@page.get("/lesson/<int:number>")
def show_kept(number: int) -> str:
    """A kept lesson, and what came of it."""
    lesson = desk().record.lessons.get(number) or query.missing()
    return _page(_state(lesson.group), Form.of(lesson))


@page.post("/lesson/<int:number>")
def save(number: int) -> str | tuple[str, int] | Answer:
    """Look at a change of a kept lesson, save it, or take the lesson away."""
    lessons = desk().record.lessons
    lesson = lessons.get(number) or query.missing()
    if request.form.get("do") == "remove":
        return _removed(lesson)
    state = _state(lesson.group)
    form = _typed(state, lesson)
    if request.form.get("do") == "keep" and not form.wrong:
        try:
            lessons.change(form.lesson, desk().now())
        except LessonError as error:
            # what was typed stays, and saving it once more puts it in the place of what is kept now
            wrong = {"all": text("lesson.changed_meanwhile", reason=sentence(error))}
            form = replace(form, lesson=replace(form.lesson, changed=lesson.changed), wrong=wrong)
        else:
            tell(_kept_words("saved", form.lesson))
            return redirect(url_for("lesson.show_kept", number=number), 303)
    return _page(state, form), 422 if form.wrong else 200


@page.post("/lesson/back")
def put_back() -> Answer:
    """Put the lesson back that was taken away last."""
    removed = session.get(REMOVED)
    if removed is None or request.form.get("lesson") != str(removed["lesson"][0]["id"]):
        abort(404)
    number = desk().record.lessons.put_back(session.pop(REMOVED))
    tell(text("lesson.back"))
    return redirect(url_for("lesson.show_kept", number=number), 303)


@page.get("/lesson/<int:number>/page.pdf")
def paper(number: int) -> Response:
    """A kept lesson on one page; the file bears no name of a group or a child."""
    from trainer.paper import Paper, lesson_page

    lesson = desk().record.lessons.get(number) or query.missing()
    kind = Paper(query.one_of(PAPERS, "paper"))
    pupils = desk().record.pupils.find(lesson.group)
    document = lesson_page(lesson, pupils, desk().alphabet(lesson.group), kind)
    name = f"{text('paper.file.lesson')}-{lesson.day:%Y-%m-%d}.pdf"
    return send_file(BytesIO(document.content()), "application/pdf", as_attachment=True, download_name=name)


@page.post("/lesson/<int:number>/wall")
def start(number: int) -> Answer:
    """Open a kept lesson on the wall, once; what came of it is told."""
    wall = desk().wall or abort(404)
    lesson = desk().record.lessons.get(number) or query.missing()
    if wall.state in ("opening", "open"):
        tell(text("lesson.wall.already"), place=WALL)
    else:
        state = wall.open(desk().now(), "--number", str(lesson.id))
        reason = sentence(wall.reason) if state in ("failed", "broken") else ""
        tell(text(f"lesson.wall.{state}", reason=reason), place=WALL)
    return redirect(url_for("lesson.show_kept", number=number, _anchor="use"), 303)


def _state(group: str) -> GroupState:
    return group_state(desk().record, desk().alphabets, group, _today())


def _today() -> date:
    return desk().now().astimezone().date()


def _group() -> str | None:
    """The group that the address asks for, else the first one; None while there are no pupils."""
    groups = desk().record.pupils.groups(archived=False)
    return (query.group(groups) or groups[0]) if groups else None


def _removed(lesson: Lesson) -> Answer:
    assert lesson.id is not None
    session[REMOVED] = desk().record.lessons.remove(lesson.id)
    offer_undo(_kept_words("removed", lesson), url_for("lesson.put_back"), [("lesson", str(lesson.id))])
    return redirect(url_for("lesson.show", group=lesson.group), 303)


def _kept_words(what: str, lesson: Lesson) -> str:
    until = day_words(lesson.day + ADDED_FOR)
    return text(f"lesson.{what}", group=lesson.group, day=day_words(lesson.day), until=until)


def _typed(state: GroupState, saved: Lesson | None = None) -> Form:
    """The lesson that stands in the form that was sent, after the change that its button asks for."""
    sent, wrong = request.form, dict[str, str]()
    typed_day, typed_letters, typed_words = (
        sent.get(name, "")[:LONGEST] for name in ("day", "letters", "words")
    )
    none: tuple[str, ...] = ()
    letters = _read("letters", lambda typed: read_letters(typed, state), typed_letters, none, wrong)
    # words that cannot be stay, so that what is said of them does
    as_typed = tuple(dict.fromkeys(typed_words.split()))[:MOST_WORDS]
    words = _read("words", lambda typed: read_words(typed, state), typed_words, as_typed, wrong)
    rhyme, before = sent.get("rhyme", ""), saved.rhymes if saved else None
    if before and before.word == rhyme:
        rhymes: Rhymes | None = before  # as it was kept
    else:
        rhymes = _read("rhyme", lambda word: read_rhyme(word, state, letters), rhyme, None, wrong)
    there = saved.day if saved else None
    day = _read("day", lambda typed: read_day(typed, _today(), there), typed_day, there or _today(), wrong)
    says = _says(wrong)
    what, _, part = sent.get("do", "").partition(" ")
    order = [other for other in Part if other.value in sent.getlist("part")]
    order.sort(key=lambda other: sent.getlist("part").index(other.value))
    if what == "suggest" and "letters" not in wrong:
        able = state.words(letters)
        words = lesson_planning.words_using(able, letters)
        rhymes = lesson_planning.best_rhymes(able, words, letters)
        typed_words = " ".join(words)
        wrong.pop("words", None)
        wrong.pop("rhyme", None)
    elif what in ("up", "down") and part in order:
        order = _moved(order, Part(part), {"up": -1, "down": 1}[what])
    elif what not in ("keep", "look", "suggest"):
        abort(400)
    made = lesson_planning.composed(
        state, day=day, letters=letters, words=words, rhymes=rhymes, order=order, says=says
    )
    if saved:
        read = _moment(sent.get("changed", ""))
        made = replace(made, tables=saved.tables, id=saved.id, kept=saved.kept, changed=read)
    return Form(made, typed_letters, typed_words, typed_day, wrong)


def _moment(sent: str) -> datetime | None:
    """When the lesson that is in the form was changed last; None for what no form of ours sends."""
    try:
        moment = datetime.fromisoformat(sent[:40])
    except ValueError:
        return None
    return moment if moment.tzinfo else None


def _moved(order: Sequence[Part], part: Part, by: int) -> list[Part]:
    left = [other for other in order if other is not part]
    place = min(max(order.index(part) + by, 0), len(left))
    return [*left[:place], part, *left[place:]]


def _read(
    name: str, reading: Callable[[str], Reading], typed: str, instead: Reading, wrong: dict[str, str]
) -> Reading:
    """What a field means; where it means nothing, why not, and what stands there meanwhile."""
    try:
        return reading(typed)
    except (UsageError, WordError) as error:
        wrong[name] = sentence(error)
        return instead


def _says(wrong: dict[str, str]) -> dict[Part, str]:
    """What is to be said in the parts where the teacher changed it; the others go by letters and words."""
    sent = request.form
    says = {}
    for part in Part:
        said = sent.get(f"say_{part.value}")
        if said is None:
            continue
        said = "\n".join(said.split("\r\n")).strip()
        if said == sent.get(f"usual_{part.value}", "").strip():
            continue
        if len(said) > SAY_LENGTH:
            wrong[f"say_{part.value}"] = text("lesson.long_say", most=SAY_LENGTH, count=len(said))
        says[part] = said
    return says


def came_of(lesson: Lesson, pupils: Sequence[Pupil]) -> tuple[list[CameOf], list[dict[str, str]]]:
    """How the letters and words of a lesson were written from its day on, and not before it was kept."""
    after = datetime.combine(lesson.day, time()).astimezone()
    if lesson.kept and lesson.kept.astimezone().date() == lesson.day:
        after = lesson.kept
    figures, letters = desk().record.figures, []
    for letter in lesson.letters:
        since = {pupil: figures.tries_since(pupil.id, letter, after) for pupil in pupils}
        formed, tries = (sum(counts) for counts in zip((0, 0), *since.values(), strict=True))
        said = text(f"tomorrow.evidence.{'since' if tries else 'none'}", formed=formed, tries=tries)
        missing = [pupil.name for pupil, (_, count) in since.items() if not count]
        if tries and missing:
            said += " " + text("lesson.came_of.not_yet", names=listed(missing))
        letters.append(CameOf(letter, said))
    words = {*lesson.words, *([lesson.rhymes.word] if lesson.rhymes else [])}
    return letters, history.words_of([pupil.id for pupil in pupils], words=words, since=after)


def _page(state: GroupState, form: Form) -> str:
    record, lesson = desk().record, form.lesson
    able, pupils = state.words(lesson.letters), record.pupils.find(state.group)
    rounds = lesson_planning.rhyme_choices(able, lesson.letters)
    if lesson.rhymes and lesson.rhymes.word not in {texts[0] for texts in rounds}:
        rounds = ((lesson.rhymes.word, *lesson.rhymes.rhyming), *rounds)
    usual = lesson_planning.usual_words(state, lesson.letters, lesson.words, lesson.rhymes)
    letters, words = came_of(lesson, pupils) if lesson.id and lesson.day <= _today() else ([], [])
    others_kept = record.lessons.find(state.group, on_damage=pass_over)
    same_day = [other for other in others_kept if other.day == lesson.day and other.id != lesson.id]
    return render_template(
        "lesson/show.html",
        groups=record.pupils.groups(archived=False),
        group=state.group,
        form=form,
        lesson=lesson,
        day=day_words(lesson.day, year=True),
        until=day_words(lesson.day + ADDED_FOR),
        because={letter: state.because[letter].words for letter in lesson.letters if letter in state.because},
        pictures={letter: _picture(state, letter) for letter in lesson.letters},
        rounds=rounds,
        usual=usual,
        by_pupil=by_pupil,
        why=lesson_planning.why,
        table_words=lesson_planning.table_words,
        others=lesson_planning.others(lesson, pupils),
        came_of=letters,
        words_since=words,
        kept=[(other, day_words(other.day, year=True)) for other in others_kept[:SHOWN]],
        another=next(iter(same_day), None),
        is_over=lesson.day + ADDED_FOR <= _today(),
        moved=request.form.get("do", ""),
        minutes=MINUTES,
        longest=LONGEST,
        say_length=SAY_LENGTH,
        papers=PAPERS,
        wall=desk().wall,
    )


def _picture(state: GroupState, letter: str) -> Markup:
    if letter not in state.alphabet:
        return Markup("<b>{}</b>").format(letter)
    taught = state.alphabet[letter].taught
    title = text("tomorrow.letter", letter=letter_words(letter), strokes=len(taught.strokes))
    return letter_svg(taught, state.alphabet.guide, size=SIZE, title=title)
