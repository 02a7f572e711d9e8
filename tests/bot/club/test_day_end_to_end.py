"""The four stories of a club's day through the service: post, hint, hand in, table."""

from __future__ import annotations

from bot.club.ports import Store
from bot.club.replies import (
    AnswerRight,
    AnswerWrong,
    BoardShown,
    ClockStarted,
    DayPosted,
    HintShown,
    MemberSolved,
    PersonalPage,
    ResultsPosted,
    TableShown,
    TodayShown,
    WalkthroughPosted,
)
from tests.bot.club.stories import (
    CROOK,
    CROOK_AFTER_SINGLES,
    CROOK_SOLUTION,
    EASY,
    EASY_SOLUTION,
    MINUTE,
    crook_puzzle,
    easy_puzzle,
    open_story,
)


async def test_a_clubs_day_from_the_post_to_the_table(store: Store) -> None:
    story = await open_story(crook_puzzle(), easy_puzzle(), store=store)
    posted = story.post_with(DayPosted)
    assert posted.day.givens == CROOK
    # Counted by hand: row 5 has no given, rows 2 and 9 have two each; columns 1 and 2 have three.
    assert posted.day.lines == ("row 2", "row 5")
    assert (await story.hears(TodayShown, "today")).day == posted.day
    for who in ("ada", "ben"):
        assert not (await story.hears(ClockStarted, "start", by=who)).was_running
    story.later(minutes=3)
    shown = await story.hears(BoardShown, "place r1c7 1")
    assert shown.marks == (("r1c7", 1),)
    where = await story.hears(HintShown, f"hint {CROOK_AFTER_SINGLES}")
    assert (where.rung, where.seconds, where.echo is not None) == (1, 15, True)
    for rung, seconds in ((2, 30), (3, 60), (4, 120)):
        more = await story.hears(HintShown, "hint more")
        assert (more.rung, more.seconds) == (rung, seconds)
    story.later(minutes=7)
    answer = CROOK_SOLUTION[9:18] + CROOK_SOLUTION[36:45]
    wrong = await story.hears(AnswerWrong, f"hand-in {answer[:-2]}{answer[-1]}{answer[-2]}")
    assert (wrong.tries, wrong.seconds) == (1, 60)
    right = await story.hears(AnswerRight, f"hand-in {answer}")
    assert (right.raw, right.added, right.adjusted) == (600, 285, 885)
    assert (right.rank, right.of, right.hints, right.tries) == (1, 1, 1, 1)
    ben = await story.hears(AnswerRight, f"hand-in {CROOK_SOLUTION}", by="ben")
    assert (ben.adjusted, ben.rank, ben.of) == (600, 1, 2)
    table = (await story.hears(TableShown, "leaderboard")).table
    assert [(row.rank, row.name, row.adjusted) for row in table.rows] == [
        (1, "Ben", 600),
        (2, "Ada", 885),
    ]
    await story.tick()
    assert story.post_with(MemberSolved).name == "Ben"
    story.later(days=1, minutes=-10)
    await story.tick()
    results = story.post_with(ResultsPosted)
    assert [row.name for row in results.table.rows] == ["Ben", "Ada"]
    assert story.post_with(WalkthroughPosted).is_solved
    assert story.post_with(DayPosted).day.givens == EASY


async def test_late_and_mended_results_are_the_same_on_every_store(store: Store) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store)
    key = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]
    await story.say("start")
    await story.say("start", by="ben")
    story.later(days=1)
    await story.tick()
    late = await story.later(minutes=1).hears(AnswerRight, f"hand-in {key}", by="ben")
    assert late.is_late
    at = story.now - 2 * MINUTE
    right = await story.hears(AnswerRight, f"hand-in {key}", at=at)
    assert (right.rank, right.of, right.raw) == (1, 1, 24 * 3600 - 60)
    await story.tick()
    mended = story.post_with(ResultsPosted)
    assert mended.is_mended
    assert [(row.rank, row.name, row.late) for row in mended.table.rows] == [
        (1, "Ada", 0),
        (0, "Ben", 1),
    ]
    page = await story.hears(PersonalPage, "me", by="ben")
    assert (page.solved, page.late, page.streak) == (0, 1, 0)
