"""The one command table: every command's names, parameters, who may use it, and how it is read.

Every platform is driven from it, typed lines and typed options alike, and the service follows the
courses of its acts. `parse` turns a line into an act, or into the reply that says what was wrong
with it; it never raises and decides nothing.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from difflib import get_close_matches
from itertools import islice

from bot.club.acts import Act, HandIn, OfADay, OnDay, PasteGrid, Talk
from bot.club.course import AnyCourse
from bot.club.photos import ReadPhoto
from bot.club.ports import PhotoSent
from bot.club.problems import Problem
from bot.club.replies import CommandUnknown, InputRefused, Reply
from bot.commands import for_leaders, for_members
from bot.commands.arguments import ArgumentError, looks_like_mark, take_date
from bot.commands.dates import Calendar, write_dates, write_period
from bot.commands.rows import Command, Fields, Kind
from bot.platforms.message import LINE_LIMIT
from engine import CLASSIC, holds_grid

COMMANDS: tuple[Command, ...] = (*for_members.ROWS, *for_leaders.ROWS)

COURSES: tuple[AnyCourse, ...] = tuple(
    replace(course, command=command.name, leaders_only=command.leaders_only)
    for course, command in {
        course.act: (course, command)
        for command in reversed(COMMANDS)
        for course in command.courses
    }.values()
)
"""What the service does for each act; the first command that has it is the act's home."""


def _key(name: str) -> str:
    """Return what tells commands apart: case, hyphens, underscores and spaces do not."""
    return re.sub(r"[\s_-]+", "", name.lower())


_BY_KEY: dict[str, Command] = {_key(command.name): command for command in COMMANDS} | {
    _key(alias): command
    for command in (*COMMANDS, *for_members.SHORTCUTS)
    for alias in command.aliases
}
_DATED = (Kind.DATE, Kind.COMING_DATE, Kind.DAYS, Kind.PERIOD)
_MOST_WORDS = max(len(re.split(r"[\s-]", command.name)) for command in COMMANDS)
_VOCABULARY = {
    word
    for command in COMMANDS
    for text in (
        command.name,
        *(" ".join((*each.choices, *each.words)) for each in command.parameters),
    )
    for word in re.split(r"[\s-]+", text)
} | {"row", "column", "col", "box", "block", "for", "in", "sure", "time", "this", "text"}


def command_names() -> tuple[str, ...]:
    """Return the names of all commands, in the table's order."""
    return tuple(command.name for command in COMMANDS)


def parse(text: str, fields: Fields, *, in_open: bool, today: date | None = None) -> Act | Reply:
    """Read a line as typed. In the open room, what is no command is Talk.

    `today` is the club's date, against which dates such as `tuesday` are read; without it only
    `2026-11-24` is one. A command without a `/` or `!` before it that goes on in plain words is
    talk there too: "me too", "check this out". What is longer than LINE_LIMIT is not read at all.
    """
    line, has_prefix = _without_prefix(text)
    length = len(text) + sum(map(len, fields.values()))
    if length > LINE_LIMIT:
        return Talk(text) if in_open and not has_prefix else _too_long(line, length)
    command, rest = _find_command(line)
    if command is None:
        if line.lower() == "club" and (has_prefix or not in_open):
            return for_members.read_help(
                line, fields
            )  # the first word of many commands, and none by itself
        if in_open:
            return Talk(text)
        return (
            _read_bare(text)
            or for_members.read_plea(line)
            or CommandUnknown(text=line, nearest=_nearest(line))
        )
    if today is not None:
        rest, fields = _with_dates(command, rest, fields, today)
    if in_open and not has_prefix and not command.leaders_only and _sounds_like_talk(rest):
        return Talk(text)
    try:
        return _read(command, rest, fields)
    except ArgumentError as error:
        if in_open and not has_prefix and error.problem == Problem.SURPLUS:
            return Talk(text)
        return InputRefused(
            command=command.name,
            problem=error.problem,
            text=error.text,
            found=error.found,
            expected=error.expected,
            typed=fields.get("grid", ""),
        )


def parse_photo(text: str, photo: PhotoSent) -> Act:
    """Read what a photo came with: the command that it is for, and the day. What else is said with
    a photo says nothing."""
    command, rest = _find_command(_without_prefix(text[:LINE_LIMIT])[0])
    if command is None or not command.may_name_a_day:
        return ReadPhoto(photo, then_hint=False)
    day, _ = take_date(rest)
    act = ReadPhoto(photo, then_hint=command is _BY_KEY["hint"])
    return act if day is None else OnDay(act, day)


