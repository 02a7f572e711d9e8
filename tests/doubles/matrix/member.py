"""A member of a club with a real client: reads what the homeserver gives, decrypts, remembers.

A careful one does as careful clients do: it checks that a device is signed by its user's identity,
gives no keys to devices that are not, and does not show what such a device sent.
"""

from __future__ import annotations

import asyncio
import html
import io
import json
import re
from collections import defaultdict
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any
from uuid import uuid4

import nio
import vodozemac
from nio.store import SqliteStore

from tests.doubles.matrix.homeserver import Account, Homeserver
from tests.patience import PATIENCE

# As many events of a room at once as a homeserver gives; whoever looks seldom misses some, since
# this client fills no gaps.
_FILTER = {"room": {"timeline": {"limit": 100}}}


NAME = "IMG_2041 Rosalind's kitchen.jpg"
"""What a picture is called that somebody sends."""


class Member:
    """`store` is the folder of the encryption keys; None: a client that cannot encrypt."""

    def __init__(
        self,
        server: Homeserver,
        account: Account,
        store: Path | None = None,
        *,
        is_careful: bool = False,
    ) -> None:
        self.server = server
        self.account = account
        self.user_id = account.user_id
        self.token = account.token
        self.is_careful = is_careful
        self.events: defaultdict[str, list[dict[str, Any]]] = defaultdict(list)
        self.refused: list[str] = []
        self.invited: list[str] = []
        self._signed: dict[str, set[str]] = {}
        if store is not None:
            store.mkdir(parents=True, exist_ok=True)
        self.client = nio.AsyncClient(
            server.url,
            account.user_id,
            device_id=account.device_id,
            store_path=str(store) if store is not None else "",
            config=nio.AsyncClientConfig(
                max_limit_exceeded=3,
                max_timeouts=3,
                encryption_enabled=store is not None,
                store=SqliteStore,
                store_sync_tokens=False,
            ),
        )
        self.client.restore_login(account.user_id, account.device_id, account.token)

    async def close(self) -> None:
        await self.client.close()
        if self.client.store is not None:
            self.client.store.database.close()

    # --- what they do ---

    async def say(self, room_id: str, text: str, *, transaction_id: str | None = None) -> str:
        content = {"msgtype": "m.text", "body": text}
        return await self.send(room_id, "m.room.message", content, transaction_id)

    async def send_picture(
        self,
        room_id: str,
        raw: bytes,
        caption: str = "",
        *,
        is_sealed: bool,
        transaction_id: str | None = None,
    ) -> str:
        """Upload a picture and send it, encrypted for an encrypted room, as a client does."""
        answer, keys = await self.client.upload(
            lambda *_: io.BytesIO(raw), content_type="image/jpeg", filename=NAME,
            encrypt=is_sealed, filesize=len(raw),
        )  # fmt: skip
        assert isinstance(answer, nio.UploadResponse), answer
        address = {"url": answer.content_uri}
        content = {
            "msgtype": "m.image",
            "body": caption or NAME,
            "filename": NAME,
            "info": {"mimetype": "image/jpeg", "size": len(raw)},
            **({"file": {**(keys or {}), **address}} if is_sealed else address),
        }
        return await self.send(room_id, "m.room.message", content, transaction_id)

    async def react(self, room_id: str, event_id: str, mark: str) -> str:
        relation = {"rel_type": "m.annotation", "event_id": event_id, "key": mark}
        return await self.send(room_id, "m.reaction", {"m.relates_to": relation})

    async def send(
        self,
        room_id: str,
        kind: str,
        content: Mapping[str, Any],
        transaction_id: str | None = None,
    ) -> str:
        if self.client.olm is not None:
            await self.sync()  # as clients do all the time: it tells of new devices
        answer = await asyncio.wait_for(
            self.client.room_send(
                room_id,
                kind,
                dict(content),
                tx_id=transaction_id or uuid4().hex,
                ignore_unverified_devices=True,
            ),
            PATIENCE,
        )
        assert isinstance(answer, nio.RoomSendResponse), answer
        return str(answer.event_id)

    async def call(self, method: str, path: str, body: object = None) -> Any:
        """Make a plain request to the client API as this user."""
        return await asyncio.to_thread(
            self.server.call, method, f"/_matrix/client/v3/{path}", body, token=self.token
        )

    # --- what they see ---

    async def sync(self, wait_ms: int = 0) -> None:
        answer = await asyncio.wait_for(
            self.client.sync(wait_ms, _FILTER, since=self.client.next_batch or None),
            PATIENCE,
        )
        if not isinstance(answer, nio.SyncResponse):
            return
        for room_id in answer.rooms.invite:
            if room_id not in self.invited:
                self.invited.append(room_id)
                await self.client.join(room_id)
        await self._tend()
        for room_id, room in answer.rooms.join.items():
            for event in room.timeline.events:
                self._take(room_id, event)

    async def until(self, seen: Callable[[], Any]) -> Any:
        """Sync until `seen` returns something true, and return it."""
        async with asyncio.timeout(PATIENCE):
            while not (found := seen()):
                await self.sync(2_000)
        return found

    def sources(self, room_id: str) -> list[dict[str, Any]]:
        """Return the events of a room as this client shows them, oldest first."""
        for event in self.events[room_id]:
            if event["type"] == "m.room.encrypted":
                self._open(room_id, event)
        return self.events[room_id]

    def texts(self, room_id: str, *, by: str | None = None) -> list[str]:
        return [
            text_of(event)
            for event in self.sources(room_id)
            if event["type"] == "m.room.message" and by in (None, event["sender"])
        ]

    def direct_rooms(self, with_user: str) -> list[str]:
        """Return the rooms that this user was invited to and shares with one other only."""
        return [
            room_id
            for room_id in self.invited
            if room_id in self.client.rooms and len(self.client.rooms[room_id].users) <= 2
        ]

    def _take(self, room_id: str, event: Any) -> None:
        source = dict(event.source)
        source.setdefault("event_id", event.event_id)
        redacted = source.get("redacts") or source.get("content", {}).get("redacts")
        if source["type"] == "m.room.redaction":
            for there in self.events[room_id]:
                if there["event_id"] == redacted:
                    there["content"], there["redacted"] = {}, True
            return
        if self.is_careful and getattr(event, "decrypted", False) and not self._trusts(event):
            self.refused.append(event.event_id)
            return
        self.events[room_id].append(source)

    def _open(self, room_id: str, source: dict[str, Any]) -> None:
        event = nio.Event.parse_encrypted_event(source)
        if self.client.olm is None or not isinstance(event, nio.MegolmEvent):
            return
        event.room_id = room_id
        try:
            opened = self.client.decrypt_event(event)
        except nio.EncryptionError:
            return
        if self.is_careful and not self._trusts(opened):
            self.refused.append(event.event_id)
            source["type"] = "refused"
            return
        source |= opened.source

    # --- keys ---

    async def _tend(self) -> None:
        client = self.client
        if client.olm is None:
            return
        await client.send_to_device_messages()
        if client.should_upload_keys:
            await client.keys_upload()
        if client.should_query_keys:
            users = list(client.users_for_key_query)
            await client.keys_query()
            if self.is_careful:
                await self._check(users)
        if client.should_claim_keys:
            await client.keys_claim(client.get_users_for_key_claiming())

    async def _check(self, users: list[str]) -> None:
        found = await self.call("POST", "keys/query", {"device_keys": {each: [] for each in users}})
        for user_id in users:
            self._signed[user_id] = signed_devices(found, user_id)
            for device in self.client.device_store.active_user_devices(user_id):
                if device.id not in self._signed[user_id] and user_id != self.user_id:
                    self.client.blacklist_device(device)

    def _trusts(self, event: Any) -> bool:
        if event.sender == self.user_id:
            return True
        device = self.client.device_store.device_from_sender_key(event.sender, event.sender_key)
        return device is not None and device.id in self._signed.get(event.sender, set())


