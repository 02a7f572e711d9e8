"""Ports that a server of a test may leave and take again: nobody else is given them meanwhile."""

from __future__ import annotations

import os
import socket
from itertools import count

FIRST, HOW_MANY = 12_000, 20_000
"""Below what systems give to connections by themselves (from 32768 on Linux)."""

_asked = count()


def claim_port() -> int:
    """Return a free port of this process's own: no other begins its search at the same."""
    for step in range(HOW_MANY):
        port = FIRST + (7 * os.getpid() + 1009 * next(_asked) + step) % HOW_MANY
        with socket.socket() as probe:
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
            return port
    raise OSError("no port is free")
