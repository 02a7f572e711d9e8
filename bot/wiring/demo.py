"""Runs the demo club: invented, in the web room of this machine, with a week behind it."""

from __future__ import annotations

import asyncio
import webbrowser
from pathlib import Path

from bot.demo import DEMO_ROOM, DemoClock, demo_settings, live_a_week
from bot.platforms.web.room import WebRoom
from bot.settings import ClubConfig
from bot.storage.rows import utc_now
from bot.wiring.running import (
    DATABASE_NAME,
    Announce,
    RunningBot,
    listen_for_the_end,
    open_clubs,
)
from bot.wiring.web import WEB, WebAccess
from bot.wording import terminal


async def run_demo(
    *, port: int, folder: Path | None, open_browser: bool, announce: Announce
) -> int:
    """Serve the demo club until stopped; return the exit code."""
    stopped = listen_for_the_end()
    settings, clock = demo_settings(), DemoClock(utc_now)

    async def fill(bot: RunningBot) -> None:
        club = await bot.store.load_club(WEB.name, DEMO_ROOM)
        if club is not None:
            await live_a_week(bot.store, bot.service, bot.schedule, clock, club)

    async with open_clubs(
        [ClubConfig(WEB.name, DEMO_ROOM, settings)],
        WebAccess(port=port),
        database=None if folder is None else folder / DATABASE_NAME,
        now=clock,
        before_opening=fill,
    ) as bot:
        for line in bot.announce():
            announce(line)
        announce(terminal.demo_advice(settings.leaders[0], kept_in=folder))
        if open_browser:
            room = bot.rooms[WEB.name]
            assert isinstance(room, WebRoom)
            await asyncio.to_thread(webbrowser.open, room.url)
        await stopped.wait()
    return 0
