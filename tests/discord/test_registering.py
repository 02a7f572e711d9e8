"""Commands that the service does not take at a start: those of before work, and it tries on."""

from __future__ import annotations

import asyncio
import logging

import pytest

from tests.bot.club.stories import EASY_SOLUTION
from tests.discord.conftest import Bench
from tests.doubles.discord.people import answer_of
from tests.doubles.discord.world import Channel

COMMANDS = r"/applications/\d+/commands"


@pytest.mark.parametrize("how", [{"status": 400, "code": 30034}, {"status": 503}], ids=str)
async def test_the_bot_serves_what_was_registered_before_and_tries_again(
    bench: Bench, club: Channel, how: dict[str, int], caplog: pytest.LogCaptureFixture
) -> None:
    await bench.start()
    await bench.tick()
    known, rests = list(bench.double.world.commands), []
    may_try = asyncio.Event()

    async def wait(seconds: float) -> None:
        rests.append(seconds)
        await may_try.wait()

    bench.client_options["wait"] = wait
    refused = bench.double.fault(COMMANDS, method="PUT", times=2, **how)
    with caplog.at_level(logging.WARNING):
        await bench.restart()
    assert refused.struck == 1
    assert "could not be registered" in caplog.text
    ada = bench.double.person("Ada", club)
    assert "Right" in answer_of(await ada.command("hand-in", answer=EASY_SOLUTION)).text
    bench.double.world.commands.clear()
    may_try.set()
    await bench.double.until(lambda: bench.double.world.commands == known, "the commands")
    assert (refused.struck, rests) == (2, [60, 120])


async def test_a_service_that_does_not_answer_about_commands_holds_up_no_start(
    bench: Bench, club: Channel, monkeypatch: pytest.MonkeyPatch
) -> None:
    await bench.start()
    monkeypatch.setattr("bot.platforms.discord.registering.PATIENCE_SECONDS", 0.0)
    never = asyncio.Event()
    slow = bench.double.fault(COMMANDS, method="PUT", until=never)
    await bench.restart()
    ada = bench.double.person("Ada", club)
    assert answer_of(await ada.command("help")).text
    assert slow.struck == 1
    never.set()