def parse_called(text: str, *, by_name: bool) -> Act | None:
    """Read talk that is said to the bot itself: a plea for a hint, else, where it is greeted, asked
    or called by its name, help; None for what needs no answer."""
    line, _ = _without_prefix(text[:LINE_LIMIT])
    command, rest = _find_command(line)
    plea = for_members.read_plea(line)
    if plea is None and command is not None and command.name == "hint":
        plea = for_members.read_plea(rest)
    if plea is not None:
        return plea
    kept = " ".join(_POLITE.sub(" ", line).split())
    act = parse(kept, {}, in_open=False) if command is not None and kept != line else None
    if isinstance(act, Act):
        return act
    words = re.findall(r"\w+", line.lower())
    is_asked = by_name or "?" in line or bool(words and words[0] in _GREETINGS)
    return for_members.read_help("", {}) if is_asked else None


_POLITE = re.compile(r"\b(?:please|thanks|thank you)\b[,.!]*", re.IGNORECASE)
_GREETINGS = ("hello", "hi", "hey", "hallo", "greetings", "help", "morning", "good")


def _with_dates(command: Command, rest: str, fields: Fields, today: date) -> tuple[str, Fields]:
    """Return a line's rest and its form's date, dates as people write them as the readers do.

    What stands behind a named text that may hold anything, a credit say, is left alone.
    """
    dated = [each for each in command.parameters if each.kind in _DATED]
    if not dated:
        return rest, fields
    if any(each.kind is Kind.PERIOD for each in dated):
        words = {word for each in dated for word in each.words}
        is_known = rest.lower().strip() in words
        return (rest if is_known else write_period(rest, today)), fields
    said = [each for each in command.parameters if each.kind in (Kind.WORDS, Kind.MEMBER)]
    calendar = Calendar(
        today,
        is_ahead=any(each.kind is not Kind.DATE for each in dated),
        takes_words=all(each.is_named for each in said),
        takes_labelled=all(each.is_named for each in dated),
    )
    ends = [rest.find(f"{each.name}=") for each in said if each.is_named]
    end = min((each for each in ends if each >= 0), default=len(rest))
    if "date" in fields:
        fields = {**fields, "date": write_dates(fields["date"], calendar)}
    return write_dates(rest[:end], calendar) + rest[end:], fields


def _read(command: Command, rest: str, fields: Fields) -> Act:
    """Read a command's rest; those of a day's board may name the day, as buttons do."""
    day, left = take_date(rest) if command.may_name_a_day else (None, rest)
    act = command.read(left, fields)
    if day is None:
        return act
    if not isinstance(act, OfADay):
        raise ArgumentError(Problem.SURPLUS, day.isoformat())
    return OnDay(act, day)


def name_of(text: str) -> str:
    """Return the name of the command that a line starts with, and nothing else of the line; empty
    for talk. It is for logs."""
    line, _ = _without_prefix(text[:LINE_LIMIT])
    command, _ = _find_command(line)
    return "" if command is None else command.name


def _without_prefix(text: str) -> tuple[str, bool]:
    line = text.strip()
    has_prefix = line[:1] in ("/", "!")
    return (line.lstrip("/!").strip() if has_prefix else line), has_prefix


def _too_long(line: str, length: int) -> InputRefused:
    command, _ = _find_command(line[:LINE_LIMIT])
    return InputRefused(
        command="help" if command is None else command.name,
        problem=Problem.TOO_LONG,
        found=length,
        expected=LINE_LIMIT,
    )


def _find_command(line: str) -> tuple[Command | None, str]:
    """Return the command that a line starts with and the rest; a bare `r4c5=7` places."""
    if looks_like_mark(line):
        return _BY_KEY["place"], line
    words = islice(re.finditer(r"[^\s_-]+", line), _MOST_WORDS)
    starts = [found.end() for found in words]
    for end in reversed(starts):
        command = _BY_KEY.get(_key(line[:end]).rstrip(":"))
        if command is not None and not line[end : end + 1].strip():
            return command, _without_first_space(line[end:])
    return None, ""


def _without_first_space(rest: str) -> str:
    """Return what follows a command's name; of a grid below it, the blanks at its start too."""
    space, end, grid = rest.partition("\n")
    return grid.rstrip() if end and not space.strip() else rest.strip()


def _read_bare(text: str) -> Act | None:
    """Read a private line without a command: nothing but an answer's digits is an answer, any other
    grid the member's board."""
    digits = "".join(text.split())
    is_answer = len(digits) in (2 * CLASSIC.size, CLASSIC.cell_count)
    if is_answer and all(mark in CLASSIC.marks for mark in digits):
        return HandIn(text.strip())
    return PasteGrid(text) if holds_grid(text) else None


def _nearest(line: str) -> str | None:
    words = line.lower().split()
    for count in range(min(_MOST_WORDS, len(words)), 0, -1):
        found = get_close_matches(_key(" ".join(words[:count])), _BY_KEY, n=1, cutoff=0.7)
        if found:
            return _BY_KEY[found[0]].name
    return None


def _sounds_like_talk(rest: str) -> bool:
    return any(word not in _VOCABULARY for word in re.findall(r"[^\W\d_]{2,}", rest.lower()))
