"""Rating a puzzle: search, sweeps, needs, ways round, turning points, minimality."""

from __future__ import annotations

from collections.abc import Iterator

from engine.grading import rate
from tests.bench import Figure, cpu_seconds_of, median, percentile
from tests.bench.search import minimal_puzzles

PUZZLES = 150
AIM = 50.0


def find_figures() -> Iterator[Figure]:
    times = [
        cpu_seconds_of(lambda grid=grid: rate(grid)) * 1e3 for grid in minimal_puzzles(PUZZLES)
    ]
    yield Figure(
        "random minimal puzzles: median", median(times), "ms", f"< {AIM:g}", median(times) < AIM
    )
    yield Figure("random minimal puzzles: 99th percentile", percentile(times, 0.99), "ms")
