"""The page on which a teacher records what the practice window says, listens to it, and erases it.

The microphone and the playing of sound are allowed on this page alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path, PurePosixPath
from typing import TypeAlias

from flask import (
    Blueprint,
    abort,
    current_app,
    flash,
    jsonify,
    make_response,
    redirect,
    render_template,
    request,
    send_file,
    url_for,
)
from werkzeug.wrappers import Response

from strokes.alphabet import Alphabet
from trainer.desk.access.guard import HEADERS, POLICY
from trainer.desk.desk import desk
from trainer.errors import AudioError, PlaceError
from trainer.language import sentence, spoken, text
from trainer.language.spoken import Sayable
from trainer.speech import ENDINGS, Utterance, Voicing, engines, recordings_in
from trainer.teaching import Rules
from trainer.wordbank import PHONEMES

page = Blueprint("voice", __name__)

Reply: TypeAlias = Response | tuple[str, int] | tuple[Response, int]

SHELVES: tuple[spoken.Shelf, ...] = ("sounds", "cues", "sentences")

FIRST = 40
"""How many missing ones of a kind are shown at once: a teacher records a few, and the page stays quick."""

KINDS = ("letters", "together", "unsaid", "several", "one", "session")
"""The kinds of what is missing, in their order: sounds of letters, of letters together, and those that no
built-in voice can say; sentences that come up at several letters, at one, and between letters."""


@dataclass(frozen=True)
class Item:
    """A line of the page: something that may be said, or a recording of what is said no more."""

    key: str
    title: str
    uses: str
    recorded: bool
    kind: str = ""


@page.get("/voice")
def show() -> Reply:
    """One shelf: what is missing on it, most used first, and what is recorded."""
    return _page(request.args.get("of", SHELVES[0]), every=request.args.get("all") == "yes")


@page.post("/voice/<key>")
def keep(key: str) -> Reply:
    """Take what was recorded or handed in for one thing. The page's script is answered in JSON."""
    sayable = next((each for each in _sayables() if each.utterance.key == key), None)
    if sayable is None:
        abort(404)
    by_script = request.accept_mimetypes.best == "application/json"
    file = request.files.get("file")
    what = _title(sayable)
    try:
        if file is None or not file.filename:
            raise AudioError(text("voice.record.no_file"))
        sound = recordings_in(desk().speech).keep(sayable.utterance, file.stream.read())
    except (AudioError, PlaceError) as error:
        reason = text("voice.record.refused", reason=sentence(error))
        if by_script:
            return jsonify(said=reason), 422
        return _page(sayable.shelf, wrong=(reason,), status=422)
    done = text("voice.record.kept", what=what, seconds=f"{sound.seconds:.1f}")
    if by_script:
        return jsonify(said=done, listen=url_for("voice.listen", key=key)), 200
    flash(done)
    return redirect(url_for("voice.show", of=sayable.shelf), 303)


@page.post("/voice/<key>/remove")
def remove(key: str) -> Reply:
    """Erase a recording."""
    if not recordings_in(desk().speech).remove(key):
        abort(404)
    flash(text("voice.record.removed"))
    return redirect(url_for("voice.show", of=request.form.get("of", SHELVES[0])), 303)


@page.get("/voice/<key>/recording.wav")
def listen(key: str) -> Response:
    """A recording as it is played."""
    recordings = recordings_in(desk().speech)
    if key not in recordings.keys():  # noqa: SIM118 - no dictionary
        abort(404)
    content = recordings.played(key).read_bytes()
    return send_file(BytesIO(content), "audio/wav", download_name=f"{key}.wav")


@page.post("/voice")
def take_files() -> Reply:
    """Take many files by their names; what cannot be taken is told, each in a sentence."""
    files = [file for file in request.files.getlist("files") if file.filename]
    if not files:
        return _page(SHELVES[0], wrong=(text("voice.files.none"),), status=422)
    recordings, every, taken, wrong = recordings_in(desk().speech), _sayables(), 0, []
    for file in files:
        name = PurePosixPath(str(file.filename).replace("\\", "/"))
        try:
            recordings.keep(spoken.by_file_name(name.stem, every), file.stream.read())
            taken += 1
        except (AudioError, PlaceError) as error:
            wrong.append(text("voice.files.refused", name=name.name, reason=sentence(error)))
    said = text("voice.files.taken", count=taken)
    if wrong:
        return _page(SHELVES[0], wrong=(said, *wrong), status=422)
    flash(said)
    return redirect(url_for("voice.show"), 303)


