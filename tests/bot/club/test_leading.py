"""Leaders' acts, and what the club does by the clock, through the service."""

from __future__ import annotations

import json
from datetime import timedelta

import pytest

from bot.club.leaders import Leaders
from bot.club.plan import DayPlan
from bot.club.ports import SavePuzzle
from bot.club.replies import (
    AnswerRight,
    ClubShown,
    DayPosted,
    ExportMade,
    HelpShown,
    InputRefused,
    LeadersOnly,
    PauseSet,
    PostAsked,
    PuzzlePreviewed,
    PuzzleQueued,
    QueueShown,
    ReportShown,
    ResultFlagged,
    ResultRuled,
    ResultsPosted,
    RulingTold,
    TableShown,
    WalkthroughLater,
    WalkthroughPosted,
    WalkthroughShown,
)
from bot.club.service import ClubService
from bot.club.state import Puzzle
from bot.commands import table as commands
from tests.bot.club.stories import (
    CROOK,
    DAY,
    EASY,
    EASY_SOLUTION,
    MINUTE,
    MONDAY,
    NOON,
    SEVENTEEN,
    AtOnce,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
    settings_with,
    seventeen_puzzle,
)


@pytest.mark.parametrize(
    ("line", "command"),
    [
        ("club setup wrong=0", "club setup"),
        ("club queue", "club queue"),
        ("club plan mon level=1", "club plan"),
        ("club preview", "club preview"),
        ("club swap", "club swap"),
        ("club turning", "club turning"),
        ("club queue remove 1", "club queue"),
        ("club post-now", "club post-now"),
        ("club withdraw", "club withdraw"),
        ("club pause", "club pause"),
        ("club report", "club report"),
        ("club result Ada unrank No reason", "club result"),
    ],
)
async def test_leaders_commands_are_for_leaders(line: str, command: str) -> None:
    story = await open_story(easy_puzzle())
    before = await story.store.load_clubs()
    assert await story.say(line) == LeadersOnly(command=command)
    assert await story.store.load_clubs() == before


async def test_a_leader_is_who_the_platform_or_the_club_says() -> None:
    story = await open_story(easy_puzzle(), settings=settings_with(leaders=("rowan",)))
    await story.hears(ClubShown, "club setup", by="rowan")
    await story.hears(ClubShown, "club setup", by="ada", leads=True)
    await story.hears(LeadersOnly, "club setup", by="ada")


async def test_whom_a_list_names_leads_however_it_is_written_and_an_export_says_so() -> None:
    story = await open_story(easy_puzzle(), settings=settings_with(leaders=("ROWAN",)))
    of_host = {story.club.id: ("Hazel",)}
    leaders = Leaders(of_host, {story.club.platform: str.casefold})
    story.service = ClubService(store=story.store, courses=commands.COURSES, leaders=leaders)

    async def exported(who: str) -> bool:
        await story.say("start", by=who)
        made = await story.hears(ExportMade, "privacy export", by=who)
        return bool(json.loads(made.text)["leads"])

    for who in ("rowan", "hazel"):
        await story.hears(ClubShown, "club setup", by=who)
        assert (await story.hears(HelpShown, "help", by=who)).is_leader
        assert await exported(who)
    await story.hears(LeadersOnly, "club setup", by="ada")
    assert not await exported("ada")


async def test_settings_are_changed_and_shown() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    shown = await story.hears(ClubShown, "club setup wrong=90 post-time=13:00", leads=True)
    assert set(shown.changed) == {"wrong", "post-time"}
    assert dict(shown.settings)["post-time"] == "13:00"
    assert (shown.queued, shown.stock) == (1, 0)
    assert shown.next_at == NOON + DAY + timedelta(hours=1)
    (club,) = await story.store.load_clubs()
    assert (club.settings.penalties.wrong, club.settings.post_time) == (90, "13:00")


