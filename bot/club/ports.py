"""What the club needs from outside, as interfaces: storage, and engine work that may take long.

The room's interface is in `bot.platforms.message`. A fake of the store is `bot.club.fake_store`;
one contract suite runs on it and on SQLite.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Protocol, TypeVar

from bot.club.agenda import AgendaStore
from bot.club.asked import QuestionStore
from bot.club.changes import Change as Change
from bot.club.changes import DropPicks as DropPicks
from bot.club.changes import EraseMember as EraseMember
from bot.club.changes import MarkClosed as MarkClosed
from bot.club.changes import MarkPosted as MarkPosted
from bot.club.changes import MoveClosing as MoveClosing
from bot.club.changes import NoteLeader as NoteLeader
from bot.club.changes import OpenDay as OpenDay
from bot.club.changes import PickPuzzle as PickPuzzle
from bot.club.changes import QueueNotice as QueueNotice
from bot.club.changes import SaveEntry as SaveEntry
from bot.club.changes import SaveLacking as SaveLacking
from bot.club.changes import SaveMember as SaveMember
from bot.club.changes import SavePuzzle as SavePuzzle
from bot.club.changes import SaveSettings as SaveSettings
from bot.club.changes import UnqueuePuzzle as UnqueuePuzzle
from bot.club.changes import WithdrawDay as WithdrawDay
from bot.club.changes import WithdrawNotice as WithdrawNotice
from bot.club.clock import Period
from bot.club.facts import Lacks
from bot.club.plan import DayPlan
from bot.club.practised import PracticeStore
from bot.club.self_page import OwnRecord
from bot.club.state import (
    Club,
    ClubSettings,
    Day,
    Member,
    MemberSolve,
    Puzzle,
    Result,
    Scene,
)
from bot.club.state import Picked as Picked
from bot.club.state import Queued as Queued
from bot.club.state import Withdrawn as Withdrawn
from bot.club.table import Bests, Standing
from bot.club.taught import LessonStore
from bot.club.weeks_kept import WeekStore
from bot.photo.told import PhotoReading
from engine import Grid

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Notice:
    """A line of the outbox that was not sent yet. `post_ref`: of the post that it hangs under, for
    what goes into a thread; for a mend the reference of the post to replace. `left_room`: the room
    that it is for, where the club has left it; `stay`: during which of the club's stays it is
    said."""

    id: int
    club: Club
    key: str
    audience: str
    reply: bytes
    user_id: str
    post_ref: str | None
    left_room: str = ""
    stay: int = 0

    @property
    def room_id(self) -> str:
        """The room that it is for."""
        return self.left_room or self.club.room_id

    @property
    def room_key(self) -> str:
        """The key that the room knows it by: a club may come back to a room of before."""
        key = self.key.removeprefix(f"left:{self.stay}:")
        return f"{key}@{self.stay}" if self.stay else key


@dataclass(frozen=True, slots=True)
class SendingAttempt:
    """A notice as it stands when its sending begins.

    `is_again`: an attempt was begun before, so it may be out already. `is_over`: it is
    not to be sent any more, only found: a day's post that never went up before the day closed, or
    one in a room that the club has left since.
    """

    notice: Notice
    is_again: bool
    is_over: bool


class Store(QuestionStore, AgendaStore, PracticeStore, LessonStore, WeekStore, Protocol):
    """Storage as the club sees it. Every method is one hop to the database thread."""

    async def load_clubs(self) -> tuple[Club, ...]:
        """Return all clubs in the order in which they were founded."""

    async def load_club(self, platform: str, room_id: str) -> Club | None:
        """Return the club of a room, else the last one that met there before; None where there is
        none."""

    async def reload_club(self, club_id: int) -> Club:
        """Return a club as it stands now, wherever it meets."""

    async def load_clubs_of(self, platform: str, user_id: str) -> tuple[Club, ...]:
        """Return the clubs of a platform that know this person."""

    async def add_club(
        self, platform: str, room_id: str, settings: ClubSettings, *, paused: bool = False
    ) -> Club:
        """Add a club, or return the one that is there with its settings as they stand."""

    async def load_scene(
        self, club_id: int, user_id: str, acted_at: datetime, event_id: str
    ) -> Scene:
        """Load all that an event needs; `today` is the newest day with
        due_at <= acted_at < closes_at that was posted."""

    async def save(
        self,
        changes: Sequence[Change],
        *,
        event_id: str = "",
        reply: bytes = b"",
        club_id: int = 0,
        user_id: str = "",
    ) -> bool:
        """Save all in one transaction, with the event's id and reply where given.

        `club_id` and `user_id` say whose event it was, so that EraseMember can take the saved
        replies too. False, and nothing saved, where the event id is there already.
        """

    async def load_reply(self, event_id: str) -> bytes | None:
        """Return the encoded reply kept for an event, None where there is none (any more)."""

    async def load_day(self, club_id: int, on_date: date) -> Day | None:
        """Return the club's day of that date, posted or not."""

    async def load_days(
        self, club_id: int, *, open_only: bool = False, since: date | None = None
    ) -> tuple[Day, ...]:
        """Return days, oldest first; `open_only`: those not marked closed; `since`: of this date
        and later."""

    async def load_day_before(self, club_id: int, on_date: date) -> Day | None:
        """Return the newest day before a date, None where there is none."""

    async def load_entry(self, day_id: int, user_id: str) -> MemberSolve | None:
        """Return what a member has done on a day, None where they never took part in it."""

    async def load_entries(self, day_id: int) -> tuple[tuple[Member, MemberSolve], ...]:
        """Return who took part in a day, with what they did, in the order in which they began."""

    async def load_day_ids(self, club_id: int, user_id: str) -> frozenset[int]:
        """Return the ids of the days that a member took part in."""

    async def load_finished_days(self, club_id: int, user_id: str) -> tuple[Day, ...]:
        """Return the days on which a member has finished, oldest first."""

    async def load_results(
        self, club_id: int, first: date | None, last: date | None, *, with_former: bool = False
    ) -> tuple[Result, ...]:
        """Return the finished entries of puzzles dated first to last (inclusive), by date;
        `with_former`: those of former members too, as long as a post names them."""

    async def load_standing(
        self,
        club_id: int,
        period: Period,
        first: date | None,
        last: date | None,
        *,
        still_open: Collection[date] = (),
        with_former: bool = False,
    ) -> Standing:
        """Return what the table of a period is made of, as `bot.club.table.sum_up` has it. `first`
        and `last` are the period's."""

    async def load_record(
        self,
        club_id: int,
        user_id: str,
        *,
        still_open: Collection[date] = (),
        apart_from: MemberSolve | None = None,
    ) -> OwnRecord:
        """Return what is known of one member; `apart_from`: an entry whose hints are not
        counted."""

    async def load_bests(self, club_id: int, user_id: str) -> Bests:
        """Return a member's best result of each level."""

    async def load_former(self, club_id: int, mark: str) -> tuple[int, ...]:
        """Return the member ids that results of former members of this mark have, the newest
        first."""

    async def find_members(self, club_id: int, name: str) -> tuple[Member, ...]:
        """Return the members whose name or user id is `name`, whatever the case."""

    async def load_queue(self, club_id: int) -> tuple[Queued, ...]:
        """Return what waits in the club's queue, in order, without what the club has had."""

    async def load_picks(self, club_id: int) -> tuple[Picked, ...]:
        """Return what was picked for dates, by date."""

    async def load_withdrawn(self, club_id: int) -> tuple[Withdrawn, ...]:
        """Return what was withdrawn, by date."""

    async def load_stock(self, club_id: int) -> tuple[Puzzle, ...]:
        """Return the puzzles that this club has not had, in whatever disguise, nor has queued, nor
        withdrawn."""

    async def load_notices(self, limit: int = 100) -> tuple[Notice, ...]:
        """Return what is to be sent, oldest first."""

    async def mark_sent(self, notice_id: int, reference: str, at: datetime) -> None:
        """Note that a notice is out. A day's post (`day:<club id>:<date>`) marks the day posted
        then, with this reference, in the same transaction."""

    async def export_member(self, club_id: int, user_id: str) -> dict[str, object]:
        """Return all that is kept of a member, as JSON-ready values."""


