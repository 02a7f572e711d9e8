"""The club's one service: loads what an act needs, has it decided, saves, and answers.

Acts of one club are decided one after another, but for those that touch nothing but their member's
own board; what the engine works out for one is worked out meanwhile (see `bot.club.studies`). A
decision, the reply and everything that is to be said afterwards are saved in one transaction, so a
redelivered act finds its reply and changes nothing.
Nothing is decided here.
"""

from __future__ import annotations

import logging
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime

from msgspec import structs

from bot.club import notices
from bot.club.acts import Act, Event, OnDay, Talk
from bot.club.agenda import QuestionDue, RevealDue, moved_on, questions_due
from bot.club.asking import reveal_changes
from bot.club.board_seen import BoardSeen, see_board
from bot.club.changes import NoteServer, Relocate
from bot.club.clock import ONE_DAY, local_date, period_of
from bot.club.club_lock import ClubLock
from bot.club.course import AnyCourse, Decision
from bot.club.deciding import has_finished, on_board_of, on_day
from bot.club.due import (
    ClosingDue,
    Due,
    PuzzleDue,
    ReminderDue,
    WeekDue,
    after_the_last,
    find_due,
    is_moved,
    next_post_of,
    reminders_due,
)
from bot.club.final_tables import PERIODS, periods_over, table_told
from bot.club.handing_in import SAID, as_seen
from bot.club.leaders import Leaders
from bot.club.leading import need_leader
from bot.club.loading import Loading
from bot.club.photo_pace import PhotoPace
from bot.club.planning_questions import load_due, missing, put_planned
from bot.club.ports import (
    Change,
    MarkClosed,
    NoRooms,
    PuzzleSource,
    QueueNotice,
    Rooms,
    SaveEntry,
    SaveMember,
    Store,
)
from bot.club.questions import Studies
from bot.club.refusal import RefusedError
from bot.club.replies import NoPuzzleOpen, Reply, decode_reply, encode_reply
from bot.club.rights import leader_noted, post_refused, puzzle_missing, rights_noted
from bot.club.saying import say_public
from bot.club.settings import ClubSettings
from bot.club.state import Club, Day, Look, Scene
from bot.club.studies import Study, Turns
from bot.club.technique_week import load_to_teach, load_week_due, week_changes
from bot.club.walkthrough import NO_PATH, PathFacts, path_facts
from bot.club.wishes import look_after, reminders

_LOG = logging.getLogger("ninebark.club")


