from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pygame
import pygame.surfarray
import pytest

from strokes.alphabet import Alphabet
from strokes.letter import Family, Formation, Letter, Stroke
from trainer.drawing import theme
from trainer.drawing.raster import picture


def shades(path: Path) -> np.ndarray:
    return pygame.surfarray.array3d(pygame.image.load(path)).swapaxes(0, 1)


def test_the_picture_shows_every_letter_of_the_alphabet(tmp_path: Path) -> None:
    """Leaving out one letter leaves out black ink: each is really there."""
    alphabet = Alphabet.load()
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
    picture.draw(Alphabet.load(), tmp_path / "all.png", width=1200)
    image = shades(tmp_path / "all.png")
    edge = 20
    for strip in (image[:edge], image[-edge:], image[:, :edge], image[:, -edge:]):
        assert (strip == theme.rgb(theme.PAPER)).all()


def test_rows_are_families_in_teaching_order() -> None:
    rows = picture.rows(Alphabet.load())
    assert next(name for name, _ in rows if name) == "Lines down"
    assert rows[0][1][:2] == ["l", "i"]
    assert sorted(letter for _, row in rows for letter in row) == sorted(Alphabet.load())


@pytest.mark.parametrize("families", [(), (Family("some", ("l00", "l01", "gone")),)])
def test_letters_without_a_family_come_last_and_long_families_go_on(families: tuple[Family, ...]) -> None:
    stem = Formation("taught", (Stroke(np.array([[0.0, -1.0], [0.0, 0.0]])),))
    names = [f"l{number:02}" for number in range(20)]
    alphabet = Alphabet("long", tuple(Letter(name, (stem,)) for name in names), families=families)
    rows = picture.rows(alphabet)
    assert [letter for _, row in rows for letter in row] == names
    assert all(len(row) <= picture.COLUMNS for _, row in rows)


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
