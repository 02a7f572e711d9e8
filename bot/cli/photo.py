"""The command line's photos: what stands on a paper grid that somebody photographed."""

from __future__ import annotations

import argparse
import sys

from bot import wording
from bot.cli.engine import FINE, WRONG_INPUT, complain, say, to_json
from bot.cli.json_format import photo_form
from bot.grid_input import InputError, find_grids, read_position
from bot.photo.told import MOST_BYTES
from bot.stock.photos import PhotoReader
from bot.wording import photo, terminal
from engine import EngineError, Grid


def read_photo(arguments: argparse.Namespace) -> int:
    """Print what a photo shows; exit code 2 where it shows no grid, or another than asked for."""
    try:
        with arguments.photo.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
    except OSError as error:
        complain(photo.unreadable_file(arguments.photo, error.strerror or ""))
        return WRONG_INPUT
    puzzles: dict[str, Grid] = {}
    try:
        for given in find_grids(arguments.puzzle, sys.stdin) if arguments.puzzle else ():
            puzzles[f"{given.line}"] = read_position(given, "")
    except EngineError as error:
        complain(wording.explain_error(error, terminal.EXAMPLE_GRID))
        return WRONG_INPUT
    except InputError as error:
        complain(terminal.input_error(error))
        return WRONG_INPUT
    reading = PhotoReader().read_and_wait(content, puzzles)
    if arguments.json:
        say(to_json(photo_form(reading)))
    elif reading.problem is None:
        say("\n".join(filter(None, (photo.draw_reading(reading), photo.tell_photo(reading)))))
    if reading.problem is None:
        return FINE
    complain(photo.tell_photo_problem(reading.problem, photo.THE_ONE_GIVEN))
    return WRONG_INPUT
