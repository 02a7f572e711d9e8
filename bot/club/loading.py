"""Loads what an act needs beyond its scene, and what the days to come can get.

It is the service's reading part: nothing is decided or saved here. Whoever calls holds the club's
lock, so what takes long is asked for as a question (see `bot.club.questions`).
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime

from bot.club.acts import (
    Event,
    HandIn,
    PauseClub,
    PlanWeek,
    PostNow,
    PreviewDays,
    Privacy,
    QueuePuzzle,
    RuleResult,
    SetUpClub,
    ShowHelp,
    ShowMe,
    ShowReport,
    ShowTable,
    ShowTurning,
    ShowWalkthrough,
    SwapPuzzle,
    Talk,
    UnqueuePuzzle,
    WithdrawDay,
)
from bot.club.choosing import Coming, Supply, choose_puzzle, look_ahead, seeds_of, supply_of
from bot.club.deciding import is_after, is_told_late
from bot.club.due import early_puzzle
from bot.club.handing_in import spoken_in
from bot.club.judging import judge_puzzle, judge_puzzles
from bot.club.leading import COMMAND_OF, LeadersAct, day_to_report
from bot.club.leading_puzzles import named_days
from bot.club.plan import plan_for, relaxed
from bot.club.ports import Store
from bot.club.questions import Studies, make_puzzle
from bot.club.saying import known_days
from bot.club.state import Club, Day, Member, MemberSolve, Puzzle, Scene
from bot.club.turning import study_turning
from bot.club.wider import NOTHING_WIDER, Wider
from bot.club.withdrawing import day_to_withdraw


class Loading:
    """`may_make`: a puzzle is made where queue and stock have none."""

    def __init__(
        self,
        store: Store,
        believe: Callable[[datetime], datetime],
        leaders: Mapping[tuple[str, str], Sequence[str]],
        *,
        may_make: bool,
    ) -> None:
        self._store = store
        self._believe = believe
        self._leaders = leaders
        self._may_make = may_make

    async def for_answer(self, scene: Scene, event: Event, act: HandIn | Talk) -> Wider:
        if isinstance(act, Talk) and spoken_in(scene, event, act) is None:
            return Wider()
        named, entry = await self._named_day(scene, event, getattr(act, "day", None))
        club = scene.club
        results = await self._store.load_results(club.id, None, None)
        own = (entry, scene.entry, scene.earlier_entry)
        told_late = {each.day_id for each in own if each and is_told_late(each, event)}
        days = [day for day in (named, *known_days(scene)) if day is not None]
        overtaken = {each.date for each in results if is_after(each, event)}
        entries: list[tuple[Member, MemberSolve]] = []
        for day_id in told_late | {day.id for day in days if day.date in overtaken}:
            entries += await self._store.load_entries(day_id)
        return Wider(
            named=named,
            named_entry=entry,
            results=results,
            leaders=self._leaders_of(club),
            entries=tuple(entries),
        )

    async def for_board(self, scene: Scene, event: Event) -> Wider:
        if scene.entry is None or not is_told_late(scene.entry, event):
            return NOTHING_WIDER
        entries = await self._store.load_entries(scene.entry.day_id)
        return Wider(entries=entries, leaders=self._leaders_of(scene.club))

    def _leaders_of(self, club: Club) -> tuple[str, ...]:
        of_host = self._leaders.get((club.platform, club.room_id), ())
        return tuple(dict.fromkeys((*club.settings.leaders, *of_host)))

    async def for_looking(
        self,
        scene: Scene,
        event: Event,
        act: ShowTable | ShowWalkthrough | ShowMe | Privacy | ShowHelp,
    ) -> Wider:
        club, user_id, store = scene.club, event.user_id, self._store
        match act:
            case ShowTable():
                results = await store.load_results(club.id, None, None)
                return Wider(results=results, dates=await self._puzzle_dates(club))
            case ShowMe():
                return Wider(
                    results=await store.load_results(club.id, None, None),
                    own_entries=await store.load_member_entries(club.id, user_id),
                    dates=await self._puzzle_dates(club),
                )
            case ShowWalkthrough():
                named, entry = await self._named_day(scene, event, act.day)
                believed = self._believe(event.acted_at)
                return Wider(named=named, named_entry=entry, believed=believed)
            case Privacy(wish="export"):
                return Wider(kept=await store.export_member(club.id, user_id))
            case Privacy(wish="erase", sure=True):
                return Wider(
                    own_entries=await store.load_member_entries(club.id, user_id),
                    results=await store.load_results(club.id, None, None),
                    days=await store.load_days(club.id),
                )
            case Privacy():
                return Wider(own_entries=await store.load_member_entries(club.id, user_id))
        return Wider()

    async def for_leader(
        self, scene: Scene, event: Event, act: LeadersAct, studies: Studies
    ) -> Wider:
        club, store = scene.club, self._store
        match act:
            case SetUpClub():
                return Wider(
                    days=await store.load_days(club.id, open_only=True),
                    supply=await self._supply(club),
                )
            case PlanWeek() | UnqueuePuzzle():
                return Wider(supply=await self._supply(club))
            case PauseClub():
                return Wider(days=await store.load_days(club.id, open_only=True))
            case PreviewDays():
                return await self._load_ahead(event, club, act, studies, act.count)
            case SwapPuzzle():
                return await self._load_ahead(event, club, act, studies)
            case ShowTurning():
                return await self._load_turning(scene, event, act, studies)
            case PostNow():
                days = await store.load_days(club.id)
                wider = Wider(days=days, believed=self._believe(event.acted_at))
                found = early_puzzle(club, days, event.acted_at)
                if isinstance(found, Day):
                    return wider
                puzzle = await self.choose(club, found.date, studies)
                return replace(wider, puzzle=puzzle, edition=await self.edition(club, found.date))
            case WithdrawDay():
                days = await store.load_days(club.id)
                day = day_to_withdraw(club, event, act, days)
                return Wider(days=days, entries=await store.load_entries(day.id))
            case QueuePuzzle():
                supply = await self._supply(club)
                if not act.text:
                    return Wider(supply=supply)
                judged = judge_puzzles(
                    act.text, lambda text: studies.of(judge_puzzle, text, act.credit)
                )
                return Wider(supply=supply, judged=judged)
            case ShowReport():
                named, _ = await self._named_day(scene, event, act.day)
                reported = day_to_report(scene, event, act, Wider(named=named))
                return Wider(named=named, entries=await store.load_entries(reported.id))
        return await self._load_for_ruling(scene, event, act)

    async def _load_ahead(
        self,
        event: Event,
        club: Club,
        act: PreviewDays | SwapPuzzle | ShowTurning,
        studies: Studies,
        count: int = 1,
    ) -> Wider:
        """Load what the days up to the one asked about will get. For that one a puzzle is made
        where nothing is left for it."""
        days = await self._store.load_days(club.id)
        dates = named_days(club, days, event.acted_at, act.day, COMMAND_OF[type(act)], count)
        supply = await self._supply(club)
        # A large stock takes longer to look through than the event loop may stand still.
        coming = await asyncio.to_thread(look_ahead, supply, dates)
        if coming[-1] is None and count == 1:
            coming = (*coming[:-1], await self._coming(club, supply, dates[-1], studies))
        return Wider(days=days, supply=supply, coming=coming)

    async def _load_turning(
        self, scene: Scene, event: Event, act: ShowTurning, studies: Studies
    ) -> Wider:
        named, _ = await self._named_day(scene, event, act.day)
        wider = Wider(named=named)
        if named is None:
            wider = await self._load_ahead(event, scene.club, act, studies)
        last = wider.coming[-1] if wider.coming else None
        puzzle = named.puzzle if named else last.puzzle if last else None
        if puzzle is None:
            return wider
        return replace(wider, turning=studies.of(study_turning, puzzle.givens))

    async def _load_for_ruling(self, scene: Scene, event: Event, act: RuleResult) -> Wider:
        store = self._store
        named, _ = await self._named_day(scene, event, act.day)
        days = (scene.today, scene.earlier) if act.day is None else (named,)
        members = await store.find_members(scene.club.id, act.member)
        candidates: list[tuple[Day, MemberSolve]] = []
        for day in days:
            if day is not None and len(members) == 1:
                entry = await store.load_entry(day.id, members[0].user_id)
                if entry is not None:
                    candidates.append((day, entry))
        ruled_on = next((day for day, entry in candidates if entry.finished_at), None)
        return Wider(
            named=named,
            members=members,
            candidates=tuple(candidates),
            entries=() if ruled_on is None else await store.load_entries(ruled_on.id),
            results=await store.load_results(scene.club.id, None, None),
        )

    async def _named_day(
        self, scene: Scene, event: Event, wanted: date | None
    ) -> tuple[Day | None, MemberSolve | None]:
        """Return the posted day of a date that the act names, and the member's entry on it."""
        if wanted is None:
            return None, None
        day = await self._store.load_day(scene.club.id, wanted)
        if day is None or day.posted_at is None or day.due_at > event.acted_at:
            return None, None
        return day, await self._store.load_entry(day.id, event.user_id)

    async def _puzzle_dates(self, club: Club) -> tuple[date, ...]:
        days = await self._store.load_days(club.id)
        return tuple(day.date for day in days if day.posted_at is not None)

    # --- puzzles to come ---

    async def edition(self, club: Club, day: date) -> int:
        withdrawn = await self._store.load_withdrawn(club.id)
        return 1 + sum(each.day == day for each in withdrawn)

    async def _supply(self, club: Club) -> Supply:
        store = self._store
        return supply_of(
            club.settings,
            await store.load_queue(club.id),
            await store.load_picks(club.id),
            await store.load_stock(club.id),
            await store.load_days(club.id),
            await store.load_withdrawn(club.id),
        )

    async def choose(self, club: Club, day: date, studies: Studies) -> Puzzle | None:
        coming = await self._coming(club, await self._supply(club), day, studies)
        return None if coming is None else coming.puzzle

    async def _coming(
        self, club: Club, supply: Supply, day: date, studies: Studies
    ) -> Coming | None:
        """Return the puzzle for a date; one is made where queue and stock have none."""
        coming = await asyncio.to_thread(choose_puzzle, supply, day)
        if coming is not None or not self._may_make:
            return coming
        had = supply.had
        for entry in relaxed(plan_for(day, club.settings)):
            for seed in seeds_of(club, day):
                made = studies.of(make_puzzle, entry, seed)
                if made is not None and made.identity not in had:
                    return Coming(day, made, "made")
        return None
