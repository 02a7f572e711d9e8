"""Reasons of wings: two cells of which one must hold a digit, whatever a third does."""

from __future__ import annotations

from bot.wording.prose import capitalise, join_words, sentences
from bot.wording.sight import cell_names, places_in, tell_holdings, tell_places
from bot.wording.steps.links import shared_houses, tell_seeing
from engine import Bound, Cell, Grid, Step, pattern_parts


def struck_digit(step: Step, grid: Grid) -> int:
    """Return the digit that a wing strikes."""
    return grid.layout.pairs(step.removes)[0][1]


def _tell_pincers(grid: Grid, pivot: Cell, pincers: list[Cell], digit: int) -> str:
    """Say what each pincer becomes as the pivot takes the digit that the two share."""
    told: list[str] = []
    for pincer in pincers:
        holds = grid.candidates_at(pincer)
        shared = next(each for each in holds if each != digit)
        house = shared_houses(grid, (pivot, pincer))[0]
        told.append(
            f"if {'' if told else 'it is '}{shared}, {grid.layout.format_cell(pincer)} "
            f"({join_words(holds, 'or')}) in {house.name} is {digit}"
        )
    return "; ".join(told)


def tell_xy_wing(step: Step, grid: Grid) -> str:
    digit = struck_digit(step, grid)
    cells = pattern_parts.cited_cells(step)
    pivot = next(cell for cell in cells if digit not in grid.candidates_at(cell))
    pincers = [cell for cell in cells if cell != pivot]
    return sentences(
        f"The pivot {tell_holdings(grid, [pivot])}.",
        f"{capitalise(_tell_pincers(grid, pivot, pincers, digit))}.",
        f"Either way {tell_seeing(grid, step, f'a {digit}')}.",
    )


def tell_xyz_wing(step: Step, grid: Grid) -> str:
    digit = struck_digit(step, grid)
    cells = pattern_parts.cited_cells(step)
    pivot = max(cells, key=lambda cell: len(grid.candidates_at(cell)))
    pincers = [cell for cell in cells if cell != pivot]
    return sentences(
        f"The pivot {tell_holdings(grid, [pivot])}.",
        f"{capitalise(_tell_pincers(grid, pivot, pincers, digit))}; else it is {digit}.",
        f"Each way {tell_seeing(grid, step, f'a {digit}')}.",
    )


def tell_w_wing(step: Step, grid: Grid) -> str:
    layout, digit = grid.layout, struck_digit(step, grid)
    ends = pattern_parts.cited_cells(step)
    ((house, other),) = pattern_parts.cited_houses(step, grid, Bound.AT_LEAST_ONE)
    places = places_in(grid, house, other)
    seen = [
        f"{cell_names(grid, near)} {'sees' if len(near) == 1 else 'see'} {layout.format_cell(end)}"
        for end in ends
        for near in [tuple(place for place in places if layout.peers[end] >> place & 1)]
        if near
    ]
    return sentences(
        f"{cell_names(grid, ends)} hold just {join_words(sorted((digit, other)))}.",
        f"In {house.name}, {other} goes in {tell_places(grid, house, other)}; {join_words(seen)}.",
        f"So not both are {other}: one is {digit}, and {tell_seeing(grid, step, 'both')}.",
    )
