"""What every request passes before anything is read from it, the socket's too.

Here it is decided whether a request is for this page, by its Host, and from it, by its Origin; how
often one address may ask; how much a request may carry and how long it may take to say so. Behind
the gate a body is whole and short, but for a photo's. A refusal is a plain sentence, and never
leads elsewhere.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import datetime
from html import escape

from aiohttp import web
from aiohttp.typedefs import Middleware

from bot.platforms.web.address import Site
from bot.platforms.web.front import Front
from bot.platforms.web.guard import HEADERS
from bot.platforms.web.pace import (
    AT_ONCE,
    AT_ONCE_EACH,
    REQUEST_BURST,
    REQUESTS_PER_SECOND,
    SENT_BURST,
    SENT_PER_SECOND,
    TABS_EACH,
    TABS_LIMIT,
    Crowd,
    Pace,
)
from bot.platforms.web.words import GateWords

SOCKET = "/socket"

FOR, PROTO = "X-Forwarded-For", "X-Forwarded-Proto"

AGAIN = "/page/again.js"
"""The script by which a page that was refused is loaded again: there for everybody at all times."""

BUSY_PAGE = f"""<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>Ninebark</title>
<p>{{text}}</p>
<script src="{AGAIN}"></script>
"""

PHOTO_ID = "photo_id"
"""What names a photo in an address. Whoever takes one reads its body, under limits of their own."""

PLACE = web.RequestKey("place", str)
"""Where a request came from, to be counted by; only of a page that has an address outside."""

LOOKING = ("GET", "HEAD")
"""Methods by which nothing is changed."""

BODY_LIMIT = 16 * 1024
"""Bytes of a request's body."""

BODY_SECONDS = 10.0
"""How long a body may take to come."""

LINGER_SECONDS = 2.0
"""How long the rest of what is refused is taken in, so that the refusal can be read."""

SEND_SECONDS = 30.0
"""How long an answer may take to be fetched."""

HEAD_SECONDS = 30.0
"""How long a connection may take over the head of a request, the time before it included."""

RETRY_SECONDS = 5

_log = logging.getLogger(__name__)

SERVER_LOG = _log.getChild("server")
"""What the library has to say. It repeats lines that it cannot read, with the secrets in them, and
anybody can send those as fast as they like; what fails in us is noted here."""
SERVER_LOG.setLevel(logging.CRITICAL)

Serve = Callable[[web.Request], Awaitable[web.StreamResponse]]


@dataclass(frozen=True, slots=True)
class Gate:
    """`site` is what the page is called, once it is there. Without a `front` everybody is on this
    machine, and nobody is counted."""

    site: Callable[[], Site]
    front: Front | None
    now: Callable[[], datetime]
    words: GateWords

    def guards(self) -> tuple[Middleware, ...]:
        """Return what a request passes, in this order."""
        crowd = (self._count(self.front),) if self.front is not None else ()
        return (*crowd, self._know, self._hear_out)

    async def add_headers(self, request: web.Request, response: web.StreamResponse) -> None:
        """Add our headers to every answer, refusals too."""
        response.headers.update(HEADERS)
        response.headers["Content-Security-Policy"] = self.site().content_policy(request.host)
        response.headers.setdefault("Cache-Control", "no-cache")

    def _count(self, front: Front) -> Middleware:
        pace = Pace(self.now, REQUEST_BURST, REQUESTS_PER_SECOND)
        sending = Pace(self.now, SENT_BURST, SENT_PER_SECOND)
        requests = Crowd(AT_ONCE_EACH, AT_ONCE)
        sockets = Crowd(TABS_EACH, TABS_LIMIT)

        @web.middleware
        async def count(request: web.Request, handler: Serve) -> web.StreamResponse:
            place = front.place_of(request.remote or "", request.headers.getall(FOR, ()))
            request[PLACE] = place
            if request.path == AGAIN and request.method in LOOKING and not request.can_read_body:
                return await handler(request)  # costs no more than a refusal
            crowd = sockets if _is_socket(request) else requests
            with crowd.place(place) as is_free:
                is_sent = request.method not in LOOKING
                if not is_free or not pace.take(place) or (is_sent and not sending.take(place)):
                    return self._busy(request)
                return await handler(request)

        return count

    def _busy(self, request: web.Request) -> web.Response:
        """Return that there were too many; as a page, which tries again, to who looks at one."""
        wait = {"Retry-After": str(RETRY_SECONDS)}
        if "text/html" not in request.headers.get("Accept", ""):
            return web.Response(status=429, text=self.words.busy, headers=wait)
        page = BUSY_PAGE.format(text=escape(self.words.busy))
        return web.Response(status=429, text=page, content_type="text/html", headers=wait)

    @web.middleware
    async def _know(self, request: web.Request, handler: Serve) -> web.StreamResponse:
        site = self.site()
        if request.headers.get("Host", "").lower() not in site.authorities:
            return web.Response(status=421, text=self.words.elsewhere)
        if self._came_openly(request, site):
            return web.Response(status=403, text=self.words.openly)
        origin = request.headers.get("Origin")
        # A browser names none where it only looks, and its own with all else.
        only_looks = request.method in LOOKING and not _is_socket(request)
        if not (origin is None and only_looks) and not site.is_own_origin(origin):
            return web.Response(status=403, text=self.words.foreign)
        return await handler(request)

    def _came_openly(self, request: web.Request, site: Site) -> bool:
        """Tell whether the proxy says that it took a request for an encrypted page in the open."""
        if self.front is None or not self.front.believes(request.remote or ""):
            return False
        schemes = request.headers.getall(PROTO, (site.scheme,))
        return schemes[-1].rpartition(",")[2].strip().lower() != site.scheme

    @web.middleware
    async def _hear_out(self, request: web.Request, handler: Serve) -> web.StreamResponse:
        if request.can_read_body and PHOTO_ID not in request.match_info:
            try:
                async with asyncio.timeout(BODY_SECONDS):
                    await request.read()
            except web.HTTPRequestEntityTooLarge:
                return web.Response(status=413, text=self.words.too_long)
            except TimeoutError:
                return web.Response(status=408, text=self.words.too_slow)
        answer = await self._answer(request, handler)
        if isinstance(answer, web.Response):
            try:
                async with asyncio.timeout(SEND_SECONDS):
                    await answer.prepare(request)
                    await answer.write_eof()
            except TimeoutError:
                if request.transport is not None:
                    request.transport.abort()
        return answer

    async def _answer(self, request: web.Request, handler: Serve) -> web.StreamResponse:
        try:
            return await handler(request)
        except (web.HTTPException, ConnectionError):
            raise
        except Exception:
            _log.exception("a request could not be answered")
            return web.Response(status=500, text=self.words.failed)


def _is_socket(request: web.Request) -> bool:
    return "Upgrade" in request.headers
