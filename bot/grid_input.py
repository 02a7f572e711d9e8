"""Grids as the command line takes them: an argument, a file, or standard input.

Reading never guesses silently: what does not read as a grid is an error with its line's number.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import chain, islice
from pathlib import Path
from typing import TextIO

from engine import CLASSIC, Grid, Layout, layout_with, position_of


@dataclass(frozen=True, slots=True)
class GridInput:
    """One grid as it came in: its text, and its line (0 where it came alone)."""

    text: str
    line: int = 0


class InputProblem(StrEnum):
    """What can be wrong with a grid's argument."""

    NO_FILE = "no-file"
    NOTHING = "nothing"
    """No grid in it."""
    REMOVED = "removed"
    """Not cells and the digits struck of them."""


class InputError(Exception):
    """A grid, or what goes with it, cannot be read; `found` is what was given."""

    def __init__(self, problem: InputProblem, found: str) -> None:
        super().__init__(f"{problem}: {found}")
        self.problem = problem
        self.found = found


MOST_LINES_OF_ONE = 64
"""A grid that is drawn, with all its candidates and rulers, takes fewer."""


def find_grids(
    argument: str, standard_input: TextIO, layout: Layout | None = None
) -> Iterator[GridInput]:
    """Yield the grids of one argument. Raises InputError.

    One line with a whole grid, or several lines that make one together (drawn with rulers or not),
    are one grid; several lines that each hold a whole grid are several. Lines that start with `#`
    are remarks; of a line with several columns the first is taken.
    """
    if argument == "-":
        yield from _find_among(standard_input, argument, layout)
    elif _looks_like_a_path(argument):
        try:
            with Path(argument).open(encoding="utf-8") as file:
                yield from _find_among(file, argument, layout)
        except (OSError, UnicodeDecodeError):
            raise InputError(InputProblem.NO_FILE, argument) from None
    else:
        yield from _find_among(argument.splitlines(), argument, layout)


def _find_among(lines: Iterable[str], source: str, layout: Layout | None) -> Iterator[GridInput]:
    """Yield the grids of some lines; of several that are one a line never all are held."""
    numbered = ((number, line.strip()) for number, line in enumerate(lines, start=1))
    told = ((number, line) for number, line in numbered if line and not line.startswith("#"))
    first = list(islice(told, MOST_LINES_OF_ONE))
    if not first:
        raise InputError(InputProblem.NOTHING, source)
    if len(first) == 1:
        yield GridInput(_first_column(first[0][1]))
    elif _are_whole_grids([line for _, line in first], layout):
        for number, line in chain(first, told):
            yield GridInput(_first_column(line), number)
    else:
        yield GridInput("\n".join(line for _, line in chain(first, told)))


def _first_column(line: str) -> str:
    return line.split("\t")[0].split(",")[0]


def _looks_like_a_path(argument: str) -> bool:
    if is_file(argument):
        return True
    is_of_marks = re.fullmatch(r"[0-9.\s|+-]*", argument)
    return not is_of_marks and bool(re.search(r"[/\\]|\.[A-Za-z]+$", argument))


def is_file(argument: str) -> bool:
    """Say whether there is a file of this name; a grid may be too long for one."""
    try:
        return Path(argument).is_file()
    except (OSError, ValueError):  # too long, or with marks that no name has
        return False


def _are_whole_grids(lines: list[str], layout: Layout | None) -> bool:
    """Say so where a line is longer than any line of a drawn grid, or each has a grid's length."""
    longest_drawn = 4 * CLASSIC.size
    if any(len(line) > longest_drawn for line in lines):
        return True
    return all((layout or layout_with(len(line))).cell_count == len(line) for line in lines)


def parse_removed(text: str) -> list[tuple[str, int]]:
    """Read `r1c2 3, r1c4 1 5` into (cell name, digit) pairs. Raises InputError."""
    pairs: list[tuple[str, int]] = []
    for part in text.split(","):
        words = part.split()
        if not words:
            continue
        if len(words) < 2 or not all(len(word) == 1 and word.isdecimal() for word in words[1:]):
            raise InputError(InputProblem.REMOVED, part.strip())
        pairs.extend((words[0].lower(), int(word)) for word in words[1:])
    return pairs


def read_position(given: GridInput, removed: str, layout: Layout | None = None) -> Grid:
    """Read a grid and what is struck in it. Raises EngineError, InputError."""
    return position_of(given.text, parse_removed(removed), layout=layout)
