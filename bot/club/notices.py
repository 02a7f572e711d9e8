"""What the club says of its own accord, as lines of the outbox with keys that never change.

The key tells what is said, so that it is said once however often it is decided.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from hashlib import sha256

from msgspec.structs import replace

from bot.club.answer_key import line_names
from bot.club.answers import result_of
from bot.club.asked import Asked
from bot.club.asking import shown_before
from bot.club.due import PuzzleDue
from bot.club.facts import TablePicture
from bot.club.final_tables import tables_mended, tables_withdrawn
from bot.club.plan import settings_from
from bot.club.ports import (
    Change,
    MoveClosing,
    OpenDay,
    QueueNotice,
    SavePuzzle,
    SaveSettings,
    WithdrawDay,
    WithdrawNotice,
)
from bot.club.replies import (
    ClubBegun,
    DayPosted,
    MemberSolved,
    PostWithdrawn,
    Reply,
    ResultFlagged,
    ResultsPosted,
    RulingTold,
    SolversShown,
    encode_reply,
)
from bot.club.showing import day_facts, day_picture, planned_theme
from bot.club.state import Club, Day, Member, MemberSolve, Puzzle, Result
from bot.club.table import rank_of, sum_up, table_of
from bot.club.walkthrough import PathFacts, walkthrough_posted

NAMED = 10
"""So many of those who have solved a puzzle are named in the line on all of them."""

LINE_EACH = ("each", "thread")
"""The settings of `solved_lines` by which everyone has a line of their own."""


def _key(kind: str, club: Club, day: Day, *more: str) -> str:
    edition = "" if day.edition == 1 else f"/{day.edition}"
    return ":".join((kind, str(club.id), f"{day.date.isoformat()}{edition}", *more))


def _to_room(club: Club, key: str, reply: Reply) -> QueueNotice:
    return QueueNotice(club.id, key, "room", encode_reply(reply))


def solved_key(club: Club, day: Day, user_id: str) -> str:
    """Return the key of a member's line; it outlives an erasure, so it does not name them."""
    return _key("solved", club, day, opaque(club, user_id))


def solvers_key(club: Club, day: Day) -> str:
    """Return the key of the one line on all who have solved a day's puzzle."""
    return _key("solvers", club, day)


def results_key(club: Club, day: Day) -> str:
    """Return the key of a day's results."""
    return _key("results", club, day)


def opaque(club: Club, user_id: str) -> str:
    """Return an id that tells people apart in keys, and is nobody's name."""
    return sha256(f"{club.platform}:{club.home}:{user_id}".encode()).hexdigest()[:16]


def club_begun(club: Club, next_at: datetime | None, *, is_mended: bool = False) -> QueueNotice:
    """Return what a room reads before its first puzzle, which comes at `next_at`. `is_mended`: it
    goes up nowhere new, and where it is up says this now."""
    said = ClubBegun(club=club.settings.name, next_at=next_at, zone=club.settings.zone)
    audience = "mend" if is_mended else "room"
    return QueueNotice(club.id, f"begun:{club.id}", audience, encode_reply(said))


def post_key(club: Club, day: Day) -> str:
    """Return the key of a day's post."""
    return _key("day", club, day)


def day_post(club: Club, day: Day) -> QueueNotice:
    """Return the post of a day that is open."""
    return _to_room(club, post_key(club, day), _posted(club, day))


def open_changes(
    due: PuzzleDue, puzzle: Puzzle, asked: Asked | None, *, edition: int = 1
) -> tuple[Change, ...]:
    """Return the intent to post a puzzle, and the post itself, behind the find of the question that
    was `asked` about it; a plan that begins with it is the club's from now on. `edition`: 1 for the
    first puzzle of a date, one more for each that was withdrawn."""
    club = due.club
    day = Day(
        id=0,
        club_id=club.id,
        date=due.date,
        puzzle=puzzle,
        lines=line_names(puzzle.givens),
        sealed=club.settings.sealed,
        due_at=due.due_at,
        closes_at=due.closes_at,
        edition=edition,
    )
    day = replace(day, theme=planned_theme(club, day) or "")
    shown = shown_before(club, asked, puzzle, due.due_at)
    changes = (*shown, SavePuzzle(puzzle), OpenDay(day), day_post(club, day))
    settings = settings_from(due.date, club.settings)
    if settings == club.settings:
        return changes
    return (*changes, SaveSettings(club.id, settings, club.paused))


def _posted(club: Club, day: Day) -> DayPosted:
    return DayPosted(
        day=day_facts(club, day, hide=day.sealed), picture=day_picture(club, day, hide=day.sealed)
    )


def closing_moved(club: Club, day: Day) -> tuple[Change, ...]:
    """Return what moving an open day's closing changes: its post is mended to say so."""
    said = encode_reply(_posted(club, day))
    return (
        MoveClosing(day.id, day.closes_at),
        QueueNotice(club.id, _key("day", club, day), "mend", said),
    )


