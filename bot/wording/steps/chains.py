"""Reasons of chains: told link by link, then what both ends, or all cases, agree on.

Each stands on lines of its own; the cases of a forcing chain are numbered, and their lines too.
"""

from __future__ import annotations

from bot.wording.prose import capitalise, in_lines, join_words, number_word, sentences
from bot.wording.sight import cell_names, tell_holdings, tell_places
from bot.wording.steps.links import (
    find_strong_house,
    is_true_at_end,
    shared_houses,
    starts_true,
    tell_either_end,
    tell_node,
    tell_one_of,
    tell_seeing_ends,
)
from bot.wording.steps.stops import tell_stops
from engine import Grid, Link, LinkKind, Step


def tell_chain(step: Step, grid: Grid) -> str:
    """Tell one chain: between two ends of which one holds, or back upon its own start."""
    line = step.chains[0]
    told = tell_stops(grid, line)
    first, last = line[0].first, line[-1].second
    if first == last:
        told.append(_tell_return(grid, line))
    elif not starts_true(line):
        told.append(tell_either_end(grid, step, (first, last)))
    return in_lines(*told)


def _tell_return(grid: Grid, line: tuple[Link, ...]) -> str:
    """Tell what it means that a chain comes back to its start."""
    holds = is_true_at_end(line)
    if holds == starts_true(line):
        share_a_cell = any(
            link.kind is LinkKind.WEAK and link.first.digit != link.second.digit for link in line
        )
        beside = ", and where two neighbours share a cell nothing else fits" if share_a_cell else ""
        return (
            "The chain has come back to where it began, so it can be walked either way round, and "
            f"of every two neighbours on it one is true. Whatever sees both goes{beside}."
        )
    node = line[0].first
    return (
        f"But it began with the opposite: that cannot be, so {tell_node(grid, node, holds=holds)}."
    )


def tell_two_links(step: Step, grid: Grid) -> str:
    """Tell a digit with two places in each of two houses, one place of each seeing the other."""
    line, digit = step.chains[0], step.digits[0]
    ends = line[0].first, line[-1].second
    where = [
        f"in {house.name} {'' if number else f'the {digit} is '}in "
        f"{tell_places(grid, house, digit)}"
        for number, link in enumerate((line[0], line[-1]))
        for house in [find_strong_house(grid, link)]
        if house is not None
    ]
    meeting = shared_houses(grid, (*line[1].first.cells, *line[1].second.cells))[0]
    return sentences(
        f"{capitalise(', '.join(where))}.",
        f"{capitalise(meeting.name)} takes only one {digit}, so {tell_one_of(grid, ends)}, and "
        f"{tell_seeing_ends(grid, step, ends)}.",
    )


def tell_remote_pair(step: Step, grid: Grid) -> str:
    line = step.chains[0]
    nodes = [line[0].first, *(link.second for link in line)]
    cells = list(dict.fromkeys(cell for node in nodes for cell in node.cells))
    digits = join_words(step.digits)
    one, other = step.digits
    first, last = grid.layout.format_cell(cells[0]), grid.layout.format_cell(cells[-1])
    return in_lines(
        f"{capitalise(number_word(len(cells)))} cells can hold nothing but {digits}, and each sees "
        f"the next: {cell_names(grid, cells)}.",
        f"So they take turns: if {first} is {one}, the next is {other}, then {one} again, and "
        f"{last} comes out as {other}; if it begins with {other}, it is the other way round.",
        f"Either way one of {first} and {last} is {one} and the other {other}. A cell that sees "
        "both can be neither.",
    )


def tell_cell_cases(step: Step, grid: Grid) -> str:
    cell = step.chains[0][0].first.cells[0]
    return f"{tell_holdings(grid, [cell])}. {_tell_cases(step, grid)}"


def tell_house_cases(step: Step, grid: Grid) -> str:
    house, node = step.houses_in(grid.layout)[0], step.chains[0][0].first
    places = join_words(
        (grid.layout.format_cell(line[0].first.cells[0]) for line in step.chains), "or"
    )
    return f"In {house.name}, {node.digit} can only go in {places}. {_tell_cases(step, grid)}"


def _tell_cases(step: Step, grid: Grid) -> str:
    """Tell the chain of each case on lines of its own, then what all of them agree on."""
    cases = enumerate((line for line in step.chains if line), start=1)
    told = [each for number, line in cases for each in tell_stops(grid, line, str(number))]
    ends = {(line[-1].second, is_true_at_end(line)) for line in step.chains if line}
    if len(ends) == 1:
        ((node, holds),) = ends
        told.append(f"Every time {tell_node(grid, node, holds=holds)}.")
    else:
        told.append("Every time it comes to the same thing.")
    return in_lines("Take each in turn:", *told)
