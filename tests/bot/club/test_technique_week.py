"""A technique week: planned in one line, each part up once, what came of it told without names."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest
from msgspec.structs import replace

from bot import wording
from bot.club.asking import QuestionRevealed, QuestionUp, RevealTold
from bot.club.clock import local_date
from bot.club.exercises import draw_with_one_solution, practised_techniques
from bot.club.fake_store import FakeStore
from bot.club.lessons import worked_picture
from bot.club.plan import plan_for
from bot.club.ports import SavePuzzle, Store
from bot.club.practising import ExerciseOver, ExerciseShown
from bot.club.problems import Missing, Problem
from bot.club.putting_questions import QuestionPut
from bot.club.replies import DaysPreviewed, InputRefused, PlanShown, QueueShown
from bot.club.service import ClubService
from bot.club.state import ClubSettings, Puzzle
from bot.club.technique_week import LessonPosted, WeekTold
from bot.commands.table import COURSES
from bot.stock.starting_stock import load_starting_stock
from engine import count_solutions
from tests.bot.club.stories import DAY, MONDAY, Story, open_story, settings_with
from tests.bot.club.test_leading_puzzles import stocked, stocked_story
from tests.bot.club.test_practising import strikes
from tests.bot.storage.kinds import KINDS, open_kind

WEDNESDAY, SUNDAY, NEXT_MONDAY = MONDAY + 2 * DAY, MONDAY + 6 * DAY, MONDAY + 7 * DAY
SINGLES = settings_with(levels=(1,) * 7)
LINE = "week theme=naked-triple lessons=yes"


@pytest.fixture
def store() -> FakeStore:
    return FakeStore()


@pytest.fixture(params=KINDS)
async def each_store(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Store]:
    async with open_kind(request.param, tmp_path) as opened:
        yield opened


async def plan(story: Story, line: str) -> PlanShown:
    return await story.hears(PlanShown, f"club plan {line}", leads=True)


async def settings_of(story: Story) -> ClubSettings:
    return (await story.store.reload_club(story.club.id)).settings


def parts_up(story: Story) -> list[tuple[str, str]]:
    """Return the kinds of what the week has had, with the key of each."""
    kinds = (LessonPosted, QuestionUp, QuestionRevealed, WeekTold)
    return [
        (type(reply).__name__, key) for key, _, reply in story.posts if isinstance(reply, kinds)
    ]


def kinds_up(story: Story) -> list[str]:
    return [kind for kind, _ in parts_up(story)]


async def started_anew(story: Story) -> None:
    """Tick as a process that has just started does, and once more."""
    story.service = ClubService(store=story.store, courses=COURSES)
    await story.tick()
    await story.tick()


async def test_a_week_is_planned_in_one_line_and_ends_with_its_sunday(store: FakeStore) -> None:
    story = await stocked_story(store, 10, SINGLES)
    shown = await plan(story, LINE)
    assert (shown.theme, shown.rising, shown.then) == ("naked-triple", True, NEXT_MONDAY)
    week = shown.week
    assert week is not None
    assert (week.lesson_on, week.question_on, week.sums_on) == (MONDAY, WEDNESDAY, SUNDAY)
    settings = await settings_of(story)
    for number in range(7):
        planned = plan_for(MONDAY + number * DAY, settings)
        assert (planned.levels, planned.theme) == ((3,), "naked-triple")
    after = plan_for(NEXT_MONDAY, settings)
    assert (after.levels, after.theme) == ((1,), "")


async def test_its_puzzles_turn_on_it_alone_and_rise(store: FakeStore) -> None:
    story = await open_story(settings=SINGLES, store=store)
    stock = load_starting_stock()
    await store.save([SavePuzzle(each) for each in stock])
    await plan(story, LINE)
    shown = await story.hears(DaysPreviewed, "club preview 7", leads=True)
    by_givens = {each.givens: each for each in stock}
    puzzles = [by_givens[day.picture.givens] for day in shown.days]
    assert len(puzzles) == 7
    assert all(each.is_clean_for("naked-triple") for each in puzzles)
    efforts = [each.effort for each in puzzles]
    assert efforts == sorted(set(efforts))


async def test_its_parts_go_up_once_each_whenever_the_process_starts_anew(
    each_store: Store,
) -> None:
    story = await stocked_story(each_store, 10, SINGLES)
    await plan(story, LINE)
    seen: dict[str, list[str]] = {}
    for _ in range(17):  # a week and a day, by halves
        before = len(parts_up(story))
        await started_anew(story)
        for kind in kinds_up(story)[before:]:
            seen.setdefault(kind, []).append(local_date(story.now, "UTC").strftime("%a"))
        story.later(days=0.5)
    assert seen == {
        "LessonPosted": ["Mon"],
        "QuestionUp": ["Wed"],
        "QuestionRevealed": ["Sun"],
        "WeekTold": ["Sun"],
    }
    question = story.post_with(QuestionUp)
    assert question.step.technique == "naked-triple"
    assert question.picture.position != story.post_with(LessonPosted).picture.position
    assert not (await settings_of(story)).lessons


async def test_what_is_found_due_twice_goes_up_once(store: FakeStore) -> None:
    story = await stocked_story(store, 10, SINGLES)
    await plan(story, LINE)
    for days in (0, 2, 6):
        story.now = story.now.replace(day=MONDAY.day) + days * DAY
        story.club = await store.reload_club(story.club.id)
        found = await story.service.due(story.club, story.now)
        for due in (*found, *found):
            await story.service.carry_out(due)
        await story.tick()
    assert kinds_up(story) == ["LessonPosted", "QuestionUp", "QuestionRevealed", "WeekTold"]


async def test_what_was_missed_while_the_bot_was_down_goes_up_late(store: FakeStore) -> None:
    story = await stocked_story(store, 10, SINGLES)
    await plan(story, LINE)
    await story.later(days=3).tick()
    assert kinds_up(story) == ["LessonPosted"]
    await story.later(days=1).tick()
    assert kinds_up(story) == ["LessonPosted", "QuestionUp"]
    await story.later(days=3).tick()  # and Sunday is over
    assert kinds_up(story) == ["LessonPosted", "QuestionUp", "QuestionRevealed"]


async def test_a_break_holds_a_week_up(store: FakeStore) -> None:
    story = await stocked_story(store, 10, SINGLES)
    await plan(story, LINE)
    await story.say("club pause", leads=True)
    await story.tick()
    assert kinds_up(story) == []
    await story.say("club pause off", leads=True)
    await story.tick()
    assert kinds_up(story) == ["LessonPosted"]


async def test_it_begins_on_monday_unless_this_week_is_meant(store: FakeStore) -> None:
    story = await stocked_story(store, 20, SINGLES)
    await story.later(days=1).tick()
    shown = await plan(story, LINE)
    assert shown.starts == NEXT_MONDAY
    assert shown.week is not None
    assert shown.week.lesson_on == NEXT_MONDAY
    assert (await plan(story, "from=2026-11-30 drop")).week is None
    assert (await settings_of(story)).later == ()
    shown = await plan(story, "this week theme=naked-triple lessons=yes")
    assert shown.week is not None
    assert (shown.week.lesson_on, shown.week.question_on) == (WEDNESDAY, WEDNESDAY + DAY)
    assert shown.week.puzzles == 5
    on_friday = await plan(story.later(days=4), "this week theme=x-wing lessons=yes")
    assert on_friday.week is not None
    assert on_friday.week.question_on is None
    assert "too late in the week" in wording.phrase(on_friday).text


async def test_a_week_planned_on_a_sunday_begins_the_day_after(store: FakeStore) -> None:
    story = await stocked_story(store, 20, SINGLES)
    await story.later(days=6).tick()
    planned = (await plan(story, LINE)).week
    queue = await story.hears(QueueShown, "club queue", leads=True)
    assert planned is not None
    assert (planned.lesson_on, planned.question_on) == (NEXT_MONDAY, NEXT_MONDAY + 2 * DAY)
    assert queue.week == planned


async def test_a_week_is_taken_back_before_it_begins_and_while_it_runs(store: FakeStore) -> None:
    story = await stocked_story(store, 20, SINGLES)
    await story.tick()
    assert (await plan(story, LINE)).week is not None
    command = next(
        button.command
        for button in wording.phrase(await plan(story, "")).buttons
        if button.label == "No lessons"
    )
    taken = await story.hears(PlanShown, command, leads=True)
    assert (taken.week, taken.theme, taken.starts) == (None, "naked-triple", NEXT_MONDAY)
    await plan(story, "this week theme=naked-triple lessons=yes")
    await story.later(days=1).tick()
    assert kinds_up(story) == ["LessonPosted"]
    await story.hears(PlanShown, command, leads=True)
    for _ in range(6):
        await story.later(days=1).tick()
    assert kinds_up(story) == ["LessonPosted"]


async def test_plan_and_queue_show_how_far_a_week_is(store: FakeStore) -> None:
    story = await stocked_story(store, 10, SINGLES)
    await plan(story, LINE)
    for told in (await plan(story, ""), await story.hears(QueueShown, "club queue", leads=True)):
        text = wording.phrase(told).text
        assert "Monday 23 November: the lesson" in text
        assert "Wednesday 25 November: a question" in text
        assert "Sunday 29 November: how many" in text
    await story.tick()
    queue = await story.hears(QueueShown, "club queue", leads=True)
    assert "Monday 23 November (it is up): the lesson" in wording.phrase(queue).text


def hidden_singles() -> tuple[Puzzle, ...]:
    return tuple(stocked(number, 1, "hidden-single") for number in (23, 24))


NOT_FOUND = (
    ("hidden-quad", 0, "no puzzle in stock that needs a hidden quad"),
    ("remote-pair", 0, "no question"),
    ("hidden-single", 2, "2 puzzles in stock need it"),
    ("naked-triple", 10, "10 puzzles need it among other things"),
    ("x-wing", 2, "Of seven puzzles, I have one in stock that turns on an X-wing"),
)


@pytest.mark.parametrize(("theme", "fitting", "said"), NOT_FOUND)
async def test_what_could_not_be_found_is_said(
    store: FakeStore, theme: str, fitting: int, said: str
) -> None:
    story = await stocked_story(store, 10, SINGLES)
    clean = replace(stocked(21, 4, "x-wing"), turns=1, hardest="x-wing")
    for puzzle in (clean, stocked(22, 4, "x-wing"), *hidden_singles()):
        await store.save([SavePuzzle(puzzle)])
    shown = await plan(story, f"week theme={theme} lessons=yes")
    assert shown.week is not None
    assert shown.week.fitting == fitting
    assert (shown.week.question_on is None) is (theme not in practised_techniques())
    assert said in wording.phrase(shown).text


async def test_a_leaders_own_question_is_not_ended(store: FakeStore) -> None:
    story = await stocked_story(store, 10, SINGLES)
    await plan(story, LINE)
    await story.tick()
    await story.hears(QuestionPut, "club ask x-wing", leads=True)
    await story.later(days=3).tick()
    assert kinds_up(story) == ["LessonPosted", "QuestionUp"]
    assert story.post_with(QuestionUp).step.technique == "x-wing"
    await story.hears(RevealTold, "club reveal", leads=True)
    await story.later(days=1).tick()
    assert story.post_with(QuestionUp).step.technique == "naked-triple"


REFUSED = (
    ("week lessons=yes", Problem.MISSING, Missing.THEME),
    ("week theme=none lessons=yes", Problem.MISSING, Missing.THEME),
    ("mon theme=x-wing lessons=yes", Problem.VALUE, "lessons=yes"),
    ("week theme=x-wing lessons=perhaps", Problem.VALUE, "lessons=perhaps"),
)


@pytest.mark.parametrize(("line", "problem", "text"), REFUSED)
async def test_what_is_no_technique_week_is_refused(line: str, problem: Problem, text: str) -> None:
    story = await stocked_story(FakeStore(), 3, SINGLES)
    refused = await story.hears(InputRefused, f"club plan {line}", leads=True)
    assert (refused.problem, refused.text) == (problem, text)
    assert not (await settings_of(story)).lessons


async def learns(story: Story, by: str, *, finds: bool) -> None:
    """Have a member shown one position, and on the next day find another, or not."""
    shown = await story.hears(ExerciseShown, "practice naked-triple", by=by)
    await story.hears(ExerciseOver, "practice show", by=by)
    story.later(days=1)
    shown = await story.hears(ExerciseShown, "practice naked-triple", by=by)
    while shown.step is None:
        await story.hears(ExerciseOver, "see none", by=by)
        shown = await story.hears(ExerciseShown, "practice naked-triple", by=by)
    line = strikes(shown.step) if finds else "practice show"
    await story.hears(ExerciseOver, line, by=by)
    story.later(days=-1)


TOLD = ((3, 1, (4, 3)), (2, 1, (3, 0)), (1, 1, (0, 0)))


@pytest.mark.parametrize(("found", "failed", "told"), TOLD)
async def test_sunday_tells_how_many_can_do_it_now_and_nothing_of_fewer_than_three(
    store: FakeStore, found: int, failed: int, told: tuple[int, int]
) -> None:
    story = await stocked_story(store, 10, SINGLES)
    await plan(story, LINE)
    await story.tick()
    for number in range(found + failed):
        await learns(story, f"member{number}", finds=number < found)
    await story.later(days=6).tick()
    week = story.post_with(WeekTold)
    assert (week.tried, week.gained) == told
    text = wording.phrase(week).text
    assert ("now manage alone" in text) is bool(told[1])
    assert "Member" not in text


@pytest.mark.parametrize("technique", practised_techniques())
def test_a_question_can_be_put_about_a_position_with_one_solution(technique: str) -> None:
    drawn = draw_with_one_solution(technique, "a week")
    assert drawn.step is not None
    assert drawn.step.technique == technique
    assert count_solutions(drawn.position.grid) == 1
    assert drawn.position != worked_picture(technique).position
