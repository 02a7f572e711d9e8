"""The data is looked after while the bot runs: an hourly checkpoint, a dated copy of each day."""

from __future__ import annotations

import asyncio
import os
import sqlite3
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.storage import check_store, open_store
from bot.storage.keeper import HOUR_SECONDS, Keeper
from bot.storage.migrations import MIGRATIONS
from tests.bot.storage.samples import NOON, ONE_DAY, new_club


def _log_size(path: Path) -> int:
    return os.path.getsize(f"{path}-wal")


def _names_in(folder: Path) -> list[str]:
    return sorted(each.name for each in folder.iterdir())


def _copies(folder: Path) -> list[str]:
    return _names_in(folder / "backups")


async def _look_for(hours: int, kept: object) -> list[float]:
    waits: list[float] = []

    async def wait(seconds: float) -> None:
        waits.append(seconds)
        if len(waits) == hours:
            raise asyncio.CancelledError

    with pytest.raises(asyncio.CancelledError):
        await Keeper(kept, wait).run()  # type: ignore[arg-type]
    return waits


async def test_each_hour_brings_the_log_into_the_one_file(tmp_path: Path) -> None:
    path = tmp_path / "club.db"
    async with open_store(path) as store:
        await new_club(store, "maple")
        assert _log_size(path) > 0
        assert await _look_for(2, store) == [HOUR_SECONDS, HOUR_SECONDS]
        assert _log_size(path) == 0
    assert _names_in(tmp_path) == ["backups", "club.db", "club.db.lock"]


async def test_what_was_kept_long_enough_is_forgotten_while_the_bot_runs(tmp_path: Path) -> None:
    now = NOON
    async with open_store(tmp_path / "club.db", now=lambda: now) as store:
        await store.save([], event_id="old", reply=b"reply")
        now += 59 * ONE_DAY
        await store.keep_clock(now)
        await _look_for(1, store)
        assert await store.load_reply("old") == b"reply"
        now += 2 * ONE_DAY
        await store.keep_clock(now)
        await _look_for(1, store)
        assert await store.load_reply("old") is None


async def test_a_copy_is_made_each_day_and_kept_for_a_week(tmp_path: Path) -> None:
    now = NOON

    async with open_store(tmp_path / "club.db", now=lambda: now) as store:
        await new_club(store, "maple")
        for _ in range(10):
            await store.keep_copy()
            await store.keep_copy()
            now += ONE_DAY
    copies = _copies(tmp_path)
    assert copies == [f"club-2026-{day}.db" for day in (
        "11-26", "11-27", "11-28", "11-29", "11-30", "12-01", "12-02",
    )]  # fmt: skip
    for name in copies:
        await check_store(tmp_path / "backups" / name)
        assert stat.S_IMODE(os.stat(tmp_path / "backups" / name).st_mode) == 0o600
    assert stat.S_IMODE(os.stat(tmp_path / "backups").st_mode) == 0o700


async def test_a_clock_that_leapt_ahead_removes_no_copy(tmp_path: Path) -> None:
    now = NOON

    async with open_store(tmp_path / "club.db", now=lambda: now) as store:
        await store.keep_clock(NOON)
        await store.keep_copy()
        now += timedelta(days=4000)
        await store.keep_copy()
    assert _copies(tmp_path) == ["club-2026-11-23.db"]


async def test_a_copy_that_cannot_be_made_ends_nothing(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "backups").write_text("in the way", encoding="utf-8")
    async with open_store(tmp_path / "club.db") as store:
        await new_club(store, "maple")
        assert len(await _look_for(3, store)) == 3
        assert _log_size(tmp_path / "club.db") == 0
    assert len(caplog.records) == 3


async def test_before_a_migration_a_copy_is_made_of_what_was_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "club.db"
    async with open_store(path) as store:
        await new_club(store, "maple")
    newer = (*MIGRATIONS, ("ALTER TABLE club ADD COLUMN motto TEXT",))
    monkeypatch.setattr("bot.storage.migrations.MIGRATIONS", newer)
    monkeypatch.setattr("bot.storage.connection.MIGRATIONS", newer)
    async with open_store(path, now=lambda: datetime(2026, 11, 28, tzinfo=UTC)) as store:
        assert len(await store.load_clubs()) == 1
    assert _copies(tmp_path) == [f"club-2026-11-28-before-version-{len(newer)}.db"]
    (copy,) = (tmp_path / "backups").iterdir()
    with sqlite3.connect(copy) as link:
        assert link.execute("PRAGMA user_version").fetchone() == (len(MIGRATIONS),)
        assert link.execute("SELECT room_id FROM club").fetchall() == [("maple",)]
