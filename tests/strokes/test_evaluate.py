"""The evaluation of the checks: its figures add up, and its command says what is wrong in one sentence."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

from strokes import Kind
from strokes.evaluation.__main__ import CHUNK, Trials, evaluate, main
from strokes.evaluation.amounts import Amounts, Row, gathered
from strokes.evaluation.damage import FEW
from strokes.evaluation.labelled import load
from strokes.evaluation.printout import as_json, as_text
from strokes.evaluation.results import Results
from strokes.simulation.hand import Fault, write
from tests.labelled_ink import save, steady
from tests.shipped import PRINT as ALPHABET
from tests.waiting import HANG

REAL = os.environ.get("STROKES_INK")


def figures(path: Path, *, deep: int = 0, processes: int = 1) -> Results:
    return evaluate(Trials.drawn(load(path), deep=deep), processes=processes)


@pytest.fixture(scope="module")
def steady_hand(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return save(tmp_path_factory.mktemp("ink") / "ink.npz", steady("abcdilotx"))


@pytest.fixture(scope="module")
def undamaged(steady_hand: Path) -> Results:
    return figures(steady_hand)


@pytest.fixture(scope="module")
def damaged(steady_hand: Path) -> Results:
    """Each sample damaged in each way that applies."""
    return figures(steady_hand, deep=100)


def test_a_steady_hand_is_agreed_with_accepted_and_named(undamaged: Results) -> None:
    results = undamaged

    assert len(results.trials) == len(results.accepted) == 18
    assert {kind: (share.good, share.tries) for kind, share in results.agreement.items()} == {
        "direction": (8, 8),
        "start": (8, 8),
        "order": (4, 4),
    }
    assert (results.acceptance.good, results.acceptance.writers) == (18, 2)
    assert results.identity.good == 18
    assert not results.confusions


def test_faults_are_counted_where_they_apply(damaged: Results) -> None:
    results = damaged

    assert results.faults["backwards"].tries == 18
    assert results.faults["opened loop"].tries == 4
    assert results.faults["two traces swapped"].tries == 4
    assert results.undamaged["two traces swapped: x: the table accepts it so, too"] == 2
    apart = results.faults["start moved, between lines"].tries
    assert results.fault.tries == sum(share.tries for share in results.faults.values()) - apart


def test_two_processes_find_what_one_finds(steady_hand: Path, undamaged: Results) -> None:
    assert figures(steady_hand, processes=2).trials == undamaged.trials


def test_ink_with_a_fault_is_neither_accepted_nor_damaged(tmp_path: Path) -> None:
    wrong = write(ALPHABET["l"], fault=Fault(Kind.DIRECTION), seed=1)
    results = figures(save(tmp_path / "ink.npz", [("l", wrong), *steady("l")]))

    assert results.refused == {"l: stem goes U": 1}
    assert results.acceptance.tries == 2
    assert results.agreement["start"].good == 3
    assert results.agreement_by["start l wrong"].tries == 1


def test_a_verdict_that_disagrees_is_counted_against_the_check(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A check that never finds anything agrees with good ink only, and tells no fault."""
    from strokes import Ink, Letter, Report
    from strokes.evaluation import trial

    def blind(_ink: Ink, letter: Letter, **_: object) -> Report:
        return Report(letter.name, letter.taught)

    monkeypatch.setattr(trial, "check", blind)
    wrong = write(ALPHABET["l"], fault=Fault(Kind.DIRECTION), seed=1)
    results = figures(save(tmp_path / "ink.npz", [("l", wrong), *steady("lo")]))

    assert (results.agreement["start"].good, results.agreement["start"].tries) == (2, 3)
    assert results.acceptance.share == 1
    assert results.fault.good == 0
    assert results.fault.tries > 10


