"""Reads the arguments of a command line: marks, rows, dates, grids and the like.

Forgiving about spaces, commas and case, strict about what is meant: what cannot be read raises
ArgumentError with the facts for the answer. Nothing here knows the day, the board or the rights.
What is typed may be meant to hold us up, so no reader takes longer than the text is long: no
pattern has a repetition that another one behind it, or a new start, could read again.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from string import ascii_letters
from typing import Literal

from bot.club.problems import Missing, Problem
from bot.club.state import MARK
from engine import CLASSIC, LADDER, House, errors

_DATE = re.compile(r"(?<![0-9-])20[0-9]{2}-[0-9]{1,2}-[0-9]{1,2}(?![0-9-])")
_YEAR = re.compile(r"20[0-9]{2}")
_DATE_LABEL = "date"
_CELL = re.compile(r"r[0-9]{1,3}c[0-9]{1,3}")
_HOUSE = re.compile(r"\b(row|column|col|box|block)\s*([0-9]{1,3})\b")
_LEVEL = re.compile(r"\blevel(?:\s*=\s*|\s+)([0-9]+)\b", re.IGNORECASE)
_SURE = re.compile(r"(?<!\S)sure(?!\S)", re.IGNORECASE)
_PUZZLE_MARK = re.compile(rf"{MARK}[0-9a-f]{{10}}\Z")
_NAME_MARKS = ascii_letters + "_-"

RUB_OUT = ("0", ".", "_", "-")
ROW_BLANKS = ".0_*-?"
ELLIPSIS, ELLIPSIS_BLANKS = "…", "..."
EN_DASH = "\u2013"


class ArgumentError(Exception):
    """An argument is wrong. `problem` and the rest as in `replies.InputRefused`."""

    def __init__(
        self, problem: Problem, text: str = "", *, found: int = 0, expected: int = 0
    ) -> None:
        super().__init__(f"{problem}: {text}")
        self.problem = problem
        self.text = text
        self.found = found
        self.expected = expected


def _words_of_marks(text: str) -> list[str]:
    """Split `r4c5=7, r6c1 2` into cells and digits."""
    spaced = re.sub(r"[=:,;]+", " ", text.lower())
    return spaced.split()


def read_cell(text: str) -> str:
    """Return a cell's name."""
    try:
        if _CELL.fullmatch(text):
            return CLASSIC.format_cell(CLASSIC.parse_cell(text))
    except errors.CellNameError:
        pass
    raise ArgumentError(Problem.CELL, text)


def read_digit(text: str) -> int:
    """Read one digit from 1 to 9. Raises ArgumentError."""
    if len(text) == 1 and text in CLASSIC.marks:
        return int(text)
    raise ArgumentError(Problem.DIGIT, text)


def read_marks(text: str) -> tuple[tuple[str, int], ...]:
    """Read `r4c5 7 r6c1 2` or `r4c5=7`; `0` or `.` rubs out."""
    words = _words_of_marks(text)
    if not words:
        raise ArgumentError(Problem.MISSING, Missing.MARKS)
    marks = []
    for place in range(0, len(words), 2):
        cell = _cell_or_mark(words[place], text)
        if place + 1 == len(words):
            raise ArgumentError(Problem.MARK, words[place])
        mark = words[place + 1]
        marks.append((cell, 0 if mark in RUB_OUT else read_digit(mark)))
    return tuple(marks)


def _cell_or_mark(word: str, text: str) -> str:
    if not re.match(r"r?[0-9]|r[0-9]*c", word):
        raise ArgumentError(Problem.MARK, text.strip())
    return read_cell(word)


def read_candidates(text: str) -> tuple[tuple[str, int], ...]:
    """Read `r4c5 1 4 r6c1 2` (or `r4c5 14`)."""
    words = _words_of_marks(text)
    if not words:
        raise ArgumentError(Problem.MISSING, Missing.CANDIDATES)
    found: list[tuple[str, int]] = []
    cell, has_digits = _cell_or_mark(words[0], text), False
    for word in words[1:]:
        if word.startswith("r"):
            if not has_digits:
                raise ArgumentError(Problem.MARK, cell)
            cell, has_digits = read_cell(word), False
        else:
            digits = [read_digit(mark) for mark in word]
            found.extend((cell, digit) for digit in digits)
            has_digits = True
    if not has_digits:
        raise ArgumentError(Problem.MARK, cell)
    return tuple(dict.fromkeys(found))


def read_noted(text: str) -> tuple[str, tuple[int, ...]]:
    """Read `r4c5 1 4`: one cell and its small digits, `r4c5 0` for none."""
    words = text.split()
    if len(words) == 2 and words[1] == "0":
        return read_cell(words[0]), ()
    found = read_candidates(text)
    cell = found[0][0]
    if any(name != cell for name, _ in found):
        raise ArgumentError(Problem.MARK, text)
    return cell, tuple(digit for _, digit in found)


