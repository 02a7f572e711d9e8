"""What people can ask of the club: one value per command, its arguments already read.

`bot.commands` makes these from a command line; each has its course (see `bot.club.course`). Cells,
houses and digits are valid here; everything about the day, the clock and the rights is not yet
checked. An act whose decision has a module of its own may stand there.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from bot.club.clock import Period
from bot.club.reply import Reply


class Act:
    """The root of all that can be asked."""

    __slots__ = ()


class OfADay(Act):
    """The root of acts on the board of the open day, whose line may name the day."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class ShowToday(Act):
    """Show today's puzzle, as a picture or row by row for the ear."""

    as_text: bool = False


@dataclass(frozen=True, slots=True)
class StartClock(OfADay):
    """Start the clock; where it runs already, only show it."""


@dataclass(frozen=True, slots=True)
class ShowBoard(OfADay):
    """Show the member's board, as a picture or row by row for the ear."""

    as_text: bool = False


@dataclass(frozen=True, slots=True)
class PlaceDigits(OfADay):
    """(cell name, digit) pairs in the order typed; digit 0 rubs the cell out."""

    marks: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class WriteRow(OfADay):
    """A whole row as typed: digits, and a mark of emptiness for cells left open."""

    row: int
    digits: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class RuleOut(OfADay):
    """(cell name, digit) pairs that the member has struck."""

    candidates: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Undo(OfADay):
    """Take back the board's last change. A button names the board that it is pressed for (see
    `boards.name_of_board`); empty as typed."""

    board: str = ""


@dataclass(frozen=True, slots=True)
class Redo(OfADay):
    """Do again what was just taken back."""


@dataclass(frozen=True, slots=True)
class CheckBoard(OfADay):
    """Say whether the board is right so far, for its seconds."""


@dataclass(frozen=True, slots=True)
class AskHint(OfADay):
    """`way`: `offer` asks which board; `board` takes the board; `more` climbs a rung; `paper` opens
    the form; `known` says that the step is known already. A button that climbs names what it climbs
    by `number`, and the `rung` that it asks for; as typed, both are 0. So does one for what is
    `known`, and for the hint after another (`board`). `sure` answers the question
    whether the board, still as published, is meant. `house`, `digit` and `cell` narrow it, and
    `anywhere` says that a hint that starts elsewhere will do, or one about something else."""

    way: Literal["offer", "board", "more", "paper", "known"] = "offer"
    house: str | None = None
    digit: int | None = None
    cell: str | None = None
    sure: bool = False
    anywhere: bool = False
    number: int = 0
    rung: int = 0

    @property
    def is_narrowed(self) -> bool:
        """Say whether it is about something less than the board."""
        return any(each is not None for each in (self.house, self.digit, self.cell))


@dataclass(frozen=True, slots=True)
class PasteGrid(OfADay):
    """A pasted or overtyped grid, as typed. `then_hint`: the first rung is wanted from there.
    `is_read`: it was read off paper, so a digit may stand twice in a house."""

    text: str
    then_hint: bool = False
    is_read: bool = False


@dataclass(frozen=True, slots=True)
class OnDay(Act):
    """An act on the board of a named day, as buttons mean it: once that day is over it does nothing
    to the next one's."""

    act: OfADay
    day: date


@dataclass(frozen=True, slots=True)
class HandIn(Act):
    """An answer as typed; empty for the finished board. `day` where a date was named."""

    text: str = ""
    day: date | None = None


@dataclass(frozen=True, slots=True)
class ShowTable(Act):
    """Show the table of a period: of the one that holds `day`, or where that is None of the one
    under way, or one that was so many before it."""

    period: Period = "week"
    day: date | None = None
    ago: int = 0


@dataclass(frozen=True, slots=True)
class ShowWalkthrough(Act):
    """Show how the puzzle of a day is solved, once it is over for the member; None: of the newest
    such day. `theme`, as typed: the technique to go by wherever it leads on."""

    day: date | None = None
    theme: str = ""


@dataclass(frozen=True, slots=True)
class ShowMe(Act):
    """Show the member's own page."""


@dataclass(frozen=True, slots=True)
class Privacy(Act):
    """`sure` goes with `erase` only: the second, confirming time."""

    wish: Literal["show", "export", "erase"] = "show"
    sure: bool = False


@dataclass(frozen=True, slots=True)
class ShowHelp(Act):
    """Explain the club, or the command or word that `topic` names."""

    topic: str = ""


