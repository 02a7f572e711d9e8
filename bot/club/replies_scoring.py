"""Replies on answers, tables, walkthroughs and what is kept of a member."""

from __future__ import annotations

from datetime import date, datetime

from bot.club.facts import (
    GridPicture,
    Position,
    Praise,
    SkillFacts,
    SkillsPicture,
    StepFacts,
    Table,
    TablePicture,
    TableRow,
)
from bot.club.reply import Reply


class AnswerRight(Reply, frozen=True, kw_only=True):
    """The first right answer. Seconds: `raw` on the clock, `added`, `adjusted`, the sum.

    `rank` is None where it does not rank (`is_late`; `is_unranked`: they had their data erased
    while the puzzle was open) or is held for the leader (`is_flagged`).
    """

    date: date
    raw: int
    added: int
    adjusted: int
    hints: int
    tries: int
    rank: int | None
    of: int
    is_late: bool
    is_flagged: bool
    timed_from_post: bool
    is_personal_best: bool = False
    is_unranked: bool = False


class AnswerWrong(Reply, frozen=True, kw_only=True):
    """`is_again`: the same answer was handed in before, so it costs nothing more."""

    tries: int
    seconds: int
    total: int
    is_again: bool = False


class AnswerSwapped(Reply, frozen=True, kw_only=True):
    """The two lines were handed in the wrong way round. Costs nothing. `closed`: the date of the
    puzzle that they answer, where it is not open any more."""

    lines: tuple[str, str]
    closed: date | None = None


class AnswerNearlyRight(Reply, frozen=True, kw_only=True):
    """The answer is that to a closed day's puzzle but for a slip or two. Costs nothing."""

    lines: tuple[str, str]
    closed: date


class AnswerAlready(Reply, frozen=True, kw_only=True):
    """A right answer stands already; later ones change nothing."""

    date: date
    raw: int
    adjusted: int
    rank: int | None


class AnswerUnfinished(Reply, frozen=True, kw_only=True):
    """Handing in the board, but cells are open. Costs nothing. `day`: whose puzzle it is."""

    open_cells: int
    lines: tuple[str, str]
    day: date | None = None


class TableShown(Reply, frozen=True, kw_only=True):
    """A table, for everyone to read and as a picture. `earlier`, `later`: the first dates of the
    nearest periods that have a puzzle. `current`: the date of the puzzle that the club is at.
    `own`: the row of who asked, where it ranks."""

    table: Table
    picture: TablePicture
    earlier: date | None = None
    later: date | None = None
    current: date | None = None
    own: TableRow | None = None


class PeriodEnded(Reply, frozen=True, kw_only=True):
    """The final table of a week or month, to the room. `earlier`: the first date of the nearest
    one before it that had a puzzle."""

    table: Table
    picture: TablePicture | None
    praise: Praise | None = None
    earlier: date | None = None
    is_mended: bool = False


class WalkthroughShown(Reply, frozen=True, kw_only=True):
    """The path of a puzzle, pruned to what matters. `positions[i]` is where `steps[i]` is taken.
    `is_coming`: it is yet to go up, and shown to a leader alone. `theme`: the technique that it was
    to go by wherever that leads on."""

    date: date
    givens: str
    level: int
    steps: tuple[StepFacts, ...]
    positions: tuple[Position, ...]
    is_solved: bool
    picture: GridPicture
    is_coming: bool = False
    theme: str = ""


class WalkthroughLater(Reply, frozen=True, kw_only=True):
    """The day is still open and the member has not solved it."""

    date: date
    closes_at: datetime
    zone: str


class DayUnknown(Reply, frozen=True, kw_only=True):
    """The club has no puzzle on this date."""

    date: date


class PuzzleOver(Reply, frozen=True, kw_only=True):
    """What was pressed or typed is for the puzzle of a day that has closed. Nothing was changed."""

    date: date


class PersonalPage(Reply, frozen=True, kw_only=True):
    """`bests`: (level, adjusted seconds, date). `recent`: (date, level, adjusted, hints), newest
    first. `asked`: (technique, times a hint for it was asked), most first. `average_before`: the
    average of the five results before the last three, to see progress by; None if too few.
    `unranked`: how many results a leader keeps outside the ranking, `held`: how many wait for one
    to look at them. `marks`: why one of the recent results does not rank: `late`, `flagged`,
    `unranked`. `asked_on`: the club's date. `skills`: what they have
    practised, in teaching order; `weakest`: up to three techniques of them that need it most."""

    name: str
    solved: int
    late: int
    streak: int
    best_streak: int
    bests: tuple[tuple[int, int, date], ...]
    recent: tuple[tuple[date, int, int, int], ...]
    asked: tuple[tuple[str, int], ...]
    average_before: int | None
    average_now: int | None
    unranked: int = 0
    held: int = 0
    marks: tuple[tuple[date, str], ...] = ()
    asked_on: date | None = None
    skills: tuple[SkillFacts, ...] = ()
    picture: SkillsPicture | None = None
    weakest: tuple[str, ...] = ()


class PrivacyShown(Reply, frozen=True, kw_only=True):
    """What is kept of a member, and of how many puzzles."""

    entries: int


class ExportMade(Reply, frozen=True, kw_only=True):
    """All that is kept of the member, as JSON text. `told`: when they were told what in private, as
    encoded replies, to be put in words; a reply knows more than it tells. `is_less`: without what
    the hints and mistakes of the open puzzle have not told yet."""

    text: str
    told: tuple[tuple[str, str], ...] = ()
    is_less: bool = False


class ErasureAsked(Reply, frozen=True, kw_only=True):
    """`open_dates`: of the open puzzles that they have begun, and that will not rank afterwards."""

    entries: int
    open_dates: tuple[date, ...] = ()


class Erased(Reply, frozen=True, kw_only=True):
    """A member's data is gone. `open_dates` as in `ErasureAsked`. `copies_until`: the date on which
    the last dated copy that still holds it goes; None where that was not kept."""

    entries: int
    open_dates: tuple[date, ...] = ()
    copies_until: date | None = None


class HelpShown(Reply, frozen=True, kw_only=True):
    """Help on a topic, the empty one for all; `costs` are the seconds of the four rungs.
    `reads_photos`: photos of paper can be read here."""

    topic: str
    is_leader: bool
    sealed: bool
    costs: tuple[int, int, int, int]
    wrong_cost: int
    reads_photos: bool = False


class TalkHeard(Reply, frozen=True, kw_only=True):
    """Plain talk in the open room: nothing to answer."""
