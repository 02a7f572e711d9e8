"""Signing in on the homeserver's own page: a link out, and back a token that is good once.

The page sends the browser back to an address of this machine that waits for it once. Where the
browser is on another machine it finds nothing there, but its address line holds the token: that
line may be pasted instead. The token is never shown or logged.
"""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from urllib.parse import parse_qs, quote, urlsplit

from aiohttp.web import Application, AppRunner, HTTPNotFound, Request, Response, TCPSite

from bot.platforms.matrix.address import API

TOKEN = "loginToken"
WAIT_SECONDS = 600.0
LONGEST_TOKEN = 4096


async def sign_on(
    address: str,
    tell: Callable[[str], None],
    pasted: Callable[[], Awaitable[str]],
    *,
    done: str,
) -> str:
    """Tell a link to the homeserver's page, and return the token that comes back of it.

    `pasted` waits for what somebody pastes, `done` is shown in the browser. Empty where nothing
    came within WAIT_SECONDS, or something else.
    """
    async with _waiting(done) as (back, token):
        tell(f"{address}{API}/login/sso/redirect?redirectUrl={quote(back, safe='')}")
        typing = asyncio.ensure_future(pasted())
        try:
            async with asyncio.timeout(WAIT_SECONDS):
                await asyncio.wait((token, typing), return_when=asyncio.FIRST_COMPLETED)
        except TimeoutError:
            return ""
        finally:
            typing.cancel()
        return token.result() if token.done() else token_in(typing.result())


def token_in(line: str) -> str:
    """Return the token of an address that is pasted, or of itself; empty where it holds none."""
    line = line.strip()
    try:
        found = parse_qs(urlsplit(line).query).get(TOKEN, [])
    except ValueError:
        return ""
    if found:
        line = found[0]
    return line if len(line) <= LONGEST_TOKEN and line.isprintable() and " " not in line else ""


@asynccontextmanager
async def _waiting(done: str) -> AsyncIterator[tuple[str, asyncio.Future[str]]]:
    """Wait on this machine alone; yield the address to come back to, and the token to come.

    The address holds a secret, so that no other page can make a browser hand us another's token.
    """
    token: asyncio.Future[str] = asyncio.get_running_loop().create_future()
    secret = secrets.token_urlsafe(16)

    async def take(request: Request) -> Response:
        found = token_in(str(request.url)) if request.query.get(TOKEN) else ""
        if not found or token.done():
            raise HTTPNotFound
        token.set_result(found)
        return Response(text=done, headers={"Referrer-Policy": "no-referrer"})

    app = Application()
    app.router.add_get(f"/{secret}", take)
    runner = AppRunner(app, access_log=None, shutdown_timeout=1.0)
    await runner.setup()
    try:
        await TCPSite(runner, "127.0.0.1", 0).start()
        yield f"http://127.0.0.1:{runner.addresses[0][1]}/{secret}", token
    finally:
        await runner.cleanup()
