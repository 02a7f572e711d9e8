"""What a person sees at a position, in clauses: which digits block which cells, what is left.

The engine says that a digit cannot go somewhere; these functions find the placed digit that shows
it, or say which step ruled it out earlier. They look only at the position and conclude nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType

from bot.wording.prose import join_words, sentences
from engine import Cell, Grid, House, HouseKind, Step, witnesses

Strikes = Mapping[tuple[str, int], int]
"""(cell, digit) to the number of the step that struck it, as far as that is known."""

NO_STRIKES: Strikes = MappingProxyType({})
"""Where there are no numbered steps before: what was struck is said to be ruled out already."""

_FEW = 3


def cell_names(grid: Grid, cells: Sequence[Cell]) -> str:
    """Write `r4c1, r4c5 and r5c2`."""
    return join_words(grid.layout.format_cell(cell) for cell in cells)


def open_cells_in(grid: Grid, house: House) -> tuple[Cell, ...]:
    """Return the open cells of a house in their order."""
    return grid.layout.cells_in(grid.open_cells & house.mask)


def missing_digits(grid: Grid, house: House) -> tuple[int, ...]:
    """Return the digits that do not stand in the house yet."""
    layout = grid.layout
    return tuple(d for d in layout.digits if not layout.plane(grid.placed, d) & house.mask)


def house_names(houses: Iterable[House]) -> str:
    """Write `rows 2 and 7, column 3 and box 5`."""
    numbers: dict[HouseKind, list[int]] = {}
    for house in houses:
        numbers.setdefault(house.kind, []).append(house.number)
    return join_words(
        f"{kind.value}{'s' if len(of_kind) > 1 else ''} {join_words(of_kind)}"
        for kind, of_kind in numbers.items()
    )


def tell_struck(grid: Grid, cells: Iterable[Cell], digit: int, strikes: Strikes) -> str:
    """Say when `digit` was struck: `left r6c5 in step 1`, or `is ruled out in r6c5`."""
    by_step: dict[int, list[Cell]] = {}
    for cell in cells:
        step = strikes.get((grid.layout.format_cell(cell), digit), 0)
        by_step.setdefault(step, []).append(cell)
    already = by_step.pop(0, [])
    known = [f"{cell_names(grid, by_step[step])} in step {step}" for step in sorted(by_step)]
    clauses = [f"left {join_words(known)}"] if known else []
    if already:
        clauses.append(f"is ruled out in {cell_names(grid, already)}")
    return join_words(clauses)


def tell_barred(
    grid: Grid,
    house: House,
    cells: Sequence[Cell],
    digit: int,
    strikes: Strikes = NO_STRIKES,
    *,
    is_brief: bool = False,
) -> str:
    """Say why `digit` goes in none of the other `cells` of a house, by the lines that bar it.

    `the 7s of rows 1 and 3 bar all but r6c5, which it left in step 1`; empty for no cells. If
    `is_brief` the step is left out, since it was named before.
    """
    houses, struck = witnesses.find_barring_houses(grid, house, cells, digit)
    if not houses:
        return f"it {tell_struck(grid, struck, digit, strikes)}" if struck else ""
    many = len(houses) > 1
    lines = f"the {digit}{'s' if many else ''} of {house_names(houses)} {'bar' if many else 'bars'}"
    if not struck:
        return f"{lines} the rest"
    told = f"{lines} all but {cell_names(grid, struck)}"
    is_told = is_brief and all((grid.layout.format_cell(c), digit) in strikes for c in struck)
    return told if is_told else f"{told}, {_tell_since(grid, struck, digit, strikes)}"


def _tell_since(grid: Grid, cells: Sequence[Cell], digit: int, strikes: Strikes) -> str:
    """Write `which it left in step 1`, `which it left in steps 1 and 3`."""
    numbers = {strikes.get((grid.layout.format_cell(cell), digit), 0) for cell in cells}
    if 0 in numbers:
        return "already ruled out"
    return f"which it left in step{'s' if len(numbers) > 1 else ''} {join_words(sorted(numbers))}"


def tell_rests(step: Step, grid: Grid, strikes: Strikes) -> str:
    """Say which strikes a reason rests on: `Step 3 took 5 from r7c6 and r7c8.`

    Where they are many, only in which steps; empty where there are none that are numbered.
    """
    by_step = _strikes_behind(step, grid, strikes)
    if sum(map(len, by_step.values())) > _FEW:
        return name_rests(step, grid, strikes)
    told = {number: _tell_taken(struck) for number, struck in by_step.items()}
    return sentences(*(f"Step {number} took {told[number]}." for number in sorted(told)))


def _tell_taken(struck: Mapping[int, list[str]]) -> str:
    """Write `5 from r7c6 and r7c8`, `6 and 7 from r5c8`."""
    digits_by_cells: dict[tuple[str, ...], list[int]] = {}
    for digit, cells in struck.items():
        digits_by_cells.setdefault(tuple(cells), []).append(digit)
    return join_words(
        f"{join_words(digits)} from {join_words(cells)}"
        for cells, digits in digits_by_cells.items()
    )


def name_rests(step: Step, grid: Grid, strikes: Strikes) -> str:
    """Say in few words what a reason rests on: `After steps 3 and 5:`; empty for nothing."""
    numbers = sorted(_strikes_behind(step, grid, strikes))
    if not numbers:
        return ""
    return f"After step{'s' if len(numbers) > 1 else ''} {join_words(numbers)}:"


def _strikes_behind(step: Step, grid: Grid, strikes: Strikes) -> dict[int, dict[int, list[str]]]:
    """Return by the number of the step, then by digit, the cells of the strikes it rests on."""
    by_step: dict[int, dict[int, list[str]]] = {}
    for name, digit in grid.layout.format_pairs(witnesses.find_struck(grid, step)):
        number = strikes.get((name, digit), 0)
        if number:
            by_step.setdefault(number, {}).setdefault(digit, []).append(name)
    return by_step


def tell_blocked(
    grid: Grid, cells: Sequence[Cell], digit: int, strikes: Strikes = NO_STRIKES
) -> str:
    """Say why `digit` goes in none of the open `cells`; empty where there are none.

    `r4c4 and r5c4 see it in r1c4; r5c6 sees it in r9c6; it is ruled out in r6c5`
    """
    blockers, struck = witnesses.find_blockers(grid, cells, digit)
    clauses = [
        f"{cell_names(grid, seen)} {'sees' if len(seen) == 1 else 'see'} "
        f"it in {grid.layout.format_cell(stands)}"
        for stands, seen in blockers
    ]
    if struck:
        clauses.append(f"it {tell_struck(grid, struck, digit, strikes)}")
    return "; ".join(clauses)


def tell_lacks(grid: Grid, cell: Cell) -> str:
    """Say what keeps the other digits out of `cell`: `1 and 2 in row 4 and 3 in box 5`."""
    return join_words(
        f"{join_words(sorted(map(grid.digit_at, cells)))} in {house.name}"
        for house, cells in witnesses.find_seen_digits(grid, cell)
    )


def struck_at(grid: Grid, cell: Cell) -> tuple[int, ...]:
    """Return the digits that were ruled out in `cell` though no placed digit is seen from it."""
    layout = grid.layout
    bits = grid.removed_mask & layout.cell_bits[cell]
    return tuple(digit for _, digit in layout.pairs(bits))


def tell_holdings(grid: Grid, cells: Sequence[Cell]) -> str:
    """Say what each cell can still be: `r7c6 can be 1 or 5; r9c4 1, 5 or 6; r9c6 5 or 6`."""
    layout = grid.layout
    parts: list[str] = []
    for cell in cells:
        verb = "" if parts else "can be "
        digits = join_words(grid.candidates_at(cell), "or")
        parts.append(f"{layout.format_cell(cell)} {verb}{digits}")
    return "; ".join(parts)


def places_in(grid: Grid, house: House, digit: int) -> tuple[Cell, ...]:
    """Return the cells of a house that can still hold a digit."""
    return grid.layout.cells_in(grid.plane(digit) & house.mask)


def tell_places(grid: Grid, house: House, digit: int) -> str:
    """Write `r4c1, r4c5 or r5c2`: where a digit can still go in a house."""
    return join_words(map(grid.layout.format_cell, places_in(grid, house, digit)), "or")
