"""What the engine works out holds nobody up: the club goes on meanwhile, and the act is decided on
what is stored when the answer is there.

The gate stands where the workshop does and keeps every answer back until the test lets it out, so
no test here waits for a clock.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from typing import TypeVar

import pytest

from bot.club.plan import DayPlan
from bot.club.ports import TooMuchWorkError
from bot.club.questions import Studies
from bot.club.refusal import RefusedError
from bot.club.replies import (
    BoardShown,
    Busy,
    ClockStarted,
    HintShown,
    InputRefused,
    LeadersOnly,
    PuzzleQueued,
    PuzzlesQueued,
    Reply,
    WalkthroughPosted,
    WalkthroughShown,
)
from bot.club.state import Puzzle
from bot.club.studies import MOST_QUESTIONS, Study, work_within
from bot.wording import phrase
from engine.limits import count_work
from tests.bot.club.stories import (
    CROOK,
    EASY,
    MONDAY,
    AtOnce,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
)

T = TypeVar("T")

HOSTILE = ".....5.8....6.1.43..........1.5........1.6...3.......553.....61........4........."
"""Found by a trial: another member's `start` waited 84 seconds for this one to be judged."""


class Gate(AtOnce):
    """Keeps back what is asked of it while it is shut; `asked` tells what it was, in order."""

    def __init__(self) -> None:
        self.asked: list[str] = []
        self.made: Puzzle | None = None
        self._open = asyncio.Event()
        self._news = asyncio.Condition()
        self._open.set()

    def shut(self) -> None:
        self._open.clear()

    def open(self) -> None:
        self._open.set()

    async def until_asked(self, times: int) -> None:
        async with self._news:
            await self._news.wait_for(lambda: len(self.asked) >= times)

    async def _pass(self, name: str) -> None:
        async with self._news:
            self.asked.append(name)
            self._news.notify_all()
        await self._open.wait()

    async def work_out(self, work: Callable[..., T], *arguments: object) -> T:
        await self._pass(work.__name__)
        return await super().work_out(work, *arguments)

    async def make_puzzle(self, entry: DayPlan, seed: int) -> Puzzle | None:
        await self._pass("make_puzzle")
        return self.made


@asynccontextmanager
async def held(
    story: Story, gate: Gate, line: str, **how: object
) -> AsyncIterator[asyncio.Task[Reply]]:
    """Say a line whose answer is kept back while the block runs, and let it out after it."""
    before = len(gate.asked)
    gate.shut()
    task = asyncio.create_task(story.say(line, **how))  # type: ignore[arg-type]
    await gate.until_asked(before + 1)
    try:
        yield task
        assert not task.done()
        gate.open()
        await task
    finally:
        gate.open()
        if not task.done():
            task.cancel()
            with suppress(asyncio.CancelledError):
                await task


async def gated(*puzzles: Puzzle) -> tuple[Story, Gate]:
    gate = Gate()
    story = await open_story(*puzzles, source=gate)
    return story, gate


LEADERS_LINES = (
    f"club queue {HOSTILE}",
    f"club queue {CROOK}\n{HOSTILE}",
    "club turning",
    "club preview 1",
    "club swap",
)


@pytest.mark.parametrize("line", LEADERS_LINES)
async def test_while_a_leaders_question_is_worked_out_the_club_is_served(line: str) -> None:
    story, gate = await gated(easy_puzzle())
    gate.made = crook_puzzle()
    async with held(story, gate, line, by="rowan", leads=True) as task:
        await story.hears(ClockStarted, "start", by="ben")
        await story.hears(BoardShown, "place r1c3 4", by="ben")
        assert not task.done()
    assert not isinstance(await task, Busy)


@pytest.mark.parametrize("line", ["hint board sure", f"hint {EASY}", f"paste {EASY}"])
async def test_while_a_members_hint_is_worked_out_the_others_are_served(line: str) -> None:
    story, gate = await gated(easy_puzzle())
    await story.hears(ClockStarted, "start")
    async with held(story, gate, line) as task:
        await story.hears(ClockStarted, "start", by="ben")
    assert isinstance(await task, HintShown | BoardShown)


