"""Decisions on leaders' acts: settings, posting early, pausing, the report, rulings."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial

from msgspec.structs import replace

from bot.club import notices
from bot.club.acts import Event, PauseClub, PostNow, RuleResult, SetUpClub, ShowReport
from bot.club.asked import Asked
from bot.club.choosing import Supply
from bot.club.clock import local_date
from bot.club.course import Course, Decision
from bot.club.deciding import no_puzzle
from bot.club.due import days_ahead, early_puzzle, is_moved, moved_closing, next_post_of
from bot.club.facts import Lacks
from bot.club.leading_puzzles import save_plan
from bot.club.loading import Loading
from bot.club.moving import posted_again
from bot.club.ports import Change, SaveEntry, SaveSettings
from bot.club.problems import Missing, Problem
from bot.club.questions import ask_room
from bot.club.refusal import RefusedError, refuse
from bot.club.replies import (
    ClockDoubted,
    ClubShown,
    DayUnknown,
    LeadersOnly,
    PauseSet,
    PostAsked,
    ResultRuled,
)
from bot.club.report import practice_sums, report_of
from bot.club.rulings import rule
from bot.club.setting_up import change_settings, written_settings
from bot.club.spacing import Skill
from bot.club.state import Day, Member, MemberSolve, Puzzle, Result, Scene
from bot.club.table import rank_of


def need_leader(event: Event, command: str) -> None:
    """Refuse everybody else, before anything is loaded for them."""
    if not event.is_leader:
        raise RefusedError(LeadersOnly(command=command))


# --- settings and breaks ---


@dataclass(frozen=True, slots=True)
class ToSetUp:
    """The `days` that are open; what may come next; what the bot may not do in the room;
    what makes an id of a leader as typed."""

    days: tuple[Day, ...]
    supply: Supply
    lacks: Lacks
    read_leader: Callable[[str], str]


async def load_to_set_up(loading: Loading, scene: Scene, event: Event, act: SetUpClub) -> ToSetUp:
    """Load what new settings change."""
    club = scene.club
    days = await loading.store.load_days(club.id, open_only=True)
    read_leader = partial(loading.leaders.read_id, club)
    return ToSetUp(days, await loading.supply(club), loading.lacks_in(club), read_leader)


def decide_set_up(scene: Scene, event: Event, act: SetUpClub, wider: ToSetUp) -> Decision:
    """Show or change the settings, all at once or none."""
    club = scene.club
    settings, changed = change_settings(club.settings, act.changes, wider.read_leader)
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
        ahead=_ahead_of(scene, event, wider.days),
        closing_moved=moved.closes_at if moved else None,
        lacks=wider.lacks,
        shows_all=act.shows_all,
    )
    changes = list(save_plan(club, settings, wider.supply) if changed else ())
    if changed and not wider.supply.had:
        changes.append(notices.club_begun(after, reply.next_at, is_mended=True))
    return Decision(reply, (*changes, *(notices.closing_moved(after, moved) if moved else ())))


async def load_all_days(
    loading: Loading, scene: Scene, event: Event, act: PauseClub
) -> tuple[Day, ...]:
    """Load the club's days."""
    return await loading.store.load_days(scene.club.id)


def decide_pause(scene: Scene, event: Event, act: PauseClub, days: tuple[Day, ...]) -> Decision:
    """Begin a break, or end it."""
    club = replace(scene.club, paused=act.on)
    reply = PauseSet(
        on=act.on,
        next_at=next_post_of(club, days, event.acted_at),
        zone=club.settings.zone,
        has_posted=bool(days),
    )
    changes: list[Change] = [SaveSettings(club.id, club.settings, act.on)]
    if not days:
        if not act.on and reply.next_at != event.acted_at:
            changes.append(notices.club_begun(club, reply.next_at))
        changes.append(notices.club_begun(club, reply.next_at, is_mended=True))
    return Decision(reply, tuple(changes))


# --- posting early ---


@dataclass(frozen=True, slots=True)
class ToPost:
    """All `days`. `believed`: the moment of the act, or the latest that it can have been, where its
    stamp is hard to believe. `lacks`: what the bot may not do in the room. `puzzle`,
    `edition`: the one to post, where a day is free; `asked`: the club's question. `is_lost`: the
    post that went up is gone."""

    days: tuple[Day, ...]
    believed: datetime
    lacks: Lacks
    puzzle: Puzzle | None = None
    asked: Asked | None = None
    edition: int = 1
    is_lost: bool = False


async def load_to_post(loading: Loading, scene: Scene, event: Event, act: PostNow) -> ToPost:
    """Load the puzzle of the day that is to be posted."""
    club = scene.club
    days, believed = await loading.store.load_days(club.id), loading.believe(event.acted_at)
    wider = ToPost(days, believed, loading.lacks_in(club))
    found = early_puzzle(club, wider.days, event.acted_at)
    if isinstance(found, Day):
        there = found.post_ref if not found.is_closed else None
        is_up = loading.rooms.is_up
        is_lost = there is not None and not loading.studies.of(ask_room, is_up, club, there)
        return dataclasses.replace(wider, is_lost=is_lost)
    puzzle = await loading.choose(club, found.date)
    edition = await loading.edition(club, found.date)
    asked = await loading.store.load_question(club.id, "")
    return dataclasses.replace(wider, puzzle=puzzle, asked=asked, edition=edition)


