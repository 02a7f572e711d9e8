"""Whether a step, found at some position, follows at another one: exactly, from what it cites.

A step that was found further on can hold where some of what was struck before it still stands. How
much of that has to be gone is what pruning rests on: nothing here looks for new steps, but for the
few that rest on uniqueness, whose premise is the position as a whole.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from engine.board.applying import apply_steps
from engine.board.grid import Grid
from engine.board.layout import Layout, iterate_bits
from engine.board.step import (
    PLAIN_LEVEL,
    Link,
    LinkKind,
    Step,
    premise_mask,
    scope_of,
    support_mask,
)
from engine.inference.minimal_evidence import can_hold, rule_of
from engine.limits import count_work
from engine.techniques.avoidable import find_avoidable_rectangles
from engine.techniques.bug import find_bug_plus_one
from engine.techniques.rectangles import find_hidden_rectangles, find_unique_rectangles

BY_UNIQUENESS: dict[str, Callable[[Grid], Iterator[Step]]] = {
    "unique-rectangle": find_unique_rectangles,
    "hidden-rectangle": find_hidden_rectangles,
    "avoidable-rectangle": find_avoidable_rectangles,
    "bug-plus-one": find_bug_plus_one,
}


def follows(grid: Grid, step: Step) -> bool:
    """Say whether all that the step concludes follows at the position, and its links hold there.

    A conclusion that has been drawn already follows as well. Placed digits count as what their
    cells hold, right or wrong.
    """
    count_work()
    layout, held = grid.layout, grid.candidates | grid.placed
    if step.assumed is not None:
        return _is_refuted(grid, step)
    if step.level <= PLAIN_LEVEL:
        return not held & support_mask(layout, step) & ~step.pattern
    if step.is_by_uniqueness:
        return any(
            found.key == step.key and not step.removes & grid.candidates & ~found.removes
            for found in BY_UNIQUENESS[step.technique](grid)
        )
    if not all(_holds(layout, held, link) for line in step.chains for link in line):
        return False
    rules = [rule_of(layout, held, constraint) for constraint in step.constraints]
    removed = iterate_bits(step.removes & held)
    return not any(can_hold(rules, 1 << index, 0) for index in removed) and not any(
        can_hold(rules, 0, layout.bit(cell, digit)) for cell, digit in step.places
    )


def _is_refuted(grid: Grid, step: Step) -> bool:
    """Say whether each line of a trace follows in its turn, up to the contradiction."""
    assert step.assumed is not None
    if not grid.candidates & grid.layout.bit(*step.assumed):
        return False
    grid = grid.place(*step.assumed)
    for line in step.trace:
        if not follows(grid, line):
            return False
        grid = apply_steps(grid, (line,))
    held = grid.candidates | grid.placed
    return any(not held & scope_of(grid.layout, each) for each in step.constraints)


def _holds(layout: Layout, held: int, link: Link) -> bool:
    """Say whether a strong link's two ends are all that a cell or a house has left; a weak one's
    exclude each other wherever anything stands."""
    if link.kind is LinkKind.WEAK:
        return True
    ends = _ends(layout, link)
    if link.first.digit != link.second.digit:
        return ends == held & layout.cell_bits[link.first.cells[0]]
    cells = layout.plane(ends, link.first.digit)
    plane = layout.plane(held, link.first.digit)
    return any(plane & house.mask == cells for house in layout.houses)


def _ends(layout: Layout, link: Link) -> int:
    """Return the candidate mask of both ends of a link."""
    mask = 0
    for node in (link.first, link.second):
        for cell in node.cells:
            mask |= layout.bit(cell, node.digit)
    return mask


def needed_absences(grid: Grid, step: Step, gone: int) -> int:
    """Return which candidates of `gone`, absent at the position, must be so for the step to follow.

    None of those returned can come back as long as all others have. Where there are several such
    choices it is one of them; a plain step and most others leave no choice.
    """
    layout = grid.layout
    if step.level <= PLAIN_LEVEL:
        return support_mask(layout, step) & gone
    if not step.trace and not step.is_by_uniqueness:
        gone &= reach_mask(layout, step)
    if not gone:
        return 0
    back = gone
    if follows(grid.with_candidates(back), step):
        return 0
    back = 0
    for index in iterate_bits(gone):
        if follows(grid.with_candidates(back | 1 << index), step):
            back |= 1 << index
    return gone & ~back


def without_spare_steps(start: Grid, steps: Sequence[Step]) -> tuple[Step, ...]:
    """Return the steps without the eliminations that nothing later among them rests on.

    The steps must follow one after another from the start. Going back from the last, an elimination
    is left out if all that is kept after it follows nevertheless. Every placement is kept.
    """
    positions = [start]
    for step in steps:
        positions.append(apply_steps(positions[-1], (step,)))
    kept: list[Step] = []
    for position, step in zip(reversed(positions[:-1]), reversed(steps), strict=True):
        if step.places or follow_without(position, step, kept) is None:
            kept.insert(0, step)
    return tuple(kept)


def follow_without(without: Grid, left_out: Step, later: Sequence[Step]) -> Grid | None:
    """Return where the later steps, which follow after the one left out, lead without it.

    None where one of them does not follow then.
    """
    after = apply_steps(without, (left_out,))
    for step in later:
        back = without.candidates & ~(after.candidates | after.placed)
        if back and _is_touched(without.layout, step, back) and not follows(without, step):
            return None
        without, after = apply_steps(without, (step,)), apply_steps(after, (step,))
    return without


def _is_touched(layout: Layout, step: Step, candidates: int) -> bool:
    if step.trace or step.is_by_uniqueness:
        return True
    return bool(reach_mask(layout, step) & candidates)


def reach_mask(layout: Layout, step: Step) -> int:
    """Return the candidate mask of all that the step's constraints and its strong links range
    over: a link can be told by a house that none of the constraints needs."""
    mask = premise_mask(layout, step)
    for line in step.chains:
        for link in line:
            if link.kind is LinkKind.WEAK:
                continue
            if link.first.digit != link.second.digit:
                mask |= layout.cell_bits[link.first.cells[0]]
                continue
            cells = layout.plane(_ends(layout, link), link.first.digit)
            for house in layout.houses:
                if not cells & ~house.mask:
                    mask |= layout.spread(house.mask, link.first.digit)
    return mask