async def test_while_a_walkthrough_is_worked_out_the_others_are_served_and_the_day_closes() -> None:
    story, gate = await gated(easy_puzzle(), crook_puzzle())
    story.later(days=1)
    gate.shut()
    closing = asyncio.create_task(story.tick())
    await gate.until_asked(1)
    await story.hears(InputRefused, "place r1c1 x", by="ben")
    await story.hears(LeadersOnly, "club pause", by="ben")
    gate.open()
    await closing
    assert story.post_with(WalkthroughPosted).is_solved
    await story.hears(ClockStarted, "start", by="ben")
    gate.shut()  # what was worked out for the closing is not worked out again
    await story.hears(WalkthroughShown, f"walkthrough {MONDAY}")


async def test_while_a_member_waits_for_a_walkthrough_the_others_are_served() -> None:
    story, gate = await gated(easy_puzzle(), crook_puzzle())
    await story.later(days=1).tick()
    await story.say("club setup uniqueness=no", leads=True)  # by another ladder it is another one
    async with held(story, gate, f"walkthrough {MONDAY}") as task:
        await story.hears(ClockStarted, "start", by="ben")
    assert isinstance(await task, WalkthroughShown)


# --- decided on what is stored then ---


async def test_of_two_leaders_who_queue_the_same_puzzle_meanwhile_one_is_told_so() -> None:
    story, gate = await gated(easy_puzzle())
    async with held(story, gate, f"club queue {CROOK}", by="rowan", leads=True) as first:
        second = asyncio.create_task(story.say(f"club queue {CROOK}", by="hazel", leads=True))
        await gate.until_asked(2)
    replies = (await first, await second)
    (queued,) = [each for each in replies if isinstance(each, PuzzleQueued)]
    (refused,) = [each for each in replies if isinstance(each, InputRefused)]
    assert queued.place == 1
    assert refused.problem == "repeat-puzzle"
    assert len(await story.store.load_queue(story.club.id)) == 1


async def test_who_stops_leading_meanwhile_queues_nothing() -> None:
    story, gate = await gated(easy_puzzle())
    await story.say("club setup leaders=rowan,hazel", by="hazel", leads=True)
    async with held(story, gate, f"club queue {CROOK}", by="rowan"):
        await story.say("club setup leaders=hazel", by="hazel")
    assert await story.store.load_queue(story.club.id) == ()


async def test_a_hint_is_about_the_board_as_it_is_when_it_comes() -> None:
    story, gate = await gated(easy_puzzle())
    await story.hears(ClockStarted, "start")
    async with held(story, gate, "hint board sure") as task:
        await story.hears(BoardShown, "place r5c5 5")
    hint = await task
    assert isinstance(hint, HintShown)
    assert hint.position.grid[4 * 9 + 4] == "5"
    assert gate.asked == ["decide_on_hint", "decide_on_hint"]
    assert (await story.entry()).board.grid[4 * 9 + 4] == "5"


async def test_an_act_that_comes_twice_meanwhile_is_answered_alike_and_saved_once() -> None:
    story, gate = await gated(easy_puzzle())
    how = {"by": "rowan", "leads": True, "event_id": "the same"}
    async with held(story, gate, f"club queue {CROOK}", **how) as first:
        again = asyncio.create_task(story.say(f"club queue {CROOK}", **how))  # type: ignore[arg-type]
        await asyncio.sleep(0)
    assert await first == await again
    assert len(await story.store.load_queue(story.club.id)) == 1


async def test_a_member_asks_nothing_of_the_engine_before_their_rights_are_known() -> None:
    story, gate = await gated(easy_puzzle())
    for line in LEADERS_LINES:
        await story.hears(LeadersOnly, line)
    assert gate.asked == []


