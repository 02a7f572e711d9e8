"""The club's one service: loads what an act needs, has it decided, saves, and answers.

Acts of one club are decided one after another; what the engine works out for one is worked out
meanwhile (see `bot.club.studies`). A decision, the reply and everything that is to be said
afterwards are saved in one transaction, so a redelivered act finds its reply and changes nothing.
Nothing is decided here.
"""

from __future__ import annotations

import asyncio
import logging
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from types import MappingProxyType

from bot.club import notices
from bot.club.acts import (
    AskHint,
    Event,
    HandIn,
    Misread,
    Overheard,
    PasteGrid,
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
from bot.club.deciding import Decision, decide_on_board
from bot.club.due import ClosingDue, Due, PuzzleDue, early_puzzle, find_due
from bot.club.handing_in import decide_answer, spoken_in
from bot.club.judging import judge_puzzle, judge_puzzles
from bot.club.leading import COMMAND_OF, LeadersAct, day_to_report, decide_leading, need_leader
from bot.club.leading_puzzles import named_days
from bot.club.looking import decide_looking
from bot.club.plan import entry_for, relaxed
from bot.club.ports import MarkClosed, PuzzleSource, Store
from bot.club.questions import Studies, make_puzzle
from bot.club.refusal import RefusedError
from bot.club.replies import Reply, TalkHeard, decode_reply, encode_reply
from bot.club.saying import say_public
from bot.club.state import Club, Day, Entry, Puzzle, Scene
from bot.club.studies import Study, Turns
from bot.club.turning import study_turning
from bot.club.walkthrough import NO_PATH, PathFacts, path_facts
from bot.club.wider import Wider
from bot.club.withdrawing import day_to_withdraw

_LOG = logging.getLogger("ninebark.club")


class ClubService:
    """Answers events and carries out what is due. It has no clock: acts carry their stamps, and
    who asks what is due says when. Without `puzzles` none is made when queue and stock are empty.
    `believe` returns the stamp of an act, or the latest that it can have been. `leaders` are ids of
    those whom the host names, by platform and room; they are told what the club's own are told.
    """

    def __init__(
        self,
        *,
        store: Store,
        puzzles: PuzzleSource | None = None,
        believe: Callable[[datetime], datetime] = lambda at: at,
        leaders: Mapping[tuple[str, str], Sequence[str]] = MappingProxyType({}),
    ) -> None:
        self._store = store
        self._puzzles = puzzles
        self._believe = believe
        self._leaders = leaders
        self._locks: defaultdict[int, asyncio.Lock] = defaultdict(asyncio.Lock)
        self._turns = Turns()
        self._study = Study(puzzles)

    async def answer(self, event: Event) -> Reply:
        """Decide on one act and return its reply; a redelivered one gets the saved reply."""
        studies, who = Studies(), (event.club_id, event.user_id)
        try:
            return await self._study.through(
                lambda: self._answer(event, studies), studies, who=who, act=event.act
            )
        except RefusedError as refused:
            return refused.reply

    async def _answer(self, event: Event, studies: Studies) -> Reply:
        """Decide on an act by what is known, and save it. Raises StudyNeededError."""
        # One person's many acts take turns before the club's, or all others would wait for them.
        async with self._turns.of((event.club_id, event.user_id)), self._locks[event.club_id]:
            scene = await self._store.load_scene(
                event.club_id, event.user_id, event.acted_at, event.event_id
            )
            if scene.saved_reply is not None:
                return decode_reply(scene.saved_reply)
            try:
                decision = await self._decide(scene, event, studies)
            except RefusedError as refused:
                decision = Decision(refused.reply)
            marked = replace(decision, reply=say_public(decision.reply, scene, event))
            return await self._save(event, marked)

    async def _save(self, event: Event, decision: Decision) -> Reply:
        if not decision.is_kept:
            return decision.reply
        is_new = await self._store.save(
            decision.changes,
            event_id=event.event_id,
            reply=encode_reply(decision.reply),
            club_id=event.club_id,
            user_id=event.user_id,
        )
        saved = None if is_new else await self._store.load_reply(event.event_id)
        return decision.reply if saved is None else decode_reply(saved)

    async def _decide(self, scene: Scene, event: Event, studies: Studies) -> Decision:
        act = event.act
        match act:
            case HandIn() | Talk():
                wider = await self._load_for_answer(scene, event, act)
                return decide_answer(scene, event, act, wider)
            case Misread(refused):
                return Decision(refused, is_kept=False)
            case Overheard():
                return Decision(TalkHeard(), is_kept=False)
            case ShowTable() | ShowWalkthrough() | ShowMe() | Privacy() | ShowHelp():
                wider = await self._load_for_looking(scene, event, act)
                return decide_looking(scene, event, act, wider, studies)
            case (
                SetUpClub()
                | PlanWeek()
                | PreviewDays()
                | SwapPuzzle()
                | ShowTurning()
                | QueuePuzzle()
                | UnqueuePuzzle()
                | PostNow()
                | WithdrawDay()
                | PauseClub()
                | ShowReport()
                | RuleResult()
            ):
                need_leader(scene, event, act)
                wider = await self._load_for_leader(scene, event, act, studies)
                return decide_leading(scene, event, act, wider)
        if isinstance(act, AskHint | PasteGrid):
            return studies.of(decide_on_board, scene, event, act)
        return decide_on_board(scene, event, act)

    # --- loading ---

    async def _load_for_answer(self, scene: Scene, event: Event, act: HandIn | Talk) -> Wider:
        if isinstance(act, Talk) and spoken_in(scene, event, act) is None:
            return Wider()
        named, entry = await self._named_day(scene, event, getattr(act, "day", None))
        club = scene.club
        results = await self._store.load_results(club.id, None, None)
        of_host = self._leaders.get((club.platform, club.room_id), ())
        leaders = tuple(dict.fromkeys((*club.settings.leaders, *of_host)))
        return Wider(named=named, named_entry=entry, results=results, leaders=leaders)

    async def _load_for_looking(
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

    async def _load_for_leader(
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
                puzzle = await self._choose(club, found.date, studies)
                return replace(wider, puzzle=puzzle, edition=await self._edition(club, found.date))
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
        candidates: list[tuple[Day, Entry]] = []
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
    ) -> tuple[Day | None, Entry | None]:
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

    # --- by the clock ---

    async def due(self, club: Club, now: datetime) -> tuple[Due, ...]:
        """Return what is due now, in the order in which it is to be done."""
        return find_due(club, await self._store.load_days(club.id, open_only=True), now)

    async def carry_out(self, due: Due) -> None:
        """Do and save it; what is to be said waits in the outbox."""
        if isinstance(due, ClosingDue):
            await self._close(due)
        else:
            await self._open(due)

    async def _close(self, due: ClosingDue) -> None:
        club, day = due.club, due.day
        path = NO_PATH if day.posted_at is None else await self._path(club, day)
        async with self._locks[club.id]:
            results = await self._store.load_results(club.id, day.date, day.date)
            said = notices.closing(club, day, results, path)
            await self._store.save((*said, MarkClosed(day.id)))

    async def _open(self, due: PuzzleDue) -> None:
        club = due.club
        if await self._store.load_day(club.id, due.date) is not None:
            return  # closed already: the leader moved the post time
        studies = Studies()
        puzzle = await self._study.through(
            lambda: self._choose(club, due.date, studies), studies, who=club.id
        )
        if puzzle is None:
            _LOG.warning("club %s has no puzzle for %s", club.id, due.date)
            return
        async with self._locks[club.id]:
            if await self._store.load_day(club.id, due.date) is None:
                edition = await self._edition(club, due.date)
                await self._store.save(notices.open_changes(due, puzzle, edition=edition))

    async def _path(self, club: Club, day: Day) -> PathFacts:
        try:
            return await self._study.ask(path_facts, day.puzzle.givens, club.settings, who=club.id)
        except RefusedError:
            _LOG.warning("the walkthrough of %s takes too long to work out", day.date)
            return NO_PATH

    async def _edition(self, club: Club, day: date) -> int:
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

    async def _choose(self, club: Club, day: date, studies: Studies) -> Puzzle | None:
        coming = await self._coming(club, await self._supply(club), day, studies)
        return None if coming is None else coming.puzzle

    async def _coming(
        self, club: Club, supply: Supply, day: date, studies: Studies
    ) -> Coming | None:
        """Return the puzzle for a date; one is made where queue and stock have none."""
        coming = await asyncio.to_thread(choose_puzzle, supply, day)
        if coming is not None or self._puzzles is None:
            return coming
        had = supply.had
        for entry in relaxed(entry_for(day, club.settings)):
            for seed in seeds_of(club, day):
                made = studies.of(make_puzzle, entry, seed)
                if made is not None and made.identity not in had:
                    return Coming(day, made, "made")
        return None
