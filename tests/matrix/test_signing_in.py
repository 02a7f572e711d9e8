"""Signing in by password, token and browser, wherever the homeserver is, and what is told of it."""

from __future__ import annotations

import asyncio
import html
import json
import os
import re
from collections.abc import AsyncIterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import aiohttp
import pytest
from aiohttp import web
from aiohttp.test_utils import TestServer

from bot.platforms.matrix.address import ask
from bot.platforms.matrix.browser import token_in
from bot.platforms.matrix.login import SignIn
from bot.platforms.matrix.look import MatrixLook
from bot.platforms.matrix.refusals import SignedOutError
from bot.platforms.matrix.server import Server
from bot.platforms.matrix.session import load_session
from bot.platforms.matrix.settings import MatrixSettings
from bot.platforms.message import Attachment, RoomError, RoomUnreachableError
from bot.wiring.matrix import MatrixAccess, sign_in_and_look
from bot.wiring.matrix.proofs import HostProofs
from bot.wording import matrix as words
from tests.doubles.matrix.club_house import call, new_account
from tests.doubles.matrix.faulty_line import SIGNED_OUT, FaultyLine
from tests.doubles.matrix.homeserver import (
    PASSWORD,
    SERVER_NAME,
    Account,
    Homeserver,
    shared_homeserver,
)
from tests.doubles.matrix.sign_on import sign_on_site
from tests.every_log import as_logged, hear_all
from tests.matrix.setting import Setting
from tests.patience import PATIENCE


@dataclass
class Typed:
    """What somebody at the terminal gives; `types` is what they paste where a link is told."""

    typed: str = ""
    token: str = ""
    can_ask: bool = True
    types: str = ""
    key: str = ""
    said: list[str] = field(default_factory=list)
    told: asyncio.Event = field(default_factory=asyncio.Event)

    def password(self, *, or_browser: bool = False) -> str:
        return self.typed

    def recovery_key(self) -> str:
        return self.key

    def tell(self, text: str) -> None:
        self.said.append(text)
        self.told.set()

    @property
    def links(self) -> list[str]:
        return [word for text in self.said for word in text.split() if "redirectUrl" in word]

    async def pasted(self) -> str:
        if not self.types:
            await asyncio.Event().wait()
        return self.types


class Visitor(Typed):
    """Somebody who pastes nothing, and presses Enter once they are done."""

    def __init__(self) -> None:
        super().__init__()
        self.is_done = asyncio.Event()

    async def pasted(self) -> str:
        await self.is_done.wait()
        return ""

    async def link_with(self, part: str) -> str:
        """Return the first link that is told which holds something."""
        while True:
            found = [word for text in self.said for word in text.split() if part in word]
            if found:
                return found[0]
            self.told.clear()
            await self.told.wait()


@pytest.fixture
async def line() -> AsyncIterator[FaultyLine]:
    made = FaultyLine(shared_homeserver())
    await made.start()
    yield made
    await made.stop()


async def sign_in(
    folder: Path, homeserver: str, user_id: str, proofs: Typed, *, encrypt: bool = False
) -> MatrixLook:
    access = MatrixAccess(MatrixSettings(homeserver, user_id, encrypt=encrypt), folder)
    found, is_signed = await asyncio.wait_for(sign_in_and_look(access, proofs, ()), PATIENCE)
    assert is_signed
    return found


async def refusal(folder: Path, homeserver: str, user_id: str, proofs: Typed) -> str:
    with pytest.raises(RoomError) as refused:
        await sign_in(folder, homeserver, user_id, proofs, encrypt=True)
    assert not (folder / "session.json").exists()
    return words.check_failed(refused.value)


def kept(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / "session.json").read_bytes())
    return found


def without_passwords(path: str, answer: Any) -> Any:
    if path.endswith("/login") and "flows" in answer:
        flows = [flow for flow in answer["flows"] if flow["type"] != "m.login.password"]
        return {"flows": flows}
    return answer


