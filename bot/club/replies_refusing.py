"""Replies that say no: what was wrong with an act, in facts. Nothing was changed."""

from __future__ import annotations

from datetime import date, datetime

from bot.club.problems import Problem
from bot.club.reply import Reply


class CommandUnknown(Reply, frozen=True, kw_only=True):
    """`nearest` is the known command that looks most like it, if one does."""

    text: str
    nearest: str | None


class InputRefused(Reply, frozen=True, kw_only=True):
    """An argument is wrong. Nothing was changed.

    `problem` says which of the other fields tell of it. `typed`: a puzzle as typed, to be mended.
    """

    command: str
    problem: Problem
    text: str = ""
    found: int = 0
    expected: int = 0
    digit: int = 0
    house: str = ""
    cells: tuple[str, ...] = ()
    is_disguised: bool = False
    typed: str = ""


class LeadersOnly(Reply, frozen=True, kw_only=True):
    """Only leaders may give this command."""

    command: str


class NoPuzzleOpen(Reply, frozen=True, kw_only=True):
    """No puzzle is open; `next_at` is None where none is planned. `asked_on`: the club's date."""

    next_at: datetime | None
    zone: str
    paused: bool
    asked_on: date | None = None


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
