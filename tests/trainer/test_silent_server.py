"""A server that is stopped in the middle (SIGSTOP) still holds its connections, and says nothing."""

import signal
from contextlib import contextmanager

import pytest

from tests.trainer.samples import MONDAY, attempt, ink
from trainer.attempt import Step
from trainer.errors import RecordError
from trainer.record import postgresql
from trainer.record.record import Record

pytestmark = pytest.mark.server


@contextmanager
def frozen(server):
    """Every process of the server stands still while the block runs."""
    server.signal(signal.SIGSTOP)
    try:
        yield
    finally:
        server.signal(signal.SIGCONT)


def test_a_server_that_stands_still_holds_no_pen_up_and_is_found_again(server, monkeypatch):
    """The first stroke waits for a moment, the next ones do not; afterwards nothing is lost or doubled."""
    monkeypatch.setattr(postgresql, "_AGAIN", 3600.0)
    with Record.open(server.emptied(), now=MONDAY) as record:
        nella = record.pupils.add("Nella")
        record.attempts.keep_draft(nella.id, "b", Step.COPY, ink())
        with frozen(server):
            for _ in range(3):
                with pytest.raises(RecordError, match="cannot be reached: the server does not answer"):
                    record.attempts.keep_draft(nella.id, "b", Step.COPY, ink(traces=2))
        record._database.store._silent_until = 0.0

        written = record.attempts.keep(attempt(nella.id, "b", written=ink(traces=2)))
        (stored,) = record.attempts.find()

    assert stored.id == written.id
    assert len(stored.ink) == 2
