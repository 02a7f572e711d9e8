"""Making puzzles of nine themes, from nothing and from a dozen puzzles of the theme.

Times are of the processor, one puzzle after the other in one process, verification included.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from random import Random

from engine.board.grid import Grid, parse_grid
from engine.making.puzzles import make_puzzle
from engine.making.recipes import Recipe
from engine.techniques import technique_with
from tests.bench import Figure, cpu_seconds_of, median, percentile

AIMS = {
    "naked-pair": None, "hidden-pair": None, "naked-triple": 0.15, "hidden-triple": 0.15,
    "x-wing": 0.7, "xy-wing": None, "swordfish": 0.4, "skyscraper": None, "unique-rectangle": None,
}  # fmt: skip
"""Medians, in seconds, that are to be beaten without seeds."""

AIM_WITH_SEEDS = 1.0
PUZZLES = 25
SEEDS = 12


def find_figures() -> Iterator[Figure]:
    for theme, aim in AIMS.items():
        recipe = Recipe(levels=(technique_with(theme).level,), needs=(theme,))
        times, made = _times(recipe, ())
        yield from _rows(theme, "from nothing", times, aim)
        times, _ = _times(recipe, made[:SEEDS])
        yield from _rows(theme, "from a dozen", times, AIM_WITH_SEEDS)


def _times(recipe: Recipe, seeds: Sequence[Grid]) -> tuple[list[float], list[Grid]]:
    times, made = [], []

    def make(seed: int) -> None:
        made.append(parse_grid(make_puzzle(Random(seed), recipe, seeds=seeds).puzzle))

    for seed in range(PUZZLES):
        times.append(cpu_seconds_of(lambda seed=seed: make(seed)))
    return times, made


def _rows(theme: str, start: str, times: list[float], aim: float | None) -> Iterator[Figure]:
    value, name = median(times), f"{theme}, {start}"
    if aim is None:
        yield Figure(f"{name}: median", value, "s")
    else:
        yield Figure(f"{name}: median", value, "s", f"< {aim:g}", value < aim)
    yield Figure(f"{name}: 90th percentile", percentile(times, 0.9), "s")
    yield Figure(f"{name}: worst", max(times), "s")
