"""The double itself: it refuses what the service refuses, by document or by written rule."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from datetime import UTC, datetime, timedelta
from typing import Any

import aiohttp
import pytest

from tests.doubles.discord import TOKEN, DiscordDouble, schema
from tests.doubles.discord.limits import command_problems, message_problems, modal_problems
from tests.doubles.discord.people import COMMAND
from tests.patience import PATIENCE

V2 = 1 << 15
ROW = {"type": 1, "components": [{"type": 2, "style": 1, "label": "x", "custom_id": "a"}]}


def button(**changes: Any) -> dict[str, Any]:
    return {"type": 1, "components": [{"type": 2, "style": 1, "label": "x", **changes}]}


def text(content: str) -> dict[str, Any]:
    return {"type": 10, "content": content}


@pytest.mark.parametrize(
    "body",
    [
        {"content": "x" * 2001},
        {},
        {"content": "x", "flags": V2, "components": [text("y")]},
        {"components": [text("y")]},
        {"content": "x", "components": [button()]},
        {"content": "x", "components": [button(custom_id="a"), button(custom_id="a")]},
        {"content": "x", "components": [button(custom_id="a" * 101)]},
        {"content": "x", "components": [button(custom_id="a", label="y" * 81)]},
        {"content": "x", "components": [{"type": 1, "components": ROW["components"] * 6}]},
        {"flags": V2, "components": [text("y")] * 41},
        {"flags": V2, "components": [text("y" * 4000), text("z")]},
        {"flags": V2, "components": [{"type": 10, "content": "y", "id": 5}] * 2},
        {"embeds": [{"description": "x" * 4000}, {"description": "y" * 2001}]},
        {"content": "x", "nonce": "n" * 26},
        {"content": "x", "attachments": [{"id": "0", "description": "y" * 1025}]},
        {"flags": V2, "components": [
            {"type": 12, "items": [{"media": {"url": "attachment://not-there.png"}}]}]},
    ],
)  # fmt: skip
def test_a_message_that_the_service_refuses_is_refused(body: dict[str, Any]) -> None:
    assert message_problems(body, {})


def test_a_message_that_the_service_takes_is_taken() -> None:
    assert not message_problems({"content": "x" * 2000, "components": [ROW]}, {})
    assert not message_problems({"flags": V2, "components": [text("y"), ROW]}, {})


@pytest.mark.parametrize(
    "commands",
    [
        [{"name": "Hint", "description": "x"}],
        [{"name": "hint", "description": ""}],
        [{"name": "hint", "description": "x" * 101}],
        [{"name": "hint", "description": "x"}] * 2,
        [{"name": f"c{number}", "description": "x"} for number in range(101)],
        [{"name": "hint", "description": "x", "options": [
            {"type": 3, "name": "a", "description": "x"},
            {"type": 3, "name": "b", "description": "x", "required": True}]}],
        [{"name": "hint", "description": "x", "options": [
            {"type": 3, "name": f"o{number}", "description": "x", "choices": [
                {"name": f"n{choice}" + "y" * 90, "value": "v"} for choice in range(25)]}
            for number in range(4)]}],
    ],
)  # fmt: skip
def test_commands_that_the_service_refuses_are_refused(commands: list[dict[str, Any]]) -> None:
    assert command_problems(commands)


def test_a_modal_that_the_service_refuses_is_refused() -> None:
    entry = {"type": 18, "label": "l", "component": {"type": 4, "custom_id": "a", "style": 1}}
    assert not modal_problems({"title": "t", "components": [entry]})
    assert modal_problems({"title": "t" * 46, "components": [entry]})
    assert modal_problems({"title": "t", "components": [entry, entry]})
    assert modal_problems({"title": "t", "components": [entry] * 6})
    assert modal_problems({"title": "t", "components": [{**entry, "label": "l" * 46}]})


def test_bodies_are_validated_against_the_services_own_document() -> None:
    if not schema.is_present():
        pytest.skip(
            f"bodies are checked by hand-written limits only: there is no {schema.DOCUMENT.name} "
            "beside the checkout"
        )
    path = "/channels/{channel_id}/messages"
    assert not schema.body_problems("POST", path, {"content": "x", "attachments": [{"id": 0}]})
    assert schema.body_problems("POST", path, {"content": 7})
    assert schema.body_problems("POST", path, {"components": [{"type": 2}]})
    assert schema.knows("POST", path)
    assert not schema.knows("POST", "/no/such/route")


@pytest.fixture
async def double() -> AsyncIterator[DiscordDouble]:
    made = DiscordDouble(lambda: NOW[0])
    await made.start()
    yield made
    await made.stop()


NOW = [datetime(2026, 11, 23, 12, tzinfo=UTC)]


async def call(
    double: DiscordDouble, method: str, path: str, body: object = None, token: str = TOKEN
) -> tuple[int, dict[str, Any]]:
    async with (
        aiohttp.ClientSession(headers={"Authorization": f"Bot {token}"}) as session,
        session.request(method, double.api + path, json=body) as response,
    ):
        return response.status, await response.json() if response.status != 204 else {}


async def test_unknown_routes_wrong_tokens_and_ill_formed_bodies_are_refused(
    double: DiscordDouble,
) -> None:
    channel = double.add_club()
    posts = f"/channels/{channel.id}/messages"
    assert (await call(double, "GET", "/users/@me", token="wrong"))[0] == 401
    assert not double.problems
    assert (await call(double, "POST", posts, {"content": "x" * 2001}))[1]["code"] == 50035
    assert (await call(double, "GET", "/no/such/route"))[0] == 404
    assert len(double.problems) == 2
    assert (await call(double, "POST", "/channels/1/messages", {"content": "x"}))[1][
        "code"
    ] == 10003
    double.guild_of(channel).has_bot = False
    assert (await call(double, "POST", posts, {"content": "x"}))[1]["code"] == 50001


async def test_a_nonce_is_remembered_for_minutes_only(double: DiscordDouble) -> None:
    channel = double.add_club()
    posts = f"/channels/{channel.id}/messages"
    body = {"content": "x", "nonce": "n", "enforce_nonce": True}
    first = (await call(double, "POST", posts, body))[1]["id"]
    assert (await call(double, "POST", posts, body))[1]["id"] == first
    NOW[0] += timedelta(minutes=6)
    assert (await call(double, "POST", posts, body))[1]["id"] != first


@pytest.mark.parametrize(("seconds", "code"), [(2.9, 0), (3.1, 10062)])
async def test_the_first_response_has_three_seconds_and_comes_once(
    double: DiscordDouble, seconds: float, code: int
) -> None:
    channel = double.add_club()
    ada = double.person("Ada", channel)
    asked = double.world.add_interaction(COMMAND, ada.user, channel.id, None)
    NOW[0] += timedelta(seconds=seconds)
    path = f"/interactions/{asked.id}/{asked.token}/callback"
    body = {"type": 4, "data": {"content": "x"}}
    assert (await call(double, "POST", path, body))[1].get("code", 0) == code
    if not code:
        assert (await call(double, "POST", path, body))[1]["code"] == 40060


@pytest.mark.parametrize(("minutes", "status"), [(14.9, 200), (15.1, 401)])
async def test_a_token_lives_a_quarter_of_an_hour(
    double: DiscordDouble, minutes: float, status: int
) -> None:
    channel = double.add_club()
    ada = double.person("Ada", channel)
    asked = double.world.add_interaction(COMMAND, ada.user, channel.id, None)
    await call(double, "POST", f"/interactions/{asked.id}/{asked.token}/callback", {"type": 5})
    NOW[0] += timedelta(minutes=minutes)
    hook = f"/webhooks/{double.world.application_id}/{asked.token}"
    assert (await call(double, "POST", hook, {"content": "x"}))[0] == status


async def test_privileged_intents_are_refused(double: DiscordDouble) -> None:
    async with aiohttp.ClientSession() as session:
        for intents, code in ((1 << 15, 4014), (1 << 40, 4013)):
            async with session.ws_connect(double.gateway.url) as socket:
                await socket.receive_json()
                await socket.send_json({"op": 2, "d": {"token": TOKEN, "intents": intents}})
                await asyncio.wait_for(socket.receive(), PATIENCE)
                assert socket.close_code == code
