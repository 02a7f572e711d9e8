"""The keys that encryption needs go out and come in whatever strangers send, whatever a homeserver
refuses, and whenever the bot dies: nothing is asked for without end, and nothing grows.
"""

from __future__ import annotations

import asyncio
import base64
import logging
from typing import Any
from uuid import uuid4

import pytest
import vodozemac

from bot.platforms.matrix.room import MatrixRoom
from bot.platforms.message import Message, RoomUnreachableError
from tests.doubles.matrix.faulty_line import AWAY, BAD_GATEWAY, LIMITED, Fault, always, times
from tests.doubles.matrix.member import Member
from tests.matrix.setting import Setting
from tests.patience import PATIENCE
from tests.sizes import first_of

REFUSED = (403, {"errcode": "M_FORBIDDEN", "error": "no"})
KEYS = 50
"""Keys of a device that are out at a time (the library's own figure)."""
ANOTHER_KEY = "Sb26eNnVIPr4nRUAoZCHgnHBaPvZiOOUSCy3nZ9VAFs"


class Watched:
    """Counts the requests whose path holds `path`, and answers as `fault` does, if any."""

    def __init__(self, path: str, fault: Fault = lambda *_: None) -> None:
        self.path = path
        self.count = 0
        self._fault = fault

    def __call__(self, method: str, path: str) -> tuple[int, dict[str, Any]] | None:
        self.count += self.path in path
        return self._fault(method, path)


async def begin(setting: Setting) -> None:
    await setting.prepare(is_encrypted=True)
    await setting.start()
    await setting.meet()


async def post(room: MatrixRoom, room_id: str, text: str) -> None:
    """Post it, again where the homeserver is out of reach, as the bot's own sending does."""
    for _ in range(5):
        try:
            await asyncio.wait_for(room.post(room_id, Message(text), key=text), PATIENCE)
        except RoomUnreachableError:
            continue
        return
    raise AssertionError("out of reach for good")


async def test_whatever_device_a_message_claims_to_be_from_its_session_opens_it(
    setting: Setting,
) -> None:
    """And no key is asked for: what was sent for such a claim grew with every such message."""
    await begin(setting)
    ada, place = setting.ada, setting.private_room()
    await ada.say(place, "first")  # gives the bot the session's key
    await ada.until(lambda: "answer to first" in setting.answers())
    setting.line.fault = watched = Watched("sendToDevice", always(REFUSED, path="sendToDevice"))
    assert ada.client.olm is not None
    for number in range(3):
        said = {"type": "m.room.message", "content": {"msgtype": "m.text", "body": f"no {number}"}}
        content = {**ada.client.olm.group_encrypt(place, said), "sender_key": ANOTHER_KEY}
        await ada.call("PUT", f"rooms/{place}/send/m.room.encrypted/other-{number}", content)
    await ada.until(lambda: "answer to no 2" in setting.answers())
    await setting.pass_syncs(2)
    assert watched.count == 0


async def known_newcomer(setting: Setting) -> Member:
    """Return somebody whose device the bot knows and has never heard of."""
    ben = await setting.newcomer("ben")
    await setting.pass_syncs(2)
    return ben


async def send_device(setting: Setting, sender: Member, kind: str, content: Any) -> None:
    """Send something to the bot's device and to no room."""
    messages = {setting.bot.user_id: {setting.bot.device_id: content}}
    await sender.call("PUT", f"sendToDevice/{kind}/{uuid4().hex}", {"messages": messages})


async def test_a_wish_to_compare_devices_is_neither_kept_nor_answered(setting: Setting) -> None:
    """Nobody is there to compare anything, and every answer would be a stranger's doing."""
    await begin(setting)
    ben = await known_newcomer(setting)
    setting.line.fault = watched = Watched("sendToDevice")
    for number in range(3):
        wish = {
            "from_device": ben.client.device_id,
            "transaction_id": f"wish-{number}",
            "method": "m.sas.v1",
            "key_agreement_protocols": ["curve25519-hkdf-sha256", "curve25519"],
            "hashes": ["sha256"],
            "message_authentication_codes": ["hkdf-hmac-sha256", "hmac-sha256"],
            "short_authentication_string": ["emoji", "decimal"],
        }
        await send_device(setting, ben, "m.key.verification.start", wish)
    await setting.pass_syncs(3)
    assert watched.count == 0


async def break_session(setting: Setting, *, begins: bool = False) -> None:
    """Have a device that the bot knows send it what none of its sessions opens; `begins`: what is
    to begin one, with a key that the bot does not have (any more).
    """
    ben = await known_newcomer(setting)
    asked = {"device_keys": {ben.user_id: [], setting.bot.user_id: []}}
    found = (await ben.call("POST", "keys/query", asked))["device_keys"]
    (bens,), (bots,) = (found[user].values() for user in (ben.user_id, setting.bot.user_id))
    sealed = dict(zip(("type", "body"), _for_somebody_else(begins=begins), strict=True))
    content = {
        "algorithm": "m.olm.v1.curve25519-aes-sha2",
        "sender_key": bens["keys"][f"curve25519:{bens['device_id']}"],
        "ciphertext": {bots["keys"][f"curve25519:{bots['device_id']}"]: sealed},
    }
    await send_device(setting, ben, "m.room.encrypted", content)


def _for_somebody_else(*, begins: bool) -> tuple[int, str]:
    """Return kind and text of an encrypted message of a session that the bot has no part in."""
    one, other = vodozemac.Account(), vodozemac.Account()
    other.generate_one_time_keys(1)
    (key,) = other.one_time_keys.values()
    first = one.create_outbound_session(other.curve25519_key, key).encrypt(b"")
    session, _ = other.create_inbound_session(one.curve25519_key, first.to_pre_key())
    kind, body = (first if begins else session.encrypt(b"")).to_parts()
    return kind, base64.b64encode(body).decode().rstrip("=")


