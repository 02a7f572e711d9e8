"""The answer key: the two marked lines of a puzzle, and what an answer typed for them says.

An answer is the digits of the two lines in their order, or of the whole grid; whatever people put
between digits is ignored. Nothing here knows of time or tries.
"""

from __future__ import annotations

import re
from enum import StrEnum

from bot.club.boards import layout_of
from bot.club.problems import Problem
from bot.club.telling import is_whole, lines_within, read_text
from engine import Grid, House, parse_grid

_BETWEEN = re.compile(r"[\s.,;:/|+_\-–—·()\[\]]+")  # noqa: RUF001 - people paste such dashes


class Judgement(StrEnum):
    """What became of an answer; `SWAPPED`: right, but for the order of its two lines."""

    RIGHT = "right"
    WRONG = "wrong"
    SWAPPED = "swapped"


class AnswerUnreadableError(ValueError):
    """A text is no answer. `problem` is CHARACTER or LENGTH."""

    def __init__(
        self, problem: Problem, *, text: str = "", found: int = 0, expected: int = 0
    ) -> None:
        super().__init__(f"{problem} in an answer")
        self.problem = problem
        self.text = text
        self.found = found
        self.expected = expected


def marked_lines(puzzle: Grid) -> tuple[House, House]:
    """Return the two rows or two columns with the fewest givens between them, in order.

    Ties: rows before columns, then the lower numbers.
    """
    layout, givens = puzzle.layout, puzzle.filled_cells

    def fewest(lines: tuple[House, ...]) -> tuple[int, tuple[House, House]]:
        ordered = sorted(lines, key=lambda line: ((line.mask & givens).bit_count(), line.number))
        first, second = sorted(ordered[:2], key=lambda line: line.number)
        return (givens & (first.mask | second.mask)).bit_count(), (first, second)

    in_rows, in_columns = fewest(layout.rows), fewest(layout.columns)
    return in_rows[1] if in_rows[0] <= in_columns[0] else in_columns[1]


def line_names(givens: str) -> tuple[str, str]:
    """Return the names of the marked lines of a puzzle's text."""
    first, second = marked_lines(parse_grid(givens))
    return first.name, second.name


def line_digits(solution: str, line: str) -> str:
    """Return the digits of one line of a solved grid, in its order."""
    layout = parse_grid(solution).layout
    return "".join(solution[cell] for cell in layout.parse_house(line).cells)


def answer_of(solution: str, lines: tuple[str, str]) -> str:
    """Return the digits that answer the puzzle."""
    return "".join(line_digits(solution, line) for line in lines)


def read_answer(text: str, solution: str, lines: tuple[str, str]) -> str:
    """Return the digits of an answer as typed. Raises AnswerUnreadableError.

    Its length is that of the two lines or of the grid.
    """
    digits = _BETWEEN.sub("", text)
    for mark in digits:
        if not (mark.isascii() and mark.isdecimal() and mark != "0"):
            raise AnswerUnreadableError(Problem.CHARACTER, text=mark)
    expected = len(answer_of(solution, lines))
    if len(digits) not in (expected, len(solution)):
        raise AnswerUnreadableError(Problem.LENGTH, found=len(digits), expected=expected)
    return digits


def judge(digits: str, solution: str, lines: tuple[str, str]) -> Judgement:
    """Judge digits that `read_answer` gave."""
    if digits in (solution, answer_of(solution, lines)):
        return Judgement.RIGHT
    if digits == answer_of(solution, (lines[1], lines[0])):
        return Judgement.SWAPPED
    return Judgement.WRONG


SLIPS = 2
"""Digits that may be wrong in what is still taken for an answer; two exchanged ones are two."""


def is_near(digits: str, solution: str, lines: tuple[str, str]) -> bool:
    """Say whether digits answer the puzzle but for a slip or two, in either order of the lines.

    Only for puzzles that everybody may know: of an open one it would tell for nothing.
    """
    keys = (solution, answer_of(solution, lines), answer_of(solution, lines[::-1]))
    return any(
        len(key) == len(digits) and len(key) - _count_right(digits, key) <= SLIPS for key in keys
    )


def answer_within(text: str, solution: str, lines: tuple[str, str]) -> str | None:
    """Return the answer that something said holds, None where it holds none.

    What is nothing but an answer's digits counts, right or wrong; between other words only what
    gives the puzzle away, in either order of the lines.
    """
    told = read_text(text)
    bare = _BETWEEN.sub("", told.plain)
    if _is_attempt(told.plain, bare, solution, lines):
        return bare
    if is_whole(told, solution):
        return solution
    return lines_within(told, solution, lines)


def _is_attempt(said: str, digits: str, solution: str, lines: tuple[str, str]) -> bool:
    """Say whether digits alone are meant for an answer: numbers can have as many by chance.

    They are where most are right, where nothing stands between them, or where each line holds
    every digit once. A whole grid that is mostly another is of another puzzle.
    """
    size = len(layout_of(solution).digits)
    if re.fullmatch("[1-9]+", digits) is None:
        return False
    if len(digits) == len(solution):
        return 2 * _count_right(digits, solution) > len(solution)
    if len(digits) != 2 * size:
        return False
    right = max(_count_right(digits, answer_of(solution, pair)) for pair in (lines, lines[::-1]))
    halves = digits[:size], digits[size:]
    return (
        said.strip() == digits
        or all(len(set(half)) == size for half in halves)
        or 3 * right >= 2 * len(digits)
    )


def _count_right(digits: str, right: str) -> int:
    return sum(one == other for one, other in zip(digits, right, strict=True))