def closing(club: Club, day: Day, results: Sequence[Result], path: PathFacts) -> tuple[Change, ...]:
    """Return what closing a day says: its post mended, its results, the walkthrough in a thread.

    Nothing of a day that never went up, and its post is not to come late.
    """
    if day.posted_at is None:
        return (WithdrawNotice(club.id, _key("day", club, day), unless_begun=True),)
    walkthrough = QueueNotice(
        club.id,
        _key("walkthrough", club, day),
        "thread",
        encode_reply(walkthrough_posted(day, path)),
        day_id=day.id,
    )
    # The old post keeps the puzzle and loses its buttons: pressed late they would start today's.
    over = DayPosted(
        day=day_facts(club, day), picture=day_picture(club, day, hide=False), is_closed=True
    )
    mended = QueueNotice(club.id, _key("day", club, day), "mend", encode_reply(over))
    shown = _to_room(club, results_key(club, day), results_posted(club, day, results))
    return mended, shown, walkthrough


def withdrawal(club: Club, day: Day) -> tuple[Change, ...]:
    """Return what taking a day back changes: its post is mended to say so, the rest never comes.

    A post that is only on its way is mended too: nobody knows yet whether it is out.
    """
    said = encode_reply(PostWithdrawn(date=day.date))
    return (
        QueueNotice(club.id, _key("day", club, day), "mend", said),
        WithdrawNotice(club.id, solvers_key(club, day)),
        WithdrawNotice(club.id, results_key(club, day)),
        WithdrawNotice(club.id, _key("walkthrough", club, day)),
        *tables_withdrawn(club, day),
        WithdrawDay(day.id),
    )


def results_mended(club: Club, day: Day) -> tuple[QueueNotice, ...]:
    """Return what mends the results of a closed day, and so the final tables of its week and
    month: made when it is sent, of what is known by then."""
    mended = QueueNotice(club.id, results_key(club, day), "mend", b"")
    return mended, *tables_mended(club, day.date)


def results_posted(
    club: Club, day: Day, results: Sequence[Result], *, is_mended: bool = False
) -> ResultsPosted:
    """Return a day's results."""
    table = table_of(club.settings.name, "day", sum_up(results, day.date, day.date))
    return ResultsPosted(
        date=day.date,
        table=table,
        picture=TablePicture(table) if table.rows else None,
        late=sum(result.is_late for result in results),
        is_mended=is_mended,
    )


def member_solved(
    club: Club, day: Day, user_id: str, result: Result, results: Sequence[Result]
) -> tuple[QueueNotice, ...]:
    """Return what the room is told of who has just solved it, without spoilers, as the club will
    have it: nothing, a line, or the one line with one more in it."""
    if club.settings.solved_lines in LINE_EACH:
        return (_own_line(club, day, user_id, solved_line(day, result, results)),)
    return one_line(club, day)


def _own_line(club: Club, day: Day, user_id: str, line: MemberSolved) -> QueueNotice:
    """Return a member's line, in the room or in the thread under the day's post."""
    key, said = solved_key(club, day, user_id), encode_reply(line)
    if club.settings.solved_lines == "thread":
        return QueueNotice(club.id, key, "under", said, under=post_key(club, day))
    return QueueNotice(club.id, key, "room", said)


def one_line(club: Club, day: Day) -> tuple[QueueNotice, ...]:
    """Return what has the line on all solvers say what holds by the time that it is sent. Many in
    one go are one edit: a mend takes the place of the one that waits."""
    if club.settings.solved_lines != "one-line":
        return ()
    key = solvers_key(club, day)
    return QueueNotice(club.id, key, "room", b""), QueueNotice(club.id, key, "mend", b"")


def solvers_shown(day: Day, results: Sequence[Result]) -> SolversShown:
    """Return the one line on all who have solved a puzzle in time; `results` by when they did."""
    in_time = [each for each in results if not each.is_late]
    ranked = [each.adjusted for each in in_time if rank_of(in_time, each.member_id) is not None]
    return SolversShown(
        date=day.date,
        count=len(in_time),
        names=tuple(each.name for each in in_time[: -NAMED - 1 : -1]),
        best=min(ranked, default=None),
    )


def solved_line(day: Day, result: Result, results: Sequence[Result]) -> MemberSolved:
    """Return what the room is told of a result; `results`: of who had finished by then."""
    return MemberSolved(
        date=day.date,
        name=result.name,
        rank=rank_of(results, result.member_id),
        adjusted=result.adjusted,
        hints=result.hints,
        is_late=result.is_late,
    )


def member_forgotten(club: Club, user_id: str, days: Iterable[Day]) -> tuple[QueueNotice, ...]:
    """Return what mends all that was said of a member, once their data are erased: to the same, of
    nobody. `days`: those on which they have finished."""
    mends: list[QueueNotice] = []
    for day in days:
        for key in (solved_key(club, day, user_id), solvers_key(club, day)):
            mends.append(QueueNotice(club.id, key, "mend", b""))
        if day.is_closed:
            mends += results_mended(club, day)
    # Days of one week mend the same table.
    return tuple({each.key: each for each in mends}.values())


