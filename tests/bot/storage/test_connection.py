"""The connection: how it is set up, what a transaction promises, and who may open the file."""

from __future__ import annotations

import asyncio
import errno
import inspect
import logging
import os
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import aiosqlite
import pytest

from bot.storage import open_store
from bot.storage.connection import BUSY_TIMEOUT_MS, MOST_TOGETHER, open_database
from bot.storage.errors import (
    DatabaseDamagedError,
    DataInUseError,
    FolderUnwritableError,
    NotADatabaseError,
    SaveFailedError,
    StorageError,
)
from bot.storage.files import take_lock
from tests.bot.storage.samples import new_club
from tests.patience import PATIENCE


def _pragma(link: sqlite3.Connection, name: str) -> object:
    return link.execute(f"PRAGMA {name}").fetchone()[0]


def _add_club(link: sqlite3.Connection, room_id: str) -> None:
    link.execute(
        "INSERT INTO club (platform, room_id, settings) VALUES ('web', ?, '{}')", (room_id,)
    )


def _count_clubs(link: sqlite3.Connection) -> int:
    return int(link.execute("SELECT count(*) FROM club").fetchone()[0])


async def test_every_acknowledged_save_is_synced_to_the_disk(tmp_path: Path) -> None:
    async with open_database(tmp_path / "club.db") as database:
        assert await database.read(lambda link: _pragma(link, "journal_mode")) == "wal"
        # 2 is FULL (SQLite, "PRAGMA synchronous").
        assert await database.read(lambda link: _pragma(link, "synchronous")) == 2
        assert await database.read(lambda link: _pragma(link, "foreign_keys")) == 1
        assert await database.read(lambda link: _pragma(link, "busy_timeout")) == BUSY_TIMEOUT_MS


async def test_every_table_is_strict(tmp_path: Path) -> None:
    async with open_database(tmp_path / "club.db") as database:
        rows = await database.read(
            lambda link: [
                (row["name"], row["strict"])
                for row in link.execute("PRAGMA table_list")
                if row["schema"] == "main" and not row["name"].startswith("sqlite_")
            ]
        )
    assert len(rows) >= 10
    assert [name for name, is_strict in rows if not is_strict] == []


async def test_the_work_of_a_transaction_is_one_hop_to_one_thread(tmp_path: Path) -> None:
    async with open_database(tmp_path / "club.db") as database:
        writing = {await database.write(lambda link: threading.get_ident()) for _ in range(3)}
        reading = {await database.read(lambda link: threading.get_ident()) for _ in range(3)}
    assert (len(writing), len(reading)) == (1, 1)
    assert len({threading.get_ident()} | writing | reading) == 3


async def test_no_read_waits_for_what_is_being_written_nor_writes_anything(tmp_path: Path) -> None:
    inside, go_on = threading.Event(), threading.Event()

    def slow(link: sqlite3.Connection) -> None:
        _add_club(link, "maple")
        inside.set()
        assert go_on.wait(PATIENCE)

    async with open_database(tmp_path / "club.db") as database:
        write = asyncio.create_task(database.write(slow))
        await asyncio.to_thread(inside.wait, PATIENCE)
        assert await database.read(_count_clubs) == 0
        go_on.set()
        await write
        assert await database.read(_count_clubs) == 1
        with pytest.raises(SaveFailedError):
            await database.read(lambda link: _add_club(link, "elm"))


def test_aiosqlite_still_runs_a_function_on_its_thread() -> None:
    """`Database` hands functions over by this method, which aiosqlite does not document."""
    assert list(inspect.signature(aiosqlite.Connection._execute).parameters)[:2] == ["self", "fn"]


async def test_of_a_transaction_that_raises_nothing_is_kept_and_the_next_one_works(
    tmp_path: Path,
) -> None:
    def half(link: sqlite3.Connection) -> None:
        _add_club(link, "maple")
        raise ValueError("in the middle")

    async with open_database(tmp_path / "club.db") as database:
        with pytest.raises(ValueError, match="in the middle"):
            await database.write(half)
        assert await database.read(_count_clubs) == 0
        await database.write(lambda link: _add_club(link, "elm"))
        assert await database.read(_count_clubs) == 1


async def test_a_broken_rule_of_the_tables_is_told_as_a_fact(tmp_path: Path) -> None:
    def twice(link: sqlite3.Connection) -> None:
        _add_club(link, "maple")
        _add_club(link, "maple")

    async with open_database(tmp_path / "club.db") as database:
        with pytest.raises(SaveFailedError) as caught:
            await database.write(twice)
        assert caught.value.code == "SQLITE_CONSTRAINT_UNIQUE"
        assert await database.read(_count_clubs) == 0


