"""The plug is pulled on a restore at each of its steps: the old club or the new one, never none."""

from __future__ import annotations

import shutil
import signal
from pathlib import Path

import pytest

from bot.storage import backup_store, open_store, restore_store
from tests.bot.storage.samples import new_club
from tests.crash import births, restorer
from tests.patience import PATIENCE

MOST_STEPS = 40


async def _clubs_of(path: Path) -> set[str]:
    async with open_store(path) as store:
        return {club.room_id for club in await store.load_clubs()}


async def _write_folder(folder: Path) -> Path:
    """Leave a folder as a kill does, `elm` in the log alone, beside a copy that holds `maple`."""
    alive, copy = folder / "alive", folder / "copy.db"
    async with open_store(alive / "club.db") as store:
        await new_club(store, "maple")
        await backup_store(alive / "club.db", copy)
        await new_club(store, "elm")
        shutil.copytree(alive, folder / "left")
    return copy


def _live(copy: Path, database: Path, step: int) -> int | None:
    life = births.start(restorer.restore_until, str(copy), str(database), step)
    life.join(PATIENCE)
    return life.exitcode


@pytest.mark.parametrize("spoilt", [False, True], ids=["sound", "spoilt"])
async def test_a_restore_that_is_killed_at_any_step_leaves_a_whole_club(
    tmp_path: Path, spoilt: bool
) -> None:
    """Spoilt: what is in the database's place is none, and is kept for who can mend it."""
    copy = await _write_folder(tmp_path)
    left = tmp_path / "left"
    if spoilt:
        (left / "club.db").write_bytes(b"spoilt" * 1000)
    seen = []
    for step in range(1, MOST_STEPS):
        folder = tmp_path / f"step {step}"
        shutil.copytree(left, folder)
        database = folder / "club.db"
        code = _live(copy, database, step)
        if spoilt and database.read_bytes()[:6] == b"spoilt":
            seen.append("old")
        else:
            seen.append({1: "new", 2: "old"}[len(await _clubs_of(database))])
        # Whatever a kill left behind stands in nobody's way.
        assert code == 0 or await restore_store(copy, database, lambda: restorer.NOW)
        assert await _clubs_of(database) == {"maple"}
        if code == 0:
            break
        assert code == -signal.SIGKILL
    else:
        pytest.fail(f"{MOST_STEPS} steps, and no end")
    assert seen == sorted(seen, reverse=True), "old up to one step, and new from then on"
    assert {"old", "new"} == set(seen)


async def test_a_restore_that_is_killed_loses_nothing_of_what_was_there(tmp_path: Path) -> None:
    copy = await _write_folder(tmp_path)
    for step in range(1, MOST_STEPS):
        folder = tmp_path / f"step {step}"
        shutil.copytree(tmp_path / "left", folder)
        code = _live(copy, folder / "club.db", step)
        there = [folder / "club.db", *(folder / "backups").glob("*.db")]
        assert {"maple", "elm"} in [await _clubs_of(each) for each in there]
        if code == 0:
            break
    else:
        pytest.fail(f"{MOST_STEPS} steps, and no end")
