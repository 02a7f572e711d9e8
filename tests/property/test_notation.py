"""Reading undoes writing, for every notation, and the repr of a value rebuilds it."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

import engine
from engine.board.grid import (
    Grid,
    draw_grid,
    format_grid,
    parse_grid,
    position_of,
)
from engine.board.layout import CLASSIC, MIDDLE, SMALL, Layout
from engine.errors import GridCharacterError, GridLengthError, RepeatedDigitError
from engine.techniques import LADDER, technique_with
from tests.independent.plain import SHAPES, houses_of
from tests.independent.reading import plain_of

LAYOUTS = (SMALL, MIDDLE, CLASSIC)
layouts = st.sampled_from(LAYOUTS)
NAMES_FOR_REPR = {name: getattr(engine, name) for name in engine.__all__}


def draw_position(layout: Layout, random: Random) -> Grid:
    """Any position that can be written: digits that do not clash, and any candidates struck."""
    grid = Grid.empty(layout)
    for _ in range(random.randint(0, layout.cell_count)):
        choices = layout.pairs(grid.candidates)
        if choices:
            grid = grid.place(*random.choice(choices))
    grid = grid.with_own(grid.own & random.getrandbits(layout.cell_count))
    struck = random.getrandbits(layout.cell_count * layout.size)
    return grid.eliminate(struck & random.getrandbits(layout.cell_count * layout.size))


positions = st.builds(draw_position, layouts, st.randoms(use_true_random=False))


@given(positions)
def test_a_grid_read_from_its_own_text_has_the_same_digits(grid: Grid) -> None:
    text = format_grid(grid)
    assert parse_grid(text).placed == grid.placed
    assert format_grid(parse_grid(text)) == text
    assert parse_grid(text.replace(".", "0")) == parse_grid(text)
    assert parse_grid("\n".join(text)) == parse_grid(text)


@given(positions)
def test_a_grid_read_from_its_own_drawing_has_the_same_digits(grid: Grid) -> None:
    drawn = draw_grid(grid)
    assert str(grid) == drawn
    assert parse_grid(drawn).placed == grid.placed
    assert len(drawn.splitlines()) == grid.layout.size + grid.layout.box_width - 1


@given(positions)
def test_a_position_read_from_its_outside_form_is_the_same_position(grid: Grid) -> None:
    removed = grid.layout.format_pairs(grid.removed_mask)
    own = tuple(map(grid.layout.format_cell, grid.layout.cells_in(grid.own)))
    again = position_of(format_grid(grid), removed, own=own)
    assert again == grid
    assert hash(again) == hash(grid)
    assert position_of(format_grid(grid), removed + removed[:1], own=own + own[:1]) == grid


@given(positions)
def test_candidates_are_those_of_plain_sets(grid: Grid) -> None:
    plain = plain_of(grid)
    for cell in range(grid.layout.cell_count):
        name = grid.layout.format_cell(cell)
        assert grid.digit_at(cell) == plain.digits.get(name, 0)
        assert set(grid.candidates_at(cell)) == plain.candidates.get(name, frozenset())


@given(positions)
def test_the_repr_of_a_grid_rebuilds_it(grid: Grid) -> None:
    assert eval(repr(grid), NAMES_FOR_REPR.copy()) == grid


@pytest.mark.parametrize("layout", LAYOUTS, ids=repr)
def test_the_repr_of_a_layout_rebuilds_it(layout: Layout) -> None:
    assert eval(repr(layout), NAMES_FOR_REPR.copy()) is layout


@pytest.mark.parametrize("technique", LADDER, ids=[each.id for each in LADDER])
def test_a_technique_is_found_by_its_id_and_rebuilt_by_its_repr(technique: object) -> None:
    assert technique_with(str(technique)) is technique
    assert eval(repr(technique), NAMES_FOR_REPR.copy()) is technique


@given(positions, st.data())
def test_the_repr_of_a_step_rebuilds_it(grid: Grid, data: st.DataObject) -> None:
    technique = data.draw(st.sampled_from(LADDER))
    for step in technique.find(grid):
        assert eval(repr(step), NAMES_FOR_REPR.copy()) == step


@pytest.mark.parametrize("house", CLASSIC.houses, ids=str)
def test_the_repr_of_a_house_rebuilds_it(house: engine.House) -> None:
    assert eval(repr(house), NAMES_FOR_REPR.copy()) == house


@pytest.mark.parametrize("layout", LAYOUTS, ids=repr)
def test_cells_digits_and_houses_are_read_from_their_names(layout: Layout) -> None:
    for cell in range(layout.cell_count):
        name = layout.format_cell(cell)
        assert layout.parse_cell(name) == layout.parse_cell(name.upper()) == cell
    for digit in layout.digits:
        assert layout.parse_digit(str(digit)) == digit
    plain = houses_of(SHAPES[layout.cell_count])
    assert [house.name for house in layout.houses] == sorted(
        plain, key=lambda name: (("row", "column", "box").index(name.split()[0]), int(name[-1]))
    )
    for house in layout.houses:
        assert layout.parse_house(house.name) is house
        assert {layout.format_cell(cell) for cell in house.cells} == plain[house.name]


@given(positions, st.data())
def test_a_text_with_one_character_wrong_is_refused_with_the_fact(
    grid: Grid, data: st.DataObject
) -> None:
    text = format_grid(grid)
    index = data.draw(st.integers(0, len(text) - 1))
    wrong = data.draw(st.sampled_from("x#é٣"))
    with pytest.raises(GridCharacterError) as caught:
        parse_grid(text[:index] + wrong + text[index + 1 :], layout=grid.layout)
    assert (caught.value.character, caught.value.index) == (wrong, index)
    with pytest.raises(GridLengthError) as cut:
        parse_grid(text[:index], layout=grid.layout)
    assert (cut.value.found, cut.value.expected) == (index, grid.layout.cell_count)


@given(positions, st.data())
def test_a_digit_twice_in_a_house_is_refused_with_both_cells(
    grid: Grid, data: st.DataObject
) -> None:
    layout = grid.layout
    house = data.draw(st.sampled_from(layout.houses))
    one, other = sorted(data.draw(st.permutations(house.cells))[:2])
    marks = ["."] * layout.cell_count
    marks[one] = marks[other] = str(data.draw(st.sampled_from(layout.digits)))
    with pytest.raises(RepeatedDigitError) as caught:
        parse_grid("".join(marks), layout=layout)
    assert caught.value.cells == (layout.format_cell(one), layout.format_cell(other))
    assert {one, other} <= set(layout.parse_house(caught.value.house).cells)
