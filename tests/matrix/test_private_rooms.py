"""Which room is private: two people and no club, whatever was claimed; who may bring the bot in."""

from __future__ import annotations

import asyncio
from typing import Any

import pytest

from bot.platforms.matrix.journal import DirectRoom
from bot.wording.matrix import MATRIX
from tests.doubles.matrix.club_house import call, new_account, new_room
from tests.doubles.matrix.member import Member
from tests.matrix.conftest import Bench
from tests.matrix.setting import Setting
from tests.patience import PATIENCE


async def open_room(setting: Setting, by: Member, *others: str, **wish: Any) -> str:
    """Have somebody make a room that they say is direct, with the bot invited at the end."""
    made = await by.call(
        "POST", "createRoom", {"preset": "private_chat", "is_direct": True, **wish}
    )
    room_id = str(made["room_id"])
    for user_id in (*others, setting.bot.user_id):
        member = {"membership": "invite", "is_direct": True}
        path = f"rooms/{room_id}/state/m.room.member/{user_id}"
        await by.call("PUT", path, member)
    return room_id


async def open_private(setting: Setting, by: Member, **wish: Any) -> str:
    """Have somebody open a room of two, and return it when the bot is in."""
    room_id = await open_room(setting, by, **wish)
    await setting.until_membership(room_id, "join", by=by)
    return room_id


async def until_left(setting: Setting, room_id: str, by: Member) -> None:
    await setting.until_membership(room_id, "leave", by=by)


async def test_a_room_of_four_is_no_private_room_whatever_its_inviter_says(
    setting: Setting,
) -> None:
    await setting.prepare()
    await setting.start()
    await setting.meet()
    mallory, ben = await setting.newcomer("mallory"), await setting.newcomer("ben")
    more = await new_account(setting.server, "more")
    room_id = await open_room(setting, mallory, ben.user_id, more.user_id)
    await mallory.say(room_id, "hint")
    await until_left(setting, room_id, mallory)
    assert [act.text for act in setting.heard] == ["!hello"]
    direct = await setting.journal.load_direct(setting.room_id, mallory.user_id)
    assert direct is None or direct.target != room_id


async def test_a_member_may_open_a_room_of_two(setting: Setting) -> None:
    await setting.prepare()
    await setting.start()
    await setting.meet()
    ben = await setting.newcomer("ben")
    room_id = await open_private(setting, ben)
    await ben.say(room_id, "hint")
    await ben.until(lambda: "answer to hint" in ben.texts(room_id, by=setting.bot.user_id))
    act = setting.heard[-1]
    assert (act.room_id, act.in_open, act.leads) == (setting.room_id, False, False)


async def test_a_private_room_that_others_come_into_is_left_for_another(setting: Setting) -> None:
    await setting.prepare()
    await setting.start()
    await setting.meet()
    ben, mallory = await setting.newcomer("ben"), await new_account(setting.server, "mallory")
    room_id = await open_private(setting, ben)
    await ben.say(room_id, "hint")
    await ben.until(lambda: "answer to hint" in ben.texts(room_id, by=setting.bot.user_id))
    await ben.call("POST", f"rooms/{room_id}/invite", {"user_id": mallory.user_id})
    await until_left(setting, room_id, ben)
    await ben.say(setting.room_id, "!board")
    await ben.until(lambda: any("answer to !board" in ben.texts(each) for each in ben.invited))
    assert "answer to !board" not in ben.texts(room_id)


async def test_the_clubs_room_never_becomes_a_members_private_room(setting: Setting) -> None:
    """While the bot is out, a member without power invites it "directly" to the club's room; they
    are in another club of the bot's, too.
    """
    await setting.prepare()
    other = await new_room(setting.server, setting.account, bot=setting.bot)
    setting.clubs.append(other)
    await setting.ada.call(
        "PUT",
        f"rooms/{setting.room_id}/state/m.room.power_levels/",
        {"users": {setting.bot.user_id: 50}, "invite": 0},
    )
    await setting.start()
    await setting.meet()
    mallory, bot = await setting.newcomer("mallory"), setting.bot.user_id
    wish = {"user_id": mallory.user_id}
    await setting.ada.call("POST", f"rooms/{other}/invite", wish)
    await mallory.call("POST", f"join/{other}", {})
    kick = {"user_id": bot}
    await setting.ada.call("POST", f"rooms/{setting.room_id}/kick", kick)
    async with asyncio.timeout(PATIENCE):
        while setting.changes[-1][1]:
            await setting.ada.sync(200)
    path = f"rooms/{setting.room_id}/state/m.room.member/{bot}"
    await mallory.call("PUT", path, {"membership": "invite", "is_direct": True})
    await until_left(setting, setting.room_id, mallory)
    await setting.ada.call("POST", f"rooms/{setting.room_id}/invite", kick)
    await setting.until_membership(setting.room_id, "join", by=setting.ada)
    await mallory.say(setting.room_id, "talk among us")
    await setting.ada.say(setting.room_id, "!again")
    await setting.ada.until(lambda: "answer to !again" in setting.answers())
    assert await setting.journal.find_direct(setting.room_id) is None
    talk = [act for act in setting.heard if act.text == "talk among us"]
    assert [(act.in_open, act.is_addressed) for act in talk] == [(True, False)]


