"""What a room tells may take as long as a network does; the club goes on meanwhile."""

from __future__ import annotations

import asyncio

import pytest

from bot.club.ports import NoRooms, Place
from bot.club.replies import MoveRefused, PostAsked, TodayShown
from bot.club.service import ClubService
from bot.club.state import Club
from bot.commands import table as commands
from tests.bot.club.stories import Story, easy_puzzle, open_story
from tests.patience import PATIENCE


class FarRooms(NoRooms):
    """Rooms behind a network that answers when it is let."""

    def __init__(self) -> None:
        self.asked = asyncio.Event()
        self.let = asyncio.Event()

    async def _come_back(self) -> None:
        self.asked.set()
        await self.let.wait()

    async def find_place(self, club: Club, named: str, user_id: str) -> Place:
        await self._come_back()
        return Place()

    async def is_up(self, club: Club, reference: str) -> bool:
        await self._come_back()
        return True


@pytest.mark.parametrize(
    ("line", "kind"), [("club move #elsewhere", MoveRefused), ("club post-now", PostAsked)]
)
async def test_a_member_is_answered_while_a_leaders_command_waits_for_a_room(
    line: str, kind: type
) -> None:
    told = await open_story(easy_puzzle())
    rooms = FarRooms()
    service = ClubService(store=told.store, courses=commands.COURSES, rooms=rooms)
    story = Story(told.store, service, told.club)
    leading = asyncio.create_task(story.say(line, by="rowan", leads=True))
    async with asyncio.timeout(PATIENCE):
        await rooms.asked.wait()
        await story.hears(TodayShown, "today")
        await story.say("start", by="ben")
        assert not leading.done()
        rooms.let.set()
        assert isinstance(await leading, kind)
