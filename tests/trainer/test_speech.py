"""The voice behind the window: never waited for, first source first, silent when it is left."""

from __future__ import annotations

import os
import signal
import stat
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from tests.sounds import tone
from tests.waiting import HANG, until
from trainer.speech import Utterance, Voicing, lone_sound, open_voice, words
from trainer.speech.cache import Cache, erase
from trainer.speech.recordings import Recordings
from trainer.speech.sound import Sound
from trainer.speech.sources import HERE, Engine, Source, espeak, neural
from trainer.speech.speaker import Output, Speaker
from trainer.speech.worker import LARGEST, Worker

needs_espeak = pytest.mark.skipif(find_spec("espeakng_loader") is None, reason="espeak-ng has no wheel here")

PEN = words("The pen goes this way.")
ROOT = Path(__file__).parents[2]


class Shelf:
    """A source with sounds in a dictionary: `at_hand` at once, `rendered` when `may_render` lets it."""

    def __init__(self, at_hand: Sequence[Utterance] = (), rendered: Sequence[Utterance] = ()) -> None:
        self.at_hand = set(at_hand)
        self.rendered = set(rendered)
        self.may_render = threading.Event()
        self.may_render.set()
        self.made: list[Utterance] = []

    def has(self, utterance: Utterance) -> bool:
        return utterance in self.at_hand | self.rendered

    def ready(self, utterance: Utterance) -> Sound | None:
        return tone(0.02) if utterance in self.at_hand else None

    def make(self, utterance: Utterance) -> Sound | None:
        assert self.may_render.wait(HANG)
        self.made.append(utterance)
        return tone(0.02) if utterance in self.rendered else None

    def close(self) -> None:
        self.may_render.set()


class Heard:
    """An output that only writes down what it was told."""

    def __init__(self, *, device: bool = True) -> None:
        self.device = device
        self.log: list[str] = []
        self.threads: set[str] = set()

    def open(self) -> bool:
        return self.device

    def play(self, heard: Sound, volume: float) -> None:
        self.threads.add(threading.current_thread().name)
        self.log.append(f"play {heard.seconds:.2f} at {volume:g}")

    def stop(self) -> None:
        self.log.append("stop")

    def close(self) -> None:
        self.log.append("close")

    @property
    def played(self) -> int:
        return sum(line.startswith("play") for line in self.log)


@pytest.fixture
def speaker() -> Iterator[Callable[..., Speaker]]:
    made: list[Speaker] = []

    def make(*sources: Source, output: Output, volume: float = 1.0) -> Speaker:
        made.append(Speaker(lambda: sources, lambda: output, volume=volume))
        return made[-1]

    yield make
    for each in made:
        each.close()


Make = Callable[..., Speaker]


def test_what_is_said_is_played_in_its_order_and_by_another_thread(speaker: Make) -> None:
    heard = Heard()
    voice = speaker(Shelf([PEN, lone_sound("M")]), output=heard, volume=0.35)

    voice.say(lone_sound("M"), PEN)
    assert voice.speaking

    until(lambda: not voice.speaking, "the voice to end")
    assert heard.log == ["stop", "play 0.02 at 0.35", "play 0.02 at 0.35"]
    assert threading.current_thread().name not in heard.threads


def test_the_first_source_that_has_it_says_it(speaker: Make) -> None:
    first, second = Shelf([lone_sound("M")]), Shelf([], [lone_sound("M"), PEN])
    voice = speaker(first, second, output=Heard())

    voice.say(lone_sound("M"), PEN)

    until(lambda: not voice.speaking, "the voice to end")
    assert (first.made, second.made) == ([], [PEN])


def test_a_source_that_cannot_after_all_gives_way_to_the_next(speaker: Make) -> None:
    class Fails(Shelf):
        def has(self, utterance: Utterance) -> bool:
            return bool(utterance.text)

    heard = Heard()
    voice = speaker(Fails(), Shelf([PEN]), output=heard)

    voice.say(PEN)

    until(lambda: heard.played == 1, "the second source to be heard")


def test_what_no_source_has_stays_a_caption(speaker: Make) -> None:
    heard = Heard()
    voice = speaker(Shelf(), output=heard)

    voice.say(PEN)

    until(lambda: not voice.speaking, "the voice to give up")
    assert heard.played == 0


def test_an_engine_that_hangs_keeps_nobody_waiting_and_what_is_at_hand_is_said(speaker: Make) -> None:
    shelf, heard = Shelf([lone_sound("M")], [PEN]), Heard()
    shelf.may_render.clear()
    voice = speaker(shelf, output=heard)

    voice.say(PEN)
    voice.say(lone_sound("M"))

    until(lambda: heard.played == 1 and not voice.speaking, "the sound that is at hand")
    assert shelf.made == []


