"""Emoji verification by another client, which holds what the bot proves against what it should be.

The app here is written by the specification alone (Client-Server API v1.11, "Short Authentication
String (SAS) verification"), on the primitives of the library of encryption.
"""

from __future__ import annotations

import asyncio
import base64
import json
from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast
from uuid import uuid4

import pytest
import vodozemac
from nio.crypto.sas import Sas

from bot.platforms.matrix.server import Server
from bot.platforms.matrix.verifying import Verifying
from bot.platforms.message import RoomUnreachableError
from tests.bot.storage.samples import NOON
from tests.doubles.matrix.club_house import call, new_account
from tests.doubles.matrix.homeserver import PASSWORD, Account
from tests.every_log import as_logged
from tests.matrix.setting import Setting
from tests.patience import PATIENCE

KIND = "m.key.verification."
START = {
    "method": "m.sas.v1",
    "key_agreement_protocols": ["curve25519-hkdf-sha256"],
    "hashes": ["sha256"],
    "message_authentication_codes": ["hkdf-hmac-sha256.v2", "hkdf-hmac-sha256"],
    "short_authentication_string": ["decimal", "emoji"],
}


def canonical(thing: object) -> str:
    return json.dumps(thing, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


class App:
    """A device of somebody's, with keys of its own."""

    def __init__(self, setting: Setting, account: Account) -> None:
        self._setting = setting
        self._account = account
        self._place = ""
        self._got: list[Mapping[str, Any]] = []
        self._keys = vodozemac.Account()
        self._sas = vodozemac.Sas()
        self.transaction_id = uuid4().hex

    @classmethod
    async def sign_in(cls, setting: Setting, account: Account) -> App:
        proof = {
            "type": "m.login.password",
            "identifier": {"type": "m.id.user", "user": account.user_id},
            "password": PASSWORD,
        }
        made = await call(setting.server, account, "POST", "login", proof)
        app = cls(setting, Account(account.user_id, made["device_id"], made["access_token"]))
        me, device_id = account.user_id, made["device_id"]
        device: dict[str, Any] = {
            "user_id": me,
            "device_id": device_id,
            "algorithms": ["m.megolm.v1.aes-sha2"],
            "keys": {
                f"ed25519:{device_id}": app._keys.ed25519_key.to_base64(),
                f"curve25519:{device_id}": app._keys.curve25519_key.to_base64(),
            },
        }
        signed = app._keys.sign(canonical(device).encode()).to_base64()
        device["signatures"] = {me: {f"ed25519:{device_id}": signed}}
        await app._call("POST", "keys/upload", {"device_keys": device})
        return app

    @property
    def own_key(self) -> str:
        return str(self._keys.ed25519_key.to_base64())

    async def _call(self, method: str, path: str, body: object = None) -> Any:
        return await call(self._setting.server, self._account, method, path, body)

    async def send(self, kind: str, **content: Any) -> dict[str, Any]:
        said = {"transaction_id": self.transaction_id, **content}
        bot = self._setting.bot
        body = {"messages": {bot.user_id: {bot.device_id: said}}}
        await self._call("PUT", f"sendToDevice/{KIND}{kind}/{uuid4().hex}", body)
        return said

    async def get(self, kind: str) -> Mapping[str, Any]:
        """Wait for the next message of the bot's, which has to be of a kind."""
        async with asyncio.timeout(PATIENCE):
            while not self._got:
                since = f"&since={self._place}" if self._place else ""
                answer = await self._call("GET", f"sync?timeout=2000{since}")
                self._place = answer["next_batch"]
                self._got += answer.get("to_device", {}).get("events", [])
        event = self._got.pop(0)
        assert (event["type"], event["sender"]) == (KIND + kind, self._setting.bot.user_id)
        content: Mapping[str, Any] = event["content"]
        assert content["transaction_id"] == self.transaction_id
        return content

    async def begin(self, **changes: Any) -> dict[str, Any]:
        """Ask, be answered, and start; return the start."""
        device_id = self._account.device_id
        await self.send("request", from_device=device_id, methods=["m.sas.v1"], timestamp=1)
        ready = await self.get("ready")
        assert ready["from_device"] == self._setting.bot.device_id
        assert ready["methods"] == ["m.sas.v1"]
        return await self.send("start", **{**START, "from_device": device_id, **changes})

    async def exchange(self) -> list[str]:
        """Exchange keys, and return the emoji that this app shows."""
        start = await self.begin()
        accept = await self.get("accept")
        assert accept["message_authentication_code"] == "hkdf-hmac-sha256.v2"
        ours = self._sas.public_key.to_base64()
        await self.send("key", key=ours)
        theirs = (await self.get("key"))["key"]
        bound = sha256((theirs + canonical(start)).encode()).digest()
        assert accept["commitment"] == base64.b64encode(bound).decode().rstrip("=")
        self._secret = self._sas.diffie_hellman(vodozemac.Curve25519PublicKey.from_base64(theirs))
        me, bot = self._account, self._setting.bot
        info = (
            f"MATRIX_KEY_VERIFICATION_SAS|{me.user_id}|{me.device_id}|{ours}"
            f"|{bot.user_id}|{bot.device_id}|{theirs}|{self.transaction_id}"
        )
        return [" ".join(Sas.emoji[at]) for at in self._secret.bytes(info).emoji_indices]

    async def check(self) -> set[str]:
        """Hold the bot's proof against its published keys; return what it vouches for."""
        proof = await self.get("mac")
        me, bot = self._account, self._setting.bot
        found = await self._call("POST", "keys/query", {"device_keys": {bot.user_id: []}})
        known = dict(found["device_keys"][bot.user_id][bot.device_id]["keys"])
        known |= found["master_keys"][bot.user_id]["keys"]
        parties = f"{bot.user_id}{bot.device_id}{me.user_id}{me.device_id}"
        for name, mac in proof["mac"].items():
            assert mac == self._prove(known[name], parties, name)
        names = ",".join(sorted(proof["mac"]))
        assert proof["keys"] == self._prove(names, parties, "KEY_IDS")
        assert set(found["master_keys"][bot.user_id]["keys"]) <= set(proof["mac"])
        return set(proof["mac"])

    async def vouch(self, *, key: str = "") -> None:
        me, bot = self._account, self._setting.bot
        name = f"ed25519:{me.device_id}"
        parties = f"{me.user_id}{me.device_id}{bot.user_id}{bot.device_id}"
        own = key or self.own_key
        proof = {name: self._prove(own, parties, name)}
        await self.send("mac", mac=proof, keys=self._prove(name, parties, "KEY_IDS"))

    def _prove(self, what: str, parties: str, name: str) -> str:
        info = f"MATRIX_KEY_VERIFICATION_MAC{parties}{self.transaction_id}{name}"
        return str(self._secret.calculate_mac(what, info))


class RoomApp(App):
    """The same in a room with the bot, as apps verify other people: what names the verification is
    the event that asked for it, and everything is encrypted as all that is said there."""

    def __init__(self, setting: Setting, room_id: str) -> None:
        super().__init__(setting, setting.account)
        assert setting.ada.client.olm is not None
        self._own_key = setting.ada.client.olm.account.identity_keys["ed25519"]
        self._room_id = room_id
        self._seen = 0

    @property
    def own_key(self) -> str:
        return str(self._own_key)

    async def send(self, kind: str, **content: Any) -> dict[str, Any]:
        ada = self._setting.ada
        if kind == "request":
            asked = {"msgtype": f"{KIND}request", "body": "?", "to": self._setting.bot.user_id}
            said = {**asked, **content}
            self.transaction_id = await ada.send(self._room_id, "m.room.message", said)
            return said
        relation = {"rel_type": "m.reference", "event_id": self.transaction_id}
        said = {**content, "m.relates_to": relation}
        await ada.send(self._room_id, KIND + kind, said)
        return said

    async def get(self, kind: str) -> Mapping[str, Any]:
        ada, bot = self._setting.ada, self._setting.bot

        def said() -> list[dict[str, Any]]:
            return [
                event
                for event in ada.sources(self._room_id)
                if event["sender"] == bot.user_id and event["type"].startswith(KIND)
            ][self._seen :]

        (event, *_) = await ada.until(said)
        self._seen += 1
        assert event["type"] == KIND + kind
        content: Mapping[str, Any] = event["content"]
        assert content["m.relates_to"]["event_id"] == self.transaction_id
        return content


async def test_in_a_room_with_the_bot_it_is_verified_in_the_same_way(
    setting: Setting, caplog: pytest.LogCaptureFixture
) -> None:
    await setting.prepare(is_encrypted=True)
    await setting.start()
    await setting.meet()
    app = RoomApp(setting, setting.private_room())
    # What two people do there with each other is not for the bot.
    await app.send("request", to="@somebody:else", from_device="X", methods=["m.sas.v1"])
    await app.send("start", **START, from_device="X")
    emoji = await app.exchange()
    await app.check()
    assert f"Their app has to show: {', '.join(emoji)}" in as_logged(caplog.records)
    await app.vouch()
    await app.get("done")
    assert setting.answers() == ["answer to !hello"], "none of it is a line"


async def test_who_may_invite_the_bot_verifies_it_by_emoji_that_the_host_sees_too(
    setting: Setting, caplog: pytest.LogCaptureFixture
) -> None:
    await setting.prepare(is_encrypted=True)
    await setting.start()
    app = await App.sign_in(setting, setting.account)
    # What is no verification at all stops nothing.
    for content in ({"transaction_id": 5}, {"from_device": 5}, {"methods": "x"}):
        for kind in ("request", "start", "key", "mac", "done", "cancel", "nonsense"):
            await app.send(kind, **content)
    emoji = await app.exchange()
    assert len(emoji) == 7
    assert await app.check() >= {f"ed25519:{setting.bot.device_id}"}
    assert f"Their app has to show: {', '.join(emoji)}" in as_logged(caplog.records)
    await app.vouch()
    await app.get("done")

    # A second one, whose proof is of another key.
    app.transaction_id, app._sas = uuid4().hex, vodozemac.Sas()
    await app.exchange()
    await app.check()
    await app.vouch(key=vodozemac.Account().ed25519_key.to_base64())
    assert (await app.get("cancel"))["code"] == "m.key_mismatch"

    # And one that wants what the bot does not do.
    app.transaction_id = uuid4().hex
    await app.begin(short_authentication_string=["decimal"])
    assert (await app.get("cancel"))["code"] == "m.unknown_method"

    # Somebody who may not invite it hears nothing: the next answer is to who may.
    stranger = await App.sign_in(setting, await new_account(setting.server, "ben"))
    await stranger.send("request", from_device="X", methods=["m.sas.v1"], timestamp=1)
    app.transaction_id = uuid4().hex
    await app.begin()
    await app.get("accept")
    assert not stranger._got
    answer = await stranger._call("GET", "sync?timeout=0")
    assert not answer.get("to_device", {}).get("events")


async def test_a_cancellation_that_is_refused_keeps_no_other_from_its_answer(
    tmp_path: Path,
) -> None:
    asked: list[str] = []

    class Refusing:
        user_id, device_id, is_encrypting = "@ninebark:club.test", "OURS", True
        client = SimpleNamespace(
            olm=SimpleNamespace(account=SimpleNamespace(identity_keys={"ed25519": "x"}))
        )

        async def request(self, method: str, path: str, body: object) -> dict[str, Any]:
            asked.append(path.split("/")[1].removeprefix(KIND))
            raise RoomUnreachableError("away")

    ada = "@ada:club.test"
    verifying = Verifying(cast(Server, Refusing()), tmp_path, [ada], lambda: NOON)
    content = {"transaction_id": "t", "from_device": "HERS"}
    kinds = ("start", "request")
    await verifying.take_all(
        [{"sender": ada, "type": f"{KIND}{kind}", "content": content} for kind in kinds]
    )
    assert asked == ["cancel", "ready"]


def test_the_emoji_are_those_of_the_specification() -> None:
    """Source: memory of the specification's table, first, last and two between."""
    names = [name for _, name in Sas.emoji]
    assert len(names) == 64
    assert (names[0], names[9], names[29], names[63]) == ("Dog", "Rooster", "Heart", "Pin")