class ClubService:
    """Answers events and carries out what is due. It has no clock: acts carry their stamps, and
    who asks what is due says when. `courses` are those of all commands. Without `puzzles` none is
    made when queue and stock are empty. `believe` returns the stamp of an act, or the latest that
    it can have been. `leaders` says who leads a club: they are told what waits for them. `rooms`
    are those of the clubs' platforms. `wake` is told a club's id where more was saved than a
    member's own board: something may be due, or waits to be said. `reads_photos`: photos can be
    read here.
    """

    def __init__(
        self,
        *,
        store: Store,
        courses: Iterable[AnyCourse],
        puzzles: PuzzleSource | None = None,
        believe: Callable[[datetime], datetime] = lambda at: at,
        leaders: Leaders | None = None,
        rooms: Rooms | None = None,
        wake: Callable[[int], object] = lambda club_id: None,
    ) -> None:
        self._store = store
        self._courses = {course.act: course for course in (*SAID, *courses)}
        self._believe = believe
        self._leaders = leaders or Leaders()
        self._rooms = rooms or NoRooms()
        self._wake = wake
        self._may_make = puzzles is not None
        self.reads_photos = puzzles is not None and puzzles.reads_photos
        self._locks: defaultdict[int, ClubLock] = defaultdict(ClubLock)
        self._turns = Turns()
        self._pace = PhotoPace()
        self._reminded: dict[int, int] = {}
        """The day that members of a club were reminded of last, by their ids."""
        self._study = Study(puzzles)

    async def answer(self, event: Event) -> Reply:
        """Decide on one act and return its reply; a redelivered one gets the saved reply."""
        return (await self.answer_and_look(event))[0]

    async def answer_and_look(self, event: Event) -> tuple[Reply, Look]:
        """Do as `answer`, and return besides how its member wishes to see pictures."""
        studies, who = Studies(), (event.club_id, event.user_id)
        try:
            return await self._study.through(
                lambda: self._answer(event, studies),
                studies,
                who=who,
                command=self._course_of(event.act).command,
            )
        except RefusedError as refused:
            return refused.reply, ""

    async def see_board(
        self, club_id: int, user_id: str, at: datetime, on_date: date | None = None
    ) -> tuple[BoardSeen | NoPuzzleOpen, ClubSettings]:
        """Return what a member sees on their board at a moment, by what is saved: of the open day,
        or of a date, its day open or over; and the settings of their club."""
        scene = await self._store.load_scene(club_id, user_id, at, "")
        if on_date is not None and (scene.today is None or scene.today.date != on_date):
            day = await self._store.load_day(club_id, on_date)
            entry = None if day is None else await self._store.load_entry(day.id, user_id)
            scene = structs.replace(scene, today=day, entry=entry)
        return see_board(scene, at), scene.club.settings

    async def _answer(self, event: Event, studies: Studies) -> tuple[Reply, Look]:
        """Decide on an act by what is known, and save it. Raises StudyNeededError."""
        lock = self._locks[event.club_id]
        # One person's many acts take turns before the club's, or all others would wait for them.
        async with self._turns.of((event.club_id, event.user_id)):
            if self._course_of(event.act).is_own:
                async with lock.side_by_side():
                    scene = await self._load(event)
                    if not has_finished(scene):
                        return await self._answer_at(scene, event, studies)
            async with lock.alone():
                return await self._answer_at(await self._load(event), event, studies)

    async def _load(self, event: Event) -> Scene:
        return await self._store.load_scene(
            event.club_id, event.user_id, event.acted_at, event.event_id
        )

    async def _answer_at(self, scene: Scene, event: Event, studies: Studies) -> tuple[Reply, Look]:
        if scene.saved_reply is not None:
            return decode_reply(scene.saved_reply), look_after(scene)
        named = not {event.user_id, *event.groups}.isdisjoint(self._leaders.of(scene.club))
        noted: tuple[Change, ...] = ()
        if self._course_of(event.act).leaders_only and not named:
            noted = leader_noted(scene.club, event.user_id, leads=event.is_leader)
        event = replace(event, is_leader=event.is_leader or named)
        scene = as_seen(scene, event)
        try:
            decision = await self._decide(scene, event, studies)
        except RefusedError as refused:
            decision = Decision(refused.reply)
        reply = say_public(decision.reply, scene, event)
        if not (self._course_of(event.act).leaders_only or isinstance(event.act, Talk)):
            reply = on_board_of(reply, scene, event.act)
        saved = await self._save(
            event, replace(decision, reply=reply, changes=(*decision.changes, *noted))
        )
        return saved, look_after(scene, decision.changes)

    async def _save(self, event: Event, decision: Decision) -> Reply:
        if not decision.is_kept:
            if decision.changes:
                await self._store.save(decision.changes)
                self._wake(event.club_id)
            return decision.reply
        is_new = await self._store.save(
            decision.changes,
            event_id=event.event_id,
            reply=encode_reply(decision.reply),
            club_id=event.club_id,
            user_id=event.user_id,
        )
        for change in decision.changes if is_new else ():
            if isinstance(change, Relocate):
                self._rooms.moved(change.club_id, change.room_id)
        if not all(isinstance(change, SaveEntry | SaveMember) for change in decision.changes):
            self._wake(event.club_id)
        saved = None if is_new else await self._store.load_reply(event.event_id)
        return decision.reply if saved is None else decode_reply(saved)

    async def _decide(self, scene: Scene, event: Event, studies: Studies) -> Decision:
        act = event.act
        if isinstance(act, OnDay):
            return await self._decide(*on_day(scene, event, act), studies)
        course = self._course_of(act)
        if course.leaders_only:
            need_leader(event, course.command)
        wider = await course.load(self._loading(studies), scene, event, act)
        if course.is_long:
            return studies.of(course.decide, scene, event, act, wider)
        return course.decide(scene, event, act, wider)

    def _course_of(self, act: Act) -> AnyCourse:
        return self._courses[type(act.act if isinstance(act, OnDay) else act)]

    def _loading(self, studies: Studies) -> Loading:
        return Loading(
            self._store,
            studies,
            self._believe,
            self._leaders,
            self._rooms,
            may_make=self._may_make,
            reads_photos=self.reads_photos,
            pace=self._pace,
        )

    # --- by the clock ---

    async def greet(self, club: Club, now: datetime) -> None:
        """Say, once, when the first puzzle comes in the room of a club that has had none yet."""
        next_at = next_post_of(club, (), now)
        if next_at is not None and next_at > now and not await self._has_had_any(club):
            await self._store.save([notices.club_begun(club, next_at)])

    async def _has_had_any(self, club: Club) -> bool:
        return await self._store.load_day_before(club.id, date.max) is not None

    async def note_rights(self, club: Club, now: datetime) -> bool:
        """Tell who leads, once, what the bot may not do in the room; say whether it may do anything
        again that it could not."""
        lacks, server = self._rooms.lacks_in(club), self._rooms.server_of(club)
        if lacks is None:
            return False
        changes = rights_noted(club, lacks, self._leaders.told(club), now)
        if server and server != club.server:
            changes = (*changes, NoteServer(club.id, server))
        if changes:
            await self._store.save(changes)
        return not set(club.lacking) <= set(lacks.duties)

    async def note_refused(self, club: Club, key: str) -> None:
        """Tell who leads, once, that the platform refuses what has a key."""
        await self._store.save(post_refused(club, key, self._leaders.told(club)))

    async def due(self, club: Club, now: datetime) -> tuple[Due, ...]:
        """Return what is due now, in the order in which it is to be done."""
        days = await self._store.load_days(club.id, open_only=True)
        yesterday = local_date(now, club.settings.zone) - ONE_DAY
        before = await self._store.load_day(club.id, yesterday)
        if before is not None and before.is_closed:
            days = (*days, before)
        soon = reminders_due(club, days, now)
        fresh = tuple(each for each in soon if self._reminded.get(club.id) != each.day.id)
        agenda = await self._store.load_agenda(club.id)
        week = await load_week_due(self._store, club, now)
        return (*find_due(club, days, now), *fresh, *questions_due(club, agenda, now), *week)

    async def carry_out(self, due: Due) -> None:
        """Do and save it; what is to be said waits in the outbox."""
        if isinstance(due, ClosingDue):
            await self._close(due)
        elif isinstance(due, ReminderDue):
            entries = await self._store.load_entries(due.day.id)
            await self._store.save(reminders(due.club, due.day, entries))
            self._reminded[due.club.id] = due.day.id
        elif isinstance(due, RevealDue):
            await self._reveal(due)
        elif isinstance(due, WeekDue):
            studies = Studies()
            await self._study.through(lambda: self._teach(due, studies), studies, who=due.club.id)
        elif isinstance(due, QuestionDue):
            await self._ask(due)
        else:
            await self._open(due)

    async def _reveal(self, due: RevealDue) -> None:
        async with self._locks[due.club.id].alone():
            asked = await self._store.load_question(due.club.id, "")
            if asked is not None and asked.number == due.number and not asked.is_over:
                await self._store.save(reveal_changes(due.club, asked))

    async def _teach(self, due: WeekDue, studies: Studies) -> None:
        async with self._locks[due.club.id].alone():
            wider = await load_to_teach(self._loading(studies), due)
            await self._store.save(week_changes(due, wider))

    async def _ask(self, due: QuestionDue) -> None:
        """Put a planned question; one whose date is past is not put any more."""
        studies = Studies()

        async def put() -> None:
            async with self._locks[due.club.id].alone():
                agenda = await self._store.load_agenda(due.club.id)
                if due.planned not in agenda.planned:
                    return  # dropped meanwhile
                if due.is_missed:
                    await self._store.save(moved_on(due))
                    return
                try:
                    changes = put_planned(due, await load_due(self._loading(studies), due))
                except RefusedError as refused:
                    changes = missing(due, self._leaders.told(due.club), refused)
                await self._store.save(changes)

        await self._study.through(put, studies, who=due.club.id)

    async def _close(self, due: ClosingDue) -> None:
        club, day = due.club, due.day
        path = NO_PATH if day.posted_at is None else await self._path(club, day)
        async with self._locks[club.id].alone():
            now = await self._store.load_day(club.id, day.date)
            if now is None or now.closes_at > day.closes_at:
                return  # taken back, or its closing was moved meanwhile
            results = await self._store.load_results(club.id, day.date, day.date)
            said = notices.closing(club, day, results, path)
            tables = await self._tables_at_closing(club, day)
            await self._store.save((*said, *tables, MarkClosed(day.id)))

    async def _tables_at_closing(self, club: Club, day: Day) -> list[Change]:
        """Return the final tables of what is over with a day, and of what was with the one before:
        nobody could tell, where its last dates had no puzzle."""
        before, kept = await self._days_about(club, day.date)
        days = [
            structs.replace(each, is_closed=True) if each.id == day.id else each for each in kept
        ]
        tables = [] if before is None else await self._tables(club, before, days, days[-1].date)
        own = await self._tables(club, day, days, days[-1].date)
        # A day that is closed once more, its post being found, changes what went up.
        return [*tables, *own, *(replace(each, audience="mend") for each in own)]

    async def _tables(
        self, club: Club, day: Day, days: Sequence[Day], newest: date
    ) -> list[QueueNotice]:
        tables = []
        for period in periods_over(club, day, days, newest):
            span = period_of(period, day.date)
            tables.append(
                table_told(club, period, await self._store.load_standing(club.id, period, *span))
            )
        return [table for table in tables if table is not None]

    async def _days_about(self, club: Club, on_date: date) -> tuple[Day | None, tuple[Day, ...]]:
        """Return the newest day before a date, and all days since its week and month began."""
        before = await self._store.load_day_before(club.id, on_date)
        spans = [period_of(period, before.date if before else on_date) for period in PERIODS]
        since = min((first for first, _ in spans if first is not None), default=None)
        return before, await self._store.load_days(club.id, since=since)

    async def _open(self, due: PuzzleDue) -> None:
        studies = Studies()
        is_open = await self._study.through(
            lambda: self._choose_and_open(due, studies), studies, who=due.club.id
        )
        if not is_open:
            _LOG.warning("club %s has no puzzle for %s", due.club.id, due.date)
            leaders = self._leaders.told(due.club)
            await self._store.save(puzzle_missing(due.club, due.date, leaders))

    async def _choose_and_open(self, due: PuzzleDue, studies: Studies) -> bool:
        """Choose a date's puzzle and save the intent to post it, in one go: what a leader was shown
        before is what goes up. Raises StudyNeededError where one has to be made first."""
        async with self._locks[due.club.id].alone():
            club = await self._store.reload_club(due.club.id)
            before, days = await self._days_about(club, due.date)
            if any(day.date == due.date for day in days):
                return True  # closed already: the leader moved the post time
            if is_moved(due.club, club):
                return True  # it is asked anew what is due
            due = after_the_last(replace(due, club=club), days, until=due.closes_at)
            loading = self._loading(studies)
            puzzle = await loading.choose(club, due.date)
            if puzzle is None:
                return False
            edition = await loading.edition(club, due.date)
            asked = await self._store.load_question(club.id, "")
            opened = notices.open_changes(due, puzzle, asked, edition=edition)
            tables = await self._tables(club, before, days, due.date) if before else []
            await self._store.save((*tables, *opened))
        return True

    async def _path(self, club: Club, day: Day) -> PathFacts:
        try:
            return await self._study.ask(
                path_facts, day.puzzle.givens, club.settings, "", who=club.id
            )
        except RefusedError:
            _LOG.warning("the walkthrough of %s takes too long to work out", day.date)
            return NO_PATH
