"""The invented club of `ninebark try`: its members and the week behind it.

The week is lived, not written: a clock runs through it, the real schedule posts and closes, and
the members' acts go through the real service. The same start gives the same week.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from typing import Protocol
from zoneinfo import available_timezones

from bot.club.acts import Act, AskHint, Event, HandIn, StartClock
from bot.club.answer_key import answer_of
from bot.club.clock import next_post_after
from bot.club.ports import Store
from bot.club.replies import Reply
from bot.club.state import Club, ClubSettings, Day

DEMO_ROOM = "hedgerow"
DAYS_BEHIND = 7
LOCAL_TIME = Path("/etc/localtime")


def local_zone() -> str:
    """Return this machine's time zone where it says so, else UTC."""
    _, _, name = str(LOCAL_TIME.resolve()).partition("zoneinfo/")
    return name if name in available_timezones() else "UTC"


def demo_settings() -> ClubSettings:
    """Return the settings of the invented club, in this machine's zone."""
    return ClubSettings(
        name="Hedgerow Sudoku Club",
        zone=local_zone(),
        post_time="07:00",
        levels=(1, 1, 2, 2, 3, 3, 2),
        leaders=("Rowan",),
    )


@dataclass(frozen=True, slots=True)
class Regular:
    """A member of the demo: minutes for a level-1 puzzle, and how often each thing happens."""

    name: str
    minutes: float
    comes: float
    asks: float
    slips: float


REGULARS = (
    Regular("Sorrel", 9, 1.0, 0.2, 0.1),  # minutes, not a size of the grid
    Regular("Teasel", 12, 1.0, 0.4, 0.2),
    Regular("Yarrow", 15, 0.8, 0.6, 0.1),
    Regular("Linnet", 21, 0.9, 0.9, 0.3),
    Regular("Bramble", 30, 0.6, 0.7, 0.4),
)


class DemoClock:
    """A clock that can be set back, to live the week, and then runs with the real one."""

    def __init__(self, real: Callable[[], datetime]) -> None:
        self._real = real
        self._set_to: datetime | None = None

    def __call__(self) -> datetime:
        """Return the moment that it is: the real one, unless it was set."""
        return self._real() if self._set_to is None else self._set_to

    def set_to(self, moment: datetime | None) -> None:
        """Stand still at `moment`; None lets it run again."""
        self._set_to = moment


class Answering(Protocol):
    """The club's service, as the members of the demo need it."""

    async def answer(self, event: Event) -> Reply:
        """Answer an act, and save what it does."""


class Serving(Protocol):
    """The schedule, as the week behind the demo needs it."""

    async def serve(self, club: Club) -> datetime:
        """Do what is due in a club, and return when to look again."""


async def live_a_week(
    store: Store, service: Answering, schedule: Serving, clock: DemoClock, club: Club
) -> None:
    """Live the days before now, where the club has none behind it yet."""
    if await store.load_days(club.id):
        return
    now = clock()
    settings = club.settings
    before = now - timedelta(days=DAYS_BEHIND + 1)
    start = next_post_after(before, settings.post_time, settings.zone)
    random = Random(start.date().isoformat())
    moment = start
    try:
        while moment < now:
            clock.set_to(moment)
            due_next = await schedule.serve(club)
            days = await store.load_days(club.id, open_only=True)
            if not days:
                moment = max(due_next, moment + timedelta(minutes=1))
                continue
            for at, name, act in plan_day(random, days[-1]):
                if at < now:
                    clock.set_to(at)
                    await service.answer(_event(club, name, at, act))
                    await schedule.serve(club)
            moment = days[-1].closes_at
    finally:
        clock.set_to(None)


def plan_day(random: Random, day: Day) -> list[tuple[datetime, str, Act]]:
    """Return what the regulars will do on a day, in the order of time."""
    plan: list[tuple[datetime, str, Act]] = []
    answer = answer_of(day.puzzle.solution, day.lines)
    for regular in REGULARS:
        if random.random() > regular.comes:
            continue
        at = day.due_at + timedelta(minutes=random.randint(5, 700))
        plan.append((at, regular.name, StartClock()))
        minutes = regular.minutes * (0.6 + 0.4 * day.puzzle.level) * random.uniform(0.7, 1.3)
        done_at = at + timedelta(minutes=minutes, seconds=random.randint(0, 59))
        if random.random() < regular.asks:
            asked_at = at + timedelta(minutes=minutes / 2)
            plan.append((asked_at, regular.name, AskHint("board", sure=True)))
            for rung in range(random.randint(0, 3)):
                later = asked_at + timedelta(seconds=40 * (rung + 1))
                plan.append((later, regular.name, AskHint("more")))
        if random.random() < regular.slips:
            wrong = answer[:-2] + answer[-1] + answer[-2]
            plan.append((done_at - timedelta(seconds=75), regular.name, HandIn(wrong)))
        plan.append((done_at, regular.name, HandIn(answer)))
    return sorted(plan, key=lambda line: line[0])


def _event(club: Club, name: str, at: datetime, act: Act) -> Event:
    at = at.astimezone(UTC)
    return Event(
        event_id=f"demo:{name}:{at.isoformat()}",
        club_id=club.id,
        user_id=name.casefold(),
        name=name,
        is_leader=False,
        acted_at=at,
        received_at=at,
        act=act,
    )
