"""The traced contradiction: what is assumed, what follows line by line, and how it ends."""

from __future__ import annotations

import pytest

from engine.board.grid import Grid, parse_grid
from engine.board.step import PLAIN_LEVEL, Step, scope_of
from engine.search.exact import solve
from engine.solving.paths import apply_step, still_applies
from engine.techniques import technique_with
from tests.engine.techniques.test_forcing_chain import INKALA_2010
from tests.engine.techniques.test_inference_chain import WEBER, position_after_plain_steps

TRACE = "traced-contradiction"
INKALA_2012 = "8..........36......7..9.2...5...7.......457.....1...3...1....68..85...1..9....4.."
TWO_SOLUTIONS = "9.6.7.4.3...4..2...7..23.1.5.....1...4.2.8.6...3.....5.3.7...5...7..5...4.5.1.7.8"


def follow(grid: Grid, step: Step) -> Grid:
    """Return where the trace ends; assert that every line does something where it stands."""
    assert step.assumed is not None
    position = grid.place(*step.assumed)
    for line in step.trace:
        for cell, digit in line.places:
            assert digit in position.candidates_at(cell)
        if line.assumed is None:
            assert line.level <= PLAIN_LEVEL
        else:
            follow(position, line)
        after = apply_step(position, line)
        assert after != position
        position = after
    (breach,) = step.constraints
    assert not (position.candidates | position.placed) & scope_of(grid.layout, breach)
    return position


@pytest.mark.parametrize("text", [WEBER, INKALA_2010, INKALA_2012])
def test_a_trace_ends_with_nothing_left_for_a_cell_or_a_digit(text: str) -> None:
    grid = position_after_plain_steps(text)
    solution = solve(grid)
    assert solution is not None
    steps = list(technique_with(TRACE).find(grid))
    assert steps
    for step in steps:
        follow(grid, step)
        assert step.assumed is not None
        assert step.removes == grid.layout.bit(*step.assumed) == step.pattern
        assert not step.removes & solution.placed
        assert still_applies(grid, step)
        assert not still_applies(grid.eliminate(step.removes), step)


def test_the_shortest_traces_come_first_and_no_line_can_be_left_out() -> None:
    grid = position_after_plain_steps(WEBER)
    steps = list(technique_with(TRACE).find(grid))
    lengths = [len(step.trace) for step in steps]
    assert lengths == sorted(lengths)
    for step in steps:
        for number in range(len(step.trace)):
            assert step.assumed is not None
            position = grid.place(*step.assumed)
            for line in (*step.trace[:number], *step.trace[number + 1 :]):
                position = apply_step(position, line)
            (breach,) = step.constraints
            left = (position.candidates | position.placed) & scope_of(grid.layout, breach)
            later = step.trace[number + 1 :]
            rests = any(not still_applies(grid.place(*step.assumed), line) for line in later)
            assert left or rests


def test_without_just_one_solution_nothing_is_traced() -> None:
    assert not list(technique_with(TRACE).find(parse_grid(TWO_SOLUTIONS)))
    assert not list(technique_with(TRACE).find(Grid.empty()))
