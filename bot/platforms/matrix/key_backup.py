"""A copy of the keys of what was said, on the homeserver, that only the recovery key opens.

By the specification's server-side key backup (`m.megolm_backup.v1.curve25519-aes-sha2`). What runs
knows the public half alone. A key is sent once it is there, and noted once the homeserver has it;
whatever fails is tried again after a later sync and stops nothing.
"""

from __future__ import annotations

import json
import logging
from collections import defaultdict
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any
from urllib.parse import quote

import vodozemac
from nio.crypto.sessions import InboundGroupSession

from bot.platforms.matrix.connection import Connection
from bot.platforms.matrix.errors import LimitedError
from bot.platforms.matrix.inbound import MEGOLM, is_id
from bot.platforms.matrix.session import load_backed_up, load_recovery, save_backed_up
from bot.platforms.matrix.signer import from_base64, in_base64
from bot.platforms.message import RoomError, RoomUnreachableError

ALGORITHM = "m.megolm_backup.v1.curve25519-aes-sha2"
MOST_AT_ONCE = 100

_LOG = logging.getLogger("ninebark.matrix")


class KeyBackup:
    """Sends the keys of one device that are not backed up yet; none where there is no backup."""

    def __init__(self, server: Connection, folder: Path) -> None:
        self._server = server
        self._folder = folder
        self._recovery = load_recovery(folder, server.user_id) if server.is_encrypting else None
        self._done: set[str] = set()
        if self._recovery is not None:
            self._done = load_backed_up(folder, self._recovery.version)

    async def go_on(self) -> None:
        """Send what is not backed up, so much at once; nothing of it is raised."""
        olm = self._server.client.olm
        if self._recovery is None or olm is None:
            return
        # Anybody may send a key, and say it is of a room that no homeserver would take it for.
        due = [
            each
            for each in olm.inbound_group_store
            if each.id not in self._done and is_id(each.room_id, "!")
        ]
        if not due:
            return
        try:
            await self._send(due[:MOST_AT_ONCE])
        except LimitedError:
            return
        except RoomUnreachableError as problem:
            _LOG.warning("keys were not backed up: %s", problem)
        except RoomError as problem:
            # Somebody has begun another backup, or taken this one away: keys go nowhere else.
            _LOG.warning("keys are not backed up any more, run the check: %s", problem)
            self._recovery = None
        except Exception:  # such as a full disk: nothing that is said stops for it
            _LOG.exception("keys could not be noted as backed up")
            self._recovery = None

    async def _send(self, due: Iterable[InboundGroupSession]) -> None:
        assert self._recovery is not None
        public = vodozemac.Curve25519PublicKey.from_base64(self._recovery.public)
        rooms: defaultdict[str, dict[str, Any]] = defaultdict(lambda: {"sessions": {}})
        for session in due:
            rooms[session.room_id]["sessions"][session.id] = _seal(session, public)
        version = quote(self._recovery.version, safe="")
        await self._server.request("PUT", f"room_keys/keys?version={version}", {"rooms": rooms})
        self._done.update(session.id for session in due)
        save_backed_up(self._folder, self._recovery.version, self._done)


async def restore_keys(server: Connection, version: str, private: bytes) -> int:
    """Take the keys of a backup into the device's store; return how many. Raises RoomError."""
    answer = await server.request("GET", f"room_keys/keys?version={quote(version, safe='')}")
    opening = vodozemac.PkDecryption.from_key(vodozemac.Curve25519SecretKey.from_bytes(private))
    found = [
        session
        for room_id, room in _items(answer.get("rooms"))
        for _, kept in _items(room.get("sessions"))
        if (session := _open(opening, room_id, kept)) is not None
    ]
    olm, store = server.client.olm, server.client.store
    assert olm is not None
    assert store is not None
    with store.database.atomic():
        for session in found:
            if olm.inbound_group_store.add(session):
                store.save_inbound_group_session(session)
    return len(found)


def _seal(session: InboundGroupSession, public: vodozemac.Curve25519PublicKey) -> dict[str, Any]:
    said = {
        "algorithm": MEGOLM,
        "forwarding_curve25519_key_chain": session.forwarding_chain,
        "sender_key": session.sender_key,
        "sender_claimed_keys": {"ed25519": session.ed25519},
        "session_key": session.export_session(session.first_known_index),
    }
    hidden = vodozemac.PkEncryption.from_key(public).encrypt(json.dumps(said).encode())
    return {
        "first_message_index": session.first_known_index,
        "forwarded_count": len(session.forwarding_chain),
        "is_verified": False,
        "session_data": {
            "ephemeral": in_base64(hidden.ephemeral_key),
            "ciphertext": in_base64(hidden.ciphertext),
            "mac": in_base64(hidden.mac),
        },
    }


def _open(
    opening: vodozemac.PkDecryption, room_id: str, kept: Mapping[str, Any]
) -> InboundGroupSession | None:
    """Return the key that a backup holds; None for whatever else it holds."""
    try:
        sealed = kept["session_data"]
        parts = (from_base64(sealed[name]) for name in ("ciphertext", "mac", "ephemeral"))
        said = json.loads(opening.decrypt(vodozemac.Message(*parts)))
        signing = said["sender_claimed_keys"]["ed25519"]
        if not is_id(room_id, "!") or not isinstance(signing, str):
            return None
        return InboundGroupSession.import_session(
            said["session_key"], signing, said["sender_key"], room_id
        )
    except Exception:  # a homeserver may hold anything, and one bad key takes no other with it
        _LOG.warning("a key of the backup could not be read")
        return None


def _items(found: object) -> Iterable[tuple[str, Mapping[str, Any]]]:
    parts = found.items() if isinstance(found, dict) else ()
    return [(name, each) for name, each in parts if isinstance(each, dict)]
