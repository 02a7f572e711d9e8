"""Reasons of the plain steps: singles, locked candidates, naked and hidden groups."""

from __future__ import annotations

from bot.wording.prose import capitalise, join_words, number_word, sentences
from bot.wording.sight import (
    cell_names,
    missing_digits,
    open_cells_in,
    places_in,
    struck_at,
    tell_blocked,
    tell_lacks,
)
from engine import Cell, Grid, House, Step, witnesses

_GROUP_NAMES = {2: "pair", 3: "triple", 4: "quad"}


def _first_house(step: Step, grid: Grid) -> House:
    return step.houses_in(grid.layout)[0]


def tell_last_digit(step: Step, grid: Grid) -> str:
    house, digit = _first_house(step, grid), step.digits[0]
    cell = grid.layout.format_cell(step.cells[0])
    return f"{cell} is the only open cell of {house.name}, and {digit} is the digit it still lacks."


def tell_last_three(step: Step, grid: Grid) -> str:
    house = _first_house(step, grid)
    left = list(step.cells)
    todo = {digit: cell for cell, digit in step.places}
    told = [
        f"{capitalise(house.name)} has three open cells left, {cell_names(grid, step.cells)}, "
        f"for {join_words(step.digits)}."
    ]
    alone = next((cell for cell in step.cells if len(grid.candidates_at(cell)) == 1), None)
    while todo:
        ready = [
            digit
            for digit, cell in todo.items()
            if cell != alone
            and all(digit not in grid.candidates_at(other) for other in left if other != cell)
        ]
        if not ready:
            break
        digit = ready[0]
        others = [cell for cell in left if cell != todo[digit]]
        told.append(
            f"{digit} goes in {grid.layout.format_cell(todo[digit])}: "
            f"{tell_blocked(grid, others, digit)}."
        )
        left.remove(todo.pop(digit))
    settled = [digit for digit in step.digits if digit not in todo]
    told.extend(
        f"That makes {grid.layout.format_cell(cell)} a naked single: it can be neither "
        f"{join_words(settled, 'nor')}, so it is {digit}."
        for digit, cell in todo.items()
    )
    return sentences(*told)


def tell_hidden_single(step: Step, grid: Grid) -> str:
    house, digit, cell = _first_house(step, grid), step.digits[0], step.cells[0]
    others = [each for each in open_cells_in(grid, house) if each != cell]
    why = tell_blocked(grid, others, digit)
    opening = (
        f"The {digit} of {house.name} has only one place left, {grid.layout.format_cell(cell)}"
    )
    return f"{opening}: {why}." if why else f"{opening}."


def tell_naked_single(step: Step, grid: Grid) -> str:
    cell = step.cells[0]
    struck = struck_at(grid, cell)
    name = grid.layout.format_cell(cell)
    return sentences(
        f"{name} already sees {tell_lacks(grid, cell)}.",
        f"{join_words(struck)} {'was' if len(struck) == 1 else 'were'} ruled out there before."
        if struck
        else "",
        f"{step.digits[0]} is the only digit left for it.",
    )


def tell_confined(step: Step, grid: Grid) -> str:
    """Pointing and claiming: the same reasoning with the two houses exchanged."""
    layout, digit = grid.layout, step.digits[0]
    house = _first_house(step, grid)
    other = layout.houses[step.covers[0]]
    cells = cell_names(grid, step.cells)
    rest = [cell for cell in open_cells_in(grid, house) if cell not in step.cells]
    why = tell_blocked(grid, rest, digit) or "they are its only open cells"
    whole = "both" if len(step.cells) == 2 else "all"
    return sentences(
        f"In {house.name}, {digit} can only go in {cells}: {why}.",
        f"These cells {whole} lie in {other.name} as well. Whichever of them it is, "
        f"{other.name} gets its {digit} there, so none of its other cells can be {digit}.",
    )


def tell_naked(step: Step, grid: Grid) -> str:
    word = number_word(len(step.cells))
    houses = join_words((house.name for house in step.houses_in(grid.layout)), "or")
    return sentences(
        _tell_why_so_little(step, grid),
        f"{capitalise(word)} cells for {word} digits: whichever goes where, they use up "
        f"{join_words(step.digits)}.",
        f"Not every cell needs to hold all {word}." if _is_patchy(step, grid) else "",
        f"No other cell of {houses} can be {join_words(step.digits, 'or')}.",
        _twin(step, grid, "hidden"),
    )


