"""A position as plain sets, built from its outside form: a text, and the candidates struck beyond.

Houses are made from row and column arithmetic here, on purpose not from `engine.board.layout`: a
wrong house there must not be able to hide behind the same wrong house here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property
from math import isqrt

CellName = str
Candidate = tuple[CellName, int]


@dataclass(frozen=True)
class Shape:
    """Boxes of so many rows by so many columns, or drawn by a map: one mark a cell, row by row."""

    box_height: int = 3
    box_width: int = 3
    box_map: str = ""
    has_diagonals: bool = False

    @property
    def size(self) -> int:
        return isqrt(len(self.box_map)) if self.box_map else self.box_height * self.box_width


CLASSIC_SHAPE = Shape(3, 3)
SHAPES = {16: Shape(2, 2), 36: Shape(2, 3), 81: CLASSIC_SHAPE}
"""Number of cells -> the shape of a text that says nothing else."""


def shape_named(name: str) -> Shape:
    """Read `classic`, `4x4`, `6x6`, `diagonal`, `irregular:MAP`, and `diagonal:` before another."""
    named = {"classic": CLASSIC_SHAPE, "4x4": SHAPES[16], "6x6": SHAPES[36]}
    first, _, rest = name.partition(":")
    if first == "diagonal":
        return replace(shape_named(rest or "classic"), has_diagonals=True)
    return Shape(box_map=rest) if first == "irregular" else named[name]


def name_of(row: int, column: int) -> CellName:
    return f"r{row}c{column}"


@cache
def cells_of(shape: Shape) -> tuple[CellName, ...]:
    """All cells, row by row."""
    span = range(1, shape.size + 1)
    return tuple(name_of(row, column) for row in span for column in span)


@cache
def houses_of(shape: Shape) -> Mapping[str, frozenset[CellName]]:
    """House name -> its cells."""
    span = range(1, shape.size + 1)
    houses = {f"row {r}": frozenset(name_of(r, c) for c in span) for r in span}
    houses |= {f"column {c}": frozenset(name_of(r, c) for r in span) for c in span}
    marks: dict[object, int] = {}  # boxes are numbered by their first cells
    for r in span:
        for c in span:
            mark: object = ((r - 1) // shape.box_height, (c - 1) // shape.box_width)
            if shape.box_map:
                mark = shape.box_map[(r - 1) * shape.size + c - 1]
            box = f"box {marks.setdefault(mark, len(marks) + 1)}"
            houses[box] = houses.get(box, frozenset()) | {name_of(r, c)}
    if shape.has_diagonals:
        houses["diagonal 1"] = frozenset(name_of(r, r) for r in span)
        houses["diagonal 2"] = frozenset(name_of(r, shape.size + 1 - r) for r in span)
    return houses


@cache
def houses_around(shape: Shape, cell: CellName) -> frozenset[str]:
    return frozenset(name for name, cells in houses_of(shape).items() if cell in cells)


@cache
def peers_of(shape: Shape, cell: CellName) -> frozenset[CellName]:
    around = (houses_of(shape)[name] for name in houses_around(shape, cell))
    return frozenset().union(*around) - {cell}


@dataclass(frozen=True)
class Plain:
    """`digits`: filled cell -> digit; `candidates`: open cell -> the digits it can still hold.

    `own`: the filled cells that are no givens.
    """

    shape: Shape
    digits: Mapping[CellName, int]
    candidates: Mapping[CellName, frozenset[int]]
    own: frozenset[CellName] = frozenset()

    def places(self, house: str, digit: int) -> frozenset[CellName]:
        """The open cells of a house that can still hold the digit."""
        return self._places.get((house, digit), frozenset())

    @cached_property
    def _places(self) -> Mapping[tuple[str, int], frozenset[CellName]]:
        found: dict[tuple[str, int], set[CellName]] = {}
        for house, cells in houses_of(self.shape).items():
            for cell in cells & self.candidates.keys():
                for digit in self.candidates[cell]:
                    found.setdefault((house, digit), set()).add(cell)
        return {key: frozenset(cells) for key, cells in found.items()}

    def open_in(self, house: str) -> frozenset[CellName]:
        return frozenset(c for c in houses_of(self.shape)[house] if c in self.candidates)

    def has(self, candidate: Candidate) -> bool:
        return candidate[1] in self.candidates.get(candidate[0], ())

    def after(self, places: Iterable[Candidate], removes: Iterable[Candidate]) -> Plain:
        """The position after writing `places`, whose peers lose them, and striking `removes`."""
        digits, own = dict(self.digits), set(self.own)
        left = {cell: set(here) for cell, here in self.candidates.items()}
        for cell, digit in removes:
            left.get(cell, set()).discard(digit)
        for cell, digit in places:
            digits[cell] = digit
            own.add(cell)
            left.pop(cell, None)
            for peer in peers_of(self.shape, cell):
                left.get(peer, set()).discard(digit)
        candidates = {cell: frozenset(here) for cell, here in left.items()}
        return Plain(self.shape, digits, candidates, frozenset(own))

    @cached_property
    def text(self) -> str:
        return "".join(str(self.digits.get(cell, ".")) for cell in cells_of(self.shape))

    @cached_property
    def removed(self) -> list[Candidate]:
        """What is struck beyond what the placed digits strike, in order of cell, then digit."""
        fresh = read_position(self.text, shape=self.shape).candidates
        return [
            (cell, digit)
            for cell, here in fresh.items()
            for digit in sorted(here - self.candidates[cell])
        ]


def read_position(
    text: str,
    removed: Iterable[Candidate] = (),
    *,
    own: Iterable[CellName] = (),
    shape: Shape | None = None,
) -> Plain:
    """Build the plain position of a grid's text, without the candidates of `removed`."""
    shape = shape or SHAPES[len(text)]
    digits = {
        cell: int(mark)
        for cell, mark in zip(cells_of(shape), text, strict=True)
        if mark not in ".0"
    }
    every = frozenset(range(1, shape.size + 1))
    seen: dict[CellName, set[int]] = {cell: set() for cell in cells_of(shape)}
    for cell, digit in digits.items():
        for peer in peers_of(shape, cell):
            seen[peer].add(digit)
    for cell, digit in removed:
        seen[cell].add(digit)
    candidates = {cell: every - seen[cell] for cell in seen if cell not in digits}
    return Plain(shape, digits, candidates, frozenset(own))


def true_candidates(solution: str) -> frozenset[Candidate]:
    """The (cell, digit) pairs of a full grid."""
    shape = SHAPES[len(solution)]
    return frozenset(zip(cells_of(shape), map(int, solution), strict=True))
