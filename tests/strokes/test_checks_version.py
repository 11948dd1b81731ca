"""The version of the checks: another one where a verdict may be another, the same one where it cannot."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np

from strokes.alphabet import Alphabet
from strokes.checks import version as room
from strokes.checks.version import VERSION, checks_version, is_of_letter
from strokes.files import SHIPPED
from strokes.letter import Formation, GuideLines, Letter, Stroke
from strokes.tolerances import Tolerances
from strokes.weights import WEIGHTS
from tests.shipped import PRINT

LETTER = Letter(
    "v", (Formation("taught", (Stroke(np.array([[0.0, -1], [0.4, 0], [0.8, -1]]), "Down, up."),)),)
)
GUIDE = GuideLines()


def with_stroke(path, cue="Down, up."):
    return Letter("v", (Formation("taught", (Stroke(np.array(path), cue),)),))


def test_an_edition_names_the_version_and_fits_into_the_record():
    made = checks_version(LETTER, guide=GUIDE)

    assert made.startswith(f"{VERSION}:")
    assert len(made) <= 40


def test_the_same_letter_read_again_has_the_same_edition(tmp_path):
    folder = Path(shutil.copytree(SHIPPED / "print", tmp_path / "print"))
    for file in folder.rglob("*.svg"):  # what was read before is not read anew where not a character differs
        file.write_text(file.read_text(encoding="utf-8") + "<!-- saved again -->", encoding="utf-8")
    first, other = PRINT, Alphabet.load(folder)

    assert [checks_version(first[name], guide=first.guide) for name in first] == [
        checks_version(other[name], guide=other.guide) for name in other
    ]


def test_letters_have_editions_of_their_own():
    alphabet = PRINT

    assert len({checks_version(alphabet[name], guide=alphabet.guide) for name in alphabet}) == len(alphabet)


def test_a_moved_point_another_line_or_another_tolerance_is_another_edition():
    moved = with_stroke([[0.0, -1], [0.41, 0], [0.8, -1]])
    made = {
        checks_version(LETTER, guide=GUIDE),
        checks_version(moved, guide=GUIDE),
        checks_version(LETTER, guide=GuideLines(ascender=-1.8)),
        checks_version(LETTER, guide=GUIDE, tolerances=replace(Tolerances(), start=0.123)),
    }

    assert len(made) == 4


def test_a_changed_cue_is_no_other_edition():
    cued = with_stroke([[0.0, -1], [0.4, 0], [0.8, -1]], cue="Slant down, slant up.")

    assert checks_version(cued, guide=GUIDE) == checks_version(LETTER, guide=GUIDE)


def test_a_hand_is_another_edition_only_where_it_admits_other_ways():
    left = replace(LETTER, formations=(*LETTER.formations, Formation("left", LETTER.taught.strokes, "left")))

    assert checks_version(LETTER, guide=GUIDE, hand="left") == checks_version(LETTER, guide=GUIDE)
    assert checks_version(left, guide=GUIDE, hand="left") != checks_version(left, guide=GUIDE, hand="right")


def test_another_weight_is_another_edition(monkeypatch):
    before = checks_version(LETTER, guide=GUIDE)
    monkeypatch.setattr(room, "WEIGHTS", replace(WEIGHTS, missing_cost=0.14))
    checks_version.cache_clear()

    assert checks_version(LETTER, guide=GUIDE) != before
    checks_version.cache_clear()


def test_newer_checks_are_another_edition(monkeypatch):
    before = checks_version(LETTER, guide=GUIDE)
    monkeypatch.setattr(room, "VERSION", "2099-01-01")
    checks_version.cache_clear()

    assert checks_version(LETTER, guide=GUIDE) != before
    checks_version.cache_clear()


def test_a_version_is_known_to_be_of_a_letter_whatever_the_day_the_hand_and_the_stage():
    letter, other = PRINT["t"], PRINT["f"]
    versions = [
        checks_version(letter, guide=GUIDE, hand=hand, tolerances=Tolerances.of(stage))
        for hand in (None, "left", "right")
        for stage in ("first", "growing", "fluent")
    ]
    day, _, digest = versions[0].partition(":")

    assert all(is_of_letter(version, letter, guide=GUIDE) for version in (*versions, f"{day}.9:{digest}"))
    assert not any(is_of_letter(version, other, guide=GUIDE) for version in (*versions, "", day))
