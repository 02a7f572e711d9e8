"""A tap on a live board costs few statements and one commit, and has nobody else looked after.

Counted in a real club, over the socket, in a database file: whatever else the machine does.
"""

from __future__ import annotations

import sys
from pathlib import Path

import aiohttp

from bot.club.service import ClubService
from bot.club.settings import ClubSettings
from bot.commands.table import COURSES
from bot.settings import ClubConfig
from bot.storage import SqliteStore
from bot.wiring.running import open_clubs
from bot.wiring.web import WebAccess
from tests.bot.club.stories import NOON, easy_puzzle, open_story
from tests.bot.platforms.conftest import Client, Tab

TAPS = 10
MOST_STATEMENTS = 30
"""A tap. It was 48, with what it set off, in nine turns at the one connection."""

SETTINGS = ClubSettings(name="Hazel Lane Sudoku Club", post_time="12:00", quick=0)


async def statements(store: SqliteStore, said: list[str]) -> None:
    """Note from now on what either connection runs."""
    for turn in (store.database.run_bare, store.database.read):
        await turn(lambda link: link.set_trace_callback(said.append))


async def touch(tab: Tab, number: int, line: str) -> None:
    await tab.socket.send_json({"type": "touch", "id": f"t{number}", "text": line})
    await tab.until("touched")


async def test_a_tap_is_one_commit_few_statements_and_wakes_no_loop(tmp_path: Path) -> None:
    club = ClubConfig(platform="web", room="main", settings=SETTINGS)
    said: list[str] = []
    async with (
        open_clubs(
            (club,), WebAccess(port=0), database=tmp_path / "club.db", now=lambda: NOON
        ) as house,
        aiohttp.ClientSession() as session,
    ):
        (kept,) = await house.store.load_clubs()
        await house.schedule.serve(kept)
        (day,) = await house.store.load_days(kept.id, open_only=True)
        client = Client(session, house.rooms["web"])  # type: ignore[arg-type]
        tab = await client.open_tab()
        await tab.enter("Ada", "main")
        givens = day.puzzle.givens
        cells = [cell for cell in range(81) if givens[cell] not in "123456789"]
        await touch(tab, 0, f"start {day.date}")
        await statements(house.store, said)
        said.clear()
        for number, cell in enumerate(cells[:TAPS], start=1):
            await touch(tab, number, f"place r{cell // 9 + 1}c{cell % 9 + 1} 1 {day.date}")
        await client.close()
    commits = said.count("BEGIN IMMEDIATE")
    sys.stdout.write(f"{TAPS} taps: {len(said)} statements, {commits} commits\n")
    assert commits == TAPS
    assert len(said) <= TAPS * MOST_STATEMENTS


async def test_what_touches_the_own_board_alone_wakes_nobody_and_an_answer_does() -> None:
    story = await open_story(easy_puzzle())
    woken: list[int] = []
    story.service = ClubService(store=story.store, courses=COURSES, wake=woken.append)
    for line in ("start", "place r1c3 4", "undo", "board", "hint", "check", "leaderboard"):
        await story.say(line)
    assert woken == []
    await story.say(f"hand-in {easy_puzzle().solution}")
    assert woken == [story.club.id]
