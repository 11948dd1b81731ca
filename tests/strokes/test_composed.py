"""Words composed of a writer's own letters, for `check_word`: here those of a steady hand."""

from __future__ import annotations

import pytest

from strokes.errors import InkError
from strokes.evaluation.composed import FAULTS, composed, main, shares
from strokes.evaluation.labelled import load
from tests.labelled_ink import save, steady
from tests.shipped import PRINT as ALPHABET


def test_words_of_a_steady_hand_are_even_and_each_fault_brings_its_kind(tmp_path):
    file = save(tmp_path / "ink.npz", steady("abcdefhikmnoprstw"))
    words = list(composed(load(file), ALPHABET, 5))

    as_composed = shares(words, ALPHABET, None)
    assert (as_composed["nothing"], as_composed["letters apart"]) == (1.0, 1.0)
    for name, fault in FAULTS.items():
        if name != "a low letter 1.6 as high":  # a word with one low letter has no other to be even with
            assert shares(words, ALPHABET, fault)[fault.kind] >= 0.9, name


def test_it_prints_a_line_for_each_fault(tmp_path, capsys):
    main(str(save(tmp_path / "ink.npz", steady("aemnst"))), 2)

    assert len(capsys.readouterr().out.splitlines()) == 1 + len(FAULTS)


def test_ink_of_which_no_word_can_be_made_is_refused(tmp_path):
    file = save(tmp_path / "ink.npz", steady("q"))
    with pytest.raises(InkError, match="all letters of a word"):
        list(composed(load(file), ALPHABET, 1))
