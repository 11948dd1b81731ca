"""What README.md shows is true: the commands are there, the letter file is sound, the pictures exist."""

from __future__ import annotations

import re
import shlex
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from strokes import Alphabet
from strokes.files import faults, load_letter
from tests.cases import for_each
from trainer.commands.cli import main

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    """The fenced blocks of README.md in one language."""
    return re.findall(rf"^```{language}\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)


def shown() -> list[str]:
    """Every `trainer …` command of the shell blocks and of the running text, without its shell parts."""
    lines = "\n".join(blocks("sh")).splitlines() + re.findall(r"`(trainer [^`]+)`", README)
    matches = (re.search(r"(?:^|/)trainer( [^>|&]*)?$", re.split(r"[>|]", line)[0].strip()) for line in lines)
    return sorted({match.group(0).lstrip("/").strip() for match in matches if match})


Typed = Callable[..., tuple[int, str, str]]


@pytest.fixture
def typed(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Typed:
    """Does a command in this process; gives its exit code, what it says and what it complains of."""
    monkeypatch.setenv("COLUMNS", "200")

    def run(*words: str) -> tuple[int, str, str]:
        code = main(words)
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def test_the_job_stands_before_everything_else() -> None:
    title, job, *_ = README.split("\n\n")

    assert title.startswith("# ")
    assert not job.startswith(("#", "`", "!", "-"))


def test_there_are_commands_to_check() -> None:
    assert len(shown()) >= 10


@for_each("command", shown())
def test_a_command_that_is_shown_is_there(command: str, typed: Typed) -> None:
    """With --help behind it, unknown words are refused first."""
    words = shlex.split(command)[1:]

    code, said, complaint = typed(*words, "--help")

    assert code == 0, complaint
    for option in (word for word in words if word.startswith("--")):
        assert option in said


def test_the_teachers_commands_work_one_after_the_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, typed: Typed
) -> None:
    """Those that open no window are done as they stand, in their order, on a record of their own."""
    done = 0
    for name in ("HOME", "XDG_DATA_HOME", "USERPROFILE", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    for line in filter(None, "\n".join(blocks("sh")).splitlines()):
        words = shlex.split(line)
        if words[0] != "trainer" or words[1:2] in (
            [],
            ["practice"],
            ["show"],
            ["demo"],
            ["desk"],
            ["measure"],
            ["doctor"],
        ):
            continue
        code, _, complaint = typed("--data", str(tmp_path / "data"), *words[1:])
        assert code == 0, f"{line}: {complaint}"
        done += 1

    assert done >= 7
    assert (tmp_path / "data" / "record.sqlite").is_file()
    assert not (tmp_path / "home").exists()  # the user's own data folder is not touched


def test_a_command_that_is_not_there_is_noticed(typed: Typed) -> None:
    """The check above can fail."""
    assert typed("gather", "--help")[0] != 0


def test_the_letter_file_that_is_shown_is_sound(tmp_path: Path) -> None:
    """Dropped into a copy of the shipped alphabet it is a letter like any other."""
    folder = tmp_path / "ours"
    shutil.copytree(ROOT / "assets" / "letters" / "print", folder)
    (example,) = blocks("svg")
    (folder / "þ.svg").write_text(example, encoding="utf-8")

    assert faults(folder) == []
    letter = Alphabet.load(folder)["þ"]
    assert [stroke.cue for stroke in letter.taught.strokes] == re.findall(
        r"<title>([^<]*)</title></path>", example
    )


@pytest.mark.parametrize("picture", re.findall(r"!\[[^]]+\]\(([^)]+)\)", README))
def test_a_picture_that_is_shown_is_there_and_small(picture: str) -> None:
    path = ROOT / picture

    assert path.read_bytes().startswith(b"\x89PNG")
    assert path.stat().st_size < 300_000


def test_continuous_integration_runs_the_test_command_that_is_shown() -> None:
    """`.ci/run` takes the line out of README.md by this pattern."""
    pattern = re.search(r"grep -m1 -E '([^']+)' README.md", (ROOT / ".ci" / "run").read_text())
    assert pattern is not None

    assert re.findall(pattern.group(1), README, flags=re.MULTILINE) == [blocks("sh")[1].strip()]


def test_the_python_that_is_shown_runs_and_tells_what_the_text_says(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    science, modeling, practice = blocks("python")

    names: dict[str, object] = {}
    exec(science, names)
    assert capsys.readouterr().out == "False direction b\n"
    exec(modeling, names)
    assert capsys.readouterr().out == "True\n"
    assert load_letter(tmp_path / "b.svg").taught.strokes[0].cue == "Down, up and around."
    exec(practice, {})
    assert "Kind.DIRECTION" in capsys.readouterr().out
