"""An open record for the tests, in a file first and on a server then."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.trainer.samples import MONDAY
from trainer.record.record import Record


@pytest.fixture
def record(place: Path | str) -> Iterator[Record]:
    """An empty record, on the day of the samples."""
    with Record.open(place, now=MONDAY) as record:
        yield record
