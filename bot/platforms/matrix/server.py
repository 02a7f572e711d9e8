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
import secrets
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from http import HTTPStatus
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

from bot.platforms.bodies import read_body
from bot.platforms.matrix.connection import ANSWER_SECONDS, Connection
from bot.platforms.matrix.errors import UnencryptedError, as_room_errors, unwrap
from bot.platforms.matrix.inbound import UnreadableError, is_token, read_sync
from bot.platforms.matrix.media import Media
from bot.platforms.matrix.news import Membership, News, SetAside, Talk
from bot.platforms.matrix.places import Places
from bot.platforms.matrix.session import Session
from bot.platforms.message import (
    Attachment,
    PlatformRefusedError,
    RoomError,
    RoomGoneError,
    RoomUnreachableError,
)

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
"""From which the stamps of events count."""

SYNC_SECONDS = 30
TIMELINE_LIMIT = 100

_FILTER = json.dumps(
    {
        "presence": {"types": []},
        "account_data": {"types": []},
        "room": {
            "ephemeral": {"types": []},
            "account_data": {"types": []},
            "timeline": {"limit": TIMELINE_LIMIT},
        },
    }
)

_LOG = logging.getLogger("ninebark.matrix")


@dataclass(frozen=True, slots=True)
class Invitation:
    """`is_direct` is the inviter's claim, nothing else."""

    inviter: str
    is_direct: bool


