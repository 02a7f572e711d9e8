"""What takes a notice of the outbox to the room that it is for: composed, sent, looked for.

When something is sent, and what becomes of a failure, is decided in `bot.sending`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import replace
from datetime import datetime

from bot.club.lanes import Kind, is_quiet, lane_of
from bot.club.ports import Notice
from bot.club.replies import Reply
from bot.exchange import compose, compose_thread
from bot.places import Places
from bot.platforms.message import Room, RoomGoneError

COMPOSED_AT_ONCE = 3
"""Notices in the making: pictures of many clubs that are due together are drawn in the order in
which they go out, and no faster than answers can be drawn beside them."""

ON_THE_WAY = 50
"""Notices of a kind that a platform is being given: their pictures are in memory meanwhile."""


class OutboxSender:
    """Sends notices to their rooms, and looks for those that may be there. `rooms` by platform;
    `reply_of` tells what a notice says."""

    def __init__(
        self, rooms: Mapping[str, Room], reply_of: Callable[[Notice], Awaitable[Reply]]
    ) -> None:
        self._rooms = rooms
        self._reply_of = reply_of
        self._composing = Places(COMPOSED_AT_ONCE)
        self._on_the_way: defaultdict[tuple[str, Kind], Places] = defaultdict(
            lambda: Places(ON_THE_WAY)
        )

    async def send(self, notice: Notice) -> str:
        """Send a notice; return the platform's reference. Raises RoomError."""
        async with self._on_the_way[notice.club.platform, lane_of(notice).kind].one():
            return await self._compose_and_send(notice)

    async def _compose_and_send(self, notice: Notice) -> str:
        room, room_id, key = self._room_of(notice), notice.room_id, notice.room_key
        kind, settings = lane_of(notice).kind, notice.club.settings
        in_both = room.offers_themes
        if notice.audience == "thread":
            async with self._composing.one(kind):
                reply = await self._reply_of(notice)
                title, messages = await compose_thread(reply, settings, in_both=in_both)
            return await room.post_thread(room_id, notice.post_ref or "", title, messages, key=key)
        if notice.audience == "under":
            async with self._composing.one(kind):
                reply = await self._reply_of(notice)
                title, (message,) = await compose_thread(reply, settings, in_both=in_both)
            message = replace(message, is_quiet=is_quiet(notice))
            return await room.post_under(room_id, notice.post_ref or "", title, message, key=key)
        async with self._composing.one(kind):
            reply = await self._reply_of(notice)
            message = (await compose(reply, settings, in_both=in_both))[-1]
            pings = settings.ping if kind is Kind.POST else ()
            message = replace(message, is_quiet=is_quiet(notice), pings=pings)
        if notice.audience == "mend" and notice.post_ref is not None:
            return await room.edit(room_id, notice.post_ref, message, key=key)
        if notice.audience == "member":
            return await room.tell(room_id, notice.user_id, message, key=notice.key)
        may_wait = kind is not Kind.POST
        return await room.post(room_id, message, key=key, may_wait=may_wait)

    async def find(self, notice: Notice) -> str | None:
        """Look for a post that may be out already. Threads and private lines are keyed anyway."""
        if notice.audience != "room":
            return None
        return await self._room_of(notice).find_post(notice.room_id, notice.room_key)

    async def stamp(self, notice: Notice, reference: str) -> datetime | None:
        """Return when a post could first be seen, None where the platform tells no time."""
        return await self._room_of(notice).stamp_of(notice.room_id, reference)

    def _room_of(self, notice: Notice) -> Room:
        platform = notice.club.platform
        if platform not in self._rooms:
            raise RoomGoneError(f"no room of {platform} is served here")
        return self._rooms[platform]
