"""Decisions on a leader's puzzles: the plan, the days to come, swapping one, where one turns."""

from __future__ import annotations

import asyncio
import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from msgspec.structs import replace

from bot.club.acts import (
    Event,
    PlanWeek,
    PreviewDays,
    ShowTurning,
    SwapPuzzle,
)
from bot.club.choosing import NOTHING, Coming, Supply, look_ahead, next_instead
from bot.club.clock import free_from, local_date
from bot.club.course import Course, Decision
from bot.club.due import LOOK_AHEAD, days_to_come, next_post_of
from bot.club.facts import GridPicture, Position
from bot.club.facts_planning import ComingDay, TurningReport
from bot.club.loading import Loading
from bot.club.plan import plan_for, settings_from
from bot.club.planning import (
    change_plan_from,
    outdated_picks,
    plan_answer,
    start_of,
    theme_to_show,
)
from bot.club.ports import Change, DropPicks, PickPuzzle, SaveSettings
from bot.club.problems import Missing, Problem
from bot.club.refusal import RefusedError, refuse
from bot.club.replies import (
    DaysPreviewed,
    PuzzlePreviewed,
    TurningShown,
)
from bot.club.state import Club, ClubSettings, Day, Scene
from bot.club.turning import study_turning
from bot.club.week_planning import start_of_lessons
from bot.club.weeks_kept import KeptWeek

# --- the plan ---


@dataclass(frozen=True, slots=True)
class ToPlan:
    """What may come next, and how far the club's technique week is."""

    supply: Supply
    week: KeptWeek | None


async def load_to_plan(loading: Loading, scene: Scene, event: Event, act: PlanWeek) -> ToPlan:
    """Load what a plan can be held against."""
    week = await loading.store.load_week(scene.club.id)
    return ToPlan(await loading.supply(scene.club), week)


def decide_plan(scene: Scene, event: Event, act: PlanWeek, wider: ToPlan) -> Decision:
    """Show or change the plan of the week, of this one or from a date on."""
    supply = wider.supply
    zone = scene.club.settings.zone
    today = local_date(event.acted_at, zone)
    next_day = free_from(today, supply.earlier, zone)
    before = after = settings_from(next_day, scene.club.settings)
    starts = start_of_lessons(act, before, start_of(act, today, next_day, zone))
    if act.changes or act.is_dropped:
        after = change_plan_from(before, act, starts, next_day)
    shown = plan_answer(before, after, act, starts, next_day, supply.stock, wider.week)
    return Decision(shown, save_plan(scene.club, after, supply) if shown.changed else ())


def save_plan(club: Club, settings: ClubSettings, supply: Supply) -> tuple[Change, ...]:
    """Return the changes that save new settings and forget what was picked for the old ones."""
    outdated = outdated_picks(supply.picks, club.settings, settings)
    saved = SaveSettings(club.id, settings, club.paused)
    return (saved, DropPicks(club.id, outdated)) if outdated else (saved,)


# --- the days to come ---


@dataclass(frozen=True, slots=True)
class ToCome:
    """`coming`: what the days up to the one asked about get, None where nothing is there. `days`:
    all the club's; `supply`: what may come next, and what the club had."""

    days: tuple[Day, ...] = ()
    supply: Supply = NOTHING
    coming: tuple[Coming | None, ...] = ()


async def load_to_come(
    loading: Loading, event: Event, club: Club, on_date: date | None, command: str, count: int = 1
) -> ToCome:
    """Load what the days up to the named one, or the next `count`, will get. For a single one a
    puzzle is made where nothing is left for it."""
    days = await loading.store.load_days(club.id)
    dates = named_days(club, days, event.acted_at, on_date, command, count)
    supply = await loading.supply(club)
    # A large stock takes longer to look through than the event loop may stand still.
    coming = await asyncio.to_thread(look_ahead, supply, dates)
    if coming[-1] is None and count == 1:
        coming = (*coming[:-1], await loading.coming(club, supply, dates[-1]))
    return ToCome(days, supply, coming)


async def load_to_preview(loading: Loading, scene: Scene, event: Event, act: PreviewDays) -> ToCome:
    """Load what the days to preview will get."""
    return await load_to_come(loading, event, scene.club, act.day, "club preview", act.count)


async def load_to_swap(loading: Loading, scene: Scene, event: Event, act: SwapPuzzle) -> ToCome:
    """Load what the day will get for which another puzzle is wanted."""
    return await load_to_come(loading, event, scene.club, act.day, "club swap")


def named_days(
    club: Club,
    days: Sequence[Day],
    now: datetime,
    on_date: date | None,
    command: str,
    count: int = 1,
) -> tuple[date, ...]:
    """Return the days to come up to the named one, or the next `count`. RefusedError for a date
    that is no day to come."""
    if on_date is None:
        return days_to_come(club, days, now, count)
    coming = days_to_come(club, days, now, LOOK_AHEAD)
    if on_date not in coming:
        raise refuse(command, Problem.NOT_COMING, on_date)
    return coming[: coming.index(on_date) + 1]


def picked_for(club: Club, coming: Sequence[Coming | None]) -> tuple[Change, ...]:
    """Return the changes after which the days will get just what was shown.

    What only comes nearest is not kept: something that fits may be made in time.
    """
    return tuple(
        PickPuzzle(club.id, each.puzzle, each.day)
        for each in coming
        if each is not None and each.source in ("stock", "made")
    )


