"""The changes that turn a puzzle into the same puzzle seen otherwise: lines moved, digits renamed.

Bands, stacks and the lines inside them may change places, the grid may be mirrored on its diagonal
where the boxes are square, and digits may be renamed. Nothing about a puzzle's logic changes.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from engine.grid import Grid
from engine.layout import Layout, iterate_bits


@dataclass(frozen=True, slots=True)
class Symmetry:
    """`cells[old]` is the new cell, `digits[old - 1]` the new digit."""

    layout: Layout
    cells: tuple[int, ...]
    digits: tuple[int, ...]

    def move(self, candidates: int) -> int:
        """Return a candidate mask as it is after the change."""
        layout, moved = self.layout, 0
        for index in iterate_bits(candidates):
            cell, digit = layout.split(index)
            moved |= layout.bit(self.cells[cell], self.digits[digit - 1])
        return moved

    def apply(self, grid: Grid) -> Grid:
        """Return the position after the change, eliminations included."""
        return Grid(self.layout, self.move(grid.placed), self.move(grid.candidates))


def random_symmetry(random: Random, layout: Layout) -> Symmetry:
    """Return one of all symmetries of the layout, each as likely as any other."""
    size = layout.size
    rows = _random_order(random, size, layout.box_height)
    columns = _random_order(random, size, layout.box_width)
    turned = layout.box_height == layout.box_width and random.random() < 0.5
    cells = []
    for cell in range(layout.cell_count):
        row, column = divmod(cell, size)
        row, column = rows[row], columns[column]
        cells.append(column * size + row if turned else row * size + column)
    digits = list(layout.digits)
    random.shuffle(digits)
    return Symmetry(layout, tuple(cells), tuple(digits))


def _random_order(random: Random, size: int, group: int) -> list[int]:
    """Return a new order of lines in which those of a band or stack stay together."""
    order: list[int] = []
    starts = list(range(0, size, group))
    random.shuffle(starts)
    for start in starts:
        members = list(range(start, start + group))
        random.shuffle(members)
        order += members
    return order
