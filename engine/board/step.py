"""One step of solving: what follows, and the facts that it follows from.

A step is evidence, not prose: `bot.wording` makes its sentences and `bot.drawing` its picture from
the same record, and the tests prove it from the cited constraints alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from engine.board.layout import Cell, House, Layout

PLAIN_LEVEL = 3
"""Up to this level a step is plain: it needs no links, and may be a line of a trace."""


class Bound(StrEnum):
    """Which half of the rules a constraint is: a place must be there, or two may not."""

    AT_LEAST_ONE = "at least one"
    AT_MOST_ONE = "at most one"

    def __repr__(self) -> str:
        return f"Bound.{self.name}"


@dataclass(frozen=True, slots=True)
class CellConstraint:
    """A cell holds at least, or at most, one digit."""

    bound: Bound
    cell: Cell


@dataclass(frozen=True, slots=True)
class HouseConstraint:
    """A house (its index in `Layout.houses`) holds a digit in at least, or at most, one cell."""

    bound: Bound
    house: int
    digit: int


Constraint = CellConstraint | HouseConstraint


class LinkKind(StrEnum):
    """What a link says of its two ends."""

    STRONG = "strong"
    """If the first is false, the second is true."""
    WEAK = "weak"
    """If the first is true, the second is false."""

    def __repr__(self) -> str:
        return f"LinkKind.{self.name}"


@dataclass(frozen=True, slots=True)
class Node:
    """An end of a link: the digit in one of the cells; more than one cell is a group of a house."""

    cells: tuple[Cell, ...]
    digit: int


@dataclass(frozen=True, slots=True)
class Link:
    """One link of a chain, in the direction in which it is told."""

    first: Node
    second: Node
    kind: LinkKind


LOOP = "continuous-loop"
"""The variant of a chain that comes back to its start: of every two neighbours one is true."""


@dataclass(frozen=True, slots=True)
class Step:
    """An instance of a technique at a position.

    - `technique`: the id of the ladder, such as `naked-pair`; `level`: 1 to 6.
    - `houses`: indices of the houses in which the pattern lies, the one to look at first leading.
    - `cells`: the pattern's cells, lowest first; `digits`: its digits, lowest first.
    - `pattern`: candidate mask of the pattern itself (its digits in its cells, as they stand).
    - `places`: (cell, digit) that are settled. `removes`: candidate mask of what is struck; empty
      for a placement, since striking its peers is what placing does.
    - `constraints`: all that the conclusions rest on, together with the position's absent
      candidates inside the cited cells and houses, and nothing else. None can be spared.
    - `chains`: for a chain its one line of links; for a forcing chain one line for each case; for a
      wing, a colouring or a two-link pattern the links by which it can be told.
    - `variant`: which of its kinds it is, for a technique that has kinds: `type-1`, `sashimi`.
    - `trace`: for a traced contradiction the plain steps that follow from `assumed`, in order.
    - `is_by_uniqueness`: it rests, besides, on the puzzle having one solution only.
    - `covers`: indices of the houses in which the eliminations of a two-sided pattern lie, where
      they differ from `houses` (the line of a pointing pair, the box of a claiming one).
    """

    technique: str
    level: int
    houses: tuple[int, ...]
    cells: tuple[Cell, ...]
    digits: tuple[int, ...]
    pattern: int
    places: tuple[tuple[Cell, int], ...] = ()
    removes: int = 0
    constraints: tuple[Constraint, ...] = ()
    covers: tuple[int, ...] = ()
    chains: tuple[tuple[Link, ...], ...] = ()
    assumed: tuple[Cell, int] | None = None
    trace: tuple[Step, ...] = ()
    is_by_uniqueness: bool = False
    variant: str = ""

    def houses_in(self, layout: Layout) -> tuple[House, ...]:
        """Return the step's houses as values, the one to look at first leading."""
        return tuple(layout.houses[index] for index in self.houses)

    @property
    def key(self) -> str:
        """A text that tells this instance from every other on the same puzzle, stable for ever."""
        cells = ",".join(str(cell) for cell in self.cells)
        digits = "".join(str(digit) for digit in self.digits)
        key = f"{self.technique}:{cells}:{digits}"
        if self.level <= PLAIN_LEVEL:
            return key
        # Above that the same cells can be seen in several ways.
        covers = ",".join(str(house) for house in self.covers)
        ends = ",".join(str(cell) for cell in self.ends)
        return f"{key}:{self.variant}:{covers}:{ends}"

    @property
    def size(self) -> int:
        """How much there is to follow: the links of a chain, the lines of a trace, else cells."""
        links = sum(map(len, self.chains))
        return links or sum(1 + line.size for line in self.trace) or len(self.cells)

    @property
    def ends(self) -> tuple[Cell, ...]:
        """The cells at the two ends of the first line of links; none without links."""
        if not self.chains or not self.chains[0]:
            return ()
        line = self.chains[0]
        return (*line[0].first.cells, *line[-1].second.cells)


def scope_of(layout: Layout, constraint: Constraint) -> int:
    """Return the candidate mask that a constraint ranges over."""
    if isinstance(constraint, CellConstraint):
        return layout.cell_bits[constraint.cell]
    return layout.spread(layout.houses[constraint.house].mask, constraint.digit)


def premise_mask(layout: Layout, step: Step) -> int:
    """Return the candidate mask that the cited constraints range over.

    A candidate of it that the position lacks is a premise of the step; anything outside is not.
    """
    mask = 0
    for constraint in step.constraints:
        mask |= scope_of(layout, constraint)
    return mask


def support_mask(layout: Layout, step: Step) -> int:
    """Return the candidate mask of what must be absent or in the pattern for the step to hold.

    It is what the cited "at least one" constraints range over: each absence there shortens what is
    left to choose from. Where an "at most one" constraint ranges too, a candidate does no harm: a
    naked triple stays one whether or not a cell of it has lost one of its three digits. With links
    such a candidate could do harm by another of them, and all that is ranged over counts.

    A trace rests besides on what its lines rest on; what its assumption strikes is in there too.
    """
    least = most = 0
    for constraint in step.constraints:
        if constraint.bound is Bound.AT_LEAST_ONE:
            least |= scope_of(layout, constraint)
        else:
            most |= scope_of(layout, constraint)
    for line in step.trace:
        least |= support_mask(layout, line)
    has_links = bool(step.chains) or any(
        isinstance(constraint, CellConstraint) for constraint in step.constraints
    )
    return least if has_links and step.level > PLAIN_LEVEL else least & ~most


def victim_cells(layout: Layout, step: Step) -> int:
    """Return the cell mask of the cells that lose a candidate or receive a digit by the step."""
    changed = (*layout.pairs(step.removes), *step.places)
    return layout.mask_of(cell for cell, _ in changed)
