"""The web room's pages over HTTP: the shipped files, the guides and the pictures.

Every request has passed the `gate`, which gives every answer the headers that keep other pages out
and our own page to its own files.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from pathlib import Path

from aiohttp import web

from bot.platforms.web.guides import read_guides
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
        """Return the page, its parts, the list of rooms, the pictures and the guides; the socket
        is the room's own."""
        return [
            web.get("/", self._index),
            web.get("/rooms", self._rooms),
            web.get("/page/{name}", self._file),
            web.get("/pictures/{token}.png", self._picture),
            web.get("/guides/{name}", self._guide),
        ]

    def board_page(self) -> bytes:
        """Return the page for one board: the room's own board, and nothing of the room."""
        room, _ = self._files["index.html"]
        page, _ = self._files["link.html"]
        start = room.index(BOARD_BEGIN)
        end = room.index(SECTION_END, start) + len(SECTION_END)
        return page.replace(BOARD_PLACE, room[start:end])

    async def _index(self, request: web.Request) -> web.Response:
        return self._answer("index.html")

    async def _file(self, request: web.Request) -> web.Response:
        return self._answer(request.match_info["name"])

    async def _guide(self, request: web.Request) -> web.Response:
        guide = self._guides.get(request.match_info["name"])
        if guide is None:
            raise web.HTTPNotFound
        return web.Response(text=guide, content_type="text/html")

    async def _rooms(self, request: web.Request) -> web.Response:
        titles = await self._titles()
        rooms = [{"id": room_id, "title": title} for room_id, title in titles.items()]
        return web.json_response(rooms)

    async def _picture(self, request: web.Request) -> web.Response:
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
