"""Migrations: a new file, an old one, one from the future, and one that fails on the way."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from msgspec.structs import replace

from bot.storage import migrations, open_store
from bot.storage.errors import DatabaseFromFutureError, SaveFailedError, StorageError
from bot.storage.migrations import APPLICATION_ID, MIGRATIONS
from tests.bot.storage.samples import new_club, puzzle_number


def _read(path: Path, pragma: str) -> int:
    with closing(sqlite3.connect(path)) as link:
        return int(link.execute(f"PRAGMA {pragma}").fetchone()[0])


async def test_a_new_file_gets_every_migration_and_our_mark(tmp_path: Path) -> None:
    path = tmp_path / "club.db"
    async with open_store(path):
        pass
    assert _read(path, "user_version") == len(MIGRATIONS)
    assert _read(path, "application_id") == APPLICATION_ID


async def test_opening_again_changes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "club.db"
    async with open_store(path) as store:
        club = await new_club(store)
    before = path.read_bytes()
    async with open_store(path) as store:
        assert await store.load_clubs() == (club,)
    assert path.read_bytes() == before


async def test_an_older_database_gets_only_the_migrations_that_it_lacks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "club.db"
    async with open_store(path) as store:
        club = await new_club(store)
    later = (*MIGRATIONS, ("ALTER TABLE club ADD COLUMN motto TEXT NOT NULL DEFAULT 'onward'",))
    monkeypatch.setattr(migrations, "MIGRATIONS", later)
    async with open_store(path) as store:
        assert await store.load_clubs() == (club,)
        motto = await store.database.read(
            lambda link: link.execute("SELECT motto FROM club").fetchone()[0]
        )
    assert motto == "onward"
    assert _read(path, "user_version") == len(MIGRATIONS) + 1


async def test_a_migration_that_fails_leaves_the_database_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "club.db"
    async with open_store(path) as store:
        club = await new_club(store)
    bad = ("ALTER TABLE club ADD COLUMN motto TEXT", "ALTER TABLE nowhere ADD COLUMN x TEXT")
    monkeypatch.setattr(migrations, "MIGRATIONS", (*MIGRATIONS, bad))
    with pytest.raises(StorageError) as caught:
        async with open_store(path):
            pass
    assert not isinstance(caught.value, SaveFailedError)
    monkeypatch.undo()
    assert _read(path, "user_version") == len(MIGRATIONS)
    async with open_store(path) as store:
        assert await store.load_clubs() == (club,)


async def test_of_a_puzzle_that_was_there_before_the_starting_stock_tells_how_often_it_turns(
    tmp_path: Path,
) -> None:
    path, own = tmp_path / "club.db", replace(puzzle_number(1), turns=1)
    first = replace(own, turns=None, credit="as it was")
    async with open_store(path) as store:
        counted_otherwise = replace(puzzle_number(4), turns=3)
        assert await store.add_stock([first, puzzle_number(2), counted_otherwise]) == 3
        counted_now = replace(puzzle_number(4), turns=1)
        assert await store.add_stock([own, replace(puzzle_number(3), turns=0), counted_now]) == 1
        kept = await store.list_puzzles()
    assert {(each.givens, each.turns, each.credit) for each in kept} == {
        (own.givens, 1, "as it was"),
        (puzzle_number(2).givens, None, ""),
        (puzzle_number(3).givens, 0, ""),
        (puzzle_number(4).givens, 1, ""),
    }


async def test_a_database_from_the_future_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "club.db"
    async with open_store(path):
        pass
    with closing(sqlite3.connect(path)) as link:
        link.execute(f"PRAGMA user_version = {len(MIGRATIONS) + 3}")
    with pytest.raises(DatabaseFromFutureError) as caught:
        async with open_store(path):
            pass
    assert caught.value.path == path
    assert (caught.value.found, caught.value.known) == (len(MIGRATIONS) + 3, len(MIGRATIONS))
    assert _read(path, "user_version") == len(MIGRATIONS) + 3
