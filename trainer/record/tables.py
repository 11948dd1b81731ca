"""The record's tables as they are today; how they came to be is in `migrations`.

The counters have the name `tally` in the database: a released step gave it to them.
"""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    Column,
    Float,
    ForeignKey,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
)

metadata = MetaData()

MOMENT = 27
"""Characters of a moment, as `mappers.stamp` writes it; no other column has this length."""

setting = Table(
    "setting",
    metadata,
    Column("name", String(60), primary_key=True),
    Column("value", String(200), nullable=False),
)

pupil = Table(
    "pupil",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", String(40), nullable=False),
    Column("class_group", String(40), nullable=False),
    Column("card", Integer, nullable=False),
    Column("hand", String(5)),
    Column("archived", Boolean, nullable=False),
)

plan = Table(
    "plan",
    metadata,
    Column("class_group", String(40), primary_key=True),
    Column("place", Integer, primary_key=True),
    Column("letter", String(20), nullable=False),
)

planned_word = Table(
    "planned_word",
    metadata,
    Column("class_group", String(40), primary_key=True),
    Column("place", Integer, primary_key=True),
    Column("word", String(40), nullable=False),
)

own_word = Table(
    "own_word",
    metadata,
    Column("word", String(20), primary_key=True),
    Column("spelling", String(200), nullable=False),
)

taught = Table(
    "taught",
    metadata,
    Column("class_group", String(40), primary_key=True),
    Column("name", String(20), primary_key=True),
)

own_plan = Table(
    "own_plan",
    metadata,
    Column("pupil", Integer, ForeignKey("pupil.id", ondelete="CASCADE"), primary_key=True),
    Column("place", Integer, primary_key=True),
    Column("letter", String(20), nullable=False),
)

plan_addition = Table(
    "plan_addition",
    metadata,
    Column("pupil", Integer, ForeignKey("pupil.id", ondelete="CASCADE"), primary_key=True),
    Column("letter", String(20), primary_key=True),
    Column("day", String(10), nullable=False),
    Column("place", Integer, nullable=False),
    Column("at", String(27)),
)

note = Table(
    "note",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("pupil", Integer, ForeignKey("pupil.id", ondelete="CASCADE"), nullable=False),
    Column("at", String(MOMENT), nullable=False),
    Column("said", String(2000), nullable=False),
)

observation = Table(
    "observation",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("pupil", Integer, ForeignKey("pupil.id", ondelete="CASCADE"), nullable=False),
    Column("letter", String(20), nullable=False),
    Column("day", String(10), nullable=False),
    Column("seen", String(200), nullable=False),
)

attempt = Table(
    "attempt",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("pupil", Integer, ForeignKey("pupil.id", ondelete="CASCADE"), nullable=False),
    Column("letter", String(20), nullable=False),
    Column("step", String(10), nullable=False),
    Column("at", String(MOMENT), nullable=False),
    Column("finished", Boolean, nullable=False),
    Column("formation", String(80)),
    Column("formed", Boolean),
    Column("looks", Boolean),
    Column("ink", LargeBinary),
    Column("day", String(10), nullable=False),
    Column("checks", String(40), nullable=False),
    Column("mended", Boolean, nullable=False),
    Column("taken_in", Integer),
    Column("word", String(40)),
    Column("word_place", Integer),
    Column("sent_as", String(32)),
)

word_try = Table(
    "word_try",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("pupil", Integer, ForeignKey("pupil.id", ondelete="CASCADE"), nullable=False),
    Column("word", String(40), nullable=False),
    Column("part", String(10), nullable=False),
    Column("at", String(27), nullable=False),
    Column("day", String(10), nullable=False),
    Column("finished", Boolean, nullable=False),
    Column("asked", Integer, nullable=False),
    Column("given", Integer, nullable=False),
    Column("wrong", Integer, nullable=False),
    Column("ink", LargeBinary),
    Column("findings", Text, nullable=False),
    Column("checks", String(40), nullable=False),
    Column("sent_as", String(32)),
)

past_word_try = Table(
    "past_word_try",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("word_try", Integer, ForeignKey("word_try.id", ondelete="CASCADE"), nullable=False),
    Column("checks", String(40), nullable=False),
    Column("at", String(27), nullable=False),
    Column("findings", Text, nullable=False),
)

ink_import = Table(
    "ink_import",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("pupil", Integer, ForeignKey("pupil.id", ondelete="CASCADE"), nullable=False),
    Column("at", String(MOMENT), nullable=False),
)

finding = Table(
    "finding",
    metadata,
    Column("attempt", Integer, ForeignKey("attempt.id", ondelete="CASCADE"), primary_key=True),
    Column("place", Integer, primary_key=True),
    Column("kind", String(20), nullable=False),
    Column("amount", Float, nullable=False),
    Column("tolerance", Float, nullable=False),
    Column("stroke", Integer),
    Column("trace", Integer),
    Column("part_from", Float),
    Column("part_to", Float),
    Column("at_x", Float),
    Column("at_y", Float),
    Column("written_order", String(60), nullable=False),
    Column("other_letter", String(20)),
    Column("note", Boolean, nullable=False),
)

