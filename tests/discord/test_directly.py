"""Lines written to the bot alone: answered there, in the one club that the writer belongs to."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import discord

from bot.platforms.discord.choosing import NO_ROOM, ask_which
from bot.platforms.discord.layout import lay_out
from bot.wording.discord import DISCORD
from tests.bot.club.stories import EASY_SOLUTION
from tests.discord.conftest import Bench
from tests.doubles.discord.people import Person, answer_of, form_of
from tests.doubles.discord.shown import Shown
from tests.doubles.discord.world import Channel

KEY = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]


async def told(bench: Bench, who: Person, line: str) -> Shown:
    """Write a line to the bot alone and return the last message of its answer."""
    before = len(who.direct())
    await who.write_directly(line)
    await bench.double.until(lambda: len(who.direct()) > before, f"an answer to {line}")
    return who.direct()[-1]


async def test_a_day_is_played_by_direct_messages_through_restarts(
    bench: Bench, club: Channel
) -> None:
    ada = bench.double.person("Ada", club)
    await bench.start()
    await bench.tick()
    started = await told(bench, ada, "start")
    assert started.code.startswith("53.|.7.|...")
    await bench.restart()
    where = await told(bench, ada, "/hint board")
    await bench.restart()
    assert answer_of(await ada.press(where, "More: What")).text != where.text
    offered = await told(bench, ada, "hand-in")
    await bench.restart()
    form = form_of(await ada.press(offered, "Fill in"))
    assert "Not yet" in answer_of(await ada.submit(form, answer="1" * 18)).text
    right = await told(bench, ada, f"hand-in {KEY}")
    assert "Right" in right.text
    # The room sees the puzzle and the line of who has finished, and nothing that Ada wrote.
    await bench.tick()
    assert not any(KEY[:9] in each.text for each in ada.sees())


async def test_who_belongs_to_several_clubs_is_asked_which_and_it_is_remembered(
    bench: Bench, club: Channel
) -> None:
    other = bench.double.add_club("Hazel_Lane_")
    bench.add_club(other)
    ada, stranger = bench.double.person("Ada", club), bench.double.person("Sam", other)
    await bench.start()
    await bench.tick()
    assert "any club yet" in (await told(bench, stranger, "hint")).text
    await ada.command("start")
    assert "5 3 blank" in (await told(bench, ada, "board")).alts[0]
    bench.double.guild_of(other).members[ada.user.id] = []
    ada.channel = other
    await ada.command("start")
    asked = await told(bench, ada, "board")
    assert DISCORD.which_club in asked.text
    first, second = (bench.double.guild_of(each).name for each in (club, other))
    told_so = answer_of(await ada.press(asked, labelled(asked, second))).text
    assert r"Hazel\_Lane\_" in told_so, "no markup of Discord's"
    await bench.restart()
    assert (await told(bench, ada, "today")).alts
    # Another is chosen as easily.
    again = await told(bench, ada, "clubs")
    assert DISCORD.which_club in again.text
    assert first in answer_of(await ada.press(again, labelled(again, first))).text
    assert "5 3 blank" in (await told(bench, ada, "board")).alts[0]
    # Who has left a server is no member of its club any more, whatever they choose.
    del bench.double.guild_of(club).members[ada.user.id]
    refused = answer_of(await ada.press(again, labelled(again, first)))
    assert "you can't reach from here" in refused.text
    assert (await told(bench, ada, "board")).alts


def test_who_is_in_more_clubs_than_fit_into_a_message_is_asked_all_the_same() -> None:
    nowhere = cast(discord.Client, SimpleNamespace(get_channel=lambda channel_id: None))
    clubs = tuple(str(10**18 + each) for each in range(60))
    (part,) = lay_out(ask_which(nowhere, clubs, DISCORD), NO_ROOM)
    offered = [each for each in part.view.walk_children() if isinstance(each, discord.ui.Button)]
    assert [each.label for each in offered] == list(clubs[: len(offered)])
    assert len(offered) >= 20


def labelled(shown: Shown, part: str) -> str:
    """Return the label of the button that holds a text."""
    (found,) = [each.label for each in shown.controls if part in each.label]
    return found


async def test_a_direct_channel_is_opened_once(bench: Bench, club: Channel) -> None:
    ada = bench.double.person("Ada", club)
    await bench.start()
    await bench.tick()
    for line in ("start", "board", "help"):
        await told(bench, ada, line)
    asked = [path for method, path, _ in bench.double.rest.requests]
    assert sum(path.endswith("/users/@me/channels") for path in asked) == 1


async def test_where_there_is_one_club_a_stranger_outside_its_server_gets_nothing_of_it(
    bench: Bench, club: Channel
) -> None:
    elsewhere = bench.double.add_club("Elsewhere")
    sam = bench.double.person("Sam", elsewhere)
    await bench.start()
    await bench.tick()
    assert "any club yet" in (await told(bench, sam, "today")).text


async def test_a_leader_leads_by_direct_messages_and_a_member_does_not(
    bench: Bench, club: Channel
) -> None:
    ada = bench.double.person("Ada", club)
    rowan = bench.double.person("Rowan", club, leads=True)
    await bench.start()
    await bench.tick()
    assert "leaders" in (await told(bench, ada, "club report 2026-11-23")).text
    assert "leaders" not in (await told(bench, rowan, "club report 2026-11-23")).text
