"""A line to the homeserver that fails as a test wishes, counts the requests that come over it, and
knows the longest (bytes).

A proxy on loopback: each request is passed on, or answered with a fault while one holds; what the
homeserver answers can be altered on its way, as a homeserver of strangers might have put it.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable
from typing import Any

import aiohttp
from aiohttp import web

from tests.doubles.matrix.homeserver import Homeserver

Fault = Callable[[str, str], "tuple[int, dict[str, Any]] | None"]
"""Takes method and path; returns the status and body to answer with, None to pass on."""

Alter = Callable[[str, Any], Any]
"""Takes the path and the JSON that the homeserver answered; returns what arrives in its place."""

_COUNTED = ("/sync", "/send/", "/upload", "/createRoom")

LIMITED = (429, {"errcode": "M_LIMIT_EXCEEDED", "error": "Too Many", "retry_after_ms": 2_000})
SIGNED_OUT = (401, {"errcode": "M_UNKNOWN_TOKEN", "error": "Invalid access token"})
BAD_GATEWAY: tuple[int, dict[str, Any]] = (502, {})
AWAY: tuple[int, dict[str, Any]] = (0, {})
"""No answer: the connection breaks off."""


def always(answer: tuple[int, dict[str, Any]], *, path: str = "") -> Fault:
    return lambda _, asked: answer if path in asked else None


def times(count: int, answer: tuple[int, dict[str, Any]], *, path: str = "") -> Fault:
    """Return a fault that holds for so many requests whose path holds `path`."""
    left = [count]

    def fault(_: str, asked: str) -> tuple[int, dict[str, Any]] | None:
        if path not in asked or left[0] == 0:
            return None
        left[0] -= 1
        return answer

    return fault


class FaultyLine:
    def __init__(self, server: Homeserver) -> None:
        self._server = server
        self.fault: Fault | None = None
        self.alter: Alter | None = None
        self.lose_answers = 0
        self.places: list[str] = []
        self.counted: Counter[str] = Counter()
        self.longest = 0
        self.url = ""
        self._runner: web.AppRunner | None = None
        self._session: aiohttp.ClientSession | None = None

    async def start(self) -> None:
        app = web.Application(client_max_size=16 * 1024 * 1024)
        app.router.add_route("*", "/{path:.*}", self._pass_on)
        self._runner = web.AppRunner(app, access_log=None, shutdown_timeout=1.0)
        await self._runner.setup()
        await web.TCPSite(self._runner, "127.0.0.1", 0).start()
        self.url = f"http://127.0.0.1:{self._runner.addresses[0][1]}"
        self._session = aiohttp.ClientSession(auto_decompress=False)

    async def stop(self) -> None:
        assert self._runner is not None
        assert self._session is not None
        await self._session.close()
        await self._runner.cleanup()

    async def _pass_on(self, request: web.Request) -> web.StreamResponse:
        assert self._session is not None
        kinds = [kind for kind in _COUNTED if kind in request.path]
        self.counted[kinds[0] if kinds else "other"] += 1
        asked = await request.read()
        self.longest = max(self.longest, len(asked))
        if request.path.endswith("/sync"):
            self.places.append(request.query.get("since", ""))
        answer = self.fault(request.method, request.path) if self.fault is not None else None
        if answer is not None:
            status, body = answer
            if answer is AWAY and request.transport is not None:
                request.transport.abort()
            text = json.dumps(body) if body else "<html>the backend is away</html>"
            kind = "application/json" if body else "text/html"
            return web.Response(status=status or 502, text=text, content_type=kind)
        headers = {
            name: value
            for name, value in request.headers.items()
            if name.lower() in ("authorization", "content-type")
        }
        try:
            async with self._session.request(
                request.method,
                self._server.url + request.raw_path,
                headers=headers,
                data=asked,
            ) as found:
                if self.lose_answers and "/send/" in request.path:
                    self.lose_answers -= 1
                    return web.Response(status=502, text="lost")
                body = await found.read()
                if self.alter is not None and found.status == 200:
                    body = json.dumps(self.alter(request.path, json.loads(body))).encode()
                return web.Response(
                    status=found.status,
                    body=body,
                    content_type=found.content_type,
                )
        except aiohttp.ClientError:
            return web.Response(status=502, text="away")

    @property
    def total(self) -> int:
        return sum(self.counted.values())
