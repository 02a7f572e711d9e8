"""All that is logged by anybody, at the lowest level: what a host sees at most who looks for a
fault, and so what no secret may be in.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable

import pytest

from bot.cli.host import KeepSecrets
from bot.platforms.web.gate import SERVER_LOG


def hear_all(caplog: pytest.LogCaptureFixture) -> None:
    """Have every logger say all that it can, those of libraries too that we keep quiet. The web
    server's own stays so: it counts a connection that breaks as an error."""
    caplog.set_level(logging.DEBUG)
    for name in logging.root.manager.loggerDict.keys() - {SERVER_LOG.name}:
        caplog.set_level(logging.DEBUG, logger=name)


def as_logged(records: Iterable[logging.LogRecord]) -> str:
    """Return the lines as the program writes them."""
    return "\n".join(map(KeepSecrets("%(name)s: %(message)s", ()).format, records))
