"""A common slip as a lesson shows it: what looks like the technique and is none, and why not.

The engine judges what is shown, as it does a member's own find, so the reason is the position's.
"""

from __future__ import annotations

from bot.club.asking import judged_facts
from bot.club.facts import GridPicture
from bot.club.lessons import Slip, position_of_lesson, slip_of_lesson, worked_picture
from bot.platforms.message import Message
from bot.wording.asking import tell_reason
from bot.wording.prose import join_words, sentences
from bot.wording.sight import cell_names
from bot.wording.techniques import a_technique
from bot.wording.worded import Worded
from engine import LADDER, Cell, Grid, Step, claims, find_steps


def slip_shown(technique: str) -> tuple[Worded, ...]:
    """Return the slip as a picture with its words; nothing where the lesson shows none."""
    slip = slip_of_lesson(technique)
    if slip is None:
        return ()
    worked = worked_picture(technique)
    grid = position_of_lesson(technique)
    cells = slip.cells or (*_ends(technique, grid, slip), *(cell for cell, _ in slip.removes))
    picture = GridPicture(
        worked.givens,
        worked.position,
        with_candidates=True,
        keeps_marks=True,
        cells=tuple(map(grid.layout.format_cell, sorted(cells))),
    )
    told = _tell_strike if slip.removes else _tell_pattern
    return (Worded(Message(told(technique, grid, slip)), picture, "slip"),)


def _tell_pattern(technique: str, grid: Grid, slip: Slip) -> str:
    said = claims.Said(technique=technique, cells=slip.cells, digits=slip.digits)
    judged = judged_facts(grid, said, _step(technique, grid), LADDER)
    marked = "The marked cell" if len(slip.cells) == 1 else "The marked cells"
    return sentences(
        f"{marked} may look like {a_technique(technique)}, with {join_words(slip.digits)}, but "
        "that is not so.",
        tell_reason(judged),
    )


def _tell_strike(technique: str, grid: Grid, slip: Slip) -> str:
    ((cell, digit),) = slip.removes
    ends, layout = _ends(technique, grid, slip), grid.layout
    seen = [end for end in ends if _sees(grid, cell, end)]
    unseen = [end for end in ends if end not in seen]
    name = layout.format_cell(cell)
    others = join_words(map(layout.format_cell, unseen), "or")
    return (
        f"It is tempting to strike {digit} from {name} as well. But {name} sees "
        f"{cell_names(grid, seen)}, and not {others}, so its {digit} stays."
    )


def _step(technique: str, grid: Grid) -> Step:
    return find_steps(grid, technique)[0]


def _ends(technique: str, grid: Grid, slip: Slip) -> tuple[Cell, ...]:
    """Return the cells of the pattern that a cell has to see all of, to lose the slip's digit."""
    step, layout = _step(technique, grid), grid.layout
    ((_, digit),) = slip.removes
    cells = layout.cells_in(grid.open_cells)
    struck = [cell for cell in cells if step.removes & layout.cell_bits[cell]]
    return tuple(
        cell
        for cell in sorted(step.cells)
        if layout.bit(cell, digit) & grid.candidates
        and all(_sees(grid, cell, each) for each in struck)
    )


def _sees(grid: Grid, one: Cell, other: Cell) -> bool:
    return any(one in house.cells and other in house.cells for house in grid.layout.houses)
