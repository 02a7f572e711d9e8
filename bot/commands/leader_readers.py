"""Turns the rest of a leader's command line into its act, as `act_readers` does for members."""

from __future__ import annotations

import re

from bot.club.acts import (
    Act,
    PauseClub,
    PlanWeek,
    PreviewDays,
    QueuePuzzle,
    RuleResult,
    SetUpClub,
    ShowReport,
    ShowTurning,
    SwapPuzzle,
    UnqueuePuzzle,
    WithdrawDay,
)
from bot.commands.act_readers import Fields
from bot.commands.arguments import (
    ArgumentError,
    read_date,
    read_level,
    read_optional_date,
    read_pairs,
    read_plan_words,
    take_date,
    take_level,
)

MOST_DAYS = 14
"""So many days are previewed at most."""


def read_settings(rest: str, fields: Fields) -> Act:
    return SetUpClub(read_pairs(rest))


def read_plan(rest: str, fields: Fields) -> Act:
    return PlanWeek(*read_plan_words(rest))


def read_queue(rest: str, fields: Fields) -> Act:
    found = re.fullmatch(r"(?:remove|drop|take)\s+(?:number\s+)?([0-9]{1,3})", rest.strip().lower())
    if found:
        return UnqueuePuzzle(int(found[1]))
    text, _, credit = rest.partition("credit=")
    day, text = take_date(text)
    level, text = take_level(text)
    if fields.get("date", "").strip():
        when = fields["date"].strip()
        level, day = (read_level(when), None) if len(when) == 1 else (None, read_date(when))
    return QueuePuzzle(
        fields.get("grid", text).strip(),
        day,
        fields.get("credit", credit).strip().strip("\"'"),
        level,
    )


def read_preview(rest: str, fields: Fields) -> Act:
    word = rest.strip()
    if word.isdecimal() and len(word) <= 2:
        if 1 <= int(word) <= MOST_DAYS:
            return PreviewDays(count=int(word))
        raise ArgumentError("days", word, expected=MOST_DAYS)
    day = read_optional_date(word)
    return PreviewDays() if day is None else PreviewDays(day, count=1)


def read_swap(rest: str, fields: Fields) -> Act:
    return SwapPuzzle(read_optional_date(rest))


def read_turning(rest: str, fields: Fields) -> Act:
    """Read `2026-11-30 theme=naked triple`: what stands behind the theme belongs to it."""
    date, _, theme = rest.partition("theme=")
    return ShowTurning(read_optional_date(date), fields.get("theme", theme).strip())


def read_withdrawal(rest: str, fields: Fields) -> Act:
    words = rest.split()
    sure = [word for word in words if word.lower() == "sure"]
    day = read_optional_date(" ".join(word for word in words if word not in sure))
    return WithdrawDay(day, sure=bool(sure))


def read_pause(rest: str, fields: Fields) -> Act:
    if rest.lower() not in ("", "on", "off"):
        raise ArgumentError("surplus", rest)
    return PauseClub(on=rest.lower() != "off")


def read_report(rest: str, fields: Fields) -> Act:
    return ShowReport(read_optional_date(rest))


def read_ruling(rest: str, fields: Fields) -> Act:
    day, text = take_date(rest)
    found = re.search(r"(?:^|\s)(accept|unrank|restore)(?=\s|$)", text, re.IGNORECASE)
    if not found:
        raise ArgumentError("missing", "verdict")
    member, reason = text[: found.start()].strip(), text[found.end() :].strip()
    if not member:
        raise ArgumentError("missing", "member")
    if not reason:
        raise ArgumentError("missing", "reason")
    match found[1].lower():
        case "accept":
            return RuleResult(member, "accept", reason, day)
        case "unrank":
            return RuleResult(member, "unrank", reason, day)
    return RuleResult(member, "restore", reason, day)
