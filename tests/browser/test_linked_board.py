"""A member of a club in Discord at their own board in a real browser, by the link that they got.

The real client on the double, the real bot, and a browser as wide as a phone whose clock is wrong:
the board there and the club's commands are one.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest
import pytest_asyncio
from playwright.async_api import Page, expect

from bot.platforms.web.address import parse_address
from bot.wiring.web import WebAccess
from tests.bot.club.stories import crook_puzzle, easy_puzzle
from tests.browser.linked import OPEN, LinkedPlayer, keep_picture, play_here_and_there
from tests.discord.conftest import Bench
from tests.doubles.discord.people import Person, answer_of
from tests.ports import claim_port

pytestmark = pytest.mark.browser


@pytest_asyncio.fixture(loop_scope="session")
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    made = Bench(tmp_path / "club.db")
    port = claim_port()
    address = parse_address(f"http://localhost:{port}")
    made.besides.append(WebAccess(port=port, address=address))
    await made.double.start()
    try:
        channel = made.double.add_club("Maple Street", "puzzles")
        made.add_club(channel)
        await made.queue(channel, easy_puzzle(), crook_puzzle())
        await made.start()
        await made.tick()
        yield made
        await made.stop()
        made.check()
    finally:
        await made.stop()
        await made.double.stop()


async def begin(bench: Bench) -> tuple[Person, str]:
    """Let Ada start her clock; return her, and the link that she gets beside her board."""
    (entry,) = bench.entries
    ada = bench.double.person("Ada", bench.double.world.channels[entry.room])
    await ada.press(ada.sees()[0], "Start my clock")
    board = answer_of(await ada.command("board"))
    given = answer_of(await ada.press(board, "Open my board"))
    return ada, given.control("Open my board").url


async def play(bench: Bench, phone: Page, taps: int) -> None:
    ada, link = await begin(bench)

    async def ask(line: str) -> str:
        name, _, rest = line.partition(" ")
        option = {"hint": "way", "board": "grid"}[name]
        return answer_of(await ada.command(name, **{option: rest})).text

    player = LinkedPlayer(phone, link, "Ada")
    await play_here_and_there(player, ask, lambda: bench.later(minutes=10), taps=taps)
    table = answer_of(await ada.command("leaderboard", period="week"))
    assert "1. Ada: 1 solved, 10 min 15 s adjusted" in table.alts[0]
    assert "10 min 15 s adjusted" in await player.panel.inner_text()


async def test_a_member_in_discord_plays_on_the_phone_and_in_the_channel(
    bench: Bench, phone: Page
) -> None:
    await play(bench, phone, taps=6)


@pytest.mark.long
async def test_a_member_in_discord_solves_half_on_the_phone(bench: Bench, phone: Page) -> None:
    await play(bench, phone, taps=len(OPEN) // 2)


async def test_who_opens_a_used_link_is_told_how_to_get_their_own(
    bench: Bench, phone: Page
) -> None:
    _, link = await begin(bench)
    assert phone.context.browser is not None
    other = await phone.context.browser.new_context()
    player = LinkedPlayer(await other.new_page(), link, "Ada")
    await player.enter()
    await phone.goto(link)
    await expect(phone.get_by_role("heading", name="This link opens no board")).to_be_visible()
    await expect(phone.get_by_role("alert")).to_contain_text("opened before")
    await expect(phone.get_by_text("press Open my board")).to_be_visible()
    await expect(phone.get_by_role("grid")).to_be_hidden()
    assert link.partition("#")[2] not in f"{phone.url} {await phone.title()}"
    await keep_picture(phone, "linked-used")
    # Whoever opened it comes back to it, also after a reload.
    await player.page.reload()
    await player.wait_until_ready()
    await other.close()
