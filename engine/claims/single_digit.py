"""Checks finds on one digit: fish, finned fish, two-link patterns, empty rectangles, colouring.

A fish is claimed by all places of its base lines, fins included.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, permutations

from engine.board.grid import Grid
from engine.board.layout import Cell, House, HouseKind, Layout
from engine.claims.looking import (
    houses_with,
    linking_houses,
    not_held_everywhere,
    seen_by_all,
    wrong_size,
)
from engine.claims.verdict import Claim, Condition, Flaw, Way

CROSSING = {HouseKind.ROW: HouseKind.COLUMN, HouseKind.COLUMN: HouseKind.ROW}


def check_fish(grid: Grid, claim: Claim, size: int, *, is_finned: bool) -> Iterator[Way | Flaw]:
    """Check a fish of `size` lines, rows as the base and then columns."""
    flaw = wrong_size(claim, len(claim.cells), 1) or not_held_everywhere(grid, claim)
    if flaw:
        yield flaw
        return
    layout = grid.layout
    for bases, covers in ((layout.rows, layout.columns), (layout.columns, layout.rows)):
        yield from _check_base(grid, claim, size, bases, covers, is_finned)


def _check_base(
    grid: Grid,
    claim: Claim,
    size: int,
    bases: tuple[House, ...],
    covers: tuple[House, ...],
    is_finned: bool,
) -> Iterator[Way | Flaw]:
    layout, cells, digit = grid.layout, grid.layout.mask_of(claim.cells), claim.digits[0]
    plane = grid.plane(digit)
    lines = [house for house in bases if house.mask & cells]
    if len(lines) != size:
        indices = tuple(house.index for house in lines)
        yield Flaw(Condition.LINE_COUNT, houses=indices, expected=size, found=len(lines))
        return
    for line in lines:
        more = plane & line.mask & ~cells
        if more:
            yield Flaw(Condition.PLACES_LEFT_OUT, layout.cells_in(more), (digit,), (line.index,))
            return
    crossing = [house for house in covers if house.mask & cells]
    if not is_finned:
        indices = tuple(house.index for house in crossing)
        if len(crossing) != size:
            yield Flaw(Condition.LINE_COUNT, houses=indices, expected=size, found=len(crossing))
            return
        taken = layout.mask_of(cell for house in crossing for cell in house.cells)
        yield Way(layout.spread(plane & taken & ~cells, digit), houses=indices)
    elif len(crossing) <= size:
        yield Flaw(Condition.NO_FIN, claim.cells)
    else:
        yield from _check_fins(grid, claim, size, lines, crossing)


def _check_fins(
    grid: Grid, claim: Claim, size: int, lines: list[House], crossing: list[House]
) -> Iterator[Way | Flaw]:
    """Try each choice of cover lines: the places that they leave over are the fins."""
    layout, cells, digit = grid.layout, grid.layout.mask_of(claim.cells), claim.digits[0]
    for chosen in combinations(crossing, size):
        taken = layout.mask_of(cell for house in chosen for cell in house.cells)
        fins = cells & ~taken
        boxes = [box for box in layout.boxes if not fins & ~box.mask]
        if not boxes:
            yield Flaw(Condition.FINS_APART, layout.cells_in(fins), (digit,))
            continue
        is_sashimi = any((cells & taken & line.mask).bit_count() < 2 for line in lines)
        yield Way(
            layout.spread(grid.plane(digit) & taken & boxes[0].mask & ~cells, digit),
            houses=tuple(house.index for house in chosen),
            variant="sashimi" if is_sashimi else "",
        )


def check_two_links(grid: Grid, claim: Claim, kind: str) -> Iterator[Way | Flaw]:
    """Four cells: two strong links, an end of one seeing an end of the other.

    Every such pattern may be called a turbot fish.
    """
    flaw = wrong_size(claim, 4, 1) or not_held_everywhere(grid, claim)
    if flaw:
        yield flaw
        return
    layout, digit = grid.layout, claim.digits[0]
    plane, cells = grid.plane(digit), layout.mask_of(claim.cells)
    for a, b, c, d in permutations(claim.cells):
        if a > d:
            continue
        links = [linking_houses(grid, layout.mask_of(ends), digit) for ends in ((a, b), (c, d))]
        for ends, houses in zip(((a, b), (c, d)), links, strict=True):
            if not houses:
                yield Flaw(Condition.NOT_LINKED, ends, (digit,))
                break
        else:
            joins = houses_with(layout, layout.mask_of((b, c)))
            if not joins:
                yield Flaw(Condition.NOT_SEEN, (b, c), (digit,))
                continue
            outer = houses_with(layout, layout.mask_of((a, d)))
            ways = [(one, other) for one in links[0] for other in links[1]]
            fits = [way for way in ways if _is_of_kind(kind, *way, joins, outer)]
            indices = tuple(house.index for house in (fits or ways)[0])
            if not fits:
                yield Flaw(Condition.OTHER_KIND, claim.cells, (digit,), indices)
                continue
            victims = plane & seen_by_all(layout, (a, d)) & ~cells
            yield Way(layout.spread(victims, digit), houses=indices)


def _is_of_kind(
    kind: str, one: House, other: House, joins: tuple[House, ...], outer: tuple[House, ...]
) -> bool:
    if kind == "skyscraper":
        crossing = CROSSING.get(one.kind)
        return (
            one.kind is other.kind
            and any(join.kind is crossing for join in joins)
            and not any(house.kind is crossing for house in outer)
        )
    if kind == "two-string-kite":
        boxes = any(join.kind is HouseKind.BOX for join in joins)
        return CROSSING.get(one.kind) is other.kind and boxes
    return True


def check_empty_rectangle(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """A box whose places lie in a row and a column, and a strong link in another line."""
    flaw = wrong_size(claim, len(claim.cells), 1) or not_held_everywhere(grid, claim)
    if flaw:
        yield flaw
        return
    layout, cells, digit = grid.layout, grid.layout.mask_of(claim.cells), claim.digits[0]
    plane = grid.plane(digit)
    for box in layout.boxes:
        places, pair = cells & box.mask, cells & ~box.mask
        if pair.bit_count() != 2 or places.bit_count() < 2:
            yield Flaw(Condition.CELL_COUNT, expected=2, found=pair.bit_count())
            continue
        more = plane & box.mask & ~places
        if more:
            yield Flaw(Condition.PLACES_LEFT_OUT, layout.cells_in(more), (digit,), (box.index,))
            continue
        lines = [house for house in linking_houses(grid, pair, digit) if house.is_line]
        if not lines:
            yield Flaw(Condition.NOT_LINKED, layout.cells_in(pair), (digit,))
            continue
        yield from _check_arms(grid, claim, box, lines[0])


def _check_arms(grid: Grid, claim: Claim, box: House, link: House) -> Iterator[Way | Flaw]:
    layout, cells, digit = grid.layout, grid.layout.mask_of(claim.cells), claim.digits[0]
    places, pair = cells & box.mask, cells & ~box.mask
    low, high = layout.cells_in(pair)
    fits = False
    for row in layout.rows:
        for column in layout.columns:
            if places & ~(row.mask | column.mask):
                continue
            for near_line, far_line in ((row, column), (column, row)):
                if not places & ~near_line.mask or not places & ~far_line.mask:
                    continue
                fits = True
                for near, far in ((low, high), (high, low)):
                    if not near_line.mask >> near & 1:
                        yield Flaw(Condition.NOT_SEEN, (near, *layout.cells_in(places)), (digit,))
                        continue
                    victims = grid.plane(digit) & far_line.mask & layout.peers[far] & ~cells
                    yield Way(layout.spread(victims, digit), houses=(box.index, link.index))
    if not fits:
        yield Flaw(Condition.NO_HOUSE, layout.cells_in(places), (digit,))


def check_colouring(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Cells that hang together by strong links among themselves, in two colours by turns."""
    if len(claim.cells) < 3:
        yield Flaw(Condition.CELL_COUNT, expected=3, found=len(claim.cells))
        return
    flaw = wrong_size(claim, len(claim.cells), 1) or not_held_everywhere(grid, claim)
    if flaw:
        yield flaw
        return
    layout, digit = grid.layout, claim.digits[0]
    near = {
        cell: [each for each in claim.cells if linking_houses(grid, 1 << cell | 1 << each, digit)]
        for cell in claim.cells
    }
    for cell in claim.cells:
        near[cell] = [each for each in near[cell] if each != cell]
    colours = colour_by_turns(claim.cells, near)
    if isinstance(colours, Flaw):
        yield Flaw(colours.condition, colours.cells, (digit,))
        return
    plane = grid.plane(digit)
    seen = [0, 0]
    for turn, colour in enumerate(colours):
        for cell in layout.cells_in(colour):
            seen[turn] |= layout.peers[cell]
    seeing_both = plane & seen[0] & seen[1] & ~layout.mask_of(claim.cells)
    yield Way(layout.spread(seeing_both, digit), variant="sees-both-colours")
    for turn, colour in enumerate(colours):
        if colour & seen[turn]:
            yield Way(layout.spread(colour, digit), variant="meets-its-own-colour")


