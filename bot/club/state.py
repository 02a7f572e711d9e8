"""What the club knows, as values: loaded from storage, decided on, and saved again.

Times are aware moments in UTC. Everything here is frozen; a decision returns changed copies.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from hashlib import sha256
from typing import Literal

from msgspec import Struct

from bot.club.facts import Position, StepFacts
from bot.club.settings import ClubSettings as ClubSettings
from bot.club.settings import DayWish as DayWish
from bot.club.settings import Penalties as Penalties


class Club(Struct, frozen=True):
    """A club: one room of one platform, by the platform's own id of it. `lacking`: the duties of
    which leaders were told last that the bot may not do them there. `led_by`: the user ids of those
    who gave leaders' commands last, by the platform's rights.

    `stay` counts how often the club has moved to another room; `first_room` is where it was
    founded, empty where it has not moved. `server`: what its room is part of, where the platform
    has such a thing and has told it.
    """

    id: int
    platform: str
    room_id: str
    settings: ClubSettings
    paused: bool = False
    lacking: tuple[str, ...] = ()
    led_by: tuple[str, ...] = ()
    stay: int = 0
    first_room: str = ""
    server: str = ""

    @property
    def home(self) -> str:
        """Where the club was founded: it never changes, so what is made of it stays the same."""
        return self.first_room or self.room_id


Look = Literal["", "light", "dark"]
"""How somebody wishes to see pictures; empty: as the club has it."""


class Member(Struct, frozen=True):
    """`id` is 0 until the member is first saved. `look`: of the pictures in what they are told, as
    the club has it where that is empty. `reminds`: they want to hear of a puzzle of theirs that is
    open and closes soon."""

    id: int
    club_id: int
    user_id: str
    name: str
    look: Look = ""
    reminds: bool = False

    @property
    def wishes(self) -> dict[str, object]:
        """What they wish for, as an export has it; nothing where that is nothing."""
        wishes: dict[str, object] = {"look": self.look, "reminds": self.reminds}
        return {name: wish for name, wish in wishes.items() if wish}


MARK = "puzzle-"
"""What the mark of a puzzle begins with."""


class Puzzle(Struct, frozen=True):
    """`id` is 0 until saved. `givens` and `solution` are grid texts.

    `form` is the canonical form (see `engine.board.canonical`), the same for every disguise of it,
    and `pattern` the symmetry of its givens, `none` where they have none. `turns` counts its
    turning points, None where an older Ninebark did not write it down.
    """

    id: int
    givens: str
    solution: str
    level: int
    needs: tuple[str, ...] = ()
    hardest: str = ""
    effort: float = 0.0
    credit: str = ""
    origin: str = ""
    form: str = ""
    pattern: str = ""
    turns: int | None = None

    def is_clean_for(self, theme: str) -> bool:
        """Say whether it is known to turn once, on the theme, and otherwise goes by singles."""
        return self.turns == 1 and self.hardest == theme

    @property
    def mark(self) -> str:
        """A short name for it, for a line that has no room for the givens."""
        return mark_of(self.givens)

    @property
    def identity(self) -> str:
        """What tells it from other puzzles, however it is disguised."""
        return self.form or self.givens


def mark_of(givens: str) -> str:
    """Return the short name of a puzzle for a line that has no room for its givens."""
    return f"{MARK}{sha256(givens.encode()).hexdigest()[:10]}"


class Day(Struct, frozen=True):
    """One club's puzzle of one local date. `id` is 0 until saved.

    `due_at` is the scheduled time of posting; `posted_at` the platform's time of the post, None
    while only the intent stands. `closes_at` is the next scheduled post time after it: what counts
    is the stamp of an act against it, not whether `is_closed` is set. `edition` is 2 or more where
    earlier puzzles of the date were withdrawn. `theme` is what it was posted with, empty for none;
    None where an older Ninebark did not write it down. `is_void`: it is over and never went up, so
    nobody has had its puzzle.
    """

    id: int
    club_id: int
    date: date
    puzzle: Puzzle
    lines: tuple[str, str]
    sealed: bool
    due_at: datetime
    closes_at: datetime
    posted_at: datetime | None = None
    post_ref: str | None = None
    is_closed: bool = False
    edition: int = 1
    theme: str | None = None
    is_void: bool = False


class Board(Struct, frozen=True):
    """A member's own marks: `grid` is a grid text with the givens in it, `ruled_out` by names.
    `small` are digits noted in cells, which mean what the member means by them."""

    grid: str
    ruled_out: tuple[tuple[str, int], ...] = ()
    small: tuple[tuple[str, int], ...] = ()


class Known(Struct, frozen=True):
    """What the member knows besides the board: steps told to the end, or said to be known."""

    places: tuple[tuple[str, int], ...] = ()
    removes: tuple[tuple[str, int], ...] = ()


class HintUnderWay(Struct, frozen=True):
    """The hint being climbed; kept while its step still applies. `rung` is the last one shown."""

    step: StepFacts
    position: Position
    rung: int


class Charge(Struct, frozen=True):
    """Seconds added for `key`: `hint:<step key>`, `mistake:<…>`, `check:<…>`, `wrong:<…>`.

    `position`: where a hint was asked for, with its first rung; the board on which a mistake was
    told, with each; None elsewhere. `count`: how many mistakes of its kind were told with it.
    `at`: the stamp of the act, None where an older Ninebark did not write it down.
    """

    key: str
    rung: int
    seconds: int
    technique: str = ""
    position: Position | None = None
    count: int = 0
    at: datetime | None = None


Verdict = Literal["ranked", "flagged", "accepted", "unranked"]


class MemberSolve(Struct, frozen=True):
    """One member on one day. `id` is 0 until saved.

    `history` holds the boards to undo to, `undone` those to redo to, newest last. `tries` counts
    the different wrong answers before `finished_at`, the stamp of the first right one. A `flagged`
    or `unranked` result does not rank.
    """

    id: int
    day_id: int
    member_id: int
    board: Board
    started_at: datetime | None = None
    history: tuple[Board, ...] = ()
    known: Known = Known()
    hint: HintUnderWay | None = None
    charges: tuple[Charge, ...] = ()
    tries: int = 0
    finished_at: datetime | None = None
    is_late: bool = False
    verdict: Verdict = "ranked"
    reason: str = ""
    undone: tuple[Board, ...] = ()

    @property
    def added_seconds(self) -> int:
        """What hints, checks and wrong answers have added so far."""
        return sum(charge.seconds for charge in self.charges)

    @property
    def hints(self) -> int:
        """How many different steps a hint was given for."""
        return len({charge.key for charge in self.charges if charge.key.startswith("hint:")})


class Result(Struct, frozen=True):
    """A finished entry, as tables need it. Seconds are whole."""

    member_id: int
    name: str
    date: date
    level: int
    raw: int
    added: int
    hints: int
    tries: int
    is_late: bool
    verdict: Verdict
    finished_at: datetime | None = None

    @property
    def adjusted(self) -> int:
        """Seconds from start to finish, and what was added."""
        return self.raw + self.added

    @property
    def is_ranked(self) -> bool:
        """Whether it counts in tables: in time, and not flagged or unranked."""
        return not self.is_late and self.verdict in ("ranked", "accepted")

    @property
    def why_unranked(self) -> str:
        """Why it does not rank: `unranked` by a leader, `late`, `flagged`; empty where it does."""
        if self.is_ranked or self.verdict == "unranked":
            return "" if self.is_ranked else "unranked"
        return "late" if self.is_late else "flagged"


class Scene(Struct, frozen=True):
    """All that one event can need, loaded in one go.

    `today` is the day that was open at the event's stamp, `entry` the member's on it. `earlier` is
    the day before it, `earlier_entry` likewise. `saved_reply` is set where the event was answered
    before. `came_back`: the ids of the days on which the member had taken part before they had
    their data erased (`bot.club.erasing`). `unconfirmed` is the newest day that is not known to be
    up: its post may be on its way, or out.
    """

    club: Club
    member: Member | None
    today: Day | None
    entry: MemberSolve | None
    earlier: Day | None
    earlier_entry: MemberSolve | None
    saved_reply: bytes | None = None
    came_back: frozenset[int] = frozenset()
    unconfirmed: Day | None = None
    unconfirmed_entry: MemberSolve | None = None


@dataclass(frozen=True, slots=True)
class Queued:
    """What a leader queued: for a date, for a day planned for a level, or for the next free day."""

    puzzle: Puzzle
    day: date | None
    level: int | None = None


@dataclass(frozen=True, slots=True)
class Picked:
    """What a leader has seen, or chosen, for a date to come; a queued puzzle goes before it."""

    puzzle: Puzzle
    day: date


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """The puzzle of a day that was withdrawn, and the day's date."""

    puzzle: Puzzle
    day: date
