"""A leader takes back a puzzle that went up too soon, in Discord: its post says so, and loses its
picture and its buttons.
"""

from __future__ import annotations

from tests.discord.conftest import Bench, daily_posts
from tests.doubles.discord.people import answer_of
from tests.doubles.discord.shown import show
from tests.doubles.discord.world import Channel


async def test_a_puzzle_that_went_up_too_soon_is_taken_back(bench: Bench, club: Channel) -> None:
    rowan = bench.double.person("Rowan", club, leads=True)
    ada = bench.double.person("Ada", club)
    await bench.start()
    await bench.tick()
    bench.later(hours=20)
    assert "goes up now" in answer_of(await rowan.command("club post-now")).text
    await bench.tick()
    assert len(daily_posts(club)) == 2
    assert "Your clock is running" in answer_of(await ada.command("start")).text
    asked = answer_of(await rowan.command("club withdraw", date="2026-11-24"))
    assert "1 member has started" in asked.text
    await bench.restart()
    taken = answer_of(await rowan.press(asked, "Yes, take it back"))
    assert "has been taken back" in taken.text
    await bench.tick()
    (left,) = daily_posts(club)
    assert "23 November" in left.text
    (said,) = [show(each) for each in club.messages.values() if "took it back" in str(each.body)]
    assert (said.alts, said.commands) == ((), ())
    bench.later(hours=5)
    await bench.tick()
    assert len(daily_posts(club)) == 2
    refused = answer_of(await rowan.command("club withdraw"))
    assert "nothing to take back" in refused.text
