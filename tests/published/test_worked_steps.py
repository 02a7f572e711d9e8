"""Worked steps: these cells, these digits, these eliminations, and no other instance beside them.

Crook's pair is published; the others were computed outside the project (each elimination checked
against the solution, each the only instance of its technique that eliminates anything there).
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from engine.grid import format_grid, format_pairs, parse_grid
from engine.solving import apply_step, find_hint_path, find_steps
from engine.techniques import LADDER, technique_with
from tests.independent.definitions import find_lowest_level
from tests.independent.plain import read_position
from tests.published.puzzles import CROOK

CROOK_AFTER_SINGLES = (
    ".395...8...18.937.....1.9541..4..5.3........7..7...86...67.82...1..9...5.....1..8"
)
"""Crook, Notices AMS 56(4), 2009, p. 463: the grid after all singles."""
TRIPLE_GRID = ".....2534.34.1.28.2...341...23...74.9.6...3121472.39..7.83..4.13....96..46..7.8.3"
PAIR_GRID = "8623.9..151382..9.794156283158.....9379518..22467938156254.19.8937.851.44819....."


@dataclass(frozen=True)
class Worked:
    text: str
    technique: str
    cells: tuple[str, ...]
    digits: tuple[int, ...]
    removes: tuple[tuple[str, int], ...]
    house: str

    def __str__(self) -> str:
        return f"{self.technique} in {self.house}"


TRIPLE_REMOVES = (("r7c5", 5), ("r7c5", 6), ("r8c4", 1), ("r8c4", 5), ("r8c5", 5))
WORKED = (
    Worked(
        CROOK_AFTER_SINGLES,
        "naked-pair",
        ("r3c3", "r4c3"),
        (2, 8),
        (("r5c3", 2), ("r5c3", 8), ("r8c3", 2), ("r8c3", 8), ("r9c3", 2)),
        "column 3",
    ),
    Worked(TRIPLE_GRID, "pointing", ("r7c8", "r9c8"), (9,), (("r3c8", 9),), "box 9"),
    Worked(
        TRIPLE_GRID, "naked-triple", ("r7c6", "r9c4", "r9c6"), (1, 5, 6), TRIPLE_REMOVES, "box 8"
    ),
    Worked(
        TRIPLE_GRID, "hidden-triple", ("r7c5", "r8c4", "r8c5"), (2, 4, 8), TRIPLE_REMOVES, "box 8"
    ),
    Worked(
        PAIR_GRID,
        "naked-pair",
        ("r5c7", "r5c8"),
        (4, 6),
        (("r4c7", 4), ("r4c7", 6), ("r4c8", 4), ("r4c8", 6)),
        "box 6",
    ),
)


@pytest.mark.parametrize("worked", WORKED, ids=str)
def test_the_worked_step_is_the_only_instance_of_its_technique(worked: Worked) -> None:
    grid = parse_grid(worked.text)
    layout = grid.layout
    (step,) = find_steps(grid, technique_with(worked.technique))
    assert tuple(layout.format_cell(cell) for cell in step.cells) == worked.cells
    assert step.digits == worked.digits
    assert tuple(format_pairs(layout, step.removes)) == worked.removes
    assert worked.house in [layout.houses[index].name for index in step.houses]
    assert step.places == ()


def test_singles_lead_from_crooks_puzzle_to_his_grid() -> None:
    """Source: Crook, Notices AMS 56(4), 2009, p. 463."""
    grid = parse_grid(CROOK.text)
    singles = [technique for technique in LADDER if technique.level == 1]
    while steps := [step for technique in singles for step in technique.find(grid)]:
        grid = apply_step(grid, steps[0])
    assert format_grid(grid) == CROOK_AFTER_SINGLES
    assert grid.removed_mask == 0


@pytest.mark.parametrize("text", [CROOK_AFTER_SINGLES, TRIPLE_GRID, PAIR_GRID])
def test_the_hint_at_a_worked_grid_needs_no_higher_level_than_a_placement_asks_for(
    text: str,
) -> None:
    grid = parse_grid(text)
    level = find_lowest_level(read_position(text))
    steps = find_hint_path(grid)
    if level is None:
        assert not steps or max(step.level for step in steps) > 3
    else:
        assert steps[0] in find_steps(grid, technique_with(steps[0].technique))
        assert max(step.level for step in steps) == level
