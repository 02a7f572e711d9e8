"""What follows from some cells, and whether cells and digits are a pattern, by plain definition.

Follows: no filling of the cells and the one claimed about goes against it, where each holds one of
its candidates, peers differ, and a digit whose places in a house all lie among them is there. All
fillings are tried, or a SAT solver is asked. Nothing here knows how the engine goes about it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations, product

from pysat.solvers import Solver

from tests.independent.definitions import find_last_threes
from tests.independent.plain import Candidate, CellName, Plain, houses_of, peers_of


def rules_among(plain: Plain, cells: frozenset[CellName]) -> list[list[Candidate]]:
    """Groups of which at least one is true."""
    groups = [[(cell, digit) for digit in plain.candidates[cell]] for cell in sorted(cells)]
    for house, digit in product(houses_of(plain.shape), range(1, plain.shape.size + 1)):
        held = plain.places(house, digit)
        if held and held <= cells:
            groups.append([(cell, digit) for cell in sorted(held)])
    return groups


def is_filling(plain: Plain, cells: frozenset[CellName], filling: dict[CellName, int]) -> bool:
    """Say whether the cells can hold these digits."""
    chosen = set(filling.items())
    return (
        filling.keys() == cells
        and all(plain.has(each) for each in chosen)
        and all(chosen & set(group) for group in rules_among(plain, cells))
        and not any(
            filling[one] == filling[other] and other in peers_of(plain.shape, one)
            for one, other in combinations(cells, 2)
        )
    )


def follows_by_hand(
    plain: Plain, marked: Iterable[CellName], claimed: Candidate, *, is_placed: bool
) -> bool:
    """Try all fillings for one against the claim."""
    cell, digit = claimed
    cells = frozenset(marked) | {cell}
    order = sorted(cells)
    for digits in product(*(plain.candidates[each] for each in order)):
        filling = dict(zip(order, digits, strict=True))
        if (filling[cell] == digit) is not is_placed and is_filling(plain, cells, filling):
            return False
    return True


def follows_by_solver(
    plain: Plain, marked: Iterable[CellName], claimed: Candidate, *, is_placed: bool
) -> bool:
    """Ask a SAT solver (python-sat, glucose4) for a filling against the claim."""
    cells = frozenset(marked) | {claimed[0]}
    number = {
        each: index
        for index, each in enumerate(
            ((cell, digit) for cell in sorted(cells) for digit in sorted(plain.candidates[cell])), 1
        )
    }
    with Solver(name="glucose4") as solver:
        for group in rules_among(plain, cells):
            solver.add_clause([number[each] for each in group])
        for one, other in _rivals(plain, number):
            solver.add_clause([-number[one], -number[other]])
        sign = -1 if is_placed else 1
        return not solver.solve(assumptions=[sign * number[claimed]])


def _rivals(plain: Plain, among: Iterable[Candidate]) -> Iterator[tuple[Candidate, Candidate]]:
    for one, other in combinations(among, 2):
        if one[0] == other[0] or (one[1] == other[1] and other[0] in peers_of(plain.shape, one[0])):
            yield one, other


def pattern_follows(
    plain: Plain, cells: frozenset[CellName], digits: frozenset[int]
) -> frozenset[Candidate] | None:
    """Return what goes, or with a single what is placed, by cells and digits as a pattern of levels
    1 to 3: a naked or hidden set, a confined digit, a single, last three. None if they are none."""
    if not all(cell in plain.candidates for cell in cells):
        return None
    held = {cell: plain.candidates[cell] for cell in cells}
    houses = [name for name, members in houses_of(plain.shape).items() if cells <= members]
    ways: list[set[Candidate]] = []
    if len(digits) == len(cells) == 1 and digits <= set().union(*held.values()):
        (cell,), (digit,) = cells, digits
        if held[cell] == digits or any(plain.places(house, digit) == cells for house in houses):
            ways.append({(cell, digit)})
    is_possible = digits <= set().union(*held.values()) and all(
        digits & each for each in held.values()
    )
    if 2 <= len(cells) == len(digits) <= 4 and is_possible:
        if houses and all(each <= digits for each in held.values()):
            rest = set().union(*(houses_of(plain.shape)[house] for house in houses)) - cells
            ways.append({(c, d) for c in rest for d in digits if plain.has((c, d))})
        if any(all(plain.places(house, d) <= cells for d in digits) for house in houses):
            ways.append({(c, d) for c, here in held.items() for d in here - digits})
    if len(cells) >= 2 and len(digits) == 1 and all(digits <= each for each in held.values()):
        (digit,) = digits
        for house, other in product(houses, houses):
            is_crossing = house.startswith("box") is not other.startswith("box")
            if is_crossing and plain.places(house, digit) == cells:
                ways.append({(cell, digit) for cell in plain.places(other, digit) - cells})
    for three in find_last_threes(plain) if len(cells) == 3 else ():
        if three.cells == cells and three.digits == digits:
            ways.append(set(three.places))
    return frozenset().union(*ways) if ways else None
