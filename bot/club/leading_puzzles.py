"""Decisions on a leader's puzzles: the plan, the days to come, swapping one, where one turns."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from msgspec.structs import replace

from bot.club.acts import (
    Event,
    PlanWeek,
    PreviewDays,
    ShowTurning,
    SwapPuzzle,
)
from bot.club.choosing import Coming, look_ahead, next_instead
from bot.club.clock import next_date, puzzle_date_at
from bot.club.deciding import Decision
from bot.club.due import next_post_of
from bot.club.facts import GridPicture, Position
from bot.club.facts_planning import ComingDay
from bot.club.plan import NO_THEME, plan_for, read_theme
from bot.club.planning import change_plan, outdated_picks, plan_shown
from bot.club.ports import Change, DropPicks, PickPuzzle, SaveSettings
from bot.club.queueing import QueueAct, decide_queue
from bot.club.refusal import RefusedError
from bot.club.replies import (
    DaysPreviewed,
    InputRefused,
    PuzzlePreviewed,
    TurningShown,
)
from bot.club.state import Club, ClubSettings, Day, Scene
from bot.club.wider import Wider

PuzzlesAct = PlanWeek | PreviewDays | SwapPuzzle | ShowTurning | QueueAct


def decide_puzzles(scene: Scene, event: Event, act: PuzzlesAct, wider: Wider) -> Decision:
    match act:
        case PlanWeek():
            return _plan(scene, act, wider)
        case PreviewDays():
            return _preview(scene, event, act, wider)
        case SwapPuzzle():
            return _swap(scene, event, act, wider)
        case ShowTurning():
            return _turning(scene, event, act, wider)
    return decide_queue(scene, event, act, wider)


# --- the plan ---


def _plan(scene: Scene, act: PlanWeek, wider: Wider) -> Decision:
    before = scene.club.settings
    settings = change_plan(before, act)
    changed = settings != before
    shown = plan_shown(settings, wider.supply.stock, changed=changed)
    return Decision(shown, save_plan(scene.club, settings, wider) if changed else ())


def save_plan(club: Club, settings: ClubSettings, wider: Wider) -> tuple[Change, ...]:
    """Return the changes that save new settings and forget what was picked for the old ones."""
    outdated = outdated_picks(wider.supply.picks, club.settings, settings)
    saved = SaveSettings(club.id, settings, club.paused)
    return (saved, DropPicks(club.id, outdated)) if outdated else (saved,)


# --- the days to come ---


def days_to_come(club: Club, days: Sequence[Day], now: datetime, count: int) -> tuple[date, ...]:
    """Return the dates of the next puzzles, also of a club on a break."""
    settings = club.settings
    moment = next_post_of(replace(club, paused=False), days, now)
    assert moment is not None, "only a break has no next puzzle"
    coming = [puzzle_date_at(moment, settings.post_time, settings.zone)]
    while len(coming) < count:
        coming.append(next_date(coming[-1], settings.zone))
    return tuple(coming)


LOOK_AHEAD = 60
"""So many days to come can be named by their date."""


def named_days(
    club: Club, days: Sequence[Day], now: datetime, day: date | None, command: str, count: int = 1
) -> tuple[date, ...]:
    """Return the days to come up to the named one, or the next `count`. RefusedError for a date
    that is no day to come."""
    if day is None:
        return days_to_come(club, days, now, count)
    coming = days_to_come(club, days, now, LOOK_AHEAD)
    if day not in coming:
        raise RefusedError(
            InputRefused(command=command, problem="not-coming", text=day.isoformat())
        )
    return coming[: coming.index(day) + 1]


def _picked(club: Club, coming: Sequence[Coming | None]) -> tuple[Change, ...]:
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
    return RefusedError(InputRefused(command=command, problem="missing", text="puzzle"))


def _preview(scene: Scene, event: Event, act: PreviewDays, wider: Wider) -> Decision:
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
        return Decision(shown, _picked(club, there))
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
        _picked(club, there),
    )


def _swap(scene: Scene, event: Event, act: SwapPuzzle, wider: Wider) -> Decision:
    club, current = scene.club, wider.coming[-1]
    if current is None:
        raise _none_left("club swap")
    day = current.day
    if current.source == "queue":
        raise RefusedError(
            InputRefused(command="club swap", problem="own-puzzle", text=day.isoformat())
        )
    supply = wider.supply
    # The days before keep what they would get, so that none of them gets it too.
    earlier = look_ahead(supply, [each.day for each in wider.coming[:-1] if each is not None])
    held = _picked(club, earlier)
    taken = {each.puzzle.identity for each in earlier if each is not None}
    stock = tuple(each for each in supply.stock if each.identity not in taken)
    other = next_instead(supply.with_stock(stock), day, current.puzzle)
    if other is None:
        raise RefusedError(
            InputRefused(command="club swap", problem="no-other", text=day.isoformat())
        )
    shown = PuzzlePreviewed(
        day=replace(_coming_day(club, other), source=_as_picked(other)),
        next_at=next_post_of(club, wider.days, event.acted_at),
        zone=club.settings.zone,
        is_next=len(wider.coming) == 1,
        is_swapped=True,
    )
    return Decision(shown, (*held, PickPuzzle(club.id, other.puzzle, day)))


def _as_picked(coming: Coming) -> str:
    return "picked" if coming.source == "nearest" else coming.source


def _turning(scene: Scene, event: Event, act: ShowTurning, wider: Wider) -> Decision:
    theme = _theme_to_show(act)
    last = wider.coming[-1] if wider.coming else None
    if wider.turning is None or (last is None and wider.named is None):
        raise _none_left("club turning")
    if wider.named is not None:
        return Decision(TurningShown(date=wider.named.date, report=wider.turning, theme=theme))
    assert last is not None
    shown = TurningShown(date=last.day, report=wider.turning, theme=theme)
    return Decision(shown, _picked(scene.club, wider.coming))


def _theme_to_show(act: ShowTurning) -> str:
    """Return the id of the technique asked for, empty for none. Raises RefusedError."""
    try:
        theme = read_theme(act.theme) if act.theme else NO_THEME
    except ValueError:
        text = f"theme={act.theme}"
        raise RefusedError(
            InputRefused(command="club turning", problem="value", text=text)
        ) from None
    return "" if theme == NO_THEME else theme