# --- where the homeserver is ---


async def test_what_the_site_of_the_name_says_of_its_homeserver_is_followed(
    tmp_path: Path, line: FaultyLine
) -> None:
    server = shared_homeserver()
    bot = await new_account(server, "ninebark")
    well_known: list[tuple[int, dict[str, Any]]] = [
        (200, {"m.homeserver": {"base_url": f"{server.url}/"}})
    ]

    def fault(method: str, path: str) -> tuple[int, dict[str, Any]] | None:
        return well_known[0] if path.startswith("/.well-known") else (404, {"x": 1})

    line.fault = fault
    found = await sign_in(tmp_path, line.url, bot.user_id, Typed(PASSWORD))
    assert found.user_id == bot.user_id
    assert kept(tmp_path)["base"] == server.url
    # The sign-in is kept, and no proof is asked for again.
    again = await sign_in(tmp_path, line.url, bot.user_id, Typed())
    assert again.device_id == found.device_id

    wrong: dict[str, tuple[int, dict[str, Any]]] = {
        "There is no Matrix homeserver at": (404, {"x": 1}),
        "holds no address that can be used": (200, {"m.homeserver": {"base_url": "ftp://x"}}),
        "there is none there": (200, {"m.homeserver": {"base_url": line.url}}),
    }
    for expected, answer in wrong.items():
        well_known[0] = answer
        told = await refusal(tmp_path / "other", line.url, bot.user_id, Typed(PASSWORD))
        assert expected in told
        assert "https://matrix.example.org" in told, "an example of what works"


async def test_a_proof_is_sent_to_the_address_that_was_found_and_to_no_other() -> None:
    got: list[str] = []

    async def send_on(request: web.Request) -> web.Response:
        raise web.HTTPTemporaryRedirect("/elsewhere")

    async def take(request: web.Request) -> web.Response:
        got.append(await request.text())
        return web.json_response({})

    app = web.Application()
    app.router.add_post("/login", send_on)
    app.router.add_post("/elsewhere", take)
    async with TestServer(app) as site:
        with pytest.raises(RoomError):
            await ask("POST", str(site.make_url("/login")), {"password": PASSWORD})
    assert not got


# --- proofs ---


async def test_a_token_signs_in_the_device_that_it_was_made_for_and_no_other_way(
    tmp_path: Path,
) -> None:
    server = shared_homeserver()
    bot, ada = await new_account(server, "ninebark"), await new_account(server, "ada")
    home = server.url
    told = await refusal(tmp_path, home, bot.user_id, Typed(token="nonsense"))
    assert "does not accept that token" in told
    told = await refusal(tmp_path, home, bot.user_id, Typed(token=ada.token))
    assert ada.user_id in told
    found = await sign_in(tmp_path, home, bot.user_id, Typed(token=bot.token), encrypt=True)
    assert found.device_id == bot.device_id
    # Once it has keys, nobody else may have it: the keys are where they are, or lost.
    told = await refusal(tmp_path / "other", home, bot.user_id, Typed(token=bot.token))
    assert "encryption keys in another app already" in told


async def test_without_a_proof_it_is_told_which_ones_the_homeserver_takes(
    tmp_path: Path, line: FaultyLine
) -> None:
    bot = await new_account(shared_homeserver(), "ninebark")
    nobody = Typed(can_ask=False)
    told = await refusal(tmp_path, line.url, bot.user_id, nobody)
    assert "NINEBARK_MATRIX_PASSWORD" in told
    line.alter = without_passwords
    told = await refusal(tmp_path, line.url, bot.user_id, nobody)
    assert "on its page in a browser" in told
    line.alter = lambda path, answer: {"flows": []} if path.endswith("/login") else answer
    told = await refusal(tmp_path, line.url, bot.user_id, Typed(PASSWORD))
    assert "takes no passwords" in told
    assert "NINEBARK_MATRIX_TOKEN" in told