def _coming_day(club: Club, coming: Coming) -> ComingDay:
    puzzle = coming.puzzle
    return ComingDay(
        date=coming.day,
        level=puzzle.level,
        needs=puzzle.needs,
        theme=plan_for(coming.day, club.settings).theme,
        effort=puzzle.effort,
        pattern=puzzle.pattern,
        source=coming.source,
        credit=puzzle.credit,
        picture=GridPicture(puzzle.givens, Position(puzzle.givens)),
    )


def _none_left(command: str) -> RefusedError:
    return refuse(command, Problem.MISSING, Missing.PUZZLE)


def decide_preview(scene: Scene, event: Event, act: PreviewDays, wider: ToCome) -> Decision:
    """Show the puzzles of days to come; what was shown is what goes up."""
    club, coming = scene.club, wider.coming
    next_at = next_post_of(club, wider.days, event.acted_at)
    there = [each for each in coming if each is not None]
    zone = club.settings.zone
    if act.day is not None or act.count == 1:
        last = coming[-1]
        if last is None:
            raise _none_left("club preview")
        shown = PuzzlePreviewed(
            day=_coming_day(club, last), next_at=next_at, zone=zone, is_next=len(coming) == 1
        )
        return Decision(shown, picked_for(club, there))
    if not there:
        raise _none_left("club preview")
    dates = days_to_come(club, wider.days, event.acted_at, act.count)
    return Decision(
        DaysPreviewed(
            days=tuple(_coming_day(club, each) for each in there),
            missing=tuple(day for day, each in zip(dates, coming, strict=True) if each is None),
            next_at=next_at,
            zone=zone,
        ),
        picked_for(club, there),
    )


def decide_swap(scene: Scene, event: Event, act: SwapPuzzle, wider: ToCome) -> Decision:
    """Give a day to come another puzzle that fits."""
    club, current = scene.club, wider.coming[-1]
    if current is None:
        raise _none_left("club swap")
    day = current.day
    if current.source == "queue":
        raise refuse("club swap", Problem.OWN_PUZZLE, day)
    if act.mark and act.mark != current.puzzle.mark:
        # Pressed again: what took its place is there already.
        return Decision(_swapped(club, wider, event, _coming_day(club, current)))
    supply = wider.supply
    # The days before keep what they would get, so that none of them gets it too.
    earlier = look_ahead(supply, [each.day for each in wider.coming[:-1] if each is not None])
    held = picked_for(club, earlier)
    taken = {each.puzzle.identity for each in earlier if each is not None}
    stock = tuple(each for each in supply.stock if each.identity not in taken)
    other = next_instead(supply.with_stock(stock), day, current.puzzle)
    if other is None:
        raise refuse("club swap", Problem.NO_OTHER, day)
    taken_in = replace(_coming_day(club, other), source=_as_picked(other))
    shown = _swapped(club, wider, event, taken_in)
    return Decision(shown, (*held, PickPuzzle(club.id, other.puzzle, day)))


def _swapped(club: Club, wider: ToCome, event: Event, day: ComingDay) -> PuzzlePreviewed:
    return PuzzlePreviewed(
        day=day,
        next_at=next_post_of(club, wider.days, event.acted_at),
        zone=club.settings.zone,
        is_next=len(wider.coming) == 1,
        is_swapped=True,
    )


def _as_picked(coming: Coming) -> str:
    return "picked" if coming.source == "nearest" else coming.source


# --- where one turns ---


@dataclass(frozen=True, slots=True)
class ToTurn:
    """`named`: the posted day of the date asked about; else `ahead` is what the days up to it get.
    `report`: None where there is no puzzle."""

    named: Day | None
    ahead: ToCome = ToCome()
    report: TurningReport | None = None


async def load_to_turn(loading: Loading, scene: Scene, event: Event, act: ShowTurning) -> ToTurn:
    """Load the puzzle that is asked about, and where it turns."""
    club = scene.club
    named, _ = await loading.named_day(club, event, act.day)
    wider = ToTurn(named)
    if named is None:
        wider = ToTurn(None, await load_to_come(loading, event, club, act.day, "club turning"))
    last = wider.ahead.coming[-1] if wider.ahead.coming else None
    puzzle = named.puzzle if named else last.puzzle if last else None
    if puzzle is None:
        return wider
    report = loading.studies.of(study_turning, puzzle.givens)
    return dataclasses.replace(wider, report=report)


def decide_turning(scene: Scene, event: Event, act: ShowTurning, wider: ToTurn) -> Decision:
    """Tell where a puzzle turns; one to come then stays for its day."""
    theme = theme_to_show("club turning", act.theme)
    coming = wider.ahead.coming
    last = coming[-1] if coming else None
    if wider.report is None or (last is None and wider.named is None):
        raise _none_left("club turning")
    if wider.named is not None:
        return Decision(TurningShown(date=wider.named.date, report=wider.report, theme=theme))
    assert last is not None
    shown = TurningShown(date=last.day, report=wider.report, theme=theme)
    return Decision(shown, picked_for(scene.club, coming))


PLAN = Course(PlanWeek, decide_plan, load_to_plan)
PREVIEW = Course(PreviewDays, decide_preview, load_to_preview)
SWAP = Course(SwapPuzzle, decide_swap, load_to_swap)
TURNING = Course(ShowTurning, decide_turning, load_to_turn)
