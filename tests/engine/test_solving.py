"""Hints, narrowed hints, whether a step still applies, paths: on positions that can be read."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from engine.board.grid import Grid, parse_grid
from engine.board.layout import CLASSIC
from engine.board.step import PLAIN_LEVEL, Step, victim_cells
from engine.search.exact import solve
from engine.solving.hint_search import find_kept_steps
from engine.solving.hints import find_hint
from engine.solving.narrowing import Narrowing
from engine.solving.paths import apply_step, find_all_steps, find_path, prune_path, still_applies
from engine.solving.sweeping import Stage, find_stage
from engine.techniques import LADDER, PLAIN, RANKS, Technique, technique_with
from tests.engine.techniques.checking import drawn, note
from tests.published.puzzles import SOLVED

ENCYCLOPAEDIA = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
WEBER = ".2..........6....3.74.8.........3..2.8..4..1.6..5.........1.78.5....9..........4."

CROOK_AFTER_SINGLES = """
.39|5..|.8.
..1|8.9|37.
...|.1.|954
---+---+---
1..|4..|5.3
...|...|..7
..7|...|86.
---+---+---
..6|7.8|2..
.1.|.9.|..5
...|..1|..8
"""

LEADS_NOWHERE_FIRST = """
...|...|...
456|...|...
78.|...|...
---+---+---
...|...|...
..1|...|...
...|...|...
---+---+---
...|...|...
...|...|...
...|...|...
"""


def notes(grid: Grid, steps: tuple[Step, ...]) -> list[str]:
    return [note(grid.layout, step) for step in steps]


def test_an_available_single_is_the_hint_and_the_whole_of_its_path() -> None:
    grid = parse_grid(ENCYCLOPAEDIA)
    hint = find_hint(grid)
    assert hint is not None
    assert hint in find_all_steps(grid)
    assert hint.places
    assert find_kept_steps(grid) == (hint,)


def test_a_last_digit_comes_before_other_singles() -> None:
    grid = drawn(
        """
