"""The watchdog: a stall of the loop is told with its command, and with nothing else of the line."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Coroutine
from datetime import UTC, datetime
from typing import Any

import pytest

from bot.club.acts import Event
from bot.club.replies import Reply, TalkHeard
from bot.club.state import Club, ClubSettings
from bot.exchange import Exchange
from bot.platforms.fake import FakeRoom
from bot.platforms.message import Incoming
from bot.watchdog import BEAT_SECONDS, LONGEST_STEP, Watchdog

NOON = datetime(2026, 11, 23, 12, tzinfo=UTC)
ANSWER = "428963175935478261"


class Clock:
    """A clock that stands unless somebody turns it on."""

    def __init__(self) -> None:
        self.seconds = 1000.0

    def __call__(self) -> float:
        return self.seconds


class SlowClub:
    """A store and a service in one: deciding takes some of the clock's time, before a wait or
    after it."""

    def __init__(self, clock: Clock, before: float, after: float = 0.0) -> None:
        self.club = Club(1, "web", "main", ClubSettings("Maple Street Solvers"), False)
        self._clock = clock
        self._steps = before, after

    async def load_club(self, platform: str, room_id: str) -> Club:
        return self.club

    async def answer_and_look(self, event: Event) -> tuple[Reply, str]:
        for seconds in self._steps:
            self._clock.seconds += seconds
            await asyncio.sleep(0)
        return TalkHeard(), ""


async def say(line: str, *, before: float, after: float = 0.0) -> None:
    clock = Clock()
    house: Any = SlowClub(clock, before, after)
    rooms = {"web": FakeRoom(["main"], platform="web")}
    exchange = Exchange(house, house, rooms, watchdog=Watchdog(clock))
    act = Incoming("web:1", "web", "main", "ada", "Ada", False, NOON, NOON, line)
    assert await exchange.answer(act) == ()


@pytest.mark.parametrize(
    ("line", "named"),
    [
        (f"hand-in {ANSWER}", "hand-in"),
        (f"/ANSWER {ANSWER}", "hand-in"),
        (f"club  queue {ANSWER} credit=token-4711", "club queue"),
        (ANSWER, "talk"),
        ("r4c5=7", "place"),
    ],
)
async def test_a_step_that_takes_long_is_told_with_its_command_alone(
    line: str, named: str, caplog: pytest.LogCaptureFixture
) -> None:
    for before, after in ((0.15, 0.0), (0.0, 0.15)):
        caplog.clear()
        await say(line, before=before, after=after)
        (record,) = caplog.records
        assert record.levelno == logging.WARNING
        assert record.getMessage() == f"the event loop stood still for 150 ms: {named}"


async def test_several_short_steps_are_no_stall(caplog: pytest.LogCaptureFixture) -> None:
    await say("hint", before=LONGEST_STEP * 0.9, after=LONGEST_STEP * 0.9)
    assert not caplog.records


async def beats(*late: float) -> None:
    """Let the watchdog's beat come late so many times, and end it."""
    clock, left = Clock(), list(late)

    async def wait(seconds: float) -> None:
        assert seconds == BEAT_SECONDS
        if not left:
            raise asyncio.CancelledError
        clock.seconds += seconds + left.pop(0)

    with pytest.raises(asyncio.CancelledError):
        await Watchdog(clock, wait).run()


async def test_a_stall_of_no_command_is_told_once(caplog: pytest.LogCaptureFixture) -> None:
    await beats(0.0, 0.25, 0.05)
    assert [record.getMessage() for record in caplog.records] == [
        "the event loop stood still for 250 ms: no command"
    ]


async def test_what_a_command_was_told_of_is_not_told_again_by_the_beat(
    caplog: pytest.LogCaptureFixture,
) -> None:
    clock = Clock()
    watchdog = Watchdog(clock, lambda seconds: watchdog.watched("hint", slow()))

    async def slow() -> None:
        if caplog.records:
            raise asyncio.CancelledError
        clock.seconds += 0.5

    with pytest.raises(asyncio.CancelledError):
        await watchdog.run()
    assert [record.getMessage() for record in caplog.records] == [
        "the event loop stood still for 500 ms: hint"
    ]


async def test_watched_work_is_cancelled_and_fails_as_it_would_by_itself() -> None:
    seen = []

    async def waits() -> str:
        try:
            await asyncio.Event().wait()
        except asyncio.CancelledError:
            seen.append("cancelled")
            raise
        return "never"

    async def fails() -> None:
        await asyncio.sleep(0)
        raise LookupError("gone")

    async def watch(work: Coroutine[Any, Any, object]) -> object:
        return await Watchdog().watched("hint", work)

    task = asyncio.create_task(watch(waits()))
    await asyncio.sleep(0)
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task
    assert seen == ["cancelled"]
    with pytest.raises(LookupError, match="gone"):
        await watch(fails())
