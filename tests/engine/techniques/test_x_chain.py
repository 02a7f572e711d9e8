"""X-chain: where it fires, with exactly what, and where not.

In the pictures digit 1 can stand in the marked cells only.
"""

from __future__ import annotations

import pytest

from engine.board.grid import Grid
from engine.board.layout import MIDDLE, SMALL
from engine.techniques import technique_with
from tests.engine.techniques.checking import (
    check,
    check_evidence,
    check_links,
    drawn,
    marked,
    note,
    note_line,
)
from tests.engine.techniques.test_two_links import KITE, SKYSCRAPER, TURBOT

THREE_PAIRS = """
.*.|..*|...
..*|**.|*.*
*..|...|*.*
---+---+---
...|..*|.*.
***|**.|*.*
...|...|...
---+---+---
.*.|*..|*.*
*..|**.|...
..*|...|.*.
"""
"""Rows 1, 4, 9, joined in columns 6 and 8; the ends are r1c2 and r9c3."""

SEVERAL = """
.*.|..*|...
..*|**.|*.*
*..|...|*.*
---+---+---
...|..*|.*.
*.*|**.|*.*
..*|...|...
---+---+---
.*.|*..|*.*
*..|**.|...
..*|...|.*.
"""
"""Column 2 is a pair as well, and the chain can be joined up in several ways."""

NOTHING_TO_STRIKE = """
.*.|..*|...
*..|**.|*.*
*..|...|*.*
---+---+---
...|..*|.*.
***|**.|*.*
.*.|...|...
---+---+---
...|*..|*.*
*.*|**.|...
..*|...|.*.
"""


def test_a_chain_of_three_pairs_strikes_what_both_its_ends_see() -> None:
    check(
        "x-chain",
        marked(THREE_PAIRS),
        "row 1, row 4, row 9: 1 at r1c2 r1c6 r4c6 r4c8 r9c3 r9c8 -> r2c3<>1 r7c2<>1",
    )
    check_evidence(
        "x-chain",
        marked(THREE_PAIRS),
        *(f"some 1 in row {row}" for row in (1, 4, 9)),
        "no two 1 in column 6",
        "no two 1 in column 8",
        "no two 1 in box 1",
        "no two 1 in column 3",
        "no two 1 in column 2",
        "no two 1 in box 7",
    )
    check_links("x-chain", marked(THREE_PAIRS), "r1c2 = r1c6 - r4c6 = r4c8 - r9c8 = r9c3")


def test_each_set_of_eliminations_has_one_shortest_chain() -> None:
    grid = marked(SEVERAL)
    found = [
        (note_line(grid.layout, step.chains[0]), note(grid.layout, step).split(" -> ")[1])
        for step in technique_with("x-chain").find(grid)
    ]
    assert found == [
        ("r7c2 = r1c2 - r1c6 = r4c6 - r4c8 = r9c8", "r7c7<>1 r7c9<>1 r9c3<>1"),
        ("r1c2 = r1c6 - r4c6 = r4c8 - r9c8 = r9c3", "r2c3<>1 r7c2<>1"),
        ("r1c2 = r7c2 - r9c3 = r9c8 - r4c8 = r4c6", "r1c6<>1"),
        ("r4c6 = r1c6 - r1c2 = r7c2 - r9c3 = r9c8", "r4c8<>1"),
    ]


def test_a_longer_chain_counts_for_what_no_shorter_one_strikes() -> None:
    """The grid of the worked swordfish; the digit is 4."""
    grid = drawn(
        "8.71953.61658..97.39.7.6581.319678.595.38176.786.5.193.73.186595.967.4.86.85.92.7"
    )
    lengths: dict[tuple[int, int], set[int]] = {}
    for step in technique_with("x-chain").find(grid):
        for struck in grid.layout.pairs(step.removes):
            lengths.setdefault(struck, set()).add(len(step.chains[0]))
    assert {len(each) for each in lengths.values()} == {1}
    assert {min(each) for each in lengths.values()} == {5, 7}
    by_two_links = {
        struck
        for technique in ("skyscraper", "two-string-kite", "turbot-fish")
        for step in technique_with(technique).find(grid)
        for struck in grid.layout.pairs(step.removes)
    }
    assert by_two_links
    assert not by_two_links & set(lengths)


@pytest.mark.parametrize(
    "picture",
    [
        pytest.param(SKYSCRAPER, id="a skyscraper does it"),
        pytest.param(KITE, id="a kite does it"),
        pytest.param(TURBOT, id="a turbot fish does it"),
        pytest.param(NOTHING_TO_STRIKE, id="nothing to strike"),
    ],
)
def test_silent_where_two_pairs_do_or_nothing_goes(picture: str) -> None:
    check("x-chain", marked(picture))


def test_an_empty_grid_has_no_chain() -> None:
    for layout in (SMALL, MIDDLE):
        check("x-chain", Grid.empty(layout))
