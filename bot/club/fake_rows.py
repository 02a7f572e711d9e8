"""The rows of the store in memory: what `bot.club.fake_store` keeps, and what is found in them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from copy import copy
from dataclasses import dataclass, field
from datetime import date

import msgspec

from bot.club.answers import result_of
from bot.club.asked import Asked
from bot.club.erasing import Mark, is_mark_of, new_mark
from bot.club.exercises import Sighting
from bot.club.facts_planning import Planned
from bot.club.ports import Queued, QueueNotice, Withdrawn
from bot.club.practised import Practised
from bot.club.self_page import OwnRecord, asked_techniques
from bot.club.state import Club, Day, Member, MemberSolve, Puzzle, Result
from bot.club.table import personal_bests, streaks_of
from bot.club.taught import Taught
from bot.club.weeks_kept import KeptWeek


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the outbox. `reference` stays once it was sent, for a mend; `stay`: during which
    the post went up, once the club has left that room."""

    notice: QueueNotice
    is_sent: bool = False
    reference: str | None = None
    stay: int | None = None


@dataclass(slots=True)
class Rows:
    """Everything kept; ids count from 1."""

    clubs: dict[int, Club] = field(default_factory=dict)
    members: dict[int, Member] = field(default_factory=dict)
    puzzles: dict[int, Puzzle] = field(default_factory=dict)
    queues: dict[int, tuple[Queued, ...]] = field(default_factory=dict)
    picks: dict[tuple[int, date], Puzzle] = field(default_factory=dict)
    days: dict[int, Day] = field(default_factory=dict)
    entries: dict[tuple[int, int], MemberSolve] = field(default_factory=dict)
    events: dict[str, tuple[bytes, int, str]] = field(default_factory=dict)
    lines: dict[int, Line] = field(default_factory=dict)
    erased: dict[int, tuple[Mark, ...]] = field(default_factory=dict)
    withdrawn: dict[tuple[int, date, int], Puzzle] = field(default_factory=dict)
    former: dict[int, tuple[int, str, tuple[Result, ...]]] = field(default_factory=dict)
    questions: dict[int, Asked] = field(default_factory=dict)
    planned_questions: dict[tuple[int, date], Planned] = field(default_factory=dict)
    tries: dict[int, tuple[int, bool, bool]] = field(default_factory=dict)
    weeks: dict[int, KeptWeek] = field(default_factory=dict)
    practised: dict[int, Practised] = field(default_factory=dict)
    lessons: dict[int, Taught] = field(default_factory=dict)
    sightings: dict[tuple[int, str], tuple[Sighting, ...]] = field(default_factory=dict)
    left_rooms: dict[tuple[int, int], str] = field(default_factory=dict)
    last_id: int = 0

    def next_id(self) -> int:
        """Return an id that nothing here has; tables share the sequence."""
        self.last_id += 1
        return self.last_id

    def duplicate(self) -> Rows:
        """Return a copy whose tables can change on their own; the values in them never change."""
        twin = copy(self)
        tables = (
            "clubs members puzzles queues picks days entries events lines withdrawn erased former"
            " questions planned_questions tries weeks lessons practised sightings left_rooms"
        )
        for name in tables.split():
            setattr(twin, name, dict(getattr(self, name)))
        return twin

    def club_in(self, platform: str, room_id: str) -> Club | None:
        """Return the club of a room, None where the room has none."""
        for club in self.clubs.values():
            if (club.platform, club.room_id) == (platform, room_id):
                return club
        return None

    def club_of(self, platform: str, room_id: str) -> Club | None:
        """Return the club of a room, else the last one that left it; None where it had none."""
        left = [
            (stay, club_id)
            for (club_id, stay), left_room in self.left_rooms.items()
            if (self.clubs[club_id].platform, left_room) == (platform, room_id)
        ]
        last = self.clubs[max(left)[1]] if left else None
        return self.club_in(platform, room_id) or last

    def member_with(self, club_id: int, user_id: str) -> Member | None:
        """Return a member by the platform's id, None for somebody whom the club does not know."""
        for member in self.members.values():
            if (member.club_id, member.user_id) == (club_id, user_id):
                return member
        return None

    def day_of(self, club_id: int, on_date: date) -> Day | None:
        """Return the club's day of that date, posted or not."""
        for each in self.days.values():
            if (each.club_id, each.date) == (club_id, on_date):
                return each
        return None

    def told_to(self, club_id: int, user_id: str) -> list[bytes]:
        """Return the replies to somebody's acts, then the notices for them alone."""
        events = [reply for reply, *who in self.events.values() if who == [club_id, user_id]]
        lines = [line.notice for line in self.lines.values()]
        return events + [
            each.reply
            for each in lines
            if each.reply and (each.club_id, each.user_id) == (club_id, user_id)
        ]

    def post_above(self, said: QueueNotice) -> str | None:
        """Return the reference of the post that something is to hang under, where it is out."""
        if not said.under:
            day = self.days.get(said.day_id or 0)
            return None if day is None else day.post_ref
        posts = (line for line in self.lines.values() if line.notice.key == said.under)
        return next((line.reference for line in posts), None)

    def take_off_queue(self, club_id: int, puzzle_id: int) -> None:
        """Take a puzzle out of a club's queue; one that is not in it is no error."""
        queue = self.queues.get(club_id, ())
        self.queues[club_id] = tuple(each for each in queue if each.puzzle.id != puzzle_id)

    def days_of(self, club_id: int) -> tuple[Day, ...]:
        """Return a club's days, oldest first."""
        days = (day for day in self.days.values() if day.club_id == club_id)
        return tuple(sorted(days, key=lambda day: day.date))

    def withdrawn_of(self, club_id: int) -> tuple[Withdrawn, ...]:
        """Return the puzzles of a club's withdrawn days, by date, then by edition."""
        kept = sorted(self.withdrawn.items(), key=lambda each: each[0])
        return tuple(Withdrawn(puzzle, day) for (owner, day, _), puzzle in kept if owner == club_id)

    def entries_of(self, day_id: int) -> tuple[tuple[Member, MemberSolve], ...]:
        """Return who took part in a day, with what they did, in the order in which they began."""
        return tuple(
            (self.members[member_id], entry)
            for (entry_day_id, member_id), entry in self.entries.items()
            if entry_day_id == day_id
        )

    def entries_by(self, club_id: int, user_id: str) -> tuple[MemberSolve, ...]:
        """Return a member's entries, by date."""
        member = self.member_with(club_id, user_id)
        found = (self.entry_of(day, member) for day in self.days_of(club_id))
        return tuple(entry for entry in found if entry is not None)

    def entry_of(self, day: Day | None, member: Member | None) -> MemberSolve | None:
        """Return what a member has done on a day; None, too, where there is no day or no member."""
        if day is None or member is None:
            return None
        return self.entries.get((day.id, member.id))

    def results(self, days: Sequence[Day]) -> tuple[Result, ...]:
        """Return the finished entries of some days, by date and then as they were finished."""
        found = [
            (day.date, entry.finished_at, entry.id, result_of(day, entry, member.name))
            for day in days
            for (day_id, member_id), entry in self.entries.items()
            if day_id == day.id and entry.finished_at
            for member in (self.members[member_id],)
        ]
        return tuple(each[-1] for each in sorted(found, key=lambda each: each[:3]))

    def results_between(
        self, club_id: int, first: date | None, last: date | None, *, with_former: bool
    ) -> tuple[Result, ...]:
        """Return the results of a club's puzzles dated first to last, those of former members too
        where they are asked for."""
        begin, end = first or date.min, last or date.max
        found = self.results([day for day in self.days_of(club_id) if begin <= day.date <= end])
        if not with_former:
            return found
        former = [
            result
            for owner, _, results in self.former.values()
            for result in results
            if owner == club_id and begin <= result.date <= end
        ]
        return tuple(sorted((*found, *former), key=lambda each: (each.date, str(each.finished_at))))

    def posted_dates(self, club_id: int) -> tuple[date, ...]:
        """Return the dates of a club's posted puzzles, oldest first."""
        return tuple(day.date for day in self.days_of(club_id) if day.posted_at is not None)

    def record_of(
        self, member: Member, still_open: Collection[date], apart_from: MemberSolve | None
    ) -> OwnRecord:
        """Return what is known of one member, counted from the rows."""
        club_id = member.club_id
        own = tuple(
            each for each in self.results(self.days_of(club_id)) if each.member_id == member.id
        )
        solved = [each.date for each in own if each.is_ranked]
        asked: Counter[str] = Counter()
        for entry in self.entries_by(club_id, member.user_id):
            if apart_from is None or entry.id != apart_from.id:
                asked += asked_techniques(entry)
        streaks = streaks_of(self.posted_dates(club_id), solved, still_open=still_open)
        return OwnRecord(own, *streaks, bests=personal_bests(own), asked=asked)

    def let_former_go(self) -> None:
        """Forget former members where no post waits any more that is to be mended."""
        waiting = {
            line.notice.club_id
            for line in self.lines.values()
            if not line.is_sent and (line.notice.audience == "mend" or not line.notice.reply)
        }
        self.former = {key: each for key, each in self.former.items() if each[0] in waiting}

    def days_come_back_to(self, club_id: int, user_id: str) -> frozenset[int]:
        """Return the ids of the days not closed yet that hold the mark of a person."""
        return frozenset(
            day_id
            for day_id, marks in self.erased.items()
            if day_id in self.days
            and self.days[day_id].club_id == club_id
            and any(is_mark_of(mark, user_id) for mark in marks)
        )

    def mark_open_days(self, member: Member) -> None:
        """Leave a mark on each day not closed yet that the member took part in."""
        marked = self.days_come_back_to(member.club_id, member.user_id)
        for day_id, member_id in self.entries:
            is_open = not self.days[day_id].is_closed
            if member_id == member.id and is_open and day_id not in marked:
                self.erased[day_id] = (*self.erased.get(day_id, ()), new_mark(member.user_id))


def export_entry(day: Day, entry: MemberSolve) -> dict[str, object]:
    """Return an entry as an export has it."""
    seconds = None
    if entry.finished_at is not None:
        result = result_of(day, entry, "")
        seconds = {"clock": result.raw, "added": result.added}
    return {"date": day.date.isoformat(), **msgspec.to_builtins(entry), "result": seconds}
