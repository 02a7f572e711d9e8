"""Whom a homeserver asks who somebody is, by CAS: a site that lets everybody in as `user`.

Everything else of a sign-in in a browser is the homeserver's own. The two answers are those of the
CAS protocol 2.0 (https://apereo.github.io/cas/development/protocol/CAS-Protocol-Specification.html).
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from aiohttp import web

_KNOWN = (
    "<cas:serviceResponse xmlns:cas='http://www.yale.edu/tp/cas'><cas:authenticationSuccess>"
    "<cas:user>{}</cas:user></cas:authenticationSuccess></cas:serviceResponse>"
)


@asynccontextmanager
async def sign_on_site(port: int, user: str) -> AsyncIterator[None]:
    """Serve on `port`, for the length of the block. `user` is the first part of a user id."""

    async def log_in(request: web.Request) -> web.Response:
        service = request.query["service"]
        mark = "&" if "?" in service else "?"
        raise web.HTTPFound(f"{service}{mark}ticket=ST-1")

    async def validate(request: web.Request) -> web.Response:
        assert request.query["ticket"] == "ST-1"
        return web.Response(text=_KNOWN.format(user), content_type="application/xml")

    app = web.Application()
    app.router.add_get("/login", log_in)
    app.router.add_get("/proxyValidate", validate)
    runner = web.AppRunner(app, access_log=None, shutdown_timeout=1.0)
    await runner.setup()
    await web.TCPSite(runner, "127.0.0.1", port).start()
    try:
        yield
    finally:
        await runner.cleanup()
