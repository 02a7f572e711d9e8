"""One device's requests to its homeserver, one a call, each of which raises RoomError.

Waiting and trying again are for the callers. Secrets are in the requests' headers and bodies, and
nothing of them is logged.
"""

from __future__ import annotations

import asyncio
import json
import logging
import os
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any
from urllib.parse import quote

import nio
import nio.store
from nio.crypto import ENCRYPTION_ENABLED

from bot.platforms.matrix.errors import as_room_errors, error_in
from bot.platforms.matrix.guard import GuardedClient
from bot.platforms.matrix.json import parse_json
from bot.platforms.matrix.session import STORE_FILE, Session, keep_tokens, tighten

ANSWER_SECONDS = 60.0
LONG_BYTES = 64 * 1024
"""An answer of more than these is read beside the event loop."""

BY_BROWSER = "m.login.sso"

_API = "/_matrix/client/v3"

# The library logs what it cannot decrypt as an error; here it is a case that is handled.
logging.getLogger("nio").setLevel(logging.CRITICAL)


def can_encrypt() -> bool:
    """Return whether the library was installed with its encryption."""
    return bool(ENCRYPTION_ENABLED)


@dataclass(frozen=True, slots=True)
class Challenge:
    """A proof that the homeserver wants, named by `session`: `page` takes it in a browser where
    `takes_browser`, and the user's password is one in any case."""

    session: str
    takes_browser: bool
    page: str


class Connection:
    """`folder` holds the encryption store."""

    def __init__(self, session: Session, folder: Path, *, encrypt: bool = True) -> None:
        self._address = session.address
        self.user_id = session.user_id
        self.device_id = session.device_id
        self.is_encrypting = encrypt and session.is_encrypting and can_encrypt()
        # What is known of devices belongs into the one file, not into three beside it.
        kept: dict[str, Any] = {"store": nio.store.SqliteStore} if self.is_encrypting else {}
        config = nio.AsyncClientConfig(
            max_limit_exceeded=0,
            max_timeouts=0,
            encryption_enabled=self.is_encrypting,
            store_name=STORE_FILE,
            pickle_key=session.pickle_key,
            store_sync_tokens=False,
            request_timeout=ANSWER_SECONDS,
            **kept,
        )
        self.client = GuardedClient(
            session.address,
            session.user_id,
            device_id=session.device_id,
            store_path=str(folder) if self.is_encrypting else "",
            config=config,
        )
        old_mask = os.umask(0o077)
        try:
            self.client.restore_login(session.user_id, session.device_id, session.token)
        finally:
            os.umask(old_mask)
        if self.is_encrypting:
            tighten(folder)
        self.client.refresh_token = session.refresh_token
        self.client.renewed = partial(keep_tokens, folder, session)

    async def close(self) -> None:
        """End the connection and close the library's store of keys."""
        await self.client.close()  # type: ignore[no-untyped-call] # nio's own
        store = self.client.store
        if store is not None:
            store.database.close()

    async def request(
        self,
        method: str,
        path: str,
        body: object = None,
        *,
        prefix: str = _API,
        seconds: float = ANSWER_SECONDS,
    ) -> dict[str, Any]:
        """Make a request past the library; `path` is below the client API. Raises RoomError."""
        status, answer = await self._exchange(method, f"{prefix}/{path}", body, seconds)
        if status >= 300:
            raise error_in(status, answer)
        return answer

    async def authorize(self, path: str, body: object) -> Challenge | None:
        """Post what may need a proof of who we are: None if done, else what proves it."""
        status, answer = await self._exchange("POST", f"{_API}/{path}", body)
        if status == 401 and "flows" in answer:
            session = str(answer.get("session", ""))
            page = f"{self._address}{_API}/auth/{BY_BROWSER}/fallback/web"
            return Challenge(
                session, BY_BROWSER in _stages(answer["flows"]), f"{page}?session={quote(session)}"
            )
        if status >= 300:
            raise error_in(status, answer)
        return None

    async def _exchange(
        self, method: str, path: str, body: object, seconds: float = ANSWER_SECONDS
    ) -> tuple[int, dict[str, Any]]:
        with as_room_errors():
            async with asyncio.timeout(seconds):
                if self.client.client_session is None:
                    await self.client.whoami()  # opens the library's session
                response = await self.client.send(
                    method,
                    path,
                    None if body is None else json.dumps(body),
                    {
                        "Content-Type": "application/json",
                        "Authorization": self._proof(),
                    },
                    timeout=seconds,
                )
                async with response:
                    raw = await response.read()
        # All members of a large room come in one answer, while there is other work to go on with.
        is_long = len(raw) > LONG_BYTES
        found = await asyncio.to_thread(parse_json, raw) if is_long else parse_json(raw)
        return response.status, found if isinstance(found, dict) else {}

    def kept_path(self, name: str) -> str:
        """Return the path of something that the homeserver keeps for the user."""
        user_id, name = quote(self.user_id, safe=""), quote(name, safe="")
        return f"user/{user_id}/account_data/{name}"

    def _proof(self) -> str:
        return f"Bearer {self.client.access_token}"


def _stages(flows: object) -> list[object]:
    """Return what a homeserver's ways to prove oneself begin with."""
    ways = flows if isinstance(flows, list) else []
    stages = [way.get("stages") for way in ways if isinstance(way, dict)]
    return [each[0] for each in stages if isinstance(each, list) and each]
