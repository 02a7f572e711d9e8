"""Reasons of fish: as many lines as crossing lines, with fins or without."""

from __future__ import annotations

from collections.abc import Sequence

from bot.wording.prose import join_words, number_word, sentences
from bot.wording.sight import cell_names, tell_places
from bot.wording.steps.conclusions import fitted
from bot.wording.steps.links import shared_houses
from bot.wording.techniques import technique_name
from engine import Grid, House, Step, pattern_parts


def name_lines(houses: Sequence[House], last: str = "and") -> str:
    """Write `columns 6 and 9` where all are of one kind, else `row 2 and column 9`."""
    kinds = {house.kind for house in houses}
    if len(kinds) == 1 and len(houses) > 1:
        return f"{houses[0].kind}s {join_words((house.number for house in houses), last)}"
    return join_words((house.name for house in houses), last)


def _tell_places(step: Step, grid: Grid) -> str:
    digit, base = step.digits[0], pattern_parts.base_lines(step, grid)
    where = "; ".join(f"in {house.name}, {tell_places(grid, house, digit)}" for house in base)
    return f"Look at the {digit}s in {name_lines(base)}: {where}."


def tell_fish(step: Step, grid: Grid) -> str:
    base, covers, digit = (
        pattern_parts.base_lines(step, grid),
        pattern_parts.cover_lines(step, grid),
        step.digits[0],
    )
    word = number_word(len(base))
    where = "; ".join(tell_places(grid, house, digit) for house in base)
    opening = f"The {digit}s of {name_lines(base)} can only go in {name_lines(covers)}"
    reason = f"The {word} {base[0].kind}s use up the {digit} of each of these {covers[0].kind}s."
    return fitted(step, grid, f"{opening}: {where}. {reason}", f"{opening}. {reason}")


def tell_finned_fish(step: Step, grid: Grid) -> str:
    """Tell it from the fin: what follows if it holds, what if it does not, and that both agree."""
    digit, covers = step.digits[0], name_lines(pattern_parts.cover_lines(step, grid))
    fins = grid.layout.cells_in(pattern_parts.fin_cells(step, grid))
    victims = tuple(dict.fromkeys(cell for cell, _ in grid.layout.pairs(step.removes)))
    house = shared_houses(grid, (*fins, *victims))[0]
    is_one = len(fins) == 1
    named, bases = cell_names(grid, victims), name_lines(pattern_parts.base_lines(step, grid))
    seeing, lying = (
        (f"{named} sees", f"{named} lies")
        if len(victims) == 1
        else (f"{named} see", f"{named} lie")
    )
    return sentences(
        _tell_places(step, grid),
        f"All but the {'fin' if is_one else 'fins'} {cell_names(grid, fins)} lie in {covers}.",
        f"If {'the fin' if is_one else 'a fin'} is {digit}, {seeing} it in {house.name}.",
        f"If not, {_tell_without_fins(step, grid, bases)} use up the {digit}s of {covers}, where "
        f"{lying} too.",
        f"Either way {'it' if len(victims) == 1 else 'they'} cannot be {digit}.",
    )


def _tell_without_fins(step: Step, grid: Grid, bases: str) -> str:
    """Say what is left without the fins: a plain fish, or of a sashimi one a line's last place."""
    digit, fins = step.digits[0], pattern_parts.fin_cells(step, grid)
    single = [
        f"{house.name} has only {grid.layout.format_cell(left[0])} left for its {digit}"
        for house in pattern_parts.base_lines(step, grid)
        for left in [grid.layout.cells_in(grid.plane(digit) & house.mask & ~fins)]
        if len(left) == 1
    ]
    if single:
        return f"{join_words(single)}, and {bases} still"
    return f"it is a plain {technique_name(step.technique.removeprefix('finned-'))}: {bases}"
