"""Photos that come by Discord: where the service keeps one, and how it is fetched from there.

The service says how large a file is and where it lies; its name is asked for by nobody. It is
fetched when it is wanted, and no more of it than is wanted.
"""

from __future__ import annotations

import aiohttp

from bot.platforms.bodies import read_body
from bot.platforms.discord.errors import NETWORK_ERRORS
from bot.platforms.message import Photo


def photo_at(url: str, size: int) -> Photo:
    """Return the photo of so many bytes that lies at an address of the service's."""

    async def fetching(most: int) -> bytes | None:
        try:
            async with (
                aiohttp.ClientSession(raise_for_status=True) as session,
                session.get(url, allow_redirects=False) as found,
            ):
                return await read_body(found, most)
        except (*NETWORK_ERRORS, ValueError):
            return None

    return Photo(size, fetching)
