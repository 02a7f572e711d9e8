"""Reasons of the plain steps: singles, locked candidates, naked and hidden groups.

A crossing is told by its lines, not by listing cells; what was struck before, by the step that
struck it.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.wording.prose import capitalise, join_words, number_word, sentences
from bot.wording.sight import (
    NO_STRIKES,
    Strikes,
    cell_names,
    house_names,
    missing_digits,
    name_rests,
    open_cells_in,
    places_in,
    struck_at,
    tell_barred,
    tell_blocked,
    tell_lacks,
    tell_rests,
    tell_struck,
)
from bot.wording.steps.conclusions import fitted
from engine import Cell, Grid, House, Step, witnesses

_GROUP_NAMES = {2: "pair", 3: "triple", 4: "quad"}


def _first_house(step: Step, grid: Grid) -> House:
    return step.houses_in(grid.layout)[0]


def tell_last_digit(step: Step, grid: Grid, strikes: Strikes = NO_STRIKES) -> str:
    house, digit = _first_house(step, grid), step.digits[0]
    cell = grid.layout.format_cell(step.cells[0])
    return f"{cell} is the only open cell of {house.name}, which still lacks {digit}."


def tell_last_three(step: Step, grid: Grid, strikes: Strikes = NO_STRIKES) -> str:
    house = _first_house(step, grid)
    left = list(step.cells)
    todo = {digit: cell for cell, digit in step.places}
    told = [
        f"{capitalise(house.name)} has three open cells, {cell_names(grid, step.cells)}, "
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
            f"{tell_blocked(grid, others, digit, strikes)}."
        )
        left.remove(todo.pop(digit))
    told.extend(
        f"That leaves {digit} for {grid.layout.format_cell(cell)}." for digit, cell in todo.items()
    )
    return sentences(*told)


def tell_hidden_single(step: Step, grid: Grid, strikes: Strikes = NO_STRIKES) -> str:
    house, digit, cell = _first_house(step, grid), step.digits[0], step.cells[0]
    others = [each for each in open_cells_in(grid, house) if each != cell]
    houses, struck = witnesses.find_barring_houses(grid, house, others, digit)
    name = grid.layout.format_cell(cell)
    if not houses:
        told = f": it {tell_struck(grid, struck, digit, strikes)}" if struck else ""
        return f"The {digit} of {house.name} has only one place left, {name}{told}."
    lines = _tell_leaving(houses, digit)
    if not struck:
        return f"{lines} one place in {house.name}, {name}."
    places = cell_names(grid, sorted((cell, *struck)))
    return sentences(
        f"{lines} {number_word(1 + len(struck))} places in {house.name}, {places}.",
        f"It {tell_struck(grid, struck, digit, strikes)}, which settles {name}.",
    )


def tell_naked_single(step: Step, grid: Grid, strikes: Strikes = NO_STRIKES) -> str:
    cell = step.cells[0]
    struck = struck_at(grid, cell)
    gone = f"; {_tell_gone(grid, cell, struck, strikes)}" if struck else ""
    return f"{grid.layout.format_cell(cell)} sees {tell_lacks(grid, cell)}{gone}."


def _tell_gone(grid: Grid, cell: Cell, digits: tuple[int, ...], strikes: Strikes) -> str:
    """Say when digits left a cell: `5 left it in step 3, 2 in step 4`, `7 is ruled out already`."""
    by_step: dict[int, list[int]] = {}
    for digit in digits:
        by_step.setdefault(strikes.get((grid.layout.format_cell(cell), digit), 0), []).append(digit)
    already = by_step.pop(0, [])
    known = [f"{join_words(by_step[step])} in step {step}" for step in sorted(by_step)]
    clauses = [known[0].replace(" in ", " left it in ", 1), *known[1:]] if known else []
    if already:
        verb = "is" if len(already) == 1 else "are"
        clauses.append(f"{join_words(already)} {verb} ruled out already")
    return ", ".join(clauses)


def tell_confined(step: Step, grid: Grid, strikes: Strikes = NO_STRIKES) -> str:
    """Pointing and claiming: the same reasoning with the two houses exchanged."""
    layout, digit = grid.layout, step.digits[0]
    house = _first_house(step, grid)
    other = layout.houses[step.covers[0]]
    rest = [cell for cell in open_cells_in(grid, house) if cell not in step.cells]
    houses, struck = witnesses.find_barring_houses(grid, house, rest, digit)
    names, whole = cell_names(grid, step.cells), _all_of(len(step.cells))
    closes = f"in {other.name}, which gets its {digit} there."
    if houses and not struck:
        places = f"{number_word(len(step.cells))} places in {house.name}, {names}"
        return f"{_tell_leaving(houses, digit)} {places}, {whole} {closes}"
    why = tell_barred(grid, house, rest, digit, strikes) or "they are its only open cells"
    return sentences(
        f"In {house.name}, {digit} can only go in {names}: {why}.",
        f"{capitalise(whole)} lie {closes}",
    )


def _all_of(count: int) -> str:
    return "both" if count == 2 else "all"


def _tell_leaving(houses: Sequence[House], digit: int) -> str:
    """Write `The 4s of rows 1 and 3 leave`, of the houses that bar a digit from the rest."""
    many = len(houses) > 1
    return f"The {digit}{'s' if many else ''} of {house_names(houses)} leave{'' if many else 's'}"


def tell_naked(step: Step, grid: Grid, strikes: Strikes = NO_STRIKES) -> str:
    word, house = number_word(len(step.cells)), _first_house(step, grid)
    rest = [cell for cell in open_cells_in(grid, house) if cell not in step.cells]
    barred = [digit for digit in missing_digits(grid, house) if digit not in step.digits]
    told, brief, bare = (
        _tell_why_so_little(step, grid, strikes, detail=detail) for detail in (2, 1, 0)
    )
    bare = sentences(name_rests(step, grid, strikes), bare)
    if len(step.cells) == len(rest) == len(barred) == 2 and len(step.houses) == 1:
        opening = f"{capitalise(house.name)} has four open cells"
        lacking = f", for {join_words(missing_digits(grid, house))}"
        end = (
            f"{join_words(barred)} are barred from these two, so they go in "
            f"{cell_names(grid, rest)}."
        )
        return fitted(
            step,
            grid,
            *(
                sentences(f"{opening}{each}.", why, end)
                for why in (told, brief, bare)
                for each in (lacking, "")
            ),
        )
    houses = join_words(each.name for each in step.houses_in(grid.layout))
    if _is_of_three_pairs(step, grid):
        closes = (
            f"None holds all three, yet together they use up three digits of {houses}: "
            "whichever digit one takes leaves the others one each."
        )
        return fitted(step, grid, *(sentences(each, closes) for each in (told, brief, bare)))
    closes = f"{capitalise(word)} cells of {house.name} use up {word} digits."
    if len(step.houses) > 1:
        closes = f"{capitalise(word)} cells of both {houses} use up {word} digits."
    patchy, twin = _tell_patchy(step, grid), _twin(step, grid, "hidden")
    return fitted(
        step,
        grid,
        sentences(told, closes, patchy),
        sentences(brief, closes, patchy),
        sentences(brief, closes),
        sentences(bare, closes),
        aside=twin,
    )


def _tell_why_so_little(step: Step, grid: Grid, strikes: Strikes, *, detail: int) -> str:
    """Say what each cell can be, and which digits that the house lacks it sees elsewhere.

    `r1c9 can be 1 or 9 (row 1 has 2, 5 and 8; box 3 has 3); r7c9 1 or 9 (row 7 has 2, 3 and 8)`;
    with less `detail`, `r1c9 can be 1 or 9 (row 1, box 3)`, and with none no reason.
    """
    house = _first_house(step, grid)
    lacking = missing_digits(grid, house)
    cells_by_clause: dict[str, list[Cell]] = {}
    for cell in step.cells:
        losses = _tell_losses(grid, house, cell, lacking, strikes, is_brief=detail == 1)
        losses = losses if detail else ""
        holds = join_words(grid.candidates_at(cell), "or")
        clause = f"{holds} ({losses})" if losses else holds
        cells_by_clause.setdefault(clause, []).append(cell)
    told = [
        f"{cell_names(grid, cells)} {'' if number else 'can be '}{clause}"
        for number, (clause, cells) in enumerate(cells_by_clause.items())
    ]
    return f"{'; '.join(told)}."


def _tell_losses(
    grid: Grid,
    house: House,
    cell: Cell,
    lacking: tuple[int, ...],
    strikes: Strikes,
    *,
    is_brief: bool,
) -> str:
    """Write `row 3 has 3 and 5; box 1 has 4; 7 left it in step 2`; empty where nothing is."""
    seen: set[int] = set()
    clauses = []
    for other, cells in witnesses.find_seen_digits(grid, cell):
        digits = sorted({grid.digit_at(each) for each in cells} & set(lacking))
        seen.update(digits)
        if digits and other != house:
            clauses.append(other.name if is_brief else f"{other.name} has {join_words(digits)}")
    held = grid.candidates_at(cell)
    struck = tuple(digit for digit in lacking if digit not in held and digit not in seen)
    if struck:
        clauses.append(_tell_gone(grid, cell, struck, strikes))
    return "; ".join(clauses)


def tell_locked(step: Step, grid: Grid, strikes: Strikes = NO_STRIKES) -> str:
    """Tell a group in a line and a box: at once where the line has no open cell but these."""
    box, line = sorted(step.houses_in(grid.layout), key=lambda house: house.is_line)[:2]
    count = len(step.cells)
    if open_cells_in(grid, line) == step.cells:
        return (
            f"{capitalise(line.name)} has only {number_word(count)} open cells, "
            f"{cell_names(grid, step.cells)}, for {join_words(step.digits)}, and {_all_of(count)} "
            f"lie in {box.name}. They use these digits up in {box.name} too."
        )
    return tell_naked(step, grid, strikes)


def tell_hidden(step: Step, grid: Grid, strikes: Strikes = NO_STRIKES) -> str:
    house, word = _first_house(step, grid), number_word(len(step.digits))
    opening = (
        f"In {house.name}, {join_words(step.digits)} can only go in {cell_names(grid, step.cells)}."
    )
    whole = "both" if word == "two" else f"all {word}"
    end = f"{capitalise(word)} digits need {whole} cells."
    if len(step.digits) == 2:
        told, brief = (
            _tell_barred_pair(step, grid, strikes, is_brief=is_brief) for is_brief in (False, True)
        )
        told = sentences(opening, told)
        brief = sentences(name_rests(step, grid, strikes), opening, brief)
    else:
        cells_by_place: dict[tuple[Cell, ...], list[int]] = {}
        for digit in step.digits:
            cells_by_place.setdefault(places_in(grid, house, digit), []).append(digit)
        where = "; for ".join(
            f"{join_words(digits)} only in {join_words(map(grid.layout.format_cell, cells), 'or')}"
            for cells, digits in cells_by_place.items()
        )
        rests = tell_rests(step, grid, strikes)
        told = sentences(rests, f"In {house.name} there is room for {where}.")
        brief = sentences(rests, opening)
    return fitted(
        step,
        grid,
        sentences(told, end),
        sentences(brief, end),
        brief,
        aside=_twin(step, grid, "naked"),
    )


def _tell_barred_pair(step: Step, grid: Grid, strikes: Strikes, *, is_brief: bool) -> str:
    """Say which lines bar each of two digits from all other cells of their house."""
    house = _first_house(step, grid)
    rest = [cell for cell in open_cells_in(grid, house) if cell not in step.cells]
    one, other = step.digits
    first, second = (
        tell_barred(grid, house, rest, digit, strikes, is_brief=is_brief) for digit in step.digits
    )
    if first.replace(f"the {one}s", f"the {other}s", 1) == second and "the rest" in second:
        return f"{capitalise(second.replace(f'the {other}s', f'the {one}s and {other}s', 1))}."
    clauses = [
        told if told.startswith("the ") else f"for {digit} {told}"
        for digit, told in ((one, first), (other, second))
        if told
    ]
    return f"{capitalise('; '.join(clauses))}." if clauses else ""


def _is_of_three_pairs(step: Step, grid: Grid) -> bool:
    """Whether it is three cells with two digits each, every two of them with another one."""
    held = {grid.candidates_at(cell) for cell in step.cells}
    return len(step.cells) == len(held) == 3 and all(len(digits) == 2 for digits in held)


def _tell_patchy(step: Step, grid: Grid) -> str:
    """Say that a group closes though not every one of its cells holds all of its digits."""
    if all(len(grid.candidates_at(cell)) == len(step.digits) for cell in step.cells):
        return ""
    return f"Not every cell needs to hold all {number_word(len(step.cells))}."


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
    return f"The other open cells hold a {kind} {name}, {join_words(digits)}."
