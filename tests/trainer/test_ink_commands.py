"""Ink out and in by the command line: what goes out, what comes back, and what is refused."""

from __future__ import annotations

import errno
import os
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from strokes.checks.checker import check
from strokes.checks.version import checks_version
from strokes.files.inkml import read_inkml
from strokes.files.letter_folder import SHIPPED
from strokes.ink import Ink
from strokes.kinds import Kind
from strokes.simulation.hand import Fault, write
from strokes.tolerances import Tolerances
from strokes.transform import Transform
from tests.cases import for_each
from tests.shipped import PRINT as ALPHABET
from tests.shipped import SAMPLE_LETTERS
from trainer.atomic_file import DEAD_AFTER, NEW
from trainer.attempt import Attempt, Step, Verdict
from trainer.commands.cli import main
from trainer.exchange.ink_files import MOST_IN_LETTER, fitted
from trainer.record.record import Record

NOW = datetime.now(UTC).replace(microsecond=0)


@pytest.fixture
def data(tmp_path):
    return tmp_path / "data"


@pytest.fixture
def run(data, capsys):
    """Runs one command on the record; gives back its exit code, output and complaint."""

    def typed(*words):
        code = main([*map(str, words), "--data", str(data)])
        said = capsys.readouterr()
        return code, said.out, said.err

    return typed


@pytest.fixture
def written(data):
    """A record with a b of Nella's, an a of Gesa's that was mended, and a d broken off."""
    data.mkdir()
    with Record.open(data / "record.sqlite") as record:
        nella, gesa = record.pupils.add("Nella", hand="left"), record.pupils.add("Gesa")
        record.attempts.keep(judged(nella, "b", write(ALPHABET["b"]), step=Step.RECALL))
        fault = Fault(Kind.DIRECTION)
        turned = judged(gesa, "a", write(ALPHABET["a"], fault=fault), at=NOW - timedelta(days=9))
        record.attempts.keep(replace(turned, verdict=replace(turned.verdict, mended=True)))
        record.attempts.keep_draft(gesa.id, "d", Step.TRACE, write(ALPHABET["d"]))


def judged(pupil, letter, ink, *, step=Step.COPY, at=NOW):
    report = check(ink, ALPHABET[letter], guide=ALPHABET.guide, hand=pupil.hand)
    return Attempt(None, pupil.id, letter, step, at, ink, Verdict.of(report))


def attempts_of(data):
    with Record.open(data / "record.sqlite") as record:
        return {
            pupil.name: sorted(record.attempts.find(pupil.id), key=lambda attempt: attempt.id)
            for pupil in record.pupils.find()
        }


def assert_told(result, *words, code=1):
    assert result[0] == code
    assert result[2].count("\n") == 1
    for word in words:
        assert word in result[2]


# Out


@pytest.mark.usefixtures("written")
def test_ink_goes_out_with_what_is_known_of_it_and_without_names(run, tmp_path):
    code, said, _ = run("ink", "export", tmp_path / "ink.inkml")

    specimens = {specimen.about["letter"]: specimen for specimen in read_inkml(tmp_path / "ink.inkml")}

    assert (
        code,
        said.endswith("ink.inkml: 3. Handwriting can tell who wrote it; give the file on with care.\n"),
    ) == (0, True)
    assert specimens["b"].about == {
        "writer": "2",
        "letter": "b",
        "step": "recall",
        "date": NOW.isoformat(timespec="milliseconds"),
        "space": "x-heights from the base line",
        "formed": "yes",
        "mended": "no",
        "looks": "yes",
    }
    assert (specimens["a"].about["formed"], specimens["a"].about["mended"]) == ("no", "yes")
    assert "formed" not in specimens["d"].about
    assert "Nella" not in (tmp_path / "ink.inkml").read_text(encoding="utf-8")


@pytest.mark.usefixtures("written")
def test_names_go_out_only_when_that_is_said(run, tmp_path):
    run("ink", "export", tmp_path / "ink.inkml", "--names")

    assert [specimen.about["writer"] for specimen in read_inkml(tmp_path / "ink.inkml")] == [
        "Gesa",
        "Gesa",
        "Nella",
    ]


