"""One Ninebark, as its host runs it from one config: a club in Discord, one in Matrix and one in
the web room, each with its day, a hint and an answer, and one clean end for all.
"""

from __future__ import annotations

import asyncio
import json
import os
import re
import signal
import sys
from collections.abc import AsyncIterator
from contextlib import AsyncExitStack
from pathlib import Path
from typing import Any

import aiohttp
import pytest

from tests.bot.club.stories import EASY, EASY_SOLUTION
from tests.doubles.discord import TOKEN, DiscordDouble
from tests.doubles.discord.people import answer_of
from tests.doubles.discord.world import Channel
from tests.doubles.matrix.club_house import local_noon, new_account, new_room
from tests.doubles.matrix.homeserver import PASSWORD, Account, shared_homeserver
from tests.doubles.matrix.member import Member, text_of
from tests.doubles.program import ninebark
from tests.patience import PATIENCE

ROOT = Path(__file__).parents[2]
# The marked lines by the rule (fewest givens; ties: rows, then lower numbers), counted by hand:
# columns 3 and 7 have one given each.
KEY = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]
SECRETS = {"NINEBARK_DISCORD_TOKEN": TOKEN, "NINEBARK_MATRIX_PASSWORD": PASSWORD}
CONFIG = """
[web]
port = 0
[discord]
api = "{api}"
gateway = "{gateway}"
[matrix]
homeserver = "{homeserver}"
user = "{bot}"
[[club]]
platform = "discord"
room = "{channel}"
name = "Maple Street Solvers"
zone = "{zone}"
post_time = "{post_time}"
[[club]]
platform = "matrix"
room = "{room}"
name = "Orchard Road Solvers"
zone = "{zone}"
post_time = "{post_time}"
[[club]]
platform = "web"
room = "main"
name = "Hedgerow Sudoku Club"
zone = "{zone}"
post_time = "{post_time}"
"""


class Town:
    """The three platforms and a member of each club."""

    def __init__(self, folder: Path, stack: AsyncExitStack) -> None:
        self.config = folder / "config.toml"
        self._folder = folder
        self._stack = stack

    async def prepare(self) -> None:
        self.double = DiscordDouble()
        await self.double.start()
        self._stack.push_async_callback(self.double.stop)
        self.channel: Channel = self.double.add_club("Maple Street", "puzzles")
        self.ada = self.double.person("Ada", self.channel)
        server = shared_homeserver()
        self.bot, rowan, ben = [
            await new_account(server, name) for name in ("ninebark", "rowan", "ben")
        ]
        self.room_id = await new_room(
            server, rowan, members=[ben], bot=self.bot, is_encrypted=True, name="Orchard Road"
        )
        self.ben = Member(server, ben, self._folder / "ben")
        self._stack.push_async_callback(self.ben.close)
        await self.ben.sync()
        self._write_config(self.bot)

    def _write_config(self, bot: Account) -> None:
        zone, post_time = local_noon()
        self.config.write_text(
            CONFIG.format(
                api=self.double.api,
                gateway=self.double.gateway.url,
                homeserver=shared_homeserver().url,
                bot=bot.user_id,
                channel=self.channel.id,
                room=self.room_id,
                zone=zone,
                post_time=post_time,
            ),
            encoding="utf-8",
        )

    async def told(self, *arguments: str) -> str:
        """Have the program do something, to its end; return what it said."""
        code, out, err = await ninebark(*arguments, "--config", str(self.config), **SECRETS)
        assert code == 0, out + err
        return out

    async def run(self) -> asyncio.subprocess.Process:
        return await asyncio.create_subprocess_exec(
            sys.executable, "-m", "bot", "run", "--config", str(self.config), cwd=ROOT,
            env={**os.environ, **SECRETS},
            stdin=asyncio.subprocess.DEVNULL,
            stdout=asyncio.subprocess.PIPE, stderr=asyncio.subprocess.PIPE,
        )  # fmt: skip


@pytest.fixture
async def town(tmp_path: Path) -> AsyncIterator[Town]:
    async with AsyncExitStack() as stack:
        made = Town(tmp_path, stack)
        await made.prepare()
        yield made
    assert not made.double.problems


