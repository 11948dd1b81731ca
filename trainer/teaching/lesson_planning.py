"""What a group's next lesson could be: letters that are due, words that use them, rhymes, what to say; pure.

Which letters are due and who sits together is what Tomorrow gathers and Plan proposes (`gathering`,
`reasons`): there is no other rule here. Not imported with the room, as `word_offers` is not.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from strokes.alphabet import Alphabet
from trainer.attempt import Pupil
from trainer.errors import UsageError, WordError
from trainer.language import capital, listed, seen_words, teaching_words, text
from trainer.teaching import reasons
from trainer.teaching.gathering import Gathering
from trainer.teaching.group_lesson import (
    MOST_LETTERS,
    MOST_WORDS,
    Lesson,
    LessonPart,
    Part,
    Rhymes,
    in_order,
    minutes,
)
from trainer.teaching.letter_sets import teaching_order, typed_letters
from trainer.teaching.reasons import Because, Reason
from trainer.teaching.summary import Summary
from trainer.teaching.word_offers import RhymeRound, planned, rhyme_round
from trainer.wordbank import Word, WordBank, by_sound, school_words, taught

LETTERS, WORDS = 2, 4
"""How many letters and words are proposed: about two minutes for a letter, and one for a word."""

SHORT = (3, 4)
"""Letters of the words that are proposed first; ours."""

FURTHEST = timedelta(days=366)
"""How far ahead a lesson may be: a day beyond that is a slip of the fingers."""

CHOICES = 40
"""Rhyme rounds that can be chosen from."""

_LAST_WEEKDAY = 4


@dataclass(frozen=True)
class GroupState:
    """What is known of a group: how its letters stand, its alphabet, and what it was taught of words.

    `because` has the reason for each letter, as the page Plan gives it.
    """

    group: str
    summary: Summary
    alphabet: Alphabet
    because: Mapping[str, Reason]
    bank: WordBank
    marked: frozenset[str]

    @classmethod
    def of(
        cls,
        group: str,
        summary: Summary,
        alphabet: Alphabet,
        *,
        own: Mapping[str, str],
        marked: frozenset[str],
        today: date,
    ) -> GroupState:
        """From the summary of a group alone; `own` are the school's own words, `marked` what was taught."""
        because = reasons.of_group(summary, teaching_order(alphabet), today)
        return cls(group, summary, alphabet, because, school_words(own).bank, marked)

    @cached_property
    def written(self) -> frozenset[str]:
        """The letters that the group wrote."""
        return frozenset(line.letter for line in self.summary.lines)

    def words(self, letters: Collection[str]) -> tuple[Word, ...]:
        """The words that the group can write once these letters are taught, those with most of them first."""
        known = taught(self.bank, self.marked, self.written | set(letters))
        letters_there = frozenset(self.alphabet)
        return tuple(word for word in self.bank.offered(known, letters) if word.letters <= letters_there)


def next_day(today: date) -> date:
    """The day for which a lesson is proposed: tomorrow, or Monday where tomorrow is a Saturday or Sunday."""
    tomorrow = today + timedelta(days=1)
    late = tomorrow.weekday() - _LAST_WEEKDAY
    return tomorrow if late <= 0 else tomorrow + timedelta(days=3 - late)


def read_day(typed: str, today: date, saved: date | None = None) -> date:
    """The day of a lesson that is to be kept: within a year from today on, or the `saved` day of that lesson.

    Raises UsageError.
    """
    try:
        day = date.fromisoformat(typed)
    except ValueError:
        day = date.min
    if day != saved and not today <= day <= today + FURTHEST:
        must = f"must be today or later, within a year, such as {next_day(today)}"
        raise UsageError(f"the day of a lesson {must}, not {typed[:40]!r}")
    return day


def suggested(state: GroupState, day: date, letters: Sequence[str] | None = None) -> Lesson:
    """The lesson that a group could have on a day; with `letters`, one for these.

    Without anything due it has no letters, and without words that use them none of these.
    """
    letters = due(state) if letters is None else tuple(letters)
    able = state.words(letters)
    using = words_using(able, letters)
    return composed(
        state, day=day, letters=letters, words=using, rhymes=best_rhymes(able, using, letters), order=()
    )


