"""Where a puzzle turns, for a leader who teaches from it: what is there, and what becomes of those
who miss it. A pure question to the engine; it may take seconds for a hard puzzle.
"""

from __future__ import annotations

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
    apply_step,
    find_all_steps,
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
            _point(stage.position, stage.technique.level, ladder, needed, sweeps)
            for stage in sweeps.stages
            if stage.technique.level > 1
        ),
        missing=tuple(
            _missing(grid, sweeps, technique) for technique in needs if technique.level > 1
        ),
    )


def _point(
    position: Grid, level: int, ladder: list[Technique], needed: set[str], sweeps: grading.Sweeps
) -> TurningPointFacts:
    steps = find_all_steps(position, ladder)
    by_rank = sorted(steps, key=lambda step: RANKS[step.technique])
    return TurningPointFacts(
        position=Position.of(position),
        level=level,
        offers=tuple(
            _offer(position, list(group), sweeps, is_needed=technique in needed)
            for technique, group in groupby(by_rank, key=lambda step: step.technique)
        ),
        open_cells=position.open_cells.bit_count(),
        candidates=_count_candidates(position),
        pairs=_count_pairs(position),
    )


def _offer(
    position: Grid, steps: list[Step], sweeps: grading.Sweeps, *, is_needed: bool
) -> TurningSteps:
    leading = []
    if is_needed:
        ladder = _ladder_without(sweeps, steps[0].technique)
        leading = [
            step
            for step in steps
            if grading.find_sweeps(apply_step(position, step), ladder).is_solved
        ]
    return TurningSteps(
        technique=steps[0].technique,
        level=steps[0].level,
        count=len(steps),
        is_needed=is_needed,
        step=facts_of_step(position.layout, (leading or steps)[0]),
        leading=len(leading),
    )


def _ladder_without(sweeps: grading.Sweeps, technique: str) -> list[Technique]:
    """Return the ladder up to the puzzle's hardest technique, less one."""
    hardest = sweeps.hardest
    assert hardest is not None
    return [
        each
        for each in sweeps.ladder
        if RANKS[each.id] <= RANKS[hardest.id] and each.id != technique
    ]


def _missing(grid: Grid, sweeps: grading.Sweeps, technique: Technique) -> Missing:
    """Return where somebody is stuck who knows all up to the puzzle's hardest, less one."""
    ladder = _ladder_without(sweeps, technique.id)
    stuck = grading.find_sweeps(grid, ladder).end
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
