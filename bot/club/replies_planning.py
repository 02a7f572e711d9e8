"""Replies to a leader who plans: the week, days to come, the queue, where a puzzle turns."""

from __future__ import annotations

from datetime import date, datetime

from bot.club.facts import Findings, GridPicture
from bot.club.facts_planning import (
    ComingDay,
    Landing,
    Planned,
    PlannedDay,
    TurningReport,
    Waiting,
    WeekPlanned,
)
from bot.club.replies_refusing import InputRefused
from bot.club.reply import Reply


class PlanShown(Reply, frozen=True, kw_only=True):
    """The week, Monday first, and what holds for all of it.

    - `starts`: the date that this plan is from, None where it is the next puzzle's; `has_own_start`
      where it begins just then. `then`: from when on another takes over.
    - `own_themes`, `own_patterns`: weekdays that a change of the week has left their own.
    - `for_today`: the line that would change today's puzzle too, which stayed as it was.
    - `is_dropped`: the plan that began at `starts` is gone; shown is what holds instead.
    - `week`: the technique week that is under way or comes next.
    """

    days: tuple[PlannedDay, ...]
    theme: str
    pattern: str
    rising: bool
    changed: bool
    starts: date | None = None
    has_own_start: bool = False
    then: date | None = None
    own_themes: tuple[int, ...] = ()
    own_patterns: tuple[int, ...] = ()
    for_today: str = ""
    is_dropped: bool = False
    week: WeekPlanned | None = None


class PuzzlePreviewed(Reply, frozen=True, kw_only=True):
    """One puzzle to come, for a leader's eyes. `next_at` None: the club is on a break.
    `is_next`: it is the next one. `is_swapped`: it has just taken another's place."""

    day: ComingDay
    next_at: datetime | None
    zone: str
    is_next: bool
    is_swapped: bool = False

    @property
    def picture(self) -> GridPicture:
        """The picture of the day that is shown."""
        return self.day.picture


class DaysPreviewed(Reply, frozen=True, kw_only=True):
    """The puzzles of the days to come. `missing`: dates for which nothing is there yet."""

    days: tuple[ComingDay, ...]
    missing: tuple[date, ...]
    next_at: datetime | None
    zone: str


class PuzzleQueued(Reply, frozen=True, kw_only=True):
    """`day` or `wait_level` is what it waits for, or neither; `place` its number in the queue.
    `landing`: None where no day of the next weeks takes it."""

    day: date | None
    wait_level: int | None
    place: int
    level: int
    needs: tuple[str, ...]
    effort: float
    findings: Findings
    credit: str
    picture: GridPicture
    landing: Landing | None = None


class QueueAsked(Reply, frozen=True, kw_only=True):
    """A puzzle that was to wait for a day of `wait_level` has another level: it asks whether to
    queue it all the same, the puzzle being named by its `mark`; `landing` as in PuzzleQueued."""

    landing: Landing | None
    wait_level: int
    level: int
    needs: tuple[str, ...]
    mark: str


class PuzzlesQueued(Reply, frozen=True, kw_only=True):
    """What became of each of several puzzles, in their order."""

    outcomes: tuple[PuzzleQueued | QueueAsked | InputRefused, ...]


class PuzzleUnqueued(Reply, frozen=True, kw_only=True):
    """A puzzle was taken out of the queue: its place there, and how many are `left`."""

    place: int
    level: int
    left: int


class QueueShown(Reply, frozen=True, kw_only=True):
    """What waits in the queue, in order; nothing where it is empty. `week`: the technique week that
    is under way or comes next; `questions`: those that are planned."""

    waiting: tuple[Waiting, ...]
    week: WeekPlanned | None = None
    questions: tuple[Planned, ...] = ()


class TurningShown(Reply, frozen=True, kw_only=True):
    """Where a day's puzzle turns, for the leader alone; `theme` is what the plan asks of the
    day."""

    date: date
    report: TurningReport
    theme: str = ""
