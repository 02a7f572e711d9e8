"""Traced contradiction, the last resort: assume a candidate, follow plain steps to a contradiction.

The steps are those of levels 1 to 3. Singles alone are tried first; only where they refute nothing
is more followed, and only where all plain steps refute nothing may a line of the trace be such a
contradiction itself. So every position of a puzzle with one solution is left with fewer candidates.
What is told is just what leads to the contradiction, the least that a bounded search finds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import islice

from engine.board.grid import Grid
from engine.board.layout import iterate_bits
from engine.board.step import Step, scope_of, support_mask
from engine.inference.candidate_index import POSITIONS_KEPT
from engine.inference.evidence import houses_by_cell
from engine.inference.links import links_of
from engine.search.exact import find_solutions, settle_singles
from engine.techniques.tracing import find_breaches, told_trace

TECHNIQUE = "traced-contradiction"
LEVEL = 6
CHOICES_WEIGHED = 60
"""Bound on the work of choosing among steps of a trace that strike the same candidate."""

ENDINGS_WEIGHED = 4
"""Bound on the inner contradictions that are told where one of them ends the trace."""

BREACHES_WEIGHED = 8
"""Of the ways in which a trace with inner contradictions ends, those for which the least had to go:
each line of theirs has to be told to know what it rests on."""

Find = Callable[[Grid], Iterator[Step]]


@dataclass(frozen=True, slots=True)
class _Untold:
    """A contradiction by singles inside a trace, of which so far only the outcome is known."""

    position: Grid
    index: int
    singles: tuple[Find, ...]

    @property
    def removes(self) -> int:
        return 1 << self.index

    @property
    def places(self) -> tuple[tuple[int, int], ...]:
        return ()


@dataclass(frozen=True, slots=True)
class _Round:
    """A position after the assumption, the steps taken there at once, and what each strikes."""

    position: Grid
    steps: tuple[Step | _Untold, ...]
    strikes: tuple[int, ...]
    struck: int


def contradiction_finder(singles: Sequence[Find], *tiers: Sequence[Find]) -> Find:
    """Return the `find` of traces by these plain techniques.

    Each tier of further ones is used only where all before it refute nothing.
    """

    def find_contradictions(grid: Grid) -> Iterator[Step]:
        yield from _find_any(grid, tuple(singles), tuple(map(tuple, tiers)))

    return find_contradictions


@lru_cache(maxsize=POSITIONS_KEPT)
def _find_any(
    grid: Grid, singles: tuple[Find, ...], tiers: tuple[tuple[Find, ...], ...]
) -> tuple[Step, ...]:
    """Return the contradictions of the first tier that has any, shortest first.

    Where there is not just one solution nothing is looked for: there the work would have no bound.
    Beyond the first tier the candidates with a strong link are asked first, since most follows
    from these.
    """
    solutions = find_solutions(grid)
    if len(solutions) != 1:
        return ()
    wrong = grid.candidates & ~solutions[0].placed
    linked = wrong & links_of(grid).linked
    for asked, reach in ((wrong, tiers[:1]), (linked, tiers), (wrong, tiers)):
        refuted, others, outcomes = _refute(grid, asked, reach)
        if refuted:
            return _told(grid, refuted, (*singles, *others))
        if reach == tiers:
            nested = _find_nested(grid, outcomes, singles, others)
            if nested:
                return nested
    return ()


Outcomes = dict[int, Grid]


def _refute(
    grid: Grid, asked: int, tiers: Sequence[Sequence[Find]]
) -> tuple[list[int], tuple[Find, ...], Outcomes]:
    """Return which of the asked candidates are refuted by the first tier that refutes any, the
    techniques used, and where the assumptions that stand lead."""
    others: tuple[Find, ...] = ()
    outcomes = {index: grid.place(*grid.layout.split(index)) for index in iterate_bits(asked)}
    for tier in ((), *tiers):
        others = (*others, *tier)
        refuted = []
        for index, before in outcomes.items():
            after = _outcome(before, others)
            if after is None:
                refuted.append(index)
            else:
                outcomes[index] = after
        if refuted:
            break
    return refuted, others, outcomes


def _told(
    grid: Grid, refuted: Sequence[int], finds: Sequence[Find], inner: tuple[Find, ...] = ()
) -> tuple[Step, ...]:
    steps = [_trace(grid, index, finds, inner) for index in refuted]
    return tuple(sorted(steps, key=lambda step: (len(step.trace), step.cells, step.digits)))


def _outcome(grid: Grid, others: Sequence[Find]) -> Grid | None:
    """Return the position when plain steps find no more; None where it comes to a contradiction."""
    settled = settle_singles(grid)
    while settled is not None and others:
        steps = _next_steps(settled, others)
        if not steps:
            break
        removes = 0
        for step in steps:
            removes |= step.removes
        settled = settle_singles(settled.eliminate(removes))
    return settled


def _find_nested(
    grid: Grid, outcomes: Outcomes, singles: tuple[Find, ...], others: tuple[Find, ...]
) -> tuple[Step, ...]:
    """Return contradictions with a line that is one itself: of the candidates that leave least.

    Those that leave equally little are all tried; those that leave more only where these fail.
    """
    by_rest: dict[int, list[int]] = {}
    for index, after in outcomes.items():
        by_rest.setdefault(after.candidates.bit_count(), []).append(index)
    for _, group in sorted(by_rest.items()):
        refuted = [index for index in group if _falls_within(outcomes[index], others)]
        if refuted:
            return _told(grid, refuted, (*singles, *others), inner=singles)
    return ()


def _falls_within(grid: Grid, others: tuple[Find, ...]) -> bool:
    """Say whether striking what singles refute, and what plain steps then do, ends in none left."""
    position: Grid | None = grid
    while position is not None:
        refuted, _, _ = _refute(position, position.candidates, ())
        if not refuted:
            return False
        position = _outcome(position.eliminate(sum(1 << index for index in refuted)), others)
    return True


def _inner_steps(grid: Grid, singles: tuple[Find, ...]) -> tuple[_Untold, ...]:
    """Return the contradictions by singles inside a trace: a few of those that end it, if any."""
    refuted, _, _ = _refute(grid, grid.candidates, ())
    ending = (each for each in refuted if settle_singles(grid.eliminate(1 << each)) is None)
    taken = list(islice(ending, ENDINGS_WEIGHED)) or refuted
    return tuple(_Untold(grid, index, singles) for index in taken)


def _trace(grid: Grid, index: int, finds: Sequence[Find], inner: tuple[Find, ...] = ()) -> Step:
    """Return the step that refutes a candidate, which these techniques are known to do.

    With inner singles contradictions by these are lines too, where nothing else is found.
    """
    layout = grid.layout
    cell, digit = layout.split(index)
    position = grid.place(cell, digit)
    rounds: list[_Round] = []
    while not (breaches := find_breaches(position)):
        steps: tuple[Step | _Untold, ...] = _next_steps(position, finds)
        if not steps and inner:
            steps = _inner_steps(position, inner)
        after = position
        strikes = []
        for step in steps:
            mask = step.removes
            for place in step.places:
                mask |= layout.strikes[place[1] - 1][place[0]] & ~layout.bit(*place)
                if after.candidates & layout.bit(*place):
                    after = after.place(*place)
            strikes.append(mask & position.candidates)
            after = after.eliminate(step.removes)
        rounds.append(
            _Round(position, steps, tuple(strikes), position.candidates & ~after.candidates)
        )
        position = after
    assumed = layout.strikes[digit - 1][cell]
    choice = _Choice(grid.candidates & ~assumed, rounds)
    fewest: list[Step] | None = None
    scopes = [scope_of(layout, breach) for breach in breaches]
    if inner:
        scopes.sort(key=lambda scope: (scope & choice.open).bit_count())
        scopes = scopes[:BREACHES_WEIGHED]
    for scope in scopes:
        fewest = choice.fewest(scope, fewest)
    assert fewest is not None
    found = Step(
        TECHNIQUE,
        LEVEL,
        (houses_by_cell(layout)[cell][0].index,),
        (cell,),
        (digit,),
        1 << index,
        removes=1 << index,
        assumed=(cell, digit),
        trace=tuple(fewest),
    )
    return told_trace(grid, found)


def _tell(inner: _Untold) -> Step:
    return _trace(inner.position, inner.index, inner.singles)


def _next_steps(grid: Grid, finds: Sequence[Find]) -> tuple[Step, ...]:
    for find in finds:
        steps = tuple(find(grid))
        if steps:
            return steps
    return ()


@dataclass(slots=True)
class _Choice:
    """Which steps of the rounds a trace is told by. `open` are the candidates that had to go:
    those of the position that the assumption alone does not strike."""

    open: int
    rounds: Sequence[_Round]
    told: dict[int, tuple[Step, int]] = field(default_factory=dict)

    def fewest(self, scope: int, best: list[Step] | None) -> list[Step] | None:
        """Return few steps that strike all of a scope, in order; `best` if not fewer than these.

        Going back from the last round, since a step rests only on rounds before its own. Where
        several steps strike the same candidate each is tried, until the bound on that work is
        reached.
        """
        budget = CHOICES_WEIGHED
        waiting: list[tuple[int, int, list[Step]]] = [(len(self.rounds) - 1, scope & self.open, [])]
        while waiting:
            number, pending, kept = waiting.pop()
            while pending and not pending & self.rounds[number].struck:
                number -= 1
            if best is not None and len(kept) + bool(pending) >= len(best):
                continue
            if not pending:
                best = kept[::-1]
                continue
            budget -= 1
            here = pending & self.rounds[number].struck
            bit = here & -here
            options = [
                option
                for option in zip(
                    self.rounds[number].steps, self.rounds[number].strikes, strict=True
                )
                if option[1] & bit
            ]
            options.sort(key=lambda option: (here & option[1]).bit_count())
            if budget < 0:
                options = options[-1:]
            for step, strikes in options:
                line, rests = self._told(number, step)
                waiting.append((number, pending & ~strikes | rests, [*kept, line]))
        return best

    def _told(self, number: int, step: Step | _Untold) -> tuple[Step, int]:
        """Return the step, and what had to go before it."""
        known = self.told.get(id(step))
        if known is None:
            line = step if isinstance(step, Step) else _tell(step)
            position = self.rounds[number].position
            rests = support_mask(position.layout, line) & self.open & ~position.candidates
            known = self.told[id(step)] = line, rests
        return known
