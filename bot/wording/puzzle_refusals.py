"""Words for a puzzle that cannot be had: what is wrong with it, or with the day it is for.

They belong to the table of `bot.wording.refusals`, which says what else can be wrong with a line.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from bot.club.problems import Problem
from bot.club.replies import InputRefused
from bot.wording.times import format_full_date
from bot.wording.unusable import two_solutions
from engine import LADDER


def _no_solution(reply: InputRefused) -> str:
    return "This grid has no solution, so it is no puzzle. Please check it for a slip of the pen."


def _many_solutions(reply: InputRefused) -> str:
    return two_solutions(reply.cells)


def _too_hard(reply: InputRefused) -> str:
    return (
        "My ladder gets stuck on this puzzle, so I could give no hints on it and will not post it. "
        f"I tried every technique of levels 1 to {LADDER[-1].level}."
    )


def _repeat_puzzle(reply: InputRefused) -> str:
    disguise = ""
    if reply.is_disguised:
        disguise = " in disguise: the same with digits renamed or lines moved"
    if not reply.text:
        return f"This puzzle is already waiting in the queue{disguise}. Nothing was changed."
    day = date.fromisoformat(reply.text)
    if disguise:
        return f"The club had this puzzle on {format_full_date(day)}{disguise}. It was not queued."
    return f"The club had this puzzle on {format_full_date(day)}. It was not queued."


def _complete(reply: InputRefused) -> str:
    return "Every cell is filled: that is a solution, not a puzzle."


def _no_day(reply: InputRefused) -> str:
    return (
        f"No day of the plan has level {reply.text}, so the puzzle would wait for ever. "
        "Name another level, or a date, or leave it out."
    )


def _day_taken(reply: InputRefused) -> str:
    return f"{reply.text} is past, or has a puzzle already. Name a free day to come."


def _queue_place(reply: InputRefused) -> str:
    if not reply.found:
        return "The queue is empty, so there is nothing to take out."
    if reply.text == "0":
        numbers = "1" if reply.found == 1 else f"1 to {reply.found}"
        return f"Which one? Give its number in the queue, {numbers}; club queue lists them."
    return f"There is no number {reply.text} in the queue; {reply.found} wait in it."


def _not_coming(reply: InputRefused) -> str:
    return (
        f"{reply.text} is not a day to come: its puzzle is already up, or it is past, or more than "
        "two months away."
    )


def _own_puzzle(reply: InputRefused) -> str:
    return (
        f"The puzzle for {reply.text} is from your own queue, so I do not swap it. "
        "To take it out, use its number there, such as: club queue remove 1"
    )


def _too_many(reply: InputRefused) -> str:
    return (
        f"These are {reply.found} puzzles, and I take up to {reply.expected} at once. For more, "
        "use ninebark puzzles add. Nothing was changed."
    )


def _no_time(reply: InputRefused) -> str:
    match reply.command:
        case "hint" | "paste":
            return (
                "From this board a hint is too hard to find in time, so I stopped looking. Nothing "
                "was changed and no seconds were added. Please check the board for a slip of the "
                "pen, or fill in some more first."
            )
        case "walkthrough":
            return "The walkthrough of this puzzle takes too long to work out, so I stopped."
        case "club turning":
            return "It takes too long to work out where this puzzle turns, so I stopped."
    return (
        "That grid is too hard to judge in time, so I stopped. It was not queued. Please check it "
        "for a slip of the pen, or give it a few more digits."
    )


def _no_other(reply: InputRefused) -> str:
    return f"The stock has no other puzzle for {reply.text} yet. Nothing was changed."


PUZZLE_PROBLEMS: dict[Problem, Callable[[InputRefused], str]] = {
    Problem.NO_SOLUTION: _no_solution,
    Problem.MANY_SOLUTIONS: _many_solutions,
    Problem.TOO_HARD: _too_hard,
    Problem.NO_TIME: _no_time,
    Problem.REPEAT_PUZZLE: _repeat_puzzle,
    Problem.COMPLETE: _complete,
    Problem.TOO_MANY: _too_many,
    Problem.QUEUE_PLACE: _queue_place,
    Problem.NO_DAY: _no_day,
    Problem.DAY_TAKEN: _day_taken,
    Problem.OWN_PUZZLE: _own_puzzle,
    Problem.NO_OTHER: _no_other,
    Problem.NOT_COMING: _not_coming,
}
