"""Exact search: the solutions of a position, whatever its difficulty, without any technique."""

from __future__ import annotations

from collections.abc import Callable

from engine.grid import Grid

StopAsker = Callable[[], bool]
"""Asked now and then during long work; True ends it early with StoppedError."""


def solve(grid: Grid, *, should_stop: StopAsker | None = None) -> Grid | None:
    """Return one solution, or None where there is none."""
    raise NotImplementedError


def count_solutions(grid: Grid, limit: int = 2, *, should_stop: StopAsker | None = None) -> int:
    """Return the number of solutions, counting no further than `limit`."""
    raise NotImplementedError


def find_solutions(grid: Grid, limit: int = 2, *, should_stop: StopAsker | None = None) -> tuple[Grid, ...]:
    """Return up to `limit` solutions."""
    raise NotImplementedError