def composed(
    state: GroupState,
    *,
    day: date,
    letters: Sequence[str],
    words: Sequence[str],
    rhymes: Rhymes | None,
    order: Sequence[Part],
    says: Mapping[Part, str] | None = None,
) -> Lesson:
    """A lesson of these; a part without words of its own in `says` gets the usual ones."""
    parts = in_order(order, words=bool(words), rhymes=rhymes is not None)
    usual, taking = usual_words(state, letters, words, rhymes), minutes(parts)
    said = {part: (says or {}).get(part, usual[part]) for part in parts}
    return Lesson(
        state.group,
        day,
        tuple(letters),
        tuple(words),
        rhymes,
        tuple(LessonPart(part, taking[part], said[part]) for part in parts),
        state.summary.gather,
    )


def due(state: GroupState) -> tuple[str, ...]:
    """A letter or two: what Tomorrow gathers the group for, the most needed first, then what Plan proposes.

    Of new letters there is one: each movement is taught alone first.
    """
    shared = [letter for gathering in state.summary.gather for letter in gathering.letters]
    proposed = [reason.letter for reason in reasons.proposed(state.because)]
    letters = [letter for letter in dict.fromkeys([*shared, *proposed]) if letter in state.alphabet][:LETTERS]
    new = [letter for letter in letters if state.because[letter].because is Because.NEW]
    return tuple(letter for letter in letters if letter not in new[1:])


def words_using(able: Sequence[Word], letters: Sequence[str], count: int = WORDS) -> tuple[str, ...]:
    """Words that have some of the letters: for each letter the first one, then those that come next.

    Of everyday words and of the others those of three or four letters come first: ten minutes are short.
    """
    using = [word for word in able if word.letters & set(letters)]
    using.sort(key=lambda word: (not word.everyday, len(word.text) not in SHORT))
    firsts = [next((word for word in using if letter in word.letters), None) for letter in letters]
    return tuple(dict.fromkeys(word.text for word in [*firsts, *using] if word is not None))[:count]


def best_rhymes(able: Sequence[Word], words: Sequence[str], letters: Collection[str]) -> Rhymes | None:
    """A rhyme round for one of the words, else for another one with some of the letters, else for any."""
    texts = {word.text: word for word in able}
    for word in words:
        if made := rhyme_round(texts[word], able):
            return of_round(made)
    for first, *_ in rhyme_choices(able, letters):
        if made := rhyme_round(texts[first], able):
            return of_round(made)
    return None


def of_round(made: RhymeRound) -> Rhymes:
    """The texts of a round."""
    options = [word.text for word in made.options]
    rhyming = tuple(option for option in options if option in made.rhyming)
    return Rhymes(made.word.text, rhyming, tuple(option for option in options if option not in rhyming))


def round_of(rhymes: Rhymes, bank: WordBank) -> RhymeRound | None:
    """The round of these texts again; None where the school took its word away since."""
    word = bank.get(rhymes.word)
    if word is None:
        return None
    rhyming, unlike = ([*filter(None, map(bank.get, texts))] for texts in (rhymes.rhyming, rhymes.unlike))
    made = [other for other in rhyming if other.rime_letters == word.rime_letters and len(other.onset) == 1]
    options = sorted([*rhyming, *unlike], key=lambda option: option.text)
    return RhymeRound(word, tuple(options), frozenset(other.text for other in rhyming), tuple(made))


def rhyme_choices(able: Iterable[Word], letters: Collection[str]) -> tuple[tuple[str, ...], ...]:
    """For each rime of three words or more its words: first one with some of the letters, where there is one.

    Rimes with such a word come first.
    """
    choices = []
    for words in by_sound.rhymes(word for word in able if word.onset).values():
        texts = tuple({word.sounds: word.text for word in reversed(words)}.values())[::-1]
        using = [text_of for text_of in texts if set(text_of) & set(letters)]
        if len(texts) > 2:
            ordered = tuple(dict.fromkeys([*using[:1], *texts]))
            choices.append((not using, ordered))
    return tuple(texts for _, texts in sorted(choices, key=lambda choice: choice[0])[:CHOICES])


