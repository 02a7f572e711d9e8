"""The web room's pages over HTTP: the shipped files, the guides and the pictures.

Every request has passed the `gate`, which gives every answer the headers that keep other pages out
and our own page to its own files.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from pathlib import Path

from aiohttp import web

from bot.platforms.links import Holder
from bot.platforms.web.guides import read_guides
from bot.platforms.web.linked import Route
from bot.platforms.web.log import RoomLog
from bot.platforms.web.words import GuideWords

PAGE_TYPES = {
    ".html": "text/html",
    ".css": "text/css",
    ".js": "text/javascript",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
}


BOARD_BEGIN, SECTION_END = b'<section id="board"', b"</section>"
BOARD_PLACE = b"<!-- the board -->"


def load_page(folder: Path) -> dict[str, tuple[bytes, str]]:
    """Read the page's files once: name -> (bytes, type). Nothing else of the disk is served."""
    return {
        file.name: (file.read_bytes(), PAGE_TYPES[file.suffix])
        for file in sorted(folder.iterdir())
        if file.suffix in PAGE_TYPES
    }


class Pages:
    """Serves the page, the guides and the pictures, of the folder with what ships."""

    def __init__(
        self,
        shipped: Path,
        log: RoomLog,
        titles: Callable[[], Awaitable[dict[str, str]]],
        words: GuideWords,
    ) -> None:
        self._files = load_page(shipped / "web")
        self._guides = read_guides(shipped / "guides", words)
        self._log = log
        self._titles = titles

    def routes(self) -> list[web.RouteDef]:
        """Return what anybody may read: the parts of the pages, and the guides."""
        return [web.get("/page/{name}", self._file), web.get("/guides/{name}", self._guide)]

    def room_routes(self) -> tuple[Route, ...]:
        """Return the page of the room, the list of rooms, and the pictures."""
        return (
            ("/", self._index),
            ("/rooms", self._rooms),
            ("/pictures/{token}.png", self._picture),
        )

    def board_page(self) -> bytes:
        """Return the page for one board: the room's own board, and nothing of the room."""
        room, _ = self._files["index.html"]
        page, _ = self._files["link.html"]
        start = room.index(BOARD_BEGIN)
        end = room.index(SECTION_END, start) + len(SECTION_END)
        return page.replace(BOARD_PLACE, room[start:end])

    def door_page(self) -> bytes:
        """Return the page where a link into the room is exchanged."""
        return self._files["in.html"][0]

    async def _index(self, request: web.Request, holder: Holder | None = None) -> web.Response:
        return self._answer("index.html")

    async def _file(self, request: web.Request) -> web.Response:
        return self._answer(request.match_info["name"])

    async def _guide(self, request: web.Request) -> web.Response:
        guide = self._guides.get(request.match_info["name"])
        if guide is None:
            raise web.HTTPNotFound
        return web.Response(text=guide, content_type="text/html")

    async def _rooms(self, request: web.Request, holder: Holder | None = None) -> web.Response:
        """Return the rooms, to who came by a link their own, with the name that it gives them."""
        titles = await self._titles()
        if holder is not None:
            own = {"id": holder.room_id, "title": holder.title, "name": holder.name}
            return web.json_response([own] if holder.room_id in titles else [])
        rooms = [{"id": room_id, "title": title} for room_id, title in titles.items()]
        return web.json_response(rooms)

    async def _picture(self, request: web.Request, holder: Holder | None = None) -> web.Response:
        picture = await self._log.load_picture(request.match_info["token"])
        if picture is None:
            raise web.HTTPNotFound
        # A token is the picture's own digest, so what it names never changes.
        lasting = {"Cache-Control": "private, max-age=31536000, immutable"}
        return web.Response(body=picture, content_type="image/png", headers=lasting)

    def _answer(self, name: str) -> web.Response:
        if name not in self._files:
            raise web.HTTPNotFound
        body, content_type = self._files[name]
        charset = None if content_type == "font/woff2" else "utf-8"
        return web.Response(body=body, content_type=content_type, charset=charset)
