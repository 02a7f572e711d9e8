"""A lesson's slip is one: what it shows is no instance, and the reason told holds there."""

from __future__ import annotations

import re
from collections.abc import Iterable

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
STRUCK_TOO_FAR = tuple(each for each in WITH_SLIP if slip_of_lesson(each).removes)  # type: ignore[union-attr]
TAKEN_FOR_ONE = tuple(each for each in WITH_SLIP if each not in STRUCK_TOO_FAR)
WITHOUT_SLIP = (
    "hidden-rectangle", "avoidable-rectangle", "bug-plus-one", "cell-forcing-chain",
    "house-forcing-chain", "traced-contradiction",
)  # fmt: skip
"""Their slips are told in words."""


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
def test_what_a_lesson_shows_as_taken_for_one_is_none_for_the_reason_told(technique: str) -> None:
    slip, picture, told = slip_of(technique)
    grid = position_of_slip(technique)
    layout = grid.layout
    assert picture.cells == tuple(map(layout.format_cell, slip.cells))
    holding = {
        cell: {digit for digit in layout.digits if grid.candidates & layout.bit(cell, digit)}
        for cell in layout.cells_in(grid.open_cells)
    }
    assert set().union(*(holding[cell] for cell in slip.cells)) >= set(slip.digits)
    assert all(holding[cell] & set(slip.digits) for cell in slip.cells)
    for step in find_steps(grid, technique):
        assert (set(step.cells), set(step.digits)) != (set(slip.cells), set(slip.digits))
    more = re.search(r"([rR]\dc\d) can also be ([\d or,]+)\.$", told)
    other = re.search(r"also (r\dc\d) in (\w+ \d)(?: for (\d)|, still open)\.$", told)
    if "not the corners of a rectangle in two boxes" in told:
        assert told_apart(layout.rows, slip.cells) == told_apart(layout.columns, slip.cells) == 2
        assert told_apart(layout.boxes, slip.cells) == 4
        *_, odd = sorted(slip.cells, key=lambda cell: len(holding[cell]))
        assert all(holding[cell] == set(slip.digits) for cell in {*slip.cells} - {odd})
        assert solution_at(grid, odd) in slip.digits, "the strike would be a mistake"
    elif more:
        cell = layout.parse_cell(more[1].lower())
        assert cell in slip.cells
        assert set(map(int, re.findall(r"\d", more[2]))) == holding[cell] - set(slip.digits)
    else:
        assert other is not None, told
        place = layout.parse_cell(other[1])
        (house,) = (each for each in layout.houses if each.name == other[2])
        assert place in house.cells
        assert place not in slip.cells
        assert set(slip.cells) & set(house.cells)
        assert int(other[3]) in holding[place] if other[3] else place in holding


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
