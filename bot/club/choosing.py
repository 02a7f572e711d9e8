"""Which puzzle a date gets: the leader's queue first, then what the stock has that fits best.

Never a puzzle that the club has had. Where this finds none, the service has one made.
"""

from __future__ import annotations

from collections.abc import Container, Sequence
from datetime import date

from bot.club.ports import Queued
from bot.club.state import ClubSettings, Puzzle


def level_of(day: date, settings: ClubSettings) -> int:
    """Return the level that the club plans for a date's weekday."""
    return settings.levels[day.weekday()]


def choose_puzzle(
    queue: Sequence[Queued],
    stock: Sequence[Puzzle],
    day: date,
    settings: ClubSettings,
    *,
    had: Container[str] = (),
) -> Puzzle | None:
    """Return the puzzle for a date, None where nothing is left.

    The queue for the date, then the queue without a date in its order (with what was for a date
    that passed without it); then of the stock what is nearest to the planned level, and of that
    what needs the theme, the oldest first.
    """
    fresh = [each for each in queue if each.puzzle.givens not in had]
    for_today = [each for each in fresh if each.day == day]
    for_any_day = [each for each in fresh if each.day is None or each.day < day]
    for each in (*for_today, *for_any_day):
        return each.puzzle
    level, theme = level_of(day, settings), settings.theme
    reserved = {each.puzzle.givens for each in queue}
    left = [each for each in stock if each.givens not in had and each.givens not in reserved]
    return min(
        left,
        key=lambda puzzle: (
            abs(puzzle.level - level),
            theme is not None and theme not in puzzle.needs,
            puzzle.id,
        ),
        default=None,
    )
