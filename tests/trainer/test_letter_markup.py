"""A letter's file changed in its bytes where that can be done, and whatever was written read back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from strokes.errors import LetterError
from strokes.files import load_letter
from strokes.letter import Letter
from trainer.errors import PlaceError
from trainer.teaching import letter_markup
from trainer.teaching.letter_markup import PlainFile

DRAWN = """<svg xmlns="http://www.w3.org/2000/svg" xmlns:ed="urn:an-editor"><title>t</title>
  <g ed:label="a > b" id="taught" ed:note="no id='x'"><!-- the stem first -->
    <path d="M0 -200 L0 0"><title id="c1" /></path><path d="M-40 -140 L40 -140"><title>Across.</title></path>
  </g>
  <g id="shape" data-use="recognition"><path d="M0 -210 L0 0"/></g>
  <g id="right" data-hand="right"><path d="M-40 -140 L40 -140"/><path d="M0 -200 L0 0"/></g>
</svg>
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    file = tmp_path / "t.svg"
    file.write_text(DRAWN)
    return file


def with_cue(letter: Letter, said: str) -> Letter:
    """The letter with another cue of its first stroke."""
    taught = letter.taught
    strokes = (replace(taught.strokes[0], cue=said), *taught.strokes[1:])
    return replace(letter, formations=(replace(taught, strokes=strokes), *letter.formations[1:]))


def test_an_empty_title_is_opened_and_keeps_its_attributes(file: Path) -> None:
    letter = load_letter(file)

    content = letter_markup.changed(
        file, letter, with_cue(letter, "Down."), lambda plain: plain.with_cue(0, "Down.")
    )

    assert content.decode() == DRAWN.replace('<title id="c1" />', '<title id="c1">Down.</title>')


def test_the_way_that_stays_accepted_is_the_bytes_that_it_was(file: Path) -> None:
    letter = load_letter(file)
    taught, *others = letter.formations
    turned = replace(taught, strokes=(taught.strokes[1], taught.strokes[0]))
    after = replace(letter, formations=(turned, replace(taught, name="before"), *others))

    content = letter_markup.changed(
        file, letter, after, lambda plain: plain.with_taught(after, former_name="before")
    ).decode()

    begun = '<g ed:label="a > b" ed:note="no id=\'x\'" id="before" display="none"><!-- the stem first -->'
    assert begun in content
    assert content.count('id="taught"') == 1
    assert content.endswith(DRAWN[DRAWN.index('  <g id="shape"') :])


def shifted(plain: PlainFile) -> bytes:
    """An edit that moves a stroke of a formation that is not to be changed."""
    return plain.with_cue(0, "Down.").replace(b'"><path d="M-40 -140', b'"><path d="M-38 -140')


EDITS = {
    "nothing": lambda plain: plain.content,
    "another cue": lambda plain: plain.with_cue(0, "Up."),
    "a stroke elsewhere": shifted,
    "a formation lost": lambda plain: plain.content[: plain.groups[-1].start] + plain.content[plain.end :],
    "no letter": lambda plain: plain.content.replace(b"<title>t</title>", b""),
}


@pytest.mark.parametrize("edit", EDITS.values(), ids=EDITS)
def test_another_letter_than_the_one_that_was_wanted_is_refused_by_its_name(file, edit) -> None:
    letter = load_letter(file)

    with pytest.raises(LetterError, match=r"^'t':? must "):
        letter_markup.changed(file, letter, with_cue(letter, "Down."), edit)

    assert file.read_text() == DRAWN


def test_a_file_that_has_gone_is_told(file: Path) -> None:
    letter = load_letter(file)
    file.unlink()

    with pytest.raises(PlaceError, match=r"t\.svg: the letter cannot be read"):
        letter_markup.changed(file, letter, letter, lambda plain: plain.content)
