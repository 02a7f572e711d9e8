"""One check for all techniques: a drawn grid in, all instances in our notation out.

The notation of a step: houses, digits at cells, then what follows, as in
`box 9: 9 at r7c8 r9c8 -> column 8: r3c8<>9` or `box 1: 7 at r2c3 -> r2c3=7`. Of a constraint:
`some 9 in box 9`, `no two 9 in column 8`, `something in r5c5`, `no two in r5c5`.
"""

from __future__ import annotations

from engine.grid import Grid, parse_drawn
from engine.layout import Cell, Layout, iterate_bits
from engine.step import CellConstraint, Constraint, Step
from engine.techniques import technique_with


def drawn(picture: str, removed: str = "") -> Grid:
    """Read a drawn grid, with candidates struck besides: `r1c2 3, r1c4 1 5`."""
    grid = parse_drawn(picture)
    for part in filter(None, removed.split(", ")):
        cell, *digits = part.split(" ")
        for digit in digits:
            grid = grid.eliminate(grid.layout.bit(grid.layout.parse_cell(cell), int(digit)))
    return grid


def note(layout: Layout, step: Step) -> str:
    """Write a step in the notation."""
    houses = ", ".join(layout.houses[index].name for index in step.houses)
    digits = "".join(map(str, step.digits))
    cells = " ".join(map(layout.format_cell, step.cells))
    effects = [f"{layout.format_cell(cell)}={digit}" for cell, digit in step.places]
    struck: dict[Cell, str] = {}
    for cell, digit in sorted(layout.split(index) for index in iterate_bits(step.removes)):
        struck[cell] = struck.get(cell, "") + str(digit)
    effects += [f"{layout.format_cell(cell)}<>{gone}" for cell, gone in struck.items()]
    covers = "".join(f"{layout.houses[index].name}: " for index in step.covers)
    return f"{houses}: {digits} at {cells} -> {covers}{' '.join(effects)}"


def check(technique: str, grid: Grid, *expected: str) -> None:
    """Assert that the technique finds exactly these instances, in this order."""
    found = [note(grid.layout, step) for step in technique_with(technique).find(grid)]
    assert found == list(expected), found


def note_constraint(layout: Layout, constraint: Constraint) -> str:
    """Write a cited constraint in the notation."""
    if isinstance(constraint, CellConstraint):
        word = {"at least one": "something in", "at most one": "no two in"}[constraint.bound]
        return f"{word} {layout.format_cell(constraint.cell)}"
    word = {"at least one": "some", "at most one": "no two"}[constraint.bound]
    return f"{word} {constraint.digit} in {layout.houses[constraint.house].name}"


def check_evidence(technique: str, grid: Grid, *expected: str) -> None:
    """Assert that the technique has one instance, and that it cites exactly these constraints."""
    (step,) = technique_with(technique).find(grid)
    found = [note_constraint(grid.layout, constraint) for constraint in step.constraints]
    assert sorted(found) == sorted(expected), found
