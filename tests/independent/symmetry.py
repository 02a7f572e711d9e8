"""The symmetries of a grid, on names and texts alone: transposing, permuting rows inside bands,
bands, columns inside stacks, stacks, and relabelling. Rotations and mirrors are among them.

There are 2 * (3!**4)**2 * 9! of them for classic boxes, as Russell & Jarvis, "Mathematics of Sudoku
II" (2006) count: 3,359,232 times 9!.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import permutations, product

from tests.independent.definitions import Instance
from tests.independent.plain import (
    SHAPES,
    Candidate,
    CellName,
    Plain,
    Shape,
    cells_of,
    houses_of,
    name_of,
    read_position,
)


@dataclass(frozen=True)
class Symmetry:
    """`rows[r - 1]` is where row r goes, before transposing; likewise `columns` and `digits`."""

    shape: Shape
    rows: tuple[int, ...]
    columns: tuple[int, ...]
    digits: tuple[int, ...]
    is_transposed: bool

    def cell(self, cell: CellName) -> CellName:
        return self._images[cell]

    @cached_property
    def _images(self) -> Mapping[CellName, CellName]:
        lines = range(1, self.shape.size + 1)
        images = {}
        for cell, (row, column) in zip(cells_of(self.shape), product(lines, lines), strict=True):
            there = self.rows[row - 1], self.columns[column - 1]
            images[cell] = name_of(*(there[::-1] if self.is_transposed else there))
        return images

    def candidate(self, candidate: Candidate) -> Candidate:
        return self.cell(candidate[0]), self.digits[candidate[1] - 1]

    def house(self, house: str) -> str:
        """The house that has the images of the house's cells."""
        return self._houses[house]

    @cached_property
    def _houses(self) -> Mapping[str, str]:
        names = _names_by_cells(self.shape)
        return {
            house: names[frozenset(map(self.cell, cells))]
            for house, cells in houses_of(self.shape).items()
        }

    def text(self, text: str) -> str:
        marks = dict(zip(map(self.cell, cells_of(self.shape)), text, strict=True))
        return "".join(
            marks[cell] if marks[cell] in ".0" else str(self.digits[int(marks[cell]) - 1])
            for cell in cells_of(self.shape)
        )

    def position(self, position: Plain) -> Plain:
        return read_position(
            self.text(position.text),
            map(self.candidate, position.removed),
            own=map(self.cell, position.own),
        )

    def instance(self, instance: Instance) -> Instance:
        houses = instance.houses
        return Instance(
            frozenset(map(self.cell, instance.cells)),
            frozenset(self.digits[digit - 1] for digit in instance.digits),
            frozenset(map(self.candidate, instance.places)),
            frozenset(map(self.candidate, instance.removes)),
            None if houses is None else frozenset(map(self.house, houses)),
            frozenset(map(self.house, instance.covers)),
        )


@cache
def _names_by_cells(shape: Shape) -> dict[frozenset[CellName], str]:
    return {cells: name for name, cells in houses_of(shape).items()}


def line_orders(across: int, inside: int) -> Iterator[tuple[int, ...]]:
    """Every order of the lines that keeps bands together: `across` bands of `inside` lines."""
    for bands in permutations(range(across)):
        for inner in product(permutations(range(inside)), repeat=across):
            yield tuple(
                bands[band] * inside + inner[band][line] + 1
                for band in range(across)
                for line in range(inside)
            )


def symmetry_of_nothing(text: str) -> Symmetry:
    """The symmetry that moves nothing, for a grid of this text's size."""
    shape = SHAPES[len(text)]
    same = tuple(range(1, shape.size + 1))
    return Symmetry(shape, same, same, same, is_transposed=False)
