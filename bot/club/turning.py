"""Where a puzzle turns, for a leader who teaches from it: what is there, and what becomes of those
who miss it. A pure question to the engine; it may take seconds for a hard puzzle.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby

from bot.club.facts import Position, facts_of_step
from bot.club.facts_planning import Missing, TurningPointFacts, TurningReport, TurningSteps
from engine import (
    LADDER,
    RANKS,
    Cell,
    Grid,
    Step,
    Technique,
    format_grid,
    grading,
    parse_grid,
)


class UnsettledError(Exception):
    """The ladder does not settle the puzzle, so there is nothing to tell of where it turns."""


def study_turning(givens: str) -> TurningReport:
    """Return where a puzzle turns. Raises UnsettledError."""
    return report_turning(parse_grid(givens))


def report_turning(grid: Grid) -> TurningReport:
    """Return where a puzzle turns. Raises UnsettledError."""
    sweeps = grading.find_sweeps(grid)
    hardest = sweeps.hardest
    if not sweeps.is_solved or hardest is None:
        raise UnsettledError
    needs, rounds = grading.find_needs(sweeps), grading.find_rounds(grid)
    ladder = [each for each in LADDER if each.level <= hardest.level and not each.is_last_resort]
    if hardest.is_last_resort:
        ladder.append(hardest)
    needed = {technique.id for technique in needs}
    return TurningReport(
        givens=format_grid(grid),
        level=hardest.level,
        hardest=hardest.id,
        needs=tuple(technique.id for technique in needs),
        effort=grading.effort_of(rounds),
        minutes=grading.minutes_of(grid, rounds),
        points=tuple(
            _facts_of(point, needed)
            for point in grading.find_turning_points(replace(sweeps, ladder=tuple(ladder)))
        ),
        missing=tuple(_missing(sweeps, technique) for technique in needs if technique.level > 1),
    )


def _facts_of(point: grading.TurningPoint, needed: set[str]) -> TurningPointFacts:
    position = point.position
    by_rank = sorted(point.steps, key=lambda step: RANKS[step.technique])
    return TurningPointFacts(
        position=Position.of(position),
        level=point.level_on,
        offers=tuple(
            _offer(point, list(group), is_needed=technique in needed)
            for technique, group in groupby(by_rank, key=lambda step: step.technique)
        ),
        open_cells=position.open_cells.bit_count(),
        candidates=_count_candidates(position),
        pairs=_count_pairs(position),
    )


def _offer(point: grading.TurningPoint, steps: list[Step], *, is_needed: bool) -> TurningSteps:
    ways = [way for way in point.ways if way[0] in steps]
    shown, *then = ways[0] if ways else steps[:1]
    layout = point.position.layout
    return TurningSteps(
        technique=shown.technique,
        level=shown.level,
        count=len(steps),
        is_needed=is_needed,
        step=facts_of_step(layout, shown),
        leading=len(ways),
        then=tuple(facts_of_step(layout, step) for step in then),
    )


def _missing(sweeps: grading.Sweeps, technique: Technique) -> Missing:
    """Return where somebody is stuck who knows all up to the puzzle's hardest, less one."""
    stuck = grading.find_stuck(sweeps, technique)
    return Missing(
        technique=technique.id,
        stuck=Position.of(stuck),
        open_cells=stuck.open_cells.bit_count(),
        pairs=_count_pairs(stuck),
        way_rounds=grading.find_way_rounds(sweeps, technique),
    )


def _open_cells(grid: Grid) -> list[Cell]:
    return [Cell(cell) for cell in range(grid.layout.cell_count) if grid.open_cells >> cell & 1]


def _count_candidates(grid: Grid) -> int:
    return sum(len(grid.candidates_at(cell)) for cell in _open_cells(grid))


def _count_pairs(grid: Grid) -> int:
    return sum(len(grid.candidates_at(cell)) == 2 for cell in _open_cells(grid))
