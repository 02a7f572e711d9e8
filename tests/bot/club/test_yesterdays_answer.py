"""Yesterday's answer is yesterday's: it costs nothing on today's, and tells nothing of it."""

from __future__ import annotations

import asyncio
from collections import Counter

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.club.ports import Store
from bot.club.replies import (
    AnswerAlready,
    AnswerNearlyRight,
    AnswerRight,
    AnswerSwapped,
    AnswerWrong,
    Reply,
    TalkHeard,
    encode_reply,
)
from bot.club.state import Puzzle
from bot.wording import phrase
from tests.bot.club.stories import (
    CROOK_SOLUTION,
    DAY,
    EASY,
    EASY_SOLUTION,
    MONDAY,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
    settings_with,
)
from tests.bot.club.two_worlds import exchanged
from tests.bot.storage.samples import entries_of

# Rows 2 and 5 of the published solution, which are Crook's marked lines, read by hand.
YESTERDAYS = CROOK_SOLUTION[9:18] + CROOK_SOLUTION[36:45]
SWAPPED = YESTERDAYS[9:] + YESTERDAYS[:9]
ONE_SLIP = YESTERDAYS[:-1] + ("1" if YESTERDAYS[-1] != "1" else "2")
TWO_SLIPS = SWAPPED[:-2] + SWAPPED[-1] + SWAPPED[-2]
THREE_SLIPS = YESTERDAYS[1:3] + YESTERDAYS[0] + YESTERDAYS[3:]


async def the_minute_after(store: Store | None = None, today: Puzzle | None = None) -> Story:
    """Return the club a minute after it closed the day before."""
    story = await open_story(
        crook_puzzle(), today or easy_puzzle(), store=store, settings=settings_with()
    )
    story.later(days=1)
    await story.tick()
    return story.later(minutes=1)


async def added(story: Story) -> list[int]:
    entries = await entries_of(story.store, story.club, "ada")
    return [entry.added_seconds for entry in entries]


@pytest.mark.parametrize("text", [ONE_SLIP, TWO_SLIPS])
async def test_yesterdays_answer_with_a_slip_is_said_to_be_yesterdays_and_costs_nothing(
    store: Store, text: str
) -> None:
    story = await the_minute_after(store)
    reply = await story.hears(AnswerNearlyRight, f"hand-in {text}")
    assert reply.closed == MONDAY
    assert sum(await added(story)) == 0
    message = phrase(reply)
    assert "Monday 23 November" in message.text
    assert message.form is not None
    # Its form hands in to that day's puzzle.
    late = await story.hears(AnswerRight, message.form.command, fields={"answer": YESTERDAYS})
    assert (late.date, late.is_late, late.added) == (MONDAY, True, 0)


async def test_yesterdays_lines_swapped_are_yesterdays() -> None:
    story = await the_minute_after()
    reply = await story.hears(AnswerSwapped, f"hand-in {SWAPPED}")
    assert (reply.closed, reply.lines) == (MONDAY, ("row 2", "row 5"))
    assert await added(story) == []


async def test_yesterdays_answer_once_more_with_a_slip_says_that_it_stands() -> None:
    story = await the_minute_after()
    before = story.now - DAY
    await story.hears(AnswerRight, f"hand-in {YESTERDAYS}", at=before)
    assert (await story.hears(AnswerAlready, f"hand-in {ONE_SLIP}")).date == MONDAY
    assert await added(story) == [0]


async def test_what_is_further_off_is_todays() -> None:
    story = await the_minute_after()
    assert (await story.hears(AnswerWrong, f"hand-in {THREE_SLIPS}")).seconds == 60


async def test_yesterdays_answer_said_in_the_open_is_talk() -> None:
    story = await the_minute_after()
    for text in (YESTERDAYS, SWAPPED, ONE_SLIP):
        assert not (await story.hears(TalkHeard, text, in_open=True)).was_public, text
    assert await added(story) == []
    todays = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]
    assert (await story.hears(AnswerRight, todays, in_open=True)).was_public


async def test_on_the_day_itself_a_slip_costs_and_nothing_says_how_near_it_was() -> None:
    story = await open_story(crook_puzzle(), settings=settings_with())
    near, far = [
        await story.hears(AnswerWrong, f"hand-in {text}", by=by)
        for text, by in ((ONE_SLIP, "ada"), ("1" * 18, "ben"))
    ]
    assert near == far


DRAWS, MANY = 40, 400
SEEN: Counter[str] = Counter()


@st.composite
def near_yesterdays(draw: st.DrawFn) -> str:
    digits = list(draw(st.sampled_from((YESTERDAYS, SWAPPED, CROOK_SOLUTION))))
    places = st.integers(0, len(digits) - 1)
    for place in draw(st.lists(places, min_size=0, max_size=4)):
        digits[place] = draw(st.sampled_from("123456789"))
    return "".join(digits)


def law_of(examples: int) -> None:
    twin = exchanged(EASY_SOLUTION, "12", 0)
    givens = "".join(
        mark if EASY_SOLUTION[cell] == twin[cell] else "." for cell, mark in enumerate(EASY)
    )

    async def live(said: list[str]) -> None:
        worlds = [
            await the_minute_after(today=Puzzle(0, givens, solution, 1))
            for solution in (EASY_SOLUTION, twin)
        ]
        told: list[list[tuple[Reply, list[int]]]] = [
            [(await story.say(f"hand-in {text}"), await added(story)) for text in said]
            for story in worlds
        ]
        for (here, paid_here), (there, paid_there) in zip(*told, strict=True):
            SEEN[type(here).__name__] += 1
            assert encode_reply(here) == encode_reply(there)
            assert paid_here == paid_there

    @settings(
        max_examples=examples,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(st.lists(near_yesterdays(), min_size=1, max_size=6))
    def holds(said: list[str]) -> None:
        asyncio.run(live(said))

    SEEN.clear()
    holds()
    print(f"\nyesterday's answers, {examples} draws: {dict(SEEN)}")  # noqa: T201


def test_what_is_said_of_yesterdays_answers_is_the_same_whichever_solution_today_has() -> None:
    law_of(DRAWS)
    for kind in ("AnswerNearlyRight", "AnswerSwapped", "AnswerWrong", "AnswerRight"):
        assert SEEN[kind] >= 3, SEEN


@pytest.mark.long
def test_what_is_said_of_yesterdays_answers_is_the_same_ten_times_as_often() -> None:
    law_of(MANY)
    assert SEEN["AnswerNearlyRight"] >= 30, SEEN
