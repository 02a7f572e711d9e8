"""Messages that mention the bot: answered privately, and taken away where they hold an answer."""

from __future__ import annotations

from tests.bot.club.stories import EASY_SOLUTION
from tests.discord.conftest import Bench
from tests.doubles.discord.gateway import GUILD_MESSAGES
from tests.doubles.discord.shapes import member_json, message_json
from tests.doubles.discord.world import MANAGE_MESSAGES, Channel, Message

KEY = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]


async def test_an_answer_said_in_the_open_counts_and_is_removed(
    bench: Bench, club: Channel
) -> None:
    ada = bench.double.person("Ada", club)
    await bench.start()
    await bench.tick()
    said = await ada.write(f"<@{bench.double.world.bot.id}> got it! {KEY}")
    await bench.double.until(lambda: bool(ada.direct()), "a direct answer")
    assert said.id not in club.messages
    path = f"/channels/{club.id}/messages/{said.id}"
    asked = [each for each in bench.double.rest.requests if each[1] == path]
    assert asked == [("DELETE", path, 204)], "it is taken away without being read first"
    (told,) = ada.direct()
    assert "Right" in told.text
    assert not any(KEY[:9] in each.text for each in ada.sees())


async def test_an_answer_that_cannot_be_removed_counts_all_the_same(
    bench: Bench, club: Channel
) -> None:
    club.denied = MANAGE_MESSAGES
    ada = bench.double.person("Ada", club)
    await bench.start()
    await bench.tick()
    said = await ada.write(f"<@{bench.double.world.bot.id}> {KEY}")
    await bench.double.until(lambda: bool(ada.direct()), "a direct answer")
    assert said.id in club.messages
    assert "Right" in ada.direct()[0].text


async def test_who_speaks_to_the_bot_is_answered_whether_by_name_or_by_a_reply(
    bench: Bench, club: Channel
) -> None:
    ada, us = bench.double.person("Ada", club), f"<@{bench.double.world.bot.id}>"
    await bench.start()
    await bench.tick()
    (post,) = club.messages.values()

    async def told(text: str, reply_to: Message | None = None) -> str:
        before = len(ada.direct())
        await ada.write(text, reply_to=reply_to)
        await bench.double.until(lambda: len(ada.direct()) > before, f"an answer to {text}")
        return ada.direct()[-1].text

    assert "A puzzle a day" in await told(f"{us} hello")
    assert "A puzzle a day" in await told("hello, how does this work?", post)
    assert "A puzzle a day" in await told(f"{us}, you are great")
    assert "Your clock is running" in await told(f"{us} start please")
    assert "Where are you?" in await told(f"{us} hint please, I am stuck")
    assert "Where are you?" in await told("hint", post)
    assert "Where are you?" in await told("please help, I'm stuck!", post)
    # Talk about the puzzle below it, which pings by itself, is no call.
    await ada.write("nice one today", reply_to=post)
    await ada.write(f"{us} leaderboard")
    await bench.double.until(lambda: "no results yet" in ada.direct()[-1].text, "the table")
    assert len(ada.direct()) == 8
    # An answer said so counts, and is taken away.
    said = await ada.write(f"got it: {KEY}", reply_to=post)
    await bench.double.until(lambda: len(ada.direct()) == 9, "an answer")
    assert "Right" in ada.direct()[-1].text
    assert said.id not in club.messages


async def test_what_does_not_mention_the_bot_is_neither_read_nor_answered(
    bench: Bench, club: Channel
) -> None:
    ada = bench.double.person("Ada", club)
    await bench.start()
    await bench.tick()
    said = await ada.write(KEY)
    await ada.command("help")
    assert said.id in club.messages
    assert not ada.direct()


async def test_somebody_who_takes_no_direct_messages_is_told_so_without_spoilers(
    bench: Bench, club: Channel
) -> None:
    ada = bench.double.person("Ada", club)
    ada.user.takes_messages = False
    await bench.start()
    await bench.tick()
    before = len(club.messages)
    await ada.write(f"<@{bench.double.world.bot.id}> hint board sure")
    await bench.double.until(lambda: len(club.messages) == before + 2, "a word in the open")
    told = ada.sees()[-1]
    assert "I answer privately" in told.text


async def test_an_edit_that_shows_the_answer_is_removed_and_counts_for_nothing(
    bench: Bench, club: Channel
) -> None:
    ada, double = bench.double.person("Ada", club), bench.double
    await bench.start()
    await bench.tick()
    (post,) = club.messages.values()
    # A line of before, which pings the bot as a reply does.
    said = await ada.write("nice one", reply_to=post)

    async def edit(text: str, edited_at: str | None) -> None:
        guild = double.guild_of(club)
        content = {
            **message_json(said), "content": text, "mentions": [double.world.bot.payload()],
            "edited_timestamp": edited_at, "guild_id": guild.id,
            "member": member_json(guild, said.author),
        }  # fmt: skip
        await double.gateway.dispatch("MESSAGE_UPDATE", content, guild.id, intent=GUILD_MESSAGES)

    await edit("nice one", None)  # as when a link gets its preview
    await edit(f"<@{double.world.bot.id}> good evening", "2026-11-23T12:05:00+00:00")
    await ada.command("today")
    assert said.id in club.messages
    assert not ada.direct()
    await edit(f"nice one, it was {KEY}", "2026-11-23T12:06:00+00:00")
    await double.until(lambda: bool(ada.direct()), "a direct answer")
    assert said.id not in club.messages
    assert "took it away" in ada.direct()[0].text
    assert "Right" not in ada.direct()[0].text
