from __future__ import annotations

import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import pygame
import pygame.surfarray
import pytest

from strokes.alphabet import Alphabet
from strokes.letter import Family, Formation, Letter, Stroke
from tests.shipped import PRINT, SLANTED
from trainer.drawing import theme
from trainer.drawing.raster import picture
from trainer.errors import PlaceError

MARKED = sum(bool(letter.base) for letter in PRINT.letters)


def shades(path: Path) -> np.ndarray:
    return pygame.surfarray.array3d(pygame.image.load(path)).swapaxes(0, 1)


@pytest.fixture(scope="module", params=["print", "slanted"])
def sheet(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> np.ndarray:
    """The picture of a shipped alphabet."""
    path = tmp_path_factory.mktemp("sheet") / "all.png"
    picture.draw(PRINT if request.param == "print" else SLANTED, path, width=1200)
    return shades(path)


def test_the_picture_shows_every_letter_of_the_alphabet(tmp_path: Path) -> None:
    """Each letter has its black ink, and all together have that of each: none is left out."""

    def black(names: str) -> int:
        some = Alphabet("", tuple(PRINT[name] for name in names), PRINT.guide, PRINT.families)
        picture.draw(some, tmp_path / "some.png", width=1200)
        return int((shades(tmp_path / "some.png") == 0).all(axis=2).sum())

    alone = [black(name) for name in "licbomz"]
    assert min(alone) > 200
    assert black("licbomz") == pytest.approx(sum(alone), rel=0.02)


def test_the_picture_is_as_wide_as_asked_for_and_has_an_even_margin_of_paper(sheet: np.ndarray) -> None:
    edge = 20
    assert sheet.shape[1] == 1200
    for strip in (sheet[:edge], sheet[-edge:], sheet[:, :edge], sheet[:, -edge:]):
        assert (strip == theme.rgb(theme.PAPER)).all()


def test_a_sheet_is_a_page_that_stands_upright(sheet: np.ndarray) -> None:
    tall, wide = sheet.shape[:2]
    assert 1.2 < tall / wide < 1.6


def test_rows_are_families_in_teaching_order_and_marks_come_last() -> None:
    rows = picture.rows(PRINT)
    every = [place for row in rows for place in row]

    assert [place.letter for place in rows[0]][:2] == ["l", "i"]
    assert [place.heading for place in every if place.heading] == [
        *(family.name[:1].upper() + family.name[1:] for family in PRINT.families),
        "Letters with marks",
        "Capitals with marks",
    ]
    assert sorted(place.letter for place in every) == list(PRINT)
    assert {place.letter for place in every[-MARKED:]} == {
        letter.name for letter in PRINT.letters if letter.base
    }


@pytest.mark.parametrize("alphabet", [PRINT, SLANTED], ids=lambda alphabet: alphabet.name)
def test_nothing_runs_into_anything_on_a_row(alphabet: Alphabet) -> None:
    """Letters keep their distance, headings too, and all end before the margin."""
    room = picture.ACROSS - 2 * picture.MARGIN
    for row in picture.rows(alphabet):
        ends = [(*alphabet[place.letter].taught.bounds[::2], place.x) for place in row]
        lefts = [left + x for left, _, x in ends]
        rights = [right + x for _, right, x in ends]
        assert min(lefts) >= 0
        assert max(rights) <= room
        assert all(
            after - right > picture.BETWEEN - 1e-6 for right, after in zip(rights, lefts[1:], strict=False)
        )
        said = [(left, place.heading) for left, place in zip(lefts, row, strict=True) if place.heading]
        for (left, heading), (after, _) in pairwise(said):
            assert left + len(heading) * picture.HEADING_WIDTH < after


@pytest.mark.parametrize("families", [(), (Family("some", ("l00", "l01", "gone")),)])
def test_letters_without_a_family_come_last_and_long_families_go_on(families: tuple[Family, ...]) -> None:
    stem = Formation("taught", (Stroke(np.array([[0.0, -1.0], [0.0, 0.0]])),))
    names = [f"l{number:02}" for number in range(50)]
    alphabet = Alphabet("long", tuple(Letter(name, (stem,)) for name in names), families=families)
    rows = picture.rows(alphabet)
    assert [place.letter for row in rows for place in row] == names
    assert len(rows) > 1


def test_no_display_is_needed(tmp_path: Path) -> None:
    """Drawn in a fresh process with a video driver that does not exist."""
    code = (
        "import sys; from strokes import Alphabet, Letter, Formation, Stroke; "
        "from trainer.drawing.raster.picture import draw; "
        "bar = Letter('l', (Formation('taught', (Stroke([[0, -1], [0, 0]]),)),)); "
        "draw(Alphabet('one', (bar,)), sys.argv[1], width=900)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "out.png")],
        env={"SDL_VIDEODRIVER": "none such", "PYTHONPATH": str(Path(__file__).parents[2])},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert shades(tmp_path / "out.png").shape[1] == 900


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no device that is always full")
def test_a_full_disk_is_told_in_one_sentence() -> None:
    with pytest.raises(PlaceError, match="the picture cannot be written: No space left"):
        picture.draw(Alphabet("one", (PRINT["l"],)), "/dev/full", width=300)
