"""The parts put together: the demo's week is lived through the real loop, room and service."""

from __future__ import annotations

import asyncio
import json
import logging
import secrets
from contextlib import AsyncExitStack
from datetime import UTC, datetime
from pathlib import Path

import aiohttp
import msgspec
import pytest

from bot.club.ports import EraseMember, Notice, SaveMember, SavePuzzle, SaveSettings
from bot.club.replies import Reply
from bot.club.state import Club, Member
from bot.demo import DAYS_BEHIND, DEMO_ROOM, DemoClock, demo_settings, live_a_week
from bot.outbox_sender import OutboxSender
from bot.platforms.matrix.news import SetAside
from bot.platforms.message import RoomGoneError
from bot.settings import ClubConfig
from bot.storage import open_store
from bot.storage.matrix import SqliteMatrixJournal
from bot.storage.web import SqliteRoomLog
from bot.wiring.platforms import explain_failure
from bot.wiring.running import RunningBot, open_clubs
from bot.wiring.side_by_side import PlatformFailedError
from bot.wiring.web import WebAccess
from tests.bot.club.stories import easy_puzzle
from tests.patience import PATIENCE

WEDNESDAY = datetime(2026, 11, 25, 10, 30, tzinfo=UTC)


async def test_the_demos_week_is_lived_through_the_real_parts(
    caplog: pytest.LogCaptureFixture,
) -> None:
    clock = DemoClock(lambda: WEDNESDAY)
    settings = msgspec.structs.replace(demo_settings(), zone="UTC")

    async def fill(house: RunningBot) -> None:
        club = await house.store.load_club("web", DEMO_ROOM)
        await live_a_week(house.store, house.service, house.schedule, clock, club)

    with caplog.at_level(logging.WARNING):
        async with open_clubs(
            [ClubConfig("web", DEMO_ROOM, settings)],
            WebAccess(port=0),
            database=None,
            now=clock,
            before_opening=fill,
        ) as house:
            log = SqliteRoomLog(house.store.database)
            entries = await log.since(DEMO_ROOM, "nobody", limit=500)
            club = await house.store.load_club("web", DEMO_ROOM)
            assert club is not None
            results = await house.store.load_results(club.id, None, None)
    # That the loop stood still for a moment is the machine's load.
    assert [each for each in caplog.records if each.name != "ninebark.watchdog"] == []
    posts = [json.dumps(json.loads(entry.body)) for entry in entries if entry.kind == "post"]
    assert sum("Today's puzzle is up." in post for post in posts) == 1
    assert sum("This day is closed." in post for post in posts) == DAYS_BEHIND
    assert sum("Results:" in post for post in posts) == DAYS_BEHIND
    assert sum("Start my clock" in post for post in posts) == 1
    assert len({result.name for result in results}) >= 4
    assert all(result.is_ranked for result in results)


async def test_the_page_names_a_room_as_its_club_is_called_by_now() -> None:
    settings = msgspec.structs.replace(demo_settings(), name="Hazel Lane")
    async with (
        open_clubs(
            [ClubConfig("web", "main", settings)], WebAccess(port=0), database=None
        ) as house,
        aiohttp.ClientSession() as session,
    ):
        club = await house.store.load_club("web", "main")
        assert club is not None

        async def titles() -> list[str]:
            async with session.get(f"{house.rooms['web'].url}rooms") as answer:
                return [room["title"] for room in await answer.json()]

        assert await titles() == ["Hazel Lane"]
        renamed = msgspec.structs.replace(club.settings, name="Hazel Lane Solvers")
        await house.store.save([SaveSettings(club.id, renamed, paused=False)])
        assert await titles() == ["Hazel Lane Solvers"]


async def test_the_web_room_lets_in_by_the_clubs_own_members_leaders_and_name() -> None:
    settings = msgspec.structs.replace(demo_settings(), name="Hazel Lane", leaders=("Rowan",))
    async with (
        open_clubs(
            [ClubConfig("web", "main", settings)], WebAccess(port=0), database=None
        ) as house,
        aiohttp.ClientSession() as session,
    ):
        club = await house.store.load_club("web", "main")
        assert club is not None
        now = msgspec.structs.replace(club.settings, name="Birch Row", leaders=("Willow",))
        await house.store.save([SaveSettings(club.id, now, paused=False)])
        await house.store.save([SaveMember(Member(0, club.id, "ada", "Ada"))])

        async def ask(name: str) -> str:
            origin = house.rooms["web"].url.rstrip("/")
            async with session.ws_connect(
                f"{house.rooms['web'].url}socket", origin=origin
            ) as socket:
                await socket.send_json({"type": "enter", "room": "main", "name": name})
                frame = await socket.receive_json()
                return str(frame.get("problem", frame["type"]))

        for name in ("Ninebark", "Hazel Lane", "Birch Row"):
            assert await ask(name) == "name-reserved"
        assert await ask("R\u043ewan") == await ask("W\u0456llow") == "name-leader"
        assert await ask("A-d-a") == "name-taken"
        for name in ("Rowan", "Willow", "Ada", "Bea"):
            assert await ask(name) == "entered"


