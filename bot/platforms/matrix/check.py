"""What a host wants to know before a club begins in Matrix: is the bot in, may it do its work?"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from bot.platforms.matrix.look import MatrixLook, RoomFound
from bot.platforms.matrix.server import Server
from bot.platforms.matrix.session import Session, load_recovery


async def look_around(
    folder: Path, session: Session, room_ids: Iterable[str], *, encrypt: bool
) -> MatrixLook:
    """Ask the homeserver how things stand; nothing is changed, and no place is noted down.

    Raises RoomError.
    """
    server = Server(session, folder, encrypt=encrypt)
    try:
        await server.sync(None, is_first=True)
        return MatrixLook(
            user_id=server.user_id,
            device_id=server.device_id,
            is_encrypting=server.is_encrypting,
            places=tuple(_place(server, room_id) for room_id in room_ids),
            invitations=tuple(each.inviter for each in server.invitations.values()),
            has_recovery=load_recovery(folder, server.user_id) is not None,
        )
    finally:
        await server.close()


def _place(server: Server, room_id: str) -> RoomFound:
    if not server.places.is_in(room_id):
        return RoomFound(room_id)
    power = server.places.power_of(room_id, server.user_id)
    return RoomFound(
        room_id=room_id,
        title=server.places.title_of(room_id),
        is_there=True,
        is_encrypted=server.places.is_encrypted(room_id),
        may_post=power >= server.places.power_to_post(room_id),
        may_redact=power >= server.places.power_to_redact(room_id),
    )
