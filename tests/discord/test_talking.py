"""A day's thread in Discord, where the puzzle is talked about: who has solved it, one by one."""

from __future__ import annotations

from tests.bot.club.stories import EASY_SOLUTION, crook_puzzle, easy_puzzle
from tests.discord.conftest import Bench, daily_posts
from tests.doubles.discord.limits import SILENT
from tests.doubles.discord.shown import show
from tests.doubles.discord.world import PUBLIC_THREAD, Channel


async def a_club(bench: Bench, **settings: object) -> Channel:
    channel = bench.double.add_club("Maple Street", "puzzles")
    bench.add_club(channel, **settings)
    await bench.queue(channel, easy_puzzle(), crook_puzzle())
    await bench.start()
    await bench.tick()
    return channel


def the_thread(bench: Bench, club: Channel) -> Channel:
    """Return the only thread of a channel."""
    every = bench.double.world.channels.values()
    (thread,) = (each for each in every if each.kind == PUBLIC_THREAD and each.parent_id == club.id)
    return thread


async def test_lines_on_solvers_and_the_walkthrough_share_one_thread_and_make_no_noise(
    bench: Bench,
) -> None:
    club = await a_club(bench, solved_lines="thread")
    people = [bench.double.person(name, club) for name in ("Ada", "Ben")]
    before = len(club.messages)
    for person in people:
        await person.command("start")
        await person.command("hand-in", answer=EASY_SOLUTION)
        await bench.tick()
        await bench.restart()
    thread = the_thread(bench, club)
    assert thread.id == daily_posts(club)[0].id
    assert thread.name == "Talk, with spoilers: the puzzle for 23 November 2026"
    said = list(thread.messages.values())
    assert [show(each).text.partition(" solved")[0] for each in said] == ["Ada", "Ben"]
    assert all(each.flags & SILENT for each in said)
    assert len(club.messages) == before
    bench.later(days=1)
    await bench.tick()
    walked = list(the_thread(bench, club).messages.values())
    assert "come by themselves" in show(walked[2]).text