# --- what takes too long ---


class TooMuch(AtOnce):
    """A workshop for which everything is too much."""

    async def work_out(self, work: Callable[..., T], *arguments: object) -> T:
        raise TooMuchWorkError

    async def make_puzzle(self, entry: DayPlan, seed: int) -> Puzzle | None:
        return None


async def test_what_takes_too_long_is_refused_in_plain_words_and_changes_nothing() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), source=TooMuch())
    await story.hears(ClockStarted, "start")
    before = await story.entry()
    for line, words in (
        ("hint board sure", "From this board a hint is too hard to find in time"),
        (f"paste {EASY}", "From this board a hint is too hard to find in time"),
        (f"club queue {HOSTILE}", "That grid is too hard to judge in time"),
        ("club turning", "It takes too long to work out where this puzzle turns"),
    ):
        refused = await story.hears(InputRefused, line, leads=True)
        assert refused.problem == "no-time"
        assert phrase(refused).text.startswith(words)
    assert await story.entry() == before
    assert len(await story.store.load_queue(story.club.id)) == 1


async def test_of_several_puzzles_those_that_take_too_long_are_handed_back() -> None:
    class Choosy(TooMuch):
        async def work_out(self, work: Callable[..., T], *arguments: object) -> T:
            if arguments[0] == HOSTILE:
                raise TooMuchWorkError
            return work(*arguments)

    story = await open_story(easy_puzzle(), source=Choosy())
    reply = await story.hears(PuzzlesQueued, f"club queue {HOSTILE}\n{CROOK}", leads=True)
    refused, queued = reply.outcomes
    assert isinstance(refused, InputRefused)
    assert (refused.problem, refused.typed) == ("no-time", HOSTILE)
    assert isinstance(queued, PuzzleQueued)


async def test_a_day_closes_even_where_its_walkthrough_takes_too_long() -> None:
    story = await open_story(easy_puzzle(), source=TooMuch())
    await story.later(days=1).tick()
    posted = story.post_with(WalkthroughPosted)
    assert (posted.steps, posted.is_solved) == ((), False)
    refused = await story.hears(InputRefused, f"walkthrough {MONDAY}")
    assert refused.problem == "no-time"


async def test_the_grid_that_held_a_club_for_84_seconds_has_no_solution_and_is_told_so() -> None:
    story = await open_story(easy_puzzle())
    refused = await story.hears(InputRefused, f"club queue {HOSTILE}", leads=True)
    assert refused.problem == "no-solution"


def burn() -> None:
    while True:
        count_work()


def test_work_without_an_end_is_ended_by_its_count() -> None:
    with pytest.raises(TooMuchWorkError):
        work_within(burn, most=10_000)


async def test_one_person_has_one_question_worked_out_at_a_time_and_others_theirs_beside_it() -> (
    None
):
    gate = Gate()
    study = Study(gate)

    def asking(number: int, who: str) -> asyncio.Task[int]:
        studies = Studies()

        async def decide() -> int:
            return studies.of(abs, number)

        return asyncio.create_task(study.through(decide, studies, who=who))

    gate.shut()
    mine = [asking(number, "rowan") for number in (-1, -2, -3)]
    theirs = asking(-4, "hazel")
    await gate.until_asked(2)
    for _ in range(10):
        await asyncio.sleep(0)
    assert len(gate.asked) == 2
    gate.open()
    assert await asyncio.gather(*mine, theirs) == [1, 2, 3, 4]


async def test_an_act_that_asks_without_end_is_answered_that_it_was_a_lot() -> None:
    gate, studies = Gate(), Studies()

    async def decide() -> int:
        return studies.of(abs, -len(gate.asked))

    with pytest.raises(RefusedError) as caught:
        await Study(gate).through(decide, studies, who="rowan")
    assert caught.value.reply == Busy()
    assert len(gate.asked) == MOST_QUESTIONS
