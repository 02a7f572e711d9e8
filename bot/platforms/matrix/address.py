"""Finding a homeserver by the address that the host knows it by, and how it lets people sign in.

The specification has a site name its homeserver in `.well-known/matrix/client`. An address that
answers as a homeserver itself is taken as it stands. Requests here are made before there is a
session; nothing that they say or bring is logged.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

import aiohttp

from bot.platforms.bodies import read_body
from bot.platforms.matrix.errors import as_room_errors, error_in
from bot.platforms.matrix.json import parse_json
from bot.platforms.matrix.refusals import AddressProblem, AddressWrongError
from bot.platforms.message import RoomUnreachableError

WELL_KNOWN = "/.well-known/matrix/client"
API = "/_matrix/client/v3"
ANSWER_SECONDS = 30.0
MOST_BYTES = 256 * 1024


@dataclass(frozen=True, slots=True)
class Ways:
    """How a homeserver lets people sign in: by a password, by its page in a browser."""

    password: bool = False
    browser: bool = False


async def find_address(homeserver: str) -> str:
    """Return where a homeserver's API is, without a slash at the end.

    Raises AddressWrongError where there is none, RoomUnreachableError where nobody answers.
    """
    if await _is_homeserver(homeserver):
        return homeserver
    status, found = await exchange("GET", homeserver + WELL_KNOWN)
    if status >= 500:
        raise RoomUnreachableError(f"HTTP {status}")
    if status != 200:
        raise AddressWrongError(AddressProblem.NO_HOMESERVER, homeserver)
    named = found.get("m.homeserver")
    base = named.get("base_url") if isinstance(named, dict) else None
    if not isinstance(base, str) or not _is_safe(base, homeserver):
        raise AddressWrongError(AddressProblem.NAMES_NONE, homeserver)
    base = base.rstrip("/")
    if not await _is_homeserver(base):
        raise AddressWrongError(AddressProblem.NAMES_WRONG, base)
    return base


async def find_ways(address: str) -> Ways:
    """Ask how one can sign in. Raises RoomError."""
    answer = await ask("GET", f"{address}{API}/login")
    flows = answer.get("flows")
    kinds = {
        flow.get("type")
        for flow in (flows if isinstance(flows, list) else [])
        if isinstance(flow, dict)
    }
    return Ways("m.login.password" in kinds, {"m.login.sso", "m.login.token"} <= kinds)


async def ask(
    method: str, url: str, body: Mapping[str, Any] | None = None, *, token: str = ""
) -> dict[str, Any]:
    """Make one request and return what was answered. Raises RoomError."""
    status, answer = await exchange(method, url, body, token=token)
    if status >= 300:
        raise error_in(status, answer)
    return answer


async def exchange(
    method: str, url: str, body: Mapping[str, Any] | None = None, *, token: str = ""
) -> tuple[int, dict[str, Any]]:
    """Make one request; return its status and JSON, {} where there is none, too much of it, or
    where it came by a way without encryption though it was to come by one with it.

    Raises RoomUnreachableError.
    """
    headers = {"Content-Type": "application/json"}
    if token:
        headers["Authorization"] = f"Bearer {token}"
    with as_room_errors():
        async with (
            asyncio.timeout(ANSWER_SECONDS),
            aiohttp.ClientSession() as session,
            session.request(
                method,
                url,
                data=None if body is None else json.dumps(body),
                headers=headers,
                # A proof is in the body, and goes to the address that was found alone.
                allow_redirects=method == "GET",
            ) as response,
        ):
            raw = await read_body(response, MOST_BYTES)
    hops = (hop.url.scheme for hop in (*response.history, response))
    if url.startswith("https:") and "http" in hops:
        return response.status, {}  # anybody on the way could have said it
    found = {} if raw is None else parse_json(raw)
    return response.status, found if isinstance(found, dict) else {}


async def _is_homeserver(address: str) -> bool:
    status, found = await exchange("GET", f"{address}/_matrix/client/versions")
    if status >= 500:
        raise RoomUnreachableError(f"HTTP {status}")
    return status == 200 and isinstance(found.get("versions"), list)


def _is_safe(base: str, homeserver: str) -> bool:
    """Tell whether an address may take the place of another: no secret goes in clear instead."""
    try:
        parts = urlsplit(base)
    except ValueError:
        return False
    schemes = ("https",) if homeserver.startswith("https:") else ("https", "http")
    return parts.scheme in schemes and bool(parts.hostname) and not (parts.query or parts.fragment)
