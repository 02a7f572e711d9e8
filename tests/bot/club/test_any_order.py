"""Whatever order a day's acts reach us in, the table is the same: what counts are their stamps.

Of one member's looks (hints and checks) each rests on what was told before it, so they keep their
order among each other and come after the first start that reached us; all else is shuffled.
"""

from __future__ import annotations

import asyncio
from collections import Counter
from dataclasses import dataclass
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.club.facts import Table
from bot.club.ports import Store
from bot.club.replies import AnswerRight, MemberSolved, TableShown
from bot.storage import open_store
from tests.bot.club.stories import (
    CROOK_SOLUTION,
    DAY,
    EASY_SOLUTION,
    MONDAY,
    NOON,
    crook_puzzle,
    easy_puzzle,
    marked_digits,
    open_story,
    settings_with,
)

DAYS, MANY = 30, 600
POSTED_LATE = timedelta(minutes=7)
# Columns 3 and 7 of the published solution, read by hand.
RIGHT = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]
ANSWERS = (
    RIGHT,
    EASY_SOLUTION,
    RIGHT[9:] + RIGHT[:9],
    RIGHT[:-2] + RIGHT[-1] + RIGHT[-2],
    "1" * 18,
    marked_digits(CROOK_SOLUTION, 2, 5),
)
LOOKS = ("hint board sure", "hint more", "check")
SEEN: Counter[str] = Counter()


@dataclass(frozen=True)
class Said:
    """`after`: seconds since noon."""

    by: str
    line: str
    after: int

    @property
    def is_look(self) -> bool:
        return self.line in LOOKS


@st.composite
def days(draw: st.DrawFn) -> list[Said]:
    """Return a day's acts, in the order of their stamps; some after its closing."""
    stamps = draw(
        st.lists(st.integers(0, 90_000), min_size=4, max_size=14, unique=True).map(sorted)
    )
    lines = st.sampled_from(
        ("start", "start", *LOOKS, *(f"hand-in {answer}" for answer in (RIGHT, *ANSWERS)))
    )
    return [Said(draw(st.sampled_from(("ada", "ben"))), draw(lines), after) for after in stamps]


@st.composite
def deliveries(draw: st.DrawFn, acts: list[Said]) -> list[Said]:
    """Return the acts in an order in which they may reach us."""
    order = draw(st.permutations(acts))
    looks = {by: [act for act in acts if act.by == by and act.is_look] for by in ("ada", "ben")}
    placed = [looks[act.by].pop(0) if act.is_look else act for act in order]
    for by in ("ada", "ben"):
        held: list[Said] = []
        for place, act in enumerate(placed):
            if act.by == by and act.is_look:
                held.append(act)
            elif act.by == by and act.line == "start":
                early = [each for each in placed[:place] if each in held]
                placed = [
                    *(each for each in placed[:place] if each not in early),
                    act,
                    *early,
                    *placed[place + 1 :],
                ]
                break
    return placed


def is_told(acts: list[Said]) -> list[Said]:
    """Leave out looks of who never starts, or starts later by the stamps: they are refused."""
    kept = []
    started: set[str] = set()
    for act in acts:
        if act.line == "start":
            started.add(act.by)
        if not act.is_look or act.by in started:
            kept.append(act)
    return kept


Lines = dict[str, tuple[str, int | None, int]]


async def told_after(acts: list[Said], store: Store | None) -> tuple[Table, Lines]:
    """Live a day whose post came minutes late; return the table and what the room reads of each
    member in the end, and check the times told."""
    story = await open_story(store=store, settings=settings_with(quick=1.5))
    for puzzle in (easy_puzzle(), crook_puzzle()):
        await story.say(f"club queue {puzzle.givens}", leads=True)
    await story.later(seconds=POSTED_LATE.total_seconds()).tick()
    post = story.now
    story.now = NOON + timedelta(hours=26)
    for act in acts:
        at = NOON + timedelta(seconds=act.after)
        reply = await story.say(f"{act.line}", by=act.by, at=at)
        SEEN[type(reply).__name__] += 1
        if isinstance(reply, AnswerRight):
            assert 0 <= reply.raw <= max(0, (at - post).total_seconds())
    await story.tick()
    table = (await story.hears(TableShown, "leaderboard", at=NOON + DAY - timedelta(1e-6))).table
    results = await story.store.load_results(story.club.id, MONDAY, MONDAY)
    SEEN["results"] += len(results)
    by_id = {result.member_id: (await story.entry(result.name.lower())) for result in results}
    for result in results:
        finished_at = by_id[result.member_id].finished_at
        assert finished_at is not None
        assert 0 <= result.raw <= max(0, (finished_at - post).total_seconds())
    lines = {
        key: (said.name, said.rank, said.adjusted)
        for key, _, said in story.posts
        if isinstance(said, MemberSolved)
    }
    SEEN["lines"] += len(lines)
    return table, lines


