"""Reasons that rest on the puzzle having one solution only, and say so."""

from __future__ import annotations

from collections.abc import Callable

from bot.wording.prose import capitalise, join_words, number_word, sentences
from bot.wording.sight import cell_names, tell_holdings, tell_places
from bot.wording.steps.fish import name_lines
from bot.wording.steps.links import shared_houses
from engine import Bound, Cell, Grid, Step, pattern_parts

PREMISE = "This relies on the puzzle having just one solution."


def _rectangle_of(step: Step, grid: Grid) -> tuple[tuple[int, int], tuple[Cell, ...]]:
    """Return the two digits that all four corners can hold, and the corners."""
    corners = pattern_parts.rectangle_corners(step, grid)
    one, other = (
        digit for digit in step.digits if all(digit in grid.candidates_at(cell) for cell in corners)
    )
    return (one, other), corners


def _tell_deadly(grid: Grid, digits: tuple[int, int], corners: tuple[Cell, ...]) -> str:
    return (
        f"{cell_names(grid, corners)} are the corners of a rectangle in two rows, two columns and "
        f"two boxes. If they held nothing but {join_words(digits)}, the two digits could change "
        "places everywhere and the puzzle would have a second solution."
    )


def tell_rectangle(step: Step, grid: Grid) -> str:
    digits, corners = _rectangle_of(step, grid)
    roof = [cell for cell in corners if grid.candidates_at(cell) != digits]
    return sentences(
        PREMISE,
        _tell_deadly(grid, digits, corners),
        _KINDS[step.variant](step, grid, digits, roof),
    )


def _extras(grid: Grid, cells: list[Cell], digits: tuple[int, int]) -> list[int]:
    return sorted({d for cell in cells for d in grid.candidates_at(cell)} - set(digits))


def _tell_one_open_corner(step: Step, grid: Grid, digits: tuple[int, int], roof: list[Cell]) -> str:
    name = cell_names(grid, roof)
    extras = join_words(_extras(grid, roof, digits), "or")
    return (
        f"Only {name} can hold anything else, {extras}. So {name} must be that, and neither "
        f"{digits[0]} nor {digits[1]}."
    )


def _tell_same_extra(step: Step, grid: Grid, digits: tuple[int, int], roof: list[Cell]) -> str:
    extra = _extras(grid, roof, digits)[0]
    return (
        f"The only way out is {extra}, in {cell_names(grid, roof)}. One of them must be {extra}, "
        f"so no cell that sees {'both' if len(roof) == 2 else 'all of them'} can be {extra}."
    )


def _tell_group_with_roof(step: Step, grid: Grid, digits: tuple[int, int], roof: list[Cell]) -> str:
    return _tell_group(step, grid, roof, _extras(grid, roof, digits))


def _tell_group(step: Step, grid: Grid, roof: list[Cell], extras: list[int]) -> str:
    others = [
        cell for cell in step.cells if cell not in pattern_parts.rectangle_corners(step, grid)
    ]
    houses = _houses_of_group(step, grid, (*roof, *others))
    group = sorted({d for cell in others for d in grid.candidates_at(cell)} | set(extras))
    word = number_word(len(others) + 1)
    return sentences(
        f"{cell_names(grid, roof)} must hold one of {join_words(extras)} between them, as if they "
        "were one cell.",
        f"With {cell_names(grid, others)} that makes {word} cells for {word} digits, "
        f"{join_words(group)}: {tell_holdings(grid, others)}.",
        f"No other cell of {houses} can be {join_words(group, 'or')}.",
    )


def _houses_of_group(step: Step, grid: Grid, cells: tuple[Cell, ...]) -> str:
    struck = grid.layout.mask_of(cell for cell, _ in grid.layout.pairs(step.removes))
    names = [house.name for house in shared_houses(grid, cells) if house.mask & struck]
    return join_words(names, "or")


def _tell_locked_digit(step: Step, grid: Grid, digits: tuple[int, int], roof: list[Cell]) -> str:
    house, digit = next(
        (house, digit)
        for house, digit in pattern_parts.cited_houses(step, grid, Bound.AT_LEAST_ONE)
        if digit in digits
    )
    other = digits[0] if digit == digits[1] else digits[1]
    floor = [cell for cell in pattern_parts.rectangle_corners(step, grid) if cell not in roof]
    return (
        f"{cell_names(grid, floor)} hold nothing else. In {house.name}, {digit} can only go in "
        f"{tell_places(grid, house, digit)}. If the other one were {other}, there would be nothing "
        f"but {join_words(digits)} in the rectangle, so neither can be {other}."
    )


def _tell_crossed_digit(step: Step, grid: Grid, digits: tuple[int, int], roof: list[Cell]) -> str:
    floor = [cell for cell in pattern_parts.rectangle_corners(step, grid) if cell not in roof]
    lines = [house for house, _ in pattern_parts.cited_houses(step, grid, Bound.AT_LEAST_ONE)]
    _, digit = grid.layout.pairs(step.removes)[0]
    other = digits[0] if digit == digits[1] else digits[1]
    return (
        f"{cell_names(grid, floor)} hold nothing else. {capitalise(name_lines(lines))} have their "
        f"{digit}s only in the corners, so two corners across from each other hold them. If those "
        f"were {cell_names(grid, roof)}, the other two would be {other}, and there would be "
        f"nothing but {join_words(digits)} in the rectangle, so neither can be {digit}."
    )


