"""Reads the engine's values as plain ones: the only place where the two pictures meet."""

from __future__ import annotations

from engine.grid import Grid, format_grid, format_pairs
from engine.layout import Layout
from engine.layout_names import layout_name
from engine.step import Step
from tests.independent.definitions import Instance
from tests.independent.plain import Plain, read_position, shape_named


def plain_of(grid: Grid) -> Plain:
    """Rebuild a position from its outside form alone."""
    removed = format_pairs(grid.layout, grid.removed_mask)
    return read_position(
        format_grid(grid), removed, shape=shape_named(layout_name(grid.layout))
    )


def instance_of(layout: Layout, step: Step, *, with_houses: bool = True) -> Instance:
    """A step as an instance of the plain definitions."""
    name = layout.format_cell
    return Instance(
        frozenset(name(cell) for cell in step.cells),
        frozenset(step.digits),
        frozenset((name(cell), digit) for cell, digit in step.places),
        frozenset((name(cell), digit) for cell, digit in layout.pairs(step.removes)),
        frozenset(layout.houses[index].name for index in step.houses) if with_houses else None,
        frozenset(layout.houses[index].name for index in step.covers),
    )
