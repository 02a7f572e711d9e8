"""The traced contradiction, step by step: what is assumed, what follows, where it breaks."""

from __future__ import annotations

from bot.wording.prose import join_words, sentences
from bot.wording.sight import cell_names
from engine import Grid, Layout, Step, pattern_parts


def tell_trace(step: Step, grid: Grid) -> str:
    """Tell what is supposed, then line by line what follows, and what cannot be then."""
    return "\n".join(_tell_trial(step, grid))


def _tell_trial(step: Step, grid: Grid, number: str = "") -> list[str]:
    """Return the lines of a trial; those of one within it are numbered `3.1`, `3.2` and so on."""
    if step.assumed is None:
        raise ValueError(f"{step.key} assumes nothing")
    found = pattern_parts.find_break(pattern_parts.end_of_trace(grid, step))
    if found is None:
        raise ValueError(f"{step.key} comes to no contradiction")
    cell, digit = step.assumed
    start = f"Suppose {grid.layout.format_cell(cell)} were {digit}."
    ending = f"But now {tell_break(grid, found)}: that cannot be."
    lines: list[str] = []
    for place, (each, at) in enumerate(pattern_parts.follow_trace(grid, step), start=1):
        own = f"{number}{place}."
        told = tell_consequence(each, at)
        inner = _tell_trial(each, at, own) if each.assumed is not None else []
        lines += [f"{own} {told}. {inner[0]}", *inner[1:]] if inner else [f"{own} {told}."]
    if len(lines) > 1:
        return [f"{start} Then, one after the other:", *lines, ending]
    return [sentences(start, *(f"Then {line.split(' ', 1)[1]}" for line in lines), ending)]


def tell_consequence(step: Step, grid: Grid) -> str:
    """Tell one plain step of a trace in a clause, as taken at the position `grid`.

    A step that is a trial of its own is only announced.
    """
    layout = grid.layout
    if step.places:
        return _tell_placed(step, layout)
    struck: dict[int, list[str]] = {}
    for cell, digit in layout.pairs(step.removes):
        struck.setdefault(digit, []).append(layout.format_cell(cell))
    lost = "; ".join(
        f"{join_words(cells)} {'loses' if len(cells) == 1 else 'lose'} {digit}"
        for digit, cells in struck.items()
    )
    if step.assumed is not None:
        return f"{lost}, as a trial of its own shows"
    houses = join_words(house.name for house in step.houses_in(layout))
    held = cell_names(grid, step.cells)
    return f"{join_words(step.digits)} in {houses} must be in {held}, so {lost}"


def _tell_placed(step: Step, layout: Layout) -> str:
    placed = join_words(f"{layout.format_cell(cell)} is {digit}" for cell, digit in step.places)
    if step.technique == "naked-single":
        return f"{placed} (nothing else is left there)"
    house = step.houses_in(layout)[0]
    return f"{placed} (no other place in {house.name})"


def tell_break(grid: Grid, found: pattern_parts.Break) -> str:
    """Say what cannot be: a bare cell, a digit without a place in a house, or twice in it."""
    names = cell_names(grid, found.cells)
    if found.house is None:
        return f"{names} has no candidate left"
    if found.cells:
        return f"{found.house.name} would hold {found.digit} twice, in {names}"
    return f"{found.house.name} has no place left for {found.digit}"
