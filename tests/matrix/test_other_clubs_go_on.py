"""What fails in Matrix ends no club elsewhere, neither at the start nor later, and `check` says all
that it finds.
"""

from __future__ import annotations

import asyncio
from contextlib import AsyncExitStack
from pathlib import Path
from typing import Any

import aiohttp
import pytest

from bot.club.state import ClubSettings
from bot.platforms.matrix.refusals import SessionLostError, SignedOutError
from bot.settings import ClubConfig
from bot.storage import open_store
from bot.storage.matrix import SqliteMatrixJournal
from bot.wiring.matrix import MatrixAccess, MatrixSettings
from bot.wiring.running import RunningBot, open_clubs
from bot.wiring.side_by_side import PlatformFailedError
from bot.wiring.web import WebAccess
from bot.wording import matrix as matrix_words
from tests.doubles.matrix.club_house import call, new_account, new_room, sign_in_bot
from tests.doubles.matrix.homeserver import Account, shared_homeserver
from tests.doubles.matrix.member import Member
from tests.matrix.setting import Setting
from tests.matrix.test_setting_up import ninebark, write_config
from tests.patience import PATIENCE

WEB = ClubConfig("web", "main", ClubSettings("Hedgerow"))


def open_both(folder: Path, bot: Account, room_id: str, *, web: bool = True) -> Any:
    entries = [ClubConfig("matrix", room_id, ClubSettings("Orchard Road"))]
    settings = MatrixSettings(homeserver=shared_homeserver().url, user=bot.user_id, encrypt=False)
    return open_clubs(
        [*entries, *([WEB] if web else [])],
        *([WebAccess(port=0)] if web else []),
        MatrixAccess(settings, folder / "matrix"),
        database=folder / "club.db",
    )


async def serves_the_page(house: RunningBot) -> bool:
    page = house.rooms["web"].url
    async with aiohttp.ClientSession() as session, session.get(f"{page}rooms") as answer:
        return [room["title"] for room in await answer.json()] == ["Hedgerow"]


@pytest.mark.expects_error_log
async def test_a_bot_that_is_not_signed_in_to_matrix_serves_its_other_clubs(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    bot = await new_account(shared_homeserver(), "ninebark")
    async with open_both(tmp_path, bot, "!nowhere:club.test") as house:
        assert await serves_the_page(house)
        assert "matrix" not in house.platforms
    (told,) = [each.getMessage() for each in caplog.records if each.levelname == "ERROR"]
    assert "not signed in to Matrix yet" in told
    assert "all others carry on" in told


async def test_where_matrix_is_all_there_is_its_failure_ends_the_start(tmp_path: Path) -> None:
    bot = await new_account(shared_homeserver(), "ninebark")
    with pytest.raises(PlatformFailedError) as caught:
        async with open_both(tmp_path, bot, "!nowhere:club.test", web=False):
            pass
    assert isinstance(caught.value.failure, SessionLostError)


@pytest.mark.expects_error_log
async def test_a_token_that_is_refused_later_closes_the_clubs_in_matrix_only(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    server = shared_homeserver()
    bot = await sign_in_bot(server, tmp_path / "matrix", encrypt=False)
    rowan = await new_account(server, "rowan")
    room_id = await new_room(server, rowan, bot=bot)
    async with AsyncExitStack() as stack:
        house = await stack.enter_async_context(open_both(tmp_path, bot, room_id))
        stopped = asyncio.Event()
        over = asyncio.create_task(house.platforms.until_over(stopped))
        await call(server, bot, "POST", "logout", {})
        async with asyncio.timeout(PATIENCE):
            while not any(each.levelname == "ERROR" for each in caplog.records):
                await call(server, rowan, "GET", "account/whoami")
        assert not over.done()
        assert await serves_the_page(house)
        stopped.set()
        await asyncio.wait_for(over, PATIENCE)


async def test_a_token_that_is_refused_ends_it_where_nothing_else_is_served(
    tmp_path: Path,
) -> None:
    server = shared_homeserver()
    bot = await sign_in_bot(server, tmp_path / "matrix", encrypt=False)
    room_id = await new_room(server, await new_account(server, "rowan"), bot=bot)
    async with open_both(tmp_path, bot, room_id, web=False) as house:
        over = asyncio.create_task(house.platforms.until_over(asyncio.Event()))
        await call(server, bot, "POST", "logout", {})
        with pytest.raises(PlatformFailedError) as caught:
            await asyncio.wait_for(over, PATIENCE)
        assert isinstance(caught.value.failure, SignedOutError)


async def test_check_crashes_on_nothing_and_shows_what_was_set_aside(
    setting: Setting,
) -> None:
    await setting.prepare()
    await setting.start()
    await setting.meet()

    def alter(path: str, answer: Any) -> Any:
        if path.endswith("/sync"):
            for room in answer.get("rooms", {}).get("join", {}).values():
                for event in room["timeline"]["events"]:
                    if event["content"].get("body") == "odd":
                        event["origin_server_ts"] = "\ud800"
        return answer

    setting.line.alter = alter
    place = setting.private_room()
    await setting.ada.say(place, "odd")
    await setting.ada.say(place, "even")
    await setting.ada.until(lambda: "answer to even" in setting.answers())
    lines = matrix_words.unreadable(
        await setting.journal.count_unreadable(), await setting.journal.load_unreadable()
    )
    assert len(lines) == 2
    assert "came in from Matrix 1 time." in lines[0]
    assert setting.ada.user_id in lines[1]
    assert "no stamp (1 time, last on" in lines[1]


async def test_the_program_checks_a_room_that_is_full_of_odd_things(tmp_path: Path) -> None:
    """Things that a homeserver lets through; the first is a device with a key that is none."""
    server = shared_homeserver()
    bot, rowan = await new_account(server, "ninebark"), await new_account(server, "rowan")
    room_id = await new_room(server, rowan, bot=bot, is_encrypted=True)
    member = Member(server, rowan)
    keys = {"ed25519:" + rowan.device_id: "no key", "curve25519:" + rowan.device_id: "none"}
    device = {
        "user_id": rowan.user_id,
        "device_id": rowan.device_id,
        "algorithms": ["m.olm.v1.curve25519-aes-sha2"],
        "keys": keys,
        "signatures": {rowan.user_id: {"ed25519:" + rowan.device_id: "none"}},
    }
    await member.call("POST", "keys/upload", {"device_keys": device})
    sealed = {"algorithm": "m.megolm.v1.aes-sha2", "sender_key": "", "session_id": 5}
    await member.call("PUT", f"rooms/{room_id}/send/m.room.encrypted/odd", sealed)
    await member.close()
    config = write_config(tmp_path, bot, rowan, room_id=room_id)
    known = {"NINEBARK_MATRIX_PASSWORD": "correct horse"}
    code, out, err = await ninebark("check", "--config", str(config), **known)
    assert code == 0, out + err
    assert "all is well" in out
    assert "Traceback" not in err
    async with open_store(tmp_path / "data" / "ninebark.db", alone=False) as store:
        assert await SqliteMatrixJournal(store.database).load_token() is None, "nothing is noted"
