"""The eliminations from a position, sweep by sweep, and the placements that they open.

First of all each step of the start is tried by itself. Then all that the start has is struck at
once, and after it sweep after sweep. For each placement and each way of seeing it, the steps that
it rests on are found by going back through the candidates that had to go first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import groupby

from engine.board.applying import apply_steps
from engine.board.grid import Grid
from engine.board.layout import iterate_bits
from engine.board.step import PLAIN_LEVEL, Step
from engine.solving.narrowing import Narrowing
from engine.solving.openings import Opening, Openings, find_opened, single_masks
from engine.solving.relocate_step import as_found_first
from engine.solving.sweeping import finds_at
from engine.techniques import RANKS, Technique
from engine.techniques.entailment import needed_absences

CHOICES_WEIGHED = 400
"""Bound on the work of choosing among steps that strike the same candidate."""
SWEEPS_AFTER_BEST = 1
"""How many sweeps above the plain levels may look for a placement that rests on fewer steps."""
FEWEST = 2
"""Of several steps; one alone is tried before any sweep."""
MOST_NARROWED = 6
"""Steps to a placement that a narrowed hint begins: what is further off is not to be found."""
GENERAL_LEVEL = 6
GENERAL_SWEEPS = 1
"""From this level on a sweep is long work, and no more than so many are made to see a placement:
after these only lower levels are."""


@dataclass(frozen=True, slots=True)
class PlacementPlan:
    """A placement that has become possible, and the steps that it depends on.

    The fewest steps come first; then those of the lowest techniques, the shortest of these, and
    what is then the easiest to see.
    """

    kept: tuple[Step, ...]
    opening: Opening

    @property
    def place(self) -> tuple[int, int]:
        """The (cell, digit) that is placed in the end."""
        return self.opening[1:]

    @property
    def order(self) -> tuple[int, tuple[int, ...], int, Opening]:
        """What plans are compared by: fewest kept steps, then the ladder, then the cell."""
        return (*weight_of(self.kept), self.opening)


def weight_of(steps: Sequence[Step]) -> tuple[int, tuple[int, ...], int]:
    """Return (number of steps, ranks of their techniques, the highest first, their sizes' sum)."""
    ranks = sorted((RANKS[step.technique] for step in steps), reverse=True)
    return len(steps), tuple(ranks), sum(step.size for step in steps)


@dataclass(frozen=True, slots=True)
class _Sweep:
    """Steps that were found together at a position, and the candidates that went by them."""

    position: Grid
    steps: Sequence[Step]
    struck: int


Taken = tuple[int, Step]
"""(number of the sweep, step)"""


@dataclass(slots=True)
class EliminationSearch:
    """The sweeps from a start. The first of them holds what the start itself has."""

    start: Grid
    current: Grid = field(init=False)
    openings: Openings = field(init=False)
    seen: tuple[int, ...] = field(init=False)
    sweeps: list[_Sweep] = field(init=False)
    looked_at: Grid = field(init=False)
    strikers: dict[int, list[Taken]] = field(default_factory=dict)
    """For each candidate (a bit index) that went: the steps that strike it, in order of sweeps."""
    general: int = 0
    below: Grid | None = None
    """Where the search stood before the first general sweep."""
    idle: int = 0
    """How many techniques from the foot of the ladder are known to find nothing where it stands."""
    has_opened: bool = False
    """Whether any placement has come in sight, asked for or not."""
    rests: dict[tuple[int, int], int] = field(default_factory=dict)
    first: dict[int, Step] = field(default_factory=dict)
    asked: dict[int, bool] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.current = self.looked_at = self.start
        self.openings = Openings(self.start)
        self.seen = self.openings.singles
        self.sweeps = [_Sweep(self.start, [], 0)]

    def find_lowest(
        self, ladder: Sequence[Technique], narrowing: Narrowing | None
    ) -> PlacementPlan | None:
        """Return the best placement of the lowest level of the ladder that leads to any.

        A step alone before several. What only counts where nothing else is found is not asked at
        the start where something is.
        """
        higher = [technique for technique in ladder if technique.level > 1]
        for tier in sorted({(each.level, each.resort) for each in higher}):
            reach = [each for each in higher if (each.level, each.resort) <= tier]
            if not (tier[1] and self.sweeps[0].steps):
                asked = [each for each in higher if (each.level, each.resort) == tier]
                found: list[Step] = []
                alone = self.find_alone(asked, narrowing, found)
                if alone is not None:
                    return alone
                if found:
                    self._take_all_of_the_start(found)
                elif self.current is self.start:
                    self.idle = len(reach)
            best = self.find_best(reach, narrowing)
            if best is not None:
                return best
        return None

    def find_alone(
        self,
        techniques: Iterable[Technique],
        narrowing: Narrowing | None,
        found: list[Step] | None = None,
    ) -> PlacementPlan | None:
        """Return the step of the start that by itself opens a placement: of the first technique
        that has any the smallest. What is looked at goes into `found`: all there is, where none."""
        best: PlacementPlan | None = None
        for technique in techniques:
            for step in finds_at(self.start, technique):
                if best is not None and technique.is_by_size and step.size > best.kept[0].size:
                    break
                if found is not None:
                    found.append(step)
                opening = self.openings.easiest(step)
                if opening is None or not self._admits(step, narrowing):
                    continue
                plan = PlacementPlan((step,), opening)
                if best is None or plan.order < best.order:
                    best = plan
            if best is not None:
                return best
        return None

    def _take_all_of_the_start(self, found: Iterable[Step]) -> None:
        """Strike all that these steps of the start strike."""
        first = self.sweeps[0]
        fresh = [step for step in found if not step.places]
        if not fresh:
            return
        if any(step.removes & self.current.candidates for step in fresh):
            self._count(fresh[0])
        self._note(0, fresh)
        after = apply_steps(self.current, fresh)
        struck = first.struck | self.current.candidates & ~after.candidates
        self.sweeps[0] = _Sweep(first.position, [*first.steps, *fresh], struck)
        self.current = after
        self.idle = 0

    def _count(self, step: Step) -> None:
        """Count a sweep that is long work."""
        if step.level >= GENERAL_LEVEL:
            self.general += 1
            self.below = self.below or self.current

    def _note(self, sweep: int, steps: Iterable[Step]) -> None:
        for step in steps:
            for index in iterate_bits(step.removes):
                self.strikers.setdefault(index, []).append((sweep, step))

    def find_best(
        self, ladder: Sequence[Technique], narrowing: Narrowing | None
    ) -> PlacementPlan | None:
        """Sweep eliminations by the ladder, on from where the search stands; return the best.

        The sweeps end early once a placement rests on two steps: none rests on one. Above the
        plain levels, where sweeps take long, they go on for a few only.
        """
        more = SWEEPS_AFTER_BEST if ladder[-1].level > PLAIN_LEVEL else None
        best = self._best_opened(None, narrowing)
        while best is None or len(best.kept) > FEWEST:
            if best is not None and more is not None:
                if more == 0:
                    break
                more -= 1
            if self.general >= GENERAL_SWEEPS:
                ladder = [each for each in ladder if each.level < GENERAL_LEVEL]
            technique = self._next_technique(ladder)
            if technique is None:
                break
            position = self.current
            self._count(next(iter(finds_at(position, technique))))
            for steps in _by_size(technique, finds_at(position, technique)):
                if steps[0].places:
                    return best or self._outlook_of(position, steps[0], narrowing)
                self._strike(position, steps)
                before, best = best, self._best_opened(best, narrowing)
                if best is not before:
                    break
        return best

    def _next_technique(self, ladder: Sequence[Technique]) -> Technique | None:
        """Return the first technique that finds something where the search stands."""
        for technique in ladder[self.idle :]:
            if any(True for _ in finds_at(self.current, technique)):
                return technique
            self.idle += 1
        return None

    def _strike(self, position: Grid, steps: Sequence[Step]) -> None:
        after = apply_steps(self.current, steps)
        self._note(len(self.sweeps), steps)
        self.sweeps.append(_Sweep(position, steps, self.current.candidates & ~after.candidates))
        self.current, self.idle = after, 0

    def find_general(self, narrowing: Narrowing | None) -> tuple[Step, ...]:
        """Return the steps that the simplest step of the first long sweep depends on, and it.

        With a narrowing it stands alone, and depends on nothing; where placements are in sight,
        if not by what is asked for, there is none.
        """
        if self.below is None or (narrowing is not None and self.has_opened):
            return ()
        for number, sweep in enumerate(self.sweeps):
            for step in sweep.steps:
                if step.level < GENERAL_LEVEL or not step.removes & self.below.candidates:
                    continue
                rests = self._rests_on(number, step)
                if narrowing is None:
                    return (*((rests and self._fewest(rests, None, None)) or ()), step)
                if self._is_asked((number, step), narrowing):
                    return (self._at_start((number, step)),)
        return ()

    def _best_opened(
        self, best: PlacementPlan | None, narrowing: Narrowing | None
    ) -> PlacementPlan | None:
        """Return the best of what the last sweep opened and what was best before it.

        Those for which the least had to go come first, so that the best is found early.
        """
        if self.current is self.looked_at:
            return best
        self.looked_at = self.current
        layout, before = self.start.layout, self.seen
        self.seen = single_masks(layout, self.current.candidates)
        gone = self.start.candidates & ~self.current.candidates
        found = [
            (reach & gone, opening) for opening, reach in find_opened(layout, before, self.seen)
        ]
        self.has_opened = self.has_opened or bool(found)
        found.sort(key=lambda each: (each[0].bit_count(), each[1]))
        for rest, opening in found:
            limit = len(best.kept) if best else None if narrowing is None else MOST_NARROWED
            steps = self._fewest(rest, limit, narrowing)
            plan = None if steps is None else PlacementPlan(steps, opening)
            if plan is not None and (best is None or plan.order < best.order):
                best = plan
        return best

    def _outlook_of(
        self, position: Grid, step: Step, narrowing: Narrowing | None
    ) -> PlacementPlan | None:
        """Return the plan on a step found where the search stands that itself settles a cell."""
        gone = self.start.candidates & ~position.candidates
        rests = needed_absences(position, step, gone)
        steps = self._fewest(rests, None, narrowing) if rests else ()
        if steps is None or (not steps and not self._admits(step, narrowing)):
            return None
        return PlacementPlan(steps, (RANKS[step.technique], *step.places[0]))

    def _admits(self, step: Step, narrowing: Narrowing | None) -> bool:
        return narrowing is None or narrowing.admits(self.start.layout, step)

    def _rests_on(self, number: int, step: Step) -> int:
        """Return the candidates struck on the way that had to go before the step."""
        known = self.rests.get((number, id(step)))
        if known is None:
            position = self.sweeps[number].position
            gone = self.start.candidates & ~position.candidates
            known = self.rests[number, id(step)] = needed_absences(position, step, gone)
        return known

    def _fewest(
        self, needed: int, limit: int | None, narrowing: Narrowing | None
    ) -> tuple[Step, ...] | None:
        """Return the steps that strike all of `needed`, at most `limit` of them, of least weight.

        Where several steps strike the same candidate each is tried, latest sweep first, since a
        step rests only on earlier sweeps. With a narrowing the first is one that it admits.
        """
        best: tuple[Step, ...] | None = None
        budget = CHOICES_WEIGHED
        waiting: list[tuple[int, int, list[Taken]]] = [(len(self.sweeps) - 1, needed, [])]
        while waiting:
            number, pending, kept = waiting.pop()
            while pending and not pending & self.sweeps[number].struck:
                number -= 1
            if not pending:
                steps = self._in_order(needed, kept, narrowing)
                if steps and (best is None or weight_of(steps) < weight_of(best)):
                    best = steps
                continue
            bound = limit if best is None else len(best)
            if bound is not None and len(kept) >= bound:
                continue
            budget -= 1
            here = pending & self.sweeps[number].struck
            index = (here & -here).bit_length() - 1
            options = [taken for taken in self.strikers[index] if taken[0] <= number]
            options.sort(key=lambda taken: (pending & taken[1].removes).bit_count())
            if budget < 0:
                options = options[-1:]
            for taken in options:
                rest = pending & ~taken[1].removes | self._rests_on(*taken)
                waiting.append((number, rest, [*kept, taken]))
        return best

    def _in_order(
        self, needed: int, kept: Sequence[Taken], narrowing: Narrowing | None
    ) -> tuple[Step, ...] | None:
        """Return the steps in an order in which they can be taken.

        With a narrowing the first is one that it admits as it is found at the start, and that is
        not idle; None if there is none.
        """
        kept = sorted(kept, key=lambda taken: taken[0])
        if narrowing is None:
            return tuple([step for _, step in kept])
        for place, taken in enumerate(kept):
            if not self._is_asked(taken, narrowing):
                continue
            others = [*kept[:place], *kept[place + 1 :]]
            missing = needed
            for other in others:
                missing |= self._rests_on(*other)
            for _, step in others:
                missing &= ~step.removes
            if missing:
                return (self._at_start(taken), *(step for _, step in others))
        return None

    def _is_asked(self, taken: Taken, narrowing: Narrowing) -> bool:
        """Say whether a step rests on nothing, and is admitted as it is found at the start."""
        known = self.asked.get(id(taken[1]))
        if known is None:
            known = not self._rests_on(*taken) and narrowing.admits(
                self.start.layout, self._at_start(taken)
            )
            self.asked[id(taken[1])] = known
        return known

    def _at_start(self, taken: Taken) -> Step:
        """Return a step that rests on nothing as it is found at the start."""
        number, step = taken
        if not number:
            return step
        known = self.first.get(id(step))
        if known is None:
            known = self.first[id(step)] = as_found_first(self.start, step)
        return known


def _by_size(technique: Technique, steps: Iterable[Step]) -> Iterator[tuple[Step, ...]]:
    """Yield the steps of a sweep: all at once, or those of each size where that takes long."""
    if not technique.is_by_size:
        yield tuple(steps)
        return
    for _, same in groupby(steps, key=lambda step: step.size):
        yield tuple(same)