@dataclass
class Browser:
    """Somebody's browser, on the homeserver's machine."""

    line: FaultyLine

    async def open(self, link: str) -> str:
        """Follow a link to where it ends; return the page."""
        there = link.replace(self.line.url, shared_homeserver().url)
        async with aiohttp.ClientSession() as session, session.get(there) as page:
            return await page.text()

    async def last_address(self, link: str) -> str:
        """Return the address that a browser on another machine is left with."""
        there = link.replace(self.line.url, shared_homeserver().url)
        async with aiohttp.ClientSession() as session:
            while True:
                async with session.get(there, allow_redirects=False) as page:
                    if "Location" not in page.headers:
                        return there
                    there = page.headers["Location"]
                if "loginToken" in there:
                    return there


def name_of(account: Account) -> str:
    return account.user_id.removeprefix("@").removesuffix(f":{SERVER_NAME}")


@pytest.mark.parametrize("is_pasted", [False, True], ids=["sent back", "pasted"])
async def test_where_the_homeserver_takes_no_password_its_page_in_a_browser_signs_in(
    tmp_path: Path, line: FaultyLine, is_pasted: bool
) -> None:
    server = shared_homeserver()
    bot = await new_account(server, "ninebark")
    line.alter = without_passwords
    host, browser = Typed(), Browser(line)
    async with sign_on_site(server.sign_on_port, name_of(bot)):
        signing = asyncio.create_task(sign_in(tmp_path, line.url, bot.user_id, host))
        await asyncio.wait_for(host.told.wait(), PATIENCE)
        (link,) = host.links
        if is_pasted:
            signing.cancel()
            await asyncio.gather(signing, return_exceptions=True)
            host = Typed(types=await browser.last_address(link) + "\n")
            found = await sign_in(tmp_path, line.url, bot.user_id, host)
        else:
            assert await browser.open(link) == words.SIGNED_ON
            found = await asyncio.wait_for(signing, PATIENCE)
    assert found.user_id == bot.user_id
    assert found.device_id != bot.device_id
    assert "loginToken" not in (tmp_path / "session.json").read_text()


async def test_without_password_or_recovery_key_a_new_identity_is_allowed_in_a_browser(
    tmp_path: Path, line: FaultyLine
) -> None:
    server = shared_homeserver()
    bot = await new_account(server, "ninebark")
    line.alter = without_passwords
    asked: dict[str, dict[str, list[str]]] = {"device_keys": {bot.user_id: []}}
    masters = []
    async with sign_on_site(server.sign_on_port, name_of(bot)):
        for folder in (tmp_path / "lost", tmp_path / "new"):
            host, browser = Visitor(), Browser(line)
            signing = asyncio.create_task(
                sign_in(folder, line.url, bot.user_id, host, encrypt=True)
            )
            await asyncio.wait_for(host.told.wait(), PATIENCE)
            await browser.open(host.links[0])
            if folder.name == "new":
                page = await asyncio.wait_for(host.link_with("session="), PATIENCE)
                (link,) = re.findall(
                    r'href="([^"]*/login\?service[^"]*)"', await browser.open(page)
                )
                await browser.open(html.unescape(link))
                host.is_done.set()
            await asyncio.wait_for(signing, PATIENCE)
            found = await call(server, bot, "POST", "keys/query", asked)
            masters.append(found["master_keys"][bot.user_id]["keys"])
    assert masters[0] != masters[1]


async def test_whoever_else_signs_in_on_the_page_is_signed_out_again(
    tmp_path: Path, line: FaultyLine
) -> None:
    server = shared_homeserver()
    bot, ada = await new_account(server, "ninebark"), await new_account(server, "ada")
    line.alter = without_passwords
    host, browser = Typed(), Browser(line)
    async with sign_on_site(server.sign_on_port, name_of(ada)):
        signing = asyncio.create_task(refusal(tmp_path, line.url, bot.user_id, host))
        await asyncio.wait_for(host.told.wait(), PATIENCE)
        await browser.open(host.links[0])
        told = await asyncio.wait_for(signing, PATIENCE)
    assert f"{ada.user_id}, not the user in the config" in told
    devices = (await call(server, ada, "GET", "devices"))["devices"]
    assert [each["device_id"] for each in devices] == [ada.device_id]