def test_what_is_said_stops_when_something_else_is_and_when_it_is_told_to(speaker: Make) -> None:
    class Long(Shelf):
        def ready(self, utterance: Utterance) -> Sound | None:
            return tone(60) if self.has(utterance) else None

    heard = Heard()
    voice = speaker(Long([PEN]), output=heard)

    for count in (1, 2):
        voice.say(PEN)
        until(lambda count=count: heard.played == count, "it to begin")
    voice.stop()

    until(lambda: heard.log[-1] == "stop", "silence")
    assert heard.log.count("stop") >= 3
    assert not voice.speaking


def test_what_will_be_wanted_is_rendered_while_nothing_is_asked_for(speaker: Make) -> None:
    shelf = Shelf([], [PEN])
    voice = speaker(shelf, output=Heard())

    voice.prepare(PEN, words("Nobody has this."))

    until(lambda: shelf.made == [PEN], "it to be rendered")
    assert not voice.speaking


def test_without_a_device_nothing_is_said_and_nothing_breaks(speaker: Make) -> None:
    heard = Heard(device=False)
    voice = speaker(Shelf([PEN]), output=heard)

    voice.say(PEN)
    until(lambda: not voice.audible, "the missing device to be noticed")
    voice.say(PEN)
    voice.prepare(PEN)

    assert not voice.speaking
    assert heard.played == 0


def test_sources_that_cannot_even_be_made_leave_captions() -> None:
    def broken() -> list[Source]:
        raise OSError("no such library")

    voice = Speaker(broken, Heard)
    voice.say(PEN)

    until(lambda: not voice.audible, "the fault to be noticed")
    assert not voice.speaking
    voice.close()


def test_a_voice_that_never_spoke_has_started_nothing() -> None:
    def unwanted() -> list[Source]:
        raise AssertionError("nothing was said")

    before = threading.active_count()
    voice = Speaker(unwanted, Heard)
    voice.stop()
    voice.close()
    voice.say(PEN)

    assert threading.active_count() == before


def test_500_sayings_leave_no_thread_no_file_and_no_answer_behind(speaker: Make) -> None:
    heard = Heard()
    voice = speaker(Shelf([], [words(f"Number {n % 7}.") for n in range(7)]), output=heard)
    voice.say(PEN)
    until(lambda: not voice.speaking, "the voice to be there")
    before = threading.active_count()

    for number in range(500):
        voice.say(words(f"Number {number % 7}."), words(f"Number {(number + 1) % 7}."))
        voice.prepare(words(f"Number {number % 7}."))
    voice.say(words("Number 1."))
    until(lambda: not voice.speaking, "the last one")

    assert threading.active_count() == before
    assert len(voice._answers) <= 2
    assert len(voice._asked) <= 1


# The process of an engine


@pytest.fixture
def worker() -> Iterator[Callable[..., Worker]]:
    made: list[Worker] = []

    def make(script: Path, **options: float) -> Worker:
        made.append(Worker(script, **options))
        return made[-1]

    yield make
    for each in made:
        each.close()


@needs_espeak
def test_an_engine_that_is_killed_in_the_middle_is_started_again(worker: Callable[..., Worker]) -> None:
    engine = worker(HERE / "espeak_worker.py")
    first = engine.ask("One boat.")
    assert first is not None
    assert engine.pid is not None
    os.kill(engine.pid, signal.SIGTERM if os.name == "nt" else signal.SIGKILL)

    again = engine.ask("One boat.")

    assert again is not None
    assert again.seconds == pytest.approx(first.seconds, abs=0.05)
    assert engine.usable


def test_an_engine_that_is_closed_while_it_renders_is_not_started_again(
    worker: Callable[..., Worker], tmp_path: Path
) -> None:
    script = tmp_path / "engine.py"
    script.write_text("import time\ntime.sleep(600)")
    engine = worker(script)
    answers: list[Sound | None] = []
    asking = threading.Thread(target=lambda: answers.append(engine.ask("One boat.")))
    asking.start()
    until(lambda: engine.pid is not None, "the process to start")

    engine.close()

    asking.join(timeout=HANG)
    assert answers == [None]
    assert engine.pid is None
    assert not engine.usable


CRASHING = "import os, sys\nsys.stdin.readline()\nos.abort()"
HANGING = "import time\ntime.sleep(600)"
LYING = f"import sys\nsys.stdin.readline()\nprint(22050, {LARGEST + 1}, flush=True)\nsys.stdin.readline()"
SHORT = "import sys\nsys.stdin.readline()\nprint(22050, 4000, flush=True)"
BABBLING = "import sys\nsys.stdin.readline()\nprint('x' * 5000, flush=True)\nsys.stdin.readline()"


