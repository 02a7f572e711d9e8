"""A lesson's slip is one: what it shows is no instance, and the reason told holds there."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import pairwise

import pytest

from bot import wording
from bot.club.facts import GridPicture
from bot.club.lessons import Slip, slip_of_lesson
from engine import count_solutions, solve
from engine.board.grid import Grid, format_grid
from engine.board.layout import House
from engine.solving.paths import find_steps
from engine.techniques import LADDER
from tests.bot.wording.drawn_positions import position_of_lesson
from tests.bot.wording.samples import help_on

IDS = tuple(technique.id for technique in LADDER)


def told_apart(houses: Iterable[House], cells: Iterable[int]) -> int:
    """Return how many of the houses the cells lie in."""
    return sum(bool(set(house.cells) & set(cells)) for house in houses)


def digits_at(grid: Grid, cell: int) -> set[int]:
    """Return what a cell can still hold, its digit where it has one."""
    layout = grid.layout
    placed = {digit for digit in layout.digits if grid.placed & layout.bit(cell, digit)}
    return placed or {d for d in layout.digits if grid.candidates & layout.bit(cell, d)}


def solution_at(grid: Grid, cell: int) -> int:
    """Return the digit of the only solution."""
    solved = solve(grid)
    assert solved is not None
    return int(format_grid(solved)[cell])


def slip_of(technique: str) -> tuple[Slip, GridPicture, str]:
    slip = slip_of_lesson(technique)
    assert slip is not None
    (shown,) = (each for each in wording.phrase_all(help_on(technique)) if each.name == "slip")
    assert isinstance(shown.picture, GridPicture)
    return slip, shown.picture, shown.text


WITH_SLIP = tuple(each for each in IDS if slip_of_lesson(each) is not None)
LACKING_A_CASE = ("cell-forcing-chain", "house-forcing-chain")
STRUCK_TOO_FAR = tuple(
    each
    for each in WITH_SLIP
    if (slip := slip_of_lesson(each)) and slip.removes and each not in LACKING_A_CASE
)
TAKEN_FOR_ONE = tuple(each for each in WITH_SLIP if each not in STRUCK_TOO_FAR + LACKING_A_CASE)
TOLD_IN_THEIR_OWN_WAY = ("unique-rectangle", "avoidable-rectangle", "bug-plus-one")
WITHOUT_SLIP = ("traced-contradiction",)
"""Its slip is a digit left on the sheet after a trial: the sheet is wrong then, not the reason."""


def position_of_slip(technique: str) -> Grid:
    """Return the position drawn above the slip's line, the worked one where none is."""
    text = wording.lesson(technique)
    slip = text.partition("## A common slip")[2].partition("## Exercises")[0]
    return position_of_lesson(slip if "---" in slip else text)


SHOWN_ELSEWHERE = tuple(
    each for each in WITH_SLIP if position_of_slip(each) != position_of_lesson(wording.lesson(each))
)


@pytest.mark.parametrize("technique", SHOWN_ELSEWHERE)
def test_a_slip_at_another_position_says_so_and_shows_that_one(technique: str) -> None:
    _, picture, told = slip_of(technique)
    grid = position_of_slip(technique)
    assert told.startswith("Here is another position. ")
    assert picture.position.to_grid() == grid
    assert count_solutions(grid) == 1


def test_all_but_a_few_lessons_show_a_slip() -> None:
    assert set(IDS) - set(WITH_SLIP) == set(WITHOUT_SLIP)


@pytest.mark.parametrize("technique", TAKEN_FOR_ONE)
def test_what_a_lesson_shows_as_taken_for_one_is_none(technique: str) -> None:
    slip, picture, _ = slip_of(technique)
    grid = position_of_slip(technique)
    assert picture.cells == tuple(map(grid.layout.format_cell, slip.cells))
    held = [digits_at(grid, cell) for cell in slip.cells]
    assert set().union(*held) >= set(slip.digits)
    assert all(digits & set(slip.digits) for digits in held)
    for step in find_steps(grid, technique):
        assert (set(step.cells), set(step.digits)) != (set(slip.cells), set(slip.digits))


