"""Proves steps, or refutes them, from what they cite and from nothing else.

Premises are the cited constraints and the position's absent candidates inside the cited cells and
houses. With the whole rule set every true claim about a puzzle with one solution would be entailed,
and the check would be empty; so the checker never sees the rules, the givens or the solution. A
claim passes if its premises can hold together, every conclusion follows from them, and each cited
constraint is needed: dropping it (and the absences that only it brings in) loses a conclusion.

A claim by uniqueness has one premise more, which `tests.proof.uniqueness` works out for itself; it
must be needed as well. Of a forcing chain only the conclusions are asked for (`may_spare`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations

from pysat.solvers import Solver

from engine.board.layout import House, Layout
from engine.board.step import Bound, CellConstraint, Constraint, Step
from tests.independent.plain import Candidate, Plain, houses_of
from tests.proof.uniqueness import Clause, unique_premises


class Fault(StrEnum):
    NO_CONCLUSION = "nothing is concluded"
    IDLE = "a conclusion changes nothing"
    IMPOSSIBLE = "the premises cannot hold together"
    NOT_ENTAILED = "a conclusion does not follow"
    SPARE = "a constraint can be spared"


@dataclass(frozen=True)
class Cited:
    """A constraint in plain terms: at least, or at most, one of these candidates is true."""

    bound: Bound
    scope: frozenset[Candidate]


@dataclass(frozen=True)
class Claim:
    """What a step says: these conclusions, for those reasons."""

    places: frozenset[Candidate]
    removes: frozenset[Candidate]
    cited: tuple[Cited, ...]
    unique: tuple[Clause, ...] = ()
    """What holds besides if the puzzle has just one solution."""


def house_name(house: House) -> str:
    return f"{house.kind.value} {house.number}"


def read_constraint(layout: Layout, position: Plain, constraint: Constraint) -> Cited:
    """Spell a constraint out by the plain houses, not by the layout's masks."""
    if isinstance(constraint, CellConstraint):
        cell = layout.format_cell(constraint.cell)
        digits = range(1, position.shape.size + 1)
        return Cited(constraint.bound, frozenset((cell, digit) for digit in digits))
    cells = houses_of(position.shape)[house_name(layout.houses[constraint.house])]
    return Cited(constraint.bound, frozenset((cell, constraint.digit) for cell in cells))


def read_claim(layout: Layout, position: Plain, step: Step) -> Claim:
    unique = unique_premises(layout, position, step) if step.is_by_uniqueness else ()
    return Claim(
        frozenset((layout.format_cell(cell), digit) for cell, digit in step.places),
        frozenset((layout.format_cell(cell), digit) for cell, digit in layout.pairs(step.removes)),
        tuple(read_constraint(layout, position, constraint) for constraint in step.constraints),
        unique,
    )


def find_faults(
    position: Plain, claim: Claim, *, may_spare: bool = False
) -> Iterator[tuple[Fault, object]]:
    """Yield what is wrong with a claim at a position: nothing if it is proved."""
    conclusions = [(c, True) for c in sorted(claim.places)]
    conclusions += [(c, False) for c in sorted(claim.removes)]
    if not conclusions:
        yield Fault.NO_CONCLUSION, claim
        return
    for candidate, _ in conclusions:
        if not position.has(candidate):
            yield Fault.IDLE, candidate
    scopes = [cited.scope for cited in claim.cited]
    told = frozenset(c for clause in claim.unique for c, _ in clause)
    numbers = _number(frozenset(c for c, _ in conclusions).union(told, *scopes))
    denials = [-numbers[c] if is_true else numbers[c] for c, is_true in conclusions]
    absent = [frozenset(-numbers[c] for c in scope if not _can_be(position, c)) for scope in scopes]
    with Solver(name="minisat22") as solver:
        keys = _add_constraints(solver, position, claim.cited, numbers)
        is_unique = len(numbers) + len(keys) + 1
        for clause in claim.unique:
            literals = (numbers[c] if is_true else -numbers[c] for c, is_true in clause)
            solver.add_clause([-is_unique, *literals])
        some_denial = is_unique + 1
        solver.add_clause([-some_denial, *denials])

        def holds(kept: Sequence[int], *extra: int) -> bool:
            gone = frozenset().union(*(absent[index] for index in kept))
            return bool(solver.solve(assumptions=[*(keys[i] for i in kept), *gone, *extra]))

        everything = range(len(claim.cited))
        if not holds(everything, is_unique):
            yield Fault.IMPOSSIBLE, claim
            return
        for (candidate, _), denial in zip(conclusions, denials, strict=True):
            if holds(everything, is_unique, denial):
                yield Fault.NOT_ENTAILED, candidate
        if may_spare:
            return
        for index in everything:
            rest = [other for other in everything if other != index]
            if not holds(rest, is_unique, some_denial):
                yield Fault.SPARE, claim.cited[index]
        if claim.unique and not holds(everything, some_denial):
            yield Fault.SPARE, claim.unique


def _can_be(position: Plain, candidate: Candidate) -> bool:
    """Whether it is still there, or stands: of a filled cell just the digit that it holds."""
    return position.has(candidate) or position.digits.get(candidate[0]) == candidate[1]


def _number(candidates: Iterable[Candidate]) -> dict[Candidate, int]:
    return {candidate: number for number, candidate in enumerate(sorted(candidates), start=1)}


def _add_constraints(
    solver: Solver, position: Plain, cited: Sequence[Cited], numbers: dict[Candidate, int]
) -> list[int]:
    """Add each constraint behind a key of its own; assuming the key switches the constraint on.

    The candidates that its scope lacks are assumed with it, so it need not speak of them.
    """
    keys = []
    for index, constraint in enumerate(cited):
        key = len(numbers) + 1 + index
        keys.append(key)
        scope = sorted(numbers[each] for each in constraint.scope if _can_be(position, each))
        if constraint.bound is Bound.AT_LEAST_ONE:
            solver.add_clause([-key, *scope])
        else:
            for one, other in combinations(scope, 2):
                solver.add_clause([-key, -one, -other])
    return keys
