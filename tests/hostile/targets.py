"""What is attacked: every reader of what comes from outside, and `strokes`, each with samples to spoil."""

from __future__ import annotations

import io
import json
import shutil
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np

from strokes import GuideLines, StrokesError
from strokes.alphabet import usable
from strokes.files import SHIPPED, X_HEIGHTS, Specimen, load_letter, read_ink
from strokes.files.inkml import inkml_lines
from strokes.simulation import write
from tests.hostile import inks
from tests.hostile.mutations import other_value, spoiled
from tests.shipped import PRINT as ALPHABET
from tests.strokes.test_editor_files import EDITORS
from tests.trainer import rosters
from trainer.attempt import Pupil
from trainer.desk.access import resent_form
from trainer.desk.pictures import replay
from trainer.desk.pictures.svg import ink_svg, letter_svg
from trainer.errors import TrainerError
from trainer.exchange import Taking, alphabet_files, bundle, name_list, oneroster
from trainer.exchange.ink_files import SPACE
from trainer.ink_codec import pack, unpack
from trainer.teaching import own_alphabets
from trainer.teaching.letter_drafts import Draft, Drafts, changed, take_taught

OURS = (StrokesError, TrainerError)
"""The errors that may come of an input; `unpack` says ValueError of itself."""

Attack: TypeAlias = Callable[[np.random.Generator, Path], str]
"""Tries one input, in a folder of its own; the name of the error that refused it, empty where none did."""

LONGEST = 2000
"""Characters of a message."""

NOW = datetime(2026, 11, 27, tzinfo=UTC)
GUIDE = GuideLines()
PRINT = SHIPPED / "print"


def _refused(read: Callable[[], object], *also: type[Exception]) -> str:
    try:
        read()
    except (*OURS, *also) as error:
        said = error
    else:
        return ""
    assert len(str(said)) < LONGEST, "a message must not be endless"
    return type(said).__name__


# --- ink


@lru_cache
def _inkml() -> tuple[bytes, ...]:
    """Own ink and a stranger's, with differences, contexts, groups and offsets."""
    own = [
        Specimen(write(ALPHABET[name], seed=1), {"letter": name, "space": SPACE}, X_HEIGHTS) for name in "ai"
    ]
    strange = """<ink xmlns="http://www.w3.org/2003/InkML"><definitions>
<context xml:id="a"><inkSource xml:id="pad"><traceFormat><channel name="X" type="integer" units="mm"/>
<channel name="Y" units="cm" orientation="-ve"/><channel name="T" units="ms"/><intermittentChannels>
<channel name="S" type="boolean"/></intermittentChannels></traceFormat></inkSource></context>
<context xml:id="b" contextRef="#a"/></definitions><annotation type="writer">x</annotation>
<traceGroup contextRef="#b"><annotation type="letter">i</annotation>
<trace timeOffset="20">10 1 0, 11 2 10 T,'1'1'10 F,"0"1"0,* 3 9 ?</trace>
<traceGroup><annotation type="letter">a</annotation><trace type="penUp">1 2 3</trace>
<trace>4 5 6, 5 5 7</trace>
</traceGroup></traceGroup><trace contextRef="#DefaultContext">1 2, 3 4</trace></ink>"""
    return "".join(inkml_lines(own, decimals=4)).encode(), strange.encode()


UNIPEN = b""".VERSION 1.0
.HAND R
.COORD X Y T
.X_POINTS_PER_INCH 1000
.Y_POINTS_PER_INCH 1000
.DT 10
.PEN_DOWN
100 200 0
110 150 10
120 100 20
.PEN_UP
.PEN_DOWN
130 220 90
131 221 95
.SEGMENT CHARACTER 0-1 OK "i"
.SEGMENT CHARACTER 0:1-1:0 ? "a"
.SEGMENT WORD 0,1 OK "ia"
"""


def _inks(samples: Callable[[], tuple[bytes, ...]]) -> Attack:
    """A file of ink: read, taken in as attempts, drawn, packed and written again."""

    def attack(random: np.random.Generator, folder: Path) -> str:
        file = folder / "ink"
        every = samples()
        file.write_bytes(spoiled(random, every[random.integers(len(every))]))
        return _refused(lambda: _taken(file))

    return attack


def _taken(file: Path) -> None:
    specimens = read_ink(file)
    taking = Taking(file, Pupil(1, "Nella", 1), ALPHABET, letter=None)
    labelled = [specimen for specimen in specimens if specimen.about.keys() & {"letter", "label"}]
    for attempt in taking.attempts(labelled[:3], NOW):
        assert len(ink_svg(attempt, ALPHABET[attempt.letter], GUIDE)) < 1_000_000
        replay.stage(attempt.ink, GUIDE, replay.marks(attempt, None), title="x")
        json.dumps(replay.moments(attempt.ink), allow_nan=False)
        unpack(pack(attempt.ink, attempt.shown))
    "".join(inkml_lines(specimens))


