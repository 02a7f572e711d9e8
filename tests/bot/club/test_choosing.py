"""Which puzzle a date gets: the queue first, then what was picked, then what fits; none twice."""

from __future__ import annotations

from msgspec.structs import replace

from bot.club.choosing import Supply, choose_puzzle, look_ahead, next_instead, supply_of
from bot.club.ports import Picked, Queued
from bot.club.state import ClubSettings, DayWish, Puzzle
from tests.bot.club.stories import DAY, MONDAY, crook_puzzle, day_with, settings_with


def puzzle(number: int, level: int, *needs: str, effort: float = 0, pattern: str = "") -> Puzzle:
    return Puzzle(number, f"{number:081}", "", level, needs, effort=effort, pattern=pattern)


SETTINGS = settings_with(levels=(1, 1, 2, 2, 3, 3, 2))
FRIDAY = MONDAY + 4 * DAY
WEEK = [MONDAY + number * DAY for number in range(7)]
STOCK = (puzzle(1, 2), puzzle(2, 1), puzzle(3, 3), puzzle(4, 3, "naked-triple"), puzzle(5, 1))


def chosen(
    queue: tuple[Queued, ...] = (),
    stock: tuple[Puzzle, ...] = STOCK,
    settings: ClubSettings = SETTINGS,
    picks: tuple[Picked, ...] = (),
) -> Puzzle | None:
    coming = choose_puzzle(supply_of(settings, queue, picks, stock), FRIDAY)
    return coming.puzzle if coming else None


def test_the_queue_for_the_date_comes_before_the_queue_without_one() -> None:
    queue = (
        Queued(puzzle(11, 1), None),
        Queued(puzzle(12, 1), FRIDAY + DAY),
        Queued(puzzle(13, 1), FRIDAY),
    )
    assert chosen(queue) == puzzle(13, 1)
    assert chosen(queue[:2]) == puzzle(11, 1)


def test_a_puzzle_queued_for_another_date_is_left_for_it() -> None:
    queue = (Queued(puzzle(11, 3), FRIDAY + DAY),)
    assert chosen(queue) == STOCK[2]


def test_a_puzzle_queued_for_a_date_that_passed_comes_in_its_turn() -> None:
    queue = (Queued(puzzle(11, 1), FRIDAY - DAY), Queued(puzzle(12, 1), None))
    assert chosen(queue) == puzzle(11, 1)
    assert chosen((*queue, Queued(puzzle(13, 1), FRIDAY))) == puzzle(13, 1)


def test_a_puzzle_queued_for_a_level_waits_for_a_day_of_that_level() -> None:
    supply = supply_of(SETTINGS, (Queued(puzzle(11, 2), None, level=2),), (), STOCK)
    came = [each.day for each in look_ahead(supply, WEEK) if each and each.source == "queue"]
    assert came == [MONDAY + 2 * DAY]


def test_what_was_picked_for_the_date_comes_before_the_stock_and_after_the_queue() -> None:
    picks = (Picked(STOCK[0], FRIDAY),)
    assert chosen(picks=picks) == STOCK[0]
    assert chosen((Queued(puzzle(11, 1), None),), picks=picks) == puzzle(11, 1)
    assert chosen(picks=(Picked(STOCK[2], FRIDAY + DAY),)) == STOCK[3]


def test_a_pick_that_the_club_may_not_have_any_more_does_not_stand() -> None:
    assert chosen(picks=(Picked(puzzle(99, 3), FRIDAY),)) == STOCK[2]


def test_of_the_stock_the_level_of_the_weekday_comes_first_and_then_the_theme() -> None:
    assert chosen() == STOCK[2]
    assert chosen(settings=settings_with(theme="naked-triple")) == STOCK[3]
    assert chosen(settings=settings_with(theme="hidden-quad")) == STOCK[2]


def test_the_pattern_of_the_givens_counts_after_level_and_theme() -> None:
    turned = (puzzle(21, 3), puzzle(22, 3, pattern="quarter-turn"), puzzle(23, 3, pattern="mirror"))
    half = settings_with(levels=SETTINGS.levels, pattern="half-turn")
    assert chosen(stock=turned, settings=half) == turned[1]
    assert chosen(stock=turned[::2], settings=half) == turned[0]


def test_without_the_level_the_nearest_is_taken_and_said_to_be() -> None:
    supply = supply_of(SETTINGS, (), (), (puzzle(1, 1), puzzle(2, 2)))
    coming = choose_puzzle(supply, FRIDAY)
    assert coming is not None
    assert (coming.puzzle, coming.source) == (puzzle(2, 2), "nearest")
    assert chosen(stock=()) is None


def test_a_queued_puzzle_that_the_club_has_had_meanwhile_does_not_come_again() -> None:
    again = replace(crook_puzzle(), givens=crook_puzzle().givens[::-1], form="the same")
    had = day_with(replace(crook_puzzle(), form="the same"), MONDAY)
    supply = supply_of(SETTINGS, (Queued(again, None),), (), STOCK, [had])
    coming = choose_puzzle(supply, FRIDAY)
    assert coming is not None
    assert coming.puzzle == STOCK[2]


