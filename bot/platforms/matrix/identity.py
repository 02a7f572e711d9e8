"""Cross-signing: the bot's identity, without which careful clients ignore its device.

Three key pairs: the master signs the other two, the self-signing one signs our device. The library
knows none of this. Made once a user and kept; a lost one comes back by the recovery key, or needs
the password to replace.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from bot.platforms.matrix.connection import Connection
from bot.platforms.matrix.errors import unwrap
from bot.platforms.matrix.refusals import SigningProblem, SigningRefusedError
from bot.platforms.matrix.session import Identity, load_identity, save_identity
from bot.platforms.matrix.signer import Signer, from_base64, in_base64, seed_of_account

Approve = Callable[[str], Awaitable[None]]
"""Gives somebody a link, and returns when they have been there."""

UPLOAD = "keys/device_signing/upload"


async def ensure_identity(
    server: Connection, folder: Path, password: str, approve: Approve | None = None
) -> bool:
    """Make sure that our device is signed by an identity that the homeserver knows.

    Where another is there, `approve` has somebody allow on the homeserver's page that it is
    replaced. Returns False where that would need a proof and none was given. Raises RoomError.
    """
    user_id = server.user_id
    kept = load_identity(folder, user_id)
    published = await published_master(server)
    if kept is not None:
        master, self_signing, _ = open_identity(kept)
        if published != master.public:
            kept = None
    if kept is None:
        if published and not password and approve is None:
            return False
        master, self_signing, user_signing = Signer(), Signer(), Signer()
        await _publish(server, password, approve, master, self_signing, user_signing)
        seeds = (in_base64(each.seed) for each in (master, self_signing, user_signing))
        save_identity(folder, Identity(user_id, b"", *seeds))
    await _sign_device(server, self_signing)
    return True


async def published_master(server: Connection) -> str:
    """Return the public master key that the homeserver tells others, empty where there is none."""
    known = await server.request("POST", "keys/query", {"device_keys": {server.user_id: []}})
    keys = known.get("master_keys", {}).get(server.user_id, {}).get("keys", {})
    return str(next(iter(keys.values()), ""))


def open_identity(identity: Identity) -> tuple[Signer, Signer, Signer]:
    """Return its master, self-signing and user-signing keys."""
    seal = identity.seal
    kept = (identity.master, identity.self_signing, identity.user_signing)
    master, self_signing, user_signing = (
        Signer(seed_of_account(each, seal) if seal else from_base64(each)) for each in kept
    )
    return master, self_signing, user_signing


async def _publish(
    server: Connection,
    password: str,
    approve: Approve | None,
    master: Signer,
    self_signing: Signer,
    user_signing: Signer,
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
    challenge = await server.authorize(UPLOAD, keys)
    if challenge is None:
        return
    proof: dict[str, Any] = {"session": challenge.session}
    if password:
        proof["type"] = "m.login.password"
        proof["identifier"] = {"type": "m.id.user", "user": user_id}
        proof["password"] = password
    elif approve is not None and challenge.takes_browser:
        await approve(challenge.page)
    else:
        raise SigningRefusedError(SigningProblem.PASSWORD)
    if await server.authorize(UPLOAD, {**keys, "auth": proof}) is not None:
        raise SigningRefusedError(SigningProblem.PASSWORD)


async def _sign_device(server: Connection, self_signing: Signer) -> None:
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