def tell_hidden_rectangle(step: Step, grid: Grid) -> str:
    digits, corners = _rectangle_of(step, grid)
    struck_cell, struck = grid.layout.pairs(step.removes)[0]
    other = digits[0] if struck == digits[1] else digits[1]
    name = grid.layout.format_cell(struck_cell)
    across = next(
        cell
        for cell in corners
        if grid.layout.row_of(cell) != grid.layout.row_of(struck_cell)
        and grid.layout.column_of(cell) != grid.layout.column_of(struck_cell)
    )
    lines = [
        f"in {house.name}, {digit} can only go in {tell_places(grid, house, digit)}"
        for house, digit in pattern_parts.cited_houses(step, grid, Bound.AT_LEAST_ONE)
    ]
    return sentences(
        PREMISE,
        _tell_deadly(grid, digits, corners),
        f"{capitalise('; '.join(lines))}." if lines else "",
        f"If {name} were {struck}, these lines would put {other} beside it both ways and {struck} "
        f"in {grid.layout.format_cell(across)}: just that rectangle.",
    )


def tell_avoidable_rectangle(step: Step, grid: Grid) -> str:
    """Tell the rectangle that digits of one's own have begun, and what keeps it from completion."""
    corners = pattern_parts.rectangle_corners(step, grid)
    filled = [cell for cell in corners if grid.digit_at(cell)]
    roof = [cell for cell in corners if cell not in filled]
    standing = {digit: [c for c in filled if grid.digit_at(c) == digit] for digit in step.digits}
    told = ", ".join(
        f"{cell_names(grid, cells)} {'is' if len(cells) == 1 else 'are'} {digit}"
        for digit, cells in standing.items()
        if cells
    )
    return sentences(
        PREMISE,
        f"{cell_names(grid, corners)} are the corners of a rectangle in two rows, two columns "
        "and two boxes, and no digit in them was given. If they came to hold just two digits, "
        "those could change places and the puzzle would have a second solution.",
        f"{told}. {_tell_way_out(step, grid, filled, roof)}",
    )


def _tell_way_out(step: Step, grid: Grid, filled: list[Cell], roof: list[Cell]) -> str:
    struck = sorted({digit for _, digit in grid.layout.pairs(step.removes)})
    goes = join_words(struck, "or")
    if len(roof) == 1:
        return f"With {goes} in {cell_names(grid, roof)} they would."
    if len({grid.digit_at(cell) for cell in filled}) == 1:
        one, other = grid.candidates_at(roof[0])
        return (
            f"{cell_names(grid, roof)} can both be {one} or {other}; with the same digit in both, "
            f"they would. So one of them is {one} and the other {other}, and no cell that sees "
            f"both can be {goes}."
        )
    completing = _tell_completing(grid, filled, roof)
    if step.variant == "type-3":
        extras = _extras(grid, roof, (grid.digit_at(filled[0]), grid.digit_at(filled[1])))
        return f"With {completing} they would. So {_tell_group(step, grid, roof, extras)}"
    return (
        f"With {completing} they would, and the only other digit that "
        f"each can be is {goes}. So one of them must be {goes}, and no cell that sees both can be "
        f"{goes}."
    )


def _tell_completing(grid: Grid, filled: list[Cell], roof: list[Cell]) -> str:
    """Write `2 in r2c1 and 1 in r2c4`: in each the digit of the corner across from it."""
    layout = grid.layout
    return join_words(
        f"{grid.digit_at(across)} in {layout.format_cell(cell)}"
        for cell in roof
        for across in filled
        if layout.row_of(across) != layout.row_of(cell)
        and layout.column_of(across) != layout.column_of(cell)
    )


_Kind = Callable[[Step, Grid, tuple[int, int], list[Cell]], str]
_KINDS: dict[str, _Kind] = {
    "type-1": _tell_one_open_corner,
    "type-2": _tell_same_extra,
    "type-3": _tell_group_with_roof,
    "type-4": _tell_locked_digit,
    "type-6": _tell_crossed_digit,
}


def tell_bug(step: Step, grid: Grid) -> str:
    """Tell the position in which all open cells but one have two candidates."""
    cell, digit = step.places[0] if step.places else grid.layout.pairs(step.removes)[0]
    name = grid.layout.format_cell(cell)
    digit = next(
        d
        for d in grid.candidates_at(cell)
        if all(
            (grid.plane(d) & house.mask).bit_count() == 3 for house in grid.layout.houses_of[cell]
        )
    )
    houses = join_words(house.name for house in grid.layout.houses_of[cell])
    return sentences(
        PREMISE,
        f"Every open cell has just two candidates, except {name}, which has "
        f"{join_words(grid.candidates_at(cell))}.",
        f"Of these only {digit} has three places in {houses}; in every other house each digit has "
        "two.",
        f"Without {digit} in {name} every cell would be left with two candidates and every digit "
        "with two places: such a position has no solution, or more than one.",
    )
