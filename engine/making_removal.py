"""Taking givens away while one solution is left, group by group where a pattern is to be kept.

A puzzle is a mask of candidates here: those of its solution that are given. Nothing here knows
techniques.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from random import Random

from engine.canonical import pattern_images
from engine.grid import Grid
from engine.layout import CLASSIC, Layout, iterate_bits
from engine.making_grids import random_solution
from engine.recipes import groups_under
from engine.search import count_solutions

Change = tuple[int, ...]
"""Where each cell goes, under a symmetry of places."""


def grid_of(layout: Layout, givens: int) -> Grid:
    """Return the position of a mask of givens."""
    bare = Grid(layout, givens, layout.all_candidates)
    return Grid(layout, givens, bare.unstruck_candidates)


def random_change(random: Random, layout: Layout, pattern: str) -> Change | None:
    """Return one of the changes of places that a pattern stands for; None for any pattern."""
    return random.choice(pattern_images(layout, pattern)) if pattern else None


def groups_of(solution: Grid, change: Change | None) -> list[int]:
    """Return the masks of candidates that are given together, or not at all."""
    layout = solution.layout
    cells = groups_under(change) if change else [(cell,) for cell in range(layout.cell_count)]
    return [sum(layout.bit(cell, solution.digit_at(cell)) for cell in group) for group in cells]


def can_spare(layout: Layout, givens: int, group: int) -> bool:
    """Say whether the puzzle without the group still has one solution, as it has with it.

    It has if no solution differs in the first cell, nor one in the second with the first given.
    """
    left = givens & ~group
    for index in iterate_bits(group):
        bit = 1 << index
        if count_solutions(Grid(layout, left, layout.all_candidates & ~bit), 1):
            return False
        left |= bit
    return True


def take_away(layout: Layout, givens: int, groups: Iterable[int]) -> int:
    """Return the givens without each of the groups, in order, that can be spared."""
    for group in groups:
        if givens & group and can_spare(layout, givens, group):
            givens &= ~group
    return givens


def put_back(layout: Layout, givens: int, groups: Iterable[int]) -> int:
    """Return the givens with so many of the groups, in order, that one solution is left."""
    for group in groups:
        if has_one_solution(layout, givens):
            break
        givens |= group
    return givens


def has_one_solution(layout: Layout, givens: int) -> bool:
    return count_solutions(Grid(layout, givens, layout.all_candidates)) == 1


def shuffled(random: Random, groups: Sequence[int]) -> list[int]:
    return random.sample(groups, len(groups))


def minimal_puzzle(random: Random, layout: Layout = CLASSIC) -> Grid:
    """Return a puzzle of whatever level from which no given can be taken."""
    solution = random_solution(random, layout)
    groups = shuffled(random, groups_of(solution, None))
    return grid_of(layout, take_away(layout, solution.placed, groups))
