"""Private rooms: one for each member of a club, opened when first needed and used from then on.

A private room has two members, the bot and its person, and no club: one that others come into, or
that has a club, is none, whatever was claimed or saved of it. Homeservers let a bot open few rooms,
so a room is never opened twice: one that its member has left is offered again, and one whose
opening a crash interrupted is found by the mark in its first event. A member may open a room
instead, by inviting the bot: their own chat, kept under the club `""`, which serves all their clubs
in the place of every other; lines typed there are for the one club that has its target, too.
"""

from __future__ import annotations

import asyncio
import logging
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from functools import partial
from typing import Any
from urllib.parse import quote

from bot.platforms.clubs import Clubs
from bot.platforms.matrix.errors import BlockedError
from bot.platforms.matrix.inbound import MARK
from bot.platforms.matrix.journal import DirectRoom, Journal
from bot.platforms.matrix.openings import Openings
from bot.platforms.matrix.patience import Patience, Wait
from bot.platforms.matrix.server import Server
from bot.platforms.matrix.words import MatrixWords
from bot.platforms.message import RoomError, RoomGoneError, RoomUnreachableError

APPEAR_SECONDS = 60.0
ENCRYPTION = {
    "type": "m.room.encryption",
    "state_key": "",
    "content": {"algorithm": "m.megolm.v1.aes-sha2"},
}

_LOG = logging.getLogger("ninebark.matrix")


