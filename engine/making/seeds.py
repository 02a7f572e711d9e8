"""Starting from known puzzles: shuffled first, so that nothing is recognisable, then changed.

A shuffle keeps the pattern of the givens where one is asked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from engine.board.canonical import pattern_images
from engine.board.grid import Grid
from engine.board.symmetry import random_symmetry, random_symmetry_keeping
from engine.making.recipes import Recipe
from engine.making.removal import Change
from engine.search.exact import find_solutions


@dataclass(frozen=True, slots=True)
class Seed:
    """A puzzle to start from, its one solution, and the change of places that keeps its pattern."""

    puzzle: Grid
    solution: Grid
    change: Change | None


def find_seeds(recipe: Recipe, puzzles: Sequence[Grid]) -> tuple[Seed, ...]:
    """Return those of the puzzles that can be started from: of the layout, with the pattern."""
    seeds = []
    for puzzle in puzzles:
        if puzzle.layout is not recipe.layout:
            continue
        solutions = find_solutions(puzzle)
        if len(solutions) != 1:
            continue
        changes: Sequence[Change | None] = (None,)
        if recipe.pattern:
            images = pattern_images(puzzle.layout, recipe.pattern)
            changes = [change for change in images if _has_pattern(puzzle, change)]
        if changes:
            seeds.append(Seed(puzzle, solutions[0], changes[0]))
    return tuple(seeds)


def _has_pattern(puzzle: Grid, change: Change) -> bool:
    filled = puzzle.filled_cells
    return all(filled >> cell & 1 == filled >> image & 1 for cell, image in enumerate(change))


def begin_from(random: Random, seed: Seed) -> tuple[int, Grid]:
    """Return the givens and the solution of a seed, seen otherwise."""
    layout = seed.puzzle.layout
    if seed.change is None:
        symmetry = random_symmetry(random, layout)
    else:
        symmetry = random_symmetry_keeping(random, layout, seed.change)
    return symmetry.move(seed.puzzle.placed), symmetry.apply(seed.solution)
