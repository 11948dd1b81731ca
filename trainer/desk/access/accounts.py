"""Which account of this machine is at the other end of a connection, where the system tells: on Linux."""

from __future__ import annotations

import os
from pathlib import Path

_CONNECTIONS = Path("/proc/net/tcp")
"""A line for each connection of IPv4: number, own end, other end, state, three more, and whose it is."""

_OWN, _OTHER, _ACCOUNT = 1, 2, 7


def is_own(port: int, desk_port: int) -> bool | None:
    """Whether the program that connects from `port` belongs to the account that runs the desk.

    None where that is not known.
    """
    try:
        lines = _CONNECTIONS.read_text(encoding="ascii").splitlines()
    except OSError:
        return None
    ends = (f":{port:04X}", f":{desk_port:04X}")
    for line in lines:
        cells = line.split()
        if len(cells) > _ACCOUNT and (cells[_OWN][-5:], cells[_OTHER][-5:]) == ends:
            return int(cells[_ACCOUNT]) == os.geteuid()
    return None
