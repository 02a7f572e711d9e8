"""What of a day and of a member's board may be shown: the facts and pictures that replies carry."""

from __future__ import annotations

from collections.abc import Collection

from bot.club.boards import count_open, find_clashes
from bot.club.facts import CoverPicture, DayFacts, GridPicture, Position
from bot.club.gate import told_cells
from bot.club.plan import plan_for
from bot.club.position import shown_position
from bot.club.replies import BoardShown, ClockStarted, TodayShown
from bot.club.state import Board, Club, Day, MemberSolve, Verdict


def day_facts(club: Club, day: Day, *, hide: bool = False) -> DayFacts:
    """Return a day's facts; `hide` leaves the puzzle out, as a cover does."""
    return DayFacts(
        club=club.settings.name,
        date=day.date,
        givens="" if hide else day.puzzle.givens,
        level=day.puzzle.level,
        theme=shown_theme(club, day),
        lines=day.lines,
        sealed=day.sealed,
        closes_at=day.closes_at,
        zone=club.settings.zone,
        credit=day.puzzle.credit,
    )


def shown_theme(club: Club, day: Day) -> str | None:
    """Return the technique that the day was posted with."""
    return planned_theme(club, day) if day.theme is None else day.theme or None


def planned_theme(club: Club, day: Day) -> str | None:
    """Return the technique that the plan has for the date, where the day's puzzle does need it."""
    theme = plan_for(day.date, club.settings).theme
    return theme if theme in day.puzzle.needs else None


def published_picture(day: Day) -> GridPicture:
    """Return the picture of a day's puzzle as it was published, its two lines marked."""
    givens = day.puzzle.givens
    return GridPicture(givens=givens, position=Position(givens), lines=day.lines)


def day_picture(club: Club, day: Day, *, hide: bool) -> GridPicture | CoverPicture:
    """Return the picture of a day's post: the cover where the puzzle is to be hidden."""
    if hide:
        return CoverPicture(club=club.settings.name, date=day.date, level=day.puzzle.level)
    return published_picture(day)


def is_covered(day: Day, entry: MemberSolve | None) -> bool:
    """Say whether the member may not see the puzzle yet: a sealed day before their clock."""
    return day.sealed and (entry is None or (entry.started_at is None and not entry.finished_at))


FILLED = "fill"
"""What it is charged under that all candidates are filled in."""

FILLED_AFTER = "fill:after"
"""What stands for it, for no seconds, where it was asked for once the puzzle was solved."""


def is_filled(entry: MemberSolve) -> bool:
    """Say whether the member has had all candidates filled in."""
    return any(charge.key in (FILLED, FILLED_AFTER) for charge in entry.charges)


def board_picture(day: Day, entry: MemberSolve, told: tuple[str, ...] = ()) -> GridPicture:
    """Return a member's board, with the mistakes that they were told of, those in the cells `told`
    among them; candidates once there is something struck to see in them."""
    position = shown_position(entry.board, entry.known)
    return GridPicture(
        givens=day.puzzle.givens,
        position=position,
        with_candidates=bool(position.removed) or is_filled(entry),
        lines=day.lines,
        mistakes=tuple(sorted({*told_cells(entry), *told})),
    )


def fresh_entry(day: Day, came_back: Collection[int] = ()) -> MemberSolve:
    """Return the entry of a member who has done nothing on the day yet.

    Where they did and had it erased it does not rank: a clean sheet would be better than any hint.
    """
    verdict: Verdict = "unranked" if day.id in came_back else "ranked"
    board = Board(day.puzzle.givens)
    return MemberSolve(id=0, day_id=day.id, member_id=0, board=board, verdict=verdict)


def show_today(club: Club, day: Day, entry: MemberSolve | None, *, as_text: bool) -> TodayShown:
    """Return the day as one member sees it: covered on a sealed day until their clock runs."""
    hide = is_covered(day, entry)
    return TodayShown(
        day=day_facts(club, day, hide=hide),
        picture=day_picture(club, day, hide=hide),
        as_text=as_text and not hide,
        started_at=entry.started_at if entry else None,
        solved=bool(entry and entry.finished_at),
        is_cover=hide,
    )


def show_clock(club: Club, day: Day, entry: MemberSolve, *, was_running: bool) -> ClockStarted:
    """Return what starting the clock shows; the clock must run."""
    assert entry.started_at is not None
    return ClockStarted(
        day=day_facts(club, day),
        picture=board_picture(day, entry),
        started_at=entry.started_at,
        was_running=was_running,
    )


def show_board(
    club: Club,
    day: Day,
    entry: MemberSolve,
    change: str,
    *,
    marks: tuple[tuple[str, int], ...] = (),
    as_text: bool = False,
) -> BoardShown:
    """Return a member's board with what was just done to it; clashes are named, never mistakes."""
    return BoardShown(
        day=day_facts(club, day),
        picture=board_picture(day, entry),
        change=change,
        marks=marks,
        clashes=find_clashes(entry.board.grid),
        open_cells=count_open(entry.board.grid),
        undo_left=len(entry.history),
        as_text=as_text,
    )