def read_row(text: str) -> tuple[int, tuple[int, ...]]:
    """Read `4 9..714..8`: the row's number and a mark for each cell, 0 where it is open."""
    number, _, rest = text.strip().partition(" ")
    number = number.rstrip(":,")
    if number not in tuple(CLASSIC.marks):
        raise ArgumentError(Problem.ROW, number)
    marks = "".join(rest.replace(ELLIPSIS, ELLIPSIS_BLANKS).split())
    if not marks:
        raise ArgumentError(Problem.MISSING, Missing.DIGITS)
    for mark in marks:
        if mark not in CLASSIC.marks and mark not in ROW_BLANKS:
            raise ArgumentError(Problem.CHARACTER, mark)
    if len(marks) != CLASSIC.size:
        raise ArgumentError(Problem.LENGTH, found=len(marks), expected=CLASSIC.size)
    return int(number), tuple(0 if mark in ROW_BLANKS else int(mark) for mark in marks)


def read_house(text: str) -> House:
    """Read `row 4`, `box 5` and the like. Raises ArgumentError."""
    try:
        return CLASSIC.parse_house(text)
    except errors.CellNameError:
        raise ArgumentError(Problem.HOUSE, text) from None


def take_house(text: str) -> tuple[str | None, str]:
    """Take `box 5` out of a text; return the house's name, and the rest."""
    found = _HOUSE.search(text)
    if not found:
        return None, text
    house = read_house(f"{found[1]} {found[2]}")
    return house.name, text[: found.start()] + " " + text[found.end() :]


def take_date(text: str) -> tuple[date | None, str]:
    """Take a date, `2026-11-24` or `date=2026-11-24`, out of a text; return it, and the rest."""
    found = _DATE.search(text)
    if not found:
        return None, text
    before = _without_label(text[: found.start()])
    return read_date(found[0]), f"{before} {text[found.end() :]}".strip()


def _without_label(text: str) -> str:
    """Take `date` or `date =` off the end of a text, where it is a word of its own."""
    bare = text.rstrip().removesuffix("=").rstrip()
    label = len(bare) - len(_DATE_LABEL)
    is_label = bare[label:].lower() == _DATE_LABEL if label >= 0 else False
    if not is_label or (label > 0 and (bare[label - 1].isalnum() or bare[label - 1] == "_")):
        return text
    return bare[:label]


def read_date(text: str) -> date:
    """Read `2026-11-24`, of a year such as all dates here are of: nothing that is counted from it
    leaves the calendar. Raises ArgumentError."""
    parts = text.strip().split("-")
    if len(parts) == 3 and all(part.isascii() and part.isdecimal() for part in parts):
        year, month, day = parts
        if _YEAR.fullmatch(year) and len(month) <= 2 and len(day) <= 2:
            try:
                return date(int(year), int(month), int(day))
            except ValueError:
                pass
    raise ArgumentError(Problem.DATE, text.strip())


def read_optional_date(text: str) -> date | None:
    """Read a date, None where there is no text. Raises ArgumentError."""
    return read_date(text) if text.strip() else None


def read_date_and_theme(rest: str, named: str | None = None) -> tuple[date | None, str]:
    """Read `2026-11-30 theme=naked triple`: what stands behind the theme belongs to it.

    `named`: the theme, where it comes apart from the line.
    """
    text, _, theme = rest.partition("theme=")
    return read_optional_date(text), (theme if named is None else named).strip()


def looks_like_mark(text: str) -> bool:
    """Say whether a line starts with a cell's name, as `r4c5=7` does without its command."""
    return bool(re.match(r"r[0-9]{1,3}c[0-9]{1,3}(?![0-9a-z])", text.lower()))


def read_pairs(text: str) -> tuple[tuple[str, str], ...]:
    """Read `name=The Slow Club zone=Europe/London`: a value runs to the next name."""
    found = list(_find_names(text))
    before = text[: found[0][0]] if found else text
    if before.strip():
        raise ArgumentError(Problem.SETTING, before.strip())
    ends = [*(start for start, _, _ in found), len(text)][1:]
    return tuple(
        (name.lower().replace("_", "-"), text[begin:end].strip().strip("\"'"))
        for (_, name, begin), end in zip(found, ends, strict=True)
    )


def _find_names(text: str) -> Iterator[tuple[int, str, int]]:
    """Yield where each name before a `=` starts, the name, and where its value begins."""
    begin = 0
    for part in text.split("=")[:-1]:
        bare = part.rstrip()
        name = bare[len(bare.rstrip(_NAME_MARKS)) :].lstrip("_-")
        end = begin + len(part) + 1
        if name:
            yield begin + len(bare) - len(name), name, end
        begin = end