@pytest.mark.usefixtures("written")
@pytest.mark.parametrize(
    ("options", "letters"),
    [
        (("--pupil", "gesa"), "ad"),
        (("--letter", "b"), "b"),
        (("--since", (NOW - timedelta(days=3)).date().isoformat()), "db"),
    ],
)
def test_what_goes_out_can_be_narrowed(run, tmp_path, options, letters):
    run("ink", "export", tmp_path / "ink.inkml", *options)

    assert [specimen.about["letter"] for specimen in read_inkml(tmp_path / "ink.inkml")] == list(letters)


@pytest.mark.usefixtures("written")
def test_ink_goes_to_the_screen_for_a_dash(run):
    code, said, _ = run("ink", "export", "-", "--pupil", "Nella")

    assert code == 0
    assert said.startswith("<?xml")
    assert said.endswith("</ink>\n")


@pytest.mark.usefixtures("written")
def test_ink_that_was_erased_does_not_go_out(run, data, tmp_path):
    with Record.open(data / "record.sqlite") as record:
        record.ink.forget_old(NOW + timedelta(days=85), certain=True)

    run("ink", "export", tmp_path / "ink.inkml")

    assert "a" not in {specimen.about["letter"] for specimen in read_inkml(tmp_path / "ink.inkml")}


@pytest.mark.usefixtures("written")
@pytest.mark.parametrize("change", ["step = 'jump'", "ink = x'00'"])
def test_a_letter_that_cannot_be_read_is_told_and_all_others_go_out(run, data, tmp_path, change):
    out = tmp_path / "ink.inkml"
    run("ink", "export", out)
    whole = len(read_inkml(out))
    with closing(sqlite3.connect(data / "record.sqlite")) as other, other:
        number = other.execute("SELECT max(id) FROM attempt").fetchone()[0]
        other.execute(f"UPDATE attempt SET {change} WHERE id = ?", [number])

    code, _, trouble = run("ink", "export", out)

    assert code == 1
    assert f"attempt {number} is damaged" in trouble.replace("A", "a")
    assert trouble.count("\n") == 1
    assert len(read_inkml(out)) == whole - 1


@pytest.mark.usefixtures("written")
@pytest.mark.skipif(os.name != "posix", reason="file modes are those of POSIX")
def test_what_goes_out_is_for_its_owner_alone_and_is_never_half_a_file(run, tmp_path, monkeypatch):
    out = tmp_path / "ink.inkml"
    run("ink", "export", out)
    before = out.read_bytes()
    assert out.stat().st_mode & 0o777 == 0o600

    def stops(*_, **__):
        yield "<ink>"
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("strokes.files.inkml.inkml_lines", stops)
    out.chmod(0o640)
    code, _, trouble = run("ink", "export", out)

    assert (code, trouble) == (1, f"trainer: {out}: the ink cannot be written: No space left on device\n")
    assert out.read_bytes() == before
    assert out.stat().st_mode & 0o777 == 0o640  # who was let in on purpose stays
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(NEW)] == []


@pytest.mark.usefixtures("written")
@pytest.mark.usefixtures("written")
def test_what_a_killed_write_left_goes_with_the_next_one_and_never_what_may_still_be_written(run, tmp_path):
    dead, alive = (tmp_path / f"{NEW}{name}" for name in ("dead", "alive"))
    for folder in (dead, alive):
        folder.mkdir()
        (folder / "ink.inkml").write_text("<ink>", encoding="utf-8")
    long_ago = dead.stat().st_mtime - DEAD_AFTER - 60
    os.utime(dead, (long_ago, long_ago))

    run("ink", "export", tmp_path / "ink.inkml")

    assert not dead.exists()
    assert (alive / "ink.inkml").exists()


def test_a_file_that_cannot_be_written_and_a_day_that_is_none_are_told(run, tmp_path):
    assert_told(
        run("ink", "export", tmp_path / "no" / "ink.inkml"), "the ink cannot be written: No such file"
    )
    assert_told(run("ink", "export", "-", "--since", "soon"), "--since must be a day, such as 2026", code=2)


# Out and in again


