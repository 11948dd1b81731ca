"""The invented class, in a record of its own, for the commands that show something without pupils."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from trainer import places
from trainer.commands.options import Location
from trainer.errors import UsageError
from trainer.language import text

if TYPE_CHECKING:
    from trainer.record import Record


def invented(place: Path | str) -> Record:
    """A new record with the invented class; nobody waits for it without knowing why."""
    from trainer.demo import fill

    print(text("cli.demo.making"), flush=True)
    return fill(place)


@contextmanager
def invented_for_now(location: Location) -> Iterator[tuple[Record, Location]]:
    """The invented class in a data folder of its own, letters included, that is gone afterwards.

    The location that comes with it has that folder in the place of the teacher's: nothing of hers is changed.
    """
    if location.url is not None:
        raise UsageError("give either --record or --demo, whose record is thrown away, not both")
    if location.alphabet is not None:
        location.alphabets()
    with tempfile.TemporaryDirectory(prefix="trainer-demo-") as folder:
        own = replace(location, data=Path(folder))
        if location.alphabet is not None:
            from trainer.teaching import copy_letters

            own = replace(own, alphabet=places.own_letters(own.data))
            copy_letters(location.alphabet, places.own_letters(own.data))
        with invented(Path(folder)) as record:
            yield record, own
