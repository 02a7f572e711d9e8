"""A chat that a member opens with the bot: greeted, asked which club, served; and what is said
where none can be opened.
"""

from __future__ import annotations

from functools import partial
from typing import Any

import pytest

from bot.platforms.matrix.direct import ENCRYPTION
from bot.platforms.matrix.reading import KEYCAPS
from bot.wording.matrix import MATRIX
from tests.doubles.matrix.club_house import call, new_account, new_room
from tests.doubles.matrix.faulty_line import LIMITED, always, times
from tests.doubles.matrix.member import Member
from tests.matrix.setting import Setting
from tests.matrix.test_encryption import SEALED
from tests.matrix.test_private_rooms import open_private, open_room, until_left

BLOCKED = (403, {"errcode": "M_INVITE_BLOCKED", "error": "Not allowed to invite this user"})
"""A homeserver's refusal to invite somebody who wants no invitations (MSC4155)."""


async def said_in(setting: Setting, room_id: str, by: Member, words: str) -> str:
    """Wait for something of the bot's in a room that holds the words, and return it."""

    def found() -> str:
        heard = by.texts(room_id, by=setting.bot.user_id)
        return next((text for text in reversed(heard) if words in text), "")

    return str(await by.until(found))


async def second_club(setting: Setting, member: Member, name: str) -> str:
    """Have the bot serve another club, and the member belong to it."""
    other = await new_room(setting.server, setting.account, bot=setting.bot, name=name)
    setting.clubs.append(other)
    await setting.ada.call("POST", f"rooms/{other}/invite", {"user_id": member.user_id})
    await member.call("POST", f"join/{other}", {})
    await setting.pass_syncs(1)
    return other


async def test_a_chat_that_a_member_opens_greets_and_names_its_club(setting: Setting) -> None:
    await setting.prepare()
    await setting.start()
    ben = await setting.newcomer("ben")
    chat = await open_private(setting, ben)
    assert await said_in(setting, chat, ben, "Hazel Lane") == MATRIX.greeting.format("Hazel Lane")
    await ben.say(chat, "start")
    await said_in(setting, chat, ben, "answer to start")
    await ben.say(setting.room_id, "!hint")
    await said_in(setting, chat, ben, "answer to !hint")
    assert setting.line.counted["/createRoom"] == 0
    assert ben.texts(chat).count(MATRIX.greeting.format("Hazel Lane")) == 1


async def test_who_is_in_several_clubs_is_asked_once_and_the_answer_outlasts_a_restart(
    setting: Setting,
) -> None:
    await setting.prepare()
    await setting.start()
    ben = await setting.newcomer("ben")
    other = await second_club(setting, ben, "Maple Street")
    chat = await open_private(setting, ben)
    asked = await said_in(setting, chat, ben, "Maple Street")
    assert asked.startswith(MATRIX.which_club)
    await ben.say(chat, "hint")
    await said_in(setting, chat, ben, MATRIX.which_club)
    assert not setting.heard
    number = next(line for line in asked.split("\n") if "Maple Street" in line)[-1]
    await ben.say(chat, number)
    await said_in(setting, chat, ben, MATRIX.chosen.format("Maple Street"))
    await setting.stop()
    await setting.start()
    await ben.say(chat, "hint")
    await said_in(setting, chat, ben, "answer to hint")
    assert [act.room_id for act in setting.heard] == [other]
    # Whoever asks something in the other club's room means that club, from then on here, too.
    await ben.say(setting.room_id, "!board")
    await said_in(setting, chat, ben, "answer to !board")
    await ben.say(chat, "more")
    await said_in(setting, chat, ben, "answer to more")
    assert setting.heard[-1].room_id == setting.room_id
    await ben.say(chat, "clubs")
    await ben.until(lambda: sum(MATRIX.which_club in text for text in ben.texts(chat)) == 3)
    assert setting.line.counted["/createRoom"] == 0


@pytest.mark.long
async def test_the_question_which_club_is_answered_by_a_reaction_too(setting: Setting) -> None:
    await setting.prepare()
    await setting.start()
    ben, mallory = await setting.newcomer("ben"), await setting.newcomer("mallory")
    other = await second_club(setting, ben, "Maple Street")
    chat = await open_private(setting, ben)
    asked = await said_in(setting, chat, ben, "Maple Street")
    (mark,) = [line.split(" ")[0] for line in asked.split("\n") if "Maple Street" in line]
    assert mark in KEYCAPS
    event_id = next(
        each["event_id"]
        for each in ben.sources(chat)
        if each["content"].get("body", "").startswith(MATRIX.which_club)
    )
    await ben.react(chat, event_id, mark)
    await said_in(setting, chat, ben, MATRIX.chosen.format("Maple Street"))
    await ben.say(chat, "hint")
    await said_in(setting, chat, ben, "answer to hint")
    assert setting.heard[-1].room_id == other
    assert mallory.user_id not in {act.user_id for act in setting.heard}


async def test_a_leader_who_opens_a_chat_before_there_is_a_club_is_told_how_to_begin(
    setting: Setting,
) -> None:
    """And the chat is the one where they are answered once they have a club."""
    await setting.prepare()
    setting.clubs.clear()
    await setting.start()
    chat = await open_private(setting, setting.ada)
    assert "club setup" in await said_in(setting, chat, setting.ada, MATRIX.no_club.format("!"))
    setting.clubs.append(setting.room_id)
    await setting.ada.say(setting.room_id, "!hint")
    await said_in(setting, chat, setting.ada, "answer to !hint")
    assert setting.line.counted["/createRoom"] == 0


