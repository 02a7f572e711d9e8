"""The store in memory, shipped beside its port: for tests of the club, and for whoever builds one.

It keeps the same promises as the real one, and one contract suite runs on both. At each call others
come in between, as they do at the real one's. A save works on a copy of everything, which takes its
place at the end, so a save that fails leaves nothing behind.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from msgspec.structs import replace

from bot.club.agenda import Agenda
from bot.club.asked import Asked
from bot.club.changes import Change, EraseMember
from bot.club.exercises import Sighting
from bot.club.fake_practice import export_practice, find_practice, list_seen, list_skills
from bot.club.fake_questions import export_try, find_agenda, find_question
from bot.club.fake_results import FakeResults, hop
from bot.club.fake_rows import Line, export_entry
from bot.club.fake_saving import apply
from bot.club.fake_weeks import list_learners
from bot.club.ports import Notice, Picked, Queued, Withdrawn
from bot.club.practised import Practised
from bot.club.spacing import Skill
from bot.club.state import Club, ClubSettings, Day, Member, MemberSolve, Puzzle, Scene
from bot.club.taught import Taught
from bot.club.weeks_kept import KeptWeek, Learner


class FakeStore(FakeResults):
    """Implements `bot.club.ports.Store` in memory."""

    async def load_clubs(self) -> tuple[Club, ...]:
        await hop()
        return tuple(self._rows.clubs.values())

    async def load_club(self, platform: str, room_id: str) -> Club | None:
        await hop()
        return self._rows.club_of(platform, room_id)

    async def reload_club(self, club_id: int) -> Club:
        await hop()
        return self._rows.clubs[club_id]

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
        club = self._rows.club_in(platform, room_id)
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
            apply(rows, change)
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

    async def load_agenda(self, club_id: int) -> Agenda:
        await hop()
        return find_agenda(self._rows, club_id)

    async def load_lesson(self, club_id: int) -> Taught | None:
        await hop()
        return self._rows.lessons.get(club_id)

    async def load_practice(self, club_id: int, user_id: str) -> Practised:
        await hop()
        return find_practice(self._rows, club_id, user_id)

    async def load_seen(self, club_id: int, user_id: str, technique: str) -> tuple[Sighting, ...]:
        await hop()
        return list_seen(self._rows, club_id, user_id, technique)

    async def load_skills(self, club_id: int) -> tuple[Skill, ...]:
        await hop()
        return list_skills(self._rows, club_id)

    async def load_week(self, club_id: int) -> KeptWeek | None:
        await hop()
        return self._rows.weeks.get(club_id)

    async def load_learners(self, club_id: int, technique: str) -> tuple[Learner, ...]:
        await hop()
        return list_learners(self._rows, club_id, technique)

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
        ready = [self._notice(key, line) for key, line in waiting if not self._hangs(line)]
        return tuple(ready[:limit])

    def _hangs(self, line: Line) -> bool:
        """Say whether a thread waits for the post that it is to hang under."""
        said = line.notice
        is_hung = said.audience == "under" or (
            said.audience == "thread" and (said.day_id or 0) in self._rows.days
        )
        return is_hung and self._rows.post_above(said) is None

    def _notice(self, notice_id: int, line: Line) -> Notice:
        said, rows = line.notice, self._rows
        club = rows.clubs[said.club_id]
        stay = club.stay if line.stay is None else line.stay
        left = rows.left_rooms.get((club.id, stay), "")
        return Notice(
            id=notice_id,
            club=club,
            key=said.key,
            audience=said.audience,
            reply=said.reply,
            user_id=said.user_id,
            post_ref=line.reference if said.audience == "mend" else rows.post_above(said),
            left_room="" if left == club.room_id else left,
            stay=stay,
        )

    async def mark_sent(self, notice_id: int, reference: str, at: datetime) -> None:
        await hop()
        rows, line = self._rows, self._rows.lines[notice_id]
        said = line.notice
        rows.lines[notice_id] = Line(said, True, reference, line.stay)
        for day in rows.days.values():
            edition = "" if day.edition == 1 else f"/{day.edition}"
            key = f"day:{day.club_id}:{day.date.isoformat()}{edition}"
            if said.key == key and said.club_id == day.club_id and day.post_ref is None:
                posted_at = day.posted_at or at
                rows.days[day.id] = replace(day, posted_at=posted_at, post_ref=reference)
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
            kept |= member.wishes
            kept |= export_try(self._rows, member)
            kept |= export_practice(self._rows, member)
        if told := self._rows.told_to(club_id, user_id):
            kept["told"] = [{"at": "", "reply": reply.decode()} for reply in told]
        return kept
