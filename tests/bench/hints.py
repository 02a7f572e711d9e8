"""The next pruned hint at positions with no single available, the mistake check included.

The positions are those that sweeps come to where no technique of level 1 does anything: on random
minimal puzzles, as a club meets them, on the puzzles of `tests/corpus`, chosen so that the upper
techniques come up, and on published hard ones. Both the hint and the whole path are timed; what
techniques remember of a position is forgotten before each.
"""

from __future__ import annotations

import gc
from collections.abc import Iterable, Iterator
from functools import _lru_cache_wrapper

from engine.board.grid import Grid, parse_grid
from engine.search.exact import solve
from engine.solving.hints import find_hint
from engine.solving.paths import find_path
from engine.solving.sweeping import find_stages
from engine.techniques import LADDER
from tests.bench import Figure, cpu_seconds_of, median, percentile
from tests.bench.proving import minimal_puzzles
from tests.corpus import load_puzzles
from tests.published.puzzles import SOLVED

RANDOM_PUZZLES = 700
CHOSEN_PUZZLES = 300
MEDIAN_AIM, TAIL_AIM, WORST_AIM = 1.0, 25.0, 250.0


def find_figures() -> Iterator[Figure]:
    chosen = load_puzzles()
    groups = {
        "random minimal": minimal_puzzles(RANDOM_PUZZLES),
        "chosen": [parse_grid(each.text) for each in chosen[:: -(-len(chosen) // CHOSEN_PUZZLES)]],
        "published hard": [parse_grid(each.text) for each in SOLVED if each.level is None],
    }
    every: list[float] = []
    for name, puzzles in groups.items():
        times = [_hint_time(grid, solution) for grid, solution in _positions(puzzles)]
        every += times
        yield from _figures(f"{name}, {len(puzzles)} puzzles: hint", times)
        yield from _figures(f"{name}, {len(puzzles)} puzzles: path", list(map(_path_time, puzzles)))
    yield Figure("all: positions without a single", len(every), "")
    for what, value, aim in (
        ("median", median(every), MEDIAN_AIM),
        ("99th percentile", percentile(every, 0.99), TAIL_AIM),
        ("worst", max(every), WORST_AIM),
    ):
        yield Figure(f"all: hint, {what}", value, "ms", f"< {aim:g}", value < aim)


def _figures(name: str, times: list[float]) -> Iterator[Figure]:
    yield Figure(f"{name}, median", median(times), "ms")
    yield Figure(f"{name}, 99th percentile", percentile(times, 0.99), "ms")
    yield Figure(f"{name}, worst", max(times), "ms")


def _hint_time(grid: Grid, solution: Grid) -> float:
    _forget()
    return cpu_seconds_of(lambda: _is_sound(grid, solution) and find_hint(grid)) * 1e3


def _path_time(grid: Grid) -> float:
    _forget()
    return cpu_seconds_of(lambda: find_path(grid)) * 1e3


CACHES = [each for each in gc.get_objects() if isinstance(each, _lru_cache_wrapper)]


def _forget() -> None:
    """Empty what is remembered of single positions; what follows from a layout stays."""
    for cache in CACHES:
        if cache.cache_parameters()["maxsize"] is not None:
            cache.cache_clear()


def _positions(puzzles: Iterable[Grid]) -> Iterator[tuple[Grid, Grid]]:
    """Yield (position, solution) wherever sweeps come to a position without a single."""
    for puzzle in puzzles:
        solution = solve(puzzle)
        assert solution is not None
        for stage in find_stages(puzzle, LADDER):
            if stage.technique.level > 1:
                yield stage.position, solution


def _is_sound(grid: Grid, solution: Grid) -> bool:
    """The mistake check: every digit of the solution still stands or is still possible."""
    return not solution.placed & ~(grid.placed | grid.candidates)
