"""The command `rate`: what each grid is as a puzzle, in full where it comes alone, else in a line.

Many are a stream in and a stream out: none waits for all, and memory does not grow with them. Of
many, where they turn is told only when asked for: it takes four times as long as all the rest.
"""

from __future__ import annotations

import argparse
import math
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from itertools import chain, islice

from bot import wording
from bot.cli.engine import FAILED, FINE, WRONG_INPUT, complain, say, to_json
from bot.cli.json_format import rating_form, unrated, without_solution
from bot.cli.many import Course, Reading, count_lines
from bot.grid_input import GridInput, read_position
from bot.stock.workshop import is_stopping
from bot.wording import many_terminal, terminal
from engine import (
    CLASSIC,
    LADDER,
    WITHOUT_UNIQUENESS,
    EngineError,
    Layout,
    errors,
    format_grid,
    layout_named,
    limited,
    rate,
)


@dataclass(frozen=True, slots=True)
class Wish:
    """What is asked of each grid; other processes get it with each."""

    layout: Layout | None
    is_one_of_many: bool
    as_json: bool = False
    without_uniqueness: bool = False
    with_turning_points: bool = False
    with_all: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """What came of a grid: the exit code, what to print, and what to complain of."""

    code: int
    out: str = ""
    complaint: str = ""


def rate_grids(arguments: argparse.Namespace) -> int:
    """Print what each grid is as a puzzle. A wrong one costs the exit code, not the others'
    answers; with `--json` each of many gives a value in its place."""
    try:
        layout = layout_named(arguments.layout) if arguments.layout else None
    except errors.LayoutError as error:
        complain(wording.explain_error(error, "--layout diagonal"))
        return WRONG_INPUT
    course = Course(count_lines(arguments.grids), arguments.after)
    try:
        return _rate_all(arguments, layout, course)
    except KeyboardInterrupt:
        course.line.clear()
        complain(many_terminal.stopped(course.done, f"--after {course.done}"))
        return FAILED


def _rate_all(arguments: argparse.Namespace, layout: Layout | None, course: Course) -> int:
    reading = Reading(arguments.grids, layout)
    coming = iter(reading)
    first = list(islice(coming, 2))
    is_one_of_many, code = len(first) > 1, FINE
    wish = Wish(
        layout,
        is_one_of_many,
        as_json=arguments.json,
        without_uniqueness=arguments.no_uniqueness,
        with_turning_points=arguments.turning_points or not is_one_of_many,
        with_all=arguments.all,
    )
    given = islice(chain(first, coming), arguments.after, None)
    with closing(course.follow(partial(rate_one, wish), given)) as answers:
        for each, answer in answers:
            if answer.complaint:
                complain(terminal.placed(each.line, answer.complaint))
            if answer.out:
                say(answer.out)
            code = max(code, answer.code)
    return WRONG_INPUT if reading.is_wrong else code


def rate_one(wish: Wish, given: GridInput) -> Answer:
    """Rate one grid, in whatever process."""
    try:
        with limited(math.inf, is_stopping):
            return _rate(wish, given)
    except errors.StoppedError:
        return Answer(FAILED)
    except EngineError as error:
        # A digit twice in a house is a grid all the same, and has no solution.
        solutions = 0 if isinstance(error, errors.RepeatedDigitError) else None
        example = terminal.EXAMPLE_GRID if wish.layout in (None, CLASSIC) else ""
        complaint = wording.explain_error(error, example)
        if not wish.as_json:
            return Answer(WRONG_INPUT, complaint=complaint)
        if not wish.is_one_of_many:
            out = "" if solutions is None else to_json(without_solution(solutions))
            return Answer(WRONG_INPUT, out, complaint)
        out = to_json(unrated(given.line, given.text, solutions, complaint))
        return Answer(WRONG_INPUT, out, complaint)


def _rate(wish: Wish, given: GridInput) -> Answer:
    grid = read_position(given, layout=wish.layout)
    rating = rate(
        grid,
        ladder=WITHOUT_UNIQUENESS if wish.without_uniqueness else LADDER,
        with_turning_points=wish.with_turning_points,
    )
    code = FINE if rating.solutions == 1 else WRONG_INPUT
    if not wish.is_one_of_many:
        if wish.as_json:
            return Answer(code, to_json(rating_form(rating)))
        return Answer(code, terminal.rating(rating, with_all=wish.with_all))
    text = format_grid(grid)
    if not wish.as_json:
        return Answer(code, terminal.rating_line(text, rating))
    if code == FINE:
        form = rating_form(rating, with_turning_points=wish.with_turning_points)
        return Answer(code, to_json({"line": given.line, "grid": text, **form, "wrong": None}))
    wrong = terminal.rating(rating)
    return Answer(code, to_json(unrated(given.line, text, rating.solutions, wrong)))
