"""A leader's puzzles through the service: the plan, the days to come, swaps, the queue, turning."""

from __future__ import annotations

from random import Random

import pytest
from msgspec.structs import replace

from bot import wording
from bot.club.plan import DayPlan
from bot.club.ports import SavePuzzle, Store
from bot.club.replies import (
    DayPosted,
    DaysPreviewed,
    InputRefused,
    PlanShown,
    PuzzlePreviewed,
    PuzzleQueued,
    PuzzlesQueued,
    PuzzleUnqueued,
    QueueShown,
    TurningShown,
)
from bot.club.state import ClubSettings, Puzzle
from bot.club.turning import study_turning
from engine.board.grid import format_grid, parse_grid
from engine.making.puzzles import shuffle_puzzle
from tests.bot.club.stories import (
    CROOK,
    DAY,
    EASY,
    MONDAY,
    SEVENTEEN,
    AtOnce,
    Story,
    easy_puzzle,
    open_story,
    settings_with,
)

# Herzberg & Murty, Notices AMS 54(6), 2007: exactly two solutions, which differ in four cells.
TWO_SOLUTIONS = "9.6.7.4.3...4..2...7..23.1.5.....1...4.2.8.6...3.....5.3.7...5...7..5...4.5.1.7.8"
# r1c3 is 4 in the only solution of the encyclopaedia example, so 1 there leaves none.
NO_SOLUTION = "531" + EASY[3:]
TRIPLES = settings_with(levels=(3,) * 7, theme="naked-triple", rising=True)


def disguised(givens: str, seed: int = 1) -> str:
    return format_grid(shuffle_puzzle(Random(seed), parse_grid(givens)))


def stocked(number: int, level: int = 3, *needs: str) -> Puzzle:
    """A puzzle that a club can have; its givens are those of another, moved and renamed."""
    return replace(
        easy_puzzle(), givens=disguised(EASY, number), level=level, needs=needs,
        effort=float(10 * number), form=f"form {number}",
    )  # fmt: skip


async def stocked_story(
    store: Store, count: int = 12, settings: ClubSettings = TRIPLES, *needs: str
) -> Story:
    """Return a club on Monday noon, with puzzles in stock and nothing posted yet."""
    story = await open_story(settings=settings, store=store)
    for number in range(1, count + 1):
        await store.save([SavePuzzle(stocked(number, 3, *(needs or ("naked-triple",))))])
    return story


async def lead(story: Story, line: str, **fields: str) -> object:
    return await story.say(line, leads=True, fields=fields)


# --- the plan and the days to come ---


async def test_the_plan_is_shown_changed_and_kept(store: Store) -> None:
    story = await stocked_story(store)
    shown = await story.hears(PlanShown, "club plan", leads=True)
    assert (shown.changed, shown.theme, shown.rising) == (False, "naked-triple", True)
    assert [day.stock for day in shown.days] == [12] * 7
    changed = await story.hears(PlanShown, "club plan mon level=2 theme=pointing", leads=True)
    assert changed.changed
    assert (changed.days[0].theme, changed.days[0].lowest) == ("pointing", 2)
    (club,) = await store.load_clubs()
    assert club.settings.wishes[0].theme == "pointing"


async def test_what_was_previewed_goes_up_day_by_day_whatever_comes_into_stock(
    store: Store,
) -> None:
    story = await stocked_story(store)
    shown = await story.hears(DaysPreviewed, "club preview", leads=True)
    assert [day.date for day in shown.days] == [MONDAY + number * DAY for number in range(7)]
    efforts = [day.effort for day in shown.days]
    assert efforts == sorted(set(efforts))
    for number in range(20, 40):
        await store.save([SavePuzzle(stocked(number, 3, "naked-triple"))])
    again = await story.hears(DaysPreviewed, "club preview", leads=True)
    assert again.days == shown.days
    posted = []
    for _ in range(7):
        await story.tick()
        posted.append(story.post_with(DayPosted).day.givens)
        story.later(days=1)
    assert posted == [day.picture.givens for day in shown.days]