@pytest.mark.usefixtures("written")
def test_what_went_out_comes_in_as_it_was(run, data, tmp_path):
    run("ink", "export", tmp_path / "ink.inkml", "--pupil", "Nella")
    (before,) = attempts_of(data)["Nella"]
    run("pupil", "add", "Ida", "--hand", "left")

    code, said, _ = run("ink", "import", tmp_path / "ink.inkml", "--pupil", "Ida", "--yes")

    (after,) = attempts_of(data)["Ida"]
    assert (code, said.splitlines()[0]) == (0, "Letters taken in for Ida: 1. Well formed: 1.")
    assert (after.letter, after.step, after.at, after.finished) == (before.letter, before.step, NOW, True)
    assert after.verdict == before.verdict
    usual = Tolerances.of("growing")
    assert after.checks == checks_version(ALPHABET["b"], guide=ALPHABET.guide, hand="left", tolerances=usual)
    for trace, other in zip(after.ink.traces, before.ink.traces, strict=True):
        assert np.array_equal(trace.points, other.points)
        assert trace.times == pytest.approx(other.times, abs=1e-4)


def test_what_was_shown_again_goes_out_and_in_as_such(run, data, tmp_path):
    data.mkdir()
    with Record.open(data / "record.sqlite") as record:
        nella = record.pupils.add("Nella")
        stem, dot = write(ALPHABET["i"]).traces
        record.attempts.keep(
            replace(judged(nella, "i", Ink((stem, dot))), ink=Ink((stem, stem, dot)), shown=(0,))
        )
    run("ink", "export", tmp_path / "ink.inkml")
    run("pupil", "add", "Ida")

    run("ink", "import", tmp_path / "ink.inkml", "--pupil", "Ida", "--yes")

    ((first,), (second,)) = (attempts_of(data)[name] for name in ("Nella", "Ida"))
    assert first.shown == second.shown == (0,)
    assert second.verdict.formed


# In from elsewhere


def device(ink):
    """Ink as a tablet of another make gives it: far away, large, without times."""
    moved = ink.transformed(Transform(740.0, 740.0, 9000.0, 12000.0))
    return [trace.points for trace in moved.traces]


def inkml(path, *letters, label=None):
    """A file with these letters in device units."""
    note = f'<annotation type="label">{label}</annotation>' if label else ""
    groups = ""
    for lines in letters:
        traces = ("<trace>" + ",".join(f"{x:.0f} {y:.0f}" for x, y in line) + "</trace>" for line in lines)
        groups += f"<traceGroup>{note}{''.join(traces)}</traceGroup>"
    path.write_text(f'<ink xmlns="http://www.w3.org/2003/InkML">{groups}</ink>', encoding="utf-8")
    return path


@for_each("name", SAMPLE_LETTERS)
def test_a_letter_of_unknown_size_and_place_is_laid_on_the_letter(name):
    """It is well formed wherever it was written, and nothing is found about its size and place."""
    far = Ink.from_arrays(device(write(ALPHABET[name], seed=3)))

    report = check(fitted(far, ALPHABET[name], None), ALPHABET[name], guide=ALPHABET.guide)

    assert report.formed
    assert not report.kinds & {Kind.SIZE, Kind.PLACE}


def test_ink_of_one_place_alone_is_laid_into_the_letter():
    ink = fitted(Ink.from_arrays([[[5000.0, 5000.0]]]), ALPHABET["o"], None)

    left, top, right, bottom = ALPHABET["o"].taught.bounds
    assert left < ink.traces[0].points[0, 0] < right
    assert top < ink.traces[0].points[0, 1] < bottom


def test_inkml_from_elsewhere_is_judged_and_kept_as_copied_now(run, data, tmp_path):
    run("pupil", "add", "Ida")
    backwards = device(write(ALPHABET["c"], fault=Fault(Kind.DIRECTION)))
    file = inkml(tmp_path / "c.inkml", device(write(ALPHABET["c"])), backwards)

    before = datetime.now(UTC)
    code, said, _ = run("ink", "import", file, "--pupil", "Ida", "--letter", "c")

    well, turned = attempts_of(data)["Ida"]
    assert (code, said.splitlines()[0]) == (0, "Letters taken in for Ida: 2. Well formed: 1.")
    assert (well.step, well.letter) == (Step.COPY, "c")
    assert before <= well.at <= datetime.now(UTC)
    assert well.verdict.formed
    assert Kind.DIRECTION in {finding.kind for finding in turned.verdict.findings}


