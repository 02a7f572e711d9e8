"""One event that cannot be read never stops the stream: it is set aside, and the next is answered.

Sent for real where the homeserver takes it, else put into its answers on their way.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from typing import Any

import pytest

from bot import wording
from bot.club.replies import InputRefused
from bot.platforms.matrix.stream import GAP_TRIES
from bot.platforms.message import LINE_LIMIT, Message
from bot.storage.matrix.unreadable import Unread
from tests.doubles.matrix.faulty_line import BAD_GATEWAY, always
from tests.matrix.conftest import Bench
from tests.matrix.setting import Setting
from tests.patience import PATIENCE
from tests.sizes import first_of

BEYOND_THE_CALENDAR = 253402300800000
NO_KEY = "this is no key"

Change = Callable[[dict[str, Any]], None]


async def goes_on(setting: Setting, *, problems: int) -> None:
    """Assert that the next line is answered, and what was in its way is kept, counted and told."""
    ada, place = setting.ada, setting.private_room()
    await ada.say(place, "after it")
    await ada.until(lambda: "answer to after it" in setting.answers())
    counted, kept = await _kept(setting)
    assert len(kept) == problems
    assert counted == sum(each.times for each in kept)
    assert setting.waits == [], "nothing was waited out"
    places = [place for place in setting.line.places if place]
    repeated = len(places) - len(set(places))
    assert repeated <= 1, "the same place is asked from twice only over a restart"


async def _kept(setting: Setting) -> tuple[int, tuple[Unread, ...]]:
    """Return how many problems are kept, and which, as of one moment: keys are asked for again at
    any time, and what is wrong with them is noted again."""
    journal = setting.journal
    while True:
        counted = await journal.count_unreadable()
        kept = await journal.load_unreadable()
        if counted == await journal.count_unreadable():
            return counted, kept


def told(caplog: pytest.LogCaptureFixture) -> list[str]:
    return [each.getMessage() for each in caplog.records if "set aside" in each.getMessage()]


async def own_key(setting: Setting) -> str:
    """Return the public key that messages to the bot's device are encrypted to."""
    asked = {"device_keys": {setting.bot.user_id: []}}
    found = await setting.ada.call("POST", "keys/query", asked)
    device = found["device_keys"][setting.bot.user_id][setting.bot.device_id]
    return str(device["keys"][f"curve25519:{setting.bot.device_id}"])


@first_of("kind", [0, 1], ids=["0", "1"])
async def test_a_malformed_olm_message_from_anybody_is_set_aside(
    setting: Setting, caplog: pytest.LogCaptureFixture, kind: int
) -> None:
    await setting.prepare(is_encrypted=True)
    await setting.start()
    await setting.meet()
    content = {
        "algorithm": "m.olm.v1.curve25519-aes-sha2",
        "sender_key": NO_KEY,
        "ciphertext": {await own_key(setting): {"type": kind, "body": "%%%"}},
    }
    messages = {setting.bot.user_id: {setting.bot.device_id: content}}
    with caplog.at_level(logging.WARNING):
        for number in range(2):
            path = f"sendToDevice/m.room.encrypted/bad-{number}"
            await setting.ada.call("PUT", path, {"messages": messages})
        await goes_on(setting, problems=1)
    (kept,) = await setting.journal.load_unreadable()
    assert (kept.thing.place, kept.thing.sender) == ("to-device", setting.ada.user_id)
    assert kept.times == 2
    assert len(told(caplog)) == 1, "logged once"


async def test_an_encrypted_event_without_a_usable_sender_key_stops_nothing(
    setting: Setting,
) -> None:
    """Such a key is only a hint, by now: the event waits for its session like any other."""
    await setting.prepare(is_encrypted=True)
    await setting.start()
    await setting.meet()
    sealed = {
        "algorithm": "m.megolm.v1.aes-sha2",
        "ciphertext": "AwgAEhAqqqqqqqqqqqqqqqqqqqqq",
        "session_id": "IkJJUWXv7pXOIHXFC8vFEZwA6GqTvKnRZ2eQPXFHBvQ",
        "device_id": "NOWHERE",
    }
    changes = iter(({"sender_key": ""}, {"sender_key": 5}, {}))

    def change(event: dict[str, Any]) -> None:
        if event["content"].get("body") == "sealed":
            event |= {"type": "m.room.encrypted", "content": {**sealed, **next(changes)}}

    setting.line.alter = in_each_event(change)
    path = f"rooms/{setting.private_room()}/send/m.room.message/no-key-"
    for number in range(3):
        plain = {"msgtype": "m.text", "body": "sealed"}
        await setting.ada.call("PUT", path + str(number), plain)
    await goes_on(setting, problems=0)
    assert next(changes, None) is None, "all of them came in"


async def test_a_message_that_leaves_out_its_device_is_read_all_the_same(setting: Setting) -> None:
    await setting.prepare(is_encrypted=True)
    await setting.start()
    await setting.meet()
    ada, place = setting.ada, setting.private_room()
    await ada.say(place, "first")  # gives the bot the session's key
    assert ada.client.olm is not None
    said = {"type": "m.room.message", "content": {"msgtype": "m.text", "body": "bare"}}
    content: dict[str, Any] = dict(ada.client.olm.group_encrypt(place, said))
    del content["sender_key"], content["device_id"]
    await ada.call("PUT", f"rooms/{place}/send/m.room.encrypted/bare", content)
    await ada.until(lambda: "answer to bare" in setting.answers())


