"""Links in words: what stands at their ends, and what is struck because one of two ends holds.

A chain is told as it is walked, from its first candidate being false or true; `stops` tells it.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.wording.prose import join_words, number_word
from bot.wording.sight import cell_names
from engine import Cell, Grid, House, Link, LinkKind, Node, Step

_MOST_NAMED = 3
"""So many cells that lose a candidate get a reason each; of more it is told once for all."""


def tell_node(grid: Grid, node: Node, *, holds: bool) -> str:
    """Write `r2c3 is 5`, `r2c3 is not 5`, `one of r1c1 and r1c2 is 5`, `neither of …`."""
    cells = cell_names(grid, node.cells)
    if len(node.cells) == 1:
        return f"{cells} is {'' if holds else 'not '}{node.digit}"
    if holds:
        return f"one of {cells} is {node.digit}"
    none = "neither" if len(node.cells) == 2 else "none"
    return f"{none} of {cells} is {node.digit}"


def shared_houses(grid: Grid, cells: Sequence[Cell]) -> tuple[House, ...]:
    """Return the houses that hold all the cells, lines first."""
    wanted = grid.layout.mask_of(cells)
    return tuple(
        house for house in grid.layout.houses_of[cells[0]] if house.mask & wanted == wanted
    )


def find_strong_house(grid: Grid, link: Link) -> House | None:
    """Return the house in which a digit has no place but the two ends of a link."""
    ends = grid.layout.mask_of((*link.first.cells, *link.second.cells))
    plane = grid.plane(link.first.digit)
    for house in shared_houses(grid, (*link.first.cells, *link.second.cells)):
        if plane & house.mask & ~ends == 0:
            return house
    return None


def starts_true(line: Sequence[Link]) -> bool:
    """Say whether a chain is told from its first candidate being true."""
    return line[0].kind is LinkKind.WEAK


def is_true_at_end(line: Sequence[Link]) -> bool:
    """Say whether the last candidate of a chain, as it is told, comes out true."""
    return starts_true(line) is (len(line) % 2 == 0)


def _tell_clashes(grid: Grid, cell: Cell, digit: int, ends: Sequence[Node]) -> str:
    """Say why `digit` cannot be in `cell` whichever end holds: what each would do to it."""
    holders: dict[tuple[str, int], list[str]] = {}
    for end in ends:
        if cell in end.cells:
            reason = "the cell is taken"
        else:
            reason = f"{_shared_name(grid, cell, end, ends)} has its {digit}"
        names = map(grid.layout.format_cell, end.cells)
        holders.setdefault((reason, end.digit), []).extend(names)
    return "; ".join(
        f"with {held} in {join_words(names, 'or')}, {reason}"
        for (reason, held), names in holders.items()
    )


def _shared_name(grid: Grid, cell: Cell, end: Node, ends: Sequence[Node]) -> str:
    """Name a house of the cell and the end, one that holds all the ends where there is one."""
    every = shared_houses(grid, (cell, *(each for node in ends for each in node.cells)))
    own = shared_houses(grid, (cell, *end.cells))
    return next((house.name for house in (*every, *own)), "one of its houses")


def tell_victims(grid: Grid, step: Step, ends: Sequence[Node]) -> str:
    """Say why what is struck is struck, given that one of the `ends` holds."""
    layout, pairs = grid.layout, grid.layout.pairs(step.removes)
    told = [
        f"{layout.format_cell(cell)} cannot be {digit}: {_tell_clashes(grid, cell, digit, ends)}."
        for cell, digit in pairs[:_MOST_NAMED]
    ]
    if len(pairs) > _MOST_NAMED:
        told.append("In the same way for the rest.")
    return " ".join(told)


def tell_either_end(grid: Grid, step: Step, ends: Sequence[Node]) -> str:
    """Say that one of the ends holds at least, and what becomes of what is struck either way."""
    if len({end.digit for end in ends}) == 1:
        return f"So {tell_one_of(grid, ends)}, and {tell_seeing_ends(grid, step, ends)}."
    either = " or ".join(tell_node(grid, end, holds=True) for end in ends)
    return f"So {either}, or both. {tell_victims(grid, step, ends)}"


def tell_one_of(grid: Grid, ends: Sequence[Node]) -> str:
    """Write `r2c3 or r4c5 is 8`, of ends with the same digit."""
    names = (grid.layout.format_cell(cell) for end in ends for cell in end.cells)
    return f"{join_words(names, 'or')} is {ends[0].digit}"


_NAMED = 3


def tell_seeing(grid: Grid, step: Step, what: str) -> str:
    """Write `r4c3 sees both`, where `what` is what all that is struck sees.

    What follows names the cells too, so that here many are only counted.
    """
    cells = sorted({cell for cell, _ in grid.layout.pairs(step.removes)})
    if len(cells) > _NAMED:
        return f"{number_word(len(cells))} cells see {what}"
    return f"{cell_names(grid, cells)} {'sees' if len(cells) == 1 else 'see'} {what}"


def tell_seeing_ends(grid: Grid, step: Step, ends: Sequence[Node]) -> str:
    """Write `r4c3 sees both`: why all that is struck is struck, where the ends have one digit."""
    return tell_seeing(grid, step, "both" if sum(len(e.cells) for e in ends) == 2 else "them all")
