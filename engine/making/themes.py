"""Towards the theme: givens put back one by one, and puzzles changed a little or much.

A puzzle that the blocked ladders do not settle and the goal does not either is too hard. Single
givens more leave it stuck where it should be, until at one of them the goal goes through.
"""

from __future__ import annotations

from engine.making.aims import Standing, find_open_groups, find_standing, with_group
from engine.making.removal import Ground, grid_of, shuffled
from engine.making.work import Work

TOO_EASY, STUCK, NEAR, HIT = range(4)
"""How a puzzle stands: settled without the theme, stuck without it, the theme does something
there, and it fulfils the aim."""

DEPTH = 5
"""How many groups of givens are put back, at most."""

TRIALS, NEAR_TRIALS = 3, 40
"""How many groups that leave it stuck are compared: where the theme does nothing yet, and where
it does."""

MUCH, SOME, LITTLE = 6, 3, 2
"""How many groups are changed of a puzzle that is far from the theme, of one near it, and of one
that is to have as few givens."""

SLIMMING = 100
"""How many changes are tried to make a puzzle minimal with few givens."""

VARY_TRIALS, SWAPS, SPREAD = 60, 6, 3
"""Of a known hit: how many swaps of givens are tried, how many make another puzzle of it, and how
many givens more it may have."""


def study(work: Work, givens: int, ground: Ground) -> tuple[int, int]:
    """Return how a puzzle stands, and the givens of a hit that it led to, else 0."""
    standing = find_standing(work.aim, grid_of(work.layout, givens))
    if standing is None:
        work.too_easy += 1
        return TOO_EASY, 0
    found = NEAR if standing.is_near else STUCK
    settling: set[int] = set()
    for _ in range(DEPTH):
        if standing.is_hit:
            return HIT, standing.givens
        better = _with_one_more(work, standing, ground, settling)
        if better is None:
            break
        standing = better
    if standing.is_hit:
        return HIT, standing.givens
    work.too_hard += 1
    return found, 0


def _with_one_more(
    work: Work, standing: Standing, ground: Ground, settling: set[int]
) -> Standing | None:
    """Return a hit, or the most promising standing with one group put back; None if there is none.

    Once the theme does something it has to go on doing so. Groups with which a blocked ladder
    settles it are noted: with more givens it still does, so they need not be tried again.
    """
    is_near = standing.is_near
    alive: list[Standing] = []
    for group in shuffled(work.random, list(find_open_groups(standing, ground.groups))):
        if group in settling:
            continue
        work.ask()
        found = with_group(work.aim, standing, group)
        if found is None:
            if work.aim.is_steady:
                settling.add(group)
            continue
        if found.is_hit:
            return found
        alive.append(found)
        if found.is_near and not is_near:
            return found
        if len(alive) == (NEAR_TRIALS if is_near else TRIALS):
            break
    if is_near:
        alive = [each for each in alive if each.is_near]
    return max(alive, key=lambda each: each.reached.placed.bit_count(), default=None)


def change_much(work: Work, givens: int, ground: Ground) -> int:
    """Return another puzzle of the same solution from which no group can be taken."""
    return _exchange(work, givens, ground, MUCH)


def _exchange(work: Work, givens: int, ground: Ground, many: int) -> int:
    """Return the puzzle with so many groups more, and then without all that can be spared."""
    absent = [group for group in shuffled(work.random, ground.groups) if not givens & group]
    for group in absent[:many]:
        givens |= group
    return ground.take_away(givens, shuffled(work.random, ground.groups))


def make_slim(work: Work, givens: int, ground: Ground) -> int:
    """Return the puzzle changed until it can be minimal within the givens wished for, if it is to
    be both; otherwise as it is.

    Most minimal puzzles have more givens, and of those that are minimal group by group few can
    spare no single one, so the theme is not looked for before. From a puzzle with few givens small
    changes lead to others.
    """
    if not work.recipe.minimal or work.recipe.givens is None:
        return givens
    most = work.recipe.givens[1]
    for _ in range(SLIMMING):
        if givens.bit_count() <= most and ground.is_minimal(givens):
            break
        work.ask()
        changed = _exchange(work, givens, ground, LITTLE)
        if changed.bit_count() <= max(most, givens.bit_count()):
            givens = changed
    return givens


def change_some(work: Work, givens: int, ground: Ground) -> int:
    """Return a puzzle of the same solution that has most of its givens in common."""
    present = [group for group in shuffled(work.random, ground.groups) if givens & group]
    for group in present[:SOME]:
        givens &= ~group
    absent = [group for group in shuffled(work.random, ground.groups) if not givens & group]
    givens = ground.put_back(givens, absent)
    return ground.take_away(givens, shuffled(work.random, ground.groups))


def vary(work: Work, known: int, ground: Ground) -> int:
    """Return the givens of another hit of the same solution, some swaps away; 0 where none came.

    A swap takes one group out and puts back what makes the solution the only one again.
    """
    givens, swaps, most = known, 0, known.bit_count() + SPREAD
    for _ in range(VARY_TRIALS):
        if swaps == SWAPS:
            break
        work.begin_attempt()
        present = [group for group in ground.groups if givens & group]
        absent = [group for group in ground.groups if not givens & group]
        fewer = givens & ~work.random.choice(present)
        changed = ground.put_back(fewer, shuffled(work.random, absent))
        if changed.bit_count() > most:
            continue
        standing = find_standing(work.aim, grid_of(work.layout, changed))
        if standing is None:
            work.too_easy += 1
        elif not standing.is_hit:
            work.too_hard += 1
        else:
            givens, swaps = changed, swaps + 1
    return givens if givens != known else 0