def read_letters(typed: str, state: GroupState) -> tuple[str, ...]:
    """The letters that a teacher typed for a lesson, each once. Raises UsageError."""
    letters = tuple(dict.fromkeys(typed_letters([typed], state.alphabet)))
    if len(letters) > MOST_LETTERS:
        raise UsageError(f"a lesson must have at most {MOST_LETTERS} letters, not {len(letters)}")
    return letters


def read_words(typed: str, state: GroupState) -> tuple[str, ...]:
    """The words that she typed, each once; none are a lesson without words. Raises WordError."""
    words = planned(typed, [state.alphabet])
    if len(words) > MOST_WORDS:
        raise WordError(f"a lesson must have at most {MOST_WORDS} words, not {len(words)}")
    return words


def read_rhyme(word: str, state: GroupState, letters: Collection[str]) -> Rhymes | None:
    """The round for the word that she named; "" is a lesson without rhymes. Raises WordError."""
    if not word:
        return None
    able = state.words(letters)
    named = next((other for other in able if other.text == word), None)
    made = rhyme_round(named, able) if named else None
    if made is None:
        raise WordError(
            f"a rhyme round must be with words that the group can write, and {word[:40]!r} has none"
        )
    return of_round(made)


def seats(lesson: Lesson, pupils: Iterable[Pupil]) -> Iterator[tuple[str, str]]:
    """Each table with its letters, and who sits there and why; at last those of the group who sit at none."""
    for place, table in enumerate(lesson.tables, 1):
        names = listed([pupil.name for pupil in table.pupils], every=True)
        yield table_words(place, table), f"{names}. {why(table)}"
    if left := others(lesson, pupils):
        heading = text("lesson.others" if lesson.tables else "lesson.everybody")
        yield heading, listed([pupil.name for pupil in left], every=True)


def table_words(place: int, table: Gathering) -> str:
    """A table by its number and its letters."""
    return text("lesson.table", place=place, letters=table.letter)


def why(table: Gathering) -> str:
    """Why these pupils sit together, and what helps."""
    what = seen_words(table.kind, table.instead, table.letters)
    key = "why" if len(table.pupils) > 1 else "why_one"
    words = {"what": what if key == "why" else capital(what), "teach": teaching_words(table.kind)}
    return text(f"lesson.{key}", **words, seen=table.times, tries=table.tries)


def others(lesson: Lesson, pupils: Iterable[Pupil]) -> tuple[Pupil, ...]:
    """Those of a group who sit at none of the tables of a lesson."""
    seated = {pupil.id for table in lesson.tables for pupil in table.pupils}
    return tuple(pupil for pupil in pupils if pupil.id not in seated)


def usual_words(
    state: GroupState, letters: Sequence[str], words: Sequence[str], rhymes: Rhymes | None
) -> dict[Part, str]:
    """What is usually said in each part; no name of a child is in it."""
    said = {
        Part.SIT: text("lesson.say.sit", letters=listed(letters, every=True))
        if letters
        else text("lesson.say.sit_alone"),
        Part.LETTERS: " ".join([text("lesson.say.watch"), *_ways(state, letters), text("lesson.say.write")]),
        Part.WORDS: text("lesson.say.words", words=listed(words, every=True)),
        Part.RHYME: "",
        Part.END: text("lesson.say.end"),
    }
    if rhymes:
        said[Part.RHYME] = text(
            "lesson.say.rhyme",
            word=rhymes.word,
            options=", ".join(sorted([*rhymes.rhyming, *rhymes.unlike])),
            rhyming=listed(rhymes.rhyming, every=True),
        )
    return said


def _ways(state: GroupState, letters: Sequence[str]) -> list[str]:
    """How each letter is made, and what helps where some of the group sit together for it."""
    ways = []
    for letter in letters:
        if letter in state.alphabet:
            cues = [stroke.cue for stroke in state.alphabet[letter].taught.strokes if stroke.cue]
            ways.append(text("lesson.say.letter", letter=letter, cues=" ".join(map(capital, cues))))
    kinds = [gathering.kind for gathering in state.summary.gather if set(gathering.letters) & set(letters)]
    return [*ways, *dict.fromkeys(map(teaching_words, kinds[:1]))]