async def test_a_queued_puzzle_is_rated_and_comes_on_its_date() -> None:
    story = await open_story(easy_puzzle())
    queued = await story.hears(
        PuzzleQueued, f"club queue {CROOK} 2026-11-24 credit=J. F. Crook", leads=True
    )
    assert (queued.level, queued.place, queued.day) == (3, 1, MONDAY + DAY)
    waiting = await story.hears(QueueShown, "club queue", leads=True)
    assert [(each.day, each.level) for each in waiting.waiting] == [(MONDAY + DAY, 3)]
    await story.later(days=1).tick()
    posted = story.post_with(DayPosted)
    assert (posted.day.givens, posted.day.credit) == (CROOK, "J. F. Crook")
    assert (await story.hears(QueueShown, "club queue", leads=True)).waiting == ()


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        (f"club queue {EASY}", "repeat-puzzle"),
        (f"club queue {CROOK}", "repeat-puzzle"),
        (f"club queue {SEVENTEEN} 2026-11-23", "day-taken"),
        (f"club queue {SEVENTEEN} 2026-11-01", "day-taken"),
        (f"club queue {SEVENTEEN} 2026-11-30", "day-taken"),
        (f"club queue {EASY[:-1]}", "length"),
    ],
)
async def test_a_puzzle_that_cannot_be_queued_is_refused(line: str, problem: str) -> None:
    story = await open_story(easy_puzzle())
    await story.say(f"club queue {CROOK} 2026-11-30", leads=True)
    assert (await story.hears(InputRefused, line, leads=True)).problem == problem
    assert len(await story.store.load_queue(story.club.id)) == 1


async def test_post_now_posts_todays_puzzle_once_and_answers_count_from_then() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    story.now = NOON + DAY - timedelta(hours=4)
    assert not (await story.hears(PostAsked, "club post-now", leads=True)).already
    await story.tick()
    assert story.post_with(DayPosted).day.givens == CROOK
    assert (await story.hears(PostAsked, "club post-now", leads=True)).already
    # Monday's puzzle is open until Tuesday noon all the same.
    key = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]
    right = await story.later(minutes=5).hears(AnswerRight, f"hand-in {key}")
    assert (right.date, right.is_late) == (MONDAY, False)
    story.now = NOON + DAY
    await story.tick()
    posts = [way for _, way, reply in story.posts if isinstance(reply, DayPosted)]
    assert posts.count("room") == 2


async def test_post_now_without_a_puzzle_says_what_is_missing() -> None:
    story = await open_story(easy_puzzle())
    story.now = NOON + DAY - timedelta(hours=4)
    refused = await story.hears(InputRefused, "club post-now", leads=True)
    assert (refused.problem, refused.text) == ("missing", "puzzle")


async def test_a_paused_club_posts_nothing_until_it_goes_on() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    assert (await story.hears(PauseSet, "club pause", leads=True)).next_at is None
    await story.later(days=1).tick()
    assert story.post_with(DayPosted).day.givens == EASY
    assert story.post_with(ResultsPosted).date == MONDAY
    going = await story.hears(PauseSet, "club pause off", leads=True)
    assert going.next_at == story.now
    assert going.has_posted
    await story.tick()
    assert story.post_with(DayPosted).day.givens == CROOK


# --- reports and rulings ---

KEY = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]


async def quick_story() -> Story:
    """Ada handed in after 30 seconds, Ben after ten minutes."""
    story = await open_story(easy_puzzle(), crook_puzzle(), settings=settings_with(quick=1.5))
    for who in ("ada", "ben"):
        await story.say("start", by=who)
    quick = await story.later(seconds=30).hears(AnswerRight, f"hand-in {KEY}")
    assert (quick.is_flagged, quick.rank) == (True, None)
    await story.later(seconds=570).say(f"hand-in {KEY}", by="ben")
    return story


async def test_a_quick_answer_is_in_the_report_and_accepted_it_ranks() -> None:
    story = await quick_story()
    report = await story.hears(ReportShown, "club report", leads=True)
    assert (report.started, report.finished) == (2, 2)
    assert report.flagged == (("Ada", 30, "quick"),)
    ruled = await story.hears(ResultRuled, "club result ada accept Saw it done", leads=True)
    assert (ruled.member, ruled.verdict, ruled.rank) == ("Ada", "accepted", 1)
    table = (await story.hears(TableShown, "leaderboard")).table
    assert [row.name for row in table.rows] == ["Ada", "Ben"]
    assert (await story.hears(ReportShown, "club report", leads=True)).flagged == ()


