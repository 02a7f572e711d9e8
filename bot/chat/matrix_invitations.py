"""Whom the bot follows into a room: those allowed by the host, and members who open their own
private room. Any other invitation is declined.
"""

from __future__ import annotations

import logging
from collections.abc import Collection

from bot.chat.matrix_direct import DirectRooms
from bot.chat.matrix_server import Server
from bot.chat.message import RoomError, RoomUnreachableError

_LOG = logging.getLogger("ninebark.matrix")


class Invitations:
    """`allowed`: the user ids that may bring the bot into a room."""

    def __init__(self, server: Server, direct: DirectRooms, allowed: Collection[str]) -> None:
        self._server = server
        self._direct = direct
        self._allowed = frozenset(allowed)

    async def answer(self) -> None:
        """Accept or decline what is open; one that cannot be answered now is kept."""
        for room_id, invitation in tuple(self._server.invitations.items()):
            try:
                await self._answer_one(room_id, invitation.inviter, invitation.is_direct)
            except RoomUnreachableError as problem:
                _LOG.warning("an invitation waits: %s", problem)
                continue
            except RoomError as problem:
                _LOG.warning("an invitation to %s came to nothing: %s", room_id, problem)
            self._server.invitations.pop(room_id, None)

    async def _answer_one(self, room_id: str, inviter: str, is_direct: bool) -> None:
        if is_direct and await self._direct.adopt(room_id, inviter):
            _LOG.info("entered the private room %s of %s", room_id, inviter)
        elif inviter in self._allowed and not is_direct:
            await self._server.join(room_id)
            _LOG.info("followed %s into %s", inviter, room_id)
        else:
            await self._server.leave(room_id)
            _LOG.info("declined an invitation by %s to %s", inviter, room_id)
