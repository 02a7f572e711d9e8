"""Finds groups of k members that hold exactly k things between them.

The one combinatorial idea behind naked subsets (members are cells, things digits) and hidden
subsets (members are digits, things places). It knows neither. A smaller closed group may lie
inside one: only the group's *fresh* things, which no smaller one inside has, are its own doing.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

Member = tuple[int, int]
"""(key, mask of the things that it holds)"""

Group = tuple[tuple[int, ...], int, int]
"""(keys of the members, union of what they hold, its part that no smaller group inside holds)"""


def find_closed_groups(members: Sequence[Member], size: int) -> list[Group]:
    """Return each closed group of `size` that has something fresh, in the members' order.

    The members must hold from 2 to `size` things each; none with more can belong to a group, and
    one with a single thing is a single, which comes before any subset.
    """
    count = len(members)
    if count < size:
        return []
    masks = [mask for _, mask in members]
    partial: list[tuple[tuple[int, ...], int]] = [
        ((place,), masks[place]) for place in range(count - size + 1)
    ]
    for end in range(count - size + 2, count + 1):  # leave room for those still to come
        partial = [
            ((*places, place), union)
            for places, before in partial
            for place in range(places[-1] + 1, end)
            if (union := before | masks[place]).bit_count() <= size
        ]
    groups = []
    for places, union in partial:
        fresh = union & ~_held_by_parts([masks[place] for place in places])
        if fresh:
            groups.append((tuple(members[place][0] for place in places), union, fresh))
    return groups


def _held_by_parts(masks: list[int]) -> int:
    """Return all that smaller closed groups inside the group hold."""
    held = 0
    for size in range(2, len(masks)):
        for part in combinations(masks, size):
            union = 0
            for mask in part:
                union |= mask
            if union.bit_count() <= size:
                held |= union
    return held