def _packed(random: np.random.Generator, _: Path) -> str:
    """Ink as it lies in a record, packed or spoiled before it was packed."""
    whole = pack(write(ALPHABET["k"], seed=2), [0])
    if random.random() < 0.3:
        return _refused(lambda: unpack(spoiled(random, whole)), ValueError)
    content = zlib.decompress(whole)
    if random.random() < 0.5:
        content = json.dumps(other_value(random, json.loads(content))).encode()
    else:
        content = spoiled(random, content)
    return _refused(lambda: unpack(zlib.compress(content)), ValueError)


# --- letters and alphabets


def _letter(random: np.random.Generator, folder: Path) -> str:
    """One letter's file, the program's own or a vector editor's, and its picture."""
    file = folder / "a.svg"
    samples = _letters()
    file.write_bytes(spoiled(random, samples[random.integers(len(samples))]))

    def read() -> None:
        letter = load_letter(file)
        for formation in letter.formations[:4]:
            assert len(letter_svg(formation, GUIDE)) < 1_000_000

    return _refused(read)


@lru_cache
def _letters() -> tuple[bytes, ...]:
    own = [(PRINT / f"{name}.svg").read_bytes() for name in ("a", "i", "t", "capital-e")]
    arcs = EDITORS["layers, namespaces, styles and relative commands"].replace(
        "c 0,-30 20,-50 40,-50 20,0 40,20 40,50", "a 40 50 0 0 1 80 0"
    )
    return (*own, *(content.encode() for content in (*EDITORS.values(), arcs)))


@lru_cache
def _alphabet() -> Mapping[str, bytes]:
    """A few letters, two marks, and a table with composed letters, by their places in the folder."""
    places = ["a.svg", "i.svg", "o.svg", "marks/acute.svg", "marks/diaeresis.svg"]
    table = """name = "few"
[guide]
ascender = -2.0
descender = 1.0
[teaching]
order = ["i", "a", "o"]
planned_only = ["ä"]
[[family]]
name = "round"
letters = ["a", "o"]
[composed]
"ä" = { base = "a", mark = "diaeresis" }
"ó" = { base = "o", mark = "acute", shift = [0.0, 0.1] }
"""
    return {place: (PRINT / place).read_bytes() for place in places} | {"alphabet.toml": table.encode()}


def _spoiled_alphabet(random: np.random.Generator) -> dict[str, bytes]:
    files = dict(_alphabet())
    place = ["alphabet.toml", *files][random.integers(1 + len(files))]
    files[place] = spoiled(random, files[place])
    return files


def _folder(random: np.random.Generator, folder: Path) -> str:
    """An alphabet's folder: what of it can be used, and put among the teacher's own."""
    files = _spoiled_alphabet(random)

    def read() -> None:
        for place, content in files.items():
            (folder / "few" / place).parent.mkdir(parents=True, exist_ok=True)
            (folder / "few" / place).write_bytes(content)
        said = usable(folder / "few")
        assert all(len(str(fault)) < 2000 for fault in said.faults)
        if said.alphabet is not None:
            for letter in said.alphabet.letters:
                letter_svg(letter.taught, said.alphabet.guide)

    return _refused(read)


def _zip(random: np.random.Generator, _: Path) -> str:
    """The same as a zip, of which any byte may be spoiled, looked at and taken in."""
    packed = io.BytesIO()
    files = _spoiled_alphabet(random) if random.random() < 0.4 else _alphabet()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for place, content in files.items():
            archive.writestr(f"few/{place}", content)
    content = packed.getvalue()
    if random.random() < 0.7:
        content = spoiled(random, content)

    def read() -> None:
        own_alphabets.looked_at(alphabet_files.from_uploads([("few.zip", io.BytesIO(content))]))

    return _refused(read)


# --- letters that a teacher writes


@lru_cache
def _draft() -> str:
    """A draft's file: an i that is written twice, mended and given cues."""
    draft = Draft("i")
    for trace in write(ALPHABET["i"], seed=3).traces:
        changed(draft, {"do": "write", "trace": trace.points.tolist()}, GUIDE)
    take_taught(draft, ALPHABET["i"].taught)
    changed(draft, {"do": "turn", "stroke": 0}, GUIDE)
    with tempfile.TemporaryDirectory() as folder:
        Drafts(Path(folder)).keep(draft)
        return next(Path(folder).rglob("*.json")).read_text(encoding="utf-8")


