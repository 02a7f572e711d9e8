"""What steps change: the position after them. Nothing here asks whether they are right."""

from __future__ import annotations

from collections.abc import Iterable

from engine.board.grid import Grid
from engine.board.step import Step


def apply_steps(grid: Grid, steps: Iterable[Step]) -> Grid:
    """Return the position after all the steps.

    On a grid with a mistake in it two steps can contradict each other; the later one then places
    nothing, and the position stays one that a Grid can show.
    """
    layout, removes = grid.layout, 0
    for step in steps:
        removes |= step.removes
        for cell, digit in step.places:
            if grid.candidates & layout.bit(cell, digit):
                grid = grid.place(cell, digit)
    return grid.eliminate(removes) if removes else grid
