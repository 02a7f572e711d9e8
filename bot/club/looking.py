"""Decisions on acts that only look: tables, walkthroughs, the own page, help, what is kept."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from typing import Any

from msgspec import structs

from bot.club import notices
from bot.club.acts import Event, Privacy, ShowHelp, ShowMe, ShowTable, ShowWalkthrough
from bot.club.asked import Asked
from bot.club.asking import unnamed
from bot.club.choosing import Coming
from bot.club.clock import local_date, puzzle_date_at
from bot.club.course import Course, Decision
from bot.club.deciding import no_puzzle
from bot.club.due import LOOK_AHEAD, days_to_come
from bot.club.erasing import KEEP_COPIES
from bot.club.exercises import practised_techniques
from bot.club.facts import SkillFacts, SkillsPicture, TablePicture
from bot.club.leading_puzzles import ToCome, load_to_come, picked_for
from bot.club.loading import Loading
from bot.club.periods import beside, span_of
from bot.club.photos import load_whether_read
from bot.club.plan import BY_UNIQUENESS
from bot.club.planning import theme_to_show
from bot.club.ports import Change, EraseMember
from bot.club.practised import with_needs
from bot.club.problems import Problem
from bot.club.refusal import RefusedError, refuse
from bot.club.replies import (
    ClockDoubted,
    DayUnknown,
    Erased,
    ErasureAsked,
    ExportMade,
    HelpShown,
    PrivacyShown,
    TableShown,
    WalkthroughLater,
)
from bot.club.saying import open_days
from bot.club.self_export import without_untold
from bot.club.self_page import OwnRecord, page_of
from bot.club.spacing import Skill, needing_most
from bot.club.state import Day, MemberSolve, Scene
from bot.club.table import Standing, row_of, table_of
from bot.club.walkthrough import PathFacts, path_facts, walkthrough_ahead, walkthrough_shown
from engine import RANKS

# --- tables and the own page ---


async def load_table(loading: Loading, scene: Scene, event: Event, act: ShowTable) -> Standing:
    """Load what the table of a period is made of."""
    first, last = span_of(act.period, act.day or _current(scene, event), ago=act.ago)
    still_open = [day.date for day in open_days(scene, event)]
    return await loading.store.load_standing(
        scene.club.id, act.period, first, last, still_open=still_open
    )


def _current(scene: Scene, event: Event) -> date:
    """Return the date that people mean by today: the open puzzle's, else the newest one's."""
    settings, today = scene.club.settings, scene.today
    if today is not None:
        return today.date
    return puzzle_date_at(event.acted_at, settings.post_time, settings.zone)


def decide_table(scene: Scene, event: Event, act: ShowTable, standing: Standing) -> Decision:
    """Show the table of a period, and where the ones before and after it are."""
    if act.period == "day" and standing.first is not None and not standing.has_puzzle:
        raise RefusedError(DayUnknown(date=standing.first))
    earlier, later = beside(act.period, standing.dates)
    table = table_of(scene.club.settings.name, act.period, standing)
    # Not kept: it names other members, who may have their data erased.
    shown = TableShown(
        table=table,
        picture=TablePicture(table),
        earlier=earlier,
        later=later,
        current=_current(scene, event),
        own=row_of(standing, scene.member.id) if scene.member else None,
    )
    return Decision(shown, is_kept=False)


@dataclass(frozen=True, slots=True)
class ToShowMe:
    """What is known of the member, and how they stand with techniques."""

    record: OwnRecord
    skills: tuple[Skill, ...]


async def load_own_page(loading: Loading, scene: Scene, event: Event, act: ShowMe) -> ToShowMe:
    """Load what a member's own page is made of."""
    still_open = [day.date for day in open_days(scene, event)]
    record = await loading.store.load_record(
        scene.club.id,
        event.user_id,
        still_open=still_open,
        apart_from=_unfinished(scene),
    )
    practised = await loading.store.load_practice(scene.club.id, event.user_id)
    return ToShowMe(record, with_needs(practised).skills)


def decide_own_page(scene: Scene, event: Event, act: ShowMe, wider: ToShowMe) -> Decision:
    """Show the member's own page."""
    name = scene.member.name if scene.member else event.name
    page = page_of(name, wider.record, _unfinished(scene))
    today = local_date(event.acted_at, scene.club.settings.zone)
    skills = tuple(
        SkillFacts(
            skill.technique,
            skill.met,
            skill.alone,
            skill.helped,
            skill.due_at <= event.acted_at and skill.technique in practised_techniques(),
        )
        for skill in sorted(wider.skills, key=lambda skill: RANKS[skill.technique])
    )
    shown = structs.replace(
        page,
        asked_on=today,
        skills=skills,
        picture=SkillsPicture(skills) if skills else None,
        weakest=needing_most(wider.skills),
    )
    return Decision(shown)


