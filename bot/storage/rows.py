"""Between rows and values: each pair here is inverse, and nothing here runs a statement.

Moments lose what is below a millisecond. A moment without a zone is a mistake of the caller, and
is refused.
"""

from __future__ import annotations

import sqlite3
from datetime import UTC, date, datetime, timedelta
from typing import Any

import msgspec

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
from bot.club.versions import VERSION, upgrades_from

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MILLISECOND = timedelta(milliseconds=1)

_ENCODER = msgspec.json.Encoder()
_SETTINGS = msgspec.json.Decoder(ClubSettings)
_TEXTS = msgspec.json.Decoder(tuple[str, ...])
_BOARD = msgspec.json.Decoder(Board)
_HISTORY = msgspec.json.Decoder(tuple[Board, ...])
_KNOWN = msgspec.json.Decoder(Known)
_HINT = msgspec.json.Decoder(HintUnderWay)
_CHARGES = msgspec.json.Decoder(tuple[Charge, ...])


def utc_now() -> datetime:
    """Return the machine's time; where a clock is an argument, this is its default."""
    return datetime.now(UTC)


def ms_of(moment: datetime) -> int:
    """Return UTC milliseconds. Raises ValueError for a moment without a zone."""
    if moment.tzinfo is None:
        raise ValueError(f"a moment needs a zone: {moment!r}")
    return (moment - _EPOCH) // _MILLISECOND


def moment_of(ms: int) -> datetime:
    """Return an aware UTC moment from UTC milliseconds."""
    return _EPOCH + ms * _MILLISECOND


def ms_or_none(moment: datetime | None) -> int | None:
    """Return UTC milliseconds as `ms_of` does, and None for None."""
    return None if moment is None else ms_of(moment)


def moment_or_none(ms: int | None) -> datetime | None:
    """Return an aware UTC moment from UTC milliseconds, and None for None."""
    return None if ms is None else moment_of(ms)


def json_of(value: object) -> str:
    """Return a value as JSON; the shape's version is a column of its own, where there is one."""
    return _ENCODER.encode(value).decode()


def club_of(row: sqlite3.Row) -> Club:
    """Read a row of `club`; settings that it lacks have their defaults."""
    return Club(
        id=row["id"],
        platform=row["platform"],
        room_id=row["room_id"],
        settings=_SETTINGS.decode(row["settings"]),
        paused=bool(row["paused"]),
        lacking=_TEXTS.decode(row["lacking"]),
        led_by=_TEXTS.decode(row["led_by"]),
        stay=row["stay"],
        first_room=row["first_room"],
        server=row["server"],
    )


def member_of(row: sqlite3.Row, id_column: str = "id") -> Member:
    """Read a row of `member`; in a joined row `id_column` holds the member's id."""
    return Member(
        row[id_column],
        row["club_id"],
        row["user_id"],
        row["name"],
        row["look"],
        bool(row["reminds"]),
    )


def puzzle_of(row: sqlite3.Row, id_column: str = "id") -> Puzzle:
    """Read a row of `puzzle`; in a joined row `id_column` holds the puzzle's id."""
    return Puzzle(
        id=row[id_column],
        givens=row["givens"],
        solution=row["solution"],
        level=row["level"],
        needs=_TEXTS.decode(row["needs"]),
        hardest=row["hardest"],
        effort=row["effort"],
        credit=row["credit"],
        origin=row["origin"],
        form=row["form"],
        pattern=row["pattern"],
        turns=row["turns"],
    )


def puzzle_values(puzzle: Puzzle) -> dict[str, Any]:
    """Return the columns of a puzzle for an insert; the id is the database's to give."""
    return {
        "givens": puzzle.givens,
        "solution": puzzle.solution,
        "level": puzzle.level,
        "needs": json_of(puzzle.needs),
        "hardest": puzzle.hardest,
        "effort": puzzle.effort,
        "credit": puzzle.credit,
        "origin": puzzle.origin,
        "form": puzzle.form,
        "pattern": puzzle.pattern,
        "turns": puzzle.turns,
    }


