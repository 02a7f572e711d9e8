"""What comes before a lesson's find: what else was tried, and what two-place marks show of it.

All of it is told of the lesson's own position: which easier techniques do nothing there, and which
do something that leaves alone what the find is after.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from functools import cache

from bot.club.facts import marked
from bot.club.lessons import position_of_lesson
from bot.wording.prose import join_words, sentences
from bot.wording.sight import cell_names
from bot.wording.techniques import a_technique, technique_name
from engine import (
    LADDER,
    RANKS,
    Cell,
    Grid,
    Step,
    Technique,
    find_steps,
    format_grid,
    parse_grid,
    technique_with,
)

MOST_NAMED = 5
"""So many techniques that do nothing are named, and no more."""

MOST_SHOWN = 3
"""So many that do something else are told with their places, and no more."""

_SINGLES = 1


@cache
def tell_before(technique: str) -> str:
    """Say which easier techniques struck what is gone at the lesson's position, which do nothing
    there, and which do something else; empty for the first of the ladder."""
    grid = position_of_lesson(technique)
    lower = [each for each in LADDER[: RANKS[technique]] if not each.is_shortcut]
    found = {each.id: find_steps(grid, each.id) for each in lower}
    there = {name: steps[0] for name, steps in found.items() if steps}
    told = _tell_found(there, grid) if there else _tell_none(lower)
    return sentences(_tell_struck(lower, grid), told)


def _tell_struck(lower: Sequence[Technique], grid: Grid) -> str:
    """Say which easier techniques struck what its digits alone would leave, in the order in which
    they can; nothing where that is nothing."""
    now, by = parse_grid(format_grid(grid)), dict[str, None]()
    while left := now.candidates & ~grid.candidates:
        steps = (step for each in lower for step in find_steps(now, each.id))
        found = next((step for step in steps if step.removes & left), None)
        if found is None:
            return ""
        by[a_technique(found.technique)] = None
        now = now.eliminate(found.removes & left)
    return f"What was struck before went by {join_words(by)}." if by else ""


def _tell_none(lower: Sequence[Technique]) -> str:
    """Say that nothing easier does anything, by name where that is short."""
    singles = [technique_name(each.id) for each in lower if each.level == _SINGLES]
    names = [technique_name(each.id) for each in lower if each.level > _SINGLES]
    if not names:
        return f"There is no {join_words(singles, 'or')} left." if singles else ""
    told = f"No {join_words(names, 'or')} strikes anything."
    if len(names) > MOST_NAMED:
        told = f"Nothing easier strikes anything, from {names[0]} up to {names[-1]}."
    return sentences("There is no single left to place.", told)


def _tell_found(there: dict[str, Step], grid: Grid) -> str:
    """Say which easier techniques do something, and that it is not what the find does."""
    has_singles = any(technique_with(name).level == _SINGLES for name in there)
    places = [f"{a_technique(name)}{_place(step, grid)}" for name, step in there.items()]
    shown = places if len(places) <= MOST_SHOWN else [*places[: MOST_SHOWN - 1], "more"]
    only = "only " if len(places) <= MOST_SHOWN else ""
    others = "it does something else" if len(places) == 1 else "none of that does what this does"
    return sentences(
        "" if has_singles else "There is no single left to place.",
        f"Of what is easier you can find {only}{join_words(shown)}; {others}.",
    )


def _place(step: Step, grid: Grid) -> str:
    return f" in {grid.layout.houses[step.houses[0]].name}" if step.houses else ""


@cache
def tell_by_eye(technique: str) -> str:
    """Say what of the find two-place marks show: its digits in the cells of its pattern."""
    grid = position_of_lesson(technique)
    step = find_steps(grid, technique)[0]
    layout, shown = grid.layout, marked(grid, "two-place")
    cells: defaultdict[int, list[Cell]] = defaultdict(list)
    for digit in layout.digits:
        for cell in step.cells:
            bit = layout.bit(cell, digit)
            if bit & shown and (bit & step.pattern or (cell, digit) in step.places):
                cells[digit].append(cell)
    if not cells:
        return "In this position two-place marks show nothing of it."
    digits: defaultdict[str, list[int]] = defaultdict(list)
    for digit, places in cells.items():
        digits[cell_names(grid, places)].append(digit)
    told = "; ".join(f"{join_words(each)} in {names}" for names, each in digits.items())
    return f"In this position the marks show {told}."