def check_two_clusters(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Cells that fall into two by strong links, each of two colours, one of which meets another."""
    flaw = wrong_size(claim, len(claim.cells), 1) or not_held_everywhere(grid, claim)
    if flaw:
        yield flaw
        return
    digit = claim.digits[0]
    near = {
        cell: [
            each
            for each in claim.cells
            if each != cell and linking_houses(grid, 1 << cell | 1 << each, digit)
        ]
        for cell in claim.cells
    }
    clusters = list(_joined(claim.cells, near))
    if len(clusters) != 2:
        yield Flaw(Condition.NOT_LINKED, claim.cells, (digit,))
        return
    both = [colour_by_turns(cells, near) for cells in clusters]
    colours = [each for each in both if not isinstance(each, Flaw)]
    for each in both:
        if isinstance(each, Flaw):
            yield Flaw(each.condition, each.cells, (digit,))
    if len(colours) == 2:
        yield from _check_meeting(grid, digit, colours[0], colours[1])


def _joined(cells: tuple[Cell, ...], near: dict[Cell, list[Cell]]) -> Iterator[tuple[Cell, ...]]:
    left = set(cells)
    while left:
        found, waiting = set[Cell](), [min(left)]
        while waiting:
            cell = waiting.pop()
            found.add(cell)
            waiting += [each for each in near[cell] if each not in found]
        left -= found
        yield tuple(sorted(found))


def _check_meeting(
    grid: Grid, digit: int, first: tuple[int, int], second: tuple[int, int]
) -> Iterator[Way | Flaw]:
    layout, plane = grid.layout, grid.plane(digit)

    def seen(colour: int) -> int:
        mask = 0
        for cell in layout.cells_in(colour):
            mask |= layout.peers[cell]
        return mask

    found = False
    for one, other in ((first, second), (second, first)):
        for colour in one:
            if seen(colour) & other[0] and seen(colour) & other[1]:
                found = True
                yield Way(layout.spread(colour, digit), variant="meets-both-colours")
    for turn in (0, 1):
        for other_turn in (0, 1):
            if seen(first[turn]) & second[other_turn]:
                found = True
                victims = plane & seen(first[1 - turn]) & seen(second[1 - other_turn])
                victims &= ~(first[0] | first[1] | second[0] | second[1])
                yield Way(layout.spread(victims, digit), variant="sees-both-colours")
    if not found:
        yield Flaw(Condition.NOT_SEEN, layout.cells_in(first[0] | second[0]), (digit,))


def colour_by_turns(
    cells: tuple[Cell, ...], near: dict[Cell, list[Cell]]
) -> tuple[int, int] | Flaw:
    """Return the cell masks of two colours, or what keeps the cells from having them."""
    sides = {cells[0]: 0}
    waiting = [cells[0]]
    while waiting:
        cell = waiting.pop()
        for other in near[cell]:
            if other not in sides:
                sides[other] = 1 - sides[cell]
                waiting.append(other)
            elif sides[other] == sides[cell]:
                return Flaw(Condition.ODD_RING, tuple(sorted((cell, other))))
    apart = tuple(cell for cell in cells if cell not in sides)
    if apart:
        return Flaw(Condition.NOT_LINKED, apart)
    return (
        Layout.mask_of(cell for cell in cells if not sides[cell]),
        Layout.mask_of(cell for cell in cells if sides[cell]),
    )
