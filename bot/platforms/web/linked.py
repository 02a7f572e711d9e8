"""Coming in by a link: its secret becomes a session here, and a session opens what the link is for.

The pages themselves are the same for everybody and hold nothing. A secret comes once, by POST from
our own page; the session goes into a cookie that no script reads. A board's is sent to its own
paths alone, so two links in one browser stay apart; what one kind of link gives never opens the
other's pages, whoever sends it.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from typing import Protocol

from aiohttp import web

from bot.platforms.links import BOARD_PATH, ROOM_PATH, Holder, LinkProblem, LinkRefusedError, Links
from bot.platforms.web.frames import Refused
from bot.platforms.web.photos import PHOTOS, PhotoShelf
from bot.platforms.web.socket import Tab

SECRET_LIMIT = 128
"""Bytes of a secret that are read: those that we make have 43."""

DAY_SECONDS = 24 * 3600

OUT_PATH = "/out"
"""Where who came into the room by a link leaves it on the device that they use."""


class Serve(Protocol):
    """Serves a request of somebody who came by a link; of anybody where there are no links."""

    async def __call__(
        self, request: web.Request, holder: Holder | None = None
    ) -> web.StreamResponse:
        """Answer it."""


Route = tuple[str, Serve]
"""A path of the room, and what serves it."""


@dataclass(frozen=True, slots=True)
class _Kind:
    """A kind of link. `seconds`: how long a browser keeps a session, by its own clock; when it ends
    is for us to say, so this only has to be long enough."""

    path: str
    cookie: str
    to_room: bool
    seconds: int


BOARD = _Kind(BOARD_PATH, "ninebark-board", False, 7 * DAY_SECONDS)
ROOM = _Kind(ROOM_PATH, "ninebark-room", True, 400 * DAY_SECONDS)


class LinkPages:
    """Serves what links open. `board` and `door` are the HTML of the pages where a link of either
    kind is exchanged, `serve` takes the socket of a board, `photos` what is sent by who came in,
    None where none are read."""

    def __init__(
        self,
        links: Links,
        board: bytes,
        door: bytes,
        serve: Serve,
        photos: PhotoShelf | None = None,
    ) -> None:
        self._links = links
        self._board = board
        self._door = door
        self._serve = serve
        self._photos = photos
        self._closing: set[asyncio.Task[None]] = set()

    def routes(self) -> list[web.RouteDef]:
        """Return the pages of links, the exchange of their secrets, and a board's socket and
        photos."""
        own = "{link_id:[A-Za-z0-9_-]{1,64}}"
        photo = web.post(f"{BOARD_PATH}{own}{PHOTOS}", self._photo)
        return [
            web.get(f"{BOARD_PATH}{own}", self._open_board),
            web.post(f"{BOARD_PATH}{own}", self._sign_in_to_board),
            web.get(f"{BOARD_PATH}{own}/socket", self._socket),
            web.get(f"{ROOM_PATH}{own}", self._open_door),
            web.post(f"{ROOM_PATH}{own}", self._sign_in_to_room),
            web.post(OUT_PATH, self._sign_out),
            *([photo] if self._photos is not None else []),
        ]

    def for_members(self, routes: Iterable[Route]) -> list[web.RouteDef]:
        """Return routes that are served to who came into the room by a link, and to nobody else;
        where photos are read, what takes them."""
        photo = web.post(PHOTOS, self._guarded(self._take_photo))
        shown = [web.get(path, self._guarded(serve)) for path, serve in routes]
        return [*shown, *([photo] if self._photos is not None else [])]

    def _guarded(self, serve: Serve) -> Callable[[web.Request], Awaitable[web.StreamResponse]]:
        async def check(request: web.Request) -> web.StreamResponse:
            try:
                holder = await self._holder(request, ROOM)
            except LinkRefusedError:
                # The room's own address leads everybody to the door, and nothing else anywhere.
                return self._page(self._door, status=200 if request.path == "/" else 403)
            return await serve(request, holder)

        return check

    async def is_good(self, tab: Tab) -> bool:
        """Tell whether a tab is still who it came in as; one whose link is over is told so, and
        closed."""
        holder = None if tab.visitor is None else tab.visitor.holder
        if holder is None:
            return False
        try:
            await self._links.holder_of(holder.link_id, holder.session, to_room=not holder.day)
        except LinkRefusedError as refusal:
            tab.visitor = None
            tab.tell(Refused(refusal.problem))
            closing = asyncio.create_task(tab.close(), name="a link is over")
            self._closing.add(closing)
            closing.add_done_callback(self._closing.discard)
            return False
        return True

    async def _holder(self, request: web.Request, kind: _Kind, link_id: str = "") -> Holder:
        """Return who a request's cookie stands for; `link_id`: who came by that link alone."""
        came_by, _, session = request.cookies.get(kind.cookie, "").partition(".")
        if link_id and came_by != link_id:
            raise LinkRefusedError(LinkProblem.UNKNOWN)
        return await self._links.holder_of(came_by, session, to_room=kind.to_room)

    async def _open_board(self, request: web.Request) -> web.Response:
        return self._page(self._board)

    async def _open_door(self, request: web.Request) -> web.Response:
        return self._page(self._door)

    async def _sign_in_to_board(self, request: web.Request) -> web.Response:
        return await self._exchange(request, BOARD)

    async def _sign_in_to_room(self, request: web.Request) -> web.Response:
        return await self._exchange(request, ROOM)

    async def _exchange(self, request: web.Request, kind: _Kind) -> web.Response:
        link_id = request.match_info["link_id"]
        try:
            # Opened again where it was opened before, a link still is that browser's own.
            await self._holder(request, kind, link_id)
            return web.Response(status=204)
        except LinkRefusedError:
            pass
        sent = (await request.read())[:SECRET_LIMIT].decode("ascii", "replace")
        try:
            holder = await self._links.sign_in(link_id, sent, to_room=kind.to_room)
        except LinkRefusedError as refusal:
            return web.json_response({"problem": refusal.problem}, status=403)
        answer = web.Response(status=204)
        answer.set_cookie(
            kind.cookie,
            f"{link_id}.{holder.session}",
            path="/" if kind.to_room else f"{kind.path}{link_id}",
            max_age=kind.seconds,
            httponly=True,
            samesite="Strict",
            secure=self._links.is_secure,
        )
        return answer

    async def _sign_out(self, request: web.Request) -> web.Response:
        with suppress(LinkRefusedError):
            await self._links.sign_out(await self._holder(request, ROOM))
        answer = web.Response(status=204)
        answer.del_cookie(ROOM.cookie, path="/")
        # Pictures of the room stay with a browser for long; the next one there may be another.
        answer.headers["Clear-Site-Data"] = '"cache"'
        return answer

    async def _socket(self, request: web.Request) -> web.StreamResponse:
        try:
            holder = await self._holder(request, BOARD, request.match_info["link_id"])
        except LinkRefusedError as refusal:
            return web.json_response({"problem": refusal.problem}, status=403)
        return await self._serve(request, holder)

    async def _photo(self, request: web.Request) -> web.StreamResponse:
        try:
            holder = await self._holder(request, BOARD, request.match_info["link_id"])
        except LinkRefusedError as refusal:
            return web.json_response({"problem": refusal.problem}, status=403)
        return await self._take_photo(request, holder)

    async def _take_photo(
        self, request: web.Request, holder: Holder | None = None
    ) -> web.StreamResponse:
        assert self._photos is not None, "no page sends one"
        assert holder is not None, "nobody else sends one"
        return await self._photos.take_in(request, holder.link_id)

    @staticmethod
    def _page(html: bytes, status: int = 200) -> web.Response:
        return web.Response(body=html, content_type="text/html", charset="utf-8", status=status)
