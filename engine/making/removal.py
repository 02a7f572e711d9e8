"""Taking givens away while one solution is left, group by group where a pattern is to be kept.

A puzzle is a mask of candidates here: those of its solution that are given. Nothing here knows
techniques.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from random import Random

from engine.board.canonical import pattern_images
from engine.board.grid import Grid
from engine.board.layout import CLASSIC, House, Layout, iterate_bits
from engine.making.grids import random_solution
from engine.making.recipes import groups_under
from engine.search.exact import find_solutions, solve

Change = tuple[int, ...]
"""Where each cell goes, under a symmetry of places."""


def grid_of(layout: Layout, givens: int) -> Grid:
    """Return the position of a mask of givens."""
    bare = Grid(layout, givens, layout.all_candidates)
    return Grid(layout, givens, bare.unstruck_candidates)


def random_change(random: Random, layout: Layout, pattern: str) -> Change | None:
    """Return one of the changes of places that a pattern stands for; None for any pattern."""
    return random.choice(pattern_images(layout, pattern)) if pattern else None


@dataclass(frozen=True, slots=True)
class Ground:
    """A full grid to make puzzles of, with the groups of candidates that are given together.

    `escapes[index]` holds masks of digits of the solution, that one among them, which another
    solution replaces all at once: a puzzle that gives none of them has both. Keeping them saves
    most of the searches for a second solution, and changes no answer.
    """

    solution: Grid
    groups: tuple[int, ...]
    escapes: dict[int, list[int]] = field(default_factory=dict)
    all_escapes: list[int] = field(default_factory=list)

    @property
    def layout(self) -> Layout:
        """The layout of the full grid."""
        return self.solution.layout

    def can_spare(self, givens: int, group: int) -> bool:
        """Say whether the puzzle without the group still has one solution, as it has with it.

        It has if no solution differs in the first cell, nor one in the second with the first given.
        """
        layout, left = self.layout, givens & ~group
        indexes = tuple(iterate_bits(group))
        for index in indexes:
            for escape in self.escapes.get(index, ()):
                if not escape & left:
                    return False
        for index in indexes:
            bit = 1 << index
            other = solve(Grid(layout, left, layout.all_candidates & ~bit))
            if other is not None:
                self.note_escape(self.solution.placed & ~other.placed)
                return False
            left |= bit
        return True

    def is_minimal(self, givens: int) -> bool:
        """Say whether a puzzle with one solution can spare no single given."""
        return not any(self.can_spare(givens, 1 << index) for index in iterate_bits(givens))

    def note_escape(self, escape: int) -> None:
        """Keep what another solution replaces."""
        self.all_escapes.append(escape)
        for index in iterate_bits(escape):
            self.escapes.setdefault(index, []).append(escape)

    def take_away(self, givens: int, groups: Iterable[int]) -> int:
        """Return the givens without each of the groups, in order, that can be spared."""
        for group in groups:
            if givens & group and self.can_spare(givens, group):
                givens &= ~group
        return givens

    def put_back(self, givens: int, groups: Iterable[int]) -> int:
        """Return the givens with so many of the groups, in order, that one solution is left."""
        for group in groups:
            if self._has_one_solution(givens):
                break
            givens |= group
        return givens

    def _has_one_solution(self, givens: int) -> bool:
        if any(not escape & givens for escape in self.all_escapes):
            return False
        found = find_solutions(Grid(self.layout, givens, self.layout.all_candidates))
        for other in found:
            if other.placed != self.solution.placed:
                self.note_escape(self.solution.placed & ~other.placed)
        return len(found) == 1


def ground_of(solution: Grid, change: Change | None) -> Ground:
    """Return a full grid with its groups: single digits, or what the change moves about."""
    layout = solution.layout
    cells = groups_under(change) if change else [(cell,) for cell in range(layout.cell_count)]
    groups = tuple(
        sum(layout.bit(cell, solution.digit_at(cell)) for cell in group) for group in cells
    )
    ground = Ground(solution, groups)
    for escape in _find_exchanges(solution):
        ground.note_escape(escape)
    return ground


def _find_exchanges(solution: Grid) -> Iterator[int]:
    """Yield escapes that need no search: what two digits, or two lines of the same boxes, exchange.

    Where one of two digits stands in a house with the other, both are exchanged; where two lines
    hold the same digit, at both of its places.
    """
    yield from _exchanges_of_digits(solution)
    if solution.layout.is_regular and not solution.layout.diagonals:
        yield from _exchanges_of_lines(solution, solution.layout.rows)
        yield from _exchanges_of_lines(solution, solution.layout.columns)


def _exchanges_of_lines(solution: Grid, lines: Sequence[House]) -> Iterator[int]:
    layout = solution.layout
    digits = [solution.digit_at(cell) for cell in range(layout.cell_count)]
    for one, other in combinations(lines, 2):
        if layout.box_of[one.cells[0]] != layout.box_of[other.cells[0]]:
            continue
        facing = {
            digits[cell]: (cell, across)
            for cell, across in zip(one.cells, other.cells, strict=True)
        }
        while facing:
            digit, cells = next(iter(facing)), 0
            while digit in facing:
                cell, across = facing.pop(digit)
                cells |= layout.cell_bits[cell] | layout.cell_bits[across]
                digit = digits[across]
            yield solution.placed & cells


def _exchanges_of_digits(solution: Grid) -> Iterator[int]:
    layout = solution.layout
    for one, other in combinations(layout.digits, 2):
        places = layout.plane(solution.placed, one) | layout.plane(solution.placed, other)
        while places:
            found, fresh = 0, places & -places
            while fresh:
                found |= fresh
                near = 0
                for cell in iterate_bits(fresh):
                    near |= layout.peers[cell]
                fresh = near & places & ~found
            places ^= found
            yield solution.placed & (layout.spread(found, one) | layout.spread(found, other))


def shuffled(random: Random, groups: Sequence[int]) -> list[int]:
    """Return the groups in another order; the order given stays as it is."""
    return random.sample(groups, len(groups))


def minimal_puzzle(random: Random, layout: Layout = CLASSIC) -> Grid:
    """Return a puzzle of whatever level from which no given can be taken."""
    ground = ground_of(random_solution(random, layout), None)
    groups = shuffled(random, ground.groups)
    return grid_of(layout, ground.take_away(ground.solution.placed, groups))
