"""What a kill -9 may not break: no acknowledged save is lost, none is half there, no post is
doubled. Each test kills real processes on a real file.
"""

from __future__ import annotations

import asyncio
import random
import signal
import sqlite3
from contextlib import closing, suppress
from multiprocessing import Pipe
from pathlib import Path

import pytest

from bot.club.ports import QueueNotice
from bot.club.state import ClubSettings, Puzzle
from bot.storage import check_store, open_store
from tests.bot.storage.samples import NOON, new_club
from tests.crash import sender, writer
from tests.crash.births import start
from tests.crash.sender import posts_in
from tests.crash.writer import names_of

ROUNDS = 8

# The encyclopaedia example, also in SQLite's documentation (`lang_with`).
PUZZLE = Puzzle(
    0,
    "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79",
    "534678912672195348198342567859761423426853791713924856961537284287419635345286179",
    level=1,
)


def write_until_killed(path: Path, first: int, acknowledged: int) -> list[int]:
    """Kill the writer when it has acknowledged so many; return all that it acknowledged."""
    told, telling = Pipe(duplex=False)
    with told:
        with telling:
            writing = start(writer.write_from, path, first, telling)
        numbers = [told.recv() for _ in range(acknowledged)]
        writing.kill()
        writing.join()
        # What it said before it died but nobody had read yet counts as acknowledged too.
        with suppress(EOFError):
            while True:
                numbers.append(told.recv())
    assert writing.exitcode == -signal.SIGKILL
    return numbers


def send_until(moment: str, path: Path, room: Path) -> int | None:
    """Let a sender live until it dies at the moment, or is done; return how it ended."""
    sending = start(sender.send_from, path, room, moment)
    sending.join()
    return sending.exitcode


def parts_there(path: Path, number: int) -> list[bool]:
    """Return for each of the four rows of a save whether it is there."""
    user_id, key, event_id = names_of(number)
    with closing(sqlite3.connect(path)) as link:
        found = (
            link.execute("SELECT 1 FROM member WHERE user_id = ?", (user_id,)),
            link.execute(
                "SELECT 1 FROM entry JOIN member ON member.id = member_id"
                " WHERE user_id = ? AND tries = ?",
                (user_id, number),
            ),
            link.execute("SELECT 1 FROM notice WHERE key = ?", (key,)),
            link.execute(
                "SELECT 1 FROM event WHERE id = ? AND reply = ?", (event_id, b"%d" % number)
            ),
        )
        return [rows.fetchone() is not None for rows in found]


def test_a_killed_bot_loses_no_acknowledged_save_and_leaves_none_half_done(
    tmp_path: Path,
) -> None:
    path = tmp_path / "club.db"
    source = random.Random(20261123)
    all_acknowledged: list[int] = []
    next_number = 0
    for _ in range(ROUNDS):
        acknowledged = write_until_killed(path, next_number, source.randint(1, 24))
        assert acknowledged == list(range(next_number, next_number + len(acknowledged)))
        all_acknowledged += acknowledged
        asyncio.run(check_store(path))
        # The one save under way at the kill is there as a whole or not at all.
        under_way = next_number + len(acknowledged)
        assert len(set(parts_there(path, under_way))) == 1
        assert parts_there(path, under_way + 1) == [False] * 4
        next_number = under_way + 1
    for number in all_acknowledged:
        assert all(parts_there(path, number)), number
    assert len(all_acknowledged) > ROUNDS


def prepare_notices(path: Path, *keys: str) -> None:
    async def fill() -> None:
        async with open_store(path) as store:
            club = await new_club(store)
            await store.save([QueueNotice(club.id, key, "room", b"words") for key in keys])

    asyncio.run(fill())


@pytest.mark.parametrize(("moment", "out_at_death"), [("before", []), ("after", ["a"])])
def test_a_bot_killed_between_posting_and_writing_it_down_posts_once(
    tmp_path: Path, moment: str, out_at_death: list[str]
) -> None:
    path, room = tmp_path / "club.db", tmp_path / "room.txt"
    prepare_notices(path, "a", "b")
    for last_moment, code in ((moment, -signal.SIGKILL), ("never", 0)):
        assert send_until(last_moment, path, room) == code
        if code:
            assert posts_in(room) == out_at_death
    assert posts_in(room) == ["a", "b"]
    with closing(sqlite3.connect(path)) as link:
        sent = link.execute("SELECT key, reference FROM notice ORDER BY id").fetchall()
    assert sent == [("a", "post a"), ("b", "post b")]


@pytest.mark.parametrize("moment", ["before", "after"])
def test_a_bot_killed_while_it_posts_the_days_puzzle_posts_it_once(
    tmp_path: Path, moment: str
) -> None:
    path, room = tmp_path / "club.db", tmp_path / "room.txt"

    async def fill() -> str:
        async with open_store(path) as store:
            await store.add_stock([PUZZLE])
            settings = ClubSettings("Maple Street Solvers", post_time="12:00")
            club = await store.add_club("web", "maple", settings)
            return f"day:{club.id}:{NOON.date()}"

    key = asyncio.run(fill())
    for last_moment in (moment, "never", "never"):
        send_until(last_moment, path, room)
    assert posts_in(room) == [key]
    with closing(sqlite3.connect(path)) as link:
        days = link.execute("SELECT date, post_ref, posted_at IS NOT NULL FROM day").fetchall()
    assert days == [(NOON.date().isoformat(), f"post {key}", 1)]


def test_a_bot_killed_over_and_over_posts_every_notice_once(tmp_path: Path) -> None:
    path, room = tmp_path / "club.db", tmp_path / "room.txt"
    keys = [f"notice {number}" for number in range(4)]
    prepare_notices(path, *keys)
    # Each life posts what the one before left open, and dies right after a new post of its own.
    for lives in range(1, len(keys) + 1):
        assert send_until("after", path, room) == -signal.SIGKILL
        assert posts_in(room) == keys[:lives]
    assert send_until("never", path, room) == 0
    assert posts_in(room) == keys
