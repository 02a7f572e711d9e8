"""A club's first evening in Matrix: its founder, ten members, and one who means it ill, on a real
homeserver with the rate limits that it has by default.

`python -m tests.matrix.first_evening` prints every screen as the people have it before them, and
`python -m tests.matrix.first_evening rush` how long each of fourteen waits who press Start
together. Both take minutes, since the limits are in seconds; the tests beside this hold what must
be true of them.
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any

from bot.wording.matrix import MATRIX
from tests.discord.first_evening import MEMBERS, WIDTH, Tell
from tests.doubles.matrix.club_house import local_noon, new_account, new_room, sign_in_bot
from tests.doubles.matrix.homeserver import limited_homeserver
from tests.doubles.matrix.member import (
    Member,
    is_in_a_thread,
    shown_of,
    text_of,
)
from tests.matrix.conftest import Bench

MORE = ("Kai", "Lea", "Max", "Nia")
SYNCS = 3000
"""So often somebody looks whether what they wait for has come: the limits make it minutes."""


class EveningBench(Bench):
    """The bot, and people who come as they are called: no club yet."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder, limited_homeserver(), is_encrypted=False)
        self.people: dict[str, Member] = {}

    @property
    def members(self) -> tuple[Member, ...]:
        return tuple(self.people.values())

    async def come(self, name: str) -> Member:
        """Have somebody sign up at the homeserver, and in the club's room where there is one."""
        account = await new_account(self.server, name.casefold())
        member = self.people[name] = Member(self.server, account)
        await member.sync()
        if hasattr(self, "room_id"):
            await self._join(member)
            await member.sync()
        return member

    async def _join(self, member: Member) -> None:
        """Come into the club's room: a server lets in ten at once, and then one a second."""
        for _ in range(SYNCS):
            try:
                await member.call("POST", f"join/{self.room_id}", {})
            except OSError as refusal:
                if ": 429 " not in str(refusal):
                    raise
                await member.sync(1_000)
            else:
                return

    async def open_doors(self) -> Member:
        """Have a founder, their room with the bot in it, and the bot awake; return the founder."""
        self.rowan = await self.come("Rowan")
        self.bot = await sign_in_bot(self.server, self.folder / "matrix", encrypt=False)
        self.room_id = await new_room(
            self.server, self.rowan.account, bot=self.bot, name="Maple Street"
        )
        path = f"rooms/{self.room_id}/state/m.room.join_rules/"
        await self.rowan.call("PUT", path, {"join_rule": "public"})
        await self.rowan.sync()
        await self.start()
        return self.rowan

    async def patiently(self, member: Member, seen: Callable[[], Any]) -> Any:
        """Look until `seen` returns something true; return it."""
        for _ in range(SYNCS):
            if found := seen():
                return found
            await member.sync(5_000)
        raise AssertionError("it never came")


@dataclass(frozen=True)
class Wait:
    """How one who pressed Start with the others fared, in seconds after their press."""

    name: str
    arrived: float
    clock: float


class Evening:
    """What came of it: the room, its people, and what each was shown, in order."""

    def __init__(self, bench: EveningBench, tell: Tell) -> None:
        self.bench = bench
        self.tell = tell
        self.answers: dict[str, list[dict[str, Any]]] = {}
        self.waits: list[Wait] = []
        self._seen: set[str] = set()

    async def asks(self, name: str, line: str, *, messages: int = 1) -> dict[str, Any]:
        member = self.bench.people[name]
        found = await self.bench.ask(member, line, messages=messages)
        return self.answered(name, f"types {line}", found)

    async def presses(self, name: str, event: dict[str, Any], label: str) -> dict[str, Any]:
        found = await self.bench.press(self.bench.people[name], event, label)
        return self.answered(name, f"presses {label}", found)

    def answered(self, name: str, did: str, found: list[dict[str, Any]]) -> dict[str, Any]:
        """Note what somebody was answered in private, and print it."""
        self.answers.setdefault(name, []).extend(found)
        self.tell(f"\n{name} {did}\n" + "\n".join(map(framed, found)))
        return found[-1]

    async def looks(self, what: str) -> None:
        """Print what is new in the club's room, as its founder's app has it."""
        rowan = self.bench.rowan
        await rowan.sync()
        self.tell(f"\n--- {what} ---")
        for event in rowan.sources(self.bench.room_id):
            if event["type"] != "m.room.message" or event["event_id"] in self._seen:
                continue
            self._seen.add(event["event_id"])
            how = "in the thread" if is_in_a_thread(event) else "in the room"
            if event.get("redacted"):
                self.tell("  (a message was taken away)")
            elif event["sender"] == self.bench.bot.user_id:
                is_edit = "m.new_content" in event["content"]
                self.tell(f"{how}{', changed' if is_edit else ''}\n{framed(event)}")
            else:
                self.tell(f"  {event['sender'].split('-')[0]}: {text_of(event)[:60]}")

    def room(self) -> list[str]:
        """Return what the bot has said in the club's room, threads aside."""
        said = self.bench.from_bot(self.bench.rowan, self.bench.room_id)
        return [text_of(each) for each in said if not is_in_a_thread(each)]

    async def start_together(self, names: tuple[str, ...]) -> None:
        """Have all press Start on the day's post at the same time, and see when each is served."""
        bench = self.bench
        people = [bench.people[name] for name in names]
        for member in people:
            await bench.patiently(member, partial(bench.daily_posts, member))

        async def start(name: str, member: Member) -> None:
            (post, *_) = bench.daily_posts(member)
            found = await bench.press(member, post, "Start my clock")
            self.answers.setdefault(name, []).extend(found)
            pressed = next(
                each for each in member.sources(bench.room_id)
                if each["type"] == "m.reaction" and each["sender"] == member.user_id
            )  # fmt: skip
            began = await self._clock_of(member)
            arrived = _at(found[0]) - _at(pressed)
            clock = began - _at(pressed)
            self.waits.append(Wait(name, arrived.total_seconds(), clock.total_seconds()))

        await asyncio.gather(*map(start, names, people))
        self.waits.sort(key=lambda wait: wait.arrived)
        for wait in self.waits:
            self.tell(
                f"{wait.name:6} got the puzzle after {wait.arrived:6.1f} s; "
                f"the clock began after {wait.clock:6.1f} s"
            )

    async def _clock_of(self, member: Member) -> datetime:
        house = self.bench.house
        assert house is not None
        (club,) = await house.store.load_clubs()
        (day,) = await house.store.load_days(club.id, open_only=True)
        entry = await house.store.load_entry(day.id, member.user_id)
        assert entry is not None
        assert entry.started_at is not None
        return entry.started_at