async def test_a_takeover_that_was_saved_before_counts_no_more(setting: Setting) -> None:
    await setting.prepare()
    mallory = await new_account(setting.server, "mallory")
    takeover = DirectRoom(setting.room_id, mallory.user_id, setting.room_id)
    await setting.journal.save_direct(takeover)
    await setting.start()
    await setting.meet()
    assert setting.heard[-1].in_open


async def test_a_direct_invitation_by_somebody_of_no_club_is_declined(setting: Setting) -> None:
    """The bot shares a room with them, but it is none of a club."""
    await setting.prepare()
    stranger = await new_account(setting.server, "stranger")
    wish = {"invite": [setting.bot.user_id, stranger.user_id], "preset": "private_chat"}
    other = str((await setting.ada.call("POST", "createRoom", wish))["room_id"])
    await call(setting.server, stranger, "POST", f"join/{other}", {})
    await setting.start()
    await setting.meet()
    await setting.until_membership(other, "join", by=setting.ada)
    wish = {"invite": [setting.bot.user_id], "is_direct": True, "preset": "private_chat"}
    made = await call(setting.server, stranger, "POST", "createRoom", wish)
    path = f"rooms/{made['room_id']}/state/m.room.member/{setting.bot.user_id}"
    async with asyncio.timeout(PATIENCE):
        while (await call(setting.server, stranger, "GET", path))["membership"] != "leave":
            await setting.ada.sync(200)


async def test_a_mark_in_a_room_that_the_bot_did_not_make_is_not_believed(
    setting: Setting,
) -> None:
    """Whoever makes a room can write our sign into it; answers to another do not go there."""
    await setting.prepare()
    ben = await setting.newcomer("ben")
    await setting.start()
    await setting.meet()
    mallory = await setting.newcomer("mallory")
    forged = {"ninebark.direct": {"club": setting.room_id, "user": ben.user_id}}
    room_id = await open_private(setting, mallory, creation_content=forged)
    await mallory.say(room_id, "hint")
    await mallory.until(lambda: "answer to hint" in mallory.texts(room_id))
    await setting.journal.save_direct(DirectRoom(setting.room_id, ben.user_id, None))
    await ben.say(setting.room_id, "!mine")
    await ben.until(lambda: any("answer to !mine" in ben.texts(each) for each in ben.invited))
    await mallory.sync()
    assert "answer to !mine" not in mallory.texts(room_id)


async def test_who_was_put_out_of_the_club_leads_no_more(setting: Setting) -> None:
    """Their power level stands on in the room, as levels do."""
    await setting.prepare()
    await setting.start()
    await setting.meet()
    ben = await setting.newcomer("ben")
    users = {setting.bot.user_id: 50, ben.user_id: 50}  # the maker of the room is above all
    path = f"rooms/{setting.room_id}/state/m.room.power_levels/"
    await setting.ada.call("PUT", path, {"users": users})
    place = await open_private(setting, ben)
    await ben.say(place, "first")
    await ben.until(lambda: "answer to first" in ben.texts(place))
    assert setting.heard[-1].leads
    await setting.ada.call("POST", f"rooms/{setting.room_id}/kick", {"user_id": ben.user_id})
    await ben.say(place, "second")
    await ben.until(lambda: "answer to second" in ben.texts(place))
    assert not setting.heard[-1].leads


@pytest.fixture
async def bench(open_bench: Bench) -> Bench:
    await open_bench.start()
    return open_bench


async def test_nobody_founds_a_club_where_no_inviter_is(bench: Bench) -> None:
    """A member's own room with the bot, in which they have every power, becomes no club."""
    assert bench.house is not None
    ada, bot = bench.ada, bench.bot.user_id
    wish = {"is_direct": True, "invite": [bot], "preset": "private_chat"}
    room_id = str((await ada.call("POST", "createRoom", wish))["room_id"])

    def has_bot() -> bool:
        room = ada.client.rooms.get(room_id)
        user = None if room is None else room.users.get(bot)
        return user is not None and not user.invited

    await ada.until(has_bot)
    await ada.say(room_id, "!club setup")
    await ada.say(room_id, "help")
    await ada.until(lambda: ada.texts(room_id, by=bot))
    await ada.call("POST", f"rooms/{room_id}/invite", {"user_id": bench.ben.user_id})
    await ada.say(room_id, "!club setup")
    await ada.until(lambda: not has_bot())
    clubs = await bench.house.store.load_clubs()
    assert [club.room_id for club in clubs] == [bench.room_id]
    assert MATRIX.unfounded.format("!") not in ada.texts(room_id)