def test_unipen_is_taken_in_by_its_labels(run, data, tmp_path):
    """The c and the i lie side by side in one file; y grows upward there."""
    run("pupil", "add", "Ida")
    lines, segments, count = "", "", 0
    for name in "ci":
        traces = device(write(ALPHABET[name]))
        segments += f'.SEGMENT CHARACTER {count}-{count + len(traces) - 1} ? "{name}"\n'
        count += len(traces)
        for line in traces:
            lines += ".PEN_DOWN\n" + "".join(f"{x:.0f} {-y:.0f}\n" for x, y in line) + ".PEN_UP\n"
    (tmp_path / "ink.dat").write_text(f".VERSION 1.0\n.COORD X Y\n{segments}{lines}")

    said = run("ink", "import", tmp_path / "ink.dat", "--pupil", "Ida", "--letter", "i")[1]
    assert said.splitlines()[:2] == [
        "Letters taken in for Ida: 1. Well formed: 1.",
        "Left out, as the file says they are not i: 1.",
    ]
    run("ink", "take-back", "1", "--yes")

    run("ink", "import", tmp_path / "ink.dat", "--pupil", "Ida", "--step", "recall")
    first, other = attempts_of(data)["Ida"]
    assert [(attempt.letter, attempt.step, attempt.formed) for attempt in (first, other)] == [
        ("c", Step.RECALL, True),
        ("i", Step.RECALL, True),
    ]


@pytest.mark.usefixtures("written")
@pytest.mark.parametrize("dated", [True, False])
def test_the_same_ink_comes_in_once(run, data, tmp_path, dated):
    """With the times of its letters or without; a letter that is new in the file comes in all the same."""
    run("pupil", "add", "Ida")
    file = tmp_path / "ink.inkml"
    if dated:
        run("ink", "export", file, "--pupil", "Nella")
    else:
        inkml(file, device(write(ALPHABET["b"])), label="b")
    run("ink", "import", file, "--pupil", "Ida", "--yes")
    before = attempts_of(data)["Ida"]

    code, said, _ = run("ink", "import", file, "--pupil", "Ida", "--yes")

    assert (code, said.splitlines()) == (
        0,
        ["Letters taken in for Ida: 0. Well formed: 0.", "In the record already, so left out: 1."],
    )
    assert [attempt.id for attempt in attempts_of(data)["Ida"]] == [attempt.id for attempt in before]
    if dated:
        with Record.open(data / "record.sqlite") as record:
            record.ink.forget_old(NOW + timedelta(days=120), certain=True)
        assert "left out: 1." in run("ink", "import", file, "--pupil", "Ida", "--yes")[1], "known by its time"
    else:
        inkml(file, device(write(ALPHABET["b"])), device(write(ALPHABET["b"], seed=5)), label="b")
        assert "Letters taken in for Ida: 1." in run("ink", "import", file, "--pupil", "Ida")[1]


@pytest.mark.usefixtures("written")
@pytest.mark.parametrize("names", [(), ("--names",)])
def test_ink_of_somebody_else_is_asked_about(run, data, tmp_path, names):
    """By the name in the file, and by what the record has already; here nobody is there to answer."""
    run("ink", "export", tmp_path / "ink.inkml", "--pupil", "Nella", *names)

    code, _, printed = run("ink", "import", tmp_path / "ink.inkml", "--pupil", "Gesa")

    assert code == 2
    assert ("The file says that this was written by Nella." in printed) is bool(names)
    assert "In the record already, as written by Nella: 1." in printed
    assert "add --yes to do it without asking" in printed
    assert len(attempts_of(data)["Gesa"]) == 2
    with Record.open(data / "record.sqlite") as record:
        record.erasure.remove_pupil(record.pupils.find()[-1].id)
    run("pupil", "add", "nella")
    assert run("ink", "import", tmp_path / "ink.inkml", "--pupil", "NELLA")[0] == 0


