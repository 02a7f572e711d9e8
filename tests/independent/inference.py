"""Inference chains between single candidates, walked out by plain sets.

A strong link joins the only two digits of a cell, or the only two places of a digit in a house; a
weak link two digits of a cell, or two places that see each other. If an end that is false makes
another one true, by strong and weak links in turn, one of the two is true, and what both exclude
goes. Groups of cells are not walked here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from tests.independent.one_digit import strong_links
from tests.independent.plain import Candidate, Plain, peers_of

Links = Mapping[Candidate, frozenset[Candidate]]


def strong_of(position: Plain) -> Links:
    found: dict[Candidate, set[Candidate]] = {}
    for cell, digits in position.candidates.items():
        if len(digits) == 2:
            for digit in digits:
                (other,) = digits - {digit}
                found.setdefault((cell, digit), set()).add((cell, other))
    for digit in range(1, position.shape.size + 1):
        for link in strong_links(position, digit):
            for cell in link.cells:
                (end,) = link.cells - {cell}
                found.setdefault((cell, digit), set()).add((end, digit))
    return {each: frozenset(others) for each, others in found.items()}


def weak_of(position: Plain) -> Links:
    return {
        (cell, digit): frozenset((cell, other) for other in digits - {digit})
        | {(peer, digit) for peer in peers_of(position.shape, cell) if position.has((peer, digit))}
        for cell, digits in position.candidates.items()
        for digit in digits
    }


def true_if_false(start: Candidate, strong: Links, weak: Links) -> frozenset[Candidate]:
    """All that is true if the start is false, whatever the number of links."""
    true: set[Candidate] = set()
    false = {start}
    frontier = {start}
    while frontier:
        fresh = _beyond(frontier, strong) - true
        true |= fresh
        frontier = _beyond(fresh, weak) - false
        false |= frontier
    return frozenset(true)


def _beyond(candidates: Iterable[Candidate], links: Links) -> set[Candidate]:
    return set().union(*(links.get(each, frozenset()) for each in candidates))


def find_chain_victims(position: Plain) -> frozenset[Candidate]:
    """All that some chain strikes."""
    strong, weak = strong_of(position), weak_of(position)
    return frozenset(
        victim
        for start in strong
        for end in true_if_false(start, strong, weak) - {start}
        for victim in weak[start] & weak[end]
    )
