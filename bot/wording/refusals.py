"""Words for an argument that is wrong: what was found, what was expected, an example that works.

One function for each `problem` of `InputRefused`, in one table. Nothing was changed when any of
these is said.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from bot.club.problems import Missing, Problem
from bot.club.replies import InputRefused
from bot.club.settings import SETTINGS
from bot.club.themes import HIGHEST_LEVEL
from bot.club.zones import likely_zones
from bot.platforms.message import Message
from bot.wording.buttons import ON_PAPER, Phrases
from bot.wording.commands import COMMANDS
from bot.wording.prose import capitalise, count_of, join_words, quote
from bot.wording.puzzle_refusals import PUZZLE_PROBLEMS
from bot.wording.queueing import queue_form
from bot.wording.settings import SETTING_EXAMPLES, tell_fitting
from bot.wording.teaching_refusals import TEACHING_PROBLEMS, by_uniqueness
from bot.wording.techniques import never_needed
from bot.wording.times import format_weekday_date
from bot.wording.unusable import EXAMPLE_GRID, clip_words, no_cell, with_example
from engine import CLASSIC, making

EXAMPLES: dict[str, str] = {name: words.example for name, words in COMMANDS.items()} | {
    "hint paste": f"hint paste {EXAMPLE_GRID}"
}
"""A line that works, for each command; where a grid is asked for, with a whole one."""

WISH_EXAMPLES: dict[str, str] = {
    "level": "club plan mon level=2-3",
    "theme": "club plan mon theme=naked-triple",
    "pattern": "club plan week pattern=half-turn",
    "rising": "club plan week rising",
    "lessons": "club plan week theme=naked-triple lessons=yes",
}
"""For each wish of a plan a line that works; a test compares the names with the club's."""


WISH_LIMITS: dict[str, str] = {
    "level": f"a level from 1 to {HIGHEST_LEVEL}, or two with a dash between them",
    "theme": "a technique that puzzles can need, none, or week",
    "pattern": f"{join_words((*making.PATTERNS, 'any', 'week'), 'or')}",
    "rising": "yes or no",
    "lessons": "yes or no, for the whole week",
}
"""For each wish of a plan what it can be."""


def example_of(command: str) -> str:
    """Return a line that works for a command, `help` for one that is unknown."""
    return EXAMPLES.get(command, "help")


_SIZE = CLASSIC.size
TYPED_LIMIT = 400


Say = Callable[[InputRefused], str]


def _cell(reply: InputRefused) -> str:
    return no_cell(reply.text, _SIZE)


def _digit(reply: InputRefused) -> str:
    return f"{quote(reply.text)} is not a digit: a cell holds one from 1 to {_SIZE}."


def _house(reply: InputRefused) -> str:
    return (
        f"I know no house called {quote(reply.text)}. Write row, column or box, and a number from "
        f"1 to {_SIZE}."
    )


def _mark(reply: InputRefused) -> str:
    return (
        f"I cannot read {quote(reply.text)}. Write a cell and then its digit, as often as you like."
    )


def _row(reply: InputRefused) -> str:
    return (
        f"I cannot read {quote(reply.text)} as a row. Write its number, then {_SIZE} cells: "
        "digits, and dots for the open ones."
    )


def _date(reply: InputRefused) -> str:
    what = "may be one of two dates" if "/" in reply.text else "is not a date that I can read"
    return (
        f"{quote(reply.text)} {what}. Write it like 24 November, 24.11., 2026-11-24, tuesday or "
        "yesterday."
    )


def _period(reply: InputRefused) -> str:
    return (
        f"{quote(reply.text)} is not a period. Write week, last week, month, last month or all; or "
        "name a week, month or day: 2026-W48, 2026-12, 2026-12-27."
    )


def _topic(reply: InputRefused) -> str:
    return f"There is no help on {quote(reply.text)}. Plain help lists all topics."


def _length(reply: InputRefused) -> str:
    if reply.command == "hand-in":
        return (
            f"That has {count_of(reply.found, 'digit')}. An answer is the {reply.expected} digits "
            "of the two marked lines, or a whole grid. It did not count as a try."
        )
    return (
        f"That has {count_of(reply.found, 'cell')}; it should have {reply.expected}. Nothing was "
        "changed."
    )


def _row_length(reply: InputRefused) -> str:
    return (
        f"{capitalise(reply.house)} has {count_of(reply.found, 'cell')}, and a row has "
        f"{reply.expected}. Nothing was changed."
    )


