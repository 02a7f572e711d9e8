"""A club's first evening in Discord: its founder, ten members, and one who means it ill.

`python -m tests.discord.first_evening` prints every screen as the people have it before them: what
stands in the room, and what each is answered in private. The story is told by `evening`; the test
beside it holds what must be true of it.
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from tests.discord.conftest import Bench
from tests.doubles.discord.people import Person, answer_of, form_of
from tests.doubles.discord.shown import Shown, show
from tests.doubles.discord.world import Channel

MEMBERS = ("Ada", "Ben", "Cleo", "Dan", "Eve", "Finn", "Gus", "Hana", "Ida", "Jun")
WIDTH = 96

Tell = Callable[[str], None]


class Evening:
    """What came of it: the room, its people, and what each was shown, in order."""

    def __init__(self, bench: Bench, tell: Tell) -> None:
        self.bench = bench
        self.tell = tell
        self.answers: dict[str, list[Shown]] = {}
        self._room: dict[str, Shown] = {}
        self._direct: dict[str, int] = {}

    def open_doors(self, members: tuple[str, ...]) -> None:
        """Have the server, its channel and its people, and no bot in it yet."""
        world = self.bench.double.world
        self.guild = world.add_guild("Maple Street", has_bot=False)
        self.channel: Channel = world.add_channel(self.guild, "puzzles")
        self.rowan = self.bench.double.person("Rowan", self.channel, leads=True)
        self.members = [self.bench.double.person(name, self.channel) for name in members]
        self.mallory = self.bench.double.person("@everyone **Rowan**", self.channel)

    def answered(self, who: Person, did: str, shown: Shown) -> Shown:
        """Note what somebody was answered in private, and print it."""
        self.answers.setdefault(who.user.name, []).append(shown)
        self.tell(f"\n{who.user.name} {did}\n{framed(shown)}")
        return shown

    async def passes(self, what: str, **by: float) -> None:
        """Let time pass, have the club looked at, and print what is new in the room."""
        self.bench.later(**by)
        await self.bench.tick()
        now = {each.id: show(each) for each in self.channel.messages.values()}
        self.tell(f"\n--- {what} ---")
        for message_id, shown in now.items():
            if self._room.get(message_id) != shown:
                how = "#puzzles" if message_id not in self._room else "#puzzles, changed"
                self.tell(f"{how}\n{framed(shown)}")
        for message_id in self._room.keys() - now.keys():
            self.tell(f"#puzzles, gone: {self._room[message_id].text[:60]}")
        self._room = now

    async def written_to(self, who: Person, did: str, count: int = 1) -> list[Shown]:
        """Wait for what is written to somebody directly; return the new messages."""
        before = self._direct.get(who.user.name, 0)
        await self.bench.double.until(lambda: len(who.direct()) >= before + count, did)
        new = who.direct()[before:]
        self._direct[who.user.name] = len(who.direct())
        for shown in new:
            self.answered(who, did, shown)
        return new


def framed(shown: Shown) -> str:
    """Return a message as it would stand on a screen, in plain letters."""
    lines = [part[i : i + WIDTH] for part in shown.text.split("\n") for i in _starts(part)]
    lines += [f"[picture: {alt.splitlines()[0]} …]" for alt in shown.alts if alt]
    lines += ["[the grid as text]"] if shown.code else []
    labels = [each.label for each in shown.controls]
    lines += ["  ".join(f"[{label}]" for label in labels)] if labels else []
    return "\n".join(f"  | {line}" for line in lines)


def _starts(part: str) -> range:
    return range(0, max(1, len(part)), WIDTH)


async def evening(
    bench: Bench, tell: Tell = lambda line: None, *, count: int = len(MEMBERS)
) -> Evening:
    """Play the evening with so many members, and return what came of it."""
    told = Evening(bench, tell)
    told.open_doors(MEMBERS[:count])
    rowan, mallory, (ada, ben, *others) = told.rowan, told.mallory, told.members
    house = await bench.start()

    await bench.double.invite(told.guild)
    hall = bench.double.world.direct_channel(told.guild.owner)
    await bench.double.until(lambda: bool(hall.messages), "a welcome")
    tell(f"\nThe server's owner is greeted\n{framed(rowan.sees(hall)[0])}")

    asked = told.answered(rowan, "types /club setup", answer_of(await rowan.command("club setup")))
    chosen = await rowan.choose(asked, "The club's channel", told.channel.id)
    page = told.answered(rowan, "picks #puzzles", answer_of(chosen))
    page = answer_of(await rowan.choose(page, "Post time", "13:00"))
    told.answered(rowan, "picks 13:00", page)
    preview = answer_of(await rowan.press(page, "See the next puzzle"))
    told.answered(rowan, "presses See the next puzzle", preview)
    begun = answer_of(await rowan.press(preview, "Begin"))
    told.answered(rowan, "presses Begin", begun)
    await told.passes("right after")
    await told.passes("an hour later, at 13:00", hours=1)
    *_, post = ada.sees()
    (club,) = await house.store.load_clubs()
    (day,) = await house.store.load_days(club.id, open_only=True)
    solution = day.puzzle.solution

    for member in told.members:
        started = answer_of(await member.press(post, "Start my clock"))
        if member in (ada, ben):
            told.answered(member, "presses Start my clock", started)
    bench.later(minutes=6)
    hint = answer_of(await ada.press(post, "Hint"))
    hint = told.answered(ada, "presses Hint", hint)
    hint = answer_of(await ada.press(hint, "From my board"))
    told.answered(ada, "presses From my board", hint)
    for rung in ("More: What", "More: Which", "More: Why"):
        hint = answer_of(await ada.press(hint, rung))
        told.answered(ada, f"presses {rung}", hint)

    form = form_of(await ben.press(post, "Hand in"))
    wrong = answer_of(await ben.submit(form, answer="1" * 18))
    told.answered(ben, "hands in a wrong answer", wrong)

    us = f"<@{bench.double.world.bot.id}>"
    await mallory.write(f"{us} {solution}")
    await told.written_to(mallory, "types the whole solution in the open")
    refused = answer_of(await mallory.command("today"))
    told.answered(mallory, "types /today", refused)
    crafted = await mallory.press_id(f"nb:{told.channel.id}:club pause", refused)
    told.answered(mallory, "sends a leader's button that was never shown to them",
                  answer_of(crafted))  # fmt: skip
    await told.passes("meanwhile in the room")

    for number, member in enumerate((ada, ben, *others), start=1):
        bench.later(minutes=1)
        right = answer_of(await member.command("hand-in", answer=solution))
        if member in (ada, ben):
            told.answered(member, "hands in", right)
        if number in (1, 2, count):
            await told.passes(f"{number} of {count} have finished")
    table = answer_of(await ada.command("leaderboard"))
    told.answered(ada, "types /leaderboard", table)
    await told.passes("the next day at 13:00", days=1)
    report = answer_of(await rowan.command("club report"))
    told.answered(rowan, "types /club report", report)
    return told


async def _print() -> None:
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(Path(folder) / "club.db")
        await bench.double.start()
        try:
            await evening(bench, lambda line: print(line))  # noqa: T201 - its output
        finally:
            await bench.stop()
            await bench.double.stop()


if __name__ == "__main__":
    sys.exit(asyncio.run(_print()))
