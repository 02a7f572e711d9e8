"""A step at its position as a told reason is read: what can be looked up, what was spoken of."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from engine import Grid, House, Step
from tests.bot.wording.clauses import CELL, cells_in, lines_named
from tests.bot.wording.told_chains import Walk


@dataclass
class Board:
    """What stands and what can still stand after what was supposed; `supposed` is what was."""

    grid: Grid
    stands: dict[int, int]
    left: dict[int, set[int]]
    supposed: tuple[int, int]

    def put(self, cell: int, digit: int) -> None:
        self.stands[cell] = digit
        self.left.pop(cell, None)
        for other, digits in self.left.items():
            if self.grid.layout.peers[cell] >> other & 1:
                digits.discard(digit)

    def places(self, house: House, digit: int) -> set[int]:
        return {cell for cell in house.cells if digit in self.left.get(cell, ())}

    def has(self, house: House, digit: int) -> bool:
        return any(self.stands.get(cell) == digit for cell in house.cells)


@dataclass
class Scene:
    """A step at its position, and what the sentences so far spoke of."""

    step: Step
    grid: Grid
    is_after: bool = False
    """Whether the steps that it rests on were named at its head."""
    house: House | None = None
    digit: int = 0
    places: set[int] = field(default_factory=set)
    settled: set[int] = field(default_factory=set)
    lines: tuple[list[House], list[House]] = ([], [])
    walk: Walk = field(init=False)
    pair: set[int] = field(default_factory=set)
    chain: list[int] = field(default_factory=list)
    sets: list[set[int]] = field(default_factory=list)
    colours: list[tuple[set[int], set[int]]] = field(default_factory=list)
    met: list[tuple[int, ...]] = field(default_factory=list)
    left: list[set[int]] = field(default_factory=list)
    corners: set[int] = field(default_factory=set)
    group: set[int] = field(default_factory=set)
    completing: dict[int, int] = field(default_factory=dict)
    boards: list[Board] = field(default_factory=list)
    announced: set[tuple[int, int]] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.walk = Walk(self.grid)

    def houses(self, text: str) -> list[House]:
        return [self.grid.layout.parse_house(name) for name in lines_named(text.lower())]

    def cells(self, text: str) -> set[int]:
        return cells_in(text, self.grid)

    def in_order(self, text: str) -> list[int]:
        return [self.grid.layout.parse_cell(name) for name in re.findall(CELL, text)]

    def struck(self) -> set[tuple[int, int]]:
        return set(self.grid.layout.pairs(self.step.removes))

    def open_in(self, house: House) -> set[int]:
        return set(self.grid.layout.cells_in(self.grid.open_cells & house.mask))

    def lacking(self, house: House) -> set[int]:
        return set(self.grid.layout.digits) - {self.grid.digit_at(cell) for cell in house.cells}

    def places_of(self, house: House, digit: int) -> set[int]:
        return {c for c in self.open_in(house) if digit in self.grid.candidates_at(c)}

    def held(self, cells: set[int]) -> set[int]:
        return {digit for cell in cells for digit in self.grid.candidates_at(cell)}

    def has(self, house: House, digit: int) -> bool:
        return digit in map(self.grid.digit_at, house.cells)

    def seen(self, cell: int, digit: int) -> bool:
        return any(self.has(house, digit) for house in self.grid.layout.houses_of[cell])

    def is_struck(self, cell: int, digit: int) -> bool:
        return digit not in self.grid.candidates_at(cell) and not self.seen(cell, digit)

    def barred_by(self, lines: str, digit: int, cells: set[int]) -> bool:
        """Whether every line named holds the digit, and the cells are the ones that they bar."""
        houses = self.houses(lines)
        return (
            bool(houses)
            and all(self.has(house, digit) for house in houses)
            and all(any(house.mask >> cell & 1 for house in houses) for cell in cells)
        )
