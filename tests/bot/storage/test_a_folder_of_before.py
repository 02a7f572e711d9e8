"""A data folder that an earlier Ninebark wrote is opened and read whole, and loses nothing.

`kept/folder-2026-11.sql.gz` is the database of `ninebark try --data` after its first week, one
member's evening and a leader's round through their commands, written by the code of November 2026
before its rooms were moved and its names changed. Of the stock only puzzles in use were kept, and
of each picture only its first bytes.
"""

from __future__ import annotations

import gzip
import sqlite3
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from bot import wording
from bot.club.replies import TalkHeard, decode_reply
from bot.club.table import sum_up, table_of
from bot.storage import open_store

WRITTEN = Path(__file__).parent / "kept" / "folder-2026-11.sql.gz"
LATER = datetime(2026, 11, 29, 6, 0, tzinfo=UTC)


def rows_of(path: Path) -> dict[str, int]:
    """Return how many rows each table holds."""
    with sqlite3.connect(path) as link:
        tables = [
            name
            for (name,) in link.execute(
                "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
            )
        ]
        return {name: link.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in tables}


@pytest.fixture
def written(tmp_path: Path) -> Path:
    """Return the database as it was written; its version stands beside the tables in SQLite."""
    path = tmp_path / "ninebark.db"
    link = sqlite3.connect(path)
    link.executescript(gzip.decompress(WRITTEN.read_bytes()).decode())
    link.execute("PRAGMA application_id = 1312969291")
    link.execute("PRAGMA user_version = 9")
    link.close()
    return path


async def test_every_row_of_it_is_still_there_after_opening(written: Path) -> None:
    before = rows_of(written)
    async with open_store(written, now=lambda: LATER):
        pass
    after = rows_of(written)
    assert {name: after.get(name) for name in before} == before
    assert before["event"] == 145


async def test_every_reply_in_it_is_read_and_told(written: Path) -> None:
    async with open_store(written, now=lambda: LATER) as store:
        kept = await store.database.read(
            lambda link: [bytes(row[0]) for row in link.execute("SELECT reply FROM event")]
        )
    replies = [decode_reply(each) for each in kept]
    assert len(replies) == 145
    assert all(wording.phrase(each).text or isinstance(each, TalkHeard) for each in replies)


async def test_the_club_its_table_and_a_members_evening_go_on(written: Path) -> None:
    async with open_store(written, now=lambda: LATER) as store:
        (club,) = await store.load_clubs()
        results = await store.load_results(club.id, None, None)
        days = await store.load_days(club.id)
        (ada,) = await store.find_members(club.id, "Ada")
        entry = await store.load_entry(days[-1].id, ada.user_id)
        exported = await store.export_member(club.id, ada.user_id)
        of_all_time = await store.load_standing(club.id, "all", None, None)
    assert club.settings.name == "Hedgerow Sudoku Club"
    assert club.settings.quick == 2
    assert [day.date for day in days] == [date(2026, 11, number) for number in range(21, 29)]
    assert len(results) == 32
    dates = [day.date for day in days if day.posted_at is not None]
    plain = sum_up(results, None, None, puzzle_dates=dates)
    assert table_of("", "all", of_all_time) == table_of("", "all", plain)
    assert entry is not None
    assert entry.started_at is not None
    assert entry.finished_at is None
    assert [charge.seconds for charge in entry.charges] == [15, 30, 30, 60]
    assert entry.hint is not None
    assert exported
