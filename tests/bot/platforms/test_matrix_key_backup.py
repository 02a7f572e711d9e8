"""The copy of a Matrix device's keys: what strangers send it, and a homeserver that takes long."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import vodozemac
from nio.crypto.sessions import InboundGroupSession

from bot.platforms.matrix.caring import Caring
from bot.platforms.matrix.lanes import Lanes
from bot.platforms.matrix.server import Server
from bot.platforms.matrix.session import Recovery, load_backed_up, save_recovery
from tests.bot.storage.samples import NOON

BOT, ROOM = "@ninebark:example.org", "!room:example.org"


def key_of(room_id: str) -> InboundGroupSession:
    shared = vodozemac.GroupSession().session_key.to_base64()
    return InboundGroupSession(shared, "signing", "sender", room_id, [])


class Store(list[InboundGroupSession]):
    """The keys that are there, and how often they were looked through."""

    looks = 0

    def __iter__(self) -> Iterator[InboundGroupSession]:
        self.looks += 1
        return super().__iter__()


class PaperServer:
    """A homeserver that keeps what it is given, once it `may_answer`."""

    def __init__(self, keys: list[InboundGroupSession]) -> None:
        self.user_id, self.device_id, self.is_encrypting = BOT, "OURS", True
        self.verifications: list[Mapping[str, Any]] = []
        self.store = Store(keys)
        self.client = SimpleNamespace(olm=SimpleNamespace(inbound_group_store=self.store))
        self.kept: list[dict[str, Any]] = []
        self.may_answer = asyncio.Event()

    async def request(self, method: str, path: str, body: dict[str, Any]) -> dict[str, Any]:
        self.kept.append(body["rooms"])
        await self.may_answer.wait()
        return {}


def caring_for(server: PaperServer, folder: Path) -> Caring:
    public = vodozemac.Curve25519SecretKey().public_key().to_base64()
    save_recovery(folder, Recovery(BOT, "master", "key", "1", public))
    return Caring(cast(Server, server), folder, (), lambda: NOON)


async def test_a_key_for_no_room_is_not_sent_and_holds_up_no_other(tmp_path: Path) -> None:
    keys = [key_of("!" + "x" * 60_000), key_of("!\0:x"), key_of(ROOM)]
    server = PaperServer(keys)
    server.may_answer.set()
    lanes = Lanes()
    caring_for(server, tmp_path).take_up(lanes)
    await lanes.finish(60)
    assert [list(rooms) for rooms in server.kept] == [[ROOM]]
    assert load_backed_up(tmp_path, "1") == {keys[2].id}


async def test_while_the_homeserver_takes_its_time_no_further_turns_are_queued(
    tmp_path: Path,
) -> None:
    server = PaperServer([key_of(ROOM)])
    caring, lanes = caring_for(server, tmp_path), Lanes()
    for _ in range(100):
        caring.take_up(lanes)
        await asyncio.sleep(0)
    server.may_answer.set()
    await lanes.finish(60)
    assert server.store.looks == len(server.kept) == 1