@pytest.mark.parametrize(
    "technique", [each for each in TAKEN_FOR_ONE if each not in TOLD_IN_THEIR_OWN_WAY]
)
def test_what_is_told_of_a_cell_or_place_too_many_is_so(technique: str) -> None:
    slip, _, told = slip_of(technique)
    grid = position_of_slip(technique)
    layout = grid.layout
    more = re.search(r"([rR]\dc\d) can also be ([\d or,]+)\.$", told)
    if more:
        cell = layout.parse_cell(more[1].lower())
        assert cell in slip.cells
        assert set(map(int, re.findall(r"\d", more[2]))) == digits_at(grid, cell) - {*slip.digits}
        return
    other = re.search(r"also (r\dc\d) in (\w+ \d)(?: for (\d)|, still open)\.$", told)
    assert other is not None, told
    place = layout.parse_cell(other[1])
    (house,) = (each for each in layout.houses if each.name == other[2])
    assert place in house.cells
    assert place not in slip.cells
    assert set(slip.cells) & set(house.cells)
    assert grid.open_cells >> place & 1
    assert not other[3] or int(other[3]) in digits_at(grid, place)


def test_what_looks_like_a_unique_rectangle_lies_in_four_boxes() -> None:
    slip, _, told = slip_of("unique-rectangle")
    grid = position_of_slip("unique-rectangle")
    assert told.endswith("Those cells are not the corners of a rectangle in two boxes.")
    layout = grid.layout
    assert told_apart(layout.rows, slip.cells) == told_apart(layout.columns, slip.cells) == 2
    assert told_apart(layout.boxes, slip.cells) == 4
    *_, odd = sorted(slip.cells, key=lambda cell: len(digits_at(grid, cell)))
    assert all(digits_at(grid, cell) == set(slip.digits) for cell in {*slip.cells} - {odd})
    assert solution_at(grid, odd) in slip.digits, "the strike would be a mistake"


def test_what_looks_like_a_hidden_rectangle_would_be_one_without_the_place_told() -> None:
    slip, _, told = slip_of("hidden-rectangle")
    grid = position_of_slip("hidden-rectangle")
    said = re.search(r"also (r\dc\d) in \w+ \d for (\d)\.$", told)
    assert said is not None, told
    place = grid.layout.bit(grid.layout.parse_cell(said[1]), int(said[2]))
    without = find_steps(grid.eliminate(place), "hidden-rectangle")
    strikes = [step.removes for step in without if set(step.cells) == set(slip.cells)]
    assert strikes
    struck = [pair for removes in strikes for pair in grid.layout.pairs(removes)]
    assert any(solution_at(grid, cell) == digit for cell, digit in struck), "it would be a mistake"


def test_what_looks_like_an_avoidable_rectangle_has_one_given_and_would_be_one_without() -> None:
    slip, picture, told = slip_of("avoidable-rectangle")
    grid = position_of_slip("avoidable-rectangle")
    told_given = re.search(r"(R\dc\d) is a given\.$", told)
    assert told_given is not None, told
    given = grid.layout.parse_cell(told_given[1].lower())
    filled = [cell for cell in slip.cells if not grid.open_cells >> cell & 1]
    assert [cell for cell in filled if picture.givens[cell].isdigit()] == [given]
    without = grid.with_own(grid.own | 1 << given)
    found = [set(step.cells) for step in find_steps(without, "avoidable-rectangle")]
    assert set(slip.cells) in found


def test_what_looks_like_a_bug_plus_one_has_another_cell_of_three_digits() -> None:
    """All others have two, and the digit stands three times in each of the cell's houses."""
    slip, _, told = slip_of("bug-plus-one")
    grid = position_of_slip("bug-plus-one")
    layout, (cell,), (digit,) = grid.layout, slip.cells, slip.digits
    other = re.search(r"(R\dc\d) can be (\d), (\d) or (\d), and that does not fit\.$", told)
    assert other is not None, told
    also = layout.parse_cell(other[1].lower())
    assert digits_at(grid, also) == set(map(int, other.groups()[1:]))
    held = {each: len(digits_at(grid, each)) for each in layout.cells_in(grid.open_cells)}
    assert {each for each, count in held.items() if count == 3} == {cell, also}
    assert set(held.values()) == {2, 3}
    for house in layout.houses_of[cell]:
        assert sum(digit in digits_at(grid, each) for each in house.cells) == 3
    assert solution_at(grid, cell) != digit, "placing it would be a mistake"


