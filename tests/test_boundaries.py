"""Which room may know which: the science knows no screen, child or database; each craft keeps its tools."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from tests.waiting import HANG

ROOT = Path(__file__).parents[1]

LIBRARIES: dict[str, set[str]] = {
    "strokes.files": {"defusedxml", "svgelements"},
    "strokes.svg_document": {"shapely"},
    "strokes.modeling": {"scipy"},
    "strokes.warping": {"numba"},
    "strokes.matching": {"scipy"},
    "strokes.checks": {"shapely"},
    "strokes.evaluation": {"matplotlib", "rich"},
    "trainer.speech": {"pygame", "scipy", "soundfile", "espeakng_loader", "piper"},
    "trainer.commands": {"click", "rich"},
    "trainer.desk": {"flask", "werkzeug", "markupsafe", "waitress", "argon2", "zxcvbn", "matplotlib"},
    "trainer.pygame_start": {"pygame"},
    "trainer.window": {"pygame"},
    "trainer.drawing": {"pygame"},
    "trainer.paper": {"fpdf"},
    "trainer.record": {"sqlalchemy", "psycopg", "sqlite3"},
    "trainer.teaching": {"scipy", "tomlkit"},
    "trainer.places": {"platformdirs"},
}
"""Which libraries a room may use besides numpy and the standard library."""


def modules(package: str) -> list[Path]:
    return sorted((ROOT / package).rglob("*.py"))


def named(path: Path) -> str:
    """The dotted name of a module; a package has its own."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def room_of(name: str) -> str:
    """The room in which a module lies: the first two parts of its name."""
    return ".".join(name.split(".")[:2])


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def statements(path: Path, *, typing: bool = False) -> Iterator[ast.Import | ast.ImportFrom]:
    """Every import of a module, those inside functions too; those for type checkers alone with `typing`."""
    nodes: list[ast.AST] = [tree(path)]
    while nodes:
        node = nodes.pop()
        if isinstance(node, ast.Import | ast.ImportFrom):
            yield node
        elif isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            nodes += node.orelse + (node.body if typing else [])
        elif not isinstance(node, ast.expr):  # no statement stands in one
            nodes += ast.iter_child_nodes(node)


@cache
def imported(path: Path, *, typing: bool = False) -> frozenset[str]:
    """The modules, by their dotted names, that a module imports or imports from."""
    names: set[str] = set()
    for node in statements(path, typing=typing):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
            continue
        assert node.level == 0, f"{path.name}: imports are written in full here"
        assert node.module is not None
        full = {f"{node.module}.{alias.name}" for alias in node.names}
        names |= (full & MODULES) or {node.module}
        if not full <= MODULES:
            names.add(node.module)
    return frozenset(names)


STROKES = [
    *(
        "errors",
        "weights",
        "polyline",
        "curves",
        "svg_document",
        "transform",
        "ink",
        "kinds",
        "letter",
        "report",
        "tolerances",
        "framing",
        "intervals",
        "spacing",
    ),
    *("files", "alphabet", "warping", "matching", "recognition", "checks", "words", "simulation"),
    *("modeling", "evaluation"),
]
TRAINER = [
    *(
        "errors",
        "places",
        "log",
        "atomic_file",
        "pygame_start",
        "attempt",
        "ink_codec",
        "wordbank",
        "speech",
        "judging",
        "language",
        "teaching",
    ),
    *("drawing", "window", "wall", "record", "exchange", "paper", "demo"),
    *("practice", "desk", "commands", "__main__"),
]
"""The rooms and the plain modules beside them, lowest first: each may know only those before it."""


def offered(package: Path) -> set[str]:
    """A package, and the modules in it that it names in its `__all__`."""
    tree = ast.parse(package.read_text(encoding="utf-8"))
    names = {part.value for part in ast.walk(tree) if isinstance(part, ast.Constant)}
    return {named(package), *(f"{named(package)}.{name}" for name in names)}


MODULES = {named(path) for package in ("strokes", "trainer") for path in modules(package)}
EVERY = [*modules("strokes"), *modules("trainer")]
OFFERED = set().union(*(offered(path) for path in EVERY if path.name == "__init__.py"))