@pytest.mark.usefixtures("written")
def test_an_import_is_taken_back_and_nothing_else(run, data, tmp_path):
    run("pupil", "add", "Ida")
    assert run("ink", "take-back")[1] == "Nothing was taken in from a file.\n"
    run("ink", "export", tmp_path / "ink.inkml")
    said = run("ink", "import", tmp_path / "ink.inkml", "--pupil", "Ida", "--yes")[1]
    assert said.splitlines()[-1] == "To take them back: trainer ink take-back 1"
    own = inkml(tmp_path / "c.inkml", device(write(ALPHABET["c"])), label="c")
    run("ink", "import", own, "--pupil", "Ida")

    listed = run("ink", "take-back")[1].splitlines()
    assert [line.partition(",")[0] for line in listed] == ["Import 2: Ida", "Import 1: Ida"]
    assert run("ink", "take-back", "1")[0] == 2, "nobody is there to say yes"
    assert run("ink", "take-back", "1", "--yes")[1].splitlines()[-1] == "Letters taken back: 3."

    assert [attempt.letter for attempt in attempts_of(data)["Ida"]] == ["c"]
    with Record.open(data / "record.sqlite") as record:
        ida = next(pupil for pupil in record.pupils.find() if pupil.name == "Ida")
        assert [line.letter for line in record.figures.summary(pupil=ida.id).lines] == ["c"]
        assert [len(list(record.attempts.find(pupil.id))) for pupil in record.pupils.find()] == [2, 1, 1]
    assert_told(run("ink", "take-back", "1", "--yes"), "there is no import 1", code=2)


@pytest.mark.usefixtures("written")
def test_ink_past_its_time_is_told_of(run, tmp_path):
    run("ink", "export", tmp_path / "ink.inkml", "--pupil", "Nella")
    old = (
        (tmp_path / "ink.inkml")
        .read_text()
        .replace(str(NOW.date()), str(NOW.date() - timedelta(days=1000)), 1)
    )
    (tmp_path / "ink.inkml").write_text(old)

    said = run("ink", "import", tmp_path / "ink.inkml", "--pupil", "Gesa", "--yes")[1]

    assert "Written before the last 90 days, for which ink is kept: 1." in said


@pytest.mark.parametrize(("stage", "looks"), [("first", True), ("fluent", False)])
def test_ink_is_judged_by_the_stage_that_the_teacher_chose(run, data, tmp_path, stage, looks):
    """What is small for a fluent writer looks right in the first stage; nothing is left to judge again."""
    data.mkdir()
    with Record.open(data / "record.sqlite") as record:
        nella = record.pupils.add("Nella")
        record.attempts.keep(judged(nella, "c", write(ALPHABET["c"]).transformed(Transform(0.67, 0.67))))
        record.settings.set("stage", stage)
        run("ink", "export", tmp_path / "ink.inkml")
        record.erasure.remove_pupil(nella.id)
    run("pupil", "add", "Ida")

    run("ink", "import", tmp_path / "ink.inkml", "--pupil", "Ida")

    (taken,) = attempts_of(data)["Ida"]
    assert taken.looks is looks
    assert run("recheck")[1].startswith("Judged again: 0.")


@pytest.fixture
def ours(data):
    """A group named Quay practices an alphabet that has the c alone; its folder."""
    folder = data / "letters" / "ours"
    folder.mkdir(parents=True)
    (folder / "c.svg").write_bytes((SHIPPED / "print" / "c.svg").read_bytes())
    with Record.open(data / "record.sqlite") as record:
        record.pupils.add("Ida", group="Quay")
        record.pupils.add("Nella", group="Slipway")
        record.settings.set("alphabet:Quay", "ours")
    return folder


@pytest.mark.usefixtures("ours")
def test_ink_is_judged_by_the_alphabet_that_the_group_practices(run, data, tmp_path):
    file = inkml(tmp_path / "l.inkml", device(write(ALPHABET["l"])))

    assert_told(run("ink", "import", file, "--pupil", "Ida", "--letter", "l"), "must be one of c", code=2)
    assert run("ink", "import", file, "--pupil", "Nella", "--letter", "l")[0] == 0
    assert {name: len(attempts) for name, attempts in attempts_of(data).items()} == {"Ida": 0, "Nella": 1}


