"""Where Discord is: its own addresses, or those of a proxy or a test's double.

The library keeps the addresses in class attributes, so they hold for the whole program; they are
set here only, and put back at the end.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import yarl
from discord.gateway import DiscordWebSocket
from discord.http import HTTPClient, Route


@contextmanager
def endpoints(api: str | None, gateway: str | None) -> Iterator[None]:
    """Use these addresses inside the block; None leaves the library's own."""
    before = Route.BASE, DiscordWebSocket.DEFAULT_GATEWAY
    ask_for_gateway = HTTPClient.get_bot_gateway

    async def given_gateway(http: HTTPClient) -> tuple[int, str, Any]:
        # How many shards there are is asked; where they connect is what the config says.
        shards, _, limit = await ask_for_gateway(http)
        return shards, str(gateway), limit

    if api is not None:
        Route.BASE = api.rstrip("/")
    if gateway is not None:
        DiscordWebSocket.DEFAULT_GATEWAY = yarl.URL(gateway)
        # discord.py has no setting for another gateway: its method is exchanged, and put back.
        HTTPClient.get_bot_gateway = given_gateway  # type: ignore[method-assign, assignment] # see above
    try:
        yield
    finally:
        Route.BASE, DiscordWebSocket.DEFAULT_GATEWAY = before
        HTTPClient.get_bot_gateway = ask_for_gateway  # type: ignore[method-assign] # put back