async def test_a_full_disk_is_told_as_a_fact_and_loses_nothing(tmp_path: Path) -> None:
    async with open_database(tmp_path / "club.db") as database:
        await database.write(lambda link: _add_club(link, "maple"))
        pages = await database.read(lambda link: _pragma(link, "page_count"))
        # SQLite gives the same error for its own limit as for a full disk.
        await database.run_bare(lambda link: _pragma(link, f"max_page_count = {pages}"))
        with pytest.raises(SaveFailedError) as caught:
            await database.write(lambda link: _add_club(link, "elm" * 10_000))
        assert caught.value.code == "SQLITE_FULL"
        await database.run_bare(lambda link: _pragma(link, "max_page_count = 100000"))
        await database.write(lambda link: _add_club(link, "elm"))
        assert await database.read(_count_clubs) == 2


async def test_a_caller_cancelled_while_it_waits_leaves_all_or_nothing(tmp_path: Path) -> None:
    inside, go_on = threading.Event(), threading.Event()

    def slow(link: sqlite3.Connection) -> None:
        _add_club(link, "maple")
        inside.set()
        assert go_on.wait(PATIENCE)
        _add_club(link, "elm")

    async with open_database(tmp_path / "club.db") as database:
        caller = asyncio.create_task(database.write(slow))
        await asyncio.to_thread(inside.wait, PATIENCE)
        caller.cancel()
        with pytest.raises(asyncio.CancelledError):
            await caller
        go_on.set()
        # The next piece of work finds the transaction complete, not open and not half.
        assert await database.run_bare(_count_clubs) == 2
        assert not await database.run_bare(lambda link: link.in_transaction)


async def test_closing_waits_for_a_save_whose_caller_was_cancelled(tmp_path: Path) -> None:
    path = tmp_path / "club.db"
    async with open_database(path) as database:
        caller = asyncio.create_task(database.write(lambda link: _add_club(link, "maple")))
        await asyncio.sleep(0)
        caller.cancel()
    async with open_database(path) as database:
        assert await database.read(_count_clubs) == 1


async def test_two_bots_on_the_same_data_are_refused_until_the_first_has_ended(
    tmp_path: Path,
) -> None:
    path = tmp_path / "club.db"
    async with open_store(path) as store:
        with pytest.raises(DataInUseError) as caught:
            async with open_store(path):
                pass
        assert caught.value.path == path
        assert await store.load_clubs() == ()
    async with open_store(path) as store:
        assert await store.load_clubs() == ()


async def test_a_bot_in_another_process_holds_the_data_until_it_is_killed(tmp_path: Path) -> None:
    path = tmp_path / "club.db"
    script = (
        "import asyncio, sys, pathlib\n"
        "from bot.storage import open_store\n"
        "async def main():\n"
        "    async with open_store(pathlib.Path(sys.argv[1])):\n"
        "        print('open', flush=True)\n"
        "        await asyncio.Event().wait()\n"
        "asyncio.run(main())\n"
    )
    other = subprocess.Popen(  # noqa: ASYNC220 - nothing else runs in this test's event loop
        [sys.executable, "-c", script, str(path)], stdout=subprocess.PIPE, text=True
    )
    try:
        assert other.stdout is not None
        assert other.stdout.readline() == "open\n"
        with pytest.raises(DataInUseError):
            async with open_store(path):
                pass
        async with open_store(path, alone=False) as visitor:
            await new_club(visitor)
    finally:
        other.kill()
        other.wait()
        if other.stdout is not None:
            other.stdout.close()
    async with open_store(path) as store:
        assert len(await store.load_clubs()) == 1


async def test_a_store_in_memory_leaves_no_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    async with open_store(None) as store:
        await new_club(store)
    assert os.listdir(tmp_path) == []


async def test_a_missing_folder_is_made(tmp_path: Path) -> None:
    path = tmp_path / "new" / "deeper" / "club.db"
    async with open_store(path) as store:
        await new_club(store)
    assert path.is_file()


@pytest.mark.parametrize("alone", [True, False])
async def test_a_folder_that_cannot_be_is_refused_with_its_path(
    tmp_path: Path, alone: bool
) -> None:
    file = tmp_path / "file"
    file.write_text("not a folder")
    with pytest.raises(FolderUnwritableError) as caught:
        async with open_store(file / "club.db", alone=alone):
            pass
    assert caught.value.path == file
    assert caught.value.reason == os.strerror(errno.EEXIST)


