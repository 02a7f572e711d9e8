"""Plans of weeks to come: made ahead, they change nothing before they begin."""

from __future__ import annotations

from datetime import date

from bot import wording
from bot.club.plan import plan_for, plans_of
from bot.club.ports import SavePuzzle, Store
from bot.club.replies import DayPosted, DaysPreviewed, InputRefused, PlanShown
from bot.club.state import ClubSettings
from tests.bot.club.stories import DAY, MINUTE, MONDAY, Story, settings_with
from tests.bot.club.test_leading_puzzles import stocked, stocked_story

SUNDAY, NEXT_MONDAY = MONDAY + 6 * DAY, MONDAY + 7 * DAY
NEXT_TUESDAY, MONDAY_AFTER = MONDAY + 8 * DAY, MONDAY + 14 * DAY
THREES = settings_with(levels=(3,) * 7)


async def settings_of(story: Story) -> ClubSettings:
    club = await story.store.load_club(story.club.platform, story.club.room_id)
    assert club is not None
    return club.settings


async def two_weeks_of_stock(store: Store) -> Story:
    story = await stocked_story(store, 20, THREES)
    for number in range(50, 60):
        await store.save([SavePuzzle(stocked(number, 4, "x-wing"))])
    return story


async def plan(story: Story, line: str) -> PlanShown:
    return await story.hears(PlanShown, f"club plan {line}", leads=True)


async def test_next_week_is_planned_without_changing_this_one(store: Store) -> None:
    story = await two_weeks_of_stock(store)
    await story.tick()
    before = await story.hears(DaysPreviewed, "club preview 6", leads=True)
    shown = await plan(story, "next theme=x-wing")
    assert (shown.starts, shown.theme, shown.changed) == (NEXT_MONDAY, "x-wing", True)
    assert (await plan(story, "")).theme == ""
    assert (await plan(story, "")).then == NEXT_MONDAY
    again = await story.hears(DaysPreviewed, "club preview 8", leads=True)
    assert again.days[:6] == before.days
    assert [day.theme for day in again.days] == [""] * 6 + ["x-wing"] * 2
    for _ in range(8):
        await story.later(days=1).tick()
    assert story.post_with(DayPosted).day.theme == "x-wing"
    # What begins with a puzzle is the plan from then on.
    settings = await settings_of(story)
    assert (settings.theme, settings.later) == ("x-wing", ())


async def test_a_plan_from_a_date_holds_until_the_next_one_begins(store: Store) -> None:
    story = await two_weeks_of_stock(store)
    await plan(story, f"from={MONDAY_AFTER} theme=x-wing")
    shown = await plan(story, "next level=4 rising")
    assert (shown.starts, shown.then, shown.rising) == (NEXT_MONDAY, MONDAY_AFTER, True)
    settings = await settings_of(story)
    asked = [plan_for(day, settings) for day in (SUNDAY, NEXT_MONDAY, MONDAY_AFTER)]
    assert [(each.lowest, each.theme) for each in asked] == [(3, ""), (4, ""), (4, "x-wing")]
    # The stock is filled for all of them.
    assert set(asked) <= set(plans_of(settings))


async def test_a_change_within_a_week_leaves_the_plan_of_the_next_alone(store: Store) -> None:
    story = await two_weeks_of_stock(store)
    await plan(story, "next theme=x-wing")
    shown = await plan(story, "tue level=2")
    assert (shown.starts, shown.then) == (None, NEXT_MONDAY)
    settings = await settings_of(story)
    assert plan_for(MONDAY + DAY, settings).lowest == 2
    assert plan_for(NEXT_TUESDAY, settings).lowest == 4


async def test_a_plan_ahead_is_dropped_again(store: Store) -> None:
    story = await two_weeks_of_stock(store)
    before = await settings_of(story)
    shown = await plan(story, "next theme=x-wing")
    assert shown.has_own_start
    dropped = await plan(story, f"from={NEXT_MONDAY} drop")
    assert (dropped.is_dropped, dropped.theme, dropped.starts) == (True, "", NEXT_MONDAY)
    assert await settings_of(story) == before
    refused = await story.hears(InputRefused, "club plan next drop", leads=True)
    assert refused.problem == "no-plan"


async def test_planning_on_a_sunday_leaves_tonights_puzzle_alone(store: Store) -> None:
    story = await two_weeks_of_stock(store)
    for _ in range(6):
        await story.tick()
        story.later(days=1)
    story.now -= 60 * MINUTE  # an hour before Sunday's puzzle
    before = await story.hears(DaysPreviewed, "club preview 2", leads=True)
    assert before.days[0].date == SUNDAY
    shown = await plan(story, "week theme=x-wing rising")
    assert (shown.starts, shown.theme) == (NEXT_MONDAY, "x-wing")
    assert shown.for_today == "club plan this week theme=x-wing rising"
    after = await story.hears(DaysPreviewed, "club preview 2", leads=True)
    assert after.days[0] == before.days[0]
    assert after.days[1].theme == "x-wing"
    assert (await plan(story, "mon-sat level=2")).for_today == "", "it is about no Sunday"
    # Said so, tonight's is changed too.
    assert (await plan(story, "this week theme=x-wing rising")).starts is None
    changed = await story.hears(DaysPreviewed, "club preview 2", leads=True)
    assert [day.theme for day in changed.days] == ["x-wing"] * 2


async def test_once_sundays_puzzle_is_up_a_plan_is_the_new_weeks(store: Store) -> None:
    story = await two_weeks_of_stock(store)
    for _ in range(6):
        await story.tick()
        story.later(days=1)
    await story.tick()
    await plan(story, "next pattern=mirror")
    shown = await plan(story, "week theme=x-wing")
    assert (shown.starts, shown.theme, shown.pattern) == (None, "x-wing", "mirror")


async def test_days_that_keep_their_own_are_named_and_follow_by_a_press(store: Store) -> None:
    story = await two_weeks_of_stock(store)
    await plan(story, "mon theme=pointing")
    await plan(story, "sat theme=none pattern=mirror")
    shown = await plan(story, "week theme=x-wing")
    assert (shown.own_themes, shown.own_patterns) == ((0, 5), ())
    message = wording.phrase(shown)
    assert "Monday and Saturday keep the theme" in message.text
    (line,) = [each.command for each in message.buttons if each.command.endswith("theme=week")]
    assert {day.theme for day in (await plan(story, line.removeprefix("club plan "))).days} == {
        "x-wing"
    }
    assert (await plan(story, "mon theme=pointing")).own_themes == ()


async def test_no_plan_begins_in_the_past(store: Store) -> None:
    story = await two_weeks_of_stock(store)
    refused = await story.hears(InputRefused, "club plan from=2026-11-01 level=2", leads=True)
    assert (refused.problem, refused.text) == ("plan-past", "2026-11-01")
    assert (await plan(story, "from=2026-11-23 level=2")).starts is None


async def test_every_line_under_a_plan_ahead_is_about_that_plan(store: Store) -> None:
    story = await two_weeks_of_stock(store)
    message = wording.phrase(await plan(story, "next theme=x-wing"))
    lines = [each.command for each in message.buttons if each.command.startswith("club plan")]
    lines += [f"{menu.command}{menu.choices[0].value}" for menu in message.menus]
    assert len(lines) == 4
    for line in lines:
        shown = await story.hears(PlanShown, line, leads=True)
        assert shown.starts == date(2026, 11, 30), line
