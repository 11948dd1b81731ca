"""A letter is prepared before a child writes it, once, and the first lift of the pen finds all of it done."""

from __future__ import annotations

import gc
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

import pytest

from strokes.files import SHIPPED
from strokes.simulation.hand import write
from tests.trainer.sessions import ALPHABET, NOW, Memory, shown, wait
from trainer.attempt import Step
from trainer.judging import Judge
from trainer.practice.navigation import Navigation
from trainer.practice.preparation import Preparation, prepare
from trainer.practice.session import Session
from trainer.teaching import alphabets


@pytest.fixture
def begun() -> list[Callable[[], None]]:
    return []


def test_each_letter_is_prepared_once_for_each_hand(begun) -> None:
    preparation = Preparation(begun.append)
    for hand in ("right", "left", "right"):
        for letter in "ab":
            preparation.begin(Judge(ALPHABET, hand), letter)

    assert len(begun) == 4


def test_alphabets_are_read_behind_the_cards_and_each_once(begun, tmp_path, monkeypatch) -> None:
    """The shipped one is without fault, so that nothing of it must be read to tell what is to be mended."""
    read: list[Path] = []
    usable = alphabets.usable
    monkeypatch.setattr(alphabets, "usable", lambda folder: read.append(folder) or usable(folder))
    alphabets._read.cache_clear()
    navigation = Navigation(
        Session(None, now=lambda: NOW),
        memory := Memory(4, groups=2),
        alphabets=alphabets.Alphabets(tmp_path),
        preparation=Preparation(begun.append),
    )
    cards = shown(navigation.cards())
    assert (read, begun) == ([], [])

    wait(cards, 0.1)
    wait(shown(navigation.cards()), 0.1)
    assert len(begun) == 2, "the other one warms up the record"
    gc.disable()  # as `trainer practice` does while all is read in
    begun[0]()
    assert gc.isenabled()
    navigation.choose(memory.all[0])
    assert read == [SHIPPED / "print"]
    assert "b" in navigation.session.alphabet


def test_it_begins_when_a_letter_is_shown_and_when_one_is_written_next(begun) -> None:
    navigation = Navigation(
        Session(ALPHABET, now=lambda: NOW), memory := Memory(), preparation=Preparation(begun.append)
    )
    navigation.choose(memory.all[0])
    navigation.begin("b")
    assert len(begun) == 1
    navigation.write()
    assert len(begun) == 1
    navigation.session.letter_name = "t"
    navigation.write()
    assert len(begun) == 2


def test_what_is_prepared_is_not_worked_out_again_when_the_letter_is_written(monkeypatch) -> None:
    traversals = import_module("strokes.matching.traversals")  # the package has a function of that name
    matcher = import_module("strokes.matching.matcher")
    for cache in (traversals.traversals, traversals.joined_traversals, matcher._plan):
        cache.cache_clear()
    judge, made = Judge(ALPHABET), []
    make = traversals._traversal
    monkeypatch.setattr(traversals, "_traversal", lambda *given: made.append(given) or make(*given))

    prepare(judge, "d")
    assert made
    made.clear()
    assert judge.judge("d", write(ALPHABET["d"]), Step.COPY).stands_well
    assert not made


def test_what_a_pen_up_needs_of_the_record_is_made_once_while_the_cards_are_shown(begun) -> None:
    navigation = Navigation(
        Session(ALPHABET, now=lambda: NOW), memory := Memory(), preparation=Preparation(begun.append)
    )
    for _ in range(2):
        navigation.cards_are_shown()
    (warm_up,) = begun
    warm_up()

    assert memory.warmed_up == 1


def test_a_record_that_is_full_holds_no_preparation_up() -> None:
    memory = Memory()
    memory.full = True

    Preparation(lambda work: work()).warm_up(memory.attempts)

    assert memory.warmed_up == 0
