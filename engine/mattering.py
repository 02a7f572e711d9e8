"""What matters: of all that can be struck, the few steps that a placement depends on.

From a position without a single, eliminations are swept level by level until placements appear.
Then, for each placement and each way of seeing it, the steps that it rests on are found by going
back through the candidates that had to go first. The fewest win, so that a hint never sends a
member to an elimination that leads nowhere.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from engine.grid import Grid
from engine.layout import House, Layout, iterate_bits
from engine.refinding import as_found_first
from engine.step import PLAIN_LEVEL, Step, victim_cells
from engine.sweeping import Stage, find_stage
from engine.techniques import LADDER, RANKS, Technique
from engine.techniques.following import needed_absences, without_spare_steps
from engine.techniques.singles import hidden_single_masks, naked_single_mask

SINGLES = tuple(technique for technique in LADDER if technique.level == 1)
CHOICES_WEIGHED = 400
"""Bound on the work of choosing among steps that strike the same candidate."""
SWEEPS_AFTER_BEST = 1
"""How many sweeps above the plain levels may look for a placement that rests on fewer steps."""
GENERAL_LEVEL = 6
GENERAL_SWEEPS = 1
"""From this level on a sweep is long work, and no more than so many are made to see a placement:
after these only lower levels are."""


@dataclass(frozen=True, slots=True)
class Narrowing:
    """What a member asks a hint to be about: one house, one digit, both or neither."""

    house: House | None = None
    digit: int | None = None

    def admits(self, layout: Layout, step: Step) -> bool:
        """Say whether the step meets the house and is about the digit."""
        if self.house is not None:
            cells = victim_cells(layout, step)
            for cell in step.cells:
                cells |= 1 << cell
            if not cells & self.house.mask:
                return False
        if self.digit is None or self.digit in step.digits:
            return True
        return bool(layout.plane(step.removes, self.digit))


@dataclass(frozen=True, slots=True)
class _Outlook:
    """A placement that has become possible, and the steps that it depends on."""

    order: tuple[int, tuple[int, ...], int, int, int]
    kept: tuple[Step, ...]
    place: tuple[int, int]


def find_kept_steps(
    grid: Grid, narrowing: Narrowing | None = None, ladder: Sequence[Technique] = LADDER
) -> tuple[Step, ...]:
    """Return the steps to the best placement, the placement itself last; empty where stuck.

    The first is as its technique finds it at the position. Each further one is as its sweep found
    it; where only those before it were taken it may strike more. With a narrowing the first one
    must be admitted by it. Where no placement comes in sight within the bound on
    long work, the last is the simplest step of that work instead.
    """
    single = _first_single(grid, narrowing)
    if single is not None:
        return (single,)
    trail = _Trail(grid)
    return _kept_for(trail, trail.find_lowest(ladder, narrowing), narrowing)


def find_first_kept_step(
    grid: Grid, narrowing: Narrowing | None = None, ladder: Sequence[Technique] = LADDER
) -> Step | None:
    """Return the first of the kept steps, None where stuck: what follows it is not worked out
    unless it depends on that."""
    single = _first_single(grid, narrowing)
    if single is not None:
        return single
    trail = _Trail(grid)
    best = trail.find_lowest(ladder, narrowing)
    if best is not None and len(best.kept) == 1:
        return trail.with_first_as_found(best.kept)[0]
    return next(iter(_kept_for(trail, best, narrowing)), None)


def _kept_for(
    trail: _Trail, best: _Outlook | None, narrowing: Narrowing | None
) -> tuple[Step, ...]:
    grid = trail.start
    if best is None:
        return trail.with_first_as_found(trail.find_general(narrowing))
    kept = (*best.kept, _placement_after(grid, best))
    # A step that alone opens the placement is needed: there was no single before it.
    needed = kept if len(best.kept) < 2 else without_spare_steps(grid, kept)
    is_asked = narrowing is None or narrowing.admits(grid.layout, needed[0])
    return trail.with_first_as_found(needed if is_asked else kept)


def _first_single(grid: Grid, narrowing: Narrowing | None) -> Step | None:
    for technique in SINGLES:
        for step in technique.find(grid):
            if narrowing is None or narrowing.admits(grid.layout, step):
                return step
    return None


def _placement_after(grid: Grid, outlook: _Outlook) -> Step:
    """Return the single that the kept steps lead to, as the ladder sees it first.

    A placement of a higher level (BUG+1) is one as well.
    """
    removes = 0
    for step in outlook.kept:
        removes |= step.removes
    reached = grid.eliminate(removes)
    return next(
        step
        for technique in LADDER
        for step in technique.find(reached)
        if outlook.place in step.places
    )


@dataclass(slots=True)
class _Trail:
    """The eliminations from a start, sweep by sweep, and the placements that they open."""

    start: Grid
    current: Grid = field(init=False)
    stages: list[Stage] = field(default_factory=list)
    struck: list[int] = field(default_factory=list)
    seen: tuple[int, ...] = ()
    general: int = 0
    idle: int = 0
    """How many techniques from the foot of the ladder are known to find nothing where it stands."""
    rests: dict[tuple[int, int], int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.current = self.start
        self.seen = self._singles()

    def find_lowest(
        self, ladder: Sequence[Technique], narrowing: Narrowing | None
    ) -> _Outlook | None:
        """Return the best placement of the lowest level of the ladder that leads to any."""
        higher = tuple(technique for technique in ladder if technique.level > 1)
        for level in sorted({technique.level for technique in higher}):
            reach = tuple(technique for technique in higher if technique.level <= level)
            best = self.find_best(reach, narrowing)
            if best is not None:
                return best
        return None

    def find_best(
        self, ladder: Sequence[Technique], narrowing: Narrowing | None
    ) -> _Outlook | None:
        """Sweep eliminations by the ladder, on from where the trail stands; return the best.

        The sweeps end early once a placement rests on one step alone: none can rest on fewer, and
        a step of a later sweep never stands before it on the ladder. Above the plain levels, where
        sweeps take long, they go on for a few only.
        """
        best: _Outlook | None = None
        more = SWEEPS_AFTER_BEST if ladder[-1].level > PLAIN_LEVEL else None
        while best is None or best.order[0] > 1:
            if best is not None and more == 0:
                break
            if self.general >= GENERAL_SWEEPS:
                ladder = tuple(each for each in ladder if each.level < GENERAL_LEVEL)
            if best is not None and more is not None:
                more -= 1
            stage = find_stage(self.current, ladder[self.idle :])
            if stage is None:
                self.idle = max(self.idle, len(ladder))
                break
            self.idle = 0
            self.general += stage.technique.level >= GENERAL_LEVEL
            self.stages.append(stage)
            if any(step.places for step in stage.steps):
                self.struck.append(0)
                return best or self._outlook_of(stage.steps[0], narrowing)
            after = stage.outcome
            self.struck.append(self.current.candidates & ~after.candidates)
            self.current = after
            for rank, place, rest in self._openings():
                limit = None if best is None else best.order[0]
                kept = self._fewest(rest, limit if narrowing is None else None)
                if kept is None:
                    continue
                outlook = self._outlook(kept, rank, place, narrowing)
                if outlook is not None and (best is None or outlook.order < best.order):
                    best = outlook
        return best

    def find_general(self, narrowing: Narrowing | None) -> tuple[Step, ...]:
        """Return the steps that the simplest step of the first long sweep depends on, and it.

        With a narrowing it stands alone, and depends on nothing.
        """
        layout = self.start.layout
        for number, stage in enumerate(self.stages):
            if stage.technique.level < GENERAL_LEVEL:
                continue
            for step in stage.steps:
                rests = self._rests_on(number, step)
                if narrowing is None:
                    kept = sorted(self._fewest(rests, None) or (), key=lambda each: each[0])
                    return (*(each for _, each in kept), step)
                if not rests and narrowing.admits(layout, step):
                    return (step,)
        return ()

    def with_first_as_found(self, kept: tuple[Step, ...]) -> tuple[Step, ...]:
        """Return the steps, the first as it is found at the start: by the first sweep, or anew."""
        if not kept or any(step is kept[0] for step in self.stages[0].steps):
            return kept
        return as_found_first(self.start, kept[0]), *kept[1:]

    def _outlook(
        self,
        kept: list[tuple[int, Step]],
        rank: int,
        place: tuple[int, int],
        narrowing: Narrowing | None,
    ) -> _Outlook | None:
        """Return the outlook, its first step one that the narrowing admits; None if none is."""
        kept.sort(key=lambda each: each[0])
        if narrowing is not None:
            layout = self.start.layout
            at_once = [
                each
                for each in kept
                if not self._rests_on(*each) and narrowing.admits(layout, each[1])
            ]
            if not at_once:
                return None
            kept.remove(at_once[0])
            kept.insert(0, at_once[0])
        steps = tuple(step for _, step in kept)
        ranks = tuple(sorted((RANKS[step.technique] for step in steps), reverse=True))
        return _Outlook((len(steps), ranks, rank, *place), steps, place)

    def _outlook_of(self, step: Step, narrowing: Narrowing | None) -> _Outlook | None:
        """Return the outlook on a step of the last sweep that itself settles a cell."""
        kept = self._fewest(self._rests_on(len(self.stages) - 1, step), None) or []
        if not kept and narrowing is not None and not narrowing.admits(self.start.layout, step):
            return None
        rank = RANKS[step.technique]
        return self._outlook(kept, rank, step.places[0], narrowing if kept else None)

    def _singles(self) -> tuple[int, ...]:
        layout, candidates = self.start.layout, self.current.candidates
        return (
            *hidden_single_masks(layout, candidates),
            naked_single_mask(layout, candidates),
        )

    def _openings(self) -> Iterator[tuple[int, tuple[int, int], int]]:
        """Yield (rank of technique, placement, what had to be struck) of each new way of seeing.

        Those for which the least had to go come first, so that the best is found early.
        """
        layout, before, now = self.start.layout, self.seen, self._singles()
        self.seen = now
        gone = self.start.candidates & ~self.current.candidates
        found = []
        for way, (old, new) in enumerate(zip(before, now, strict=True)):
            technique = "naked-single" if way == len(now) - 1 else "hidden-single"
            for index in iterate_bits(new & ~old):
                cell, digit = layout.split(index)
                if technique == "naked-single":
                    reach = layout.cell_bits[cell]
                else:
                    house = layout.house_by_sort[way][cell]
                    reach = layout.spread(house.mask, digit) if house else 0
                found.append((RANKS[technique], (cell, digit), reach & gone))
        found.sort(key=lambda each: (each[2].bit_count(), each[0], each[1]))
        yield from found

    def _rests_on(self, stage: int, step: Step) -> int:
        """Return the candidates struck on the trail that had to go before the step."""
        known = self.rests.get((stage, id(step)))
        if known is None:
            position = self.stages[stage].position
            gone = self.start.candidates & ~position.candidates
            known = self.rests[stage, id(step)] = needed_absences(position, step, gone)
        return known

    def _fewest(self, needed: int, limit: int | None) -> list[tuple[int, Step]] | None:
        """Return the fewest (stage, step) that strike all of `needed`, at most `limit` of them.

        Where several steps of one sweep strike the same candidate each is tried, latest sweep
        first, since a step rests only on earlier sweeps.
        """
        best: list[tuple[int, Step]] | None = None
        budget = CHOICES_WEIGHED
        waiting: list[tuple[int, int, list[tuple[int, Step]]]] = [
            (len(self.stages) - 1, needed, [])
        ]
        while waiting:
            stage, pending, kept = waiting.pop()
            while pending and not pending & self.struck[stage]:
                stage -= 1
            if not pending:
                if best is None or len(kept) < len(best):
                    best = kept
                continue
            bound = limit if best is None else len(best) - 1
            if bound is not None and len(kept) >= bound:
                continue
            budget -= 1
            here = pending & self.struck[stage]
            bit = here & -here
            options = [step for step in self.stages[stage].steps if step.removes & bit]
            options.sort(key=lambda step: (here & step.removes).bit_count())
            if budget < 0:
                options = options[-1:]
            for step in options:
                rest = pending & ~step.removes | self._rests_on(stage, step)
                waiting.append((stage, rest, [*kept, (stage, step)]))
        return best
