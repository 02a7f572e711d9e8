"""Decisions on leaders' acts: settings, queue, posting early, pausing, the report, rulings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from msgspec.structs import replace

from bot.club import notices
from bot.club.acts import (
    Event,
    PauseClub,
    PostNow,
    PreviewPuzzle,
    QueuePuzzle,
    RuleResult,
    SetUpClub,
    ShowReport,
)
from bot.club.clock import puzzle_date_at
from bot.club.deciding import Decision, no_puzzle
from bot.club.due import early_puzzle, next_post_of
from bot.club.facts import GridPicture, Position
from bot.club.judging import rule
from bot.club.looking import is_leader
from bot.club.ports import Change, SaveEntry, SavePuzzle, SaveSettings
from bot.club.refusal import RefusedError
from bot.club.replies import (
    ClubShown,
    DayUnknown,
    InputRefused,
    LeadersOnly,
    PauseSet,
    PostAsked,
    PuzzlePreviewed,
    PuzzleQueued,
    QueueShown,
    ResultRuled,
)
from bot.club.report import report_of
from bot.club.setting_up import change_settings, written_settings
from bot.club.state import Club, Day, Scene
from bot.club.table import rank_of
from bot.club.wider import Wider

LeadersAct = SetUpClub | QueuePuzzle | PreviewPuzzle | PostNow | PauseClub | ShowReport | RuleResult

COMMAND_OF: dict[type[LeadersAct], str] = {
    SetUpClub: "club setup",
    QueuePuzzle: "club queue",
    PreviewPuzzle: "club preview",
    PostNow: "club post-now",
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
        case QueuePuzzle():
            return _queue(scene, event, act, wider)
        case PreviewPuzzle():
            return _preview(scene, event, wider)
        case PostNow():
            return _post_now(scene, event, wider)
        case PauseClub():
            return _pause(scene, event, act, wider)
        case ShowReport():
            report = report_of(day_to_report(scene, event, act, wider), wider.entries)
            return Decision(report, is_kept=False)  # it names members
    return _rule(scene, event, act, wider)


def _set_up(scene: Scene, event: Event, act: SetUpClub, wider: Wider) -> Decision:
    club = scene.club
    settings, changed = change_settings(club.settings, act.changes)
    reply = ClubShown(
        settings=written_settings(settings),
        changed=changed,
        next_at=next_post_of(replace(club, settings=settings), wider.days, event.acted_at),
        zone=settings.zone,
        queued=len(wider.queue),
        stock=len(wider.stock),
    )
    return Decision(reply, (SaveSettings(club.id, settings, club.paused),) if changed else ())


def _pause(scene: Scene, event: Event, act: PauseClub, wider: Wider) -> Decision:
    club = replace(scene.club, paused=act.on)
    reply = PauseSet(
        on=act.on,
        next_at=next_post_of(club, wider.days, event.acted_at),
        zone=club.settings.zone,
    )
    return Decision(reply, (SaveSettings(club.id, club.settings, act.on),))


def _queue(scene: Scene, event: Event, act: QueuePuzzle, wider: Wider) -> Decision:
    puzzle, queue = wider.puzzle, wider.queue
    if puzzle is None:
        waiting = tuple((each.day, each.puzzle.level, each.puzzle.needs) for each in queue)
        return Decision(QueueShown(waiting=waiting))
    if wider.was_had or any(each.puzzle.givens == puzzle.givens for each in queue):
        raise RefusedError(InputRefused(command="club queue", problem="repeat-puzzle"))
    if act.day is not None:
        settings = scene.club.settings
        is_past = act.day < puzzle_date_at(event.acted_at, settings.post_time, settings.zone)
        is_taken = wider.taken is not None or any(each.day == act.day for each in queue)
        if is_past or is_taken:
            day = act.day.isoformat()
            raise RefusedError(InputRefused(command="club queue", problem="date", text=day))
    reply = PuzzleQueued(
        day=act.day,
        level=puzzle.level,
        needs=puzzle.needs,
        place=len(queue) + 1,
        picture=GridPicture(puzzle.givens, Position(puzzle.givens)),
    )
    return Decision(reply, (SavePuzzle(puzzle, scene.club.id, act.day, is_queued=True),))


def date_to_preview(club: Club, days: Sequence[Day], now: datetime) -> date:
    """Return the date of the next puzzle, also of a club on a break."""
    settings = club.settings
    moment = next_post_of(replace(club, paused=False), days, now)
    assert moment is not None, "only a break has no next puzzle"
    return puzzle_date_at(moment, settings.post_time, settings.zone)


def _preview(scene: Scene, event: Event, wider: Wider) -> Decision:
    club, puzzle = scene.club, wider.puzzle
    if puzzle is None:
        raise RefusedError(InputRefused(command="club preview", problem="missing", text="puzzle"))
    reply = PuzzlePreviewed(
        date=date_to_preview(club, wider.days, event.acted_at),
        level=puzzle.level,
        needs=puzzle.needs,
        credit=puzzle.credit,
        next_at=next_post_of(club, wider.days, event.acted_at),
        zone=club.settings.zone,
        picture=GridPicture(puzzle.givens, Position(puzzle.givens)),
    )
    return Decision(reply)


def _post_now(scene: Scene, event: Event, wider: Wider) -> Decision:
    found = early_puzzle(scene.club, wider.days, event.acted_at)
    if isinstance(found, date):
        return Decision(PostAsked(date=found, already=True))
    if wider.puzzle is None:
        raise RefusedError(InputRefused(command="club post-now", problem="missing", text="puzzle"))
    changes = notices.open_changes(found, wider.puzzle)
    return Decision(PostAsked(date=found.date, already=False), changes)


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
    )
    changes: list[Change] = [
        SaveEntry(member.user_id, ruled),
        notices.ruling_told(club, day, event.event_id, member, ruled),
    ]
    if day.is_closed:
        changes.append(notices.results_mended(club, day, results))
    return Decision(reply, tuple(changes))