@dataclass(frozen=True, slots=True)
class Talk(Act):
    """Something said in the open room that is no command."""

    text: str


@dataclass(frozen=True, slots=True)
class Overheard(Act):
    """Something shown in the open room that is no act, such as an edit: it is never an answer."""

    text: str


@dataclass(frozen=True, slots=True)
class Misread(Act):
    """A line in the open room that could not be read as the command that it begins as."""

    refused: Reply


@dataclass(frozen=True, slots=True)
class SetUpClub(Act):
    """(setting, value as typed) pairs; none shows the settings that matter first, or with
    `shows_all` all of them."""

    changes: tuple[tuple[str, str], ...] = ()
    shows_all: bool = False


@dataclass(frozen=True, slots=True)
class PlanWeek(Act):
    """What a leader plans: (wish, value as typed) pairs for weekdays (Monday is 0), or for the
    week where `weekdays` is empty; no pairs show the plan. It begins at a date, with `this` or the
    `next` week, or, where none is named, as the club thinks fit. `is_dropped`: the plan that begins
    then is to go."""

    weekdays: tuple[int, ...] = ()
    changes: tuple[tuple[str, str], ...] = ()
    starts: date | Literal["this", "next"] | None = None
    is_dropped: bool = False


@dataclass(frozen=True, slots=True)
class QueuePuzzle(Act):
    """A puzzle as typed, for a date, for a day planned for a level, or for the next free day;
    empty text shows the queue. `sure`: also where it has another level."""

    text: str = ""
    day: date | None = None
    credit: str = ""
    level: int | None = None
    sure: bool = False


@dataclass(frozen=True, slots=True)
class UnqueuePuzzle(Act):
    """Take one out of the queue; `place` is its number there, from 1, 0 where none was said."""

    place: int


@dataclass(frozen=True, slots=True)
class PreviewDays(Act):
    """A leader looks at puzzles before they go up: of one date, or of the next so many days."""

    day: date | None = None
    count: int = 7


@dataclass(frozen=True, slots=True)
class SwapPuzzle(Act):
    """Another puzzle that fits for a date to come; None for the next. A button names the one that
    is to go by its `mark`."""

    day: date | None = None
    mark: str = ""


@dataclass(frozen=True, slots=True)
class ShowTurning(Act):
    """Where the puzzle of a coming or a posted date turns; None for the next to come.

    `theme`, as typed: the technique to show wherever it works; empty for what the puzzle needs.
    """

    day: date | None = None
    theme: str = ""


@dataclass(frozen=True, slots=True)
class PostNow(Act):
    """Post today's puzzle before its time."""


@dataclass(frozen=True, slots=True)
class WithdrawDay(Act):
    """Take back a day that went up before its time; None for the only one. `sure` answers the
    question whether to, where members took part on it. A button names its puzzle by the `mark`."""

    day: date | None = None
    sure: bool = False
    mark: str = ""


@dataclass(frozen=True, slots=True)
class PauseClub(Act):
    """Stop posting, or go on with it."""

    on: bool = True


@dataclass(frozen=True, slots=True)
class ShowReport(Act):
    """Show how far the club got on a day; None: on the newest."""

    day: date | None = None


@dataclass(frozen=True, slots=True)
class RuleResult(Act):
    """A leader's ruling on a member's result; `member` is the name as typed."""

    member: str
    verdict: Literal["accept", "unrank", "restore"]
    reason: str
    day: date | None = None


@dataclass(frozen=True, slots=True)
class Event:
    """One act of one person in one club, ready to be decided on. Times are aware, UTC.

    `is_leader`: the platform calls them one; of those whom club or host name, the service says so,
    by what is known as it decides. `text` is all that was typed: what is taken away from the open
    room is decided by it. `reached_at`: when an answer could first reach them, if later.
    """

    event_id: str
    club_id: int
    user_id: str
    name: str
    is_leader: bool
    acted_at: datetime
    received_at: datetime
    act: Act
    in_open: bool = False
    message_id: str | None = None
    text: str = ""
    groups: tuple[str, ...] = ()
    reached_at: datetime | None = None

    @property
    def began_at(self) -> datetime:
        """When a clock begins that the act starts: not before its answer could reach the member."""
        return max(self.acted_at, self.reached_at or self.acted_at)

    @property
    def said(self) -> str:
        """The line as it was said, with what was typed into its form."""
        return self.text or getattr(self.act, "text", "")
