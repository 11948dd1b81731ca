"""The record: pupils, plans and every attempt with its raw ink, kept so that nothing a child wrote is lost.

In go pupils, attempts with their ink and verdicts, and what a teacher sets, notes and overrules, as the
types of `trainer.attempt`. Out come the same again, and the counts that `trainer.teaching` sums up. A
`Record` is opened at a file or at an address; each of its parts is one concern, over one database:
`pupils`, `plans`, `attempts`, `imports`, `ink`, `verdicts`, `notes`, `observations`, `settings`,
`words`, `word_tries`, `figures`, `erasure`, `upkeep`, `deliveries` and `screens`. What looks after a whole
record takes its place: `inspection`, `backup` and `moving`, which are imported when they are asked for; so is
`outbox`, by which a practice window writes into a record on a server, and `group_state`, for a lesson.

**Raw ink is kept, everything else is worked out from it.** Better checks, or an edited letter, can
judge last month's writing again.

**An attempt is committed before the child sees the answer**, and the ink of an unfinished letter at
each pen-up. The tables come from migrations from the first day, so that any earlier record can be
opened.

**One record, two kinds of databases**: SQLite in one file, or PostgreSQL for many screens. What differs
is in `sqlite` and `postgresql`, all else is the same SQL, and the tests of the record run on both. One
window writes at a time in both: `BEGIN IMMEDIATE` there, an advisory lock here. A reader sees one
moment and can change nothing. A stroke waits for no disk (`synchronous` NORMAL, `synchronous_commit =
off`), a finished letter does. A server that falls silent is given up after seconds, by a clock on this
side. What people see in an order is sorted in Python, as every server sorts text in its own way.

**Erased is erased from the files as well.** SQLite puts zeros over it and empties its write-ahead file.
PostgreSQL writes the touched tables anew (`VACUUM FULL`: others wait for it), and its planner keeps no
samples of names, remarks and ink. Its write-ahead log, its logs and its backups are in the care of who
runs the server. Ink past its time goes likewise, when a record is opened and two days of writing agree about
today: one start with a wrong clock erases nothing. No number is ever given again: a window or a page may
still mean the erased pupil, note or attempt.

**What looks after a whole record works from `tables.metadata`**: a new table is backed up, moved and looked
through without a word. Whoever replaces a record is alone with it: SQLite's exclusive lock there, every table
locked and no other connection here. A record that was moved is sealed by triggers, so that older versions of
the program write nothing there either, and a mark among the migrations keeps them from opening it.

**Counts are kept with every attempt**, in its own transaction, by pupil, letter and day: the desk adds
up days, never attempts. A change counts the days it touched anew, by the same SQL that counts the whole
record; a test does everything that can be done to a record in random order and compares. A day is that
of the calendar where the letter was written, because a teacher thinks in the days of her own school; it
is kept with the attempt and does not change when the record is opened elsewhere.

**A verdict names its version**: that of the checks with a digest of the letter's accepted formations,
the guide lines and the tolerances (`strokes/checks/version.py`). `trainer recheck` judges old ink again
by today's version; the verdict that it replaces is kept as past. An attempt keeps after which of its
traces a stroke was shown again: what was seen then is no matter of the checks of today.
"""

from trainer.record.deliveries import Screen
from trainer.record.erasure import Holdings
from trainer.record.kept_ink import LONGEST_INK_DAYS
from trainer.record.lessons import ADDED_FOR
from trainer.record.notes import NOTE_LENGTH
from trainer.record.pupils import DEFAULT_GROUP
from trainer.record.record import Record
from trainer.record.upkeep import Backup
from trainer.record.verdicts import REASON_LENGTH

__all__ = [
    "ADDED_FOR",
    "DEFAULT_GROUP",
    "LONGEST_INK_DAYS",
    "NOTE_LENGTH",
    "REASON_LENGTH",
    "Backup",
    "Holdings",
    "Record",
    "Screen",
    "backup",
    "group_state",
    "inspection",
    "moving",
    "outbox",
]
