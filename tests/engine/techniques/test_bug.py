"""BUG+1: where it fires, with exactly what, and where not."""

from __future__ import annotations

import pytest

from engine.board.grid import Grid, parse_grid
from engine.board.layout import MIDDLE, SMALL
from engine.techniques import technique_with
from tests.engine.techniques.checking import check

WORKED = "1.6782.4984.6592.12..1346.84.19768..5..841.6.768523914614398.2.972465183385217496"


def worked() -> Grid:
    """Facts.md, worked steps (computed)."""
    return parse_grid(WORKED)


def struck(*pairs: tuple[str, int]) -> Grid:
    grid = worked()
    for name, digit in pairs:
        grid = grid.eliminate(grid.layout.bit(grid.layout.parse_cell(name), digit))
    return grid


def test_the_worked_bug_plus_one_settles_its_cell() -> None:
    check("bug-plus-one", worked(), "box 4, row 5, column 2: 3 at r5c2 -> r5c2=3")
    (step,) = technique_with("bug-plus-one").find(worked())
    assert step.is_by_uniqueness
    assert technique_with("bug-plus-one").is_by_uniqueness


def test_it_rests_on_every_open_cell() -> None:
    grid = worked()
    (step,) = technique_with("bug-plus-one").find(grid)
    cited = [constraint.cell for constraint in step.constraints]  # type: ignore[union-attr]
    assert cited == list(grid.layout.cells_in(grid.open_cells))
    assert step.pattern == grid.candidates


def pairs_of_worked() -> list[tuple[str, int]]:
    grid = worked()
    return [(grid.layout.format_cell(c), d) for c, d in grid.layout.pairs(grid.candidates)]


@pytest.mark.parametrize(("cell", "digit"), pairs_of_worked())
def test_silent_with_any_one_candidate_less(cell: str, digit: int) -> None:
    check("bug-plus-one", struck((cell, digit)))


def test_silent_where_two_cells_have_three_candidates() -> None:
    grid = worked()
    more = next(
        grid.layout.bit(cell, digit)
        for cell in grid.layout.cells_in(grid.open_cells)
        for digit in grid.layout.digits
        if len(grid.candidates_at(cell)) == 2 and digit not in grid.candidates_at(cell)
    )
    check("bug-plus-one", Grid(grid.layout, grid.placed, grid.candidates | more))


def test_silent_where_the_digits_do_not_pair_up() -> None:
    """As many candidates, but one has moved, so that some house holds a digit once or thrice."""
    grid = worked()
    layout = grid.layout
    cell = next(c for c in layout.cells_in(grid.open_cells) if len(grid.candidates_at(c)) == 2)
    gone, stays = grid.candidates_at(cell)
    other = next(digit for digit in layout.digits if digit not in (gone, stays))
    moved = grid.candidates & ~layout.bit(cell, gone) | layout.bit(cell, other)
    assert moved.bit_count() == grid.candidates.bit_count()
    check("bug-plus-one", Grid(layout, grid.placed, moved))


def test_an_empty_or_a_full_grid_is_none() -> None:
    for layout in (SMALL, MIDDLE):
        check("bug-plus-one", Grid.empty(layout))
    full = "123456789456789123789123456214365897365897214897214365531642978642978531978531642"
    check("bug-plus-one", parse_grid(full))
