"""New puzzles from a passed-in Random: the same seed gives the same puzzle, on any machine.

A full grid is drawn, and its givens are taken away in random order as long as one solution is
left. Where the result is too hard, givens are put back one by one. There is no clock here: limits
are counts of attempts, and `should_stop` only ends the work.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from random import Random

from engine.errors import NoSolutionError, StoppedError
from engine.grading import Rating, Sweeps, find_sweeps, needs_technique, rate
from engine.grid import Grid, format_grid, grid_with
from engine.layout import CLASSIC, Cell, Layout, iterate_bits
from engine.search import StopAsker, count_solutions, solve
from engine.symmetry import random_symmetry
from engine.techniques import LADDER, technique_with

ATTEMPTS = 2000


@dataclass(frozen=True, slots=True)
class Made:
    """A new puzzle and its solution as texts, and its rating."""

    puzzle: str
    solution: str
    rating: Rating


def make_puzzle(
    random: Random,
    *,
    levels: Collection[int],
    needs: tuple[str, ...] = (),
    symmetric: bool = False,
    layout: Layout = CLASSIC,
    attempts: int = ATTEMPTS,
    should_stop: StopAsker | None = None,
) -> Made | None:
    """Return a puzzle of one of the levels that needs all of `needs`; None after all attempts.

    `symmetric` keeps the pattern of givens the same when it is turned by half a turn. Raises
    UnknownTechniqueError, and StoppedError when told to stop.
    """
    wanted = tuple(technique_with(id) for id in needs)

    def is_wanted(sweeps: Sweeps) -> bool:
        return all(needs_technique(sweeps, technique) for technique in wanted)

    for attempt in range(attempts):
        if should_stop is not None and should_stop():
            raise StoppedError(attempt)
        solution = random_solution(random, layout)
        hard = _take_away(random, solution, symmetric)
        puzzle = _soften(random, hard, solution, levels, symmetric)
        if puzzle is None or not is_wanted(find_sweeps(puzzle)):
            continue
        rating = rate(puzzle)
        return Made(format_grid(puzzle), format_grid(solution), rating)
    return None


def random_solution(random: Random, layout: Layout = CLASSIC) -> Grid:
    """Return a full grid: boxes that share no line first, then digit by digit in random cells.

    A digit is kept as long as the rest can be completed, until just one way is left. Raises
    NoSolutionError where an irregular layout has no full grid.
    """
    if not layout.is_regular:
        return _random_irregular_solution(random, layout)
    grid = _with_diagonal_boxes(random, layout)
    cells = list(range(layout.cell_count))
    random.shuffle(cells)
    for cell in cells:
        if count_solutions(grid) == 1:
            break
        held = grid.candidates_at(cell)
        for digit in random.sample(held, len(held)):
            tried = grid.place(cell, digit)
            if count_solutions(tried, 1):
                grid = tried
                break
    found = solve(grid)
    assert found is not None  # every digit was kept only where a solution was left
    return found


def _random_irregular_solution(random: Random, layout: Layout) -> Grid:
    """Return a full grid, wandering from one to the next by other digits in random cells.

    Whether some digits can be completed takes long to tell where boxes are irregular, so a digit
    is tried only so long, and the one that is known to work is there to fall back on.
    """
    known = solve(Grid.empty(layout))
    if known is None:
        raise NoSolutionError(f"{layout} has no full grid")
    grid = Grid.empty(layout)
    for cell in random.sample(range(layout.cell_count), layout.cell_count):
        for digit in random.sample(grid.candidates_at(cell), len(grid.candidates_at(cell))):
            tried = grid.place(cell, digit)
            if digit == known.digit_at(cell):
                break
            try:
                other = solve(tried, should_stop=lambda: True)
            except StoppedError:
                continue
            if other is not None:
                known = other
                break
        grid = tried
    return known


def _with_diagonal_boxes(random: Random, layout: Layout) -> Grid:
    """Return a grid with boxes filled that share no line, drawn anew until it can be completed."""
    while True:
        grid, lines = Grid.empty(layout), 0
        for box in layout.boxes:
            if box.mask & lines:
                continue
            for cell, digit in zip(
                box.cells, random.sample(layout.digits, layout.size), strict=True
            ):
                grid = grid.place(cell, digit)
                for house in layout.houses_of[cell]:
                    lines |= house.mask
        if count_solutions(grid, 1):
            return grid


def shuffle_puzzle(random: Random, grid: Grid) -> Grid:
    """Return the same puzzle seen otherwise: lines moved, digits renamed."""
    return random_symmetry(random, grid.layout).apply(grid)


def minimal_puzzle(random: Random, layout: Layout = CLASSIC) -> Grid:
    """Return a puzzle of whatever level from which no given can be taken."""
    return _take_away(random, random_solution(random, layout), False)


def _groups_of(layout: Layout, symmetric: bool) -> list[tuple[int, ...]]:
    """Return the cells that are filled or empty together: pairs under half a turn, if symmetric."""
    last = layout.cell_count - 1
    if not symmetric:
        return [(cell,) for cell in range(layout.cell_count)]
    return [tuple(sorted({cell, last - cell})) for cell in range(last // 2 + 1)]


def _take_away(random: Random, solution: Grid, symmetric: bool) -> Grid:
    """Return a puzzle from which no more groups of givens can be taken."""
    layout = solution.layout
    left = dict(_digits_of(solution))
    groups = _groups_of(layout, symmetric)
    random.shuffle(groups)
    for group in groups:
        fewer = {cell: digit for cell, digit in left.items() if cell not in group}
        if count_solutions(grid_with(fewer.items(), layout=layout)) == 1:
            left = fewer
    return grid_with(left.items(), layout=layout)


def _soften(
    random: Random, puzzle: Grid, solution: Grid, levels: Collection[int], symmetric: bool
) -> Grid | None:
    """Return the puzzle with just so many givens put back that its level is one of `levels`.

    None where putting a group back jumps past the levels. What is beyond them need not be looked
    for: where the ladder up to the highest of them does not end, the puzzle is too hard.
    """
    layout, ladder = puzzle.layout, [each for each in LADDER if each.level <= max(levels)]
    hidden = [group for group in _groups_of(layout, symmetric) if not puzzle.digit_at(group[0])]
    random.shuffle(hidden)
    while True:
        sweeps = find_sweeps(puzzle, ladder)
        if sweeps.is_solved:
            hardest = sweeps.hardest
            return puzzle if hardest is not None and hardest.level in levels else None
        if not hidden:
            return None
        back = [(Cell(cell), solution.digit_at(cell)) for cell in hidden.pop()]
        puzzle = grid_with((*_digits_of(puzzle), *back), layout=layout)


def _digits_of(grid: Grid) -> tuple[tuple[Cell, int], ...]:
    return tuple(grid.layout.split(index) for index in iterate_bits(grid.placed))
