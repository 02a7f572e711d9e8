"""The worked position of a technique's lesson, read from the lesson itself.

Some need more than their digits: what was struck before, and which of the digits are no givens.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from bot import assets
from bot.club.facts import HintPicture, Position, facts_of_step
from engine import Cell, Grid, find_steps, parse_grid

_DRAWN = re.compile(r"## A worked position\n\n```\n(.+?)\n```\n\n(.+?)\n\n## ", re.DOTALL)
_SLIP = re.compile(r"## A common slip\n\n[^`#]+```\n([^`]+)\n```")
_RULED = re.compile(r"^[-+.\d|]+\n", re.MULTILINE)
_STRIKE = re.compile(r"(r\dc\d)-(\d)")
_CASE = re.compile(r"(\d)(r\dc\d)")
_CELL = re.compile(r"r\dc\d")
_DIGITS = re.compile(r"(r\dc\d)((?: \d)+)")


def _text(technique: str) -> str:
    return assets.path("lessons", f"{technique}.md").read_text(encoding="utf-8")


@cache
def position_of_lesson(technique: str) -> Grid:
    """Return the worked position. Raises FileNotFoundError where no lesson is written, ValueError
    where it has none."""
    found = _DRAWN.search(_text(technique))
    if found is None:
        raise ValueError(f"the lesson on {technique} has no worked position")
    return _read_position(found[1], found[2])


def _read_position(drawn: str, told: str) -> Grid:
    grid, worked = parse_grid(drawn), " ".join(told.split())
    layout = grid.layout
    # Its first sentence may give what was struck, behind a colon, or name what was not given.
    head, colon, listed = worked.partition(". ")[0].partition(": ")
    struck = _DIGITS.findall(listed) if _DIGITS.match(listed) else ()
    cells = _CELL.findall(head) if _CELL.match(head) and not colon else ()
    pairs = [(cell, int(digit)) for cell, digits in struck for digit in digits.split()]
    grid = grid.with_own(layout.mask_of(map(layout.parse_cell, cells)))
    return grid.eliminate(layout.parse_pairs(pairs))


@cache
def worked_picture(technique: str) -> HintPicture:
    """Return the picture of a lesson's worked position, with what the technique does there."""
    grid = position_of_lesson(technique)
    step = facts_of_step(grid.layout, find_steps(grid, technique)[0])
    position = Position.of(grid)
    return HintPicture(position.givens, position, step, "why", keeps_marks=True)


@dataclass(frozen=True, slots=True)
class Slip:
    """What somebody might take for the technique at `grid`, and it is not: `digits` in `cells`, or
    else a digit struck from one cell too many (`removes`), for a forcing chain by the `cases` that
    lead to it, each a line of candidates. `is_elsewhere`: the position is not the worked one, which
    holds nothing that looks like it."""

    grid: Grid
    is_elsewhere: bool = False
    cells: tuple[Cell, ...] = ()
    digits: tuple[int, ...] = ()
    removes: tuple[tuple[Cell, int], ...] = ()
    cases: tuple[tuple[tuple[Cell, int], ...], ...] = ()


@cache
def slip_of_lesson(technique: str) -> Slip | None:
    """Return the slip that the lesson shows, None where it shows none.

    Its last line tells it; a position of its own is drawn above that, as a worked one is told.
    """
    found = _SLIP.search(_text(technique))
    if found is None:
        return None
    above, _, told = found[1].rpartition("\n")
    grid = _own_position(above + "\n") if above else position_of_lesson(technique)
    parse_cell, is_elsewhere = grid.layout.parse_cell, bool(above)
    if strikes := _STRIKE.findall(told):
        removes = tuple((parse_cell(cell), int(digit)) for cell, digit in strikes)
        lines = (_CASE.findall(line) for line in told.split(";"))
        cases = tuple(tuple((parse_cell(c), int(d)) for d, c in line) for line in lines if line)
        return Slip(grid, is_elsewhere, removes=removes, cases=cases)
    digits, _, cells = told.partition(" in ")
    names = map(parse_cell, cells.split())
    return Slip(grid, is_elsewhere, tuple(names), tuple(map(int, digits)))


def _own_position(above: str) -> Grid:
    drawn = "".join(_RULED.findall(above))
    return _read_position(drawn, above.removeprefix(drawn))
