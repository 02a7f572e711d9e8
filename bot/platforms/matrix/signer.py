"""Key pairs that sign as the specification has it: the identity's own, made from 32 bytes each."""

from __future__ import annotations

import base64
import json
import secrets
from collections.abc import Mapping
from typing import Any

import vodozemac
from Crypto.Cipher import AES
from Crypto.Hash import SHA256
from Crypto.Protocol.KDF import HKDF
from Crypto.PublicKey import ECC
from Crypto.Signature import eddsa
from Crypto.Util.Padding import unpad
from nio import Api

SEED_BYTES = 32


class Signer:
    """One ed25519 key pair. `seed` is its private key."""

    def __init__(self, seed: bytes = b"") -> None:
        self.seed = seed or secrets.token_bytes(SEED_BYTES)
        key = ECC.construct(curve="Ed25519", seed=self.seed)
        self._signing = eddsa.new(key, "rfc8032")
        self.public = in_base64(key.public_key().export_key(format="raw"))

    def sign(self, thing: Mapping[str, Any]) -> str:
        """Sign a JSON object: without its signatures and `unsigned`."""
        bare = {key: thing[key] for key in thing if key not in ("signatures", "unsigned")}
        return in_base64(self._signing.sign(Api.to_canonical_json(bare).encode()))


def seed_of_account(sealed: str, seal: bytes) -> bytes:
    """Return the private key of an account of the library's that was sealed with `seal`.

    How one is sealed: https://docs.rs/vodozemac, `AccountPickle` and `Cipher::new_pickle`.
    """
    vodozemac.Account.from_pickle(sealed, seal)  # raises where it is damaged
    keys = HKDF(seal, 80, b"", SHA256, context=b"Pickle")
    assert isinstance(keys, bytes)
    hidden = from_base64(sealed)[:-8]
    opened = AES.new(keys[:32], AES.MODE_CBC, keys[64:]).decrypt(hidden)
    return bytes(json.loads(unpad(opened, AES.block_size))["signing_key"]["Normal"])


def in_base64(raw: bytes) -> str:
    """Return base64 without padding, as Matrix writes keys."""
    return base64.b64encode(raw).decode().rstrip("=")


def from_base64(text: str) -> bytes:
    """Return the bytes of base64, padded or not. Raises ValueError."""
    return base64.b64decode(text + "=" * (-len(text) % 4), validate=True)