@pytest.mark.parametrize("technique", STRUCK_TOO_FAR)
def test_what_a_lesson_warns_to_strike_sees_one_end_alone(technique: str) -> None:
    slip, picture, told = slip_of(technique)
    grid = position_of_slip(technique)
    layout = grid.layout
    ((cell, digit),) = slip.removes
    assert grid.candidates & layout.bit(cell, digit)
    assert not any(step.removes & layout.bit(cell, digit) for step in find_steps(grid, technique))
    said = re.search(r"sees ([^.]+), and not ([^.]+), so", told)
    assert said is not None
    seen, unseen = (
        {layout.parse_cell(name) for name in re.findall(r"r\dc\d", part)} for part in said.groups()
    )
    step = find_steps(grid, technique)[0]
    assert seen | unseen <= set(step.cells)
    assert seen
    assert unseen
    peers = {each for house in layout.houses if cell in house.cells for each in house.cells}
    peers.discard(cell)
    assert seen <= peers
    assert not unseen & peers
    shown = set(step.cells) if technique in SHOWN_ELSEWHERE else seen | unseen
    assert set(map(layout.parse_cell, picture.cells)) == shown | {cell}


@pytest.mark.parametrize("technique", [each for each in STRUCK_TOO_FAR if "finned" in each])
def test_what_stays_by_a_fin_is_on_a_covering_line_and_its_digit_is_right(technique: str) -> None:
    """Without the fins as many lines hold the digit as it has places across; with them, more."""
    slip, _, told = slip_of(technique)
    grid = position_of_slip(technique)
    layout = grid.layout
    ((cell, digit),) = slip.removes
    step = find_steps(grid, technique)[0]
    struck = {each for each, _ in layout.pairs(step.removes)}
    (covers, bases, line) = next(
        (covers, bases, line)
        for covers, bases in ((layout.rows, layout.columns), (layout.columns, layout.rows))
        for line in covers
        if {cell, *struck} <= set(line.cells)
    )
    fins = {layout.parse_cell(name) for name in re.findall(r"r\dc\d", told.rpartition(" fin")[2])}
    whole = set(step.cells) - fins
    assert fins < set(step.cells)
    assert set(line.cells) & whole
    size = {"finned-x-wing": 2, "finned-swordfish": 3, "finned-jellyfish": 4}[technique]
    assert told_apart(bases, step.cells) == told_apart(covers, whole) == size
    assert told_apart(covers, step.cells) > size
    for base in bases:
        held = {each for each in base.cells if grid.candidates & layout.bit(each, digit)}
        assert not held & whole or held <= set(step.cells)
    assert solution_at(grid, cell) == digit, "the strike would be a mistake"


Place = tuple[int, int]
"""A cell and a digit in it."""


def cannot_both_be(grid: Grid, one: Place, other: Place) -> bool:
    return one != other and (
        one[0] == other[0]
        or (
            one[1] == other[1]
            and any({one[0], other[0]} <= set(house.cells) for house in grid.layout.houses)
        )
    )


def one_of_them_is(grid: Grid, one: Place, other: Place) -> bool:
    if one[0] == other[0]:
        return digits_at(grid, one[0]) == {one[1], other[1]}
    return one[1] == other[1] and any(
        {cell for cell in house.cells if one[1] in digits_at(grid, cell)} == {one[0], other[0]}
        for house in grid.layout.houses
    )


@pytest.mark.parametrize("technique", LACKING_A_CASE)
def test_all_cases_but_the_one_told_lead_to_a_strike_that_would_be_a_mistake(
    technique: str,
) -> None:
    slip, picture, told = slip_of(technique)
    grid = position_of_slip(technique)
    layout = grid.layout
    (goes,) = slip.removes
    assert solution_at(grid, goes[0]) == goes[1], "the strike would be a mistake"
    for case in slip.cases:
        line = (*case, goes)
        assert len(line) % 2 == 0
        for place, (one, other) in enumerate(pairwise(line)):
            assert (one_of_them_is if place % 2 else cannot_both_be)(grid, one, other)
        ((start, digit), *_), (*_, last) = case, case
        assert f"if {layout.format_cell(start)} is {digit}, it goes by way of" in told
        assert layout.format_cell(last[0]) in told
    said = re.search(r"What if (r\dc\d) = (\d)\? That case is not covered\.", told)
    assert said is not None, told
    left_out = (layout.parse_cell(said[1]), int(said[2]))
    assert solution_at(grid, left_out[0]) == left_out[1]
    cases = {left_out, *(case[0] for case in slip.cases)}
    cell, digit = left_out
    if technique == "cell-forcing-chain":
        assert cases == {(cell, each) for each in digits_at(grid, cell)}
    else:
        named = re.search(r"the places for (\d) in (\w+ \d)\.", told)
        assert named is not None, told
        (house,) = (each for each in layout.houses if each.name == named[2])
        assert int(named[1]) == digit
        assert cases == {(each, digit) for each in house.cells if digit in digits_at(grid, each)}
    shown = {cell for case in slip.cases for cell, _ in case}
    assert set(map(layout.parse_cell, picture.cells)) == shown | {goes[0]}
