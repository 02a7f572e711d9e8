"""Words for tables. Names in them come from outside and are made safe."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.club.clock import Period
from bot.club.facts import Praise, Table, TableRow
from bot.club.periods import format_period
from bot.club.replies import PeriodEnded, TableShown
from bot.platforms.message import Button, Message
from bot.wording.buttons import Phrases
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import clean_name, count_of, join_words, opening_name, paragraphs, sentences
from bot.wording.times import (
    format_date,
    format_full_date,
    format_length,
    format_month,
    format_short_date,
)

FIRST = 10
"""So many lines of a table stand in a post; the others are a button away."""


def table_title(table: Table) -> str:
    """Say what the table covers: `The week of 23 to 29 November 2026`."""
    if table.period == "week" and table.first and table.last:
        first = format_short_date(table.first)
        if table.first.month == table.last.month:
            first = str(table.first.day)
        return f"The week of {first} to {format_full_date(table.last)}"
    if table.period == "month" and table.first:
        return f"The table for {format_month(table.first)}"
    if table.period == "day" and table.first:
        return f"The results of {format_date(table.first)}"
    return "The all-time table"


def _time_of(row: TableRow) -> str:
    """Say a time once where nothing was added to it."""
    length = format_length(row.adjusted)
    if row.adjusted == row.raw:
        return length
    return f"{length} adjusted ({format_length(row.raw)} on the clock)"


def _row_line(row: TableRow, period: str) -> str:
    name = opening_name(row.name)
    if not row.rank:
        return f"{name}: {count_of(row.late, 'late answer')}, not ranked"
    facts = [
        _time_of(row),
        count_of(row.hints, "hint") if row.hints else "no hints",
    ]
    if period == "day":
        if row.wrong:
            facts.append(count_of(row.wrong, "wrong answer"))
    else:
        facts.insert(0, f"{row.solved} solved")
        if row.late:
            facts.append(f"{row.late} late")
        if row.streak > 1:
            facts.append(f"{row.streak} days in a row")
    return f"{row.rank}. {name}: {', '.join(facts)}"


def table_lines(table: Table) -> tuple[str, ...]:
    """Return one line for each row; equal results carry the same number."""
    return tuple(_row_line(row, table.period) for row in table.rows)


def improved_sentence(table: Table) -> str:
    """Say who improved most; nothing where nobody did."""
    if not table.most_improved:
        return ""
    return f"Most improved: {join_words(clean_name(name) for name in table.most_improved)}."


def _table_shown(reply: TableShown) -> Message:
    table = reply.table
    rows = table_lines(table)
    title = table_title(table)
    if not rows:
        is_over = bool(reply.current and table.last and table.last < reply.current)
        title = f"{title}: no results{'' if is_over else ' yet'}"
    order = "Order: puzzles solved, then total adjusted time; late answers do not rank."
    return Message(
        text=paragraphs(
            f"{title}.",
            "\n".join(rows),
            sentences(_own_place(reply), improved_sentence(table), order if rows else ""),
        ),
        buttons=(*_beside(reply), *_under_way(reply)),
    )


def _own_place(reply: TableShown) -> str:
    """Say where who asked stands; nothing where they do not rank."""
    if reply.own is None:
        return ""
    ranked = sum(row.rank > 0 for row in reply.table.rows)
    return f"You are number {reply.own.rank} of {ranked}."


def first_lines(table: Table) -> tuple[str, ...]:
    """Return the first FIRST lines of a table, and how many more there are."""
    lines = table_lines(table)
    more = len(lines) - FIRST
    return (*lines[:FIRST], f"… and {more} more.") if more > 0 else lines


def _beside(reply: TableShown) -> list[Button]:
    """The buttons to the nearest tables of the same kind."""
    asked: Sequence[tuple[str, date | None]] = (("Earlier", reply.earlier), ("Later", reply.later))
    return [
        Button(label, f"leaderboard {format_period(reply.table.period, day)}")
        for label, day in asked
        if day is not None
    ]


def _under_way(reply: TableShown) -> list[Button]:
    """The buttons to the tables under way, but for the one that is shown."""
    table, now = reply.table, reply.current
    is_now = not (table.first and table.last and now) or table.first <= now <= table.last
    shown = table.period if is_now else ""
    labels: Sequence[tuple[Period, str]]
    labels = (("week", "This week"), ("month", "This month"), ("all", "All time"))
    return [
        Button(label, f"leaderboard {format_period(period, now) if now else period}")
        for period, label in labels
        if period != shown
    ]


def praise_sentence(praise: Praise | None) -> str:
    """Say what was good in a period; nothing where nothing stands out."""
    if praise is None:
        return ""
    who = join_words(map(clean_name, praise.names))
    each = " each" if len(praise.names) > 1 else ""
    match praise.kind:
        case "improved":
            return f"Most improved: {who}."
        case "level":
            return f"A first for {who}: a puzzle of level {praise.level} solved."
        case "new":
            return f"Welcome to the table: {who}."
        case "hints":
            helped = count_of(praise.hints, "hint") if praise.hints else "none"
            solved = count_of(praise.solved, "puzzle")
            return f"Fewest hints: {who}, with {helped}{each} in {solved}."


def _period_ended(reply: PeriodEnded) -> Message:
    table = reply.table
    rows = table_lines(table)
    what = "This is the final table." if rows else "There are no results left."
    mended = "It has changed since it first went up." if reply.is_mended else ""
    earlier = (
        [Button("Earlier", f"leaderboard {format_period(table.period, reply.earlier)}")]
        if reply.earlier
        else []
    )
    return Message(
        text=paragraphs(
            sentences(_over(table), what, mended),
            "\n".join(first_lines(table)),
            praise_sentence(reply.praise),
        ),
        buttons=(*earlier, Button("All time", "leaderboard all")),
    )


def _over(table: Table) -> str:
    """Say which period is over: `November 2026 is over.`"""
    if table.period == "month" and table.first:
        return f"{format_month(table.first)} is over."
    return f"{table_title(table)} is over."


PHRASES: Phrases = {TableShown: _table_shown, PeriodEnded: _period_ended}

COMMANDS: Commands = {
    "leaderboard": CommandWords(
        purpose="Show the table of a week, a month, a day or all time.",
        example="leaderboard month",
        help=(
            "leaderboard shows the week's table; leaderboard month and leaderboard all show the "
            "others. leaderboard last is last week's. You can name any week, month or day: "
            "leaderboard 2026-W48, leaderboard 2026-12, leaderboard 2026-12-27. Equal results "
            "share a rank."
        ),
        overview=("leaderboard", "the table"),
        options={"period": "Which table"},
    ),
}
