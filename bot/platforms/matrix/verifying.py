"""Emoji verification: somebody who may checks in their app that it talks to this very bot.

By the specification's short authentication strings (Client-Server API, "Short Authentication String
(SAS) verification"), from one device to another. The bot answers those who may invite it, and
vouches for its device and its identity. What the app shows stands in the bot's log as well, and
there the host compares: the bot itself trusts nobody any more for it.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any
from uuid import uuid4

import vodozemac
from nio import Api
from nio.crypto.sas import Sas as Emoji

from bot.platforms.matrix.connection import Connection
from bot.platforms.matrix.identity import open_identity
from bot.platforms.matrix.inbound import VERIFYING, is_id
from bot.platforms.matrix.session import load_identity
from bot.platforms.matrix.signer import in_base64

METHOD = "m.sas.v1"
AGREEMENT, MAC, HASH = "curve25519-hkdf-sha256", "hkdf-hmac-sha256.v2", "sha256"
MOST_AT_ONCE = 10
LONGEST = timedelta(minutes=10)
"""The specification's limit for one verification."""

_LOG = logging.getLogger("ninebark.matrix")


class CancelledError(Exception):
    """One verification is over; `code` is the specification's."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code


@dataclass(frozen=True, slots=True)
class Vouched:
    """Who we are: the user, the device, and the keys that we vouch for, by their ids."""

    user_id: str
    device_id: str
    keys: Mapping[str, str]


@dataclass(slots=True)
class Verification:
    """One person's verification of us, from its start on."""

    us: Vouched
    user_id: str
    device_id: str
    transaction_id: str
    _sas: vodozemac.Sas = field(default_factory=vodozemac.Sas)
    _secret: vodozemac.EstablishedSas | None = None
    emoji: tuple[str, ...] = ()

    def accept(self, start: Mapping[str, Any]) -> dict[str, Any]:
        """Answer a start, bound to our key without showing it. Raises CancelledError."""
        offered = (
            (METHOD, [start.get("method")]),
            (AGREEMENT, start.get("key_agreement_protocols")),
            (HASH, start.get("hashes")),
            (MAC, start.get("message_authentication_codes")),
            ("emoji", start.get("short_authentication_string")),
        )
        for wanted, given in offered:
            if not isinstance(given, list) or wanted not in given:
                raise CancelledError("m.unknown_method")
        bound = self._sas.public_key.to_base64() + Api.to_canonical_json(dict(start))
        return {
            "method": METHOD,
            "key_agreement_protocol": AGREEMENT,
            "hash": HASH,
            "message_authentication_code": MAC,
            "short_authentication_string": ["emoji"],
            "commitment": in_base64(sha256(bound.encode()).digest()),
        }

    def exchange(self, key: object) -> dict[str, Any]:
        """Take their key and return ours; from then on both sides show the same emoji."""
        if self._secret is not None or not isinstance(key, str):
            raise CancelledError("m.unexpected_message")
        ours = self._sas.public_key.to_base64()
        try:
            theirs = vodozemac.Curve25519PublicKey.from_base64(key)
            self._secret = self._sas.diffie_hellman(theirs)
        except Exception:
            raise CancelledError("m.invalid_message") from None
        info = "|".join(
            (
                "MATRIX_KEY_VERIFICATION_SAS", self.user_id, self.device_id, key,
                self.us.user_id, self.us.device_id, ours, self.transaction_id,
            )
        )  # fmt: skip
        self.emoji = tuple(
            " ".join(Emoji.emoji[at]) for at in self._secret.bytes(info).emoji_indices
        )
        return {"key": ours}

    def vouch(self) -> dict[str, Any]:
        """Return the proof that our keys are ours."""
        us = (self.us.user_id, self.us.device_id, self.user_id, self.device_id)
        return {
            "mac": {name: self._prove(key, us, name) for name, key in self.us.keys.items()},
            "keys": self._prove(",".join(sorted(self.us.keys)), us, "KEY_IDS"),
        }

    def check(self, proof: Mapping[str, Any], key: str) -> None:
        """Hold their proof against the key of their device. Raises CancelledError."""
        found = proof.get("mac")
        if self._secret is None or not isinstance(found, dict):
            raise CancelledError("m.unexpected_message")
        them = (self.user_id, self.device_id, self.us.user_id, self.us.device_id)
        name = f"ed25519:{self.device_id}"
        names = ",".join(sorted(map(str, found)))
        right = self._prove(names, them, "KEY_IDS"), self._prove(key, them, name)
        if right != (proof.get("keys"), found.get(name)):
            raise CancelledError("m.key_mismatch")

    def _prove(self, what: str, parties: tuple[str, ...], name: str) -> str:
        if self._secret is None:
            raise CancelledError("m.unexpected_message")
        info = "".join(("MATRIX_KEY_VERIFICATION_MAC", *parties, self.transaction_id, name))
        return str(self._secret.calculate_mac(what, info))


