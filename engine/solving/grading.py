"""What a puzzle is like: level, needs, effort, turning points.

None of it depends on the order in which things are found: all is read off sweeps
(`sweeping`). A technique that the sweeps never used is never needed, and a ladder less one
technique goes the same way until that technique's first use, so each such question starts there.

How much effort a puzzle takes, and about how long, is worked out in `engine.solving.effort`; where
it turns in `engine.solving.turning`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from engine.board.applying import apply_steps
from engine.board.grid import Grid, as_grid, format_grid, grid_without
from engine.board.layout import iterate_bits
from engine.board.step import Step
from engine.limits import StopAsker
from engine.search.exact import count_solutions, find_solutions
from engine.solving.effort import effort_of, find_rounds, minutes_of
from engine.solving.sweeping import Sweeps, find_sweeps
from engine.solving.turning import TurningPoint, find_turning_points, find_turns
from engine.techniques import LADDER, RANKS, Technique

__all__ = [
    "Rating",
    "Sweeps",
    "TurningPoint",
    "effort_of",
    "find_needs",
    "find_rounds",
    "find_stuck",
    "find_sweeps",
    "find_turning_points",
    "find_turns",
    "find_way_rounds",
    "is_minimal",
    "minutes_of",
    "rate",
]


@dataclass(frozen=True, slots=True)
class Rating:
    """The judgement of a puzzle. All but `solutions`, `solution`, `givens` are None or empty where
    there is not exactly one solution; `level`, `hardest` and `effort` are None too where the
    ladder is stuck before the end, and `techniques` then counts what led there.

    - `solutions`: 0, 1, or 2 for two or more; `solution`: the grid's text.
    - `minimal`: no given can be spared. `level`: 1 to 6. `hardest`: the technique H.
    - `techniques`: id -> number of steps on the path by sweeps. `needs`: ids, ladder order.
    - `way_rounds`: for each id of `needs`, the techniques that would solve it in its stead, as
      (id, is_twin).
    - `effort`: a number above 0 that grows with what must be found and how few ways on there are.
    - `minutes`: an estimate of how long a practised club member takes (see `effort`).
    """

    solutions: int
    solution: str | None
    givens: int
    minimal: bool | None
    level: int | None
    techniques: Mapping[str, int]
    hardest: str | None
    needs: tuple[str, ...]
    way_rounds: Mapping[str, tuple[tuple[str, bool], ...]]
    turning_points: tuple[TurningPoint, ...]
    effort: float | None
    minutes: int | None = None


def rate(
    grid: Grid | str,
    *,
    ladder: Sequence[Technique] = LADDER,
    with_turning_points: bool = True,
    should_stop: StopAsker | None = None,
) -> Rating:
    """Judge a puzzle by sweeps of a ladder, such as the one without uniqueness techniques.

    Turning points list every step at each of them, which takes longer than all the rest.

    >>> from engine import rate
    >>> text = "23..7.....8..56.215....8.7.....14.....75.34.....68.....2.1....965.83..1.....4..86"
    >>> rating = rate(text, with_turning_points=False)
    >>> rating.solutions, rating.minimal, rating.level, rating.needs
    (1, False, 3, ('naked-single', 'naked-pair'))
    """
    grid = as_grid(grid)
    givens = grid.placed.bit_count()
    solutions = find_solutions(grid, should_stop=should_stop)
    if len(solutions) != 1:
        return Rating(len(solutions), None, givens, None, None, {}, None, (), {}, (), None)
    sweeps = find_sweeps(grid, ladder)
    counts: Counter[str] = Counter()
    for stage in sweeps.stages:
        counts[stage.technique.id] += len(stage.steps)
    hardest = sweeps.hardest if sweeps.is_solved else None
    rounds = find_rounds(grid, ladder) if sweeps.is_solved else ()
    needs = find_needs(sweeps)
    return Rating(
        solutions=1,
        solution=format_grid(solutions[0]),
        givens=givens,
        minimal=is_minimal(grid, solutions[0], should_stop=should_stop),
        level=None if hardest is None else hardest.level,
        techniques={id: counts[id] for id in RANKS if counts[id]},
        hardest=None if hardest is None else hardest.id,
        needs=tuple(technique.id for technique in needs),
        way_rounds={technique.id: find_way_rounds(sweeps, technique) for technique in needs},
        turning_points=find_turning_points(sweeps) if with_turning_points else (),
        effort=effort_of(rounds) if sweeps.is_solved else None,
        minutes=minutes_of(grid, rounds) if sweeps.is_solved else None,
    )


def find_needs(sweeps: Sweeps) -> tuple[Technique, ...]:
    """Return the techniques without each of which the ladder up to the hardest is stuck."""
    if not sweeps.is_solved:
        return ()
    used = {stage.technique.id for stage in sweeps.stages}
    return tuple(
        technique
        for technique in sweeps.ladder
        if technique.id in used and not technique.is_shortcut and not _can_spare(sweeps, technique)
    )


def _ladder_without(sweeps: Sweeps, technique: Technique) -> tuple[Technique, ...]:
    """Return the ladder up to the hardest technique of the sweeps, less one."""
    hardest = sweeps.hardest
    assert hardest is not None
    top = RANKS[hardest.id]
    return tuple(
        each for each in sweeps.ladder if RANKS[each.id] <= top and each.id != technique.id
    )


def _can_spare(sweeps: Sweeps, technique: Technique) -> bool:
    """Say whether the ladder less one technique solves the puzzle all the same."""
    hardest = sweeps.hardest
    if hardest is not None and hardest.is_last_resort:
        return technique is not hardest  # a last resort does whatever is left to do
    return find_stuck(sweeps, technique).is_complete


def find_stuck(sweeps: Sweeps, technique: Technique) -> Grid:
    """Return where the ladder less one technique ends: complete, or stuck."""
    first = next(stage for stage in sweeps.stages if stage.technique.id == technique.id)
    return find_sweeps(first.position, _ladder_without(sweeps, technique)).end


def find_way_rounds(sweeps: Sweeps, technique: Technique) -> tuple[tuple[str, bool], ...]:
    """Return (id, is a twin) of each technique that solves the puzzle in a needed one's stead.

    Asked are the techniques beyond the hardest one, up to its level. One is a twin if it also does
    with only those of its steps that strike nothing but what one step of the missing technique
    would have struck: the same thing seen otherwise.
    """
    hardest = sweeps.hardest
    assert hardest is not None
    ladder = _ladder_without(sweeps, technique)
    stuck = find_stuck(sweeps, technique)
    found = []
    for other in sweeps.ladder:
        if RANKS[other.id] <= RANKS[hardest.id] or other.level > hardest.level:
            continue
        if other.is_last_resort:
            found.append((other.id, False))  # it always does, and sees nothing as others do
        elif _goes_on(stuck, ladder, other):
            found.append((other.id, _goes_on(stuck, ladder, _twin_of(technique, other))))
    return tuple(found)


def _goes_on(stuck: Grid, ladder: Sequence[Technique], other: Technique) -> bool:
    """Say whether from where the ladder is stuck it solves the puzzle with one technique more."""
    steps = tuple(other.find(stuck))
    return bool(steps) and find_sweeps(apply_steps(stuck, steps), (*ladder, other)).is_solved


def _twin_of(technique: Technique, other: Technique) -> Technique:
    """Return `other`, reduced to the steps that see what a step of `technique` sees."""

    def find_twins(grid: Grid) -> Iterator[Step]:
        struck = [step.removes for step in technique.find(grid)]
        for step in other.find(grid):
            if any(not step.removes & ~removes for removes in struck):
                yield step

    return Technique(other.id, other.level, find_twins)


def is_minimal(grid: Grid, solution: Grid, *, should_stop: StopAsker | None = None) -> bool:
    """Say whether no given can be spared, `solution` being the puzzle's only one.

    A given can be spared if no solution of the rest has another digit in its cell.
    """
    layout = grid.layout
    for index in iterate_bits(grid.placed):
        cell, _ = layout.split(index)
        fewer = grid_without(grid, cell).eliminate(1 << index)
        if not count_solutions(fewer, 1, should_stop=should_stop):
            return False
    return True
