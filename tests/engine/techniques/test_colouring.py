"""Simple colouring, trap and wrap: where it fires, with exactly what, and where not.

In the pictures digit 1 can stand in the marked cells only.
"""

from __future__ import annotations

import pytest

from engine.grid import Grid
from engine.layout import MIDDLE, SMALL
from engine.techniques import technique_with
from tests.engine.techniques.checking import check, check_evidence, check_links, marked, note_line

TRAP = """
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
"""Pairs: rows 1, 4, 9, columns 6, 8. The ends r1c2 and r9c3 are of different colours."""

WRAP = """
.*.|..*|...
*..|**.|.*.
..*|...|*.*
---+---+---
..*|..*|...
*..|**.|*.*
*..|...|.**
---+---+---
.*.|*..|***
**.|**.|...
.*.|...|...
"""
"""Pairs: rows 1, 4, columns 3, 6. The ends r1c2 and r3c3, in box 1, are of one colour."""

BRANCH = """
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
"""As the trap, but column 2 is a pair too: what was trapped there is a branch of the cluster."""

NOTHING_TRAPPED = """
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
"""As the trap, but what sees one of the ends does not see the other."""

ODD_RING = """
*..|.*.|...
.*.|...|...
...|...|...
---+---+---
.*.|.*.|...
...|...|...
...|...|...
---+---+---
...|...|...
...|...|...
...|...|...
"""

ONE_PAIR = """
**.|...|...
...|...|...
..*|...|...
---+---+---
...|...|...
...|...|...
...|...|...
---+---+---
...|...|...
...|...|...
...|...|...
"""


def variants(picture: str) -> list[str]:
    return [step.variant for step in technique_with("simple-colouring").find(marked(picture))]


def test_a_place_that_sees_both_colours_is_trapped() -> None:
    check(
        "simple-colouring",
        marked(TRAP),
        "row 1, row 4, row 9: 1 at r1c2 r1c6 r4c6 r4c8 r9c3 r9c8 -> r2c3<>1 r7c2<>1",
    )
    check_evidence(
        "simple-colouring",
        marked(TRAP),
        *(f"some 1 in row {row}" for row in (1, 4, 9)),
        "no two 1 in column 6",
        "no two 1 in column 8",
        "no two 1 in box 1",
        "no two 1 in column 3",
        "no two 1 in column 2",
        "no two 1 in box 7",
    )
    check_links("simple-colouring", marked(TRAP), "r1c2 = r1c6 = r4c6 = r4c8 = r9c8 = r9c3")
    assert variants(TRAP) == ["trap"]


def test_a_colour_two_of_whose_places_see_each_other_goes() -> None:
    check(
        "simple-colouring",
        marked(WRAP),
        "column 6, column 3, row 1, row 4: 1 at r1c2 r1c6 r3c3 r4c3 r4c6"
        " -> r1c2<>1 r3c3<>1 r4c6<>1",
    )
    check_evidence(
        "simple-colouring",
        marked(WRAP),
        "some 1 in row 1",
        "some 1 in row 4",
        "some 1 in column 3",
        "some 1 in column 6",
        "no two 1 in row 1",
        "no two 1 in row 4",
        "no two 1 in column 3",
        "no two 1 in column 6",
        "no two 1 in box 1",
    )
    check_links("simple-colouring", marked(WRAP), "r1c2 = r1c6 = r4c6 = r4c3 = r3c3")
    assert variants(WRAP) == ["wrap"]


def test_links_tell_the_colour_of_every_place_of_the_cluster() -> None:
    layout = marked(BRANCH).layout
    trap, wrap = technique_with("simple-colouring").find(marked(BRANCH))
    assert [note_line(layout, line) for line in trap.chains] == [
        "r1c2 = r1c6 = r4c6 = r4c8 = r9c8 = r9c3",
        "r1c2 = r7c2",
    ]
    assert [note_line(layout, line) for line in wrap.chains] == [
        "r7c2 = r1c2 = r1c6 = r4c6 = r4c8 = r9c8 = r9c3"
    ]
    assert trap.cells == wrap.cells, "the cluster is the same"
    assert trap.key != wrap.key
    assert variants(BRANCH) == ["trap", "wrap"]


@pytest.mark.parametrize(
    "picture",
    [
        pytest.param(ONE_PAIR, id="one pair is pointing or claiming"),
        pytest.param(ODD_RING, id="an odd ring cannot be coloured"),
        pytest.param(NOTHING_TRAPPED, id="nothing trapped"),
    ],
)
def test_silent_where_no_place_sees_both_colours_and_no_colour_sees_itself(picture: str) -> None:
    check("simple-colouring", marked(picture))


def test_an_empty_grid_has_no_cluster() -> None:
    for layout in (SMALL, MIDDLE):
        check("simple-colouring", Grid.empty(layout))
