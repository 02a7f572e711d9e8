"""Every puzzle with one solution has an explained path to its end, and how hard random ones are.

Random minimal puzzles, always the same; the shares are printed at the end of the run.
"""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest

from engine.board.grid import Grid, format_grid, parse_grid
from engine.board.layout import SMALL, Layout
from engine.board.step import Step
from engine.making.puzzles import minimal_puzzle
from engine.search.exact import solve
from engine.solving.grading import find_sweeps
from engine.solving.paths import Path, apply_step, find_path, prune_path
from engine.techniques import LADDER, WITHOUT_UNIQUENESS
from tests.conftest import FIRED
from tests.published.puzzles import SOLVED

SEED = 20260402
MANY = 2000
FEW = 40
SHARE_OF_TRACES = 0.005
FORCING = ("cell-forcing-chain", "house-forcing-chain")


def puzzles(count: int) -> list[Grid]:
    random = Random(SEED)
    return [minimal_puzzle(random) for _ in range(count)]


def check_path(path: Path, solution: Grid) -> None:
    """Assert that the path leads to the solution, and that no step strikes a digit of it."""
    assert path.is_solved
    assert path.end == solution
    position = path.start
    for step in path.steps:
        assert not step.removes & solution.placed, step
        assert all(solution.digit_at(cell) == digit for cell, digit in step.places), step
        after = apply_step(position, step)
        assert after != position, step
        position = after
    assert position == path.end


def count_links(step: Step) -> int:
    return sum(len(line) for line in step.chains)


def explain(grids: list[Grid], name: str) -> Counter[str]:
    """Explain all; return, and leave to be printed, how many turn on which technique."""
    shares = FIRED.setdefault(f"{name}: hardest technique", Counter())
    lengths = FIRED.setdefault(f"{name}: links in forcing chains on the paths", Counter())
    kept = FIRED.setdefault(f"{name}: eliminations on the paths", Counter())
    for grid in grids:
        solution = solve(grid)
        assert solution is not None
        sweeps = find_sweeps(grid)
        assert sweeps.is_solved, grid
        assert sweeps.hardest is not None
        shares[sweeps.hardest.id] += 1
        path = find_path(grid)
        check_path(path, solution)
        pruned = prune_path(path)
        check_path(pruned, solution)
        kept["found"] += sum(1 for step in path.steps if step.removes)
        kept["that matter"] += sum(1 for step in pruned.steps if step.removes)
        for step in pruned.steps:
            if step.technique in FORCING:
                lengths[f"{count_links(step)} links"] += 1
    return shares


def test_random_puzzles_are_explained_to_their_end() -> None:
    shares = explain(puzzles(FEW), f"{FEW} random puzzles")
    assert sum(shares.values()) == FEW


@pytest.mark.long
def test_two_thousand_random_puzzles_are_explained_and_few_need_a_trace() -> None:
    shares = explain(puzzles(MANY), f"{MANY} random puzzles")
    assert sum(shares.values()) == MANY
    assert shares["traced-contradiction"] < SHARE_OF_TRACES * MANY


@pytest.mark.parametrize("puzzle", SOLVED, ids=str)
def test_published_puzzles_are_explained_to_their_published_solution(puzzle: object) -> None:
    """Source of each puzzle beside it in `tests.published.puzzles`."""
    text, solution = puzzle.text, puzzle.solution  # type: ignore[attr-defined]
    path = find_path(parse_grid(text))
    assert format_grid(path.end) == solution
    check_path(path, path.end)
    check_path(prune_path(path), path.end)


def test_the_ladder_without_uniqueness_explains_as_well_and_never_rests_on_it() -> None:
    assert len(LADDER) - len(WITHOUT_UNIQUENESS) == 4
    for grid in puzzles(FEW // 4):
        path = find_path(grid, ladder=WITHOUT_UNIQUENESS)
        assert path.is_solved
        assert not any(step.is_by_uniqueness for step in path.steps)


@pytest.mark.parametrize("layout", [SMALL], ids=repr)
def test_small_puzzles_are_explained(layout: Layout) -> None:
    random = Random(SEED)
    for _ in range(FEW):
        assert find_path(minimal_puzzle(random, layout)).is_solved
