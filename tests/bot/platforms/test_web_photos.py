"""Photos in the web room: taken from its own page alone, a few at a time, and briefly."""

from __future__ import annotations

import aiohttp
import pytest

from bot.platforms.web import photos as web_photos
from bot.platforms.web.log import FakeRoomLog
from bot.platforms.web.pace import PHOTOS_LIMIT
from tests.bot.platforms.conftest import NOBODYS, Client, EchoClub, HandClock, Tab, make_room

PHOTO = b"\x89PNG and so on"


async def send(
    client: Client,
    act_id: str,
    content: bytes = PHOTO,
    origin: str | None = None,
    key: str = NOBODYS,
) -> int:
    """Send a photo as the page does; return the status."""
    url = client.room.url
    headers = {"Origin": url.rstrip("/") if origin is None else origin} if origin != "" else {}
    async with client.session.post(
        f"{url}photos/{key}/{act_id}", data=content, headers=headers
    ) as sent:
        return sent.status


async def test_a_photo_comes_with_its_act_and_with_no_other(
    client: Client, tab: Tab, club: EchoClub
) -> None:
    assert await send(client, "a1", key=tab.photos) == 204
    await tab.act("a2", "hint", photo=len(PHOTO))
    await tab.until("done")
    await tab.act("a1", "hint", photo=len(PHOTO))
    await tab.until("done")
    await tab.act("a3", "hint")
    await tab.until("done")
    assert club.photos == [None, PHOTO]


async def test_a_photo_is_handed_out_once(client: Client, tab: Tab, club: EchoClub) -> None:
    await send(client, "a1", key=tab.photos)
    for _ in range(2):
        await tab.act("a1", "hint", photo=len(PHOTO))
        await tab.until("done")
    assert club.photos == [PHOTO, None]


async def test_what_is_said_in_the_open_has_no_photo(
    client: Client, tab: Tab, club: EchoClub
) -> None:
    await send(client, "a1", key=tab.photos)
    await tab.act("a1", "look", photo=len(PHOTO), open=True)
    await tab.until("done")
    assert [act.photo for act in club.heard] == [None]


@pytest.mark.parametrize("origin", ["", "http://club.example", "null"])
async def test_a_photo_from_another_page_is_refused(
    client: Client, tab: Tab, club: EchoClub, origin: str
) -> None:
    assert await send(client, "a1", origin=origin, key=tab.photos) == 403
    await tab.act("a1", "hint", photo=len(PHOTO))
    await tab.until("done")
    assert club.photos == [None]


async def test_a_photo_that_is_too_large_is_refused_while_it_comes(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(web_photos, "PHOTO_LIMIT", 100_000)
    assert await send(client, "a1", b"x" * 100_001) == 413
    assert await send(client, "a2", b"x" * 100_000) == 204


async def test_few_photos_are_held_and_an_answered_act_makes_room(client: Client, tab: Tab) -> None:
    for number in range(PHOTOS_LIMIT):
        assert await send(client, f"a{number}", key=tab.photos) == 204
    assert await send(client, "more") == 429
    await tab.act("a0", "hint")
    await tab.until("done")
    assert await send(client, "more") == 204


async def test_a_photo_whose_act_never_comes_is_let_go_of(
    client: Client, tab: Tab, club: EchoClub, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(web_photos, "SECONDS_HELD", 0.0)
    for number in range(2 * PHOTOS_LIMIT):
        assert await send(client, f"a{number}") == 204


async def test_a_photo_under_anothers_key_comes_with_their_act_alone(
    client: Client, tab: Tab, club: EchoClub
) -> None:
    other = await client.open_tab()
    await other.enter("Bo")
    assert other.photos != tab.photos
    assert await send(client, "a1", b"Bo's", key=other.photos) == 204
    await tab.act("a1", "hint", photo=4)
    await tab.until("done")
    await other.act("a1", "hint", photo=4)
    await other.until("done")
    assert club.photos == [None, b"Bo's"], "Ada got none, and Bo's was still there"


async def test_a_member_has_one_key_in_every_tab(client: Client, tab: Tab) -> None:
    again = await client.open_tab()
    await again.enter("ada")
    assert again.photos == tab.photos != ""


@pytest.mark.parametrize("key", ["", "x" * 64, "0" * 63, "0" * 65, "..%2F"])
async def test_a_photo_under_no_visitors_key_is_refused(client: Client, key: str) -> None:
    assert await send(client, "a1", key=key) == 404


@pytest.mark.parametrize("act_id", ["..%2Fa", "a" * 65, "a%20b", ""])
async def test_a_photo_under_no_acts_id_is_refused(client: Client, act_id: str) -> None:
    assert await send(client, act_id) == 404


async def test_where_none_are_read_the_page_is_told_so_and_none_is_taken(
    clock: HandClock, log: FakeRoomLog, club: EchoClub
) -> None:
    room = make_room(clock, log, takes_photos=False)
    await room.start(club.answer)
    try:
        async with aiohttp.ClientSession() as session:
            client = Client(session, room)
            assert await send(client, "a1") == 404
            entered, *_ = await (await client.open_tab()).enter("Ada")
            assert entered["photos"] == ""
            await client.close()
    finally:
        await room.stop()