def test_a_lock_in_a_folder_that_is_not_there_is_refused_with_its_path(tmp_path: Path) -> None:
    with pytest.raises(FolderUnwritableError) as caught:
        take_lock(tmp_path / "absent" / "club.db")
    assert caught.value.path == tmp_path / "absent"


@pytest.mark.parametrize("alone", [True, False])
async def test_a_folder_in_the_place_of_the_file_is_refused(tmp_path: Path, alone: bool) -> None:
    (tmp_path / "club.db").mkdir()
    with pytest.raises(FolderUnwritableError):
        async with open_store(tmp_path / "club.db", alone=alone):
            pass


async def test_a_file_that_is_no_database_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "club.db"
    text = "a shopping list, longer than the header of a database would be: " + "milk, " * 50
    path.write_text(text)
    with pytest.raises(NotADatabaseError) as caught:
        async with open_store(path):
            pass
    assert caught.value.path == path
    assert path.read_text() == text


async def test_another_programs_database_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "club.db"
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE stamps (id INTEGER PRIMARY KEY)")
    other.close()
    before = path.read_bytes()
    with pytest.raises(NotADatabaseError) as caught:
        async with open_store(path):
            pass
    assert caught.value.path == path
    assert path.read_bytes() == before


async def test_a_damaged_database_is_refused_as_damaged(tmp_path: Path) -> None:
    path = tmp_path / "club.db"
    async with open_store(path) as store:
        await new_club(store)
    size = path.stat().st_size
    with path.open("r+b") as file:
        # The first page's list of tables, behind the header of 100 bytes.
        file.seek(100)
        file.write(b"\xff" * (4096 - 100))
    assert path.stat().st_size == size
    with pytest.raises(DatabaseDamagedError):
        async with open_store(path):
            pass


async def test_after_a_refusal_the_lock_is_free_again(tmp_path: Path) -> None:
    path = tmp_path / "club.db"
    path.write_text("no database " * 100)
    for _ in range(2):
        with pytest.raises(StorageError) as caught:
            async with open_store(path):
                pass
        assert not isinstance(caught.value, DataInUseError)


async def test_the_library_tells_of_no_statement_even_where_all_is_logged(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    """It would do so from a thread of its own, also after the bot's last words."""
    caplog.set_level(logging.DEBUG)
    async with open_store(tmp_path / "club.db") as store:
        await new_club(store)
    assert [each for each in caplog.records if each.name.startswith("aiosqlite")] == []


async def test_writes_that_wait_together_are_one_commit_and_no_read_comes_between(
    tmp_path: Path,
) -> None:
    async with open_database(tmp_path / "club.db") as database:
        said: list[str] = []
        await database.run_bare(lambda link: link.set_trace_callback(said.append))
        busy = threading.Event()
        held = asyncio.create_task(database.run_bare(lambda link: busy.wait(PATIENCE)))
        writes = [
            asyncio.create_task(database.write(lambda link, name=name: _add_club(link, name)))
            for name in map(str, range(200))
        ]
        await asyncio.sleep(0)
        busy.set()
        counted = [await database.read(_count_clubs) for _ in range(20)]
        await asyncio.gather(held, *writes)
        commits = said.count("COMMIT")
        sys.stdout.write(f"{len(writes)} writes in {commits} commits\n")
        assert commits <= 5
        assert {each % MOST_TOGETHER for each in counted} <= {0, 200 % MOST_TOGETHER}
        assert await database.read(_count_clubs) == 200


async def test_one_of_many_that_fails_fails_alone(tmp_path: Path) -> None:
    async with open_database(tmp_path / "club.db") as database:
        busy = threading.Event()
        held = asyncio.create_task(database.run_bare(lambda link: busy.wait(PATIENCE)))
        names = ("one", "two", "one", "three")
        writes = [
            asyncio.create_task(database.write(lambda link, name=name: _add_club(link, name)))
            for name in names
        ]
        await asyncio.sleep(0)
        busy.set()
        await held
        outcomes = await asyncio.gather(*writes, return_exceptions=True)
        assert [type(each) for each in outcomes] == [
            type(None),
            type(None),
            SaveFailedError,
            type(None),
        ]
        assert await database.read(_count_clubs) == 3
