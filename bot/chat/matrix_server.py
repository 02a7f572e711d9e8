"""The homeserver as the rest of the Matrix room sees it: a thin layer over the library.

It makes one request a call and raises RoomError; waiting and trying again are for the callers,
who also own the place in the stream. It never says anything in clear in an encrypted room. Nothing
here knows clubs or messages.
"""

from __future__ import annotations

import asyncio
import io
import json
import logging
import os
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import quote

import nio
import nio.store
from nio.crypto import ENCRYPTION_ENABLED

from bot.chat.matrix_errors import UnencryptedError, as_room_errors, error_in, unwrap
from bot.chat.matrix_session import STORE_FILE, Session, tighten
from bot.chat.message import RoomGoneError

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
"""From which the stamps of events count."""

SYNC_SECONDS = 30
ANSWER_SECONDS = 60.0
TIMELINE_LIMIT = 100

_API = "/_matrix/client/v3"
_FILTER = {
    "presence": {"types": []},
    "account_data": {"types": []},
    "room": {
        "ephemeral": {"types": []},
        "account_data": {"types": []},
        "timeline": {"limit": TIMELINE_LIMIT},
    },
}

# The library logs what it cannot decrypt as an error; here it is a case that is handled.
logging.getLogger("nio").setLevel(logging.CRITICAL)


def can_encrypt() -> bool:
    """Return whether the library was installed with its encryption."""
    return bool(ENCRYPTION_ENABLED)


@dataclass(frozen=True, slots=True)
class Invitation:
    inviter: str
    is_direct: bool


