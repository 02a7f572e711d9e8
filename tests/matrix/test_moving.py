"""A club moves to another room of its homeserver, also where its own was closed in favour of it."""

from __future__ import annotations

from typing import Any

import pytest

from bot.club.state import Club
from tests.bot.club.stories import EASY_SOLUTION
from tests.doubles.matrix.club_house import new_room
from tests.doubles.matrix.member import Member, text_of
from tests.matrix.conftest import Bench


async def other_room(bench: Bench, **how: Any) -> str:
    rowan, ada, ben = (each.account for each in bench.members)
    room_id = await new_room(
        bench.server, rowan, members=(ada, ben), bot=bench.bot, name="The corner", **how
    )
    for member in bench.members:
        await member.sync()
    return room_id


def texts_in(bench: Bench, room_id: str, member: Member) -> str:
    return "\n".join(map(text_of, bench.from_bot(member, room_id)))


@pytest.mark.long
async def test_a_club_moves_with_its_clocks_and_private_chats(open_bench: Bench) -> None:
    bench = open_bench
    await bench.start()
    await bench.tick()
    await bench.rowan.until(lambda: bench.daily_posts(bench.rowan))
    await bench.ask(bench.ada, "start")
    old, chat = bench.room_id, bench.private_room(bench.ada)
    corner = await other_room(bench)
    for named, why in (("#nowhere:localhost", "can't find"), (old, "already meets in")):
        (refused,) = await bench.ask(bench.rowan, f"club move {named}")
        assert why in text_of(refused)
    (said,) = await bench.ask(bench.rowan, f"club move {corner}")
    assert "now meets in The corner" in text_of(said)
    await bench.tick()
    await bench.ada.until(lambda: "has moved to The corner" in texts_in(bench, old, bench.ada))
    await bench.ada.until(lambda: "meets here from now on" in texts_in(bench, corner, bench.ada))
    bench.room_id = corner
    await bench.ada.until(lambda: bench.daily_posts(bench.ada))
    await bench.restart()
    assert bench.private_room(bench.ada) == chat
    (right,) = await bench.ask(bench.ada, f"hand-in {EASY_SOLUTION}")
    assert "Right" in text_of(right)
    # What is said in the old room is still an answer of the club's, and is taken away there.
    await bench.ben.say(old, f"!hand-in {EASY_SOLUTION}")
    await bench.ben.until(lambda: bench.private_room(bench.ben) is not None)
    chat_of_ben = bench.private_room(bench.ben)
    await bench.ben.until(lambda: "Right" in texts_in(bench, str(chat_of_ben), bench.ben))


async def close_room(member: Member, left: str, room_id: str) -> None:
    """Close a room in favour of another, as an app does that upgrades one."""
    path = f"rooms/{left}/state/m.room.tombstone/"
    await member.call("PUT", path, {"body": "moved", "replacement_room": room_id})


async def test_a_club_follows_where_its_room_goes_on_and_nobody_who_only_says_so(
    open_bench: Bench,
) -> None:
    bench = open_bench
    await bench.start()
    await bench.tick()
    await bench.rowan.until(lambda: bench.daily_posts(bench.rowan))
    old = bench.room_id
    await a_post_that_is_taken_away_goes_up_anew(bench)
    # A room that says nothing of the old one, though the bot is there and a leader names it.
    stranger = await other_room(bench)
    await close_room(bench.rowan, old, stranger)
    # A room that does, of a member whom the old one lets close it.
    levels = await bench.rowan.call("GET", f"rooms/{old}/state/m.room.power_levels/")
    levels["events"]["m.room.tombstone"] = 0
    await bench.rowan.call("PUT", f"rooms/{old}/state/m.room.power_levels/", levels)
    own = await room_after(bench, bench.ada, old)
    await close_room(bench.ada, old, own)
    await bench.ada.call("POST", f"rooms/{own}/invite", {"user_id": bench.bot.user_id})
    await bench.ada.until(lambda: membership_of_bot(bench, own) in ("join", "leave"))
    assert membership_of_bot(bench, own) == "leave", "an invitation that is not followed"
    await bench.restart()
    await bench.tick()
    assert (await the_club(bench)).room_id == old
    # The homeserver makes the new room, and closes the old one; the bot is let in afterwards.
    made = await bench.rowan.call("POST", f"rooms/{old}/upgrade", {"new_version": "12"})
    new = str(made["replacement_room"])
    await bench.rowan.sync()
    await bench.rowan.call("POST", f"rooms/{new}/invite", {"user_id": bench.bot.user_id})
    bench.room_id = new
    await bench.rowan.until(lambda: bench.daily_posts(bench.rowan))
    assert "meets here from now on" in texts_in(bench, new, bench.rowan)
    await bench.restart()
    await bench.tick()
    assert len(bench.daily_posts(bench.rowan)) == 1
    assert (await the_club(bench)).room_id == new


async def a_post_that_is_taken_away_goes_up_anew(bench: Bench) -> None:
    rowan = bench.rowan
    (post,) = bench.daily_posts(rowan)
    (said,) = await bench.ask(rowan, "club post-now")
    assert "already up" in text_of(said)
    await rowan.call("PUT", f"rooms/{bench.room_id}/redact/{post['event_id']}/once", {})
    (said,) = await bench.ask(rowan, "club post-now")
    assert "goes up now" in text_of(said)
    await rowan.until(lambda: [each for each in bench.daily_posts(rowan) if each != post])


async def room_after(bench: Bench, member: Member, left: str) -> str:
    """Have a member make a room that says it goes on from another."""
    wish = {"creation_content": {"predecessor": {"room_id": left}}}
    return str((await member.call("POST", "createRoom", wish))["room_id"])


def membership_of_bot(bench: Bench, room_id: str) -> str:
    """Return what the bot is in a room, as Ada's client knows it."""
    kinds = [
        each["content"]["membership"]
        for each in bench.ada.sources(room_id)
        if each["type"] == "m.room.member" and each["state_key"] == bench.bot.user_id
    ]
    return str(kinds[-1]) if kinds else ""


async def the_club(bench: Bench) -> Club:
    assert bench.house is not None
    (club,) = await bench.house.store.load_clubs()
    return club
