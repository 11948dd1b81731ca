"""Which room may know which: the science knows no screen, child or database; each craft keeps its tools."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.waiting import HANG

ROOT = Path(__file__).parents[1]

GEOMETRY = {"errors", "polyline", "transform", "ink", "letter", "report"}

STROKES: dict[str, set[str]] = {
    "__init__": {*GEOMETRY, "tolerances", "identify", "checks"},
    "errors": set(),
    "polyline": {"errors"},
    "transform": {"errors", "polyline"},
    "ink": {"errors", "polyline", "transform"},
    "report": set(),
    "letter": {"errors", "polyline", "transform", "report", "letterfile"},
    "textfile": {"errors", "defusedxml"},
    "specimen": {"ink"},
    "inkchannels": {"specimen"},
    "inkcontext": {"inkchannels"},
    "inkvalues": {"inkchannels", "specimen"},
    "inkml": {*GEOMETRY, "specimen", "textfile", "inkchannels", "inkcontext", "inkvalues"},
    "inkmlwriter": {*GEOMETRY, "specimen", "inkchannels"},
    "unipenlines": {"errors", "polyline", "specimen", "textfile"},
    "unipensegment": {"errors", "unipenlines"},
    "unipen": {*GEOMETRY, "specimen", "unipenlines", "unipensegment"},
    "inkfile": {"errors", "specimen", "textfile", "inkml", "unipen"},
    "pathdata": {"errors", "polyline", "svgelements"},
    "lettersvg": {"errors", "polyline", "letter", "report", "textfile", "pathdata"},
    "letterfile": {"errors", "polyline", "letter", "textfile", "lettersvg"},
    "warping": {"errors", "polyline", "diagonals", "lanes"},
    "diagonals": {"polyline"},
    "lanes": {"polyline", "numba"},
    "tolerances": {"errors"},
    "samples": GEOMETRY,
    "courses": {*GEOMETRY, "samples"},
    "fitting": GEOMETRY,
    "runs": {*GEOMETRY, "samples"},
    "lifts": {"polyline", "fitting", "runs"},
    "stories": {*GEOMETRY, "courses", "fitting", "lifts", "scipy"},
    "alignment": {*GEOMETRY, "warping", "samples", "fitting", "runs", "stories"},
    "matching": {
        *GEOMETRY,
        "warping",
        "samples",
        "courses",
        "fitting",
        "runs",
        "lifts",
        "stories",
        "alignment",
    },
    "appearance": {*GEOMETRY, "warping", "samples"},
    "identify": {*GEOMETRY, "warping", "samples", "appearance"},
    "rivals": {*GEOMETRY, "matching", "stories", "identify", "tolerances"},
    "looks": {*GEOMETRY, "alignment", "stories", "rivals", "tolerances", "shapely"},
    "edition": {*GEOMETRY, "tolerances"},
    "starts": {*GEOMETRY, "tolerances"},
    "live": {*GEOMETRY, "samples", "starts", "tolerances"},
    "partial": {*GEOMETRY, "warping", "samples", "courses", "runs", "live", "tolerances"},
    "unfinished": {*GEOMETRY, "warping", "samples", "tolerances"},
    "checks": {
        *GEOMETRY,
        "unfinished",
        "runs",
        "stories",
        "alignment",
        "matching",
        "movement",
        "looks",
        "tolerances",
        "live",
    },
    "movement": {*GEOMETRY, "stories", "alignment", "looks", "tolerances", "starts"},
    "pace": {*GEOMETRY},
    "hand": {*GEOMETRY, "looks", "pace"},
    "intervals": set(),
    "labelled": GEOMETRY,
    "ways": {"polyline"},
    "acceptedparts": {"polyline", "ways"},
    "acceptedbowls": {"polyline", "ways", "acceptedparts"},
    "acceptedstems": {"polyline", "ways", "acceptedparts"},
    "acceptedcurves": {"polyline", "ways", "acceptedparts"},
    "acceptedslants": {"polyline", "ways", "acceptedparts"},
    "accepted": {
        *("polyline", "ways", "acceptedparts"),
        *("acceptedbowls", "acceptedstems", "acceptedcurves", "acceptedslants"),
    },
    "observed": {"polyline", "ways", "report"},
    "damage": {*GEOMETRY, "ways", "accepted", "usual"},
    "sensitivity": {*GEOMETRY, "labelled", "ways"},
    "trial": {
        *GEOMETRY,
        "checks",
        "identify",
        "labelled",
        "ways",
        "accepted",
        "observed",
        "damage",
        "sensitivity",
    },
    "results": {"report", "intervals", "trial"},
    "printout": {"report", "intervals", "results"},
    "sheets": {"polyline", "matplotlib"},
    "worst": {"labelled", "damage", "trial", "results", "sheets"},
    "usual": {"polyline", "letter", "ways"},
    "amounts": {*GEOMETRY, "accepted", "checks", "damage", "labelled", "tolerances", "usual", "ways"},
    "roc": {"polyline", "amounts", "tolerances", "matplotlib"},
    "evaluate": {
        "warping",
        *GEOMETRY,
        "amounts",
        "damage",
        "labelled",
        "results",
        "printout",
        "rich",
        "roc",
        "tolerances",
        "trial",
        "usual",
        "worst",
    },
}
"""What a module of `strokes` may import besides numpy and the standard library."""

CRAFT: dict[str, set[str]] = {
    "pygame": {"pointer", "canvas", "fonts", "page", "window", "picture"},
    "sqlalchemy": {
        *("database", "sqlite", "postgresql", "migrations", "tables", "rows", "tallying", "figures"),
        *("pupils", "plans", "attempts", "keptink", "judging", "notes", "preferences", "erasing"),
    },
    "psycopg": {"postgresql"},
    "rich": {"terminal", "progress"},
    "scipy": {"seating"},
    "platformdirs": {"places"},
    "waitress": {"door"},
    "argon2": {"passphrase"},
    "matplotlib": {"trend"},
}
"""Which modules of `trainer` may touch which library; the other libraries are for `strokes` alone."""


def modules(package: str) -> list[Path]:
    return sorted((ROOT / package).rglob("*.py"))


def statements(path: Path) -> Iterator[ast.Import | ast.ImportFrom]:
    """Every import of a module, those inside functions too, but not those for type checkers alone."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            node.body = []
    yield from (node for node in ast.walk(tree) if isinstance(node, ast.Import | ast.ImportFrom))


