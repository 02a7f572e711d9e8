"""Questions that are planned like a day: weekly or once, shown in the queue, and dropped."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from bot import wording
from bot.club.asking import FindJudged, QuestionRevealed, QuestionUp
from bot.club.planning_questions import QuestionDropped, QuestionMissing, QuestionPlanned
from bot.club.problems import Problem
from bot.club.putting_questions import QuestionPut
from bot.club.replies import InputRefused, LeadersOnly, QueueShown
from bot.club.service import ClubService
from bot.club.until import Until, format_until, parse_until
from bot.commands import table as commands
from engine.claims import Judgement
from tests.bot.club.stories import (
    CROOK_AFTER_SINGLES,
    NOON,
    SEVENTEEN,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
    settings_with,
)
from tests.bot.club.test_asking_until import reveals_of
from tests.bot.storage.kinds import KINDS, open_kind

WEDNESDAY = date(2026, 11, 25)
WEEK = timedelta(days=7)


@pytest.fixture(params=KINDS)
async def story(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Story]:
    """A club on Monday noon whose puzzles come at noon."""
    async with open_kind(request.param, tmp_path) as store:
        yield await open_story(easy_puzzle(), crook_puzzle(), store=store)


def _ups(story: Story) -> list[QuestionUp]:
    return [reply for _, _, reply in story.posts if isinstance(reply, QuestionUp)]


async def _plan(story: Story, line: str) -> QuestionPlanned:
    return await story.hears(QuestionPlanned, line, leads=True)


async def test_a_weekly_question_goes_up_each_week_and_is_shown_the_day_after(
    story: Story,
) -> None:
    told = await _plan(story, "club ask naked-triple every=wednesday")
    assert told.planned.on == WEDNESDAY
    assert "Every Wednesday" in wording.phrase(told).text
    await story.later(minutes=2 * 24 * 60 - 1).tick()
    assert not _ups(story)
    await story.later(minutes=1).tick()
    await story.tick()
    assert [each.step.technique for each in _ups(story)] == ["naked-triple"]
    find = " ".join(f"{cell}-{digit}" for cell, digit in _ups(story)[0].step.removes)
    assert (await story.hears(FindJudged, f"see {find}")).judgement is Judgement.RIGHT
    await story.later(days=1).tick()
    assert [(each.tried, each.seen) for each in reveals_of(story)] == [(1, 1)]
    await story.later(days=6).tick()
    first, second = _ups(story)
    assert (second.number, second.step.technique) == (2, "naked-triple")
    assert second.picture.position != first.picture.position


async def test_a_bot_that_was_down_puts_it_the_same_day_or_not_at_all(story: Story) -> None:
    await _plan(story, "club ask naked-triple every=wednesday until=20:00")
    story.service = ClubService(store=story.store, courses=commands.COURSES)
    await story.later(days=2, minutes=60).tick()
    assert len(_ups(story)) == 1
    await story.later(days=8).tick()
    assert len(_ups(story)) == 1
    agenda = await story.store.load_agenda(story.club.id)
    assert [each.on for each in agenda.planned] == [WEDNESDAY + 2 * WEEK]


async def test_a_question_for_one_day_goes_up_once(story: Story) -> None:
    told = await _plan(story, f"club ask on=wednesday {SEVENTEEN} until=friday")
    assert (told.planned.on, told.planned.is_weekly) == (WEDNESDAY, False)
    await story.later(days=2).tick()
    assert _ups(story)[0].picture.position.grid == SEVENTEEN
    assert _ups(story)[0].until == NOON + timedelta(days=4)
    await story.later(days=7).tick()
    assert len(_ups(story)) == 1


async def test_where_the_latest_puzzle_turned_can_be_asked_each_week(story: Story) -> None:
    await _plan(story, "club ask every=wed")
    # On Wednesday noon Crook's puzzle of Tuesday is over; its only turn needs a naked pair.
    await story.later(days=1).tick()
    await story.later(days=1).tick()
    assert _ups(story)[0].step.level > 1


async def test_what_is_planned_is_in_the_queue_and_can_be_taken_out(story: Story) -> None:
    await _plan(story, "club ask naked-triple every=wednesday")
    await _plan(story, "club ask x-wing on=2026-11-27 until=sunday 20:00")
    shown = await story.hears(QueueShown, "club queue", leads=True)
    text = wording.phrase(shown).text
    assert "Every Wednesday about a position with a naked triple" in text
    assert "On Friday 27 November about a position with an X-wing" in text
    assert (await story.hears(QuestionDropped, "club ask drop", leads=True)).dropped is None
    for line, left in (("club ask drop wednesday", 1), ("club ask drop 2026-11-27", 0)):
        dropped = await story.hears(QuestionDropped, line, leads=True)
        assert dropped.dropped is not None
        assert len(dropped.left) == left
    await story.later(days=4).tick()
    assert not _ups(story)
    assert (await story.hears(QuestionDropped, "club ask drop", leads=True)).dropped is None


@pytest.mark.parametrize("days", [2, 3], ids=["of today", "missed"])
async def test_what_is_dropped_just_before_it_is_done_stays_dropped(days: int) -> None:
    story = await open_story(easy_puzzle())
    await _plan(story, "club ask every=wednesday")
    due = await story.later(days=days).service.due(story.club, story.now)
    await story.hears(QuestionDropped, "club ask drop", leads=True)
    for each in due:
        await story.service.carry_out(each)
    assert not (await story.store.load_agenda(story.club.id)).planned
    await story.tick()
    assert not any(isinstance(reply, QuestionMissing) for _, _, reply in story.posts)


async def test_one_that_was_not_shown_is_shown_before_the_next_goes_up(story: Story) -> None:
    await story.hears(QuestionPut, "club ask x-wing", leads=True)
    await _plan(story, "club ask naked-triple every=wednesday")
    await story.later(days=2).tick()
    said = [type(each) for _, _, each in story.posts]
    kinds = [each for each in said if each in (QuestionUp, QuestionRevealed)]
    assert kinds == [QuestionUp, QuestionRevealed, QuestionUp]


async def test_a_break_has_no_questions(story: Story) -> None:
    await _plan(story, "club ask naked-triple every=wednesday")
    await story.say("club pause", leads=True)
    await story.later(days=2).tick()
    assert not _ups(story)
    await story.say("club pause off", leads=True)
    await story.later(days=7).tick()  # the one of the break is over
    await story.tick()
    assert len(_ups(story)) == 1


async def test_a_position_whose_puzzle_is_open_by_then_is_not_put() -> None:
    story = await open_story(
        easy_puzzle(), crook_puzzle(), settings=settings_with(leaders=("ada",))
    )
    await _plan(story, f"club ask sure on=tomorrow {CROOK_AFTER_SINGLES}")
    await story.later(days=1).tick()
    assert not _ups(story)
    assert "is open" in wording.phrase(story.post_with(QuestionMissing)).text


async def test_leaders_are_told_where_there_is_nothing_to_ask(tmp_path: Path) -> None:
    """An easy puzzle turns nowhere."""
    story = await open_story(easy_puzzle(), settings=settings_with(leaders=("ada",)))
    await _plan(story, "club ask on=tomorrow")
    await story.later(days=1).tick()
    missing = story.post_with(QuestionMissing)
    assert missing.planned.on == date(2026, 11, 24)
    assert "nothing to ask" in wording.phrase(missing).text
    assert not (await story.store.load_agenda(story.club.id)).planned


REFUSED = (
    ("club ask naked-triple every=wombat", Problem.EVERY),
    ("club ask naked-triple on=wombat", Problem.UNTIL),
    ("club ask naked-triple on=2026-11-01", Problem.UNTIL),
    ("club ask naked-triple on=friday until=2026-11-24", Problem.UNTIL),
    ("club ask naked-triple every=friday until=2026-12-24", Problem.UNTIL),
    ("club ask drop wombat", Problem.UNTIL),
    ("club ask wombat every=friday", Problem.NO_FIND),
    ("club ask 2026-11-22 every=friday", Problem.PLANNED_DAY),
    ("club ask 2026-11-24 on=friday", Problem.PLANNED_DAY),
    (f"club ask x-wing every=friday {CROOK_AFTER_SINGLES}", Problem.NOT_THERE),
)


@pytest.mark.parametrize(("line", "problem"), REFUSED)
async def test_what_cannot_be_planned_is_refused_and_nothing_is(
    line: str, problem: Problem
) -> None:
    story = await open_story(easy_puzzle())
    assert (await story.hears(InputRefused, line, leads=True)).problem is problem
    assert await story.hears(LeadersOnly, "club ask naked-triple every=friday")
    assert await story.hears(LeadersOnly, "club ask drop")
    assert not (await story.store.load_agenda(story.club.id)).planned


TIMES = (
    Until(),
    Until(days=1),
    Until(weekday=0, hour="09:00"),
    Until(on=WEDNESDAY),
    Until(hour="20:00"),
)


@pytest.mark.parametrize("until", TIMES)
def test_a_time_is_read_back_as_it_was_written(until: Until) -> None:
    assert parse_until(format_until(until)) == until
