"""The worked position of a technique's lesson, read from the lesson itself.

Some need more than their digits: what was struck before, and which of the digits are no givens.
"""

from __future__ import annotations

import re
from functools import cache

from bot import assets
from bot.club.facts import HintPicture, Position, facts_of_step
from engine import EMPTY_MARKS, Grid, find_steps, format_grid, parse_grid

_DRAWN = re.compile(r"## A worked position\n\n```\n(.+?)\n```\n\n(.+?)\n\n## ", re.DOTALL)
_CELL = re.compile(r"r\dc\d")
_DIGITS = re.compile(r"(r\dc\d)((?: \d)+)")


@cache
def position_of_lesson(technique: str) -> Grid:
    """Return the worked position. Raises FileNotFoundError where no lesson is written, ValueError
    where it has none."""
    text = assets.path("lessons", f"{technique}.md").read_text(encoding="utf-8")
    found = _DRAWN.search(text)
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
    return HintPicture(givens_of(grid), Position.of(grid), step, "why")


def givens_of(grid: Grid) -> str:
    """Return what of a position is given, as text."""
    return "".join(
        EMPTY_MARKS[0] if grid.own >> cell & 1 else mark
        for cell, mark in enumerate(format_grid(grid))
    )