def take_sure(text: str) -> tuple[str, bool]:
    """Take the word `sure` out of a text; return the rest as it stood, and whether it was there."""
    kept = _SURE.sub(" ", text)
    return kept.strip(), kept != text


def take_mark(text: str) -> tuple[str, str]:
    """Take a puzzle's mark off the end of a text; return the rest, and the mark or nothing."""
    found = _PUZZLE_MARK.search(text)
    return (text[: found.start()].strip(), found[0]) if found else (text, "")


def read_level(text: str) -> int:
    """Read a level of the ladder."""
    if len(text) == 1 and text.isdecimal() and 1 <= int(text) <= LADDER[-1].level:
        return int(text)
    raise ArgumentError(Problem.LEVEL, text, expected=LADDER[-1].level)


def take_level(text: str) -> tuple[int | None, str]:
    """Take `level=2` out of a text; return it, and the rest as it stood."""
    found = _LEVEL.search(text)
    if not found:
        return None, text
    return read_level(found[1]), (text[: found.start()] + " " + text[found.end() :]).strip()


_DAY_NAMES = (
    ("mon", "monday"), ("tue", "tuesday"), ("wed", "wednesday"), ("thu", "thursday"),
    ("fri", "friday"), ("sat", "saturday"), ("sun", "sunday"),
)  # fmt: skip
_DAY_GROUPS = {"weekdays": tuple(range(5)), "weekend": (5, 6)}
_SHORT_DAYS = {"tues": 1, "thur": 3, "thurs": 3, "weds": 2}
_WEEK = ("week", "every", "all")
_PLAN_STARTS = ("this", "next")
_DROP = "drop"
_PLAN_SWITCHES = {"rising": "yes", "steady": "no"}


def read_weekday(word: str) -> int | None:
    """Read `mon`, `monday` or `weds`, Monday being 0; None for another word."""
    for number, names in enumerate(_DAY_NAMES):
        if word in names:
            return number
    return _SHORT_DAYS.get(word)


def _weekdays(word: str) -> tuple[int, ...] | None:
    """Read `mon`, `monday` or `mon-thu`; None for another word."""
    if word in _DAY_GROUPS:
        return _DAY_GROUPS[word]
    first, dash, last = word.replace(EN_DASH, "-").partition("-")
    start, end = read_weekday(first), read_weekday(last if dash else first)
    if start is None or end is None:
        return None
    return tuple((start + step) % 7 for step in range((end - start) % 7 + 1))


PlanStart = date | Literal["this", "next"] | None
PlanWords = tuple[tuple[int, ...], tuple[tuple[str, str], ...], PlanStart, bool]


def read_plan_words(text: str) -> PlanWords:
    """Read `mon-wed fri level=2 theme=pointing` or `next week theme=naked-triple rising`.

    Weekdays count from 0 for Monday; none are returned for the week. A theme may be of two words.
    Behind them stand from when on that is, None where nothing says so, and whether a plan is to be
    dropped.
    """
    days: list[int] = []
    pairs: list[tuple[str, list[str]]] = []
    start = ""
    is_week = is_dropped = False
    sides = text.lower().replace(",", " ").split("=")
    for word in "=".join(side.strip() for side in sides).split():
        found, (name, equals, value) = _weekdays(word), word.partition("=")
        if found is not None:
            days.extend(found)
        elif word in _WEEK:
            is_week = True
        elif word in _PLAN_STARTS:
            start = word
        elif word == _DROP:
            is_dropped = True
        elif word in _PLAN_SWITCHES:
            pairs.append(("rising", [_PLAN_SWITCHES[word]]))
        elif equals:
            pairs.append((name.replace("_", "-"), [value] * bool(value)))
        elif pairs and pairs[-1][0] in ("theme", "pattern", "from"):
            pairs[-1][1].append(word)
        else:
            raise ArgumentError(Problem.PLAN, word)
    if days and is_week:
        raise ArgumentError(Problem.PLAN, "week")
    wishes = tuple((name, " ".join(words)) for name, words in pairs if name != "from")
    start = next((" ".join(words) for name, words in pairs if name == "from"), start)
    if is_dropped and (days or wishes):
        raise ArgumentError(Problem.PLAN, _DROP)
    if days and not wishes:
        raise ArgumentError(Problem.MISSING, Missing.WISHES)
    return tuple(sorted(set(days))), wishes, _read_plan_start(start), is_dropped


def _read_plan_start(text: str) -> PlanStart:
    match text.removesuffix(" week"):
        case "":
            return None
        case "this":
            return "this"
        case "next":
            return "next"
    return read_date(text)