def test_a_check_that_always_finds_something_is_not_silent(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from strokes import Finding, Ink, Letter, Report
    from strokes.evaluation import trial

    def loud(_ink: Ink, letter: Letter, **_: object) -> Report:
        return Report(letter.name, letter.taught, tuple(Finding(kind, 1, 0, stroke=0) for kind in Kind))

    monkeypatch.setattr(trial, "check", loud)
    results = figures(save(tmp_path / "ink.npz", steady("lo")))

    assert results.acceptance.good == 0
    assert results.fault.good == 0
    assert all(share.share == 1 for share in results.faults_told.values())


def test_the_other_hand_and_the_changes_are_counted_where_they_are_asked_for(tmp_path: Path) -> None:
    path = save(tmp_path / "ink.npz", steady("tfox"))
    results = figures(path, deep=100)

    bars = results.hands["left: no finding"]
    assert set(bars) == {"t: bar right to left", "f: bar right to left", "o: clockwise", "x: slash first"}
    assert bars["t: bar right to left"].share == bars["f: bar right to left"].share == 1
    assert results.hands["right: told, a note too"]["t: bar right to left"].share == 1
    assert all(share.tries == 8 for share in results.flips.values())
    assert not figures(path, deep=0).flips


def test_text_and_json_hold_the_same_figures(damaged: Results) -> None:
    plain = json.loads(json.dumps(as_json(damaged)))

    assert plain["samples"] == 18
    assert plain["acceptance"]["good"] == 18
    assert plain["acceptance"]["low"] == pytest.approx(0.824, abs=1e-3)
    assert max(len(line) for line in as_text(damaged).splitlines()) <= 110
    assert "direction: sense of the main loop" in as_text(damaged)


def test_a_sample_of_the_samples_is_the_same_at_every_run(steady_hand: Path) -> None:
    labelled = load(steady_hand)
    few = Trials.drawn(labelled, sample=5).numbers

    assert len(few) == 5
    assert few == Trials.drawn(labelled, sample=5).numbers == sorted(few)
    assert Trials.drawn(labelled, sample=100).numbers == labelled.working.tolist()
    assert Trials.drawn(labelled, only=3).numbers == [3]


def test_another_letter_is_by_the_same_writer(steady_hand: Path) -> None:
    trials = Trials.drawn(load(steady_hand))
    every = [trials.labelled[number] for number in trials.numbers]

    for sample in every:
        other = trials.another(sample.number)
        assert other is not None
        letter, traces = other
        same = [each for each in every if each.writer == sample.writer and each.letter == letter]
        assert letter != sample.letter
        assert any(np.array_equal(each.traces[0], traces[0]) for each in same)


def test_the_command_prints_json_and_draws_sheets(
    tmp_path: Path, steady_hand: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two of the tolerances; that each has its plot is seen in `test_amounts.py`. Lanes stay uncompiled."""

    def two(rows: Sequence[Row]) -> list[Amounts]:
        return [amounts for amounts in gathered(rows) if amounts.limited.name in ("shape", "backwards")]

    monkeypatch.setattr("strokes.evaluation.__main__.gathered", two)
    monkeypatch.setattr("strokes.evaluation.__main__.use_lanes", bool)
    sheets = tmp_path / "sheets"
    options = ["--ink", str(steady_hand), "--json", "--processes", "1", "--deep", "2"]

    assert main([*options, "--sheet", str(sheets), "--plots", str(sheets)]) == 0
    printed = capsys.readouterr()
    assert json.loads(printed.out)["samples"] == 18
    assert {"roc-shape.png", "roc-backwards.png"} <= {path.name for path in sheets.iterdir()}
    for path in sheets.iterdir():
        assert path.read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--only", "99"], "--only must be a sample from 0 to 17, not 99"),
        (["--sample", "0"], "--sample must be at least 1, not 0"),
    ],
)
def test_a_wrong_option_is_told_in_one_sentence(
    steady_hand: Path, capsys: pytest.CaptureFixture[str], options: Sequence[str], said: str
) -> None:
    assert main(["--ink", str(steady_hand), *options]) == 2
    assert capsys.readouterr().err.strip() == said


def test_a_file_that_is_no_ink_is_told_in_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "ink.npz").write_bytes(b"nothing")

    assert main(["--ink", str(tmp_path / "ink.npz")]) == 2
    assert capsys.readouterr().err.count("\n") == 1


@pytest.mark.parametrize("name", ["strokes.evaluation", "strokes.evaluate"])
def test_the_command_answers_to_its_old_name_as_well(name: str, tmp_path: Path) -> None:
    """In two processes, which look for their work in the module that was started."""
    many = save(tmp_path / "ink.npz", steady("l" * (CHUNK + 1), seeds=[1]))
    options = ["--ink", str(many), "--processes", "2", "--deep", "0", "--json"]

    run = subprocess.run([sys.executable, "-m", name, *options], capture_output=True, text=True, timeout=HANG)

    assert run.returncode == 0, run.stderr
    assert json.loads(run.stdout)["samples"] == CHUNK + 1


@pytest.mark.slow
@pytest.mark.skipif(REAL is None, reason="STROKES_INK does not name a file of labelled real ink")
def test_real_ink_is_judged_without_an_exception() -> None:
    assert REAL is not None
    results = evaluate(Trials.drawn(load(REAL), sample=200, deep=20))

    assert len(results.trials) == 200
    assert np.isfinite([share.share for share in results.faults.values()]).all()


def test_by_turns_each_accepted_sample_is_damaged_in_one_way(steady_hand: Path) -> None:
    """And in each of those that few letters can have: o and a are opened, two traces are swapped."""
    results = evaluate(Trials.drawn(load(steady_hand), deep=0, every_fault=False), processes=1)
    applied = [
        (trial.letter, outcome.fault)
        for trial in results.accepted
        for outcome in trial.faults
        if not outcome.skipped
    ]
    opened = [letter for letter, fault in applied if fault == "opened loop"]
    swapped = [letter for letter, fault in applied if fault == "two traces swapped"]

    assert len([1 for _, fault in applied if fault not in FEW]) == len(results.accepted) == 18
    assert opened == [trial.letter for trial in results.accepted if trial.letter in "oa"] != []
    assert swapped == [trial.letter for trial in results.accepted if trial.letter in "it"] != []
    assert len({fault for _, fault in applied}) > 3
