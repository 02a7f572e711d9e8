"""Reads the engine's values as plain ones: the only place where the two pictures meet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from engine.board.grid import Grid, format_grid
from engine.board.layout import Layout
from engine.board.layout_names import layout_name
from engine.board.step import Step
from tests.independent.definitions import Instance
from tests.independent.plain import Candidate, Plain, read_position, shape_named


def plain_of(grid: Grid) -> Plain:
    """Rebuild a position from its outside form alone."""
    layout = grid.layout
    return read_position(
        format_grid(grid),
        layout.format_pairs(grid.removed_mask),
        own=map(layout.format_cell, layout.cells_in(grid.own)),
        shape=shape_named(layout_name(layout)),
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


FISH = ("x-wing", "swordfish", "jellyfish")
COUNTED_IN_CELLS = ("remote-pair", "xy-chain", "als-xz", "long-xy-chain", "large-als-xz")
CHAINS = (
    *COUNTED_IN_CELLS,
    "x-chain",
    "alternating-inference-chain",
    "cell-forcing-chain",
    "house-forcing-chain",
    "traced-contradiction",
)
"""Of these each candidate that goes counts, with the shortest length at which it does."""


def length_of(step: Step) -> int:
    """Cells or links; 0 for a trace, which only a bounded search makes short.

    What a loop strikes goes by a chain of one link fewer: begun at one of its weak links.
    """
    if step.technique in COUNTED_IN_CELLS:
        return len(step.cells)
    links = sum(map(len, step.chains))
    return links - 1 if step.variant == "continuous-loop" else links


def shortest_of(layout: Layout, steps: Iterable[Step]) -> dict[Candidate, int]:
    """Candidate -> the shortest length at which one of the steps strikes it."""
    shortest: dict[Candidate, int] = {}
    for step in steps:
        for cell, digit in layout.pairs(step.removes):
            candidate, length = (layout.format_cell(cell), digit), length_of(step)
            shortest[candidate] = min(length, shortest.get(candidate, length))
    return shortest


def bare_instance_of(layout: Layout, step: Step) -> Instance:
    """A step of a higher level as its definition has it: houses count for fish alone."""
    found = instance_of(layout, step, with_houses=step.technique in FISH)
    return found if step.technique in FISH else replace(found, covers=frozenset())