class Server:
    """One device's connection. `folder` holds the encryption store."""

    def __init__(self, session: Session, folder: Path, *, encrypt: bool = True) -> None:
        self.user_id = session.user_id
        self.device_id = session.device_id
        self.is_encrypting = encrypt and session.is_encrypting and can_encrypt()
        self.creators: dict[str, frozenset[str]] = {}
        self.marks: dict[str, Mapping[str, Any]] = {}
        self.invitations: dict[str, Invitation] = {}
        self._levels: dict[str, Mapping[str, Any]] = {}
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
        self.client = nio.AsyncClient(
            session.homeserver,
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

    async def close(self) -> None:
        await self.client.close()  # type: ignore[no-untyped-call] # nio's own
        store = self.client.store
        if store is not None:
            store.database.close()

    # --- what is known of rooms ---

    def is_in(self, room_id: str) -> bool:
        return room_id in self.client.rooms

    def rooms(self) -> tuple[str, ...]:
        return tuple(self.client.rooms)

    def has_member(self, room_id: str, user_id: str, *, or_invited: bool = False) -> bool:
        room = self.client.rooms.get(room_id)
        if room is None or user_id not in room.users:
            return False
        return or_invited or not room.users[user_id].invited

    def members(self, room_id: str) -> tuple[str, ...]:
        """Return who has joined a room."""
        room = self.client.rooms.get(room_id)
        if room is None:
            return ()
        return tuple(user_id for user_id, user in room.users.items() if not user.invited)

    def name_of(self, room_id: str, user_id: str) -> str:
        room = self.client.rooms.get(room_id)
        user = None if room is None else room.users.get(user_id)
        return (user.display_name if user is not None else None) or user_id

    def title_of(self, room_id: str) -> str:
        room = self.client.rooms.get(room_id)
        return (room.name if room is not None else None) or room_id

    def is_encrypted(self, room_id: str) -> bool:
        room = self.client.rooms.get(room_id)
        return room is not None and bool(room.encrypted)

    def power_of(self, room_id: str, user_id: str) -> float:
        """Return a user's power level; the makers of a room of version 12 stand above all."""
        room = self.client.rooms.get(room_id)
        if room is None:
            return 0
        version = str(room.room_version)
        creators_rule = not version.isdigit() or int(version) >= 12
        if creators_rule and user_id in self.creators.get(room_id, frozenset()):
            return float("inf")
        # Kept by ourselves: the library's copy keeps the level of a user who has lost it.
        levels = self._levels.get(room_id, {})
        users = levels.get("users", {})
        return _number(users.get(user_id, levels.get("users_default", 0)))

    def power_to_redact(self, room_id: str) -> float:
        return _number(self._levels.get(room_id, {}).get("redact", 50))

    def power_to_post(self, room_id: str) -> float:
        levels = self._levels.get(room_id, {})
        default = levels.get("events_default", 0)
        return _number(levels.get("events", {}).get("m.room.message", default))

    # --- the stream ---

    async def sync(self, since: str | None, *, is_first: bool) -> nio.SyncResponse:
        """Wait for news since a place in the stream. `is_first`: with the state of every room."""
        # The library skips an answer whose place it knows already, with the state in it.
        self.client.next_batch = ""
        # A homeserver may repeat an older answer to the same question; with the state of every room
        # it answers at once, so the wait only makes the question another.
        wait = 1 + secrets.randbelow(1000) if is_first else SYNC_SECONDS * 1000
        async with asyncio.timeout(SYNC_SECONDS + ANSWER_SECONDS):
            with as_room_errors():
                response: nio.SyncResponse = unwrap(
                    await self.client.sync(wait, _FILTER, since=since, full_state=is_first)
                )
        for room_id, room in response.rooms.join.items():
            self._note_state(room_id, [*room.state, *room.timeline.events])
        for room_id in response.rooms.leave:
            self.client.rooms.pop(room_id, None)
            self.invitations.pop(room_id, None)
        for room_id, invited in response.rooms.invite.items():
            for event in invited.invite_state:
                if getattr(event, "state_key", "") == self.user_id:
                    # The library takes the content out of a member event's source.
                    is_direct = getattr(event, "content", {}).get("is_direct") is True
                    self.invitations[room_id] = Invitation(event.sender, is_direct)
        return response

    def _note_state(self, room_id: str, events: list[Any]) -> None:
        for event in events:
            kind, content = event.source.get("type"), event.source.get("content", {})
            if kind == "m.room.power_levels":
                self._levels[room_id] = content
            elif kind == "m.room.create":
                more = content.get("additional_creators", [])
                self.creators[room_id] = frozenset((event.source.get("sender", ""), *more))
                self.marks[room_id] = content

    async def tend_keys(self) -> None:
        """Do what encryption needs after a sync: send, upload, ask for and claim keys."""
        if not self.is_encrypting:
            return
        client = self.client
        with as_room_errors():
            for response in await client.send_to_device_messages():
                unwrap(response)
            if client.should_upload_keys:
                unwrap(await client.keys_upload())
            if client.should_query_keys:
                unwrap(await client.keys_query())
            if client.should_claim_keys:
                unwrap(await client.keys_claim(client.get_users_for_key_claiming()))

    def decrypt(self, source: Mapping[str, Any], room_id: str) -> dict[str, Any] | None:
        """Try again to read an encrypted event; None where its key is still missing."""
        event = nio.Event.parse_encrypted_event(dict(source))
        if not isinstance(event, nio.MegolmEvent) or self.client.olm is None:
            return None
        event.room_id = room_id
        try:
            opened = self.client.decrypt_event(event)
        except nio.EncryptionError:
            return None
        return dict(opened.source)

    async def ask_for_key(self, source: Mapping[str, Any], room_id: str) -> None:
        """Ask the sender's devices for the key of an event, once for each key."""
        event = nio.Event.parse_encrypted_event(dict(source))
        if not isinstance(event, nio.MegolmEvent) or self.client.olm is None:
            return
        if event.session_id in self.client.outgoing_key_requests:
            return
        event.room_id = room_id
        with as_room_errors():
            unwrap(await self.client.request_room_key(event))

    async def load_history(
        self, room_id: str, start: str, end: str, *, limit: int = TIMELINE_LIMIT
    ) -> tuple[list[Any], str | None]:
        """Return events backwards from `start` towards `end`, and where to go on; None: no more."""
        with as_room_errors():
            response = unwrap(
                await self.client.room_messages(room_id, start=start, end=end, limit=limit)
            )
        return list(response.chunk), response.end

    # --- acts ---

    async def send(
        self, room_id: str, kind: str, content: Mapping[str, Any], transaction_id: str
    ) -> str:
        """Send an event, encrypted where the room is, and return its id.

        The same transaction id gives the same event. Raises UnencryptedError.
        """
        if not self.is_in(room_id):
            raise RoomGoneError(f"not in {room_id}")
        if self.is_encrypted(room_id) and not self.is_encrypting:
            raise UnencryptedError(room_id)
        with as_room_errors():
            if self.is_encrypted(room_id) and self.client.should_query_keys:
                unwrap(await self.client.keys_query())
            response = unwrap(
                await self.client.room_send(
                    room_id,
                    kind,
                    dict(content),
                    tx_id=transaction_id,
                    ignore_unverified_devices=True,
                )
            )
        return str(response.event_id)

    async def upload(self, room_id: str, name: str, content: bytes) -> dict[str, Any]:
        """Upload a PNG for a room; return what its event says of it: `url`, or `file` with keys."""
        is_secret = self.is_encrypted(room_id)
        if is_secret and not self.is_encrypting:
            raise UnencryptedError(room_id)
        with as_room_errors():
            answer, keys = await asyncio.wait_for(
                self.client.upload(
                    lambda *_: io.BytesIO(content),
                    content_type="image/png",
                    # An encrypted picture's name tells what it is, too.
                    filename=None if is_secret else name,
                    encrypt=is_secret,
                    filesize=len(content),
                ),
                ANSWER_SECONDS,
            )
            uploaded = unwrap(answer)
        if keys is None:
            return {"url": uploaded.content_uri}
        return {"file": {**keys, "url": uploaded.content_uri}}

    async def redact(self, room_id: str, event_id: str, transaction_id: str) -> None:
        path = f"rooms/{quote(room_id, safe='')}/redact/{quote(event_id, safe='')}"
        await self.request("PUT", f"{path}/{quote(transaction_id, safe='')}", {})

    async def stamp_of(self, room_id: str, event_id: str) -> datetime | None:
        """Return when the homeserver took an event, None where it does not say."""
        path = f"rooms/{quote(room_id, safe='')}/event/{quote(event_id, safe='')}"
        stamp = (await self.request("GET", path)).get("origin_server_ts")
        return EPOCH + timedelta(milliseconds=stamp) if isinstance(stamp, int) else None

    async def join(self, room_id: str) -> None:
        with as_room_errors():
            unwrap(await self.client.join(room_id))

    async def leave(self, room_id: str) -> None:
        with as_room_errors():
            unwrap(await self.client.room_leave(room_id))
        self.client.rooms.pop(room_id, None)

    async def invite(self, room_id: str, user_id: str) -> None:
        with as_room_errors():
            unwrap(await self.client.room_invite(room_id, user_id))

    async def request(
        self, method: str, path: str, body: object = None, *, prefix: str = _API
    ) -> dict[str, Any]:
        """Make a request that the library has no call for; `path` is below the client API."""
        status, answer = await self._exchange(method, f"{prefix}/{path}", body)
        if status >= 300:
            raise error_in(status, answer)
        return answer

    async def authorize(self, path: str, body: object) -> str | None:
        """Post what may need a proof of who we are: None if done, else the session to prove in."""
        status, answer = await self._exchange("POST", f"{_API}/{path}", body)
        if status == 401 and "flows" in answer:
            return str(answer.get("session", ""))
        if status >= 300:
            raise error_in(status, answer)
        return None

    async def _exchange(self, method: str, path: str, body: object) -> tuple[int, dict[str, Any]]:
        with as_room_errors():
            async with asyncio.timeout(ANSWER_SECONDS):
                if self.client.client_session is None:
                    await self.client.whoami()  # opens the library's session
                response = await self.client.send(
                    method,
                    path,
                    None if body is None else json.dumps(body),
                    {
                        "Content-Type": "application/json",
                        "Authorization": f"Bearer {self.client.access_token}",
                    },
                )
                async with response:
                    text = await response.text()
        try:
            found = json.loads(text)
        except ValueError:
            found = {}
        return response.status, found if isinstance(found, dict) else {}


def _number(level: object) -> float:
    """Return a power level; old rooms may hold it as text."""
    try:
        return float(level)  # type: ignore[arg-type] # what is no number is caught
    except (TypeError, ValueError):
        return 0.0
