"""The one command table: every command's names, parameters, who may use it, and how it is read.

Every platform is driven from it, typed lines and typed options alike. `parse` turns a line into
an act, or into the reply that says what was wrong with it; it never raises and decides nothing.
"""

from __future__ import annotations

import re
from difflib import get_close_matches
from itertools import islice

from bot.club.acts import (
    Act,
    CheckBoard,
    HandIn,
    OfADay,
    OnDay,
    PostNow,
    ShowMe,
    StartClock,
    Talk,
    Undo,
)
from bot.club.plan import WEEKDAYS
from bot.club.replies import CommandUnknown, InputRefused, Reply
from bot.commands.act_readers import (
    Fields,
    nothing_but,
    read_board,
    read_erasure,
    read_hand_in,
    read_help,
    read_hint,
    read_paste,
    read_placing,
    read_privacy,
    read_ruling_out,
    read_table,
    read_today,
    read_walkthrough,
    read_whole_row,
)
from bot.commands.arguments import ArgumentError, looks_like_mark, take_date
from bot.commands.leader_readers import (
    read_pause,
    read_plan,
    read_preview,
    read_queue,
    read_report,
    read_ruling,
    read_settings,
    read_swap,
    read_turning,
    read_withdrawal,
)
from bot.commands.rows import Command, Kind, Parameter
from bot.platforms.message import LINE_LIMIT
from engine import CLASSIC, PATTERNS

_DAY = Parameter("date", Kind.DATE, "2026-11-24")
_SPAN = Parameter("days", Kind.WORDS, "3, or 2026-11-30")
_TEXT = Parameter("as", Kind.CHOICE, "text", ("text",))
_HINT_WAYS = ("board", "more", "paper", "known", "paste")

