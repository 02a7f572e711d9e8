"""Cross-signing: the bot's identity, without which careful clients ignore its device.

Three key pairs: the master signs the other two, the self-signing one signs our device. The library
knows none of this, but its accounts are key pairs that sign and can be sealed, so each key here is
such an account. Made once a user and kept; a lost one needs the password to replace.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import vodozemac
from nio import Api

from bot.platforms.matrix.errors import unwrap
from bot.platforms.matrix.refusals import SigningProblem, SigningRefusedError
from bot.platforms.matrix.server import Server
from bot.platforms.matrix.session import Identity, load_identity, save_identity


class Signer:
    """One key pair."""

    def __init__(self, account: vodozemac.Account) -> None:
        self._account = account
        self.public = str(account.ed25519_key.to_base64())

    def sign(self, thing: Mapping[str, Any]) -> str:
        """Sign a JSON object as the specification has it: without signatures and `unsigned`."""
        bare = {key: thing[key] for key in thing if key not in ("signatures", "unsigned")}
        return str(self._account.sign(Api.to_canonical_json(bare).encode()).to_base64())

    def sealed(self, seal: bytes) -> str:
        """Return the private key, encrypted under `seal` (32 bytes), for a file."""
        return str(self._account.pickle(seal))


async def ensure_identity(server: Server, folder: Path, password: str) -> bool:
    """Make sure that our device is signed by an identity that the homeserver knows.

    Returns False where that would need the password and none was given. Raises RoomError.
    """
    user_id = server.user_id
    kept = load_identity(folder, user_id)
    known = await server.request("POST", "keys/query", {"device_keys": {user_id: []}})
    published = known.get("master_keys", {}).get(user_id)
    if kept is not None:
        master, self_signing = _open(kept.master, kept), _open(kept.self_signing, kept)
        if published is None or f"ed25519:{master.public}" not in published.get("keys", {}):
            kept = None
    if kept is None:
        if published is not None and not password:
            return False
        master, self_signing, user_signing = (Signer(vodozemac.Account()) for _ in range(3))
        await _publish(server, password, master, self_signing, user_signing)
        seal = secrets.token_bytes(32)
        save_identity(
            folder,
            Identity(
                user_id=user_id,
                seal=seal,
                master=master.sealed(seal),
                self_signing=self_signing.sealed(seal),
                user_signing=user_signing.sealed(seal),
            ),
        )
    await _sign_device(server, self_signing)
    return True


def _open(sealed: str, identity: Identity) -> Signer:
    return Signer(vodozemac.Account.from_pickle(sealed, identity.seal))


async def _publish(
    server: Server, password: str, master: Signer, self_signing: Signer, user_signing: Signer
) -> None:
    user_id = server.user_id
    keys: dict[str, Any] = {}
    for usage, signer in (
        ("master", master),
        ("self_signing", self_signing),
        ("user_signing", user_signing),
    ):
        key: dict[str, Any] = {
            "user_id": user_id,
            "usage": [usage],
            "keys": {f"ed25519:{signer.public}": signer.public},
        }
        if signer is not master:
            key["signatures"] = {user_id: {f"ed25519:{master.public}": master.sign(key)}}
        keys[f"{usage}_key"] = key
    session = await server.authorize("keys/device_signing/upload", keys)
    if session is None:
        return
    if not password:
        raise SigningRefusedError(SigningProblem.PASSWORD)
    proof = {
        "type": "m.login.password",
        "identifier": {"type": "m.id.user", "user": user_id},
        "password": password,
        "session": session,
    }
    if await server.authorize("keys/device_signing/upload", {**keys, "auth": proof}) is not None:
        raise SigningRefusedError(SigningProblem.PASSWORD)


async def _sign_device(server: Server, self_signing: Signer) -> None:
    client, user_id = server.client, server.user_id
    if client.should_upload_keys:
        unwrap(await client.keys_upload())
    assert client.olm is not None
    found = await server.request("POST", "keys/query", {"device_keys": {user_id: []}})
    device = found.get("device_keys", {}).get(user_id, {}).get(server.device_id, {})
    own = client.olm.account.identity_keys
    theirs = device.get("keys", {})
    if any(theirs.get(f"{kind}:{server.device_id}") != key for kind, key in own.items()):
        raise SigningRefusedError(
            SigningProblem.SIGNATURE
        )  # not our device: nothing is signed blindly
    bare = {key: device[key] for key in device if key not in ("signatures", "unsigned")}
    mark = {f"ed25519:{self_signing.public}": self_signing.sign(bare)}
    signed = {**bare, "signatures": {user_id: mark}}
    answer = await server.request(
        "POST", "keys/signatures/upload", {user_id: {server.device_id: signed}}
    )
    if answer.get("failures"):
        raise SigningRefusedError(SigningProblem.SIGNATURE)
