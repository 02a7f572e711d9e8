"""Where added puzzles go: the stock, or a club's queue. A disguise is the same puzzle.

What was there before a command began is told apart from what it brings twice: the first is what
going on after a stop finds, and no fault.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Protocol

from bot.club.ports import Queued, SavePuzzle
from bot.club.state import Club, Day
from bot.club.vetting import Vetted
from bot.storage import SqliteStore
from bot.wording import terminal_puzzles


class Destination(Protocol):
    """Where puzzles go."""

    @property
    def known(self) -> Collection[str]:
        """The givens of those that were there before."""
        ...

    def pass_known(self, givens: str, *, is_alone: bool) -> str:
        """Return what is wrong with adding one that was there before; nothing, where it is one of
        many and stands as it would now."""
        ...

    async def add(self, judged: Vetted) -> tuple[str, str]:
        """Add a good puzzle; return what is wrong, or else what to tell."""
        ...

    def tell_known(self, count: int) -> str:
        """Say how many were passed."""
        ...


@dataclass(slots=True)
class InStock:
    """The stock that all clubs share."""

    store: SqliteStore
    known: Collection[str]

    def pass_known(self, givens: str, *, is_alone: bool) -> str:
        """Return what is wrong with adding one that was there before, if anything."""
        return terminal_puzzles.in_stock(givens, givens) if is_alone else ""

    async def add(self, judged: Vetted) -> tuple[str, str]:
        """Add a good puzzle; return what is wrong, or else what to tell."""
        puzzle = judged.puzzle
        assert puzzle is not None
        if not await self.store.add_new(puzzle):
            same = await self.store.find_same(puzzle)
            return terminal_puzzles.in_stock(puzzle.givens, same.givens if same else ""), ""
        return "", terminal_puzzles.added(judged, is_queued=False, on_date=None, level=None)

    def tell_known(self, count: int) -> str:
        """Say how many were passed."""
        return terminal_puzzles.passed_in_stock(count)


@dataclass(slots=True)
class InQueue:
    """A club's queue: for dates from `day` on, for days of a level, or for the next free days.

    `had` and `waiting` are by what a puzzle is, however disguised.
    """

    store: SqliteStore
    club: Club
    day: date | None
    level: int | None
    had: dict[str, Day]
    waiting: dict[str, Queued]
    known: dict[str, str] = field(init=False)

    def __post_init__(self) -> None:
        puzzles = [day.puzzle for day in self.had.values()]
        puzzles += [each.puzzle for each in self.waiting.values()]
        self.known = {puzzle.givens: puzzle.identity for puzzle in puzzles}

    def pass_known(self, givens: str, *, is_alone: bool) -> str:
        """Return what is wrong with adding one that was there before, if anything."""
        identity = self.known[givens]
        if identity not in self.had:
            waiting = self.waiting[identity]
            if not is_alone and (waiting.day, waiting.level) == (self.day, self.level):
                self._go_to_next_day()
                return ""
        return self._problem(givens, identity)

    async def add(self, judged: Vetted) -> tuple[str, str]:
        """Add a good puzzle; return what is wrong, or else what to tell."""
        puzzle, day, level = judged.puzzle, self.day, self.level
        assert puzzle is not None
        problem = self._problem(puzzle.givens, puzzle.identity)
        if problem:
            return problem, ""
        if day is not None and self._is_taken(day):
            return terminal_puzzles.day_taken(day), ""
        await self.store.save([SavePuzzle(puzzle, self.club.id, day, is_queued=True, level=level)])
        self.waiting[puzzle.identity] = Queued(puzzle, day, level)
        self._go_to_next_day()
        return "", terminal_puzzles.added(judged, is_queued=True, on_date=day, level=level)

    def tell_known(self, count: int) -> str:
        """Say how many were passed."""
        return terminal_puzzles.passed_in_queue(count)

    def _problem(self, givens: str, identity: str) -> str:
        if identity in self.had:
            return terminal_puzzles.club_had(givens, self.had[identity])
        if identity in self.waiting:
            return terminal_puzzles.in_queue(givens, self.waiting[identity])
        return ""

    def _is_taken(self, on_date: date) -> bool:
        return any(had.date >= on_date for had in self.had.values()) or any(
            each.day == on_date for each in self.waiting.values()
        )

    def _go_to_next_day(self) -> None:
        if self.day is not None:
            self.day += timedelta(days=1)


async def queue_of(
    store: SqliteStore, club: Club, on_date: date | None, level: int | None
) -> InQueue:
    """Return a club's queue as it stands."""
    had = {each.puzzle.identity: each for each in reversed(await store.load_days(club.id))}
    waiting = {each.puzzle.identity: each for each in await store.load_queue(club.id)}
    return InQueue(store, club, on_date, level, had, waiting)
