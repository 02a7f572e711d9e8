"""Empty rectangle: where it fires, with exactly what, and where not.

In the pictures digit 1 can stand in the marked cells only.
"""

from __future__ import annotations

import pytest

from engine.board.grid import Grid
from engine.board.layout import MIDDLE, SMALL
from tests.engine.techniques.checking import check, check_evidence, check_links, marked

CROSS = """
...|.*.|...
...|***|.*.
...|.*.|...
---+---+---
...|...|...
...|...|...
...|...|...
---+---+---
.*.|.*.|.*.
...|...|...
...|...|...
"""
"""Box 2 has its places in row 2 and column 5; column 8 joins row 2 to row 7."""

CORNER = """
...|...|...
...|.**|.*.
...|*..|...
---+---+---
...|...|...
...|...|...
...|...|...
---+---+---
.*.|*..|.*.
...|...|...
...|...|...
"""
"""The crossing cell r2c4 itself has no place, and need not."""

JOINED_BY_A_ROW = """
...|...|...
.*.|.**|.*.
...|*..|...
---+---+---
...|...|...
...|...|...
...|...|...
---+---+---
...|*..|.*.
...|...|...
...|...|.*.
"""
"""Row 7 joins column 4 to column 8."""


def test_a_cross_in_a_box_and_a_pair_beside_it() -> None:
    check(
        "empty-rectangle",
        marked(CROSS),
        "box 2, column 8: 1 at r1c5 r2c4 r2c5 r2c6 r2c8 r3c5 r7c8 -> r7c5<>1",
    )
    check_evidence(
        "empty-rectangle",
        marked(CROSS),
        "some 1 in box 2",
        "some 1 in column 8",
        "no two 1 in row 2",
        "no two 1 in column 5",
        "no two 1 in row 7",
    )
    check_links("empty-rectangle", marked(CROSS), "r7c8 = r2c8 - r2c4+r2c5+r2c6 = r1c5+r3c5")


def test_the_crossing_cell_may_be_empty() -> None:
    check(
        "empty-rectangle",
        marked(CORNER),
        "box 2, column 8: 1 at r2c5 r2c6 r2c8 r3c4 r7c8 -> r7c4<>1",
    )


def test_the_pair_may_lie_in_a_row() -> None:
    check(
        "empty-rectangle",
        marked(JOINED_BY_A_ROW),
        "box 2, row 7: 1 at r2c5 r2c6 r3c4 r7c4 r7c8 -> r2c8<>1",
    )
    check_links("empty-rectangle", marked(JOINED_BY_A_ROW), "r7c8 = r7c4 - r3c4 = r2c5+r2c6")


@pytest.mark.parametrize(
    "picture",
    [
        pytest.param(CORNER.replace(".**", ".*.", 1), id="two places are a pair, a turbot fish"),
        pytest.param(CROSS.replace("***", "**.").replace(".*.", "**.", 1), id="a square of four"),
        pytest.param(CORNER.replace("*..|...", "...|...", 1), id="all in one row"),
        pytest.param(CROSS.replace("...|...|...\n---+", "...|...|.*.\n---+", 1), id="no pair"),
        pytest.param(CORNER.replace(".*.|*..|.*.", ".*.|...|.*."), id="nothing to strike"),
    ],
)
def test_silent_without_a_box_in_two_lines_and_a_pair_that_reaches_a_victim(picture: str) -> None:
    check("empty-rectangle", marked(picture))


def test_an_empty_grid_has_no_empty_rectangle() -> None:
    for layout in (SMALL, MIDDLE):
        check("empty-rectangle", Grid.empty(layout))
