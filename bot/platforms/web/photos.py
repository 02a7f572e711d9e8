"""Photos that a page sends before the act that they belong to: held in memory, and briefly.

A photo comes by a request of its own, since a socket's frames are small, under the id of its act
and the key that its visitor alone was told: no photo comes with somebody else's act. Few are held
at once, fewer of one link and of one address, those that are on their way counted. One is let go of
when it was fetched, when its act is answered, or when none came for it; nothing of it is written
down, and a name it never has.
"""

from __future__ import annotations

import asyncio
import hmac
import secrets
from contextlib import ExitStack
from dataclasses import dataclass

from aiohttp import web

from bot.platforms.bodies import read_body
from bot.platforms.message import Photo
from bot.platforms.web.door import Who
from bot.platforms.web.gate import PHOTO_ID, PLACE, RETRY_SECONDS
from bot.platforms.web.pace import PHOTOS_EACH, PHOTOS_LIMIT, PHOTOS_OF_ONE, Crowd

PHOTO_KEY = "photo_key"

PHOTOS = f"/photos/{{{PHOTO_KEY}:[0-9a-f]{{64}}}}/{{{PHOTO_ID}:[A-Za-z0-9-]{{1,64}}}}"
"""Where a page sends a photo, below where it has its socket: its visitor's key, its act's id."""

PHOTO_LIMIT = 16 * 1024 * 1024
"""Bytes of a photo that are taken from a page; the club may take less."""

SECONDS_TO_COME = 60.0
"""How long a photo may take to come: ten megabytes by a slow line."""

SECONDS_HELD = 60.0
"""How long a photo waits for its act."""


@dataclass(frozen=True, slots=True)
class _Held:
    content: bytes
    places: ExitStack


class PhotoShelf:
    """Takes photos from pages, and hands each out once; none where it is not open."""

    def __init__(self, *, is_open: bool) -> None:
        self._is_open = is_open
        self._secret = secrets.token_bytes(32)
        self._held: dict[tuple[str, str], _Held] = {}
        self._by_link = Crowd(PHOTOS_OF_ONE, PHOTOS_LIMIT)
        self._by_address = Crowd(PHOTOS_EACH, PHOTOS_LIMIT)

    def __len__(self) -> int:
        """How many there are, those on their way counted."""
        return len(self._by_link)

    def routes(self) -> list[web.RouteDef]:
        """Return where the page of a room sends a photo."""
        return [web.post(PHOTOS, self.take_in)] if self._is_open else []

    def key_of(self, who: Who) -> str:
        """Return the key under which a visitor's photos come, the same while this process lasts;
        empty where none are taken."""
        key = hmac.digest(self._secret, repr(who).encode(), "sha256").hex()
        return key if self._is_open else ""

    def photo_of(self, who: Who, act_id: str, size: int) -> Photo | None:
        """Return the photo of a visitor's act whose page says that it has so many bytes; None for
        none."""

        async def fetching(most: int) -> bytes | None:
            content = self._take(self.key_of(who), act_id)
            return None if content is None or len(content) > most else content

        return Photo(size, fetching) if size else None

    def let_go(self, key: str, act_id: str) -> None:
        """Forget the photo of an act that came under a key, if one is still there."""
        self._take(key, act_id)

    async def take_in(self, request: web.Request, link_id: str = "") -> web.Response:
        """Take a photo from a page that may send one; `link_id`: by which link who sends it came.
        Where there is no place for it, the page may send it again in a while."""
        with ExitStack() as places:
            keys = ((self._by_link, link_id), (self._by_address, request.get(PLACE, "")))
            if not all(places.enter_context(crowd.place(key)) for crowd, key in keys):
                return web.Response(status=429, headers={"Retry-After": str(RETRY_SECONDS)})
            try:
                async with asyncio.timeout(SECONDS_TO_COME):
                    content = await read_body(request, PHOTO_LIMIT)
            except TimeoutError:
                return web.Response(status=408)
            if content is None:
                return web.Response(status=413)
            key, act_id = request.match_info[PHOTO_KEY], request.match_info[PHOTO_ID]
            self.let_go(key, act_id)
            self._held[key, act_id] = _Held(content, places.pop_all())
        asyncio.get_running_loop().call_later(SECONDS_HELD, self.let_go, key, act_id)
        return web.Response(status=204)

    def _take(self, key: str, act_id: str) -> bytes | None:
        held = self._held.pop((key, act_id), None)
        if held is None:
            return None
        held.places.close()
        return held.content
