"""Positions to practise a technique at: those that are shipped, varied, turned, mirrored, renamed.

Each has an instance that nothing lower on the ladder gives away, and, but for quads and jellyfish,
one solution. A few right digits more make another position of it, told apart by the canonical form;
none comes twice within a year. Now and then one comes that has none of the technique: it is
another's, higher on the ladder. Without all candidates are shown only those where nothing was
struck on the way.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache
from hashlib import sha256
from math import inf
from random import Random

from bot import assets
from bot.club.facts import Position, StepFacts, facts_of_step
from engine import (
    LADDER,
    RANKS,
    Grid,
    canonical_form,
    count_solutions,
    find_own_steps,
    find_steps,
    format_grid,
    position_of,
    random_symmetry,
    solve,
)

FEWEST = 10
"""A technique with fewer positions is not practised: they would soon be known by heart."""

WITH_NONE = 6
"""One position in so many has nothing of the technique."""

TRIALS = 12
"""So many shipped positions are looked at for one without the technique."""

VARIANTS = 6
"""So often one is varied before the next is taken."""

MOST_ADDED, CELLS_TRIED = 4, 12
"""So many digits more a position has at most, and so many are tried for it."""

FURTHEST = 6
"""A position without the technique is that of one so many rungs of the ladder further, at most."""


@dataclass(frozen=True, slots=True)
class Base:
    """A position as shipped, read when it is needed. `mark` stands for it and for all that is made
    of it. `struck`: row, column and digit of each candidate that was struck on the way."""

    mark: str
    digits: str
    struck: tuple[str, ...]
    own: tuple[str, ...]

    @property
    def is_bare(self) -> bool:
        """Whether its digits tell all, and nothing else was struck."""
        return not self.struck

    def to_grid(self) -> Grid:
        """Return the position."""
        removed = ((f"r{mark[0]}c{mark[1]}", int(mark[2])) for mark in self.struck)
        return position_of(self.digits, removed, own=self.own)


@dataclass(frozen=True, slots=True)
class Sighting:
    """That a member was shown a position, in whatever disguise; `base` is the one behind it."""

    fingerprint: str
    base: str
    shown_at: datetime


@dataclass(frozen=True, slots=True)
class Drawn:
    """A position to practise at, with the find; None where there is nothing of the technique."""

    fingerprint: str
    base: str
    position: Position
    step: StepFacts | None = None


@cache
def bases_by_technique() -> Mapping[str, tuple[Base, ...]]:
    """Return the shipped positions."""
    found: dict[str, list[Base]] = {}
    text = assets.path("practice", "positions.tsv").read_text(encoding="utf-8")
    for line in text.splitlines():
        technique, digits, struck, own = line.split("\t")
        mark = sha256(line.encode()).hexdigest()[:16]
        base = Base(mark, digits, tuple(struck.split()), tuple(own.split()))
        found.setdefault(technique, []).append(base)
    return {technique: tuple(bases) for technique, bases in found.items()}


@cache
def practised_techniques() -> tuple[str, ...]:
    """Return the techniques that there are enough positions of, in teaching order."""
    bases = bases_by_technique()
    return tuple(each.id for each in LADDER if len(bases.get(each.id, ())) >= FEWEST)


def has_bare(technique: str) -> bool:
    """Say whether there are enough positions that can be shown without candidates."""
    return sum(base.is_bare for base in bases_by_technique()[technique]) >= FEWEST


def draw_exercise(
    technique: str, seed: str, seen: tuple[Sighting, ...], is_bare: bool, may_lack: bool
) -> Drawn:
    """Return a position that was not `seen`, of a shipped one not seen yet or seen longest ago.
    Somebody who has seen all that can be made in a year gets one again.

    `is_bare`: one where nothing was struck; `may_lack`: now and then one without the technique.
    """
    random = Random(seed)
    drawn = None
    if may_lack and not random.randrange(WITH_NONE):
        higher = _longest_ago(_of_higher(technique), random, seen, is_bare)[:TRIALS]
        drawn = _draw(technique, higher, random, seen, False)
    own = _longest_ago(bases_by_technique()[technique], random, seen, is_bare)
    drawn = (
        drawn
        or _draw(technique, own, random, seen, True)
        or _draw(technique, own, random, (), True)
    )
    assert drawn is not None, f"{technique} has shipped positions"
    return drawn


def draw_with_one_solution(technique: str, seed: str) -> Drawn:
    """Return a position with the technique whose digits alone have one solution, any by chance."""
    random = Random(seed)
    bases = list(bases_by_technique()[technique])
    random.shuffle(bases)
    able = (base for base in bases if count_solutions(base.digits) == 1)
    drawn = next(filter(None, (_draw(technique, [each], random, (), True) for each in able)), None)
    assert drawn is not None, f"{technique} has a shipped position with one solution"
    return drawn


def draw_several(technique: str, seed: str, count: int) -> tuple[Drawn, ...]:
    """Return so many different positions with the technique, none of one shipped position again
    before the others had their turn."""
    seen: tuple[Sighting, ...] = ()
    several = []
    for number in range(count):
        drawn = draw_exercise(technique, f"{seed} {number}", seen, False, False)
        seen = (*seen, Sighting(drawn.fingerprint, drawn.base, _ONCE + timedelta(number)))
        several.append(drawn)
    return tuple(several)


_ONCE = datetime(2000, 1, 1, tzinfo=UTC)
"""Any moment: it tells which of several on one page came first."""


def _of_higher(technique: str) -> tuple[Base, ...]:
    rank = RANKS[technique]
    return tuple(
        base
        for each in LADDER[rank + 1 : rank + 1 + FURTHEST]
        for base in bases_by_technique().get(each.id, ())
    )


def _longest_ago(
    bases: tuple[Base, ...], random: Random, seen: tuple[Sighting, ...], is_bare: bool
) -> list[Base]:
    """Return positions in the order in which they may come: unseen ones first, by chance."""
    last_seen: dict[str, float] = {}
    for sighting in seen:
        at = sighting.shown_at.timestamp()
        last_seen[sighting.base] = max(at, last_seen.get(sighting.base, at))
    able = [base for base in bases if not is_bare or base.is_bare]
    random.shuffle(able)
    return sorted(able, key=lambda base: last_seen.get(base.mark, -inf))


def _draw(
    technique: str,
    bases: list[Base],
    random: Random,
    seen: tuple[Sighting, ...],
    has_technique: bool,
) -> Drawn | None:
    """Return the first of these that can be varied so that it was not seen; None where none can."""
    known = {sighting.fingerprint for sighting in seen}
    for base in bases:
        solution = solve(base.digits)
        assert solution is not None, f"a shipped position has a solution: {base}"
        for attempt in range(VARIANTS):
            more = random.randint(min(attempt, 1), MOST_ADDED)
            grid = _varied(base, technique, random, solution, has_technique, more)
            if grid is None:
                break
            is_plain = grid == base.to_grid()
            fingerprint = _plain_fingerprint(base) if is_plain else fingerprint_of(grid, solution)
            if fingerprint not in known:
                turned = random_symmetry(random, grid.layout).apply(grid)
                step = find_own_steps(turned, technique)[0] if has_technique else None
                facts = facts_of_step(turned.layout, step) if step else None
                return Drawn(fingerprint, base.mark, Position.of(turned), facts)
            if more and is_plain:
                break  # it is of a kind that any digit more would spoil
    return None


def fingerprint_of(grid: Grid, solution: Grid) -> str:
    """Return what tells a position from all that are not the same seen otherwise."""
    return sha256(canonical_form(format_grid(grid), solution).encode()).hexdigest()[:16]


@cache
def _plain_fingerprint(base: Base) -> str:
    solution = solve(base.digits)
    assert solution is not None, f"a shipped position has a solution: {base}"
    return fingerprint_of(base.to_grid(), solution)


def _varied(
    base: Base, technique: str, random: Random, solution: Grid, has_technique: bool, more: int
) -> Grid | None:
    """Return a position with so many right digits more, at most, of which the same is true: that it
    has an instance of its own of the technique, or nothing of it; None where that is not true at
    first."""
    find = find_own_steps if has_technique else find_steps
    grid = base.to_grid()
    bits, own = grid.layout.cell_bits, grid.own
    steps = find(grid, technique)
    if bool(steps) is not has_technique:
        return None
    spared = steps[0].pattern | steps[0].removes if steps else 0
    cells = [cell for cell in grid.layout.cells_in(grid.open_cells) if not bits[cell] & spared]
    random.shuffle(cells)
    for cell in cells[:CELLS_TRIED]:
        fuller = grid.place(cell, solution.digit_at(cell)).with_own(own)
        if more and bool(find(fuller, technique)) is has_technique:
            grid, more = fuller, more - 1
    return grid
