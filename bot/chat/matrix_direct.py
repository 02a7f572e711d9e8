"""Private rooms: one for each member of a club, opened when first needed and used from then on.

Homeservers let a bot open few rooms, so a room is never opened twice: one that its member has left
is offered again, and one whose opening a crash interrupted is found by the mark in its first event.
A member may open the room instead, by inviting the bot.
"""

from __future__ import annotations

import asyncio
import logging
from collections import defaultdict
from typing import Any
from urllib.parse import quote

from bot.chat.matrix_errors import LimitedError
from bot.chat.matrix_journal import DirectRoom, Journal
from bot.chat.matrix_outbox import LONGEST_REST, Wait
from bot.chat.matrix_server import Server
from bot.chat.matrix_words import MatrixWords
from bot.chat.message import RoomError, RoomGoneError, RoomUnreachableError

APPEAR_SECONDS = 60.0
MARK = "ninebark.direct"
ENCRYPTION = {
    "type": "m.room.encryption",
    "state_key": "",
    "content": {"algorithm": "m.megolm.v1.aes-sha2"},
}

_LOG = logging.getLogger("ninebark.matrix")


class DirectRooms:
    """`heard` is told after each sync, so that a new room can be waited for."""

    def __init__(self, server: Server, journal: Journal, words: MatrixWords, wait: Wait) -> None:
        self._server = server
        self._journal = journal
        self._words = words
        self._wait = wait
        self._heard = asyncio.Event()
        self._in_turn: defaultdict[tuple[str, str], asyncio.Lock] = defaultdict(asyncio.Lock)

    def heard(self) -> None:
        """Note that a sync has come in."""
        self._heard.set()
        self._heard = asyncio.Event()

    async def ensure(self, room_id: str, user_id: str) -> str:
        """Return the private room of a member of a club's room, opening it where there is none.

        Raises RoomError: RoomGoneError where the member cannot be invited.
        """
        async with self._in_turn[room_id, user_id]:
            direct = await self._journal.load_direct(room_id, user_id)
            if direct is not None and direct.target is None:
                target = self._find_marked(room_id, user_id)
                if target is not None:
                    direct = DirectRoom(room_id, user_id, target)
                    await self._journal.save_direct(direct)
            known = None if direct is None else direct.target
            if known is not None and await self._offer_again(known, user_id):
                return known
            await self._journal.save_direct(DirectRoom(room_id, user_id, None))
            is_secret = self._server.is_encrypted(room_id) and self._server.is_encrypting
            target = await self._open(room_id, user_id, is_secret=is_secret)
            await self._journal.save_direct(DirectRoom(room_id, user_id, target))
            await self._until_in(target, is_secret=is_secret)
            return target

    async def adopt(self, target: str, inviter: str) -> bool:
        """Take a room that a member has opened as their private room; False for a stranger.

        It serves the club that has no private room of theirs yet, else the first of theirs.
        """
        clubs: list[str] = []
        for room_id in self._server.rooms():
            is_private = await self._journal.find_direct(room_id) is not None
            if not is_private and self._server.has_member(room_id, inviter):
                clubs.append(room_id)
        if not clubs:
            return False
        chosen = clubs[0]
        for room_id in clubs:
            known = await self._journal.load_direct(room_id, inviter)
            if known is None or known.target is None:
                chosen = room_id
                break
        old = await self._journal.load_direct(chosen, inviter)
        # Saved first: what is said there right after we come in must find its club.
        await self._journal.save_direct(DirectRoom(chosen, inviter, target))
        try:
            await self._server.join(target)
        except RoomError:
            await self._journal.save_direct(old or DirectRoom(chosen, inviter, None))
            raise
        if old is not None and old.target is not None and self._server.is_in(old.target):
            await self._server.leave(old.target)
        return True

    async def _offer_again(self, target: str, user_id: str) -> bool:
        """Invite a member who has left; False where the room is of no use any more."""
        if not self._server.is_in(target):
            return False
        if self._server.is_encrypted(target) and not self._server.is_encrypting:
            await self._server.leave(target)
            return False
        if self._server.has_member(target, user_id, or_invited=True):
            return True
        try:
            await self._server.invite(target, user_id)
        except RoomUnreachableError:
            raise
        except RoomError:
            return False
        return True

    def _find_marked(self, room_id: str, user_id: str) -> str | None:
        for target, content in self._server.marks.items():
            if content.get(MARK) == {"club": room_id, "user": user_id}:
                return target if self._server.is_in(target) else None
        return None

    async def _open(self, room_id: str, user_id: str, *, is_secret: bool) -> str:
        title = self._server.title_of(room_id)
        wish: dict[str, Any] = {
            "preset": "private_chat",
            "is_direct": True,
            "invite": [user_id],
            "name": self._words.direct_name.format(title),
            "topic": self._words.direct_topic.format(title),
            "creation_content": {MARK: {"club": room_id, "user": user_id}},
            "initial_state": [ENCRYPTION] if is_secret else [],
        }
        while True:
            try:
                made = await self._server.request("POST", "createRoom", wish)
            except LimitedError as limit:
                await self._journal.note_limit()
                await self._wait(min(limit.seconds, LONGEST_REST))
            else:
                break
        target = str(made["room_id"])
        try:
            await self._list_as_direct(user_id, target)
        except RoomError as problem:
            _LOG.info("the private room is not listed as direct: %s", problem)
        return target

    async def _list_as_direct(self, user_id: str, target: str) -> None:
        """Add the room to the account's own list of direct rooms, which clients group them by."""
        path = f"user/{quote(self._server.user_id, safe='')}/account_data/m.direct"
        try:
            listed = await self._server.request("GET", path)
        except RoomUnreachableError:
            raise
        except RoomError:
            listed = {}
        own = listed.get(user_id)
        listed[user_id] = [*(own if isinstance(own, list) else []), target]
        await self._server.request("PUT", path, listed)

    async def _until_in(self, target: str, *, is_secret: bool) -> None:
        """Wait until the stream has told of a room, and that it is encrypted where it is: a sync
        may come in the middle of its making, and what is sent then would go in clear."""
        server = self._server
        try:
            async with asyncio.timeout(APPEAR_SECONDS):
                while not server.is_in(target) or (is_secret and not server.is_encrypted(target)):
                    await self._heard.wait()
        except TimeoutError:
            raise RoomGoneError(f"{target} does not appear") from None