123|456|78.
...|...|...
...|...|...
---+---+---
...|1..|...
...|...|...
...|...|...
---+---+---
...|...|...
...|...|...
...|...|...
"""
    )
    hint = find_hint(grid)
    assert hint is not None
    assert note(grid.layout, hint) == "row 1: 9 at r1c9 -> r1c9=9"
    assert hint.technique == "last-digit"


def test_crooks_position_needs_steps_before_a_digit_and_the_hint_is_the_first() -> None:
    grid = parse_grid(CROOK_AFTER_SINGLES)
    path = find_kept_steps(grid)
    assert find_hint(grid) == path[0]
    assert [bool(step.places) for step in path] == [False] * (len(path) - 1) + [True]
    position = grid
    for step in path:
        assert step in find_all_steps(position)
        position = apply_step(position, step)
    solution = solve(grid)
    assert solution is not None
    assert not position.placed & ~solution.placed


def test_a_hint_never_is_an_elimination_that_leads_nowhere() -> None:
    grid = drawn(LEADS_NOWHERE_FIRST)
    assert [step.technique for step in find_all_steps(grid)] != []
    assert find_hint(grid) is None


def test_where_a_ladder_is_stuck_there_is_no_hint_and_the_path_says_so() -> None:
    grid = parse_grid(WEBER)
    path = find_path(grid, ladder=PLAIN)
    assert not path.is_solved
    assert find_hint(path.end, ladder=PLAIN) is None
    assert find_kept_steps(path.end, ladder=PLAIN) == ()
    assert find_all_steps(path.end, PLAIN) == ()


def test_a_full_grid_has_no_hint() -> None:
    full = solve(parse_grid(ENCYCLOPAEDIA))
    assert full is not None
    assert find_hint(full) is None
    assert find_path(full).steps == ()
    assert find_path(full).is_solved


@pytest.mark.parametrize("house", CLASSIC.houses, ids=str)
def test_a_hint_narrowed_to_a_house_meets_it(house) -> None:  # type: ignore[no-untyped-def]
    grid = parse_grid(ENCYCLOPAEDIA)
    hint = find_hint(grid, Narrowing(house=house))
    if hint is None:
        singles = [step for step in find_all_steps(grid) if step.places]
        assert not any(victim_cells(CLASSIC, step) & house.mask for step in singles)
        return
    cells = victim_cells(CLASSIC, hint)
    for cell in hint.cells:
        cells |= 1 << cell
    assert cells & house.mask


def test_a_narrowed_hint_takes_the_first_fitting_single_by_the_ladder() -> None:
    grid = parse_grid(ENCYCLOPAEDIA)
    box = CLASSIC.parse_house("box 9")
    hint = find_hint(grid, Narrowing(house=box, digit=3))
    fitting = [
        step
        for step in find_all_steps(grid)
        if step.places and step.digits == (3,) and 1 << step.cells[0] & box.mask
    ]
    assert hint == fitting[0]
    assert RANKS[fitting[0].technique] == min(RANKS[step.technique] for step in fitting)


def test_a_hint_narrowed_without_a_single_is_a_step_that_counts_towards_a_digit() -> None:
    grid = parse_grid(CROOK_AFTER_SINGLES)
    found = 0
    for house in CLASSIC.houses:
        narrowing = Narrowing(house=house)
        path = find_kept_steps(grid, narrowing)
        if not path:
            assert find_hint(grid, narrowing) is None
            continue
        found += 1
        assert narrowing.admits(CLASSIC, path[0])
        assert path[0] in find_all_steps(grid)
        position = grid
        for step in path:
            position = apply_step(position, step)
        assert position.placed != grid.placed
    assert found > 0


def test_nothing_to_say_about_a_digit_that_is_finished() -> None:
    path = find_path(parse_grid(ENCYCLOPAEDIA))
    position = path.start
    for step in path.steps:
        position = apply_step(position, step)
        finished = [
            digit
            for digit in CLASSIC.digits
            if CLASSIC.plane(position.placed, digit).bit_count() == CLASSIC.size
        ]
        if finished and not position.is_complete:
            assert find_hint(position, Narrowing(digit=finished[0])) is None
            return
    pytest.fail("no digit is finished before the last step")


def test_a_step_applies_until_it_has_nothing_left_to_do() -> None:
    grid = parse_grid(CROOK_AFTER_SINGLES)
    (pair,) = technique_with("naked-pair").find(grid)
    assert still_applies(grid, pair)
    struck = CLASSIC.format_pairs(pair.removes)
    partly = grid.eliminate(CLASSIC.bit(CLASSIC.parse_cell(struck[0][0]), struck[0][1]))
    assert still_applies(partly, pair)
    assert not still_applies(apply_step(grid, pair), pair)


def test_a_step_no_longer_applies_where_its_pattern_is_broken() -> None:
    grid = parse_grid(CROOK_AFTER_SINGLES)
    (pair,) = technique_with("naked-pair").find(grid)
    wider = Grid(CLASSIC, grid.placed, grid.candidates | CLASSIC.bit(pair.cells[0], 7))
    assert not still_applies(wider, pair)
    misplaced = grid.place(pair.cells[0], 7)
    assert not still_applies(misplaced, pair)


def test_a_pair_still_applies_when_one_of_its_cells_loses_a_digit() -> None:
    grid = parse_grid(CROOK_AFTER_SINGLES)
    (pair,) = technique_with("naked-pair").find(grid)
    narrower = grid.eliminate(CLASSIC.bit(pair.cells[0], pair.digits[0]))
    assert still_applies(narrower, pair)


def test_a_single_applies_until_its_cell_is_filled() -> None:
    grid = parse_grid(ENCYCLOPAEDIA)
    hint = find_hint(grid)
    assert hint is not None
    assert still_applies(grid, hint)
    assert not still_applies(apply_step(grid, hint), hint)
    (cell, digit) = hint.places[0]
    wrong = next(other for other in grid.candidates_at(cell) if other != digit)
    assert not still_applies(grid.place(cell, wrong), hint)


def test_no_step_of_a_path_does_nothing() -> None:
    for text in (ENCYCLOPAEDIA, WEBER):
        path = find_path(parse_grid(text))
        position = path.start
        for step in path.steps:
            after = apply_step(position, step)
            assert after != position
            assert not step.removes & ~position.candidates
            position = after
        assert position == path.end


def test_a_pruned_path_ends_with_the_same_digits() -> None:
    path = find_path(parse_grid(CROOK_AFTER_SINGLES))
    pruned = prune_path(path)
    assert path.is_solved
    assert pruned.end.placed == path.end.placed
    assert len(pruned.steps) < len(path.steps)


def test_a_board_with_a_slip_never_breaks_the_search_for_a_hint() -> None:
    """The club says the mistake first; the engine must all the same answer without an error."""
    grid = parse_grid(ENCYCLOPAEDIA)
    for cell in CLASSIC.cells_in(grid.open_cells):
        for digit in grid.candidates_at(cell):
            slipped = grid.place(cell, digit)
            path = find_path(slipped)
            assert path.end.placed & slipped.placed == slipped.placed
            find_hint(slipped)


def test_every_technique_of_the_ladder_counts_among_all_steps() -> None:
    grid = parse_grid(CROOK_AFTER_SINGLES)
    by_hand = [
        step for technique in LADDER if not technique.resort for step in technique.find(grid)
    ]
    assert list(find_all_steps(grid)) == by_hand
    assert {step.technique for step in by_hand} >= {"pointing", "claiming", "naked-pair"}


def test_a_sweep_leaves_no_whole_step_of_it_undone(monkeypatch: pytest.MonkeyPatch) -> None:
    """What one step has broken is passed over; those after it are done all the same."""
    found: list[tuple[Grid, Stage | None]] = []

    def noting(position: Grid, ladder: Sequence[Technique]) -> Stage | None:
        found.append((position, find_stage(position, ladder)))
        return found[-1][1]

    monkeypatch.setattr("engine.solving.paths.find_stage", noting)
    passed_over = 0
    for puzzle in (each for each in SOLVED if each.level is None):
        found.clear()
        path = find_path(parse_grid(puzzle.text))
        ends = [*(position for position, _ in found[1:]), path.end]
        for (_, stage), end in zip(found, ends, strict=False):
            for step in stage.steps if stage is not None else ():
                is_whole = not step.pattern & ~end.candidates
                if step.level > PLAIN_LEVEL and is_whole and not step.trace:
                    assert not step.removes & end.candidates
                passed_over += step.level > PLAIN_LEVEL and bool(step.pattern & ~end.candidates)
    assert passed_over > 10