def imported(path: Path) -> set[str]:
    """The full dotted names that a module imports: `strokes.ink`, `strokes.ink.Ink`, `pygame`."""
    names: set[str] = set()
    for node in statements(path):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
            continue
        assert node.level == 0, f"{path.name}: imports are written in full here"
        assert node.module is not None
        names |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return names


def packages(path: Path) -> set[str]:
    return {name.partition(".")[0] for name in imported(path)}


def rooms(path: Path) -> set[str]:
    """What a module of `strokes` imports: sister modules by their own name, other packages by theirs."""
    own = {entry.stem for entry in modules("strokes")}
    sisters = {name.split(".")[1] for name in imported(path) if name.startswith("strokes.")} & own
    return sisters | {name for name in packages(path) if name not in sys.stdlib_module_names} - {
        "strokes",
        "numpy",
    }


@pytest.mark.parametrize("path", modules("strokes"), ids=lambda path: path.stem)
def test_a_module_of_the_science_imports_only_what_the_plan_allows(path: Path) -> None:
    assert path.stem in STROKES, f"say in this table what strokes/{path.name} may import"
    assert rooms(path) <= STROKES[path.stem]


def test_the_science_knows_neither_trainer_nor_screen_nor_database() -> None:
    """Except that its evaluation, a program of its own, shows a bar while it works."""
    rest = [path for path in modules("strokes") if path.stem != "evaluate"]
    everything = set().union(*(packages(path) for path in rest))

    assert not everything & {"trainer", "pygame", "sqlalchemy", "sqlite3", "flask", "rich"}


@pytest.mark.parametrize("path", modules("trainer"), ids=lambda path: str(path.relative_to(ROOT)))
def test_each_library_of_the_craft_stays_in_its_rooms(path: Path) -> None:
    own = {"trainer", "strokes", "numpy", *sys.stdlib_module_names} - {"sqlite3"}
    allowed = {library for library, rooms in CRAFT.items() if path.stem in rooms}
    if path.stem == "sqlite":
        allowed.add("sqlite3")  # it tells SQLite's errors apart
    if path.parent.name == "scenes":
        allowed = set()
    if path.parent.name == "desk":
        allowed |= {"flask", "werkzeug", "markupsafe"}

    assert packages(path) - own <= allowed


@pytest.mark.parametrize("path", modules("trainer/scenes"), ids=lambda path: path.stem)
def test_a_scene_knows_no_record_and_no_window(path: Path) -> None:
    closed = {
        "record",
        "database",
        "window",
        "pointer",
        "canvas",
        "page",
        "picture",
        "cli",
        "doors",
        "practice",
    }

    assert not imported(path) & {f"trainer.{room}" for room in closed}


@pytest.mark.parametrize("path", modules("trainer/desk"), ids=lambda path: path.stem)
def test_a_page_of_the_desk_knows_no_window(path: Path) -> None:
    """It shares letters and words with the practice window, and nothing that opens a screen."""
    closed = {"window", "pointer", "canvas", "page", "picture", "practice", "sitting", "scenes"}

    assert not imported(path) & {f"trainer.{room}" for room in closed}


@pytest.mark.parametrize("path", modules("trainer"), ids=lambda path: str(path.relative_to(ROOT)))
def test_the_practice_window_knows_no_desk(path: Path) -> None:
    """From there a child cannot reach it."""
    if path.parent.name != "desk" and path.stem != "doors":
        assert not any(name.startswith("trainer.desk") for name in imported(path))


@pytest.mark.parametrize("name", ["strokes", "trainer.cli", "trainer.practice"])
def test_a_door_opens_without_the_heavy_libraries(name: str) -> None:
    """They take longer to import than the whole window takes to open; they come when they are needed."""
    heavy = ["scipy.optimize", "scipy.stats", "shapely", "matplotlib"]
    code = f"import sys, {name}; print(sorted(set(sys.modules) & set({heavy})))"

    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, timeout=HANG)

    assert run.returncode == 0, run.stderr
    assert run.stdout.splitlines()[-1] == "[]"


def test_the_command_line_starts_without_pygame_and_the_database() -> None:
    """`trainer --help` and the teacher's commands need no window."""
    code = "import sys, trainer.cli; print(sorted(set(sys.modules) & {'pygame', 'sqlalchemy', 'rich'}))"

    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, timeout=HANG)

    assert run.returncode == 0, run.stderr
    assert run.stdout.splitlines()[-1] == "[]"
