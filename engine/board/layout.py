"""The shape of a grid: cells, houses, peers, names, and the masks that all else computes with.

A layout is data, built once from its boxes and from whether its diagonals are houses too. This is
the only module that knows how many cells there are: nothing else says 9 or 81. A cell is an index
from 0, row by row; a digit is 1 to size. A *cell mask* is an int with one bit a cell. A *candidate
mask* is an int with one bit for each (digit, cell): bit = (digit - 1) * cell_count + cell,
digit-major, so that the cells that can hold one digit lie side by side (a *plane*).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cache
from math import isqrt
from typing import NewType, cast

from engine.errors import CellNameError, DigitError

Cell = NewType("Cell", int)
"""Index of a cell, row by row from 0."""


class HouseKind(StrEnum):
    """What a house is; the value is its name in the trade."""

    ROW = "row"
    COLUMN = "column"
    BOX = "box"
    DIAGONAL = "diagonal"

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
        """What a house is called: `row 4`, numbered from 1."""
        return f"{self.kind} {self.number}"

    @property
    def is_line(self) -> bool:
        """A row, a column or a diagonal: what is straight, whatever the shape of the boxes."""
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


_CELL_NAME = re.compile(r"r([0-9]{1,3})c([0-9]{1,3})", re.IGNORECASE)
_HOUSE_NAME = re.compile(r"(row|column|col|box|block|diagonal)\s*([0-9]{1,3})", re.IGNORECASE)
_HOUSE_WORDS = {
    "row": HouseKind.ROW,
    "column": HouseKind.COLUMN,
    "col": HouseKind.COLUMN,
    "box": HouseKind.BOX,
    "block": HouseKind.BOX,
    "diagonal": HouseKind.DIAGONAL,
}
MOST_DIGITS = 9
"""A digit is one character."""


def union_of(masks: Iterable[int]) -> int:
    """Return the mask of all that is in any of the masks."""
    union = 0
    for mask in masks:
        union |= mask
    return union


def iterate_bits(mask: int) -> Iterator[int]:
    """Yield the indices of the bits set in `mask`, lowest first."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """Everything that follows from a grid's boxes: `box_of` holds for each cell its box, from 0.

    Make one with `regular_layout`, `diagonal_layout` or `layout_names.irregular_layout`, which keep
    each, so that the same layout is the same object. `houses` lists the rows, the columns, the
    boxes, then the two diagonals where they count; `sorts` the same by sort, each diagonal a sort
    of its own, so that no two houses of a sort overlap; `house_by_sort[sort][cell]` is the cell's.
    Where `is_regular` the boxes are rectangles of `box_height` by `box_width`; otherwise these two
    only tell how a cell's candidates are set out. `peers[cell]` is the cell mask of the cells that
    share a house with it. `strikes[digit - 1][cell]` is the candidate mask of all that placing the
    digit there makes impossible, the placed candidate itself included (the grid keeps placed
    digits apart from candidates).
    """

    box_of: tuple[int, ...]
    has_diagonals: bool = False
    size: int = field(init=False)
    is_regular: bool = field(init=False)
    box_height: int = field(init=False)
    box_width: int = field(init=False)
    cell_count: int = field(init=False)
    all_cells: int = field(init=False)
    all_candidates: int = field(init=False)
    digits: tuple[int, ...] = field(init=False)
    marks: str = field(init=False)
    houses: tuple[House, ...] = field(init=False)
    sorts: tuple[tuple[House, ...], ...] = field(init=False)
    house_by_sort: tuple[tuple[House | None, ...], ...] = field(init=False)
    rows: tuple[House, ...] = field(init=False)
    columns: tuple[House, ...] = field(init=False)
    boxes: tuple[House, ...] = field(init=False)
    diagonals: tuple[House, ...] = field(init=False)
    houses_of: tuple[tuple[House, ...], ...] = field(init=False)
    peers: tuple[int, ...] = field(init=False)
    cell_bits: tuple[int, ...] = field(init=False)
    strikes: tuple[tuple[int, ...], ...] = field(init=False)
    families: tuple[tuple[Family, ...], ...] = field(init=False)
    """For each sort the families that its houses make: one where all have the same shape."""

    def __post_init__(self) -> None:
        size, count = isqrt(len(self.box_of)), len(self.box_of)
        sorts = _sorts_of(size, self.box_of, self.has_diagonals)
        houses = tuple(house for sort in sorts for house in sort)
        rectangle = _rectangle_of(size, self.box_of)
        houses_of = tuple(
            tuple(house for house in houses if house.mask >> cell & 1) for cell in range(count)
        )
        peers = tuple(
            union_of(house.mask for house in around) & ~(1 << cell)
            for cell, around in enumerate(houses_of)
        )
        cell_bits = tuple(
            Layout.mask_of(cell + count * d for d in range(size)) for cell in range(count)
        )
        height, width = rectangle or _candidates_shape(size)
        digits = tuple(range(1, size + 1))
        computed = {
            "size": size,
            "is_regular": rectangle is not None,
            "box_height": height,
            "box_width": width,
            "cell_count": count,
            "all_cells": (1 << count) - 1,
            "all_candidates": (1 << count * size) - 1,
            "digits": digits,
            "marks": "".join(map(str, digits)),
            "houses": houses,
            "sorts": sorts,
            "house_by_sort": tuple(_by_cell(sort, count) for sort in sorts),
            "rows": sorts[0],
            "columns": sorts[1],
            "boxes": sorts[2],
            "diagonals": tuple(house for sort in sorts[3:] for house in sort),
            "houses_of": houses_of,
            "peers": peers,
            "cell_bits": cell_bits,
            "strikes": tuple(
                tuple(cell_bits[cell] | peers[cell] << count * d for cell in range(count))
                for d in range(size)
            ),
            "families": tuple(_families_of(sort, size) for sort in sorts),
        }
        for name, value in computed.items():
            object.__setattr__(self, name, value)  # a frozen value computes its own fields once

    def __repr__(self) -> str:
        base = f"regular_layout({self.box_height}, {self.box_width})"
        if not self.is_regular:
            base = f"irregular_layout({self.box_map!r})"
        return f"diagonal_layout({base})" if self.has_diagonals else base

    def __reduce__(self) -> tuple[object, tuple[object, ...]]:
        return layout_of, (self.box_of, self.has_diagonals)

    def is_apart(self, cell: int, other: int) -> bool:
        """Say whether two cells lie in different boxes."""
        return self.box_of[cell] != self.box_of[other]

    @property
    def box_map(self) -> str:
        """Return the number of each cell's box, row by row: `irregular_layout` reads it."""
        return "".join(str(box + 1) for box in self.box_of)

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
        return tuple(sorted([self.split(index) for index in iterate_bits(candidates)]))

    @staticmethod
    def mask_of(cells: Iterable[int]) -> int:
        """Return the cell mask of the cells: the inverse of `cells_in`."""
        mask = 0
        for cell in cells:
            mask |= 1 << cell
        return mask

    def format_pairs(self, candidates: int) -> list[tuple[str, int]]:
        """Write a candidate mask as (cell name, digit) pairs, in order of cell, then digit."""
        return [(self.format_cell(cell), digit) for cell, digit in self.pairs(candidates)]

    def parse_pairs(self, pairs: Iterable[tuple[str, int]]) -> int:
        """Read (cell name, digit) pairs into a candidate mask. Raises CellNameError, DigitError."""
        mask = 0
        for name, digit in pairs:
            mask |= self.bit(self.parse_cell(name), self.parse_digit(str(digit)))
        return mask

    def cells_in(self, mask: int) -> tuple[Cell, ...]:
        """Return the cells of a cell mask, lowest first."""
        cells: list[int] = []
        while mask:
            low = mask & -mask
            cells.append(low.bit_length() - 1)
            mask ^= low
        return cast("tuple[Cell, ...]", tuple(cells))  # every technique asks: nothing is called

    def row_of(self, cell: int) -> int:
        """Return the row number, from 1."""
        return cell // self.size + 1

    def column_of(self, cell: int) -> int:
        """Return the column number, from 1."""
        return cell % self.size + 1

    def format_cell(self, cell: int) -> str:
        """Write `r4c7`, counted from 1; `parse_cell` is the inverse."""
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
        if len(text) == 1 and text in self.marks:
            return int(text)
        raise DigitError(text, self.size)

    def parse_house(self, text: str) -> House:
        """Read `row 4`, `column 3`, `box 5` (or `block 5`), `diagonal 1`. Raises CellNameError."""
        found = _HOUSE_NAME.fullmatch(text.strip())
        if found:
            kind = _HOUSE_WORDS[found[1].lower()]
            for house in self.houses:
                if house.kind is kind and house.number == int(found[2]):
                    return house
        raise CellNameError(text, self.size)


