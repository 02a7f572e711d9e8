"""Finds groups of k members that hold exactly k things between them, and no smaller group inside.

The one combinatorial idea behind naked subsets (members are cells, things digits) and hidden
subsets (members are digits, things places). It knows neither.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

Member = tuple[int, int]
"""(key, mask of the things that it holds)"""


def find_closed_groups(members: Sequence[Member], size: int) -> Iterator[tuple[tuple[int, ...], int]]:
    """Yield (keys, union of the masks) of each closed group of `size`, in the members' order.

    Only members that hold from 2 to `size` things can belong to one: a member with one thing is a
    smaller closed group by itself.
    """
    fitting = [member for member in members if 2 <= member[1].bit_count() <= size]
    if len(fitting) >= size:
        yield from _extend(fitting, size, 0, (), 0)


def _extend(
    members: Sequence[Member], size: int, start: int, chosen: tuple[Member, ...], union: int
) -> Iterator[tuple[tuple[int, ...], int]]:
    missing = size - len(chosen)
    for place in range(start, len(members) - missing + 1):
        member = members[place]
        wider = union | member[1]
        if wider.bit_count() > size:
            continue
        group = (*chosen, member)
        if missing > 1:
            yield from _extend(members, size, place + 1, group, wider)
        elif wider.bit_count() == size and not _has_closed_part(group):
            yield tuple(key for key, _ in group), wider


def _has_closed_part(group: tuple[Member, ...]) -> bool:
    for size in range(2, len(group)):
        for part in combinations(group, size):
            union = 0
            for _, mask in part:
                union |= mask
            if union.bit_count() <= size:
                return True
    return False