overruling = Table(
    "overruling",
    metadata,
    Column("attempt", Integer, ForeignKey("attempt.id", ondelete="CASCADE"), primary_key=True),
    Column("formed", Boolean, nullable=False),
    Column("looks", Boolean, nullable=False),
    Column("reason", String(400), nullable=False),
    Column("at", String(MOMENT), nullable=False),
)

past_verdict = Table(
    "past_verdict",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("attempt", Integer, ForeignKey("attempt.id", ondelete="CASCADE"), nullable=False),
    Column("checks", String(40), nullable=False),
    Column("at", String(MOMENT), nullable=False),
    Column("formation", String(80), nullable=False),
    Column("formed", Boolean, nullable=False),
    Column("looks", Boolean, nullable=False),
    Column("findings", Text, nullable=False),
    Column("mended", Boolean, nullable=False),
)

lesson = Table(
    "lesson",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("class_group", String(40), nullable=False),
    Column("day", String(10), nullable=False),
    Column("kept", String(MOMENT), nullable=False),
    Column("changed", String(MOMENT), nullable=False),
)

lesson_entry = Table(
    "lesson_entry",
    metadata,
    Column("lesson", Integer, ForeignKey("lesson.id", ondelete="CASCADE"), primary_key=True),
    Column("use", String(12), primary_key=True),
    Column("place", Integer, primary_key=True),
    Column("entry", String(40), nullable=False),
)

lesson_part = Table(
    "lesson_part",
    metadata,
    Column("lesson", Integer, ForeignKey("lesson.id", ondelete="CASCADE"), primary_key=True),
    Column("place", Integer, primary_key=True),
    Column("part", String(12), nullable=False),
    Column("minutes", Integer, nullable=False),
    Column("say", String(800), nullable=False),
)

lesson_seat = Table(
    "lesson_seat",
    metadata,
    Column("lesson", Integer, ForeignKey("lesson.id", ondelete="CASCADE"), primary_key=True),
    Column("place", Integer, primary_key=True),
    Column("pupil", Integer, ForeignKey("pupil.id", ondelete="CASCADE"), nullable=False),
    Column("seating", Integer, nullable=False),
    Column("letter", String(20), nullable=False),
    Column("kind", String(20), nullable=False),
    Column("times", Integer, nullable=False),
    Column("tries", Integer, nullable=False),
    Column("instead", String(200), nullable=False),
)

screen = Table(
    "screen",
    metadata,
    Column("code", String(32), primary_key=True),
    Column("name", String(60), nullable=False),
    Column("heard", String(MOMENT), nullable=False),
    Column("waiting", Integer, nullable=False),
    Column("open", Boolean, nullable=False),
    Column("little_room", Boolean, nullable=False),
)

COUNTED = (
    "tries",
    "formed",
    "mended",
    "looks",
    "recalled",
    "recalled_formed",
    "traced",
    "broken",
    "overruled",
    "in_words",
    "in_words_formed",
)
"""The columns of numbers in a counter of attempts, in their order."""

counter = Table(
    "tally",
    metadata,
    Column("pupil", Integer, ForeignKey("pupil.id", ondelete="CASCADE"), primary_key=True),
    Column("letter", String(20), primary_key=True),
    Column("day", String(10), primary_key=True),
    *(Column(name, Integer, nullable=False) for name in COUNTED),
    Column("first_at", String(MOMENT)),
    Column("last_at", String(MOMENT)),
)

finding_counter = Table(
    "tally_finding",
    metadata,
    Column("pupil", Integer, ForeignKey("pupil.id", ondelete="CASCADE"), primary_key=True),
    Column("letter", String(20), primary_key=True),
    Column("day", String(10), primary_key=True),
    Column("kind", String(20), primary_key=True),
    Column("note", Boolean, primary_key=True),
    Column("other_letter", String(20), primary_key=True),
    Column("tries", Integer, nullable=False),
    Column("last_at", String(MOMENT), nullable=False),
)

counter_so_far = Table(
    "tally_so_far",
    metadata,
    Column("pupil", Integer, ForeignKey("pupil.id", ondelete="CASCADE"), primary_key=True),
    Column("letter", String(20), primary_key=True),
    Column("day", String(10), primary_key=True),
    *(Column(name, Integer, nullable=False) for name in COUNTED),
)

finding_counter_so_far = Table(
    "tally_finding_so_far",
    metadata,
    Column("pupil", Integer, ForeignKey("pupil.id", ondelete="CASCADE"), primary_key=True),
    Column("letter", String(20), primary_key=True),
    Column("kind", String(20), primary_key=True),
    Column("note", Boolean, primary_key=True),
    Column("other_letter", String(20), primary_key=True),
    Column("day", String(10), primary_key=True),
    Column("tries", Integer, nullable=False),
    Column("last_at", String(MOMENT), nullable=False),
)
