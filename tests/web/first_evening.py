"""A club's first evening in the web room: its founder, ten members, and one who means it ill.

The service is whole and real; its people speak to it as its page does, over HTTP and a socket.
`python -m tests.web.first_evening` prints every screen as the people have it before them; the test
beside it holds what must be true of it.
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
from collections.abc import Mapping
from contextlib import AsyncExitStack
from datetime import timedelta
from pathlib import Path
from typing import Any

import aiohttp

from bot.club.settings import ClubSettings
from bot.settings import ClubConfig
from bot.wiring.running import RunningBot, open_clubs
from bot.wiring.web import WebAccess
from tests.bot.platforms.conftest import Tab
from tests.discord.conftest import MONDAY_NOON
from tests.discord.first_evening import MEMBERS, WIDTH, Tell
from tests.patience import PATIENCE

ROOM = "main"
FRIENDS = "@everyone Rowan"
"""The name that Mallory comes under, after the leader's own."""


class House:
    """A club in a web room whose leader is Rowan, its clock, and those who come in."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.now = MONDAY_NOON
        self._stack = AsyncExitStack()

    async def open(self) -> RunningBot:
        settings = ClubSettings("Maple Street", post_time="13:00", leaders=("Rowan",))
        self.running = await self._stack.enter_async_context(
            open_clubs(
                (ClubConfig("web", ROOM, settings),),
                WebAccess(port=0),
                database=self.folder / "club.db",
                now=lambda: self.now,
            )
        )
        self.client = await self._stack.enter_async_context(aiohttp.ClientSession())
        return self.running

    async def close(self) -> None:
        await self._stack.aclose()

    async def tick(self) -> None:
        for club in await self.running.store.load_clubs():
            await self.running.schedule.serve(club)

    async def come(self, name: str) -> Guest:
        """Have somebody come in by a name."""
        guest = Guest(name, await self._open_tab())
        guest.take(await guest.tab.enter(name, ROOM))
        return guest

    async def knock(self, name: str) -> str:
        """Return why somebody may not come in by a name."""
        tab = await self._open_tab()
        await tab.socket.send_json({"type": "enter", "room": ROOM, "name": name})
        return str((await tab.until("refused"))[-1]["problem"])

    async def _open_tab(self) -> Tab:
        url: str = self.running.rooms["web"].url  # type: ignore[attr-defined] # rooms by name
        entering = self.client.ws_connect(f"{url}socket", origin=url.rstrip("/"))
        return Tab(await self._stack.enter_async_context(entering))


class Guest:
    """Somebody at the page, with what stands on it by now: entries by their ids."""

    def __init__(self, name: str, tab: Tab) -> None:
        self.name = name
        self.tab = tab
        self.page: dict[int, dict[str, Any]] = {}
        self._acts = 0

    def take(self, frames: list[dict[str, Any]]) -> None:
        for frame in frames:
            if frame["type"] == "entry":
                self.page[frame["id"]] = frame
            elif frame["type"] == "gone":
                self.page.pop(frame["id"], None)

    async def does(self, line: str, **more: Any) -> list[dict[str, Any]]:
        """Send a line, and return the private answers to it."""
        self._acts += 1
        await self.tab.act(f"act-{self._acts}", line, **more)
        frames = await asyncio.wait_for(self.tab.until("done"), PATIENCE)
        self.take(frames)
        return [self.page[each] for each in frames[-1]["entries"] if each in self.page]

    async def presses(self, entry: Mapping[str, Any], label: str) -> list[dict[str, Any]]:
        """Press the button of an entry that begins so."""
        (command,) = [
            button["command"]
            for message in entry["body"]["messages"]
            for button in message.get("buttons", ())
            if button["label"].startswith(label)
        ]
        return await self.does(command, under=entry["id"] if entry["private"] else 0)


class Evening:
    """What came of it: the people, and what each was shown, in order."""

    def __init__(self, house: House, tell: Tell) -> None:
        self.house = house
        self.tell = tell
        self.answers: dict[str, list[dict[str, Any]]] = {}
        self.room: list[dict[str, Any]] = []
        self.refused = ""

    def answered(self, guest: Guest, did: str, found: list[dict[str, Any]]) -> dict[str, Any]:
        """Note what somebody was answered in private, and print it."""
        self.answers.setdefault(guest.name, []).extend(found)
        self.tell(f"\n{guest.name} {did}\n" + "\n".join(map(framed, found)))
        return found[-1]

    async def asks(self, guest: Guest, line: str, **more: Any) -> dict[str, Any]:
        return self.answered(guest, f"types {line}", await guest.does(line, **more))

    async def presses(self, guest: Guest, entry: dict[str, Any], label: str) -> dict[str, Any]:
        return self.answered(guest, f"presses {label}", await guest.presses(entry, label))

    async def passes(self, what: str, **by: float) -> None:
        """Let time pass, have the club looked at, and print what is new to who comes in then."""
        self.house.now += timedelta(**by)
        await self.house.tick()
        onlooker = await self.house.come("Olive")
        before = {each["id"]: each["body"] for each in self.room}
        self.room = [each for each in onlooker.page.values() if not each["private"]]
        self.tell(f"\n--- {what} ---")
        for each in self.room:
            if before.get(each["id"]) != each["body"]:
                how = ", changed" if each["id"] in before else ""
                self.tell(f"the room: {each['kind']}{how}\n{framed(each)}")
        await onlooker.tab.socket.close()


def framed(entry: Mapping[str, Any]) -> str:
    """Return an entry as it would stand on a screen, in plain letters."""
    lines: list[str] = [f"({entry['body']['title']})"] if entry["body"].get("title") else []
    for message in entry["body"]["messages"]:
        for part in message["text"].split("\n"):
            lines += [part[i : i + WIDTH] for i in range(0, max(1, len(part)), WIDTH)]
        if message.get("picture"):
            lines.append(f"[picture: {message['picture']['alt'].splitlines()[0]} …]")
        lines += ["[the grid as text]"] if message.get("code") else []
        labels = [each["label"] for each in message.get("buttons", ())]
        labels += [f"{each['label']} ▾" for each in message.get("menus", ())]
        if form := message.get("form"):
            lines += [f"{each['label']}: ______" for each in form["fields"]]
            labels.append(form["send_label"])
        lines += ["  ".join(f"[{label}]" for label in labels)] if labels else []
    return "\n".join(f"  | {line}" for line in lines)


async def evening(
    house: House, tell: Tell = lambda line: None, *, count: int = len(MEMBERS)
) -> Evening:
    """Play the evening with so many members, and return what came of it."""
    told = Evening(house, tell)
    running = await house.open()
    await told.passes("the bot is started")
    rowan = await house.come("Rowan")
    setup = await told.asks(rowan, "club setup")
    await told.presses(rowan, setup, "See the next puzzle")
    await told.passes("an hour later, at 13:00", hours=1)

    members = [await house.come(name) for name in MEMBERS[:count]]
    ada, ben, *others = members
    told.refused = await house.knock(FRIENDS)
    tell(f"\nMallory comes as {FRIENDS!r}: {told.refused}")
    mallory = await house.come("Mallory")
    *_, post = (each for each in ada.page.values() if each["kind"] == "post")
    (club,) = await running.store.load_clubs()
    (day,) = await running.store.load_days(club.id, open_only=True)
    solution = day.puzzle.solution

    for member in members:
        found = await member.presses(post, "Start my clock")
        if member in (ada, ben):
            told.answered(member, "presses Start my clock", found)
    house.now += timedelta(minutes=6)
    hint = await told.presses(ada, post, "Hint")
    hint = await told.presses(ada, hint, "From my board")
    for rung in ("More: What", "More: Which", "More: Why"):
        hint = await told.presses(ada, hint, rung)
    await told.asks(ben, f"hand-in {'1' * 18}")

    await told.asks(mallory, solution, open=True)
    await told.asks(mallory, "club pause")
    await told.passes("meanwhile in the room")

    for number, member in enumerate((ada, ben, *others), start=1):
        house.now += timedelta(minutes=1)
        found = await member.does(f"hand-in {solution}")
        if member in (ada, ben):
            told.answered(member, "hands in", found)
        if number in (1, 2, count):
            await told.passes(f"{number} of {count} have finished")
    await told.asks(ada, "leaderboard")
    await told.passes("the next day at 13:00", days=1)
    await told.asks(rowan, "club report")
    return told


async def _print() -> None:
    with tempfile.TemporaryDirectory() as folder:
        house = House(Path(folder))
        try:
            await evening(house, lambda line: print(line))  # noqa: T201 - its output
        finally:
            await house.close()


if __name__ == "__main__":
    sys.exit(asyncio.run(_print()))
