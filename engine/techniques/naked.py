"""Naked subsets: k cells of a house that hold k digits between them; the house's rest loses those.

A locked pair or triple is the naked one whose cells lie in a line and a box: it works in both.
The same cells in two houses are one instance with both houses.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from engine.board.grid import Grid
from engine.board.layout import House, Layout
from engine.board.step import Constraint, Step
from engine.inference.candidate_index import (
    POSITIONS_KEPT,
    cells_by_count,
    digits_by_cell,
    digits_of,
    digits_spread,
)
from engine.inference.closed_groups import find_closed_groups
from engine.inference.evidence import cell_has_one, house_has_no_two, houses_by_cell
from engine.inference.prefilter import tight_houses

LEVEL = 3
NAMES = {2: "pair", 3: "triple", 4: "quad"}


def naked_finder(size: int) -> Callable[[Grid], Iterator[Step]]:
    """Return the `find` of the naked subset of `size` cells."""

    def find_naked(grid: Grid) -> Iterator[Step]:
        for group in _find_groups(grid, size):
            step = _step(f"naked-{NAMES[size]}", grid, group)
            if step is not None:
                yield step

    return find_naked


def locked_finder(size: int) -> Callable[[Grid], Iterator[Step]]:
    """Return the `find` of the naked subset of `size` cells that lies in a line and a box."""

    def find_locked(grid: Grid) -> Iterator[Step]:
        for group in _find_groups(grid, size):
            if len(group.houses) > 1:
                step = _step(f"locked-{NAMES[size]}", grid, group)
                if step is not None:
                    yield step

    return find_locked


@dataclass(frozen=True, slots=True)
class _Group:
    """As many digits as cells; `fresh` digits belong to no smaller such group inside."""

    cells: int
    digits: int
    fresh: int
    houses: tuple[House, ...]


@lru_cache(maxsize=POSITIONS_KEPT)
def _find_groups(grid: Grid, size: int) -> tuple[_Group, ...]:
    """Return each naked subset, lowest cells first, with all the houses that its cells share.

    A house with no other open cell is one of these too: the subset lies in it all the same. Those
    that strike nothing in any house are left out as far as that is known beforehand.
    """
    tight = tight_houses(grid)
    if not tight:
        return ()
    layout, held = grid.layout, digits_by_cell(grid)
    found: dict[tuple[int, ...], _Group] = {}
    fitting, open_cells = cells_by_count(grid)[size], grid.open_cells
    for house in tight:
        if (fitting & house.mask).bit_count() < size:
            continue
        if (open_cells & house.mask).bit_count() <= size:
            continue
        members = [(cell, held[cell]) for cell in house.cells if fitting >> cell & 1]
        for cells, digits, fresh in find_closed_groups(members, size):
            if cells not in found:
                mask = sum([1 << cell for cell in cells])
                shared = tuple(
                    each for each in houses_by_cell(layout)[cells[0]] if not mask & ~each.mask
                )
                found[cells] = _Group(mask, digits, fresh, shared)
    return tuple(found[cells] for cells in sorted(found))


def _step(technique: str, grid: Grid, group: _Group) -> Step | None:
    """Return the step, or None where nothing goes that a smaller group inside would not strike."""
    layout, cells, candidates = grid.layout, group.cells, grid.candidates
    outside = 0
    for house in group.houses:
        outside |= house.mask
    outside &= ~cells
    if not candidates & outside * digits_spread(layout, group.fresh):
        return None
    digits = digits_of(layout, group.digits)
    removes = candidates & outside * digits_spread(layout, group.digits)
    return Step(
        technique,
        LEVEL,
        tuple(house.index for house in group.houses),
        layout.cells_in(cells),
        digits,
        candidates & cells * digits_spread(layout, group.digits),
        removes=removes,
        constraints=_evidence(layout, cells, digits, group.houses, removes),
    )


def _evidence(
    layout: Layout, cells: int, digits: tuple[int, ...], houses: tuple[House, ...], removes: int
) -> tuple[Constraint, ...]:
    """Cite every cell, and for every digit the houses in which it is needed.

    A digit's house is needed where a victim lies in no other of the houses. A digit without such a
    victim still has to stand at most once among the cells, in whichever house is cited already.
    """
    needed: dict[int, list[House]] = {}
    for digit in digits:
        victims = layout.plane(removes, digit)
        needed[digit] = [
            house for house in houses if victims & house.mask & ~_mask_of_others(house, houses)
        ]
    cited = [house for house in houses if any(house in each for each in needed.values())]
    fallback = (cited or houses)[0]
    constraints: list[Constraint] = [cell_has_one(cell) for cell in layout.cells_in(cells)]
    for digit in digits:
        for house in needed[digit] or [fallback]:
            constraints.append(house_has_no_two(house.index, digit))
    return tuple(constraints)


def _mask_of_others(house: House, houses: tuple[House, ...]) -> int:
    mask = 0
    for other in houses:
        if other is not house:
            mask |= other.mask
    return mask
