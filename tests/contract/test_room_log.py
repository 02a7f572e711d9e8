"""What the web room expects of its timeline, run on the fake in memory and on SQLite."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from bot.platforms.web.log import FakeRoomLog, RoomLog
from bot.storage import open_store
from bot.storage.web import SqliteRoomLog


@pytest.fixture(params=["fake", "sqlite"])
async def log(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[RoomLog]:
    if request.param == "fake":
        yield FakeRoomLog()
        return
    async with open_store(tmp_path / "club.db") as store:
        yield SqliteRoomLog(store.database)


async def _bodies(log: RoomLog, room_id: str, user_id: str, **more: int) -> list[bytes]:
    return [entry.body for entry in await log.since(room_id, user_id, **more)]


async def test_a_key_is_used_once_in_a_room(log: RoomLog) -> None:
    first, is_new = await log.append("maple", None, "post", b"1", "day")
    assert is_new
    assert await log.append("maple", None, "post", b"2", "day") == (first, False)
    elsewhere, is_new = await log.append("elm", None, "post", b"3", "day")
    assert is_new
    assert elsewhere != first
    assert await _bodies(log, "maple", "ada") == [b"1"]


async def test_lines_without_a_key_are_all_kept(log: RoomLog) -> None:
    for body in (b"1", b"1"):
        assert (await log.append("maple", None, "talk", body))[1]
    assert await _bodies(log, "maple", "ada") == [b"1", b"1"]


async def test_a_private_line_is_seen_by_its_user_alone(log: RoomLog) -> None:
    await log.append("maple", None, "post", b"for all")
    await log.append("maple", "ada", "answer", b"for ada")
    await log.append("elm", "ada", "answer", b"elsewhere")
    assert await _bodies(log, "maple", "ada") == [b"for all", b"for ada"]
    assert await _bodies(log, "maple", "ben") == [b"for all"]


async def test_only_its_own_reader_can_ask_for_a_private_line_by_its_id(log: RoomLog) -> None:
    open_to_all, _ = await log.append("maple", None, "post", b"for all")
    own, _ = await log.append("maple", "ada", "answer", b"for ada")
    found = await log.load_own("maple", "ada", own)
    assert found is not None
    assert (found.id, found.user_id, found.kind, found.body) == (own, "ada", "answer", b"for ada")
    others = ("maple", "ben", own), ("elm", "ada", own), ("maple", "ada", open_to_all)
    for place, user_id, entry_id in (*others, ("maple", "ada", own + 100)):
        assert await log.load_own(place, user_id, entry_id) is None


async def test_only_what_came_after_is_returned_oldest_first_and_the_newest_of_many(
    log: RoomLog,
) -> None:
    ids = [(await log.append("maple", None, "talk", b"%d" % number))[0] for number in range(5)]
    assert ids == sorted(set(ids))
    assert await _bodies(log, "maple", "ada", after_id=ids[2]) == [b"3", b"4"]
    assert await _bodies(log, "maple", "ada", limit=2) == [b"3", b"4"]
    assert await _bodies(log, "maple", "ada", limit=0) == []


async def test_a_line_can_be_replaced_and_keeps_its_place(log: RoomLog) -> None:
    first, _ = await log.append("maple", None, "post", b"old", "results")
    await log.append("maple", None, "talk", b"after")
    assert await log.replace(first, b"mended")
    assert await _bodies(log, "maple", "ada") == [b"mended", b"after"]
    entry = await log.load_entry(first)
    assert entry is not None
    assert (entry.kind, entry.key, entry.user_id) == ("post", "results", None)
    assert not await log.replace(first + 100, b"nowhere")


async def test_a_removed_line_is_gone_and_its_id_is_not_used_again(log: RoomLog) -> None:
    gone, _ = await log.append("maple", None, "talk", b"an answer", "key")
    assert await log.remove(gone)
    assert not await log.remove(gone)
    assert await log.find("maple", "key") is None
    assert await log.load_entry(gone) is None
    after, _ = await log.append("maple", None, "talk", b"next")
    assert after > gone


async def test_a_line_is_found_by_its_key(log: RoomLog) -> None:
    line, _ = await log.append("maple", None, "post", b"1", "day")
    assert await log.find("maple", "day") == line
    assert await log.find("elm", "day") is None
    assert await log.find("maple", "night") is None


async def test_the_same_picture_is_kept_once_under_one_token(log: RoomLog) -> None:
    token = await log.save_picture(b"\x89PNG one")
    assert await log.save_picture(b"\x89PNG one") == token
    assert await log.save_picture(b"\x89PNG two") != token
    assert await log.load_picture(token) == b"\x89PNG one"
    assert await log.load_picture("0" * 64) is None