def decide_post_now(scene: Scene, event: Event, act: PostNow, wider: ToPost) -> Decision:
    """Post the day's puzzle before its time, once."""
    club = scene.club
    if wider.believed != event.acted_at:
        raise RefusedError(ClockDoubted(at=event.acted_at, zone=club.settings.zone))
    found, ahead = (
        early_puzzle(club, wider.days, event.acted_at),
        _ahead_of(scene, event, wider.days),
    )
    today = local_date(max(event.acted_at, event.received_at), club.settings.zone)
    if found.date < today or (isinstance(found, Day) and found.is_void):
        raise refuse("club post-now", Problem.PASSED, found.date)
    if isinstance(found, Day):
        is_up = found.posted_at is not None
        asked = PostAsked(
            date=found.date,
            already=is_up and not wider.is_lost,
            waiting=not is_up,
            ahead=ahead,
            lacks=wider.lacks,
        )
        return Decision(asked, posted_again(club, found) if wider.is_lost else ())
    if wider.puzzle is None:
        raise refuse("club post-now", Problem.MISSING, Missing.PUZZLE)
    changes = notices.open_changes(found, wider.puzzle, wider.asked, edition=wider.edition)
    asked = PostAsked(date=found.date, already=False, ahead=ahead, lacks=wider.lacks)
    return Decision(asked, changes)


def _ahead_of(scene: Scene, event: Event, days: Sequence[Day]) -> date | None:
    """Return the newest date after today that has a puzzle already, None where there is none."""
    today = local_date(event.acted_at, scene.club.settings.zone)
    ahead = [day.date for day in days_ahead(scene.club, days, event.acted_at)]
    return max((each for each in ahead if each > today), default=None)


# --- the report and rulings ---

DAYS_LOOKED_BACK = 7
"""So many days are looked at for one that a report has something to tell of."""


@dataclass(frozen=True, slots=True)
class ToReport:
    """The day that a report is asked for, and all entries of it."""

    day: Day
    entries: tuple[tuple[Member, MemberSolve], ...]
    skills: tuple[Skill, ...] = ()


async def load_to_report(loading: Loading, scene: Scene, event: Event, act: ShowReport) -> ToReport:
    """Load the day that a report is asked for, the named one, else the newest that anybody took
    part in; and practice."""
    store = loading.store
    named, _ = await loading.named_day(scene.club, event, act.day)
    if act.day is not None and named is None:
        raise RefusedError(DayUnknown(date=act.day))
    newest = named or scene.today or scene.earlier
    if newest is None:
        raise RefusedError(no_puzzle(scene, event.acted_at))
    skills = await store.load_skills(scene.club.id)
    day: Day | None = newest
    for _ in range(1 if named else DAYS_LOOKED_BACK):
        if day is None:
            break
        if entries := await store.load_entries(day.id):
            return ToReport(day, entries, skills)
        day = await store.load_day_before(scene.club.id, day.date)
    return ToReport(newest, (), skills)


def decide_report(scene: Scene, event: Event, act: ShowReport, wider: ToReport) -> Decision:
    """Tell how a day went. Not kept: it names members."""
    report = report_of(wider.day, wider.entries)
    return Decision(replace(report, practised=practice_sums(wider.skills)), is_kept=False)


@dataclass(frozen=True, slots=True)
class ToRule:
    """`named`: the posted day of the date that the ruling names. `members`: those of its name;
    `candidates`: days with the one member's entry. `entries`, `results`: all of the day that is
    ruled on."""

    named: Day | None
    members: tuple[Member, ...]
    candidates: tuple[tuple[Day, MemberSolve], ...]
    entries: tuple[tuple[Member, MemberSolve], ...]
    results: tuple[Result, ...]


async def load_to_rule(loading: Loading, scene: Scene, event: Event, act: RuleResult) -> ToRule:
    """Load the result that is ruled on, and what stands beside it."""
    club, store = scene.club, loading.store
    named, _ = await loading.named_day(club, event, act.day)
    days = (scene.today, scene.earlier) if act.day is None else (named,)
    members = await store.find_members(club.id, act.member)
    candidates: list[tuple[Day, MemberSolve]] = []
    for day in days:
        if day is not None and len(members) == 1:
            entry = await store.load_entry(day.id, members[0].user_id)
            if entry is not None:
                candidates.append((day, entry))
    ruled_on = next((day for day, entry in candidates if entry.finished_at), None)
    return ToRule(
        named=named,
        members=members,
        candidates=tuple(candidates),
        entries=() if ruled_on is None else await store.load_entries(ruled_on.id),
        results=()
        if ruled_on is None
        else await store.load_results(club.id, ruled_on.date, ruled_on.date),
    )


def decide_ruling(scene: Scene, event: Event, act: RuleResult, wider: ToRule) -> Decision:
    """Rule on a member's result; they are told why."""
    club, members = scene.club, wider.members
    if act.day is not None and wider.named is None:
        raise RefusedError(DayUnknown(date=act.day))
    if len(members) != 1:
        raise refuse("club result", Problem.MEMBER, act.member, found=len(members))
    member = members[0]
    finished = [(day, entry) for day, entry in wider.candidates if entry.finished_at]
    if not finished:
        raise refuse("club result", Problem.NO_RESULT, member.name)
    day, entry = finished[0]
    ruled = rule(entry, act.verdict, act.reason)
    results = notices.with_ruling(wider.results, day, ruled, member)
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
        changes += notices.results_mended(club, day)
    else:
        changes += notices.places_mended(club, day, wider.entries, ruled)
    return Decision(reply, tuple(changes))


SET_UP = Course(SetUpClub, decide_set_up, load_to_set_up)
PAUSE = Course(PauseClub, decide_pause, load_all_days)
POST_NOW = Course(PostNow, decide_post_now, load_to_post)
REPORT = Course(ShowReport, decide_report, load_to_report)
RULING = Course(RuleResult, decide_ruling, load_to_rule)
