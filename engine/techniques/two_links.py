"""Two conjugate pairs of a digit, an end of one seeing an end of the other.

If the first pair's outer end is false its inner end is true, so the second pair's inner end is
false and its outer end true: one of the two outer ends holds the digit, and it goes where both are
seen. The four cells differ. Each such sight belongs to one technique:

- skyscraper: the pairs lie in two parallel lines (rows or columns), and the inner ends share a
  crossing line. Where the outer ends share one too it is an X-wing, and no instance here.
- two-string kite: the pairs lie in a row and a column, and the inner ends share a box.
- turbot fish: all that is neither, such as a pair in a box and one in a line.

What the same four cells strike in two such ways is one instance, of the first that fits.
A cell that sees both ends of one pair counts too, though that pair alone (pointing or claiming)
would strike it; the step then cites no more than that takes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

from engine.board.grid import Grid
from engine.board.layout import House, HouseKind, Layout
from engine.board.step import LinkKind, Step
from engine.inference.candidate_index import PLANES_KEPT
from engine.inference.minimal_evidence import guesses_along
from engine.inference.one_digit import (
    Pair,
    Sight,
    conjugate_pairs,
    finder,
    shared_houses,
    sighting_houses,
    told_in_turn,
    without_spares,
)

LEVEL = 4
SKYSCRAPER = "skyscraper"
KITE = "two-string-kite"
TURBOT = "turbot-fish"
ORDER = (SKYSCRAPER, KITE, TURBOT)
CROSSING = {HouseKind.ROW: HouseKind.COLUMN, HouseKind.COLUMN: HouseKind.ROW}


def two_links_finder(technique: str) -> Callable[[Grid], Iterator[Step]]:
    """Return the `find` of one of the three two-link patterns."""

    @lru_cache(maxsize=PLANES_KEPT)
    def find_sights(layout: Layout, plane: int) -> tuple[Sight, ...]:
        return tuple(
            _sight(layout, plane, joined, victims)
            for joined, victims in _find_all(layout, plane)
            if joined.technique == technique
        )

    return finder(technique, LEVEL, find_sights)


@dataclass(frozen=True, slots=True)
class _Joined:
    """Two pairs as they are walked: outer = inner - inner = outer, with the houses of each link."""

    technique: str
    cells: tuple[int, int, int, int]
    houses: tuple[House, House]
    join: House


@lru_cache(maxsize=PLANES_KEPT)
def _find_all(layout: Layout, plane: int) -> tuple[tuple[_Joined, int], ...]:
    """Return (pairs, what they strike) of every two-link pattern, lowest pairs first."""
    found: dict[tuple[int, int], _Joined] = {}
    for one, other, cells, victims in _find_walks(layout, plane):
        joined = _join(layout, one, other, cells)
        before = found.get((one.mask | other.mask, victims))
        if joined is not None and (before is None or _rank(joined) < _rank(before)):
            found[one.mask | other.mask, victims] = joined
    return tuple((joined, victims) for (_, victims), joined in found.items())


def _find_walks(
    layout: Layout, plane: int
) -> Iterator[tuple[Pair, Pair, tuple[int, int, int, int], int]]:
    """Yield two pairs, their cells as they are walked, and what both outer ends see."""
    pairs, peers = conjugate_pairs(layout, plane), layout.peers
    for place, one in enumerate(pairs):
        for a, b in one.ways:
            near, seen = peers[b], plane & peers[a] & ~one.mask
            for other in pairs[place + 1 :]:
                met = near & other.mask
                if not met or not seen or one.mask & other.mask:
                    continue
                for c, d in other.ways:
                    victims = seen & peers[d] & ~other.mask
                    if victims and met >> c & 1:
                        yield one, other, (a, b, c, d), victims


def _rank(joined: _Joined) -> int:
    return ORDER.index(joined.technique)


def _join(
    layout: Layout, one: Pair, other: Pair, cells: tuple[int, int, int, int]
) -> _Joined | None:
    """Return which technique the pairs make, joined in the middle; None for an X-wing."""
    a, b, c, d = cells
    joins = shared_houses(layout, 1 << b | 1 << c)
    ways = list(product(one.houses, other.houses, joins))
    for first, second, join in ways:
        if first.kind is second.kind and join.kind is CROSSING.get(first.kind):
            outer = (house.kind for house in shared_houses(layout, 1 << a | 1 << d))
            if join.kind in outer:
                return None
            return _Joined(SKYSCRAPER, cells, (first, second), join)
    for first, second, join in ways:
        if CROSSING.get(first.kind) is second.kind and join.kind is HouseKind.BOX:
            return _Joined(KITE, cells, (first, second), join)
    first, second, join = ways[0]
    return _Joined(TURBOT, cells, (first, second), join)


def _sight(layout: Layout, plane: int, joined: _Joined, victims: int) -> Sight:
    a, b, c, d = joined.cells
    most = [joined.join.index]
    for end in (a, d):
        most += sighting_houses(layout, end, victims, most)
    houses = tuple(sorted(house.index for house in joined.houses))
    guesses = guesses_along([1 << cell for cell in joined.cells], victims)
    least, needed = without_spares(layout, plane, houses, most, victims, guesses)
    told = (a, b, c, d) if a < d else (d, c, b, a)
    return Sight(
        houses,
        1 << a | 1 << b | 1 << c | 1 << d,
        victims,
        least,
        needed,
        chains=(told_in_turn(told, LinkKind.STRONG),),
    )
