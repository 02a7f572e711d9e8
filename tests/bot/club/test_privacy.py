"""What is kept of a member: shown, exported, and gone when they say so."""

from __future__ import annotations

import json
from typing import Any

from bot.club.erasing import is_mark_of, new_mark
from bot.club.facts import FORMER_MEMBER
from bot.club.ports import Store
from bot.club.replies import (
    AnswerRight,
    ClockStarted,
    Erased,
    ErasureAsked,
    ExportMade,
    MemberSolved,
    PersonalPage,
    PrivacyShown,
    ResultsPosted,
    TableShown,
)
from bot.club.retelling import load_reply_of
from bot.wording import phrase
from tests.bot.club.stories import (
    CROOK_AFTER_SINGLES,
    CROOK_SOLUTION,
    EASY_SOLUTION,
    MONDAY,
    Story,
    crook_puzzle,
    easy_puzzle,
    marked_digits,
    open_story,
)

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


def exported(made: ExportMade) -> dict[str, Any]:
    """Return what stands in the file that a member gets."""
    file = phrase(made).file
    assert file is not None
    return dict(json.loads(file.raw))


async def test_an_export_holds_results_and_what_was_told_in_the_words_it_was_told_in(
    store: Store,
) -> None:
    story = await open_story(crook_puzzle(), store=store)
    await story.say("start")
    where = await story.later(minutes=3).say("hint board sure")
    await story.say("hand-in 1", event_id="short")
    key = marked_digits(CROOK_SOLUTION, 2, 5)
    assert isinstance(await story.later(minutes=3).say(f"hand-in {key}"), AnswerRight)
    await story.say("club result ada unrank Copied it", by="rowan", leads=True)
    kept = exported(await story.hears(ExportMade, "privacy export"))
    assert kept["entries"][0]["result"] == {"clock": 360, "added": 15}
    words = "\n".join(text for each in kept["told"] for text in each["words"])
    assert phrase(where).text in words
    assert "The reason: Copied it" in words
    assert kept["leads"] is False


async def test_an_export_tells_no_more_of_an_open_puzzle_than_was_told() -> None:
    story = await open_story(crook_puzzle())
    await story.say("start")
    await story.say(f"board {CROOK_AFTER_SINGLES}")
    await story.later(minutes=3).say("hint column 3")
    made = await story.hears(ExportMade, "privacy export")
    # The reply that is kept knows the whole step.
    assert "naked-pair" in "".join(reply for _, reply in made.told)
    file = phrase(made).file
    assert file is not None
    assert b"naked" not in file.raw.lower()


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
    names = [
        reply.name
        for reply in [await load_reply_of(story.store, n) for n in await story.store.load_notices()]
        if isinstance(reply, MemberSolved)
    ]
    assert names == [FORMER_MEMBER, "Ben"]


async def test_old_posts_keep_a_former_member(store: Store) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store)
    for who in ("ada", "ben"):
        await story.say("start", by=who)
        await story.later(minutes=9).say(f"hand-in {KEY}", by=who)
    await story.later(days=1).tick()
    assert [row.name for row in story.post_with(ResultsPosted).table.rows] == ["Ada", "Ben"]
    await story.say("privacy erase sure")
    story.posts.clear()
    await story.tick()
    assert [audience for _, audience, _ in story.posts] == ["mend", "mend"]
    assert "Ada" not in repr(story.posts)
    assert "ada" not in repr(story.posts)
    mended = story.post_with(ResultsPosted)
    assert [(row.rank, row.name) for row in mended.table.rows] == [(1, FORMER_MEMBER), (1, "Ben")]
    assert "1. A former member: " in phrase(mended).text
    assert phrase(story.post_with(MemberSolved)).text.startswith("A former member solved")


async def test_a_table_that_somebody_looked_at_keeps_nobodys_name() -> None:
    story = await solved_story()
    await story.say("leaderboard", by="ben", event_id="table")
    await story.say("club report", by="ben", leads=True, event_id="report")
    for event_id in ("table", "report"):
        assert await story.store.load_reply(event_id) is None


async def test_a_nameless_member_is_known_by_their_id() -> None:
    story = await open_story(easy_puzzle())
    await story.say("start", name=" ")
    (member,) = await story.store.find_members(story.club.id, "ada")
    assert member.name == "ada"


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


# --- erasing is no clean sheet ---


async def test_erasing_on_an_open_day_is_no_clean_sheet(store: Store) -> None:
    story = await open_story(easy_puzzle(), store=store)
    for who in ("ada", "ben"):
        await story.say("start", by=who)
    for line in ("hint board sure", "hint more", "hint more", "hint more", "hand-in " + "1" * 18):
        await story.say(line)
    asked = await story.hears(ErasureAsked, "privacy erase")
    assert asked.open_dates == (MONDAY,)
    assert "it will not rank" in phrase(asked).text
    assert (await story.hears(Erased, "privacy erase sure")).open_dates == (MONDAY,)
    await story.say("start")
    right = await story.later(seconds=90).hears(AnswerRight, f"hand-in {KEY}")
    assert (right.rank, right.is_unranked) == (None, True)
    assert "does not rank" in phrase(right).text
    await story.later(minutes=9).say(f"hand-in {KEY}", by="ben")
    table = (await story.hears(TableShown, "leaderboard")).table
    assert [(row.rank, row.name) for row in table.rows] == [(1, "Ben")]


async def test_erasing_twice_changes_nothing_about_that(store: Store) -> None:
    story = await open_story(easy_puzzle(), store=store)
    for _ in range(2):
        await story.say("start")
        await story.say("privacy erase sure")
    assert (await story.hears(ErasureAsked, "privacy erase")).open_dates == (MONDAY,)
    right = await story.later(minutes=5).hears(AnswerRight, f"hand-in {KEY}")
    assert right.is_unranked


async def test_the_mark_is_exported_and_gone_as_the_day_closes(store: Store) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store)
    await story.say("start")
    await story.say("privacy erase sure")
    made = await story.hears(ExportMade, "privacy export")
    assert json.loads(made.text) == {"erased_while_open": ["2026-11-23"]}
    await story.later(days=1).tick()
    assert json.loads((await story.hears(ExportMade, "privacy export")).text) == {}
    scene = await store.load_scene(story.club.id, "ada", story.now, "")
    assert scene.came_back == frozenset()
    # The next puzzle is as anybody's.
    await story.say("start")
    assert (await story.later(minutes=9).say(f"hand-in {CROOK_SOLUTION}")).rank == 1  # type: ignore[attr-defined]


async def test_who_had_done_nothing_on_the_open_day_ranks_after_an_erasure(store: Store) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store)
    await story.say("start")
    await story.later(days=1).tick()
    asked = await story.hears(ErasureAsked, "privacy erase")
    assert (asked.entries, asked.open_dates) == (1, ())
    assert "mark" not in phrase(asked).text
    await story.say("privacy erase sure")
    right = await story.later(minutes=9).hears(AnswerRight, f"hand-in {CROOK_SOLUTION}")
    assert (right.rank, right.is_unranked) == (1, False)
    scene = await store.load_scene(story.club.id, "ben", story.now, "")
    assert scene.came_back == frozenset()


def test_marks_of_one_person_are_unlike_and_nobody_elses() -> None:
    one, other = new_mark("ada"), new_mark("ada")
    assert one != other
    assert is_mark_of(one, "ada")
    assert is_mark_of(other, "ada")
    assert not is_mark_of(one, "ben")