def result_flagged(
    club: Club, day: Day, user_id: str, result: Result, leaders: Sequence[str]
) -> tuple[QueueNotice, ...]:
    """Return a line to each of the leaders, of a result that waits for them."""
    reply = encode_reply(ResultFlagged(date=day.date, name=result.name, raw=result.raw))
    return tuple(
        QueueNotice(
            club.id,
            _key("flagged", club, day, opaque(club, user_id), opaque(club, leader)),
            "member",
            reply,
            user_id=leader,
        )
        for leader in leaders
    )


def ruling_told(
    club: Club, day: Day, event_id: str, member: Member, ruled: MemberSolve
) -> QueueNotice:
    """Return the private notice that tells a member how the leader ruled on their result."""
    reply = RulingTold(
        date=day.date, verdict=ruled.verdict, reason=ruled.reason, is_late=ruled.is_late
    )
    return QueueNotice(
        club.id, f"ruling:{event_id}", "member", encode_reply(reply), user_id=member.user_id
    )


def places_mended(
    club: Club, day: Day, entries: Sequence[tuple[Member, MemberSolve]], ruled: MemberSolve
) -> tuple[QueueNotice, ...]:
    """Return the lines that say something else after a ruling, each to replace the first.

    A place is that among those who had finished by then, as it was announced.
    """
    return _mended_lines(club, day, entries, _with_entry(entries, ruled))


def places_overtaken(
    club: Club,
    day: Day,
    entries: Sequence[tuple[Member, MemberSolve]],
    user_id: str,
    entry: MemberSolve,
) -> tuple[QueueNotice, ...]:
    """Return the lines on the others that say something else by a first answer which came before
    theirs and reached us after them."""
    others = [each for each in entries if each[1].day_id == day.id and each[0].user_id != user_id]
    own = Member(entry.member_id, club.id, user_id, "")
    mends = _mended_lines(club, day, others, [*others, (own, entry)])
    return tuple(each for each in mends if each.key != solved_key(club, day, user_id))


def _mended_lines(
    club: Club,
    day: Day,
    before: Sequence[tuple[Member, MemberSolve]],
    after: Sequence[tuple[Member, MemberSolve]],
) -> tuple[QueueNotice, ...]:
    announced = _lines_of(day, before)
    changed = {
        user_id: line
        for user_id, line in _lines_of(day, after).items()
        if line != announced.get(user_id)
    }
    has_lines = club.settings.solved_lines in LINE_EACH
    told = (
        QueueNotice(club.id, solved_key(club, day, user_id), "mend", encode_reply(line))
        if user_id in announced
        else _own_line(club, day, user_id, line)
        for user_id, line in changed.items()
        # What was said of each before the club had it otherwise is mended all the same.
        if has_lines or user_id in announced
    )
    return *told, *(one_line(club, day) if changed else ())


def result_retold(
    club: Club,
    day: Day,
    user_id: str,
    entries: Sequence[tuple[Member, MemberSolve]],
    changed: MemberSolve,
    leaders: Sequence[str],
) -> tuple[QueueNotice, ...]:
    """Return what is to be said anew of a result that an act of before it changed, which reached
    us late: the places, the results and tables of a closed day, and to the leaders what waits."""
    entries = [each for each in entries if each[1].day_id == day.id]
    told = list(places_mended(club, day, entries, changed))
    results = _results_of(day, _with_entry(entries, changed))
    if day.is_closed:
        told += results_mended(club, day)
    own = next(each for each in results if each.member_id == changed.member_id)
    if own.verdict == "flagged":
        told += result_flagged(club, day, user_id, own, leaders)
    return tuple(told)


def _with_entry(
    entries: Sequence[tuple[Member, MemberSolve]], changed: MemberSolve
) -> Sequence[tuple[Member, MemberSolve]]:
    return [(member, changed if entry.id == changed.id else entry) for member, entry in entries]


def _results_of(day: Day, entries: Sequence[tuple[Member, MemberSolve]]) -> list[Result]:
    return [result_of(day, entry, member.name) for member, entry in _finished(entries)]


def _lines_of(day: Day, entries: Sequence[tuple[Member, MemberSolve]]) -> dict[str, MemberSolved]:
    """Return the line to the room on each member who finished in time, by user id."""
    results = _results_of(day, entries)
    return {
        member.user_id: solved_line(day, results[place], results[: place + 1])
        for place, (member, entry) in enumerate(_finished(entries))
        if not entry.is_late
    }


def _finished(entries: Sequence[tuple[Member, MemberSolve]]) -> list[tuple[Member, MemberSolve]]:
    finished = (each for each in entries if each[1].finished_at is not None)
    return sorted(finished, key=lambda each: (each[1].finished_at, each[1].id))


def with_ruling(
    results: Sequence[Result], day: Day, ruled: MemberSolve, member: Member
) -> tuple[Result, ...]:
    """Return a day's results with one of them as it was ruled."""
    others = (each for each in results if each.member_id != member.id)
    return (*others, result_of(day, ruled, member.name))
