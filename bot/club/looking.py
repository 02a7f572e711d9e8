"""Decisions on acts that only look: tables, walkthroughs, the own page, help, what is kept."""

from __future__ import annotations

import json
from datetime import date

from bot.club import notices
from bot.club.acts import Event, Privacy, ShowHelp, ShowMe, ShowTable, ShowWalkthrough
from bot.club.clock import period_of, puzzle_date_at
from bot.club.deciding import Decision, no_puzzle
from bot.club.facts import TablePicture
from bot.club.ports import Change, EraseMember
from bot.club.questions import Studies
from bot.club.refusal import RefusedError
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
from bot.club.self_page import page_of
from bot.club.state import Day, MemberSolve, Scene
from bot.club.table import table_of
from bot.club.walkthrough import path_facts, walkthrough_shown
from bot.club.wider import Wider

LookingAct = ShowTable | ShowWalkthrough | ShowMe | Privacy | ShowHelp


def decide_looking(
    scene: Scene, event: Event, act: LookingAct, wider: Wider, studies: Studies
) -> Decision:
    match act:
        case ShowTable():
            return _show_table(scene, event, act, wider)
        case ShowWalkthrough():
            return _show_walkthrough(scene, event, act, wider, studies)
        case ShowMe():
            page = page_of(
                scene.member.name if scene.member else event.name,
                wider.results_of(scene.member),
                wider.own_entries,
                wider.dates,
                still_open=[day.date for day in open_days(scene, event)],
                open_day_id=scene.today.id if scene.today else None,
            )
            return Decision(page)
        case Privacy():
            return _keep_private(scene, event, act, wider)
    settings = scene.club.settings
    return Decision(
        HelpShown(
            topic=act.topic,
            is_leader=is_leader(scene, event),
            sealed=settings.sealed,
            costs=settings.penalties.rungs,
            wrong_cost=settings.penalties.wrong,
        )
    )


def is_leader(scene: Scene, event: Event) -> bool:
    """Say whether the platform or the club's own list calls the person a leader."""
    return event.is_leader or event.user_id in scene.club.settings.leaders


def _show_table(scene: Scene, event: Event, act: ShowTable, wider: Wider) -> Decision:
    settings, today = scene.club.settings, scene.today
    reference = (
        today.date if today else puzzle_date_at(event.acted_at, settings.post_time, settings.zone)
    )
    first, last = period_of(act.period, reference)
    table = table_of(
        settings.name,
        act.period,
        first,
        last,
        wider.results,
        puzzle_dates=wider.dates,
        still_open=[day.date for day in open_days(scene, event)],
    )
    # Not kept: it names other members, who may have their data erased.
    return Decision(TableShown(table=table, picture=TablePicture(table)), is_kept=False)


def _show_walkthrough(
    scene: Scene, event: Event, act: ShowWalkthrough, wider: Wider, studies: Studies
) -> Decision:
    """Show a day's path where it is over for the member; without a date the newest such day's."""
    day, entry = _day_to_explain(scene, event, act, wider)
    solved = entry is not None and entry.finished_at is not None
    if not solved:
        zone = scene.club.settings.zone
        if event.acted_at < day.closes_at:
            return Decision(WalkthroughLater(date=day.date, closes_at=day.closes_at, zone=zone))
        if (wider.believed or event.acted_at) < day.closes_at:
            raise RefusedError(ClockDoubted(at=event.acted_at, zone=zone))
    path = studies.of(path_facts, day.puzzle.givens, scene.club.settings)
    return Decision(walkthrough_shown(day, path), is_kept=False)


def _day_to_explain(
    scene: Scene, event: Event, act: ShowWalkthrough, wider: Wider
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
    raise RefusedError(no_puzzle(scene, event))


def _keep_private(scene: Scene, event: Event, act: Privacy, wider: Wider) -> Decision:
    if act.wish == "export":
        shown, is_less = without_untold(
            wider.kept, frozenset(day.date.isoformat() for day in open_days(scene, event))
        )
        text = json.dumps(shown, indent=2, ensure_ascii=False)
        return Decision(ExportMade(text=text, is_less=is_less), is_kept=False)
    entries = len(wider.own_entries)
    if act.wish == "show":
        return Decision(PrivacyShown(entries=entries))
    begun = _begun_dates(scene, event, wider)
    if not act.sure:
        return Decision(ErasureAsked(entries=entries, open_dates=begun))
    changes: list[Change] = []
    if scene.member is not None:
        changes += notices.member_forgotten(
            scene.club, event.user_id, scene.member, wider.days, wider.results
        )
    changes.append(EraseMember(scene.club.id, event.user_id))
    return Decision(Erased(entries=entries, open_dates=begun), tuple(changes))


def _begun_dates(scene: Scene, event: Event, wider: Wider) -> tuple[date, ...]:
    """Return the dates of the open puzzles that the member took part in, before an erasure too."""
    begun = {entry.day_id for entry in wider.own_entries} | scene.came_back
    return tuple(day.date for day in open_days(scene, event) if day.id in begun)
