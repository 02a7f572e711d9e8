"""What two devices do so that people can compare emoji: the sums of a verification, and its proofs.

By the specification's short authentication strings (Client-Server API, "Short Authentication String
(SAS) verification"). Pure: what is said comes in, what to say goes out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any

import vodozemac
from nio import Api
from nio.crypto.sas import Sas as Emoji

from bot.platforms.matrix.signer import in_base64

METHOD = "m.sas.v1"
AGREEMENT, MAC, HASH = "curve25519-hkdf-sha256", "hkdf-hmac-sha256.v2", "sha256"


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
