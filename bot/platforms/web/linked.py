"""A page for one board: a link's secret becomes a session here, and a session opens that board.

The page itself is the same for everybody and holds nothing. Its secret comes once, by POST from our
own page; the session goes into a cookie that no script reads and that is sent to this link's own
paths alone, so two links in one browser stay apart and none reaches a page of the room.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from aiohttp import web

from bot.platforms.links import BOARD_PATH, Holder, LinkRefusedError, Links
from bot.platforms.web.photos import PHOTOS, PhotoShelf

COOKIE = "ninebark-board"
SECRET_LIMIT = 128
"""Bytes of a secret that are read: those that we make have 43."""

COOKIE_SECONDS = 7 * 24 * 3600
"""How long a browser keeps a session, by its own clock. When it ends is for us to say: the least
that this must outlast is a day and the one after it."""

Serve = Callable[[web.Request, Holder], Awaitable[web.StreamResponse]]


class LinkPages:
    """Serves what links open. `page` is the page's HTML, `serve` takes a socket whose holder is
    known, `photos` what they send, None where none are read."""

    def __init__(
        self, links: Links, page: bytes, serve: Serve, photos: PhotoShelf | None = None
    ) -> None:
        self._links = links
        self._page = page
        self._serve = serve
        self._photos = photos

    def routes(self) -> list[web.RouteDef]:
        """Return the page of a link, the exchange of its secret, its socket and its photos."""
        own = f"{BOARD_PATH}{{link_id:[A-Za-z0-9_-]{{1,64}}}}"
        return [
            web.get(own, self._open),
            web.post(own, self._exchange),
            web.get(f"{own}/socket", self._socket),
            *([web.post(f"{own}{PHOTOS}", self._photo)] if self._photos is not None else []),
        ]

    async def _open(self, request: web.Request) -> web.Response:
        return web.Response(body=self._page, content_type="text/html", charset="utf-8")

    async def _exchange(self, request: web.Request) -> web.Response:
        link_id = request.match_info["link_id"]
        try:
            # Opened again where it was opened before, a used link still is that browser's own.
            await self._links.holder_of(link_id, request.cookies.get(COOKIE, ""))
            return web.Response(status=204)
        except LinkRefusedError:
            pass
        sent = (await request.read())[:SECRET_LIMIT]
        try:
            holder = await self._links.sign_in(link_id, sent.decode("ascii", "replace"))
        except LinkRefusedError as refusal:
            return web.json_response({"problem": refusal.problem}, status=403)
        answer = web.Response(status=204)
        answer.set_cookie(
            COOKIE,
            holder.session,
            path=f"{BOARD_PATH}{link_id}",
            max_age=COOKIE_SECONDS,
            httponly=True,
            samesite="Strict",
            secure=self._links.is_secure,
        )
        return answer

    async def _socket(self, request: web.Request) -> web.StreamResponse:
        try:
            holder = await self._holder(request)
        except LinkRefusedError as refusal:
            return web.json_response({"problem": refusal.problem}, status=403)
        return await self._serve(request, holder)

    async def _photo(self, request: web.Request) -> web.StreamResponse:
        assert self._photos is not None, "no other page sends one"
        try:
            await self._holder(request)
        except LinkRefusedError as refusal:
            return web.json_response({"problem": refusal.problem}, status=403)
        return await self._photos.take_in(request)

    async def _holder(self, request: web.Request) -> Holder:
        session = request.cookies.get(COOKIE, "")
        return await self._links.holder_of(request.match_info["link_id"], session)
