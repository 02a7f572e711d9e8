"""Decisions on leaders' acts: settings, posting early, pausing, the report, rulings."""

from __future__ import annotations

from datetime import date

from msgspec.structs import replace

from bot.club import notices
from bot.club.acts import (
    Event,
    PauseClub,
    PlanWeek,
    PostNow,
    PreviewDays,
    QueuePuzzle,
    RuleResult,
    SetUpClub,
    ShowReport,
    ShowTurning,
    SwapPuzzle,
    UnqueuePuzzle,
    WithdrawDay,
)
from bot.club.clock import local_date
from bot.club.deciding import Decision, no_puzzle
from bot.club.due import days_ahead, early_puzzle, is_moved, moved_closing, next_post_of
from bot.club.judging import rule
from bot.club.leading_puzzles import PuzzlesAct, decide_puzzles, save_plan
from bot.club.looking import is_leader
from bot.club.ports import Change, SaveEntry, SaveSettings
from bot.club.refusal import RefusedError
from bot.club.replies import (
    ClockDoubted,
    ClubShown,
    DayUnknown,
    InputRefused,
    LeadersOnly,
    PauseSet,
    PostAsked,
    ResultRuled,
)
from bot.club.report import report_of
from bot.club.setting_up import change_settings, written_settings
from bot.club.state import Day, Scene
from bot.club.table import rank_of
from bot.club.wider import Wider
from bot.club.withdrawing import decide_withdrawal

LeadersAct = SetUpClub | PuzzlesAct | PostNow | WithdrawDay | PauseClub | ShowReport | RuleResult

COMMAND_OF: dict[type[LeadersAct], str] = {
    SetUpClub: "club setup",
    PlanWeek: "club plan",
    PreviewDays: "club preview",
    SwapPuzzle: "club swap",
    ShowTurning: "club turning",
    QueuePuzzle: "club queue",
    UnqueuePuzzle: "club queue",
    PostNow: "club post-now",
    WithdrawDay: "club withdraw",
    PauseClub: "club pause",
    ShowReport: "club report",
    RuleResult: "club result",
}


def need_leader(scene: Scene, event: Event, act: LeadersAct) -> None:
    """Refuse everybody else, before anything is loaded for them."""
    if not is_leader(scene, event):
        raise RefusedError(LeadersOnly(command=COMMAND_OF[type(act)]))


def decide_leading(scene: Scene, event: Event, act: LeadersAct, wider: Wider) -> Decision:
    match act:
        case SetUpClub():
            return _set_up(scene, event, act, wider)
        case PostNow():
            return _post_now(scene, event, wider)
        case WithdrawDay():
            return decide_withdrawal(scene, event, act, wider)
        case PauseClub():
            return _pause(scene, event, act, wider)
        case ShowReport():
            report = report_of(day_to_report(scene, event, act, wider), wider.entries)
            return Decision(report, is_kept=False)  # it names members
        case RuleResult():
            return _rule(scene, event, act, wider)
    return decide_puzzles(scene, event, act, wider)


def _set_up(scene: Scene, event: Event, act: SetUpClub, wider: Wider) -> Decision:
    club = scene.club
    settings, changed = change_settings(club.settings, act.changes)
    after, moved = replace(club, settings=settings), None
    if is_moved(club, after):
        moved = moved_closing(after, wider.days, event.acted_at)
    reply = ClubShown(
        settings=written_settings(settings),
        changed=changed,
        next_at=next_post_of(after, wider.days, event.acted_at),
        zone=settings.zone,
        queued=len(wider.supply.queue),
        stock=len(wider.supply.stock),
        ahead=_ahead_of(scene, event, wider),
        closing_moved=moved.closes_at if moved else None,
    )
    changes = save_plan(club, settings, wider) if changed else ()
    return Decision(reply, (*changes, *(notices.closing_moved(after, moved) if moved else ())))


def _pause(scene: Scene, event: Event, act: PauseClub, wider: Wider) -> Decision:
    club = replace(scene.club, paused=act.on)
    reply = PauseSet(
        on=act.on,
        next_at=next_post_of(club, wider.days, event.acted_at),
        zone=club.settings.zone,
    )
    return Decision(reply, (SaveSettings(club.id, club.settings, act.on),))


def _post_now(scene: Scene, event: Event, wider: Wider) -> Decision:
    club = scene.club
    if wider.believed != event.acted_at:
        raise RefusedError(ClockDoubted(at=event.acted_at, zone=club.settings.zone))
    found, ahead = early_puzzle(club, wider.days, event.acted_at), _ahead_of(scene, event, wider)
    today = local_date(max(event.acted_at, event.received_at), club.settings.zone)
    if found.date < today or (isinstance(found, Day) and found.is_void):
        raise RefusedError(
            InputRefused(command="club post-now", problem="passed", text=found.date.isoformat())
        )
    if isinstance(found, Day):
        is_up = found.posted_at is not None
        return Decision(PostAsked(date=found.date, already=is_up, waiting=not is_up, ahead=ahead))
    if wider.puzzle is None:
        raise RefusedError(InputRefused(command="club post-now", problem="missing", text="puzzle"))
    changes = notices.open_changes(found, wider.puzzle, edition=wider.edition)
    return Decision(PostAsked(date=found.date, already=False, ahead=ahead), changes)


def _ahead_of(scene: Scene, event: Event, wider: Wider) -> date | None:
    """Return the newest date after today that has a puzzle already, None where there is none."""
    today = local_date(event.acted_at, scene.club.settings.zone)
    ahead = [day.date for day in days_ahead(scene.club, wider.days, event.acted_at)]
    return max((each for each in ahead if each > today), default=None)


def day_to_report(scene: Scene, event: Event, act: ShowReport, wider: Wider) -> Day:
    """Return the day that a report is asked for: the named one, else the newest."""
    if act.day is not None and wider.named is None:
        raise RefusedError(DayUnknown(date=act.day))
    day = wider.named or scene.today or scene.earlier
    if day is None:
        raise RefusedError(no_puzzle(scene, event))
    return day


def _rule(scene: Scene, event: Event, act: RuleResult, wider: Wider) -> Decision:
    club, members = scene.club, wider.members
    if act.day is not None and wider.named is None:
        raise RefusedError(DayUnknown(date=act.day))
    if len(members) != 1:
        raise RefusedError(
            InputRefused(
                command="club result", problem="member", text=act.member, found=len(members)
            )
        )
    member = members[0]
    finished = [(day, entry) for day, entry in wider.candidates if entry.finished_at]
    if not finished:
        raise RefusedError(
            InputRefused(command="club result", problem="no-result", text=member.name)
        )
    day, entry = finished[0]
    ruled = rule(entry, act.verdict, act.reason)
    results = notices.with_ruling(wider.results_on(day), day, ruled, member)
    reply = ResultRuled(
        member=member.name,
        verdict=ruled.verdict,
        reason=ruled.reason,
        date=day.date,
        rank=rank_of(results, member.id),
        is_late=ruled.is_late,
    )
    changes: list[Change] = [
        SaveEntry(member.user_id, ruled),
        notices.ruling_told(club, day, event.event_id, member, ruled),
    ]
    if day.is_closed:
        changes.append(notices.results_mended(club, day, results))
    else:
        changes += notices.places_mended(club, day, wider.entries, ruled)
    return Decision(reply, tuple(changes))