async def test_a_swapped_puzzle_goes_up_in_place_of_the_other(store: Store) -> None:
    story = await stocked_story(store)
    before = await story.hears(DaysPreviewed, "club preview", leads=True)
    tuesday = (MONDAY + DAY).isoformat()
    shown = wording.phrase(
        await story.hears(PuzzlePreviewed, f"club preview {tuesday}", leads=True)
    )
    (press,) = [each.command for each in shown.buttons if each.label == "Swap it"]
    swapped = await story.hears(PuzzlePreviewed, press, leads=True)
    # Pressed again, it shows what took the puzzle's place, and swaps no more.
    assert await story.hears(PuzzlePreviewed, press, leads=True) == swapped
    assert (swapped.is_swapped, swapped.day.date) == (True, MONDAY + DAY)
    after = await story.hears(DaysPreviewed, "club preview", leads=True)
    assert after.days[1].picture == swapped.day.picture != before.days[1].picture
    assert after.days[2:] == before.days[2:]
    efforts = [day.effort for day in after.days]
    assert efforts == sorted(set(efforts))
    await story.tick()
    await story.later(days=1).tick()
    assert story.post_with(DayPosted).day.givens == swapped.picture.givens


async def test_a_new_plan_drops_what_was_picked_for_the_old_one_and_no_more(store: Store) -> None:
    story = await stocked_story(store, 14, settings_with(levels=(3,) * 7))
    before = await story.hears(DaysPreviewed, "club preview", leads=True)
    await store.save([SavePuzzle(stocked(50, 2, "pointing"))])
    await story.hears(PlanShown, "club plan tue level=2 theme=pointing", leads=True)
    after = await story.hears(DaysPreviewed, "club preview", leads=True)
    assert (after.days[1].level, after.days[1].needs) == (2, ("pointing",))
    others = [day for day in after.days if day.date != MONDAY + DAY]
    assert others == [day for day in before.days if day.date != MONDAY + DAY]


async def test_what_only_comes_nearest_is_said_to_and_gives_way_to_what_fits(store: Store) -> None:
    story = await stocked_story(store, 3, TRIPLES, "naked-pair")
    shown = await story.hears(PuzzlePreviewed, "club preview 1", leads=True)
    assert (shown.day.source, shown.day.theme) == ("nearest", "naked-triple")
    await store.save([SavePuzzle(stocked(60, 3, "naked-triple"))])
    better = await story.hears(PuzzlePreviewed, "club preview 1", leads=True)
    assert (better.day.source, better.day.needs) == ("stock", ("naked-triple",))


async def test_days_for_which_nothing_is_left_are_named(store: Store) -> None:
    story = await stocked_story(store, 2)
    shown = await story.hears(DaysPreviewed, "club preview 4", leads=True)
    assert len(shown.days) == 2
    assert shown.missing == (MONDAY + 2 * DAY, MONDAY + 3 * DAY)


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("club preview 2026-11-01", "not-coming"),
        ("club swap 2027-11-01", "not-coming"),
        ("club turning 2026-11-01", "not-coming"),
        ("club preview 0", "days"),
        ("club preview 90", "days"),
    ],
)
async def test_a_day_that_cannot_be_looked_at_is_refused(
    store: Store, line: str, problem: str
) -> None:
    story = await stocked_story(store)
    assert (await story.hears(InputRefused, line, leads=True)).problem == problem


async def test_there_is_nothing_to_swap_for_in_an_empty_stock(store: Store) -> None:
    story = await stocked_story(store, 1)
    refused = await story.hears(InputRefused, "club swap", leads=True)
    assert (refused.command, refused.problem) == ("club swap", "no-other")


async def test_a_swap_takes_no_puzzle_that_a_day_before_would_get(store: Store) -> None:
    """Nobody has looked at those days yet, so nothing is picked for them."""
    story = await stocked_story(store, 3, settings_with(levels=(3,) * 7))
    refused = await story.hears(InputRefused, "club swap 2026-11-25", leads=True)
    assert refused.problem == "no-other"
    await store.save([SavePuzzle(stocked(9, 3, "naked-triple"))])
    swapped = await story.hears(PuzzlePreviewed, "club swap 2026-11-25", leads=True)
    shown = await story.hears(DaysPreviewed, "club preview 3", leads=True)
    assert [day.effort for day in shown.days[:2]] == [10, 20]
    assert shown.days[2].effort == swapped.day.effort == 90
    assert not swapped.is_next
    await store.save([SavePuzzle(stocked(10, 3, "naked-triple"))])
    assert (await story.hears(PuzzlePreviewed, "club swap", leads=True)).is_next


# --- the queue ---


