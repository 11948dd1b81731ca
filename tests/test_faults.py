"""A sample of `python -m tests.faults`: screens that write while the network and the server fail."""

import os

import pytest

from tests.faults.run import FAULTS, run

pytestmark = [
    pytest.mark.server,
    pytest.mark.slow,
    pytest.mark.skipif(os.name != "posix", reason="SIGSTOP and SIGKILL are of POSIX"),
]

SLOW = {"silence of seconds", "the server stopped, started anew"}
SAMPLE = [fault for fault in FAULTS if fault not in SLOW]
"""All but those that take long, and are much like others."""


def test_nothing_is_lost_or_doubled_whatever_fails(server):
    outcome = run(server, SAMPLE, seed=20, screens=1)

    assert not outcome.wrong
    assert outcome.letters > 10
    assert outcome.times.total() == len(SAMPLE)
