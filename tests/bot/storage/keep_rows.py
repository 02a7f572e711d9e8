"""Writes rows as the running code saves them, one file for each version of their shape.

`python -m tests.bot.storage.keep_rows` adds what the current version's file lacks, a row for each
kind of reply at least. It never changes a line that is there: what was saved stays readable.
"""

from __future__ import annotations

import asyncio
import json
import sqlite3
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from bot.club import versions
from bot.club.ports import QueueNotice, SaveEntry
from bot.club.replies import encode_reply
from bot.storage import SqliteStore, open_store
from tests.bot.club.stories import crook_puzzle, open_story
from tests.bot.storage.samples import NOON, full_entry, new_club, new_day, new_member
from tests.bot.wording.samples import SAMPLES

FOLDER = Path(__file__).parent / "kept"
TABLES = ("event", "notice", "entry")

Row = dict[str, Any]


def kept_versions() -> Iterator[int]:
    """Yield the versions of which there are rows, oldest first."""
    yield from sorted(int(path.stem.rpartition("-")[2]) for path in FOLDER.glob("version-*.jsonl"))


def read_rows(version: int) -> list[Row]:
    path = FOLDER / f"version-{version}.jsonl"
    if not path.exists():
        return []
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


async def save_samples(path: Path) -> None:
    """Save every sample of a reply, some as notices too, and entries with a hint under way."""
    async with open_store(path, now=lambda: NOON) as store:
        await ask_for_hints(store)
        club = await new_club(store, "elm")
        day, ada = await new_day(store, club, 0), await new_member(store, club, "ada")
        await store.save([SaveEntry("ada", full_entry(day, ada))])
        for number, reply in enumerate(SAMPLES):
            text = encode_reply(reply)
            await store.save([], event_id=f"sample {number}", reply=text)
        for number, reply in enumerate(SAMPLES[-12:]):
            audience = ("room", "member", "thread")[number % 3]
            await store.save([QueueNotice(club.id, f"key {number}", audience, encode_reply(reply))])


async def ask_for_hints(store: SqliteStore) -> None:
    """Play a day of another club: a board, what is known, a hint climbed, a wrong answer."""
    story = await open_story(crook_puzzle(), store=store)
    for line in (
        "start", "place r1c1 6", "rule-out r1c5 2", "hint board", "hint more", "hint known",
        "hint board", "hint more", "hint more", "check", f"hand-in {'1' * 18}",
    ):  # fmt: skip
        await story.later(minutes=3).say(line)
    assert (await story.entry()).hint is not None


def rows_in(path: Path) -> list[Row]:
    link = sqlite3.connect(path)
    link.row_factory = sqlite3.Row
    rows = [
        {"table": table, **dict(row)}
        for table in TABLES
        for row in link.execute(f"SELECT * FROM {table} ORDER BY rowid" if table != "event"
                                else "SELECT * FROM event ORDER BY id")
    ]  # fmt: skip
    link.close()
    return [
        {name: value.decode() if isinstance(value, bytes) else value for name, value in row.items()}
        for row in rows
    ]


def kind_of(row: Row) -> str:
    """Return the table, and the kind of the reply where there is one."""
    said = json.loads(row["reply"])["type"] if row.get("reply") else ""
    return f"{row['table']} {said}"


def _with_own_id(row: Row) -> Row:
    """Return the row of a new kind with an id that no kept one has, wherever its sample stands."""
    return {**row, "id": f"{kind_of(row)}: {row['id']}"} if row["table"] == "event" else row


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "club.db"
        asyncio.run(save_samples(path))
        fresh = rows_in(path)
    there = read_rows(versions.VERSION)
    kinds = {kind_of(row) for row in there}
    lines = [*there, *(_with_own_id(row) for row in fresh if kind_of(row) not in kinds)]
    text = "".join(json.dumps(row, ensure_ascii=False) + "\n" for row in lines)
    (FOLDER / f"version-{versions.VERSION}.jsonl").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
