"""Facts that every solver of the trade knows, each on a position of our own.

Their source is common practice: nobody published them. The numbers are those of the list of facts
that the project is checked against. Each position is written as its digits; the candidates follow
from them alone.
"""

from __future__ import annotations

import pytest

from engine.board.grid import Grid, parse_grid
from engine.board.step import Step
from engine.solving.paths import apply_step, find_steps
from engine.techniques import technique_with

pytestmark = pytest.mark.common_practice


def steps_of(grid: Grid, technique: str) -> tuple[Step, ...]:
    return find_steps(grid, technique_with(technique))


def find_step(grid: Grid, technique: str, cells: str, digits: str) -> Step:
    """The one instance on these cells (`r1c2 r1c3`) and digits (`47`)."""
    wanted = tuple(grid.layout.parse_cell(cell) for cell in cells.split())
    (step,) = (
        step
        for step in steps_of(grid, technique)
        if step.cells == wanted and step.digits == tuple(map(int, digits))
    )
    return step


def removes_of(grid: Grid, step: Step) -> list[tuple[str, int]]:
    return grid.layout.format_pairs(step.removes)


def house_names(grid: Grid, step: Step) -> set[str]:
    return {grid.layout.houses[index].name for index in step.houses}


def digits_in(grid: Grid, cell: str) -> tuple[int, ...]:
    return grid.candidates_at(grid.layout.parse_cell(cell))


def test_fact_1_three_cells_of_two_digits_each_are_a_naked_triple() -> None:
    grid = parse_grid(
        "17359628465.1.2739...7.3651..562.173..73158423218..5967.4.....5..64....8..9..14.7"
    )
    held = [digits_in(grid, cell) for cell in ("r4c6", "r6c6", "r8c6")]
    assert sorted(held) == [(4, 7), (4, 9), (7, 9)]
    step = find_step(grid, "naked-triple", "r4c6 r6c6 r8c6", "479")
    assert removes_of(grid, step) == [("r7c6", 9)]


@pytest.mark.parametrize(
    ("text", "technique", "cells", "digits", "in_box", "in_line"),
    [
        (
            "...8..76.614.27...8.76....43.8.76.4197.438...46....8731.6...43..8.16.5...4....1.6",
            "locked-pair",
            "r5c8 r5c9",
            "25",
            [("r4c7", 2), ("r5c7", 2)],
            [("r5c3", 2), ("r5c3", 5), ("r5c7", 2)],
        ),
        (
            "...8..7..614.27...8.76....43.8.76.4197.438...46....8731.6...43..8.16.5...4....1.6",
            "locked-triple",
            "r5c7 r5c8 r5c9",
            "256",
            [("r4c7", 2)],
            [("r5c3", 2), ("r5c3", 5)],
        ),
    ],
)
def test_fact_2_a_pair_or_triple_in_a_line_and_a_box_works_in_both(
    text: str,
    technique: str,
    cells: str,
    digits: str,
    in_box: list[tuple[str, int]],
    in_line: list[tuple[str, int]],
) -> None:
    grid = parse_grid(text)
    step = find_step(grid, technique, cells, digits)
    assert house_names(grid, step) == {"box 6", "row 5"}
    assert removes_of(grid, step) == sorted({*in_box, *in_line})
    naked = find_step(grid, technique.replace("locked", "naked"), cells, digits)
    assert naked.removes == step.removes


@pytest.mark.parametrize(
    ("text", "technique", "cells", "digit", "house", "cover", "removes"),
    [
        (
            "...8.....61..27.....7.....43...76.4.97.4.8.........8.3..6....3..8.1..5........1.6",
            "pointing",
            "r1c5 r1c6",
            "4",
            "box 2",
            "row 1",
            [("r1c1", 4), ("r1c2", 4), ("r1c3", 4)],
        ),
        (
            "1...9.2...5....73......3.5...5.2..7.....1..423..8....67.4........64....8..9..1...",
            "claiming",
            "r7c9 r9c9",
            "5",
            "column 9",
            "box 9",
            [("r7c7", 5), ("r8c7", 5), ("r9c7", 5)],
        ),
    ],
)
def test_fact_3_a_digit_confined_to_what_two_houses_share_goes_from_the_rest_of_the_second(
    text: str,
    technique: str,
    cells: str,
    digit: str,
    house: str,
    cover: str,
    removes: list[tuple[str, int]],
) -> None:
    grid = parse_grid(text)
    step = find_step(grid, technique, cells, digit)
    assert house_names(grid, step) == {house}
    assert [grid.layout.houses[index].name for index in step.covers] == [cover]
    assert removes_of(grid, step) == removes
    after = apply_step(grid, step)
    places = after.plane(int(digit)) & grid.layout.parse_house(cover).mask
    assert grid.layout.cells_in(places) == step.cells


