"""A lesson of ten minutes for a group: what is proposed, kept, offered on the screens, printed and typed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from io import BytesIO
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PageObject, PdfReader

from strokes.kinds import Kind
from tests.shipped import PRINT
from tests.trainer.older import made_before
from tests.trainer.samples import MONDAY, attempt
from tests.trainer.whole_record import lesson
from trainer import places
from trainer.attempt import NAME_LENGTH, Pupil
from trainer.commands.cli import main
from trainer.errors import BrokenRecordError, LessonError, UsageError, WordError
from trainer.language import day_words
from trainer.paper import Paper, lesson_page
from trainer.record import ADDED_FOR, Record
from trainer.record.lessons import NOBODY
from trainer.record.migrations import LESSONS
from trainer.teaching import Gathering, Need, lesson_planning, reasons, teaching_order
from trainer.teaching.group_lesson import MINUTES, SAY_LENGTH, Lesson, LessonPart, Part, in_order, minutes
from trainer.teaching.lesson_planning import GroupState, next_day, suggested
from trainer.wall import Item, WallLetter, WallRhymes, WallWord
from trainer.wordbank import Word, shipped_words

DAY = MONDAY.date()
TAUGHT = frozenset({*"abcdefghijklmnopqrstuvwxyz", "sh:SH"})


def state(record: Record, group: str = "Quay", *, marked: frozenset[str] = TAUGHT) -> GroupState:
    summary = record.figures.summary(group, families=lambda _: PRINT.families, order=teaching_order(PRINT))
    return GroupState.of(group, summary, PRINT, own={}, marked=marked, today=DAY)


@pytest.fixture(scope="module")
def town(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    """Three of Quay who share a need at b, one of them at d too, and one who has none; for reading alone."""
    with Record.open(tmp_path_factory.mktemp("town") / places.RECORD, now=MONDAY) as record:
        for name in ("Abel", "Brida", "Cosmo", "Dalia"):
            pupil = record.pupils.add(name, group="Quay")
            if name != "Dalia":
                keep(record, pupil, "b", Kind.DIRECTION)
            keep(record, pupil, "a")
        yield record


@pytest.fixture
def new_town(tmp_path: Path) -> Iterator[Record]:
    """An empty record in a file, for what does not depend on the database."""
    with Record.open(tmp_path / places.RECORD, now=MONDAY) as record:
        yield record


def keep(record: Record, pupil: Pupil, letter: str, *kinds: Kind) -> None:
    record.attempts.keep_many([attempt(pupil.id, letter, *kinds, day=-1) for _ in range(3)])


# --- the ten minutes


@given(st.sets(st.sampled_from([Part.WORDS, Part.RHYME])))
def test_the_parts_add_up_to_ten_minutes_whatever_is_left_out(left_out: set[Part]) -> None:
    taking = minutes([part for part in Part if part not in left_out])

    assert sum(taking.values()) == MINUTES
    assert min(taking.values()) >= 1


@settings(max_examples=40)
@given(st.permutations(list(Part)), st.booleans(), st.booleans())
def test_parts_keep_their_order_and_one_that_comes_anew_finds_its_place(
    order: list[Part], words: bool, rhymes: bool
) -> None:
    parts = in_order(order, words=words, rhymes=rhymes)

    assert (Part.WORDS in parts, Part.RHYME in parts) == (words, rhymes)
    assert [part for part in order if part in parts] == list(parts)
    assert set(in_order(parts, words=True, rhymes=True)) == set(Part)
    assert in_order((), words=True, rhymes=True) == tuple(Part)


@pytest.mark.parametrize(
    ("today", "proposed"),
    [((2026, 3, 12), 13), ((2026, 3, 13), 16), ((2026, 3, 14), 16), ((2026, 3, 15), 16), ((2026, 3, 16), 17)],
)
def test_the_next_day_is_a_weekday(today: tuple[int, int, int], proposed: int) -> None:
    assert next_day(date(*today)) == date(2026, 3, proposed)


# --- what is proposed


def test_the_letters_are_those_that_tomorrow_gathers_for_and_plan_proposes(town: Record) -> None:
    """There is no second rule for what is due, nor for who sits together."""
    known = state(town)
    made = suggested(known, DAY)

    gather = known.summary.gather
    assert [gathering.letters for gathering in gather] == [("b",)]
    assert made.tables == gather
    proposed = [reason.letter for reason in reasons.proposed(known.because) if reason.letter != "b"]
    assert made.letters == ("b", proposed[0])
    assert [pupil.name for pupil in lesson_planning.others(made, town.pupils.find("Quay"))] == ["Dalia"]
    assert "ran the pen the other way along a stroke in 9 of their last 9 tries" in lesson_planning.why(
        gather[0]
    )


def test_every_word_uses_a_letter_and_only_what_was_taught(town: Record) -> None:
    made = suggested(state(town), DAY)
    can_be_written = {word.text for word in state(town).words(made.letters)}

    assert len(made.words) == lesson_planning.WORDS
    assert all(set(word) & set(made.letters) for word in made.words)
    assert set(made.words) <= can_be_written
    assert all(any(letter in word for word in made.words) for letter in made.letters)
    assert made.rhymes is not None
    assert {made.rhymes.word, *made.rhymes.rhyming, *made.rhymes.unlike} <= can_be_written
    assert made.order == tuple(Part)
    assert {part.minutes for part in made.parts} == {1, 2, 3}


def test_what_is_said_has_cues_words_and_rhymes_and_no_name(town: Record) -> None:
    made = suggested(state(town), DAY)
    said = {part.part: part.say for part in made.parts}

    assert PRINT["b"].taught.strokes[0].cue in said[Part.LETTERS]
    assert "say which way the pen goes" in said[Part.LETTERS]
    assert all(word in said[Part.WORDS] for word in made.words)
    assert made.rhymes is not None
    assert all(
        word in said[Part.RHYME] for word in (made.rhymes.word, *made.rhymes.rhyming, *made.rhymes.unlike)
    )
    assert not any(pupil.name in part.say for pupil, part in product(town.pupils.find(), made.parts))
    assert max(len(part.say) for part in made.parts) <= SAY_LENGTH


@pytest.mark.parametrize(
    ("read", "typed", "reason"),
    [
        (lesson_planning.read_letters, "abcde", "at most 4 letters, not 5"),
        (lesson_planning.read_words, "an at as am it in on up us", "at most 8 words, not 9"),
        (lesson_planning.read_words, "x1", "must have 1 to 20 letters"),
    ],
)
def test_what_is_too_much_for_ten_minutes_is_told(
    town: Record, read: Callable[[str, GroupState], object], typed: str, reason: str
) -> None:
    with pytest.raises((UsageError, WordError), match=reason):
        read(typed, state(town))


@pytest.mark.parametrize("days", [-1, 367])
def test_a_day_is_within_a_year_from_today_on_or_that_of_a_kept_lesson(days: int) -> None:
    day = DAY + timedelta(days=days)
    with pytest.raises(UsageError, match="within a year"):
        lesson_planning.read_day(day.isoformat(), DAY)
    assert lesson_planning.read_day(day.isoformat(), DAY, day) == day
    assert lesson_planning.read_day(DAY.isoformat(), DAY) == DAY


def test_the_letters_that_take_most_words_to_say_find_room_in_what_is_said(town: Record) -> None:
    known = state(town)
    longest = sorted(
        PRINT, key=lambda letter: -sum(len(stroke.cue) for stroke in PRINT[letter].taught.strokes)
    )
    made = suggested(known, DAY, longest[:4])

    assert max(len(part.say) for part in made.parts) <= SAY_LENGTH


def test_of_new_letters_there_is_one_and_without_words_the_minutes_go_to_it(new_town: Record) -> None:
    """A group that wrote nothing and was taught nothing."""
    record = new_town
    record.pupils.add("Nora", group="Quay")
    made = suggested(state(record, marked=frozenset()), DAY)

    assert made.letters == PRINT.order[:1]
    assert (made.words, made.rhymes, made.tables) == ((), None, ())
    assert [(part.part, part.minutes) for part in made.parts] == [
        (Part.SIT, 1),
        (Part.LETTERS, 8),
        (Part.END, 1),
    ]
    ((heading, names),) = lesson_planning.seats(made, record.pupils.find())
    assert (heading, names) == ("Nobody shares a need: sit as always", "Nora")


def test_thirty_children_without_groups_sit_at_four_tables_and_beside_them(new_town: Record) -> None:
    record = new_town
    for number in range(30):
        pupil = record.pupils.add(f"Child {number}")
        keep(record, pupil, "bdeg"[number % 4], Kind.START if number % 4 else Kind.LIFT)
    made = suggested(state(record, record.pupils.groups()[0]), DAY)

    assert len(made.tables) == 4
    assert all(2 <= len(table.pupils) <= 6 for table in made.tables)
    seated = sum(len(table.pupils) for table in made.tables)
    assert seated + len(lesson_planning.others(made, record.pupils.find())) == 30


@settings(max_examples=25)
@given(
    st.sets(st.sampled_from(shipped_words().words), max_size=40),
    st.sets(st.sampled_from("abdeinst"), max_size=3),
)
def test_a_rhyme_that_can_be_chosen_has_two_that_rhyme_with_it(words: set[Word], letters: set[str]) -> None:
    able = sorted(words, key=lambda word: word.text)

    for first, *others in lesson_planning.rhyme_choices(able, letters):
        texts = {word.text: word for word in able}
        assert len(others) >= 2
        assert {texts[other].rime for other in others} == {texts[first].rime}


# --- kept by the record


def test_a_lesson_comes_back_as_it_was_kept(record: Record) -> None:
    abel = record.pupils.add("Abel", group="Quay")
    saved = record.lessons.keep(lesson(abel), MONDAY)

    assert saved.id is not None
    assert record.lessons.get(saved.id) == saved == record.lessons.find("Quay")[0]
    assert record.lessons.find("Slipway") == record.lessons.find("Quay", day=DAY + timedelta(days=1)) == ()
    assert [record.lessons.get(number) for number in (saved.id + 1, 0, 10**10)] == [None] * 3
    assert record.lessons.of_pupil(abel) == ((DAY, saved.tables[0].needs[0]),)


def test_a_lesson_that_is_sent_twice_is_there_once_and_another_one_beside_it(new_town: Record) -> None:
    first = new_town.lessons.keep(lesson(), MONDAY)
    assert new_town.lessons.keep(lesson(), MONDAY + timedelta(hours=1)).id == first.id

    other = new_town.lessons.keep(replace(lesson(), letters=("d",)), MONDAY)
    assert [each.id for each in new_town.lessons.find("Quay", day=DAY)] == [other.id, first.id]


def test_a_lesson_that_was_changed_or_is_gone_is_not_written_over(new_town: Record) -> None:
    abel = new_town.pupils.add("Abel", group="Quay")
    read = new_town.lessons.keep(lesson(abel), MONDAY)
    saved = new_town.lessons.change(replace(read, letters=("d",), tables=()), MONDAY + timedelta(minutes=1))

    assert saved.id is not None
    there = new_town.lessons.get(saved.id)
    assert there is not None
    assert (there.letters, there.tables, there.kept) == (("d",), read.tables, read.kept)
    with pytest.raises(LessonError, match="changed in another window"):
        new_town.lessons.change(replace(read, letters=("e",)), MONDAY + timedelta(minutes=2))
    new_town.lessons.remove(saved.id)
    with pytest.raises(LessonError, match="removed meanwhile"):
        new_town.lessons.change(saved, MONDAY)


def test_removing_is_undone_once_and_seats_nobody_who_was_erased_meanwhile(record: Record) -> None:
    abel, brida = (record.pupils.add(name, group="Quay") for name in ("Abel", "Brida"))
    parts = (LessonPart(Part.SIT, 10, "Abel and Brida come first."),)
    saved = record.lessons.keep(replace(lesson(abel, brida), parts=parts), MONDAY)
    assert saved.id is not None
    removed = record.lessons.remove(saved.id)
    assert removed is not None
    assert record.lessons.remove(saved.id) is None
    record.erasure.remove_pupil(brida.id)

    for _ in range(2):
        assert record.lessons.put_back(removed) == saved.id
    (back,) = record.lessons.find()
    assert [pupil.name for table in back.tables for pupil in table.pupils] == ["Abel"]
    assert back.parts[0].say == f"Abel and {NOBODY} come first."
    assert (back.letters, back.words, back.rhymes) == (saved.letters, saved.words, saved.rhymes)


def test_an_erased_child_is_in_no_lesson_and_in_nothing_that_is_said(new_town: Record) -> None:
    """An archived one sits nowhere either, and is there again with the pupil."""
    abel, brida = new_town.pupils.add("Abel", group="Quay"), new_town.pupils.add("Ábel ♥", group="Quay")
    say = "Ábel ♥, come first. Abelard and Abel watch."
    saved = new_town.lessons.keep(
        replace(lesson(abel, brida), parts=(LessonPart(Part.SIT, 10, say),)), MONDAY
    )
    new_town.pupils.archive(abel.id)
    assert [pupil.name for pupil in new_town.lessons.find()[0].tables[0].pupils] == ["Ábel ♥"]
    new_town.pupils.archive(abel.id, archived=False)

    new_town.erasure.remove_pupil(brida.id)
    new_town.erasure.remove_pupil(abel.id)

    (left,) = new_town.lessons.find()
    assert (left.id, left.tables) == (saved.id, ())
    assert left.parts[0].say == f"{NOBODY}, come first. Abelard and {NOBODY} watch."


def test_a_group_that_is_erased_takes_its_lessons_with_it(new_town: Record) -> None:
    new_town.pupils.add("Abel", group="Quay")
    new_town.lessons.keep(lesson(), MONDAY)
    new_town.lessons.keep(lesson(group="Slipway"), MONDAY)

    new_town.erasure.remove_group("Quay")

    assert [each.group for each in new_town.lessons.find()] == ["Slipway"]


def test_a_damaged_lesson_is_named_and_costs_only_itself(new_town: Record) -> None:
    new_town.lessons.keep(lesson(), MONDAY)
    new_town.lessons.keep(lesson(group="Slipway"), MONDAY)
    with new_town.database.writing() as connection:
        connection.exec_driver_sql("UPDATE lesson SET day = 'some day' WHERE class_group = 'Quay'")
    damaged: list[BrokenRecordError] = []

    assert [each.group for each in new_town.lessons.find(on_damage=damaged.append)] == ["Slipway"]
    assert "lesson 1 is damaged" in str(damaged[0])


def test_a_record_from_before_lessons_opens_and_keeps_them(
    place: Path | str, monkeypatch: pytest.MonkeyPatch
) -> None:
    made_before(LESSONS, place, monkeypatch).close()

    with Record.open(place, now=MONDAY) as record:
        assert record.lessons.find() == ()
        assert record.lessons.keep(lesson(), MONDAY).id == 1


# --- on the children's screens


def test_a_lesson_comes_first_on_the_screens_from_its_day_on_as_what_is_added_does(record: Record) -> None:
    abel, brida = (record.pupils.add(name, group="Quay") for name in ("Abel", "Brida"))
    gesa = record.pupils.add("Gesa", group="Slipway")
    record.plans.set("Quay", ["z"])
    record.plans.set("Quay", ["y"], pupil=brida.id)
    record.plans.set_words("Quay", ["net"])
    at_table = replace(
        lesson(abel), tables=(Gathering(Kind.START, "Quay", (Need(abel, "e", Kind.START, 3, 4),)),)
    )
    saved = record.lessons.keep(at_table, MONDAY)
    later = DAY + timedelta(days=1)
    record.lessons.keep(replace(lesson(day=later), letters=("m",), words=("man",)), MONDAY)

    def offered(pupil: Pupil, days: int) -> str:
        return "".join(record.plans.for_pupil(pupil.id, today=DAY + timedelta(days=days)))

    def words(days: int) -> tuple[str, ...]:
        return record.plans.words("Quay", today=DAY + timedelta(days=days))

    assert [offered(abel, days) for days in (-1, 0, 1)] == ["z", "bkez", "mbkez"]
    assert offered(brida, 0) == "bky"
    assert offered(gesa, 0) == ""
    assert [words(days) for days in (-1, 0, 1)] == [
        ("net",),
        ("bed", "kid", "net"),
        ("man", "bed", "kid", "net"),
    ]
    assert offered(abel, ADDED_FOR.days) == "mz"
    assert record.plans.named_words("Quay") == ("net",)
    record.plans.add({abel.id: ["h"]}, today=DAY)
    assert offered(abel, 0) == "bkehz", "the lesson of a day comes before what was added on it"
    assert record.plans.for_group("Quay", today=DAY) == ("b", "k", "z")
    assert [each.id for each in record.lessons.find("Quay", counting=DAY)] == [saved.id]
    assert record.lessons.find("Quay", counting=DAY - timedelta(days=1)) == ()
    record.lessons.remove(saved.id or 0)
    assert offered(abel, 0) == "hz"


# --- on paper


def base_lines(page: PageObject) -> list[float]:
    """How high each piece of text stands above the lower edge, in points."""
    heights: list[float] = []

    def hear(string: str, _: object, at: list[float], *_rest: object) -> None:
        if string.strip():
            heights.append(at[5])

    page.extract_text(visitor_text=hear)
    return heights


def page_of(made: Lesson, pupils: tuple[Pupil, ...], paper: Paper) -> PdfReader:
    return PdfReader(BytesIO(lesson_page(made, pupils, PRINT, paper).content()))


def test_a_lesson_at_all_its_limits_is_on_one_page_and_within_it() -> None:
    """Four letters, eight words, five parts with all that can be said, thirty long names; the lower paper."""
    pupils = tuple(Pupil(n, "Mm" * (NAME_LENGTH // 4) + f" {n}", 1, group="Quay") for n in range(30))
    tables = tuple(
        Gathering(
            Kind.LETTER, "Quay", tuple(Need(pupil, "b", Kind.LETTER, 5, 5, ("d", "p")) for pupil in own)
        )
        for own in (pupils[:6], pupils[6:12], pupils[12:18], pupils[18:24])
    )
    say = ("Say it. " * SAY_LENGTH)[:SAY_LENGTH].strip()
    made = Lesson(
        "Quay",
        DAY,
        tuple("mwWM"),
        ("swimming",) * 8,
        lesson().rhymes,
        tuple(LessonPart(part, 2, say) for part in Part),
        tables,
    )
    reader = page_of(made, pupils, Paper("letter"))

    assert len(reader.pages) == 1
    lowest: list[float] = []
    reader.pages[0].extract_text(
        visitor_text=lambda string, _, at, *__: lowest.append(at[5]) if string.strip() else None
    )
    *others, foot = lowest
    assert 15 < foot < min(others)


def test_a_page_has_letters_words_what_to_say_and_who_sits_where() -> None:
    abel, dalia = (Pupil(number, name, 1, group="Quay") for number, name in enumerate(("Abel", "Dalia"), 1))
    reader = page_of(replace(lesson(abel), letters=("b", "þ")), (abel, dalia), Paper())
    said = " ".join(reader.pages[0].extract_text().replace("\u00a0", " ").split())

    assert "Lesson for Quay on 7 Sep 2026" in said
    for part in Part:
        assert f"Say this in {part}." in said
    assert "Table 1: b Abel." in said
    assert "All others Dalia" in said
    assert "Not in the alphabet of this group any more: þ." in said


# --- in the terminal


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A folder with a record of two groups."""
    with Record.open(tmp_path / places.RECORD) as record:
        record.pupils.add("Abel", group="Quay")
        record.pupils.add("Gesa", group="Slipway")
        record.words.set_taught("Quay", TAUGHT)
    return tmp_path


