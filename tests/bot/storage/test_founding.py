"""A folder that has lost its database is refused; a new one, or one half founded, is not."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from bot.storage import backup_store, open_store, restore_store
from bot.storage.errors import DatabaseLostError, NoClubError
from tests.bot.storage.samples import new_club


async def _found(path: Path) -> None:
    async with open_store(path) as store:
        await new_club(store, "maple")


def _bytes_in(folder: Path) -> dict[str, bytes]:
    return {file.name: file.read_bytes() for file in folder.iterdir()}


@pytest.mark.parametrize("is_emptied", [False, True], ids=["gone", "emptied"])
@pytest.mark.parametrize("alone", [True, False])
async def test_a_folder_that_lost_its_database_is_refused_and_left_as_it_is(
    tmp_path: Path, is_emptied: bool, alone: bool
) -> None:
    path = tmp_path / "club.db"
    await _found(path)
    path.unlink()
    if is_emptied:
        path.touch()
    before = _bytes_in(tmp_path)
    with pytest.raises(DatabaseLostError) as caught:
        async with open_store(path, alone=alone):
            pass
    assert (caught.value.path, caught.value.beside) == (path, (tmp_path / "club.db.lock",))
    assert _bytes_in(tmp_path) == before


async def test_a_log_that_lost_its_database_is_not_thrown_away(tmp_path: Path) -> None:
    alive, left = tmp_path / "alive", tmp_path / "left"
    async with open_store(alive / "club.db") as store:
        await new_club(store, "maple")
        left.mkdir()
        shutil.copy(alive / "club.db-wal", left)
    log = (left / "club.db-wal").read_bytes()
    for _ in range(2):
        with pytest.raises(DatabaseLostError):
            async with open_store(left / "club.db"):
                pass
    assert (left / "club.db-wal").read_bytes() == log


async def test_a_copy_put_back_where_the_database_was_lost_opens_again(tmp_path: Path) -> None:
    path, copy = tmp_path / "club.db", tmp_path / "copy.db"
    await _found(path)
    await backup_store(path, copy)
    path.unlink()
    assert await restore_store(copy, path) is None
    async with open_store(path) as store:
        assert [club.room_id for club in await store.load_clubs()] == ["maple"]


async def test_a_founding_that_was_cut_short_goes_on(tmp_path: Path) -> None:
    path = tmp_path / "club.db"
    # As a kill leaves it after the lock was taken and before anything was written.
    for name in ("club.db", "club.db.founding", "club.db.lock"):
        (tmp_path / name).touch()
    await _found(path)
    assert not (tmp_path / "club.db.founding").exists()


async def test_nothing_is_backed_up_of_an_empty_file(tmp_path: Path) -> None:
    path = tmp_path / "club.db"
    path.touch()
    with pytest.raises(NoClubError):
        await backup_store(path, tmp_path / "copy.db")
    assert not (tmp_path / "copy.db").exists()
