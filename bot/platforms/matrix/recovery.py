"""What a lost folder needs to be had again: the identity's keys and those of what was said.

Both lie on the homeserver, sealed with a recovery key that is told once and kept by people alone.
With it a new device takes the old identity's signature, and reads what the old one could. Secrets
of another app's are used where its key is given, and never written over.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from secrets import token_bytes
from typing import Any

import vodozemac

from bot.platforms.matrix.connection import Connection
from bot.platforms.matrix.errors import NotFoundError
from bot.platforms.matrix.identity import open_identity, published_master
from bot.platforms.matrix.key_backup import ALGORITHM as BACKUP_ALGORITHM
from bot.platforms.matrix.key_backup import KeyBackup, restore_keys
from bot.platforms.matrix.refusals import RecoveryRefusedError
from bot.platforms.matrix.secret_storage import (
    ALGORITHM,
    KEY_BYTES,
    StorageKey,
    WrongKeyError,
    new_key,
    parse_key,
)
from bot.platforms.matrix.session import (
    Identity,
    Recovery,
    Session,
    load_identity,
    load_recovery,
    save_identity,
    save_recovery,
)
from bot.platforms.matrix.signer import SEED_BYTES, Signer, in_base64

NAME = "Ninebark"
MASTER, SELF_SIGNING, USER_SIGNING = (
    f"m.cross_signing.{usage}" for usage in ("master", "self_signing", "user_signing")
)
BACKUP = "m.megolm_backup.v1"
DEFAULT_KEY = "m.secret_storage.default_key"


async def recover_identity(
    folder: Path, session: Session, ask: Callable[[], str], *, is_new: bool
) -> int | None:
    """Take back what the folder lacks, where the homeserver keeps it and `ask` gives the recovery
    key; return how many keys came, None where there is nothing to take back.

    A device that is new lacks the keys of what was said. Raises RoomError.
    """
    server = Connection(session, folder)
    try:
        if not server.is_encrypting or not await _is_recoverable(server):
            return None
        identity, published = load_identity(folder, server.user_id), await published_master(server)
        has_identity = identity is not None and open_identity(identity)[0].public == published
        if (has_identity and not is_new) or not published or not (text := ask()):
            return None
        return await _recover(server, folder, text)
    finally:
        await server.close()


async def keep_recoverable(folder: Path, session: Session, tell: Callable[[str], None]) -> None:
    """Give a new recovery key to `tell`, unless there is one and its backup; back up the keys.

    Raises RoomError.
    """
    server = Connection(session, folder)
    try:
        if server.is_encrypting:
            await _make_recoverable(server, folder, tell)
    finally:
        await server.close()


async def _is_recoverable(server: Connection) -> bool:
    return await _load_default(server) is not None and bool(await _load(server, MASTER))


async def _recover(server: Connection, folder: Path, text: str) -> int:
    """Raises RecoveryRefusedError where the key opens nothing of the published identity."""
    kept = await _load_default(server)
    if kept is None:
        raise RecoveryRefusedError
    try:
        key = parse_key(text, *kept)
        seeds = [
            key.open(name, await _load(server, name))
            for name in (MASTER, SELF_SIGNING, USER_SIGNING)
        ]
        backup = key.open(BACKUP, held) if (held := await _load(server, BACKUP)) else b""
        master = Signer(seeds[0])
    except (WrongKeyError, ValueError):
        raise RecoveryRefusedError from None
    if await published_master(server) != master.public:
        raise RecoveryRefusedError
    if any(len(seed) != SEED_BYTES for seed in seeds):
        raise RecoveryRefusedError
    save_identity(folder, Identity(server.user_id, b"", *(in_base64(seed) for seed in seeds)))
    count = 0
    version = await _load_version(server)
    if backup and version is not None:
        public = vodozemac.Curve25519SecretKey.from_bytes(backup).public_key().to_base64()
        if version.get("auth_data", {}).get("public_key") == public:
            number = str(version["version"])
            count = await restore_keys(server, number, backup)
            save_recovery(
                folder, Recovery(server.user_id, master.public, key.key_id, number, public)
            )
    return count


async def _make_recoverable(server: Connection, folder: Path, tell: Callable[[str], None]) -> None:
    identity = load_identity(folder, server.user_id)
    if identity is None or server.client.olm is None:
        return
    signers = open_identity(identity)
    kept, there = load_recovery(folder, server.user_id), await _load_default(server)
    is_known = (
        kept is not None
        and kept.master == signers[0].public
        and there is not None
        and there[0] == kept.key_id
        and (await _load_version(server) or {}).get("version") == kept.version
    )
    if not is_known:
        if there is not None and there[1].get("name") != NAME:
            return  # another app's, which the host has the key of
        key, recovery = await _put(server, signers)
        tell(key.text)
        save_recovery(folder, recovery)
    await KeyBackup(server, folder).go_on()


async def _put(server: Connection, signers: Sequence[Signer]) -> tuple[StorageKey, Recovery]:
    master = signers[0]
    key, backup = new_key(), token_bytes(KEY_BYTES)
    public = vodozemac.Curve25519SecretKey.from_bytes(backup).public_key().to_base64()
    proof: dict[str, Any] = {"public_key": public}
    proof["signatures"] = {server.user_id: {f"ed25519:{master.public}": master.sign(proof)}}
    made = await server.request(
        "POST", "room_keys/version", {"algorithm": BACKUP_ALGORITHM, "auth_data": proof}
    )
    secrets = (
        *zip((MASTER, SELF_SIGNING, USER_SIGNING), (each.seed for each in signers), strict=True),
        (BACKUP, backup),
    )
    await _save(server, f"m.secret_storage.key.{key.key_id}", key.describe(NAME))
    for name, secret in secrets:
        await _save(server, name, key.seal(name, secret))
    await _save(server, DEFAULT_KEY, {"key": key.key_id})
    version = str(made["version"])
    return key, Recovery(server.user_id, master.public, key.key_id, version, public)


async def _load_default(server: Connection) -> tuple[str, dict[str, Any]] | None:
    """Return the id of the key in use, and its description; None where there is none of ours."""
    key_id = (await _load(server, DEFAULT_KEY)).get("key")
    if not isinstance(key_id, str):
        return None
    description = await _load(server, f"m.secret_storage.key.{key_id}")
    return (key_id, description) if description.get("algorithm") == ALGORITHM else None


async def _load(server: Connection, name: str) -> dict[str, Any]:
    try:
        return await server.request("GET", server.kept_path(name))
    except NotFoundError:
        return {}


async def _save(server: Connection, name: str, content: dict[str, Any]) -> None:
    await server.request("PUT", server.kept_path(name), content)


async def _load_version(server: Connection) -> dict[str, Any] | None:
    try:
        return await server.request("GET", "room_keys/version")
    except NotFoundError:
        return None
