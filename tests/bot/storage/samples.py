"""Values of an invented club, for the tests of whatever stores them."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from bot.club.facts import Position, StepFacts
from bot.club.ports import Change, MarkPosted, OpenDay, SaveMember, Store
from bot.club.state import (
    Board,
    Charge,
    Club,
    ClubSettings,
    Day,
    HintUnderWay,
    Known,
    Member,
    MemberSolve,
    Puzzle,
)

NOON = datetime(2026, 11, 23, 12, 0, tzinfo=UTC)
MONDAY = date(2026, 11, 23)
ONE_DAY = timedelta(days=1)
MINUTE = timedelta(minutes=1)

# Two rows of digits are enough to tell puzzles apart; no test here solves one.
_ROW = "123456789"


def puzzle_number(number: int, *, level: int = 1) -> Puzzle:
    solution = (_ROW * 9)[:81]
    givens = f"{number:06d}".replace("0", ".").ljust(81, ".")
    return Puzzle(0, givens, solution, level, needs=("hidden-single",), hardest="hidden-single")


def day_number(club: Club, number: int, puzzle: Puzzle | None = None) -> Day:
    """The day `number` days after MONDAY, due at noon and closing at the next noon."""
    return Day(
        id=0,
        club_id=club.id,
        date=MONDAY + number * ONE_DAY,
        puzzle=puzzle or puzzle_number(number + 1),
        lines=("row 4", "row 5"),
        sealed=False,
        due_at=NOON + number * ONE_DAY,
        closes_at=NOON + (number + 1) * ONE_DAY,
        theme="hidden-single",
    )


def full_entry(day: Day, member: Member) -> MemberSolve:
    """An entry in which every field says something."""
    board = Board("5" + "." * 80, ruled_out=(("r1c2", 3), ("r1c2", 4)))
    step = StepFacts(
        technique="naked-pair",
        level=3,
        houses=("row 1",),
        covers=(),
        cells=("r1c2", "r1c3"),
        digits=(1, 2),
        pattern=(("r1c2", 1), ("r1c2", 2)),
        places=(),
        removes=(("r1c9", 2),),
        constraints=("at least one: r1c2", "at most one: 1 in row 1"),
    )
    return MemberSolve(
        id=0,
        day_id=day.id,
        member_id=member.id,
        board=board,
        started_at=NOON + MINUTE,
        history=(Board("." * 81), board),
        known=Known(places=(("r1c1", 5),), removes=(("r1c9", 2),)),
        hint=HintUnderWay(step, Position("5" + "." * 80, (("r1c2", 3),)), rung=2),
        charges=(
            Charge("hint:naked-pair:r1c2,r1c3:12", 1, 15, "naked-pair", Position("." * 81)),
            Charge("hint:naked-pair:r1c2,r1c3:12", 2, 30, "naked-pair"),
            Charge("hint:hidden-single:r1c1:5", 1, 15, "hidden-single"),
            Charge("wrong", 0, 60),
        ),
        tries=2,
        finished_at=NOON + 11 * MINUTE,
        is_late=False,
        verdict="accepted",
        reason="watched them solve it",
    )


async def new_club(store: Store, room_id: str = "maple") -> Club:
    return await store.add_club("web", room_id, ClubSettings("Maple Street Solvers"))


async def new_day(store: Store, club: Club, number: int, *, is_posted: bool = True) -> Day:
    """Open a day, posted a second after it was due, and return it as the store has it."""
    day = day_number(club, number)
    await store.save([OpenDay(day)])
    kept = await store.load_day(club.id, day.date)
    assert kept is not None
    if is_posted:
        posted_at = day.due_at + timedelta(seconds=1)
        await store.save([MarkPosted(kept.id, posted_at, f"post {number}")])
        kept = await store.load_day(club.id, day.date)
        assert kept is not None
    return kept


async def new_member(store: Store, club: Club, user_id: str, name: str = "") -> Member:
    change: Change = SaveMember(Member(0, club.id, user_id, name or user_id.title()))
    await store.save([change])
    (member,) = await store.find_members(club.id, user_id)
    return member


async def entries_of(store: Store, club: Club, user_id: str) -> tuple[MemberSolve, ...]:
    """Return what a member did on all days, by date."""
    days = await store.load_days(club.id)
    entries = [await store.load_entry(day.id, user_id) for day in days]
    return tuple(entry for entry in entries if entry is not None)
