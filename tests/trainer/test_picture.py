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
from strokes.files import SHIPPED
from strokes.letter import Family, Formation, Letter, Stroke
from tests.shipped import PRINT
from trainer.drawing import theme
from trainer.drawing.raster import picture

MARKED = sum(bool(letter.base) for letter in PRINT.letters)


def shades(path: Path) -> np.ndarray:
    return pygame.surfarray.array3d(pygame.image.load(path)).swapaxes(0, 1)


def test_the_picture_shows_every_letter_of_the_alphabet(tmp_path: Path) -> None:
    """Leaving out one letter leaves out black ink: each is really there."""
    alphabet = PRINT
    picture.draw(alphabet, tmp_path / "all.png", width=1200)
    whole = shades(tmp_path / "all.png")
    assert whole.shape[1] == 1200
    black = (whole == 0).all(axis=2).sum()
    for name in ("b", "o", "z"):
        fewer = Alphabet(
            alphabet.name,
            tuple(letter for letter in alphabet.letters if letter.name != name),
            alphabet.guide,
            alphabet.families,
            alphabet.order,
        )
        picture.draw(fewer, tmp_path / "fewer.png", width=1200)
        assert (shades(tmp_path / "fewer.png") == 0).all(axis=2).sum() < black - 200


def test_the_picture_has_an_even_margin_of_paper(tmp_path: Path) -> None:
    picture.draw(PRINT, tmp_path / "all.png", width=1200)
    image = shades(tmp_path / "all.png")
    edge = 20
    for strip in (image[:edge], image[-edge:], image[:, :edge], image[:, -edge:]):
        assert (strip == theme.rgb(theme.PAPER)).all()


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


@pytest.mark.parametrize("name", ["print", "slanted"])
def test_nothing_runs_into_anything_on_a_row(name: str) -> None:
    """Letters keep their distance, headings too, and all end before the margin."""
    alphabet = Alphabet.load(SHIPPED / name)
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


def test_a_sheet_is_a_page_that_stands_upright(tmp_path: Path) -> None:
    for name in ("print", "slanted"):
        picture.draw(Alphabet.load(SHIPPED / name), tmp_path / "all.png", width=900)
        tall, wide = shades(tmp_path / "all.png").shape[:2]
        assert 1.2 < tall / wide < 1.6


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
        "import sys; from strokes import Alphabet; from trainer.drawing.raster.picture import draw; "
        "draw(Alphabet.load(), sys.argv[1], width=900)"
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
