"""Which puzzle a date gets: the queue first, then what fits best, never one twice."""

from __future__ import annotations

from bot.club.choosing import choose_puzzle, level_of
from bot.club.ports import Queued
from bot.club.state import ClubSettings, Puzzle
from tests.bot.club.stories import DAY, MONDAY, settings_with


def puzzle(number: int, level: int, *needs: str) -> Puzzle:
    return Puzzle(number, f"{number:081}", "", level, needs)


SETTINGS = settings_with(levels=(1, 1, 2, 2, 3, 3, 2))
FRIDAY = MONDAY + 4 * DAY
STOCK = (puzzle(1, 2), puzzle(2, 1), puzzle(3, 3), puzzle(4, 3, "naked-triple"), puzzle(5, 1))


def chosen(
    queue: tuple[Queued, ...] = (),
    stock: tuple[Puzzle, ...] = STOCK,
    settings: ClubSettings = SETTINGS,
    had: tuple[str, ...] = (),
) -> Puzzle | None:
    return choose_puzzle(queue, stock, FRIDAY, settings, had=had)


def test_levels_follow_the_weekday_from_monday() -> None:
    assert [level_of(MONDAY + number * DAY, SETTINGS) for number in range(8)] == [
        1, 1, 2, 2, 3, 3, 2, 1,
    ]  # fmt: skip


def test_the_queue_for_the_date_comes_before_the_queue_without_one() -> None:
    queue = (
        Queued(puzzle(11, 1), None),
        Queued(puzzle(12, 1), FRIDAY + DAY),
        Queued(puzzle(13, 1), FRIDAY),
    )
    assert chosen(queue) == puzzle(13, 1)
    assert chosen(queue[:2]) == puzzle(11, 1)


def test_a_puzzle_queued_for_another_date_is_left_for_it() -> None:
    queue = (Queued(STOCK[2], FRIDAY + DAY),)
    assert chosen(queue, STOCK[:3]) == STOCK[0]


def test_a_puzzle_queued_for_a_date_that_passed_comes_in_its_turn() -> None:
    queue = (Queued(puzzle(11, 1), FRIDAY - DAY), Queued(puzzle(12, 1), None))
    assert chosen(queue) == puzzle(11, 1)
    assert chosen((*queue, Queued(puzzle(13, 1), FRIDAY))) == puzzle(13, 1)


def test_of_the_stock_the_level_of_the_weekday_comes_first_and_then_the_theme() -> None:
    assert chosen() == STOCK[2]
    assert chosen(settings=settings_with(theme="naked-triple")) == STOCK[3]
    assert chosen(settings=settings_with(theme="hidden-quad")) == STOCK[2]


def test_without_the_level_the_nearest_is_taken() -> None:
    assert chosen(stock=(puzzle(1, 1), puzzle(2, 2))) == puzzle(2, 2)
    assert chosen(stock=()) is None


def test_nothing_that_was_had_comes_again() -> None:
    had = tuple(each.givens for each in STOCK)
    assert chosen(had=had) is None
    assert chosen((Queued(STOCK[0], FRIDAY),), had=had[:1]) == STOCK[2]
