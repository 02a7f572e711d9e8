"""Where Discord is: its own addresses, or those of a proxy or a test's double.

The library keeps the addresses in class attributes, so they hold for the whole program; they are
set here only, and put back at the end.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import yarl
from discord.gateway import DiscordWebSocket
from discord.http import Route


@contextmanager
def endpoints(api: str | None, gateway: str | None) -> Iterator[None]:
    """Use these addresses inside the block; None leaves the library's own."""
    before = Route.BASE, DiscordWebSocket.DEFAULT_GATEWAY
    if api is not None:
        Route.BASE = api.rstrip("/")
    if gateway is not None:
        DiscordWebSocket.DEFAULT_GATEWAY = yarl.URL(gateway)
    try:
        yield
    finally:
        Route.BASE, DiscordWebSocket.DEFAULT_GATEWAY = before