class Server(Connection):
    """One device's connection, and what it tells of rooms. `folder` holds the encryption store."""

    def __init__(self, session: Session, folder: Path, *, encrypt: bool = True) -> None:
        super().__init__(session, folder, encrypt=encrypt)
        self.places = Places(session.user_id)
        self.invitations: dict[str, Invitation] = {}
        self.verifications: list[Mapping[str, Any]] = []

    # --- the stream ---

    async def sync(self, since: str | None, *, is_first: bool) -> News:
        """Wait for news since a place in the stream. `is_first`: with the state of every room.

        What could not be read of it is in its `unreadable`. Raises RoomError.
        """
        # A homeserver may repeat an older answer to the same question; with the state of every room
        # it answers at once, so the wait only makes the question another.
        wait = 1 + secrets.randbelow(1000) if is_first else SYNC_SECONDS * 1000
        asked = {"timeout": str(wait), "filter": _FILTER, "full_state": str(is_first).lower()}
        if since is not None:
            asked["since"] = since
        answer = await self.request(
            "GET", f"sync?{urlencode(asked)}", seconds=SYNC_SECONDS + ANSWER_SECONDS
        )
        try:
            # Beside the event loop: it may tell of all members of a large room.
            news = await asyncio.to_thread(read_sync, answer)
        except UnreadableError as problem:
            raise RoomUnreachableError(f"half an answer to a sync: {problem}") from None
        self._take_in(news)
        return news

    def _take_in(self, news: News) -> None:
        for room_id, room in news.joined.items():
            happened = [each for each in room.timeline if not isinstance(each, Talk)]
            changes = [*room.state, *happened]
            is_known = room_id in self.client.encrypted_rooms
            self.places.note(room_id, changes, encrypted=is_known)
            is_encrypted = self.places.is_encrypted(room_id)
            self.client.mirror(room_id, changes, is_encrypted=is_encrypted)
            self.invitations.pop(room_id, None)
        for room_id in news.left:
            self._forget(room_id)
            self.invitations.pop(room_id, None)
        for room_id, claims in news.claims.items():
            for claim in claims:
                if isinstance(claim, Membership) and claim.user_id == self.user_id:
                    self.invitations[room_id] = Invitation(claim.sender, claim.is_direct)
        self.client.take_in(news)
        self.verifications += news.verifications

    def take_unreadable(self) -> list[SetAside]:
        """Return what was set aside of keys since the last call."""
        found, self.client.unreadable = self.client.unreadable, []
        return found

    def _forget(self, room_id: str) -> None:
        self.places.forget(room_id)
        self.client.rooms.pop(room_id, None)

    async def tend_keys(self) -> None:
        """Do what encryption needs after a sync: send, upload, ask for and claim keys.

        What fails is asked for again after a later sync. Raises PlatformRefusedError.
        """
        if not self.is_encrypting:
            return
        client = self.client
        steps: tuple[tuple[Callable[[], bool], Callable[[], Awaitable[Any]]], ...] = (
            (lambda: bool(client.outgoing_to_device_messages), client.send_queued),
            (lambda: client.should_upload_keys, client.keys_upload),
            (lambda: client.should_query_keys, client.keys_query),
            (lambda: client.should_claim_keys, client.claim_wanted),
        )
        for is_due, work in steps:
            if not is_due():
                continue
            try:
                with as_room_errors():
                    unwrap(await work())
            except PlatformRefusedError:
                raise
            except Exception as problem:  # a key that does not come must not stop what is said
                _LOG.warning("keys were not tended: %s: %s", type(problem).__name__, problem)

    def decrypt(self, source: Mapping[str, Any], room_id: str) -> dict[str, Any] | None:
        """Return what an encrypted event says, talk or nothing; None where its key is missing.

        Raises UnreadableError where no key would help.
        """
        return self.client.open(source, room_id)

    def has_key(self, source: Mapping[str, Any], room_id: str) -> bool:
        """Return whether the key of an encrypted event is there."""
        return self.client.has_key(source, room_id)

    async def load_history(
        self, room_id: str, start: str, end: str, *, limit: int = TIMELINE_LIMIT
    ) -> tuple[list[Any], str | None]:
        """Return events backwards from `start` towards `end`, and where to go on; None: no more.

        They are as the homeserver gives them, unread.
        """
        asked = {"from": start, "to": end, "dir": "b", "limit": str(limit)}
        path = f"rooms/{quote(room_id, safe='')}/messages?{urlencode(asked)}"
        answer = await self.request("GET", path)
        chunk, on = answer.get("chunk"), answer.get("end")
        return (
            chunk if isinstance(chunk, list) else [],
            str(on) if is_token(on) else None,
        )

    def can_read(self, room_id: str) -> bool:
        """Return whether a room is not encrypted, or we are able to."""
        return self.is_encrypting or not self.places.is_encrypted(room_id)

    # --- acts ---

    async def send(
        self,
        room_id: str,
        kind: str,
        content: Mapping[str, Any],
        transaction_id: str,
        *,
        in_clear: bool = False,
    ) -> str:
        """Send an event, encrypted where the room is, and return its id: the same for the same
        transaction id. `in_clear`: without where we cannot encrypt. Raises UnencryptedError."""
        if not self.places.is_in(room_id):
            raise RoomGoneError(f"not in {room_id}")
        if not self.can_read(room_id) and not in_clear:
            raise UnencryptedError(room_id)
        is_encrypted = self.is_encrypting and self.places.is_encrypted(room_id)
        with as_room_errors():
            if is_encrypted and self.client.should_query_keys:
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

    async def upload(self, room_id: str, given: Attachment) -> dict[str, Any]:
        """Upload a file for a room; return what its event says of it: `url`, or `file` with
        keys."""
        is_secret = self.places.is_encrypted(room_id)
        if is_secret and not self.is_encrypting:
            raise UnencryptedError(room_id)
        with as_room_errors():
            answer, keys = await asyncio.wait_for(
                self.client.upload(
                    lambda *_: io.BytesIO(given.raw),
                    content_type=given.kind,
                    # An encrypted file's name tells what it is, too.
                    filename=None if is_secret else given.name,
                    encrypt=is_secret,
                    filesize=len(given.raw),
                ),
                ANSWER_SECONDS,
            )
            uploaded = unwrap(answer)
        if keys is None:
            return {"url": uploaded.content_uri}
        return {"file": {**keys, "url": uploaded.content_uri}}

    async def download(self, media: Media, most: int) -> bytes | None:
        """Return what is in somebody's file; None where it cannot be had, is more than `most`
        bytes, or is not what was sent."""
        where = f"download/{quote(media.server, safe=':[]')}/{media.media_id}"
        for path in (f"/_matrix/client/v1/media/{where}", f"/_matrix/media/v3/{where}"):
            try:
                with as_room_errors():
                    async with asyncio.timeout(ANSWER_SECONDS):
                        response = await self.client.send(
                            "GET", path, headers={"Authorization": self._proof()}
                        )
                        async with response:
                            is_there = response.status == HTTPStatus.OK
                            body = await read_body(response, most) if is_there else None
            except RoomError:
                return None
            # Older homeservers know the second address alone.
            if is_there:
                seal = media.seal
                if body is None or seal is None:
                    return body
                return await asyncio.to_thread(seal.open, body)
        return None

    async def redact(self, room_id: str, event_id: str, transaction_id: str) -> None:
        """Empty an event for everyone; the transaction id makes a repeat harmless.

        Raises RoomError.
        """
        path = f"rooms/{quote(room_id, safe='')}/redact/{quote(event_id, safe='')}"
        await self.request("PUT", f"{path}/{quote(transaction_id, safe='')}", {})

    async def stamp_of(self, room_id: str, event_id: str) -> datetime | None:
        """Return when the homeserver took an event, None where it does not say."""
        stamp = (await self._event(room_id, event_id)).get("origin_server_ts")
        return EPOCH + timedelta(milliseconds=stamp) if isinstance(stamp, int) else None

    async def has_content(self, room_id: str, event_id: str) -> bool:
        """Return whether an event still says anything: one that was redacted does not."""
        return bool((await self._event(room_id, event_id)).get("content"))

    async def _event(self, room_id: str, event_id: str) -> dict[str, Any]:
        path = f"rooms/{quote(room_id, safe='')}/event/{quote(event_id, safe='')}"
        return await self.request("GET", path)

    async def join(self, room_id: str) -> None:
        """Enter a room that we are invited to. Raises RoomError."""
        with as_room_errors():
            unwrap(await self.client.join(room_id))

    async def join_by(self, room_id: str, user_id: str) -> None:
        """Enter a room by way of somebody's homeserver, which knows it. Raises RoomError."""
        way = urlencode({"server_name": user_id.partition(":")[2]})
        await self.request("POST", f"join/{quote(room_id, safe='')}?{way}", {})

    async def leave(self, room_id: str, *, reason: str = "") -> None:
        """Leave a room, or decline its invitation, and forget its state. Raises RoomError."""
        why = {"reason": reason} if reason else {}
        await self.request("POST", f"rooms/{quote(room_id, safe='')}/leave", why)
        self._forget(room_id)
