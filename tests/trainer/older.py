"""Records as an older version of the program made them."""

from functools import partial
from pathlib import Path

import pytest

from trainer.record.database import Database
from trainer.record.migrations import MIGRATIONS, Migration, migrate


def made_before(step: Migration, place: Path | str, monkeypatch: pytest.MonkeyPatch) -> Database:
    """A record as it was made before a step of its tables was known."""
    with monkeypatch.context() as then:
        before = MIGRATIONS[: MIGRATIONS.index(step)]
        then.setattr("trainer.record.database.migrate", partial(migrate, steps=before))
        return Database(place)
