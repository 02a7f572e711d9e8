"""What a hostile homeserver, or whoever writes through one, could answer: real answers with parts
of them changed, taken out, doubled or put elsewhere.
"""

from __future__ import annotations

import copy
import random
from collections.abc import Iterator
from typing import Any


def _nest(depth: int) -> Any:
    found: Any = "deep"
    for _ in range(depth):
        found = [found]
    return found


STRANGE: tuple[Any, ...] = (
    None, True, False, 0, 5, -1, 1.5, 1e308, float("nan"), float("inf"), 10**40, 253402300800000,
    "", "5", "x" * 70_000, "\ud800", "\0", "m.room.message", "@nobody", "!nowhere", "$nothing",
    [], [[]], [None], ["@five:club.test", 5], {}, {"a": {}}, {"": ""}, {"\ud800": 1}, _nest(300),
)  # fmt: skip
"""Values of every kind, most of which nobody would expect where they turn up."""

DEEPEST = 400
"""Levels of nesting that whoever copies and writes the answers here can still take."""

Place = tuple[Any, Any, int]
"""A container, a key or an index of it, and how many containers are around it."""


def places_in(thing: Any) -> Iterator[Place]:
    """Yield every place below a piece of JSON."""
    waiting = [(thing, 0)]
    while waiting:
        holder, depth = waiting.pop()
        keys = holder if isinstance(holder, dict) else range(len(holder))
        for key in keys:
            yield holder, key, depth
            if isinstance(holder[key], dict | list):
                waiting.append((holder[key], depth + 1))


def depth_of(thing: Any) -> int:
    """Return how many containers are in each other at most."""
    if not isinstance(thing, dict | list):
        return 0
    places = places_in(thing)
    below = (depth + isinstance(holder[key], dict | list) for holder, key, depth in places)
    return 1 + max(below, default=0)


def mutate(thing: dict[str, Any], source: random.Random, *, times: int) -> dict[str, Any]:
    """Return a copy with so many changes; what stands at the top stays of its kind."""
    changed = copy.deepcopy(thing)
    for _ in range(times):
        places = list(places_in(changed))
        if not places:
            break
        _change(source, places)
    return changed


def _change(source: random.Random, places: list[Place]) -> None:
    holder, key, depth = source.choice(places)
    match source.randrange(5):
        case 0:
            del holder[key]
        case 1 if isinstance(holder, list):
            holder.insert(key, copy.deepcopy(source.choice(holder)))
        case 2:
            # A value of the same answer at a place where it does not belong.
            other, name, _ = source.choice(places)
            holder[key] = _fitting(other[name], depth)
        case 3 if isinstance(holder, dict):
            holder[str(source.choice(STRANGE))] = holder.pop(key)
        case _:
            holder[key] = _fitting(source.choice(STRANGE), depth)


def _fitting(thing: Any, depth: int) -> Any:
    """Return a copy of what is put below so many containers; too deep a one is flattened."""
    return copy.deepcopy(thing) if depth + depth_of(thing) < DEEPEST else []