async def test_the_leaders_that_the_club_names_are_told_of_a_quick_answer() -> None:
    story = await open_story(
        easy_puzzle(), settings=settings_with(quick=1.5, leaders=("rowan", "hazel"))
    )
    await story.say("start")
    await story.later(seconds=30).say(f"hand-in {KEY}")
    await story.say("start", by="ben")
    await story.later(seconds=500).say(f"hand-in {KEY}", by="ben")
    waiting = [each for each in await story.store.load_notices() if each.audience == "member"]
    assert [each.user_id for each in waiting] == ["rowan", "hazel"]
    await story.tick()
    told = story.post_with(ResultFlagged)
    assert (told.name, told.raw, told.date) == ("Ada", 30, MONDAY)


async def test_the_member_is_told_of_a_ruling_and_its_reason_privately() -> None:
    story = await quick_story()
    await story.say("club result Ben unrank Looked it up", leads=True, event_id="r1")
    (notice,) = [n for n in await story.store.load_notices() if n.audience == "member"]
    assert (notice.key, notice.user_id) == ("ruling:r1", "ben")
    await story.tick()
    told = story.post_with(RulingTold)
    assert (told.verdict, told.reason, told.date) == ("unranked", "Looked it up", MONDAY)


async def test_a_ruling_after_closing_mends_the_results() -> None:
    story = await quick_story()
    await story.later(days=1).tick()
    assert [row.name for row in story.post_with(ResultsPosted).table.rows] == ["Ben"]
    for line, names in (
        ("club result Ada accept Saw it done", ["Ada", "Ben"]),
        ("club result Ben unrank 2026-11-23 Looked it up", ["Ada"]),
        ("club result Ben restore A mistake of mine", ["Ada", "Ben"]),
    ):
        await story.hears(ResultRuled, line, leads=True)
        await story.tick()
        mended = story.post_with(ResultsPosted)
        assert mended.is_mended
        assert [row.name for row in mended.table.rows] == names


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("club result Nobody accept x", "member"),
        ("club result Ada accept x 2026-11-24", "no-result"),
        ("club result Cat accept x", "no-result"),
    ],
)
async def test_a_ruling_on_nobody_or_nothing_is_refused(line: str, problem: str) -> None:
    story = await quick_story()
    await story.say("start", by="cat")
    await story.later(days=1).tick()
    assert (await story.hears(InputRefused, line, leads=True)).problem == problem


async def test_a_name_that_two_members_share_is_asked_about() -> None:
    story = await quick_story()
    await story.say("start", by="ada2", name="Ada")
    refused = await story.hears(InputRefused, "club result Ada accept x", leads=True)
    assert (refused.problem, refused.found) == ("member", 2)


# --- by the clock ---


async def test_the_day_closes_with_results_and_a_walkthrough_under_its_post() -> None:
    story = await quick_story()
    await story.later(days=1).tick()
    kinds = [(key.split(":")[0], audience) for key, audience, _ in story.posts]
    assert kinds[-3:] == [("results", "room"), ("walkthrough", "thread"), ("day", "room")]
    walkthrough = story.post_with(WalkthroughPosted)
    assert walkthrough.is_solved
    assert len(walkthrough.steps) == len(walkthrough.positions)


async def test_asked_again_nothing_more_is_done() -> None:
    story = await quick_story()
    await story.later(days=1).tick()
    count = len(story.posts)
    for _ in range(3):
        await story.later(minutes=1).tick()
    assert len(story.posts) == count


