"""Secrets that a homeserver keeps without knowing them, and the recovery key that opens them.

By the specification's secret storage (Client-Server API, "Secrets": `m.secret_storage.v1.
aes-hmac-sha2`; "Recovery key" for the text form), so that any careful app can use them, too. Pure:
nothing is asked of anybody, and nothing here is ever logged.
"""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from functools import reduce
from hashlib import sha256
from operator import xor
from typing import Any

from Crypto.Cipher import AES
from Crypto.Hash import SHA256
from Crypto.Protocol.KDF import HKDF

from bot.platforms.matrix.signer import from_base64, in_base64

ALGORITHM = "m.secret_storage.v1.aes-hmac-sha2"
KEY_BYTES = 32

_DIGITS = "123456789ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnopqrstuvwxyz"
_PREFIX = b"\x8b\x01"
_GROUP = 4


class WrongKeyError(ValueError):
    """A recovery key is mistyped, or opens something else."""


@dataclass(frozen=True, slots=True)
class StorageKey:
    """The key of secrets. `key_id` names it beside each secret that it seals."""

    key_id: str
    raw: bytes

    def __repr__(self) -> str:
        return f"StorageKey({self.key_id!r})"

    def describe(self, name: str) -> dict[str, Any]:
        """Return what others check a key against: nothing, sealed with it."""
        sealed = _seal(self.raw, "", bytes(KEY_BYTES))
        return {"name": name, "algorithm": ALGORITHM, "iv": sealed["iv"], "mac": sealed["mac"]}

    def seal(self, name: str, secret: bytes) -> dict[str, Any]:
        """Return the account data that holds a secret under its name."""
        return {"encrypted": {self.key_id: _seal(self.raw, name, in_base64(secret).encode())}}

    def open(self, name: str, kept: Mapping[str, Any]) -> bytes:
        """Return a secret. Raises WrongKeyError."""
        try:
            sealed = kept["encrypted"][self.key_id]
            return from_base64(_open(self.raw, name, sealed).decode())
        except (KeyError, TypeError, ValueError, AttributeError):
            raise WrongKeyError(name) from None

    @property
    def text(self) -> str:
        """Return the recovery key, as people keep it."""
        raw = _PREFIX + self.raw
        digits, number = "", int.from_bytes(raw + bytes([reduce(xor, raw)]))
        while number:
            number, digit = divmod(number, len(_DIGITS))
            digits = _DIGITS[digit] + digits
        return " ".join(digits[at : at + _GROUP] for at in range(0, len(digits), _GROUP))


def new_key() -> StorageKey:
    """Make a key."""
    return StorageKey(secrets.token_urlsafe(24), secrets.token_bytes(KEY_BYTES))


def parse_key(text: str, key_id: str, description: Mapping[str, Any]) -> StorageKey:
    """Return the key that a recovery key is, checked against its description.

    Raises WrongKeyError.
    """
    number = 0
    for digit in "".join(text.split())[:100]:
        if digit not in _DIGITS:
            raise WrongKeyError("no digit")
        number = number * len(_DIGITS) + _DIGITS.index(digit)
    length = len(_PREFIX) + KEY_BYTES + 1
    if number.bit_length() > 8 * length:
        raise WrongKeyError("length")
    raw = number.to_bytes(length)
    if not raw.startswith(_PREFIX) or reduce(xor, raw) != 0:
        raise WrongKeyError("mistyped")
    key = raw[len(_PREFIX) : -1]
    iv, mac = description.get("iv"), description.get("mac")
    if isinstance(iv, str) and isinstance(mac, str):
        try:
            sealed = _seal(key, "", bytes(KEY_BYTES), iv=from_base64(iv))
        except ValueError:
            raise WrongKeyError("description") from None
        if not hmac.compare_digest(sealed["mac"].encode(), mac.rstrip("=").encode()):
            raise WrongKeyError("another key")
    return StorageKey(key_id, key)


def _keys_of(raw: bytes, name: str) -> tuple[bytes, bytes]:
    found = HKDF(raw, 2 * KEY_BYTES, bytes(KEY_BYTES), SHA256, context=name.encode())
    assert isinstance(found, bytes)
    return found[:KEY_BYTES], found[KEY_BYTES:]


def _cipher(key: bytes, iv: bytes) -> Any:
    return AES.new(key, AES.MODE_CTR, nonce=b"", initial_value=iv)


def _seal(raw: bytes, name: str, secret: bytes, *, iv: bytes = b"") -> dict[str, str]:
    key, proof = _keys_of(raw, name)
    if not iv:
        # One bit is clear for the sake of some platforms' counters, as the specification asks.
        drawn = bytearray(secrets.token_bytes(16))
        drawn[8] &= 0x7F
        iv = bytes(drawn)
    sealed = _cipher(key, iv).encrypt(secret)
    mac = hmac.digest(proof, sealed, sha256)
    return {"iv": in_base64(iv), "ciphertext": in_base64(sealed), "mac": in_base64(mac)}


def _open(raw: bytes, name: str, sealed: Mapping[str, str]) -> bytes:
    key, proof = _keys_of(raw, name)
    hidden = from_base64(sealed["ciphertext"])
    if not hmac.compare_digest(hmac.digest(proof, hidden, sha256), from_base64(sealed["mac"])):
        raise WrongKeyError(name)
    found = _cipher(key, from_base64(sealed["iv"])).decrypt(hidden)
    assert isinstance(found, bytes)
    return found