def _tell_why_so_little(step: Step, grid: Grid) -> str:
    """Say what each cell can be, and which digits that the house lacks it sees elsewhere.

    `r1c9 can be 1 or 9 (row 1 has 2, 5 and 8; box 3 has 3); r7c9 1 or 9 (row 7 has 2, 3 and 8)`
    """
    house = _first_house(step, grid)
    lacking = missing_digits(grid, house)
    cells_by_clause: dict[str, list[Cell]] = {}
    for cell in step.cells:
        losses = _tell_losses(grid, house, cell, lacking)
        holds = join_words(grid.candidates_at(cell), "or")
        clause = f"{holds} ({losses})" if losses else holds
        cells_by_clause.setdefault(clause, []).append(cell)
    told = [
        f"{cell_names(grid, cells)} {'' if number else 'can be '}{clause}"
        for number, (clause, cells) in enumerate(cells_by_clause.items())
    ]
    return f"{'; '.join(told)}."


def _tell_losses(grid: Grid, house: House, cell: Cell, lacking: tuple[int, ...]) -> str:
    """Write `row 3 has 3 and 5, box 1 has 4; 7 is ruled out already`; empty where nothing is."""
    seen: set[int] = set()
    clauses = []
    for other, cells in witnesses.find_seen_digits(grid, cell):
        digits = sorted({grid.digit_at(each) for each in cells} & set(lacking))
        seen.update(digits)
        if digits and other != house:
            clauses.append(f"{other.name} has {join_words(digits)}")
    held = grid.candidates_at(cell)
    struck = [digit for digit in lacking if digit not in held and digit not in seen]
    if struck:
        verb = "is" if len(struck) == 1 else "are"
        clauses.append(f"{join_words(struck)} {verb} ruled out already")
    return "; ".join(clauses)


def tell_locked(step: Step, grid: Grid) -> str:
    houses = step.houses_in(grid.layout)
    return sentences(
        tell_naked(step, grid),
        f"The cells lie in {join_words(house.name for house in houses)} at once, "
        "so it works in both.",
    )


def tell_hidden(step: Step, grid: Grid) -> str:
    house = _first_house(step, grid)
    size = len(step.digits)
    if size == 2:
        rest = [cell for cell in open_cells_in(grid, house) if cell not in step.cells]
        why = [tell_blocked(grid, rest, digit) for digit in step.digits]
        reasons = [
            f"For {digit}: {told}." for digit, told in zip(step.digits, why, strict=True) if told
        ]
        shared = sentences(
            f"In {house.name}, {join_words(step.digits)} can only go in "
            f"{cell_names(grid, step.cells)}.",
            *reasons,
        )
    else:
        where = [
            f"{digit} only in {join_words(names, 'or')}"
            for digit in step.digits
            for names in [map(grid.layout.format_cell, places_in(grid, house, digit))]
        ]
        shared = f"In {house.name} there is room for {'; for '.join(where)}."
    word = number_word(size)
    return sentences(
        shared,
        f"{capitalise(word)} digits need {word} cells, so these cells are taken and can hold "
        "nothing else.",
        _twin(step, grid, "naked"),
    )


def _is_patchy(step: Step, grid: Grid) -> bool:
    return any(len(grid.candidates_at(cell)) < len(step.digits) for cell in step.cells)


def _twin(step: Step, grid: Grid, kind: str) -> str:
    """Say what the step looks like from the house's other open cells, where it has a name.

    Only for a step in a single house: a locked one strikes more than its twin does.
    """
    if len(step.houses) != 1:
        return ""
    house = _first_house(step, grid)
    cells = [cell for cell in open_cells_in(grid, house) if cell not in step.cells]
    digits = [digit for digit in missing_digits(grid, house) if digit not in step.digits]
    name = _GROUP_NAMES.get(len(cells))
    if name is None or len(digits) != len(cells):
        return ""
    return (
        f"The same thing seen from the other cells: {join_words(digits)} are a {kind} {name} "
        f"in {cell_names(grid, cells)}."
    )