async def take_keys(setting: Setting, count: int) -> None:
    """Have somebody take keys of the bot's, so that it is to upload others, and does."""
    asked = {setting.bot.user_id: {setting.bot.device_id: "signed_curve25519"}}
    for _ in range(count):
        found = await setting.ada.call("POST", "keys/claim", {"one_time_keys": asked})
        assert found["one_time_keys"][setting.bot.user_id]
    await setting.pass_syncs(2)


@pytest.mark.parametrize(
    ("fault", "sent"),
    [
        pytest.param(always(REFUSED, path="sendToDevice"), 1, id="refused"),
        pytest.param(times(2, BAD_GATEWAY, path="sendToDevice"), 3, id="twice out of reach"),
        pytest.param(
            times(2, LIMITED, path="sendToDevice"), 3, id="twice too much", marks=pytest.mark.long
        ),
    ],
)
async def test_a_message_to_a_device_is_sent_until_it_is_taken_or_refused(
    setting: Setting, caplog: pytest.LogCaptureFixture, fault: Fault, sent: int
) -> None:
    await begin(setting)
    await setting.pass_syncs(1)
    setting.line.fault = watched = Watched("sendToDevice", fault)
    with caplog.at_level(logging.WARNING):
        await break_session(setting)
        await setting.pass_syncs(6)
    assert watched.count == sent
    assert "TypeError" not in caplog.text


async def test_a_device_that_begins_with_a_key_that_is_gone_is_asked_to_begin_anew(
    setting: Setting,
) -> None:
    """It would go on with that session, of which the bot can read nothing."""
    await begin(setting)
    setting.line.fault = watched = Watched("sendToDevice")
    await break_session(setting, begins=True)
    await setting.pass_syncs(4)
    assert watched.count == 1


async def test_keys_that_are_refused_do_not_pile_up(setting: Setting) -> None:
    await begin(setting)
    setting.line.fault = refused = Watched("keys/upload", always(REFUSED, path="keys/upload"))
    setting.line.longest = 0
    await take_keys(setting, 5)
    first = setting.line.longest
    await setting.pass_syncs(4)
    assert refused.count >= 5
    assert first <= setting.line.longest < 1.1 * first


async def test_a_bot_that_dies_before_it_hears_that_its_keys_are_out_is_still_read(
    setting: Setting, caplog: pytest.LogCaptureFixture
) -> None:
    """Another key of the same number is refused, and of the first both halves have to be there."""
    await begin(setting)
    setting.line.fault = lost = Watched("keys/upload")
    setting.line.alter = lambda path, answer: {} if path.endswith("/keys/upload") else answer
    await take_keys(setting, KEYS)
    await setting.stop()
    assert lost.count >= 1
    setting.line.alter = setting.line.fault = None
    with caplog.at_level(logging.WARNING):
        await setting.start()
        await setting.pass_syncs(2)
        ben = await setting.newcomer("ben")
        await ben.say(setting.room_id, "!board")
        await ben.until(lambda: any(act.text == "!board" for act in setting.heard))
    assert "already exists" not in caplog.text


@pytest.mark.parametrize("path", ["sendToDevice", "keys/claim"])
@first_of("answer", [BAD_GATEWAY, LIMITED, AWAY], ids=["502", "429", "broken off"])
async def test_a_room_s_key_that_got_lost_on_its_way_is_given_before_anything_is_said(
    setting: Setting, path: str, answer: tuple[int, dict[str, Any]]
) -> None:
    await setting.prepare(is_encrypted=True)
    ben = await setting.newcomer("ben")
    room = await setting.start()
    setting.line.fault = times(1, answer, path=path)
    await post(room, setting.room_id, "the day")
    by = setting.bot.user_id
    await ben.until(lambda: ben.texts(setting.room_id, by=by) == ["the day"])


async def test_a_key_that_a_homeserver_refuses_to_pass_on_keeps_nobody_from_reading(
    setting: Setting,
) -> None:
    await setting.prepare(is_encrypted=True)
    room = await setting.start()
    setting.line.fault = times(1, REFUSED, path="sendToDevice")
    for number in range(2):
        await post(room, setting.room_id, f"day {number}")
        if number == 0:
            ben = await setting.newcomer("ben")
            await setting.pass_syncs(2)
    by = setting.bot.user_id
    await ben.until(lambda: ben.texts(setting.room_id, by=by) == ["day 1"])


async def test_what_a_key_changes_is_written_down_at_once_or_not_at_all(setting: Setting) -> None:
    """Between a key that is used up and the session that it began, a bot that died could read that
    device nevermore: what was sent with it would come again, and open nothing.
    """
    await begin(setting)
    assert setting.room is not None
    written: list[str] = []
    store = setting.room._signed_in.line.server.client.store
    store.database.connection().set_trace_callback(written.append)
    ben = await setting.newcomer("ben")
    await ben.say(setting.room_id, "!board")
    await ben.until(lambda: any(act.text == "!board" for act in setting.heard))
    tables = ("accounts", "olmsessions", "megolminboundsessions")
    changed = [[each for each in tables if f'"{each}"' in one] for one in transactions(written)]
    assert list(tables) in changed


def transactions(statements: list[str]) -> list[str]:
    """Return the statements that change something, those of one transaction together."""
    found, is_within = [""], False
    for each in statements:
        if each.startswith(("BEGIN", "COMMIT")):
            is_within = each.startswith("BEGIN")
            found.append("")
        elif not each.startswith("SELECT"):
            found[-1] += each
            found += [] if is_within else [""]
    return found
