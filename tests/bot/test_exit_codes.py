"""What may pass by itself ends with a code that the guide's service tries again on."""

from __future__ import annotations

import os
import re
import sqlite3
from pathlib import Path

import pytest

from bot.cli.host import run_until_done
from bot.cli.main import FAILED, WRONG_INPUT
from bot.storage import backup_store, open_store
from bot.storage.connection import open_database

GUIDE = Path(__file__).parents[2] / "assets" / "guides" / "hosting.md"


def _given_up_on() -> set[int]:
    unit = GUIDE.read_text(encoding="utf-8")
    assert re.search(r"^ *Restart=on-failure$", unit, re.MULTILINE)
    (codes,) = re.findall(r"^ *RestartPreventExitStatus=(.*)$", unit, re.MULTILINE)
    return {int(code) for code in codes.split()}


def _fill_up(link: sqlite3.Connection) -> None:
    """Write until SQLite says what it says of a full disk."""
    link.execute("CREATE TABLE filling (bytes BLOB)")
    while True:
        link.execute("INSERT INTO filling VALUES (zeroblob(4096))")


async def _on_a_full_disk(path: Path) -> int:
    async with open_database(path) as database:
        await database.run_bare(lambda link: link.execute("PRAGMA max_page_count = 60"))
        await database.write(_fill_up)
    return 0


async def _in_a_folder_in_use(path: Path) -> int:
    async with open_store(path), open_store(path):
        return 0


async def _with_its_database_lost(path: Path) -> int:
    async with open_store(path):
        pass
    os.remove(path)
    async with open_store(path):
        return 0


async def _from_no_copy(path: Path) -> int:
    await backup_store(path, path.with_name("copy.db"))
    return 0


def test_a_full_disk_and_a_folder_in_use_are_tried_again(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run_until_done(_on_a_full_disk(tmp_path / "one" / "club.db")) == FAILED
    assert "disk is full" in capsys.readouterr().err
    assert run_until_done(_in_a_folder_in_use(tmp_path / "two" / "club.db")) == FAILED
    assert "Another Ninebark is running" in capsys.readouterr().err
    assert FAILED not in _given_up_on()


def test_what_only_the_host_can_mend_is_given_up_on(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run_until_done(_with_its_database_lost(tmp_path / "one" / "club.db")) == WRONG_INPUT
    assert "ninebark restore" in capsys.readouterr().err
    assert run_until_done(_from_no_copy(tmp_path / "club.db")) == WRONG_INPUT
    assert WRONG_INPUT in _given_up_on()
