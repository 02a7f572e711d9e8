"""Readers of what a leader asks the club: about what, and until when."""

from __future__ import annotations

import re
from datetime import date
from itertools import islice

from bot.club.acts import Act
from bot.club.asked import Marking
from bot.club.clock import parse_post_time
from bot.club.planning_questions import DropQuestion, PlanQuestion
from bot.club.problems import Problem
from bot.club.putting_questions import PutQuestion
from bot.club.until import Until
from bot.commands.arguments import (
    ArgumentError,
    read_candidates,
    read_date,
    read_weekday,
    take_date,
    take_sure,
)
from bot.commands.rows import Fields
from engine import CLASSIC, RANKS, holds_grid

UNTIL = "until"
ON = "on"
_EVERY = re.compile(r"(?<!\S)every\s*=\s*(\S*)", re.IGNORECASE)
_DROPS = ("drop", "cancel", "remove", "stop")
_MARKED = re.compile(r"(?<!\S)mark\s*=\s*(\S*)", re.IGNORECASE)
_MARKINGS: dict[str, Marking] = {
    "none": "none", "nothing": "none", "no": "none",
    "house": "house",
    "pattern": "pattern", "cells": "pattern", "all": "pattern",
}  # fmt: skip
MARKINGS = ("none", "house", "pattern")
_STRUCK = "--removed"
_LONGEST = max(each.count("-") for each in RANKS) + 1
_HOUR = re.compile(r"[0-9]{1,2}:[0-9]{2}")
_DAYS_ON = {"today": 0, "tonight": 0, "tomorrow": 1}
_DAILY = ("daily", "puzzle")
_PASSED_OVER = ("at", "on", "next", "the", "of", "every")


def read_asking(rest: str, fields: Fields) -> Act:
    """Read what to ask, and whether it is planned: `every=wednesday`, `on=friday`; or what is taken
    out of the plan: `drop wednesday`. Raises ArgumentError."""
    weekday, rest = _take_every(rest)
    when, rest = _take_time(rest, ON)
    if weekday is not None:
        when = Until(weekday=weekday)
    words = rest.split()
    if words and (words[0].lower() in _DROPS or words[-1].lower() in _DROPS):
        named = words[1:] if words[0].lower() in _DROPS else words[:-1]
        return DropQuestion(when or _read_time(" ".join(named)))
    question = _read_question(rest, fields)
    if when is None:
        return question
    if question.day is not None:
        raise ArgumentError(Problem.PLANNED_DAY, question.day.isoformat())
    return PlanQuestion(question, when, weekday is not None)


def _take_every(text: str) -> tuple[int | None, str]:
    """Take `every=wednesday` out of a text; return the weekday, and the rest as it stood."""
    found = _EVERY.search(text)
    if found is None:
        return None, text
    weekday = read_weekday(found[1].lower())
    if weekday is None:
        raise ArgumentError(Problem.EVERY, found[1])
    return weekday, text[: found.start()] + text[found.end() :]


def _read_question(rest: str, fields: Fields) -> PutQuestion:
    """Read `naked-triple until=friday`, `2026-11-24 mark=none`, or a grid. Raises ArgumentError."""
    until, rest = _take_time(rest, UNTIL)
    mark, rest = _take_marking(rest)
    without, sure = take_sure(rest)
    technique, rest = take_technique(without if sure else rest)
    pasted, struck = _take_struck(fields.get("grid", rest))
    if holds_grid(pasted) or len(pasted) >= CLASSIC.cell_count:
        return PutQuestion(technique, None, until, mark, pasted, struck, sure=sure)
    day, text = take_date(rest)
    if text.strip() or struck:
        raise ArgumentError(Problem.NO_FIND, text.strip())
    return PutQuestion(technique, day, until, mark, sure=sure)


def take_technique(text: str) -> tuple[str, str]:
    """Take a technique's name off the start of a text; return it or nothing, and the rest."""
    words = list(islice(re.finditer(r"[^\s_-]+", text), _LONGEST))
    for count in range(len(words), 0, -1):
        name = "-".join(word[0].lower() for word in words[:count])
        if name in RANKS:
            return name, text[words[count - 1].end() :]
    return "", text


def _take_struck(text: str) -> tuple[str, tuple[tuple[str, int], ...]]:
    """Take what is struck off the end of a position, as a leader has it to copy."""
    grid, found, struck = text.partition(_STRUCK)
    return grid, read_candidates(struck.strip().strip("'\"")) if found else ()


def _take_time(text: str, label: str) -> tuple[Until | None, str]:
    """Take `until=friday 20:00` out of a text; return it, and the rest as it stood."""
    found = re.search(rf"(?<!\S){label}\s*=\s*", text, re.IGNORECASE)
    if found is None:
        return None, text
    until, length = _time_at_start(text[found.end() :])
    if until is None:
        raise ArgumentError(Problem.UNTIL, text[found.end() :].partition("\n")[0].strip())
    return until, text[: found.start()] + text[found.end() + length :]


def _read_time(text: str) -> Until | None:
    """Read a time that is all of a text, None where there is no text."""
    if not text:
        return None
    until, length = _time_at_start(text)
    if until is None or length < len(text):
        raise ArgumentError(Problem.UNTIL, text)
    return until


def _time_at_start(text: str) -> tuple[Until | None, int]:
    """Return the time that a text begins with, and how much of the text it is."""
    until, length, is_told = Until(), 0, False
    for word in re.finditer(r"\S+", text):
        plain = word[0].lower().strip(",.\"'")
        if plain not in _PASSED_OVER:
            more = _with_word(until, plain)
            if more is None:
                break
            until, is_told = more, True
        length = word.end()
    return (until if is_told else None), length


def _take_marking(text: str) -> tuple[Marking, str]:
    """Take `mark=pattern` out of a text; return what is to be marked, and the rest."""
    found = _MARKED.search(text)
    if found is None:
        return "house", text
    marking = _MARKINGS.get(found[1].lower())
    if marking is None:
        raise ArgumentError(Problem.MARKING, found[1])
    return marking, text[: found.start()] + text[found.end() :]


def _with_word(until: Until, word: str) -> Until | None:
    """Return the time with one more word of it told; None for a word that is none of it."""
    if _HOUR.fullmatch(word) and not until.hour:
        try:
            hour = parse_post_time(word)
        except ValueError:
            raise ArgumentError(Problem.UNTIL, word) from None
        return Until(until.on, until.weekday, until.days, f"{hour:%H:%M}")
    if until.has_day:
        return None
    if word in _DAILY:
        return until
    weekday = read_weekday(word)
    if weekday is not None:
        return Until(weekday=weekday, hour=until.hour)
    if word in _DAYS_ON:
        return Until(days=_DAYS_ON[word], hour=until.hour)
    try:
        day: date = read_date(word)
    except ArgumentError:
        return None
    return Until(on=day, hour=until.hour)
