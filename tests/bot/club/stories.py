"""A club on the fake store that tests speak to in command lines, with a clock that they set.

Puzzles are published ones (source beside each), so that what the club says of them can be checked
from outside.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import TypeVar

from bot.club.acts import Event, Misread
from bot.club.fake_store import FakeStore
from bot.club.ports import Notice, PuzzleSource, SavePuzzle, Store
from bot.club.replies import Reply
from bot.club.retelling import load_reply_of
from bot.club.service import ClubService
from bot.club.state import Club, ClubSettings, Day, MemberSolve, Puzzle
from bot.commands import table as commands
from bot.photo.told import PhotoProblem, PhotoReading
from engine.board.canonical import canonical_form
from engine.board.grid import Grid, format_grid, parse_grid
from engine.solving.paths import apply_step, find_path

MONDAY = date(2026, 11, 23)
"""A Monday: 2026-W48-1."""
NOON = datetime(2026, 11, 23, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
DAY = timedelta(days=1)

# The encyclopaedia example, also in SQLite's documentation (`lang_with`) and PuLP's example.
EASY = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
EASY_SOLUTION = "534678912672195348198342567859761423426853791713924856961537284287419635345286179"
# Crook, A Pencil-and-Paper Algorithm for Solving Sudoku Puzzles, Notices AMS 56(4), 2009, p. 463.
CROOK = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"
CROOK_SOLUTION = "639574182541829376782613954198467523365982417427135869956748231813296745274351698"
# The same page: what the grid is after all singles.
CROOK_AFTER_SINGLES = (
    ".395...8...18.937.....1.9541..4..5.3........7..7...86...67.82...1..9...5.....1..8"
)
# The SWI-Prolog clpfd manual.
SEVENTEEN = "..............3.85..1.2.......5.7.....4...1...9.......5......73..2.1........4...9"
SEVENTEEN_SOLUTION = (
    "987654321246173985351928746128537694634892157795461832519286473472319568863745219"
)

R = TypeVar("R", bound=Reply)
T = TypeVar("T")


@cache
def easy_puzzle() -> Puzzle:
    form = canonical_form(EASY, EASY_SOLUTION)
    return Puzzle(0, EASY, EASY_SOLUTION, 1, hardest="naked-single", form=form)


def crook_puzzle() -> Puzzle:
    return Puzzle(0, CROOK, CROOK_SOLUTION, 3, needs=("naked-pair",), hardest="naked-pair")


def seventeen_puzzle() -> Puzzle:
    return Puzzle(0, SEVENTEEN, SEVENTEEN_SOLUTION, 1)


def settings_with(**changes: object) -> ClubSettings:
    """Return settings that flag nothing as quick, so that tests choose when it is, and that give
    each who solves a puzzle a line."""
    values: dict[str, object] = {
        "name": "Maple Street Solvers",
        "post_time": "12:00",
        "quick": 0,
        "solved_lines": "each",
    }
    return ClubSettings(**{**values, **changes})  # type: ignore[arg-type]


def day_with(puzzle: Puzzle, on: date, club_id: int = 1) -> Day:
    """Return a closed day that had this puzzle."""
    due = NOON + (on - MONDAY)
    return Day(0, club_id, on, puzzle, ("row 1", "row 2"), False, due, due + DAY, due, "post", True)


@dataclass(frozen=True)
class Paper:
    """A photo that nobody has to look at: `says` is the grid on it, or the problem with it."""

    says: str
    size: int = 100
    is_lost: bool = False
    fetched: list[int] = field(default_factory=list)

    async def fetch(self, most: int) -> bytes | None:
        self.fetched.append(most)
        return None if self.is_lost else self.says.encode()


class AtOnce:
    """The part of a PuzzleSource that works everything out where it is asked."""

    reads_photos = True

    async def read_photo(self, content: bytes, puzzles: Mapping[str, Grid]) -> PhotoReading:
        """Read what a `Paper` says; one cell is doubtful."""
        said, (puzzle,) = content.decode(), puzzles
        if not said.strip("123456789."):
            return PhotoReading(puzzle=puzzle, grid=said, doubtful=("r1c3",))
        return PhotoReading(PhotoProblem(said))

    async def work_out(self, work: Callable[..., T], *arguments: object) -> T:
        return work(*arguments)


@dataclass
class Story:
    """One club and the moment that it is; every line said is an act at that moment."""

    store: Store
    service: ClubService
    club: Club
    now: datetime = NOON
    said: int = 0
    posts: list[tuple[str, str, Reply]] = field(default_factory=list)

    def later(self, seconds: float = 0, *, minutes: float = 0, days: float = 0) -> Story:
        self.now += timedelta(seconds=seconds, minutes=minutes, days=days)
        return self

    async def say(
        self,
        line: str,
        *,
        by: str = "ada",
        name: str | None = None,
        event_id: str | None = None,
        at: datetime | None = None,
        reached_at: datetime | None = None,
        leads: bool = False,
        in_open: bool = False,
        fields: dict[str, str] | None = None,
    ) -> Reply:
        self.said += 1
        parsed = commands.parse(line, fields or {}, in_open=in_open)
        act = Misread(parsed) if isinstance(parsed, Reply) else parsed
        at = at or self.now
        return await self.service.answer(
            Event(
                event_id=event_id or f"event {self.said}",
                club_id=self.club.id,
                user_id=by,
                name=name or by.capitalize(),
                is_leader=leads,
                acted_at=at,
                received_at=self.now,
                act=act,
                in_open=in_open,
                reached_at=reached_at,
            )
        )

    async def send_photo(
        self,
        photo: Paper,
        line: str = "hint",
        *,
        by: str = "ada",
        event_id: str | None = None,
    ) -> Reply:
        self.said += 1
        return await self.service.answer(
            Event(
                event_id=event_id or f"event {self.said}",
                club_id=self.club.id,
                user_id=by,
                name=by.capitalize(),
                is_leader=False,
                acted_at=self.now,
                received_at=self.now,
                act=commands.parse_photo(line, photo),
                text=line,
            )
        )

    async def hears(self, kind: type[R], line: str, **how: object) -> R:
        """Say a line and return the reply, which must be of the kind."""
        reply = await self.say(line, **how)  # type: ignore[arg-type]
        assert isinstance(reply, kind), reply
        return reply

    async def tick(self) -> None:
        """Do what is due now and send what waits, as the schedule does."""
        club = await self.store.load_club(self.club.platform, self.club.room_id)
        assert club is not None
        self.club = club
        for due in await self.service.due(club, self.now):
            await self.service.carry_out(due)
        while waiting := await self.store.load_notices():  # at most a hundred at a time
            for notice in waiting:
                await self._send(notice)

    async def open_what_is_due(self) -> None:
        """Do what is due now, and send nothing."""
        for due in await self.service.due(self.club, self.now):
            await self.service.carry_out(due)

    async def _send(self, notice: Notice) -> None:
        self.posts.append((notice.key, notice.audience, await load_reply_of(self.store, notice)))
        await self.store.mark_sent(notice.id, f"post {len(self.posts)}", self.now)

    def post_with(self, kind: type[R]) -> R:
        """Return the newest post of a kind."""
        found = [reply for _, _, reply in self.posts if isinstance(reply, kind)]
        assert found, [type(reply).__name__ for _, _, reply in self.posts]
        return found[-1]

    async def entry(self, by: str = "ada", day: date = MONDAY) -> MemberSolve:
        there = await self.store.load_day(self.club.id, day)
        assert there is not None
        entry = await self.store.load_entry(there.id, by)
        assert entry is not None
        return entry


async def open_story(
    *puzzles: Puzzle,
    settings: ClubSettings | None = None,
    source: PuzzleSource | None = None,
    store: Store | None = None,
    is_sent: bool = True,
) -> Story:
    """Return a club on Monday noon whose queue holds the puzzles, the first of them posted."""
    store = store or FakeStore()
    club = await store.add_club("web", "maple", settings or settings_with())
    for puzzle in puzzles:
        await store.save([SavePuzzle(puzzle, club_id=club.id, is_queued=True)])
    story = Story(store, ClubService(store=store, courses=commands.COURSES, puzzles=source), club)
    if puzzles and is_sent:
        await story.tick()
    elif puzzles:
        await story.open_what_is_due()
    return story


def marked_digits(solution: str, *rows: int) -> str:
    """Return the digits of whole rows, read by hand: independent of the club's answer key."""
    return "".join(solution[9 * (row - 1) : 9 * row] for row in rows)


def half_solved(givens: str, steps: int) -> str:
    """Return the grid after the first steps of the path, as text."""
    path = find_path(parse_grid(givens))
    grid = path.start
    for step in path.steps[:steps]:
        grid = apply_step(grid, step)
    return format_grid(grid)
