"""Spares constraints: leaves out those without which all that is concluded still follows.

The links of a chain can overlap, so that one that was walked along is not needed after all, or
that a house by which a victim is seen makes another one idle. The check knows only the cited
constraints and the position's absent candidates in them, and tries every case.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from engine.board.grid import Grid
from engine.board.layout import Layout, iterate_bits
from engine.board.step import Bound, CellConstraint, Constraint, Step

Rule = tuple[bool, int]
"""(is "at least one", mask of the candidates that are left of its scope)"""


def spare_constraints(
    grid: Grid,
    constraints: tuple[Constraint, ...],
    removes: int,
    guesses: Iterable[int] = (),
) -> tuple[Constraint, ...]:
    """Return the constraints without those that can be spared, the last ones first.

    A guess is a mask of candidates that are true at once: where it keeps all constraints but one,
    that one is needed, and is not tried further. What is returned does not depend on guesses.
    """
    rules = [rule_of(grid.layout, grid.candidates, each) for each in constraints]
    needed = {_only_broken(rules, guess) for guess in guesses if guess & removes}
    victims = [1 << victim for victim in iterate_bits(removes)]
    kept = list(range(len(rules)))
    for index in reversed(range(len(rules))):
        if index in needed:
            continue
        fewer = [rules[other] for other in kept if other != index]
        for place, victim in enumerate(victims):
            if can_hold(fewer, victim, 0):
                victims.insert(0, victims.pop(place))  # it is apt to be the one next time too
                break
        else:
            kept.remove(index)
    return tuple([constraints[index] for index in kept])


def guesses_along(nodes: Sequence[int], victims: int) -> Iterator[int]:
    """Yield what can be true, with a victim, if one link of a chain is missing, for each link.

    Up to it every second node from the start is true, beyond it every second one from the end. The
    nodes are candidate masks, the first link a strong one; the links to the victims count too.
    """
    ones = [mask & -mask for mask in nodes]
    for victim in iterate_bits(victims):
        true = 1 << victim | sum(ones[::2])
        yield true
        for low in ones:
            true ^= low
            yield true


def _only_broken(rules: Sequence[Rule], true: int) -> int | None:
    """Return the place of the one rule that these candidates break, all others being false."""
    broken = None
    for place, (is_least, scope) in enumerate(rules):
        here = scope & true
        if here & here - 1 if not is_least else not here:
            if broken is not None:
                return None
            broken = place
    return broken


def with_what_stands(grid: Grid, step: Step) -> Step:
    """Return a step that strikes, without what no longer stands and what only that rested on.

    What rests on uniqueness keeps all that it cites: its premise is none of the constraints.
    """
    removes = step.removes & grid.candidates
    if removes == step.removes:
        return step
    constraints = step.constraints
    if removes and not step.is_by_uniqueness:
        constraints = spare_constraints(grid, constraints, removes)
    return replace(step, removes=removes, constraints=constraints)


def rule_of(layout: Layout, candidates: int, constraint: Constraint) -> Rule:
    """Return a constraint as (at least one?, mask of the candidates that it is about)."""
    if isinstance(constraint, CellConstraint):
        scope = layout.cell_bits[constraint.cell]
    else:
        scope = layout.spread(layout.houses[constraint.house].mask, constraint.digit)
    return constraint.bound is Bound.AT_LEAST_ONE, scope & candidates


def can_hold(rules: list[Rule], true: int, false: int) -> bool:
    """Say whether the rules can all hold with these candidates true and those false."""
    least = [scope for is_least, scope in rules if is_least]
    most = [scope for is_least, scope in rules if not is_least]
    waiting = [(true, false, least, most)]
    while waiting:
        true, false, least, most = waiting.pop()
        before, fails = -1, bool(true & false)
        while before != true and not fails:
            # A scope that has had its say is not asked again.
            before = true
            quiet = []
            for scope in most:
                here = scope & true
                if here:
                    false |= scope & ~(here & -here)
                else:
                    quiet.append(scope)
            unmet = []
            for scope in least:
                if scope & true:
                    continue
                left = scope & ~false
                if left & left - 1:
                    unmet.append(scope)
                elif left:
                    true |= left
                else:
                    fails = True
                    break
            most, least, fails = quiet, unmet, fails or bool(true & false)
        if fails:
            continue
        if not least:
            return True
        # The one with the fewest candidates left: there a wrong guess comes to light soonest.
        left = min([scope & ~false for scope in least], key=int.bit_count)
        low = left & -left
        waiting.append((true, false | low, least, most))
        waiting.append((true | low, false, least, most))
    return False
