"""Minimal puzzles for benchmarks, always the same, and what proves one of them."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from engine.board.grid import Grid
from engine.making.puzzles import minimal_puzzle

SEED = 20260105

Prover = Callable[[], bool]
"""Says whether there is exactly one solution. All that may be prepared is prepared."""


def minimal_puzzles(count: int, seed: int = SEED) -> list[Grid]:
    """Return random minimal puzzles, always the same for a seed."""
    random = Random(seed)
    return [minimal_puzzle(random) for _ in range(count)]
