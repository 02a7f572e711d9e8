"""The shape of a grid: cells, houses, peers, names, and the masks that all else computes with.

A layout is data, built once from its size and its boxes. This is the only module that knows how
many cells there are: nothing else says 9 or 81. A cell is an index from 0, row by row; a digit is
1 to size. A *cell mask* is an int with one bit a cell. A *candidate mask* is an int with one bit
for each (digit, cell): bit = (digit - 1) * cell_count + cell, digit-major, so that the cells that
can hold one digit lie side by side (a *plane*).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cache
from typing import NewType

from engine.errors import CellNameError, DigitError

Cell = NewType("Cell", int)
"""Index of a cell, row by row from 0."""


class HouseKind(StrEnum):
    ROW = "row"
    COLUMN = "column"
    BOX = "box"

    def __repr__(self) -> str:
        return f"HouseKind.{self.name}"


@dataclass(frozen=True, slots=True)
class House:
    """A set of cells that holds each digit once. `index` is its place in `Layout.houses`."""

    index: int
    kind: HouseKind
    number: int
    cells: tuple[Cell, ...]
    mask: int

    @property
    def name(self) -> str:
        return f"{self.kind} {self.number}"

    @property
    def is_line(self) -> bool:
        return self.kind is not HouseKind.BOX

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True, slots=True)
class Family:
    """Constraints of one kind that do not overlap, for counting candidates in all of them at once.

    Shifting a candidate mask right by each of `shifts` in turn, and keeping the bits of `origins`,
    lays the members of every constraint of the family on one bit, once each.
    """

    shifts: tuple[int, ...]
    origins: int


_CELL_NAME = re.compile(r"r([0-9]+)c([0-9]+)", re.IGNORECASE)
_HOUSE_NAME = re.compile(r"(row|column|col|box|block)\s*([0-9]+)", re.IGNORECASE)
_HOUSE_WORDS = {
    "row": HouseKind.ROW,
    "column": HouseKind.COLUMN,
    "col": HouseKind.COLUMN,
    "box": HouseKind.BOX,
    "block": HouseKind.BOX,
}


def _mask_of(cells: Iterable[int]) -> int:
    mask = 0
    for cell in cells:
        mask |= 1 << cell
    return mask


def iterate_bits(mask: int) -> Iterator[int]:
    """Yield the indices of the bits set in `mask`, lowest first."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """Everything that follows from a grid's size and boxes. Make one with `regular_layout`.

    `houses` lists the rows, then the columns, then the boxes. `peers[cell]` is the cell mask of
    the cells that share a house with it. `strikes[digit - 1][cell]` is the candidate mask of all
    that placing the digit there makes impossible, the placed candidate itself included (the grid
    keeps placed digits apart from candidates).
    """

    size: int
    box_height: int
    box_width: int
    cell_count: int = field(init=False)
    all_cells: int = field(init=False)
    all_candidates: int = field(init=False)
    digits: tuple[int, ...] = field(init=False)
    marks: str = field(init=False)
    houses: tuple[House, ...] = field(init=False)
    rows: tuple[House, ...] = field(init=False)
    columns: tuple[House, ...] = field(init=False)
    boxes: tuple[House, ...] = field(init=False)
    houses_of: tuple[tuple[House, ...], ...] = field(init=False)
    peers: tuple[int, ...] = field(init=False)
    cell_bits: tuple[int, ...] = field(init=False)
    strikes: tuple[tuple[int, ...], ...] = field(init=False)
    cell_family: Family = field(init=False)
    house_families: tuple[Family, ...] = field(init=False)

    def __post_init__(self) -> None:
        size, height, width = self.size, self.box_height, self.box_width
        if height * width != size or size < 2:
            raise ValueError(f"boxes of {height} by {width} do not fit a grid of size {size}")
        assign = object.__setattr__  # a frozen value computes its own fields once
        count = size * size
        assign(self, "cell_count", count)
        assign(self, "all_cells", (1 << count) - 1)
        assign(self, "all_candidates", (1 << count * size) - 1)
        assign(self, "digits", tuple(range(1, size + 1)))
        assign(self, "marks", "".join(str(digit) for digit in self.digits))
        rows = [[r * size + c for c in range(size)] for r in range(size)]
        columns = [[r * size + c for r in range(size)] for c in range(size)]
        boxes = [
            [(top + r) * size + left + c for r in range(height) for c in range(width)]
            for top in range(0, size, height)
            for left in range(0, size, width)
        ]
        houses: list[House] = []
        for kind, groups in (
            (HouseKind.ROW, rows),
            (HouseKind.COLUMN, columns),
            (HouseKind.BOX, boxes),
        ):
            for number, cells in enumerate(groups, start=1):
                houses.append(
                    House(len(houses), kind, number, tuple(map(Cell, cells)), _mask_of(cells))
                )
        assign(self, "houses", tuple(houses))
        assign(self, "rows", tuple(houses[:size]))
        assign(self, "columns", tuple(houses[size : 2 * size]))
        assign(self, "boxes", tuple(houses[2 * size :]))
        houses_of = tuple(
            tuple(house for house in houses if house.mask >> cell & 1) for cell in range(count)
        )
        assign(self, "houses_of", houses_of)
        peers = []
        for cell in range(count):
            mask = 0
            for house in houses_of[cell]:
                mask |= house.mask
            peers.append(mask & ~(1 << cell))
        assign(self, "peers", tuple(peers))
        cell_bits = tuple(_mask_of(cell + count * d for d in range(size)) for cell in range(count))
        assign(self, "cell_bits", cell_bits)
        assign(
            self,
            "strikes",
            tuple(
                tuple(cell_bits[cell] | peers[cell] << count * d for cell in range(count))
                for d in range(size)
            ),
        )
        every_plane = _mask_of(count * d for d in range(size))
        assign(
            self,
            "cell_family",
            Family(tuple(count * d for d in range(size)), self.all_cells),
        )
        families = []
        for groups in (rows, columns, boxes):
            origin = groups[0][0]
            families.append(
                Family(
                    tuple(cell - origin for cell in groups[0]),
                    sum(every_plane << group[0] for group in groups),
                )
            )
        assign(self, "house_families", tuple(families))

    def __repr__(self) -> str:
        return f"regular_layout({self.box_height}, {self.box_width})"

    def __reduce__(self) -> tuple[object, tuple[int, int]]:
        return regular_layout, (self.box_height, self.box_width)

    def bit(self, cell: int, digit: int) -> int:
        """Return the candidate mask that holds just `digit` in `cell`."""
        return 1 << (digit - 1) * self.cell_count + cell

    def plane(self, candidates: int, digit: int) -> int:
        """Return the cell mask of the cells in which `candidates` has `digit`."""
        return candidates >> (digit - 1) * self.cell_count & self.all_cells

    def spread(self, cells: int, digit: int) -> int:
        """Return the candidate mask of `digit` in each cell of the cell mask `cells`."""
        return cells << (digit - 1) * self.cell_count

    def split(self, bit_index: int) -> tuple[Cell, int]:
        """Return the (cell, digit) of a candidate mask's bit index."""
        digit, cell = divmod(bit_index, self.cell_count)
        return Cell(cell), digit + 1

    def pairs(self, candidates: int) -> tuple[tuple[Cell, int], ...]:
        """Return the (cell, digit) pairs of a candidate mask, in order of cell, then digit."""
        return tuple(sorted(self.split(index) for index in iterate_bits(candidates)))

    def cells_in(self, mask: int) -> tuple[Cell, ...]:
        """Return the cells of a cell mask, lowest first."""
        return tuple(Cell(index) for index in iterate_bits(mask))

    def row_of(self, cell: int) -> int:
        """Return the row number, from 1."""
        return cell // self.size + 1

    def column_of(self, cell: int) -> int:
        """Return the column number, from 1."""
        return cell % self.size + 1

    def format_cell(self, cell: int) -> str:
        return f"r{self.row_of(cell)}c{self.column_of(cell)}"

    def parse_cell(self, text: str) -> Cell:
        """Read `r4c7` (either case). Raises CellNameError."""
        found = _CELL_NAME.fullmatch(text.strip())
        if found:
            row, column = int(found[1]), int(found[2])
            if 1 <= row <= self.size and 1 <= column <= self.size:
                return Cell((row - 1) * self.size + column - 1)
        raise CellNameError(text, self.size)

    def parse_digit(self, text: str) -> int:
        """Read one digit of this layout. Raises DigitError."""
        if text.isascii() and text.isdigit() and 1 <= int(text) <= self.size:
            return int(text)
        raise DigitError(text, self.size)

    def parse_house(self, text: str) -> House:
        """Read `row 4`, `column 3`, `box 5`, and for box also `block`. Raises CellNameError."""
        found = _HOUSE_NAME.fullmatch(text.strip())
        if found:
            kind = _HOUSE_WORDS[found[1].lower()]
            for house in self.houses:
                if house.kind is kind and house.number == int(found[2]):
                    return house
        raise CellNameError(text, self.size)


@cache
def regular_layout(box_height: int, box_width: int) -> Layout:
    """Return the one layout whose boxes are `box_height` rows high and `box_width` columns wide.

    The size is their product. Raises ValueError for a size below 2.
    """
    return Layout(box_height * box_width, box_height, box_width)


CLASSIC = regular_layout(3, 3)
SMALL = regular_layout(2, 2)
MIDDLE = regular_layout(2, 3)
_BY_CELL_COUNT = {layout.cell_count: layout for layout in (SMALL, MIDDLE, CLASSIC)}


def layout_with(cell_count: int) -> Layout:
    """Return the regular layout that has so many cells; CLASSIC where none has."""
    return _BY_CELL_COUNT.get(cell_count, CLASSIC)
