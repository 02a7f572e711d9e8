"""Replies that say no: what was wrong with an act, in facts. Nothing was changed."""

from __future__ import annotations

from datetime import datetime

from bot.club.reply import Reply


class CommandUnknown(Reply, frozen=True, kw_only=True):
    """`nearest` is the known command that looks most like it, if one does."""

    text: str
    nearest: str | None


class InputRefused(Reply, frozen=True, kw_only=True):
    """An argument is wrong. Nothing was changed. `typed`: a puzzle as typed, to be mended.

    `problem` is one of: `cell`, `digit`, `house`, `mark` (not a cell=digit mark), `row`, `date`,
    `period`, `topic`, `length` (found, expected), `character` (text), `repeated` (digit, house,
    cells), `given` (cells, digit: a given cannot be changed), `filled` (cells), `missing`
    (text names the argument), `no-solution`, `many-solutions` (cells differ), `setting`, `value`
    (text is the setting's name and value), `uniqueness` (text is a theme that takes one solution
    for granted, which the club does without), `member` (nobody of that name), `no-result`,
    `too-hard` (the ladder gets stuck), `complete` (every cell is filled), `repeat-puzzle` (the club
    has had it: text is the date, digit 1 where it was disguised; or it waits: no text),
    `surplus` (text left over), `days` (expected at most), `level`, `plan` (a word of a plan),
    `wish` (text is its name and value), `no-day` (no day is planned for the level in text),
    `queue-place` (found wait), `not-coming` (no day to come has this date), `own-puzzle` (the
    leader queued one for the date), `passed` (the date in text is over), `not-early` (no puzzle is
    up before its time, and text is the date, if one was named; or found are, and text has their
    dates), `no-other` (nothing in stock to swap for), `too-many` (puzzles at once: found, expected
    at most), `too-long` (characters: found, expected at most), `no-time` (working it out takes
    longer than anybody waits).
    """

    command: str
    problem: str
    text: str = ""
    found: int = 0
    expected: int = 0
    digit: int = 0
    house: str = ""
    cells: tuple[str, ...] = ()
    typed: str = ""


class LeadersOnly(Reply, frozen=True, kw_only=True):
    command: str


class NoPuzzleOpen(Reply, frozen=True, kw_only=True):
    next_at: datetime | None
    zone: str
    paused: bool


class ClockNotStarted(Reply, frozen=True, kw_only=True):
    """The command needs a running clock; `command` is the line to repeat after starting."""

    command: str
    sealed: bool


class ClockDoubted(Reply, frozen=True, kw_only=True):
    """Our clock, or the act's stamp, is far ahead of what is known; it may be wrong."""

    at: datetime
    zone: str


class WentWrong(Reply, frozen=True, kw_only=True):
    """Something of ours failed; nothing was changed. `reference` is in the host's log."""

    reference: str


class Busy(Reply, frozen=True, kw_only=True):
    """Too many acts at once from this member; nothing was changed."""