def day_of(row: sqlite3.Row) -> Day:
    """Read a day from a row that holds its puzzle's columns too."""
    return Day(
        id=row["id"],
        club_id=row["club_id"],
        date=date.fromisoformat(row["date"]),
        puzzle=puzzle_of(row, "puzzle_id"),
        lines=(row["first_line"], row["second_line"]),
        sealed=bool(row["sealed"]),
        due_at=moment_of(row["due_at"]),
        closes_at=moment_of(row["closes_at"]),
        posted_at=moment_or_none(row["posted_at"]),
        post_ref=row["post_ref"],
        is_closed=bool(row["is_closed"]),
        edition=row["edition"],
        theme=row["theme"],
        is_void=bool(row["is_void"]),
    )


def day_values(day: Day) -> dict[str, Any]:
    """Return the columns of a day without its id and puzzle."""
    return {
        "club_id": day.club_id,
        "date": day.date.isoformat(),
        "first_line": day.lines[0],
        "second_line": day.lines[1],
        "sealed": int(day.sealed),
        "due_at": ms_of(day.due_at),
        "closes_at": ms_of(day.closes_at),
        "posted_at": ms_or_none(day.posted_at),
        "post_ref": day.post_ref,
        "is_closed": int(day.is_closed),
        "edition": day.edition,
        "theme": day.theme,
    }


_ENTRY_JSON = ("board", "history", "undone", "known", "hint")


def _texts_of(row: sqlite3.Row) -> dict[str, Any]:
    """Return the JSON columns of an entry but the charges, as this version has them."""
    texts = {name: row[name] for name in _ENTRY_JSON}
    if upgrades := upgrades_from(row["version"]):
        kept = {name: text and msgspec.json.decode(text) for name, text in texts.items()}
        for upgrade in upgrades:
            kept = upgrade.entry(kept)
        texts = {name: None if kept[name] is None else json_of(kept[name]) for name in _ENTRY_JSON}
    return texts


def entry_of(row: sqlite3.Row) -> MemberSolve:
    """Read a row of `entry`, its JSON brought up to today's shape."""
    texts = _texts_of(row)
    return MemberSolve(
        id=row["id"],
        day_id=row["day_id"],
        member_id=row["member_id"],
        board=_BOARD.decode(texts["board"]),
        started_at=moment_or_none(row["started_at"]),
        history=_HISTORY.decode(texts["history"]),
        undone=_HISTORY.decode(texts["undone"]),
        known=_KNOWN.decode(texts["known"]),
        hint=None if texts["hint"] is None else _HINT.decode(texts["hint"]),
        charges=charges_of(row),
        tries=row["tries"],
        finished_at=moment_or_none(row["finished_at"]),
        is_late=bool(row["is_late"]),
        verdict=row["verdict"],
        reason=row["reason"],
    )


def charges_of(row: sqlite3.Row) -> tuple[Charge, ...]:
    """Read the charges of a row that has an entry's charges and version."""
    text = row["charges"]
    if upgrades := upgrades_from(row["version"]):
        kept = msgspec.json.decode(text, type=list[dict[str, Any]])
        for upgrade in upgrades:
            kept = [upgrade.charge(charge) for charge in kept]
        text = json_of(kept)
    return _CHARGES.decode(text)


def entry_values(entry: MemberSolve) -> dict[str, Any]:
    """Return the columns of an entry without its id and its member."""
    return {
        "version": VERSION,
        "day_id": entry.day_id,
        "started_at": ms_or_none(entry.started_at),
        "finished_at": ms_or_none(entry.finished_at),
        "is_late": int(entry.is_late),
        "tries": entry.tries,
        "verdict": entry.verdict,
        "reason": entry.reason,
        "charges": json_of(entry.charges),
        "board": json_of(entry.board),
        "history": json_of(entry.history),
        "undone": json_of(entry.undone),
        "known": json_of(entry.known),
        "hint": None if entry.hint is None else json_of(entry.hint),
    }