@pytest.mark.parametrize("code", [CRASHING, HANGING, LYING, SHORT, BABBLING, "raise SystemExit(3)"])
def test_an_engine_that_fails_in_any_way_gives_nothing_and_rests(
    worker: Callable[..., Worker], tmp_path: Path, code: str
) -> None:
    script = tmp_path / "engine.py"
    script.write_text(code)
    engine = worker(script, wait=0.5 if code == HANGING else HANG)

    assert engine.ask("One boat.") is None
    assert not engine.usable
    assert engine.pid is None


def test_an_engine_whose_program_is_not_there_gives_nothing(worker: Callable[..., Worker]) -> None:
    engine = worker(HERE / "engine.py")
    engine.command[0] = "no-such-program"

    assert engine.ask("One boat.") is None


def test_an_engine_is_missing_without_its_package_and_a_neural_voice_without_its_file(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    assert neural(tmp_path / "voice.onnx", tmp_path) is None

    monkeypatch.setattr("trainer.speech.sources.find_spec", lambda _: None)

    assert espeak(tmp_path) is None


# What was rendered is kept


def test_what_was_rendered_is_there_the_next_time_and_for_its_owner_alone(tmp_path: Path) -> None:
    folder = tmp_path / "cache"
    Cache(folder, "espeak").put(PEN, tone(0.1))

    again = Cache(folder, "espeak").get(PEN)

    assert again is not None
    assert again.seconds == pytest.approx(0.1)
    assert Cache(folder, "another engine").get(PEN) is None
    if os.name == "posix":
        (file,) = folder.iterdir()
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700


@pytest.mark.parametrize("damage", [b"", b"RIFF", b"\0" * 400, None])
def test_a_damaged_file_costs_only_itself(tmp_path: Path, damage: bytes | None) -> None:
    cache = Cache(tmp_path, "espeak")
    cache.put(PEN, tone(0.1))
    cache.put(lone_sound("M"), tone(0.2))
    file = cache._file(PEN)
    file.write_bytes(file.read_bytes()[:100] if damage is None else damage)

    assert cache.get(PEN) is None
    assert not file.exists()
    assert cache.get(lone_sound("M")) is not None
    cache.put(PEN, tone(0.1))
    assert cache.get(PEN) is not None


def test_the_cache_is_bounded_and_what_was_unused_for_longest_goes(tmp_path: Path) -> None:
    size = len(tone(0.1).wav())
    cache = Cache(tmp_path, "espeak", largest=10 * size)
    for number in range(40):
        cache.put(words(f"Number {number}."), tone(0.1))
        os.utime(cache._file(words(f"Number {number}.")), (number, number))
        cache.get(words("Number 0."))

    assert sum(file.stat().st_size for file in tmp_path.iterdir()) <= 10 * size
    assert cache.get(words("Number 39.")) is not None
    assert cache.get(words("Number 0.")) is not None, "it was used all the time"
    assert cache.get(words("Number 10.")) is None


def test_a_folder_that_cannot_be_written_keeps_nothing_and_breaks_nothing(tmp_path: Path) -> None:
    (tmp_path / "cache").write_text("a file")
    cache = Cache(tmp_path / "cache", "espeak")

    cache.put(PEN, tone(0.1))

    assert cache.get(PEN) is None


def test_what_was_rendered_can_be_erased(tmp_path: Path) -> None:
    cache = Cache(tmp_path, "espeak")
    cache.put(PEN, tone(0.1))

    assert erase(tmp_path) == 1
    assert cache.get(PEN) is None
    assert erase(tmp_path / "nothing") == 0


# A window's voice as a whole, heard through SDL's disk driver


@needs_espeak
def test_it_is_heard_in_time_and_stops_when_it_is_left(tmp_path: Path) -> None:
    """In a process of its own: SDL's mixer belongs to a whole program. Its disk driver plays in real time.

    Each sound has its length, comes after the one before, and is cut off where it is told to stop.
    """
    file = tmp_path / "heard.raw"
    code = (
        "import sys, time\n"
        "from pathlib import Path\n"
        "from trainer.speech import Voicing, open_voice, lone_sound\n"
        "voice = open_voice(Voicing(folder=Path(sys.argv[1])))\n"
        "def wait():\n"
        "    while voice.speaking: time.sleep(0.002)\n"
        "voice.say(lone_sound('S')); wait()\n"
        "time.sleep(0.3)\n"
        "voice.say(lone_sound('M')); wait()\n"
        "time.sleep(0.3)\n"
        "voice.say(lone_sound('S'), lone_sound('M')); time.sleep(0.3); voice.stop()\n"
        "assert not voice.speaking\n"
        "time.sleep(0.5)\n"
        "voice.close()\n"
    )
    environment = {**os.environ, "SDL_AUDIODRIVER": "disk", "SDL_DISKAUDIOFILE": str(file)}
    run = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "speech")],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env=environment,
        timeout=HANG,
    )
    assert run.returncode == 0, run.stderr
    samples = np.frombuffer(file.read_bytes(), np.int16) / 32768
    loud = np.sqrt((samples[: len(samples) // 220 * 220].reshape(-1, 220) ** 2).mean(axis=1)) > 0.01
    edges = np.flatnonzero(np.diff(np.concatenate([[False], loud, [False]]).astype(int))).reshape(-1, 2)
    lengths = [(last - first) * 220 / 22050 for first, last in edges]

    assert len(lengths) == 3, "a hiss, a hum, and a hiss that was left"
    assert lengths[0] == pytest.approx(0.55, abs=0.05)
    assert lengths[1] == pytest.approx(0.55, abs=0.05)
    assert lengths[2] < 0.5, "it was cut off"
    assert not loud[edges[2][1] :].any(), "the second sound was never begun"


def test_sound_that_is_off_is_silence(tmp_path: Path) -> None:
    voice = open_voice(Voicing(folder=tmp_path, sound=False))

    voice.say(PEN)

    assert not voice.speaking
    assert not voice.audible


def test_no_engine_mixer_or_reader_of_recordings_is_loaded_before_it_is_needed() -> None:
    code = "import sys, trainer.practice, trainer.commands.cli, trainer.desk.app; print(*sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, timeout=HANG)
    assert run.returncode == 0, run.stderr
    loaded = set(run.stdout.splitlines()[-1].split())

    assert not {"soundfile", "espeakng_loader", "piper"} & loaded
    assert not {f"trainer.speech.{part}" for part in ("speaker", "sources", "worker", "output")} & loaded


# The teacher's own recordings come first


def test_a_recording_is_said_in_place_of_an_engine(tmp_path: Path, speaker: Make) -> None:
    recordings = Recordings(tmp_path)
    recordings.keep(lone_sound("M"), tone(0.3).wav())
    engine, heard = Shelf([], [lone_sound("M"), PEN]), Heard()
    voice = speaker(recordings, engine, output=heard)

    voice.say(lone_sound("M"), PEN)

    until(lambda: not voice.speaking, "the voice to end")
    assert engine.made == [PEN]
    assert heard.log[1] == "play 0.30 at 1"


def test_a_recording_that_was_damaged_later_is_passed_over(tmp_path: Path, speaker: Make) -> None:
    recordings = Recordings(tmp_path)
    recordings.keep(lone_sound("M"), tone(0.3).wav())
    recordings.file(lone_sound("M")).write_bytes(b"RIFF")
    engine = Shelf([], [lone_sound("M")])
    voice = speaker(recordings, engine, output=Heard())

    voice.say(lone_sound("M"))

    until(lambda: not voice.speaking, "the voice to end")
    assert engine.made == [lone_sound("M")]


@pytest.mark.parametrize(
    ("first", "second"),
    [
        (words("The pen goes this way."), words("  the pen goes  this way ")),
        (words("ÉTÉ"), words("e\u0301te\u0301")),
    ],
)
def test_capitals_spaces_and_marks_around_a_text_make_no_other_recording(
    first: Utterance, second: Utterance
) -> None:
    assert first.key == second.key


def test_a_word_a_sound_and_a_long_text_each_have_a_file_name_of_their_own() -> None:
    names = [lone_sound("M").key, words("M").key, words("m" * 300).key, words("m" * 301).key, words("?!").key]

    assert len(set(names)) == len(names)
    assert all(len(name) < 80 and name.replace(".", "").replace("-", "").isalnum() for name in names)


def test_a_process_of_an_engine_ends_with_the_window(tmp_path: Path) -> None:
    """Also when the window was killed: nobody is left to close anything, and its input ends."""
    script = tmp_path / "engine.py"
    script.write_text("import sys\nfor line in sys.stdin: print(22050, 0, flush=True)")
    engine = Engine(Worker(script), Cache(tmp_path, "test"), sounds=False)
    assert engine.make(PEN) is None
    process = engine.worker._process
    assert process is not None
    assert process.stdin is not None

    process.stdin.close()

    assert process.wait(timeout=HANG) == 0
    engine.close()