COMMANDS: tuple[Command, ...] = (
    Command("today", "Show today's puzzle again.", "today text", read_today, (_TEXT,)),
    Command("start", "Start your clock.", "start", nothing_but(StartClock())),
    Command(
        "board",
        "Show your board, or take a pasted grid as your board.",
        "board",
        read_board,
        (_TEXT, Parameter("grid", Kind.GRID, "53..7....6..195...")),
    ),
    Command(
        "place",
        "Write digits on your board; 0 rubs one out.",
        "place r4c5 7 r6c1 2",
        read_placing,
        (Parameter("marks", Kind.MARKS, "r4c5 7 r6c1 2", is_required=True),),
    ),
    Command(
        "row",
        "Write a whole row of your board.",
        "row 4 53..7....",
        read_whole_row,
        (Parameter("row", Kind.ROW, "4 53..7....", is_required=True),),
    ),
    Command(
        "rule-out",
        "Strike candidates of a cell.",
        "rule-out r4c5 1 4",
        read_ruling_out,
        (Parameter("candidates", Kind.CANDIDATES, "r4c5 1 4", is_required=True),),
    ),
    Command("undo", "Take back your last change.", "undo", nothing_but(Undo())),
    Command("check", "Ask whether your board is right so far.", "check", nothing_but(CheckBoard())),
    Command(
        "hint",
        "Get a nudge from where you are.",
        "hint box 5",
        read_hint,
        (
            Parameter("way", Kind.CHOICE, "board", _HINT_WAYS),
            Parameter("about", Kind.WORDS, "box 5 for 7"),
            Parameter("grid", Kind.GRID, "53..7....6..195..."),
        ),
    ),
    Command(
        "paste",
        "Take a pasted grid as your board.",
        "paste 53..7....6..195...",
        read_paste,
        (Parameter("grid", Kind.GRID, "53..7....6..195..."),),
    ),
    Command(
        "hand-in",
        "Hand in the digits of the two marked lines, or your finished board.",
        "hand-in 534678912 345286179",
        read_hand_in,
        (Parameter("answer", Kind.DIGITS, "534678912 345286179"), _DAY),
        aliases=("answer",),
    ),
    Command(
        "leaderboard",
        "Show the table of the week, the month or all time.",
        "leaderboard month",
        read_table,
        (Parameter("period", Kind.CHOICE, "month", ("week", "month", "all")),),
        aliases=("table",),
    ),
    Command(
        "walkthrough",
        "Show how a closed puzzle is solved, step by step.",
        "walkthrough 2026-11-24",
        read_walkthrough,
        (_DAY,),
    ),
    Command("me", "Show your own page.", "me", nothing_but(ShowMe())),
    Command(
        "privacy",
        "See, export or erase what is kept of you.",
        "privacy export",
        read_privacy,
        (Parameter("wish", Kind.CHOICE, "export", ("export", "erase", "erase sure")),),
    ),
    Command(
        "help",
        "Explain the club or one command.",
        "help hint",
        read_help,
        (Parameter("topic", Kind.WORDS, "hint"),),
    ),
    Command(
        "club setup",
        "Show or change the club's settings.",
        "club setup zone=Europe/London post-time=18:00 sealed=yes theme=naked-triple",
        read_settings,
        (Parameter("settings", Kind.SETTINGS, "post-time=18:00 sealed=yes"),),
        leaders_only=True,
    ),
    Command(
        "club plan",
        "Show or change the plan: levels, themes and symmetry of the week or of a weekday.",
        "club plan mon level=2 theme=pointing",
        read_plan,
        (
            Parameter("day", Kind.CHOICE, "mon", ("week", *WEEKDAYS)),
            Parameter("level", Kind.LEVEL, "2-3", is_named=True),
            Parameter("theme", Kind.THEME, "naked-triple", is_named=True),
            Parameter(
                "pattern", Kind.CHOICE, "half-turn", (*PATTERNS, "any", "week"), is_named=True
            ),
            Parameter("effort", Kind.CHOICE, "rising", ("rising", "steady")),
        ),
        leaders_only=True,
    ),
    Command(
        "club preview",
        "See the puzzles of the coming days before they go up.",
        "club preview 3",
        read_preview,
        (_SPAN,),
        leaders_only=True,
    ),
    Command(
        "club swap",
        "Take another puzzle that fits for a coming day.",
        "club swap 2026-11-30",
        read_swap,
        (_DAY,),
        leaders_only=True,
    ),
    Command(
        "club turning",
        "See where a coming puzzle turns, and what a member sees who misses it.",
        "club turning 2026-11-30 theme=naked-triple",
        read_turning,
        (_DAY, Parameter("theme", Kind.THEME, "naked-triple", is_named=True)),
        leaders_only=True,
    ),
    Command(
        "club queue",
        "Queue a puzzle for a date, a level or the next free day; show the queue; take one out.",
        "club queue 53..7....6..195... 2026-11-30 credit=Our own",
        read_queue,
        (
            Parameter("grid", Kind.GRID, "53..7....6..195..."),
            _DAY,
            Parameter("level", Kind.LEVEL, "2", is_named=True),
            Parameter("credit", Kind.WORDS, "Our own", is_named=True),
        ),
        leaders_only=True,
    ),
    Command(
        "club post-now",
        "Post today's puzzle before its time.",
        "club post-now",
        nothing_but(PostNow()),
        leaders_only=True,
    ),
    Command(
        "club withdraw",
        "Take back a puzzle that went up before its time.",
        "club withdraw 2026-11-30",
        read_withdrawal,
        (_DAY, Parameter("sure", Kind.CHOICE, "sure", ("sure",))),
        leaders_only=True,
    ),
    Command(
        "club pause",
        "Stop posting puzzles, or go on with off.",
        "club pause off",
        read_pause,
        (Parameter("switch", Kind.CHOICE, "off", ("on", "off")),),
        leaders_only=True,
    ),
    Command(
        "club report",
        "See how far the club got, and where it was stuck.",
        "club report 2026-11-24",
        read_report,
        (_DAY,),
        leaders_only=True,
    ),
    Command(
        "club result",
        "Accept, unrank or restore a member's result, with a reason that they are told.",
        "club result Anna accept Solved it on paper at the meeting",
        read_ruling,
        (
            Parameter("member", Kind.MEMBER, "Anna", is_required=True),
            Parameter(
                "verdict", Kind.CHOICE, "accept", ("accept", "unrank", "restore"), is_required=True
            ),
            Parameter("reason", Kind.WORDS, "Solved it on paper", is_required=True),
            _DAY,
        ),
        leaders_only=True,
    ),
)