def test_a_lesson_is_proposed_kept_changed_printed_and_taken_away(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def typed(*words: str) -> str:
        assert main(["lesson", "Quay", "--data", str(data), *words]) == 0
        return capsys.readouterr().out.replace("\u00a0", " ")

    day = date.today() + timedelta(days=30)
    far, on = ["--day", day.isoformat()], day_words(day, year=True).replace("\u00a0", " ")
    assert f"A lesson for Quay on {on}; keep it with --keep." in typed(*far)
    assert "Letters: b d." in typed(*far, "--letters", "b d", "--keep")
    assert "Words: bed dig." in typed(*far, "--letters", "b d", "--words", "bed dig", "--rhyme", "", "--keep")
    said = typed(*far, "--pdf", str(data / "page.pdf"))
    assert f"The lesson for Quay on {on}, kept." in said
    assert "Words: bed dig." in said
    assert "Rhymes" not in said
    assert len(PdfReader(data / "page.pdf").pages) == 1
    with Record.open(data / places.RECORD) as record:
        assert len(record.lessons.find()) == 1
    assert "is taken away" in typed(*far, "--remove")
    assert "keep it with --keep" in typed(*far)


def test_the_wall_shows_letters_words_and_rhymes_in_the_order_of_the_parts_and_no_child(
    data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A word that stands in no list is left out, and that is said."""
    walls: list[Sequence[Item]] = []
    monkeypatch.setattr("trainer.wall.show", lambda items, **_: walls.append(items))
    with Record.open(data / places.RECORD) as record:
        order = (Part.RHYME, Part.LETTERS, Part.WORDS)
        parts = tuple(LessonPart(part, 2, "Abel first.") for part in order)
        abel = record.pupils.find("Quay")[0]
        words = ("bed", "zzz")
        made = replace(lesson(abel, day=date(2999, 9, 6)), letters=("b",), words=words, parts=parts)
        number = record.lessons.keep(made, MONDAY).id

    assert main(["lesson", "Quay", "--day", "2999-09-06", "--show", "--data", str(data)]) == 0
    said = capsys.readouterr()
    assert main(["lesson", "--number", str(number), "--data", str(data)]) == 0

    items, by_number = walls
    assert items == by_number
    rhymes, letter, word = items
    assert isinstance(rhymes, WallRhymes)
    assert rhymes.rhymes.rhyming == {"red", "shed"}
    assert [option.text for option in rhymes.rhymes.options] == ["dig", "dog", "red", "shed"]
    assert [made_word.text for made_word in rhymes.rhymes.made] == ["red", "shed"]
    assert isinstance(letter, WallLetter)
    assert letter.letter == "b"
    assert isinstance(word, WallWord)
    assert word.word.text == "bed"
    assert "Abel" not in repr(items)
    assert "zzz" in said.err
    assert said.out.replace("\u00a0", " ") == "The lesson of 6 Sep comes on the wall.\n", "and no name"
    assert main(["lesson", "--number", "99", "--data", str(data)]) == 2


SLIPS: list[tuple[list[str], int, str]] = [
    ([], 2, "name the group of the lesson, one of Quay and Slipway"),
    (["Attic"], 1, "the groups are: Quay, Slipway"),
    (["Quay", "--day", "soon"], 2, "--day must be a day, such as 2026-09-07, not 'soon'"),
    (["Quay", "--day", "9999-12-31", "--keep"], 2, "not '9999-12-31'"),
    (["Quay", "--letters", "b%"], 2, "'%' is not a letter"),
    (["Quay", "--rhyme", "orange"], 1, "'orange' has none"),
    (["Quay", "--remove"], 2, "there must be a lesson for Quay"),
    (["Quay", "--remove", "--keep"], 2, "--remove must stand without"),
    (["Quay", "--pdf", "page.txt"], 2, "--pdf must be a PDF file"),
]


def test_a_slip_is_told_in_one_sentence_and_nothing_is_kept(
    data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for words, code, reason in SLIPS:
        assert main(["lesson", *words, "--data", str(data)]) == code
        said = capsys.readouterr().err
        assert reason in said
        assert said.count("\n") == 1
    with Record.open(data / places.RECORD) as record:
        assert record.lessons.find() == ()
