"""Full grids to make puzzles of: the same Random gives the same grid, on any machine."""

from __future__ import annotations

from random import Random

from engine.board.grid import Grid
from engine.board.layout import CLASSIC, Layout
from engine.errors import NoSolutionError, StoppedError
from engine.limits import limited
from engine.search.exact import count_solutions, find_solutions, solve
from engine.search.filling import find_full_grid

WORK_ON_A_DIGIT = 64
"""How much it may take to tell whether a digit can be completed where boxes are irregular."""


def random_solution(random: Random, layout: Layout = CLASSIC) -> Grid:
    """Return a full grid: boxes that share no line first, then digit by digit in random cells.

    A digit is kept as long as the rest can be completed, until just one way is left. Raises
    NoSolutionError where the layout has no full grid.
    """
    known_one = find_full_grid(layout)
    if known_one is None:
        raise NoSolutionError(f"{layout} has no full grid")
    if not layout.is_regular:
        return _random_irregular_solution(random, known_one)
    grid = _with_diagonal_boxes(random, layout)
    known = [found.placed for found in find_solutions(grid)]
    cells = list(range(layout.cell_count))
    random.shuffle(cells)
    for cell in cells:
        if len(known) < 2:
            known = [found.placed for found in find_solutions(grid)]
            if len(known) == 1:
                break
        held = grid.candidates_at(cell)
        for digit in random.sample(held, len(held)):
            bit = layout.bit(cell, digit)
            # A search is needed only where none of the solutions known so far has the digit.
            known_with = [found for found in known if found & bit]
            if not known_with and (found := solve(grid.place(cell, digit))) is not None:
                known_with = [found.placed]
            if known_with:
                grid, known = grid.place(cell, digit), known_with
                break
    return Grid(layout, known[0], 0)


def _random_irregular_solution(random: Random, known: Grid) -> Grid:
    """Return a full grid, wandering from a known one to others by other digits in random cells.

    Whether some digits can be completed takes long to tell where boxes are irregular, so a digit
    is tried only so long, and the one that is known to work is there to fall back on.
    """
    layout = known.layout
    grid = Grid.empty(layout)
    for cell in random.sample(range(layout.cell_count), layout.cell_count):
        for digit in random.sample(grid.candidates_at(cell), len(grid.candidates_at(cell))):
            tried = grid.place(cell, digit)
            if digit == known.digit_at(cell):
                break
            with limited(WORK_ON_A_DIGIT) as meter:
                try:
                    other = solve(tried)
                except StoppedError:
                    if not meter.is_used_up:
                        raise  # who asks has had enough
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
