"""Worked steps: these cells, these digits, these eliminations, and no other instance beside them.

Crook's pair is published; the others were computed outside the project (each elimination checked
against the solution, each the only instance of its technique that eliminates anything there).
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from engine.board.grid import format_grid, parse_grid
from engine.solving.hint_search import find_kept_steps
from engine.solving.paths import apply_step, find_steps
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
FISH_GRID = "8.71953.61658..97.39.7.6581.319678.595.38176.786.5.193.73.186595.967.4.86.85.92.7"
WING_GRID = "57428...6986.53..71236.7.58618.75.4.4.78..56.2.5.6478.3517.86.47.25..8..8.9.1..75"
RECTANGLE_GRID = "548691732.1.384569936..21484.5.6932.329.458.6.61.23954....1.6..1....648.65..3.2.."
PAIRS_GRID = "1.6782.4984.6592.12..1346.84.19768..5..841.6.768523914614398.2.972465183385217496"


@dataclass(frozen=True)
class Worked:
    """`house` is one of the step's houses; `lines` are all of them, and the cover lines."""

    text: str
    technique: str
    cells: tuple[str, ...]
    digits: tuple[int, ...]
    removes: tuple[tuple[str, int], ...]
    house: str = ""
    lines: tuple[frozenset[str], frozenset[str]] | None = None
    places: tuple[tuple[str, int], ...] = ()
    variant: str = ""

    def __str__(self) -> str:
        return f"{self.technique} at {self.cells[0]}"


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
    Worked(
        TRIPLE_GRID,
        "skyscraper",
        ("r4c6", "r4c9", "r5c6", "r6c9"),
        (8,),
        (("r6c5", 8),),
        lines=(frozenset({"column 6", "column 9"}), frozenset()),
    ),
    Worked(
        PAIR_GRID,
        "x-wing",
        ("r2c6", "r2c9", "r9c6", "r9c9"),
        (7,),
        (("r2c7", 7), ("r9c5", 7), ("r9c7", 7), ("r9c8", 7)),
        lines=(frozenset({"column 6", "column 9"}), frozenset({"row 2", "row 9"})),
    ),
    Worked(
        FISH_GRID,
        "swordfish",
        ("r2c5", "r2c9", "r3c3", "r3c5", "r5c3", "r5c9"),
        (2,),
        (("r2c6", 2),),
        lines=(
            frozenset({"column 3", "column 5", "column 9"}),
            frozenset({"row 2", "row 3", "row 5"}),
        ),
    ),
    Worked(WING_GRID, "xy-wing", ("r7c5", "r8c6", "r9c6"), (2, 6, 9), (("r8c5", 9),)),
    Worked(
        RECTANGLE_GRID,
        "unique-rectangle",
        ("r3c4", "r3c5", "r8c4", "r8c5"),
        (5, 7),
        (("r8c4", 5), ("r8c4", 7)),
        variant="type-1",
    ),
    Worked(PAIRS_GRID, "bug-plus-one", ("r5c2",), (3,), (), places=(("r5c2", 3),)),
)


@pytest.mark.parametrize("worked", WORKED, ids=str)
def test_the_worked_step_is_the_only_instance_of_its_technique(worked: Worked) -> None:
    grid = parse_grid(worked.text)
    layout = grid.layout
    (step,) = find_steps(grid, technique_with(worked.technique))
    assert tuple(layout.format_cell(cell) for cell in step.cells) == worked.cells
    assert step.digits == worked.digits
    assert tuple(layout.format_pairs(step.removes)) == worked.removes
    houses, covers = (
        frozenset(layout.houses[index].name for index in indices)
        for indices in (step.houses, step.covers)
    )
    assert not worked.house or worked.house in houses
    if worked.lines is not None:
        # Of a skyscraper the two lines of its links; of a fish the base and the cover lines.
        assert worked.lines[0] <= houses
        assert worked.lines[1] <= houses | covers
    assert tuple((layout.format_cell(cell), digit) for cell, digit in step.places) == worked.places
    assert step.variant == worked.variant


def test_singles_lead_from_crooks_puzzle_to_his_grid() -> None:
    """Source: Crook, Notices AMS 56(4), 2009, p. 463."""
    grid = parse_grid(CROOK.text)
    singles = [technique for technique in LADDER if technique.level == 1]
    while steps := [step for technique in singles for step in technique.find(grid)]:
        grid = apply_step(grid, steps[0])
    assert format_grid(grid) == CROOK_AFTER_SINGLES
    assert grid.removed_mask == 0


@pytest.mark.parametrize(
    "text", [CROOK_AFTER_SINGLES, TRIPLE_GRID, PAIR_GRID, FISH_GRID, WING_GRID, RECTANGLE_GRID]
)
def test_the_hint_at_a_worked_grid_needs_no_higher_level_than_a_placement_asks_for(
    text: str,
) -> None:
    grid = parse_grid(text)
    level = find_lowest_level(read_position(text))
    steps = find_kept_steps(grid)
    if level is None:
        assert not steps or max(step.level for step in steps) > 3
    else:
        assert steps[0] in find_steps(grid, technique_with(steps[0].technique))
        assert max(step.level for step in steps) == level
