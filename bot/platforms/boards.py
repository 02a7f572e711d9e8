"""A member's board that is live: what a page shows of it, and how a tap on it reaches the club.

A tap is a command line like any other (`place r4c5 7 2026-11-24`), in an `Incoming` of its own, so
the board is the one that the commands know. What is shown comes as positions and shapes, never as
text to be parsed; cells are numbers from 0, row by row. A room knows nothing else of the club.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Protocol

from bot.platforms.message import Incoming, Message

Mark = tuple[int, int]
"""A cell and a digit."""

Line = tuple[str, int]
"""A house by its sort and number: `row`, `column` or `box`, from 1."""


@dataclass(frozen=True, slots=True)
class DrawnLink:
    """A link from candidates of one digit to candidates of another; `number` 0: it has none."""

    cells: tuple[int, ...]
    digit: int
    other_cells: tuple[int, ...]
    other_digit: int
    is_strong: bool
    number: int = 0


@dataclass(frozen=True, slots=True)
class Shapes:
    """What is drawn upon the live grid, as far as was told.

    `houses` have a side band, `covers` an empty one; `cells` a double outline, `ends` a heavy one.
    Of candidates, `plates` are of the pattern, `rings` of its second kind, `squares` are tried,
    `struck` have a slash, `others` are only shown. `places` have a box. `witnesses` are digits
    that show why.
    """

    houses: tuple[Line, ...] = ()
    covers: tuple[Line, ...] = ()
    cells: tuple[int, ...] = ()
    ends: tuple[int, ...] = ()
    plates: tuple[Mark, ...] = ()
    rings: tuple[Mark, ...] = ()
    squares: tuple[Mark, ...] = ()
    struck: tuple[Mark, ...] = ()
    others: tuple[Mark, ...] = ()
    places: tuple[Mark, ...] = ()
    witnesses: tuple[int, ...] = ()
    links: tuple[DrawnLink, ...] = ()
    is_directed: bool = True


@dataclass(frozen=True, slots=True)
class LiveBoard:
    """What one member sees at `at`. Without a puzzle, or one to see yet, `givens` is empty and
    `notice` says what to do.

    `day` names the day in the lines of taps; empty where none is open. `lines` are the two marked
    ones. `struck`: ruled out in open cells. `small`: digits noted.
    `mistakes`: cells that were told to hold one. `is_filled`: all candidates may
    be shown. `told` is the rung or mistake told last, in words, with its `shapes`; `told_key`
    changes where something else is told. `costs`: seconds, by command. Of a day that has closed
    unsolved, no clock has `started_at`: none runs any more, and none may start.
    """

    at: datetime
    notice: str
    title: str = ""
    closes: str = ""
    day: str = ""
    givens: str = ""
    grid: str = ""
    lines: tuple[Line, ...] = ()
    struck: tuple[Mark, ...] = ()
    small: tuple[Mark, ...] = ()
    mistakes: tuple[int, ...] = ()
    may_start: bool = False
    started_at: datetime | None = None
    finished_at: datetime | None = None
    added: int = 0
    undo_left: int = 0
    redo_left: int = 0
    is_filled: bool = False
    costs: dict[str, int] = field(default_factory=dict)
    told: Message | None = None
    told_key: str = ""
    shapes: Shapes | None = None


Changed = Callable[[str, str, str], None]
"""Told the platform, the room and the user whose board may have changed, an empty one for every
board of the room. It must not wait."""


class NotOfThisBoardError(Exception):
    """A page that shows one board sent what does not act on it."""


class Boards(Protocol):
    """The members' boards, as a room may ask for them."""

    async def see(
        self, platform: str, room_id: str, user_id: str, day: str = ""
    ) -> LiveBoard | None:
        """Return what a member sees just now, of the open day or of `day`, which may be over; None
        where the room has no club."""

    async def touch(self, incoming: Incoming, day: str = "") -> tuple[Message, ...]:
        """Carry out a tap, once per event id; return what is to be said of it besides the board,
        without pictures but of a photo that was read. With a `day`, only what acts on that day's
        board is carried out, and no button leads elsewhere. Raises NotOfThisBoardError, and
        whatever goes wrong."""

    def watch(self, changed: Changed) -> None:
        """Have `changed` told of every board that may have changed, whoever changed it."""
