"""The definitions of levels 4 and 5 by technique id, where all combinations can be tried.

`EXACT`: every instance, as the design counts them. `SHORTEST`: for chains what counts is each
elimination with its shortest length.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from tests.independent.definitions import Instance
from tests.independent.fish import find_finned_fish, find_fish
from tests.independent.one_digit import (
    find_colourings,
    find_empty_rectangles,
    find_two_clusters,
    find_two_links,
    shortest_chains,
)
from tests.independent.plain import Candidate, Plain
from tests.independent.two_candidates import (
    find_w_wings,
    find_xy_wings,
    find_xyz_wings,
    shortest_remote_pairs,
    shortest_xy_chains,
)
from tests.independent.uniqueness import (
    find_avoidable_rectangles,
    find_bug_plus_one,
    find_hidden_rectangles,
    find_unique_rectangles,
)

EXACT: Mapping[str, Callable[[Plain], Iterator[Instance]]] = {
    "x-wing": lambda position: find_fish(position, 2),
    "swordfish": lambda position: find_fish(position, 3),
    "jellyfish": lambda position: find_fish(position, 4),
    "skyscraper": lambda position: find_two_links(position, "skyscraper"),
    "two-string-kite": lambda position: find_two_links(position, "two-string-kite"),
    "turbot-fish": lambda position: find_two_links(position, "turbot-fish"),
    "empty-rectangle": find_empty_rectangles,
    "xy-wing": find_xy_wings,
    "xyz-wing": find_xyz_wings,
    "w-wing": find_w_wings,
    "finned-x-wing": lambda position: find_finned_fish(position, 2),
    "finned-swordfish": lambda position: find_finned_fish(position, 3),
    "finned-jellyfish": lambda position: find_finned_fish(position, 4),
    "simple-colouring": find_colourings,
    "two-cluster-colouring": find_two_clusters,
    "unique-rectangle": lambda position: (each for _, each in find_unique_rectangles(position)),
    "hidden-rectangle": find_hidden_rectangles,
    "avoidable-rectangle": lambda position: (
        each for _, each in find_avoidable_rectangles(position)
    ),
    "bug-plus-one": find_bug_plus_one,
}

LONGEST_TRIED = {"long-xy-chain": 9}
"""Where trying all lengths would take too long: the most cells of a chain."""

MOST_CELLS = 6
"""Of an XY-chain that is not a long one: the line between level 5 and level 6 is our own."""

SHORTEST: Mapping[str, Callable[[Plain], dict[Candidate, int]]] = {
    "remote-pair": shortest_remote_pairs,
    "x-chain": lambda position: {
        (cell, digit): length
        for digit in range(1, position.shape.size + 1)
        for cell, length in shortest_chains(position, digit).items()
    },
    "xy-chain": lambda position: shortest_xy_chains(position, MOST_CELLS),
    "long-xy-chain": lambda position: shortest_xy_chains(position, LONGEST_TRIED["long-xy-chain"]),
}

FEWEST: Mapping[str, int] = {
    "remote-pair": 4,
    "x-chain": 5,
    "xy-chain": 3,
    "long-xy-chain": MOST_CELLS + 1,
}
"""Cells or links of which a chain bears the name: what goes by fewer is found by other names."""