def _sorts_of(
    size: int, box_of: tuple[int, ...], has_diagonals: bool
) -> tuple[tuple[House, ...], ...]:
    """Return the houses by sort: rows, columns, boxes, and each diagonal by itself."""
    span = range(size)
    groups: list[tuple[HouseKind, int, list[list[int]]]] = [
        (HouseKind.ROW, 1, [[r * size + c for c in span] for r in span]),
        (HouseKind.COLUMN, 1, [[r * size + c for r in span] for c in span]),
        (HouseKind.BOX, 1, [[c for c, box in enumerate(box_of) if box == b] for b in span]),
    ]
    if has_diagonals:
        groups.append((HouseKind.DIAGONAL, 1, [[r * size + r for r in span]]))
        groups.append((HouseKind.DIAGONAL, 2, [[r * size + size - 1 - r for r in span]]))
    sorts, index = [], 0
    for kind, first, members in groups:
        sort = []
        for number, cells in enumerate(members, start=first):
            sort.append(House(index, kind, number, tuple(map(Cell, cells)), Layout.mask_of(cells)))
            index += 1
        sorts.append(tuple(sort))
    return tuple(sorts)


def _by_cell(houses: tuple[House, ...], count: int) -> tuple[House | None, ...]:
    found = {cell: house for house in houses for cell in house.cells}
    return tuple(found.get(Cell(cell)) for cell in range(count))