async def test_the_stock_fits_the_weekday_and_a_puzzle_is_made_where_nothing_is_left() -> None:
    class Maker(AtOnce):
        asked: list[tuple[DayPlan, int]] = []  # noqa: RUF012 - one test, one maker

        async def make_puzzle(self, entry: DayPlan, seed: int) -> Puzzle | None:
            self.asked.append((entry, seed))
            return None if entry.theme else crook_puzzle()

    story = await open_story(
        easy_puzzle(), settings=settings_with(theme="naked-triple"), source=Maker()
    )
    await story.later(days=1).tick()
    assert story.post_with(DayPosted).day.givens == CROOK
    entries = [entry for entry, _ in Maker.asked]
    assert entries == [DayPlan(3, 3, "naked-triple")] * 3 + [DayPlan(3, 3)]
    seeds = [seed for _, seed in Maker.asked]
    assert len(set(seeds[:3])) == 3
    assert seeds[3] == seeds[0]


async def test_without_any_puzzle_the_club_waits_and_says_so_in_the_log(
    caplog: pytest.LogCaptureFixture,
) -> None:
    story = await open_story(easy_puzzle())
    await story.later(days=1).tick()
    assert "no puzzle for 2026-11-24" in caplog.text
    await story.say(f"club queue {CROOK}", leads=True)
    await story.later(minutes=1).tick()
    assert story.post_with(DayPosted).day.givens == CROOK


async def test_a_puzzle_that_could_not_go_up_on_its_day_does_not_come_late() -> None:
    story = await open_story()
    for puzzle in (EASY, CROOK):
        await story.say(f"club queue {puzzle}", leads=True)
    for _ in range(2):  # the room takes nothing for two days
        for due in await story.service.due(story.club, story.now):
            await story.service.carry_out(due)
        story.later(days=1)
    story.later(days=-1)
    assert [notice.key for notice in await story.store.load_notices()] == [
        f"day:{story.club.id}:2026-11-24"
    ]
    await story.tick()
    assert [type(reply) for _, _, reply in story.posts] == [DayPosted]
    assert story.post_with(DayPosted).day.date == MONDAY + DAY


async def test_a_walkthrough_is_for_whom_the_day_is_over() -> None:
    story = await quick_story()
    await story.hears(WalkthroughLater, "walkthrough", by="cat")
    shown = await story.hears(WalkthroughShown, "walkthrough", by="ben")
    assert (shown.date, shown.is_solved) == (MONDAY, True)
    await story.later(days=1).tick()
    assert (await story.hears(WalkthroughShown, "walkthrough", by="cat")).date == MONDAY
    later = await story.hears(WalkthroughLater, "walkthrough 2026-11-24", by="cat")
    assert later.closes_at == NOON + 2 * DAY


async def test_the_table_is_of_the_open_puzzles_week_even_after_midnight() -> None:
    story = await quick_story()
    story.now = NOON + timedelta(hours=13)
    table = (await story.hears(TableShown, "leaderboard")).table
    assert (table.first, table.last) == (MONDAY, MONDAY + 6 * DAY)
    month = (await story.hears(TableShown, "leaderboard month")).table
    assert (month.first, month.last) == (MONDAY.replace(day=1), MONDAY.replace(day=30))


async def test_a_post_goes_out_late_the_same_day_with_the_schedules_times() -> None:
    story = await open_story(settings=settings_with())
    await story.say(f"club queue {EASY}", leads=True)
    story.now = NOON + 90 * MINUTE
    await story.tick()
    day = await story.store.load_day(story.club.id, MONDAY)
    assert day is not None
    assert (day.due_at, day.closes_at, day.posted_at) == (NOON, NOON + DAY, story.now)


async def test_the_previewed_puzzle_is_the_one_that_goes_up() -> None:
    story = await open_story()
    await story.store.save([SavePuzzle(easy_puzzle()), SavePuzzle(seventeen_puzzle())])
    await story.hears(PauseSet, "club pause", leads=True)
    shown = await story.hears(PuzzlePreviewed, "club preview 1", leads=True)
    assert shown.next_at is None
    again = await story.hears(PuzzlePreviewed, "club preview 1", leads=True)
    assert again.picture == shown.picture
    await story.hears(PauseSet, "club pause off", leads=True)
    await story.tick()
    posted = story.post_with(DayPosted)
    assert (posted.day.date, posted.day.givens) == (shown.day.date, shown.picture.givens)
