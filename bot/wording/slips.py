"""A common slip as a lesson shows it: what looks like the technique and is none, and why not.

The engine judges what is shown, as it does a member's own find, so the reason is the position's.
"""

from __future__ import annotations

from collections.abc import Iterable

from bot.club.asking import facts_of_flaw, judged_facts
from bot.club.facts import GridPicture, Position, facts_of_step
from bot.club.lessons import Slip, slip_of_lesson
from bot.platforms.message import Message
from bot.wording.asking import tell_reason
from bot.wording.prose import join_words, sentences
from bot.wording.rungs import which
from bot.wording.sight import cell_names
from bot.wording.steps import conclusion_of
from bot.wording.techniques import a_technique
from bot.wording.worded import Worded
from engine import LADDER, Cell, Grid, Node, Step, claims, find_steps

_FINNED = ("finned-x-wing", "finned-swordfish", "finned-jellyfish")
"""What a cell on a covering line fails to see is a fin."""


def slip_shown(technique: str) -> tuple[Worded, ...]:
    """Return the slip as a picture with its words; nothing where the lesson shows none."""
    slip = slip_of_lesson(technique)
    if slip is None:
        return ()
    grid, position = slip.grid, Position.of(slip.grid)
    picture = GridPicture(
        position.givens,
        position,
        with_candidates=True,
        keeps_marks=True,
        cells=tuple(map(grid.layout.format_cell, sorted({*_marked(technique, slip)}))),
    )
    tell = _tell_cases if slip.cases else _tell_strike if slip.removes else _tell_pattern
    told = tell(technique, slip)
    told = f"Here is another position. {told}" if slip.is_elsewhere else told
    return (Worded(Message(told), picture, "slip"),)


def _marked(technique: str, slip: Slip) -> Iterable[Cell]:
    """Yield what is marked: of a find that no other picture shows, every cell."""
    yield from (cell for case in slip.cases for cell, _ in case)
    if slip.removes and not slip.cases:
        step = find_steps(slip.grid, technique)[0]
        yield from step.cells if slip.is_elsewhere else _ends(step, slip)
    yield from slip.cells or (cell for cell, _ in slip.removes)


def _tell_pattern(technique: str, slip: Slip) -> str:
    said = claims.Said(technique=technique, cells=slip.cells, digits=slip.digits)
    asked = next(iter(find_steps(slip.grid, technique)), None)
    marked = "The marked cell" if len(slip.cells) == 1 else "The marked cells"
    return sentences(
        f"{marked} may look like {a_technique(technique)}, with {join_words(slip.digits)}, but "
        "that is not so.",
        tell_reason(judged_facts(slip.grid, said, asked, LADDER)),
    )


def _tell_strike(technique: str, slip: Slip) -> str:
    grid, ((cell, digit),) = slip.grid, slip.removes
    step = find_steps(grid, technique)[0]
    facts = facts_of_step(grid.layout, step)
    ends = _ends(step, slip)
    seen = [end for end in ends if _sees(grid, cell, end)]
    unseen = [end for end in ends if end not in seen]
    name = grid.layout.format_cell(cell)
    others = join_words(map(grid.layout.format_cell, unseen), "or")
    if technique in _FINNED:
        others = f"the fin {others}" if len(unseen) == 1 else f"the fins {others}"
    return sentences(
        f"{which(facts)} {conclusion_of(step, grid)}" if slip.is_elsewhere else "",
        f"It is tempting to strike {digit} from {name} as well. But {name} sees "
        f"{cell_names(grid, seen)}, and not {others}, so its {digit} stays.",
    )


def _tell_cases(technique: str, slip: Slip) -> str:
    grid, ((goes, digit),) = slip.grid, slip.removes
    name = grid.layout.format_cell
    ways = (
        f"if {name(case[0][0])} is {case[0][1]}, it goes by way of "
        f"{join_words(dict.fromkeys(name(cell) for cell, _ in case[1:] if cell != case[0][0]))}"
        for case in slip.cases
    )
    lines = ((*case, (goes, digit)) for case in slip.cases)
    chains = tuple(tuple(Node((cell,), each) for cell, each in line) for line in lines)
    flaw = claims.check_claim(grid, claims.Claim(technique, chains=chains))
    judged = facts_of_flaw(grid, claims.Judgement.FAILS, flaw)
    return sentences(
        f"Look at the places for {slip.cases[0][0][1]} in {join_words(judged.houses)}."
        if judged.houses
        else "",
        f"It is tempting to strike {digit} from {name(goes)}: {', and '.join(ways)}.",
        tell_reason(judged),
        f"So the {digit} stays.",
    )


def _ends(step: Step, slip: Slip) -> tuple[Cell, ...]:
    """Return the cells of the pattern that a cell has to see all of, to lose the slip's digit."""
    grid, ((_, digit),) = slip.grid, slip.removes
    layout = grid.layout
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
