"""What takes notices to their rooms: how many are in memory at once, and who waits for whom."""

from __future__ import annotations

import asyncio

from bot.club.ports import Notice
from bot.club.replies import Reply
from bot.club.replies_refusing import Busy
from bot.club.state import Club
from bot.demo import demo_settings
from bot.outbox_sender import ON_THE_WAY, OutboxSender
from bot.platforms.fake import FakeRoom
from bot.platforms.message import Message
from tests.patience import PATIENCE


class SlowRoom(FakeRoom):
    """A room that takes the day's posts at once, and whatever may wait only when it is let."""

    def __init__(self) -> None:
        super().__init__(["main"])
        self.opened = asyncio.Event()

    async def post(
        self, room_id: str, message: Message, *, key: str, may_wait: bool = False
    ) -> str:
        if may_wait:
            await self.opened.wait()
        return await super().post(room_id, message, key=key, may_wait=may_wait)


async def test_what_a_slow_platform_does_not_take_yet_is_not_in_memory_and_holds_up_no_post() -> (
    None
):
    room, composed, full = SlowRoom(), list[str](), asyncio.Event()

    async def reply_of(notice: Notice) -> Reply:
        composed.append(notice.key)
        if len(composed) > ON_THE_WAY:
            full.set()
        return Busy()

    sender = OutboxSender({"fake": room}, reply_of)
    club = Club(1, "fake", "main", demo_settings(), False)

    def notice(number: int, key: str) -> Notice:
        return Notice(number, club, f"{key}:{number}", "room", b"", "", None)

    waiting = [
        asyncio.create_task(sender.send(notice(number, "results")))
        for number in range(3 * ON_THE_WAY)
    ]
    posted = await asyncio.wait_for(sender.send(notice(1000, "day")), PATIENCE)
    assert posted
    await asyncio.wait_for(full.wait(), PATIENCE)
    for _ in range(100):
        await asyncio.sleep(0)
    assert len(composed) == ON_THE_WAY + 1
    room.opened.set()
    await asyncio.gather(*waiting)
    assert len(composed) == 3 * ON_THE_WAY + 1