async def test_the_address_to_come_back_to_takes_one_token_and_nothing_without_its_secret(
    tmp_path: Path, line: FaultyLine
) -> None:
    bot = await new_account(shared_homeserver(), "ninebark")
    line.alter = without_passwords
    host = Typed()
    signing = asyncio.create_task(refusal(tmp_path, line.url, bot.user_id, host))
    await asyncio.wait_for(host.told.wait(), PATIENCE)
    back = parse_qs(urlsplit(host.links[0]).query)["redirectUrl"][0]
    root = back.rpartition("/")[0]
    async with aiohttp.ClientSession() as session:
        for address in (f"{root}/?loginToken=x", f"{back}x?loginToken=x", f"{back}?loginToken="):
            async with session.get(address) as page:
                assert page.status == 404
        async with session.get(f"{back}?loginToken=nonsense") as page:
            assert page.status == 200
    assert "does not accept that token" in await asyncio.wait_for(signing, PATIENCE)


async def test_a_line_is_taken_from_the_terminal_while_the_browser_is_waited_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    keyboard, screen = os.openpty()
    with open(screen, encoding="utf-8") as stdin:  # noqa: ASYNC230 - a terminal, not a file
        monkeypatch.setattr("sys.stdin", stdin)
        proofs = HostProofs({})
        assert proofs.can_ask
        typing = asyncio.create_task(proofs.pasted())
        await asyncio.sleep(0)
        os.write(keyboard, b"syl_abc\n")
        assert await asyncio.wait_for(typing, PATIENCE) == "syl_abc\n"
    os.close(keyboard)


def test_a_pasted_line_is_an_address_with_a_token_or_the_token_itself() -> None:
    assert token_in(" http://127.0.0.1:5/x?a=b&loginToken=syl_ab-c \n") == "syl_ab-c"
    assert token_in("syl_abc\n") == "syl_abc"
    for line in ("", "two words", "http://[x", "x" * 5000, "a\x00b"):
        assert token_in(line) == ""


# --- tokens that do not last ---


class Traced:
    """A line that refuses a token where a test says so, and knows what was kept at each request."""

    def __init__(self, line: FaultyLine, folder: Path) -> None:
        self._folder = folder
        self.refuse = ""
        self.kept: list[tuple[str, str]] = []
        line.fault = self._fault

    def _fault(self, method: str, path: str) -> tuple[int, dict[str, Any]] | None:
        self.kept.append((path.rpartition("/")[2], kept(self._folder)["token"]))
        if self.refuse and self.refuse in path:
            self.refuse = ""
            return SIGNED_OUT
        return None


async def test_a_token_that_is_too_old_is_renewed_and_kept_before_it_is_used(
    setting: Setting, caplog: pytest.LogCaptureFixture
) -> None:
    hear_all(caplog)
    await setting.prepare()
    url, folder = setting.line.url, setting.folder / "matrix"
    way_in = SignIn(folder, url, url, setting.bot.user_id, encrypt=False)
    first = await way_in.by_password(PASSWORD)
    traced = Traced(setting.line, folder)
    await setting.start()
    traced.refuse = "/sync"
    await setting.meet()
    second = kept(folder)
    assert second["token"] != first.token
    assert second["refresh_token"] != first.refresh_token
    assert second["device_id"] == first.device_id
    asked = [path for path, _ in traced.kept]
    after = traced.kept[asked.index("refresh") + 1 :]
    assert after
    assert {token for _, token in after} == {second["token"]}, "saved before the next request"
    # The old pair is good for nothing now, so what follows runs on the new one.
    await setting.stop()
    await setting.start()
    await setting.ada.say(setting.room_id, "!again")
    await setting.ada.until(lambda: "answer to !again" in setting.answers())
    secrets = (PASSWORD, first.token, first.refresh_token, second["token"], second["refresh_token"])
    assert not [secret for secret in secrets if secret in as_logged(caplog.records)]


