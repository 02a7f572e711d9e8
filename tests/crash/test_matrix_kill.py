"""kill -9 of the bot in Matrix at random moments while commands come in: every command is answered
once, and every day posted once. The homeserver is real and lives through it all.
"""

from __future__ import annotations

import asyncio
import os
import random
import signal
import sqlite3
import sys
from asyncio.subprocess import PIPE, Process
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.doubles.matrix.club_house import new_account, new_room, sign_in_bot
from tests.doubles.matrix.homeserver import shared_homeserver
from tests.doubles.matrix.member import Member, is_in_a_thread, text_of
from tests.patience import PATIENCE

ROOT = Path(__file__).parents[2]
LIVES_A_DAY = 5
MOST_COMMANDS = 10
"""The most commands that come in during one life; how many do is its random moment."""

UNSENT = "SELECT key FROM matrix_outbox WHERE event_id IS NULL AND key LIKE 'answer:%'"


class Village:
    """A club of two members, the process that starts its bot, and what was sent to it."""

    def __init__(self, folder: Path, *, is_encrypted: bool) -> None:
        self.folder = folder
        self.is_encrypted = is_encrypted
        self.server = shared_homeserver()
        self.sent: dict[str, list[str]] = {}
        self.members: list[Member] = []
        self.child = 0
        self._nursery: Process | None = None

    async def prepare(self) -> None:
        server, secret = self.server, self.is_encrypted
        self.bot = await sign_in_bot(server, self.folder / "matrix", encrypt=secret)
        accounts = [await new_account(server, name) for name in ("rowan", "ada", "ben")]
        for account in accounts[1:]:
            store = self.folder / account.user_id[1:4] if secret else None
            self.members.append(Member(server, account, store))
            await self.members[-1].sync()
        self.room_id = await new_room(
            server, accounts[0], members=accounts[1:], bot=self.bot, is_encrypted=secret
        )
        self._nursery = await asyncio.create_subprocess_exec(
            sys.executable, "-m", "tests.crash.matrix_nursery", str(self.folder), server.url,
            self.bot.user_id, self.room_id, "encrypted" if secret else "open",
            cwd=ROOT, stdin=PIPE, stdout=PIPE,
        )  # fmt: skip

    async def start_bot(self, day: int) -> None:
        assert self._nursery is not None
        assert self._nursery.stdin is not None
        self._nursery.stdin.write(b"%d\n" % day)
        await self._nursery.stdin.drain()
        self.child = int(await self._line())

    async def is_ready(self) -> None:
        assert await self._line() == "ready"

    async def kill_bot(self) -> None:
        os.kill(self.child, signal.SIGKILL)
        self.child = 0
        while await self._line() != "over":
            pass

    async def close(self) -> None:
        if self._nursery is not None:
            if self.child:
                os.kill(self.child, signal.SIGKILL)
            assert self._nursery.stdin is not None
            self._nursery.stdin.close()
            await asyncio.wait_for(self._nursery.wait(), PATIENCE)
        for member in self.members:
            await member.close()

    async def _line(self) -> str:
        assert self._nursery is not None
        assert self._nursery.stdout is not None
        line = await asyncio.wait_for(self._nursery.stdout.readline(), PATIENCE)
        assert line, "the nursery has died"
        return line.decode().strip()

    # --- what people do and see ---

    def private_room(self, member: Member) -> str | None:
        rooms = [room_id for room_id in member.invited if room_id != self.room_id]
        return rooms[-1] if rooms else None

    def answers(self, member: Member) -> list[str]:
        """Return the ids of what the bot has said to a member, but for what a picture shows, which
        hangs below it as text."""
        room_id = self.private_room(member)
        return [
            event["event_id"]
            for event in (member.sources(room_id) if room_id else ())
            if event["sender"] == self.bot.user_id and event["type"] == "m.room.message"
            if not is_in_a_thread(event)
        ]

    async def meet(self) -> None:
        """Let the bot run once, so that each member has their private room."""
        await self.start_bot(0)
        await self.is_ready()
        for member in self.members:
            self.sent[member.user_id] = [await member.say(self.room_id, "!help")]
            await member.until(lambda member=member: self.answers(member))

    async def command(self, member: Member, number: int) -> None:
        place = f"place r1c{number % 9 + 1} {number % 9 + 1}"
        line = ("hint", "me", place, "undo")[number // 2 % 4]
        room_id = self.private_room(member)
        assert room_id is not None
        self.sent[member.user_id].append(await member.say(room_id, line))

    def posts_out(self) -> list[str]:
        """Return the posts of the club's days that are known to be out."""
        return [row[0] for row in self.rows("SELECT post_ref FROM day WHERE post_ref IS NOT NULL")]

    def rows(self, statement: str) -> list[tuple[Any, ...]]:
        with closing(sqlite3.connect(self.folder / "club.db")) as link:
            return link.execute(statement).fetchall()


async def live(village: Village, kills: int, source: random.Random) -> int:
    """Kill the bot so many times; return the last day.

    The last life of a day is let live until the day's puzzle is up: a day whose every life was too
    short for that would rightly go without.
    """
    number, day = 0, 0
    for life in range(kills):
        day = life // LIVES_A_DAY
        await village.start_bot(day)
        for _ in range(source.randint(0, MOST_COMMANDS)):
            await village.command(village.members[number % 2], number)
            number += 1
        if life % LIVES_A_DAY == LIVES_A_DAY - 1:
            await village.members[0].until(lambda day=day: len(village.posts_out()) > day)
        await village.kill_bot()
        for member in village.members:
            await member.sync()
    return day


@pytest.mark.parametrize(
    ("kills", "is_encrypted"),
    [
        pytest.param(2, False, id="2 kills, open"),
        pytest.param(3, True, id="3 kills, encrypted", marks=pytest.mark.long),
        pytest.param(50, False, id="50 kills, open", marks=pytest.mark.long),
        pytest.param(50, True, id="50 kills, encrypted", marks=pytest.mark.long),
        pytest.param(200, False, id="200 kills, open", marks=pytest.mark.long),
    ],
)
async def test_a_bot_killed_over_and_over_answers_every_command_and_posts_every_day_once(
    tmp_path: Path, kills: int, is_encrypted: bool
) -> None:
    village = Village(tmp_path, is_encrypted=is_encrypted)
    await village.prepare()
    try:
        await village.meet()
        await village.kill_bot()
        day = await live(village, kills, random.Random(20261125))
        await village.start_bot(day)
        await village.is_ready()
        for member in village.members:
            wanted = len(village.sent[member.user_id])
            await member.until(
                lambda member=member, wanted=wanted: len(village.answers(member)) >= wanted
            )
            # A room has an answer a moment before its event is written down here.
            await member.until(lambda: not village.rows(UNSENT))
            check_answers(village, member)
        await check_posts(village, day)
        await village.kill_bot()
    finally:
        await village.close()


def check_answers(village: Village, member: Member) -> None:
    commands = village.sent[member.user_id]
    keys = village.rows(
        "SELECT key, event_id FROM matrix_outbox WHERE key LIKE 'answer:%' AND part = 0"
    )
    answer_to = {
        str(key).split(":")[1]: event_id for key, event_id in keys if "invited" not in str(key)
    }
    answers = village.answers(member)
    assert len(commands) == len(set(commands))
    assert len(answers) == len(set(answers)) == len(commands)
    assert sorted(answers) == sorted(str(answer_to[command]) for command in commands)
    events = {str(row[0]) for row in village.rows("SELECT id FROM event")}
    assert events <= {f"matrix:{each}" for sent in village.sent.values() for each in sent}


async def check_posts(village: Village, day: int) -> None:
    """Every day is in the room once; nobody solves one, so nothing else there has a picture."""
    reader = village.members[0]
    await reader.until(lambda: len(village.posts_out()) > day)
    await reader.sync()
    pictures = [
        event["event_id"]
        for event in reader.sources(village.room_id)
        if event["sender"] == village.bot.user_id
        and event["content"].get("msgtype") == "m.image"
        and "m.relates_to" not in event["content"]
    ]
    assert len(pictures) == day + 1
    assert sorted(pictures) == sorted(village.posts_out())
    closed = [text_of(e) for e in reader.sources(village.room_id) if "is closed" in text_of(e)]
    assert len(closed) == len(set(closed))