def _character(reply: InputRefused) -> str:
    if reply.command == "hand-in":
        return (
            f"{quote(reply.text)} does not belong in an answer. Use digits from 1 to {_SIZE}, and "
            "spaces if you like. It did not count as a try."
        )
    return (
        f"{quote(reply.text)} does not belong in a grid. Digits from 1 to {_SIZE} fill cells; "
        "dots, zeros, spaces and underscores leave them empty."
    )


def _repeated(reply: InputRefused) -> str:
    where = join_words(reply.cells)
    return f"{reply.digit} stands twice in {reply.house}: {where}. Nothing was changed."


def _given(reply: InputRefused) -> str:
    if len(reply.cells) == 1:
        return f"{reply.cells[0]} is a given, {reply.digit}, and givens stay. Nothing was changed."
    return f"{clip_words(reply.cells)} are givens, and givens stay. Nothing was changed."


def _filled(reply: InputRefused) -> str:
    holds = "holds a digit" if len(reply.cells) == 1 else "hold digits"
    so = "it takes no small digits" if reply.command == "small" else "there is nothing to rule out"
    return (
        f"{clip_words(reply.cells)} {holds} already, so {so}. Placing a 0 rubs out a digit of "
        "your own."
    )


MISSING: dict[str, str] = {
    Missing.MARKS: "cells and digits to write",
    Missing.CANDIDATES: "a cell and the digits to rule out",
    Missing.WISHES: "what those days should have",
    Missing.THEME: "the theme that the lessons are about",
    Missing.DIGITS: "the digits of the row",
    Missing.VERDICT: "accept, unrank or restore",
    Missing.MEMBER: "the member's name",
    Missing.REASON: "a reason, which the member is told",
    Missing.CLAIM: "what you see: a pattern and where it is, or what follows",
    Missing.PUZZLE: "a puzzle; the queue and the stock are empty, so queue one first",
}
"""What each argument is, in words."""


def _missing(reply: InputRefused) -> str:
    return f"One thing is missing: {MISSING.get(reply.text, 'the rest of the line')}."


def _leader(reply: InputRefused) -> str:
    return (
        f"I know nobody here as {quote(reply.text)}. Type @ and pick the person, or "
        "the role, from the list that your app offers; or give their full id."
    )


def _setting(reply: InputRefused) -> str:
    return (
        f"There is no setting {quote(reply.text)}. The settings are: {', '.join(SETTING_EXAMPLES)}."
    )


def _value(reply: InputRefused) -> str:
    name, _, value = reply.text.partition("=")
    setting = next((each for each in SETTINGS if each.name == name), None)
    if reply.command == "club plan":
        fitting = WISH_LIMITS.get(name, "")
    else:
        fitting = tell_fitting(setting) if setting else ""
    limits = f" It should be {fitting}." if fitting else ""
    likely = join_words(likely_zones(value), "or") if name == "zone" else ""
    meant = f" Did you mean {likely}?" if likely else ""
    return f"{quote(reply.text, 80)} does not fit.{limits}{meant} Nothing was changed."


def _uniqueness(reply: InputRefused) -> str:
    if reply.command == "practice":
        return by_uniqueness(reply)
    return (
        f"{quote(reply.text)} takes for granted that a puzzle has just one solution, and this club "
        "has chosen not to. Choose another theme, or uniqueness=yes. Nothing was changed."
    )


def _member(reply: InputRefused) -> str:
    if reply.found > 1:
        return (
            f"{reply.found} members are called {quote(reply.text)}; name one by their id instead."
        )
    return f"I know nobody called {quote(reply.text)} in this club."


def _no_result(reply: InputRefused) -> str:
    return f"{quote(reply.text)} has no right answer on that day to rule on."


def _days(reply: InputRefused) -> str:
    return f"I show 1 to {reply.expected} days at once."


def _level(reply: InputRefused) -> str:
    return f"{quote(reply.text)} is not a level: they run from 1 to {reply.expected}."


def _plan(reply: InputRefused) -> str:
    return (
        f"I cannot read {quote(reply.text)} in a plan. Name weekdays or the week, then what they "
        "should have: level, theme, pattern; for the week also rising or steady."
    )


def _never_needed(reply: InputRefused) -> str:
    return never_needed(reply.text)


def _plan_past(reply: InputRefused) -> str:
    day = format_weekday_date(date.fromisoformat(reply.text))
    return f"{day} is past, so no plan can begin then. Nothing was changed."


def _no_plan(reply: InputRefused) -> str:
    day = format_weekday_date(date.fromisoformat(reply.text))
    return f"No plan begins on {day}, so there is nothing to drop. Nothing was changed."


