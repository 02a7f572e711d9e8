"""The leader's puzzles on the command line: list, stock, report, and the shelf that they are on.

`add`, `list` and `stock` work on the clubs' database, of a config or of a data folder, also while
the bot runs. Puzzles go in and out as plain lines.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from contextlib import AbstractAsyncContextManager
from dataclasses import dataclass
from pathlib import Path

from bot import drawing, wording
from bot.cli.engine import FAILED, FINE, WRONG_INPUT, complain, say, to_json
from bot.cli.host import read_config, run_until_done
from bot.cli.json_format import turning_form
from bot.cli.progress import StatusLine
from bot.club.plan import DayPlan
from bot.club.problems import Problem
from bot.club.state import Club, Puzzle
from bot.club.turning import UnsettledError, report_turning
from bot.grid_input import GridInput, InputError, find_grids, read_position
from bot.settings import Settings
from bot.stock.starting_stock import load_starting_stock
from bot.stock.stocker import Stocker
from bot.stock.workshop import Workshop
from bot.storage import SqliteStore, open_store
from bot.wiring import running as wiring
from bot.wording import many_terminal, terminal, terminal_puzzles
from engine import EngineError, count_solutions, errors, technique_with


@dataclass(frozen=True, slots=True)
class Shelf:
    """Where the clubs' puzzles are kept. `settings` None: a data folder without a config."""

    database: Path
    settings: Settings | None

    def open(self) -> AbstractAsyncContextManager[SqliteStore]:
        """Open the store beside a running bot, begun where there is none."""
        return open_store(self.database, alone=False)


def find_shelf(arguments: argparse.Namespace) -> Shelf | None:
    """Return the shelf of a command line; None after a complaint, also where a data folder holds
    none: a name mistyped would begin a second one."""
    if arguments.data is None:
        settings = read_config(arguments.config)
        return None if settings is None else Shelf(wiring.database_path(settings), settings)
    shelf = Shelf(arguments.data / wiring.DATABASE_NAME, None)
    if not shelf.database.exists():
        complain(terminal_puzzles.no_shelf(arguments.data, arguments.action))
        return None
    return shelf


async def clubs_of(shelf: Shelf, store: SqliteStore) -> tuple[Club, ...]:
    """Return the clubs of the database, those of the config among them."""
    for entry in shelf.settings.clubs if shelf.settings else ():
        await store.add_club(entry.platform, entry.room, entry.settings)
    return await store.load_clubs()


def _read_all(texts: Sequence[str]) -> list[GridInput] | None:
    try:
        return [grid for text in texts for grid in find_grids(text, sys.stdin)]
    except InputError as error:
        complain(terminal.input_error(error))
        return None


def choose_club(clubs: Sequence[Club], room: str | None) -> Club | None:
    """Return the club of a room, or the only one; complain where there is none such."""
    if room is None and len(clubs) == 1:
        return clubs[0]
    for club in clubs:
        if club.room_id == room:
            return club
    rooms = [club.room_id for club in clubs]
    complain(terminal_puzzles.which_club(room, rooms))
    return None


# --- list ---


def list_puzzles(arguments: argparse.Namespace) -> int:
    """Print the stock as plain lines; none that fits is FAILED."""
    shelf = find_shelf(arguments)
    if shelf is None:
        return WRONG_INPUT
    try:
        needs = technique_with(arguments.needs).id if arguments.needs else None
    except errors.UnknownTechniqueError as error:
        complain(wording.explain_error(error, terminal_puzzles.LIST_EXAMPLE))
        return WRONG_INPUT

    async def list_all() -> int:
        puzzles: tuple[Puzzle, ...] = ()
        if shelf.database.exists():
            async with shelf.open() as store:
                puzzles = await store.list_puzzles(level=arguments.level, needs=needs)
        for puzzle in puzzles:
            say(terminal_puzzles.line(puzzle))
        if not puzzles:
            complain(terminal.NO_PUZZLES)
        return FINE if puzzles else FAILED

    return run_until_done(list_all())


# --- stock ---


def fill_stock(arguments: argparse.Namespace) -> int:
    """Make what the clubs' plans lack, and print each puzzle as it is made."""
    shelf = find_shelf(arguments)
    if shelf is None:
        return WRONG_INPUT
    if arguments.at_least < 1:
        complain(terminal_puzzles.AT_LEAST_WRONG)
        return WRONG_INPUT

    async def fill() -> int:
        workshop = Workshop()
        try:
            async with shelf.open() as store:
                if not await clubs_of(shelf, store):
                    complain(terminal_puzzles.NO_CLUB)
                    return WRONG_INPUT
                await store.add_stock(load_starting_stock())
                stocker = Stocker(store, workshop, at_least=arguments.at_least)
                return await _fill(stocker)
        finally:
            workshop.close()

    return run_until_done(fill())


async def _fill(stocker: Stocker) -> int:
    bar = StatusLine(sys.stderr, time.monotonic)
    made, whole = 0, sum((await stocker.missing()).values())

    def show() -> None:
        bar.show(lambda seconds: many_terminal.progress(made, max(whole, made), seconds))

    def note(puzzle: Puzzle) -> None:
        nonlocal made
        made += 1
        bar.clear()
        say(terminal_puzzles.line(puzzle))
        show()

    show()

    try:
        await stocker.fill(note)
    finally:
        bar.clear()
    left: dict[DayPlan, int] = dict(await stocker.missing())
    for plan, count in left.items():
        complain(terminal_puzzles.still_missing(plan, count))
    return FAILED if left else FINE


# --- report ---


def report_puzzles(arguments: argparse.Namespace) -> int:
    """Print where each puzzle turns, and write the pictures where asked to."""
    given = _read_all(arguments.grids)
    if given is None:
        return WRONG_INPUT
    codes = [_report(each, arguments, is_one_of_many=len(given) > 1) for each in given]
    return WRONG_INPUT if WRONG_INPUT in codes else max(codes)


def _report(given: GridInput, arguments: argparse.Namespace, *, is_one_of_many: bool) -> int:
    try:
        grid = read_position(given)
        found = count_solutions(grid)
        if found != 1:
            problem = Problem.MANY_SOLUTIONS if found else Problem.NO_SOLUTION
            complain(terminal.placed(given.line, terminal.puzzle_refused(problem)))
            return WRONG_INPUT
        report = report_turning(grid)
    except EngineError as error:
        complain(terminal.placed(given.line, wording.explain_error(error, terminal.EXAMPLE_GRID)))
        return WRONG_INPUT
    except UnsettledError:
        complain(terminal.placed(given.line, terminal.STUCK))
        return FAILED
    if arguments.json:
        say(to_json(turning_form(report)))
    else:
        say(terminal_puzzles.turning_report(report))
    if arguments.pictures is None:
        return FINE
    prefix = f"puzzle-{given.line}-" if is_one_of_many else ""
    try:
        arguments.pictures.mkdir(parents=True, exist_ok=True)
        for part in wording.tell_turning(report):
            if part.picture is not None:
                file = arguments.pictures / f"{prefix}{part.name}.png"
                file.write_bytes(drawing.draw(part.picture, arguments.look))
                complain(str(file))
    except OSError as error:
        complain(terminal_puzzles.pictures_unwritable(arguments.pictures, error.strerror or ""))
        return WRONG_INPUT
    return FINE
