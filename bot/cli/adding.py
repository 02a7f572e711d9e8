"""The command `puzzles add`: each line is judged, and stored or queued before the next is.

Many are judged by all cores, a stream in and a stream out. What was stored before Ctrl-C stays, and
is not judged again when the same command goes on; the command is then no worse for it.
"""

from __future__ import annotations

import argparse
import asyncio
import math
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from functools import partial

from bot import wording
from bot.cli.destination import Destination, InStock, queue_of
from bot.cli.engine import FAILED, FINE, WRONG_INPUT, complain, say
from bot.cli.host import run_until_done
from bot.cli.many import Course, Reading, count_lines
from bot.cli.puzzles import Shelf, choose_club, clubs_of, find_shelf
from bot.club.vetting import Vetted, vet_puzzle
from bot.grid_input import GridInput, read_position
from bot.stock.workshop import is_stopping
from bot.storage import SqliteStore
from bot.wording import many_terminal, terminal, terminal_puzzles
from engine import EngineError, format_grid, limited


@dataclass(frozen=True, slots=True)
class Line:
    """A line to judge; `known` are its givens where they were there before the command began."""

    given: GridInput
    known: str = ""


@dataclass(frozen=True, slots=True)
class Judged:
    """A good puzzle, or what is wrong; neither for one that was known."""

    vetted: Vetted | None = None
    wrong: str = ""


def judge(credit: str, line: Line) -> Judged:
    """Judge one puzzle, in whatever process."""
    if line.known:
        return Judged()
    try:
        with limited(math.inf, is_stopping):
            vetted = vet_puzzle(read_position(line.given), credit=credit, origin="added")
    except EngineError as error:
        return Judged(wrong=wording.explain_error(error, terminal.EXAMPLE_GRID))
    if vetted.puzzle is None:
        return Judged(wrong=terminal_puzzles.refused(vetted))
    return Judged(vetted)


def add_puzzles(arguments: argparse.Namespace) -> int:
    """Judge puzzles, and add or queue each good one; one that is not costs the exit code alone."""
    shelf = find_shelf(arguments)
    if shelf is None:
        return WRONG_INPUT
    try:
        day = None if arguments.day is None else date.fromisoformat(arguments.day)
    except ValueError:
        complain(terminal.date_wrong(arguments.day))
        return WRONG_INPUT
    course = Course(count_lines(arguments.grids))
    try:
        return run_until_done(_add_all(shelf, arguments, day, course))
    except KeyboardInterrupt:
        course.line.clear()
        complain(many_terminal.stopped_adding(course.done))
        return FAILED


async def _add_all(
    shelf: Shelf, arguments: argparse.Namespace, on_date: date | None, course: Course
) -> int:
    async with shelf.open() as store:
        place = await _find_destination(shelf, store, arguments, on_date)
        if place is None:
            return WRONG_INPUT
        reading, known, code = Reading(arguments.grids), 0, FINE
        lines = _find_lines(reading, place)
        with closing(course.follow(partial(judge, arguments.credit), lines)) as judged:
            for line, what in judged:
                number = line.given.line
                problem, told = what.wrong, ""
                if line.known:
                    problem = place.pass_known(line.known, is_alone=not number)
                    known += not problem
                elif what.vetted is not None:
                    problem, told = await place.add(what.vetted)
                if problem:
                    complain(terminal.placed(number, problem))
                    code = WRONG_INPUT
                elif told:
                    say(terminal.placed(number, told))
                await asyncio.sleep(0)  # where Ctrl-C is heard
        if known:
            complain(place.tell_known(known))
    return WRONG_INPUT if reading.is_wrong else code


def _find_lines(reading: Reading, place: Destination) -> Iterator[Line]:
    for given in reading:
        try:
            givens = format_grid(read_position(given))
        except EngineError:
            givens = ""
        yield Line(given, givens if givens in place.known else "")


async def _find_destination(
    shelf: Shelf, store: SqliteStore, arguments: argparse.Namespace, on_date: date | None
) -> Destination | None:
    """Return where the puzzles go; None after a complaint."""
    if arguments.room is None and on_date is None and arguments.level is None:
        return InStock(store, await store.list_givens())
    club = choose_club(await clubs_of(shelf, store), arguments.room)
    return None if club is None else await queue_of(store, club, on_date, arguments.level)
