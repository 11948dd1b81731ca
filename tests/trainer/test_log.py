"""The log helps whoever helps, and says nothing of a child."""

import logging
import shutil

import pytest

from trainer import log
from trainer.log import keeping_log, log_lines


@pytest.fixture
def logger():
    return logging.getLogger("trainer.practice.storage")


def test_a_log_has_sentences_and_numbers_and_neither_names_nor_what_an_error_says(tmp_path, logger):
    with keeping_log(tmp_path, "practice"):
        logger.info("the letter %s of %s has %d points", "b", "Nella", 40)
        try:
            raise ValueError("Nella wrote a b") from KeyError("Quay")
        except ValueError:
            logger.info("Exception on /pupil/3/letter/b", exc_info=True)
    lines = log_lines(tmp_path, 50)

    assert len(lines) == 4
    assert lines[1].endswith("Z info trainer.practice.storage: the letter … of … has 40 points")
    assert "ValueError at test_log.py:" in lines[2]
    assert "because of KeyError" in lines[2]
    for word in ("Nella", "Quay", "pupil/3", str(tmp_path)):
        assert word not in "".join(lines)


def test_a_program_that_ends_by_an_error_says_where(tmp_path):
    def run():
        with keeping_log(tmp_path, "desk"):
            log_lines(tmp_path / "none", 5)
            int("Nella")

    with pytest.raises(ValueError, match="Nella"):
        run()
    (line,) = [line for line in log_lines(tmp_path, 50) if "Error" in line]
    assert "ValueError at" in line
    assert "trainer/" not in line.partition(" at ")[0]


def test_a_log_is_bounded_and_for_its_owner_alone(tmp_path, logger, monkeypatch):
    monkeypatch.setattr(log, "LARGEST", 2000)
    with keeping_log(tmp_path, "practice"):
        for number in range(500):
            logger.info("number %d", number)
    files = list((tmp_path / "log").iterdir())

    assert sum(file.stat().st_size for file in files) <= 3 * 2000
    assert all(file.stat().st_mode & 0o077 == 0 for file in files)
    assert "number 499" in log_lines(tmp_path, 5)[-2]


def test_a_log_that_cannot_be_written_stops_nothing(tmp_path, logger, capsys):
    (tmp_path / "log").write_text("in the way")

    with keeping_log(tmp_path, "practice"):
        logger.info("a stroke waits")
    assert capsys.readouterr() == ("", "")


def test_what_the_program_warns_of_is_said_in_the_terminal_too(tmp_path, logger, capfd):
    with keeping_log(tmp_path, "practice"):
        logger.warning("there is no voice")
    assert "there is no voice" in capfd.readouterr().err


def test_on_a_full_disk_nothing_stops_and_the_log_goes_on_later(small_disk, logger, capsys):
    disk = small_disk("100k")
    with keeping_log(disk, "practice"):
        (disk / "photographs").write_bytes(bytes(shutil.disk_usage(disk).free))
        for number in range(1000):
            logger.info("a stroke waits, number %d", number)
        (disk / "photographs").unlink()
        logger.info("there is room again")
        (disk / "photographs").write_bytes(bytes(shutil.disk_usage(disk).free))
        for number in range(200):
            logger.info("a letter waits, number %d", number)

    assert any("there is room again" in line for line in log_lines(disk, 5000))
    assert capsys.readouterr() == ("", "")
