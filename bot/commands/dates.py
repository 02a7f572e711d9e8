"""Dates as people write them, put into a line as `2026-11-24` for the readers of commands.

`24 November 2026`, `24 Nov`, `Nov 24`, `24.11.`, `Tuesday 24 November`, `tuesday`, `yesterday`. A
date without a year is the nearest one on the side that a command is about, days to come or days
past. What may be two dates (`3/4`, `next Tuesday` on a Monday) is none.
"""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, timedelta

_MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_SHORT_WEEKDAYS = {"tues": 1, "weds": 2, "thur": 3, "thurs": 3}
_AWAY = {"today": 0, "tonight": 0, "yesterday": -1, "tomorrow": 1}
_WORD = re.compile(r"[^\s,]+")
_WHOLE = re.compile(r"(20[0-9]{2})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})")
_DOTTED = re.compile(r"([0-9]{1,2})\.([0-9]{1,2})\.((?:20)?[0-9]{2})?")
_SLASHED = re.compile(r"([0-9]{1,2})/([0-9]{1,2})(?:/((?:20)?[0-9]{2}))?")
_DAY = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th|\.)?")
_YEAR = re.compile(r"20[0-9]{2}")
_LONGEST = 6
"""Words of a date: `Tuesday the 24th of November 2026`."""

_SHORTEST_MONTH = 3
_MOST_MONTHS = len(_MONTHS)
_KEPT_LABEL = "from"
_LABELS = ("date", _KEPT_LABEL)


_BEFORE = ("on", "for", "from", "of")


@dataclass(frozen=True, slots=True)
class Calendar:
    """What a date is read against: the club's `today`, and whether a command is about days to come.

    `takes_words`: words such as `tuesday` are dates, not part of what somebody says.
    `takes_labelled`: nothing but what stands behind `date=` or `from=` is a date.
    """

    today: date
    is_ahead: bool = False
    takes_words: bool = True
    takes_labelled: bool = False


def write_dates(text: str, calendar: Calendar) -> str:
    """Return a text with the first date in it written as `2026-11-24`; as it is where there is
    none."""
    words = list(_WORD.finditer(text))
    plain = [word[0].lower() for word in words]
    for place, word in enumerate(plain):
        label, equals, value = word.rpartition("=")
        is_labelled = label in _LABELS
        if not is_labelled and (equals or calendar.takes_labelled):
            continue
        said = [value, *plain[place + 1 : place + _LONGEST]]
        found = _longest(said, calendar, is_labelled=is_labelled)
        if found is not None:
            on_date, count = found
            kept = len(value) if label == _KEPT_LABEL else len(word)
            start, end = words[place].end() - kept, words[place + count - 1].end()
            if calendar.takes_words and not is_labelled and place and plain[place - 1] in _BEFORE:
                start = words[place - 1].start()
            return f"{text[:start]}{on_date.isoformat()}{text[end:]}"
    return text


def write_period(text: str, today: date) -> str:
    """Return `November 2026`, `november`, `week 48` or a date as a period's name; else the text.

    A month or week without a year is the last that has begun.
    """
    words = text.lower().split()
    year = int(words[-1]) if len(words) > 1 and _YEAR.fullmatch(words[-1]) else None
    match words[: -1 if year else None]:
        case [word] if (month := _month(word)) is not None:
            year = year or today.year - (month > today.month)
            return f"{year}-{month:02}"
        case ["week", number] if number.isdecimal() and len(number) <= 2:
            this_year, this_week, _ = today.isocalendar()
            year = year or this_year - (int(number) > this_week)
            return f"{year}-W{int(number):02}"
    return write_dates(text, Calendar(today))


def _longest(texts: list[str], calendar: Calendar, *, is_labelled: bool) -> tuple[date, int] | None:
    """Return the date that the most of the words say together, and how many they are."""
    for count in range(len(texts), 0, -1):
        said = texts[:count]
        on_date = _date_of(said, calendar)
        is_of_numbers = any(mark.isdecimal() for text in said for mark in text)
        if on_date is not None and (is_of_numbers or is_labelled or calendar.takes_words):
            return on_date, count
    return None


def _date_of(texts: list[str], calendar: Calendar) -> date | None:
    weekday = _weekday(texts[0])
    if weekday is not None and len(texts) > 1:
        on_date = _date_of(texts[1:], calendar)
        return on_date if on_date is not None and on_date.weekday() == weekday else None
    match texts:
        case [word] if word in _AWAY:
            return calendar.today + timedelta(days=_AWAY[word])
        case [_] if weekday is not None:
            return _nearest_weekday(weekday, calendar.today, is_ahead=calendar.is_ahead)
        case ["last", word] if (weekday := _weekday(word)) is not None:
            yesterday = calendar.today - timedelta(days=1)
            return _nearest_weekday(weekday, yesterday, is_ahead=False)
        case [word]:
            return _in_numbers(word, calendar.today)
    return _spelled([text for text in texts if text not in ("the", "of")], calendar.today)


def _nearest_weekday(weekday: int, today: date, *, is_ahead: bool) -> date:
    days = (weekday - today.weekday()) % 7
    return today + timedelta(days=days if is_ahead or not days else days - 7)


def _weekday(word: str) -> int | None:
    plain = word.rstrip(".")
    for number, name in enumerate(_WEEKDAYS):
        if plain in (name, name[:3]):
            return number
    return _SHORT_WEEKDAYS.get(plain)


def _month(word: str) -> int | None:
    plain = word.rstrip(".")
    if len(plain) < _SHORTEST_MONTH:
        return None
    return next((number for number, name in enumerate(_MONTHS, 1) if name.startswith(plain)), None)


def _in_numbers(word: str, today: date) -> date | None:
    if found := _WHOLE.fullmatch(word):
        return _date(found[1], int(found[2]), found[3], today)
    if found := _DOTTED.fullmatch(word):
        return _date(found[3], int(found[2]), found[1], today)
    if found := _SLASHED.fullmatch(word):
        one, other = int(found[1]), int(found[2])
        if one > _MOST_MONTHS or one == other:
            return _date(found[3], other, found[1], today)
        if other > _MOST_MONTHS:
            return _date(found[3], one, found[2], today)
    return None


def _spelled(texts: list[str], today: date) -> date | None:
    year = texts[-1] if len(texts) > 2 else None
    if len(texts) not in (2, 3) or (year and not _YEAR.fullmatch(year)):
        return None
    for day, month in (texts[:2], texts[1::-1]):
        found, number = _DAY.fullmatch(day), _month(month)
        if found and number:
            return _date(year, number, found[1], today)
    return None


def _date(year: str | None, month: int, day: str, today: date) -> date | None:
    """Return a date; without a year the nearest one. None where there is no such date."""
    years = [int(year) % 100 + 2000] if year else range(today.year - 4, today.year + 5)
    dates = []
    for each in years:
        with suppress(ValueError):
            dates.append(date(each, month, int(day)))
    return min(dates, key=lambda each: abs(each - today), default=None)
