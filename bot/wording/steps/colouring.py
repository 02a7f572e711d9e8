"""Reasons of colouring: one digit, two colours of a cluster, of which exactly one is true."""

from __future__ import annotations

from bot.wording.prose import join_words, sentences
from bot.wording.sight import cell_names
from bot.wording.steps.links import find_strong_house, shared_houses
from engine import Cell, Grid, Step, pattern_parts


def tell_colouring(step: Step, grid: Grid) -> str:
    digit = step.digits[0]
    first, second = pattern_parts.find_colours(step)
    links = [link for line in step.chains for link in line]
    houses = dict.fromkeys(
        house.name for link in links for house in [find_strong_house(grid, link)] if house
    )
    return sentences(
        f"Where a house has two places left for {digit}, one of them holds it and the other does "
        f"not: that is so in {join_words(houses)}.",
        f"Follow these pairs and give the places two colours in turn: {cell_names(grid, first)} "
        f"against {cell_names(grid, second)}. One colour is {digit} throughout, the other nowhere.",
        _tell_meeting(step, grid, first, second)
        if step.variant == "meets-its-own-colour"
        else f"Whichever it is, a cell that sees both colours sees a {digit}.",
    )


def _tell_meeting(step: Step, grid: Grid, first: tuple[Cell, ...], second: tuple[Cell, ...]) -> str:
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


def tell_two_clusters(step: Step, grid: Grid) -> str:
    """Tell two clusters by the colours that meet, and what that leaves."""
    digit = step.digits[0]
    one, other = pattern_parts.find_clusters(step)
    opening = sentences(
        f"There are two clusters of pairs for {digit}, each in two colours, and in each one colour "
        f"is {digit} throughout: {cell_names(grid, one.met)} against "
        f"{cell_names(grid, one.others)}, and {cell_names(grid, other.met)} against "
        f"{cell_names(grid, other.others)}.",
        "; ".join(
            _tell_sight(grid, link.first.cells[0], link.second.cells[0]) for link in one.met_by
        )
        + ".",
    )
    if step.variant == "meets-both-colours":
        return sentences(
            opening,
            f"So {cell_names(grid, one.met)} meet both colours of the other cluster, and one of "
            f"those is {digit}: {cell_names(grid, one.met)} cannot be {digit}.",
        )
    victims = sorted({cell for cell, _ in grid.layout.pairs(step.removes)})
    return sentences(
        opening,
        f"The two colours that meet there cannot both be {digit}, so one of the other two is: "
        f"{cell_names(grid, one.others)}, or {cell_names(grid, other.others)}.",
        f"{cell_names(grid, victims)} {'sees' if len(victims) == 1 else 'see'} both of those "
        "colours.",
    )


def _tell_sight(grid: Grid, one: Cell, other: Cell) -> str:
    house = shared_houses(grid, (one, other))[0]
    names = (grid.layout.format_cell(one), grid.layout.format_cell(other))
    return f"{names[0]} and {names[1]} see each other in {house.name}"
