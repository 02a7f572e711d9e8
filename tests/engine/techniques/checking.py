"""One check for all techniques: a drawn grid in, all instances in our notation out.

The notation of a step: houses, digits at cells, then what follows, as in
`box 9: 9 at r7c8 r9c8 -> column 8: r3c8<>9` or `box 1: 7 at r2c3 -> r2c3=7`. Of a constraint:
`some 9 in box 9`, `no two 9 in column 8`, `something in r5c5`, `no two in r5c5`. Of a line of
links on one digit: `r2c7 = r2c3 - r8c3 = r8c9`, a group of cells joined by `+`.
"""

from __future__ import annotations

import itertools

from engine.board.grid import Grid, parse_grid
from engine.board.layout import CLASSIC, Cell, Layout, iterate_bits
from engine.board.step import CellConstraint, Constraint, Link, LinkKind, Node, Step
from engine.techniques import technique_with


def drawn(picture: str, removed: str = "") -> Grid:
    """Read a drawn grid, with candidates struck besides: `r1c2 3, r1c4 1 5`."""
    grid = parse_grid(picture)
    for part in filter(None, removed.split(", ")):
        cell, *digits = part.split(" ")
        for digit in digits:
            grid = grid.eliminate(grid.layout.bit(grid.layout.parse_cell(cell), int(digit)))
    return grid


def marked(picture: str, *, digit: int = 1, layout: Layout = CLASSIC) -> Grid:
    """Read a drawn grid without digits in which `digit` can only stand in the cells marked `*`.

    The other digits can stand anywhere, so that no pattern is theirs.
    """
    marks = "".join(picture.translate(str.maketrans("", "", "|+-")).split())
    assert len(marks) == layout.cell_count
    elsewhere = sum(1 << index for index, mark in enumerate(marks) if mark != "*")
    return Grid.empty(layout).eliminate(layout.spread(elsewhere, digit))


def pencilled(text: str, *, layout: Layout = CLASSIC) -> Grid:
    """Return an empty grid in which the named cells can hold only these digits: `r1c2 35, …`."""
    candidates = layout.all_candidates
    for part in text.split(", "):
        name, digits = part.split(" ")
        cell = layout.parse_cell(name)
        candidates &= ~layout.cell_bits[cell] | sum(layout.bit(cell, int(d)) for d in digits)
    return Grid(layout, 0, candidates)


def confined(grid: Grid, *houses: str) -> Grid:
    """Strike a digit from all cells of a house but the named ones: `row 5: 1 at r5c2 r5c8`."""
    for text in houses:
        name, _, rest = text.partition(": ")
        digit, _, cells = rest.partition(" at ")
        layout = grid.layout
        kept = sum(1 << layout.parse_cell(cell) for cell in cells.split())
        outside = layout.parse_house(name).mask & ~kept
        grid = grid.eliminate(layout.spread(outside, int(digit)))
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


def note_line(layout: Layout, line: tuple[Link, ...]) -> str:
    """Write a line of links on one digit in the notation."""

    def name(node: Node) -> str:
        return "+".join(map(layout.format_cell, node.cells))

    signs = {LinkKind.STRONG: "=", LinkKind.WEAK: "-"}
    for link, following in itertools.pairwise(line):
        assert link.second == following.first, "a line has no gap"
    return " ".join([name(line[0].first), *(f"{signs[k.kind]} {name(k.second)}" for k in line)])


def check_links(technique: str, grid: Grid, *expected: str) -> None:
    """Assert that the technique has one instance, told by exactly these lines of links."""
    (step,) = technique_with(technique).find(grid)
    assert [note_line(grid.layout, line) for line in step.chains] == list(expected)


def note_walk(layout: Layout, line: tuple[Link, ...]) -> str:
    """Write a line of links between single candidates: `1r1c1 = 2r1c1 - 2r1c5`."""

    def name(node: Node) -> str:
        (cell,) = node.cells
        return f"{node.digit}{layout.format_cell(cell)}"

    signs = {LinkKind.STRONG: "=", LinkKind.WEAK: "-"}
    for link, following in itertools.pairwise(line):
        assert link.second == following.first, "a line has no gap"
    return " ".join([name(line[0].first), *(f"{signs[k.kind]} {name(k.second)}" for k in line)])


def check_walk(technique: str, grid: Grid, *expected: str) -> None:
    """Assert that the technique has one instance, told by exactly these lines of candidates."""
    (step,) = technique_with(technique).find(grid)
    assert [note_walk(grid.layout, line) for line in step.chains] == list(expected)