def _draft_on_disk(random: np.random.Generator, folder: Path) -> str:
    """A damaged draft: read, changed, drawn and kept again."""
    content = _draft()
    if random.random() < 0.5:
        content = json.dumps(other_value(random, json.loads(content)))
        written = content.encode("utf-8", "surrogatepass")
    else:
        written = spoiled(random, content.encode())
    (folder / "drafts").mkdir()
    (folder / "drafts" / "i.json").write_bytes(written)

    def read() -> None:
        drafts = Drafts(folder)
        drafts.letters()
        draft = drafts.get("i")
        if draft is not None:
            for what in ({"do": "undo"}, {"do": "again"}, {"do": "role", "use": "left"}):
                _refused(lambda what=what: changed(draft, what, GUIDE))
            drafts.keep(draft)

    return _refused(read)


def _sheet(random: np.random.Generator, _: Path) -> str:
    """Changes that the letter-writing page asks for, with spoiled values."""
    draft = Draft("i")
    trace = write(ALPHABET["i"], seed=3).traces[0].points.round(4).tolist()
    changes: list[dict[str, Any]] = [
        {"do": "write", "trace": trace},
        {"do": "point", "stroke": 0, "point": 1, "to": [0.1, -0.5]},
        {"do": "split", "stroke": 0, "point": 2},
        {"do": "cue", "stroke": 0, "cue": "Down."},
        {"do": "rewrite", "stroke": 0, "trace": trace},
        {"do": "error", "error": 0.1},
        {"do": "again"},
        {"do": "write", "trace": trace},
    ]
    said = ""
    for what in changes:
        asked = other_value(random, what) if random.random() < 0.5 else what
        if isinstance(asked, dict):
            said = _refused(lambda asked=asked: changed(draft, asked, GUIDE)) or said
    return said


def _form(random: np.random.Generator, _: Path) -> str:
    """A form that comes back with the login."""
    packed = resent_form.ResentForm("/pupil/1/notes", (("text", "A note."), ("back", "x"))).packed()
    return "" if resent_form.unpacked(spoiled(random, packed.encode()).decode("latin-1")) else "None"


# --- class lists


def _tables(random: np.random.Generator, _: Path) -> str:
    """A set of OneRoster tables, as files or as a zip."""
    people = [rosters.user(f"u{number}", f"Nella{number}", "Quay") for number in range(4)]
    files = {
        "manifest.csv": rosters.table("manifest.csv", rosters.manifest()),
        "users.csv": rosters.table("users.csv", people),
        "classes.csv": rosters.table("classes.csv", [rosters.school_class("c1", "Harbor")]),
        "enrollments.csv": rosters.table("enrollments.csv", [rosters.enrollment("u1", "c1")]),
    }
    name = list(files)[random.integers(len(files))]
    files[name] = spoiled(random, files[name])
    uploads = [(name, io.BytesIO(content)) for name, content in files.items()]
    if random.random() < 0.3:
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, content in files.items():
                archive.writestr(name, content)
        uploads = [("set.zip", io.BytesIO(spoiled(random, packed.getvalue())))]
    return _refused(lambda: oneroster.parse(bundle.from_uploads(uploads, oneroster.FILES)))


def _names(random: np.random.Generator, _: Path) -> str:
    """A list of names as a file: one a line, or a table, in one of the ways to write letters."""
    typed = ("Nella\nBjarne\n", "First name,Last name,Class\nNella,Berg,Quay\nBo,,\n")[random.integers(2)]
    encoding = ("utf-8-sig", "utf-16", "utf-16-le", "cp1252")[random.integers(4)]
    content = spoiled(random, typed.encode(encoding))
    return _refused(lambda: name_list.parse(name_list.decoded(content, "names.csv"), "Class"))


TARGETS: dict[str, Attack] = {
    "odd ink at the checks": lambda random, _: inks.attack(random),
    "InkML": _inks(_inkml),
    "UNIPEN": _inks(lambda: (UNIPEN,)),
    "ink in the record": _packed,
    "letters as SVG": _letter,
    "alphabet folders": _folder,
    "alphabet zips": _zip,
    "letter drafts on the disk": _draft_on_disk,
    "changes from the letter sheet": _sheet,
    "forms sent again": _form,
    "class lists": _tables,
    "lists of names": _names,
}


def tried(name: str, seed: int, number: int) -> str:
    """Try input `number` of a target; the name of the error that refused it, empty where none did."""
    folder = Path(tempfile.mkdtemp(prefix="hostile-"))
    try:
        return TARGETS[name](np.random.default_rng([seed, number]), folder)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