async def test_one_ninebark_serves_discord_matrix_and_the_page_from_one_config(town: Town) -> None:
    checked = await town.told("check")
    assert "the token works" in checked
    assert "signed in as" in checked
    assert "all is well" in checked
    for room in (town.channel.id, town.room_id, "main"):
        await town.told("puzzles", "add", EASY, "--room", room)
    bot = await town.run()
    try:
        assert bot.stdout is not None
        page = ""
        for _ in range(3):
            line = (await asyncio.wait_for(bot.stdout.readline(), PATIENCE)).decode()
            page = next((word for word in line.split() if word.startswith("http")), page)
        # All at once, as three clubs do that know nothing of each other.
        async with asyncio.timeout(2 * PATIENCE), asyncio.TaskGroup() as clubs:
            clubs.create_task(a_day_in_discord(town))
            clubs.create_task(a_day_in_matrix(town))
            clubs.create_task(a_day_on_the_page(page))
    finally:
        bot.send_signal(signal.SIGTERM)
        out, err = await asyncio.wait_for(bot.communicate(), PATIENCE)
    assert bot.returncode == 0, out + err
    # That it stood still for a moment is the machine's load.
    told = [line for line in err.splitlines() if b"stood still" not in line]
    assert not [line for line in told if re.search(rb"ERROR|WARNING|Traceback", line)], err.decode()


async def a_day_in_discord(town: Town) -> None:
    ada = town.ada
    await town.double.until(lambda: bool(town.channel.messages), "the day's post")
    (post,) = ada.sees()
    assert post.alts
    started = answer_of(await ada.press(post, "Start my clock"))
    assert started.code.startswith("53.|.7.|...")
    offered = answer_of(await ada.press(post, "Hint"))
    assert "I have more on paper" in [each.label for each in offered.controls]
    right = answer_of(await ada.command("hand-in", answer=KEY))
    assert "You solved the puzzle" in right.text
    await town.double.until(lambda: "Ada" in ada.sees(town.channel)[-1].text, "the open line")


async def a_day_in_matrix(town: Town) -> None:
    ben, bot = town.ben, town.bot.user_id

    def in_the_room() -> list[str]:
        return ben.texts(town.room_id, by=bot)

    def answers() -> list[str]:
        rooms = [each for each in ben.invited if each != town.room_id]
        return [text for room_id in rooms for text in ben.texts(room_id, by=bot)]

    await ben.until(lambda: any("53.|.7.|..." in text for text in in_the_room()))
    (post,) = [
        each for each in ben.sources(town.room_id) if each["content"].get("msgtype") == "m.image"
    ]
    assert "file" in post["content"], "the picture is encrypted"
    assert "Start my clock" in text_of(post)
    await ben.say(town.room_id, "!start")
    await ben.until(lambda: len(answers()) == 2)
    assert "Your clock is running" in answers()[0]
    assert "53.|.7.|..." in answers()[1]
    (place,) = [each for each in ben.invited if each != town.room_id]
    await ben.say(place, "hint")
    await ben.until(lambda: len(answers()) == 3)
    assert "more on paper" in answers()[2]
    await ben.say(place, f"hand-in {KEY}")
    await ben.until(lambda: len(answers()) == 4)
    assert "You solved the puzzle" in answers()[3]
    await ben.until(lambda: any("Ben" in text for text in in_the_room()))
    assert not any(KEY[:9] in text for text in in_the_room())


async def a_day_on_the_page(page: str) -> None:
    async with (
        aiohttp.ClientSession() as session,
        session.ws_connect(f"{page}socket", origin=page.rstrip("/")) as socket,
    ):
        frames: list[dict[str, Any]] = []

        async def until(kind: str, **wanted: str) -> dict[str, Any]:
            while True:
                frames.append(await socket.receive_json())
                frame = frames[-1]
                if frame["type"] == kind and wanted.items() <= frame.items():
                    return frame

        await socket.send_json({"type": "enter", "room": "main", "name": "Cleo"})
        while not any(frame.get("kind") == "post" for frame in frames):
            frames.append(await socket.receive_json())
        for number, line in enumerate(("start", "hint", f"hand-in {KEY}")):
            frames.clear()
            await socket.send_json({"type": "act", "id": f"act-{number}", "text": line})
            await until("done", id=f"act-{number}")
            said = json.dumps(frames)
            assert ("53.|.7.|...", "more on paper", "You solved the puzzle")[number] in said
