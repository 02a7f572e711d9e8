"""A member of a club in Matrix at their own board in a real browser: the real homeserver, the real
bot, and a browser as wide as a phone whose clock is wrong.
"""

from __future__ import annotations

import asyncio
import re
from collections.abc import AsyncIterator
from datetime import timedelta
from pathlib import Path

import pytest
import pytest_asyncio
from playwright.async_api import Page

from bot.platforms.web.address import parse_address
from bot.wiring.web import WebAccess
from tests.bot.club.stories import easy_puzzle
from tests.browser.linked import LinkedPlayer, play_here_and_there
from tests.doubles.matrix.homeserver import shared_homeserver
from tests.doubles.matrix.member import text_of
from tests.matrix.conftest import Bench
from tests.ports import claim_port

pytestmark = pytest.mark.browser


@pytest_asyncio.fixture(loop_scope="session")
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    server = await asyncio.to_thread(shared_homeserver)
    made = Bench(tmp_path, server, is_encrypted=False)
    port = claim_port()
    address = parse_address(f"http://localhost:{port}")
    made.besides.append(WebAccess(port=port, address=address))
    await made.prepare(easy_puzzle())
    await made.start()
    await made.tick()
    yield made
    await made.close()


async def test_a_member_in_matrix_plays_on_the_phone_and_in_their_private_room(
    bench: Bench, phone: Page
) -> None:
    ada = bench.ada

    async def ask(line: str) -> str:
        return "\n".join(text_of(each) for each in await bench.ask(ada, line))

    await ask("start")
    board = (await bench.ask(ada, "board"))[-1]
    given = await bench.press(ada, board, "Open my board", messages=2)
    (link,) = re.findall(r"Open my board: (\S+)", text_of(given[1]))
    secret = link.partition("#")[2].encode()
    assert not [each for each in bench.folder.glob("club.db*") if secret in each.read_bytes()]

    def later() -> None:
        bench.ahead += timedelta(minutes=10)

    player = LinkedPlayer(phone, link, "ada")
    await play_here_and_there(player, ask, later, taps=3)
    (said,) = re.findall("[0-9a-z ]+ adjusted", await player.panel.inner_text())
    assert said.strip() in await ask("leaderboard week")
