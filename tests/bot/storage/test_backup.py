"""Backup and restore: a copy is whole and checked, and a bad one never replaces a good one."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
import stat
from contextlib import closing
from pathlib import Path

import pytest

from bot.storage import backup_store, check_store, open_store, restore_store
from bot.storage.errors import (
    DatabaseDamagedError,
    DatabaseMissingError,
    DataInUseError,
    FolderUnwritableError,
    NoClubError,
    NotADatabaseError,
    StorageError,
    TargetExistsError,
)
from tests.bot.storage.samples import new_club


async def _clubs_of(path: Path) -> set[str]:
    async with open_store(path) as store:
        return {club.room_id for club in await store.load_clubs()}


def _names_in(folder: Path) -> set[str]:
    return {file.name for file in folder.iterdir()}


def _damage(path: Path, first_byte: int = 4096) -> None:
    """Overwrite the file from a byte on; the header and the list of tables stay whole."""
    size = path.stat().st_size
    with path.open("r+b") as file:
        file.seek(first_byte)
        file.write(b"\x55" * (size - first_byte))


async def test_a_backup_of_a_running_bot_holds_what_was_saved_until_then(tmp_path: Path) -> None:
    path, copy = tmp_path / "club.db", tmp_path / "copy.db"
    async with open_store(path) as store:
        await new_club(store, "maple")
        assert await backup_store(path, copy) == copy
        await new_club(store, "elm")
    assert await _clubs_of(copy) == {"maple"}
    assert await _clubs_of(path) == {"maple", "elm"}


async def test_a_backup_is_one_file(tmp_path: Path) -> None:
    path, folder = tmp_path / "club.db", tmp_path / "copies"
    folder.mkdir()
    async with open_store(path) as store:
        await new_club(store)
        await backup_store(path, folder / "copy.db")
    assert _names_in(folder) == {"copy.db"}


async def test_a_backup_never_overwrites(tmp_path: Path) -> None:
    path, copy = tmp_path / "club.db", tmp_path / "copy.db"
    copy.write_text("something dear")
    async with open_store(path):
        with pytest.raises(TargetExistsError) as caught:
            await backup_store(path, copy)
    assert caught.value.path == copy
    assert copy.read_text() == "something dear"


async def test_a_backup_of_nothing_or_to_nowhere_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DatabaseMissingError):
        await backup_store(tmp_path / "absent.db", tmp_path / "copy.db")
    path = tmp_path / "club.db"
    async with open_store(path):
        pass
    with pytest.raises(FolderUnwritableError):
        await backup_store(path, tmp_path / "no such folder" / "copy.db")
    assert _names_in(tmp_path) == {"club.db", "club.db.lock"}


async def test_a_backup_of_damaged_data_is_refused_and_leaves_nothing_behind(
    tmp_path: Path,
) -> None:
    path, copy = tmp_path / "club.db", tmp_path / "copy.db"
    async with open_store(path) as store:
        await new_club(store)
    # The last page alone: a copy of it goes well, only the check reads it.
    _damage(path, first_byte=path.stat().st_size - 4096)
    with pytest.raises(DatabaseDamagedError):
        await backup_store(path, copy)
    assert {name for name in _names_in(tmp_path) if "copy" in name} == set()


async def test_a_restore_brings_the_backup_and_keeps_what_was_there(tmp_path: Path) -> None:
    path, copy = tmp_path / "club.db", tmp_path / "copy.db"
    async with open_store(path) as store:
        await new_club(store, "maple")
        await backup_store(path, copy)
        await new_club(store, "elm")
    kept = await restore_store(copy, path)
    assert kept is not None
    assert await _clubs_of(path) == {"maple"}
    assert await _clubs_of(kept) == {"maple", "elm"}
    again = await restore_store(copy, path)
    assert again is not None
    assert again != kept


async def test_a_restore_after_a_kill_keeps_what_only_the_log_held(tmp_path: Path) -> None:
    alive, left, copy = tmp_path / "alive", tmp_path / "left", tmp_path / "copy.db"
    async with open_store(alive / "club.db") as store:
        await new_club(store, "maple")
        await backup_store(alive / "club.db", copy)
        await new_club(store, "elm")
        # What a process that dies here leaves behind.
        shutil.copytree(alive, left)
    assert (left / "club.db-wal").stat().st_size > 0
    kept = await restore_store(copy, left / "club.db")
    assert kept is not None
    assert await _clubs_of(left / "club.db") == {"maple"}
    assert await _clubs_of(kept) == {"maple", "elm"}


async def test_a_copy_is_on_the_disk_before_it_takes_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, copy = tmp_path / "club.db", tmp_path / "copy.db"
    synced: set[int] = set()
    named: list[Path] = []
    sync, rename = os.fsync, os.replace

    def note_sync(file: int) -> None:
        synced.add(os.fstat(file).st_ino)
        sync(file)

    def note_name(source: Path, target: Path) -> None:
        if source.stat().st_ino not in synced:
            named.append(target)
        rename(source, target)

    async with open_store(path) as store:
        await new_club(store)
        monkeypatch.setattr(os, "fsync", note_sync)
        monkeypatch.setattr(os, "replace", note_name)
        await backup_store(path, copy)
    await restore_store(copy, tmp_path / "other" / "club.db")
    assert synced
    assert named == [], "these got their names before all of them was on the disk"


async def test_a_restore_to_where_no_folder_can_be_is_refused(tmp_path: Path) -> None:
    path, copy, file = tmp_path / "club.db", tmp_path / "copy.db", tmp_path / "file"
    async with open_store(path) as store:
        await new_club(store)
        await backup_store(path, copy)
    file.write_text("no folder")
    with pytest.raises(FolderUnwritableError) as caught:
        await restore_store(copy, file / "club.db")
    assert (caught.value.path, caught.value.reason) == (file, os.strerror(errno.EEXIST))
    assert file.read_text() == "no folder"


async def test_a_restore_to_a_new_place_makes_the_folder(tmp_path: Path) -> None:
    path, copy = tmp_path / "club.db", tmp_path / "copy.db"
    async with open_store(path) as store:
        await new_club(store, "maple")
        await backup_store(path, copy)
    assert await restore_store(copy, tmp_path / "other" / "club.db") is None
    assert await _clubs_of(tmp_path / "other" / "club.db") == {"maple"}


async def test_a_restore_under_a_running_bot_is_refused(tmp_path: Path) -> None:
    path, copy = tmp_path / "club.db", tmp_path / "copy.db"
    async with open_store(path) as store:
        await backup_store(path, copy)
        await new_club(store, "elm")
        with pytest.raises(DataInUseError):
            await restore_store(copy, path)
        assert len(await store.load_clubs()) == 1


@pytest.mark.parametrize("spoil", ["damaged", "text", "absent", "no bytes", "no tables"])
async def test_a_bad_backup_never_replaces_the_data(tmp_path: Path, spoil: str) -> None:
    path, copy = tmp_path / "club.db", tmp_path / "copy.db"
    async with open_store(path) as store:
        await new_club(store, "maple")
        await backup_store(path, copy)
    expected: type[StorageError]
    if spoil == "damaged":
        _damage(copy)
        expected = DatabaseDamagedError
    elif spoil == "text":
        copy.write_text("no database " * 100)
        expected = NotADatabaseError
    elif spoil == "no bytes":
        copy.write_bytes(b"")
        expected = NoClubError
    elif spoil == "no tables":
        copy.unlink()
        with closing(sqlite3.connect(copy)) as link:
            link.execute("PRAGMA user_version = 0")
            link.execute("VACUUM")
        expected = NoClubError
    else:
        copy.unlink()
        expected = DatabaseMissingError
    with pytest.raises(expected):
        await restore_store(copy, path)
    assert await _clubs_of(path) == {"maple"}
    assert _names_in(tmp_path) - {"club.db", "club.db.lock", "copy.db"} == set()


async def test_a_sound_database_passes_the_check_and_a_damaged_one_does_not(
    tmp_path: Path,
) -> None:
    path = tmp_path / "club.db"
    async with open_store(path) as store:
        await new_club(store)
    await check_store(path)
    _damage(path)
    with pytest.raises(DatabaseDamagedError) as caught:
        await check_store(path)
    assert caught.value.findings


async def test_nobody_else_on_the_machine_reads_what_is_kept(tmp_path: Path) -> None:
    """Boards and answers are private, also in a folder that was there before."""
    shared = tmp_path / "shared"
    shared.mkdir(mode=0o755)
    before = os.umask(0o022)
    try:
        for path in (shared / "club.db", tmp_path / "new" / "club.db"):
            async with open_store(path) as store:
                await new_club(store)
                await backup_store(path, path.with_name("copy.db"))
                names = {name for name in _names_in(path.parent) if "lock" not in name}
                rights = {name: _rights_of(path.with_name(name)) for name in names}
            assert set(rights) >= {"club.db", "club.db-wal", "copy.db"}
            assert set(rights.values()) == {0o600}, rights
            kept = await restore_store(path.with_name("copy.db"), path)
            assert kept is not None
            assert (_rights_of(path), _rights_of(kept)) == (0o600, 0o600)
    finally:
        os.umask(before)
    assert _rights_of(tmp_path / "new") == 0o700


def _rights_of(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)