def _unfinished(scene: Scene) -> MemberSolve | None:
    """Return the member's entry on the open day, if it is not solved."""
    is_solved = scene.entry is not None and scene.entry.finished_at is not None
    return None if is_solved else scene.entry


# --- the walkthrough ---


@dataclass(frozen=True, slots=True)
class ToExplain:
    """`named`, `named_entry`: the posted day of the date that the act names, and the member's entry
    on it. `believed`: the moment of the act, or the latest that it can have been, where its stamp
    is hard to believe. `theme`: the technique to go by. `path`: None while the day is not over for
    the member. `ahead`: what the days up to the one that a leader names will get, where that is yet
    to come."""

    named: Day | None
    named_entry: MemberSolve | None
    believed: datetime
    theme: str = ""
    path: PathFacts | None = None
    ahead: ToCome = field(default_factory=ToCome)

    @property
    def coming(self) -> Coming | None:
        """What the day to come will get that a leader names."""
        return self.ahead.coming[-1] if self.ahead.coming else None


async def load_to_explain(
    loading: Loading, scene: Scene, event: Event, act: ShowWalkthrough
) -> ToExplain:
    """Load the day that is asked about, and its path where it may be told."""
    named, entry = await loading.named_day(scene.club, event, act.day)
    theme = _theme_to_go_by(scene, act)
    wider = ToExplain(named, entry, loading.believe(event.acted_at), theme)
    if named is None and act.day is not None and event.is_leader:
        ahead = await _load_ahead(loading, scene, event, act)
        wider = replace(wider, ahead=ahead)
    if wider.coming is not None:
        givens = wider.coming.puzzle.givens
        path = loading.studies.of(path_facts, givens, scene.club.settings, theme)
        return replace(wider, path=path)
    day = day_to_explain(scene, event, act, wider)
    if isinstance(day, WalkthroughLater):
        return wider
    path = loading.studies.of(path_facts, day.puzzle.givens, scene.club.settings, theme)
    return replace(wider, path=path)


def _theme_to_go_by(scene: Scene, act: ShowWalkthrough) -> str:
    theme = theme_to_show("walkthrough", act.theme)
    if theme in BY_UNIQUENESS and not scene.club.settings.uniqueness:
        raise refuse("walkthrough", Problem.UNIQUENESS, theme)
    return theme


async def _load_ahead(loading: Loading, scene: Scene, event: Event, act: ShowWalkthrough) -> ToCome:
    """Load what a day to come will get; nothing for another day."""
    club = scene.club
    days = await loading.store.load_days(club.id)
    if act.day not in days_to_come(club, days, event.acted_at, LOOK_AHEAD):
        return ToCome()
    return await load_to_come(loading, event, club, act.day, "walkthrough")


def decide_walkthrough(
    scene: Scene, event: Event, act: ShowWalkthrough, wider: ToExplain
) -> Decision:
    """Show a day's path where it is over for the member; without a date the newest such day's. A
    leader is shown that of a day to come, which then gets just this puzzle."""
    if (coming := wider.coming) is not None:
        assert wider.path is not None, "it is loaded with the puzzle"
        shown = walkthrough_ahead(coming.day, coming.puzzle, wider.path, wider.theme)
        return Decision(shown, picked_for(scene.club, wider.ahead.coming), is_kept=False)
    day = day_to_explain(scene, event, act, wider)
    if isinstance(day, WalkthroughLater):
        return Decision(day)
    assert wider.path is not None, "it is loaded where it may be told"
    return Decision(walkthrough_shown(day, wider.path, wider.theme), is_kept=False)


def day_to_explain(
    scene: Scene, event: Event, act: ShowWalkthrough, wider: ToExplain
) -> Day | WalkthroughLater:
    """Return the day whose path may be told, or when it may be. RefusedError where there is no such
    day, and where the moment is in doubt."""
    day, entry = _day_and_entry(scene, event, act, wider)
    if entry is None or entry.finished_at is None:
        zone = scene.club.settings.zone
        if event.acted_at < day.closes_at:
            return WalkthroughLater(date=day.date, closes_at=day.closes_at, zone=zone)
        if wider.believed < day.closes_at:
            raise RefusedError(ClockDoubted(at=event.acted_at, zone=zone))
    return day


