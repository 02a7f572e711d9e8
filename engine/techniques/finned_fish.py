"""Finned fish: a basic fish but for some extra places of its base lines, the fins, all in one box.

Either the fish is whole, or a fin holds the digit: so of what the whole fish would strike, that in
the fins' box goes all the same. Base lines have two places or more, cover lines one or more from
the base lines, and fins are the base lines' places that no cover line takes. A candidate counts as
struck where no fewer of the base lines would do: with the digit there, what is left of n base lines
lies in n - 1 cover lines, and of no k of them, k below n, in fewer than k.

The fish is `sashimi` where some base line would keep a single place without the fins.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from itertools import combinations

from engine.grid import Grid
from engine.layout import House, Layout, iterate_bits
from engine.step import Step
from engine.techniques.one_digit import PLANES_KEPT, Sight, crossings, finder, lines_in

LEVEL = 5
NAMES = {2: "finned-x-wing", 3: "finned-swordfish", 4: "finned-jellyfish"}
SASHIMI = "sashimi"

Fish = tuple[tuple[int, ...], int]
"""(numbers of the base lines, mask of the numbers of the cover lines)"""


def finned_fish_finder(size: int) -> Callable[[Grid], Iterator[Step]]:
    """Return the `find` of the finned fish of `size` base lines."""

    @lru_cache(maxsize=PLANES_KEPT)
    def find_sights(layout: Layout, plane: int) -> tuple[Sight, ...]:
        return tuple(_find_finned(layout, plane, size))

    return finder(NAMES[size], LEVEL, find_sights)


def _find_finned(layout: Layout, plane: int, size: int) -> Iterator[Sight]:
    by_row, by_column = crossings(layout, plane)
    if sum(map(bool, by_row)) <= size:
        return
    boxes = [box for box in layout.boxes if (plane & box.mask).bit_count() > 1]
    for bases, covers, crossing, way in (
        (layout.rows, layout.columns, by_row, 0),
        (layout.columns, layout.rows, by_column, 1),
    ):
        for box in boxes:
            in_box = crossings(layout, box.mask)[way]
            struck_in: dict[Fish, int] = {}
            for cover in _lines_through(in_box):
                for fish in _fish_without(crossing, in_box, cover, size):
                    struck_in[fish] = struck_in.get(fish, 0) | 1 << cover
            for (numbers, taken), struck in struck_in.items():
                base_lines = tuple(bases[number] for number in numbers)
                victims = plane & box.mask & _mask_of(lines_in(covers, struck))
                victims &= ~_mask_of(base_lines)
                if victims:
                    variant = _variant(crossing, numbers, taken)
                    cover_lines = lines_in(covers, taken)
                    yield _sight(plane, base_lines, cover_lines, box, victims, variant)


def _lines_through(in_box: Sequence[int]) -> Iterator[int]:
    """Yield the numbers of the crossing lines that meet the box."""
    union = 0
    for numbers in in_box:
        union |= numbers
    yield from iterate_bits(union)


def _fish_without(
    crossing: Sequence[int], in_box: Sequence[int], cover: int, size: int
) -> Iterator[Fish]:
    """Yield each fish that breaks if the digit stands in the box and on the line `cover`.

    What is left of the base lines then lies outside the box and off that line.
    """
    gone = 1 << cover
    members = []
    has_fins = 0
    for number, places in enumerate(crossing):
        left = places & ~in_box[number] & ~gone
        if left and left.bit_count() < size and places & places - 1:
            members.append((number, left))
            if places & in_box[number] & ~gone:
                has_fins |= 1 << number
    if len(members) < size or not has_fins:
        return
    for group in _narrow_groups(members, size):
        numbers = tuple(number for number, _ in group)
        taken, held = gone, 0
        for number, left in group:
            taken |= left
            held |= crossing[number]
        if held & gone and held & ~taken:
            yield numbers, taken


def _narrow_groups(
    members: Sequence[tuple[int, int]], size: int
) -> Iterator[tuple[tuple[int, int], ...]]:
    """Yield groups of `size` whose masks have size - 1 bits between them, and no part so few."""
    groups: list[tuple[tuple[tuple[int, int], ...], int, int]] = [((), 0, 0)]
    for _ in range(size):
        groups = [
            ((*group, members[place]), wider, place + 1)
            for group, union, first in groups
            for place in range(first, len(members))
            if (wider := union | members[place][1]).bit_count() < size
        ]
    for group, _, _ in groups:
        if not any(_is_narrow(part) for k in range(2, size) for part in combinations(group, k)):
            yield group


def _is_narrow(part: Sequence[tuple[int, int]]) -> bool:
    union = 0
    for _, mask in part:
        union |= mask
    return union.bit_count() < len(part)


def _variant(crossing: Sequence[int], numbers: Sequence[int], taken: int) -> str:
    bodies = (crossing[number] & taken for number in numbers)
    return SASHIMI if any(not body & body - 1 for body in bodies) else ""


def _sight(
    plane: int,
    bases: tuple[House, ...],
    covers: tuple[House, ...],
    box: House,
    victims: int,
    variant: str,
) -> Sight:
    """Return the step's facts. A cover line that takes nothing outside the box need not be cited:
    that the box has the digit once says it already.
    """
    base = plane & _mask_of(bases)
    base_indices = tuple(house.index for house in bases)
    needed = (house.index for house in covers if base & house.mask & ~box.mask)
    return Sight(
        base_indices,
        base,
        victims,
        base_indices,
        (*needed, box.index),
        covers=tuple(house.index for house in covers),
        variant=variant,
    )


def _mask_of(houses: tuple[House, ...]) -> int:
    mask = 0
    for house in houses:
        mask |= house.mask
    return mask
