"""Rating a puzzle: search, sweeps, needs, ways round, minimality; then with turning points too."""

from __future__ import annotations

from collections.abc import Iterator

from engine.solving.grading import rate
from tests.bench import Figure, cpu_seconds_of, median, percentile
from tests.bench.proving import minimal_puzzles

PUZZLES = 150
AIM = 100.0


def find_figures() -> Iterator[Figure]:
    puzzles = minimal_puzzles(PUZZLES)
    for name, with_turning_points in (("judged", False), ("with turning points", True)):
        times = [
            cpu_seconds_of(
                lambda grid=grid, more=with_turning_points: rate(grid, with_turning_points=more)
            )
            * 1e3
            for grid in puzzles
        ]
        if with_turning_points:
            yield Figure(f"random minimal puzzles, {name}: median", median(times), "ms")
        else:
            value = median(times)
            yield Figure(
                f"random minimal puzzles, {name}: median", value, "ms", f"< {AIM:g}", value < AIM
            )
        yield Figure(
            f"random minimal puzzles, {name}: 99th percentile", percentile(times, 0.99), "ms"
        )
