"""The room's connection by itself: refusals, outages, missed heartbeats, old buttons."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from discord.gateway import DiscordWebSocket
from discord.http import HTTPClient, Route

from bot.platforms.clubs import Clubs
from bot.platforms.discord import staying
from bot.platforms.discord.connection import Connection
from bot.platforms.discord.marks import mark_of, nonce_of, parse_press
from bot.platforms.discord.room import DiscordRoom
from bot.platforms.message import (
    Button,
    Incoming,
    Message,
    PlatformRefusedError,
    RoomUnreachableError,
)
from bot.platforms.sketch import CommandSketch
from tests.contract.discord_stage import WORDS
from tests.doubles.discord import TOKEN, DiscordDouble
from tests.doubles.discord.people import answer_of
from tests.doubles.discord.shown import show
from tests.doubles.discord.world import Channel


@pytest.fixture
async def double() -> AsyncIterator[DiscordDouble]:
    made = DiscordDouble(lambda: NOW)
    await made.start()
    yield made
    await made.stop()
    assert not made.problems
    assert not made.pings


@pytest.fixture
def channel(double: DiscordDouble) -> Channel:
    return double.add_club()


Make = Callable[..., DiscordRoom]
NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


@pytest.fixture
async def make(double: DiscordDouble, channel: Channel) -> AsyncIterator[Make]:
    made: list[DiscordRoom] = []

    def room(token: str = TOKEN, **options: Any) -> DiscordRoom:
        made.append(
            DiscordRoom(
                Connection(
                    token,
                    double.api,
                    double.gateway.url,
                    {"guild_ready_timeout": 0.01, **options},
                ),
                Clubs([channel.id]),
                commands=[CommandSketch("help", "Explain the club.")],
                words=WORDS,
                now=lambda: NOW,
            )
        )
        return made[-1]

    yield room
    for each in made:
        await each.stop()


async def echo(act: Incoming) -> tuple[Message, ...]:
    return (Message(f"you said {act.text}"),)


@pytest.mark.parametrize(
    ("code", "problem"),
    [(4004, "token"), (4010, "shards"), (4012, "version"), (4013, "intents"), (4014, "intents")],
)
async def test_a_refusal_for_good_ends_the_room(
    double: DiscordDouble, make: Make, code: int, problem: str
) -> None:
    double.gateway.close_next_identify = code
    room = make()
    with pytest.raises(PlatformRefusedError) as caught:
        await room.start(echo)
    assert (caught.value.problem, caught.value.code) == (problem, code)


async def test_a_wrong_token_is_refused_at_the_start(make: Make) -> None:
    with pytest.raises(PlatformRefusedError) as caught:
        await make(token="wrong").start(echo)
    assert caught.value.problem == "token"
    assert "wrong" not in str(caught.value)


async def test_an_outage_at_the_start_is_waited_out(
    double: DiscordDouble, channel: Channel, make: Make
) -> None:
    double.fault("/users/@me", method="GET", status=503, times=1)
    room = make()
    await room.start(echo)
    assert await room.post(channel.id, Message("up"), key="k")


async def test_before_the_connection_is_there_a_room_is_out_of_reach(
    channel: Channel, make: Make
) -> None:
    with pytest.raises(RoomUnreachableError):
        await make().post(channel.id, Message("up"), key="k")


async def test_missed_heartbeats_bring_a_new_connection_that_resumes(
    double: DiscordDouble, channel: Channel, make: Make
) -> None:
    double.gateway.heartbeat_ms = 50
    room = make(heartbeat_timeout=0.2)
    await room.start(echo)
    double.gateway.is_mute = True
    await double.until(lambda: double.gateway.resumes > 0, "a resume")
    double.gateway.is_mute = False
    ada = double.person("Ada", channel)
    assert answer_of(await ada.command("help")).text == "you said help"


async def test_an_id_that_this_version_does_not_know_is_answered(
    double: DiscordDouble, channel: Channel, make: Make
) -> None:
    room = make()
    await room.start(echo)
    ada = double.person("Ada", channel)
    await room.post(channel.id, Message("up"), key="k")
    (post,) = ada.sees()
    for custom_id in ("old-button", "nb:1", "nb:x:hint", f"nb:{channel.id}:"):
        told = answer_of(await ada.press_id(custom_id, post))
        assert (told.text, told.is_private) == (WORDS.stale, True)


@pytest.mark.expects_error_log
async def test_an_answer_that_breaks_is_apologised_for_and_logged(
    double: DiscordDouble, channel: Channel, make: Make, caplog: pytest.LogCaptureFixture
) -> None:
    async def broken(act: Incoming) -> tuple[Message, ...]:
        raise RuntimeError("planted")

    await make().start(broken)
    ada = double.person("Ada", channel)
    asked = await ada.command("help")
    assert answer_of(asked).text == WORDS.failed
    assert asked.id in caplog.text


async def test_stopping_answers_what_is_under_way(
    double: DiscordDouble, channel: Channel, make: Make
) -> None:
    going_on, asked_at = asyncio.Event(), asyncio.Event()

    async def slow(act: Incoming) -> tuple[Message, ...]:
        asked_at.set()
        await going_on.wait()
        return (Message("done"),)

    room = make()
    await room.start(slow)
    ada = double.person("Ada", channel)
    asked = await ada.start_command("help")
    await asked_at.wait()
    stopping = asyncio.create_task(room.stop())
    going_on.set()
    await stopping
    assert answer_of(asked).text == "done"


def test_nonces_and_marks_hold_the_channel_and_fit() -> None:
    assert nonce_of("1", "day:1") != nonce_of("2", "day:1")
    assert len(nonce_of("1", "day:1")) <= 25
    assert mark_of("1", "day:1") != mark_of("1", "day:2")
    assert 1 << 30 <= mark_of("1", "day:1") < 1 << 31
    assert parse_press("nb:17:hint board") is not None


async def test_a_post_in_several_parts_is_mended_in_all_of_them(
    double: DiscordDouble, channel: Channel, make: Make
) -> None:
    def lines(word: str, count: int) -> str:
        return "\n".join(f"{word} {number}" for number in range(count))

    def written() -> str:
        return "\n".join(show(each).text for each in channel.messages.values())

    room = make()
    await room.start(echo)
    buttons = (Button("Hint", "hint"),)
    posted = await room.post(channel.id, Message(lines("one", 600), buttons=buttons), key="k")
    assert len(channel.messages) == 3
    await room.post(channel.id, Message("another's"), key="other")
    whole = lines("two", 600)
    assert await room.edit(channel.id, posted, Message(whole), key="k") == posted
    assert written() == f"{whole}\nanother's"
    # A restart, and less to say: what is too many goes away.
    await room.stop()
    room = make()
    await room.start(echo)
    shorter = await room.edit(channel.id, posted, Message("three", buttons=buttons), key="k")
    # The same again where it was not written down that it was mended.
    assert (
        await room.edit(channel.id, posted, Message("three", buttons=buttons), key="k") == shorter
    )
    assert written() == "three\nanother's"
    assert [each.label for each in show(channel.messages[shorter]).controls] == ["Hint"]
    # More to say again: what does not fit is written below, once.
    longer = Message(lines("four", 300))
    grown = await room.edit(channel.id, shorter, longer, key="k")
    assert await room.edit(channel.id, shorter, longer, key="k") == grown
    assert len(channel.messages) == 3
    assert [show(each).text[:4] for each in channel.messages.values()] == ["four", "anot", "four"]
    await room.edit(channel.id, grown, Message("five"), key="k")
    assert written() == "five\nanother's"


async def test_a_post_in_several_parts_is_found_in_all_of_them(
    double: DiscordDouble, channel: Channel, make: Make
) -> None:
    room = make()
    await room.start(echo)
    posted = await room.post(channel.id, Message("a line of it\n" * 600), key="k")
    assert await room.stamp_of(channel.id, posted) == NOW
    assert await room.post_thread(channel.id, posted, "talk", (Message("x"),), key="t") in posted
    await room.stop()
    room = make()
    await room.start(echo)
    assert await room.find_post(channel.id, "k") == posted
    await room.edit(channel.id, posted, Message("short"), key="k")
    assert [show(each).text for each in channel.messages.values()] == ["short"]


async def test_nothing_is_read_before_a_post_is_mended(
    double: DiscordDouble, channel: Channel, make: Make
) -> None:
    room = make()
    await room.start(echo)
    posts = {"one": "short", "two": "a line of it\n" * 600}
    posted = {
        key: await room.post(channel.id, Message(text, buttons=(Button("Hint", "hint"),)), key=key)
        for key, text in posts.items()
    }
    await room.stop()
    room = make()
    await room.start(echo)
    before = len(double.rest.requests)
    for key, reference in posted.items():
        await room.edit(channel.id, reference, Message("mended"), key=key)
    asked = [method for method, _, _ in double.rest.requests[before:]]
    surplus = len(posted["two"].split("+")) - 1
    assert asked == ["PATCH", "PATCH"] + ["DELETE"] * surplus


async def test_the_configs_gateway_is_where_it_connects_and_is_put_back_afterwards(
    double: DiscordDouble, channel: Channel, make: Make
) -> None:
    before = Route.BASE, DiscordWebSocket.DEFAULT_GATEWAY, HTTPClient.get_bot_gateway
    own, double.gateway.url = double.gateway.url, "ws://nowhere.invalid/"
    room = DiscordRoom(
        Connection(TOKEN, double.api, own, {"guild_ready_timeout": 0.01}), Clubs([channel.id]),
        commands=[], words=WORDS, now=lambda: NOW,
    )  # fmt: skip
    await room.start(echo)
    assert double.gateway.is_connected
    await room.stop()
    assert (Route.BASE, DiscordWebSocket.DEFAULT_GATEWAY, HTTPClient.get_bot_gateway) == before


async def test_in_a_rush_all_are_announced_before_the_work_and_answered_after(
    double: DiscordDouble, channel: Channel, make: Make
) -> None:
    asked = 60
    all_announced = asyncio.Event()

    async def patient(act: Incoming) -> tuple[Message, ...]:
        await all_announced.wait()
        return (Message(f"to {act.name}"),)

    await make().start(patient)
    people = [double.person(f"Member {number}", channel) for number in range(asked)]
    acts = [await person.start_command("help") for person in people]
    await double.until(lambda: all(each.responded for each in acts), "all announcements")
    assert not any(each.messages for each in acts)
    all_announced.set()
    await double.until(lambda: all(each.is_settled for each in acts), "all answers")
    assert [answer_of(each).text for each in acts] == [f"to Member {n}" for n in range(asked)]


@pytest.mark.expects_error_log
async def test_a_frame_that_nobody_can_read_ends_the_connection_and_not_the_room(
    double: DiscordDouble, channel: Channel, make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(staying, "FIRST_BACK_OFF", 0.0)
    room = make()
    await room.start(echo)
    (session,) = double.gateway.sessions.values()
    assert session.socket is not None
    await session.socket.send_str("{ no frame")
    await double.until(lambda: len(double.gateway.identifies) == 2, "a new connection")
    ada = double.person("Ada", channel)
    await double.until(lambda: double.gateway.is_connected, "a session")
    assert answer_of(await ada.command("help")).text == "you said help"


async def test_an_event_that_the_library_cannot_read_is_left_out_and_the_next_is_answered(
    double: DiscordDouble, channel: Channel, make: Make
) -> None:
    await make().start(echo)
    for broken in ({}, {"id": "x"}, {"id": "1", "type": 3}, [], None, "text"):
        for name in ("INTERACTION_CREATE", "MESSAGE_CREATE", "GUILD_CREATE", "CHANNEL_UPDATE"):
            await double.gateway.dispatch(name, broken, None)
    ada = double.person("Ada", channel)
    assert answer_of(await ada.command("help")).text == "you said help"
    assert len(double.gateway.identifies) == 1
