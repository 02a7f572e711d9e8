"""What matters: of all that can be struck, the few steps that a placement depends on.

From a position without a single each step is tried by itself first, in the order of the ladder and
the smallest first: one that opens a placement at once is the hint. Where none does at a level,
eliminations are swept up to it, and the placement that rests on the fewest of them wins
(`elimination_search`). So a hint never sends a member to an elimination that leads nowhere, nor the
long way round.
"""

from __future__ import annotations

from collections.abc import Sequence

from engine.board.applying import apply_steps
from engine.board.grid import Grid, as_grid
from engine.board.step import Step
from engine.solving.easiest import find_easiest_single, find_singles
from engine.solving.elimination_search import EliminationSearch, PlacementPlan
from engine.solving.narrowing import Narrowing
from engine.solving.relocate_step import as_found_first, refound
from engine.techniques import LADDER, Technique
from engine.techniques.entailment import without_spare_steps

LEAST_SHORTENED = 3
"""Of two steps and a placement none is too many: neither step opens anything alone."""
SHORTENED_LEVEL = 4
"""Above it one more look at each position on the way would take longer than all else."""


def find_kept_steps(
    grid: Grid | str, narrowing: Narrowing | None = None, ladder: Sequence[Technique] = LADDER
) -> tuple[Step, ...]:
    """Return the steps to the best placement, the placement itself last; empty where stuck.

    Each is as its technique finds it at the position after those before it. With a narrowing the
    first one must be admitted by it. Where no placement comes in sight within the bound on long
    work, the last is the simplest step of that work instead.

    >>> from engine import find_hint, find_kept_steps
    >>> text = "23..7.....8..56.215....8.7.....14.....75.34.....68.....2.1....965.83..1.....4..86"
    >>> steps = find_kept_steps(text)
    >>> steps[0] == find_hint(text), len(steps[-1].places)
    (True, 1)
    """
    grid = as_grid(grid)
    single = find_easiest_single(grid, narrowing)
    if single is not None:
        return (single,)
    search = EliminationSearch(grid)
    best = search.find_lowest(ladder, narrowing)
    if best is None:
        return _as_found(grid, search.find_general(narrowing))
    return _kept_for(grid, best, narrowing, ladder)


def find_first_kept_step(
    grid: Grid, narrowing: Narrowing | None = None, ladder: Sequence[Technique] = LADDER
) -> Step | None:
    """Return the first of the kept steps, None where stuck: what follows it is not worked out
    unless it depends on that."""
    single = find_easiest_single(grid, narrowing)
    if single is not None:
        return single
    search = EliminationSearch(grid)
    best = search.find_lowest(ladder, narrowing)
    if best is None:
        return next(iter(_as_found(grid, search.find_general(narrowing)[:1])), None)
    if len(best.kept) == 1:
        return best.kept[0]
    return _kept_for(grid, best, narrowing, ladder)[0]


def _kept_for(
    grid: Grid, best: PlacementPlan, narrowing: Narrowing | None, ladder: Sequence[Technique]
) -> tuple[Step, ...]:
    if best.kept[-1].places:
        return best.kept
    steps = (*best.kept, placement_after(grid, best))
    needed = _needed(grid, steps) if len(best.kept) > 1 else _as_found(grid, steps)
    if len(needed) > LEAST_SHORTENED:
        needed = _shortened(grid, needed, ladder)
    if narrowing is None or narrowing.admits(grid.layout, needed[0]):
        return needed
    return _as_found(grid, steps)


def _shortened(
    grid: Grid, steps: tuple[Step, ...], ladder: Sequence[Technique]
) -> tuple[Step, ...]:
    """Return the steps up to where one more alone opens a placement, if that is before the last.

    Where less is struck there can be patterns that the sweeps had broken.
    """
    level = max(step.level for step in steps)
    if level > SHORTENED_LEVEL:
        return steps
    reach = [technique for technique in ladder if 1 < technique.level <= level]
    position = grid
    for count, step in enumerate(steps[:-3], start=1):
        position = apply_steps(position, (step,))
        alone = EliminationSearch(position).find_alone(reach, None)
        if alone is not None:
            fewer = (*steps[:count], *alone.kept)
            if alone.kept[0].places:
                return fewer
            return _needed(grid, (*fewer, placement_after(position, alone)))
    return steps


def _needed(grid: Grid, steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """Return the steps to a placement as they stand one after another, without the spare ones.

    Where only what is kept was struck a step can strike more, and make another one spare.
    """
    while True:
        found = _as_found(grid, steps)
        steps = without_spare_steps(grid, found)
        if len(steps) == len(found):
            return found


def _as_found(grid: Grid, steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """Return the steps, each as it is found at the position after those before it."""
    found: list[Step] = []
    position = grid
    for step in steps:
        if step.places:
            found.append(step)
        else:
            found.append(refound(position, step) if found else as_found_first(grid, step))
        position = apply_steps(position, found[-1:])
    return tuple(found)


def placement_after(grid: Grid, plan: PlacementPlan) -> Step:
    """Return the single that the kept steps lead to, as it is easiest to see.

    One step alone may open several: of these the easiest. A placement of a higher level (BUG+1)
    is one as well.
    """
    reached = apply_steps(grid, plan.kept)
    before = {place for step in find_singles(grid) for place in step.places}
    for step in find_singles(reached):
        is_new = len(plan.kept) == 1 and not before.intersection(step.places)
        if is_new or plan.place in step.places:
            return step
    return next(
        step
        for technique in LADDER
        for step in technique.find(reached)
        if plan.place in step.places
    )