@first_of(
    "malformed",
    [
        {"algorithm": "m.megolm.v1.aes-sha2", "session_id": "x", "sender_key": "y"},
        {"algorithm": "m.megolm.v1.aes-sha2", "session_id": 5, "ciphertext": "x"},
        {"algorithm": "m.megolm.v1.aes-sha2", "session_id": "\0", "ciphertext": "x"},
    ],
    ids=["no ciphertext", "no session", "a session that is no id"],
)
async def test_an_encrypted_event_that_no_key_can_open_is_set_aside(
    setting: Setting, malformed: dict[str, Any]
) -> None:
    await setting.prepare(is_encrypted=True)
    await setting.start()
    await setting.meet()
    path = f"rooms/{setting.private_room()}/send/m.room.encrypted/malformed"
    await setting.ada.call("PUT", path, malformed)
    await goes_on(setting, problems=1)


def in_each_event(change: Change) -> Callable[[str, Any], Any]:
    """Return what changes every event of every room in the homeserver's answers to a sync."""

    def alter(path: str, answer: Any) -> Any:
        if path.endswith("/sync"):
            for room in answer.get("rooms", {}).get("join", {}).values():
                for part in ("state", "timeline"):
                    for event in room.get(part, {}).get("events", []):
                        change(event)
        return answer

    return alter


def _wrong_creators(event: dict[str, Any]) -> None:
    if event["type"] == "m.room.create":
        event["content"]["additional_creators"] = 5


def _no_create_content(event: dict[str, Any]) -> None:
    if event["type"] == "m.room.create":
        event["content"] = 5


def _power_of_nobody(event: dict[str, Any]) -> None:
    if event["type"] == "m.room.topic":
        event |= {"type": "m.room.power_levels", "content": {"users": 5}}


def _name_of_pieces(event: dict[str, Any]) -> None:
    if event["type"] == "m.room.member":
        event["content"]["displayname"] = ["half", "\ud800"]


@pytest.mark.parametrize(
    ("change", "problems"),
    [
        pytest.param(_wrong_creators, 0, id="additional creators: 5"),
        pytest.param(_no_create_content, 2, id="a create event without content"),
        pytest.param(_power_of_nobody, 1, id="power levels of nobody"),
        pytest.param(_name_of_pieces, 0, id="a name that is a list"),
    ],
)
async def test_state_that_is_not_as_it_has_to_be_stops_no_start(
    setting: Setting, change: Change, problems: int
) -> None:
    await setting.prepare()
    setting.line.alter = in_each_event(change)
    await setting.start()
    await setting.meet()
    assert setting.changes == [(setting.room_id, True)]
    await goes_on(setting, problems=problems)


@first_of("stamp", [10**40, BEYOND_THE_CALENDAR, -1], ids=["huge", "beyond the calendar", "-1"])
async def test_a_stamp_beyond_the_calendar_counts_as_now(setting: Setting, stamp: int) -> None:
    await setting.prepare()
    await setting.start()
    await setting.meet()
    setting.line.alter = in_each_event(lambda event: event.update(origin_server_ts=stamp))
    await goes_on(setting, problems=0)
    act = setting.heard[-1]
    assert act.acted_at == act.received_at


@first_of("stamp", ["yesterday", None, 1.5, True], ids=["a word", "none", "1.5", "true"])
async def test_a_line_without_a_stamp_is_set_aside(setting: Setting, stamp: object) -> None:
    await setting.prepare()
    await setting.start()
    await setting.meet()
    place = setting.private_room()

    def change(event: dict[str, Any]) -> None:
        if event["content"].get("body") == "when":
            event["origin_server_ts"] = stamp

    setting.line.alter = in_each_event(change)
    await setting.ada.say(place, "when")
    await goes_on(setting, problems=1)


async def test_half_a_surrogate_pair_is_neither_lost_nor_in_the_way(setting: Setting) -> None:
    await setting.prepare()
    await setting.start()
    await setting.meet()
    place = setting.private_room()

    def change(event: dict[str, Any]) -> None:
        if event["content"].get("body") == "odd":
            event["content"]["body"] = "odd \ud83d"

    setting.line.alter = in_each_event(change)
    await setting.ada.say(place, "odd")
    await goes_on(setting, problems=0)
    assert [act.text for act in setting.heard][-2:] == ["odd ?", "after it"]


