"""What is kept of a member: shown, exported, and gone when they say so."""

from __future__ import annotations

import json

from bot.club.replies import (
    ClockStarted,
    Erased,
    ErasureAsked,
    ExportMade,
    PersonalPage,
    PrivacyShown,
    TableShown,
)
from tests.bot.club.stories import EASY_SOLUTION, Story, easy_puzzle, open_story

KEY = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]


async def solved_story() -> Story:
    story = await open_story(easy_puzzle())
    for who in ("ada", "ben"):
        await story.say("start", by=who)
        await story.later(minutes=9).say(f"hand-in {KEY}", by=who)
    return story


async def test_an_export_holds_everything_and_leaves_no_copy_behind() -> None:
    story = await solved_story()
    made = await story.hears(ExportMade, "privacy export", event_id="export")
    kept = json.loads(made.text)
    assert (kept["name"], kept["user_id"]) == ("Ada", "ada")
    assert [entry["date"] for entry in kept["entries"]] == ["2026-11-23"]
    assert "Ben" not in made.text
    assert await story.store.load_reply("export") is None


async def test_erasing_asks_first_and_then_takes_rows_replies_and_waiting_lines() -> None:
    story = await solved_story()
    assert (await story.hears(PrivacyShown, "privacy")).entries == 1
    assert (await story.hears(ErasureAsked, "privacy erase")).entries == 1
    await story.hears(PersonalPage, "me", event_id="page")
    assert (await story.hears(Erased, "privacy erase sure", event_id="gone")).entries == 1
    assert await story.store.find_members(story.club.id, "ada") == ()
    assert await story.store.load_reply("page") is None
    table = (await story.hears(TableShown, "leaderboard", by="ben")).table
    assert [row.name for row in table.rows] == ["Ben"]
    assert [n.user_id for n in await story.store.load_notices()] == ["ben"]


async def test_somebody_erased_can_come_back_as_new() -> None:
    story = await solved_story()
    await story.say("privacy erase sure", event_id="gone")
    again = await story.hears(ClockStarted, "start")
    assert not again.was_running
    # Delivered again, the erasure does not erase them a second time.
    assert await story.hears(Erased, "privacy erase sure", event_id="gone")
    assert (await story.entry()).started_at is not None


async def test_looking_keeps_no_row_of_a_stranger() -> None:
    story = await solved_story()
    for line in ("today", "board", "leaderboard", "me", "help", "privacy"):
        await story.say(line, by="cat")
    assert await story.store.find_members(story.club.id, "cat") == ()


async def test_a_new_name_is_taken_with_the_next_act_that_is_kept() -> None:
    story = await solved_story()
    await story.say("place r1c3 4", name="Ada Bell")
    (member,) = await story.store.find_members(story.club.id, "ada")
    assert member.name == "Ada Bell"
