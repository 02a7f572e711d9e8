"""Taps of several members are decided side by side; whatever touches more stands alone."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from datetime import datetime
from typing import Any

import pytest

from bot.club.club_lock import ClubLock
from bot.club.fake_store import FakeStore
from bot.club.ports import Change
from bot.club.state import Scene
from tests.bot.club.stories import EASY_SOLUTION, easy_puzzle, open_story

MEMBERS = ("ada", "bo", "cleo")


class SlowStore(FakeStore):
    """Notes how many acts are between loading and saving at the same time."""

    def __init__(self) -> None:
        super().__init__()
        self.under_way = 0
        self.most = 0

    async def load_scene(
        self, club_id: int, user_id: str, acted_at: datetime, event_id: str
    ) -> Scene:
        scene = await super().load_scene(club_id, user_id, acted_at, event_id)
        self.under_way += 1
        self.most = max(self.most, self.under_way)
        for _ in range(10):
            await asyncio.sleep(0)
        return scene

    async def save(self, changes: Sequence[Change], **more: Any) -> bool:
        self.under_way -= 1
        return await super().save(changes, **more)


@pytest.mark.parametrize(
    ("line", "most"),
    [("place r1c3 4", 3), ("small r1c3 4", 3), (f"hand-in {EASY_SOLUTION}", 1)],
)
async def test_what_is_ones_own_is_decided_beside_that_of_others(line: str, most: int) -> None:
    store = SlowStore()
    story = await open_story(easy_puzzle(), store=store)
    for name in MEMBERS:
        await story.say("start", by=name)
    store.under_way = store.most = 0
    await asyncio.gather(*(story.say(line, by=name) for name in MEMBERS))
    assert store.most == most


async def test_one_members_taps_are_decided_one_after_another() -> None:
    store = SlowStore()
    story = await open_story(easy_puzzle(), store=store)
    await story.say("start")
    store.under_way = store.most = 0
    await asyncio.gather(*(story.say(f"place r1c3 {digit}") for digit in "124"))
    assert store.most == 1
    assert len((await story.entry()).history) == 3


async def test_whoever_has_finished_is_decided_alone() -> None:
    store = SlowStore()
    story = await open_story(easy_puzzle(), store=store)
    for name in MEMBERS:
        await story.say("start", by=name)
        await story.later(minutes=1).say(f"hand-in {EASY_SOLUTION}", by=name)
    await asyncio.gather(*(story.say("place r1c3 4", by=name) for name in MEMBERS))
    seen = [(await story.entry(name)).board.grid[2] for name in MEMBERS]
    assert seen == ["4"] * 3


async def test_whoever_waits_to_be_alone_keeps_later_ones_out() -> None:
    lock, order = ClubLock(), []

    async def share(name: str, until: asyncio.Event) -> None:
        async with lock.side_by_side():
            order.append(name)
            await until.wait()

    async def be_alone() -> None:
        async with lock.alone():
            order.append("alone")

    first, later = asyncio.Event(), asyncio.Event()
    tasks = [asyncio.create_task(share("one", first)), asyncio.create_task(share("two", first))]
    await asyncio.sleep(0)
    tasks += [asyncio.create_task(be_alone()), asyncio.create_task(share("three", later))]
    for _ in range(5):
        await asyncio.sleep(0)
    assert order == ["one", "two"]
    first.set()
    later.set()
    await asyncio.gather(*tasks)
    assert order == ["one", "two", "alone", "three"]
