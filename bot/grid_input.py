"""Grids as the command line takes them: an argument, a file, or standard input.

A file may be in any encoding that its first bytes tell. Reading never guesses silently: what does
not read as a grid is an error with its line's number.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from io import BufferedReader
from itertools import chain, islice
from pathlib import Path
from typing import TextIO

from engine import CLASSIC, EngineError, Grid, Layout, errors, layout_with, position_of, read_pasted


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

_FEWEST_CELLS = 16
_ENCODINGS = (
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def find_grids(
    argument: str, standard_input: TextIO, layout: Layout | None = None
) -> Iterator[GridInput]:
    """Yield the grids of one argument. Raises InputError.

    One line with a whole grid, or several lines that make one together (drawn with rulers or not,
    a table, a list), are one grid; several lines that each hold a whole grid are several. Lines
    that start with `#` are remarks; of a line with several columns the first is taken where it is
    as long as a grid.
    """
    if argument == "-":
        typed = getattr(standard_input, "buffer", None)
        lines = _decoded(typed) if isinstance(typed, BufferedReader) else standard_input
        yield from _find_among(lines, argument, layout)
    elif _looks_like_a_path(argument):
        try:
            with Path(argument).open("rb") as file:
                yield from _find_among(_decoded(file), argument, layout)
        except OSError:
            raise InputError(InputProblem.NO_FILE, argument) from None
    else:
        text = _decode(argument.encode("utf-8", "surrogateescape"))
        yield from _find_among(text.splitlines(), argument, layout)


def _decoded(stream: BufferedReader) -> Iterator[str]:
    """Yield the lines of a stream of bytes; what is no UTF-8 is read as Latin-1."""
    start = stream.peek(4)[:4]
    encoding = next((name for mark, name in _ENCODINGS if start.startswith(mark)), "")
    if not encoding and b"\0" in start:
        encoding = "utf-16-le" if start[0] else "utf-16-be"
    if encoding:
        yield from codecs.getreader(encoding)(stream, "replace")
        return
    for line in stream:
        yield from _decode(line).splitlines()


def _decode(written: bytes) -> str:
    try:
        return written.decode("utf-8-sig")
    except UnicodeDecodeError:
        return written.decode("latin-1")


def _find_among(lines: Iterable[str], source: str, layout: Layout | None) -> Iterator[GridInput]:
    """Yield the grids of some lines; of several that are one a line never all are held."""
    told = (
        (number, line.rstrip("\r\n"))
        for number, line in enumerate(lines, start=1)
        if not line.lstrip().startswith("#")
    )
    first = list(islice(told, MOST_LINES_OF_ONE))
    filled = [line.strip() for _, line in first if line.strip()]
    if not filled:
        raise InputError(InputProblem.NOTHING, source)
    if len(filled) == 1:
        yield GridInput(_first_column(filled[0]))
    elif _are_whole_grids(filled, layout):
        for number, line in chain(first, told):
            if line.strip():
                yield GridInput(_first_column(line.strip()), number)
    else:
        yield GridInput("\n".join(line for _, line in chain(first, told)))


def _first_column(line: str) -> str:
    first = line.split("\t")[0].split(",")[0]
    return first if len(first) >= _FEWEST_CELLS else line


def _looks_like_a_path(argument: str) -> bool:
    if is_file(argument):
        return True
    if re.fullmatch(r"[0-9.\s|+-]*", argument) or "\n" in argument:
        return False
    marks = sum(mark in "0123456789.xX_*?#" for mark in argument)
    return marks * 2 < len(argument) or bool(re.search(r"[/\\]|\.[A-Za-z]+$", argument))


def is_file(argument: str) -> bool:
    """Say whether there is a file of this name; a grid may be too long for one."""
    try:
        return Path(argument).is_file()
    except (OSError, ValueError):  # too long, or with marks that no name has
        return False


def _are_whole_grids(lines: list[str], layout: Layout | None) -> bool:
    """Say so where each has a grid's length, or where one is longer than any line of a drawn grid
    and all together are no grid."""
    if all((layout or layout_with(len(line))).cell_count == len(line) for line in lines):
        return True
    longest_drawn = 4 * CLASSIC.size
    if all(len(line) <= longest_drawn for line in lines):
        return False
    try:
        read_pasted("\n".join(lines), layout or CLASSIC)
    except EngineError:
        return True
    return False


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


def read_position(
    given: GridInput, removed: str = "", layout: Layout | None = None, *, own: str = ""
) -> Grid:
    """Read a grid, as people paste it, what is struck in it, and which digits are no givens
    (`r1c2, r3c4`). Raises EngineError, InputError."""
    pairs, cells = parse_removed(removed), own.replace(",", " ").lower().split()
    try:
        text = read_pasted(given.text, layout or CLASSIC).text
    except errors.GridLengthError as error:
        if error.row:
            raise
        text = given.text
    except errors.GridCharacterError:
        text = given.text
    return position_of(text, pairs, own=cells, layout=layout)
