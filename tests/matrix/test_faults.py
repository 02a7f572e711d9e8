"""What can go wrong with a homeserver: nothing is lost or said twice, no hot loop, clear words."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from bot.platforms.clubs import Clubs
from bot.platforms.matrix.reading import KEYCAPS
from bot.platforms.matrix.refusals import SignedOutError
from bot.platforms.matrix.room import MatrixRoom
from bot.platforms.matrix.settings import MatrixSettings
from bot.platforms.message import Button, Incoming, Message, RoomGoneError
from bot.storage import open_store
from bot.storage.matrix import SqliteMatrixJournal
from bot.wording import matrix as matrix_words
from bot.wording.matrix import MATRIX
from tests.doubles.matrix.club_house import call, new_account, new_room, sign_in_bot
from tests.doubles.matrix.faulty_line import (
    AWAY,
    BAD_GATEWAY,
    LIMITED,
    SIGNED_OUT,
    always,
    times,
)
from tests.doubles.matrix.homeserver import Account, limited_homeserver
from tests.matrix.setting import Setting
from tests.patience import PATIENCE


@pytest.mark.parametrize(
    ("fault", "requests"),
    [
        pytest.param(BAD_GATEWAY, 1, id="bad gateway"),
        # Where a kept connection breaks off, the HTTP library asks once more by itself.
        pytest.param(AWAY, 2, id="no answer"),
    ],
)
async def test_a_homeserver_that_is_away_is_asked_less_and_less_often_and_nothing_is_lost(
    setting: Setting, fault: tuple[int, dict[str, Any]], requests: int
) -> None:
    await setting.prepare()
    await setting.start()
    await setting.meet()
    before = setting.line.counted["/sync"]
    setting.line.fault = always(fault)
    await setting.ada.say(setting.private_room(), "while away")
    # An answer that was on its way may pause too, in between, by a count of its own.
    pauses = [1, 2, 4, 8, 16, 32, 60, 60]
    await setting.until_waited_like(pauses)
    asked = setting.line.counted["/sync"] - before
    assert asked <= requests * len(setting.waits) + 3, f"{asked} requests in {sum(setting.waits)} s"
    setting.line.fault = None
    await setting.ada.until(lambda: "answer to while away" in setting.answers())
    assert len(setting.answers()) == 2


async def test_a_refused_token_ends_the_listening_at_once_with_words(setting: Setting) -> None:
    await setting.prepare()
    room = await setting.start()
    await setting.meet()
    setting.line.fault = always(SIGNED_OUT)
    # Something has to happen for the long poll under way to end.
    await setting.ada.say(setting.room_id, "good morning")
    with pytest.raises(SignedOutError) as caught:
        await asyncio.wait_for(room.ended(), PATIENCE)
    refused = setting.line.total
    assert "ninebark check" in (matrix_words.problem(caught.value) or "")
    with pytest.raises(SignedOutError):
        await room.post(setting.room_id, Message("the day"), key="day:1")
    assert setting.line.total == refused, "nothing is asked any more"
    assert setting.waits == []


async def test_limits_are_waited_out_as_long_as_the_homeserver_says(setting: Setting) -> None:
    await setting.prepare()
    room = await setting.start()
    setting.line.fault = times(3, LIMITED, path="/send/")
    reference = await room.post(setting.room_id, Message("the day"), key="day:1")
    assert setting.waits == [2, 2, 2]
    assert setting.line.counted["/send/"] == 4
    await setting.ada.until(lambda: setting.ada.texts(setting.room_id, by=setting.bot.user_id))
    assert setting.ada.texts(setting.room_id, by=setting.bot.user_id) == ["the day"]
    assert await room.find_post(setting.room_id, "day:1") == reference
    assert await setting.journal.count_limits() == 3


async def test_an_answer_lost_on_its_way_is_sent_once_all_the_same(setting: Setting) -> None:
    """The homeserver takes the event, and its word of that does not arrive."""
    await setting.prepare()
    room = await setting.start()
    setting.line.lose_answers = 1
    with pytest.raises(Exception, match="502"):
        await room.post(setting.room_id, Message("the day"), key="day:1")
    await room.post(setting.room_id, Message("the day"), key="day:1")
    await setting.ada.sync()
    assert setting.ada.texts(setting.room_id, by=setting.bot.user_id) == ["the day"]


@pytest.mark.long
async def test_a_post_does_not_wait_for_its_reactions_and_a_restart_brings_them(
    setting: Setting,
) -> None:
    """Slow reactions must not keep the day from being open; the rest of a post is never lost."""
    await setting.prepare()
    room = await setting.start()
    setting.line.fault = always(BAD_GATEWAY, path="m.reaction")
    post = Message("the day", buttons=(Button("Hint", "hint"), Button("Hand in", "hand-in")))
    reference = await asyncio.wait_for(room.post(setting.room_id, post, key="day:1"), PATIENCE)
    assert await room.find_post(setting.room_id, "day:1") == reference
    await setting.until_waited_like([1, 2, 4])
    await setting.stop()
    setting.line.fault = None
    await setting.start()
    ada = setting.ada

    def marks() -> list[str]:
        found = [each["content"] for each in ada.sources(setting.room_id)]
        related = [content.get("m.relates_to", {}) for content in found]
        return [each["key"] for each in related if each.get("event_id") == reference]

    await ada.until(lambda: len(marks()) == 2)
    assert marks() == list(KEYCAPS[:2])


@pytest.mark.parametrize(
    ("count", "is_encrypted"),
    [
        pytest.param(120, False, id="120, open"),
        pytest.param(120, True, id="120, encrypted", marks=pytest.mark.long),
        pytest.param(200, False, id="200, open", marks=pytest.mark.long),
    ],
)
async def test_lines_missed_beyond_what_a_sync_brings_are_all_answered(
    setting: Setting, count: int, is_encrypted: bool
) -> None:
    """A sync brings the last hundred of a room; the others are fetched."""
    await setting.prepare(is_encrypted=is_encrypted)
    await setting.start()
    await setting.meet()
    await setting.stop()
    place = setting.private_room()
    lines = [f"line {number}" for number in range(count)]
    for line in lines:
        await setting.ada.say(place, line)
    setting.heard.clear()
    await setting.start()
    async with asyncio.timeout(3 * PATIENCE):
        while len(setting.answers()) < count + 1:
            await setting.ada.sync(2_000)
    assert [act.text for act in setting.heard] == lines, "all of them, once, in order"
    assert all(act.acted_at < act.received_at for act in setting.heard), (
        "after a gap the homeserver's stamp counts"
    )


async def test_a_kicked_bot_says_so_and_comes_back_when_it_is_invited(setting: Setting) -> None:
    await setting.prepare()
    room = await setting.start()
    assert setting.changes == [(setting.room_id, True)]
    kick = {"user_id": setting.bot.user_id}
    await call(setting.server, setting.account, "POST", f"rooms/{setting.room_id}/kick", kick)
    await _until_changed(setting, False)
    with pytest.raises(RoomGoneError):
        await room.post(setting.room_id, Message("the day"), key="day:1")
    await call(setting.server, setting.account, "POST", f"rooms/{setting.room_id}/invite", kick)
    await _until_changed(setting, True)
    await room.post(setting.room_id, Message("the day"), key="day:1")
    await setting.ada.until(lambda: setting.ada.texts(setting.room_id, by=setting.bot.user_id))


async def _until_changed(setting: Setting, is_there: bool) -> None:
    async with asyncio.timeout(PATIENCE):
        while setting.changes[-1][1] != is_there:
            await setting.ada.sync(200)


async def test_a_member_who_left_the_private_room_is_invited_again_not_given_another(
    setting: Setting,
) -> None:
    await setting.prepare()
    await setting.start()
    await setting.meet()
    place = setting.private_room()
    opened = setting.line.counted["/createRoom"]
    await setting.ada.call("POST", f"rooms/{place}/leave", {})
    await setting.ada.sync()
    setting.ada.invited.remove(place)
    await setting.ada.say(setting.room_id, "!again")
    await setting.ada.until(lambda: "answer to !again" in setting.answers())
    assert setting.private_room() == place
    assert setting.line.counted["/createRoom"] == opened == 1


async def test_strangers_cannot_bring_the_bot_anywhere(setting: Setting) -> None:
    await setting.prepare()
    await setting.start()
    stranger = await new_account(setting.server, "mallory")
    for is_direct in (True, False):
        wish = {"invite": [setting.bot.user_id], "is_direct": is_direct, "preset": "private_chat"}
        made = await call(setting.server, stranger, "POST", "createRoom", wish)
        path = f"rooms/{made['room_id']}/state/m.room.member/{setting.bot.user_id}"
        async with asyncio.timeout(PATIENCE):
            while (await call(setting.server, stranger, "GET", path))["membership"] == "invite":
                await setting.ada.sync(200)
        assert (await call(setting.server, stranger, "GET", path))["membership"] == "leave"


async def test_old_lines_from_before_the_bot_came_are_no_commands(setting: Setting) -> None:
    await setting.prepare()
    await setting.ada.say(setting.room_id, "!early")
    await setting.start()
    await setting.meet()
    assert [act.text for act in setting.heard] == ["!hello"]


async def test_edits_are_not_read_and_say_so(setting: Setting) -> None:
    await setting.prepare()
    await setting.start()
    await setting.meet()
    ada, place = setting.ada, setting.private_room()
    said = await ada.say(place, "place r1c1 5")
    await ada.until(lambda: "answer to place r1c1 5" in setting.answers())
    await ada.send(
        place,
        "m.room.message",
        {
            "msgtype": "m.text",
            "body": "* place r1c1 6",
            "m.new_content": {"msgtype": "m.text", "body": "place r1c1 6"},
            "m.relates_to": {"rel_type": "m.replace", "event_id": said},
        },
    )
    await ada.until(lambda: MATRIX.edited in ada.texts(place, by=setting.bot.user_id))
    assert [act.text for act in setting.heard] == ["!hello", "place r1c1 5"]


async def test_another_bots_notices_are_never_answered(setting: Setting) -> None:
    await setting.prepare()
    await setting.start()
    await setting.meet()
    ada, place = setting.ada, setting.private_room()
    await ada.send(place, "m.room.message", {"msgtype": "m.notice", "body": "hint"})
    await ada.say(place, "last")
    await ada.until(lambda: "answer to last" in setting.answers())
    assert [act.text for act in setting.heard] == ["!hello", "last"]


async def test_the_limits_that_a_homeserver_has_by_default_lose_nothing(tmp_path: Path) -> None:
    """More posts than the ten that a server lets through at once: the rest comes as it allows."""
    server = limited_homeserver()
    bot: Account = await sign_in_bot(server, tmp_path / "matrix", encrypt=False)
    ada = await new_account(server, "ada")
    room_id = await new_room(server, ada, bot=bot)
    waits: list[float] = []
    sent = 0

    async def wait(seconds: float) -> None:
        waits.append(seconds)
        await asyncio.sleep(min(seconds, 6.0))

    async with open_store(tmp_path / "club.db") as store:
        room = MatrixRoom(
            MatrixSettings(server.url, bot.user_id, encrypt=False),
            tmp_path / "matrix",
            Clubs((room_id,)),
            journal=SqliteMatrixJournal(store.database),
            words=MATRIX,
            now=lambda: datetime.now(UTC),
            wait=wait,
        )
        await room.start(_say_nothing)
        try:
            # A machine so slow that the server finds nothing to limit has to say more.
            while sent < 11 or (not waits and sent < 40):
                post = room.post(room_id, Message(f"post {sent}"), key=str(sent))
                await asyncio.wait_for(post, PATIENCE)
                sent += 1
        finally:
            await room.stop()
    found = await call(server, ada, "GET", f"rooms/{room_id}/messages?dir=b&limit=50")
    texts = [e["content"]["body"] for e in found["chunk"] if e["type"] == "m.room.message"]
    assert texts[::-1] == [f"post {number}" for number in range(sent)]
    assert 1 <= len(waits) <= sent, "waited as long as the server asked, and not again and again"
    assert all(seconds > 0 for seconds in waits)


async def _say_nothing(act: Incoming) -> tuple[Message, ...]:
    return ()
