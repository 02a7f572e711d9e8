"""Messages that mention the bot: answered privately, and taken away where they hold an answer."""

from __future__ import annotations

from tests.bot.club.stories import EASY_SOLUTION
from tests.discord.conftest import Bench
from tests.doubles.discord.world import MANAGE_MESSAGES, Channel

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