@pytest.mark.long
async def test_who_leads_a_club_from_outside_its_room_is_served(setting: Setting) -> None:
    await setting.prepare()
    kim = Member(setting.server, await new_account(setting.server, "kim"))
    setting.others.append(kim)
    await kim.sync()
    setting.leaders[kim.user_id] = [setting.room_id]
    await setting.start()
    chat = await open_private(setting, kim)
    await said_in(setting, chat, kim, MATRIX.greeting.format("Hazel Lane"))
    await kim.say(chat, "club report")
    await said_in(setting, chat, kim, "answer to club report")


async def test_an_invitation_is_declined_with_the_reason(setting: Setting) -> None:
    await setting.prepare()
    await setting.start()
    stranger = Member(setting.server, await new_account(setting.server, "stranger"))
    setting.others.append(stranger)
    room_id = await open_room(setting, stranger)
    await until_left(setting, room_id, stranger)
    path = f"rooms/{room_id}/state"
    state: list[dict[str, Any]] = await stranger.call("GET", path)
    (gone,) = [each for each in state if each.get("state_key") == setting.bot.user_id]
    assert gone["content"]["reason"] == MATRIX.declined


async def test_a_blocked_invitation_is_said_in_the_room_once_and_leaves_no_room_behind(
    setting: Setting,
) -> None:
    await setting.prepare()
    await setting.start()
    ben, bot = await setting.newcomer("ben"), setting.bot.user_id
    setting.line.fault = always(BLOCKED, path="/state/m.room.member/")
    for line in ("!hint", "!board"):
        await ben.say(setting.room_id, line)
    said = await said_in(setting, setting.room_id, ben, MATRIX.blocked.format(ben.user_id, bot))
    await ben.say(setting.room_id, "!start")
    await setting.pass_syncs(2)
    await ben.sync()
    assert ben.texts(setting.room_id, by=bot).count(said) == 1
    assert setting.line.counted["/createRoom"] == 1
    joined = await call(setting.server, setting.bot, "GET", "joined_rooms")
    assert joined["joined_rooms"] == [setting.room_id]
    chat = await open_private(setting, ben)
    await ben.say(setting.room_id, "!again")
    await said_in(setting, chat, ben, "answer to !again")


async def test_an_encrypted_chat_that_the_bot_cannot_read_is_explained_there(
    setting: Setting,
) -> None:
    """Many apps encrypt every chat that a member opens."""
    await setting.prepare()
    await setting.start()
    ben = await setting.newcomer("ben")
    chat = await open_private(setting, ben, initial_state=[ENCRYPTION])
    assert await said_in(setting, chat, ben, "encrypt") == MATRIX.unreadable_chat.format("!")
    await ben.call("PUT", f"rooms/{chat}/send/m.room.encrypted/sealed-1", SEALED)
    await setting.pass_syncs(2)
    await ben.sync()
    assert setting.line.counted["/createRoom"] == 0
    # What they ask in the club's room is answered, in a room without encryption.
    await ben.say(setting.room_id, "!hint")
    await ben.until(lambda: any("answer to !hint" in ben.texts(each) for each in ben.invited))
    assert ben.texts(chat, by=setting.bot.user_id) == [MATRIX.unreadable_chat.format("!")]


async def test_who_waits_for_a_room_is_told_how_long_and_their_clock_waits_too(
    setting: Setting,
) -> None:
    """By default a homeserver lets a bot open about one room a minute."""
    await setting.prepare()
    await setting.start()
    ben, kim, lou = [await setting.newcomer(name) for name in ("ben", "kim", "lou")]
    setting.line.fault = times(6, LIMITED, path="/createRoom")
    for member in (ben, kim, lou):
        await member.say(setting.room_id, "!start")

    def has_answer(member: Member) -> bool:
        return any("answer to !start" in member.texts(each) for each in member.invited)

    for member in (ben, kim, lou):
        await member.until(partial(has_answer, member))
    assert setting.line.counted["/createRoom"] == 9
    for act in setting.heard:
        assert act.reached_at is not None
        assert act.reached_at >= act.received_at
    bot = setting.bot.user_id
    await said_in(setting, setting.room_id, ben, MATRIX.queue_over)
    said = ben.texts(setting.room_id, by=bot)
    notices = [text for text in said if text.startswith(MATRIX.queued.split("{}")[0])]
    assert 1 <= len(notices) <= 2
    assert bot in notices[0]
    # Who has a room has no more to wait for, and their acts count as ever.
    setting.heard.clear()
    await ben.say(setting.room_id, "!start")
    await ben.until(lambda: setting.heard)
    assert setting.heard[0].reached_at is None


@pytest.mark.long
async def test_who_opens_a_chat_while_they_wait_is_served_at_once(setting: Setting) -> None:
    await setting.prepare()
    await setting.start()
    ben, kim = await setting.newcomer("ben"), await setting.newcomer("kim")
    setting.line.fault = always(LIMITED, path="/createRoom")
    for member in (ben, kim):
        await member.say(setting.room_id, "!start")
    await said_in(setting, setting.room_id, ben, setting.bot.user_id)
    for member in (kim, ben):
        chat = await open_private(setting, member)
        await said_in(setting, chat, member, "answer to !start")
    assert {act.user_id for act in setting.heard} == {ben.user_id, kim.user_id}
