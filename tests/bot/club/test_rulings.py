"""What a leader's ruling does, and is said to do: to a late result, to the places announced."""

from __future__ import annotations

import pytest

from bot import wording
from bot.club.refusal import RefusedError
from bot.club.replies import (
    AnswerRight,
    Erased,
    InputRefused,
    MemberSolved,
    ResultRuled,
    ResultsPosted,
    RulingTold,
    TableShown,
)
from bot.club.rulings import rule
from bot.club.state import Board, MemberSolve
from tests.bot.club.stories import (
    EASY,
    EASY_SOLUTION,
    NOON,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
)

FINISHED = MemberSolve(1, 1, 1, Board(EASY), finished_at=NOON, verdict="flagged")
KEY = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]


def lines_of(story: Story) -> list[tuple[str, int | None]]:
    """Return the lines that the room shows of members, as (name, place), each as last mended."""
    shown: dict[str, MemberSolved] = {}
    for key, _, reply in story.posts:
        if isinstance(reply, MemberSolved):
            shown[key] = reply
    return [(line.name, line.rank) for line in shown.values()]


async def raced_story() -> Story:
    """Ada finished first, in twenty minutes, then Ben in thirty; Cat began last and took ten."""
    story = await open_story(easy_puzzle(), crook_puzzle())
    for who in ("ada", "ben"):
        await story.say("start", by=who)
    await story.later(minutes=20).say(f"hand-in {KEY}")
    await story.later(minutes=5).say("start", by="cat")
    await story.later(minutes=5).say(f"hand-in {KEY}", by="ben")
    await story.later(minutes=5).say(f"hand-in {KEY}", by="cat")
    await story.tick()
    assert lines_of(story) == [("Ada", 1), ("Ben", 2), ("Cat", 1)]
    return story


# --- a late result ---


async def test_restoring_a_late_result_says_that_it_is_kept_and_does_not_rank() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    await story.say("start")
    await story.later(days=1, minutes=5).tick()
    late = await story.hears(AnswerRight, f"hand-in 2026-11-23 {KEY}")
    assert late.is_late
    await story.say("club result Ada unrank 2026-11-23 Looked it up", leads=True)
    line = "club result Ada restore 2026-11-23 A mistake of mine"
    ruled = await story.hears(ResultRuled, line, leads=True)
    await story.tick()
    for reply in (ruled, story.post_with(RulingTold)):
        said = wording.phrase(reply).text
        assert "late" in said
        assert "not rank" in said
        assert "counts in the ranking" not in said
    table = (await story.hears(TableShown, "leaderboard")).table
    assert [(row.name, row.rank, row.late) for row in table.rows] == [("Ada", 0, 1)]


async def test_a_result_in_time_that_is_restored_is_said_to_rank() -> None:
    story = await raced_story()
    await story.say("club result Ada unrank Looked it up", leads=True)
    ruled = await story.hears(ResultRuled, "club result Ada restore My mistake", leads=True)
    assert "counts in the ranking" in wording.phrase(ruled).text


async def test_a_late_answer_to_an_old_puzzle_makes_no_line_in_the_room() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    await story.later(days=1, minutes=5).tick()
    before = len(story.posts)
    late = await story.hears(AnswerRight, f"hand-in 2026-11-23 {KEY}")
    assert late.is_late
    await story.tick()
    assert story.posts[before:] == []


async def test_a_member_whose_late_answer_made_no_line_is_erased_without_one() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    await story.later(days=1, minutes=5).tick()
    await story.say(f"hand-in 2026-11-23 {KEY}")
    await story.tick()
    await story.hears(Erased, "privacy erase sure")
    await story.tick()
    assert [reply for _, _, reply in story.posts if isinstance(reply, MemberSolved)] == []


# --- the places announced ---


async def test_unranking_on_an_open_day_mends_the_places_announced() -> None:
    story = await raced_story()
    before = len(story.posts)
    await story.say("club result Ada unrank Looked it up", leads=True)
    await story.tick()
    # Ben was the first to finish now; Cat's place was and stays the first.
    assert lines_of(story) == [("Ada", None), ("Ben", 1), ("Cat", 1)]
    mended = [(key.split(":")[0], audience) for key, audience, _ in story.posts[before:]]
    assert sorted(mended) == [("ruling", "member"), ("solved", "mend"), ("solved", "mend")]


async def test_restoring_on_an_open_day_gives_the_places_back() -> None:
    story = await raced_story()
    await story.say("club result Ada unrank Looked it up", leads=True)
    await story.say("club result Ada restore A mistake of mine", leads=True)
    await story.tick()
    assert lines_of(story) == [("Ada", 1), ("Ben", 2), ("Cat", 1)]


async def test_an_erased_members_line_keeps_the_place_that_it_announced() -> None:
    story = await raced_story()
    await story.hears(Erased, "privacy erase sure")
    await story.tick()
    assert lines_of(story) == [("", 1), ("Ben", 2), ("Cat", 1)]


async def test_a_ruling_on_a_closed_day_mends_its_results_alone() -> None:
    story = await raced_story()
    await story.later(days=1).tick()
    before = len(story.posts)
    await story.say("club result Ada unrank 2026-11-23 Looked it up", leads=True)
    await story.tick()
    kinds = sorted(key.split(":")[0] for key, _, _ in story.posts[before:])
    assert kinds == ["results", "ruling"]
    assert [row.name for row in story.post_with(ResultsPosted).table.rows] == ["Cat", "Ben"]


@pytest.mark.parametrize(
    ("verdict", "kept"),
    [("accept", "accepted"), ("unrank", "unranked"), ("restore", "accepted")],
)
def test_a_ruling_sets_verdict_and_reason(verdict: str, kept: str) -> None:
    ruled = rule(FINISHED, verdict, " solved at the meeting ")
    assert (ruled.verdict, ruled.reason) == (kept, "solved at the meeting")


def test_a_ruling_needs_a_result_a_known_verdict_and_a_reason() -> None:
    for entry, verdict, reason, problem in (
        (MemberSolve(1, 1, 1, Board(EASY)), "accept", "x", "no-result"),
        (FINISHED, "forgive", "x", "value"),
        (FINISHED, "accept", "  ", "missing"),
    ):
        with pytest.raises(RefusedError) as caught:
            rule(entry, verdict, reason)
        reply = caught.value.reply
        assert isinstance(reply, InputRefused)
        assert reply.problem == problem