def _sayables() -> list[Sayable]:
    """All that may be said with the alphabets that the groups use."""
    alphabets: dict[str, Alphabet] = {}
    for group in (None, *desk().record.pupils.groups()):
        used = desk().alphabets.of(group)
        alphabets.setdefault(used.name, used.alphabet)
    return spoken.sayables(alphabets.values())


def _page(of: str, *, every: bool = False, wrong: Sequence[str] = (), status: int = 200) -> Response:
    recordings = recordings_in(desk().speech)
    keys, sayables = recordings.keys(), _sayables()
    shelves: dict[str, list[Item]] = {shelf: [] for shelf in SHELVES}
    for each in sayables:
        shelves[each.shelf].append(_item(each, keys))
    known = {item.key for items in shelves.values() for item in items}
    # What is said no more, and words that nothing here says yet, is known by its file alone.
    others = [Item(key, key.split(".")[1].replace("-", " "), "", True) for key in sorted(keys - known)]
    offered: dict[str, list[Item]] = {**shelves, **({"others": others} if others else {})}
    shown = offered.get(of, offered[SHELVES[0]])
    by_kind = {kind: [item for item in shown if item.kind == kind and not item.recorded] for kind in KINDS}
    missing = {kind: own for kind, own in by_kind.items() if own}
    rules = Rules.of(desk().record.settings)
    answer = make_response(
        render_template(
            "voice/show.html",
            shelf=of if of in offered else SHELVES[0],
            shelves=[
                (name, sum(item.recorded for item in items), len(items)) for name, items in offered.items()
            ],
            missing=[(kind, len(own), own if every else own[:FIRST]) for kind, own in missing.items()],
            left_out=not every and any(len(own) > FIRST for own in missing.values()),
            recorded=[item for item in shown if item.recorded],
            count=sum(map(len, missing.values())),
            engine=_engine(rules.voice_file),
            folder=recordings.folder,
            longest=recordings.longest,
            endings=",".join(ENDINGS),
            most=current_app.config["MAX_CONTENT_LENGTH"] // 2**20,
            wrong=wrong,
        ),
        status,
    )
    answer.headers["Content-Security-Policy"] = f"{POLICY}; media-src 'self'"
    permissions = HEADERS["Permissions-Policy"].replace("microphone=()", "microphone=(self)")
    answer.headers["Permissions-Policy"] = permissions
    return answer


def _engine(neural: str) -> str:
    """Who says what is not recorded."""
    there = engines(Voicing(folder=desk().speech, neural=Path(neural) if neural else None))
    if "espeak" not in there:
        return text("voice.no_engine")
    return text("voice.own_engine", file=neural) if "neural" in there else text("voice.engine")


def _item(sayable: Sayable, keys: set[str]) -> Item:
    if not sayable.uses:
        uses = text("voice.item.session")
    elif sayable.uses == 1:
        uses = text("voice.item.use", letter=sayable.letters[0])
    else:
        uses = text("voice.item.uses", letters=sayable.uses)
    if _kind(sayable) == "unsaid":
        uses = text("voice.item.only_recorded", uses=uses)
    key = sayable.utterance.key
    return Item(key, _title(sayable), uses, key in keys, _kind(sayable))


def _kind(sayable: Sayable) -> str:
    if sayable.utterance.kind == "sound":
        if not set(sayable.utterance.phonemes) <= PHONEMES.keys():
            return "unsaid"
        return "letters" if all(len(letters) == 1 for letters in sayable.letters) else "together"
    return "several" if sayable.uses > 1 else "one" if sayable.uses else "session"


def _title(sayable: Sayable) -> str:
    utterance = sayable.utterance
    if utterance.kind == "words":
        return utterance.text
    letters = ", ".join(sorted(sayable.letters, key=str.isupper))
    if example := _example(utterance):
        return text("voice.item.sound_as_in", letters=letters, example=example)
    return text("voice.item.sound", letters=letters)


def _example(utterance: Utterance) -> str:
    """A word with a sound of one phoneme."""
    names = utterance.phonemes
    return PHONEMES[names[0]].example if len(names) == 1 and names[0] in PHONEMES else ""