def test_no_other_alphabet_stands_in_for_a_broken_one(run, data, ours, tmp_path):
    """A lesson goes on with the shipped letters, but no verdict of theirs is kept for the teacher's."""
    file = inkml(tmp_path / "c.inkml", device(write(ALPHABET["c"])))
    run("ink", "import", file, "--pupil", "Ida", "--letter", "c")
    (before,) = attempts_of(data)["Ida"]
    (ours / "c.svg").write_text("<svg", encoding="utf-8")

    assert_told(run("ink", "import", file, "--pupil", "Ida", "--letter", "c"), "c.svg: ")
    assert_told(run("recheck"), "c.svg: ")

    (after,) = attempts_of(data)["Ida"]
    assert (after.checks, after.verdict) == (before.checks, before.verdict)


# Refused


def test_nothing_is_kept_of_a_file_with_a_fault_in_it(run, data, tmp_path):
    run("pupil", "add", "Ida")
    c = device(write(ALPHABET["c"]))
    page = [line[:2] for line in device(write(ALPHABET["c"])) * (MOST_IN_LETTER + 1)]

    def refused(*words, file):
        assert_told(run("ink", "import", file, "--pupil", "Ida", *words[1:]), words[0])

    refused("letter 1 must say which letter it is; say so with --letter", file=inkml(tmp_path / "1", c))
    refused(
        "letter 1 must be a letter of the alphabet print, not 'ж'", file=inkml(tmp_path / "2", c, label="ж")
    )
    refused(
        "letter 2 must have at most 40 traces, not 41", "--letter", "c", file=inkml(tmp_path / "3", c, page)
    )
    refused("none.inkml: cannot be read: No such file", "--letter", "c", file=tmp_path / "none.inkml")
    (tmp_path / "4").write_text('<!DOCTYPE ink [<!ENTITY a "1 2">]><ink><trace>&a;</trace></ink>')
    refused("must have no DOCTYPE", "--letter", "c", file=tmp_path / "4")
    assert attempts_of(data) == {"Ida": []}


@pytest.mark.usefixtures("written")
@pytest.mark.parametrize(
    ("kind", "value", "refused"),
    [
        ("date", "soon", "date must be a time such as 2026-09-07T11:30:00+00:00, not 'soon'"),
        ("date", "0001-01-01T00:00:00+14:00", "date must be a time"),
        ("step", "watch", "step must be trace, copy or recall, not 'watch'"),
        ("shown", "2", "shown must number some of its traces, from 1 to 1"),
        ("shown", "9", "shown must number some of its traces, from 1 to 1"),
        ("shown", "-1", "shown must number some of its traces, from 1 to 1"),
    ],
)
def test_what_a_file_says_of_its_ink_must_make_sense(run, data, tmp_path, kind, value, refused):
    run("ink", "export", tmp_path / "ink.inkml", "--pupil", "Nella")
    text = (tmp_path / "ink.inkml").read_text()
    annotation = f'<annotation type="{kind}">{value}</annotation>'
    (tmp_path / "ink.inkml").write_text(text.replace("<traceGroup>", f"<traceGroup>{annotation}"))

    assert_told(run("ink", "import", tmp_path / "ink.inkml", "--pupil", "Gesa"), "letter 1: ", refused)
    assert len(attempts_of(data)["Gesa"]) == 2


def test_a_letter_or_pupil_that_is_not_there_is_told_before_anything_is_read(run, tmp_path):
    run("pupil", "add", "Ida")

    assert_told(
        run("ink", "import", tmp_path / "x", "--pupil", "Ida", "--letter", "þ"),
        "--letter must be one of",
        code=2,
    )
    assert_told(run("ink", "import", tmp_path / "x", "--pupil", "Nobody"), "has no pupil named 'Nobody'")
    assert run("ink", "import", tmp_path / "x")[0] == 2
