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
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import combinations
from operator import and_

from engine.board.grid import Grid
from engine.board.layout import House, Layout, iterate_bits, union_of
from engine.board.step import Step
from engine.inference.candidate_index import PLANES_KEPT
from engine.inference.one_digit import Sight, crossings, finder, lines_in
from engine.inference.prefilter import doomed_places

LEVEL = 5
NAMES = {2: "finned-x-wing", 3: "finned-swordfish", 4: "finned-jellyfish"}
SASHIMI = "sashimi"

Member = tuple[int, int]
"""(number of a base line, mask of the numbers of the cover lines in which it has places left)"""


@dataclass(frozen=True, slots=True)
class _Gap:
    """Where the digit could break a fish: in `box` and on the cover line of a number.

    `members` are the lines of two places or more in which places are left, off the box and the
    cover line; `finned` is the mask of the numbers of those that would have a fin. `crossing` has
    the places of all lines; lines are rows where `way` is 0, columns where it is 1.
    """

    way: int
    box: House
    cover: int
    crossing: tuple[int, ...]
    members: tuple[Member, ...]
    finned: int


def finned_fish_finder(size: int) -> Callable[[Grid], Iterator[Step]]:
    """Return the `find` of the finned fish of `size` base lines."""

    @lru_cache(maxsize=PLANES_KEPT)
    def find_sights(layout: Layout, plane: int) -> tuple[Sight, ...]:
        return tuple(_find_finned(layout, plane, size))

    return finder(NAMES[size], LEVEL, find_sights)


def _find_finned(layout: Layout, plane: int, size: int) -> Iterator[Sight]:
    found: dict[tuple[int, House, tuple[int, ...], int], tuple[int, _Gap]] = {}
    for gap in _find_gaps(layout, plane):
        for numbers, taken in _fish_across(gap, size):
            key = (gap.way, gap.box, numbers, taken)
            struck, _ = found.get(key, (0, gap))
            found[key] = struck | 1 << gap.cover, gap
    for (way, box, numbers, taken), (struck, gap) in found.items():
        lines = (layout.rows, layout.columns)
        bases = tuple(lines[way][number] for number in numbers)
        victims = plane & box.mask & ~union_of(house.mask for house in bases)
        victims &= union_of(house.mask for house in lines_in(lines[1 - way], struck))
        if victims:
            variant = _variant(gap.crossing, numbers, taken)
            yield _sight(plane, bases, lines_in(lines[1 - way], taken), box, victims, variant)


@lru_cache(maxsize=PLANES_KEPT)
def _find_gaps(layout: Layout, plane: int) -> tuple[_Gap, ...]:
    """Return every gap, whatever the size of the fish: those across rows first, box by box.

    Gaps without a place that can fall to a pattern of one digit are left out.
    """
    found = []
    doomed = doomed_places(layout, plane)
    falling = crossings(layout, doomed)
    for way, crossing in enumerate(crossings(layout, plane)):
        for box, in_box in zip(layout.boxes, _crossings_of_boxes(layout)[way], strict=True):
            if not doomed & box.mask or (plane & box.mask).bit_count() < 2:
                continue
            lines = [
                (number, places & ~within, places & within)
                for number, (places, within) in enumerate(zip(crossing, in_box, strict=True))
                if places & places - 1
            ]
            for cover in iterate_bits(union_of(map(and_, falling[way], in_box))):
                off = ~(1 << cover)
                finned = sum(1 << number for number, _, within in lines if within & off)
                if finned:
                    members = tuple((number, left & off) for number, left, _ in lines if left & off)
                    found.append(_Gap(way, box, cover, crossing, members, finned))
    return tuple(found)


@cache
def _crossings_of_boxes(layout: Layout) -> tuple[tuple[tuple[int, ...], ...], ...]:
    """Return for rows and for columns, box by box, which crossing lines each line meets in it."""
    return tuple(
        tuple(crossings(layout, box.mask)[way] for box in layout.boxes) for way in range(2)
    )


def _fish_across(gap: _Gap, size: int) -> Iterator[tuple[tuple[int, ...], int]]:
    """Yield (numbers of the base lines, mask of those of the cover lines) of what would break."""
    members = [member for member in gap.members if member[1].bit_count() < size]
    if len(members) < size or not any(gap.finned >> number & 1 for number, _ in members):
        return
    for group in _narrow_groups(members, size):
        numbers = tuple(number for number, _ in group)
        taken = union_of(left for _, left in group) | 1 << gap.cover
        held = union_of(gap.crossing[number] for number in numbers)
        if held >> gap.cover & 1 and held & ~taken:
            yield numbers, taken


def _narrow_groups(members: Sequence[Member], size: int) -> Iterator[tuple[Member, ...]]:
    """Yield groups of `size` whose masks have size - 1 bits between them, and no part so few."""
    groups: list[tuple[tuple[Member, ...], int, int]] = [((), 0, 0)]
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


def _is_narrow(part: Sequence[Member]) -> bool:
    return union_of(mask for _, mask in part).bit_count() < len(part)


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
    base = plane & union_of(house.mask for house in bases)
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
