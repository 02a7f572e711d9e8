"""Emoji verification: somebody who may checks in their app that it talks to this very bot.

From one device to another, or in a room that both are in. The bot answers those who may invite it,
and vouches for its device and its identity. What the app shows stands in the bot's log as well, and
there the host compares: the bot itself trusts nobody any more for it.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

from bot.platforms.matrix.comparing import METHOD, CancelledError, Verification, Vouched
from bot.platforms.matrix.identity import open_identity
from bot.platforms.matrix.inbound import VERIFYING, is_id
from bot.platforms.matrix.server import Server
from bot.platforms.matrix.session import load_identity

MOST_AT_ONCE = 10
LONGEST = timedelta(minutes=10)
"""The specification's limit for one verification."""

_LOG = logging.getLogger("ninebark.matrix")


@dataclass(frozen=True, slots=True)
class Way:
    """By whom a verification was begun, what names it, and the room that it is in; from device to
    device where that is empty."""

    user_id: str
    transaction_id: str
    room_id: str = ""


class Verifying:
    """Answers those of `allowed` who verify us. `folder` holds the identity that is vouched for."""

    def __init__(
        self,
        server: Server,
        folder: Path,
        allowed: Collection[str],
        now: Callable[[], datetime],
    ) -> None:
        self._server = server
        self._folder = folder
        self._allowed = allowed
        self._now = now
        self._asked: dict[Way, datetime] = {}
        self._begun: dict[Way, tuple[Verification, datetime]] = {}

    async def take_all(self, events: Collection[Mapping[str, Any]]) -> None:
        """Answer what came in for the bot's device, each by itself."""
        for event in events:
            content = event["content"]
            way = Way(event["sender"], content["transaction_id"])
            await self.take(way, event["type"].removeprefix(VERIFYING), content)

    async def take(self, way: Way, kind: str, content: Mapping[str, Any]) -> None:
        """Answer one step of a verification; nothing of it is raised."""
        if way.user_id not in self._allowed or not self._server.is_encrypting:
            return
        try:
            try:
                await self._answer(way, kind, content)
            except CancelledError as over:
                await self._cancel(way, content, over.code)
        except Exception as problem:  # whatever they sent, the others are answered
            _LOG.warning(
                "a verification by %s was not answered: %s", way.user_id, type(problem).__name__
            )

    async def _answer(self, way: Way, kind: str, content: Mapping[str, Any]) -> None:
        if kind in ("request", "start"):
            device_id, us = content.get("from_device"), self._server.user_id
            # In a room people may verify each other, too, and only the request names whom.
            named = way in self._asked if kind == "start" else content.get("to") == us
            if not is_id(device_id, "") or (way.room_id and not named):
                return
            if kind == "request":
                self._forget_old()
                self._asked[way] = self._now()
                ready = {"from_device": self._server.device_id, "methods": [METHOD]}
                await self._send(way, "ready", str(device_id), ready)
            else:
                await self._begin(way, str(device_id), content)
        elif kind in ("cancel", "done"):
            self._begun.pop(way, None)
        elif way in self._begun:
            await self._go_on(way, self._begun[way][0], kind, content)

    async def _cancel(self, way: Way, content: Mapping[str, Any], code: str) -> None:
        begun = self._begun.pop(way, None)
        device_id = begun[0].device_id if begun else content.get("from_device")
        if is_id(device_id, ""):
            await self._send(way, "cancel", str(device_id), {"code": code, "reason": code})

    async def _begin(self, way: Way, device_id: str, start: Mapping[str, Any]) -> None:
        self._forget_old()
        if way in self._begun or len(self._begun) >= MOST_AT_ONCE:
            raise CancelledError("m.unexpected_message")
        begun = Verification(self._vouched(), way.user_id, device_id, way.transaction_id)
        accepted = begun.accept(start)
        self._begun[way] = (begun, self._now())
        await self._send(way, "accept", device_id, accepted)

    def _forget_old(self) -> None:
        oldest = self._now() - LONGEST
        self._asked = {way: at for way, at in self._asked.items() if at > oldest}
        self._begun = {way: each for way, each in self._begun.items() if each[1] > oldest}

    async def _go_on(
        self, way: Way, begun: Verification, kind: str, content: Mapping[str, Any]
    ) -> None:
        if kind == "key":
            ours = begun.exchange(content.get("key"))
            await self._send(way, "key", begun.device_id, ours)
            _LOG.warning(
                "%s verifies the bot. Their app has to show: %s",
                way.user_id, ", ".join(begun.emoji),
            )  # fmt: skip
            await self._send(way, "mac", begun.device_id, begun.vouch())
        elif kind == "mac":
            begun.check(content, await self._key_of(way.user_id, begun.device_id))
            await self._send(way, "done", begun.device_id, {})
            self._begun.pop(way, None)

    def _vouched(self) -> Vouched:
        """Return the keys that are ours by our own files, whatever the homeserver says of them."""
        olm, us = self._server.client.olm, self._server
        assert olm is not None
        keys = {f"ed25519:{us.device_id}": str(olm.account.identity_keys["ed25519"])}
        identity = load_identity(self._folder, us.user_id)
        if identity is not None:
            master = open_identity(identity)[0].public
            keys[f"ed25519:{master}"] = master
        return Vouched(us.user_id, us.device_id, keys)

    async def _key_of(self, user_id: str, device_id: str) -> str:
        """Return the key of somebody's device, empty where there is none."""
        wish = {"device_keys": {user_id: [device_id]}}
        found = await self._server.request("POST", "keys/query", wish)
        device = found.get("device_keys", {}).get(user_id, {}).get(device_id, {})
        return str(device.get("keys", {}).get(f"ed25519:{device_id}", ""))

    async def _send(self, way: Way, kind: str, device_id: str, content: dict[str, Any]) -> None:
        kind, once = f"{VERIFYING}{kind}", uuid4().hex
        if way.room_id:
            relation = {"rel_type": "m.reference", "event_id": way.transaction_id}
            said = {**content, "m.relates_to": relation}
            await self._server.send(way.room_id, kind, said, once)
            return
        said = {**content, "transaction_id": way.transaction_id}
        messages = {way.user_id: {device_id: said}}
        await self._server.request("PUT", f"sendToDevice/{kind}/{once}", {"messages": messages})
