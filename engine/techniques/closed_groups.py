"""Finds groups of k members that hold exactly k things between them.

The one combinatorial idea behind naked subsets (members are cells, things digits) and hidden
subsets (members are digits, things places). It knows neither. A smaller closed group may lie
inside one: only the group's *fresh* things, which no smaller one inside has, are its own doing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

Member = tuple[int, int]
"""(key, mask of the things that it holds)"""


Group = tuple[tuple[int, ...], int, int]
"""(keys of the members, union of what they hold, its part that no smaller group inside holds)"""


def find_closed_groups(members: Sequence[Member], size: int) -> Iterator[Group]:
    """Yield each closed group of `size` that has something fresh, in the members' order.

    Only members that hold from 2 to `size` things can belong to one: a member with one thing is a
    single, which comes before any subset.
    """
    fitting = [member for member in members if 2 <= member[1].bit_count() <= size]
    if len(fitting) >= size:
        yield from _extend(fitting, size, 0, (), 0)


def _extend(
    members: Sequence[Member], size: int, start: int, chosen: tuple[Member, ...], union: int
) -> Iterator[Group]:
    missing = size - len(chosen)
    for place in range(start, len(members) - missing + 1):
        member = members[place]
        wider = union | member[1]
        if wider.bit_count() > size:
            continue
        group = (*chosen, member)
        if missing > 1:
            yield from _extend(members, size, place + 1, group, wider)
        elif wider.bit_count() == size:
            fresh = wider & ~_held_by_parts(group)
            if fresh:
                yield tuple(key for key, _ in group), wider, fresh


def _held_by_parts(group: tuple[Member, ...]) -> int:
    """Return all that smaller closed groups inside the group hold."""
    held = 0
    for size in range(2, len(group)):
        for part in combinations(group, size):
            union = 0
            for _, mask in part:
                union |= mask
            if union.bit_count() <= size:
                held |= union
    return held