def _at(event: dict[str, Any]) -> datetime:
    return datetime.fromtimestamp(event["origin_server_ts"] / 1000, UTC)


def framed(event: dict[str, Any]) -> str:
    """Return a message as it would stand on a screen, in plain letters."""
    content = shown_of(event)
    lines = [
        part[i : i + WIDTH]
        for part in text_of(event).split("\n")
        for i in range(0, max(1, len(part)), WIDTH)
    ]
    lines[:0] = ["[picture]"] if content.get("msgtype") == "m.image" else []
    return "\n".join(f"  | {line}" for line in lines)


async def found_club(told: Evening) -> None:
    """Have Rowan found the club, and put up a first puzzle."""
    bench = told.bench
    rowan = await bench.open_doors()
    told.answered(
        "Rowan",
        "types !club setup in the room",
        await bench.answers_to(rowan, lambda: rowan.say(bench.room_id, "!club setup"), 1),
    )
    zone, post_time = local_noon()
    page = await told.asks("Rowan", f"club setup post-time={post_time} zone={zone}")
    await told.presses("Rowan", page, "See the next puzzle")
    await told.presses("Rowan", page, "Begin")
    await bench.tick()
    await bench.patiently(rowan, lambda: bench.daily_posts(rowan))
    await told.looks("the first puzzle is up")


async def rush(
    bench: EveningBench, tell: Tell = lambda line: None, *, names: tuple[str, ...] = MEMBERS + MORE
) -> Evening:
    """Have so many press Start together whom the bot has never answered before."""
    told = Evening(bench, tell)
    await found_club(told)
    for name in names:
        await bench.come(name)
    await told.start_together(names)
    await bench.patiently(bench.rowan, lambda: MATRIX.queue_over in told.room())
    await told.looks("what the room was told")
    return told


async def evening(
    bench: EveningBench, tell: Tell = lambda line: None, *, count: int = len(MEMBERS)
) -> Evening:
    """Play the evening with so many members, and return what came of it."""
    told = Evening(bench, tell)
    await found_club(told)
    names = MEMBERS[:count]
    for name in names:
        await bench.come(name)
    mallory = await bench.come("Mallory")
    path = f"profile/{mallory.user_id}/displayname"
    await mallory.call("PUT", path, {"displayname": "@room **Rowan**"})
    house = bench.house
    assert house is not None
    (club,) = await house.store.load_clubs()
    (day,) = await house.store.load_days(club.id, open_only=True)
    solution = day.puzzle.solution

    await told.start_together(names)
    for name in names[:2]:
        tell(f"\n{name} pressed Start my clock\n" + "\n".join(map(framed, told.answers[name])))

    hint = await told.asks("Ada", "hint")
    hint = await told.presses("Ada", hint, "From my board")
    for rung in ("More: What", "More: Which", "More: Why"):
        hint = await told.presses("Ada", hint, rung)
    await told.asks("Ben", f"hand-in {'1' * 18}")
    await told.asks("Cleo", "look dark")
    await told.asks("Cleo", "remind on")
    await told.asks("Cleo", "today")

    await bench.answers_to(mallory, lambda: mallory.say(bench.room_id, f"!{solution}"), 1)
    told.answered("Mallory", "types the whole solution in the open", bench.answers(mallory))
    await told.asks("Mallory", "club pause")
    await told.looks("meanwhile in the room")

    for name in names:
        found = await bench.ask(bench.people[name], f"hand-in {solution}")
        if name in names[:2]:
            told.answered(name, "hands in the whole grid", found)
        else:
            told.answers[name].extend(found)
    bench.ahead = timedelta(minutes=10)
    await bench.tick()
    await told.looks("all have finished")
    await told.asks("Ada", "leaderboard")

    bench.ahead = timedelta(days=1)
    await bench.tick()
    await bench.tick()
    ada = bench.people["Ada"]
    await bench.patiently(ada, lambda: len(bench.daily_posts(ada)) == 2)
    await told.looks("the next day")
    await told.asks("Rowan", "club report")
    return told


async def _print(story: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        bench = EveningBench(Path(folder))
        try:
            play = rush if story == "rush" else evening
            await play(bench, lambda line: print(line, flush=True))  # noqa: T201 - its output
        finally:
            await bench.close()


if __name__ == "__main__":
    sys.exit(asyncio.run(_print(*sys.argv[1:2] or ["evening"])))
