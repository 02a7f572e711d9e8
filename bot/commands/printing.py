"""Reads what a leader wants on paper."""

from __future__ import annotations

import re
from typing import Literal, cast, get_args

from bot.club.acts import Act
from bot.club.exercises import practised_techniques
from bot.club.facts_sheets import MOST_A_PAGE, Answers, PaperSize
from bot.club.printing import SHEET, PrintSheet
from bot.club.problems import Problem
from bot.commands.arguments import ArgumentError, read_date
from bot.commands.asking import take_technique
from bot.commands.rows import Command, Fields, Kind, Parameter

_OPTION = re.compile(r"(?<!\S)(per-page|paper|answers)\s*=\s*(\S+)", re.IGNORECASE)
_PRACTICE = re.compile(r"(?<!\S)practice\s*=\s*", re.IGNORECASE)
_COUNTS = tuple(map(str, range(1, MOST_A_PAGE + 1)))
_PAPERS = tuple(each.value for each in PaperSize)
_CHOICES = {"per-page": _COUNTS, "paper": _PAPERS, "answers": get_args(Answers)}


def read_sheet(rest: str, fields: Fields) -> Act:
    """Read `next per-page=4 paper=letter answers=below`. Raises ArgumentError."""
    technique, rest = _take_practice(rest)
    chosen = {name.lower(): value.lower() for name, value in _OPTION.findall(rest)}
    for name, value in chosen.items():
        if value not in _CHOICES[name]:
            raise ArgumentError(Problem.SHEET, f"{name}={value}")
    named = _OPTION.sub("", rest).strip().lower()
    week = _WEEKS.get(named)
    return PrintSheet(
        week=read_date(named) if week is None else week,
        paper=PaperSize(chosen.get("paper", PaperSize.A4)),
        a_page=int(chosen.get("per-page", "2")),
        answers=cast(Answers, chosen.get("answers", "last")),
        practice=technique,
    )


def _take_practice(rest: str) -> tuple[str, str]:
    """Return the technique behind `practice=`, in one word or several, and what else was said."""
    found = _PRACTICE.search(rest)
    if found is None:
        return "", rest
    technique, after = take_technique(rest[found.end() :])
    if technique not in practised_techniques():
        raise ArgumentError(Problem.NO_EXERCISE, rest[found.end() :].strip())
    return technique, rest[: found.start()] + after


_WEEKS: dict[str, Literal["this", "next"]] = {
    **dict.fromkeys(("", "this", "week", "this week"), "this"),
    **dict.fromkeys(("next", "next week"), "next"),
}

SHEET_ROW = Command(
    "club sheet",
    read_sheet,
    (SHEET,),
    (
        Parameter("week", Kind.COMING_DATE, "next", words=("this", "next")),
        Parameter("per-page", Kind.CHOICE, "4", _COUNTS, is_named=True),
        Parameter("paper", Kind.CHOICE, "letter", _PAPERS, is_named=True),
        Parameter("answers", Kind.CHOICE, "below", get_args(Answers), is_named=True),
        Parameter("practice", Kind.TECHNIQUE, "naked-triple", is_named=True),
    ),
    leaders_only=True,
)
