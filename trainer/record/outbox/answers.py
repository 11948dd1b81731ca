"""What a practice window reads of a record on a server: its answers, or the last ones while it is away.

They are in memory alone: names, plans and figures are put on no screen's disk.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from functools import partial
from typing import Any, TypeVar, cast

from trainer.attempt import Attempt, Pupil
from trainer.errors import OnDamage, RecordError, pass_over
from trainer.record.outbox.sender import Sender
from trainer.record.record import Record

Answer = TypeVar("Answer")

PATIENCE = 1.0
"""Seconds that a window waits for an answer; it then knows that the server is away, and waits no more."""

REMEMBERED = 300
"""The last attempts of a child that are remembered: more than it makes in a month."""

_UNKNOWN: Any = object()


class Answers:
    """Asks the server through the sender, and remembers what it said."""

    def __init__(self, sender: Sender) -> None:
        self._sender = sender
        self._known: dict[Hashable, Any] = {}

    def get(self, key: Hashable, question: Callable[[Record], Answer], default: Answer = _UNKNOWN) -> Answer:
        """The answer of now, else the last one, else the default. Raises RecordError without any."""
        answer, _ = self._get(key, question, default)
        return answer

    def attempts(self, pupil: int, on_damage: OnDamage | None) -> tuple[tuple[Attempt, ...], bool]:
        """A pupil's attempts without ink, oldest first, and whether they are the answer of now.

        Without one they are the last `REMEMBERED`, or none. Those of the rest of the group are then looked
        up when nothing else is to be done: one of these children comes next.
        """

        def question(record: Record) -> tuple[Attempt, ...]:
            return tuple(record.attempts.find(pupil, ink=False, on_damage=on_damage))

        key = ("attempts", pupil)
        never: tuple[Attempt, ...] = ()
        attempts, fresh = self._get(key, question, never)
        self._known[key] = attempts[-REMEMBERED:]
        if fresh:
            self._look_up_group(pupil)
        return attempts, fresh

    def is_gone(self, pupil: int) -> bool:
        """Whether the server said that a pupil was erased."""
        return pupil in self._sender.erased

    def add_pupil(self, name: str) -> Pupil:
        """Add a pupil, who gets a number from the server. Raises RecordError while it is away."""
        future = self._sender.ask(lambda record: record.pupils.add(name), PATIENCE)
        if future is None or not future.done():
            raise RecordError("a new card needs the server of the record, which does not answer")
        return future.result()

    def all_pupils(self) -> list[Pupil]:
        """The pupils of all groups, without those who were erased."""
        pupils = self.get("pupils", lambda record: list(record.pupils.find()))
        return [pupil for pupil in pupils if not self.is_gone(pupil.id)]

    def last_pupil(self, number: int) -> Pupil | None:
        """A pupil as all of them were shown last; None where there was none."""
        return next((pupil for pupil in self._known.get("pupils", ()) if pupil.id == number), None)

    def _get(
        self, key: Hashable, question: Callable[[Record], Answer], default: Answer
    ) -> tuple[Answer, bool]:
        def learn(record: Record) -> Answer:
            self._known[key] = answer = question(record)
            return answer

        future = self._sender.ask(learn, PATIENCE)
        if future is not None and future.done():
            error = future.exception()
            if error is None:
                return future.result(), True
            if not isinstance(error, RecordError):
                raise error
        answer = self._known.get(key, default)
        if answer is _UNKNOWN:
            raise RecordError("the server of the record does not answer; try again when it is back")
        return cast("Answer", answer), False

    def _look_up_group(self, number: int) -> None:
        pupil = self.last_pupil(number)
        for other in self._known.get("pupils", ()):
            if pupil is not None and other.group == pupil.group and ("attempts", other.id) not in self._known:
                self._known["attempts", other.id] = ()
                self._sender.ask_later(partial(self._look_up, pupil=other.id))

    def _look_up(self, record: Record, pupil: int) -> None:
        latest = record.attempts.latest(pupil, n=REMEMBERED, ink=False, on_damage=pass_over)
        self._known["attempts", pupil] = latest[::-1]
        self._known["plan", pupil] = list(record.plans.for_pupil(pupil))


class Pupils:
    """Who may sit down at the window."""

    def __init__(self, answers: Answers) -> None:
        self._answers = answers

    def find(self, group: str | None = None) -> Sequence[Pupil]:
        """The pupils of a group, or all."""
        return tuple(pupil for pupil in self._answers.all_pupils() if group in (None, pupil.group))

    def get(self, number: int) -> Pupil | None:
        """The pupil with that number; None when there is none any more."""
        if self._answers.is_gone(number):
            return None
        last = self._answers.last_pupil(number)
        return self._answers.get(("pupil", number), lambda record: record.pupils.get(number), last)

    def add(self, name: str) -> Pupil:
        """Add a pupil. Raises RecordError while the server is away."""
        return self._answers.add_pupil(name)


class Plans:
    """The letters and words that are planned."""

    def __init__(self, answers: Answers) -> None:
        self._answers = answers

    def for_pupil(self, pupil: int) -> Sequence[str]:
        """What a pupil practices next."""
        return self._answers.get(("plan", pupil), lambda record: list(record.plans.for_pupil(pupil)), [])

    def words(self, group: str) -> Sequence[str]:
        """The words that a teacher named for a group."""
        return self._answers.get(("planned", group), lambda record: list(record.plans.words(group)), [])


class Words:
    """The words of the school."""

    def __init__(self, answers: Answers) -> None:
        self._answers = answers

    def own(self) -> Mapping[str, str]:
        """The school's own words with their spellings."""
        return self._answers.get("own words", lambda record: dict(record.words.own()), {})

    def taught(self, group: str) -> frozenset[str]:
        """The letters and spellings that were marked as taught."""
        return self._answers.get(("taught", group), lambda record: record.words.taught(group), frozenset())


class Settings:
    """What the teacher set."""

    def __init__(self, answers: Answers) -> None:
        self._answers = answers

    def get(self, name: str, default: str | None = None) -> str | None:
        """The value of a setting, or `default` when it was never set."""
        value = self._answers.get(("setting", name), lambda record: record.settings.get(name), None)
        return default if value is None else value