async def test_a_puzzle_for_a_level_waits_for_a_day_planned_for_it(store: Store) -> None:
    story = await stocked_story(store, 8, settings_with(levels=(3, 3, 1, 3, 3, 3, 3)))
    queued = await story.hears(PuzzleQueued, f"club queue {EASY} level=1 credit=Wren", leads=True)
    assert (queued.wait_level, queued.day, queued.credit) == (1, None, "Wren")
    coming = await story.hears(DaysPreviewed, "club preview", leads=True)
    assert [day.date for day in coming.days if day.source == "queue"] == [MONDAY + 2 * DAY]
    assert coming.days[2].credit == "Wren"
    refused = await story.hears(InputRefused, f"club queue {CROOK} level=5", leads=True)
    assert (refused.problem, refused.typed) == ("no-day", CROOK)


async def test_a_form_takes_a_date_or_a_level_or_neither(store: Store) -> None:
    story = await stocked_story(store)
    lines = "\n".join(CROOK[start : start + 9] for start in range(0, 81, 9))
    reply = await lead(story, "club queue", grid=lines, date=" 2026-11-27 ", credit="Wren")
    assert isinstance(reply, PuzzleQueued)
    assert (reply.day, reply.credit) == (MONDAY + 4 * DAY, "Wren")
    reply = await lead(story, "club queue sure", grid=EASY, date="3", credit="")
    assert isinstance(reply, PuzzleQueued)
    assert reply.wait_level == 3
    reply = await lead(story, "club queue", grid=SEVENTEEN, date="", credit="")
    assert isinstance(reply, PuzzleQueued)
    assert (reply.day, reply.wait_level) == (None, None)


async def test_the_judgement_of_a_queued_puzzle_is_told(store: Store) -> None:
    story = await stocked_story(store)
    queued = await story.hears(PuzzleQueued, f"club queue {CROOK}", leads=True)
    findings = queued.findings
    # Crook's puzzle has 23 givens (Notices AMS 56(4), 2009, p. 463).
    assert (queued.level, findings.givens, findings.is_minimal) == (3, 23, True)
    assert "naked-pair" in findings.turning


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        (TWO_SOLUTIONS, "many-solutions"),
        (NO_SOLUTION, "no-solution"),
        (EASY[:-1], "length"),
        ("a" + EASY[1:], "character"),
        ("55" + EASY[2:], "repeated"),
    ],
)
async def test_a_bad_puzzle_is_refused_with_what_is_wrong_and_nothing_is_lost(
    store: Store, text: str, problem: str
) -> None:
    story = await stocked_story(store)
    await story.hears(PuzzleQueued, f"club queue {CROOK}", leads=True)
    stock = len(await store.load_stock(story.club.id))
    refused = await story.hears(InputRefused, "club queue", leads=True, fields={"grid": text})
    assert (refused.problem, refused.typed) == (problem, text)
    shown = await story.hears(QueueShown, "club queue", leads=True)
    assert [each.level for each in shown.waiting] == [3]
    assert len(await store.load_stock(story.club.id)) == stock


async def test_several_pasted_at_once_are_judged_each_by_itself(store: Store) -> None:
    story = await stocked_story(store)
    pasted = "\n".join((CROOK, TWO_SOLUTIONS, EASY[:-1], disguised(CROOK), EASY))
    reply = await lead(story, "club queue", grid=pasted, date="2026-11-25", credit="Wren")
    assert isinstance(reply, PuzzlesQueued)
    first, two, short, again, last = reply.outcomes
    assert isinstance(first, PuzzleQueued)
    assert isinstance(last, PuzzleQueued)
    assert (first.day, last.day) == (MONDAY + 2 * DAY, MONDAY + 3 * DAY)
    problems = [each.problem for each in (two, short, again) if isinstance(each, InputRefused)]
    assert problems == ["many-solutions", "length", "repeat-puzzle"]
    queue = await store.load_queue(story.club.id)
    assert [(each.puzzle.givens, each.day) for each in queue] == [
        (CROOK, MONDAY + 2 * DAY), (EASY, MONDAY + 3 * DAY),
    ]  # fmt: skip
    message = wording.phrase(reply)
    assert message.code.split() == [TWO_SOLUTIONS, EASY[:-1], disguised(CROOK)]
    assert message.text.startswith("2 of 5 puzzles are queued.")


