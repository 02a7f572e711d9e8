"""Changes: what a decision wants saved. All changes of one save are one transaction."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from bot.club.agenda import DropPlanned, SavePlanned
from bot.club.asked import SaveNaming, SaveQuestion, SaveTry
from bot.club.practised import SaveExercise, SaveSkill
from bot.club.state import ClubSettings, Day, Member, MemberSolve, Puzzle
from bot.club.taught import SaveLesson
from bot.club.weeks_kept import SaveWeek


@dataclass(frozen=True, slots=True)
class SaveMember:
    """Insert, or update the name and the wishes. Found by (club_id, user_id)."""

    member: Member


@dataclass(frozen=True, slots=True)
class SaveEntry:
    """Insert or replace the entry of `member.user_id` on `entry.day_id` (`member_id` may be 0)."""

    user_id: str
    entry: MemberSolve


@dataclass(frozen=True, slots=True)
class SaveSettings:
    """Replace a club's settings as a whole, and whether it is paused."""

    club_id: int
    settings: ClubSettings
    paused: bool


@dataclass(frozen=True, slots=True)
class SaveLacking:
    """Note of which duties leaders are told that the bot may not do them in the club's room."""

    club_id: int
    duties: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NoteLeader:
    """Note that somebody leads the club by the platform's rights, or no longer does."""

    club_id: int
    user_id: str
    leads: bool


@dataclass(frozen=True, slots=True)
class NoteServer:
    """Note what the club's room is part of on its platform."""

    club_id: int
    server: str


@dataclass(frozen=True, slots=True)
class Relocate:
    """Have a club meet in another room of its platform from now on, or in the same one anew.

    What was posted stays where it is, and is mended there; what waits to be said is said in the
    new room, also what was on its way. `farewell`: what the room that is left is told, an encoded
    reply; nothing where it is empty. `left`: keys of posts that go up anew in the new room, each
    with what takes the place of the old one.
    """

    club_id: int
    room_id: str
    farewell: bytes = b""
    left: tuple[tuple[str, bytes], ...] = ()


@dataclass(frozen=True, slots=True)
class SavePuzzle:
    """Add a puzzle (found by its givens). Where `club_id` is set, its credit takes the place of an
    earlier one, unless another club has the puzzle too; where `is_queued`, it is queued for that
    club: for a `day`, for the next day planned for a `level`, or for the next free day."""

    puzzle: Puzzle
    club_id: int | None = None
    day: date | None = None
    is_queued: bool = False
    level: int | None = None


@dataclass(frozen=True, slots=True)
class UnqueuePuzzle:
    """Take a puzzle out of the club's queue; it stays in the stock."""

    club_id: int
    puzzle_id: int


@dataclass(frozen=True, slots=True)
class PickPuzzle:
    """Pick a puzzle of the stock for a date, in place of what was picked before."""

    club_id: int
    puzzle: Puzzle
    day: date


@dataclass(frozen=True, slots=True)
class DropPicks:
    """Forget what was picked for some of the club's dates."""

    club_id: int
    days: tuple[date, ...]


@dataclass(frozen=True, slots=True)
class OpenDay:
    """The intent to post: inserted once per club and date; its queued puzzle leaves the queue, and
    what was picked for this date or before is forgotten. Where the post never went up and the day
    is marked closed, the puzzle is again where it came from."""

    day: Day


@dataclass(frozen=True, slots=True)
class MarkPosted:
    """Note that a day is up, since when by the platform's stamp, and under what reference."""

    day_id: int
    posted_at: datetime
    post_ref: str


@dataclass(frozen=True, slots=True)
class MoveClosing:
    """Have a day that is open close at another time: the leader moved the next post."""

    day_id: int
    closes_at: datetime


@dataclass(frozen=True, slots=True)
class MarkClosed:
    """Note that a day is over, and forget the marks of those who had their data erased on it."""

    day_id: int


@dataclass(frozen=True, slots=True)
class QueueNotice:
    """Something to say after the commit, exactly once: the outbox.

    `audience` is `room`, `member` (then `user_id`), `thread` (under `day_id`'s post), `under` (one
    message in a thread, under the post with the key `under`) or `mend` (replace the post whose key
    is `key`, if one was queued). `reply` is an encoded reply. A notice whose key is already there
    replaces it only where it is a `mend`.
    """

    club_id: int
    key: str
    audience: str
    reply: bytes
    user_id: str = ""
    day_id: int | None = None
    under: str = ""


@dataclass(frozen=True, slots=True)
class WithdrawNotice:
    """Never send what waits under this key; what was sent stays, and so does the key.

    `unless_begun`: where sending was begun it may be out, so that is left to be found out.
    """

    club_id: int
    key: str
    unless_begun: bool = False


@dataclass(frozen=True, slots=True)
class WithdrawDay:
    """Take a day away, with all entries on it: it went up too early. Its date is free again, and
    its puzzle never comes back by itself."""

    day_id: int


@dataclass(frozen=True, slots=True)
class EraseMember:
    """Remove all that is kept of a member; what old posts say is mended by notices of its own.

    A mark stays on each day that is not marked closed and that they took part in, until it is:
    `Scene.came_back` names those days then. `mark` stands in the keys of what was said of them:
    until all of it is mended their results stay, as a former member's; without it they go at once.
    """

    club_id: int
    user_id: str
    mark: str = ""


Change = (
    SaveMember | SaveEntry | SaveSettings | SaveLacking | NoteLeader | NoteServer | Relocate
    | SavePuzzle | OpenDay | MarkPosted | MoveClosing | MarkClosed
    | QueueNotice | WithdrawNotice | WithdrawDay | EraseMember | UnqueuePuzzle | PickPuzzle
    | DropPicks | SaveQuestion | SaveTry | SaveNaming | SavePlanned | DropPlanned
    | SaveSkill | SaveExercise | SaveLesson | SaveWeek
)  # fmt: skip