async def test_a_device_with_a_bad_key_gets_none_and_its_user_still_reads(
    setting: Setting,
) -> None:
    await setting.prepare(is_encrypted=True)
    user_id = setting.ada.user_id

    def alter(path: str, answer: Any) -> Any:
        if path.endswith("/keys/query") and user_id in answer["device_keys"]:
            answer["device_keys"][user_id] |= {
                "ROGUE": {
                    "user_id": user_id,
                    "device_id": "ROGUE",
                    "algorithms": [],
                    "keys": {"ed25519:ROGUE": NO_KEY, "curve25519:ROGUE": NO_KEY},
                    "signatures": {user_id: {"ed25519:ROGUE": NO_KEY}},
                },
                "WORSE": 5,
            }
            answer["device_keys"] |= {"nobody": 5, "@five:club.test": 5}
        return answer

    setting.line.alter = alter
    await setting.start()
    await setting.meet()
    kept = await setting.journal.load_unreadable()
    assert {each.thing.place for each in kept} == {"device keys"}
    await goes_on(setting, problems=4)


async def test_a_signed_key_that_is_none_keeps_nobody_else_from_reading(setting: Setting) -> None:
    """A device may sign whatever it likes as its one-time key."""
    await setting.prepare(is_encrypted=True)
    ben, ada = await setting.newcomer("ben"), setting.ada
    olm = ada.client.olm
    assert olm is not None

    def alter(path: str, answer: Any) -> Any:
        if path.endswith("/keys/claim") and ada.user_id in answer["one_time_keys"]:
            for device_id, keys in answer["one_time_keys"][ada.user_id].items():
                signature = olm.sign_json({"key": NO_KEY})
                mark = {ada.user_id: {f"ed25519:{device_id}": signature}}
                keys |= {name: {"key": NO_KEY, "signatures": mark} for name in keys}
            answer["one_time_keys"] |= {"@five:club.test": 5, ben.user_id + "x": {"D": {}}}
        return answer

    setting.line.alter = alter
    room = await setting.start()
    for number in range(2):
        post = room.post(setting.room_id, Message(f"day {number}"), key=f"day:{number}")
        await asyncio.wait_for(post, PATIENCE)
    by = setting.bot.user_id
    await ben.until(lambda: "day 1" in ben.texts(setting.room_id, by=by))
    assert ben.texts(setting.room_id, by=by) == ["day 0", "day 1"]


async def test_a_first_sync_that_fails_is_made_again(
    setting: Setting, caplog: pytest.LogCaptureFixture
) -> None:
    """Half an answer is the homeserver's failure: it is waited out, and the place stays."""
    await setting.prepare()
    left = [2]

    def alter(path: str, answer: Any) -> Any:
        if path.endswith("/sync") and left[0]:
            left[0] -= 1
            return ["no", "sync"]
        return answer

    setting.line.alter = alter
    with caplog.at_level(logging.WARNING):
        room = await setting.start()
        assert not room.is_connected
        # What is said before the first sync that there ever was is not said to the bot.
        await setting.ada.until(lambda: room.is_connected)
        await setting.meet()
    assert setting.waits == [1.0]


async def test_no_event_that_cannot_be_read_stops_a_restart(setting: Setting) -> None:
    await setting.prepare()
    await setting.start()
    await setting.meet()
    await setting.stop()
    setting.line.alter = in_each_event(lambda event: event.update(sender=["no", "one"]))
    await setting.ada.say(setting.private_room(), "lost to the bot")
    await asyncio.wait_for(setting.start(), PATIENCE)
    async with asyncio.timeout(PATIENCE):
        while not await setting.journal.count_unreadable():
            await setting.ada.sync(200)
    setting.line.alter = None
    await setting.stop()
    setting.line.places.clear()
    setting.heard.clear()
    before = len(await setting.journal.load_unreadable())
    await setting.start()
    await goes_on(setting, problems=before)


async def test_a_room_whose_gap_cannot_be_filled_holds_up_no_other(setting: Setting) -> None:
    """The homeserver fails at the history of one room, now and on every further try."""
    await setting.prepare()
    await setting.start()
    await setting.meet()
    place, told = setting.private_room(), [0]

    def alter(path: str, answer: Any) -> Any:
        rooms = answer.get("rooms", {}).get("join", {}) if path.endswith("/sync") else {}
        if setting.room_id in rooms and told[0] < GAP_TRIES:
            told[0] += 1
            rooms[setting.room_id]["timeline"] |= {"limited": True, "prev_batch": "s1"}
        return answer

    setting.line.alter = alter
    setting.line.fault = always(BAD_GATEWAY, path="/messages")
    await setting.ada.say(setting.room_id, "!lost")
    await setting.until_waited_like([1, 2, 4, 8])
    await setting.ada.say(place, "after it")
    await setting.ada.until(lambda: "answer to after it" in setting.answers())
    assert told == [GAP_TRIES]
    assert setting.waits == [1, 2, 4, 8], "given up at the fifth"


@pytest.fixture
async def club(open_bench: Bench) -> Bench:
    await open_bench.start()
    return open_bench


async def test_what_is_too_long_is_answered_in_plain_words_and_not_read(club: Bench) -> None:
    (met,) = await club.ask(club.ada, "help")
    assert met["content"]["body"]
    (answer,) = await club.ask(club.ada, "hand-in date" + " " * 50_000 + "x")
    said = wording.phrase(
        InputRefused(command="hand-in", problem="too-long", found=50_013, expected=LINE_LIMIT)
    ).text
    assert answer["content"]["body"].startswith(said)
