"""The next pruned hint at positions with no single available, the mistake check included.

The positions are those that sweeps come to where no technique of level 1 does anything: first on
random minimal puzzles, as a club meets them, then on the puzzles of `tests/corpus`, chosen so that
the upper techniques come up. Where the ladder is stuck the whole of it has been searched in vain;
those are counted in, and shown apart as well.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from engine.grid import Grid, parse_grid
from engine.search import solve
from engine.solving import find_hint
from engine.sweeping import find_stages
from engine.techniques import LADDER
from tests.bench import Figure, cpu_seconds_of, median, percentile
from tests.bench.search import minimal_puzzles
from tests.corpus import load_puzzles

RANDOM_PUZZLES = 300
MEDIAN_AIM, TAIL_AIM = 1.0, 20.0


def find_figures() -> Iterator[Figure]:
    groups = {
        "random minimal puzzles": minimal_puzzles(RANDOM_PUZZLES),
        "chosen puzzles": [parse_grid(puzzle.text) for puzzle in load_puzzles()],
    }
    for name, puzzles in groups.items():
        helped, stuck = [], []
        for grid, solution in _positions(puzzles):
            hints = [find_hint(grid)]
            seconds = cpu_seconds_of(
                lambda grid=grid, solution=solution: _is_sound(grid, solution) and find_hint(grid)
            )
            (helped if hints[0] else stuck).append(seconds * 1e3)
        every = helped + stuck
        yield Figure(f"{name}: positions", len(every), "")
        value = median(every)
        yield Figure(f"{name}: median", value, "ms", f"< {MEDIAN_AIM:g}", value < MEDIAN_AIM)
        value = percentile(every, 0.99)
        yield Figure(f"{name}: 99th percentile", value, "ms", f"< {TAIL_AIM:g}", value < TAIL_AIM)
        if stuck:
            yield Figure(f"{name}: of these stuck", len(stuck), "")
            yield Figure(f"{name}: median where stuck", median(stuck), "ms")


def _positions(puzzles: Iterable[Grid]) -> Iterator[tuple[Grid, Grid]]:
    """Yield (position, solution) wherever sweeps come to a position without a single."""
    for puzzle in puzzles:
        solution = solve(puzzle)
        assert solution is not None
        grid = puzzle
        for stage in find_stages(puzzle, LADDER):
            if stage.technique.level > 1:
                yield stage.position, solution
            grid = stage.outcome
        if not grid.is_complete:
            yield grid, solution


def _is_sound(grid: Grid, solution: Grid) -> bool:
    """The mistake check: every digit of the solution still stands or is still possible."""
    return not solution.placed & ~(grid.placed | grid.candidates)