async def test_too_many_at_once_are_refused(store: Store) -> None:
    story = await stocked_story(store)
    pasted = "\n".join([CROOK] * 15)
    refused = await story.hears(InputRefused, "club queue", leads=True, fields={"grid": pasted})
    assert (refused.problem, refused.found) == ("too-many", 15)


@pytest.mark.parametrize("seed", [1, 2])
async def test_a_disguise_of_what_the_club_had_or_has_queued_is_recognised(
    store: Store, seed: int
) -> None:
    story = await open_story(easy_puzzle(), store=store)
    had = await story.hears(InputRefused, f"club queue {disguised(EASY, seed)}", leads=True)
    assert (had.problem, had.text, had.is_disguised) == ("repeat-puzzle", MONDAY.isoformat(), True)
    await story.hears(PuzzleQueued, f"club queue {CROOK}", leads=True)
    waiting = await story.hears(InputRefused, f"club queue {disguised(CROOK, seed)}", leads=True)
    assert (waiting.problem, waiting.text, waiting.is_disguised) == ("repeat-puzzle", "", True)
    plain = await story.hears(InputRefused, f"club queue {EASY}", leads=True)
    assert (plain.problem, plain.is_disguised) == ("repeat-puzzle", False)


async def test_one_is_taken_out_of_the_queue_by_its_number(store: Store) -> None:
    story = await stocked_story(store)
    for givens in (CROOK, EASY):
        await story.hears(PuzzleQueued, f"club queue {givens}", leads=True)
    gone = await story.hears(PuzzleUnqueued, "club queue remove 1", leads=True)
    assert (gone.level, gone.left) == (3, 1)
    shown = await story.hears(QueueShown, "club queue", leads=True)
    assert [each.level for each in shown.waiting] == [1]
    which = await story.hears(InputRefused, "club queue remove", leads=True)
    assert wording.phrase(which).text.startswith("Which one? Give its number in the queue, 1;")
    refused = await story.hears(InputRefused, "club queue remove 2", leads=True)
    assert (refused.problem, refused.found) == ("queue-place", 1)
    assert CROOK in [each.givens for each in await store.load_stock(story.club.id)]


async def test_a_day_with_a_puzzle_of_the_leaders_own_is_not_swapped(store: Store) -> None:
    story = await stocked_story(store)
    await story.hears(PuzzleQueued, f"club queue {CROOK} 2026-11-24", leads=True)
    refused = await story.hears(InputRefused, "club swap 2026-11-24", leads=True)
    assert refused.problem == "own-puzzle"


# --- where it turns ---


async def test_a_leader_reads_where_a_coming_puzzle_turns_and_then_that_one_goes_up(
    store: Store,
) -> None:
    story = await open_story(store=store)
    await story.hears(PuzzleQueued, f"club queue {CROOK} 2026-11-24", leads=True)
    await story.hears(PuzzleQueued, f"club queue {EASY} 2026-11-23", leads=True)
    shown = await story.hears(TurningShown, "club turning 2026-11-24", leads=True)
    assert (shown.date, shown.report) == (MONDAY + DAY, study_turning(CROOK))
    assert shown.report.missing[0].technique == "naked-pair"
    await story.tick()
    posted = await story.hears(TurningShown, "club turning 2026-11-23", leads=True)
    assert posted.report.points == ()
    later = await story.hears(TurningShown, "club turning", leads=True)
    assert later == shown
    line = "club turning 2026-11-24 theme=hidden triples"
    assert (await story.hears(TurningShown, line, leads=True)).theme == "hidden-triple"
    refused = await story.hears(InputRefused, "club turning theme=guessing", leads=True)
    assert (refused.problem, refused.text) == ("value", "theme=guessing")


async def test_a_plan_in_which_nothing_is_left_has_one_made_for_the_day_asked_about(
    store: Store,
) -> None:
    class Maker(AtOnce):
        async def make_puzzle(self, entry: DayPlan, seed: int) -> Puzzle | None:
            return stocked(seed % 1000, entry.lowest, entry.theme)

    story = await open_story(settings=TRIPLES, store=store, source=Maker())  # type: ignore[arg-type]
    shown = await story.hears(PuzzlePreviewed, "club preview 1", leads=True)
    assert (shown.day.source, shown.day.needs) == ("made", ("naked-triple",))
    await story.tick()
    assert story.post_with(DayPosted).day.givens == shown.picture.givens