async def test_a_new_token_that_was_lost_on_its_way_is_asked_for_again(setting: Setting) -> None:
    """As if the process was killed between the homeserver's answer and the file."""
    await setting.prepare()
    url, folder = setting.line.url, setting.folder / "matrix"
    way_in = SignIn(folder, url, url, setting.bot.user_id, encrypt=False)
    first = await way_in.by_password(PASSWORD)
    wish = {"refresh_token": first.refresh_token}
    lost = await ask("POST", f"{url}/_matrix/client/v3/refresh", wish)
    assert lost["refresh_token"] != first.refresh_token
    traced = Traced(setting.line, folder)
    traced.refuse = "/sync"
    await setting.start()
    await setting.meet()
    assert kept(folder)["refresh_token"] not in (first.refresh_token, lost["refresh_token"])


async def test_many_requests_at_once_renew_a_token_once_and_files_are_sent_again(
    setting: Setting,
) -> None:
    await setting.prepare()
    url, folder = setting.line.url, setting.folder / "matrix"
    session = await SignIn(folder, url, url, setting.bot.user_id, encrypt=False).by_password(
        PASSWORD
    )
    server = Server(session, folder, encrypt=False)
    asked: list[str] = []

    def fault(method: str, path: str) -> tuple[int, dict[str, Any]] | None:
        asked.append(path.rpartition("/")[2])
        is_old = "refresh" not in asked or (asked[-1], asked.count("upload")) == ("upload", 1)
        return SIGNED_OUT if is_old and asked[-1] != "refresh" else None

    setting.line.fault = fault
    try:
        await asyncio.gather(*(server.request("GET", f"{name}") for name in ("devices", "login")))
        assert asked.count("refresh") == 1
        with pytest.raises(RoomUnreachableError, match="renewed"):
            await server.upload("!nowhere", Attachment("a.txt", b"words"))
        assert "url" in await server.upload("!x", Attachment("a.txt", b"words"))
    finally:
        await server.close()


async def test_where_no_token_is_given_any_more_the_bot_is_signed_out(setting: Setting) -> None:
    await setting.prepare()
    url, folder = setting.line.url, setting.folder / "matrix"
    session = await SignIn(folder, url, url, setting.bot.user_id, encrypt=False).by_password(
        PASSWORD
    )
    account = Account(session.user_id, session.device_id, session.token)
    await call(setting.server, account, "POST", "logout", {})
    with pytest.raises(SignedOutError):
        await setting.start()
    assert session.token not in repr(session)
    assert session.refresh_token not in repr(session)


@pytest.mark.long
async def test_a_bot_goes_on_while_its_tokens_last_no_longer_than_seconds(tmp_path: Path) -> None:
    server = Homeserver(tmp_path, tokens_last="2s")
    server.start()
    try:
        bot = await new_account(server, "ninebark")
        folder = tmp_path / "matrix"
        await sign_in(folder, server.url, bot.user_id, Typed(PASSWORD), encrypt=True)
        first = kept(folder)["token"]
        connection = Server(load_session(folder, bot.user_id, server.url), folder)
        seen = {first}
        place: str | None = None
        async with asyncio.timeout(PATIENCE):
            while len(seen) < 4:
                place = (await connection.sync(place, is_first=True)).token
                seen.add(kept(folder)["token"])
        await connection.close()
        print(f"{len(seen)} tokens")  # noqa: T201 - its figures
        old = Account(bot.user_id, bot.device_id, first)
        with pytest.raises(OSError, match="M_UNKNOWN_TOKEN"):
            await call(server, old, "GET", "account/whoami")
    finally:
        server.stop()
