"""A client whose access token may be short-lived: renewed when the homeserver refuses it.

The new pair is saved before it is used, and homeservers take the old refresh token until the new
pair has been used, so a process that dies at any point in between can still renew. Requests that
run at the same time renew once.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable
from http import HTTPStatus
from typing import Any

import nio

from bot.platforms.matrix.errors import error_in
from bot.platforms.matrix.json import parse_json
from bot.platforms.message import RoomUnreachableError

REFRESH = "/_matrix/client/v3/refresh"


class RenewingClient(nio.AsyncClient):
    """`refresh_token` is empty where the access token lasts; `renewed` saves a new pair of access
    and refresh token, and has done so when it returns."""

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.refresh_token = ""
        self.renewed: Callable[[str, str], None] = lambda access, refresh: None
        self._renewing = asyncio.Lock()

    async def send(
        self,
        method: str,
        path: str,
        data: Any = None,
        headers: dict[str, str] | None = None,
        trace_context: Any | None = None,
        timeout: float | None = None,  # noqa: ASYNC109 - the library's own
    ) -> Any:
        """Make a request, once more with a new token where the old one is refused for its age."""
        used = self.access_token
        response = await super().send(method, path, data, headers, trace_context, timeout)
        if response.status != HTTPStatus.UNAUTHORIZED or not self.refresh_token:
            return response
        said = parse_json(await response.read())
        if not isinstance(said, dict) or said.get("errcode") != "M_UNKNOWN_TOKEN":
            return response
        if not await self._renew(used):
            return response
        if data is not None and not isinstance(data, str | bytes):
            # What is sent as it is read is gone; whoever sends it tries again.
            raise RoomUnreachableError("the token was renewed on the way")
        headers = {**(headers or {}), "Authorization": f"Bearer {self.access_token}"}
        return await super().send(method, path, data, headers, trace_context, timeout)

    async def _renew(self, used: str) -> bool:
        """Get a new token in the place of `used`; False where the homeserver gives none any more.

        Raises RoomUnreachableError where it does not say so either.
        """
        async with self._renewing:
            if self.access_token != used:
                return True
            response = await super().send(
                "POST",
                REFRESH,
                json.dumps({"refresh_token": self.refresh_token}),
                {"Content-Type": "application/json"},
            )
            async with response:
                said = parse_json(await response.read())
            said = said if isinstance(said, dict) else {}
            status, access = response.status, said.get("access_token")
            if status == HTTPStatus.TOO_MANY_REQUESTS or status >= 500:
                raise error_in(status, said)
            if status >= 300:
                return False
            if not isinstance(access, str) or not access:
                raise RoomUnreachableError("half an answer to a renewal")
            refresh = said.get("refresh_token")
            if isinstance(refresh, str) and refresh:
                self.refresh_token = refresh
            self.renewed(access, self.refresh_token)
            self.access_token = access
            return True
