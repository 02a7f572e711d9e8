"""A trace as it is told at a position: up to its first contradiction, and nothing to spare.

The steps of a trace are found many at once, where more has been struck than is told in the end.
Told one after another some strike less, and the contradiction can come sooner.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from engine.board.applying import apply_steps
from engine.board.counting import is_somewhere
from engine.board.grid import Grid
from engine.board.layout import Layout
from engine.board.step import Constraint, Step, scope_of
from engine.inference.evidence import cell_has_one, house_has_one
from engine.inference.minimal_evidence import with_what_stands
from engine.techniques.entailment import follow_without


def told_trace(grid: Grid, trace: Step) -> Step:
    """Return the trace as it is told at a position at which it follows."""
    assert trace.assumed is not None
    start = position = grid.place(*trace.assumed)
    lines: list[Step] = []
    for line in trace.trace:
        if find_breaches(position):
            break
        told = _told_line(position, line)
        if told is not None:
            lines.append(told)
            position = apply_steps(position, (told,))
    breaches = find_breaches(position)
    breach = next((each for each in trace.constraints if each in breaches), breaches[0])
    return replace(
        trace, trace=tuple(_without_spare_lines(start, lines, breach)), constraints=(breach,)
    )


def _told_line(grid: Grid, line: Step) -> Step | None:
    """Return the line with what it still does at the position, None where that is nothing."""
    places = tuple(place for place in line.places if grid.candidates & grid.layout.bit(*place))
    if not places and not line.removes & grid.candidates:
        return None
    if line.assumed is not None:
        return told_trace(grid, line)
    return with_what_stands(grid, line if places == line.places else replace(line, places=places))


def _without_spare_lines(start: Grid, lines: Sequence[Step], breach: Constraint) -> list[Step]:
    positions = [start]
    for line in lines:
        positions.append(apply_steps(positions[-1], (line,)))
    scope, kept = scope_of(start.layout, breach), list[Step]()
    for position, line in zip(reversed(positions[:-1]), reversed(lines), strict=True):
        end = follow_without(position, line, kept)
        if end is None or (end.candidates | end.placed) & scope:
            kept.insert(0, line)
    return kept


def find_breaches(grid: Grid) -> list[Constraint]:
    """Return each cell that can hold nothing, and each house that has no place for a digit."""
    layout: Layout = grid.layout
    held = grid.candidates | grid.placed
    if is_somewhere(layout, held):
        return []
    left = 0
    for digit in layout.digits:
        left |= layout.plane(held, digit)
    found: list[Constraint] = [
        cell_has_one(cell) for cell in layout.cells_in(layout.all_cells & ~left)
    ]
    for digit in layout.digits:
        plane = layout.plane(held, digit)
        for house in layout.houses:
            if not plane & house.mask:
                found.append(house_has_one(house.index, digit))
    return found