_SHORTCUTS = (Command("privacy", "", "", read_erasure, aliases=("erase",)),)


def _key(name: str) -> str:
    """Return what tells commands apart: case, hyphens, underscores and spaces do not."""
    return re.sub(r"[\s_-]+", "", name.lower())


_BY_KEY: dict[str, Command] = {_key(command.name): command for command in COMMANDS} | {
    _key(alias): command for command in (*COMMANDS, *_SHORTCUTS) for alias in command.aliases
}
_MOST_WORDS = max(len(re.split(r"[\s-]", command.name)) for command in COMMANDS)
_VOCABULARY = {
    word
    for command in COMMANDS
    for text in (command.name, *(" ".join(each.choices) for each in command.parameters))
    for word in re.split(r"[\s-]+", text)
} | {"row", "column", "col", "box", "block", "for", "in", "sure", "time", "this", "text"}


def command_names() -> tuple[str, ...]:
    return tuple(command.name for command in COMMANDS)


def parse(text: str, fields: Fields, *, in_open: bool) -> Act | Reply:
    """Read a line as typed. In the open room, what is no command is Talk.

    A command without a `/` or `!` before it that goes on in plain words is talk there too: "me
    too", "check this out". What is longer than LINE_LIMIT is not read at all.
    """
    line, has_prefix = _without_prefix(text)
    length = len(text) + sum(map(len, fields.values()))
    if length > LINE_LIMIT:
        return Talk(text) if in_open and not has_prefix else _too_long(line, length)
    command, rest = _find_command(line)
    if command is None:
        if line.lower() == "club" and (has_prefix or not in_open):
            return read_help(line, fields)  # the first word of many commands, and none by itself
        if in_open:
            return Talk(text)
        return _read_bare(line) or CommandUnknown(text=line, nearest=_nearest(line))
    if in_open and not has_prefix and not command.leaders_only and _sounds_like_talk(rest):
        return Talk(text)
    try:
        return _read(command, rest, fields)
    except ArgumentError as error:
        if in_open and not has_prefix and error.problem == "surplus":
            return Talk(text)
        return InputRefused(
            command=command.name,
            problem=error.problem,
            text=error.text,
            found=error.found,
            expected=error.expected,
            typed=fields.get("grid", ""),
        )


_OF_A_DAY = ("start", "board", "undo", "check", "hint")


def _read(command: Command, rest: str, fields: Fields) -> Act:
    """Read a command's rest; those of a day's board may name the day, as buttons do."""
    day, left = take_date(rest) if command.name in _OF_A_DAY else (None, rest)
    act = command.read(left, fields)
    if day is None:
        return act
    if not isinstance(act, OfADay):
        raise ArgumentError("surplus", day.isoformat())
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
        problem="too-long",
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
            return command, line[end:].strip()
    return None, ""


def _read_bare(line: str) -> Act | None:
    """Read a private line that is nothing but an answer's digits as an answer."""
    digits = "".join(line.split())
    is_answer = len(digits) in (2 * CLASSIC.size, CLASSIC.cell_count)
    if is_answer and all(mark in CLASSIC.marks for mark in digits):
        return HandIn(line)
    return None


def _nearest(line: str) -> str | None:
    words = line.lower().split()
    for count in range(min(_MOST_WORDS, len(words)), 0, -1):
        found = get_close_matches(_key(" ".join(words[:count])), _BY_KEY, n=1, cutoff=0.7)
        if found:
            return _BY_KEY[found[0]].name
    return None


def _sounds_like_talk(rest: str) -> bool:
    return any(word not in _VOCABULARY for word in re.findall(r"[^\W\d_]{2,}", rest.lower()))