def signed_devices(found: Mapping[str, Any], user_id: str) -> set[str]:
    """Return the devices of an answer to a key query that the user's identity has signed."""
    master = found.get("master_keys", {}).get(user_id)
    signing = found.get("self_signing_keys", {}).get(user_id)
    if master is None or signing is None or not _is_signed(signing, user_id, _key_of(master)):
        return set()
    return {
        device_id
        for device_id, device in found["device_keys"].get(user_id, {}).items()
        if _is_signed(device, user_id, _key_of(signing))
    }


def _key_of(key: Mapping[str, Any]) -> str:
    return str(next(iter(key["keys"].values())))


def _is_signed(thing: Mapping[str, Any], user_id: str, key: str) -> bool:
    signature = thing.get("signatures", {}).get(user_id, {}).get(f"ed25519:{key}")
    if signature is None:
        return False
    bare = {name: thing[name] for name in thing if name not in ("signatures", "unsigned")}
    canonical = json.dumps(bare, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    try:
        vodozemac.Ed25519PublicKey.from_base64(key).verify_signature(
            canonical.encode(), vodozemac.Ed25519Signature.from_base64(signature)
        )
    except vodozemac.SignatureException:
        return False
    return True


def shown_of(source: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return what a client shows of an event; of an edit, what the message says from then on."""
    content: Mapping[str, Any] = source.get("content", {})
    shown: Mapping[str, Any] = content.get("m.new_content", content)
    return shown


def is_in_a_thread(source: Mapping[str, Any]) -> bool:
    """Say whether an event hangs in a thread, as the text of a picture does."""
    relation: Mapping[str, Any] = source.get("content", {}).get("m.relates_to", {})
    return relation.get("rel_type") == "m.thread"


def message_of(source: Mapping[str, Any]) -> str:
    """Return the id of the message that an event is, or changes: what a client reacts to."""
    relation = source["content"].get("m.relates_to", {})
    is_edit = relation.get("rel_type") == "m.replace"
    return str(relation["event_id"] if is_edit else source["event_id"])


def text_of(source: Mapping[str, Any]) -> str:
    return str(shown_of(source).get("body", ""))


def first_paragraph(source: Mapping[str, Any]) -> str:
    """Return the words of a message of the bot's, without choices, template or picture's text."""
    rich = shown_of(source).get("formatted_body")
    if rich is None:
        return text_of(source)
    found = re.match(r"<p>(.*?)</p>", rich, re.DOTALL)
    plain = re.sub(r"<[^>]+>", "", found[1].replace("<br>", "\n")) if found else ""
    return html.unescape(plain)
