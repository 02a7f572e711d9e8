"""A member of a club in Matrix at their own board in a real browser: the real homeserver, the real
bot, and a browser as wide as a phone whose clock is wrong.
"""

from __future__ import annotations

import asyncio
import logging
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
from tests.every_log import as_logged, hear_all
from tests.matrix.conftest import Bench
from tests.ports import claim_port

pytestmark = pytest.mark.browser


ROOMS = [
    pytest.param(True, id="encrypted"),
    pytest.param(False, id="open", marks=pytest.mark.long),
]


@pytest_asyncio.fixture(loop_scope="session", params=ROOMS)
async def bench(tmp_path: Path, request: pytest.FixtureRequest) -> AsyncIterator[Bench]:
    server = await asyncio.to_thread(shared_homeserver)
    made = Bench(tmp_path, server, is_encrypted=request.param)
    port = claim_port()
    address = parse_address(f"http://localhost:{port}")
    made.besides.append(WebAccess(port=port, address=address))
    await made.prepare(easy_puzzle())
    await made.start()
    await made.tick()
    yield made
    await made.close()


@pytest.mark.long
async def test_a_member_in_matrix_plays_on_the_phone_and_in_their_private_room(
    bench: Bench, phone: Page, caplog: pytest.LogCaptureFixture
) -> None:
    hear_all(caplog)
    ada = bench.ada

    async def ask(line: str) -> str:
        return "\n".join(text_of(each) for each in await bench.ask(ada, line))

    await ask("start")
    board = (await bench.ask(ada, "board"))[-1]
    given = await bench.press(ada, board, "Open my board", messages=2)
    (link,) = re.findall(r"Open my board: (\S+)", text_of(given[1]))
    # What the homeserver holds of the private room: the link itself only where it is open.
    private = bench.private_room(ada)
    held = await ada.call("GET", f"rooms/{private}/messages?dir=b&limit=100")
    said = [each for each in held["chunk"] if each["sender"] == bench.bot.user_id]
    sealed = {"m.room.encrypted"} if bench.is_encrypted else {"m.room.message"}
    kinds = {"m.room.encrypted", "m.room.message"} & {each["type"] for each in said}
    assert (kinds, link in str(said)) == (sealed, not bench.is_encrypted)

    def later() -> None:
        bench.ahead += timedelta(minutes=10)

    player = LinkedPlayer(phone, link, "ada")
    await play_here_and_there(player, ask, later, taps=3)
    (said,) = re.findall("[0-9a-z ]+ adjusted", await player.panel.inner_text())
    assert said.strip() in await ask("leaderboard week")
    (cookie,) = await phone.context.cookies()
    secrets = [link.partition("#")[2], cookie["value"].partition(".")[2]]
    await phone.goto("about:blank")
    await bench.stop()
    check_that_none_holds(secrets, bench.folder, caplog.records)


def check_that_none_holds(
    secrets: list[str], folder: Path, records: list[logging.LogRecord]
) -> None:
    """See that no log line, at whatever level and of whatever library, and no file of the bot's
    has a secret."""
    assert "nio" in {each.name.partition(".")[0] for each in records}
    logged = as_logged(records)
    own = (*folder.glob("club.db*"), *folder.rglob("matrix/**/*"))
    kept = {each.name: each.read_bytes() for each in own if each.is_file()}
    assert "club.db" in kept
    for secret in secrets:
        assert len(secret) == 43, "256 bits"
        assert secret not in logged
        assert [name for name, held in kept.items() if secret.encode() in held] == []
