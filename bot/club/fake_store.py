"""The store in memory, shipped beside its port: for tests of the club, and for whoever builds one.

It keeps the same promises as the real one, and one contract suite runs on both. At each call others
come in between, as they do at the real one's. A save works on a copy of everything, which takes its
place at the end, so a save that fails leaves nothing behind.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime

from msgspec.structs import replace

from bot.club.asked import Asked, SaveQuestion, SaveTry
from bot.club.facts import FORMER_MEMBER
from bot.club.fake_questions import export_try, find_question, save_question, save_try
from bot.club.fake_results import FakeResults, hop
from bot.club.fake_rows import Line, Rows, export_entry
from bot.club.ports import (
    Change,
    DropPicks,
    EraseMember,
    MarkClosed,
    MarkPosted,
    MoveClosing,
    NoteLeader,
    Notice,
    OpenDay,
    Picked,
    PickPuzzle,
    Queued,
    QueueNotice,
    SaveEntry,
    SaveLacking,
    SaveMember,
    SavePuzzle,
    SaveSettings,
    UnqueuePuzzle,
    WithdrawDay,
    Withdrawn,
    WithdrawNotice,
)
from bot.club.rights import led_by
from bot.club.state import Club, ClubSettings, Day, Member, MemberSolve, Puzzle, Scene


class FakeStore(FakeResults):
    """Implements `bot.club.ports.Store` in memory."""

    async def load_clubs(self) -> tuple[Club, ...]:
        await hop()
        return tuple(self._rows.clubs.values())

    async def load_club(self, platform: str, room_id: str) -> Club | None:
        await hop()
        return self._rows.club_of(platform, room_id)

    async def load_clubs_of(self, platform: str, user_id: str) -> tuple[Club, ...]:
        await hop()
        known = {each.club_id for each in self._rows.members.values() if each.user_id == user_id}
        return tuple(
            club
            for club in self._rows.clubs.values()
            if club.platform == platform and club.id in known
        )

    async def add_club(
        self, platform: str, room_id: str, settings: ClubSettings, *, paused: bool = False
    ) -> Club:
        await hop()
        club = self._rows.club_of(platform, room_id)
        if club is None:
            club = Club(self._rows.next_id(), platform, room_id, settings, paused)
            self._rows.clubs[club.id] = club
        return club

    async def load_scene(
        self, club_id: int, user_id: str, acted_at: datetime, event_id: str
    ) -> Scene:
        await hop()
        rows = self._rows
        days = [day for day in rows.days.values() if day.club_id == club_id]
        days.sort(key=lambda day: day.due_at)
        posted = [day for day in days if day.posted_at]
        unconfirmed = next((day for day in reversed(days) if not day.posted_at), None)
        is_open = [day for day in posted if day.due_at <= acted_at < day.closes_at]
        today = is_open[-1] if is_open else None
        before = [day for day in posted if day.due_at < (today.due_at if today else acted_at)]
        earlier = before[-1] if before else None
        member = rows.member_with(club_id, user_id)
        saved = rows.events.get(event_id)
        return Scene(
            club=rows.clubs[club_id],
            member=member,
            today=today,
            entry=rows.entry_of(today, member),
            earlier=earlier,
            earlier_entry=rows.entry_of(earlier, member),
            saved_reply=saved[0] if saved else None,
            came_back=rows.days_come_back_to(club_id, user_id),
            unconfirmed=unconfirmed,
            unconfirmed_entry=rows.entry_of(unconfirmed, member),
        )

    async def save(
        self,
        changes: Sequence[Change],
        *,
        event_id: str = "",
        reply: bytes = b"",
        club_id: int = 0,
        user_id: str = "",
    ) -> bool:
        await hop()
        if event_id and event_id in self._rows.events:
            return False
        rows = self._rows.duplicate()
        for change in changes:
            _apply(rows, change)
        if event_id:
            is_erasure = any(isinstance(change, EraseMember) for change in changes)
            rows.events[event_id] = (reply, club_id, "" if is_erasure else user_id)
        self._rows = rows
        return True

    async def load_reply(self, event_id: str) -> bytes | None:
        await hop()
        saved = self._rows.events.get(event_id)
        return saved[0] if saved else None

    async def load_day(self, club_id: int, on_date: date) -> Day | None:
        await hop()
        return self._rows.day_of(club_id, on_date)

    async def load_days(
        self, club_id: int, *, open_only: bool = False, since: date | None = None
    ) -> tuple[Day, ...]:
        await hop()
        days = [day for day in self._rows.days_of(club_id) if since is None or day.date >= since]
        return tuple(day for day in days if not (open_only and day.is_closed))

    async def load_day_before(self, club_id: int, on_date: date) -> Day | None:
        await hop()
        before = [day for day in self._rows.days_of(club_id) if day.date < on_date]
        return before[-1] if before else None

    async def load_question(self, club_id: int, user_id: str) -> Asked | None:
        await hop()
        return find_question(self._rows, club_id, user_id)

    async def load_withdrawn(self, club_id: int) -> tuple[Withdrawn, ...]:
        await hop()
        return self._rows.withdrawn_of(club_id)

    async def load_entry(self, day_id: int, user_id: str) -> MemberSolve | None:
        await hop()
        for member, entry in self._rows.entries_of(day_id):
            if member.user_id == user_id:
                return entry
        return None

    async def load_entries(self, day_id: int) -> tuple[tuple[Member, MemberSolve], ...]:
        await hop()
        return self._rows.entries_of(day_id)

    async def load_day_ids(self, club_id: int, user_id: str) -> frozenset[int]:
        await hop()
        return frozenset(each.day_id for each in self._rows.entries_by(club_id, user_id))

    async def load_finished_days(self, club_id: int, user_id: str) -> tuple[Day, ...]:
        await hop()
        entries = self._rows.entries_by(club_id, user_id)
        return tuple(self._rows.days[each.day_id] for each in entries if each.finished_at)

    async def find_members(self, club_id: int, name: str) -> tuple[Member, ...]:
        await hop()
        return tuple(
            member
            for member in self._rows.members.values()
            if member.club_id == club_id
            and name.casefold() in (member.name.casefold(), member.user_id.casefold())
        )

    async def load_queue(self, club_id: int) -> tuple[Queued, ...]:
        await hop()
        taken = {day.puzzle.id for day in self._rows.days_of(club_id) if not day.is_void}
        queue = self._rows.queues.get(club_id, ())
        return tuple(each for each in queue if each.puzzle.id not in taken)

    async def load_picks(self, club_id: int) -> tuple[Picked, ...]:
        await hop()
        picks = sorted(self._rows.picks.items(), key=lambda each: each[0])
        return tuple(Picked(puzzle, day) for (owner, day), puzzle in picks if owner == club_id)

    async def load_stock(self, club_id: int) -> tuple[Puzzle, ...]:
        await hop()
        days = self._rows.days_of(club_id)
        gone = {day.puzzle.identity for day in days if not day.is_void}
        gone |= {each.puzzle.identity for each in self._rows.withdrawn_of(club_id)}
        gone |= {queued.puzzle.identity for queued in self._rows.queues.get(club_id, ())}
        puzzles = self._rows.puzzles.values()
        return tuple(puzzle for puzzle in puzzles if puzzle.identity not in gone)

    async def load_notices(self, limit: int = 100) -> tuple[Notice, ...]:
        await hop()
        waiting = [(key, line) for key, line in self._rows.lines.items() if not line.is_sent]
        return tuple(self._notice(key, line) for key, line in waiting[:limit])

    def _notice(self, notice_id: int, line: Line) -> Notice:
        said, rows = line.notice, self._rows
        day = rows.days.get(said.day_id or 0)
        return Notice(
            id=notice_id,
            club=rows.clubs[said.club_id],
            key=said.key,
            audience=said.audience,
            reply=said.reply,
            user_id=said.user_id,
            post_ref=line.reference if said.audience == "mend" else day.post_ref if day else None,
        )

    async def mark_sent(self, notice_id: int, reference: str, at: datetime) -> None:
        await hop()
        rows, said = self._rows, self._rows.lines[notice_id].notice
        rows.lines[notice_id] = Line(said, is_sent=True, reference=reference)
        for day in rows.days.values():
            edition = "" if day.edition == 1 else f"/{day.edition}"
            key = f"day:{day.club_id}:{day.date.isoformat()}{edition}"
            if said.key == key and said.club_id == day.club_id and day.posted_at is None:
                rows.days[day.id] = replace(day, posted_at=at, post_ref=reference)
                rows.take_off_queue(day.club_id, day.puzzle.id)
        rows.let_former_go()

    async def export_member(self, club_id: int, user_id: str) -> dict[str, object]:
        await hop()
        member = self._rows.member_with(club_id, user_id)
        marked = sorted(self._rows.days_come_back_to(club_id, user_id))
        marks = [self._rows.days[day_id].date.isoformat() for day_id in marked]
        kept: dict[str, object] = {"erased_while_open": marks} if marks else {}
        if member is not None:
            entries = [
                export_entry(self._rows.days[entry.day_id], entry)
                for entry in self._rows.entries_by(club_id, user_id)
            ]
            kept |= {"user_id": user_id, "name": member.name, "entries": entries}
            kept |= export_try(self._rows, member)
        if told := self._rows.told_to(club_id, user_id):
            kept["told"] = [{"at": "", "reply": reply.decode()} for reply in told]
        return kept


def _apply(rows: Rows, change: Change) -> None:
    match change:
        case SaveMember(member):
            there = rows.member_with(member.club_id, member.user_id)
            kept = replace(member, id=there.id if there else rows.next_id())
            rows.members[kept.id] = kept
        case SaveEntry(user_id, entry):
            _save_entry(rows, user_id, entry)
        case SaveSettings(club_id, settings, paused):
            rows.clubs[club_id] = replace(rows.clubs[club_id], settings=settings, paused=paused)
        case SaveLacking(club_id, duties):
            rows.clubs[club_id] = replace(rows.clubs[club_id], lacking=duties)
        case NoteLeader(club_id):
            club = rows.clubs[club_id]
            rows.clubs[club_id] = replace(club, led_by=led_by(club, change))
        case SavePuzzle(puzzle, club_id, day, is_queued, level):
            kept_puzzle = _save_puzzle(rows, puzzle)
            if club_id is not None:
                kept_puzzle = _credit(rows, kept_puzzle, club_id, puzzle.credit)
            if club_id is not None and is_queued:
                queue = rows.queues.get(club_id, ())
                rows.queues[club_id] = (
                    *(each for each in queue if each.puzzle.id != kept_puzzle.id),
                    Queued(kept_puzzle, day, level),
                )
        case UnqueuePuzzle(club_id, puzzle_id):
            rows.take_off_queue(club_id, puzzle_id)
        case PickPuzzle(club_id, puzzle, day):
            rows.picks[club_id, day] = _save_puzzle(rows, puzzle)
        case DropPicks(club_id, days):
            _drop_picks(rows, club_id, lambda day: day in days)
        case OpenDay(day):
            _open_day(rows, day)
        case MarkPosted(day_id, posted_at, post_ref):
            day = rows.days[day_id]
            rows.days[day_id] = replace(day, posted_at=posted_at, post_ref=post_ref)
            rows.take_off_queue(day.club_id, day.puzzle.id)
        case MoveClosing(day_id, closes_at):
            rows.days[day_id] = replace(rows.days[day_id], closes_at=closes_at)
        case MarkClosed(day_id):
            day = rows.days[day_id]
            rows.days[day_id] = replace(day, is_closed=True, is_void=day.posted_at is None)
            rows.erased.pop(day_id, None)
        case WithdrawDay(day_id):
            day = rows.days.pop(day_id)
            rows.take_off_queue(day.club_id, day.puzzle.id)
            rows.withdrawn[day.club_id, day.date, day.edition] = day.puzzle
            rows.entries = {key: each for key, each in rows.entries.items() if key[0] != day_id}
        case SaveQuestion():
            save_question(rows, change)
        case SaveTry():
            save_try(rows, change)
        case QueueNotice():
            _queue_notice(rows, change)
        case WithdrawNotice(club_id, key):
            for notice_id, line in list(rows.lines.items()):
                if (line.notice.club_id, line.notice.key) == (club_id, key):
                    rows.lines[notice_id] = Line(line.notice, True, line.reference)
        case EraseMember(club_id, user_id, mark):
            _erase(rows, club_id, user_id, mark)


def _save_entry(rows: Rows, user_id: str, entry: MemberSolve) -> None:
    day = rows.days.get(entry.day_id)
    member = rows.member_with(day.club_id, user_id) if day else None
    if day is None or member is None:
        raise LookupError(f"no member or day for an entry of day {entry.day_id}")
    there = rows.entries.get((day.id, member.id))
    entry_id = there.id if there else rows.next_id()
    rows.entries[day.id, member.id] = replace(entry, id=entry_id, member_id=member.id)


def _save_puzzle(rows: Rows, puzzle: Puzzle) -> Puzzle:
    for there in rows.puzzles.values():
        if there.givens == puzzle.givens:
            return there
    kept = replace(puzzle, id=rows.next_id())
    rows.puzzles[kept.id] = kept
    return kept


def _credit(rows: Rows, puzzle: Puzzle, club_id: int, credit: str) -> Puzzle:
    """Note whose puzzle a leader says it is, unless another club has it under its own words."""
    queues = [queue for owner, queue in rows.queues.items() if owner != club_id]
    elsewhere = {each.puzzle.id for queue in queues for each in queue}
    elsewhere |= {day.puzzle.id for day in rows.days.values() if day.club_id != club_id}
    if credit and puzzle.id not in elsewhere:
        rows.puzzles[puzzle.id] = puzzle = replace(puzzle, credit=credit)
    return puzzle


def _open_day(rows: Rows, day: Day) -> None:
    puzzle = _save_puzzle(rows, day.puzzle)
    if rows.day_of(day.club_id, day.date) is not None:
        return
    kept = replace(day, id=rows.next_id(), puzzle=puzzle)
    rows.days[kept.id] = kept
    _drop_picks(rows, day.club_id, lambda picked: picked <= day.date)


def _drop_picks(rows: Rows, club_id: int, is_dropped: Callable[[date], bool]) -> None:
    for owner, day in list(rows.picks):
        if owner == club_id and is_dropped(day):
            del rows.picks[owner, day]


def _queue_notice(rows: Rows, change: QueueNotice) -> None:
    """Add a notice once per key; a mend of what was never sent is sent as the post itself, and
    one of what was never queued is nothing."""
    is_mend = change.audience == "mend"
    for notice_id, line in rows.lines.items():
        if (line.notice.club_id, line.notice.key) == (change.club_id, change.key):
            if is_mend:
                audience = "mend" if line.reference is not None else line.notice.audience
                said = _with(line.notice, audience, change.reply)
                rows.lines[notice_id] = Line(said, reference=line.reference)
            return
    if not is_mend:
        rows.lines[rows.next_id()] = Line(change)


def _with(notice: QueueNotice, audience: str, reply: bytes) -> QueueNotice:
    return QueueNotice(notice.club_id, notice.key, audience, reply, notice.user_id, notice.day_id)


def _erase(rows: Rows, club_id: int, user_id: str, mark: str) -> None:
    _apply(rows, NoteLeader(club_id, user_id, leads=False))
    member = rows.member_with(club_id, user_id)
    if member is not None:
        rows.mark_open_days(member)
        if mark:
            former = rows.next_id()
            own = rows.record_of(member, (), None).results
            left = (replace(each, member_id=-former, name=FORMER_MEMBER) for each in own)
            rows.former[former] = club_id, mark, tuple(left)
        del rows.members[member.id]
        rows.tries.pop(member.id, None)
        rows.entries = {key: each for key, each in rows.entries.items() if key[1] != member.id}
    rows.lines = {
        key: line
        for key, line in rows.lines.items()
        if (line.notice.club_id, line.notice.user_id) != (club_id, user_id)
    }
    rows.events = {
        key: event for key, event in rows.events.items() if event[1:] != (club_id, user_id)
    }
    rows.let_former_go()
