"""From techniques to solving: every step at a position, the whole path, and what of it matters.

Everything is a function of the position alone. Hints are in `engine.solving.hints`; how sweeps
work is in `engine.solving.sweeping`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from engine.board.applying import apply_steps
from engine.board.grid import Grid, as_grid
from engine.board.layout import Layout
from engine.board.step import PLAIN_LEVEL, Step, support_mask
from engine.inference.minimal_evidence import with_what_stands
from engine.limits import LOOK, count_work
from engine.solving.easiest import SINGLES
from engine.solving.relocate_step import refound
from engine.solving.sweeping import find_stage
from engine.techniques import LADDER, Technique, as_technique
from engine.techniques.entailment import follows, reach_mask, without_spare_steps
from engine.techniques.tracing import told_trace


@dataclass(frozen=True, slots=True)
class Path:
    """Steps in the order in which a person takes them, and where they end."""

    start: Grid
    steps: tuple[Step, ...]
    end: Grid

    @property
    def is_solved(self) -> bool:
        """Whether nothing is left open at the end; a path may end where the ladder is stuck."""
        return self.end.is_complete


def apply_step(grid: Grid | str, step: Step) -> Grid:
    """Return the position after the step's placements and eliminations.

    >>> from engine import apply_step, find_hint
    >>> print(apply_step("12.. 3... 2143 4321", find_hint("12.. 3... 2143 4321")))
    12|..
    34|..
    --+--
    21|43
    43|21
    """
    return apply_steps(as_grid(grid), (step,))


def still_applies(grid: Grid | str, step: Step) -> bool:
    """Say whether the step, found at an earlier position of the same puzzle, still does something.

    It must follow as well, and no cell that it settles may hold another digit. That can fail on a
    board that was changed back or holds a slip.

    >>> from engine import find_hint, still_applies
    >>> hint = find_hint("12.. 3... 2143 4321")
    >>> still_applies("12.. 3.1. 2143 4321", hint), still_applies("12.. 34.. 2143 4321", hint)
    (True, False)
    """
    grid = as_grid(grid)
    layout = grid.layout
    places = cells = 0
    for cell, digit in step.places:
        places |= layout.bit(cell, digit)
        cells |= layout.cell_bits[cell]
    if grid.placed & cells & ~places:
        return False
    return bool(grid.candidates & (step.removes | places)) and follows(grid, step)


def find_steps(grid: Grid | str, technique: Technique | str) -> tuple[Step, ...]:
    """Return all instances of one technique at the position, in the ladder's fixed order.

    >>> from engine import find_steps
    >>> len(find_steps("1... ..3. .4.. ...2", "hidden-single"))
    8
    """
    return tuple(as_technique(technique).find(as_grid(grid)))


def find_next_step(grid: Grid | str, *, ladder: Sequence[Technique] = LADDER) -> Step | None:
    """Return the first step of the first technique that finds one, or None where none does.

    It is the simplest thing to see, and may lead nowhere: `find_hint` is never so.

    >>> from engine import find_next_step
    >>> find_next_step("12.. 3... 2143 4321").technique
    'last-digit'
    """
    grid = as_grid(grid)
    return next((step for technique in ladder for step in technique.find(grid)), None)


def find_all_steps(grid: Grid | str, ladder: Sequence[Technique] = LADDER) -> tuple[Step, ...]:
    """Return all instances of every technique of the ladder at the position.

    Forcing chains count only where nothing else is found, and the last resort only where not even
    these are: `find_steps` finds them anywhere.

    >>> from engine import find_all_steps
    >>> [step.technique for step in find_all_steps("12.4 3412 2143 4321")]
    ['last-digit', 'hidden-single', 'naked-single']
    """
    grid = as_grid(grid)
    for resort in sorted({technique.resort for technique in ladder}):
        found: list[Step] = []
        for technique in ladder:
            if technique.resort == resort:
                count_work(LOOK)
                found.extend(technique.find(grid))
        if found:
            return tuple(found)
    return ()


def find_path(grid: Grid | str, *, ladder: Sequence[Technique] = LADDER) -> Path:
    """Return the path by sweeps from the position to the end, or to where the ladder is stuck.

    Inside a sweep the steps follow the ladder's fixed order, and one that no longer does anything
    after those before it is left out. Grading counts by the sweep, so its counts can be larger. Of
    steps above the plain levels only those are shown that none before them has broken; what
    the others would strike is found anew, and more simply if it can be.

    >>> from engine import find_path
    >>> path = find_path("1... ..3. .4.. ...2")
    >>> path.is_solved, path.steps[0].technique
    (True, 'last-three')
    """
    shown: list[Step] = []
    start = position = as_grid(grid)
    while not position.is_complete:
        stage = find_stage(position, ladder)
        if stage is None:
            break
        for step in stage.steps:
            if step.level > PLAIN_LEVEL and not _is_whole(position, step):
                continue
            while _does_something(position, step):
                fitted = _fitted(position, step)
                shown.append(fitted)
                position = apply_step(position, fitted)
                if step.removes:
                    break
    return Path(start, tuple(shown), position)


def _is_whole(grid: Grid, step: Step) -> bool:
    """Say whether all that the step or a line of it names is still a candidate."""
    return not step.pattern & ~grid.candidates and all(_is_whole(grid, line) for line in step.trace)


def prune_path(path: Path) -> Path:
    """Return the path without the eliminations that nothing later in it rests on.

    Every placement is kept. A step stands as it is found where only what is kept was struck; where
    it strikes more there, another can become spare, and goes as well.
    """
    steps = _without_unasked_steps(path)
    while True:
        fewer = without_spare_steps(path.start, steps)
        position, shown = path.start, []
        for step in fewer:
            shown.append(step if step.places else refound(position, step))
            position = apply_step(position, shown[-1])
        if len(fewer) == len(steps) and tuple(shown) == tuple(steps):
            return Path(path.start, tuple(shown), position)
        steps = shown


def _without_unasked_steps(path: Path) -> Sequence[Step]:
    """Return the path's steps without the eliminations for which no later one can ask.

    Going back from the end, an elimination stays if a step already kept may rest on one of the
    candidates that it strikes, where no digit placed strikes it. Which of them it does rest on is
    told apart by `without_spare_steps`; this leaves it less to look at.
    """
    layout = path.start.layout
    before = list(_positions(path.start, path.steps))
    needed, kept = 0, []
    for position, step in zip(reversed(before), reversed(path.steps), strict=True):
        struck = position.candidates & step.removes
        if step.places or struck & needed:
            kept.append(step)
            rests = _may_rest_on(layout, step)
            needed = needed & ~struck | rests & position.removed_mask
    return kept[::-1]


def _may_rest_on(layout: Layout, step: Step) -> int:
    if step.trace or step.is_by_uniqueness:
        return layout.all_candidates
    return (support_mask if step.level <= PLAIN_LEVEL else reach_mask)(layout, step)


def _positions(grid: Grid, steps: Iterable[Step]) -> Iterable[Grid]:
    for step in steps:
        yield grid
        grid = apply_step(grid, step)


def _does_something(grid: Grid, step: Step) -> bool:
    layout = grid.layout
    return bool(grid.candidates & step.removes) or any(
        grid.candidates & layout.bit(cell, digit) for cell, digit in step.places
    )


def _fitted(grid: Grid, step: Step) -> Step:
    """Return the step as it stands after others of its sweep have struck some of its candidates.

    Of a step that settles several cells, some already filled, return a single for one of the rest.
    """
    if step.trace:
        return told_trace(grid, step)
    if not (step.removes | step.pattern) & ~grid.candidates:
        return step
    if step.chains:
        return with_what_stands(grid, step)
    bit = grid.layout.bit
    left = tuple(place for place in step.places if grid.candidates & bit(*place))
    if left == step.places:
        return refound(grid, step)
    singles = (found for found in find_all_steps(grid, SINGLES) if len(found.places) == 1)
    rest = replace(step, places=left)  # on a board with a mistake there need not be a single
    return next((found for found in singles if found.places[0] in left), rest)
