"""Reasons of fish: as many lines as crossing lines, with fins or without."""

from __future__ import annotations

from collections.abc import Sequence

from bot.wording.prose import capitalise, join_words, number_word, sentences
from bot.wording.sight import cell_names, tell_places
from bot.wording.steps.links import mask_of
from engine.anatomy import base_lines, cover_lines, fin_cells
from engine.grid import Grid
from engine.layout import House
from engine.step import Step


def name_lines(houses: Sequence[House], last: str = "and") -> str:
    """Write `columns 6 and 9` where all are of one kind, else `row 2 and column 9`."""
    kinds = {house.kind for house in houses}
    if len(kinds) == 1 and len(houses) > 1:
        return f"{houses[0].kind}s {join_words((house.number for house in houses), last)}"
    return join_words((house.name for house in houses), last)


def _tell_places(step: Step, grid: Grid) -> str:
    digit, base = step.digits[0], base_lines(step, grid)
    where = "; ".join(f"in {house.name} {tell_places(grid, house, digit)}" for house in base)
    return f"Look for the {digit} of {name_lines(base)}: {where}."


def tell_fish(step: Step, grid: Grid) -> str:
    base, covers, digit = base_lines(step, grid), cover_lines(step, grid), step.digits[0]
    word = number_word(len(base))
    return sentences(
        _tell_places(step, grid),
        f"All these places lie in {name_lines(covers)}.",
        f"{capitalise(word)} {base[0].kind}s need {word} {digit}s, and {word} {covers[0].kind}s "
        f"have room for just {word}: each of {name_lines(covers)} gets its {digit} from "
        f"{name_lines(base)}, and nowhere else.",
    )


def tell_finned_fish(step: Step, grid: Grid) -> str:
    covers, digit = cover_lines(step, grid), step.digits[0]
    fins = grid.layout.cells_in(fin_cells(step, grid))
    named = cell_names(grid, fins)
    is_one = len(fins) == 1
    victims = {cell for cell, _ in grid.layout.pairs(step.removes)}
    house = next(
        (
            each
            for each in grid.layout.houses_of[fins[0]]
            if each.mask & mask_of((*fins, *victims)) == mask_of((*fins, *victims))
        ),
        None,
    )
    place = f" in {house.name}" if house else ""
    return sentences(
        _tell_places(step, grid),
        f"But for the {'fin' if is_one else 'fins'} {named}, all lie in {name_lines(covers)}.",
        f"If {'the fin is' if is_one else 'no fin is'} {'not ' if is_one else ''}{digit}, it is a "
        f"plain fish, and the rest of {name_lines(covers)} cannot be {digit}.",
        "Without the fin a line of it would have a single place left, which makes it sashimi and "
        "is just as good."
        if step.variant == "sashimi"
        else "",
        f"If {'the' if is_one else 'a'} fin is {digit}, no other cell that sees "
        f"{'it' if is_one else 'all fins'}{place} can be {digit}.",
        "What loses the digit both ways loses it for good.",
    )