def _families_of(houses: tuple[House, ...], size: int) -> tuple[Family, ...]:
    """Return the houses of one sort as families, those of the same shape together."""
    every_plane = Layout.mask_of(size * size * d for d in range(size))
    by_shape: dict[tuple[int, ...], int] = {}
    for house in houses:
        first = house.cells[0]
        shape = tuple(cell - first for cell in house.cells)
        by_shape[shape] = by_shape.get(shape, 0) | every_plane << first
    return tuple(Family(shape, origins) for shape, origins in by_shape.items())


def _rectangle_of(size: int, box_of: tuple[int, ...]) -> tuple[int, int] | None:
    """Return the height and width of the boxes where all are rectangles set out regularly."""
    width = box_of.count(0) // max(1, len({c // size for c, box in enumerate(box_of) if box == 0}))
    if width and size % width == 0 and box_of == _rectangles(size // width, width):
        return size // width, width
    return None


def _rectangles(height: int, width: int) -> tuple[int, ...]:
    size = height * width
    return tuple(
        row // height * height + column // width for row in range(size) for column in range(size)
    )


def _candidates_shape(size: int) -> tuple[int, int]:
    """Return rows and columns that hold `size` candidates in about a square."""
    width = isqrt(size - 1) + 1
    return -(-size // width), width


@cache
def layout_of(box_of: tuple[int, ...], has_diagonals: bool) -> Layout:
    """Return the one layout with these boxes: numbered from 0 by their first cells, one a cell."""
    return Layout(box_of, has_diagonals)


def regular_layout(box_height: int, box_width: int) -> Layout:
    """Return the one layout whose boxes are `box_height` rows high and `box_width` columns wide.

    The size is their product. Raises ValueError for a size below 2 or above 9.

    >>> from engine import regular_layout
    >>> regular_layout(2, 4).size
    8
    """
    if not 2 <= box_height * box_width <= MOST_DIGITS:
        raise ValueError(f"boxes of {box_height} by {box_width} make no grid")
    return layout_of(_rectangles(box_height, box_width), False)


def diagonal_layout(base: Layout) -> Layout:
    """Return the same layout with the two diagonals as houses; the first starts top left.

    >>> from engine import CLASSIC, diagonal_layout
    >>> diagonal_layout(CLASSIC).diagonals[1].name
    'diagonal 2'
    """
    return layout_of(base.box_of, True)


CLASSIC = regular_layout(3, 3)
SMALL = regular_layout(2, 2)
MIDDLE = regular_layout(2, 3)
DIAGONAL = diagonal_layout(CLASSIC)
_BY_CELL_COUNT = {layout.cell_count: layout for layout in (SMALL, MIDDLE, CLASSIC)}


def layout_with(cell_count: int) -> Layout:
    """Return the regular layout that has so many cells; CLASSIC where none has.

    >>> from engine import layout_with
    >>> layout_with(36)
    regular_layout(2, 3)
    """
    return _BY_CELL_COUNT.get(cell_count, CLASSIC)