async def test_a_leader_on_the_page_is_told_and_leads_however_their_name_is_written() -> None:
    settings = msgspec.structs.replace(
        demo_settings(), name="Hazel Lane", zone="UTC", leaders=("Willow",)
    )
    async with (
        open_clubs(
            [ClubConfig("web", "main", settings)],
            WebAccess(port=0),
            database=None,
            now=lambda: WEDNESDAY,
        ) as house,
        aiohttp.ClientSession() as session,
        AsyncExitStack() as tabs,
    ):
        origin = house.rooms["web"].url.rstrip("/")

        async def enter(name: str) -> aiohttp.ClientWebSocketResponse:
            socket = await tabs.enter_async_context(
                session.ws_connect(f"{origin}/socket", origin=origin)
            )
            await socket.send_json({"type": "enter", "room": "main", "name": name})
            return socket

        async def hears(socket: aiohttp.ClientWebSocketResponse, words: str) -> None:
            async with asyncio.timeout(PATIENCE):
                while words not in str((await socket.receive()).data):
                    assert not socket.closed

        async def say(socket: aiohttp.ClientWebSocketResponse, line: str, answer: str) -> None:
            await socket.send_json({"type": "act", "id": secrets.token_hex(8), "text": line})
            await hears(socket, answer)

        willow, rowan, ada = [await enter(name) for name in ("Willow", "rOWAN", "Ada")]
        await say(rowan, "club report", "for the club's leaders")
        await say(willow, "club setup leaders=Rowan", "Rowan")
        await say(rowan, "club post-now", "done")
        await hears(ada, "Today's puzzle is up.")
        club = await house.store.load_club("web", "main")
        assert club is not None
        (day,) = await house.store.load_days(club.id)
        await say(ada, "start", "Your clock is running.")
        await say(ada, f"hand-in {day.puzzle.solution}", "leader")
        for leader in (willow, rowan):
            await hears(leader, "It does not rank until you say so.")


async def test_puzzles_of_an_older_ninebark_get_their_forms_at_the_start(tmp_path: Path) -> None:
    """Without one, a puzzle turned round would pass for another."""
    known = easy_puzzle()
    path, old = tmp_path / "club.db", msgspec.structs.replace(known, form="", pattern="")
    async with open_store(path) as store:
        await store.save([SavePuzzle(old)])
    entry = ClubConfig("web", "main", demo_settings())
    async with open_clubs([entry], WebAccess(port=0), database=path) as house:
        (found,) = [
            each for each in await house.store.list_puzzles() if each.givens == known.givens
        ]
    assert found.form == known.form
    assert found.pattern


async def test_who_is_erased_is_erased_from_what_every_room_remembers() -> None:
    entry = ClubConfig("web", "main", demo_settings())
    async with open_clubs([entry], WebAccess(port=0), database=None) as house:
        log = SqliteRoomLog(house.store.database)
        journal = SqliteMatrixJournal(house.store.database)
        away = await house.store.add_club("matrix", "!hazel", demo_settings())
        page = await house.store.load_club("web", "main")
        assert page is not None
        await log.append("main", "ada", "answer", b"private")
        odd = SetAside("!hazel", "@ada", "no stamp", b"odd")
        await journal.take_in("s1", [], {}, [odd])

        async def private() -> list[bytes]:
            return [each.body for each in await log.since("main", "ada") if each.user_id]

        await house.store.save([EraseMember(away.id, "@ada")])
        assert await journal.load_unreadable() == ()
        assert await private() == [b"private"]
        await house.store.save([EraseMember(page.id, "ada")])
        assert await private() == []


async def test_a_port_that_is_taken_ends_the_start_with_an_example() -> None:
    entry = ClubConfig("web", "main", demo_settings())
    async with open_clubs([entry], WebAccess(port=0), database=None) as first:
        port = int(first.rooms["web"].url.rstrip("/").rpartition(":")[2])
        with pytest.raises(PlatformFailedError) as caught:
            async with open_clubs([entry], WebAccess(port=port), database=None):
                pass
    told = explain_failure(caught.value.platform, caught.value.failure)
    assert told.text.startswith(f"Port {port} on 127.0.0.1 cannot be opened")
    assert not told.is_input, "the port may be free again in a moment"


async def never_asked(notice: Notice) -> Reply:
    raise AssertionError(notice)


async def test_a_club_whose_platform_is_served_no_more_waits_for_it() -> None:
    club = Club(1, "elsewhere", "main", demo_settings(), False)
    notice = Notice(1, club, "day:1", "room", b"", "", None)
    with pytest.raises(RoomGoneError):
        await OutboxSender({}, never_asked).find(notice)