def test_of_what_fits_a_theme_the_clean_ones_come_first() -> None:
    themed = settings_with(theme="naked-triple")
    many, unknown, once = (
        replace(puzzle(30 + number, 3, "naked-triple"), hardest="naked-triple", turns=turns)
        for number, turns in enumerate((3, None, 1))
    )
    other = replace(puzzle(29, 3, "naked-triple", "swordfish"), hardest="swordfish", turns=1)
    stock = (other, many, unknown, once)
    assert chosen(stock=stock, settings=themed) == once
    assert chosen(stock=stock[:3], settings=themed) == other
    assert chosen(stock=stock, settings=settings_with(theme="")) == other


# --- a week ahead ---

TRIPLES = tuple(
    puzzle(100 + number, 3, "naked-triple", effort=(number * 37) % 50 + 10) for number in range(40)
)
RISING = settings_with(theme="naked-triple", rising=True)


def efforts(supply: Supply) -> list[float]:
    return [each.puzzle.effort for each in look_ahead(supply, WEEK) if each is not None]


def test_a_rising_week_rises_from_day_to_day_and_leaves_room_to_rise() -> None:
    found = efforts(supply_of(RISING, (), (), TRIPLES))
    assert len(found) == 7
    assert found == sorted(set(found))
    assert found[0] < 25
    assert found[-1] > 45


def test_a_rising_week_goes_on_from_what_the_days_before_had() -> None:
    had = [day_with(replace(TRIPLES[0], effort=30.0), MONDAY)]
    supply = supply_of(RISING, (), (), TRIPLES[1:], had)
    found = [each.puzzle.effort for each in look_ahead(supply, WEEK[1:]) if each is not None]
    assert found == sorted(set(found))
    assert found[0] > 30


def test_a_rising_week_takes_the_clean_ones_as_long_as_they_rise() -> None:
    stock = tuple(
        replace(each, hardest="naked-triple", turns=number % 3)
        for number, each in enumerate(TRIPLES)
    )
    week = [each.puzzle for each in look_ahead(supply_of(RISING, (), (), stock), WEEK) if each]
    assert [each.effort for each in week] == sorted({each.effort for each in week})
    assert [each.turns for each in week] == [1] * 7
    few = (*stock[:6], *(replace(each, turns=2) for each in stock[6:]))
    week = [each.puzzle for each in look_ahead(supply_of(RISING, (), (), few), WEEK) if each]
    assert [each.effort for each in week] == sorted({each.effort for each in week})
    assert {each.turns for each in week} == {1, 2}


def test_a_day_with_a_theme_of_its_own_stands_outside_the_weeks_rise() -> None:
    own = (*RISING.wishes[:2], DayWish(theme="none"), *RISING.wishes[3:])
    easy = puzzle(200, 2, effort=1000.0)
    found = efforts(supply_of(replace(RISING, wishes=own), (), (), (*TRIPLES, easy)))
    assert found.pop(2) == 1000.0
    assert found == sorted(set(found))


def test_the_days_to_come_never_share_a_puzzle_however_it_is_disguised() -> None:
    twins = [replace(puzzle(300 + n, 2), form=f"form {n // 2}") for n in range(10)]
    supply = supply_of(settings_with(levels=(2,) * 7), (), (), tuple(twins))
    found = [each.puzzle.form for each in look_ahead(supply, WEEK) if each is not None]
    assert found == [f"form {n}" for n in range(5)]


# --- swapping ---


def test_swapping_goes_through_all_that_fits_and_begins_again() -> None:
    settings = settings_with(theme="naked-triple")
    supply = supply_of(settings, (), (), (*TRIPLES[:4], puzzle(9, 3)))
    current, seen = TRIPLES[0], []
    for _ in range(5):
        other = next_instead(supply, FRIDAY, current)
        assert other is not None
        seen.append(current := other.puzzle)
    assert set(seen) == set(TRIPLES[:4])
    assert seen[4] == seen[0]


def test_swapping_goes_through_the_clean_ones_before_the_others() -> None:
    turning = [
        replace(each, hardest="naked-triple", turns=turns)
        for each, turns in zip(TRIPLES, (2, 1, 2, 1), strict=False)
    ]
    supply = supply_of(settings_with(theme="naked-triple"), (), (), tuple(turning))
    current, seen = turning[0], []
    for _ in range(4):
        other = next_instead(supply, FRIDAY, current)
        assert other is not None
        seen.append(current := other.puzzle)
    start = next(number for number, each in enumerate(seen) if each.turns == 1)
    order = [*seen[start:], *seen[:start]]
    assert [each.turns for each in order] in ([1, 1, 2, 2], [1, 2, 2, 1])
    assert set(seen) == set(turning)


def test_swapping_in_a_rising_week_keeps_between_the_days_before_and_after() -> None:
    supply = supply_of(RISING, (), (), TRIPLES)
    picks = tuple(
        Picked(each.puzzle, each.day) for each in look_ahead(supply, WEEK) if each is not None
    )
    supply = supply_of(RISING, (), picks, TRIPLES)
    before, current, after = (picks[number].puzzle for number in (3, 4, 5))
    for _ in range(8):
        other = next_instead(supply, FRIDAY, current)
        assert other is not None
        assert before.effort < other.puzzle.effort < after.effort
        current = other.puzzle


def test_there_is_nothing_to_swap_for_where_the_stock_has_no_other() -> None:
    assert next_instead(supply_of(SETTINGS, (), (), STOCK[:1]), FRIDAY, STOCK[0]) is None