def _wish(reply: InputRefused) -> str:
    name = reply.text.partition("=")[0]
    return f"A plan has no {quote(name)}. It has level, theme, pattern, and rising for the week."


def _not_early(reply: InputRefused) -> str:
    if reply.found:
        return f"{reply.found} puzzles are up before their time, so name the date: {reply.text}."
    if reply.text:
        return f"The club has no puzzle for {reply.text} that is up before its time."
    return "No puzzle is up before its time, so there is nothing to take back."


def _passed(reply: InputRefused) -> str:
    return f"{reply.text} is over, so its puzzle will not go up any more. Nothing was changed."


def _too_long(reply: InputRefused) -> str:
    return (
        f"That is {reply.found:,} characters long, and I read up to {reply.expected:,} at once. "
        "Nothing was changed. Please send it in smaller parts."
    )


def _surplus(reply: InputRefused) -> str:
    return f"I understood the start of that, but not {quote(reply.text)}."


PROBLEMS: dict[Problem, Say] = {
    **PUZZLE_PROBLEMS,
    **TEACHING_PROBLEMS,
    Problem.CELL: _cell,
    Problem.DIGIT: _digit,
    Problem.HOUSE: _house,
    Problem.MARK: _mark,
    Problem.ROW: _row,
    Problem.DATE: _date,
    Problem.PERIOD: _period,
    Problem.TOPIC: _topic,
    Problem.LENGTH: _length,
    Problem.ROW_LENGTH: _row_length,
    Problem.CHARACTER: _character,
    Problem.REPEATED: _repeated,
    Problem.GIVEN: _given,
    Problem.FILLED: _filled,
    Problem.MISSING: _missing,
    Problem.SETTING: _setting,
    Problem.VALUE: _value,
    Problem.LEADER: _leader,
    Problem.UNIQUENESS: _uniqueness,
    Problem.MEMBER: _member,
    Problem.NO_RESULT: _no_result,
    Problem.DAYS: _days,
    Problem.LEVEL: _level,
    Problem.PLAN: _plan,
    Problem.WISH: _wish,
    Problem.PLAN_PAST: _plan_past,
    Problem.NO_PLAN: _no_plan,
    Problem.NEVER_NEEDED: _never_needed,
    Problem.NOT_EARLY: _not_early,
    Problem.PASSED: _passed,
    Problem.TOO_LONG: _too_long,
    Problem.SURPLUS: _surplus,
}
"""What to say for each problem; a test compares it with the club's own list."""


def tell_problem(reply: InputRefused) -> str:
    """Return the words of a problem alone, without an example."""
    return PROBLEMS[reply.problem](reply)


def _input_refused(reply: InputRefused) -> Message:
    is_grid = reply.command.endswith("paste")
    return Message(
        text=with_example(tell_problem(reply), _example_for(reply)),
        buttons=(ON_PAPER,) if is_grid else (),
        # Not every platform can open a form anew with what was typed, so it stands here too.
        code=reply.typed[:TYPED_LIMIT].strip(),
        form=queue_form(reply.typed) if reply.typed else None,
    )


_WELL_WRITTEN = frozenset((
    Problem.GIVEN, Problem.FILLED, Problem.REPEATED, Problem.NO_SOLUTION, Problem.MANY_SOLUTIONS,
    Problem.NO_RESULT, Problem.TOO_HARD, Problem.REPEAT_PUZZLE, Problem.COMPLETE,
    Problem.OWN_PUZZLE, Problem.NO_OTHER, Problem.NO_DAY, Problem.NOT_EARLY, Problem.PASSED,
    Problem.TOO_MANY, Problem.UNIQUENESS, Problem.TOO_LONG, Problem.NO_TIME, Problem.NO_PLAN,
))  # fmt: skip
"""Problems in which nothing was written wrongly, so that an example would not help."""


def _example_for(reply: InputRefused) -> str:
    """Return the example that fits best: that of the setting, else that of the command."""
    if reply.problem in _WELL_WRITTEN:
        return ""
    if reply.problem == Problem.QUEUE_PLACE:
        return "club queue remove 1"
    if reply.problem == Problem.NEVER_NEEDED:
        return f"{reply.command} theme=naked-triple"
    if reply.problem == Problem.PLAN_PAST:
        return "club plan next theme=naked-triple"
    if reply.command == "club plan":
        return WISH_EXAMPLES.get(reply.text.partition("=")[0], example_of(reply.command))
    change = SETTING_EXAMPLES.get(reply.text.partition("=")[0])
    if reply.problem == Problem.VALUE and change:
        return f"{reply.command} {change}"
    return example_of(reply.command)


PHRASES: Phrases = {InputRefused: _input_refused}
