"""What follows from a step, in few words, and how much room that leaves for the reason."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import reduce
from operator import or_

from bot.wording.prose import join_words, sentences
from bot.wording.sight import cell_names, house_names
from bot.wording.techniques import kind_name
from engine import Cell, Grid, House, Layout, Step

WORDS = 60
"""So many words at most a step of levels 1 to 4 is told in, its name and what follows included."""

_WITH_ASIDE = 52
"""So many at most where something is said besides that the reason can do without."""

_IN_TWO_HOUSES = ("locked-pair", "locked-triple")
_MANY = 6
_GROUPS = 2
_LONG = 16
_LONG_OF_HIDDEN = 9  # words, not a size


def conclusion_of(step: Step, grid: Grid) -> str:
    """Say what follows: `So r4c5 is 7.`, or `So r5c3 and r8c3 lose 2 and 8; r9c3 loses 2.`"""
    layout = grid.layout
    if step.places:
        placed = join_words(f"{layout.format_cell(cell)} is {digit}" for cell, digit in step.places)
        return f"So {placed}."
    return f"So {_tell_lost(grid, step.removes)}."


def conclude(step: Step, grid: Grid) -> str:
    """Say what follows, and where that would be long, by houses or by what is left.

    `So all other cells of row 2 lose 5.`, `So r1c7 and r2c7 keep only 1 and 6.`; of a group in a
    line and a box it says what each of them loses.
    """
    whole = conclusion_of(step, grid)
    if step.technique in _IN_TWO_HOUSES:
        clauses = (
            f"in {house.name} {_tell_lost(grid, removes)}"
            for house, removes in _by_house(step, grid)
        )
        whole = f"So {'; '.join(clauses)}."
    longest = _LONG_OF_HIDDEN if step.technique.startswith("hidden-") else _LONG
    if step.places or len(whole.split()) <= longest:
        return whole
    return f"So {_tell_closed(step, grid) or _tell_held(step, grid)}."


def fitted(step: Step, grid: Grid, *versions: str, aside: str = "") -> str:
    """Return the first version that leaves room for the step's name and what follows, else the
    last; with the `aside`, which it can do without, only where all is short."""
    rest = f"{kind_name(step.technique, step.variant)} {conclude(step, grid)}"
    used = len(rest.split())
    told = next((each for each in versions if used + len(each.split()) <= WORDS), versions[-1])
    whole = sentences(told, aside)
    return whole if used + len(whole.split()) <= _WITH_ASIDE else told


def _tell_lost(grid: Grid, removes: int) -> str:
    cells_by_digits: dict[tuple[int, ...], list[Cell]] = {}
    for cell, digits in _lost_by_cell(grid, removes).items():
        cells_by_digits.setdefault(tuple(digits), []).append(cell)
    return "; ".join(
        f"{cell_names(grid, cells)} {'loses' if len(cells) == 1 else 'lose'} {join_words(digits)}"
        for digits, cells in cells_by_digits.items()
    )


def _lost_by_cell(grid: Grid, removes: int) -> dict[Cell, list[int]]:
    found: dict[Cell, list[int]] = {}
    for cell, digit in grid.layout.pairs(removes):
        found.setdefault(cell, []).append(digit)
    return found


def _tell_held(step: Step, grid: Grid) -> str:
    """Write `r5c3, r8c3 and r9c3 lose what they hold of 2 and 8`, where that is all of it."""
    lost = _lost_by_cell(grid, step.removes)
    digits = sorted({digit for each in lost.values() for digit in each})
    cells = grid.layout.mask_of(lost)
    if step.removes != grid.candidates & _candidates_in(grid.layout, cells, digits):
        return _tell_lost(grid, step.removes)
    if len({tuple(each) for each in lost.values()}) <= _GROUPS:
        return _tell_lost(grid, step.removes)
    return f"{cell_names(grid, tuple(lost))} lose what they hold of {join_words(digits)}"


def _tell_closed(step: Step, grid: Grid) -> str:
    """Say it of the houses, or of the cells that keep the pattern alone, where that is shorter."""
    layout = grid.layout
    own = _candidates_in(layout, layout.mask_of(step.cells), layout.digits)
    kept = _candidates_in(layout, layout.mask_of(step.cells), step.digits)
    if step.technique.startswith("hidden-") and step.removes == grid.candidates & own & ~kept:
        return f"{cell_names(grid, step.cells)} keep only {join_words(step.digits)}"
    houses = [layout.houses[index] for index in step.covers or step.houses]
    closed = 0
    for house in houses:
        closed |= _candidates_in(layout, house.mask, step.digits)
    cells = {cell for cell, _ in layout.pairs(step.removes)}
    if len(cells) <= _MANY or step.removes != grid.candidates & closed & ~own:
        return ""
    return f"all other cells of {house_names(houses)} lose {join_words(step.digits)}"


def _candidates_in(layout: Layout, cells: int, digits: Iterable[int]) -> int:
    return reduce(or_, (layout.spread(cells, digit) for digit in digits), 0)


def _by_house(step: Step, grid: Grid) -> Iterator[tuple[House, int]]:
    """Yield each house of a group with what is struck in it, nothing twice."""
    layout, left = grid.layout, step.removes
    for house in step.houses_in(layout):
        here = left & _candidates_in(layout, house.mask, layout.digits)
        left &= ~here
        if here:
            yield house, here