def test_each_library_stays_in_its_rooms() -> None:
    own = {"trainer", "strokes", "numpy", *sys.stdlib_module_names} - {"sqlite3"}
    for path in EVERY:
        used = {
            "pygame" if name == "trainer.pygame_start" else name.partition(".")[0] for name in imported(path)
        }
        is_scene = named(path).startswith("trainer.window.scenes")
        assert used - own <= (set() if is_scene else LIBRARIES.get(room_of(named(path)), set())), path


def test_a_room_knows_only_those_below_it_and_only_what_they_offer() -> None:
    """A package is a room's offer; a module inside another room is not reached for."""
    for path in EVERY:
        package, _, here = room_of(named(path)).partition(".")
        for name in imported(path):
            other, _, there = room_of(name).partition(".")
            if (
                not here
                or not there
                or other not in ("strokes", "trainer")
                or (other, there) == (package, here)
            ):
                continue
            assert name in OFFERED or name.count(".") == 1, f"{name} is inside another room than {path}"
            if other == package:
                order = STROKES if package == "strokes" else TRAINER
                assert order.index(there) < order.index(here), f"{path} stands below {name}"


def test_no_module_is_in_a_circle_of_imports() -> None:
    """Neither at the top of a module nor inside a function, nor for type checkers alone."""
    knows = {named(path): imported(path, typing=True) & MODULES for path in EVERY}
    while free := {name for name, others in knows.items() if not others & knows.keys() - {name}}:
        knows = {name: others for name, others in knows.items() if name not in free}

    assert not knows


def test_a_session_its_storage_and_its_assessment_know_no_screen() -> None:
    """Screens reach navigation through a protocol, and navigation alone makes them."""
    for name in ("session", "storage", "assessment"):
        used = imported(ROOT / "trainer" / "practice" / f"{name}.py", typing=True)
        assert not {module for module in used if module.startswith("trainer.practice.scenes")}, name


def test_the_science_knows_neither_the_craft_nor_its_own_evaluation() -> None:
    for path in modules("strokes"):
        assert not {name for name in imported(path, typing=True) if name.startswith("trainer")}, path
        if room_of(named(path)) != "strokes.evaluation":
            assert "strokes.evaluation" not in {room_of(name) for name in imported(path, typing=True)}, path


@pytest.mark.parametrize("name", ["strokes", "trainer.commands.cli", "trainer.practice"])
def test_a_door_opens_without_the_heavy_libraries(name: str) -> None:
    """They take longer to import than the whole window takes to open; they come when they are needed."""
    assert not loaded(name) & {"scipy.optimize", "scipy.stats", "shapely", "matplotlib"}


def test_the_command_line_starts_without_pygame_the_database_and_pdf() -> None:
    """`trainer --help` and the teacher's commands need no window."""
    assert not loaded("trainer.commands.cli") & {"pygame", "sqlalchemy", "rich", "fpdf"}


def test_the_wall_knows_no_child() -> None:
    """Neither the record nor what is kept of a child can be shown where it is not even known."""
    for path in modules("trainer/wall"):
        known = {room_of(name) for name in imported(path, typing=True)}
        assert not known & {"trainer.attempt", "trainer.ink_codec", "trainer.record", "trainer.practice"}, (
            path
        )


def test_the_window_opens_without_the_words_and_the_wall() -> None:
    """They are read when a word is practiced."""
    words = (
        "trainer.wordbank",
        "trainer.wall",
        "strokes.words",
        "trainer.practice.word_navigation",
        "trainer.practice.scenes.word",
    )
    assert not {name for name in loaded("trainer.practice") if name.startswith(words)}


def test_a_process_that_judges_old_ink_loads_no_screen_and_no_database() -> None:
    assert not loaded("trainer.judging.rechecking.workers") & {"pygame", "sqlalchemy"}


def loaded(name: str) -> set[str]:
    """All modules that are there after one was imported."""
    code = f"import sys, {name}; print(*sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, timeout=HANG)
    assert run.returncode == 0, run.stderr
    return set(run.stdout.splitlines()[-1].split())
