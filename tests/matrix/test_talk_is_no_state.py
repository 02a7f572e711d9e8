"""What comes out of a decryption is talk, whatever it calls itself: it makes nobody leader, renames
nothing, and cuts nobody off. State without a key of the room's is no state either.
"""

from __future__ import annotations

from typing import Any

import pytest

from bot.platforms.message import Message
from tests.doubles.matrix.member import Member
from tests.matrix.setting import Setting


async def seal(member: Member, room_id: str, kind: str, content: dict[str, Any]) -> None:
    """Send an event of any kind in an encrypted envelope, with a state key inside."""
    assert member.client.olm is not None
    inside = {"type": kind, "state_key": content.pop("state_key", ""), "content": content}
    sealed = member.client.olm.group_encrypt(room_id, inside)
    path = f"rooms/{room_id}/send/m.room.encrypted/sealed-{kind}"
    await member.call("PUT", path, sealed)


def levels_for(setting: Setting, member: Member) -> dict[str, Any]:
    return {"users": {member.user_id: 100, setting.bot.user_id: 0}, "users_default": 100}


async def heard_of(setting: Setting, member: Member, text: str) -> Any:
    """Return how the bot has heard a line of a member's in the club's room."""
    await member.say(setting.room_id, f"!{text}")
    await member.until(lambda: any(act.text == f"!{text}" for act in setting.heard))
    return next(act for act in setting.heard if act.text == f"!{text}")


@pytest.fixture
async def sealed_club(setting: Setting) -> Setting:
    await setting.prepare(is_encrypted=True)
    await setting.start()
    await setting.meet()
    return setting


async def test_encrypted_power_levels_make_nobody_a_leader(sealed_club: Setting) -> None:
    setting = sealed_club
    mallory = await setting.newcomer("mallory")
    assert not (await heard_of(setting, mallory, "first")).leads
    await seal(mallory, setting.room_id, "m.room.power_levels", levels_for(setting, mallory))
    creation = {"room_version": "12", "additional_creators": [mallory.user_id]}
    await seal(mallory, setting.room_id, "m.room.create", creation)
    assert not (await heard_of(setting, mallory, "second")).leads
    assert (await heard_of(setting, setting.ada, "third")).leads


async def test_an_encrypted_membership_cuts_nobody_off(sealed_club: Setting) -> None:
    setting = sealed_club
    mallory = await setting.newcomer("mallory")
    ada = setting.ada
    await heard_of(setting, mallory, "first")
    assert setting.room is not None
    await setting.room.post(setting.room_id, Message("yesterday"), key="day:0")
    gone = {"membership": "leave", "state_key": ada.user_id}
    await seal(mallory, setting.room_id, "m.room.member", gone)
    await heard_of(setting, mallory, "second")
    await setting.room.post(setting.room_id, Message("the day"), key="day:1")
    await ada.until(lambda: "the day" in ada.texts(setting.room_id, by=setting.bot.user_id))
    assert (await heard_of(setting, ada, "third")).name.startswith("Ada")


async def test_an_encrypted_name_renames_no_room_and_no_member(sealed_club: Setting) -> None:
    setting = sealed_club
    mallory = await setting.newcomer("mallory")
    await heard_of(setting, mallory, "first")
    await seal(mallory, setting.room_id, "m.room.name", {"name": "Mallory's club"})
    renamed = {"membership": "join", "displayname": "Mallory", "state_key": setting.ada.user_id}
    await seal(mallory, setting.room_id, "m.room.member", renamed)
    assert (await heard_of(setting, setting.ada, "second")).name == "Ada"
    # A private room bears the name of the club's room.
    titles = await _titles_of_new_private_room(setting)
    assert all("Mallory" not in title for title in titles)


async def _titles_of_new_private_room(setting: Setting) -> list[str]:
    ben = await setting.newcomer("ben")
    await ben.say(setting.room_id, "!hello")
    await ben.until(lambda: any(text == "answer to !hello" for text in _told(setting, ben)))
    return [ben.client.rooms[room_id].name or "" for room_id in ben.invited]


def _told(setting: Setting, member: Member) -> list[str]:
    by = setting.bot.user_id
    return [text for room_id in member.invited for text in member.texts(room_id, by=by)]


async def test_encrypted_reactions_and_messages_are_heard_and_other_kinds_are_not(
    sealed_club: Setting,
) -> None:
    setting = sealed_club
    ada, place = setting.ada, setting.private_room()
    await ada.say(place, "first")
    said = {"msgtype": "m.text", "body": "hidden", "state_key": None}
    await seal(ada, place, "m.room.encrypted", dict(said))
    await seal(ada, place, "org.example.other", dict(said))
    await ada.say(place, "last")
    await ada.until(lambda: "answer to last" in setting.answers())
    assert [act.text for act in setting.heard] == ["!hello", "first", "last"]


@pytest.mark.parametrize("key", ["other", None], ids=["under another key", "without a key"])
async def test_power_levels_that_are_not_the_rooms_make_nobody_a_leader(
    setting: Setting, key: str | None
) -> None:
    """Who may set some state of a room may set such a thing; it means nothing."""
    await setting.prepare()
    await setting.start()
    await setting.meet()
    mallory = await setting.newcomer("mallory")

    def alter(path: str, answer: Any) -> Any:
        if path.endswith("/sync"):
            for room in answer.get("rooms", {}).get("join", {}).values():
                for event in room["timeline"]["events"]:
                    if event["content"].get("body") == "levels":
                        event["type"] = "m.room.power_levels"
                        event |= {} if key is None else {"state_key": key}
                        event["content"] = levels_for(setting, mallory)
        return answer

    setting.line.alter = alter
    await mallory.say(setting.room_id, "levels")
    assert not (await heard_of(setting, mallory, "second")).leads
