"""Exact search against persistent SAT on the hardest puzzles: those of facts.md, and our own.

Our own were made by climbing: from a random minimal puzzle, up to three givens are taken out again
and again and others put in until it is minimal once more; of each pair the one on which our search
branches more is kept. That is as hard as we could make it for ourselves, and no favour to us. (It
was the search without the first of the two things that follow.)

Both solvers prove that there is one solution; what is set up beforehand is as in `search`. What
made ours level: to strike what boxes and lines confine before branching (half the branches), and
then to branch on the cell with two candidates whose digits both stand most often in others of the
kind that it sees (a third fewer again; without the former just a tenth, and not worth it). Tried
and not kept: to branch on what strikes most candidates (more branches on easy puzzles), on the two
places of a digit in a house where no cell has two candidates (next to no fewer), on whichever of
both strikes most (hardly fewer, three times as dear).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from engine.board.grid import Grid, parse_grid
from engine.search.exact import count_solutions
from tests.bench import Figure, median
from tests.bench.proving import Prover, SatReference, time_prover
from tests.published.puzzles import SOLVED

ROUNDS = 5
OUR_OWN = Path(__file__).with_name("hard_puzzles.txt")


def hard_puzzles() -> list[Grid]:
    """Return the published hard ones, then our own."""
    published = [puzzle.text for puzzle in SOLVED if puzzle.level is None]
    return [parse_grid(text) for text in (*published, *OUR_OWN.read_text("utf-8").split())]


def find_figures() -> Iterator[Figure]:
    puzzles = hard_puzzles()
    best: dict[str, list[float]] = {}
    for _ in range(ROUNDS):
        provers: dict[str, Callable[[Grid], Prover]] = {
            "ours": lambda grid: lambda: count_solutions(grid) == 1,
            "python-sat": SatReference().prover,
        }
        for name, prover in provers.items():
            times = [time_prover(prover(grid)) for grid in puzzles]
            best[name] = list(map(min, times, best.get(name, times)))
    own, sat = best["ours"], best["python-sat"]
    yield Figure("puzzles", len(puzzles), "")
    yield Figure("ours, median", median(own) * 1e3, "ms")
    yield Figure("ours, mean", sum(own) / len(own) * 1e3, "ms")
    yield Figure("python-sat, median", median(sat) * 1e3, "ms")
    for name, ratio in (
        ("median", median(sat) / median(own)),
        ("total", sum(sat) / sum(own)),
    ):
        yield Figure(f"python-sat, {name}, times ours", ratio, "x", ">= 1", ratio >= 1)
