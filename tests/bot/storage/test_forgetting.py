"""What is forgotten: old replies and private lines, pictures nobody shows, an erased member."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from bot.club.ports import EraseMember, MarkClosed, SaveEntry
from bot.platforms.web.log import Look
from bot.storage import SqliteStore, open_store
from bot.storage.web import SqliteRoomLog
from bot.wiring.platforms import MEMORIES
from tests.bot.storage.samples import NOON, ONE_DAY, full_entry, new_club, new_day, new_member


class Clock:
    def __init__(self) -> None:
        self.at = NOON

    def now(self) -> datetime:
        return self.at


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
async def store(tmp_path: Path, clock: Clock) -> AsyncIterator[SqliteStore]:
    async with open_store(tmp_path / "club.db", now=clock.now, memories=MEMORIES) as opened:
        yield opened


@pytest.fixture
def log(store: SqliteStore, clock: Clock) -> SqliteRoomLog:
    return SqliteRoomLog(store.database, clock.now)


def showing(*tokens: str) -> bytes:
    return f'{{"pictures": {list(tokens)}}}'.replace("'", '"').encode()


async def test_a_reply_is_kept_for_sixty_days_and_gone_at_the_next_start(tmp_path: Path) -> None:
    path, clock = tmp_path / "club.db", Clock()
    for days, event_id in ((0, "old"), (1, "young")):
        clock.at = NOON + days * ONE_DAY
        async with open_store(path, now=clock.now) as store:
            await store.save([], event_id=event_id, reply=b"reply")
    clock.at = NOON + timedelta(days=60, seconds=1)
    async with open_store(path, now=clock.now, alone=False) as visitor:
        assert await visitor.load_reply("old") == b"reply"
    async with open_store(path, now=clock.now) as store:
        assert await store.load_reply("old") is None
        assert await store.load_reply("young") == b"reply"


async def test_old_private_lines_go_and_open_ones_stay(
    store: SqliteStore, log: SqliteRoomLog, clock: Clock
) -> None:
    await log.append("maple", "ada", "answer", b"private, old")
    await log.append("maple", None, "post", b"open, old")
    clock.at += 59 * ONE_DAY
    await log.append("maple", "ada", "answer", b"private, young")
    clock.at += 2 * ONE_DAY
    await store.prune()
    bodies = [entry.body for entry in await log.since("maple", "ada")]
    assert bodies == [b"open, old", b"private, young"]


async def test_a_picture_stays_as_long_as_a_line_shows_it(
    store: SqliteStore, log: SqliteRoomLog, clock: Clock
) -> None:
    first, second = await log.save_picture(b"first"), await log.save_picture(b"second")
    line, _ = await log.append("maple", None, "post", showing(first))
    clock.at += 2 * ONE_DAY
    fresh = await log.save_picture(b"not yet in a line")
    await store.prune()
    assert await log.load_picture(first) == b"first"
    assert await log.load_picture(second) is None
    assert await log.load_picture(fresh) is not None
    await log.replace(line, showing(fresh))
    clock.at += 2 * ONE_DAY
    await store.prune()
    assert await log.load_picture(first) is None
    assert await log.load_picture(fresh) is not None
    await log.remove(line)
    await store.prune()
    assert await log.load_picture(fresh) is None


async def test_a_picture_that_can_be_drawn_again_is_kept_by_its_facts(
    store: SqliteStore, clock: Clock
) -> None:
    drawn: list[tuple[bytes, str]] = []

    async def draw(facts: bytes, look: Look) -> bytes:
        drawn.append((facts, look))
        return b"drawn again"

    log = SqliteRoomLog(store.database, clock.now, draw)
    token = await log.save_picture(b"PNG" * 5000, b"facts", "dark")
    await log.append("maple", None, "post", showing(token))
    assert await _count_rows_with(store, "PNGPNG") == 0
    assert await log.load_picture(token) == b"drawn again"
    assert drawn == [(b"facts", "dark")]
    older = await log.save_picture(b"kept by its bytes")
    assert await log.load_picture(older) == b"kept by its bytes"


async def test_a_line_that_goes_on_showing_a_picture_never_loses_it(
    store: SqliteStore, log: SqliteRoomLog, clock: Clock
) -> None:
    first, second = await log.save_picture(b"first"), await log.save_picture(b"second")
    line, _ = await log.append("maple", None, "post", showing(first))
    await log.replace(line, showing(first, second))
    await log.replace(line, showing(second))
    assert await log.load_picture(first) is None
    assert await log.load_picture(second) == b"second"
    clock.at += 2 * ONE_DAY
    await store.prune()
    assert await log.load_picture(second) == b"second"


async def test_an_erased_members_private_lines_go_with_the_pictures_that_only_they_show(
    store: SqliteStore, log: SqliteRoomLog
) -> None:
    club = await new_club(store, "maple")
    for user_id in ("ada", "ben"):
        await new_member(store, club, user_id)
    own, shared, open_one = [await log.save_picture(name) for name in (b"own", b"two", b"open")]
    await log.append("maple", "ada", "answer", showing(own, shared, open_one))
    await log.append("maple", "ben", "answer", showing(shared))
    await log.append("maple", None, "post", showing(open_one))
    await log.append("elm", "ada", "answer", b"in another club")
    await store.save([EraseMember(club.id, "ada")])
    assert [entry.user_id for entry in await log.since("maple", "ada")] == [None]
    assert await log.load_picture(own) is None
    assert await log.load_picture(shared) == b"two"
    assert await log.load_picture(open_one) == b"open"
    assert len(await log.since("elm", "ada")) == 1


async def test_what_an_erased_member_is_called_is_in_no_table_any_more(
    store: SqliteStore, log: SqliteRoomLog, tmp_path: Path
) -> None:
    club = await new_club(store, "maple")
    name = "Quillfeather"
    await new_member(store, club, "ada", name)
    await log.append("maple", "ada", "answer", name.encode())
    await store.save([], event_id="e1", reply=name.encode(), club_id=club.id, user_id="ada")
    assert await _count_rows_with(store, name) == 3
    await store.save(
        [EraseMember(club.id, "ada")], event_id="e2", reply=b"", club_id=club.id, user_id="ada"
    )
    assert await _count_rows_with(store, name) == 0
    assert await _count_rows_with(store, "ada") == 0


async def test_the_mark_of_an_erasure_on_an_open_day_names_nobody(store: SqliteStore) -> None:
    club = await new_club(store, "maple")
    day = await new_day(store, club, 0)
    ada = await new_member(store, club, "ada", "Quillfeather")
    await store.save([SaveEntry("ada", full_entry(day, ada))])
    await store.save([EraseMember(club.id, "ada")])
    scene = await store.load_scene(club.id, "ada", NOON, "")
    assert scene.came_back == {day.id}
    assert await _count_rows_with(store, "Quillfeather") == 0
    assert await _count_rows_with(store, "ada") == 0
    marks = await store.database.read(lambda link: link.execute("SELECT * FROM erased").fetchall())
    assert [len(mark["digest"]) for mark in marks] == [32]
    await store.save([MarkClosed(day.id)])
    left = await store.database.read(lambda link: link.execute("SELECT * FROM erased").fetchall())
    assert left == []


async def _count_rows_with(store: SqliteStore, text: str) -> int:
    """Return how many rows of all tables hold a text anywhere."""
    return await store.database.read(
        lambda link: sum(
            any(text.encode() in _bytes_of(value) for value in row)
            for (table,) in link.execute(
                "SELECT name FROM sqlite_schema WHERE type = 'table'"
            ).fetchall()
            for row in link.execute(f"SELECT * FROM {table}").fetchall()
        )
    )


def _bytes_of(value: object) -> bytes:
    return value if isinstance(value, bytes) else str(value).encode()
