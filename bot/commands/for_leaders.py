"""The leaders' rows of the command table, each with its reader, as in `for_members`."""

from __future__ import annotations

import re

from bot.club import (
    asking,
    evening,
    leading,
    leading_puzzles,
    links,
    moving,
    planning_questions,
    putting_questions,
    queueing,
    withdrawing,
)
from bot.club.acts import (
    Act,
    PauseClub,
    PlanWeek,
    PostNow,
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
from bot.club.asking import RevealQuestion
from bot.club.links import EndInvitation, InviteMember
from bot.club.moving import MoveClub
from bot.club.plan import WEEKDAYS
from bot.club.problems import Missing, Problem
from bot.club.settings import SETTINGS
from bot.commands.arguments import (
    ArgumentError,
    read_date,
    read_date_and_theme,
    read_level,
    read_optional_date,
    read_pairs,
    read_plan_words,
    take_date,
    take_level,
    take_mark,
    take_sure,
)
from bot.commands.asking import MARKINGS, ON, UNTIL, read_asking
from bot.commands.for_members import DAY, THEME, nothing_but
from bot.commands.printing import SHEET_ROW
from bot.commands.rows import Command, Fields, Kind, Parameter
from bot.commands.teaching import LESSON_MOVES, read_lesson
from engine import making

MOST_DAYS = 14
"""So many days are previewed at most."""


def read_settings(rest: str, fields: Fields) -> Act:
    """Read changes; a setting's mere name asks to see how it stands, as `more` does for all."""
    asked = rest.strip().lower()
    if asked == "more" or any(asked == each.name for each in SETTINGS):
        return SetUpClub(shows_all=True)
    return SetUpClub(read_pairs(rest))


def read_plan(rest: str, fields: Fields) -> Act:
    return PlanWeek(*read_plan_words(rest))


def read_queue(rest: str, fields: Fields) -> Act:
    taken_out = re.match(r"(?:remove|drop|take)\b(?: *out\b)?(.*)", rest.strip().lower(), re.DOTALL)
    if taken_out:
        place = re.fullmatch(r"(?:number|#)?\s*([0-9]{1,3})", taken_out[1].strip())
        return UnqueuePuzzle(int(place[1]) if place else 0)
    text, _, credit = rest.partition("credit=")
    day, text = take_date(text)
    level, text = take_level(text)
    text, sure = take_sure(text)
    if fields.get("date", "").strip():
        when = fields["date"].strip()
        level, day = (read_level(when), None) if len(when) == 1 else (None, read_date(when))
    return QueuePuzzle(
        fields.get("grid", text).strip(),
        day,
        fields.get("credit", credit).strip().strip("\"'"),
        level,
        sure=sure,
    )


def read_preview(rest: str, fields: Fields) -> Act:
    word = rest.strip()
    if word.isdecimal() and len(word) <= 2:
        if 1 <= int(word) <= MOST_DAYS:
            return PreviewDays(count=int(word))
        raise ArgumentError(Problem.DAYS, word, expected=MOST_DAYS)
    day = read_optional_date(word)
    return PreviewDays() if day is None else PreviewDays(day, count=1)


def read_swap(rest: str, fields: Fields) -> Act:
    date, mark = take_mark(rest)
    return SwapPuzzle(read_optional_date(date), mark)


def read_turning(rest: str, fields: Fields) -> Act:
    return ShowTurning(*read_date_and_theme(rest, fields.get("theme")))


def read_withdrawal(rest: str, fields: Fields) -> Act:
    left, sure = take_sure(rest)
    date, mark = take_mark(left)
    return WithdrawDay(read_optional_date(date), sure=sure, mark=mark)


def read_pause(rest: str, fields: Fields) -> Act:
    if rest.lower() not in ("", "on", "off"):
        raise ArgumentError(Problem.SURPLUS, rest)
    return PauseClub(on=rest.lower() != "off")


def read_move(rest: str, fields: Fields) -> Act:
    return MoveClub(rest.strip().removeprefix("to ").strip())


def read_invitation(rest: str, fields: Fields) -> Act:
    return InviteMember(_member_named(rest))


def read_end_of_invitation(rest: str, fields: Fields) -> Act:
    return EndInvitation(_member_named(rest))


def _member_named(rest: str) -> str:
    if not any(character.isalnum() for character in rest):
        raise ArgumentError(Problem.MISSING, Missing.MEMBER)
    return " ".join(rest.split())


def read_report(rest: str, fields: Fields) -> Act:
    return ShowReport(read_optional_date(rest))


def read_ruling(rest: str, fields: Fields) -> Act:
    day, text = take_date(rest)
    found = re.search(r"(?:^|\s)(accept|unrank|restore)(?=\s|$)", text, re.IGNORECASE)
    if not found:
        raise ArgumentError(Problem.MISSING, Missing.VERDICT)
    member, reason = text[: found.start()].strip(), text[found.end() :].strip()
    if not member:
        raise ArgumentError(Problem.MISSING, Missing.MEMBER)
    if not reason:
        raise ArgumentError(Problem.MISSING, Missing.REASON)
    match found[1].lower():
        case "accept":
            return RuleResult(member, "accept", reason, day)
        case "unrank":
            return RuleResult(member, "unrank", reason, day)
    return RuleResult(member, "restore", reason, day)


_COMING = Parameter("date", Kind.COMING_DATE, "2026-11-24")
_SPAN = Parameter("days", Kind.DAYS, "3, or 2026-11-30")

ROWS: tuple[Command, ...] = (
    Command(
        "club setup",
        read_settings,
        (leading.SET_UP,),
        (Parameter("settings", Kind.SETTINGS, "post-time=18:00 sealed=yes"),),
        leaders_only=True,
    ),
    Command(
        "club plan",
        read_plan,
        (leading_puzzles.PLAN,),
        (
            Parameter("day", Kind.CHOICE, "mon", ("week", *WEEKDAYS)),
            Parameter("level", Kind.LEVEL, "2-3", is_named=True),
            THEME,
            Parameter(
                "pattern",
                Kind.CHOICE,
                "half-turn",
                (*making.PATTERNS, "any", "week"),
                is_named=True,
            ),
            Parameter("effort", Kind.CHOICE, "rising", ("rising", "steady")),
            Parameter("lessons", Kind.CHOICE, "yes", ("yes", "no"), is_named=True),
            Parameter(
                "from", Kind.COMING_DATE, "2026-12-07", words=("next", "this"), is_named=True
            ),
        ),
        leaders_only=True,
    ),
    Command(
        "club preview",
        read_preview,
        (leading_puzzles.PREVIEW,),
        (_SPAN,),
        leaders_only=True,
    ),
    Command(
        "club swap",
        read_swap,
        (leading_puzzles.SWAP,),
        (_COMING,),
        leaders_only=True,
    ),
    Command(
        "club turning",
        read_turning,
        (leading_puzzles.TURNING,),
        (_COMING, THEME),
        leaders_only=True,
    ),
    SHEET_ROW,
    Command(
        "club queue",
        read_queue,
        (queueing.QUEUE, queueing.UNQUEUE),
        (
            Parameter("grid", Kind.GRID, "23..7.....8..56.21..."),
            _COMING,
            Parameter("level", Kind.LEVEL, "2", is_named=True),
            Parameter("sure", Kind.CHOICE, "sure", ("sure",)),
            Parameter("credit", Kind.WORDS, is_named=True),
        ),
        leaders_only=True,
    ),
    Command(
        "club post-now",
        nothing_but(PostNow()),
        (leading.POST_NOW,),
        leaders_only=True,
    ),
    Command(
        "club withdraw",
        read_withdrawal,
        (withdrawing.WITHDRAW,),
        (_COMING, Parameter("sure", Kind.CHOICE, "sure", ("sure",))),
        leaders_only=True,
    ),
    Command(
        "club pause",
        read_pause,
        (leading.PAUSE,),
        (Parameter("switch", Kind.CHOICE, "off", ("on", "off")),),
        leaders_only=True,
    ),
    Command(
        "club move",
        read_move,
        (moving.MOVE,),
        (Parameter("to", Kind.PLACE, is_required=True),),
        leaders_only=True,
    ),
    Command(
        "club ask",
        read_asking,
        (putting_questions.ASK, planning_questions.PLAN, planning_questions.DROP),
        (
            Parameter("technique", Kind.WORDS, "naked-triple"),
            DAY,
            Parameter(UNTIL, Kind.WORDS, "friday 20:00", is_named=True),
            Parameter("mark", Kind.CHOICE, "pattern", MARKINGS, is_named=True),
            Parameter("every", Kind.CHOICE, "wed", WEEKDAYS, is_named=True),
            Parameter(ON, Kind.WORDS, "wednesday", is_named=True),
            Parameter("plan", Kind.CHOICE, "drop", ("drop",)),
            Parameter("sure", Kind.CHOICE, "sure", ("sure",)),
            Parameter("grid", Kind.GRID, "23..7.....8..56.21..."),
        ),
        leaders_only=True,
    ),
    Command("club reveal", nothing_but(RevealQuestion()), (asking.REVEAL,), leaders_only=True),
    Command(
        "club lesson",
        read_lesson,
        (evening.LESSON,),
        (DAY, Parameter("move", Kind.CHOICE, "next", LESSON_MOVES)),
        leaders_only=True,
    ),
    Command(
        "club report",
        read_report,
        (leading.REPORT,),
        (DAY,),
        leaders_only=True,
    ),
    Command(
        "club result",
        read_ruling,
        (leading.RULING,),
        (
            Parameter("member", Kind.MEMBER, "Anna", is_required=True),
            Parameter(
                "verdict", Kind.CHOICE, "accept", ("accept", "unrank", "restore"), is_required=True
            ),
            Parameter("reason", Kind.WORDS, is_required=True),
            DAY,
        ),
        leaders_only=True,
    ),
    Command(
        "club invite",
        read_invitation,
        (links.INVITE,),
        (Parameter("member", Kind.MEMBER, "Wren", is_required=True),),
        leaders_only=True,
    ),
    Command(
        "club uninvite",
        read_end_of_invitation,
        (links.UNINVITE,),
        (Parameter("member", Kind.MEMBER, "Wren", is_required=True),),
        leaders_only=True,
    ),
)