def _day_and_entry(
    scene: Scene, event: Event, act: ShowWalkthrough, wider: ToExplain
) -> tuple[Day, MemberSolve | None]:
    if act.day is not None:
        if wider.named is None:
            raise RefusedError(DayUnknown(date=act.day))
        return wider.named, wider.named_entry
    solved = scene.entry is not None and scene.entry.finished_at is not None
    if scene.today is not None and (solved or scene.earlier is None):
        return scene.today, scene.entry
    if scene.earlier is not None:
        return scene.earlier, scene.earlier_entry
    raise RefusedError(no_puzzle(scene, event.acted_at))


# --- what is kept ---


@dataclass(frozen=True, slots=True)
class ToKeep:
    """`kept`: all that is kept of the member, to export. `day_ids`: of all days that they took part
    in. `finished`: the days on which they have finished, to erase; `asked`: the club's question."""

    kept: Mapping[str, Any] = field(default_factory=dict)
    day_ids: frozenset[int] = frozenset()
    finished: tuple[Day, ...] = ()
    asked: Asked | None = None


async def load_to_keep(loading: Loading, scene: Scene, event: Event, act: Privacy) -> ToKeep:
    """Load what the wish is about."""
    club, user_id, store = scene.club, event.user_id, loading.store
    if act.wish == "export":
        kept = await store.export_member(club.id, user_id)
        if "user_id" in kept:
            kept["leads"] = user_id in (*loading.leaders.of(club), *club.led_by)
        return ToKeep(kept=kept)
    wider = ToKeep(day_ids=await store.load_day_ids(club.id, user_id))
    if act.wish == "show" or not act.sure:
        return wider
    return replace(
        wider,
        finished=await store.load_finished_days(club.id, user_id),
        asked=await store.load_question(club.id, user_id),
    )


def decide_privacy(scene: Scene, event: Event, act: Privacy, wider: ToKeep) -> Decision:
    """Tell, export or erase what is kept of the member; an erasure is asked about first."""
    if act.wish == "export":
        kept = dict(wider.kept)
        told = tuple((each["at"], each["reply"]) for each in kept.pop("told", ()))
        shown, is_less = without_untold(
            kept, frozenset(day.date.isoformat() for day in open_days(scene, event))
        )
        text = json.dumps(shown, indent=2, ensure_ascii=False)
        return Decision(ExportMade(text=text, told=told, is_less=is_less), is_kept=False)
    entries = len(wider.day_ids)
    if act.wish == "show":
        return Decision(PrivacyShown(entries=entries))
    begun = _begun_dates(scene, event, wider)
    if not act.sure:
        return Decision(ErasureAsked(entries=entries, open_dates=begun))
    changes: list[Change] = []
    if scene.member is not None:
        changes += notices.member_forgotten(scene.club, event.user_id, wider.finished)
        changes += unnamed(scene.club, scene.member, wider.asked)
    mark = notices.opaque(scene.club, event.user_id)
    changes.append(EraseMember(scene.club.id, event.user_id, mark))
    until = event.acted_at.astimezone(UTC).date() + KEEP_COPIES
    erased = Erased(entries=entries, open_dates=begun, copies_until=until)
    return Decision(erased, tuple(changes))


def _begun_dates(scene: Scene, event: Event, wider: ToKeep) -> tuple[date, ...]:
    """Return the dates of the open puzzles that the member took part in, before an erasure too."""
    begun = wider.day_ids | scene.came_back
    return tuple(day.date for day in open_days(scene, event) if day.id in begun)


# --- help ---


def decide_help(scene: Scene, event: Event, act: ShowHelp, reads_photos: bool) -> Decision:
    """Show help, with what the club's own settings add."""
    settings = scene.club.settings
    return Decision(
        HelpShown(
            topic=act.topic,
            is_leader=event.is_leader,
            sealed=settings.sealed,
            costs=settings.penalties.rungs,
            wrong_cost=settings.penalties.wrong,
            reads_photos=reads_photos,
        )
    )


TABLE = Course(ShowTable, decide_table, load_table)
ME = Course(ShowMe, decide_own_page, load_own_page)
WALKTHROUGH = Course(ShowWalkthrough, decide_walkthrough, load_to_explain)
PRIVACY = Course(Privacy, decide_privacy, load_to_keep)
HELP = Course(ShowHelp, decide_help, load_whether_read)