class DirectRooms:
    """`heard` is told after each sync, so that a new room can be waited for."""

    def __init__(
        self,
        server: Server,
        journal: Journal,
        words: MatrixWords,
        wait: Wait,
        patience: Patience,
        clubs: Clubs,
    ) -> None:
        self._server = server
        self._journal = journal
        self._words = words
        self._patience = patience
        self._clubs = clubs
        self._blocked: set[str] = set()
        self.openings = Openings(server, wait, patience)
        self._entered: dict[str, tuple[str, bool]] = {}
        self._heard = asyncio.Event()
        self._in_turn: defaultdict[tuple[str, str], asyncio.Lock] = defaultdict(asyncio.Lock)

    def heard(self) -> None:
        """Note that a sync has come in."""
        self._heard.set()
        self._heard = asyncio.Event()

    async def ensure(self, room_id: str, user_id: str) -> str:
        """Return the private room of a member of a club's room, opening it where there is none.

        Raises RoomError: BlockedError where the member takes no invitation.
        """
        async with self._in_turn[room_id, user_id]:
            own = await self._own_chat(user_id)
            if own is not None:
                return own
            direct = await self._journal.load_direct(room_id, user_id)
            if direct is not None and direct.target is None:
                target = self._find_marked(room_id, user_id)
                if target is not None:
                    direct = DirectRoom(room_id, user_id, target)
                    await self._journal.save_direct(direct)
            known = None if direct is None else direct.target
            if known is not None and known in self._clubs.room_ids:
                known = None
            if known is not None and await self._offer_again(known, user_id):
                return known
            if user_id in self._blocked:
                raise BlockedError(room_id)
            await self._journal.save_direct(DirectRoom(room_id, user_id, None))
            is_secret = self._server.places.is_encrypted(room_id) and self._server.is_encrypting
            target = await self._open(room_id, user_id, is_secret=is_secret)
            if target == await self._own_chat(user_id):
                return target
            await self._journal.save_direct(DirectRoom(room_id, user_id, target))
            await self._until_in(target, user_id, is_secret=is_secret)
            return target

    async def has_one(self, room_id: str, user_id: str) -> bool:
        """Return whether a member of a club's room can be answered in private by now."""
        for club in ("", room_id):
            direct = await self._journal.load_direct(club, user_id)
            if direct is not None and direct.target and await self.find(direct.target):
                return True
        return False

    async def find(self, target: str) -> DirectRoom | None:
        """Return whose private room this is; None where it is nobody's."""
        if target in self._clubs.room_ids:
            return None
        direct = await self._journal.find_direct(target)
        return direct if direct is not None and self._is_of_two(direct) else None

    async def clubs_of(self, user_id: str) -> tuple[str, ...]:
        """Return the rooms of the clubs that somebody is in, or leads by the club's own list."""
        places, led = self._server.places, await self._clubs.led_by(user_id)
        return tuple(
            room_id
            for room_id in places.rooms()
            if room_id in self._clubs.room_ids
            and (room_id in led or places.has_member(room_id, user_id))
        )

    async def turn_to(self, room_id: str, user_id: str, target: str) -> None:
        """Have lines that a member types in their own chat be for a club; `""`: for none yet."""
        own = await self._journal.load_direct("", user_id)
        if own is None or own.target != target:
            return
        for each in await self.clubs_of(user_id):
            known = await self._journal.load_direct(each, user_id)
            if each != room_id and known is not None and known.target == target:
                await self._journal.save_direct(replace(known, target=None))
        if room_id:
            await self._take(DirectRoom(room_id, user_id, target))

    async def enter(self, target: str, inviter: str, *, or_stay: bool) -> None:
        """Come into a room that is said to be private. When its members are known, it becomes the
        inviter's, or it is left; `or_stay`: it may be any room of theirs.
        """
        # Noted first: what is said there right after we come in must find its club.
        self._entered[target] = inviter, or_stay
        try:
            await self._server.join(target)
        except RoomError:
            self._entered.pop(target, None)
            raise

    async def review(self, touched: Iterable[str]) -> tuple[DirectRoom, ...]:
        """Look at the members of rooms that a sync has told of; return the chats that members have
        opened just now."""
        opened = []
        for target in touched:
            if target in self._clubs.room_ids or not self._server.places.is_in(target):
                continue
            try:
                opened += await self._review_one(target)
            except RoomError as problem:
                # Not private all the same; it is looked at again when it is told of again.
                _LOG.warning("%s could not be left: %s", target, problem)
        return tuple(opened)

    async def _review_one(self, target: str) -> list[DirectRoom]:
        opened: list[DirectRoom] = []
        entered = self._entered.get(target)
        if entered is not None:
            opened += await self._take_over(target, *entered)
            self._entered.pop(target, None)
        while (direct := await self._journal.find_direct(target)) is not None:
            if self._is_of_two(direct):
                break
            # A room that an inviter has made before there is a club may still become the club's.
            if self._server.places.is_in(target) and await self.clubs_of(direct.user_id):
                _LOG.warning("%s is private no more, and is left", target)
                await self._server.leave(target)
            await self._journal.save_direct(replace(direct, target=None))
        return opened

    async def _take_over(self, target: str, inviter: str, or_stay: bool) -> list[DirectRoom]:
        chat, clubs = DirectRoom("", inviter, target), await self.clubs_of(inviter)
        is_there = self._server.places.has_member(target, inviter)
        is_private = is_there and self._is_of_two(chat)
        if not is_private or not (clubs or or_stay):
            if not or_stay:
                _LOG.warning("%s by %s is no private room, and is left", target, inviter)
                await self._server.leave(target)
            return []
        await self._take(chat)
        self.openings.look_again()
        _LOG.info("%s is the private room of %s", target, inviter)
        for room_id in clubs if self._server.can_read(target) else ():
            serves = target if len(clubs) == 1 else None
            if serves or await self._journal.load_direct(room_id, inviter) is not None:
                await self._take(DirectRoom(room_id, inviter, serves))
        return [chat]

    async def _take(self, direct: DirectRoom) -> None:
        """Note a private room, and leave the one that it takes the place of."""
        old = await self._journal.load_direct(direct.room_id, direct.user_id)
        await self._journal.save_direct(direct)
        if old is None or old.target in (None, direct.target) or not self._may_leave(old):
            return
        if await self._journal.find_direct(str(old.target)) is None:
            await self._server.leave(str(old.target))

    async def _own_chat(self, user_id: str) -> str | None:
        """Return the chat that a member has opened, where it can be written to."""
        own = await self._journal.load_direct("", user_id)
        if own is None or own.target is None or own.target in self._clubs.room_ids:
            return None
        if not self._server.can_read(own.target):
            return None
        return own.target if await self._offer_again(own.target, user_id) else None

    def _is_of_two(self, direct: DirectRoom) -> bool:
        """Return whether nobody else is in a room or invited to it."""
        everyone = self._server.places.everyone(direct.target or "")
        return everyone <= {direct.user_id, self._server.user_id}

    def _may_leave(self, direct: DirectRoom) -> bool:
        target = direct.target or ""
        return target not in self._clubs.room_ids and self._server.places.is_in(target)

    async def _offer_again(self, target: str, user_id: str) -> bool:
        """Invite a member who has left; False where the room is of no use any more."""
        if not self._server.places.is_in(target):
            return False
        if not self._is_of_two(DirectRoom("", user_id, target)):
            return False
        if not self._server.can_read(target):
            await self._server.leave(target)
            return False
        if self._server.places.has_member(target, user_id, or_invited=True):
            return True
        try:
            await self._invite(target, user_id)
        except RoomUnreachableError:
            raise
        except RoomError:
            return False
        return True

    def _find_marked(self, room_id: str, user_id: str) -> str | None:
        target = self._server.places.find_marked({"club": room_id, "user": user_id})
        return None if target is None or target in self._clubs.room_ids else target

    async def _open(self, room_id: str, user_id: str, *, is_secret: bool) -> str:
        title = self._server.places.title_of(room_id)
        wish: dict[str, Any] = {
            "preset": "private_chat",
            "is_direct": True,
            "name": self._words.direct_name.format(title),
            "topic": self._words.direct_topic.format(title),
            "creation_content": {MARK: {"club": room_id, "user": user_id}},
            "initial_state": [ENCRYPTION] if is_secret else [],
        }
        served = partial(self._own_chat, user_id)
        target = await self.openings.make(room_id, wish, served)
        if target == await served():
            return target
        # Asked in apart: a homeserver that refuses it in the same request leaves a room behind.
        try:
            await self._invite(target, user_id)
        except RoomUnreachableError:
            raise
        except RoomError as problem:
            _LOG.info("%s takes no invitation: %s", user_id, problem)
            self._blocked.add(user_id)
            await self._server.leave(target)
            raise BlockedError(room_id) from None
        try:
            await self._list_as_direct(user_id, target)
        except RoomError as problem:
            _LOG.info("the private room is not listed as direct: %s", problem)
        return target

    async def _invite(self, target: str, user_id: str) -> None:
        """Ask a member into their private room. Raises RoomError."""
        path = f"rooms/{quote(target, safe='')}/state/m.room.member/{quote(user_id, safe='')}"
        wish = {"membership": "invite", "is_direct": True}
        ask = partial(self._server.request, "PUT", path, wish)
        await self._patience.within_limits(ask)

    async def _list_as_direct(self, user_id: str, target: str) -> None:
        """Add the room to the account's own list of direct rooms, which clients group them by."""
        path = self._server.kept_path("m.direct")
        try:
            listed = await self._server.request("GET", path)
        except RoomUnreachableError:
            raise
        except RoomError:
            listed = {}
        own = listed.get(user_id)
        listed[user_id] = [*(own if isinstance(own, list) else []), target]
        await self._server.request("PUT", path, listed)

    async def _until_in(self, target: str, user_id: str, *, is_secret: bool) -> None:
        """Wait until the stream has told all of a room that we have made.

        It tells of a room while the homeserver is still making it: before its encryption, and
        before its person, who comes last and whom else nothing would be encrypted for.
        """
        places = self._server.places
        try:
            async with asyncio.timeout(APPEAR_SECONDS):
                while not (
                    places.has_member(target, user_id, or_invited=True)
                    and places.is_encrypted(target) >= is_secret
                ):
                    await self._heard.wait()
        except TimeoutError:
            raise RoomGoneError(f"{target} does not appear") from None