@dataclass(frozen=True, slots=True)
class Place:
    """A room that somebody named, as a place for a club. `room_id`: empty where there is none that
    they can see. `is_led`: they lead there. `lacks`: what the bot may not do there. `how`: how a
    room is named, in the platform's words, with an example."""

    room_id: str = ""
    title: str = ""
    is_led: bool = False
    lacks: Lacks = field(default_factory=Lacks)
    how: str = ""


class Rooms(Protocol):
    """What the club asks of the rooms of its platform, and tells them."""

    def lacks_in(self, club: Club) -> Lacks | None:
        """Return what the bot may not do in a club's room, None where that is not known."""

    def server_of(self, club: Club) -> str:
        """Return what a club's room is part of; empty where there is no such thing, or where it is
        not known at the moment."""

    async def is_up(self, club: Club, reference: str) -> bool:
        """Say whether a post in a club's room is still there, as far as that can be told."""

    async def find_place(self, club: Club, named: str, user_id: str) -> Place:
        """Return the room that somebody of a club names."""

    def moved(self, club_id: int, room_id: str) -> None:
        """Hear that a club meets in another room from now on."""


class NoRooms:
    """Rooms that know of no others and of nothing that is lacking."""

    def lacks_in(self, club: Club) -> Lacks | None:
        """Return that nothing is lacking."""
        return Lacks()

    def server_of(self, club: Club) -> str:
        """Return that there is nothing around a room."""
        return ""

    async def is_up(self, club: Club, reference: str) -> bool:
        """Return that all is up."""
        return True

    async def find_place(self, club: Club, named: str, user_id: str) -> Place:
        """Return that there is none."""
        return Place()

    def moved(self, club_id: int, room_id: str) -> None:
        """Have nobody to tell."""


class TooMuchWorkError(Exception):
    """Work took more than its limit, or longer than anybody waits; nothing came of it."""


class PhotoSent(Protocol):
    """A photo that somebody sent, still where it is: `size` in bytes, as the platform tells it."""

    @property
    def size(self) -> int:
        """Return how many bytes it has, as the platform tells it."""

    async def fetch(self, most: int) -> bytes | None:
        """Return its bytes; None where they cannot be had, or are more than `most`."""


class PuzzleSource(Protocol):
    """Work that may take long, done outside the event loop. `reads_photos`: what reads photos is
    installed."""

    @property
    def reads_photos(self) -> bool:
        """Say whether photos can be read."""

    async def make_puzzle(self, plan: DayPlan, seed: int) -> Puzzle | None:
        """Make a puzzle that is all that a plan asks for; None where none came."""

    async def work_out(self, work: Callable[..., T], *arguments: object) -> T:
        """Return what a pure function comes to; raises what it raises, and TooMuchWorkError."""

    async def read_photo(self, content: bytes, puzzles: Mapping[str, Grid]) -> PhotoReading:
        """Return what a photo shows of some puzzles, or why it shows nothing."""
