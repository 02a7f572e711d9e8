"""Replies to leaders, and notices: what the club says of itself, not in answer."""

from __future__ import annotations

from datetime import date, datetime

from bot.club.facts import (
    CoverPicture,
    DayFacts,
    GridPicture,
    Lacks,
    Position,
    StepFacts,
    Table,
    TablePicture,
)
from bot.club.reply import Reply

_MaybeDate = date | None
"""For a class with a field named `date`."""


class ClubShown(Reply, frozen=True, kw_only=True):
    """`changed`: names of the settings just changed. `settings`: (name, value as written).
    `ahead`: as in PostAsked. `closing_moved`: when the open puzzle closes now, where that moved.
    `shows_all`: a leader wants to see all settings."""

    settings: tuple[tuple[str, str], ...]
    changed: tuple[str, ...]
    next_at: datetime | None
    zone: str
    queued: int
    stock: int
    ahead: date | None = None
    closing_moved: datetime | None = None
    lacks: Lacks = Lacks()
    shows_all: bool = False


class ClubBegun(Reply, frozen=True, kw_only=True):
    """A club is to have its first puzzle at `next_at`; None while it is on a break."""

    club: str
    next_at: datetime | None
    zone: str


class ClubMoved(Reply, frozen=True, kw_only=True):
    """The club meets in another room from now on, called `title`. `is_open`: a puzzle is open,
    which goes up there as well."""

    club: str
    title: str
    next_at: datetime | None
    zone: str
    is_open: bool


class MoveRefused(Reply, frozen=True, kw_only=True):
    """The club stays where it is. `why`: the room is `unnamed`, or `unknown`; the club is `here`
    already; it is `not-led` by who asks; it is `taken`; or the bot `lacks` what it needs. `how`:
    how a room is named, in the platform's words."""

    why: str
    named: str
    title: str = ""
    lacks: Lacks = Lacks()
    how: str = ""


class ClubLeft(Reply, frozen=True, kw_only=True):
    """To the room that a club has left, also in place of posts that go up anew: where it went."""

    club: str
    title: str


class ClubArrived(Reply, frozen=True, kw_only=True):
    """To the room that a club meets in from now on. `is_open`: its open puzzle goes up here."""

    club: str
    next_at: datetime | None
    zone: str
    is_open: bool


class PostAsked(Reply, frozen=True, kw_only=True):
    """The day's puzzle goes up now, or why not: today's is up (`already`), or is on its way to the
    room (`waiting`). `ahead`: a later date has a puzzle, so that none comes by itself."""

    date: date
    already: bool
    waiting: bool = False
    ahead: _MaybeDate = None
    lacks: Lacks = Lacks()


class RightsMissing(Reply, frozen=True, kw_only=True):
    """To a leader, privately: what the bot may not do in the room of `club`."""

    club: str
    lacks: Lacks


class PuzzleMissing(Reply, frozen=True, kw_only=True):
    """To a leader, privately: there is no puzzle for a day of `club`, and none could be made."""

    club: str
    date: date


class PostRefused(Reply, frozen=True, kw_only=True):
    """To a leader, privately: the platform refuses a post in the room of `club`. `is_puzzle`: the
    day's."""

    club: str
    is_puzzle: bool


class WithdrawalAsked(Reply, frozen=True, kw_only=True):
    """So many members took part on the day that is to be withdrawn; it asks whether to. `mark`
    names its puzzle."""

    date: date
    members: int
    mark: str = ""


class DayWithdrawn(Reply, frozen=True, kw_only=True):
    """The day is taken back, with what `members` did on it; `next_at`: when a puzzle comes next."""

    date: date
    members: int
    next_at: datetime | None
    zone: str


class PauseSet(Reply, frozen=True, kw_only=True):
    """Posting is paused, or goes on: then the next post is at `next_at`. `has_posted` False: the
    club has had no puzzle yet."""

    on: bool
    next_at: datetime | None
    zone: str
    has_posted: bool = True


class ReportShown(Reply, frozen=True, kw_only=True):
    """One day, for leaders. `techniques`: (technique, members who asked, their deepest rung's
    average in tenths), left out where that `is_small`: fewer than three took part. `stuck`: the
    commonest stuck position and how many were there, None where fewer than three. `flagged`:
    (name, raw seconds, reason) of results that wait for a ruling. `finishers`: (name, adjusted
    seconds, why the result does not rank: `flagged`, `unranked`, `late`, or nothing); `starters`:
    who started and has not finished. `practised`: (technique, members whom it does not come easily
    to, members who practise it), where three members or more share it."""

    date: date
    started: int
    finished: int
    late: int
    median: int | None
    techniques: tuple[tuple[str, int, int], ...]
    stuck_count: int
    picture: GridPicture | None
    flagged: tuple[tuple[str, int, str], ...]
    finishers: tuple[tuple[str, int, str], ...] = ()
    starters: tuple[str, ...] = ()
    is_small: bool = False
    practised: tuple[tuple[str, int, int], ...] = ()


class ResultRuled(Reply, frozen=True, kw_only=True):
    """`is_late`: it was handed in after closing, so it ranks under no verdict."""

    member: str
    verdict: str
    reason: str
    date: date
    rank: int | None
    is_late: bool = False


class DayPosted(Reply, frozen=True, kw_only=True):
    """The day\'s post; once the day has closed it is mended in place, and uncovered."""

    day: DayFacts
    picture: GridPicture | CoverPicture
    is_closed: bool = False


class PostWithdrawn(Reply, frozen=True, kw_only=True):
    """What takes the place of a day's post that came too early and was taken back."""

    date: date


class MemberSolved(Reply, frozen=True, kw_only=True):
    """A line to the room, without spoilers. `rank` None: late or waiting for the leader."""

    date: date
    name: str
    rank: int | None
    adjusted: int
    hints: int
    is_late: bool


class SolversShown(Reply, frozen=True, kw_only=True):
    """One line to the room on all who have solved a day's puzzle in time, without spoilers.

    `names`: the newest first, some of the `count`. `best`: the shortest adjusted time that ranks.
    """

    date: date
    count: int
    names: tuple[str, ...]
    best: int | None


class ResultsPosted(Reply, frozen=True, kw_only=True):
    """The day's results when it closes; posted once and mended in place."""

    date: date
    table: Table
    picture: TablePicture | None
    late: int
    is_mended: bool = False


class ResultFlagged(Reply, frozen=True, kw_only=True):
    """To a leader, privately: a right answer came implausibly fast and waits for a ruling."""

    date: date
    name: str
    raw: int


class RulingTold(Reply, frozen=True, kw_only=True):
    """To the member, privately: what a leader decided about a result, and why."""

    date: date
    verdict: str
    reason: str
    is_late: bool = False


class WalkthroughPosted(Reply, frozen=True, kw_only=True):
    """The thread under a closed day's puzzle."""

    date: date
    givens: str
    level: int
    steps: tuple[StepFacts, ...]
    positions: tuple[Position, ...]
    is_solved: bool
