"""Reactions in Matrix to what offers nothing, and how notices of an encrypted club go out."""

from __future__ import annotations

from bot.platforms.matrix.layout import KEYCAPS
from bot.platforms.message import Message
from tests.matrix.setting import Setting


async def test_a_reaction_to_what_offered_nothing_does_nothing_and_stops_nothing(
    setting: Setting,
) -> None:
    await setting.prepare()
    await setting.start()
    await setting.meet()
    ada, private = setting.ada, setting.private_room()
    (answered,) = [
        each["event_id"] for each in ada.sources(private) if each["sender"] == setting.bot.user_id
        and each["type"] == "m.room.message"
    ]  # fmt: skip
    said = await ada.say(setting.room_id, "nice one today")
    await ada.react(setting.room_id, said, KEYCAPS[0])
    await ada.react(private, answered, KEYCAPS[0])
    # One person's acts are taken in their order, so whatever a reaction did would come first.
    await ada.say(private, "hint")
    await ada.until(lambda: "answer to hint" in setting.answers())
    # What is said in the room is heard, and this setting answers all that it hears.
    assert [each.text for each in setting.heard] == ["!hello", "nice one today", "hint"]


async def test_a_notice_in_an_encrypted_private_room_goes_out_encrypted(setting: Setting) -> None:
    await setting.prepare(is_encrypted=True)
    room = await setting.start()
    await setting.meet()
    ada = setting.ada
    await room.tell(setting.room_id, ada.user_id, Message("your result stands"), key="ruling:1")
    private = setting.private_room()
    await ada.until(lambda: "your result stands" in ada.texts(private, by=setting.bot.user_id))
    for room_id in (private, setting.room_id):
        found = await ada.call("GET", f"rooms/{room_id}/messages?dir=b&limit=100")
        kinds = {
            each["type"] for each in found["chunk"]
            if each["sender"] == setting.bot.user_id and "state_key" not in each
        }  # fmt: skip
        assert kinds <= {"m.room.encrypted", "m.reaction"}
        assert room_id != private or "m.room.encrypted" in kinds
