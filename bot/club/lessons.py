"""The worked position of a technique's lesson, read from the lesson itself.

Some need more than their digits: what was struck before, and which of the digits are no givens.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from bot import assets
from bot.club.facts import HintPicture, Position, facts_of_step
from engine import EMPTY_MARKS, Cell, Grid, find_steps, format_grid, parse_grid

_DRAWN = re.compile(r"## A worked position\n\n```\n(.+?)\n```\n\n(.+?)\n\n## ", re.DOTALL)
_SLIP = re.compile(r"## A common slip\n\n[^`]+```\n(.+)\n```")
_STRIKE = re.compile(r"(r\dc\d)-(\d)")
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
    grid, worked = parse_grid(found[1]), " ".join(found[2].split())
    layout = grid.layout
    # Its first sentence may give what was struck, behind a colon, or name what was not given.
    head, colon, told = worked.partition(". ")[0].partition(": ")
    struck = _DIGITS.findall(told) if _DIGITS.match(told) else ()
    cells = _CELL.findall(head) if _CELL.match(head) and not colon else ()
    pairs = [(cell, int(digit)) for cell, digits in struck for digit in digits.split()]
    grid = grid.with_own(layout.mask_of(map(layout.parse_cell, cells)))
    return grid.eliminate(layout.parse_pairs(pairs))


@cache
def worked_picture(technique: str) -> HintPicture:
    """Return the picture of a lesson's worked position, with what the technique does there."""
    grid = position_of_lesson(technique)
    step = facts_of_step(grid.layout, find_steps(grid, technique)[0])
    return HintPicture(givens_of(grid), Position.of(grid), step, "why", keeps_marks=True)


@dataclass(frozen=True, slots=True)
class Slip:
    """What somebody might take for the technique at the worked position, and it is not: `digits` in
    `cells`, or else a digit struck from one cell too many (`removes`)."""

    cells: tuple[Cell, ...] = ()
    digits: tuple[int, ...] = ()
    removes: tuple[tuple[Cell, int], ...] = ()


@cache
def slip_of_lesson(technique: str) -> Slip | None:
    """Return the slip that the lesson shows, None where it shows none."""
    found = _SLIP.search(_text(technique))
    if found is None:
        return None
    parse_cell = position_of_lesson(technique).layout.parse_cell
    if strikes := _STRIKE.findall(found[1]):
        return Slip(removes=tuple((parse_cell(cell), int(digit)) for cell, digit in strikes))
    digits, _, cells = found[1].partition(" in ")
    return Slip(tuple(map(parse_cell, cells.split())), tuple(map(int, digits)))


def givens_of(grid: Grid) -> str:
    """Return what of a position is given, as text."""
    return "".join(
        EMPTY_MARKS[0] if grid.own >> cell & 1 else mark
        for cell, mark in enumerate(format_grid(grid))
    )