def law_of(examples: int) -> None:
    @settings(
        max_examples=examples,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(st.data())
    def holds(draws: st.DataObject) -> None:
        acts = is_told(draws.draw(days()))
        order = draws.draw(deliveries(acts))
        SEEN["shuffled"] += order != acts

        async def live() -> tuple[tuple[Table, Lines], tuple[Table, Lines]]:
            async with open_store(None) as store:
                return await told_after(acts, None), await told_after(order, store)

        in_order, shuffled = asyncio.run(live())
        assert shuffled == in_order, order

    SEEN.clear()
    holds()
    print(f"\nany order, {examples} days: {dict(SEEN)}")  # noqa: T201


def test_any_order_of_a_days_acts_gives_the_same_table() -> None:
    law_of(DAYS)
    assert SEEN["shuffled"] >= DAYS // 2, SEEN
    assert SEEN["results"] >= DAYS // 2, SEEN
    assert SEEN["AnswerSwapped"] >= 5, SEEN
    assert SEEN["lines"] >= DAYS // 2, SEEN
    for kind in ("ClockStarted", "AnswerWrong", "AnswerAlready", "HintShown", "BoardChecked"):
        assert SEEN[kind] >= 1, SEEN


@pytest.mark.long
def test_any_order_of_a_days_acts_gives_the_same_table_ten_times_as_often() -> None:
    law_of(MANY)
    assert SEEN["results"] >= MANY, SEEN


async def test_a_start_that_reaches_us_after_the_answer_mends_what_the_room_was_told() -> None:
    story = await open_story(easy_puzzle())
    late = NOON + timedelta(minutes=20)
    assert (await story.hears(AnswerRight, f"hand-in {RIGHT}", at=late)).raw == 1200
    assert (await story.hears(AnswerRight, f"hand-in {RIGHT}", by="ben", at=late)).rank == 1
    await story.tick()
    await story.say("start", by="ben", at=NOON + timedelta(minutes=15))
    await story.tick()
    mended = story.post_with(MemberSolved)
    assert (mended.name, mended.adjusted, mended.rank) == ("Ben", 300, 1)


@pytest.mark.parametrize(
    ("ben_started", "ben"), [(None, ("mend", 3)), (timedelta(minutes=25), ("room", 1))]
)
async def test_an_answer_that_reaches_us_after_later_ones_mends_their_places(
    store: Store, ben_started: timedelta | None, ben: tuple[str, int]
) -> None:
    story = await open_story(easy_puzzle(), store=store)
    if ben_started is not None:
        await story.say("start", by="ben", at=NOON + ben_started)
    for by, minutes in (("ben", 30), ("cleo", 10)):
        await story.hears(
            AnswerRight, f"hand-in {RIGHT}", by=by, at=NOON + timedelta(minutes=minutes)
        )
        await story.tick()
    await story.hears(AnswerRight, f"hand-in {RIGHT}", by="ada", at=NOON + timedelta(minutes=20))
    await story.tick()
    told = {
        said.name: (audience, said.rank)
        for _, audience, said in story.posts
        if isinstance(said, MemberSolved)
    }
    # Of those who had finished by then, as if each had been told of at once.
    assert told == {"Cleo": ("room", 1), "Ada": ("room", 2), "Ben": ben}


async def test_an_answer_in_time_that_reaches_us_after_a_late_one_is_told_to_the_room(
    store: Store,
) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store)
    await story.later(days=1).tick()
    line = f"hand-in {MONDAY} {RIGHT}"
    assert (await story.hears(AnswerRight, line)).is_late
    await story.tick()
    assert not any(isinstance(said, MemberSolved) for _, _, said in story.posts)
    await story.say(line, at=NOON + timedelta(minutes=20))
    await story.tick()
    ((audience, told),) = [
        (audience, said) for _, audience, said in story.posts if isinstance(said, MemberSolved)
    ]
    assert (audience, told.name, told.rank, told.is_late) == ("room", "Ada", 1, False)