def test_fact_4_with_four_open_cells_a_naked_pair_and_a_hidden_pair_are_two_views() -> None:
    grid = parse_grid(
        "1.3.9.28..5....73......365...5.2.173...3158423218..5967.4.....5..64....8..9..14.7"
    )
    box = grid.layout.parse_house("box 5")
    names = [grid.layout.format_cell(c) for c in grid.layout.cells_in(box.mask & grid.open_cells)]
    assert names == ["r4c4", "r4c6", "r6c5", "r6c6"]
    naked = find_step(grid, "naked-pair", "r6c5 r6c6", "47")
    hidden = find_step(grid, "hidden-pair", "r4c4 r4c6", "69")
    in_box = [(c, d) for c, d in removes_of(grid, naked) if c in names]
    assert in_box == removes_of(grid, hidden) == [("r4c6", 4)]


def test_fact_5_two_digits_confined_to_two_cells_by_crossing_lines_are_a_hidden_pair() -> None:
    grid = parse_grid(
        "8...1.......649128.918.3...32.1..9....8...3.6......2.....4..672..5.918...8..765.."
    )
    layout = grid.layout
    step = find_step(grid, "hidden-pair", "r1c8 r1c9", "39")
    others = layout.parse_house("box 3").mask & grid.open_cells
    for cell in layout.cells_in(others):
        if cell in step.cells:
            continue
        lines = [house.mask for house in layout.houses_of[cell] if house.is_line]
        for digit in (3, 9):
            assert any(layout.plane(grid.placed, digit) & line for line in lines)
    after = apply_step(grid, step)
    assert [after.candidates_at(cell) for cell in step.cells] == [(3, 9), (3, 9)]


def test_fact_6_the_last_three_cells_of_a_house_are_settled_at_once() -> None:
    grid = parse_grid(
        ".3.84176.614.273..8.76.32143.8.769419714386..46..1.8731.67..43..831645..74.3..1.6"
    )
    assert 7 not in digits_in(grid, "r8c1") + digits_in(grid, "r8c8")
    assert 9 not in digits_in(grid, "r8c1")
    step = find_step(grid, "last-three", "r8c1 r8c8 r8c9", "279")
    assert house_names(grid, step) == {"row 8"}
    places = {(grid.layout.format_cell(cell), digit) for cell, digit in step.places}
    assert places == {("r8c1", 2), ("r8c8", 9), ("r8c9", 7)}


def test_fact_7_of_two_places_left_for_a_digit_in_a_box_either_settles_the_other() -> None:
    grid = parse_grid(
        "...8.....61..27.....7.....43...76.4.97.4.8.........8.3..6....3..8.1..5........1.6"
    )
    layout = grid.layout
    box = layout.parse_house("box 2")
    one, other = (layout.parse_cell(cell) for cell in ("r1c5", "r1c6"))
    assert layout.cells_in(grid.plane(4) & box.mask) == (one, other)
    assert ((other, 4),) not in [step.places for step in steps_of(grid, "hidden-single")]
    for filled, settled in ((one, other), (other, one)):
        otherwise = next(digit for digit in grid.candidates_at(filled) if digit != 4)
        for after in (grid.place(filled, otherwise), grid.eliminate(layout.bit(filled, 4))):
            (step,) = (s for s in steps_of(after, "hidden-single") if s.places == ((settled, 4),))
            assert box.index in step.houses
        assert not grid.place(filled, 4).plane(4) & box.mask


def test_fact_8_an_elimination_of_locked_candidates_uncovers_a_triple() -> None:
    grid = parse_grid(
        "56.9..1..18.5..63....1.68..6.849.2..293.5.41674.26..8...6.25..1.2.6....8...3.9.62"
    )
    for single in ("hidden-single", "naked-single"):
        assert not steps_of(grid, single)
    triple = tuple(grid.layout.parse_cell(cell) for cell in ("r2c5", "r2c6", "r3c5"))
    assert triple not in [step.cells for step in steps_of(grid, "naked-triple")]
    pointing = find_step(grid, "pointing", "r3c1 r3c2", "3")
    assert removes_of(grid, pointing) == [("r3c5", 3)]
    after = apply_step(grid, pointing)
    step = find_step(after, "naked-triple", "r2c5 r2c6 r3c5", "247")
    assert removes_of(after, step) == [
        ("r1c5", 4),
        ("r1c5", 7),
        ("r1c6", 2),
        ("r1c6", 4),
        ("r1c6", 7),
    ]


def test_fact_9_a_triple_in_a_line_confines_a_digit_of_the_box_beside_it_to_one_line() -> None:
    grid = parse_grid(
        "...84176.614.273..8.76..2143.8.769419714386..46....8731.6...43..831645...4....1.6"
    )
    pointing = tuple(grid.layout.parse_cell(cell) for cell in ("r7c6", "r9c6"))
    assert pointing not in [step.cells for step in steps_of(grid, "pointing")]
    triple = find_step(grid, "naked-triple", "r2c4 r4c4 r6c4", "259")
    assert house_names(grid, triple) == {"column 4"}
    after = apply_step(grid, triple)
    step = find_step(after, "pointing", "r7c6 r9c6", "2")
    assert house_names(after, step) == {"box 8"}
    assert [after.layout.houses[index].name for index in step.covers] == ["column 6"]
    assert removes_of(after, step) == [("r6c6", 2)]