class Verifying:
    """Answers those of `allowed` who verify us. `folder` holds the identity that is vouched for."""

    def __init__(
        self,
        server: Connection,
        folder: Path,
        allowed: Collection[str],
        now: Callable[[], datetime],
    ) -> None:
        self._server = server
        self._folder = folder
        self._allowed = allowed
        self._now = now
        self._begun: dict[tuple[str, str], tuple[Verification, datetime]] = {}

    async def take(self, events: Collection[Mapping[str, Any]]) -> None:
        """Answer what came in for the bot's device, each by itself."""
        for event in events:
            sender, content = event["sender"], event["content"]
            kind, transaction_id = event["type"].removeprefix(VERIFYING), content["transaction_id"]
            if kind not in _ANSWERED or sender not in self._allowed:
                continue
            try:
                await self._answer(kind, sender, transaction_id, content)
            except CancelledError as over:
                begun = self._begun.pop((sender, transaction_id), None)
                device_id = begun[0].device_id if begun else content.get("from_device")
                if isinstance(device_id, str):
                    wish = {"code": over.code, "reason": over.code}
                    await self._send("cancel", sender, device_id, transaction_id, wish)
            except Exception as problem:  # whatever they sent, the others are answered
                _LOG.warning(
                    "a verification by %s was not answered: %s", sender, type(problem).__name__
                )

    async def _answer(
        self, kind: str, sender: str, transaction_id: str, content: Mapping[str, Any]
    ) -> None:
        key = (sender, transaction_id)
        if kind in ("request", "start"):
            device_id = content.get("from_device")
            if not is_id(device_id, ""):
                return
            if kind == "request":
                await self._send(
                    "ready", sender, str(device_id), transaction_id,
                    {"from_device": self._server.device_id, "methods": [METHOD]},
                )  # fmt: skip
                return
            await self._begin(key, str(device_id), content)
            return
        if kind in ("cancel", "done"):
            self._begun.pop(key, None)
            return
        found = self._begun.get(key)
        if found is None:
            return
        begun, device_id = found[0], found[0].device_id
        if kind == "key":
            ours = begun.exchange(content.get("key"))
            await self._send("key", sender, device_id, transaction_id, ours)
            _LOG.warning(
                "%s verifies the bot. Their app has to show: %s", sender, ", ".join(begun.emoji)
            )
            await self._send("mac", sender, device_id, transaction_id, begun.vouch())
        else:
            begun.check(content, await self._key_of(sender, device_id))
            await self._send("done", sender, device_id, transaction_id, {})
            self._begun.pop(key, None)

    async def _begin(self, key: tuple[str, str], device_id: str, start: Mapping[str, Any]) -> None:
        oldest = self._now() - LONGEST
        self._begun = {at: each for at, each in self._begun.items() if each[1] > oldest}
        if key in self._begun or len(self._begun) >= MOST_AT_ONCE:
            raise CancelledError("m.unexpected_message")
        sender, transaction_id = key
        begun = Verification(self._vouched(), sender, device_id, transaction_id)
        accepted = begun.accept(start)
        self._begun[key] = (begun, self._now())
        await self._send("accept", sender, device_id, transaction_id, accepted)

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

    async def _send(
        self, kind: str, user_id: str, device_id: str, transaction_id: str, content: dict[str, Any]
    ) -> None:
        said = {**content, "transaction_id": transaction_id}
        await self._server.request(
            "PUT",
            f"sendToDevice/{VERIFYING}{kind}/{uuid4().hex}",
            {"messages": {user_id: {device_id: said}}},
        )


_ANSWERED = ("request", "start", "key", "mac", "cancel", "done")
