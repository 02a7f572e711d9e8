"""The reason of simple colouring: one digit, two colours, of which exactly one is true."""

from __future__ import annotations

from bot.wording.prose import join_words, sentences
from bot.wording.sight import cell_names
from bot.wording.steps.links import find_strong_house, shared_houses
from engine.anatomy import find_colours
from engine.grid import Grid
from engine.layout import Cell
from engine.step import Step


def tell_colouring(step: Step, grid: Grid) -> str:
    digit = step.digits[0]
    first, second = find_colours(step)
    links = [link for line in step.chains for link in line]
    houses = dict.fromkeys(
        house.name for link in links for house in [find_strong_house(grid, link)] if house
    )
    return sentences(
        f"Where a house has two places left for {digit}, one of them holds it and the other does "
        f"not: so it is in {join_words(houses)}.",
        f"Follow these pairs and give the places two colours in turn: {cell_names(grid, first)} "
        f"against {cell_names(grid, second)}. One colour is {digit} throughout, the other nowhere.",
        _tell_wrap(step, grid, first, second)
        if step.variant == "wrap"
        else f"Whichever it is, a cell that sees both colours sees a {digit}.",
    )


def _tell_wrap(step: Step, grid: Grid, first: tuple[Cell, ...], second: tuple[Cell, ...]) -> str:
    """Say where two cells of one colour see each other."""
    digit = step.digits[0]
    for colour in (first, second):
        for number, one in enumerate(colour):
            for other in colour[number + 1 :]:
                for house in shared_houses(grid, (one, other)):
                    return (
                        f"But {cell_names(grid, (one, other))}, of the same colour, both lie in "
                        f"{house.name}, which holds {digit} once: that colour is not {digit}, and "
                        "the other one is."
                    )
    return ""
