"""Which puzzle a date gets: the leader's queue first, then what was picked for it, then the stock.

Never a puzzle that the club has had, in whatever disguise, nor one twice among those to come.
Where this finds none, the service has one made.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from hashlib import sha256
from typing import Literal

from bot.club.clock import monday_of
from bot.club.plan import NO_DISTANCE, DayPlan, distance, is_rising_on, plan_for
from bot.club.ports import Picked, Queued, Withdrawn
from bot.club.state import Club, ClubSettings, Day, Puzzle

Source = Literal["queue", "stock", "picked", "nearest", "made"]


@dataclass(frozen=True, slots=True)
class Coming:
    """The puzzle of a date to come. `source`: the leader's queue, the stock where it fits the
    plan, picked by the leader though it does not, the nearest that the stock has, or made on the
    spot."""

    day: date
    puzzle: Puzzle
    source: Source


@dataclass(frozen=True, slots=True)
class Supply:
    """All that a club's puzzles can come from. `queue` and `stock` have nothing that the club has
    had, `stock` nothing that is queued or was withdrawn; `earlier` is what the days before had."""

    settings: ClubSettings
    queue: tuple[Queued, ...] = ()
    picks: tuple[Picked, ...] = ()
    stock: tuple[Puzzle, ...] = ()
    earlier: Mapping[date, Puzzle] = field(default_factory=dict)
    withdrawn: tuple[Withdrawn, ...] = ()

    @property
    def had(self) -> set[str]:
        """What the club has seen, by identity: none of it may come by itself."""
        return {puzzle.identity for puzzle in self.earlier.values()} | {
            each.puzzle.identity for each in self.withdrawn
        }

    def with_stock(self, stock: tuple[Puzzle, ...]) -> Supply:
        """Return the same with another stock: what is chosen from may be less than all."""
        return replace(self, stock=stock)


NOTHING = Supply(ClubSettings(""))


def supply_of(
    settings: ClubSettings,
    queue: tuple[Queued, ...],
    picks: tuple[Picked, ...],
    stock: tuple[Puzzle, ...],
    days: Iterable[Day] = (),
    withdrawn: tuple[Withdrawn, ...] = (),
) -> Supply:
    """Return a club's supply. A pick stands while the club may still have its puzzle. What was
    withdrawn may be queued again, on purpose."""
    earlier = {each.date: each.puzzle for each in days if not each.is_void}
    had = {puzzle.identity for puzzle in earlier.values()}
    left = {each.identity for each in stock}
    return Supply(
        settings,
        tuple(each for each in queue if each.puzzle.identity not in had),
        tuple(each for each in picks if each.puzzle.identity in left),
        stock,
        earlier,
        withdrawn,
    )


def choose_puzzle(supply: Supply, on_date: date) -> Coming | None:
    """Return the puzzle for a date, None where nothing is left.

    The queue for the date, then what waits for no date (with what was for a date that passed) or
    for the day's level, in its order; then what was picked for the date, then the stock.
    """
    queued = _from_queue(supply, on_date)
    if queued is not None:
        return Coming(on_date, queued.puzzle, "queue")
    plan = plan_for(on_date, supply.settings)
    for pick in supply.picks:
        if pick.day == on_date:
            is_fit = distance(pick.puzzle, plan) == NO_DISTANCE
            return Coming(on_date, pick.puzzle, "stock" if is_fit else "picked")
    best = next(iter(rank_stock(supply, on_date)), None)
    return None if best is None else Coming(on_date, best, _source(best, plan))


def _source(puzzle: Puzzle, plan: DayPlan) -> Source:
    return "stock" if distance(puzzle, plan) == NO_DISTANCE else "nearest"


def _from_queue(supply: Supply, on_date: date) -> Queued | None:
    for each in supply.queue:
        if each.day == on_date:
            return each
    plan = plan_for(on_date, supply.settings)
    for each in supply.queue:
        is_free = each.day is None or each.day < on_date
        if is_free and (each.level is None or plan.lowest <= each.level <= plan.highest):
            return each
    return None


def landing_of_last(supply: Supply, dates: Sequence[date]) -> date | None:
    """Return which of some dates to come the last of the queue gets, None where it gets none."""
    last = supply.queue[-1]
    for on_date in dates:
        queued = _from_queue(supply, on_date)
        if queued is last:
            return on_date
        supply = replace(supply, queue=tuple(each for each in supply.queue if each is not queued))
    return None


def rank_stock(supply: Supply, on_date: date) -> list[Puzzle]:
    """Return what the stock has for a date, the best first: what is nearest to the plan, of that
    what suits the week's rise in effort where one is wanted, of that what turns once, on the theme,
    of that the oldest."""
    plan = plan_for(on_date, supply.settings)
    elsewhere = {pick.puzzle.identity for pick in supply.picks if pick.day != on_date}
    left: dict[tuple[int, bool, bool], list[Puzzle]] = {}
    known: set[str] = set()
    for puzzle in sorted(supply.stock, key=lambda each: each.id):
        if puzzle.identity not in elsewhere and puzzle.identity not in known:
            known.add(puzzle.identity)
            left.setdefault(distance(puzzle, plan), []).append(puzzle)
    arrange = _by_rise if is_rising_on(on_date, supply.settings) else _as_they_are
    return [puzzle for near in sorted(left) for puzzle in arrange(supply, on_date, left[near])]


def _as_they_are(supply: Supply, on_date: date, puzzles: list[Puzzle]) -> list[Puzzle]:
    """Return puzzles of one kind, the clean ones first."""
    theme = plan_for(on_date, supply.settings).theme
    return sorted(puzzles, key=lambda each: not each.is_clean_for(theme))


def _by_rise(supply: Supply, on_date: date, puzzles: list[Puzzle]) -> list[Puzzle]:
    """Return puzzles of one kind, those first that keep the week's efforts rising evenly.

    Efforts must stay between those of the week's days before and after it. Of what is between first
    comes the one that leaves an even share above it for each of the days still open; of the clean
    ones first, as long as they leave the other days anything at all.
    """
    window = _window_on(supply, on_date)
    theme = plan_for(on_date, supply.settings).theme
    inside = sorted(filter(window.holds, puzzles), key=_by_effort)
    with_room = inside[: max(len(inside) + 1 - window.open_days, 0)]
    clean = [each for each in with_room if each.is_clean_for(theme)]
    others = [each for each in inside if each not in clean]
    outside = sorted(
        (each for each in puzzles if not window.holds(each)),
        key=lambda each: (window.distance(each), each.id),
    )
    return [*_by_share(clean, window.open_days), *_by_share(others, window.open_days), *outside]


def _by_share(puzzles: list[Puzzle], open_days: int) -> list[Puzzle]:
    """Return puzzles, the easiest first as given, from where an even share is above for each day
    still open, the nearest to it first."""
    at = len(puzzles) // (open_days + 1)
    by_nearness = sorted(range(len(puzzles)), key=lambda index: (abs(index - at), index))
    return [puzzles[index] for index in by_nearness]


def _by_effort(puzzle: Puzzle) -> tuple[float, int]:
    return puzzle.effort, puzzle.id


@dataclass(frozen=True, slots=True)
class _Window:
    """Between which efforts a day's should be. `open_days`: it and those of the week after it
    that have no puzzle yet, up to the next that has."""

    floor: float
    ceiling: float
    open_days: int

    def holds(self, puzzle: Puzzle) -> bool:
        return self.floor < puzzle.effort < self.ceiling

    def distance(self, puzzle: Puzzle) -> float:
        return max(self.floor - puzzle.effort, puzzle.effort - self.ceiling)


def _window_on(supply: Supply, on_date: date) -> _Window:
    """Return the window of a date. Days with another theme do not count, nor do puzzles without
    it."""
    plan = plan_for(on_date, supply.settings)
    picked = {pick.day: pick.puzzle for pick in supply.picks}
    floor, ceiling, open_days = 0.0, float("inf"), 1
    for other in _same_week(on_date):
        puzzle = supply.earlier.get(other) or picked.get(other)
        is_kin = plan_for(other, supply.settings).theme == plan.theme
        if other == on_date or not is_kin:
            continue
        if puzzle is None:
            open_days += other > on_date and ceiling == float("inf")
        elif not plan.theme or plan.theme in puzzle.needs:
            if other < on_date:
                floor = max(floor, puzzle.effort)
            else:
                ceiling = min(ceiling, puzzle.effort)
    return _Window(floor, max(ceiling, floor), open_days)


def _same_week(on_date: date) -> Iterator[date]:
    monday = monday_of(on_date)
    for number in range(7):
        yield monday + timedelta(days=number)


def look_ahead(supply: Supply, days: Sequence[date]) -> tuple[Coming | None, ...]:
    """Return what each of some days to come will get, None where nothing is left for it.

    What the stock gives a day is as good as picked for it, so that no later day gets it too.
    """
    found: list[Coming | None] = []
    for day in days:
        coming = choose_puzzle(supply, day)
        found.append(coming)
        if coming is None:
            continue
        if coming.source == "queue":
            queue = tuple(
                each for each in supply.queue if each.puzzle.identity != coming.puzzle.identity
            )
            earlier = {**supply.earlier, day: coming.puzzle}
            supply = replace(supply, queue=queue, earlier=earlier)
        else:
            picks = (
                *(each for each in supply.picks if each.day != day),
                Picked(coming.puzzle, day),
            )
            supply = replace(supply, picks=picks)
    return tuple(found)


def next_instead(supply: Supply, on_date: date, current: Puzzle) -> Coming | None:
    """Return what a date gets in place of what it has: the next harder one that fits as well, the
    easiest after the hardest, the clean ones before the others; None where the stock has no other.
    """
    others = [each for each in rank_stock(supply, on_date) if each.identity != current.identity]
    if not others:
        return None
    plan = plan_for(on_date, supply.settings)
    nearest = distance(others[0], plan)
    pool = [each for each in others if distance(each, plan) == nearest]
    if is_rising_on(on_date, supply.settings):
        pool = list(filter(_window_on(supply, on_date).holds, pool)) or pool

    def place(puzzle: Puzzle) -> tuple[bool, tuple[float, int]]:
        return not puzzle.is_clean_for(plan.theme), _by_effort(puzzle)

    pool.sort(key=place)
    chosen = next((each for each in pool if place(each) > place(current)), pool[0])
    return Coming(on_date, chosen, _source(chosen, plan))


TRIES_AT_MAKING = 3


def seeds_of(club: Club, on_date: date) -> Iterator[int]:
    """Yield the seeds to make a puzzle from that a date of a club always has, so that a crash
    changes nothing."""
    for attempt in range(TRIES_AT_MAKING):
        text = f"{club.platform}:{club.home}:{on_date.isoformat()}:{attempt}"
        yield int.from_bytes(sha256(text.encode()).digest()[:8])
