"""Whom the bot follows into a room: those allowed by the host, anywhere; anybody where a club's
room goes on; a club's members into a private room of their own, which it leaves again if it is
none. Other invitations are declined.

That a room is direct is the inviter's claim: it opens nothing by itself.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Collection, Container

from bot.platforms.matrix.direct import DirectRooms
from bot.platforms.matrix.server import Invitation, Server
from bot.platforms.message import RoomError, RoomUnreachableError

_LOG = logging.getLogger("ninebark.matrix")


class Invitations:
    """`allowed`: the user ids that may bring the bot into a room; `clubs`: the rooms that have a
    club; `is_awaited` tells of rooms that a club is on its way to; `reason` is why others' are
    declined.
    """

    def __init__(
        self,
        server: Server,
        direct: DirectRooms,
        allowed: Collection[str],
        clubs: Container[str],
        is_awaited: Callable[[str], bool],
        reason: str,
    ) -> None:
        self._server = server
        self._direct = direct
        self._allowed = frozenset(allowed)
        self._clubs = clubs
        self._is_awaited = is_awaited
        self._reason = reason

    async def answer(self) -> None:
        """Accept or decline what is open; one that cannot be answered now is kept."""
        for room_id, invitation in tuple(self._server.invitations.items()):
            try:
                await self._answer_one(room_id, invitation)
            except RoomUnreachableError as problem:
                _LOG.warning("an invitation waits: %s", problem)
                continue
            except RoomError as problem:
                _LOG.warning("an invitation to %s came to nothing: %s", room_id, problem)
            self._server.invitations.pop(room_id, None)

    async def _answer_one(self, room_id: str, invitation: Invitation) -> None:
        inviter = invitation.inviter
        is_allowed = inviter in self._allowed or self._is_awaited(room_id)
        may_be_private = invitation.is_direct and room_id not in self._clubs
        if may_be_private and (is_allowed or await self._direct.clubs_of(inviter)):
            await self._direct.enter(room_id, inviter, or_stay=is_allowed)
        elif is_allowed:
            await self._server.join(room_id)
            _LOG.info("followed %s into %s", inviter, room_id)
        else:
            await self._server.leave(room_id, reason=self._reason)
            _LOG.info("declined an invitation by %s to %s", inviter, room_id)
